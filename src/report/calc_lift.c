#include "report/calc_lift.h"

#include "mech/impact.h"
#include "mech/sling.h"
#include "page/number.h"
#include "report/sentences.h"

static ap_str quantity(ap_arena *arena, ap_unit_system units, ap_dim dim, double si) {
    char text[AP_NUMBER_SIZE];
    ap_quantity_text(text, units, dim, false, si);
    return ap_arena_printf(arena, "%s", text);
}

/* As people read it and in newtons: slings are rated in the one, formulas work in the other. */
static ap_str force(ap_arena *arena, ap_unit_system units, double force_n) {
    char newtons[AP_NUMBER_SIZE];
    ap_number_text(newtons, force_n, fabs(force_n) < 100.0 ? 1 : 0, true);
    return ap_arena_printf(arena, "%.*s (%s N)", AP_STR_ARG(quantity(arena, units, AP_DIM_FORCE, force_n)), newtons);
}

static ap_str caution(void) {
    return ap_str_from(ap_say_caution);
}

ap_status ap_calc_drop(ap_calc *out, ap_arena *arena, ap_unit_system units, double weight_n, double drop_m,
                       double stiffness_n_m, const char *stiffness_from, ap_error *err) {
    double peak_n = 0.0;
    ap_status status = ap_impact_drop(&peak_n, weight_n, drop_m, stiffness_n_m, err);
    if (status != AP_OK) {
        return status;
    }
    double stretch = weight_n / stiffness_n_m;
    double factor = peak_n / weight_n;
    *out = (ap_calc){
        .answer = ap_arena_printf(arena, "The drop multiplies the load by %.2f: the sling peaks at %.*s.", factor,
                                  AP_STR_ARG(force(arena, units, peak_n))),
        .working =
            ap_arena_printf(arena,
                            "W = %.6g N, h = %.6g m, k = %.6g N/m%s: at rest it stretches d = W/k = %.4g m; peak = W "
                            "(1 + √(1 + 2h/d)) = "
                            "%.6g N, when it has stretched %.4g m. Energy balance, no damping, the sling's own mass "
                            "left out; a crane and a "
                            "hitch that give make it less.",
                            weight_n, drop_m, stiffness_n_m, stiffness_from, stretch, peak_n, peak_n / stiffness_n_m),
        .source = AP_STR_LIT("Gere & Goodno, Mechanics of Materials, problems 2.8-5 and 9.10-1."),
        .caution = caution(),
    };
    ap_calc_number(out, "factor", "peak / load at rest", factor);
    ap_calc_quantity(out, "peak_n", "peak in the sling", peak_n, AP_DIM_FORCE, false);
    ap_calc_quantity(out, "static_stretch_m", "stretch at rest", stretch, AP_DIM_LENGTH, true);
    ap_calc_quantity(out, "peak_stretch_m", "stretch at the peak", peak_n / stiffness_n_m, AP_DIM_LENGTH, true);
    ap_calc_quantity(out, "weight_n", "load at rest", weight_n, AP_DIM_FORCE, false);
    ap_calc_quantity(out, "drop_m", "drop before it bites", drop_m, AP_DIM_LENGTH, true);
    ap_calc_number(out, "stiffness_n_m", "stiffness, N/m", stiffness_n_m);
    return AP_OK;
}

static ap_status sling_tension(double *out_n, ap_str *how, ap_arena *arena, const ap_calc_sling *ask, ap_error *err) {
    if (!isnan(ask->tension_n)) {
        *out_n = ask->tension_n;
        *how = ap_arena_printf(arena,
                               "T = %.6g N as given: a tension that was worked out already holds the angle, so no "
                               "angle factor.",
                               ask->tension_n);
        return AP_OK;
    }
    if (isnan(ask->load_n) || isnan(ask->angle_deg)) {
        return ap_error_set(err, AP_E_USAGE,
                            "give --tension, or --load and --angle; see 'afterpick calc sling --help'");
    }
    int carrying = ap_sling_legs_carrying(ask->legs);
    ap_status status = ap_sling_equal_tension(out_n, ask->load_n, carrying, ask->angle_deg, err);
    if (status == AP_OK && ask->legs > 4) {
        status = ap_error_set(err, AP_E_DOMAIN, "%d legs are outside 1 to 4", ask->legs);
    }
    if (status == AP_OK) {
        *how = ap_arena_printf(arena, "T = W / (n sin a) = %.6g / (%d sin %g°) = %.6g N, factor 1/sin a = %.3f%s.",
                               ask->load_n, carrying, ask->angle_deg, *out_n, *out_n * carrying / ask->load_n,
                               carrying < ask->legs ? "; of four legs on a rigid load two are counted" : "");
    }
    return status;
}

