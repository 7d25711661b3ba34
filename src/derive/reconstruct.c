#include "derive/reconstruct.h"

#include "derive/reconstruct_parts.h"
#include "mech/balance.h"
#include "mech/sling.h"
#include "mech/stiffness.h"

static const double DEGREE = 3.14159265358979323846 / 180.0;

ap_recon_reason ap_recon_said(void) {
    return (ap_recon_reason){.no = AP_RECON_SAID};
}

ap_recon_reason ap_recon_because(ap_recon_no no, int leg) {
    return (ap_recon_reason){.no = no, .leg = leg};
}

ap_recon_reason ap_recon_clash(const ap_error *err) {
    ap_recon_reason reason = {.no = AP_RECON_CLASH};
    snprintf(reason.text, sizeof reason.text, "%.*s", AP_RECON_TEXT_MAX - 1, err->text);
    return reason;
}

static ap_recon_value logged(double value) {
    return (ap_recon_value){value, isnan(value) ? AP_ORIGIN_NONE : AP_ORIGIN_LOG};
}

/* --- what it is worked out from ---------------------------------------------------------------------------------- */

/* [R2] Straight between the logged diameters; NaN when an end is not logged. */
double ap_recon_stem_radius(const ap_pick *pick, double at_m) {
    double butt = pick->butt_diameter_m;
    double tip = pick->tip_diameter_m;
    double share = fmin(fmax(at_m / pick->length_m, 0.0), 1.0);
    if (isnan(pick->mid_diameter_m)) {
        return (butt + (tip - butt) * share) / 2.0;
    }
    double mid = pick->mid_diameter_m;
    double diameter = share < 0.5 ? butt + (mid - butt) * 2.0 * share : mid + (tip - mid) * (2.0 * share - 1.0);
    return diameter / 2.0;
}

double ap_recon_brush_default(int piece, int foliage) {
    if (!foliage || (piece != AP_PIECE_TOP && piece != AP_PIECE_LIMB && piece != AP_PIECE_LEADER)) {
        return NAN;
    }
    return (piece == AP_PIECE_LEADER ? 0.10 : 0.20) * (foliage == AP_FOLIAGE_LEAF_OFF ? 0.5 : 1.0);
}

/* [R3] The wood's balance point is that of the stem alone while its brush is not known. */
static ap_recon_reason set_balance(ap_recon *out, const ap_pick *pick, const ap_wood *wood,
                                   const ap_settings *settings) {
    out->cg_m = (ap_recon_value){wood->cg_m.value, wood->cg_m.from};
    out->brush = (ap_recon_value){wood->brush_allowance.value, wood->brush_allowance.from};
    if (isnan(out->cg_m.value)) {
        return ap_recon_because(AP_RECON_NO_BALANCE, 0);
    }
    if (out->cg_m.from == AP_ORIGIN_LOG || !isnan(out->brush.value)) {
        return ap_recon_said();
    }
    double share = NAN;
    double cg = NAN;
    ap_error err = {0};
    out->brush.value = ap_recon_brush_default(pick->piece, pick->foliage);
    if (isnan(out->brush.value)) {
        return ap_recon_because(AP_RECON_NO_BRUSH, 0);
    }
    out->brush.from = AP_ORIGIN_SETTING;
    if (ap_balance_share(&share, out->brush.value, &err) != AP_OK ||
        ap_balance_with_brush(&cg, wood->cg_m.value, share, settings->brush_at * pick->length_m, &err) != AP_OK) {
        return ap_recon_clash(&err);
    }
    out->cg_m.value = cg;
    return ap_recon_said();
}

