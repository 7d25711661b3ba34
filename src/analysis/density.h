/* What a company's wood weighs: the handbook's green density refined by weighed pieces with dimensions.
 *
 *     ln(W / V) = ln(handbook) + instrument + species + butt + condition + brush class + tree + rest
 *
 * W the measured net weight, V the stem's volume over bark. Every effect has a normal prior around 0: the handbook is the
 * prior of a species (sd 0.12, 0.20 where its row stands for a group), one instrument shift common to all picks has sd
 * 0.04. Tree and rest variances come from the mixed model (REML), with trees as random effects.
 *
 *   D1 A pick is evidence when its net weight, its species with a handbook figure and a volume are known. It needs no plan.
 *   D2 A butt piece whose middle was not taped carries the butt factor. The butt piece of a tree is the trunk or stub piece
 *      with the thickest butt. A species' evidence is counted in trees with a piece that is not such a butt.
 *   D3 Dead, decayed and hollow pieces carry an effect of their own each: the figure is for sound green wood.
 *   D4 A piece with brush carries the effect of its class (piece x foliage x hardwood or softwood), whatever brush share
 *      was written down: the allowance is learnt.
 *   D5 Picks above the density ceiling are questioned, not dropped: the figure with and without them, the heavier carried.
 *   D7 Evidence of other companies (book/evidence.h) moves the prior of the effect it speaks of, each company's with the
 *      between-company variance on top of its own: however many trees it rests on, it cannot overrule one's own.
 *   D6 Below AP_DENSITY_PICKS_LEAST picks or AP_DENSITY_TREES_LEAST trees the mixed model tells too little: AP_DENSITY_TREE_SD
 *      and AP_DENSITY_REST_SD stand in for its variances.
 *
 * Source   Gelman et al. 2013, Bayesian Data Analysis 3rd ed., 3.3 and 14.8; Searle, Casella & McCulloch 1992. The priors'
 *          widths, D3, D4, D6 and the width of D7 are choices of ours: no source. */
#ifndef AP_ANALYSIS_DENSITY_H
#define AP_ANALYSIS_DENSITY_H

#include "analysis/roster.h"
#include "base/species.h"
#include "derive/wood.h"
#include "stats/posterior.h"

#define AP_DENSITY_LEVEL 0.90     /* of every interval */
#define AP_DENSITY_CONFLICT_SD 3. /* own wood against the handbook */
#define AP_DENSITY_TREE_SD 0.08
#define AP_DENSITY_REST_SD 0.10
enum {
    AP_DENSITY_MORE_PICKS = 5,
    AP_DENSITY_PICKS_LEAST = 10,
    AP_DENSITY_TREES_LEAST = 5,
    AP_DENSITY_BRUSH_CLASSES = AP_WOOD_BRUSH_CLASSES
};

typedef struct ap_density_priors {
    double species_sd;
    double weak_sd;       /* a placeholder row of the handbook */
    double instrument_sd; /* 0: no instrument shift */
    double butt_sd;
    double condition_sd;
    double brush_sd;
    double company_sd; /* D7: what companies differ by, ln; their instruments and their woods */
    bool trees;        /* false: picks of one tree count as independent */
} ap_density_priors;
extern const ap_density_priors ap_density_priors_default;

/* One weighed piece, as the model sees it. */
typedef struct ap_density_pick {
    double y;      /* ln(W / V) - ln(handbook) */
    uint32_t fact; /* index in the roster */
    uint32_t tree; /* label numbers */
    uint32_t species;
    uint8_t condition; /* ap_wood_class */
    uint8_t brush;     /* 0 = none, else 1 + class */
    bool butt;         /* D2 */
    bool above_ceiling;
} ap_density_pick;

typedef enum ap_density_unused {
    AP_DENSITY_USED = 0,
    AP_DENSITY_NOT_WEIGHED, /* or net and gross not known */
    AP_DENSITY_NO_SPECIES,
    AP_DENSITY_NO_HANDBOOK,
    AP_DENSITY_NO_DIMENSIONS,
    AP_DENSITY_IMPOSSIBLE, /* tip thicker than butt, zero length ... */
    AP_DENSITY_ALL_BRUSH,  /* a brush share of 1 */
    AP_DENSITY_UNUSED_COUNT
} ap_density_unused;
const char *ap_density_unused_text(ap_density_unused why); /* "no dimensions" */

typedef struct ap_density_picks {
    ap_density_pick *items; /* heap; in pick order */
    size_t count;
    size_t unused[AP_DENSITY_UNUSED_COUNT];       /* [0] = used */
    uint32_t labels;                              /* species labels of the roster */
    const ap_species *const *species;             /* by label; NULL where the book has none */
    size_t (*unused_of)[AP_DENSITY_UNUSED_COUNT]; /* by species label */
    const ap_evidence_item *outside;              /* D7, the roster's; NULL for none */
    size_t outside_count;
} ap_density_picks;

