/* The brush allowance that weighed pieces taught, for worked weights and reconstructions.
 *
 * Units   a share of the stem's weight, to the nearest hundredth: finer is not known, and a figure that stays the same keeps
 *         what was worked out with it (kept_recon.h).
 * Method  exp(posterior mean of the brush class) - 1 (density.h, D4), at least 0, for classes with AP_BRUSH_TREES_LEAST trees of
 *         one's own: the prior pulls fewer toward no brush at all, and the default says more than that. The floor and the
 *         least number are choices of ours: no source.
 * Errors  AP_E_MEMORY, those of ap_density_fit(). */
#ifndef AP_ANALYSIS_BRUSH_LEARNT_H
#define AP_ANALYSIS_BRUSH_LEARNT_H

#include "analysis/density.h"

enum { AP_BRUSH_TREES_LEAST = 5 };

/* From all facts of the roster; NaN for a class without enough of them. */
AP_MUST_USE ap_status ap_brush_learnt(double out[AP_WOOD_BRUSH_CLASSES], const ap_roster *roster, ap_error *err);
/* The same from the book's picks up to `until` (AP_DATE_NONE: all), for those without a roster. */
AP_MUST_USE ap_status ap_brush_learnt_read(double out[AP_WOOD_BRUSH_CLASSES], ap_book *book, ap_date until,
                                           ap_error *err);

#endif
