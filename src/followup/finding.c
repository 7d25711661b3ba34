#include "followup/finding.h"

static const struct {
    const char *name;
    const char *title;
    const char *rule;
} detectors[AP_DETECT_COUNT] = {
    [AP_DETECT_DAMAGE] = {"damage-noted", "Damage or injury noted", "damage or injury is noted on the pick"},
    [AP_DETECT_NEAR_MISS] = {"near-miss-logged", "Logged as a near miss", "the log itself calls the pick a near miss"},
    [AP_DETECT_OVER_CHART] =
        {"over-chart", "Over chart",
         "hook load above the rated capacity at the cut or at set-down, or planned above it and not weighed"},
    [AP_DETECT_TOWARD_PERSON] = {"toward-person", "Moved toward a person",
                                 "the climber or the crew is logged as where the piece went when it parted"},
    [AP_DETECT_THIN_MARGIN] = {"thin-margin", "Thin margin",
                               "hook load past the company's second band of rated capacity, and not over chart"},
    [AP_DETECT_HEAVIER_RUN] = {"heavier-run", "Heavier than planned, again and again",
                               "weighed picks in a row heavier than planned by more than 10 %"},
    [AP_DETECT_SURPRISE] = {"heavy-surprise", "Heavy surprise",
                            "one pick far heavier than planned for its kind, or heavier by more than 25 % and past the "
                            "first band of rated capacity"},
};

const char *ap_finding_class_name(ap_finding_class class) {
    return class == AP_FINDING_CERTAIN ? "certain" : "likely";
}

const char *ap_detector_name(ap_detector_id detector) {
    return detectors[detector].name;
}

const char *ap_detector_title(ap_detector_id detector) {
    return detectors[detector].title;
}

const char *ap_detector_rule(ap_detector_id detector) {
    return detectors[detector].rule;
}

void ap_finding_list_init(ap_finding_list *list, ap_arena *arena) {
    memset(list, 0, sizeof *list);
    list->arena = arena;
}

ap_status ap_finding_add(ap_finding_list *list, const ap_finding *finding, ap_error *err) {
    if (list->count == list->cap) {
        size_t cap = list->cap ? list->cap * 2 : 32;
        ap_finding *grown = ap_arena_alloc_array(list->arena, cap, sizeof *grown);
        if (!grown) {
            return ap_arena_check(list->arena, "the findings", err);
        }
        if (list->items) {
            memcpy(grown, list->items, list->count * sizeof *grown);
        }
        list->items = grown;
        list->cap = cap;
    }
    size_t *picks = ap_arena_alloc_array(list->arena, finding->pick_count + 1, sizeof *picks);
    if (!picks) {
        return ap_arena_check(list->arena, "the findings", err);
    }
    memcpy(picks, finding->picks, finding->pick_count * sizeof *picks);
    ap_finding *copy = &list->items[list->count++];
    *copy = *finding;
    copy->picks = picks;
    copy->scope = ap_arena_str(list->arena, finding->scope);
    return ap_arena_check(list->arena, "the findings", err);
}

ap_status ap_finding_add_pick(ap_finding_list *list, ap_detector_id detector, size_t pick, ap_date date, double value,
                              double rank, ap_error *err) {
    const ap_finding finding = {.detector = detector,
                                .class = AP_FINDING_CERTAIN,
                                .picks = &pick,
                                .pick_count = 1,
                                .first = date,
                                .last = date,
                                .value = value,
                                .z = NAN,
                                .rank = rank};
    return ap_finding_add(list, &finding, err);
}

static int reading_order(const void *left, const void *right) {
    const ap_finding *a = left;
    const ap_finding *b = right;
    if (a->class != b->class) {
        return a->class < b->class ? -1 : 1;
    }
    if (a->rank < b->rank || a->rank > b->rank) {
        return a->rank < b->rank ? 1 : -1;
    }
    if (a->first != b->first) {
        return a->first < b->first ? -1 : 1;
    }
    return (a->picks[0] > b->picks[0]) - (a->picks[0] < b->picks[0]);
}

void ap_finding_sort(ap_finding_list *list) {
    if (list->count > 1) {
        qsort(list->items, list->count, sizeof *list->items, reading_order);
    }
}
