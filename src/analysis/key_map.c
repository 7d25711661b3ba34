#include "analysis/key_map.h"

static size_t slot_of(const ap_key_map *map, const uint32_t *key) {
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

static bool grow(ap_key_map *map) {
    size_t size = map->size ? map->size * 2 : 128;
    uint32_t *table = calloc(size, sizeof *table);
    void *keys = realloc(map->keys, size / 2 * sizeof *map->keys);
    if (keys) {
        map->keys = keys;
        map->room = size / 2;
    }
    if (!table || !keys) {
        free(table);
        return false;
    }
    free(map->table);
    map->table = table;
    map->size = size;
    for (size_t i = 0; i < map->count; i++) {
        map->table[slot_of(map, map->keys[i])] = (uint32_t)(i + 1);
    }
    return true;
}

bool ap_key_map_add(ap_key_map *map, const uint32_t key[AP_WEIGHTS_BY_MAX], uint32_t *number) {
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
    if (map->count == 0) {
        return false;
    }
    uint32_t found = map->table[slot_of(map, key)];
    *number = found - 1;
    return found != 0;
}

bool ap_key_map_settle(ap_key_map *map, ap_arena *arena) {
    void *keys = ap_arena_alloc_array(arena, map->count + 1, sizeof *map->keys);
    uint32_t *table = ap_arena_alloc_array(arena, map->size + 1, sizeof *table);
    ap_key_map settled = {keys, map->count, map->count, table, map->size};
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
