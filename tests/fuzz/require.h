/* An invariant of a fuzz target: says which one broke, then ends the program so that the input is kept. */
#ifndef AP_TESTS_FUZZ_REQUIRE_H
#define AP_TESTS_FUZZ_REQUIRE_H

#include <stdio.h>
#include <stdlib.h>

#define require(holds)                                                                                                 \
    do {                                                                                                               \
        if (!(holds)) {                                                                                                \
            fprintf(stderr, "%s:%d: does not hold: %s\n", __FILE__, __LINE__, #holds);                                 \
            abort();                                                                                                   \
        }                                                                                                              \
    } while (0)

#endif
