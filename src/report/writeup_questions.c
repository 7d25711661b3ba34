/* Questions that the data of a pick leave open: asked of those who were there, never answered by the program. */
#include "derive/harm.h"
#include "report/writeup_parts.h"

enum { QUESTIONS_MOST = 14 };

typedef struct asker {
    ap_doc *doc;
    const ap_whole_pick *whole;
    size_t asked;
} asker;

static void ask(asker *it, ap_str question) {
    if (it->asked++ < QUESTIONS_MOST) {
        ap_doc_list_item(it->doc, question);
    }
}

static void ask_plain(asker *it, const char *question) {
    ask(it, ap_str_from(question));
}

static void about_weight(asker *it) {
    const ap_derived *d = &it->whole->derived;
    const ap_settings *settings = it->whole->settings;
    if (d->compared != AP_COMPARED) {
        ask_plain(it, "What did the indicator show with the piece hanging still, and was that with block and slings?");
        return;
    }
    if (ap_over(d->ratio, 1 + settings->heavier) || ap_over(1 / d->ratio, 1 + settings->heavier)) {
        ap_arena arena;
        ap_arena_init(&arena, 1u << 16);
        ap_str says = ap_say_ratio(&arena, d->ratio);
        ask(it,
            ap_doc_printf(
                it->doc,
                "It came in %.*s. How was the weight found, and what was left out: length, diameter, a fork, brush, "
                "wet or rotten wood, the rigging?",
                AP_STR_ARG(says)));
        ap_arena_release(&arena);
    }
}

static void about_chart(asker *it) {
    const ap_pick *p = &it->whole->pick;
    const ap_derived *d = &it->whole->derived;
    if (d->over_chart) {
        ask_plain(it, "Who knew the rated capacity at that radius, from which page of the chart, and when was it last "
                      "said aloud?");
    } else if (isnan(d->share_worst)) {
        ask_plain(it,
                  "What was the rated capacity at the largest radius, and with which boom and set-up of the crane?");
    }
    double largest = fmax(p->cut_radius_m, p->set_down_radius_m);
    if (ap_over(largest, p->planned_radius_m)) {
        ask(it, ap_doc_printf(it->doc, "The radius grew from %.*s as planned to %.*s. Why, and who noticed?",
                              AP_STR_ARG(ap_doc_quantity(it->doc, AP_DIM_LENGTH, p->planned_radius_m, false)),
                              AP_STR_ARG(ap_doc_quantity(it->doc, AP_DIM_LENGTH, largest, false))));
    }
}

static void about_cut(asker *it) {
    const ap_pick *p = &it->whole->pick;
    if (p->planned_cut && p->cut && p->planned_cut != p->cut) {
        ask(it, ap_doc_printf(it->doc,
                              "The plan was a %s cut, the cut was %s. When and why did it change, and who was told?",
                              ap_word_get(AP_VOC_CUT, p->planned_cut), ap_word_get(AP_VOC_CUT, p->cut)));
    }
    if (p->kerf == AP_KERF_CLOSING || p->kerf == AP_KERF_OPENING) {
        ask(it, ap_doc_printf(it->doc, "The kerf was %s. What was done when it was seen: stop, line pull, go on?",
                              ap_word_get(AP_VOC_KERF, p->kerf)));
    } else if (!p->kerf) {
        ask_plain(it, "What did the kerf do before the piece parted: steady, closing or opening?");
    }
    if (isnan(p->preload_kg)) {
        ask_plain(it, "How much did the indicator show on the line just before the piece parted?");
    }
    if (p->fibre_left == AP_YESNO_YES) {
        ask_plain(it, "Fibre was left in the cut. Was the piece torn off, and by what?");
    }
}

