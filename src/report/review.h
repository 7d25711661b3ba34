/* The monthly review: facts gathered once, then a table of sections that each say their part. */
#ifndef AP_REPORT_REVIEW_H
#define AP_REPORT_REVIEW_H

#include "analysis/associations.h"
#include "analysis/between.h"
#include "analysis/density_study.h"
#include "analysis/movement.h"
#include "analysis/pooled.h"
#include "analysis/predicted.h"
#include "analysis/quality.h"
#include "analysis/share_heavier.h"
#include "analysis/trend_months.h"
#include "analysis/weighing.h"
#include "figure/figure.h"
#include "nearmiss/detect.h"
#include "report/actions_page.h"
#include "report/sentences.h"

typedef enum ap_review_figure {
    AP_REVIEW_FIGURE_PLANNED_MEASURED,
    AP_REVIEW_FIGURE_BY_SPECIES,
    AP_REVIEW_FIGURE_BY_CUT,
    AP_REVIEW_FIGURE_BY_ESTIMATOR,
    AP_REVIEW_FIGURE_GRID,
    AP_REVIEW_FIGURE_TREND,
    AP_REVIEW_FIGURE_RUNS,
    AP_REVIEW_FIGURE_CAPACITY,
    AP_REVIEW_FIGURE_MOVED_BY_CUT,
    AP_REVIEW_FIGURE_MOVED_BY_SETUP,
    AP_REVIEW_FIGURE_RE_RIGS,
    AP_REVIEW_FIGURE_KERF,
    AP_REVIEW_FIGURE_DENSITY,
    AP_REVIEW_FIGURE_PREDICTED,
    AP_REVIEW_FIGURE_BETWEEN,
    AP_REVIEW_FIGURE_COUNT
} ap_review_figure;

typedef struct ap_review {
    ap_arena *arena;
    const ap_roster *roster;
    ap_period period;
    ap_period before;    /* the same length just before; open for a review of all picks */
    size_t first, end;   /* the period's picks */
    size_t before_first; /* picks of the period before: facts[before_first..first) */
    size_t trend_first;  /* picks of the months the trend shows: facts[trend_first..end) */
    ap_weight_table species, cuts, grid, basis, crews, cranes, estimators;
    ap_weight_table species_before;                     /* its `all` is the period before as a whole */
    ap_interval heavier;                                /* of the share heavier, trees as clusters; NaN */
    ap_pooled pooled_species, pooled_cuts, pooled_grid; /* all picks up to the period's end */
    ap_trend trend;                                     /* the months that the trend shows */
    ap_weighing weighing;
    ap_density_study wood; /* all picks up to the period's end; released by ap_review_release() */
    ap_finding_list findings;
    ap_said_list said;
    ap_chance chance;
    ap_rule_limits limits;
    ap_str findings_not_kept; /* why the book does not remember them; none when it does */
    ap_quality quality;
    ap_hung_clashes clashes; /* of the period's picks */
    ap_movement_table moved_by_cut, moved_by_setup;
    ap_kerf_table kerf;
    ap_predicted predicted;       /* all picks up to the period's end */
    ap_between between;           /* all picks up to the period's end */
    ap_associations associations; /* all picks up to the period's end */
    ap_action_list actions;       /* as they stood at the period's end */
    size_t jobs;
    ap_figure_set *figures;
    const ap_figure *figure[AP_REVIEW_FIGURE_COUNT];
    ap_unit_system units;
    const char *pages; /* the book of picks, "book/", seen from the review; NULL: it is not made */
} ap_review;

/* Reads everything the sections need; facts live in `arena` and in the roster. */
AP_MUST_USE ap_status ap_review_gather(ap_review *out, ap_arena *arena, ap_book *book, const ap_roster *roster,
                                       ap_period period, ap_unit_system units, ap_error *err);
void ap_review_release(ap_review *review); /* also after an error */
/* Describes the figures; ap_figure_set_draw() on review->figures draws them. */
void ap_review_describe_figures(ap_review *review);
void ap_review_describe_parted(ap_review *review); /* those of the section on separations; called by the one above */
ap_figure *ap_review_add_figure(ap_review *review, ap_review_figure which, const char *plot, const char *id,
                                const char *title, ap_str description);
/* Rows x, y, how many picks the mark stands for (thin_points.h), and `kind` for all of them. */
void ap_review_put_marks(ap_figure *figure, ap_arena *arena, const double *x, const double *y, size_t count,
                         double kind);
/* A person with fewer picks is not shown by name. */
enum { AP_REVIEW_FEWEST_BY_PERSON = 5 };
/* A copy of the table without the people who have too few picks; *left_out counts them. */
ap_weight_table ap_review_without_few(const ap_review *review, const ap_weight_table *table, size_t *left_out);
/* Says everything, section by section. */
void ap_review_build(ap_doc *doc, const ap_review *review);

/* The sections, one file each. */
void ap_section_first(ap_doc *doc, const ap_review *review);
void ap_section_done(ap_doc *doc, const ap_review *review);
void ap_section_error(ap_doc *doc, const ap_review *review);
void ap_section_trend(ap_doc *doc, const ap_review *review);
void ap_section_margin(ap_doc *doc, const ap_review *review);
void ap_section_separations(ap_doc *doc, const ap_review *review);
void ap_section_findings(ap_doc *doc, const ap_review *review);
void ap_section_density(ap_doc *doc, const ap_review *review);
void ap_section_quality(ap_doc *doc, const ap_review *review);
void ap_section_actions(ap_doc *doc, const ap_review *review);
void ap_section_method(ap_doc *doc, const ap_review *review);

/* Movement worked out against movement seen: a part of the section on separations, and its figure. */
void ap_predicted_put(ap_doc *doc, const ap_review *review);
void ap_predicted_describe(ap_figure *figure, const ap_review *review);

/* Picks from one near miss to the next: a part of the section on the trend, and its figure. */
void ap_between_put(ap_doc *doc, const ap_review *review);
void ap_between_describe(ap_figure *figure, const ap_review *review);

/* A figure's place in the document, drawn or with the reason why not. */
void ap_review_put_figure(ap_doc *doc, const ap_review *review, ap_review_figure which);
/* The crews' messages, at most three, each with its evidence; returns how many. */
enum { AP_REVIEW_MESSAGES = 3 };
typedef struct ap_review_message {
    ap_str says;
    ap_str pick; /* "J152/2", "J152/2 and on" for a row */
    ap_str evidence;
} ap_review_message;
size_t ap_review_messages(ap_review_message messages[AP_REVIEW_MESSAGES], ap_doc *doc, const ap_review *review);
/* The same alone on a page in big type. */
void ap_review_briefing(ap_doc *doc, const ap_review *review);

#endif
