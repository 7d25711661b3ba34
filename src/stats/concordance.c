#include "stats/concordance.h"

#include "stats/sample.h"

typedef struct dated_value {
    double t;
    double x;
} dated_value;

static int by_time_then_value(const void *left, const void *right) {
    const dated_value *a = left;
    const dated_value *b = right;
    int time = (a->t > b->t) - (a->t < b->t);
    return time ? time : (a->x > b->x) - (a->x < b->x);
}

static int64_t pairs(int64_t n) {
    return n * (n - 1) / 2;
}

/* Merges two ascending runs into `to`; how many pairs stood the wrong way round. */
static int64_t merge(double *to, const double *left, size_t left_count, const double *right, size_t right_count) {
    int64_t exchanges = 0;
    size_t i = 0, j = 0;
    while (i < left_count || j < right_count) {
        if (j == right_count || (i < left_count && left[i] <= right[j])) {
            *to++ = left[i++];
        } else {
            *to++ = right[j++];
            exchanges += (int64_t)(left_count - i);
        }
    }
    return exchanges;
}

/* Sorts x with `spare` of the same length; the exchanges of neighbours that takes. */
static int64_t sort_counting(double *x, double *spare, size_t n) {
    int64_t exchanges = 0;
    for (size_t width = 1; width < n; width *= 2) {
        for (size_t at = 0; at < n; at += 2 * width) {
            size_t left = n - at < width ? n - at : width;
            size_t right = n - at - left < width ? n - at - left : width;
            exchanges += merge(spare + at, x + at, left, x + at + left, right);
        }
        memcpy(x, spare, n * sizeof *x);
    }
    return exchanges;
}

ap_status ap_concordance(int64_t *s, const double *t, const double *x, size_t n, ap_error *err) {
    dated_value *items = calloc(n + 1, sizeof *items);
    double *values = ap_sample_array(n);
    double *spare = ap_sample_array(n);
    if (!items || !values || !spare) {
        free(items);
        free(values);
        free(spare);
        return ap_sample_no_memory("the pairs of a series", err);
    }
    for (size_t i = 0; i < n; i++) {
        items[i] = (dated_value){t ? t[i] : (double)i, x[i]};
    }
    qsort(items, n, sizeof *items, by_time_then_value);
    int64_t tied = 0, time_run = 1, both_run = 1, value_run = 1;
    for (size_t i = 0; i < n; i++) {
        bool same_time = i > 0 && items[i].t == items[i - 1].t;
        bool same_both = same_time && items[i].x == items[i - 1].x;
        time_run = same_time ? time_run + 1 : 1;
        both_run = same_both ? both_run + 1 : 1;
        tied += (time_run - 1) - (both_run - 1); /* pairs of this value with those before it in the run */
        values[i] = items[i].x;
    }
    int64_t exchanges = sort_counting(values, spare, n);
    for (size_t i = 1; i < n; i++) {
        value_run = values[i] == values[i - 1] ? value_run + 1 : 1;
        tied += value_run - 1;
    }
    *s = pairs((int64_t)n) - tied - 2 * exchanges;
    free(items);
    free(values);
    free(spare);
    return AP_OK;
}