static void set_weight(ap_recon *out, const ap_derived *derived) {
    bool measured = derived->measured_net_kg > 0;
    double net = measured ? derived->measured_net_kg : derived->planned_net_kg;
    bool known = net > 0;
    out->weight_n.value = known ? net * AP_STANDARD_GRAVITY : NAN;
    out->weight_n.from = !known ? AP_ORIGIN_NONE : measured ? AP_ORIGIN_LOG : AP_ORIGIN_DERIVED;
    out->weight_planned = known && !measured;
    out->hook_planned = isnan(derived->hook_kg);
    out->hook_load_kg = out->hook_planned ? derived->hook_planned_kg : derived->hook_kg;
    out->capacity_share = out->hook_planned ? derived->share_planned : derived->share_worst;
}

/* A balancer without a length cannot be told from one that hangs loose. */
bool ap_recon_leg_carries(const ap_leg *leg) {
    bool blank = !leg->kind && !leg->hitch && !leg->state && isnan(leg->at_m) && isnan(leg->length_m) &&
                 isnan(leg->wll_kg) && !leg->tag.ptr;
    return !blank && (leg->kind != AP_LEG_KIND_BALANCER || !isnan(leg->length_m));
}

/* On the surface, unless the log has no diameters. */
static double off_axis(ap_recon *out, const ap_pick *pick, double at_m) {
    double radius = ap_recon_stem_radius(pick, at_m);
    out->on_axis = out->on_axis || isnan(radius);
    return isnan(radius) ? 0.0 : radius;
}

/* [R5] */
static double stiffness_of(int kind, double wll_kg, double length_m) {
    ap_stiffness stiffness;
    ap_error ignored;
    return wll_kg > 0 && length_m > 0 && ap_stiffness_of_leg(&stiffness, kind, wll_kg, length_m, &ignored) == AP_OK
               ? stiffness.most_n_m
               : NAN;
}

/* A basket counts as one part: the angle between its parts is not logged. */
static void add_leg(ap_recon *out, const ap_pick *pick, int index) {
    const ap_leg *leg = &pick->legs[index];
    ap_recon_leg added = {
        .number = index + 1,
        .at_m = leg->at_m,
        .length_m = leg->length_m,
        .off_m = off_axis(out, pick, leg->at_m),
        .wll_kg = leg->wll_kg,
        .side_m = isnan(leg->side_m) ? 0.0 : leg->side_m,
        .kind = leg->kind,
        .stiffness_n_m = stiffness_of(leg->kind, leg->wll_kg, leg->length_m),
        .hitch_factor = fmin(ap_sling_hitch_factor(leg->hitch, leg->kind), 1.0),
        .hitch_assumed = leg->hitch == 0,
        .slack_m = NAN,
        .tension_n = NAN,
        .angle_deg = NAN,
        .use = NAN,
        .start_slack_m = NAN,
        .fall_m = NAN,
        .drop_m = NAN,
        .peak_n = NAN,
    };
    int place = out->leg_count++;
    while (place > 0 && out->legs[place - 1].at_m > added.at_m) {
        out->legs[place] = out->legs[place - 1];
        place--;
    }
    out->legs[place] = added;
}

/* What is entered for the slings' tags: the limit where none is logged, and the factor for hitch or knot. */
static void use_entries(ap_recon *out, const ap_pick *pick, const ap_company *company) {
    for (int i = 0; i < out->leg_count; i++) {
        ap_recon_leg *leg = &out->legs[i];
        const ap_sling_entry *entry = ap_company_sling(company, pick->legs[leg->number - 1].tag);
        leg->wll_from = leg->wll_kg > 0 ? AP_ORIGIN_LOG : AP_ORIGIN_NONE;
        leg->hitch_from = AP_ORIGIN_LOG;
        if (entry && leg->wll_from == AP_ORIGIN_NONE && entry->wll_kg > 0) {
            leg->wll_kg = entry->wll_kg;
            leg->wll_from = AP_ORIGIN_SLING;
            leg->stiffness_n_m = stiffness_of(leg->kind ? leg->kind : entry->kind, leg->wll_kg, leg->length_m);
        }
        if (entry && entry->factor > 0) {
            leg->hitch_factor = entry->factor;
            leg->hitch_from = AP_ORIGIN_SLING;
            leg->hitch_assumed = false;
        }
    }
}

