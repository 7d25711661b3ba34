#include "analysis/movement.h"

const char *ap_moved_name(ap_moved moved) {
    static const char *const names[AP_MOVED_COUNT] = {"stayed still", "butt up", "butt down",
                                                      "swung",        "rolled",  "dropped"};
    return names[moved];
}

ap_moved ap_movement_kind(uint16_t movement) {
    if (movement & AP_MOVE_BIT(AP_MOVEMENT_DROP)) {
        return AP_MOVED_DROP;
    }
    if (movement & (AP_MOVE_BIT(AP_MOVEMENT_BUTT_UP) | AP_MOVE_BIT(AP_MOVEMENT_TIP_DIVE))) {
        return AP_MOVED_BUTT_UP;
    }
    if (movement & (AP_MOVE_BIT(AP_MOVEMENT_BUTT_DOWN) | AP_MOVE_BIT(AP_MOVEMENT_TIP_UP))) {
        return AP_MOVED_BUTT_DOWN;
    }
    if (movement & AP_MOVE_BIT(AP_MOVEMENT_SWING)) {
        return AP_MOVED_SWING;
    }
    return movement & AP_MOVE_BIT(AP_MOVEMENT_ROLL) ? AP_MOVED_ROLL : AP_MOVED_STILL;
}

static int most_logged_first(const void *left, const void *right) {
    const ap_movement_group *a = left;
    const ap_movement_group *b = right;
    if (a->logged != b->logged) {
        return a->logged < b->logged ? 1 : -1;
    }
    return (a->key > b->key) - (a->key < b->key);
}

ap_status ap_movement(ap_movement_table *out, ap_arena *arena, const ap_roster *roster, size_t first, size_t end,
                      ap_by by, ap_error *err) {
    uint32_t labels = ap_intern_count(roster->labels[by]);
    *out = (ap_movement_table){.by = by};
    out->groups = ap_arena_alloc_array(arena, (size_t)labels + 1, sizeof *out->groups);
    if (!out->groups) {
        return ap_arena_check(arena, "the movement table", err);
    }
    for (uint32_t key = 0; key <= labels; key++) {
        out->groups[key].key = key;
    }
    for (size_t i = first; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        ap_movement_group *group = &out->groups[ap_fact_group(fact, by)];
        group->picks++;
        group->toward_person += fact->toward_person;
        group->re_rigs_logged += fact->rest->re_rigs != AP_COUNT_NONE;
        group->re_rigged += fact->rest->re_rigs > 0;
        if (fact->rest->movement) {
            group->logged++;
            group->kinds[ap_movement_kind(fact->rest->movement)]++;
        }
    }
    qsort(out->groups, (size_t)labels + 1, sizeof *out->groups, most_logged_first);
    while (out->count <= labels && out->groups[out->count].logged) {
        out->count++;
    }
    return AP_OK;
}

void ap_movement_kerf(ap_kerf_table *out, const ap_roster *roster, size_t first, size_t end) {
    memset(out, 0, sizeof *out);
    for (size_t i = first; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        if (fact->rest->movement) {
            bool still = ap_movement_kind(fact->rest->movement) == AP_MOVED_STILL;
            (still ? out->still : out->moved)[fact->kerf & 3]++;
        }
    }
}
