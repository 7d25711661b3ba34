#include "figure/thin_points.h"

#include <assert.h>
#include <math.h>

enum { FINEST = 256, COARSEST = 45 };
static const size_t sides[] = {FINEST, 181, 128, 90, 64, COARSEST};
static_assert(COARSEST * COARSEST <= AP_THIN_MOST, "the coarsest grid keeps within the most");

typedef struct extent {
    double low, high;
} extent;

static bool is_known(const double *x, const double *y, size_t i) {
    return isfinite(x[i]) && isfinite(y[i]);
}

static void widen(extent *e, double value) {
    e->low = fmin(e->low, value);
    e->high = fmax(e->high, value);
}

/* Halves first: the difference of two large numbers could overflow. */
static size_t cell_of(const extent *e, double value, size_t cells) {
    double span = e->high / 2 - e->low / 2;
    double at = span > 0 ? (value / 2 - e->low / 2) / span * (double)cells : 0;
    return at >= (double)cells ? cells - 1 : (size_t)at;
}

ap_thin_mark *ap_thin_points(size_t *marks, ap_arena *arena, const double *x, const double *y, size_t count) {
    extent wide = {INFINITY, -INFINITY};
    extent high = {INFINITY, -INFINITY};
    size_t known = 0;
    *marks = 0;
    for (size_t i = 0; i < count; i++) {
        if (is_known(x, y, i)) {
            widen(&wide, x[i]);
            widen(&high, y[i]);
            known++;
        }
    }
    size_t most = known <= AP_THIN_FROM ? known : AP_THIN_MOST;
    ap_thin_mark *out = known ? ap_arena_alloc_array(arena, most, sizeof *out) : NULL;
    uint32_t *cells = known > AP_THIN_FROM ? ap_arena_alloc_array(arena, FINEST * FINEST, sizeof *cells) : NULL;
    if (!out || (known > AP_THIN_FROM && !cells)) {
        return NULL;
    }
    bool done = false;
    for (size_t k = 0; !done && k < sizeof sides / sizeof sides[0]; k++) {
        size_t side = sides[k];
        done = true;
        *marks = 0;
        if (cells) {
            memset(cells, 0, sizeof *cells * FINEST * FINEST);
        }
        for (size_t i = 0; i < count && done; i++) {
            if (!is_known(x, y, i)) {
                continue;
            }
            uint32_t *cell = cells ? &cells[cell_of(&high, y[i], side) * side + cell_of(&wide, x[i], side)] : NULL;
            if (cell && *cell) {
                out[*cell - 1].count++;
            } else if (*marks == most) {
                done = false;
            } else {
                out[(*marks)++] = (ap_thin_mark){i, 1};
                if (cell) {
                    *cell = (uint32_t)*marks;
                }
            }
        }
    }
    return out;
}
