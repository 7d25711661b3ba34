/* Associations worth saying: does one kind of pick move, come back or hang slack more often than the others?
 *
 *   A1 movement by cut, set-up and lean     against all other picks with the three logged
 *   A2 a kerf that closed or opened         against a steady one: the piece moved
 *   A3 hook back (re-rig) by set-up         against all other set-ups
 *   A4 a leg slack at the cut, by set-up    against all other set-ups
 *   A5 eye slings on leaning pieces         against leaning pieces without: hook back
 *
 * Every group with AP_ASSOCIATION_LEAST picks on both sides is looked at; all that were looked at are corrected together. An
 * association is no cause: the groups differ in trees, sizes and people, and picks of one tree are alike, which the exact test does not
 * know. Where the side that has more of them, the group or its others, has them all from one tree, none is said to differ. */
#ifndef AP_ANALYSIS_ASSOCIATIONS_H
#define AP_ANALYSIS_ASSOCIATIONS_H

#include "analysis/roster.h"
#include "stats/stats.h"

typedef enum ap_association_kind {
    AP_ASSOCIATION_MOVED,
    AP_ASSOCIATION_KERF,
    AP_ASSOCIATION_RE_RIG,
    AP_ASSOCIATION_SLACK,
    AP_ASSOCIATION_EYE_LEANING,
    AP_ASSOCIATION_KINDS
} ap_association_kind;

typedef enum ap_association_verdict {
    AP_ASSOCIATION_DIFFERS,
    AP_ASSOCIATION_ALIKE,     /* no difference found, and one of AP_ASSOCIATION_WORTH would likely have been */
    AP_ASSOCIATION_ONE_TREE,  /* the numbers differ, but all hits of the side that has more are of one tree */
    AP_ASSOCIATION_TOO_LITTLE /* no difference found, and there are too few picks to find one */
} ap_association_verdict;

typedef struct ap_association {
    ap_association_kind kind;
    ap_str group; /* "step cut, 2 legs, adjustable, leaning 30 to 60 degrees" */
    size_t hits, picks;
    size_t other_hits, others;
    double difference; /* of the two shares */
    ap_interval interval;
    double p;
    double adjusted; /* Benjamini-Hochberg over all that were looked at */
    ap_association_verdict verdict;
    size_t needs_more; /* TOO_LITTLE: picks of this group; 0 = more than AP_ASSOCIATION_PICKS_MAX, or more others too */
} ap_association;

typedef struct ap_associations {
    ap_association *items; /* by p, the smallest first */
    size_t count;
    size_t left_out; /* groups with fewer than AP_ASSOCIATION_LEAST picks */
    size_t cut_off;  /* looked at and corrected for, but past AP_ASSOCIATION_MAX */
} ap_associations;

enum { AP_ASSOCIATION_LEAST = 5, AP_ASSOCIATION_MAX = 60, AP_ASSOCIATION_PICKS_MAX = 1000 };
/* Difference between two shares that is worth knowing, and the chance to find it that counts as enough; our choice. */
#define AP_ASSOCIATION_WORTH 0.20
#define AP_ASSOCIATION_POWER 0.80
#define AP_ASSOCIATION_FALSE 0.10

/* Looks at facts[first..end). Method: Fisher's exact test, two-sided; Newcombe's interval of the difference at 95 %; Benjamini-Hochberg;
 * needs_more from the exact power of the test at 5 % against a difference of AP_ASSOCIATION_WORTH. Texts live in `arena`. */
AP_MUST_USE ap_status ap_associations_find(ap_associations *out, ap_arena *arena, const ap_roster *roster, size_t first,
                                           size_t end, ap_error *err);

const char *ap_association_outcome(ap_association_kind kind); /* "the piece moved" */
const char *ap_association_word(ap_association_kind kind);    /* "moved" */
const char *ap_association_name(ap_association_kind kind);    /* "movement": the JSON word */
const char *ap_association_against(ap_association_kind kind); /* "a steady kerf" */
const char *ap_association_verdict_name(ap_association_verdict verdict);

#endif
