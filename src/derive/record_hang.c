#include "derive/record_parts.h"

static const char STATICS[] = "statics, closed form (mech/hang: two legs of fixed length, the piece free to turn)";

static int leg_column(const ap_recon_leg *leg, int field) {
    return AP_F_COUNT + (leg->number - 1) * AP_LF_COUNT + field;
}

static void set_why(ap_record *record, ap_record_list *list, const ap_recon_reason *reason) {
    ap_buf text;
    ap_buf_init(&text, 1024);
    ap_recon_say_reason(&text, reason);
    if (reason->no) {
        ap_record_why(record, list, text.ptr);
    }
    ap_buf_release(&text);
}

static void add_balance(ap_record_list *list, const ap_record_given *given) {
    static const ap_record_what logged = {
        "at rest", "cg_m", "centre of gravity from the butt", AP_DIM_LENGTH, "the logged balance point", ""};
    static const ap_record_what worked = {"at rest",
                                          "cg_m",
                                          "centre of gravity from the butt",
                                          AP_DIM_LENGTH,
                                          "(1 - s) stem + s brush at a share of the length; s = b / (1 + b)",
                                          "geometry of the frustum; where brush acts: common practice, no source"};
    const ap_recon *r = given->recon;
    bool is_logged = r->cg_m.from == AP_ORIGIN_LOG;
    ap_record *record = ap_record_add(list, is_logged ? &logged : &worked, r->cg_m.value);
    if (is_logged) {
        ap_record_cell(record, given->pick, AP_F_balance_point);
        return;
    }
    ap_record_cell(record, given->pick, AP_F_length);
    ap_record_cell(record, given->pick, AP_F_butt_diameter);
    ap_record_cell(record, given->pick, AP_F_mid_diameter);
    ap_record_cell(record, given->pick, AP_F_tip_diameter);
    ap_record_value(record, "brush allowance b", AP_DIM_SHARE, r->brush.value, r->brush.from,
                    r->brush.from == AP_ORIGIN_SETTING ? "built in: common practice, no source" : "");
    ap_record_value(record, "brush acts at", AP_DIM_SHARE, given->company->settings->brush_at, AP_ORIGIN_SETTING,
                    "brush_at");
    if (isnan(r->cg_m.value)) {
        set_why(record, list, &r->no_hang);
    }
}

static void add_weight_input(ap_record *record, const ap_recon *r) {
    ap_record_value(record, r->weight_planned ? "planned net weight (not weighed)" : "measured net weight",
                    AP_DIM_FORCE, r->weight_n.value, AP_ORIGIN_DERIVED, "");
}

static void add_geometry(ap_record *record, const ap_record_given *given) {
    const ap_recon *r = given->recon;
    for (int i = 0; i < r->leg_count && i < 2; i++) {
        ap_record_cell(record, given->pick, leg_column(&r->legs[i], AP_LF_at));
        ap_record_cell(record, given->pick, leg_column(&r->legs[i], AP_LF_length));
        ap_record_value(record, "off the axis there", AP_DIM_LENGTH, r->legs[i].off_m, AP_ORIGIN_DERIVED,
                        r->on_axis ? "no diameters logged: on the axis" : "the stem's radius by its taper");
    }
    ap_record_from(record, "centre of gravity", AP_DIM_LENGTH, r->cg_m.value);
}

static void add_hook_input(ap_record *record, const ap_recon *r) {
    ap_record_from(record, "hook, along", AP_DIM_LENGTH, r->hook_x_m);
    ap_record_from(record, "hook, across", AP_DIM_LENGTH, r->hook_y_m);
    ap_record_from(record, "centre of gravity", AP_DIM_LENGTH, r->cg_m.value);
}

