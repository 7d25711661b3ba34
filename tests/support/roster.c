#include "support/roster.h"

void check_roster_init(ap_roster *roster) {
    memset(roster, 0, sizeof *roster);
    ap_arena_init(&roster->arena, 64u << 20);
    ap_settings_defaults(&roster->settings);
    roster->until = AP_DATE_NONE;
    for (int by = 0; by < AP_BY_COUNT; by++) {
        roster->labels[by] = ap_intern_new(&roster->arena);
        assert_non_null(roster->labels[by]);
    }
}

ap_fact *check_roster_add(ap_roster *roster, const char *name, ap_date date, double ratio, const char *species,
                          const char *cut, const char *estimator, const char *tree) {
    if (roster->count == roster->cap) {
        roster->cap = roster->cap ? roster->cap * 2 : 64;
        roster->facts = realloc(roster->facts, roster->cap * sizeof *roster->facts);
        assert_non_null(roster->facts);
    }
    ap_fact *fact = &roster->facts[roster->count++];
    memset(fact, 0, sizeof *fact);
    fact->rest = ap_arena_alloc(&roster->arena, sizeof *fact->rest);
    assert_non_null(fact->rest);
    ap_fact_rest_blank(fact->rest);
    fact->rest->name = ap_arena_cstr(&roster->arena, ap_str_from(name));
    fact->date = date;
    fact->log_error = log(ratio);
    fact->compared = isnan(ratio) ? AP_NOT_WEIGHED : AP_COMPARED;
    fact->marks = fabs(fact->log_error) < 1e-12 ? AP_MARK_REPEATS_PLAN : 0;
    fact->planned_net_kg = 1000;
    fact->measured_net_kg = 1000 * ratio;
    fact->share_planned = fact->hook_kg = NAN;
    ap_fact_set_group(fact, AP_BY_SPECIES, ap_intern_add(roster->labels[AP_BY_SPECIES], ap_str_from(species)));
    ap_fact_set_group(fact, AP_BY_CUT, ap_intern_add(roster->labels[AP_BY_CUT], ap_str_from(cut)));
    ap_fact_set_group(fact, AP_BY_ESTIMATOR, ap_intern_add(roster->labels[AP_BY_ESTIMATOR], ap_str_from(estimator)));
    ap_fact_set_group(fact, AP_BY_TREE, ap_intern_add(roster->labels[AP_BY_TREE], ap_str_from(tree)));
    return fact;
}