ap_status ap_calc_sling_use(ap_calc *out, ap_arena *arena, ap_unit_system units, const ap_calc_sling *ask,
                            ap_error *err) {
    double tension = 0.0;
    double choke = 1.0;
    double use = NAN;
    double hitch = ap_sling_hitch_factor(ask->hitch, ask->kind);
    ap_str how = AP_STR_NONE;
    ap_status status = sling_tension(&tension, &how, arena, ask, err);
    if (status == AP_OK && !isnan(ask->choke_deg)) {
        status = ap_sling_choke_factor(&choke, ask->choke_deg, err);
    }
    if (status == AP_OK && !isnan(ask->wll_kg)) {
        status = ap_sling_use(&use, tension, ask->wll_kg, hitch, choke, ask->factor, err);
    }
    if (status != AP_OK) {
        return status;
    }
    double limit_kg = ask->wll_kg * hitch * choke * ask->factor;
    bool flat = !isnan(ask->angle_deg) && ap_sling_is_flat(ask->angle_deg);
    ap_str carries = force(arena, units, tension);
    ap_str flagged = flat ? ap_arena_printf(arena, " At %g° it is flatter than 30°.", ask->angle_deg) : AP_STR_LIT("");
    *out = (ap_calc){
        .answer = isnan(use)
                      ? ap_arena_printf(arena, "The leg carries %.*s.%.*s", AP_STR_ARG(carries), AP_STR_ARG(flagged))
                      : ap_arena_printf(arena, "The leg carries %.*s, %.0f %% of its limit of %.*s%s.%.*s",
                                        AP_STR_ARG(carries), 100 * use,
                                        AP_STR_ARG(quantity(arena, units, AP_DIM_LOAD, limit_kg)),
                                        use > 1.0 + 1e-9 ? ": over its limit" : "", AP_STR_ARG(flagged)),
        .working =
            ap_arena_printf(arena, "%.*s%s", AP_STR_ARG(how),
                            isnan(use) ? "" : " Use = T / (limit on the tag × g × hitch × choke × company factor)."),
        .source = ap_arena_printf(arena,
                                  "sling angle tables printed by several sling makers (1/sin); sling instruction sheet "
                                  "IS-17880, page 4 (angle of choke); hitch: %s; NAVEDTRA 14081 (four legs).",
                                  ap_sling_hitch_source(ask->hitch)),
        .caution = flat ? ap_arena_printf(arena,
                                          "Under 30° a little stretch or a small mistake in length changes the load by "
                                          "much. %s",
                                          ap_say_caution)
                        : caution(),
    };
    ap_calc_quantity(out, "tension_n", "tension", tension, AP_DIM_FORCE, false);
    ap_calc_number(out, "use", "share of the factored limit", use);
    ap_calc_quantity(out, "limit_kg", "limit with all factors", limit_kg, AP_DIM_LOAD, false);
    ap_calc_quantity(out, "wll_kg", "working load limit on the tag", ask->wll_kg, AP_DIM_LOAD, false);
    ap_calc_number(out, "hitch_factor", "hitch factor", hitch);
    ap_calc_number(out, "choke_factor", "choke angle factor", choke);
    ap_calc_number(out, "company_factor", "company's factor", ask->factor);
    ap_calc_number(out, "angle_deg", "leg above level, degrees", ask->angle_deg);
    ap_calc_word(out, "flat", "flatter than 30°", flat ? AP_STR_LIT("yes") : AP_STR_LIT("no"));
    return AP_OK;
}

