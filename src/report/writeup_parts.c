#include "report/writeup_parts.h"

#include <inttypes.h>

#include "derive/harm.h"
#include "page/write.h"
#include "report/findings_page.h"
#include "report/interval_page.h"
#include "report/similar_page.h"

enum { PART_MAX = 1 << 20 };

bool ap_writeup_is_harm(const ap_writeup_case *it) {
    for (size_t i = 0; i < it->count; i++) {
        if (ap_harm_is_noted(it->picks[i].pick.damage)) {
            return true;
        }
    }
    return false;
}

ap_str ap_writeup_title(const ap_writeup_case *it) {
    const ap_pick *pick = &it->picks[0].pick;
    const char *piece = ap_word_get(AP_VOC_PIECE, pick->piece);
    return ap_arena_printf(it->arena, "%s on %.*s%s: %.*s%s%s",
                           ap_writeup_is_harm(it) ? "Injury or damage" : "Near miss", AP_STR_ARG(pick->name),
                           it->count > 1 ? " and others" : "", AP_STR_ARG(pick->species_common), piece ? " " : "",
                           piece ? piece : "");
}

/* Says when: an hour limit from the moment it is known, a day limit as a date from the pick's. */
static ap_str say_limit(ap_doc *doc, const ap_duty *duty, ap_date day) {
    if (duty->hours) {
        return ap_doc_printf(doc, " Within %d hours.", duty->hours);
    }
    if (duty->days && day != AP_DATE_NONE) {
        return ap_doc_printf(doc, " Within %d calendar days: by %.*s if it was known on the day.", duty->days,
                             AP_STR_ARG(ap_doc_date(doc, day + duty->days)));
    }
    return duty->days ? ap_doc_printf(doc, " Within %d calendar days.", duty->days) : AP_STR_LIT("");
}

void ap_writeup_put_duties(ap_doc *doc, const ap_writeup_case *it) {
    if (!ap_writeup_is_harm(it)) {
        return;
    }
    ap_doc_answer(
        doc,
        AP_STR_LIT("Injury or damage is noted. This is not a near miss: other duties apply, and they come first."));
    ap_doc_list_item(doc, AP_STR_LIT("Emergency care comes before everything."));
    ap_doc_list_item(doc, AP_STR_LIT("Leave the scene as it is until those who must see it have seen it."));
    ap_doc_list_item(doc, AP_STR_LIT("Report it to whom the law and the insurer ask for."));
    for (size_t i = 0; i < it->duty_count; i++) {
        const ap_duty *duty = &it->duties[i];
        ap_doc_list_item(doc, ap_doc_printf(doc, "%.*s%.*s (%.*s)", AP_STR_ARG(duty->says),
                                            AP_STR_ARG(say_limit(doc, duty, it->picks[0].pick.date)),
                                            AP_STR_ARG(duty->source)));
    }
    ap_doc_paragraph(
        doc,
        it->duty_count
            ? ap_doc_printf(doc,
                            "These are the common ones for '%.*s'; which of them bind here, and what else does, is for "
                            "those who know the law of the place.",
                            AP_STR_ARG(it->jurisdiction))
            : AP_STR_LIT("No duties are listed for this place (setting jurisdiction): ask what the law asks for here, "
                         "today."));
}

void ap_writeup_figure_id(char out[AP_WRITEUP_FIGURE_ID_SIZE], size_t index) {
    snprintf(out, AP_WRITEUP_FIGURE_ID_SIZE, "side-%zu", index + 1);
}

/* The text names the drawing; the page draws it. */
static void name_figure(ap_doc *doc, const ap_whole_pick *whole, size_t index) {
    char id[AP_WRITEUP_FIGURE_ID_SIZE];
    if (whole->recon.no_hang.no) {
        return;
    }
    ap_writeup_figure_id(id, index);
    ap_doc_figure(doc, ap_str_from(id),
                  ap_doc_printf(doc, "%.*s from the side, before the cut and at rest", AP_STR_ARG(whole->pick.name)),
                  AP_STR_NONE, AP_STR_LIT("on the page"), AP_STR_NONE);
}

void ap_writeup_put_reconstruction(ap_doc *doc, const ap_writeup_case *it) {
    for (size_t p = 0; p < it->count; p++) {
        const ap_whole_pick *whole = &it->picks[p];
        const ap_recon_view view = {.pick = &whole->pick, .recon = &whole->recon};
        if (it->count > 1) {
            ap_doc_section(doc, 3, whole->pick.name, whole->pick.name);
        }
        name_figure(doc, whole, p);
        ap_recon_put(doc, &view);
        if (it->interval) {
            ap_interval_put(doc, it->interval);
        }
    }
    ap_doc_caution(
        doc,
        AP_STR_LIT("A reconstruction says what follows from what was logged, for a stiff piece on straight legs. It "
                   "does not say what anybody should have known."));
}

