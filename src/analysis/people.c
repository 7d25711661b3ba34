#include "analysis/people.h"

#include "analysis/key_map.h"
#include "base/grow.h"

static size_t place_of_person(const ap_by *by, size_t by_count) {
    size_t k = 0;
    while (k < by_count && by[k] != AP_BY_ESTIMATOR) {
        k++;
    }
    return k;
}

static void key_of(uint32_t key[AP_WEIGHTS_BY_MAX], const ap_fact *fact, const ap_by *by, size_t by_count) {
    memset(key, 0, AP_WEIGHTS_BY_MAX * sizeof *key);
    for (size_t k = 0; k < by_count; k++) {
        key[k] = ap_fact_group(fact, by[k]);
    }
}

/* Picks of each group; counts[number] for the numbers of the map. */
static bool count_groups(ap_key_map *map, size_t **counts, const ap_roster *roster, size_t first, size_t end,
                         const ap_by *by, size_t by_count) {
    size_t room = 0;
    for (size_t i = first; i < end; i++) {
        uint32_t key[AP_WEIGHTS_BY_MAX];
        uint32_t number = 0;
        key_of(key, &roster->facts[i], by, by_count);
        if (!ap_key_map_add(map, key, &number)) {
            return false;
        }
        if (number >= room) {
            size_t *wider = ap_grown_to(*counts, &room, number, sizeof *wider);
            if (!wider) {
                return false;
            }
            *counts = wider;
        }
        (*counts)[number]++;
    }
    return true;
}

/* One label for all of them, with how many people it stands for. */
static uint32_t label_few(ap_roster *roster, const ap_key_map *map, const size_t *counts, size_t at) {
    uint32_t people = ap_intern_count(roster->labels[AP_BY_ESTIMATOR]);
    bool *seen = calloc((size_t)people + 1, sizeof *seen);
    size_t count = 0;
    for (size_t g = 0; seen && g < map->count; g++) {
        uint32_t person = map->keys[g][at];
        if (person && counts[g] < AP_PEOPLE_FEWEST && !seen[person]) {
            seen[person] = true;
            count++;
        }
    }
    ap_str label = ap_arena_printf(&roster->arena, "people with fewer than %d picks (%zu)", AP_PEOPLE_FEWEST, count);
    uint32_t number = seen && count ? ap_intern_add(roster->labels[AP_BY_ESTIMATOR], label) : 0;
    free(seen);
    return number;
}

ap_status ap_people_merge(ap_roster *roster, size_t first, size_t end, const ap_by *by, size_t by_count,
                          ap_error *err) {
    size_t at = place_of_person(by, by_count);
    if (roster->names || at == by_count || first == end) {
        return AP_OK;
    }
    ap_key_map map = {0};
    size_t *counts = NULL;
    bool fine = count_groups(&map, &counts, roster, first, end, by, by_count);
    uint32_t few = fine ? label_few(roster, &map, counts, at) : 0;
    for (size_t i = first; few && i < end; i++) {
        ap_fact *fact = &roster->facts[i];
        uint32_t key[AP_WEIGHTS_BY_MAX];
        uint32_t number = 0;
        key_of(key, fact, by, by_count);
        if (key[at] && ap_key_map_find(&map, key, &number) && counts[number] < AP_PEOPLE_FEWEST) {
            ap_fact_set_group(fact, AP_BY_ESTIMATOR, few);
        }
    }
    free(counts);
    ap_key_map_release(&map);
    return fine ? ap_arena_check(&roster->arena, "the groups by person", err)
                : ap_error_set(err, AP_E_MEMORY, "out of memory for the groups by person");
}

void ap_people_blank_groups(ap_weight_table *table, const ap_roster *roster) {
    size_t at = place_of_person(table->by, table->by_count);
    for (size_t g = 0; !roster->names && at < table->by_count && g < table->count; g++) {
        ap_weight_group *group = &table->groups[g];
        if (group->key[at] && group->count < AP_PEOPLE_FEWEST) {
            group->median_ratio = group->median_log = group->mean_log_ratio = NAN;
            group->ratio_low = group->ratio_high = NAN;
            group->sd_log_ratio = group->sd_trees = NAN;
            group->share_heavier = group->worst_ratio = NAN;
            group->worst = SIZE_MAX;
            group->three_in_a_row = 0;
        }
    }
}

void ap_people_blank_months(ap_trend *trend, const ap_roster *roster) {
    size_t at = place_of_person(trend->by, trend->by_count);
    for (size_t s = 0; !roster->names && at < trend->by_count && s < trend->count; s++) {
        ap_trend_series *series = &trend->series[s];
        if (series->key[at] && series->count < AP_PEOPLE_FEWEST) {
            series->by_month = series->by_job = (ap_trend_line){0};
            series->has_change = series->has_change_test = series->has_run = false;
            series->signal_count = 0;
        }
        for (size_t m = 0; series->key[at] && m < series->month_count; m++) {
            ap_trend_month *month = &series->months[m];
            if (month->count < AP_PEOPLE_FEWEST) {
                month->median_log = month->bias_log = NAN;
                month->low_log = month->high_log = NAN;
                month->spread_log = month->share_heavier = NAN;
            }
        }
    }
}

bool ap_people_hides(const ap_roster *roster, const ap_pooled_level *level, const ap_pooled_cell *cell) {
    size_t at = place_of_person(level->by, level->by_count);
    return !roster->names && at < level->by_count && cell->key[at] && cell->count < AP_PEOPLE_FEWEST;
}

size_t ap_people_hidden(const ap_roster *roster, const ap_pooled_level *level) {
    size_t hidden = 0;
    for (size_t c = 0; c < level->cell_count; c++) {
        hidden += ap_people_hides(roster, level, &level->cells[c]);
    }
    return hidden;
}
