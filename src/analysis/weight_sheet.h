/* A company's own weights per length, by diameter: the accepted density of a species times the planning factor of the
 * weights worked out with it, at diameters at which pieces of it were weighed, and at no other.
 *
 *   W1 A species has rows only when a figure of its own is accepted and in force on the day.
 *   W2 Evidence is a weighed, bare piece of sound wood with dimensions; a butt piece whose middle was not taped is none.
 *   W3 The factor comes from ln(measured / (volume x density in force)) of all evidence, by species, with the rules of
 *      analysis/pooled (95 % content, 90 % confidence, new tree): the factor of weights worked out this way, so that a
 *      correction of the density and a factor for plans made without it do not both count.
 *   W4 Row d stands for diameters above the row below up to d, and gives the weight at d. A row without a weighed piece
 *      in that span is left out.
 *
 * Units    kg/m, m. Diameter: of the cylinder of the piece's length and volume.
 * Source   analysis/pooled.h. W2 and W4 are choices of ours: no source. */
#ifndef AP_ANALYSIS_WEIGHT_SHEET_H
#define AP_ANALYSIS_WEIGHT_SHEET_H

#include "analysis/pooled.h"

enum { AP_SHEET_SPECIES_MAX = 6, AP_SHEET_ROWS_MAX = 128, AP_SHEET_GOOD_FOR_MONTHS = 6 };

typedef struct ap_sheet_row {
    double diameter_m;   /* up to */
    double kg_per_m;     /* with the factor */
    size_t picks, trees; /* weighed in the span */
} ap_sheet_row;

typedef enum ap_sheet_why {
    AP_SHEET_FINE = 0,
    AP_SHEET_NOT_ACCEPTED,
    AP_SHEET_NO_FACTOR,
    AP_SHEET_NO_EVIDENCE
} ap_sheet_why;

typedef struct ap_sheet_species {
    const ap_species *species;
    const ap_assumption *accepted; /* NULL: AP_SHEET_NOT_ACCEPTED */
    const ap_pooled_cell *cell;    /* its factor's cell; NULL when no evidence */
    ap_sheet_why why_none;         /* why it has no row */
    size_t picks, trees;           /* all evidence (W2) */
    ap_sheet_row *rows;
    size_t row_count;
} ap_sheet_species;

typedef struct ap_weight_sheet {
    ap_sheet_species species[AP_SHEET_SPECIES_MAX];
    size_t species_count;
    ap_pooled pooled; /* by species */
    double step_m;
} ap_weight_sheet;

/* For these species, on `day`; `step_m` between rows. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_weight_sheet_work_out(ap_weight_sheet *out, ap_arena *arena, const ap_roster *roster,
                                               const ap_species *const *species, size_t species_count, ap_date day,
                                               double step_m, ap_error *err);

#endif