static void put_share(ap_doc *doc, ap_table *table, const char *when, double radius_m, double load_kg, double share) {
    if (isnan(load_kg) && isnan(share)) {
        return;
    }
    ap_table_row(table);
    ap_table_text(table, ap_str_from(when));
    ap_table_value(table, radius_m);
    ap_table_value(table, load_kg);
    ap_table_value(table, share > 0 ? load_kg / share : NAN);
    ap_table_value(table, share);
    if (ap_over(share, 1)) {
        ap_table_row_mark(table, AP_STR_LIT("over chart"));
    }
    (void)doc;
}

void ap_writeup_put_capacity(ap_doc *doc, const ap_writeup_case *it) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("when"), .label = AP_STR_LIT("when"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("radius"), .label = AP_STR_LIT("radius"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_LENGTH},
        {.key = AP_STR_LIT("hook"),
         .label = AP_STR_LIT("load on the hook"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_LOAD},
        {.key = AP_STR_LIT("capacity"),
         .label = AP_STR_LIT("rated capacity"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_LOAD},
        {.key = AP_STR_LIT("share"), .label = AP_STR_LIT("share"), .kind = AP_CELL_PERCENT},
    };
    for (size_t p = 0; p < it->count; p++) {
        const ap_whole_pick *whole = &it->picks[p];
        const ap_derived *d = &whole->derived;
        const ap_pick *pick = &whole->pick;
        bool known = !isnan(d->share_worst) || !isnan(d->share_planned);
        if (it->count > 1) {
            ap_doc_section(doc, 3, whole->pick.name, whole->pick.name);
        }
        ap_doc_answer(doc, !known          ? AP_STR_LIT("It cannot be said how much of the chart was used.")
                           : d->over_chart ? AP_STR_LIT("The load on the hook was above the rated capacity.")
                           : isnan(d->share_worst)
                               ? AP_STR_LIT("Only the plan can be set against the chart.")
                               : ap_doc_printf(doc, "At its worst the load on the hook was %.*s of the rated capacity.",
                                               AP_STR_ARG(ap_doc_percent(doc, d->share_worst, 0))));
        if (!known) {
            continue;
        }
        ap_table *table = ap_doc_table(doc, AP_STR_LIT("capacity"), AP_STR_NONE, columns, 5);
        ap_table_has_marks(table);
        put_share(doc, table, "as planned", pick->planned_radius_m, d->hook_planned_kg, d->share_planned);
        put_share(doc, table, "at the cut", pick->cut_radius_m, d->hook_kg, d->share_cut);
        put_share(doc, table, "at set-down", pick->set_down_radius_m, d->hook_kg, d->share_set_down);
        put_share(doc, table, "peak, at the cut", pick->cut_radius_m, pick->peak_load_kg, d->peak_share);
    }
    ap_doc_caution(
        doc, AP_STR_LIT("The crane's own load chart and its operator decide; a share worked out afterwards is only as "
                        "good as the log."));
}

static bool touches(const ap_writeup_case *it, const ap_finding *finding) {
    for (size_t k = 0; k < finding->pick_count; k++) {
        for (size_t p = 0; p < it->count; p++) {
            if (ap_str_equal_word(it->picks[p].pick.name, it->roster->facts[finding->picks[k]].rest->name)) {
                return true;
            }
        }
    }
    return false;
}

/* Findings that rest on one of the picks. */
void ap_writeup_put_findings(ap_doc *doc, const ap_writeup_case *it) {
    size_t found = 0;
    for (size_t i = 0; it->findings && i < it->findings->count; i++) {
        const ap_finding *finding = &it->findings->items[i];
        if (touches(it, finding)) {
            found++;
            ap_doc_list_item(doc, ap_doc_printf(doc, "%s (%s): %.*s", ap_detector_title(finding->detector),
                                                ap_finding_class_name(finding->class),
                                                AP_STR_ARG(ap_say_finding(doc, it->roster, finding))));
        }
    }
    if (found == 0) {
        ap_doc_paragraph(doc, AP_STR_LIT("None rests on it."));
    }
}

void ap_writeup_put_actions(ap_doc *doc, const ap_writeup_case *it) {
    static const char *const ladder[] = {
        "elimination: no such pick at all, another way to take the tree down",
        "substitution: a smaller piece, another cut, another place of the crane",
        "engineering: adjustable legs, a third leg, a step in the cut, a load indicator that all can hear",
        "administrative: a rule, a check, a word before the cut, training",
        "protective equipment: the last line, never the first",
    };
    if (it->actions && it->actions->count) {
        ap_actions_table(doc, it->actions, AP_ACTIONS_ALL);
    } else {
        ap_doc_paragraph(
            doc, AP_STR_LIT("None is agreed yet. Each needs what, a role, a day, and the figure that should move: "
                            "'afterpick action add'. The strongest kind that can be done comes first:"));
        for (size_t i = 0; i < sizeof ladder / sizeof *ladder; i++) {
            ap_doc_list_item(doc, ap_str_from(ladder[i]));
        }
    }
}

void ap_writeup_put_attachments(ap_doc *doc, const ap_writeup_case *it) {
    for (size_t i = 0; i < it->attached_count; i++) {
        const ap_writeup_attached *one = &it->attached[i];
        ap_doc_list_item(doc, ap_doc_printf(doc, "%.*s: %.*s (%" PRId64 " bytes, SHA-256 %.*s)%s",
                                            AP_STR_ARG(one->file.name), AP_STR_ARG(one->file.says), one->file.bytes,
                                            AP_STR_ARG(one->file.sha256),
                                            one->gone      ? ": ITS COPY IS GONE"
                                            : one->changed ? ": ITS COPY WAS CHANGED SINCE"
                                                           : ""));
    }
    if (it->attached_count == 0) {
        ap_doc_paragraph(doc,
                         AP_STR_LIT("None. 'afterpick writeup attach' keeps a photo or a print-out beside the book."));
    }
}

static const struct {
    ap_writeup_part part;
    void (*put)(ap_doc *doc, const ap_writeup_case *it);
} builders[] = {
    {AP_WRITEUP_DUTIES, ap_writeup_put_duties},
    {AP_WRITEUP_FACTS, ap_writeup_put_facts},
    {AP_WRITEUP_RECONSTRUCTION, ap_writeup_put_reconstruction},
    {AP_WRITEUP_CAPACITY, ap_writeup_put_capacity},
    {AP_WRITEUP_SIMILAR, ap_writeup_put_similar},
    {AP_WRITEUP_FINDINGS, ap_writeup_put_findings},
    {AP_WRITEUP_SEVERITY, ap_writeup_put_severity},
    {AP_WRITEUP_QUESTIONS, ap_writeup_put_questions},
    {AP_WRITEUP_ACTIONS, ap_writeup_put_actions},
    {AP_WRITEUP_ATTACHMENTS, ap_writeup_put_attachments},
};

static ap_status build(ap_str *out, const ap_writeup_case *it, void (*put)(ap_doc *, const ap_writeup_case *),
                       ap_error *err) {
    const ap_doc_head head = {.units = it->units, .is_part = true};
    ap_buf text;
    ap_buf_init(&text, PART_MAX);
    ap_sink sink = ap_sink_to_buf(&text);
    ap_doc *doc = ap_doc_new(it->arena, &head);
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the write-up");
    }
    put(doc, it);
    ap_status status = ap_page_write_markdown_part(&sink, doc, err);
    if (status == AP_OK && text.len) {
        *out = ap_arena_str(it->arena, ap_buf_str(&text));
        status = ap_arena_check(it->arena, "the write-up", err);
    }
    ap_buf_release(&text);
    return status;
}

