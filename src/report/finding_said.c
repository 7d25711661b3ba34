#include "nearmiss/phrases.h"
#include "nearmiss/rank.h"
#include "report/finding_say.h"

ap_str ap_say_said_so(ap_doc *doc, const ap_finding *finding) {
    ap_str note = finding->note;
    ap_str before = {note.ptr, finding->note_at};
    ap_str hit = {note.ptr + finding->note_at, finding->note_len};
    ap_str behind = {hit.ptr + hit.len, note.len - finding->note_at - hit.len};
    ap_str also = AP_STR_LIT("");
    for (int r = 0; r < AP_REASON_COUNT; r++) {
        /* A phrase that says it was close, not why, adds nothing to one that does. */
        if (r != finding->topic && r != AP_REASON_UNCLEAR && finding->reasons >> r & 1) {
            also = ap_doc_printf(doc, "%.*s%s%s", AP_STR_ARG(also), also.len ? ", " : "; also ",
                                 ap_reason_words((ap_reason)r));
        }
    }
    ap_str more = finding->rests_on < 2
                      ? AP_STR_LIT("Not logged as a near miss: was it one?")
                      : ap_doc_printf(doc, "%zu notes of this job speak of it, none logged as a near miss: was one?",
                                      finding->rests_on);
    return ap_doc_printf(doc, "The notes say: \"%.*s[%.*s]%.*s\" (%s%.*s). %.*s", AP_STR_ARG(before), AP_STR_ARG(hit),
                         AP_STR_ARG(behind), ap_reason_words((ap_reason)finding->topic), AP_STR_ARG(also),
                         AP_STR_ARG(more));
}

/* "9.3", "fewer than 0.1". */
static ap_str expected_text(ap_doc *doc, double expected) {
    return expected < 0.05 ? AP_STR_LIT("fewer than 0.1")
                           : ap_doc_printf(doc, "about %.*s", AP_STR_ARG(ap_doc_number(doc, expected, 1)));
}

ap_str ap_say_pencil(ap_doc *doc, const ap_finding *finding) {
    ap_str expected = expected_text(doc, finding->rate_else * (double)finding->among);
    switch (finding->reasons) {
    case AP_PENCIL_REPEATS:
        return ap_doc_printf(doc,
                             "Weights that repeat the plan: %zu of %zu measured weights equal the planned one, %.*s "
                             "would be expected: %.*s.",
                             finding->rests_on, finding->among, AP_STR_ARG(expected), AP_STR_ARG(finding->scope));
    case AP_PENCIL_ENDING:
        return ap_doc_printf(doc,
                             "Weights heaped on one ending: %zu of %zu share their last digit, %.*s would be "
                             "expected: %.*s.",
                             finding->rests_on, finding->among, AP_STR_ARG(expected), AP_STR_ARG(finding->scope));
    default:
        return ap_doc_printf(
            doc,
            "The same weight %zu times in a row (%.*s): %.*s. Outside of such rows about %.*s of neighbours in a "
            "job are equal.",
            finding->rests_on, AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, finding->value, false)),
            AP_STR_ARG(finding->scope), AP_STR_ARG(ap_say_percent(doc, finding->rate_else)));
    }
}

ap_str ap_say_silence(ap_doc *doc, const ap_finding *finding) {
    switch (finding->reasons) {
    case AP_SILENCE_UNWEIGHED:
        return ap_doc_printf(doc, "Fewer picks weighed than before: %zu of %zu not weighed, earlier %.*s: %.*s.",
                             finding->rests_on, finding->among, AP_STR_ARG(ap_say_percent(doc, finding->rate_else)),
                             AP_STR_ARG(finding->scope));
    case AP_SILENCE_STOPPED:
        return ap_doc_printf(
            doc, "No pick logged for %.0f days after %.*s; before, about %.*s days with picks a week: %.*s.",
            finding->value, AP_STR_ARG(ap_doc_date(doc, finding->last)),
            AP_STR_ARG(ap_doc_number(doc, finding->rate_else * 7, 1)), AP_STR_ARG(finding->scope));
    default:
        return ap_doc_printf(
            doc,
            "None of %zu picks that went toward a person, dropped, were over chart or whose notes say so is "
            "logged as a near miss; other crews log %.*s of theirs: %.*s.",
            finding->among, AP_STR_ARG(ap_say_percent(doc, finding->rate_else)), AP_STR_ARG(finding->scope));
    }
}

static ap_str harm_text(ap_doc *doc, const ap_roster *roster, const ap_finding *finding) {
    static const char *const words[] = {
        [AP_HARM_PERSON] = "toward a person",
        [AP_HARM_STRUCTURE] = "toward a structure",
        [AP_HARM_CLEAR] = "moved where nothing was",
        [AP_HARM_DIRECTION_UNKNOWN] = "moved, where to is not logged",
        [AP_HARM_CAPACITY] = "by the share of rated capacity",
        [AP_HARM_KIND] = "by its kind",
        [AP_HARM_BLIND] = "harms nobody by itself, hides what could",
    };
    const ap_fact *fact = &roster->facts[finding->picks[0]];
    double mass = isnan(fact->measured_net_kg) ? fact->planned_net_kg : fact->measured_net_kg;
    bool by_mass = finding->harm >= AP_HARM_PERSON && finding->harm <= AP_HARM_DIRECTION_UNKNOWN;
    if (!by_mass) {
        return ap_str_from(words[finding->harm]);
    }
    ap_str weight = isnan(mass) ? AP_STR_LIT("weight unknown") : ap_doc_quantity(doc, AP_DIM_LOAD, mass, false);
    return ap_doc_printf(doc, "%.*s, %s", AP_STR_ARG(weight), words[finding->harm]);
}

ap_str ap_say_could_have(ap_doc *doc, const ap_roster *roster, const ap_finding *finding) {
    if (finding->harm == AP_HARM_NONE) {
        return AP_STR_NONE;
    }
    if (finding->severity == AP_SEVERITY_NONE) {
        return AP_STR_LIT("It happened: not ranked.");
    }
    return ap_doc_printf(doc, "Could have been %s (%.*s), %s (%zu of %zu picks): %s risk.",
                         ap_severity_name(finding->severity), AP_STR_ARG(harm_text(doc, roster, finding)),
                         ap_probability_name(finding->probability), finding->kind_picks, finding->kind_of,
                         ap_risk_name(finding->risk));
}

ap_str ap_say_notes(ap_doc *doc, const ap_said_list *said) {
    if (said->notes == 0) {
        return AP_STR_LIT("No pick but those logged as a near miss has a note to search for words of one.");
    }
    ap_str says =
        ap_doc_printf(doc,
                      "Notes of picks not logged as a near miss that were searched for words of one: %zu. No hit is no "
                      "all-clear. Notes are shown as written, names in them too.",
                      said->notes);
    if (said->cut_short) {
        says = ap_doc_printf(doc, "%.*s Longer than %d KiB, so that only the beginning was searched: %zu.",
                             AP_STR_ARG(says), AP_PHRASE_NOTE_MAX / 1024, said->cut_short);
    }
    if (said->unsearched) {
        says = ap_doc_printf(doc, "%.*s Not searched, because a phrase rule needs too many steps on them: %zu.",
                             AP_STR_ARG(says), said->unsearched);
    }
    return says;
}
