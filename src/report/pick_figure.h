/* One pick seen from the side: before the cut and at rest. */
#ifndef AP_REPORT_PICK_FIGURE_H
#define AP_REPORT_PICK_FIGURE_H

#include "figure/figure.h"
#include "report/recon_page.h"

/* Describes the drawing in `set`; lengths and loads in words by `units`. Without a hang it says why there is none. NULL only
 * when memory is out. */
ap_figure *ap_pick_figure(ap_figure_set *set, ap_unit_system units, const char *id, const ap_recon_view *view);

#endif
