/* One pick -> how it hung, turned and moved, what each leg carried, the peak it could have made, the chart it used.
 *
 * Units   SI: metres along the axis from the butt, newtons, degrees, kg for loads on the crane. In the piece's frame x
 *         runs from the butt to the tip and y toward the hook. Inclination and lean: the axis above the horizontal,
 *         positive when the tip is higher. turn: positive when the tip rises. A value that cannot be said is NaN.
 * Shape   one or two legs that carry, in the plane of the lean: closed form, legs of fixed length. Three or four, or any
 *         off to the side: elastic legs in space, each with the stiffness of its kind and limit. A balancer whose
 *         length is not logged is left out, counted.
 * Method  methods of mech/hang.h ([H1]..[H4]), mech/hang_space.h, mech/peak.h and mech/sling.h on inputs with defaults:
 *         [R1] weight: the measured net, else the planned net (marked); without either the hang is still known, the
 *              tensions are not.
 *         [R2] attach points lie on the surface: off the axis by the stem's radius there (straight between the logged
 *              diameters); on the axis when no diameters are logged (marked).
 *         [R3] centre of gravity: derive/wood.h (the logged balance point, else diameters and brush). Where the share of
 *              brush is neither logged nor learnt: an allowance by piece and foliage (ap_recon_brush_default), marked;
 *              no number when the foliage is not logged.
 *         [R4] a slack leg with slack d - the tight one L long, its own length l, its distance from the hook q - bites
 *              when its attach point has come down by (l^2 - q^2)/(2 L): the tight leg stays plumb till then.
 *         [R5] peak, on the slings (block and slings not counted): mech/peak.h; the preload 0 when it is not logged
 *              (marked); a slack leg as stiff as the stiffest of its kind.
 * Errors  none: what cannot be said has a reason, and the reason has words. */
#ifndef AP_DERIVE_RECONSTRUCT_H
#define AP_DERIVE_RECONSTRUCT_H

#include "derive/wood.h"

/* Why there is no number. */
typedef enum ap_recon_no {
    AP_RECON_SAID = 0,      /* there is one */
    AP_RECON_NO_LEGS,       /* no leg that carries is logged */
    AP_RECON_LEG_BLANK,     /* attach point or length of a leg not logged */
    AP_RECON_LEG_OFF_PIECE, /* attached beyond the tip or before the butt */
    AP_RECON_NO_STIFFNESS,  /* three legs or more, or one to the side: a leg's kind or limit is not logged */
    AP_RECON_OUT_OF_PLANE,  /* movement only: a leg or the balance point off to the side, it rolls too */
    AP_RECON_NO_BALANCE,    /* centre of gravity not known: length or diameters not logged, or they clash */
    AP_RECON_NO_BRUSH,      /* the same, for want of the brush: its share is not logged or learnt */
    AP_RECON_CLASH,         /* the logged geometry contradicts itself; the text says how */
    AP_RECON_NO_WEIGHT,     /* neither a measured nor a planned net weight */
    AP_RECON_NO_LENGTH,     /* of the piece */
    AP_RECON_NO_LEAN,       /* before the cut */
    AP_RECON_NO_STATE,      /* of a leg at the cut */
    AP_RECON_NONE_TIGHT,    /* no leg was tight: the hook's place is not known */
    AP_RECON_PRELOAD_BELOW, /* the preload is below the weight of block and slings */
    AP_RECON_IN_SPACE,      /* wants the general solver, and only the closed form was asked for */
    AP_RECON_NO_COUNT
} ap_recon_no;

enum { AP_RECON_TEXT_MAX = 192 };

typedef struct ap_recon_reason {
    ap_recon_no no;
    int leg;                      /* 1..4 as logged, 0 when no leg is at fault */
    char text[AP_RECON_TEXT_MAX]; /* CLASH: the contradiction with its numbers, in metres; else "" */
} ap_recon_reason;

typedef struct ap_recon_value {
    double value; /* NaN: not known */
    ap_origin_kind from;
} ap_recon_value;

typedef struct ap_recon_leg {
    int number; /* 1..4 as logged */
    int kind;   /* AP_LEG_KIND_* */
    double at_m, length_m;
    double off_m;         /* off the axis toward the hook */
    double side_m;        /* out of the plane of the lean */
    double stiffness_n_m; /* of the stiffest of its kind; NaN when kind or limit is not logged */
    double wll_kg;        /* as logged, else as entered for the sling's tag; NaN when neither */
    double hitch_factor;  /* on the working load limit: entered for the tag, else by hitch; 1 when no hitch is logged */
    ap_origin_kind wll_from, hitch_from; /* LOG or SLING; NONE for no limit */
    bool hitch_assumed;                  /* no hitch is logged: 1 stands in for it */

    bool tight;           /* at rest after the cut */
    double slack_m;       /* at rest after the cut */
    double tension_n;     /* at rest after the cut; 0 when slack; NaN without a weight */
    double angle_deg;     /* above the horizontal, at rest */
    double use;           /* tension over the factored limit; NaN when either is not known */
    double start_slack_m; /* before the cut; NaN when not known */
    double fall_m;        /* how far the attach point comes down in all; NaN when not known */
    double drop_m;        /* how far it comes down before this leg bites; NaN unless it was slack and then carries */
    double peak_n;        /* when it bites after that drop; NaN without drop or stiffness */
} ap_recon_leg;

