#include "base/grow.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { SPARE = 64 };

static void *resized(void *items, size_t *room, size_t more, size_t size) {
    void *grown = more > *room && more <= SIZE_MAX / size ? realloc(items, more * size) : NULL;
    *room = grown ? more : *room;
    return grown;
}

void *ap_grown(void *items, size_t *room, size_t first, size_t size) {
    return resized(items, room, *room ? *room + *room / 2 + 1 : first, size);
}

void *ap_grown_to(void *items, size_t *room, size_t index, size_t size) {
    size_t was = *room;
    void *grown = resized(items, room, index <= SIZE_MAX / 4 ? 2 * index + SPARE : 0, size);
    if (grown) {
        memset((char *)grown + was * size, 0, (*room - was) * size);
    }
    return grown;
}
