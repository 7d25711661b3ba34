#include "report/review.h"

#include "report/findings_page.h"

enum { ALERTS = 5, MESSAGES = 3 };

static bool comes_first(const ap_finding *finding) {
    return finding->detector == AP_DETECT_OVER_CHART || finding->detector == AP_DETECT_TOWARD_PERSON;
}

static void put_alerts(ap_doc *doc, const ap_review *r) {
    size_t found = 0;
    for (size_t i = 0; i < r->findings.count; i++) {
        const ap_finding *finding = &r->findings.items[i];
        if (comes_first(finding) && found++ < ALERTS) {
            ap_doc_alert(doc, ap_str_from(ap_detector_title(finding->detector)),
                         ap_str_from(r->roster->facts[finding->picks[0]].name),
                         ap_say_finding(doc, r->roster, finding));
        }
    }
    if (found > ALERTS) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "... and %zu more below, under findings.", found - ALERTS));
    }
    size_t picks = r->end - r->first;
    const ap_quality *q = &r->quality;
    if (found == 0) {
        ap_doc_answer(
            doc, ap_doc_printf(doc,
                               "No pick over chart and none moving toward a person was recorded in %zu picks, of which "
                               "%zu could not be judged against the chart and %zu have no movement logged.",
                               picks, q->no_capacity, q->no_movement));
    } else if (q->no_capacity || q->no_movement) {
        ap_doc_paragraph(
            doc, ap_doc_printf(
                     doc, "Of %zu picks, %zu could not be judged against the chart and %zu have no movement logged.",
                     picks, q->no_capacity, q->no_movement));
    }
}

static ap_str last_month(ap_doc *doc, const ap_review *r) {
    const ap_weight_group *before = &r->species_before.all;
    if (before->count == 0) {
        return AP_STR_LIT("no weighed pick in the period before");
    }
    return ap_doc_printf(doc, "in %.*s %.0f %% of %zu", AP_STR_ARG(ap_say_period(r->arena, r->before)),
                         before->share_heavier * 100, before->count);
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
                    ap_doc_printf(doc, "%zu weighed picks on %zu trees", all->count, all->trees));
        ap_doc_tile(doc, ap_doc_printf(doc, "heavier by more than %.0f %%", r->roster->settings.heavier * 100),
                    ap_doc_percent(doc, all->share_heavier, 0), last_month(doc, r));
    }
    ap_doc_tile(doc, AP_STR_LIT("over chart"), ap_doc_count(doc, (double)over),
                ap_doc_printf(doc, "of %zu picks that could be judged", picks - r->quality.no_capacity));
    ap_doc_tile(doc, AP_STR_LIT("moved toward a person"), ap_doc_count(doc, (double)toward),
                ap_doc_printf(doc, "of %zu picks with a movement logged", picks - r->quality.no_movement));
    ap_doc_tile(doc, AP_STR_LIT("not weighed"),
                ap_doc_percent(doc, picks ? (double)r->quality.unweighed / (double)picks : NAN, 0),
                ap_doc_printf(doc, "%zu of %zu picks", r->quality.unweighed, picks));
}

static void put_doubts(ap_doc *doc, const ap_review *r) {
    const ap_quality *q = &r->quality;
    size_t picks = r->end - r->first;
    ap_str doubts = ap_doc_printf(doc, "What not to trust: %zu of %zu picks were not weighed", q->unweighed, picks);
    if (q->rigging_assumed) {
        doubts = ap_doc_printf(doc, "%.*s; %zu took the weight of block and slings from the setting",
                               AP_STR_ARG(doubts), q->rigging_assumed);
    }
    if (q->repeats_plan) {
        doubts = ap_doc_printf(doc, "%.*s; %zu weights repeat the plan", AP_STR_ARG(doubts), q->repeats_plan);
    }
    if (q->set_aside || q->conflicts) {
        doubts = ap_doc_printf(doc, "%.*s; %lld rows of logs are set aside and %lld are in conflict",
                               AP_STR_ARG(doubts), (long long)q->set_aside, (long long)q->conflicts);
    }
    for (size_t c = 0; c < q->crew_count; c++) {
        if (q->crews[c].picks == 0) {
            doubts =
                ap_doc_printf(doc, "%.*s; crew %.*s logged nothing", AP_STR_ARG(doubts), AP_STR_ARG(q->crews[c].crew));
        }
    }
    ap_doc_paragraph(doc, ap_doc_printf(doc, "%.*s.", AP_STR_ARG(doubts)));
}

static ap_str message(ap_doc *doc, const ap_review *r, const ap_finding *finding) {
    const ap_fact *fact = &r->roster->facts[finding->picks[0]];
    ap_str says = ap_say_finding(doc, r->roster, finding);
    switch (finding->detector) {
    case AP_DETECT_TOWARD_PERSON:
        return ap_doc_printf(
            doc, "Before the cut: where will the piece go if a leg is slack, and who stands there? (%s) %.*s",
            fact->name, AP_STR_ARG(says));
    case AP_DETECT_OVER_CHART:
        return ap_doc_printf(doc,
                             "Ask the operator for the chart at the set-down radius too, before the pick. (%s) %.*s",
                             fact->name, AP_STR_ARG(says));
    case AP_DETECT_HEAVIER_RUN:
        return ap_doc_printf(
            doc, "These keep coming in heavy: plan them heavier until the numbers are mended. (%s and on) %.*s",
            fact->name, AP_STR_ARG(says));
    default:
        return AP_STR_NONE;
    }
}

size_t ap_review_messages(ap_str messages[3], ap_doc *doc, const ap_review *r) {
    static const ap_detector_id order[MESSAGES] = {AP_DETECT_TOWARD_PERSON, AP_DETECT_OVER_CHART,
                                                   AP_DETECT_HEAVIER_RUN};
    size_t count = 0;
    for (size_t d = 0; d < MESSAGES; d++) {
        for (size_t i = 0; i < r->findings.count; i++) {
            if (r->findings.items[i].detector == order[d]) {
                messages[count++] = message(doc, r, &r->findings.items[i]);
                break;
            }
        }
    }
    return count;
}

void ap_section_first(ap_doc *doc, const ap_review *r) {
    put_alerts(doc, r);
    put_tiles(doc, r);
    ap_doc_paragraph(doc, ap_doc_printf(doc, "%.*s The share before: %.*s.",
                                        AP_STR_ARG(ap_say_error(doc, r->roster, &r->species)),
                                        AP_STR_ARG(last_month(doc, r))));
    put_doubts(doc, r);
    ap_str messages[MESSAGES];
    size_t count = ap_review_messages(messages, doc, r);
    if (count) {
        ap_doc_section(doc, 3, AP_STR_LIT("crews"), AP_STR_LIT("For the crews"));
        for (size_t i = 0; i < count; i++) {
            ap_doc_list_item(doc, messages[i]);
        }
    }
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
}