/* The evidence among facts[first..end). Release it also after an error. */
AP_MUST_USE ap_status ap_density_picks_take(ap_density_picks *out, const ap_roster *roster, size_t first, size_t end,
                                            ap_error *err);
void ap_density_picks_release(ap_density_picks *picks);
ap_density_unused ap_density_why_unused(const ap_roster *roster, const ap_fact *fact);

typedef enum ap_density_kind {
    AP_DENSITY_INSTRUMENT,
    AP_DENSITY_SPECIES,
    AP_DENSITY_BUTT,
    AP_DENSITY_CONDITION,
    AP_DENSITY_BRUSH
} ap_density_kind;

typedef struct ap_density_effect {
    ap_density_kind kind;
    uint32_t key;                /* species label, ap_wood_class, brush class from 0 */
    double handbook_sd;          /* of the prior without the evidence of others, around 0 */
    double prior_mean, prior_sd; /* with it (D7) */
    size_t outside;              /* companies behind that */
    int64_t outside_trees;
    double mean, sd;  /* posterior, ln */
    double low, high; /* interval, ln */
    size_t picks, trees;
} ap_density_effect;

/* "What would narrow it most". */
typedef struct ap_density_narrow {
    double weigh_sd;      /* ln sd after AP_DENSITY_MORE_PICKS more pieces of the best kind, a tree each */
    uint32_t brush;       /* that kind: 0 = trunk or other bare pieces above the butt, else 1 + brush class */
    double instrument_sd; /* ln sd if the load indicator's shift were known exactly; NaN without one */
} ap_density_narrow;

typedef struct ap_density_species {
    uint32_t label;
    const ap_species *info;
    uint32_t effect;               /* number in effects[] */
    size_t picks, trees;           /* all evidence */
    size_t bare_picks, bare_trees; /* not butts: what the figure rests on */
    size_t above_ceiling;
    double prior_sd; /* of the handbook, around it */
    size_t outside;  /* D7: companies whose evidence counts in */
    int64_t outside_trees;
    double shift, sd, low, high; /* ln against the handbook: what is carried (D5) */
    double own, own_se;          /* what the picks alone say; NaN when they say nothing */
    double apart;                /* own against the handbook, in standard deviations */
    bool conflict;
    double shift_without; /* without the picks above the ceiling; NaN when there are none */
    ap_density_narrow narrow;
} ap_density_species;

typedef struct ap_density {
    ap_density_effect *effects;
    size_t effect_count;
    ap_density_species *species; /* most trees first */
    size_t species_count;
    uint32_t *species_effect; /* by label: effect number + 1; 0 = none */
    uint32_t labels;
    ap_posterior_cell *cells; /* by tree */
    size_t cell_count;
    ap_posterior posterior;
    double tree_variance, rest_variance;
    double df;    /* of both together */
    bool assumed; /* D6 */
    bool converged;
    size_t picks, trees;
} ap_density;

/* Fits picks->items[0..count). No pick is no failure: an empty result. Arrays live in `arena`; release the posterior with
 * ap_density_release(), also after an error. */
AP_MUST_USE ap_status ap_density_fit(ap_density *out, ap_arena *arena, const ap_density_picks *picks, size_t count,
                                     const ap_density_priors *priors, ap_error *err);
/* The same for those who need the effects alone: no cells are kept, which a large book has no room for beside its roster. */
AP_MUST_USE ap_status ap_density_fit_effects(ap_density *out, ap_arena *arena, const ap_density_picks *picks,
                                             size_t count, const ap_density_priors *priors, ap_error *err);
void ap_density_release(ap_density *density);

/* Everything that is said about the species on top of ap_density_fit(): D5, conflicts, what narrows. */
AP_MUST_USE ap_status ap_density_judge(ap_density *density, ap_arena *arena, const ap_density_picks *picks,
                                       const ap_density_priors *priors, ap_error *err);

/* What the picks alone say about an effect, the prior taken off: normal. False (NaN) when they say nothing. */
bool ap_density_own(double *own, double *se, const ap_density_effect *effect);
/* ln shift that the species' picks and the handbook's prior alone give, without the evidence of others. */
double ap_density_alone(const ap_density_species *row);
/* ln shift of a species' figure against the handbook; 0 (the handbook) where there is no evidence. */
double ap_density_shift(const ap_density *density, uint32_t label);
/* The same without one tree's picks, from means that ap_posterior_leave_out() gave. */
const ap_density_species *ap_density_find(const ap_density *density, uint32_t label);
/* What the model makes of one pick, its tree's effect left out. */
double ap_density_fitted(const ap_density *density, const ap_density_pick *pick);

/* "limb, leaf on, hardwood" of a brush class from 0. */
ap_str ap_density_brush_text(ap_arena *arena, uint32_t brush_class);

#endif