static void add_rest(ap_record_list *list, const ap_record_given *given) {
    static const ap_record_what along = {"at rest",
                                         "hook_x_m",
                                         "hook, along the axis from the butt",
                                         AP_DIM_LENGTH,
                                         "corner of the triangle of both legs; one leg: in line with the centre of "
                                         "gravity; more: least energy of elastic legs",
                                         STATICS};
    static const ap_record_what across = {"at rest",     "hook_y_m",        "hook, across from the axis",
                                          AP_DIM_LENGTH, "the same corner", ""};
    static const ap_record_what inclination = {"at rest",
                                               "inclination_deg",
                                               "it hangs at, tip up positive",
                                               AP_DIM_ANGLE,
                                               "atan2(hook along - centre of gravity, hook across)",
                                               ""};
    static const ap_record_what residual = {"at rest",
                                            "residual_n",
                                            "what the tensions leave of the weight",
                                            AP_DIM_FORCE,
                                            "|sum of tensions - weight|: the check of the solution",
                                            ""};
    const ap_recon *r = given->recon;
    if (!r->no_hang.no) {
        add_geometry(ap_record_add(list, &along, r->hook_x_m), given);
        ap_record_add(list, &across, r->hook_y_m);
    }
    ap_record *record = ap_record_add(list, &inclination, r->inclination_deg);
    add_hook_input(record, r);
    set_why(record, list, &r->no_hang);
    if (!isnan(r->residual_n)) {
        add_weight_input(ap_record_add(list, &residual, r->residual_n), r);
    }
}

/* Names and keys carry the leg's number. */
static ap_record *add_leg_value(ap_record_list *list, const ap_recon_leg *leg, const ap_record_what *what,
                                double value) {
    ap_record *record = ap_record_add(list, what, value);
    if (record) {
        record->key = ap_arena_printf(list->arena, "leg_%d_%s", leg->number, what->key).ptr;
        record->name = ap_arena_printf(list->arena, "leg %d: %s", leg->number, what->name);
        if (!record->key) {
            record->key = what->key;
        }
    }
    return record;
}

static void add_use(ap_record_list *list, const ap_record_given *given, const ap_recon_leg *leg) {
    static const ap_record_what use = {
        "at rest",
        "use",
        "of its factored limit",
        AP_DIM_SHARE,
        "tension / (working load limit x hitch factor)",
        "choker 0.75: rigging handouts, a round sling 0.80: EN 1492; other hitches common practice"};
    ap_record *record = add_leg_value(list, leg, &use, leg->use);
    ap_record_from(record, "tension", AP_DIM_FORCE, leg->tension_n);
    if (leg->wll_from == AP_ORIGIN_SLING) {
        ap_record_value(record, "working load limit", AP_DIM_LOAD, leg->wll_kg, AP_ORIGIN_SLING, "");
    } else {
        ap_record_cell(record, given->pick, leg_column(leg, AP_LF_wll));
    }
    ap_record_cell(record, given->pick, leg_column(leg, AP_LF_hitch));
    if (leg->hitch_from == AP_ORIGIN_SLING) {
        ap_record_value(record, "hitch factor", AP_DIM_NONE, leg->hitch_factor, AP_ORIGIN_SLING, "");
    } else {
        ap_record_value(record, "hitch factor", AP_DIM_NONE, leg->hitch_factor, AP_ORIGIN_SETTING,
                        leg->hitch_assumed ? "no hitch is logged: 1" : "built in: a cautious default");
    }
    if (isnan(leg->use)) {
        ap_record_why(record, list,
                      isnan(leg->wll_kg) ? "no working load limit is logged or entered" : "its tension is not known");
    }
}

static void add_legs(ap_record_list *list, const ap_record_given *given) {
    static const ap_record_what tension = {"at rest",
                                           "tension_n",
                                           "tension",
                                           AP_DIM_FORCE,
                                           "the weight resolved along the legs; 0 when it would have to push",
                                           STATICS};
    static const ap_record_what slack = {
        "at rest", "slack_m", "slack", AP_DIM_LENGTH, "its length - distance from attach point to hook", ""};
    static const ap_record_what angle = {
        "at rest", "angle_deg", "above level", AP_DIM_ANGLE, "of the line from attach point to hook", ""};
    const ap_recon *r = given->recon;
    for (int i = 0; !r->no_hang.no && i < r->leg_count; i++) {
        const ap_recon_leg *leg = &r->legs[i];
        ap_record *record = add_leg_value(list, leg, &tension, leg->tension_n);
        add_weight_input(record, r);
        add_hook_input(record, r);
        if (isnan(leg->tension_n)) {
            ap_record_why(record, list, "neither a measured nor a planned net weight is known");
        }
        if (!leg->tight) {
            record = add_leg_value(list, leg, &slack, leg->slack_m);
            ap_record_cell(record, given->pick, leg_column(leg, AP_LF_length));
        }
        record = add_leg_value(list, leg, &angle, leg->angle_deg);
        ap_record_from(record, "it hangs at", AP_DIM_ANGLE, r->inclination_deg);
        add_use(list, given, leg);
    }
}