static void about_slings(asker *it) {
    const ap_pick *p = &it->whole->pick;
    bool unknown = false;
    for (int i = 0; i < p->leg_count; i++) {
        if (p->legs[i].state == AP_LEG_STATE_SLACK) {
            ask(it,
                ap_doc_printf(it->doc,
                              "Leg %d was slack when the saw went in. Could that be seen, from where, and who looked?",
                              i + 1));
        }
        unknown = unknown || (!p->legs[i].state && p->legs[i].kind != AP_LEG_KIND_BALANCER);
        if (ap_over(i < it->whole->recon.leg_count ? it->whole->recon.legs[i].use : NAN, 1)) {
            ask(it, ap_doc_printf(
                        it->doc,
                        "Leg %d was worked out to carry more than its factored limit. Where is that sling now, and "
                        "who has inspected it?",
                        it->whole->recon.legs[i].number));
        }
    }
    if (p->leg_count == 0) {
        ask_plain(it, "Which slings held it, how long was each, how far from the butt, and by which hitch?");
    } else if (unknown) {
        ask_plain(it, "Which legs were tight, snug or slack when the saw went in?");
    }
    if (isnan(p->lean_deg)) {
        ask_plain(it, "How steep did the piece stand before the cut?");
    }
    if (p->re_rigs > 0) {
        ask_plain(it, "The hook came back to re-rig. What was wrong with the first set-up?");
    }
}

/* Does the logged movement of the butt go the other way than what was worked out? */
static bool disagrees(const ap_pick *p, const ap_recon *r) {
    const int up = AP_MOVE_BIT(AP_MOVEMENT_BUTT_UP) | AP_MOVE_BIT(AP_MOVEMENT_TIP_DIVE);
    const int down = AP_MOVE_BIT(AP_MOVEMENT_BUTT_DOWN) | AP_MOVE_BIT(AP_MOVEMENT_TIP_UP);
    return !r->no_movement.no &&
           ((r->turn_deg < -5 && (p->movement & down)) || (r->turn_deg > 5 && (p->movement & up)));
}

static void about_movement(asker *it) {
    const ap_pick *p = &it->whole->pick;
    const ap_recon *r = &it->whole->recon;
    if (!p->movement) {
        ask_plain(it, "Which way did butt and tip go, how far, and did it swing or roll?");
    } else if (isnan(p->movement_distance_m)) {
        ask_plain(it, "How far did it move?");
    }
    if (disagrees(p, r)) {
        ask_plain(
            it,
            "The figures say it should have turned the other way than was seen. Which of lean, leg lengths or balance "
            "point is not as logged?");
    }
    if (p->toward == AP_TOWARD_CLIMBER || p->toward == AP_TOWARD_CREW) {
        ask_plain(it, "It moved toward a person. Where did that person stand, why there, and which way out was there?");
    } else if (!p->climber_at || isnan(p->climber_distance_m)) {
        ask_plain(it, "Where was the climber, how far from the cut, and on which side?");
    } else if (!r->no_movement.no && p->climber_side == AP_CLIMBER_SIDE_BUTT &&
               p->climber_distance_m <= r->butt_move_m) {
        ask(it, ap_doc_printf(
                    it->doc,
                    "The climber was %.*s away on the butt's side, and the butt had %.*s to go. What kept them apart?",
                    AP_STR_ARG(ap_doc_quantity(it->doc, AP_DIM_LENGTH, p->climber_distance_m, false)),
                    AP_STR_ARG(ap_doc_quantity(it->doc, AP_DIM_LENGTH, r->butt_move_m, false))));
    }
    if (p->movement & AP_MOVE_BIT(AP_MOVEMENT_SWING) && p->tag_line != AP_YESNO_YES) {
        ask_plain(it, "It swung. Was a tag line thought of, and what spoke against it?");
    }
}

static void about_report(asker *it) {
    const ap_pick *p = &it->whole->pick;
    if (p->near_miss != AP_YESNO_YES && !ap_harm_is_noted(p->damage)) {
        ask_plain(it, "It was not logged as a near miss. Would those who were there call it one?");
    }
    if (ap_str_is_blank(p->wind)) {
        ask_plain(it, "What were wind, light and footing like?");
    }
    ask_plain(it, "Was anything said between climber, operator and ground in the last minute, and was it understood?");
}

void ap_writeup_put_questions(ap_doc *doc, const ap_writeup_case *it) {
    for (size_t p = 0; p < it->count; p++) {
        asker asks = {.doc = doc, .whole = &it->picks[p]};
        if (it->count > 1) {
            ap_doc_section(doc, 3, asks.whole->pick.name, asks.whole->pick.name);
        }
        about_weight(&asks);
        about_chart(&asks);
        about_cut(&asks);
        about_slings(&asks);
        about_movement(&asks);
        about_report(&asks);
        if (asks.asked > QUESTIONS_MOST) {
            ap_doc_paragraph(doc, AP_STR_LIT("More is not recorded; these come first."));
        }
    }
}
