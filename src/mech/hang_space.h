/* How a piece hangs on one to four elastic legs that meet in one hook, attach points anywhere on it.
 *
 * Units   metres, newtons, newtons per metre, degrees. The piece's own frame: x along the axis from the butt, y
 *         across it toward the hook (`off`), z to the side, so that x, y, z is right-handed. The hook stands still
 *         and its line is plumb.
 * Shape   a rigid piece; legs are straight springs that pull and never push. A leg that only stops the piece from
 *         turning (a balancer) is a leg with its own length and stiffness; a side branch is an attach point with a
 *         side.
 * Method  [S1] Least potential energy over position and rotation: U = W * height + sum k/2 stretch^2. For a hook held
 *         in the piece's frame at h the rotation that makes U least is known: the centre of gravity c plumb below the
 *         hook. So U(h) = -W |h - c| + sum k_i/2 max(0, |h - p_i| - L_i)^2 over three unknowns: rests of the whole
 *         problem and rests of this one are the same, and turning about the plumb line, which changes nothing, has
 *         dropped out.
 *         [S2] A quasi-Newton minimiser (GSL, BFGS) from several starts, on springs no stiffer than needed to find
 *         out which legs are tight; then Newton on the equilibrium of the tight legs with their tensions as unknowns
 *         (so a very stiff leg costs no digits). A leg that would push is let go, one that would be overlong is taken
 *         up, until neither happens: slack is found, not assumed.
 *         [S3] A rest is stable when no small change lowers U (least eigenvalue of its second derivative); an
 *         unstable one is left along its falling direction. Rests in which the legs would pass through the piece
 *         (hook on the far side of the axis) are dropped. What is left is told apart and sorted, the deepest first.
 * Source  statics; checked in three dimensions by sums of force and moment, by shifts and turns in all six unknowns
 *         that may not lower U, by a blind search over hooks, against the closed form of hang.h at the stretched
 *         lengths, and on exact three-leg cases.
 * Accuracy residual_n is the largest of the sum of forces and the sum of moments over the piece's scale; below 1e-9
 *         W.
 * Errors  AP_E_DOMAIN with the clashing numbers; *out is untouched. AP_E_MEMORY from _new only.
 *
 * Why springs: with four legs, or three in one plane, the lengths alone do not say who carries what. */
#ifndef AP_MECH_HANG_SPACE_H
#define AP_MECH_HANG_SPACE_H

#include "base/status.h"

enum { AP_SPACE_LEGS_MAX = 4, AP_SPACE_RESTS_MAX = 4 };

typedef struct ap_space_leg {
    double at_m;          /* along the axis from the butt */
    double off_m;         /* toward the hook */
    double side_m;        /* out of the plane of the lean */
    double length_m;      /* without load */
    double stiffness_n_m; /* force for a metre of stretch */
} ap_space_leg;

typedef struct ap_space_piece {
    double weight_n;
    double cg_m;      /* along the axis from the butt */
    double cg_side_m; /* out of the plane of the lean; 0 on the axis */
    double length_m;  /* NaN: not known, attach points are not held against it */
} ap_space_piece;

typedef struct ap_space_rest {
    double inclination_deg; /* axis above the horizontal, positive when the tip is higher */
    double roll_deg;        /* about the axis, positive when the side counted positive comes up; NaN when
                                                 it hangs plumb */
    double hook_x_m, hook_y_m, hook_side_m;    /* in the piece's frame */
    double depth_m;                            /* hook to centre of gravity */
    double tension_n[AP_SPACE_LEGS_MAX];       /* 0 for a slack leg */
    double loaded_length_m[AP_SPACE_LEGS_MAX]; /* with its stretch; its length for a slack leg */
    double slack_m[AP_SPACE_LEGS_MAX];         /* length less distance; 0 for a tight leg */
    double leg_angle_deg[AP_SPACE_LEGS_MAX];   /* above the horizontal, of the straight line to the hook */
    bool tight[AP_SPACE_LEGS_MAX];
    bool rolls_freely; /* attach points and centre of gravity in one line: any roll is a rest */
    double energy_j;   /* height of the centre of gravity times weight, from the hook, plus what the legs store */
    double residual_n;
} ap_space_rest;

typedef struct ap_space_hang {
    ap_space_rest rest[AP_SPACE_RESTS_MAX]; /* the deepest first; [1] and on: it could also come to rest so */
    size_t count;                           /* 1 or more */
} ap_space_hang;

/* Work space, made once and used for any number of set-ups: nothing is allocated while solving. One thread each. */
typedef struct ap_space_solver ap_space_solver;
AP_MUST_USE ap_status ap_space_solver_new(ap_space_solver **out, ap_error *err);
void ap_space_solver_free(ap_space_solver *solver); /* NULL is fine */

/* Refuses no leg or more than four; a figure missing; a length, stiffness or weight not above zero; a leg that the
 *         weight would stretch by more than its own length; attach points off the piece, or two in one place; a
 *         centre of gravity off the piece; legs that cannot meet; a hook that would lie below the piece. */
AP_MUST_USE ap_status ap_hang_space(ap_space_hang *out, ap_space_solver *solver, const ap_space_leg *legs, int count,
                                    const ap_space_piece *piece, ap_error *err);

/* The up direction in the piece's frame when it hangs at this inclination and roll: for whoever places points of the
 * piece in the world. */
void ap_hang_space_up(double up[3], const ap_space_rest *rest, const ap_space_piece *piece);

#endif