static void add_start(ap_record_list *list, const ap_record_given *given) {
    static const ap_record_what slack = {"when it parted",
                                         "start_slack_m",
                                         "slack before the cut",
                                         AP_DIM_LENGTH,
                                         "its length - distance to the hook, the tight leg plumb",
                                         STATICS};
    static const ap_record_what drop = {"when it parted",
                                        "drop_m",
                                        "drop before it bites",
                                        AP_DIM_LENGTH,
                                        "(length^2 - distance before^2) / (2 x tight leg's length)",
                                        "geometry: the tight leg stays plumb till then"};
    const ap_recon *r = given->recon;
    for (int i = 0; i < r->leg_count; i++) {
        const ap_recon_leg *leg = &r->legs[i];
        if (leg->start_slack_m > 0) {
            ap_record *record = add_leg_value(list, leg, &slack, leg->start_slack_m);
            ap_record_cell(record, given->pick, leg_column(leg, AP_LF_state));
            ap_record_cell(record, given->pick, AP_F_lean);
            ap_record_from(record, "hook before, along", AP_DIM_LENGTH, r->start_hook_x_m);
            ap_record_from(record, "hook before, across", AP_DIM_LENGTH, r->start_hook_y_m);
        }
        if (!isnan(leg->drop_m)) {
            ap_record *record = add_leg_value(list, leg, &drop, leg->drop_m);
            ap_record_cell(record, given->pick, leg_column(leg, AP_LF_length));
            ap_record_from(record, "slack before the cut", AP_DIM_LENGTH, leg->start_slack_m);
        }
    }
}

static void add_movement(ap_record_list *list, const ap_record_given *given) {
    static const char turning[] = "place at rest - place before the cut, the hook standing still";
    static const ap_record_what hooks[] = {
        {"when it parted", "start_hook_x_m", "hook before, along the axis", AP_DIM_LENGTH,
         "both legs tight: as at rest; one tight: plumb over its attach point", STATICS},
        {"when it parted", "start_hook_y_m", "hook before, across from the axis", AP_DIM_LENGTH, "the same", ""},
    };
    static const ap_record_what turn = {"when it parted",
                                        "turn_deg",
                                        "turn, tip up positive",
                                        AP_DIM_ANGLE,
                                        "inclination at rest - lean before the cut",
                                        STATICS};
    static const ap_record_what ways[] = {
        {"when it parted", "butt_rise_m", "butt, up positive", AP_DIM_LENGTH, turning, STATICS},
        {"when it parted", "butt_way_m", "butt, straight-line way", AP_DIM_LENGTH, turning, STATICS},
        {"when it parted", "tip_rise_m", "tip, up positive", AP_DIM_LENGTH, turning, STATICS},
        {"when it parted", "tip_way_m", "tip, straight-line way", AP_DIM_LENGTH, turning, STATICS},
        {"when it parted", "cg_rise_m", "centre of gravity, up positive", AP_DIM_LENGTH, turning, STATICS},
    };
    const ap_recon *r = given->recon;
    const double values[] = {r->butt_up_m, r->butt_move_m, r->tip_up_m, r->tip_move_m, r->cg_up_m};
    ap_record *record = ap_record_add(list, &turn, r->turn_deg);
    ap_record_from(record, "inclination at rest", AP_DIM_ANGLE, r->inclination_deg);
    ap_record_cell(record, given->pick, AP_F_lean);
    set_why(record, list, &r->no_movement);
    if (r->no_movement.no) {
        return;
    }
    record = ap_record_add(list, &hooks[0], r->start_hook_x_m);
    for (int i = 0; i < r->leg_count; i++) {
        ap_record_cell(record, given->pick, leg_column(&r->legs[i], AP_LF_state));
    }
    ap_record_cell(record, given->pick, AP_F_lean);
    ap_record_add(list, &hooks[1], r->start_hook_y_m);
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        record = ap_record_add(list, &ways[i], values[i]);
        ap_record_from(record, "turn", AP_DIM_ANGLE, r->turn_deg);
    }
    add_start(list, given);
}

