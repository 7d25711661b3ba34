#include "report/findings_page.h"

enum { PICKS_SHOWN = 8 };

/* "J231/17", or "J231/17, J231/18 and 4 more". */
static ap_str picks_in_words(ap_doc *doc, const ap_roster *roster, const ap_finding *finding) {
    ap_str text = ap_str_from(roster->facts[finding->picks[0]].name);
    for (size_t i = 1; i < finding->pick_count && i < PICKS_SHOWN; i++) {
        text = ap_doc_printf(doc, "%.*s, %s", AP_STR_ARG(text), roster->facts[finding->picks[i]].name);
    }
    if (finding->pick_count > PICKS_SHOWN) {
        text = ap_doc_printf(doc, "%.*s and %zu more", AP_STR_ARG(text), finding->pick_count - PICKS_SHOWN);
    }
    return text;
}

void ap_findings_table(ap_doc *doc, const char *id, const ap_roster *roster, const ap_finding_list *findings) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("class"), .label = AP_STR_LIT("class"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("detector"), .label = AP_STR_LIT("what"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("says"), .label = AP_STR_LIT("says"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("last"), .label = AP_STR_LIT("last on"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("picks"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, ap_str_from(id), AP_STR_LIT("Findings, the gravest first"), columns,
                                   sizeof columns / sizeof columns[0]);
    ap_table_empty(table, AP_STR_LIT("no detector found anything in these picks"));
    for (size_t i = 0; i < findings->count; i++) {
        const ap_finding *finding = &findings->items[i];
        ap_table_row(table);
        ap_table_text(table, ap_str_from(ap_finding_class_name(finding->class)));
        ap_table_text(table, ap_str_from(ap_detector_title(finding->detector)));
        ap_table_text(table, ap_say_finding(doc, roster, finding));
        ap_table_date(table, finding->last);
        ap_table_text(table, picks_in_words(doc, roster, finding));
        if (finding->detector == AP_DETECT_OVER_CHART || finding->detector == AP_DETECT_TOWARD_PERSON) {
            ap_table_row_mark(table, AP_STR_LIT("look first"));
        }
    }
}

ap_str ap_findings_chance(ap_doc *doc, const ap_run_chance *chance, const ap_settings *settings) {
    if (isnan(chance->expected)) {
        return AP_STR_LIT("Too few weighed picks to say how often chance alone makes such a run.");
    }
    bool seldom = chance->expected < 0.05;
    return ap_doc_printf(doc,
                         "Chance alone makes %.0f heavier picks in a row about once in %.*s weighed picks, even with "
                         "plans that are right on "
                         "average (spread %.0f %%); with %.*s over estimators, crews, species and cuts, %s%.1f such "
                         "runs would be expected here "
                         "without any cause. Picks of one tree are alike, so that the true rate is higher.",
                         settings->run_length,
                         AP_STR_ARG(chance->picks_per_alarm > 1e6
                                        ? AP_STR_LIT("more than a million")
                                        : ap_doc_count(doc, floor(chance->picks_per_alarm + 0.5))),
                         (exp(chance->sd) - 1) * 100, AP_STR_ARG(ap_say_count(doc, chance->looks, "look")),
                         seldom ? "fewer than " : "about ", seldom ? 0.1 : chance->expected);
}

static size_t count_class(const ap_finding_list *findings, ap_finding_class class) {
    size_t count = 0;
    for (size_t i = 0; i < findings->count; i++) {
        count += findings->items[i].class == class;
    }
    return count;
}

void ap_findings_page(ap_doc *doc, const ap_roster *roster, const ap_finding_list *findings,
                      const ap_run_chance *chance, ap_period period, bool as_table) {
    size_t first;
    size_t end;
    ap_roster_slice(roster, period.since, period.until, &first, &end);
    size_t certain = count_class(findings, AP_FINDING_CERTAIN);
    ap_doc_answer(doc,
                  ap_doc_printf(doc, "%zu certain and %zu likely finding%s in %zu picks.", certain,
                                findings->count - certain, findings->count - certain == 1 ? "" : "s", end - first));
    if (as_table) {
        ap_findings_table(doc, "findings", roster, findings);
        return;
    }
    for (size_t i = 0; i < findings->count; i++) {
        const ap_finding *finding = &findings->items[i];
        char last[AP_ISO_SIZE];
        ap_date_to_iso(last, finding->last);
        ap_doc_alert(
            doc, ap_str_from(ap_detector_title(finding->detector)), ap_str_from(roster->facts[finding->picks[0]].name),
            finding->pick_count == 1
                ? ap_doc_printf(doc, "%s: %.*s", last, AP_STR_ARG(ap_say_finding(doc, roster, finding)))
                : ap_doc_printf(doc, "%s: %.*s Picks: %.*s.", last, AP_STR_ARG(ap_say_finding(doc, roster, finding)),
                                AP_STR_ARG(picks_in_words(doc, roster, finding))));
    }
    if (findings->count > certain) {
        ap_doc_paragraph(doc, ap_findings_chance(doc, chance, &roster->settings));
    }
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
}

void ap_findings_json(ap_json *json, ap_doc *doc, const ap_roster *roster, const ap_finding_list *findings,
                      const ap_run_chance *chance, ap_period period) {
    ap_json_object_begin(json);
    ap_json_put_period(json, period);
    ap_json_key(json, "findings");
    ap_json_array_begin(json);
    for (size_t i = 0; i < findings->count; i++) {
        const ap_finding *finding = &findings->items[i];
        ap_json_object_begin(json);
        ap_json_put_text(json, "detector", ap_str_from(ap_detector_name(finding->detector)));
        ap_json_put_text(json, "class", ap_str_from(ap_finding_class_name(finding->class)));
        ap_json_put_text(json, "scope", finding->scope);
        ap_json_key(json, "picks");
        ap_json_array_begin(json);
        for (size_t p = 0; p < finding->pick_count; p++) {
            ap_json_text(json, ap_str_from(roster->facts[finding->picks[p]].name));
        }
        ap_json_array_end(json);
        ap_json_put_date(json, "first", finding->first);
        ap_json_put_date(json, "last", finding->last);
        ap_json_put_text(json, "says", ap_say_finding(doc, roster, finding));
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_key(json, "chance");
    ap_json_object_begin(json);
    ap_json_put_number(json, "spread_log", chance->sd);
    ap_json_put_number(json, "picks_per_false_alarm", chance->picks_per_alarm);
    ap_json_put_int(json, "looks", (int64_t)chance->looks);
    ap_json_put_number(json, "false_alarms_expected", chance->expected);
    ap_json_object_end(json);
    ap_json_object_end(json);
}
