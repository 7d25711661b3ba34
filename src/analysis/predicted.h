/* Movement as reconstructed beside movement as logged, over many picks: does the butt go where the mechanics say, as far?
 *
 * Method  a pick counts when the closed form gives its movement (legs, lean and states logged) and a movement is logged.
 *         Direction: butt up (logged as butt up or tip dive), butt down (butt down or tip up), stays (still or settled;
 *         predicted: neither end goes AP_PREDICTED_STAYS_M). A swing, roll or drop alone names no direction: counted apart.
 *         Shares with Clopper & Pearson's exact interval; agreement by chance from the margins, as if the two had nothing to
 *         do with each other. Size: logged distance over the longer of butt's and tip's predicted ways.
 * Limits  picks are taken as independent; those of one tree or crew are not quite. What a crew logs is an eye's estimate.
 * Source  stats/rates.h, stats/summary.h; agreement by chance: Cohen 1960, Educational and Psychological Measurement 20:37-46. */
#ifndef AP_ANALYSIS_PREDICTED_H
#define AP_ANALYSIS_PREDICTED_H

#include "analysis/roster.h"
#include "stats/stats.h"

/* Less than that a crew would hardly write down: common practice, no source. */
#define AP_PREDICTED_STAYS_M 0.3
/* "As far as predicted": between two thirds and one and a half of it; common practice, no source. */
#define AP_PREDICTED_FACTOR 1.5

typedef enum ap_goes { AP_GOES_STAYS = 0, AP_GOES_UP, AP_GOES_DOWN, AP_GOES_COUNT } ap_goes;
const char *ap_goes_name(ap_goes goes); /* "stays", "butt up", "butt down" */

/* One pick with both. */
typedef struct ap_predicted_one {
    ap_goes predicted, logged;
    double predicted_m; /* the longer way of butt and tip */
    double logged_m;    /* NaN when no distance is logged */
} ap_predicted_one;
/* False when no movement is worked out, none is logged, or what is logged names no direction. */
bool ap_predicted_get(ap_predicted_one *out, const ap_fact *fact);

typedef struct ap_predicted_share {
    size_t of;
    size_t agree;
    double by_chance;     /* share that would agree by chance; NaN when `of` is 0 */
    ap_interval interval; /* 95 %, of agree / of; both ends 0 when `of` is 0 */
} ap_predicted_share;

/* Positive: butt up. Metres. */
typedef struct ap_predicted_pair {
    float predicted_m;
    float logged_m; /* 0 when it stayed */
} ap_predicted_pair;

typedef struct ap_predicted {
    size_t picks;     /* looked at */
    size_t logged;    /* with a movement logged */
    size_t predicted; /* with a movement worked out */
    size_t both;
    size_t other;                               /* both, but what is logged names no direction */
    size_t table[AP_GOES_COUNT][AP_GOES_COUNT]; /* [predicted][logged] */
    ap_predicted_share direction;               /* both go up or down: the same way */
    ap_predicted_share all;                     /* stays counts as an answer too */
    size_t sized;                               /* with a distance logged and a way of AP_PREDICTED_STAYS_M or more */
    double median_ratio;                        /* logged / predicted; NaN when sized is 0 */
    ap_interval median_interval;                /* 95 %; low > high: too few */
    ap_predicted_share size;                    /* within AP_PREDICTED_FACTOR; by_chance NaN */
    ap_predicted_pair *pairs;                   /* for a figure: `both` less `other` */
    size_t pair_count;
} ap_predicted;

/* Of facts[first..end). Pairs live in `arena`. */
AP_MUST_USE ap_status ap_predicted_count(ap_predicted *out, ap_arena *arena, const ap_roster *roster, size_t first,
                                         size_t end, ap_error *err);

#endif
