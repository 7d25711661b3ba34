#include "stats/sample.h"
#include "stats/trend.h"

enum { MOST_PETTITT = 1000000, MOST_SUBSETS = 20 };

typedef struct placed {
    double value;
    size_t at;
} placed;

static int compare_placed(const void *left, const void *right) {
    const placed *a = left;
    const placed *b = right;
    return (a->value > b->value) - (a->value < b->value);
}

/* rank[i] receives twice the midrank of x[i]: whole numbers, so that U is whole too. */
static ap_status double_ranks(int64_t *rank, const double *x, size_t n, ap_error *err) {
    placed *order = calloc(n, sizeof *order);
    if (!order) {
        return ap_sample_no_memory("Pettitt's test", err);
    }
    for (size_t i = 0; i < n; i++) {
        order[i] = (placed){x[i], i};
    }
    qsort(order, n, sizeof *order, compare_placed);
    for (size_t at = 0; at < n;) {
        size_t end = at + 1;
        while (end < n && order[end].value == order[at].value) {
            end++;
        }
        for (size_t i = at; i < end; i++) {
            rank[order[i].at] = (int64_t)(at + 1 + end);
        }
        at = end;
    }
    free(order);
    return AP_OK;
}

/* U depends only on which values came first, not on their order among themselves: so the orders that stay below k are
 * counted by filling up subsets one value at a time. */
static ap_status exact_share(double *out, const int64_t *rank, size_t n, int64_t k, ap_error *err) {
    size_t subsets = (size_t)1 << n;
    double *orders = ap_sample_array(subsets); /* share of the orders of this subset that have stayed below k */
    if (!orders) {
        return ap_sample_no_memory("Pettitt's exact test", err);
    }
    orders[0] = 1.0;
    for (size_t set = 1; set < subsets; set++) {
        int64_t sum = 0, count = 0;
        double from = 0.0;
        for (size_t i = 0; i < n; i++) {
            if ((set >> i) & 1u) {
                sum += rank[i];
                count++;
                from += orders[set ^ ((size_t)1 << i)];
            }
        }
        int64_t u = sum - count * ((int64_t)n + 1);
        orders[set] = (u < 0 ? -u : u) < k ? from / (double)count : 0.0;
    }
    *out = fmin(1.0, fmax(0.0, 1.0 - orders[subsets - 1]));
    free(orders);
    return AP_OK;
}

ap_status ap_trend_pettitt(ap_pettitt *out, const double *x, size_t n, ap_error *err) {
    ap_status status = ap_sample_check(x, n, 2, "Pettitt's test", err);
    if (status == AP_OK && n > MOST_PETTITT) {
        status = ap_error_set(err, AP_E_LIMIT, "Pettitt's test takes at most %d values, not %zu", MOST_PETTITT, n);
    }
    if (status != AP_OK) {
        return status;
    }
    int64_t *rank = calloc(n, sizeof *rank);
    if (!rank) {
        return ap_sample_no_memory("Pettitt's test", err);
    }
    ap_pettitt found = {0};
    status = double_ranks(rank, x, n, err);
    int64_t u = 0;
    for (size_t i = 0; status == AP_OK && i < n; i++) {
        u += rank[i] - ((int64_t)n + 1);
        int64_t size = u < 0 ? -u : u;
        if (size > found.k) {
            found.k = size;
            found.last = i + 1;
            found.rises = u < 0;
        }
    }
    if (status == AP_OK && found.k == 0 && rank[0] == rank[n - 1]) {
        bool all_equal = true;
        for (size_t i = 1; i < n; i++) {
            all_equal = all_equal && x[i] == x[0];
        }
        if (all_equal) {
            status = ap_error_set(err, AP_E_DOMAIN, "Pettitt's test needs values that differ");
        }
    }
    if (status == AP_OK && n <= MOST_SUBSETS) {
        status = exact_share(&found.p, rank, n, found.k, err);
        found.kind = AP_TREND_EXACT;
    } else if (status == AP_OK) {
        double m = (double)n, k = (double)found.k;
        found.p = fmin(1.0, 2.0 * exp(-6.0 * k * k / (m * m * m + m * m)));
        found.kind = AP_TREND_NORMAL;
    }
    free(rank);
    if (status == AP_OK) {
        *out = found;
    }
    return status;
}
