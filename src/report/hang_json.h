/* What a hang, its peak and its load on the crane are in JSON: one writer for `calc hang` and `pick`. */
#ifndef AP_REPORT_HANG_JSON_H
#define AP_REPORT_HANG_JSON_H

#include "page/json.h"

enum { AP_HANG_SAID_LEGS_MAX = 4 };

typedef struct ap_hang_said_leg {
    double tension_n; /* 0 when slack */
    bool slack;
    double angle_deg; /* above the horizontal */
    double use;       /* tension over the factored working load limit; NaN: not known */
} ap_hang_said_leg;

/* NaN in any figure: not known, null in JSON. */
typedef struct ap_hang_said {
    bool hang_known; /* false: "hang" is null */
    double inclination_deg, turn_deg, roll_deg;
    double butt_rise_m, tip_rise_m;
    double hook_x_m, hook_y_m; /* in the piece's frame: along the axis from the butt; across it */
    ap_hang_said_leg legs[AP_HANG_SAID_LEGS_MAX];
    int leg_count;
    double residual_n;
    double peak_low_n, peak_high_n; /* both NaN: "peak" is null */
    const char *peak_cause;         /* "release", "swing", "drop" */
    double hook_load_kg;
    double capacity_share;
} ap_hang_said;

/* All figures not known, no legs. */
extern const ap_hang_said AP_HANG_SAID_NOTHING;

/* Puts "hang", "peak", "hook_load_kg" and "capacity_share" into the object that is open. */
void ap_hang_json(ap_json *json, const ap_hang_said *said);

#endif
