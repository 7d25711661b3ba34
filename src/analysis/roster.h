/* The roster: every pick of the book in pick order as a compact fact, read once, that analysis, detectors and reports
 * share. Some 180 bytes a pick, so that a million picks stay under 256 MiB. */
#ifndef AP_ANALYSIS_ROSTER_H
#define AP_ANALYSIS_ROSTER_H

#include "base/species.h"
#include "book/assumptions.h"
#include "book/evidence.h"
#include "book/picks.h"
#include "derive/derive.h"
#include "derive/wood.h"

/* What picks are grouped by; the words of --by are in roster.c's one table. */
typedef enum ap_by {
    AP_BY_SPECIES,
    AP_BY_CUT,
    AP_BY_BASIS,
    AP_BY_PIECE,
    AP_BY_ESTIMATOR,
    AP_BY_CREW,
    AP_BY_CRANE,
    AP_BY_CONDITION,
    AP_BY_FOLIAGE,
    AP_BY_SETUP,
    AP_BY_MONTH,
    AP_BY_JOB,
    AP_BY_TREE,
    AP_BY_COUNT
} ap_by;

/* What no statistic of the error asks: shown, or looked at pick by pick. Widest members first: at a million picks every byte is a
 * megabyte. */
typedef struct ap_fact_rest {
    const char *name; /* "J231/17"; ap_roster_name() also where the rest is shared */
    double share_cut;
    double share_set_down;
    double volume_m3; /* of the stem, over bark; NaN when its dimensions give none */
    float diameter_m; /* of the cylinder of the same length and volume; NaN with the volume */
    float planned_radius_m;
    float cut_radius_m;
    float set_down_radius_m;
    float movement_distance_m;
    float lean_deg; /* NaN when blank */
    float butt_up_m,
        way_m; /* by the reconstruction, of ap_roster_load_learnt() alone: rise of the butt; the longer way of
                               butt and tip; NaN */
    uint32_t label_setup;
    uint16_t movement; /* set of AP_MOVE_BIT() */
    uint8_t slings;    /* AP_SLINGS_* */
    int8_t re_rigs;    /* AP_COUNT_NONE when blank */
} ap_fact_rest;

/* Labels are numbers of their grouping, 0 = blank: read and set them by ap_fact_group() and ap_fact_set_group(). */
typedef struct ap_fact {
    ap_fact_rest *rest; /* never NULL; facts read for the error alone may share one that says nothing */
    double planned_net_kg;
    double measured_net_kg;
    double log_error; /* NaN unless compared */
    double hook_kg;
    double share_planned;
    float rigging_kg;    /* block, slings and stowed gear of this pick */
    float replanned_log; /* ln of the density in force now over that of the plan's day; 0 unless planned by density */
    ap_date date;
    uint32_t label_estimator, label_crew, label_crane, label_job, label_tree;
    uint16_t label_species, label_month;
    uint8_t label_cut;
    uint8_t label_basis : 4, label_piece : 4, label_condition : 4, label_foliage : 4;
    uint8_t compared;   /* ap_compared */
    uint8_t weighed_by; /* AP_WEIGHED_BY_* */
    uint8_t wood;       /* set of AP_FACT_* */
    uint8_t marks;      /* set of AP_MARK_* */
    uint8_t wood_class; /* ap_wood_class */
    uint8_t toward;     /* AP_TOWARD_* */
    uint8_t near_miss;  /* AP_YESNO_* */
    uint8_t kerf;       /* AP_KERF_*; 0 too where not all of the pick was read */
    bool over_chart : 1;
    bool planned_over_chart : 1;
    bool toward_person : 1;
    bool rigging_assumed : 1;
    bool damage_noted : 1;
    bool no_tree : 1; /* job and species stand for the tree */
} ap_fact;

/* What was read, assumed or looked up with the crane's own entries. */
enum {
    AP_MARK_CORRECTED = 1,      /* the weight is multiplied by the factor of a calibration */
    AP_MARK_FROM_CHART = 2,     /* a capacity comes from the crane's load chart */
    AP_MARK_PAST_CHART = 4,     /* past its end: no capacity */
    AP_MARK_CHART_DIFFERS = 8,  /* a logged capacity is not the chart's */
    AP_MARK_CRANE_RIGGING = 16, /* block and slings from the crane's own entry */
    AP_MARK_REPEATS_PLAN = 32   /* as read, the net weight is the planned one */
};

enum {
    AP_FACT_BUTT = 1,               /* the thickest trunk or stub piece of its tree */
    AP_FACT_MID_TAPED = 2,          /* the volume rests on a mid diameter */
    AP_FACT_IMPOSSIBLE = 4,         /* dimensions that no piece has */
    AP_FACT_ALL_BRUSH = 8,          /* a brush share of 1 or more */
    AP_FACT_BRUSHY = 16,            /* carries brush */
    AP_FACT_ABOVE_CEILING = 32,     /* heavier than sound wood can be, beyond the volume's reading error */
    AP_FACT_PLANNED_BY_DENSITY = 64 /* by chart, table or worked */
};

/* Names of facts that share their rest, in row order as they are kept. */
typedef struct ap_roster_names {
    struct {
        size_t first; /* row */
        const char *names;
    } * chunks;
    size_t chunk_count;
    uint32_t *rows; /* by fact */
} ap_roster_names;

/* How much of the picks a roster holds. */
typedef enum ap_roster_depth { AP_ROSTER_ERRORS, AP_ROSTER_WOOD, AP_ROSTER_ALL } ap_roster_depth;

