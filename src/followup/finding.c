#include "followup/finding.h"

static const struct {
    const char *name;
    const char *title;
    bool comes_first;
} detectors[AP_DETECT_COUNT] = {
    [AP_DETECT_DAMAGE] = {"damage-noted", "Damage or injury noted", true},
    [AP_DETECT_NEAR_MISS] = {"near-miss-logged", "Logged as a near miss", true},
    [AP_DETECT_OVER_CHART] = {"over-chart", "Over chart", true},
    [AP_DETECT_TOWARD_PERSON] = {"toward-person", "Moved toward a person", true},
    [AP_DETECT_THIN_MARGIN] = {"thin-margin", "Thin margin", false},
    [AP_DETECT_HEAVIER_RUN] = {"heavier-run", "Heavier than planned, again and again", false},
    [AP_DETECT_SURPRISE] = {"heavy-surprise", "Heavy surprise", false},
    [AP_DETECT_LEG] = {"leg", "Legs of the sling", false},
    [AP_DETECT_MOVED] = {"moved", "Moved when it parted", false},
    [AP_DETECT_SHOCK] = {"shock", "Shock on the line", true},
    [AP_DETECT_MARGIN_LOST] = {"margin-lost", "Margin lost between plan and pick", false},
    [AP_DETECT_DRIFT] = {"drift", "Plans running light", false},
    [AP_DETECT_OWN_CHANGE] = {"own-change", "Heavier than it used to be", false},
    [AP_DETECT_KERF] = {"kerf", "Kerf closed or opened", false},
    [AP_DETECT_RE_RIG] = {"re-rig", "Hook had to come back", false},
    [AP_DETECT_CLUSTER] = {"cluster", "Near misses close together", false},
    [AP_DETECT_SAID_SO] = {"said-so", "The notes sound like a near miss", false},
    [AP_DETECT_PENCIL] = {"pencil", "Weights to look at again", false},
    [AP_DETECT_SILENCE] = {"silence", "Less is written than before", false},
    [AP_DETECT_OTHERWISE] = {"not-as-predicted", "Not as worked out, more often", false},
};

const char *ap_finding_class_name(ap_finding_class class) {
    return class == AP_FINDING_CERTAIN ? "certain" : "likely";
}

bool ap_finding_is_settled(const ap_finding *finding) {
    return finding->state == AP_FINDING_DISMISSED && !finding->went_on;
}

const char *ap_detector_name(ap_detector_id detector) {
    return detectors[detector].name;
}

const char *ap_detector_title(ap_detector_id detector) {
    return detectors[detector].title;
}

bool ap_detector_comes_first(ap_detector_id detector) {
    return detectors[detector].comes_first;
}

bool ap_finding_comes_first(const ap_finding *finding) {
    bool bound_only = finding->detector == AP_DETECT_SHOCK && !(finding->reasons & AP_SHOCK_SEEN);
    bool leg_over = finding->detector == AP_DETECT_LEG && (finding->reasons & AP_LEG_OVER) != 0;
    bool kind = (detectors[finding->detector].comes_first && !bound_only) || leg_over;
    return finding->class == AP_FINDING_CERTAIN && kind && !ap_finding_is_settled(finding);
}

const char *ap_finding_state_name(ap_finding_state state) {
    static const char *const names[AP_FINDING_STATES] = {"new", "acknowledged", "dismissed", "written up"};
    return names[state];
}

void ap_finding_list_init(ap_finding_list *list, ap_arena *arena) {
    memset(list, 0, sizeof *list);
    list->arena = arena;
}

void ap_finding_list_judge(ap_finding_list *list, ap_finding_gravity gravity, const void *context) {
    list->gravity = gravity;
    list->context = context;
}

size_t ap_finding_left_out(const ap_finding_list *list) {
    size_t count = 0;
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        count += list->left_out[d];
    }
    return count;
}

static int falling(const void *left, const void *right) {
    double a = *(const double *)left;
    double b = *(const double *)right;
    return (a < b) - (a > b);
}

