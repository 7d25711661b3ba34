#include "base/arena.h"

/* Open addressing; `slots` holds numbers, its size is a power of two and stays at most half full. A table that was
 * outgrown stays in the arena: together they are smaller than the last one. */
typedef struct entry {
    const char *ptr;
    uint32_t len;
    uint32_t hash;
} entry;

struct ap_intern {
    ap_arena *arena;
    entry *entries; /* entries[0] is "blank" */
    uint32_t *slots;
    uint32_t count;
    uint32_t placed;   /* those that have a slot: the first ones */
    uint32_t capacity; /* of entries; slots are twice as many */
};

enum { FIRST_CAPACITY = 32, LAST_CAPACITY = 1 << 28 };

ap_intern *ap_intern_new(ap_arena *arena) {
    ap_intern *set = ap_arena_alloc(arena, sizeof *set);
    entry *entries = ap_arena_alloc_array(arena, FIRST_CAPACITY, sizeof *entries);
    uint32_t *slots = ap_arena_alloc_array(arena, 2 * (size_t)FIRST_CAPACITY, sizeof *slots);
    if (!set || !entries || !slots) {
        return NULL;
    }
    *set = (ap_intern){.arena = arena, .entries = entries, .slots = slots, .capacity = FIRST_CAPACITY};
    return set;
}

static ap_str text_of(const entry *there) {
    return (ap_str){there->ptr, there->len};
}

/* The slot that holds the text, or the empty one where it belongs. */
static uint32_t *slot_of(const ap_intern *set, ap_str str, uint32_t hash) {
    size_t mask = 2 * (size_t)set->capacity - 1;
    size_t at = (size_t)hash & mask;
    while (set->slots[at] != 0) {
        const entry *there = &set->entries[set->slots[at]];
        if (there->hash == hash && ap_str_equal(text_of(there), str)) {
            break;
        }
        at = (at + 1) & mask;
    }
    return &set->slots[at];
}

/* Slots for what was appended. */
static void place_rest(ap_intern *set) {
    while (set->placed < set->count) {
        entry *next = &set->entries[++set->placed];
        next->hash = (uint32_t)ap_str_hash(text_of(next));
        uint32_t *slot = slot_of(set, text_of(next), next->hash);
        *slot = *slot ? *slot : set->placed;
    }
}

static bool grow(ap_intern *set, uint32_t capacity) {
    if (capacity > LAST_CAPACITY) {
        return false;
    }
    entry *entries = ap_arena_alloc_array(set->arena, capacity, sizeof *entries);
    uint32_t *slots = ap_arena_alloc_array(set->arena, 2 * (size_t)capacity, sizeof *slots);
    if (!entries || !slots) {
        return false;
    }
    memcpy(entries, set->entries, ((size_t)set->count + 1) * sizeof *entries);
    set->entries = entries;
    set->slots = slots;
    set->capacity = capacity;
    for (uint32_t number = 1; number <= set->placed; number++) {
        *slot_of(set, text_of(&entries[number]), entries[number].hash) = number;
    }
    return true;
}

uint32_t ap_intern_add(ap_intern *set, ap_str str) {
    if (ap_str_is_blank(str) || str.len > UINT32_MAX) {
        return 0;
    }
    place_rest(set);
    uint32_t hash = (uint32_t)ap_str_hash(str);
    uint32_t *slot = slot_of(set, str, hash);
    if (*slot != 0) {
        return *slot;
    }
    if (set->count + 1 >= set->capacity) {
        if (!grow(set, set->capacity * 2)) {
            return 0;
        }
        slot = slot_of(set, str, hash);
    }
    ap_str copy = ap_arena_str(set->arena, str);
    if (!copy.ptr) {
        return 0;
    }
    set->entries[++set->count] = (entry){copy.ptr, (uint32_t)copy.len, hash};
    *slot = set->placed = set->count;
    return set->count;
}

uint32_t ap_intern_append(ap_intern *set, ap_str str) {
    if (str.len > UINT32_MAX || (set->count + 1 >= set->capacity && !grow(set, set->capacity * 2))) {
        return 0;
    }
    set->entries[++set->count] = (entry){str.ptr, (uint32_t)str.len, 0};
    return set->count;
}

bool ap_intern_reserve(ap_intern *set, uint32_t count) {
    uint32_t capacity = set->capacity;
    while (capacity <= count && capacity <= LAST_CAPACITY) {
        capacity *= 2;
    }
    return capacity == set->capacity || grow(set, capacity);
}

uint32_t ap_intern_find(ap_intern *set, ap_str str) {
    place_rest(set);
    return ap_str_is_blank(str) ? 0 : *slot_of(set, str, (uint32_t)ap_str_hash(str));
}

ap_str ap_intern_get(const ap_intern *set, uint32_t number) {
    return number == 0 || number > set->count ? AP_STR_NONE : text_of(&set->entries[number]);
}

uint32_t ap_intern_count(const ap_intern *set) {
    return set->count;
}