static ap_recon_reason collect_legs(ap_recon *out, const ap_pick *pick) {
    for (int i = 0; i < pick->leg_count; i++) {
        if (ap_recon_leg_carries(&pick->legs[i])) {
            add_leg(out, pick, i);
        }
        out->balancers += pick->legs[i].kind == AP_LEG_KIND_BALANCER && !ap_recon_leg_carries(&pick->legs[i]);
    }
    if (out->leg_count == 0) {
        return ap_recon_because(AP_RECON_NO_LEGS, 0);
    }
    for (int i = 0; i < out->leg_count; i++) {
        const ap_recon_leg *leg = &out->legs[i];
        if (isnan(leg->at_m) || isnan(leg->length_m)) {
            return ap_recon_because(AP_RECON_LEG_BLANK, leg->number);
        }
        if (leg->at_m < 0 || ap_over(leg->at_m, pick->length_m)) {
            return ap_recon_because(AP_RECON_LEG_OFF_PIECE, leg->number);
        }
    }
    return ap_recon_said();
}

static bool to_the_side(const ap_recon *recon, const ap_pick *pick) {
    bool side = !isnan(pick->side_offset_m) && pick->side_offset_m != 0.0;
    for (int i = 0; i < recon->leg_count; i++) {
        side = side || recon->legs[i].side_m != 0.0;
    }
    return side;
}

static bool in_space(const ap_recon *recon, const ap_pick *pick) {
    return to_the_side(recon, pick) || recon->leg_count > 2;
}

/* --- at rest ------------------------------------------------------------------------------------------------------ */

static void mech_legs(ap_hang_leg legs[2], const ap_recon *recon) {
    for (int i = 0; i < 2; i++) {
        legs[i] = (ap_hang_leg){recon->legs[i].at_m, recon->legs[i].length_m, recon->legs[i].off_m};
    }
}

/* What is left of the weight after the tensions, as a force in the world. */
static double residual(const ap_recon *recon) {
    double c = cos(recon->inclination_deg * DEGREE);
    double s = sin(recon->inclination_deg * DEGREE);
    double x = 0.0;
    double y = -recon->weight_n.value;
    for (int i = 0; i < recon->leg_count; i++) {
        const ap_recon_leg *leg = &recon->legs[i];
        double dx = recon->hook_x_m - leg->at_m;
        double dy = recon->hook_y_m - leg->off_m;
        if (!(leg->tension_n > 0)) { /* a slack leg may be attached right under the hook */
            continue;
        }
        double length = hypot(dx, dy);
        x += leg->tension_n * (dx * c - dy * s) / length;
        y += leg->tension_n * (dx * s + dy * c) / length;
    }
    return hypot(x, y);
}

void ap_recon_set_leg(ap_recon *recon, int index, double tension_n, double angle_deg, double slack_m, bool tight) {
    ap_recon_leg *leg = &recon->legs[index];
    leg->tight = tight;
    leg->slack_m = slack_m;
    leg->angle_deg = angle_deg;
    leg->tension_n = isnan(recon->weight_n.value) ? NAN : tension_n;
    ap_error ignored;
    if (leg->wll_kg > 0 && leg->tension_n >= 0 &&
        ap_sling_use(&leg->use, leg->tension_n, leg->wll_kg, leg->hitch_factor, 1.0, 1.0, &ignored) != AP_OK) {
        leg->use = NAN;
    }
    recon->worst_use = fmax(recon->worst_use, leg->use);
    if (tight) {
        recon->flattest_deg = fmin(recon->flattest_deg, angle_deg);
    }
}

