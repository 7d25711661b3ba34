/* What a hang, its peak and its load on the crane are in JSON: one writer for `calc hang` and `pick`. */
#ifndef AP_REPORT_HANG_JSON_H
#define AP_REPORT_HANG_JSON_H

#include "page/json.h"

enum { AP_HANG_SAID_LEGS_MAX = 4 };

typedef struct ap_hang_said_leg {
    int number;       /* as given, from 1 */
    double tension_n; /* 0 when slack */
    bool slack;
    double slack_m;
    double angle_deg;          /* above the horizontal */
    double use;                /* tension over the factored working load limit */
    double slack_before_m;     /* before the cut */
    double drop_before_bite_m; /* fall of the attach point before a slack leg bites */
} ap_hang_said_leg;

/* NaN in any figure: not known or not asked, null in JSON. */
typedef struct ap_hang_said {
    bool hang_known; /* false: "hang" is null */
    double inclination_deg, turn_deg, roll_deg;
    double butt_rise_m, tip_rise_m; /* up */
    double butt_way_m, tip_way_m;   /* straight line */
    double hook_x_m, hook_y_m;      /* in the piece's frame: along the axis from the butt; across it */
    double cg_m;                    /* from the butt */
    double weight_n;
    bool weight_planned; /* the planned weight stands in for a measured one */
    ap_hang_said_leg legs[AP_HANG_SAID_LEGS_MAX];
    int leg_count;
    double residual_n;
    double peak_low_n, peak_high_n; /* both NaN: "peak" is null */
    const char *peak_cause;         /* "release", "swing", "drop" */
    bool preload_logged;            /* false: taken as nothing */
    double peak_capacity_share;
    double hook_load_kg;
    bool hook_load_planned;
    double capacity_share;
} ap_hang_said;

/* All figures not known, no legs. */
extern const ap_hang_said AP_HANG_SAID_NOTHING;

/* Puts "hang", "peak", "hook_load_kg" and "capacity_share" into the object that is open. */
void ap_hang_json(ap_json *json, const ap_hang_said *said);

#endif
