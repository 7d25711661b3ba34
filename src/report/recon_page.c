#include "report/recon_page.h"

#include "report/hang_json.h"
#include "report/sentences.h"

static ap_str length_of(ap_doc *doc, double length_m) {
    return isnan(length_m) ? AP_STR_NONE : ap_doc_quantity(doc, AP_DIM_LENGTH, length_m, false);
}

static ap_str force_of(ap_doc *doc, double force_n) {
    return isnan(force_n) ? AP_STR_NONE : ap_doc_about(doc, AP_DIM_FORCE, force_n);
}

static ap_str read_load(ap_doc *doc, double load_kg) {
    return isnan(load_kg) ? AP_STR_NONE : ap_doc_quantity(doc, AP_DIM_LOAD, load_kg, false);
}

/* "1 ft 4 in up, 2 ft 1 in in all" */
static ap_str way(ap_doc *doc, double up_m, double move_m) {
    if (isnan(up_m)) {
        return AP_STR_NONE;
    }
    return ap_doc_printf(doc, "%.*s, %.*s in all", AP_STR_ARG(ap_say_rise(doc, up_m)),
                         AP_STR_ARG(length_of(doc, move_m)));
}

static ap_str lies_at(ap_doc *doc, double deg) {
    return isnan(deg) ? AP_STR_NONE : ap_doc_printf(doc, "%.0f°, %s higher", fabs(deg), deg >= 0 ? "tip" : "butt");
}

static ap_str rolls(ap_doc *doc, double deg) {
    return isnan(deg) || fabs(deg) < 0.5
               ? AP_STR_NONE
               : ap_doc_printf(doc, "%.0f°, the %s side up", fabs(deg), deg > 0 ? "plus" : "minus");
}

static ap_str peak_of(ap_doc *doc, const ap_recon *recon) {
    static const char *const causes[AP_PEAK_CAUSE_COUNT] = {"let go", "swing", "drop onto a slack leg"};
    if (recon->no_peak.no) {
        return AP_STR_NONE;
    }
    return ap_doc_printf(
        doc, "%.*s to %.*s (%s)",
        AP_STR_ARG(read_load(doc, recon->peak_low_n / AP_STANDARD_GRAVITY)), /* weight, or pull before */
        AP_STR_ARG(force_of(doc, recon->peak_high_n)), causes[recon->peak_cause]);
}

static ap_str leg_peak(ap_doc *doc, const ap_recon *recon) {
    for (int i = 0; i < recon->leg_count; i++) {
        if (!isnan(recon->legs[i].peak_n)) {
            return ap_doc_printf(doc, "leg %d up to %.*s", recon->legs[i].number,
                                 AP_STR_ARG(force_of(doc, recon->legs[i].peak_n)));
        }
    }
    return AP_STR_NONE;
}

static ap_str share_of(ap_doc *doc, double share) {
    return isnan(share) ? AP_STR_NONE : ap_doc_percent(doc, share, 0);
}

static ap_str seen_movement(ap_doc *doc, const ap_pick *pick) {
    if (!pick->movement) {
        return AP_STR_NONE;
    }
    ap_arena arena;
    ap_arena_init(&arena, 1u << 16);
    ap_str says = ap_say_movement(&arena, pick->movement);
    says = ap_doc_printf(doc, "%.*s%s%.*s", AP_STR_ARG(says), isnan(pick->movement_distance_m) ? "" : ", ",
                         AP_STR_ARG(length_of(doc, pick->movement_distance_m)));
    ap_arena_release(&arena);
    return says;
}

typedef struct line {
    const char *what;
    ap_str predicted;
    ap_str logged;
} line;

static void put_lines(ap_doc *doc, const char *id, const char *caption, const char *first, const char *second,
                      const line *lines, size_t count) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("figure"), .label = AP_STR_LIT("figure"), .kind = AP_CELL_TEXT},
        {.key = ap_str_from(first), .label = ap_str_from(first), .kind = AP_CELL_TEXT},
        {.key = ap_str_from(second), .label = ap_str_from(second), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, ap_str_from(id), ap_str_from(caption), columns, 3);
    for (size_t i = 0; i < count; i++) {
        if (lines[i].predicted.len || lines[i].logged.len) {
            ap_table_row(table);
            ap_table_text(table, ap_str_from(lines[i].what));
            ap_table_text(table, lines[i].predicted);
            ap_table_text(table, lines[i].logged);
        }
    }
}

