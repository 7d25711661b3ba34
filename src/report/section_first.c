#include "report/review.h"

#include "report/findings_page.h"

enum { ALERTS = 5 };

/* What is certain and yet does not come first, and what chance could make too: so that a first page without alerts
 * is not read as a month without findings. */
static void put_others(ap_doc *doc, const ap_review *r) {
    const ap_finding *gravest = NULL;
    size_t certain = 0;
    size_t likely = 0;
    for (size_t i = 0; i < r->findings.count; i++) {
        const ap_finding *finding = &r->findings.items[i];
        likely += finding->class == AP_FINDING_LIKELY;
        if (finding->class == AP_FINDING_CERTAIN && !ap_finding_comes_first(finding) &&
            !ap_finding_is_settled(finding)) {
            gravest = gravest ? gravest : finding;
            certain++;
        }
    }
    if (gravest) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "Besides, %.*s; the gravest: %s, %s. See under findings.",
                                            AP_STR_ARG(ap_say_count(doc, certain, "certain finding")),
                                            ap_detector_title(gravest->detector),
                                            r->roster->facts[gravest->picks[0]].rest->name));
    }
    if (likely) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "Chance could make these too: %.*s, see under findings.",
                                            AP_STR_ARG(ap_say_count(doc, likely, "likely finding"))));
    }
}

typedef struct alerts {
    size_t found;
    size_t shown;
    size_t rest[AP_DETECT_COUNT];
} alerts;

static void put_alert(ap_doc *doc, const ap_review *r, const ap_finding *finding) {
    ap_doc_alert(doc, ap_str_from(ap_detector_title(finding->detector)),
                 ap_str_from(r->roster->facts[finding->picks[0]].rest->name), ap_say_finding(doc, r->roster, finding));
}

/* The gravest of each kind has a place before the second of any: five pieces toward a person must not hide the one over chart. */
static alerts choose_alerts(ap_doc *doc, const ap_review *r) {
    alerts a = {0};
    size_t kinds = 0;
    for (size_t i = 0; i < r->findings.count; i++) {
        const ap_finding *finding = &r->findings.items[i];
        if (ap_finding_comes_first(finding)) {
            kinds += a.rest[finding->detector]++ == 0;
        }
    }
    size_t spare = kinds < ALERTS ? ALERTS - kinds : 0;
    bool seen[AP_DETECT_COUNT] = {false};
    for (size_t i = 0; i < r->findings.count && a.shown < ALERTS; i++) {
        const ap_finding *finding = &r->findings.items[i];
        bool again = seen[finding->detector];
        if (ap_finding_comes_first(finding) && (!again || spare)) {
            put_alert(doc, r, finding);
            seen[finding->detector] = true;
            spare -= again;
            a.rest[finding->detector]--;
            a.shown++;
        }
    }
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        a.rest[d] += ap_detector_comes_first((ap_detector_id)d) ? r->findings.left_out[d] : 0;
        a.found += a.rest[d];
    }
    a.found += a.shown;
    return a;
}

static size_t put_alerts_of_all_kinds(ap_doc *doc, const ap_review *r) {
    alerts a = choose_alerts(doc, r);
    ap_str kinds = AP_STR_LIT("");
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        if (a.rest[d]) {
            kinds = ap_doc_printf(doc, "%.*s%s%s %zu", AP_STR_ARG(kinds), kinds.len ? ", " : "",
                                  ap_detector_title((ap_detector_id)d), a.rest[d]);
        }
    }
    if (a.found > a.shown) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "... and %zu more below, under findings: %.*s.", a.found - a.shown,
                                            AP_STR_ARG(kinds)));
    }
    return a.found;
}

/* "3 could not be judged against the chart and 1 had no movement logged"; blank when every pick was and had. */
static ap_str what_is_not_known(ap_doc *doc, const ap_quality *q) {
    const ap_say_part parts[] = {{q->no_capacity, "could not be judged against the chart", NULL},
                                 {q->no_movement, "had no movement logged", NULL}};
    return ap_say_parts(doc, parts, sizeof parts / sizeof *parts);
}

