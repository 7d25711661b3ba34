/* The limits as the program ships them: read from a fresh book, because that is where they live. */
#ifndef AP_TESTS_LIMITS_H
#define AP_TESTS_LIMITS_H

#include "nearmiss/limits.h"
#include "support/book_fixture.h"

/* Reads them once; later calls give the same. */
const ap_rule_limits *check_limits(void);

#endif
