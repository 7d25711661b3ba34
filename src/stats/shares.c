#include "stats/shares.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sf_gamma.h>

#include "stats/sample.h"

enum { MOST_CASES = 5000 };

/* Outcomes whose probability agrees to 1e-7 count as equally likely, as in ap_fisher_test(). */
static const double tie = 1.0 + 1e-7;

/* One group: its cases, where its binomial has any weight, and the logs of its choose numbers. */
typedef struct group {
    unsigned n, low, high;
    double *weight; /* binomial, of low..high */
    double *choose; /* ln C(n, k), of 0..n */
} group;

static ap_status make_group(group *g, uint64_t n, double p, ap_error *err) {
    double mean = (double)n * p;
    double reach = 7.0 * sqrt(mean * (1.0 - p)) + 7.0;
    *g = (group){.n = (unsigned)n,
                 .low = (unsigned)fmax(0.0, floor(mean - reach)),
                 .high = (unsigned)fmin((double)n, ceil(mean + reach))};
    g->weight = calloc((size_t)n + 1, sizeof *g->weight);
    g->choose = calloc((size_t)n + 1, sizeof *g->choose);
    if (!g->weight || !g->choose) {
        return ap_sample_no_memory("the power of a test", err);
    }
    for (unsigned k = 0; k <= g->n; k++) {
        g->choose[k] = gsl_sf_lnchoose(g->n, k);
        g->weight[k] = k >= g->low && k <= g->high ? gsl_ran_binomial_pdf(k, p, g->n) : 0.0;
    }
    return AP_OK;
}

static void free_group(group *g) {
    free(g->weight);
    free(g->choose);
}

/* Chance of any table with `hits` hits in both groups. */
static double chance_of_hits(const group *one, const group *two, unsigned hits) {
    double sum = 0.0;
    for (unsigned k = one->low; k <= one->high && k <= hits; k++) {
        sum += hits - k <= two->n ? one->weight[k] * two->weight[hits - k] : 0.0;
    }
    return sum;
}

/* Chance of a table with `hits` hits that the test does not reject. Outcomes are rejected from the least likely on while their sum stays
 * within alpha; those equally likely go together. Further than 9 sd from the middle everything is rejected unseen. */
static double accepted(const group *one, const group *two, unsigned hits, double *here, double alpha) {
    double all_n = (double)one->n + two->n;
    double share = one->n / all_n;
    double sd = sqrt(fmax(0.0, hits * share * (1.0 - share) * (all_n - hits) / fmax(1.0, all_n - 1.0)));
    double reach = 9.0 * sd + 9.0;
    unsigned low = (unsigned)fmax(hits > two->n ? hits - two->n : 0.0, floor(hits * share - reach));
    unsigned high = (unsigned)fmin(fmin(hits, one->n), ceil(hits * share + reach));
    double most = -INFINITY;
    for (unsigned k = low; k <= high; k++) {
        here[k] = one->choose[k] + two->choose[hits - k];
        most = fmax(most, here[k]);
    }
    double all = 0.0;
    for (unsigned k = low; k <= high; k++) {
        here[k] = exp(here[k] - most);
        all += here[k];
    }
    double sum = 0.0;
    unsigned left = low;
    unsigned right = high + 1; /* right - 1 is the next from the right */
    while (left < right) {
        double next = fmin(here[left], here[right - 1]) * tie;
        unsigned to_left = left;
        unsigned to_right = right;
        while (to_left < to_right && here[to_left] <= next) {
            sum += here[to_left++];
        }
        while (to_right > to_left && here[to_right - 1] <= next) {
            sum += here[--to_right];
        }
        if (sum > alpha * all) {
            break;
        }
        left = to_left;
        right = to_right;
    }
    double chance = 0.0;
    for (unsigned k = left; k < right; k++) {
        chance += one->weight[k] * two->weight[hits - k];
    }
    return chance;
}

ap_status ap_fisher_power(double *out, uint64_t n1, uint64_t n2, double p1, double p2, double alpha, ap_error *err) {
    ap_stats_init();
    if (n1 == 0 || n2 == 0 || n1 > MOST_CASES || n2 > MOST_CASES || !(p1 >= 0.0 && p1 <= 1.0) ||
        !(p2 >= 0.0 && p2 <= 1.0) || !(alpha > 0.0 && alpha < 1.0)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "the power of an exact comparison needs 1 to %d cases a group and shares in 0..1",
                            MOST_CASES);
    }
    group one = {0};
    group two = {0};
    double *here = calloc((size_t)n1 + 1, sizeof *here);
    ap_status status = here ? AP_OK : ap_sample_no_memory("the power of a test", err);
    status = status == AP_OK ? make_group(&one, n1, p1, err) : status;
    status = status == AP_OK ? make_group(&two, n2, p2, err) : status;
    if (status == AP_OK) {
        double chance = 0.0;
        for (unsigned hits = one.low + two.low; hits <= one.high + two.high; hits++) {
            chance += fmax(0.0, chance_of_hits(&one, &two, hits) - accepted(&one, &two, hits, here, alpha));
        }
        *out = fmin(1.0, chance);
    }
    free_group(&one);
    free_group(&two);
    free(here);
    return status;
}

ap_status ap_fisher_cases(uint64_t *out, uint64_t n2, double p1, double p2, double alpha, double power, uint64_t most,
                          ap_error *err) {
    uint64_t low = 1;
    uint64_t high = most;
    double reached = 0.0;
    *out = 0;
    ap_status status = ap_fisher_power(&reached, most, n2, p1, p2, alpha, err);
    if (status != AP_OK || reached < power) {
        return status;
    }
    while (low < high && status == AP_OK) {
        uint64_t middle = low + (high - low) / 2;
        status = ap_fisher_power(&reached, middle, n2, p1, p2, alpha, err);
        if (reached < power) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    *out = high;
    return status;
}