static void put_alerts(ap_doc *doc, const ap_review *r) {
    size_t found = put_alerts_of_all_kinds(doc, r);
    size_t picks = r->end - r->first;
    const ap_quality *q = &r->quality;
    size_t judged = picks - q->no_capacity;
    size_t moved = picks - q->no_movement;
    if (found == 0 && judged + moved > 0) {
        ap_doc_answer(
            doc,
            ap_doc_printf(
                doc,
                "No pick of %zu is known to have been over chart, to have moved toward a person, to have shocked the "
                "line or to have loaded a leg past its limit, and none was logged as a near miss or with damage; %.*s "
                "could be judged against "
                "the chart, and %.*s had a movement logged.",
                picks, AP_STR_ARG(ap_say_or_none(doc, judged)), AP_STR_ARG(ap_say_or_none(doc, moved))));
    } else if (found == 0) {
        ap_doc_answer(
            doc, AP_STR_LIT("Nothing can be said: no pick could be judged against the chart and none has a movement "
                            "logged."));
    } else if (q->no_capacity || q->no_movement) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "Of %.*s, %.*s.", AP_STR_ARG(ap_say_count(doc, picks, "pick")),
                                            AP_STR_ARG(what_is_not_known(doc, q))));
    }
    put_others(doc, r);
}

static ap_str last_month(ap_doc *doc, const ap_review *r) {
    const ap_weight_group *before = &r->species_before.all;
    if (before->count == 0) {
        return AP_STR_LIT("no weighed pick in the period before");
    }
    return ap_doc_printf(doc, "%.*s in %.*s", AP_STR_ARG(ap_say_share(r->arena, before->share_heavier, before->count)),
                         AP_STR_ARG(ap_say_period(r->arena, r->before)));
}

static ap_str heavier_interval(ap_doc *doc, const ap_review *r) {
    size_t picks = r->species.all.count;
    if (isnan(r->heavier.low)) {
        return ap_doc_printf(doc, "of %zu, all of one tree", picks);
    }
    return ap_doc_printf(doc, "of %zu on %zu trees, %.0f %% interval %.0f to %.0f %%", picks, r->species.all.trees,
                         r->heavier.level * 100, r->heavier.low * 100, r->heavier.high * 100);
}

static void put_tiles(ap_doc *doc, const ap_review *r) {
    const ap_weight_group *all = &r->species.all;
    size_t over = 0;
    size_t toward = 0;
    for (size_t i = r->first; i < r->end; i++) {
        over += r->roster->facts[i].over_chart;
        toward += r->roster->facts[i].toward_person;
    }
    size_t picks = r->end - r->first;
    if (all->count) {
        ap_doc_tile(doc, AP_STR_LIT("typical piece, against plan"), ap_say_ratio_short(r->arena, all->median_ratio),
                    ap_doc_printf(doc, "%.*s on %.*s", AP_STR_ARG(ap_say_count(doc, all->count, "weighed pick")),
                                  AP_STR_ARG(ap_say_count(doc, all->trees, "tree"))));
        ap_doc_tile(doc, ap_doc_printf(doc, "heavier by more than %.0f %%", r->roster->settings.heavier * 100),
                    ap_doc_percent(doc, all->share_heavier, 0), heavier_interval(doc, r));
    }
    size_t judged = picks - r->quality.no_capacity;
    size_t moved = picks - r->quality.no_movement;
    /* A zero out of nothing would be read as good news. */
    ap_doc_tile(doc, AP_STR_LIT("over chart"),
                judged || over ? ap_doc_count(doc, (double)over) : AP_STR_LIT("not known"),
                ap_doc_printf(doc, "of %.*s that could be judged", AP_STR_ARG(ap_say_count(doc, judged, "pick"))));
    ap_doc_tile(doc, AP_STR_LIT("moved toward a person"),
                moved || toward ? ap_doc_count(doc, (double)toward) : AP_STR_LIT("not known"),
                ap_doc_printf(doc, "of %.*s with a movement logged", AP_STR_ARG(ap_say_count(doc, moved, "pick"))));
    ap_doc_tile(doc, AP_STR_LIT("not weighed"),
                ap_doc_percent(doc, picks ? (double)r->quality.unweighed / (double)picks : NAN, 0),
                ap_doc_printf(doc, "%.*s of %zu picks", AP_STR_ARG(ap_say_or_none(doc, r->quality.unweighed)), picks));
}