typedef struct ap_roster {
    ap_arena arena;
    ap_settings settings;
    ap_company company;                  /* the settings above and the cranes, in the arena */
    double brush[AP_WOOD_BRUSH_CLASSES]; /* company.brush, where it was learnt */
    ap_fact *facts;                      /* in pick order */
    ap_fact_rest *rests;                 /* of the facts, where they were made together; else in the arena */
    ap_roster_names row_names;
    size_t count;
    size_t cap;
    ap_intern *labels[AP_BY_COUNT];
    ap_intern *people;          /* names behind "estimator 3", in order of first appearance */
    bool names;                 /* show people as logged */
    const ap_species **species; /* by label number; NULL where the book has none */
    ap_assumptions assumptions; /* accepted densities */
    ap_evidence evidence;       /* of other companies, as it counts on the day of `until` */
    ap_date until;              /* densities in force on this day are "now"; AP_DATE_NONE: today's */
    bool kept;                  /* read from what the book keeps of its picks, not from the picks */
    size_t trees_assumed;       /* picks whose tree cell was blank: job and species stand for the tree */
} ap_roster;

/* Reads all picks up to `until` (AP_DATE_NONE: all). Unless `names`, an estimator written by name becomes "estimator 3"
 * right here, so that no page can show the name; a code of up to four letters and digits stays. Release also after an
 * error. */
AP_MUST_USE ap_status ap_roster_load(ap_roster *out, ap_book *book, ap_date until, bool names, ap_error *err);
/* The same, and the movement is worked out, with the brush that the weighed pieces up to `until` taught (brush_learnt.h), as `pick` does:
 * company.brush is that. Takes a narrow reading more. */
AP_MUST_USE ap_status ap_roster_load_learnt(ap_roster *out, ap_book *book, ap_date until, bool names, ap_error *err);
/* Has the book keep what ap_roster_load_learnt() wants of a book of many picks, where it may be written: before a transaction, in which
 * nothing can be kept. What is in the way is no error. */
void ap_roster_keep_learnt(ap_book *book, ap_date until);
/* As ap_roster_load(), for the statistics of the error alone, some times as fast: nothing is known in the rest of a fact, and no piece
 * is marked as its tree's butt. */
AP_MUST_USE ap_status ap_roster_load_errors(ap_roster *out, ap_book *book, ap_date until, bool names, ap_error *err);
/* The same with what density asks: volume, diameter and butt pieces. */
AP_MUST_USE ap_status ap_roster_load_wood(ap_roster *out, ap_book *book, ap_date until, ap_error *err);
/* From what the book keeps alone, with names: to be held against the picks. Without `kept` there are no facts. */
AP_MUST_USE ap_status ap_roster_load_kept(ap_roster *out, ap_book *book, ap_error *err);
void ap_roster_release(ap_roster *roster);

/* The label's number of a fact in one grouping; 0 = blank. */
static inline uint32_t ap_fact_group(const ap_fact *fact, ap_by by) {
    switch (by) {
    case AP_BY_SPECIES:
        return fact->label_species;
    case AP_BY_CUT:
        return fact->label_cut;
    case AP_BY_BASIS:
        return fact->label_basis;
    case AP_BY_PIECE:
        return fact->label_piece;
    case AP_BY_ESTIMATOR:
        return fact->label_estimator;
    case AP_BY_CREW:
        return fact->label_crew;
    case AP_BY_CRANE:
        return fact->label_crane;
    case AP_BY_CONDITION:
        return fact->label_condition;
    case AP_BY_FOLIAGE:
        return fact->label_foliage;
    case AP_BY_SETUP:
        return fact->rest->label_setup;
    case AP_BY_MONTH:
        return fact->label_month;
    case AP_BY_JOB:
        return fact->label_job;
    case AP_BY_TREE:
    case AP_BY_COUNT:
        break;
    }
    return fact->label_tree;
}
/* False when the number does not fit: 15 words of a vocabulary, 255 cuts, 65535 species and months. */
bool ap_fact_set_group(ap_fact *fact, ap_by by, uint32_t number);

/* The figures of one pick, without name, groups, wood and the movement worked out: what the roster keeps of it. */
void ap_fact_set(ap_fact *fact, const ap_pick *pick, const ap_company *company);
/* butt_up_m and way_m, with the brush that the company learnt. */
void ap_fact_set_ways(ap_fact *fact, const ap_pick *pick, const ap_species *species, const ap_company *company);
/* Nothing is known. */
void ap_fact_rest_blank(ap_fact_rest *rest);
const char *ap_roster_name(const ap_roster *roster, size_t fact);           /* "J231/17" */
ap_str ap_roster_label(const ap_roster *roster, ap_by by, uint32_t number); /* "by_eye"; none for 0 */
double ap_fact_ratio(const ap_fact *fact);                                  /* exp(log_error) */
double ap_fact_share_worst(const ap_fact *fact);
/* ln of the density in force for a species label on a day (AP_DATE_NONE: now) over the handbook's; 0 where it is that. */
double ap_roster_density_log(const ap_roster *roster, uint32_t species, ap_date day);

/* The slice of facts dated since..until (either may be AP_DATE_NONE): facts are in date order. */
void ap_roster_slice(const ap_roster *roster, ap_date since, ap_date until, size_t *first, size_t *end);

const char *ap_by_name(ap_by by);  /* "species": the word of --by and the JSON key */
const char *ap_by_label(ap_by by); /* "species", "basis of the estimate" */
bool ap_by_find(ap_by *out, ap_str name);

#endif