static void put_seen(ap_doc *doc, const ap_recon_view *view) {
    const ap_recon *r = view->recon;
    const ap_pick *p = view->pick;
    const line lines[] = {
        {"before the cut", AP_STR_NONE, lies_at(doc, r->lean_deg.value)},
        {"hangs at", lies_at(doc, r->inclination_deg), AP_STR_NONE},
        {"roll", rolls(doc, r->roll_deg), AP_STR_NONE},
        {"turn", ap_say_turn(doc, r->turn_deg), AP_STR_NONE},
        {"butt", way(doc, r->butt_up_m, r->butt_move_m), seen_movement(doc, p)},
        {"tip", way(doc, r->tip_up_m, r->tip_move_m), AP_STR_NONE},
        {"centre of gravity", ap_say_rise(doc, r->cg_up_m), AP_STR_NONE},
        {"peak on the slings", peak_of(doc, r), AP_STR_NONE},
        {"peak of the leg that bites", leg_peak(doc, r), AP_STR_NONE},
        {"peak on the hook", isnan(r->peak_share) ? AP_STR_NONE : ap_say_worked_out_share(doc, r->peak_share),
         read_load(doc, p->peak_load_kg)},
    };
    put_lines(doc, "predicted", "Predicted against seen", "predicted", "logged", lines, sizeof lines / sizeof *lines);
}

/* "4,800 lb", "slack 1 ft 2 in" */
static ap_str carries(ap_doc *doc, const ap_recon_leg *leg) {
    if (leg->tight) {
        return isnan(leg->tension_n) ? AP_STR_LIT("tight") : force_of(doc, leg->tension_n);
    }
    return isnan(leg->slack_m) ? AP_STR_NONE
                               : ap_doc_printf(doc, "slack %.*s", AP_STR_ARG(length_of(doc, leg->slack_m)));
}

static ap_str before(ap_doc *doc, const ap_recon_leg *leg) {
    if (isnan(leg->start_slack_m)) {
        return AP_STR_NONE;
    }
    if (!(leg->start_slack_m > 0)) {
        return AP_STR_LIT("tight");
    }
    return isnan(leg->drop_m)
               ? ap_doc_printf(doc, "slack %.*s", AP_STR_ARG(length_of(doc, leg->start_slack_m)))
               : ap_doc_printf(doc, "slack %.*s, bites after a drop of %.*s",
                               AP_STR_ARG(length_of(doc, leg->start_slack_m)), AP_STR_ARG(length_of(doc, leg->drop_m)));
}

