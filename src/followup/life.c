#include "followup/life.h"

enum { SCOPES_MOST = 9 };

static size_t scopes_of(const char *scopes[SCOPES_MOST], const ap_finding *finding, const ap_life_groups *groups) {
    size_t count = 0;
    scopes[count++] = finding->kind; /* L1 */
    for (size_t g = 0; g < groups->count && count < SCOPES_MOST; g++) {
        if (finding->groups >> g & 1) {
            scopes[count++] = groups->names[g]; /* L2 */
        }
    }
    return count;
}

static ap_finding_state state_of(ap_str name) {
    for (int state = 0; state < AP_FINDING_STATES; state++) {
        if (ap_str_equal_word(name, ap_finding_state_name((ap_finding_state)state))) {
            return (ap_finding_state)state;
        }
    }
    return AP_FINDING_NEW;
}

static ap_status look_up(ap_finding_row *row, ap_finding *finding, ap_arena *arena, ap_book *book,
                         const ap_roster *roster, const ap_life_groups *groups, ap_date today, ap_error *err) {
    const char *scopes[SCOPES_MOST];
    size_t count = scopes_of(scopes, finding, groups);
    ap_str detector = ap_str_from(ap_detector_name(finding->detector));
    ap_str first = ap_str_from(roster->facts[finding->picks[0]].rest->name);
    ap_status status = ap_book_finding_same(row, arena, book, detector, first, scopes, count, err);
    if (status == AP_OK && row->id == 0 && finding->also_kind) { /* L5 */
        first = ap_str_from(roster->facts[finding->also_first].rest->name);
        status = ap_book_finding_same(row, arena, book, detector, first, &finding->also_kind, 1, err);
    }
    if (status == AP_OK && row->id) {
        finding->number = row->id;
        finding->state = state_of(row->state);
        finding->seen_before = row->found_on < today;
        finding->state_on = row->state_on;
        finding->why = row->why;
        finding->went_on = row->state_picks > 0 && (int64_t)finding->rests_on > row->state_picks; /* L4 */
    }
    return status;
}

ap_status ap_life_recognise(ap_finding_list *findings, ap_book *book, const ap_roster *roster,
                            const ap_life_groups *groups, ap_date today, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = 0; i < findings->count && i < AP_LIFE_KEPT_MOST && status == AP_OK; i++) {
        ap_finding_row row;
        status = look_up(&row, &findings->items[i], findings->arena, book, roster, groups, today, err);
    }
    return status;
}

static ap_status keep(ap_finding *finding, ap_finding_row *row, ap_book *book, const ap_roster *roster, ap_str says,
                      ap_date today, ap_error *err) {
    ap_str names[AP_FINDING_PICKS_MAX];
    for (size_t p = 0; p < finding->pick_count; p++) {
        names[p] = ap_str_from(roster->facts[finding->picks[p]].rest->name);
    }
    row->detector = ap_str_from(ap_detector_name(finding->detector));
    row->scope = ap_str_from(finding->kind);
    row->first_pick = names[0];
    row->last_pick = names[finding->pick_count - 1];
    row->last_date = finding->last;
    row->class = ap_str_from(ap_finding_class_name(finding->class));
    row->says = says;
    row->picks = (int64_t)finding->rests_on;
    return ap_book_finding_keep(&finding->number, book, row, names, finding->pick_count, today, err);
}

ap_status ap_life_keep(ap_finding_list *findings, ap_book *book, const ap_roster *roster, const ap_life_groups *groups,
                       ap_finding_says says, void *context, ap_date today, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = 0; i < findings->count && i < AP_LIFE_KEPT_MOST && status == AP_OK; i++) {
        ap_finding *finding = &findings->items[i];
        ap_finding_row row;
        status = look_up(&row, finding, findings->arena, book, roster, groups, today, err);
        const char *last = roster->facts[finding->picks[finding->pick_count - 1]].rest->name;
        bool same = row.id && row.picks == (int64_t)finding->rests_on && ap_str_equal_word(row.last_pick, last);
        same = same || (row.id && finding->last < row.last_date); /* an earlier month looked at again sees less of it */
        if (status == AP_OK && !same) {
            status = keep(finding, &row, book, roster, says(context, finding), today, err);
        }
    }
    return status;
}
