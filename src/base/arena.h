/* An arena: results that live together, freed together. Growth is bounded by `max`. */
#ifndef AP_BASE_ARENA_H
#define AP_BASE_ARENA_H

#include "base/str.h"

typedef struct ap_arena_chunk ap_arena_chunk;

typedef struct ap_arena {
    ap_arena_chunk *head;
    size_t total;
    size_t max;
    bool failed; /* an allocation was refused; sticky */
} ap_arena;

void ap_arena_init(ap_arena *arena, size_t max);
void ap_arena_release(ap_arena *arena);
void ap_arena_clear(ap_arena *arena); /* keeps one chunk */

/* Zeroed, aligned for any object. NULL when the bound is reached or memory is out. */
void *ap_arena_alloc(ap_arena *arena, size_t size);
void *ap_arena_alloc_array(ap_arena *arena, size_t count, size_t size);
/* Copies; the copy is NUL-terminated behind its length. A none string stays none. On failure: none, arena->failed. */
ap_str ap_arena_str(ap_arena *arena, ap_str str);
char *ap_arena_cstr(ap_arena *arena, ap_str str);
ap_str ap_arena_printf(ap_arena *arena, const char *format, ...) AP_PRINTF(2, 3);
AP_MUST_USE ap_status ap_arena_check(const ap_arena *arena, const char *what, ap_error *err);

/* Interned strings: equal texts get one number from 1; 0 is "blank". Numbers and views stay valid. */
typedef struct ap_intern ap_intern;
ap_intern *ap_intern_new(ap_arena *arena);
uint32_t ap_intern_add(ap_intern *set, ap_str str); /* 0 for blank or when memory is out */
bool ap_intern_reserve(ap_intern *set, uint32_t count); /* room for so many at once; false when there is none */
/* A text that is not in the set, not blank, and outlives it: no copy is made, and it is looked up by nothing before the first search. 0
 * when memory is out. */
uint32_t ap_intern_append(ap_intern *set, ap_str str);
uint32_t ap_intern_find(ap_intern *set, ap_str str);
ap_str ap_intern_get(const ap_intern *set, uint32_t number);
uint32_t ap_intern_count(const ap_intern *set);

#endif