static void put_legs(ap_doc *doc, const ap_recon *recon) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("leg"), .label = AP_STR_LIT("leg"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("before"), .label = AP_STR_LIT("before the cut"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("after"), .label = AP_STR_LIT("carries at rest"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("angle"), .label = AP_STR_LIT("above level"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("use"), .label = AP_STR_LIT("of its limit"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("factor"), .label = AP_STR_LIT("hitch factor"), .kind = AP_CELL_NUMBER, .digits = 2},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("legs"), AP_STR_LIT("What each leg carried"), columns, 6);
    ap_table_has_marks(table);
    for (int i = 0; i < recon->leg_count; i++) {
        const ap_recon_leg *leg = &recon->legs[i];
        ap_table_row(table);
        ap_table_value(table, leg->number);
        ap_table_text(table, before(doc, leg));
        ap_table_text(table, carries(doc, leg));
        ap_table_text(table, isnan(leg->angle_deg) ? AP_STR_NONE : ap_doc_printf(doc, "%.0f°", leg->angle_deg));
        ap_table_value(table, leg->use);
        ap_table_value(table, leg->hitch_factor);
        if (ap_over(leg->use, 1)) {
            ap_table_row_mark(table, AP_STR_LIT("over its limit"));
        }
    }
}

/* A share of the limit rests on a hitch that nobody wrote down. */
static bool takes_straight(const ap_recon *r) {
    bool taken = false;
    for (int i = 0; i < r->leg_count; i++) {
        taken = taken || (r->legs[i].hitch_assumed && r->legs[i].use > 0);
    }
    return taken;
}

/* What stands in for what was not logged, and what the model leaves out. */
static void put_remarks(ap_doc *doc, const ap_recon *r) {
    if (r->weight_planned) {
        ap_doc_list_item(doc, AP_STR_LIT("It was not weighed: the planned weight stands in."));
    }
    if (takes_straight(r)) {
        ap_doc_list_item(doc,
                         AP_STR_LIT("Where no hitch is logged the whole limit of a straight pull is counted: a choker "
                                    "or a knot leaves less of it, and the share would be larger."));
    }
    if (r->cg_m.from == AP_ORIGIN_LOG) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "Balance point %.*s from the butt, as logged.",
                                            AP_STR_ARG(length_of(doc, r->cg_m.value))));
    } else if (!isnan(r->cg_m.value)) {
        ap_str brush = ap_doc_percent(doc, r->brush.value, 0);
        ap_doc_list_item(
            doc, ap_doc_printf(doc,
                               "Balance point %.*s from the butt, worked out from the diameters and brush of %.*s of "
                               "the stem's weight (%s).",
                               AP_STR_ARG(length_of(doc, r->cg_m.value)), AP_STR_ARG(brush),
                               r->brush.from == AP_ORIGIN_LOG       ? "logged"
                               : r->brush.from == AP_ORIGIN_SETTING ? "a default, common practice without a source"
                               : r->brush.from == AP_ORIGIN_LEARNT  ? "learnt from weighed pieces of its kind"
                                                                    : "a stem piece is taken as bare"));
    }
    if (r->on_axis && r->leg_count) {
        ap_doc_list_item(doc, AP_STR_LIT("No diameters are logged: the slings are taken to pull at the axis."));
    }
    if (r->balancers) {
        ap_doc_list_item(doc,
                         AP_STR_LIT("A balancer is logged and left out: it may have held the piece from turning."));
    }
    if (!r->no_peak.no && r->peak_cause == AP_PEAK_DROP) {
        ap_doc_list_item(doc,
                         AP_STR_LIT("The upper end of the peak is a limit, not a forecast: the stiffest sling of its "
                                    "kind, no damping, a crane that does not give."));
    }
    if (!r->no_peak.no && r->peak_cause == AP_PEAK_RELEASE && r->preload_n.from == AP_ORIGIN_NONE) {
        ap_doc_list_item(
            doc, AP_STR_LIT("The preload is not logged: the peak is bracketed by none and by the whole weight."));
    }
    if (r->elastic) {
        ap_doc_list_item(doc,
                         AP_STR_LIT("Worked out in space with elastic legs: who carries what rests on how stiff slings "
                                    "of these kinds are, which is known roughly."));
    }
    if (!isnan(r->other_deg)) {
        ap_doc_list_item(
            doc, ap_doc_printf(doc, "It could also come to rest at %.*s.", AP_STR_ARG(lies_at(doc, r->other_deg))));
    }
    if (fabs(r->roll_deg) >= 0.5) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "It rolls by %.0f° about its axis.", fabs(r->roll_deg)));
    }
    if (r->cg_outside) {
        ap_doc_list_item(doc, AP_STR_LIT("The centre of gravity lies outside the slings."));
    }
}

void ap_recon_put(ap_doc *doc, const ap_recon_view *view) {
    ap_doc_answer(doc, ap_say_recon(doc, view->recon));
    if (view->recon->no_hang.no) {
        return;
    }
    put_seen(doc, view);
    put_legs(doc, view->recon);
    put_remarks(doc, view->recon);
}

