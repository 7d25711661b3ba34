#include "stats/oneway.h"

#include <gsl/gsl_cdf.h>

#include "stats/moments.h"
#include "stats/sample.h"

typedef struct member {
    uint32_t group;
    double value;
} member;

static int compare_members(const void *left, const void *right) {
    const member *a = left;
    const member *b = right;
    if (a->group != b->group) {
        return a->group < b->group ? -1 : 1;
    }
    return (a->value > b->value) - (a->value < b->value);
}

/* Everything is taken as a difference from the first value: with it goes the loss when the mean is large. */
static ap_status add_groups(ap_oneway *found, ap_moments *all, double *squares_of_counts, const member *members,
                            size_t n, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t at = 0; at < n && status == AP_OK; found->groups++) {
        ap_moments one;
        double sd = 0.0;
        ap_moments_clear(&one);
        uint32_t group = members[at].group;
        for (; at < n && members[at].group == group && status == AP_OK; at++) {
            status = ap_moments_add(&one, members[at].value, err);
        }
        if (status == AP_OK && one.n > 1) {
            status = ap_moments_sd(&sd, &one, err);
        }
        found->within_ss += sd * sd * (double)(one.n - (one.n > 0));
        *squares_of_counts += (double)one.n * (double)one.n;
        ap_moments_merge(all, &one);
    }
    return status;
}

/* Between-group sum of squares, from the groups' means about the grand mean, both as differences. */
static double between(const ap_moments *all, const member *members, size_t n) {
    double sum = 0.0, grand = all->mean + all->mean_low;
    for (size_t at = 0; at < n;) {
        size_t end = at;
        double mean = 0.0;
        for (; end < n && members[end].group == members[at].group; end++) {
            mean += ((members[end].value - all->shift) - mean) / (double)(end - at + 1);
        }
        sum += (double)(end - at) * (mean - grand) * (mean - grand);
        at = end;
    }
    return sum;
}

static ap_status finish(ap_oneway *found, const ap_moments *all, double squares_of_counts, ap_error *err) {
    double n = (double)found->n;
    found->between_df = (double)found->groups - 1.0;
    found->within_df = n - (double)found->groups;
    if (found->groups < 2 || !(found->within_df > 0.0)) {
        return ap_error_set(
            err, AP_E_DOMAIN,
            "an analysis between groups needs 2 groups and one of 2 values, there are %zu groups of %zu values",
            found->groups, found->n);
    }
    double total = found->between_ss + found->within_ss;
    if (!(total > 0.0) || !isfinite(total)) {
        return ap_error_set(err, AP_E_DOMAIN, "an analysis between groups needs values that differ");
    }
    double within = found->within_ss / found->within_df, apart = found->between_ss / found->between_df;
    found->pooled_sd = sqrt(within);
    found->has_f = within > 0.0 && isfinite(apart / within);
    found->f = found->has_f ? apart / within : 0.0;
    found->p = found->has_f ? gsl_cdf_fdist_Q(found->f, found->between_df, found->within_df) : 0.0;
    found->r_squared = found->between_ss / total;
    found->between_variance = fmax(0.0, (apart - within) / ((n - squares_of_counts / n) / found->between_df));
    return ap_moments_mean(&found->mean, all, err);
}

ap_status ap_oneway_fit(ap_oneway *out, const double *x, const uint32_t *group, size_t n, ap_error *err) {
    ap_stats_init();
    ap_status status = ap_sample_check(x, n, 3, "an analysis between groups", err);
    if (status != AP_OK) {
        return status;
    }
    member *members = calloc(n, sizeof *members);
    if (!members) {
        return ap_sample_no_memory("an analysis between groups", err);
    }
    for (size_t i = 0; i < n; i++) {
        members[i] = (member){group[i], x[i]};
    }
    qsort(members, n, sizeof *members, compare_members);
    ap_oneway found = {.n = n};
    ap_moments all;
    double squares_of_counts = 0.0;
    ap_moments_clear(&all);
    status = add_groups(&found, &all, &squares_of_counts, members, n, err);
    if (status == AP_OK) {
        found.between_ss = between(&all, members, n);
        status = finish(&found, &all, squares_of_counts, err);
    }
    if (status == AP_OK) {
        *out = found;
    }
    free(members);
    return status;
}