static ap_recon_reason hang_at_rest(ap_recon *out, ap_hang *hang) {
    ap_hang_leg legs[2];
    ap_error err = {0};
    mech_legs(legs, out);
    double weight = isnan(out->weight_n.value) ? 1.0 : out->weight_n.value;
    ap_status status = out->leg_count == 2 ? ap_hang_two_legs(hang, legs, out->cg_m.value, weight, &err)
                                           : ap_hang_one_leg(hang, legs, out->cg_m.value, weight, &err);
    if (status != AP_OK) {
        return ap_recon_clash(&err);
    }
    out->inclination_deg = hang->inclination_deg;
    out->hook_x_m = hang->hook_x_m;
    out->hook_y_m = hang->hook_y_m;
    out->hook_side_m = 0.0;
    out->roll_deg = 0.0;
    out->cg_outside = hang->cg_outside;
    for (int i = 0; i < out->leg_count; i++) {
        ap_recon_set_leg(out, i, hang->tension_n[i], hang->leg_angle_deg[i], hang->slack_m[i], hang->tight[i]);
    }
    out->residual_n = isnan(out->weight_n.value) ? NAN : residual(out);
    return ap_recon_said();
}

/* --- from the last fibre to there --------------------------------------------------------------------------------- */

static int state_of(const ap_pick *pick, const ap_recon_leg *leg) {
    return pick->legs[leg->number - 1].state;
}

static ap_recon_reason check_states(const ap_recon *out, const ap_pick *pick) {
    bool tight = false;
    for (int i = 0; i < out->leg_count; i++) {
        int state = state_of(pick, &out->legs[i]);
        if (state == 0) {
            return ap_recon_because(AP_RECON_NO_STATE, out->legs[i].number);
        }
        tight = tight || state == AP_LEG_STATE_TIGHT || (out->leg_count == 1 && state == AP_LEG_STATE_SNUG);
    }
    return tight ? ap_recon_said() : ap_recon_because(AP_RECON_NONE_TIGHT, 0);
}

/* The two legs that fix the hook: the first tight one, and another tight, else snug, else slack one. */
static void fixing_pair(int pair[2], const ap_recon *out, const ap_pick *pick) {
    static const int order[] = {AP_LEG_STATE_TIGHT, AP_LEG_STATE_SNUG, AP_LEG_STATE_SLACK};
    int found = 0;
    for (size_t k = 0; k < sizeof order / sizeof *order; k++) {
        for (int i = 0; i < out->leg_count && found < 2; i++) {
            if (state_of(pick, &out->legs[i]) == order[k]) {
                pair[found++] = i;
            }
        }
    }
    if (pair[0] > pair[1]) {
        int swapped = pair[0];
        pair[0] = pair[1];
        pair[1] = swapped;
    }
}

static ap_hang_leg mech_leg(const ap_recon_leg *leg) {
    return (ap_hang_leg){leg->at_m, leg->length_m, leg->off_m};
}

static ap_recon_reason find_start(ap_hang_start *start, ap_recon *out, const ap_pick *pick) {
    ap_error err = {0};
    ap_status status = AP_OK;
    if (isnan(out->length_m.value)) {
        return ap_recon_because(AP_RECON_NO_LENGTH, 0);
    }
    if (isnan(out->lean_deg.value)) {
        return ap_recon_because(AP_RECON_NO_LEAN, 0);
    }
    if (to_the_side(out, pick)) {
        return ap_recon_because(AP_RECON_OUT_OF_PLANE, 0);
    }
    ap_recon_reason reason = check_states(out, pick);
    if (reason.no) {
        return reason;
    }
    if (out->leg_count == 1) {
        ap_hang_leg leg = mech_leg(&out->legs[0]);
        status = ap_hang_before_cut_one(start, &leg, state_of(pick, &out->legs[0]), out->lean_deg.value, &err);
    } else {
        int pair[2] = {0, 1};
        fixing_pair(pair, out, pick);
        ap_hang_leg legs[2] = {mech_leg(&out->legs[pair[0]]), mech_leg(&out->legs[pair[1]])};
        int states[2] = {state_of(pick, &out->legs[pair[0]]), state_of(pick, &out->legs[pair[1]])};
        status = ap_hang_before_cut(start, legs, states, out->lean_deg.value, &err);
    }
    return status == AP_OK ? ap_recon_said() : ap_recon_clash(&err);
}

