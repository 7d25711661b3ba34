/* Weights that look written rather than read. Three exact questions, none of them a verdict: a tired screen, a rounded reading or a form filled
 * in at lunch make them too.
 *
 *   P1 repeats the plan   the measured weight equals the planned one; by crew. By chance: the rounding unit of the log over the spread of
 *                         weights about plan, at the middle of a normal curve, where it is densest; exact binomial.
 *   P2 one ending         the last written digit heaps on some values; by crew, 50 weights or more; chi-square against equal shares. Only where
 *                         the middle half of the weights spans 25 steps of writing: of roughly rounded weights the digits are not
 *                         equally likely (for a log-normal spread of up to .9 the statistic then grows by less than .15 for 100 weights).
 *   P3 copied down        one value in rows one after another of a job. The chance of one repeat is learnt from the rows of the whole book that
 *                         are shorter than the rule's: a log which is rounded a lot asks for a longer row, and a book in which all is
 *                         copied does not pass for one in which that is usual. Row lengths are geometric, cut at the rule's and at the
 *                         job's end; maximum likelihood, three rows more (one with a repeat) so that few rows do not make it nothing.
 *   Weights are taken as they were read: without the factor of a calibration that came afterwards.
 *
 * Each third of the false alarms that the detector is allowed, over all groups looked at. */
#ifndef AP_NEARMISS_PENCIL_H
#define AP_NEARMISS_PENCIL_H

#include "nearmiss/detect.h"

/* The coarsest step (kg) of those people write, in pounds or kilograms, that nearly all of the values keep to; NaN when none. */
double ap_written_step_kg(const double *values_kg, size_t count);

/* Chance that a weight is that of the pick before it, from rows of one value: `ended[k]` rows of k picks that another value ended,
 * `cut[k]` that the job's end cut, k = 1 .. least - 1. */
double ap_repeat_chance(const size_t *ended, const size_t *cut, size_t least);

/* The three parts; each adds to *line what it looked at and what chance makes of it, at `level` false alarms. */
AP_MUST_USE ap_status ap_pencil_crews(ap_finding_list *out, ap_chance_line *line, const ap_detect_input *in,
                                      double level, ap_error *err);
AP_MUST_USE ap_status ap_pencil_copied(ap_finding_list *out, ap_chance_line *line, const ap_detect_input *in,
                                       double level, ap_error *err);

#endif
