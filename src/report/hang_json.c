#include "report/hang_json.h"

const ap_hang_said AP_HANG_SAID_NOTHING = {
    .inclination_deg = NAN,
    .turn_deg = NAN,
    .roll_deg = NAN,
    .butt_rise_m = NAN,
    .tip_rise_m = NAN,
    .butt_way_m = NAN,
    .tip_way_m = NAN,
    .hook_x_m = NAN,
    .hook_y_m = NAN,
    .cg_m = NAN,
    .weight_n = NAN,
    .residual_n = NAN,
    .peak_low_n = NAN,
    .peak_high_n = NAN,
    .peak_capacity_share = NAN,
    .hook_load_kg = NAN,
    .capacity_share = NAN,
};

static void put_leg(ap_json *json, const ap_hang_said_leg *leg) {
    ap_json_object_begin(json);
    ap_json_put_int(json, "leg", leg->number);
    ap_json_put_number(json, "tension_n", leg->tension_n);
    ap_json_put_bool(json, "slack", leg->slack);
    ap_json_put_number(json, "slack_m", leg->slack_m);
    ap_json_put_number(json, "angle_deg", leg->angle_deg);
    ap_json_put_number(json, "use", leg->use);
    ap_json_put_number(json, "slack_before_m", leg->slack_before_m);
    ap_json_put_number(json, "drop_before_bite_m", leg->drop_before_bite_m);
    ap_json_object_end(json);
}

static void put_hang(ap_json *json, const ap_hang_said *said) {
    ap_json_key(json, "hang");
    if (!said->hang_known) {
        ap_json_null(json);
        return;
    }
    ap_json_object_begin(json);
    ap_json_put_number(json, "inclination_deg", said->inclination_deg);
    ap_json_put_number(json, "turn_deg", said->turn_deg);
    ap_json_put_number(json, "roll_deg", said->roll_deg);
    ap_json_put_number(json, "butt_rise_m", said->butt_rise_m);
    ap_json_put_number(json, "tip_rise_m", said->tip_rise_m);
    ap_json_put_number(json, "butt_way_m", said->butt_way_m);
    ap_json_put_number(json, "tip_way_m", said->tip_way_m);
    ap_json_put_number(json, "hook_x_m", said->hook_x_m);
    ap_json_put_number(json, "hook_y_m", said->hook_y_m);
    ap_json_put_number(json, "cg_m", said->cg_m);
    ap_json_put_number(json, "weight_n", said->weight_n);
    ap_json_put_bool(json, "weight_planned", said->weight_planned);
    ap_json_key(json, "legs");
    ap_json_array_begin(json);
    for (int i = 0; i < said->leg_count; i++) {
        put_leg(json, &said->legs[i]);
    }
    ap_json_array_end(json);
    ap_json_put_number(json, "residual_n", said->residual_n);
    ap_json_object_end(json);
}

static void put_peak(ap_json *json, const ap_hang_said *said) {
    ap_json_key(json, "peak");
    if (isnan(said->peak_low_n) && isnan(said->peak_high_n)) {
        ap_json_null(json);
        return;
    }
    ap_json_object_begin(json);
    ap_json_put_number(json, "low_n", said->peak_low_n);
    ap_json_put_number(json, "high_n", said->peak_high_n);
    ap_json_put_text(json, "cause", said->peak_cause ? ap_str_from(said->peak_cause) : AP_STR_NONE);
    ap_json_put_bool(json, "preload_logged", said->preload_logged);
    ap_json_put_number(json, "capacity_share", said->peak_capacity_share);
    ap_json_object_end(json);
}

void ap_hang_json(ap_json *json, const ap_hang_said *said) {
    put_hang(json, said);
    put_peak(json, said);
    ap_json_put_number(json, "hook_load_kg", said->hook_load_kg);
    ap_json_put_bool(json, "hook_load_planned", said->hook_load_planned);
    ap_json_put_number(json, "capacity_share", said->capacity_share);
}