/* Length less distance to the hook. A leg that is short by a hand's breadth is tight and read badly; by more, the log
 * contradicts itself. */
static ap_recon_reason set_start_slack(ap_recon *out, const ap_hang_start *start) {
    static const double HAND_M = 0.1;
    for (int i = 0; i < out->leg_count; i++) {
        ap_recon_leg *leg = &out->legs[i];
        double slack = leg->length_m - hypot(start->hook_x_m - leg->at_m, start->hook_y_m - leg->off_m);
        if (slack < -HAND_M) {
            ap_recon_reason reason = ap_recon_because(AP_RECON_CLASH, leg->number);
            snprintf(reason.text, sizeof reason.text,
                     "leg %d (%.3f m) does not reach the hook that the tight legs fix: %.3f m are missing", leg->number,
                     leg->length_m, -slack);
            return reason;
        }
        leg->start_slack_m = slack < 1e-9 ? 0.0 : slack;
    }
    return ap_recon_said();
}

/* [R4] */
static void set_drop(ap_recon *out) {
    for (int i = 0; i < 2 && out->leg_count == 2; i++) {
        ap_recon_leg *leg = &out->legs[i];
        if (leg->start_slack_m > 0 && leg->tight) {
            double from_hook = leg->length_m - leg->start_slack_m;
            leg->drop_m = leg->start_slack_m * (leg->length_m + from_hook) / (2.0 * out->legs[1 - i].length_m);
        }
    }
}

/* Where the hook stood, how it stands at rest: the piece turns about it. Legs in the plane of the lean. */
static ap_recon_reason move(ap_recon *out, const ap_pick *pick) {
    ap_hang_start start = {0};
    ap_recon_reason reason = out->no_hang.no ? out->no_hang : find_start(&start, out, pick);
    if (!reason.no) {
        reason = set_start_slack(out, &start);
    }
    if (reason.no) {
        return reason;
    }
    ap_hang hang = {.inclination_deg = out->inclination_deg, .hook_x_m = out->hook_x_m, .hook_y_m = out->hook_y_m};
    ap_separation way;
    for (int i = 0; i < out->leg_count; i++) {
        ap_hang_leg leg = mech_leg(&out->legs[i]);
        ap_hang_separate(&way, &start, &hang, &leg, 1, out->cg_m.value, out->length_m.value);
        out->legs[i].fall_m = way.fall_m[0];
    }
    out->turn_deg = way.turn_deg;
    out->butt_up_m = way.butt_up_m;
    out->butt_out_m = way.butt_out_m;
    out->butt_move_m = way.butt_move_m;
    out->tip_up_m = way.tip_up_m;
    out->tip_out_m = way.tip_out_m;
    out->tip_move_m = way.tip_move_m;
    out->cg_up_m = way.cg_up_m;
    out->start_hook_x_m = start.hook_x_m;
    out->start_hook_y_m = start.hook_y_m;
    out->hook_above_butt_m = start.hook_above_butt_m;
    out->hook_beyond_butt_m = start.hook_beyond_butt_m;
    set_drop(out);
    return reason;
}

static void clear(ap_recon *out) {
    *out = (ap_recon){
        .inclination_deg = NAN,
        .hook_x_m = NAN,
        .hook_y_m = NAN,
        .hook_side_m = NAN,
        .roll_deg = NAN,
        .other_deg = NAN,
        .peak_by_n = {NAN, NAN, NAN},
        .flattest_deg = NAN,
        .worst_use = NAN,
        .residual_n = NAN,
        .turn_deg = NAN,
        .butt_up_m = NAN,
        .butt_out_m = NAN,
        .butt_move_m = NAN,
        .tip_up_m = NAN,
        .tip_out_m = NAN,
        .tip_move_m = NAN,
        .cg_up_m = NAN,
        .start_hook_x_m = NAN,
        .start_hook_y_m = NAN,
        .hook_above_butt_m = NAN,
        .hook_beyond_butt_m = NAN,
        .peak_low_n = NAN,
        .peak_high_n = NAN,
        .peak_share = NAN,
    };
}