static void leave_out(ap_finding_list *list, const ap_finding *finding) {
    list->left_out[finding->detector]++;
    list->left_out_picks[finding->detector] += finding->pick_count;
}

/* Keeps the gravest of a detector's certain findings; the list stays in its order. */
static void prune(ap_finding_list *list, ap_detector_id detector) {
    double gravities[2 * AP_FINDING_CERTAIN_MOST];
    size_t count = 0;
    for (size_t i = 0; i < list->count; i++) {
        const ap_finding *finding = &list->items[i];
        if (finding->detector == detector && finding->class == AP_FINDING_CERTAIN) {
            gravities[count++] = finding->gravity;
        }
    }
    qsort(gravities, count, sizeof *gravities, falling);
    double floor = gravities[AP_FINDING_CERTAIN_MOST - 1];
    size_t ties = 1;
    while (ties < AP_FINDING_CERTAIN_MOST && !(gravities[AP_FINDING_CERTAIN_MOST - 1 - ties] > floor)) {
        ties++;
    }
    size_t kept = 0;
    for (size_t i = 0; i < list->count; i++) {
        const ap_finding *finding = &list->items[i];
        bool judged = finding->detector == detector && finding->class == AP_FINDING_CERTAIN;
        bool tied = judged && !(finding->gravity > floor) && !(finding->gravity < floor);
        if (judged && (finding->gravity < floor || (tied && ties == 0))) {
            leave_out(list, finding);
            continue;
        }
        ties -= tied;
        list->items[kept++] = *finding;
    }
    list->count = kept;
    list->certain[detector] = AP_FINDING_CERTAIN_MOST;
    list->floor[detector] = floor;
}

void ap_finding_bound(ap_finding_list *list) {
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        if (list->certain[d] > AP_FINDING_CERTAIN_MOST) {
            prune(list, (ap_detector_id)d);
        }
    }
}

/* Whether there is a place for it; makes one where it is worth one. Findings come in pick order: of equals the first stay. */
static bool has_place(ap_finding_list *list, const ap_finding *finding, double gravity) {
    ap_detector_id detector = finding->detector;
    if (list->left_out[detector] && !(gravity > list->floor[detector])) {
        leave_out(list, finding);
        return false;
    }
    if (list->certain[detector] == 2 * (size_t)AP_FINDING_CERTAIN_MOST) {
        prune(list, detector);
    }
    list->certain[detector]++;
    return true;
}

ap_status ap_finding_add(ap_finding_list *list, const ap_finding *finding, ap_error *err) {
    bool judged = list->gravity && finding->class == AP_FINDING_CERTAIN;
    double gravity = judged ? list->gravity(list->context, finding) : 0;
    if (judged && !has_place(list, finding, gravity)) {
        return AP_OK;
    }
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
    size_t kept = finding->pick_count < AP_FINDING_PICKS_MAX ? finding->pick_count : AP_FINDING_PICKS_MAX;
    size_t *picks = ap_arena_alloc_array(list->arena, kept + 1, sizeof *picks);
    if (!picks) {
        return ap_arena_check(list->arena, "the findings", err);
    }
    for (size_t i = 0; i < kept; i++) {
        picks[i] = finding->picks[i ? finding->pick_count - kept + i : 0];
    }
    ap_finding *copy = &list->items[list->count++];
    *copy = *finding;
    copy->gravity = gravity;
    copy->picks = picks;
    copy->pick_count = kept;
    copy->rests_on = finding->rests_on > finding->pick_count ? finding->rests_on : finding->pick_count;
    copy->kind = finding->kind ? finding->kind : "pick";
    copy->scope = ap_arena_str(list->arena, finding->scope);
    copy->note = ap_arena_str(list->arena, finding->note);
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
                                .p = NAN,
                                .rank = rank};
    return ap_finding_add(list, &finding, err);
}

static int reading_order(const void *left, const void *right) {
    const ap_finding *a = left;
    const ap_finding *b = right;
    if (ap_finding_is_settled(a) != ap_finding_is_settled(b)) {
        return ap_finding_is_settled(a) ? 1 : -1;
    }
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
