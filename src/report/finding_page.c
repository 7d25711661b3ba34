#include "report/finding_page.h"

#include "report/finding_say.h"

ap_status ap_finding_kept_read(ap_finding_kept *out, ap_arena *arena, ap_book *book, int64_t id, ap_error *err) {
    *out = (ap_finding_kept){0};
    ap_status status = ap_book_finding_get(&out->row, arena, book, id, err);
    if (status == AP_OK) {
        status = ap_book_finding_picks(&out->picks, &out->pick_count, arena, book, id, err);
    }
    return status == AP_OK ? ap_book_finding_history(&out->changes, &out->change_count, arena, book, id, err) : status;
}

/* The detector's number by its name; AP_DETECT_COUNT when the program no longer has it. */
static ap_detector_id detector_of(ap_str name) {
    int d = 0;
    while (d < AP_DETECT_COUNT && !ap_str_equal_word(name, ap_detector_name((ap_detector_id)d))) {
        d++;
    }
    return (ap_detector_id)d;
}

static void put_picks(ap_doc *doc, const ap_finding_kept *kept) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("pick"), .label = AP_STR_LIT("pick"), .kind = AP_CELL_PICK},
        {.key = AP_STR_LIT("date"), .label = AP_STR_LIT("date"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("species"), .label = AP_STR_LIT("species"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("crew"), .label = AP_STR_LIT("crew"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("crane"), .label = AP_STR_LIT("crane"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("remark"), .label = AP_STR_LIT("remark"), .kind = AP_CELL_TEXT},
    };
    ap_str caption =
        (int64_t)kept->pick_count < kept->row.picks
            ? ap_doc_printf(doc, "The first and the last of the %lld picks it rests on", (long long)kept->row.picks)
            : AP_STR_LIT("Picks it rests on");
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("picks"), caption, columns, sizeof columns / sizeof columns[0]);
    for (size_t p = 0; p < kept->pick_count; p++) {
        const ap_finding_pick *pick = &kept->picks[p];
        ap_table_row(table);
        ap_table_text(table, pick->name);
        ap_table_date(table, pick->date);
        ap_table_text(table, pick->species);
        ap_table_text(table, pick->crew);
        ap_table_text(table, pick->crane);
        ap_table_text(table, pick->there ? AP_STR_NONE : AP_STR_LIT("no longer in the book"));
    }
}

void ap_finding_page(ap_doc *doc, const ap_finding_kept *kept, const ap_rule_limits *limits,
                     const ap_settings *settings) {
    const ap_finding_row *row = &kept->row;
    ap_detector_id detector = detector_of(row->detector);
    ap_str title = detector < AP_DETECT_COUNT ? ap_str_from(ap_detector_title(detector)) : row->detector;
    ap_doc_answer(doc, ap_doc_printf(doc, "Finding %lld, %.*s, %.*s: %.*s", (long long)row->id, AP_STR_ARG(row->class),
                                     AP_STR_ARG(title), AP_STR_ARG(row->says)));
    ap_doc_list_item(doc, ap_doc_printf(doc, "State: %.*s.", AP_STR_ARG(row->state)));
    ap_doc_list_item(doc, ap_doc_printf(doc, "Found on %.*s; it last grew on %.*s.",
                                        AP_STR_ARG(ap_doc_date(doc, row->found_on)),
                                        AP_STR_ARG(ap_doc_date(doc, row->seen_on))));
    if (row->state_picks && row->picks > row->state_picks) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "It went on: %lld picks when its state was set, %lld now.",
                                            (long long)row->state_picks, (long long)row->picks));
    }
    const ap_rule *rule = ap_rule_find(row->detector);
    if (rule) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "Rule: %.*s.", AP_STR_ARG(ap_say_rule(doc, rule, limits, settings))));
    }
    if (detector < AP_DETECT_COUNT) {
        const ap_finding asked = {.detector = detector};
        ap_doc_list_item(doc, ap_doc_printf(doc, "To ask: %s", ap_ask_finding(&asked)));
    }
    bool all_there = true;
    for (size_t p = 0; p < kept->pick_count; p++) {
        all_there = all_there && kept->picks[p].there;
    }
    if (!kept->picks_told || !all_there) {
        put_picks(doc, kept);
    }
    for (size_t c = 0; c < kept->change_count; c++) {
        const ap_finding_change *change = &kept->changes[c];
        ap_str who = change->who.len ? change->who : AP_STR_LIT("role not given");
        ap_doc_list_item(doc, ap_doc_printf(doc, "%.*s: from %.*s to %.*s (%.*s): %.*s",
                                            AP_STR_ARG(ap_doc_date(doc, change->on)), AP_STR_ARG(change->old_state),
                                            AP_STR_ARG(change->new_state), AP_STR_ARG(who), AP_STR_ARG(change->why)));
    }
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
}

void ap_finding_json(ap_json *json, const ap_finding_kept *kept) {
    const ap_finding_row *row = &kept->row;
    ap_json_object_begin(json);
    ap_json_put_int(json, "number", row->id);
    ap_json_put_text(json, "detector", row->detector);
    ap_json_put_text(json, "class", row->class);
    ap_json_put_text(json, "scope", row->scope);
    ap_json_put_text(json, "says", row->says);
    ap_json_key(json, "picks");
    ap_json_array_begin(json);
    for (size_t p = 0; p < kept->pick_count; p++) {
        ap_json_text(json, kept->picks[p].name);
    }
    ap_json_array_end(json);
    ap_json_put_int(json, "rests_on_picks", row->picks);
    ap_json_put_date(json, "last", row->last_date);
    ap_json_put_date(json, "found_on", row->found_on);
    ap_json_put_date(json, "grew_on", row->seen_on);
    ap_json_put_text(json, "state", row->state);
    ap_json_put_date(json, "state_on", row->state_on);
    ap_json_put_bool(json, "went_on", row->state_picks && row->picks > row->state_picks);
    ap_json_key(json, "history");
    ap_json_array_begin(json);
    for (size_t c = 0; c < kept->change_count; c++) {
        const ap_finding_change *change = &kept->changes[c];
        ap_json_object_begin(json);
        ap_json_put_text(json, "old_state", change->old_state);
        ap_json_put_text(json, "new_state", change->new_state);
        ap_json_put_date(json, "on", change->on);
        ap_json_put_text(json, "who", change->who);
        ap_json_put_text(json, "why", change->why);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}
