#include "stats/sample.h"

#include "base/wide.h"

ap_status ap_sample_check(const double *x, size_t n, size_t least, const char *what, ap_error *err) {
    if (n < least || (n > 0 && !x)) {
        return ap_error_set(err, AP_E_DOMAIN, "%s needs at least %zu value%s, there %s %zu", what, least,
                            least == 1 ? "" : "s", n == 1 ? "is" : "are", n);
    }
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(x[i])) {
            return ap_error_set(err, AP_E_DOMAIN, "%s: value %zu of %zu is not a finite number", what, i + 1, n);
        }
    }
    return AP_OK;
}

ap_status ap_sample_check_level(double p, const char *what, ap_error *err) {
    if (!(p > 0.0 && p < 1.0)) {
        return ap_error_set(err, AP_E_DOMAIN, "%s must lie between 0 and 1, not %g", what, p);
    }
    return AP_OK;
}

ap_status ap_sample_check_positive(double value, const char *what, ap_error *err) {
    if (!isfinite(value) || !(value > 0.0)) {
        return ap_error_set(err, AP_E_DOMAIN, "%s must be greater than 0, not %g", what, value);
    }
    return AP_OK;
}

static int compare_doubles(const void *left, const void *right) {
    double a = *(const double *)left;
    double b = *(const double *)right;
    return (a > b) - (a < b);
}

void ap_sample_sort_in_place(double *x, size_t n) {
    if (n > 1) {
        qsort(x, n, sizeof *x, compare_doubles);
    }
}

double *ap_sample_array(size_t count) {
    return ap_wide_array(count > 0 ? count : 1, sizeof(double));
}

ap_status ap_sample_no_memory(const char *what, ap_error *err) {
    return ap_error_set(err, AP_E_MEMORY, "not enough memory for %s", what);
}

ap_status ap_sample_sort(double **sorted, const double *x, size_t n, ap_error *err) {
    double *copy = ap_sample_array(n);
    if (!copy) {
        return ap_sample_no_memory("a sorted copy", err);
    }
    memcpy(copy, x, n * sizeof *copy);
    ap_sample_sort_in_place(copy, n);
    *sorted = copy;
    return AP_OK;
}
