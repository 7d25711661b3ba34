#include "report/hang_page.h"

#include "mech/sling.h"
#include "mech/stiffness.h"
#include "report/recon_page.h"
#include "report/sentences.h"

static ap_str force(ap_doc *doc, double force_n) {
    return ap_doc_quantity(doc, AP_DIM_FORCE, force_n, false);
}

static ap_str length(ap_doc *doc, double length_m) {
    return ap_doc_quantity(doc, AP_DIM_LENGTH, length_m, false);
}

static ap_str lies(ap_doc *doc, double inclination_deg) {
    if (fabs(inclination_deg) < 0.05) {
        return AP_STR_LIT("level");
    }
    return ap_doc_printf(doc, "at %.1f°, %s higher", fabs(inclination_deg), inclination_deg > 0 ? "tip" : "butt");
}

/* "leg 1 carries 135 lb, leg 2 180 lb", "leg 1 is slack" */
static ap_str carried(ap_doc *doc, const ap_hang_said *said) {
    ap_str text = AP_STR_LIT("");
    bool verb = true;
    for (int i = 0; i < said->leg_count; i++) {
        const ap_hang_said_leg *leg = &said->legs[i];
        ap_str one = leg->slack ? ap_doc_printf(doc, "leg %d is slack", leg->number)
                                : ap_doc_printf(doc, "leg %d%s %.*s", leg->number, verb ? " carries" : "",
                                                AP_STR_ARG(force(doc, leg->tension_n)));
        verb = leg->slack;
        text = ap_doc_printf(doc, "%.*s%s%.*s", AP_STR_ARG(text), i ? ", " : "", AP_STR_ARG(one));
    }
    return text;
}

static ap_str answer(ap_doc *doc, const ap_hang_said *said) {
    ap_str rest = ap_doc_printf(doc, "It hangs %.*s: %.*s.", AP_STR_ARG(lies(doc, said->inclination_deg)),
                                AP_STR_ARG(carried(doc, said)));
    if (isnan(said->turn_deg)) {
        return rest;
    }
    ap_str turn = ap_say_turn(doc, said->turn_deg);
    if (isnan(said->butt_rise_m)) {
        return ap_doc_printf(doc, "%.*s When it parts: %.*s.", AP_STR_ARG(rest), AP_STR_ARG(turn));
    }
    return ap_doc_printf(doc, "%.*s When it parts: %.*s, the butt %.*s.", AP_STR_ARG(rest), AP_STR_ARG(turn),
                         AP_STR_ARG(ap_say_rise(doc, said->butt_rise_m)));
}

