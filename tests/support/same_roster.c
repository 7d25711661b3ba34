#include "support/same_roster.h"

static bool same(double a, double b) {
    return a == b || (isnan(a) && isnan(b));
}

static const char *differs(const ap_fact *a, const ap_fact *b) {
#define SAME(member)                                                                                                   \
    if (!same((double)a->member, (double)b->member)) {                                                                 \
        return #member;                                                                                                \
    }
    SAME(planned_net_kg)
    SAME(measured_net_kg)
    SAME(log_error)
    SAME(hook_kg)
    SAME(share_planned)
    SAME(share_cut)
    SAME(share_set_down)
    SAME(volume_m3)
    SAME(diameter_m)
    SAME(planned_radius_m)
    SAME(cut_radius_m)
    SAME(set_down_radius_m)
    SAME(movement_distance_m)
    SAME(rigging_kg)
    SAME(lean_deg)
    SAME(butt_up_m)
    SAME(way_m)
    SAME(replanned_log)
    SAME(date)
    SAME(label_estimator)
    SAME(label_crew)
    SAME(label_crane)
    SAME(label_setup)
    SAME(label_job)
    SAME(label_tree)
    SAME(label_species)
    SAME(label_month)
    SAME(movement)
    SAME(label_cut)
    SAME(label_basis)
    SAME(label_piece)
    SAME(label_condition)
    SAME(label_foliage)
    SAME(compared)
    SAME(weighed_by)
    SAME(slings)
    SAME(re_rigs)
    SAME(wood)
    SAME(marks)
    SAME(wood_class)
    SAME(toward)
    SAME(near_miss)
    SAME(kerf)
    SAME(over_chart)
    SAME(planned_over_chart)
    SAME(toward_person)
    SAME(rigging_assumed)
    SAME(damage_noted)
#undef SAME
    return strcmp(a->name, b->name) != 0 ? "name" : NULL;
}

static bool same_labels(char what[200], const char *name, const ap_intern *a, const ap_intern *b) {
    if (ap_intern_count(a) != ap_intern_count(b)) {
        snprintf(what, 200, "%s: %u and %u labels", name, ap_intern_count(a), ap_intern_count(b));
        return false;
    }
    for (uint32_t i = 1; i <= ap_intern_count(a); i++) {
        if (!ap_str_equal(ap_intern_get(a, i), ap_intern_get(b, i))) {
            snprintf(what, 200, "%s: label %u is '%.*s' and '%.*s'", name, i, AP_STR_ARG(ap_intern_get(a, i)),
                     AP_STR_ARG(ap_intern_get(b, i)));
            return false;
        }
    }
    return true;
}

bool same_roster(char what[200], const ap_roster *a, const ap_roster *b) {
    what[0] = '\0';
    if (a->count != b->count || a->trees_assumed != b->trees_assumed) {
        snprintf(what, 200, "%zu and %zu picks, %zu and %zu trees assumed", a->count, b->count, a->trees_assumed,
                 b->trees_assumed);
        return false;
    }
    for (int by = 0; by < AP_BY_COUNT; by++) {
        if (!same_labels(what, ap_by_name((ap_by)by), a->labels[by], b->labels[by])) {
            return false;
        }
    }
    for (size_t i = 0; i < a->count; i++) {
        const char *member = differs(&a->facts[i], &b->facts[i]);
        if (member) {
            snprintf(what, 200, "fact %zu ('%s', '%s'): %s", i, a->facts[i].name, b->facts[i].name, member);
            return false;
        }
    }
    return same_labels(what, "people", a->people, b->people);
}
