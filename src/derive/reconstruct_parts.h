/* Private to derive/reconstruct*.c. */
#ifndef AP_DERIVE_RECONSTRUCT_PARTS_H
#define AP_DERIVE_RECONSTRUCT_PARTS_H

#include "derive/reconstruct.h"
#include "mech/hang.h"

/* Half the diameter at a place along the piece, straight between the logged ones; NaN when an end is not logged. */
double ap_recon_stem_radius(const ap_pick *pick, double at_m);
/* Factor of a hitch (AP_HITCH_*, 0 = not logged) on the working load limit. */
double ap_recon_hitch_factor(int hitch);
/* [R5] Fills the peak from the rest. */
void ap_recon_set_peak(ap_recon *recon, const ap_pick *pick, const ap_recon_given *given);

#endif