static void add_drop_input(ap_record *record, const ap_recon_leg *leg) {
    if (!isnan(leg->peak_n)) {
        ap_record_from(record, "tension T", AP_DIM_FORCE, leg->tension_n);
        ap_record_from(record, "drop h", AP_DIM_LENGTH, leg->drop_m);
        ap_record_value(record, "stiffness k, N/m", AP_DIM_NONE, leg->stiffness_n_m, AP_ORIGIN_HANDBOOK,
                        "mech/stiffness, the stiffest of its kind");
    }
}

static void add_peak(ap_record_list *list, const ap_record_given *given) {
    static const ap_record_what low = {"peak",       "peak_low_n", "peak on the slings, at least",
                                       AP_DIM_FORCE, "max(P, W)",  "statics"};
    static const ap_record_what release = {"peak",
                                           "peak_high_n",
                                           "peak on the slings, at most",
                                           AP_DIM_FORCE,
                                           "max(P, 2 W - P): let go at once",
                                           "sudden load factor of 2: Gere & Goodno, Mechanics of Materials"};
    static const ap_record_what swing = {"peak",
                                         "peak_high_n",
                                         "peak on the slings, at most",
                                         AP_DIM_FORCE,
                                         "W (1 + 2 d^2 (1 - cos turn) / (k^2 + d^2)): a body swinging",
                                         "energy balance, no damping"};
    static const ap_record_what drop = {"peak",
                                        "peak_high_n",
                                        "peak on the slings, at most",
                                        AP_DIM_FORCE,
                                        "W + (T (1 + sqrt(1 + 2 h k / T)) - T) sin(angle): a drop onto the slack leg",
                                        "Gere & Goodno, Mechanics of Materials, problem 9.10-1"};
    static const ap_record_what share = {"peak",
                                         "peak_capacity_share",
                                         "worst peak of the chart at the cut",
                                         AP_DIM_SHARE,
                                         "(upper end + block and slings) / rated capacity",
                                         ""};
    static const ap_record_what *const highs[AP_PEAK_CAUSE_COUNT] = {&release, &swing, &drop};
    const ap_recon *r = given->recon;
    ap_record *record = ap_record_add(list, &low, r->peak_low_n);
    add_weight_input(record, r);
    ap_record_value(record, "preload P, net", AP_DIM_FORCE, r->preload_n.value, AP_ORIGIN_DERIVED, "");
    set_why(record, list, &r->no_peak);
    if (r->no_peak.no) {
        return;
    }
    record = ap_record_add(list, highs[r->peak_cause], r->peak_high_n);
    add_weight_input(record, r);
    ap_record_value(record, "preload P, net", AP_DIM_FORCE, r->preload_n.value, AP_ORIGIN_DERIVED, "");
    if (r->peak_cause == AP_PEAK_SWING) {
        ap_record_from(record, "turn", AP_DIM_ANGLE, r->turn_deg);
    } else if (r->peak_cause == AP_PEAK_DROP) {
        for (int i = 0; i < r->leg_count; i++) {
            add_drop_input(record, &r->legs[i]);
        }
    } else if (r->preload_n.from == AP_ORIGIN_NONE) {
        ap_record_why(record, list, "the preload is not logged: P taken from 0 to W");
    }
    if (!isnan(r->peak_share)) {
        record = ap_record_add(list, &share, r->peak_share);
        ap_record_from(record, "upper end", AP_DIM_FORCE, r->peak_high_n);
        ap_record_from(record, "block and slings", AP_DIM_LOAD, given->derived->rigging_kg);
        ap_record_value(record, "rated capacity", AP_DIM_LOAD,
                        (r->peak_high_n / AP_STANDARD_GRAVITY + given->derived->rigging_kg) / r->peak_share,
                        AP_ORIGIN_DERIVED, "at the cut, else as planned");
    }
}

void ap_records_hang(ap_record_list *list, const ap_record_given *given) {
    add_balance(list, given);
    add_rest(list, given);
    add_legs(list, given);
    add_movement(list, given);
    add_peak(list, given);
}
