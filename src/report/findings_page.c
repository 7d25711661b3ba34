#include "report/findings_page.h"

#include "nearmiss/rank.h"
#include "report/recon_page.h"

size_t ap_findings_count(const ap_finding_list *findings, ap_finding_class class) {
    size_t count = 0;
    for (size_t i = 0; i < findings->count; i++) {
        count += findings->items[i].class == class;
    }
    return class == AP_FINDING_CERTAIN ? count + ap_finding_left_out(findings) : count;
}

ap_str ap_say_findings_count(ap_doc *doc, const ap_findings_told *told) {
    size_t first;
    size_t end;
    ap_roster_slice(told->roster, told->period.since, told->period.until, &first, &end);
    size_t certain = ap_findings_count(told->findings, AP_FINDING_CERTAIN);
    size_t likely = ap_findings_count(told->findings, AP_FINDING_LIKELY);
    size_t left_out = ap_finding_left_out(told->findings);
    size_t open = 0;
    for (size_t i = 0; i < told->findings->count; i++) {
        open += told->findings->items[i].number && !ap_finding_is_settled(&told->findings->items[i]);
    }
    ap_str settled = told->findings->count && open && open < told->findings->count
                         ? ap_doc_printf(doc, "; %zu of them open", open)
                         : AP_STR_LIT("");
    ap_str counted = left_out == 0
                         ? AP_STR_LIT("")
                         : ap_doc_printf(doc,
                                         " Of the certain ones the gravest %d of each kind are listed; %zu are "
                                         "counted only: look at a shorter period.",
                                         AP_FINDING_CERTAIN_MOST, left_out);
    if (end == first) {
        return AP_STR_LIT("No finding: the book holds no pick of this period.");
    }
    ap_str found = certain && likely  ? ap_doc_printf(doc, "%zu certain and %zu likely finding%s", certain, likely,
                                                     likely == 1 ? "" : "s")
                   : certain + likely ? ap_doc_printf(doc, "%zu %s finding%s", certain + likely,
                                                      certain ? "certain" : "likely", certain + likely == 1 ? "" : "s")
                                      : AP_STR_LIT("No finding");
    return ap_doc_printf(doc, "%.*s in %.*s%.*s.%.*s", AP_STR_ARG(found),
                         AP_STR_ARG(ap_say_count(doc, end - first, "pick")), AP_STR_ARG(settled), AP_STR_ARG(counted));
}

/* Under a heading that says so already. */
static ap_str without_could_have(ap_str says) {
    const ap_str opens = AP_STR_LIT("Could have been ");
    return ap_str_starts(says, opens) ? (ap_str){says.ptr + opens.len, says.len - opens.len} : says;
}

/* What all its picks have in common, "several" when they differ. */
static ap_str common_label(const ap_roster *roster, const ap_finding *finding, ap_by by) {
    uint32_t key = finding->pick_count ? ap_fact_group(&roster->facts[finding->picks[0]], by) : 0;
    for (size_t p = 1; p < finding->pick_count; p++) {
        if (ap_fact_group(&roster->facts[finding->picks[p]], by) != key) {
            return AP_STR_LIT("several");
        }
    }
    return ap_roster_label(roster, by, key);
}