typedef enum ap_recon_cause {
    AP_PEAK_RELEASE = 0, /* let go from the preload */
    AP_PEAK_SWING,       /* the piece swings to where it hangs */
    AP_PEAK_DROP,        /* it drops onto a leg that was slack */
    AP_PEAK_CAUSE_COUNT
} ap_recon_cause;
const char *ap_recon_cause_name(ap_recon_cause cause); /* "release", "swing", "drop" */

typedef struct ap_recon {
    /* Worked out from. */
    ap_recon_value weight_n;  /* net; from LOG: measured; from DERIVED: planned */
    ap_recon_value length_m;  /* of the piece */
    ap_recon_value cg_m;      /* from the butt; LOG: the balance point */
    ap_recon_value brush;     /* allowance on the stem's weight; LOG, LEARNT, DERIVED (bare), SETTING (the default) */
    ap_recon_value lean_deg;  /* before the cut */
    ap_recon_value preload_n; /* net of block and slings */
    bool weight_planned;      /* the planned weight stands in for a measured one */
    bool on_axis;             /* [R2] no diameters logged */
    int balancers;            /* legs left out */
    int leg_count;            /* legs that carry, in order from the butt */
    ap_recon_leg legs[AP_LEG_MAX];

    /* At rest on the hook after the cut. */
    ap_recon_reason no_hang;
    double inclination_deg;
    double hook_x_m, hook_y_m, hook_side_m; /* in the piece's frame */
    double roll_deg;                        /* about the axis; 0 in the plane of the lean; NaN when not known */
    double other_deg;                       /* it could also come to rest at this inclination; NaN: no other rest */
    bool elastic;                           /* [in space] the tensions rest on the stiffness of the legs */
    bool cg_outside;                        /* the centre of gravity lies outside the attach points of two legs */
    double flattest_deg;                    /* smallest angle of a leg that carries */
    double worst_use;                       /* NaN when no leg's use is known */
    double residual_n; /* what the tensions leave of the weight: the check of the solution; NaN without weight */

    /* From the last fibre to there. Wants the hang. */
    ap_recon_reason no_movement;
    double turn_deg;
    double butt_up_m, butt_out_m, butt_move_m; /* up; level toward the tip's side; straight-line way */
    double tip_up_m, tip_out_m, tip_move_m;
    double cg_up_m;
    double start_hook_x_m, start_hook_y_m;        /* in the piece's frame, before the cut */
    double hook_above_butt_m, hook_beyond_butt_m; /* in the world, before the cut */

    /* Peak on the slings. Wants the weight; swing and drop want the movement too. */
    ap_recon_reason no_peak;
    double peak_low_n, peak_high_n;
    ap_recon_cause peak_cause;             /* of the upper end */
    double peak_by_n[AP_PEAK_CAUSE_COUNT]; /* each cause's own upper figure; NaN when there is none */
    double peak_share; /* (upper end + block and slings) over the capacity at the cut; NaN when not known */

    /* On the crane: piece, block, slings. */
    double hook_load_kg;   /* measured, else planned */
    bool hook_planned;     /* the plan stands in for a measured weight */
    double capacity_share; /* at the worst radius logged; of the plan when hook_planned; NaN when not known */
} ap_recon;

struct ap_space_solver;

enum { AP_RECON_KEPT_VALUES = 19 };

/* A result of the general solver as it is kept: inclination, roll, hook x, y, side, other inclination, residual; then of each of
 * four legs tension, angle, slack. */
typedef struct ap_recon_kept {
    bool present; /* in: the two below were read from somewhere */
    bool fresh;   /* out: they were worked out now and are worth keeping */
    uint64_t fingerprint;
    double values[AP_RECON_KEPT_VALUES];
} ap_recon_kept;

/* What is known beside the pick. Start from AP_RECON_GIVEN: members may be added. */
typedef struct ap_recon_given {
    const ap_derived *derived; /* of the same pick */
    const ap_company *company;
    const ap_wood *wood;            /* of the same pick; NULL: worked out here, without species and learnt brush */
    bool closed_form_only;          /* for many picks at once: what wants the general solver has no number */
    ap_recon_kept *kept;            /* NULL: nothing is kept */
    struct ap_space_solver *solver; /* mech/hang_space.h, for many picks; NULL: made where one is needed */
} ap_recon_given;
#define AP_RECON_GIVEN(of_derived, of_company) ((ap_recon_given){.derived = (of_derived), .company = (of_company)})

/* Brush on the stem's own weight where nobody weighed any: 0.20 on tops and limbs in leaf or evergreen, half of it when
 * bare, half of either on a leader; NaN when piece or foliage is not logged. Common practice, no source. */
double ap_recon_brush_default(int piece, int foliage);

/* Does it want the general solver (three legs or more, or one to the side)? Only then is anything kept: the closed form
 * takes less time than reading a row. */
bool ap_recon_wants_solver(const ap_pick *pick);
void ap_reconstruct(ap_recon *out, const ap_pick *pick, const ap_recon_given *given);

/* The reason in words a crew reads, "" for SAID: "leg 2 has no length". A CLASH is told with its numbers in metres. */
void ap_recon_say_reason(ap_buf *out, const ap_recon_reason *reason);

#endif