void ap_recon_put_supposed(ap_doc *doc, const ap_recon_view *logged, const ap_recon_view *supposed) {
    const ap_recon *a = logged->recon;
    const ap_recon *b = supposed->recon;
    ap_doc_answer(doc, ap_doc_printf(doc, "Supposed: %.*s", AP_STR_ARG(ap_say_recon(doc, b))));
    const line lines[] = {
        {"weight on the slings", read_load(doc, a->weight_n.value / AP_STANDARD_GRAVITY),
         read_load(doc, b->weight_n.value / AP_STANDARD_GRAVITY)},
        {"hangs at", lies_at(doc, a->inclination_deg), lies_at(doc, b->inclination_deg)},
        {"turn", ap_say_turn(doc, a->turn_deg), ap_say_turn(doc, b->turn_deg)},
        {"butt", way(doc, a->butt_up_m, a->butt_move_m), way(doc, b->butt_up_m, b->butt_move_m)},
        {"tip", way(doc, a->tip_up_m, a->tip_move_m), way(doc, b->tip_up_m, b->tip_move_m)},
        {"first leg carries", carries(doc, &a->legs[0]), carries(doc, &b->legs[0])},
        {"second leg carries", a->leg_count > 1 ? carries(doc, &a->legs[1]) : AP_STR_NONE,
         b->leg_count > 1 ? carries(doc, &b->legs[1]) : AP_STR_NONE},
        {"most used leg", share_of(doc, a->worst_use), share_of(doc, b->worst_use)},
        {"peak on the slings", peak_of(doc, a), peak_of(doc, b)},
        {"of the chart", share_of(doc, a->capacity_share), share_of(doc, b->capacity_share)},
    };
    put_lines(doc, "supposed", "As logged beside as supposed", "as logged", "as supposed", lines,
              sizeof lines / sizeof *lines);
    ap_doc_paragraph(
        doc, AP_STR_LIT("A what-if for a review of what happened. It changes nothing in the book and plans no lift."));
}

static void put_reason(ap_json *json, const char *key, const ap_recon_reason *reason) {
    ap_buf text;
    ap_buf_init(&text, 1024);
    ap_recon_say_reason(&text, reason);
    ap_json_put_text(json, key, reason->no ? ap_buf_str(&text) : AP_STR_NONE);
    ap_buf_release(&text);
}

static void say_hang(ap_hang_said *said, const ap_recon *r) {
    said->hang_known = !r->no_hang.no;
    said->inclination_deg = r->inclination_deg;
    said->turn_deg = r->turn_deg;
    said->roll_deg = r->roll_deg;
    said->butt_rise_m = r->butt_up_m;
    said->tip_rise_m = r->tip_up_m;
    said->butt_way_m = r->butt_move_m;
    said->tip_way_m = r->tip_move_m;
    said->hook_x_m = r->hook_x_m;
    said->hook_y_m = r->hook_y_m;
    said->cg_m = r->cg_m.value;
    said->weight_n = r->weight_n.value;
    said->weight_planned = r->weight_planned;
    said->residual_n = r->residual_n;
    said->leg_count = r->leg_count;
    for (int i = 0; i < r->leg_count; i++) {
        const ap_recon_leg *leg = &r->legs[i];
        said->legs[i] = (ap_hang_said_leg){
            .number = leg->number,
            .tension_n = leg->tension_n,
            .slack = !leg->tight,
            .slack_m = leg->slack_m,
            .angle_deg = leg->angle_deg,
            .use = leg->use,
            .slack_before_m = leg->start_slack_m,
            .drop_before_bite_m = leg->drop_m,
        };
    }
}

void ap_recon_json(ap_json *json, const ap_recon *recon) {
    ap_hang_said said = AP_HANG_SAID_NOTHING;
    say_hang(&said, recon);
    if (!recon->no_peak.no) {
        said.peak_low_n = recon->peak_low_n;
        said.peak_high_n = recon->peak_high_n;
        said.peak_cause = ap_recon_cause_name(recon->peak_cause);
        said.preload_logged = recon->preload_n.from == AP_ORIGIN_LOG;
        said.peak_capacity_share = recon->peak_share;
    }
    said.hook_load_kg = recon->hook_load_kg;
    said.hook_load_planned = recon->hook_planned;
    said.capacity_share = recon->capacity_share;
    ap_hang_json(json, &said);
    ap_json_put_number(json, "brush_allowance", recon->brush.value);
    ap_json_put_number(json, "other_inclination_deg", recon->other_deg);
    put_reason(json, "no_hang", &recon->no_hang);
    put_reason(json, "no_movement", &recon->no_movement);
    put_reason(json, "no_peak", &recon->no_peak);
}