void ap_reconstruct(ap_recon *out, const ap_pick *pick, const ap_recon_given *given) {
    ap_hang hang = {0};
    ap_wood own;
    clear(out);
    out->length_m = logged(pick->length_m);
    out->lean_deg = logged(pick->lean_deg);
    set_weight(out, given->derived);
    if (!given->wood) {
        ap_wood_work_out(&own, pick, &AP_WOOD_GIVEN_NOTHING, given->company);
    }
    ap_recon_reason balance = set_balance(out, pick, given->wood ? given->wood : &own, given->company->settings);
    out->no_hang = collect_legs(out, pick);
    use_entries(out, pick, given->company);
    if (!out->no_hang.no) {
        out->no_hang = balance;
    }
    if (!out->no_hang.no) {
        out->no_hang = in_space(out, pick) ? ap_recon_hang_in_space(out, pick, given) : hang_at_rest(out, &hang);
    }
    out->no_movement = move(out, pick);
    ap_recon_set_peak(out, pick, given);
}

void ap_recon_say_reason(ap_buf *out, const ap_recon_reason *reason) {
    static const char *const words[AP_RECON_NO_COUNT] = {
        [AP_RECON_SAID] = "",
        [AP_RECON_NO_LEGS] = "no leg that carries is logged",
        [AP_RECON_LEG_BLANK] = "the attach point or the length of a leg is not logged",
        [AP_RECON_LEG_OFF_PIECE] = "a leg is attached beyond the end of the piece",
        [AP_RECON_NO_STIFFNESS] = "with three legs, or one to the side, each needs its kind and working load limit",
        [AP_RECON_OUT_OF_PLANE] = "it is slung or weighted off to the side: it rolls too; only its rest has a number",
        [AP_RECON_NO_BALANCE] = "no balance point is logged, and length or end diameters to work it out are missing",
        [AP_RECON_NO_BRUSH] = "no balance point is logged, and neither the share of brush nor the foliage",
        [AP_RECON_CLASH] = "the logged geometry contradicts itself",
        [AP_RECON_NO_WEIGHT] = "neither a measured nor a planned net weight is known",
        [AP_RECON_NO_LENGTH] = "the length of the piece is not logged",
        [AP_RECON_NO_LEAN] = "the lean before the cut is not logged",
        [AP_RECON_NO_STATE] = "whether the legs were tight before the cut is not logged",
        [AP_RECON_NONE_TIGHT] = "no leg was tight before the cut: where the hook stood is not known",
        [AP_RECON_IN_SPACE] = "three legs or more, or one to the side: not worked out here",
        [AP_RECON_PRELOAD_BELOW] = "the logged preload is below the weight of block and slings",
    };
    ap_buf_clear(out);
    switch (reason->leg ? reason->no : AP_RECON_SAID) {
    case AP_RECON_LEG_BLANK:
        ap_buf_appendf(out, "leg %d has no attach point or no length logged", reason->leg);
        return;
    case AP_RECON_LEG_OFF_PIECE:
        ap_buf_appendf(out, "leg %d is attached beyond the end of the piece", reason->leg);
        return;
    case AP_RECON_NO_STIFFNESS:
        ap_buf_appendf(
            out,
            "who carries what rests on the legs' stiffness, and kind or working load limit of leg %d is not logged",
            reason->leg);
        return;
    case AP_RECON_NO_STATE:
        ap_buf_appendf(out, "whether leg %d was tight before the cut is not logged", reason->leg);
        return;
    default:
        break;
    }
    if (reason->no == AP_RECON_CLASH && reason->text[0]) {
        ap_buf_append_cstr(out, reason->text);
    } else {
        ap_buf_append_cstr(out, (unsigned)reason->no < AP_RECON_NO_COUNT ? words[reason->no] : "");
    }
}
