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
    SAME(rest->share_cut)
    SAME(rest->share_set_down)
    SAME(rest->volume_m3)
    SAME(rest->diameter_m)
    SAME(rest->planned_radius_m)
    SAME(rest->cut_radius_m)
    SAME(rest->set_down_radius_m)
    SAME(rest->movement_distance_m)
    SAME(rigging_kg)
    SAME(rest->lean_deg)
    SAME(rest->butt_up_m)
    SAME(rest->way_m)
    SAME(replanned_log)
    SAME(date)
    SAME(label_estimator)
    SAME(label_crew)
    SAME(label_crane)
    SAME(rest->label_setup)
    SAME(label_job)
    SAME(label_tree)
    SAME(label_species)
    SAME(label_month)
    SAME(rest->movement)
    SAME(label_cut)
    SAME(label_basis)
    SAME(label_piece)
    SAME(label_condition)
    SAME(label_foliage)
    SAME(compared)
    SAME(weighed_by)
    SAME(rest->slings)
    SAME(rest->re_rigs)
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
    SAME(no_tree)
#undef SAME
    return NULL;
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

bool same_roster(char what[200], const ap_roster *a, const ap_roster *b, bool named) {
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
        if (!member && named && strcmp(ap_roster_name(a, i), ap_roster_name(b, i)) != 0) {
            member = "name";
        }
        if (member) {
            snprintf(what, 200, "fact %zu: %s", i, member);
            return false;
        }
    }
    return same_labels(what, "people", a->people, b->people);
}