static void add_doubt(ap_doc *doc, ap_str *doubts, ap_str doubt) {
    *doubts = ap_doc_printf(doc, "%.*s%s%.*s", AP_STR_ARG(*doubts), doubts->len ? "; " : "", AP_STR_ARG(doubt));
}

static void put_doubts(ap_doc *doc, const ap_review *r) {
    const ap_quality *q = &r->quality;
    size_t picks = r->end - r->first;
    ap_str doubts = AP_STR_LIT("");
    if (q->unweighed) {
        add_doubt(
            doc, &doubts,
            ap_doc_printf(doc, "%zu of %.*s not weighed", q->unweighed, AP_STR_ARG(ap_say_count(doc, picks, "pick"))));
    }
    if (q->rigging_assumed) {
        add_doubt(doc, &doubts,
                  ap_doc_printf(doc, "block and slings from the setting on %.*s",
                                AP_STR_ARG(ap_say_count(doc, q->rigging_assumed, "pick"))));
    }
    if (q->repeats_plan) {
        add_doubt(doc, &doubts,
                  ap_doc_printf(doc, "%.*s measured as planned to the last digit",
                                AP_STR_ARG(ap_say_count(doc, q->repeats_plan, "pick"))));
    }
    if (r->clashes.count) {
        add_doubt(doc, &doubts,
                  ap_doc_printf(doc, "slings as logged that cannot hold the piece on %.*s",
                                AP_STR_ARG(ap_say_count(doc, r->clashes.count, "pick"))));
    }
    const ap_say_part rows[] = {{(size_t)q->set_aside, "row of logs set aside", "rows of logs set aside"},
                                {(size_t)q->conflicts, "in conflict", NULL}};
    if (q->set_aside || q->conflicts) {
        add_doubt(doc, &doubts, ap_say_parts(doc, rows, sizeof rows / sizeof *rows));
    }
    for (size_t c = 0; c < q->crew_count; c++) {
        if (q->crews[c].picks == 0) {
            add_doubt(doc, &doubts, ap_doc_printf(doc, "crew %.*s logged nothing", AP_STR_ARG(q->crews[c].crew)));
        }
    }
    if (doubts.len) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "What not to trust: %.*s.", AP_STR_ARG(doubts)));
    }
}

/* What is overdue, and whether the figures of what was done have moved. */
static void put_actions(ap_doc *doc, const ap_review *r) {
    const ap_action_list *list = &r->actions;
    if (list->overdue) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "Overdue: %.*s of %zu open; see under actions.",
                                            AP_STR_ARG(ap_say_count(doc, list->overdue, "action")), list->open));
    }
    ap_date recent_since = r->period.since == AP_DATE_NONE ? r->period.since : ap_date_add_months(r->period.since, -2);
    for (size_t i = 0; i < list->count; i++) {
        const ap_action_line *line = &list->lines[i];
        bool recent = line->action.closed != AP_DATE_NONE && line->action.closed >= recent_since;
        if (line->has_effect && recent) {
            ap_doc_paragraph(doc, ap_doc_printf(doc, "Done: %.*s. The %s: %.*s.", AP_STR_ARG(line->action.says),
                                                ap_effect_figure_label(line->effect.figure),
                                                AP_STR_ARG(ap_effect_sentence(doc, line))));
        }
    }
}

static const char *to_do(ap_detector_id detector) {
    switch (detector) {
    case AP_DETECT_TOWARD_PERSON:
        return "Before the cut: where will the piece go if a leg is slack, and who stands there?";
    case AP_DETECT_OVER_CHART:
        return "Ask the operator for the rated capacity at the cut and at set-down before the pick.";
    case AP_DETECT_LEG:
        return "Before the pick: what does each leg bear at its angle, and what does its tag allow with that hitch?";
    case AP_DETECT_HEAVIER_RUN:
        return "These keep coming in heavy: plan them heavier until the numbers are mended.";
    default:
        return "";
    }
}

