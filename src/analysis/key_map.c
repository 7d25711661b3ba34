#include "analysis/key_map.h"

static size_t slot_of(const ap_key_map *map, const uint32_t *key) {
    if (map->direct) {
        return ap_key_map_place(map, key);
    }
    uint64_t hash = UINT64_C(0x9e3779b97f4a7c15);
    for (size_t k = 0; k < AP_WEIGHTS_BY_MAX; k++) {
        hash = (hash ^ key[k]) * UINT64_C(0xbf58476d1ce4e5b9);
        hash ^= hash >> 29;
    }
    size_t at = (size_t)hash & (map->size - 1);
    while (map->table[at] && memcmp(map->keys[map->table[at] - 1], key, sizeof map->keys[0]) != 0) {
        at = (at + 1) & (map->size - 1);
    }
    return at;
}

bool ap_key_map_start(ap_key_map *map, const uint32_t most[AP_WEIGHTS_BY_MAX], size_t expected) {
    enum { A_FEW = 2, LEAST = 4096 };
    size_t all = 1;
    *map = (ap_key_map){0};
    for (size_t k = AP_WEIGHTS_BY_MAX; k-- > 0;) {
        size_t values = (size_t)most[k] + 1;
        map->step[k] = all;
        all = all > SIZE_MAX / values ? SIZE_MAX : all * values;
    }
    if (all / A_FEW > expected + LEAST) {
        return true; /* the first key makes the table */
    }
    map->table = calloc(all, sizeof *map->table);
    map->size = all;
    map->direct = true;
    memcpy(map->most, most, sizeof map->most);
    return map->table != NULL;
}

static bool grow(ap_key_map *map) {
    size_t room = map->room ? map->room * 2 : 64;
    void *keys = realloc(map->keys, room * sizeof *map->keys);
    if (!keys) {
        return false;
    }
    map->keys = keys;
    map->room = room;
    if (map->direct) {
        return true;
    }
    uint32_t *table = calloc(room * 2, sizeof *table);
    if (!table) {
        return false;
    }
    free(map->table);
    map->table = table;
    map->size = room * 2;
    for (size_t i = 0; i < map->count; i++) {
        map->table[slot_of(map, map->keys[i])] = (uint32_t)(i + 1);
    }
    return true;
}

bool ap_key_map_add_new(ap_key_map *map, const uint32_t key[AP_WEIGHTS_BY_MAX], uint32_t *number) {
    if (map->count == map->room && !grow(map)) {
        return false;
    }
    size_t at = slot_of(map, key);
    if (map->table[at] == 0) {
        memcpy(map->keys[map->count], key, sizeof map->keys[0]);
        map->table[at] = (uint32_t)(++map->count);
    }
    *number = map->table[at] - 1;
    return true;
}

bool ap_key_map_find(const ap_key_map *map, const uint32_t key[AP_WEIGHTS_BY_MAX], uint32_t *number) {
    bool within = map->count > 0;
    for (size_t k = 0; map->direct && k < AP_WEIGHTS_BY_MAX; k++) {
        within = within && key[k] <= map->most[k];
    }
    if (!within) {
        return false;
    }
    uint32_t found = map->table[slot_of(map, key)];
    *number = found - 1;
    return found != 0;
}

bool ap_key_map_settle(ap_key_map *map, ap_arena *arena) {
    void *keys = ap_arena_alloc_array(arena, map->count + 1, sizeof *map->keys);
    uint32_t *table = ap_arena_alloc_array(arena, map->size + 1, sizeof *table);
    ap_key_map settled = *map;
    settled.keys = keys;
    settled.room = map->count;
    settled.table = table;
    if (keys && table && map->count) {
        memcpy(keys, map->keys, map->count * sizeof *map->keys);
        memcpy(table, map->table, map->size * sizeof *table);
    }
    ap_key_map_release(map);
    *map = keys && table ? settled : (ap_key_map){0};
    return keys && table;
}

void ap_key_map_release(ap_key_map *map) {
    free(map->keys);
    free(map->table);
    *map = (ap_key_map){0};
}