ap_status ap_writeup_parts(ap_str parts[AP_WRITEUP_PART_COUNT], const ap_writeup_case *it, ap_error *err) {
    ap_status status = AP_OK;
    for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
        parts[i] = AP_STR_NONE;
    }
    for (size_t i = 0; status == AP_OK && i < sizeof builders / sizeof *builders; i++) {
        status = build(&parts[builders[i].part], it, builders[i].put, err);
    }
    return status;
}

void ap_writeup_put_similar(ap_doc *doc, const ap_writeup_case *it) {
    for (size_t p = 0; p < it->count; p++) {
        ap_similar similar;
        size_t fact = it->roster ? ap_roster_find(it->roster, it->picks[p].pick.name) : SIZE_MAX;
        if (it->count > 1) {
            ap_doc_section(doc, 3, it->picks[p].pick.name, it->picks[p].pick.name);
        }
        if (fact == SIZE_MAX || ap_similar_find(&similar, it->roster, fact, NULL) != AP_OK) {
            ap_doc_paragraph(doc, AP_STR_LIT("No picks of the book can be set beside it."));
        } else {
            ap_similar_put(doc, it->roster, fact, &similar);
        }
    }
}

/* The categories to choose from: MIL-STD-882E, tables I and II; the words here are ours. */
void ap_writeup_put_severity(ap_doc *doc, const ap_writeup_case *it) {
    for (size_t i = 0, said = 0; it->findings && i < it->findings->count && said < 3; i++) {
        const ap_finding *finding = &it->findings->items[i];
        if (touches(it, finding) && finding->severity != AP_SEVERITY_NONE) {
            said++;
            bool bound = finding->detector == AP_DETECT_SHOCK && !(finding->reasons & AP_SHOCK_SEEN);
            ap_doc_list_item(doc,
                             ap_doc_printf(doc, "By the book's own matrix, from what %s (%s): %.*s",
                                           bound ? "is worked out" : "was logged", ap_detector_title(finding->detector),
                                           AP_STR_ARG(ap_say_could_have(doc, it->roster, finding))));
        }
    }
    ap_doc_paragraph(
        doc, AP_STR_LIT(
                 "Severity of the worst that could have come of it (MIL-STD-882E, table I; our words): catastrophic - "
                 "death or permanent total disability; critical - permanent partial disability, or three or more "
                 "people in hospital; marginal - a day or more away from work; "
                 "negligible - no day away from work. The table grades money too; a lost crane is catastrophic here by "
                 "common practice, no source."));
    ap_doc_paragraph(
        doc,
        AP_STR_LIT("Probability that it comes to that as the work is done now (table II): A frequent, B probable, C "
                   "occasional, D remote, E improbable, F eliminated."));
}
