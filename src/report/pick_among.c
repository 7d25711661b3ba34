#include "report/pick_among.h"

#include "report/finding_say.h"
#include "report/similar_page.h"

/* A pattern is found in the month its last pick falls in: this pick's month is looked at, to its end. */
static ap_status find(ap_pick_among *among, ap_arena *arena, ap_book *book, ap_date date, ap_error *err) {
    ap_date since = ap_month_first(ap_month_index(date));
    ap_date until = ap_month_first(ap_month_index(date) + 1) - 1;
    ap_rule_limits limits;
    ap_hung_list hung = {0};
    ap_said_list said = {0};
    const ap_detect_given given = {&among->roster, &limits, &hung, &said};
    ap_finding_list_init(&among->findings, arena);
    ap_status status = ap_limits_read(&limits, book, err);
    if (status == AP_OK) {
        status = ap_hung_load(&hung, book, &among->roster, among->roster.facts, &limits, since, until, err);
    }
    if (status == AP_OK) {
        status = ap_said_read(&said, arena, book, &among->roster, since, until, err);
    }
    if (status == AP_OK) {
        status = ap_detect_all(&among->findings, NULL, &given, since, until, err);
    }
    ap_hung_release(&hung);
    return status;
}

ap_status ap_pick_among_read(ap_pick_among *out, ap_arena *arena, ap_book *book, ap_str name, ap_date date, bool names,
                             ap_error *err) {
    memset(out, 0, sizeof *out);
    ap_status status = ap_roster_load(&out->roster, book, AP_DATE_NONE, names, err);
    if (status != AP_OK) {
        return status;
    }
    out->fact = ap_roster_find(&out->roster, name);
    if (out->fact == SIZE_MAX) {
        return ap_error_set(err, AP_E_NOT_FOUND, "'%.*s' is not among the picks of the book", AP_STR_ARG(name));
    }
    status = ap_similar_find(&out->similar, &out->roster, out->fact, err);
    return status == AP_OK ? find(out, arena, book, date, err) : status;
}

void ap_pick_among_release(ap_pick_among *among) {
    ap_roster_release(&among->roster);
}

bool ap_pick_among_touches(const ap_pick_among *among, const ap_finding *finding) {
    for (size_t i = 0; i < finding->pick_count; i++) {
        if (finding->picks[i] == among->fact) {
            return true;
        }
    }
    return false;
}

void ap_pick_among_put(ap_doc *doc, const ap_pick_among *among) {
    size_t found = 0;
    ap_doc_section(doc, 2, AP_STR_LIT("similar"), AP_STR_LIT("Picks like it"));
    ap_similar_put(doc, &among->roster, among->fact, &among->similar);
    ap_doc_section(doc, 2, AP_STR_LIT("findings"), AP_STR_LIT("Findings that touch it"));
    for (size_t i = 0; i < among->findings.count; i++) {
        const ap_finding *finding = &among->findings.items[i];
        if (ap_pick_among_touches(among, finding)) {
            found++;
            ap_doc_list_item(doc, ap_doc_printf(doc, "%s (%s): %.*s", ap_detector_title(finding->detector),
                                                ap_finding_class_name(finding->class),
                                                AP_STR_ARG(ap_say_finding(doc, &among->roster, finding))));
        }
    }
    if (found == 0) {
        ap_doc_paragraph(doc, AP_STR_LIT("None of its month."));
    }
}

void ap_pick_among_json(ap_json *json, ap_doc *doc, const ap_pick_among *among) {
    ap_similar_json(json, &among->roster, &among->similar);
    ap_json_key(json, "findings");
    ap_json_array_begin(json);
    for (size_t i = 0; i < among->findings.count; i++) {
        const ap_finding *finding = &among->findings.items[i];
        if (ap_pick_among_touches(among, finding)) {
            ap_json_object_begin(json);
            ap_json_put_text(json, "detector", ap_str_from(ap_detector_name(finding->detector)));
            ap_json_put_text(json, "class", ap_str_from(ap_finding_class_name(finding->class)));
            ap_json_put_text(json, "says", ap_say_finding(doc, &among->roster, finding));
            ap_json_object_end(json);
        }
    }
    ap_json_array_end(json);
}
