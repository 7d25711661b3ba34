#include "stats/select.h"

#include <stddef.h>

#include "stats/sample.h"

enum { SAMPLED_FROM = 600, EFFORT = 16 }; /* passes over all values before what is left is sorted */

static void swap(double *x, ptrdiff_t a, ptrdiff_t b) {
    double kept = x[a];
    x[a] = x[b];
    x[b] = kept;
}

/* Parts x[low..high] about the value at k and says where that value ends up. */
static ptrdiff_t part(double *x, ptrdiff_t low, ptrdiff_t high, ptrdiff_t k) {
    double pivot = x[k];
    ptrdiff_t i = low, j = high;
    swap(x, low, k);
    if (x[high] > pivot) {
        swap(x, high, low);
    }
    while (i < j) {
        swap(x, i++, j--);
        while (x[i] < pivot) {
            i++;
        }
        while (x[j] > pivot) {
            j--;
        }
    }
    if (x[low] == pivot) {
        swap(x, low, j);
    } else {
        swap(x, ++j, high);
    }
    return j;
}

static void find(double *x, ptrdiff_t low, ptrdiff_t high, ptrdiff_t k, size_t *effort) {
    while (low < high) {
        size_t length = (size_t)(high - low + 1);
        if (length > *effort) {
            ap_sample_sort_in_place(x + low, length);
            return;
        }
        *effort -= length;
        if (length > SAMPLED_FROM) { /* a sample, parted first, brings a pivot close to the k-th */
            double n = (double)length, i = (double)(k - low + 1), z = log(n), s = 0.5 * exp(2.0 * z / 3.0);
            double reach = 0.5 * sqrt(z * s * (n - s) / n) * (i < n / 2.0 ? -1.0 : 1.0);
            ptrdiff_t from = (ptrdiff_t)((double)k - i * s / n + reach);
            ptrdiff_t to = (ptrdiff_t)((double)k + (n - i) * s / n + reach);
            find(x, from > low ? from : low, to < high ? to : high, k, effort);
        }
        ptrdiff_t at = part(x, low, high, k);
        low = at <= k ? at + 1 : low;
        high = k <= at ? at - 1 : high;
    }
}

double ap_select_within(double *x, size_t n, size_t k, size_t effort) {
    find(x, 0, (ptrdiff_t)n - 1, (ptrdiff_t)k, &effort);
    return x[k];
}

double ap_select(double *x, size_t n, size_t k) {
    return ap_select_within(x, n, k, EFFORT * n);
}

static double largest(const double *x, size_t n) {
    double most = x[0];
    for (size_t i = 1; i < n; i++) {
        most = x[i] > most ? x[i] : most;
    }
    return most;
}

void ap_select_middle(double *low, double *high, double *x, size_t n) {
    *high = ap_select(x, n, n / 2);
    *low = n % 2 == 1 ? *high : largest(x, n / 2);
}

double ap_select_median(double *x, size_t n) {
    double low;
    double high;
    ap_select_middle(&low, &high, x, n);
    return low + (high - low) / 2.0;
}

double ap_select_rank(double *x, size_t n, double rank) {
    size_t low = (size_t)rank; /* the order statistic below, counted from 1 */
    if (low >= n) {
        return ap_select(x, n, n - 1);
    }
    double above = ap_select(x, n, low);
    double below = largest(x, low);
    return below + (rank - (double)low) * (above - below);
}
