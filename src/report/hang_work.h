/* A hang worked out without a log: what `calc hang` asks and what comes of it.
 *
 * Units   SI, as mech/hang.h and mech/hang_space.h.
 * Method  [W1] One or two legs in the plane of the lean and without a stiffness: the closed form of hang.h.
 *         Everything else: the springs of hang_space.h; a leg without a stiffness of its own gets one from its kind,
 *         limit and length, and without those one that stretches by 1 % of its length under the whole weight, marked.
 *         [W2] Before the cut the legs are straight unless states are given. When they are straight before and after,
 *         the hook keeps its place in the piece, and butt and tip turn about it; otherwise its place comes from
 *         hang.h [H3].
 *         [W3] The fall of an attach point before its slack leg bites: (l^2 - q^2)/(2 L), l its leg's length, q its
 *         distance from the hook, L the tight leg, which keeps plumb till then.
 *         [W4] The peak by mech/peak.h, with the stiffest of the kind where the stiffness comes from the table.
 * Errors  those of mech/, AP_E_DOMAIN with the numbers that clash. What cannot be said beside the hang is NaN with
 *         its reason. */
#ifndef AP_REPORT_HANG_WORK_H
#define AP_REPORT_HANG_WORK_H

#include "mech/hang_space.h"
#include "mech/peak.h"
#include "report/hang_json.h"

enum { AP_HANG_REMARK_MAX = 320 };

typedef struct ap_hang_ask_leg {
    double at_m, length_m;
    double off_m, side_m; /* 0 unless given */
    double stiffness_n_m; /* NaN: not given */
    double wll_kg;        /* NaN: not given */
    double choke_deg;     /* angle of choke; NaN: not given */
    int kind, hitch;      /* AP_LEG_KIND_*, AP_HITCH_*; 0: not given */
    int state;            /* before the cut, AP_LEG_STATE_*; 0: not given */
} ap_hang_ask_leg;

typedef struct ap_hang_ask {
    ap_hang_ask_leg legs[AP_SPACE_LEGS_MAX]; /* in any order */
    int leg_count;
    double cg_m, cg_side_m;
    double weight_n;
    /* NaN: not given. */
    double lean_deg;
    double piece_m;
    double preload_n; /* on the piece, block and slings not counted */
    double rigging_kg;
    double capacity_kg;
} ap_hang_ask;

typedef struct ap_hang_worked {
    ap_hang_said said;
    bool by_springs;
    double stiffness_n_m[AP_SPACE_LEGS_MAX]; /* used, in the order given; NaN in the closed form */
    bool stiffness_assumed;                  /* 1 % under the weight */
    double use_factor[AP_SPACE_LEGS_MAX];    /* on the working load limit */
    double depth_m;                          /* hook to centre of gravity */
    bool cg_outside;                         /* two legs: outside the attach points */
    bool rolls_freely;
    ap_space_rest others[AP_SPACE_RESTS_MAX]; /* it could also come to rest so */
    size_t other_count;
    bool peak_known;
    ap_peak peak;
    char no_movement[AP_HANG_REMARK_MAX]; /* why butt and tip have no number; "" */
    char before_cut[AP_HANG_REMARK_MAX];  /* what is odd about the set-up before the cut; "" */
} ap_hang_worked;

AP_MUST_USE ap_status ap_hang_work(ap_hang_worked *out, const ap_hang_ask *ask, ap_error *err);

#endif