static ap_str chart_row(ap_arena *arena, ap_unit_system units, const ap_capacity *found) {
    ap_str boom =
        isnan(found->boom_m)
            ? AP_STR_LIT("")
            : ap_arena_printf(arena, ", boom %.*s", AP_STR_ARG(quantity(arena, units, AP_DIM_LENGTH, found->boom_m)));
    return ap_arena_printf(arena, "Chart row: radius %.*s%.*s%s. ",
                           AP_STR_ARG(quantity(arena, units, AP_DIM_LENGTH, found->radius_m)), AP_STR_ARG(boom),
                           found->between_rows ? " (between rows: the smaller capacity on either side, never between)"
                                               : "");
}

ap_status ap_calc_capacity_use(ap_calc *out, ap_arena *arena, ap_unit_system units, const ap_calc_capacity *ask,
                               ap_error *err) {
    double gross = ask->capacity_kg;
    double net = 0.0;
    double hook = NAN;
    ap_capacity found = {.boom_m = NAN, .radius_m = NAN};
    ap_status status = AP_OK;
    if (ask->rows) {
        status = ap_capacity_find(&found, ask->rows, ask->row_count, &ask->at, err);
        gross = found.capacity_kg;
    }
    if (status == AP_OK) {
        status = ap_capacity_net(&net, gross, ask->deductions_kg, ask->deduction_count, err);
    }
    if (status == AP_OK && !isnan(ask->piece_kg)) {
        status = ap_capacity_hook_load(&hook, ask->piece_kg, ask->deductions_kg, ask->deduction_count, err);
    }
    if (status != AP_OK) {
        return status;
    }
    double share = hook / gross;
    ap_str left = quantity(arena, units, AP_DIM_LOAD, net);
    ap_str row = ask->rows ? chart_row(arena, units, &found) : AP_STR_LIT("");
    ap_str answer;
    if (isnan(hook)) {
        answer = net > 0.0 ? ap_arena_printf(arena, "%.*s are left for the piece.", AP_STR_ARG(left))
                           : ap_arena_printf(arena, "Nothing is left for a piece.");
    } else {
        answer = ap_arena_printf(arena, "%.*s on the hook, %.0f %% of the rated capacity%s; %.*s are left for a piece.",
                                 AP_STR_ARG(quantity(arena, units, AP_DIM_LOAD, hook)), 100 * share,
                                 share > 1.0 + 1e-9 ? ": over chart" : "",
                                 AP_STR_ARG(quantity(arena, units, AP_DIM_LOAD, fmax(net, 0.0))));
    }
    *out = (ap_calc){
        .answer = answer,
        .working =
            ap_arena_printf(arena,
                            "%.*sLeft for the piece = rated capacity (gross) less what else hangs on the hook, "
                            "%.*s; load on the hook = the piece and that; share = load on the hook / rated capacity.",
                            AP_STR_ARG(row), AP_STR_ARG(quantity(arena, units, AP_DIM_LOAD, gross - net))),
        .source = AP_STR_LIT("BC Association for Crane Safety, load chart practice quiz, with its note 6."),
        .caution = caution(),
    };
    ap_calc_quantity(out, "capacity_kg", "rated capacity, gross", gross, AP_DIM_LOAD, false);
    ap_calc_quantity(out, "deductions_kg", "block, slings, gear", gross - net, AP_DIM_LOAD, false);
    ap_calc_quantity(out, "net_kg", "left for the piece", net, AP_DIM_LOAD, false);
    ap_calc_quantity(out, "piece_kg", "piece", ask->piece_kg, AP_DIM_LOAD, false);
    ap_calc_quantity(out, "hook_load_kg", "load on the hook", hook, AP_DIM_LOAD, false);
    ap_calc_number(out, "capacity_share", "share of the rated capacity", share);
    if (ask->rows) {
        ap_calc_quantity(out, "row_radius_m", "radius of the chart row", found.radius_m, AP_DIM_LENGTH, false);
        ap_calc_quantity(out, "row_boom_m", "boom of the chart row", found.boom_m, AP_DIM_LENGTH, false);
    }
    return AP_OK;
}
