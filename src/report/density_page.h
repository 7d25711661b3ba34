/* The company's wood against the handbook: in words, as tables, a figure and JSON. */
#ifndef AP_REPORT_DENSITY_PAGE_H
#define AP_REPORT_DENSITY_PAGE_H

#include "analysis/density_study.h"
#include "figure/figure.h"
#include "page/json.h"
#include "report/sentences.h"

extern const char ap_say_lowers[]; /* LOWERS PLANNED WEIGHT: wherever such a figure is shown */

/* Whether the figure in use is an accepted one that made plans lighter. */
bool ap_density_lowers(const ap_density_study *study, const ap_density_species *row);
/* "recommended: plans become heavier": a few words for a table. */
ap_str ap_say_verdict_short(ap_density_verdict verdict);
/* Why it is or is not recommended, with its numbers; what to do next. */
ap_str ap_say_verdict(ap_doc *doc, const ap_density_study *study, const ap_density_species *row,
                      const ap_reestimate_species *plans);
/* "Weigh 5 more beech trunk pieces above the butt, on trees of their own: ..." */
ap_str ap_say_narrow(ap_doc *doc, const ap_density_study *study, const ap_density_species *row);
/* What the figure rests on, for the book of assumptions: no pick, site or person in it. */
ap_str ap_say_density_evidence(ap_doc *doc, const ap_density_species *row, const ap_reestimate_species *plans);
/* How far others' evidence moves the figure of a species; none when there is none. */
ap_str ap_say_density_outside(ap_doc *doc, const ap_density_species *row);
/* Whose evidence counts in; none when nobody's does. */
ap_str ap_say_density_origins(ap_doc *doc, const ap_roster *roster);
/* Why picks are no evidence; none when all are. */
ap_str ap_say_density_unused(ap_doc *doc, const size_t unused[AP_DENSITY_UNUSED_COUNT]);
/* The accepted figures in force, with which factors must be used; none when there is none. */
ap_str ap_say_densities_in_force(ap_doc *doc, const ap_roster *roster);
/* The one sentence above the table. */
ap_str ap_say_density(ap_doc *doc, const ap_density_study *study);

void ap_density_table(ap_doc *doc, const char *id, const ap_density_study *study);
void ap_density_page(ap_doc *doc, const ap_density_study *study);
void ap_density_working(ap_doc *doc, const ap_density_study *study);
/* Held-out error before and after, of one species or of all. */
void ap_held_out_table(ap_doc *doc, const char *id, const ap_density_study *study, const ap_reestimate_species *plans);
void ap_density_species_page(ap_doc *doc, const ap_density_study *study, uint32_t label,
                             const ap_density_evidence *evidence);
/* The weighed pieces of one species. */
void ap_density_evidence_table(ap_doc *doc, const ap_density_study *study, const ap_density_evidence *evidence);
/* Accepted densities of one species (0: all), youngest first. */
void ap_density_history(ap_doc *doc, const ap_density_study *study, int64_t species_id);
void ap_density_history_json(ap_sink *sink, const ap_density_study *study, int64_t species_id);

/* Rows of the figure density; marked empty when there is no evidence. */
void ap_density_describe(ap_figure *figure, ap_arena *arena, const ap_density_study *study, ap_unit_system units);

/* docs/json.md, "density"; evidence NULL: without the picks. label 0: all species. */
void ap_density_json(ap_json *json, const ap_density_study *study, uint32_t label, const ap_density_evidence *evidence);

#endif
