/* Counts and rates: exact intervals and exact tests, and what to do with many tests at once. */
#ifndef AP_STATS_RATES_H
#define AP_STATS_RATES_H

#include "stats/stats.h"

/* Interval of a Poisson mean from one count; divide by the exposure for a rate.
 *
 * Method  low = gamma quantile (alpha/2; count), high = gamma quantile (1 - alpha/2; count + 1); low = 0 at a count of 0.
 * Source  Garwood 1936, Biometrika 28:437-442. Accuracy 1e-10 relative up to a count of 1e6.
 * Errors  AP_E_DOMAIN when the level is outside 0..1 or the count is above 1e9. */
AP_MUST_USE ap_status ap_rate_interval(ap_interval *out, uint64_t count, double level, ap_error *err);

/* Interval of a share from k of n. low = 0 at k = 0, high = 1 at k = n.
 * Source  Clopper & Pearson 1934, Biometrika 26:404-413. Accuracy 1e-10. Errors: AP_E_DOMAIN when n = 0 or k > n. */
AP_MUST_USE ap_status ap_share_interval(ap_interval *out, uint64_t k, uint64_t n, double level, ap_error *err);

typedef struct ap_cluster {
    uint32_t of, events; /* cases of one cluster (picks of a tree), and those of them with the event */
} ap_cluster;

/* Interval of a share whose cases come in clusters: cases of one are alike, so that they count as fewer.
 *
 * Method  Clopper & Pearson's on n* = n / d (t(n - 1) / t(T - 1))^2 cases, at most n, d the variance of the ratio over the T clusters by that
 *         of independent cases, t the quantiles that the level asks for; hits in proportion, not whole. With none or all of the
 *         cases d cannot be known: n* = T, a cluster counts as one case (our choice, the cautious one).
 * Source  Korn & Graubard 1998, Survey Methodology 24:193-201 (from memory); Rao & Scott 1992, Biometrics 48:577-585 for d.
 * Errors  AP_E_DOMAIN with fewer than two clusters that have cases, more events than cases, a level outside 0..1. */
AP_MUST_USE ap_status ap_share_interval_clustered(ap_interval *out, const ap_cluster *clusters, size_t count,
                                                  double level, ap_error *err);

/* Interval of share_1 - share_2, each of n picks; n may be a count divided by a design effect.
 *
 * Method  the two Wilson score intervals squared and added (method 10 of the source, no continuity correction).
 * Source  Newcombe 1998, Statistics in Medicine 17:873-890; Wilson 1927, Journal of the American Statistical Association
 *         22:209-212. Errors: AP_E_DOMAIN for a share outside 0..1, n not above 0, a level outside 0..1. */
AP_MUST_USE ap_status ap_share_difference(ap_interval *out, double share_1, double n_1, double share_2, double n_2,
                                          double level, ap_error *err);

typedef struct ap_rate_ratio {
    double ratio; /* rate 1 / rate 2; when !has_ratio (no event in 2) it is 0 and says nothing */
    double low;   /* lower end of the interval */
    double high;  /* upper end; when !has_high there is none: 0 */
    bool has_ratio;
    bool has_high;
    double p_two_sided;
    double p_more; /* one-sided: rate 1 above rate 2 */
    double p_fewer;
} ap_rate_ratio;

/* Two Poisson rates compared: events within exposure (picks, hours) each.
 *
 * Method  given the total, events_1 is binomial with share exposure_1 / (exposure_1 + exposure_2); p two-sided adds every
 *         outcome no likelier than the one seen; the interval is Clopper & Pearson's turned into a ratio.
 * Source  Przyborowski & Wilenski 1940, Biometrika 31:313-323; Lehmann & Romano 2005, section 4.5.
 * Errors  AP_E_DOMAIN when there is no event at all, an exposure is not above 0, or counts pass 1e6. */
AP_MUST_USE ap_status ap_rate_compare(ap_rate_ratio *out, uint64_t events_1, double exposure_1, uint64_t events_2,
                                      double exposure_2, double level, ap_error *err);

typedef struct ap_fisher {
    double p_two_sided;
    double p_more; /* share in row 1 above that of row 2 */
    double p_fewer;
} ap_fisher;

/* Fisher's exact test of two shares: a of a + b against c of c + d.
 *
 * Method  hypergeometric with all margins fixed; two-sided adds every table no likelier than the one seen.
 * Source  Fisher 1935, Journal of the Royal Statistical Society 98:39-82; Agresti 2002, section 3.5.
 * Accuracy 1e-10 relative. Errors: AP_E_DOMAIN when a row or the table is empty or the total is above 1e6. */
AP_MUST_USE ap_status ap_fisher_test(ap_fisher *out, uint64_t a, uint64_t b, uint64_t c, uint64_t d, ap_error *err);

/* P(at least k hits among `first` of all cases, when `hits` of `all` are hits): the one-sided p of Fisher's test, for many groups at once.
 * Accuracy 1e-8 relative up to a million cases; 0 when first or hits is above all. */
double ap_hypergeometric_more(uint64_t k, uint64_t first, uint64_t all, uint64_t hits);
/* The fewest hits with such a p at most level (below 0.3); one more than there can be when none has. */
uint64_t ap_hypergeometric_least(double level, uint64_t first, uint64_t all, uint64_t hits);

/* P(Bin(n, p) >= k) and the two-sided p that adds every outcome no likelier; for the pencil detector and the like. */
AP_MUST_USE ap_status ap_binomial_test(double *p_more, double *p_two_sided, uint64_t k, uint64_t n, double p,
                                       ap_error *err);

/* Upper tail of Pearson's chi-square for counts against expected shares (share sums to 1; expected counts >= 5 or the
 * sentence says which is too small). cells >= 2. Source: Pearson 1900, Philosophical Magazine 50:157-175. */
AP_MUST_USE ap_status ap_chi_square_test(double *statistic, double *p, const uint64_t *count, const double *share,
                                         size_t cells, ap_error *err);

/* Benjamini-Hochberg: adjusted[i] = min over larger p of p m / rank, at most 1; a test is found at rate q when its
 * adjusted p is at most q. adjusted may be p itself. *found may be NULL.
 * Source  Benjamini & Hochberg 1995, Journal of the Royal Statistical Society B 57:289-300.
 * Errors  AP_E_DOMAIN when n = 0, a p is outside 0..1 or q is. */
AP_MUST_USE ap_status ap_false_discovery(double *adjusted, size_t *found, const double *p, size_t n, double q,
                                         ap_error *err);

#endif
