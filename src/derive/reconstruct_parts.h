/* Private to derive/reconstruct*.c. */
#ifndef AP_DERIVE_RECONSTRUCT_PARTS_H
#define AP_DERIVE_RECONSTRUCT_PARTS_H

#include "derive/reconstruct.h"
#include "mech/hang.h"

/* Half the diameter at a place along the piece, straight between the logged ones; NaN when an end is not logged. */
double ap_recon_stem_radius(const ap_pick *pick, double at_m);
ap_recon_reason ap_recon_said(void);
ap_recon_reason ap_recon_because(ap_recon_no no, int leg);
/* mech refused: its sentence has the numbers that clash. */
ap_recon_reason ap_recon_clash(const ap_error *err);
/* Hangs it in space; fills what hang_at_rest() fills. */
ap_recon_reason ap_recon_hang_in_space(ap_recon *recon, const ap_pick *pick, const ap_recon_given *given);
bool ap_recon_leg_carries(const ap_leg *leg);
/* Angle, tension, use of one leg. */
void ap_recon_set_leg(ap_recon *recon, int index, double tension_n, double angle_deg, double slack_m, bool tight);
/* [R5] Fills the peak from the rest. */
void ap_recon_set_peak(ap_recon *recon, const ap_pick *pick, const ap_recon_given *given);

#endif