size_t ap_findings_table(ap_doc *doc, const char *id, const ap_findings_told *told, size_t most) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("number"), .label = AP_STR_LIT("no."), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("class"), .label = AP_STR_LIT("class"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("detector"), .label = AP_STR_LIT("what"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("says"), .label = AP_STR_LIT("says"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("could_have"), .label = AP_STR_LIT("what could have been"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("chance"), .label = AP_STR_LIT("by chance"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("last"), .label = AP_STR_LIT("last on"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("picks"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("species"), .label = AP_STR_LIT("species"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("crew"), .label = AP_STR_LIT("crew"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("ask"), .label = AP_STR_LIT("what to ask"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("state"), .label = AP_STR_LIT("state"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, ap_str_from(id), AP_STR_LIT("Findings, the gravest first"), columns,
                                   sizeof columns / sizeof columns[0]);
    ap_table_has_marks(table);
    ap_table_empty(table, AP_STR_LIT("no detector found anything in these picks"));
    size_t of_class[2] = {0, 0};
    for (size_t i = 0; i < told->findings->count; i++) {
        const ap_finding *finding = &told->findings->items[i];
        bool certain = finding->class == AP_FINDING_CERTAIN;
        if (of_class[certain] == most) {
            continue;
        }
        of_class[certain]++;
        ap_table_row(table);
        ap_table_value(table, finding->number ? (double)finding->number : (double)NAN);
        ap_table_text(table, ap_str_from(ap_finding_class_name(finding->class)));
        ap_table_link(table, ap_str_from(ap_detector_title(finding->detector)),
                      told->pages && finding->number
                          ? ap_doc_printf(doc, "%sfinding-%lld.html", told->pages, (long long)finding->number)
                          : AP_STR_NONE);
        ap_table_text(table, ap_say_finding(doc, told->roster, finding));
        ap_table_text(table, without_could_have(ap_say_could_have(doc, told->roster, finding)));
        ap_table_text(table, certain ? AP_STR_NONE : ap_say_finding_chance(doc, told->chance, finding));
        ap_table_date(table, finding->last);
        ap_table_text(table, ap_say_finding_picks(doc, told->roster, finding));
        ap_table_text(table, common_label(told->roster, finding, AP_BY_SPECIES));
        ap_table_text(table, common_label(told->roster, finding, AP_BY_CREW));
        ap_table_text(table, ap_str_from(ap_ask_finding(finding)));
        ap_table_text(table, ap_say_finding_state(doc, finding));
        if (ap_finding_comes_first(finding)) {
            ap_table_row_mark(table, AP_STR_LIT("look first"));
        }
    }
    return of_class[false] + of_class[true];
}

void ap_findings_table_cut(ap_doc *doc, const char *id, const ap_findings_told *told, ap_arena *arena) {
    size_t shown = ap_findings_table(doc, id, told, AP_ROWS_MOST);
    ap_str rest = ap_say_rest(doc, arena, "findings", shown, told->findings->count, "findings", told->period);
    if (rest.ptr) {
        ap_doc_paragraph(doc, rest);
    }
}

static void put_finding(ap_doc *doc, const ap_findings_told *told, const ap_finding *finding) {
    char last[AP_ISO_SIZE];
    ap_date_to_iso(last, finding->last);
    ap_str says = ap_doc_printf(doc, "%s: %.*s", last, AP_STR_ARG(ap_say_finding(doc, told->roster, finding)));
    if (finding->rests_on > 1) {
        says = ap_doc_printf(doc, "%.*s Picks: %.*s.", AP_STR_ARG(says),
                             AP_STR_ARG(ap_say_finding_picks(doc, told->roster, finding)));
    }
    ap_str could_have = ap_say_could_have(doc, told->roster, finding);
    says = ap_doc_printf(doc, "%.*s %.*s", AP_STR_ARG(says), AP_STR_ARG(could_have));
    if (finding->class == AP_FINDING_LIKELY) {
        says = ap_doc_printf(doc, "%.*s (%.*s)", AP_STR_ARG(says),
                             AP_STR_ARG(ap_say_finding_chance(doc, told->chance, finding)));
    }
    ap_str state = ap_say_finding_state(doc, finding);
    ap_str title = ap_str_from(ap_detector_title(finding->detector));
    if (finding->number) {
        says = ap_doc_printf(doc, "%.*s [%lld, %.*s]", AP_STR_ARG(says), (long long)finding->number, AP_STR_ARG(state));
    }
    ap_doc_alert(doc, title, ap_str_from(told->roster->facts[finding->picks[0]].rest->name), says);
}

ap_str ap_say_clashes(ap_doc *doc, size_t count) {
    return ap_doc_printf(
        doc,
        "Slings as logged that cannot hold the piece: %.*s. A length or an attach point is wrong in the "
        "log, or the piece was slung otherwise; no rule judges these legs until the log is mended "
        "('afterpick amend').",
        AP_STR_ARG(ap_say_count(doc, count, "pick")));
}

static void put_clashes(ap_doc *doc, const ap_findings_told *told) {
    const ap_hung_clashes *clashes = told->clashes;
    ap_doc_paragraph(doc, ap_say_clashes(doc, clashes->count));
    for (size_t i = 0; i < clashes->count && i < AP_CLASHES_SHOWN; i++) {
        const ap_hung_clash *clash = &clashes->shown[i];
        ap_doc_list_item(doc, ap_doc_printf(doc, "%s: %.*s", told->roster->facts[clash->fact].rest->name,
                                            AP_STR_ARG(ap_say_recon_reason(doc, &clash->why))));
    }
    if (clashes->count > AP_CLASHES_SHOWN) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "and %zu more", clashes->count - AP_CLASHES_SHOWN));
    }
}

void ap_findings_page(ap_doc *doc, const ap_findings_told *told, bool as_table) {
    ap_doc_answer(doc, ap_say_findings_count(doc, told));
    if (as_table) {
        (void)ap_findings_table(doc, "findings", told, SIZE_MAX);
        return;
    }
    for (size_t i = 0; i < told->findings->count; i++) {
        put_finding(doc, told, &told->findings->items[i]);
    }
    ap_doc_paragraph(doc, ap_say_chance(doc, told->chance, told->limits));
    if (told->said) {
        ap_doc_paragraph(doc, ap_say_notes(doc, told->said));
    }
    if (told->clashes && told->clashes->count) {
        put_clashes(doc, told);
    }
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
}

static void put_clashes_json(ap_json *json, const ap_findings_told *told) {
    size_t count = told->clashes ? told->clashes->count : 0;
    ap_json_key(json, "slings_in_doubt");
    ap_json_array_begin(json);
    for (size_t i = 0; i < count && i < AP_CLASHES_SHOWN; i++) {
        const ap_hung_clash *clash = &told->clashes->shown[i];
        ap_buf why;
        ap_buf_init(&why, 4096);
        ap_recon_say_reason(&why, &clash->why);
        ap_json_object_begin(json);
        ap_json_put_text(json, "pick", ap_str_from(told->roster->facts[clash->fact].rest->name));
        ap_json_put_text(json, "why", ap_buf_str(&why));
        ap_json_object_end(json);
        ap_buf_release(&why);
    }
    ap_json_array_end(json);
    ap_json_put_int(json, "slings_in_doubt_total", (int64_t)count);
}

static void put_finding_json(ap_json *json, ap_doc *doc, const ap_findings_told *told, const ap_finding *finding) {
    ap_json_object_begin(json);
    ap_json_key(json, "number");
    if (finding->number) {
        ap_json_int(json, finding->number);
    } else {
        ap_json_null(json);
    }
    ap_json_put_text(json, "detector", ap_str_from(ap_detector_name(finding->detector)));
    ap_json_put_text(json, "class", ap_str_from(ap_finding_class_name(finding->class)));
    ap_json_put_text(json, "scope", finding->scope);
    ap_json_key(json, "picks");
    ap_json_array_begin(json);
    for (size_t p = 0; p < finding->pick_count; p++) {
        ap_json_text(json, ap_str_from(told->roster->facts[finding->picks[p]].rest->name));
    }
    ap_json_array_end(json);
    ap_json_put_int(json, "rests_on_picks", (int64_t)finding->rests_on);
    ap_json_put_date(json, "first", finding->first);
    ap_json_put_date(json, "last", finding->last);
    ap_json_put_text(json, "says", ap_say_finding(doc, told->roster, finding));
    const char *severity = ap_severity_name(finding->severity);
    const char *probability = ap_probability_name(finding->probability);
    const char *risk = ap_risk_name(finding->risk);
    ap_json_put_text(json, "severity", severity ? ap_str_from(severity) : AP_STR_NONE);
    ap_json_put_text(json, "probability", probability ? ap_str_from(probability) : AP_STR_NONE);
    ap_json_put_text(json, "risk", risk ? ap_str_from(risk) : AP_STR_NONE);
    ap_json_put_text(json, "could_have", ap_say_could_have(doc, told->roster, finding));
    if (finding->note.ptr) {
        ap_json_put_text(json, "note", finding->note);
        ap_json_put_int(json, "note_hit_at", (int64_t)finding->note_at);
        ap_json_put_int(json, "note_hit_bytes", (int64_t)finding->note_len);
        ap_json_put_text(json, "note_class", ap_str_from(ap_reason_name((ap_reason)finding->topic)));
    }
    ap_json_put_text(json, "ask", ap_str_from(ap_ask_finding(finding)));
    ap_json_put_number(json, "p", finding->p);
    ap_json_put_text(json, "state", ap_str_from(ap_finding_state_name(finding->state)));
    ap_json_put_bool(json, "seen_before", finding->seen_before);
    ap_json_put_bool(json, "went_on", finding->went_on);
    ap_json_put_text(json, "why", finding->why);
    ap_json_object_end(json);
}

static void put_chance_json(ap_json *json, const ap_chance *chance) {
    ap_json_object_begin(json);
    ap_json_put_number(json, "spread_log", chance->spread.sd);
    ap_json_put_number(json, "tree_sd_log", chance->spread.tree_sd);
    ap_json_put_number(json, "rest_sd_log", chance->spread.rest_sd);
    ap_json_put_bool(json, "spread_assumed", chance->spread.assumed);
    ap_json_put_int(json, "replications", (int64_t)chance->replications);
    ap_json_put_number(json, "false_alarms_expected", chance->expected);
    ap_json_key(json, "by_detector");
    ap_json_array_begin(json);
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        const ap_chance_line *line = &chance->line[d];
        if (line->looked) {
            ap_json_object_begin(json);
            ap_json_put_text(json, "detector", ap_str_from(ap_detector_name((ap_detector_id)d)));
            ap_json_put_int(json, "looks", (int64_t)line->looks);
            ap_json_put_number(json, "rule_limit", line->rule_limit);
            ap_json_put_number(json, "limit", line->limit);
            ap_json_put_number(json, "false_alarms_expected", line->expected);
            ap_json_put_number(json, "if_independent", line->independent);
            ap_json_put_int(json, "one_tree_groups", (int64_t)line->one_tree);
            ap_json_object_end(json);
        }
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}

void ap_findings_json(ap_json *json, ap_doc *doc, const ap_findings_told *told) {
    ap_json_object_begin(json);
    ap_json_put_period(json, told->period);
    ap_json_key(json, "findings");
    ap_json_array_begin(json);
    for (size_t i = 0; i < told->findings->count; i++) {
        put_finding_json(json, doc, told, &told->findings->items[i]);
    }
    ap_json_array_end(json);
    ap_json_put_int(json, "not_listed", (int64_t)ap_finding_left_out(told->findings));
    put_clashes_json(json, told);
    ap_json_key(json, "chance");
    put_chance_json(json, told->chance);
    ap_json_object_end(json);
}
