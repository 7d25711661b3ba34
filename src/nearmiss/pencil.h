/* Weights that look written rather than read. Three exact questions, none of them a verdict: a tired screen, a rounded reading or a form filled
 * in at lunch make them too.
 *
 *   P1 repeats the plan   the measured weight equals the planned one; by crew. By chance: the rounding unit of the log over the spread of
 *                         weights about plan, at the middle of a normal curve, where it is densest; exact binomial.
 *   P2 one ending         the last written digit heaps on some values; by crew, 50 weights or more; chi-square against equal shares.
 *   P3 copied down        one value in rows one after another of a job; the chance of one repeat is the share of neighbours that are equal
 *                         in the whole book, so that a log which is rounded a lot asks for a longer row.
 *
 * Each third of the false alarms that the detector is allowed, over all groups looked at. */
#ifndef AP_NEARMISS_PENCIL_H
#define AP_NEARMISS_PENCIL_H

#include "nearmiss/detect.h"

/* The coarsest step (kg) of those people write, in pounds or kilograms, that nearly all of the values keep to; NaN when none. */
double ap_written_step_kg(const double *values_kg, size_t count);

/* The three parts; each adds to *line what it looked at and what chance makes of it, at `level` false alarms. */
AP_MUST_USE ap_status ap_pencil_crews(ap_finding_list *out, ap_chance_line *line, const ap_detect_input *in,
                                      double level, ap_error *err);
AP_MUST_USE ap_status ap_pencil_copied(ap_finding_list *out, ap_chance_line *line, const ap_detect_input *in,
                                       double level, ap_error *err);

#endif