static void put_legs(ap_doc *doc, const ap_hang_ask *ask, const ap_hang_worked *worked) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("leg"), .label = AP_STR_LIT("leg"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("at"), .label = AP_STR_LIT("from the butt"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_LENGTH},
        {.key = AP_STR_LIT("length"), .label = AP_STR_LIT("length"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_LENGTH},
        {.key = AP_STR_LIT("carries"), .label = AP_STR_LIT("carries"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_FORCE},
        {.key = AP_STR_LIT("slack"), .label = AP_STR_LIT("slack"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_LENGTH},
        {.key = AP_STR_LIT("angle_deg"), .label = AP_STR_LIT("above level"), .kind = AP_CELL_NUMBER, .digits = 1},
        {.key = AP_STR_LIT("use"), .label = AP_STR_LIT("of its limit"), .kind = AP_CELL_PERCENT},
    };
    ap_table *table =
        ap_doc_table(doc, AP_STR_LIT("legs"), AP_STR_LIT("The legs"), columns, sizeof columns / sizeof *columns);
    ap_table_has_marks(table);
    for (int i = 0; i < ask->leg_count; i++) {
        const ap_hang_said_leg *leg = &worked->said.legs[i];
        ap_table_row(table);
        ap_table_value(table, leg->number);
        ap_table_value(table, ask->legs[i].at_m);
        ap_table_value(table, ask->legs[i].length_m);
        ap_table_value(table, leg->tension_n);
        ap_table_value(table, leg->slack_m);
        ap_table_value(table, leg->angle_deg);
        ap_table_value(table, leg->use);
        if (leg->use > 1.0 + 1e-9) {
            ap_table_row_mark(table, AP_STR_LIT("over its limit"));
        } else if (leg->slack) {
            ap_table_row_mark(table, AP_STR_LIT("slack"));
        } else if (ap_sling_is_flat(leg->angle_deg)) {
            ap_table_row_mark(table, AP_STR_LIT("under 30°"));
        }
    }
}

static void line(ap_table *table, const char *what, ap_str value) {
    if (value.len) {
        ap_table_row(table);
        ap_table_text(table, ap_str_from(what));
        ap_table_text(table, value);
    }
}

static ap_str roll_of(ap_doc *doc, const ap_hang_worked *worked) {
    double roll = worked->said.roll_deg;
    if (isnan(roll) || worked->rolls_freely || fabs(roll) < 0.05) {
        return AP_STR_NONE;
    }
    return ap_doc_printf(doc, "%.1f°, the %s side comes up", fabs(roll), roll > 0 ? "plus" : "minus");
}

static ap_str peak_of(ap_doc *doc, const ap_hang_worked *worked) {
    static const char *const causes[AP_PEAK_KINDS] = {"let go", "swing", "drop onto a slack leg"};
    if (!worked->peak_known) {
        return AP_STR_NONE;
    }
    return ap_doc_printf(doc, "%.*s to %.*s (%s)", AP_STR_ARG(force(doc, worked->peak.low_n)),
                         AP_STR_ARG(force(doc, worked->peak.high_n)), causes[worked->peak.kind]);
}

static void put_drops(ap_doc *doc, ap_table *table, const ap_hang_worked *worked) {
    for (int i = 0; i < worked->said.leg_count; i++) {
        const ap_hang_said_leg *leg = &worked->said.legs[i];
        if (!(leg->drop_before_bite_m > 0.0)) {
            continue;
        }
        ap_str text = ap_doc_printf(doc, "%.*s before it bites", AP_STR_ARG(length(doc, leg->drop_before_bite_m)));
        if (worked->peak_known && !isnan(worked->peak.leg_peak_n[i])) {
            text = ap_doc_printf(doc, "%.*s, then up to %.*s in it", AP_STR_ARG(text),
                                 AP_STR_ARG(force(doc, worked->peak.leg_peak_n[i])));
        }
        ap_table_row(table);
        ap_table_text(table, ap_doc_printf(doc, "drop onto leg %d", leg->number));
        ap_table_text(table, text);
    }
}

static void put_piece(ap_doc *doc, const ap_hang_worked *worked) {
    const ap_hang_said *said = &worked->said;
    const ap_column columns[] = {
        {.key = AP_STR_LIT("figure"), .label = AP_STR_LIT("figure"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("value"), .label = AP_STR_LIT("value"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("piece"), AP_STR_LIT("The piece"), columns, 2);
    line(table, "hangs", lies(doc, said->inclination_deg));
    line(table, "roll", roll_of(doc, worked));
    line(table, "hook, along from the butt", length(doc, said->hook_x_m));
    line(table, "hook, across from the axis", length(doc, said->hook_y_m));
    line(table, "turn when it parts", ap_say_turn(doc, said->turn_deg));
    line(table, "butt", ap_say_rise(doc, said->butt_rise_m));
    line(table, "tip", ap_say_rise(doc, said->tip_rise_m));
    put_drops(doc, table, worked);
    line(table, "peak on the slings", peak_of(doc, worked));
    if (!isnan(said->hook_load_kg)) {
        line(table, "load on the hook", ap_doc_quantity(doc, AP_DIM_LOAD, said->hook_load_kg, false));
    }
    if (!isnan(said->capacity_share)) {
        line(table, "of the rated capacity", ap_doc_percent(doc, said->capacity_share, 0));
    }
    if (!isnan(said->peak_capacity_share)) {
        line(table, "peak, of the rated capacity", ap_doc_percent(doc, said->peak_capacity_share, 0));
    }
}

static void put_others(ap_doc *doc, const ap_hang_worked *worked) {
    for (size_t i = 0; i < worked->other_count; i++) {
        const ap_space_rest *rest = &worked->others[i];
        ap_str roll = isnan(rest->roll_deg) || fabs(rest->roll_deg) < 0.05
                          ? AP_STR_LIT("")
                          : ap_doc_printf(doc, ", rolled %.1f° with the %s side up", fabs(rest->roll_deg),
                                          rest->roll_deg > 0 ? "plus" : "minus");
        ap_doc_list_item(doc, ap_doc_printf(doc, "It could also come to rest %.*s%.*s.",
                                            AP_STR_ARG(lies(doc, rest->inclination_deg)), AP_STR_ARG(roll)));
    }
}

/* The last digits differ from machine to machine and tell nothing. */
static ap_str left_over(ap_arena *arena, const ap_hang_said *said) {
    double share = said->residual_n / said->weight_n;
    return share <= 1e-9 ? AP_STR_LIT("less than a billionth of the weight")
                         : ap_arena_printf(arena, "%.1e of the weight", share);
}

/* The legs nearer the butt first, as the formula has them. */
static ap_str closed_working(ap_arena *arena, const ap_hang_ask *ask, const ap_hang_worked *worked) {
    const ap_hang_said *said = &worked->said;
    if (ask->leg_count == 1) {
        return ap_arena_printf(
            arena,
            "One leg: hook, attach point and centre of gravity in one plumb line; the leg carries the "
            "weight, %.6g N. The tensions leave %.*s.",
            ask->weight_n, AP_STR_ARG(left_over(arena, said)));
    }
    int first = ask->legs[1].at_m < ask->legs[0].at_m ? 1 : 0;
    const ap_hang_ask_leg *a = &ask->legs[first];
    const ap_hang_ask_leg *b = &ask->legs[1 - first];
    bool slack = said->legs[0].slack || said->legs[1].slack;
    return ap_arena_printf(
        arena,
        "In metres and newtons: attach points x1 = %.3f and x2 = %.3f from the butt, L1 = %.3f, L2 = %.3f, centre of "
        "gravity c = %.3f, W = %.6g. %s hook %.3f along, %.3f across; the hook hangs above c: inclination = atan2(hook "
        "along - c, hook across) = %.2f°. %s: %.6g N and %.6g N. They leave %.*s.",
        a->at_m, b->at_m, a->length_m, b->length_m, ask->cg_m, ask->weight_n,
        slack ? "With both legs straight one would have to push: it is slack and the piece hangs from the other,"
              : "Hook at x1 + (L1² - L2² + s²) / 2s along, s = x2 - x1:",
        said->hook_x_m, said->hook_y_m, said->inclination_deg,
        slack ? "Tensions" : "Tensions from the weight resolved along the legs", said->legs[first].tension_n,
        said->legs[1 - first].tension_n, AP_STR_ARG(left_over(arena, said)));
}

static ap_str springs_working(ap_arena *arena, const ap_hang_ask *ask, const ap_hang_worked *worked) {
    ap_str text = AP_STR_LIT("Each leg is a spring that pulls and never pushes:");
    for (int i = 0; i < ask->leg_count; i++) {
        text = ap_arena_printf(arena, "%.*s%s leg %d %.4g N/m", AP_STR_ARG(text), i ? "," : "", i + 1,
                               worked->stiffness_n_m[i]);
    }
    return ap_arena_printf(
        arena,
        "%.*s. Least potential energy over position and rotation by a quasi-Newton minimiser from several starts, then "
        "Newton's method on the equilibrium of the legs that carry; slack legs are found, not assumed. Force and "
        "moment "
        "left over: %.*s.%s",
        AP_STR_ARG(text), AP_STR_ARG(left_over(arena, &worked->said)),
        worked->rolls_freely ? " Attach points and centre of gravity lie in one line: it may roll about it." : "");
}

static ap_str working(ap_arena *arena, const ap_hang_ask *ask, const ap_hang_worked *worked) {
    return worked->by_springs ? springs_working(arena, ask, worked) : closed_working(arena, ask, worked);
}

static const char source[] = "statics. Sling and hitch factors: sling instruction sheet IS-17880 page 4, rigging "
                             "handouts. Peak: sudden load factor of 2; Gere & Goodno, Mechanics of Materials, problem "
                             "9.10-1; energy balance.";

static void put_working(ap_doc *doc, ap_arena *arena, const ap_hang_ask *ask, const ap_hang_worked *worked) {
    ap_doc_working_begin(doc, AP_STR_LIT("How this was worked out"));
    ap_doc_paragraph(doc, working(arena, ask, worked));
    if (!isnan(worked->said.turn_deg)) {
        ap_doc_paragraph(doc,
                         AP_STR_LIT("Turn = inclination at rest less the lean; positive, tip up. Butt and tip keep "
                                    "their places in the piece, the hook its place in the world."));
    }
    if (worked->peak_known) {
        ap_doc_paragraph(
            doc,
            ap_doc_printf(doc,
                          "Peak: let go from a pull P %s: max(P, W) to max(P, 2W - P)%s%s. No damping; a crane that "
                          "gives makes it less.",
                          isnan(ask->preload_n) ? "that is not given, taken as nothing" : "as given",
                          isnan(worked->peak.by_n[AP_PEAK_BY_SWING])
                              ? ""
                              : "; swing W (1 + 2 d² (1 - cos turn) / (k² + d²)), the piece as a uniform rod",
                          isnan(worked->peak.by_n[AP_PEAK_BY_DROP])
                              ? ""
                              : "; drop onto a slack leg T (1 + √(1 + 2 h k / T)), by kind the "
                                "stiffest of it"));
    }
    for (int i = 0; i < ask->leg_count; i++) {
        const ap_stiffness_kind *kind = ap_stiffness_find(ask->legs[i].kind);
        if (kind && isnan(ask->legs[i].stiffness_n_m)) {
            ap_doc_paragraph(doc,
                             ap_doc_printf(doc, "Leg %d, %s: stretches %.2g %% (%.2g to %.2g %%) at its limit; %s.",
                                           i + 1, ap_word_get(AP_VOC_LEG_KIND, kind->kind), 100 * kind->strain,
                                           100 * kind->strain_least, 100 * kind->strain_most, kind->source));
        }
        if (!isnan(ask->legs[i].wll_kg)) {
            ap_doc_paragraph(doc, ap_doc_printf(doc, "Leg %d: limit × %.2f for hitch and choke (%s).", i + 1,
                                                worked->use_factor[i], ap_sling_hitch_source(ask->legs[i].hitch)));
        }
    }
    ap_doc_paragraph(doc, ap_doc_printf(doc, "Source: %s", source));
    ap_doc_working_end(doc);
}

static void put_cautions(ap_doc *doc, const ap_hang_ask *ask, const ap_hang_worked *worked) {
    const ap_hang_said *said = &worked->said;
    for (int i = 0; i < ask->leg_count; i++) {
        const ap_hang_said_leg *leg = &said->legs[i];
        if (!leg->slack && ap_sling_is_flat(leg->angle_deg)) {
            ap_doc_caution(doc, ap_doc_printf(doc,
                                              "Leg %d lies %.1f° above level: under 30° a little stretch or a small "
                                              "mistake in length changes its load by much.",
                                              leg->number, leg->angle_deg));
        }
        if (leg->use > 1.0 + 1e-9) {
            ap_doc_caution(doc,
                           ap_doc_printf(doc, "Leg %d carries more than its limit with the factors given: %.*s of it.",
                                         leg->number, AP_STR_ARG(ap_doc_percent(doc, leg->use, 0))));
        }
    }
    if (worked->cg_outside) {
        ap_doc_caution(doc, AP_STR_LIT("The centre of gravity lies outside the attach points."));
    }
    if (worked->stiffness_assumed) {
        ap_doc_caution(doc,
                       AP_STR_LIT("No stiffness is given: each such leg is taken to stretch by 1 % of its length under "
                                  "the whole weight. With more legs than lengths can settle, who carries what depends "
                                  "on it."));
    }
    if (worked->before_cut[0]) {
        ap_doc_caution(doc,
                       ap_doc_printf(doc,
                                     "Before the cut not all legs can have carried: %.*s. Butt and tip are told as "
                                     "if all had been straight; give --states for which were not.",
                                     AP_STR_ARG(ap_say_quantities(doc, worked->before_cut))));
    }
    if (worked->no_movement[0]) {
        ap_doc_caution(doc, ap_doc_printf(doc, "How far butt and tip move is not known: %.*s.",
                                          AP_STR_ARG(ap_say_quantities(doc, worked->no_movement))));
    }
    if (said->capacity_share > 1.0 + 1e-9) {
        ap_doc_caution(doc, AP_STR_LIT("The load on the hook is above the rated capacity: over chart."));
    }
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
}

void ap_hang_page(ap_doc *doc, const ap_hang_ask *ask, const ap_hang_worked *worked) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 16);
    ap_doc_answer(doc, answer(doc, &worked->said));
    put_legs(doc, ask, worked);
    put_piece(doc, worked);
    put_others(doc, worked);
    put_working(doc, &arena, ask, worked);
    put_cautions(doc, ask, worked);
    ap_arena_release(&arena);
}

void ap_hang_page_json(ap_json *json, ap_arena *arena, const ap_hang_ask *ask, const ap_hang_worked *worked) {
    ap_json_object_begin(json);
    ap_hang_json(json, &worked->said);
    ap_json_key(json, "could_also");
    ap_json_array_begin(json);
    for (size_t i = 0; i < worked->other_count; i++) {
        ap_json_object_begin(json);
        ap_json_put_number(json, "inclination_deg", worked->others[i].inclination_deg);
        ap_json_put_number(json, "roll_deg", worked->others[i].roll_deg);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_put_text(json, "no_movement", worked->no_movement[0] ? ap_str_from(worked->no_movement) : AP_STR_NONE);
    ap_json_put_text(json, "before_cut", worked->before_cut[0] ? ap_str_from(worked->before_cut) : AP_STR_NONE);
    ap_json_put_bool(json, "stiffness_assumed", worked->stiffness_assumed);
    ap_json_put_text(json, "working", working(arena, ask, worked));
    ap_json_put_text(json, "source", ap_str_from(source));
    ap_json_object_end(json);
}
