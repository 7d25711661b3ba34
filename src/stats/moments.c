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

ap_status ap_moments_add_all(ap_moments *moments, const double *x, size_t n, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = 0; i < n && status == AP_OK; i++) {
        status = ap_moments_add(moments, x[i], err);
    }
    return status;
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