size_t ap_review_messages(ap_review_message messages[AP_REVIEW_MESSAGES], ap_doc *doc, const ap_review *r) {
    static const ap_detector_id order[] = {AP_DETECT_TOWARD_PERSON, AP_DETECT_OVER_CHART, AP_DETECT_LEG,
                                           AP_DETECT_HEAVIER_RUN};
    size_t count = 0;
    for (size_t d = 0; d < sizeof order / sizeof *order && count < AP_REVIEW_MESSAGES; d++) {
        for (size_t i = 0; i < r->findings.count; i++) {
            const ap_finding *finding = &r->findings.items[i];
            bool told = finding->detector != AP_DETECT_LEG || (finding->reasons & AP_LEG_OVER);
            if (finding->detector == order[d] && told && !ap_finding_is_settled(finding)) {
                const char *name = r->roster->facts[finding->picks[0]].rest->name;
                messages[count++] = (ap_review_message){
                    .says = ap_str_from(to_do(finding->detector)),
                    .pick = finding->pick_count > 1 ? ap_doc_printf(doc, "%s and on", name) : ap_str_from(name),
                    .evidence = ap_say_finding(doc, r->roster, finding)};
                break;
            }
        }
    }
    return count;
}

void ap_review_briefing(ap_doc *doc, const ap_review *r) {
    ap_review_message messages[AP_REVIEW_MESSAGES];
    size_t count = ap_review_messages(messages, doc, r);
    size_t picks = r->end - r->first;
    if (picks == 0) {
        ap_doc_answer(doc, AP_STR_LIT("The book holds no pick of this period: there is nothing to brief on."));
    } else if (count == 0) {
        ap_doc_answer(doc,
                      AP_STR_LIT("No message: no piece is logged as moving toward a person, none over chart, no leg is "
                                 "worked out past its limit, and no group kept coming in heavy."));
    }
    for (size_t i = 0; i < count; i++) {
        ap_doc_message(doc, messages[i].says, messages[i].pick, messages[i].evidence);
    }
    if (picks) {
        ap_str unknown = what_is_not_known(doc, &r->quality);
        ap_doc_paragraph(
            doc, unknown.len
                     ? ap_doc_printf(doc, "From %.*s. Of these, %.*s: about them nothing is known.",
                                     AP_STR_ARG(ap_say_count(doc, picks, "pick")), AP_STR_ARG(unknown))
                     : ap_doc_printf(doc, "From %.*s, each judged against the chart and with a movement logged.",
                                     AP_STR_ARG(ap_say_count(doc, picks, "pick"))));
    }
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
}

void ap_section_first(ap_doc *doc, const ap_review *r) {
    if (r->end == r->first) {
        ap_doc_answer(doc, AP_STR_LIT("The book holds no pick of this period."));
        ap_doc_caution(doc, ap_str_from(ap_say_caution));
        return;
    }
    put_alerts(doc, r);
    put_tiles(doc, r);
    ap_doc_paragraph(doc,
                     ap_doc_printf(doc, "%.*s Before: %.*s.", AP_STR_ARG(ap_say_error(doc, r->roster, &r->species)),
                                   AP_STR_ARG(last_month(doc, r))));
    put_actions(doc, r);
    put_doubts(doc, r);
    ap_review_message messages[AP_REVIEW_MESSAGES];
    size_t count = ap_review_messages(messages, doc, r);
    if (count) {
        ap_doc_section(doc, 3, AP_STR_LIT("crews"), AP_STR_LIT("For the crews"));
        for (size_t i = 0; i < count; i++) {
            ap_doc_list_item(doc, ap_doc_printf(doc, "%.*s (%.*s) %.*s", AP_STR_ARG(messages[i].says),
                                                AP_STR_ARG(messages[i].pick), AP_STR_ARG(messages[i].evidence)));
        }
    }
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
}
