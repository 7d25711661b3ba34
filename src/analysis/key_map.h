/* Numbers the keys of a grouping in order of first appearance: on the heap; open addressing, or a place for every key there
 * can be when these are few. */
#ifndef AP_ANALYSIS_KEY_MAP_H
#define AP_ANALYSIS_KEY_MAP_H

#include "analysis/weights.h"

typedef struct ap_key_map {
    uint32_t (*keys)[AP_WEIGHTS_BY_MAX]; /* by number */
    size_t count;
    size_t room;
    uint32_t *table; /* number + 1 */
    size_t size;
    bool direct;                      /* the place of a key is worked out from it: */
    size_t step[AP_WEIGHTS_BY_MAX];   /* so many places for one more of a part */
    uint32_t most[AP_WEIGHTS_BY_MAX]; /* no part of a key is above this */
} ap_key_map;

/* An empty map whose keys have no part above most[]. Where there are no more such keys than a few for each of `expected`, each
 * has its place in the table, so that nothing is searched. False when memory is out. */
bool ap_key_map_start(ap_key_map *map, const uint32_t most[AP_WEIGHTS_BY_MAX], size_t expected);

/* *number of the key, a new one when it was not there. False when memory is out. */
static inline bool ap_key_map_add(ap_key_map *map, const uint32_t key[AP_WEIGHTS_BY_MAX], uint32_t *number);
bool ap_key_map_find(const ap_key_map *map, const uint32_t key[AP_WEIGHTS_BY_MAX], uint32_t *number);
/* Moves what the map holds into the arena: nothing is left to release, and nothing can be added. False when it is full. */
bool ap_key_map_settle(ap_key_map *map, ap_arena *arena);
void ap_key_map_release(ap_key_map *map);

static inline size_t ap_key_map_place(const ap_key_map *map, const uint32_t key[AP_WEIGHTS_BY_MAX]) {
    _Static_assert(AP_WEIGHTS_BY_MAX == 4, "a key has four parts");
    return key[0] * map->step[0] + key[1] * map->step[1] + key[2] * map->step[2] + key[3] * map->step[3];
}
bool ap_key_map_add_new(ap_key_map *map, const uint32_t key[AP_WEIGHTS_BY_MAX], uint32_t *number);

static inline bool ap_key_map_add(ap_key_map *map, const uint32_t key[AP_WEIGHTS_BY_MAX], uint32_t *number) {
    uint32_t there = map->direct ? map->table[ap_key_map_place(map, key)] : 0;
    *number = there - 1;
    return there || ap_key_map_add_new(map, key, number);
}

#endif
