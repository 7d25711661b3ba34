#include "stats/moments.h"

#include "stats/sample.h"

/* *sum += value; *low keeps the rounding error (Neumaier 1974). */
static void add_compensated(double *sum, double *low, double value) {
    double total = *sum + value;
    *low += fabs(*sum) >= fabs(value) ? (*sum - total) + value : (value - total) + *sum;
    *sum = total;
}

void ap_moments_clear(ap_moments *moments) {
    *moments = (ap_moments){0};
}

ap_status ap_moments_add(ap_moments *moments, double value, ap_error *err) {
    if (!isfinite(value)) {
        return ap_error_set(err, AP_E_DOMAIN, "a mean cannot take in a value that is not a finite number");
    }
    if (moments->n == 0) {
        ap_moments_clear(moments);
        moments->shift = moments->min = moments->max = value;
    }
    moments->n++;
    double moved = value - moments->shift;
    double before = (moved - moments->mean) - moments->mean_low;
    add_compensated(&moments->mean, &moments->mean_low, before / (double)moments->n);
    double after = (moved - moments->mean) - moments->mean_low;
    add_compensated(&moments->m2, &moments->m2_low, before * after);
    moments->min = fmin(moments->min, value);
    moments->max = fmax(moments->max, value);
    return AP_OK;
}

void ap_moments_merge(ap_moments *moments, const ap_moments *other) {
    if (other->n == 0) {
        return;
    }
    if (moments->n == 0) {
        *moments = *other;
        return;
    }
    double here = (double)moments->n;
    double there = (double)other->n;
    double apart =
        (other->shift - moments->shift) + ((other->mean - moments->mean) + (other->mean_low - moments->mean_low));
    add_compensated(&moments->mean, &moments->mean_low, apart * (there / (here + there)));
    add_compensated(&moments->m2, &moments->m2_low, other->m2 + other->m2_low);
    add_compensated(&moments->m2, &moments->m2_low, apart * apart * (here * (there / (here + there))));
    moments->n += other->n;
    moments->min = fmin(moments->min, other->min);
    moments->max = fmax(moments->max, other->max);
}

enum { BLOCK = 256 };

/* The moments of a block of finite values, from `shift`: mean first, then deviations, both in four strands. */
static ap_moments of_block(double shift, const double *x, size_t n) {
    double sum[4] = {0}, off[4] = {0}, square[4] = {0};
    ap_moments block = {.n = n, .shift = shift, .min = x[0], .max = x[0]};
    for (size_t i = 0; i < n; i++) {
        sum[i % 4] += x[i] - shift;
        block.min = x[i] < block.min ? x[i] : block.min;
        block.max = x[i] > block.max ? x[i] : block.max;
    }
    block.mean = ((sum[0] + sum[1]) + (sum[2] + sum[3])) / (double)n;
    for (size_t i = 0; i < n; i++) {
        double from_mean = (x[i] - shift) - block.mean;
        off[i % 4] += from_mean;
        square[i % 4] += from_mean * from_mean;
    }
    double left = (off[0] + off[1]) + (off[2] + off[3]);
    block.mean_low = left / (double)n;
    block.m2 = (square[0] + square[1]) + (square[2] + square[3]) - left * block.mean_low;
    return block;
}

ap_status ap_moments_add_all(ap_moments *moments, const double *x, size_t n, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t at = 0; at < n && status == AP_OK;) {
        size_t count = n - at < BLOCK ? n - at : BLOCK;
        bool finite = true;
        for (size_t i = at; i < at + count; i++) {
            finite = finite && isfinite(x[i]);
        }
        if (finite) {
            ap_moments block = of_block(moments->n ? moments->shift : x[at], x + at, count);
            ap_moments_merge(moments, &block);
            at += count;
        } else {
            status = ap_moments_add(moments, x[at++], err); /* up to the one that is refused */
        }
    }
    return status;
}

ap_status ap_moments_mean(double *out, const ap_moments *moments, ap_error *err) {
    if (moments->n == 0) {
        return ap_error_set(err, AP_E_DOMAIN, "a mean needs at least 1 value, there are 0");
    }
    double mean = moments->shift + (moments->mean + moments->mean_low);
    if (!isfinite(mean)) {
        return ap_error_set(err, AP_E_DOMAIN, "the values are too large for a mean");
    }
    *out = mean;
    return AP_OK;
}

ap_status ap_moments_sd(double *out, const ap_moments *moments, ap_error *err) {
    if (moments->n < 2) {
        return ap_error_set(err, AP_E_DOMAIN, "a standard deviation needs at least 2 values, there %s %zu",
                            moments->n == 1 ? "is" : "are", moments->n);
    }
    double sd = sqrt(fmax(0.0, moments->m2 + moments->m2_low) / (double)(moments->n - 1));
    if (!isfinite(sd) || !isfinite(moments->m2 + moments->m2_low)) {
        return ap_error_set(err, AP_E_DOMAIN, "the values are too large for a standard deviation");
    }
    *out = sd;
    return AP_OK;
}

ap_status ap_stats_autocorrelation(double *out, const double *x, size_t n, ap_error *err) {
    ap_status status = ap_sample_check(x, n, 2, "an autocorrelation", err);
    ap_moments moments;
    ap_moments_clear(&moments);
    if (status == AP_OK) {
        status = ap_moments_add_all(&moments, x, n, err);
    }
    if (status != AP_OK) {
        return status;
    }
    double mean = moments.mean + moments.mean_low;
    double top = 0.0, top_low = 0.0, below = 0.0, below_low = 0.0;
    for (size_t i = 0; i < n; i++) {
        double here = (x[i] - moments.shift) - mean;
        add_compensated(&below, &below_low, here * here);
        if (i + 1 < n) {
            add_compensated(&top, &top_low, here * ((x[i + 1] - moments.shift) - mean));
        }
    }
    double value = (top + top_low) / (below + below_low);
    if (moments.min == moments.max || !isfinite(value)) {
        return ap_error_set(err, AP_E_DOMAIN, "an autocorrelation needs values that differ");
    }
    *out = value;
    return AP_OK;
}
