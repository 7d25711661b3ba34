/* Near misses close together. An event is a pick that the log calls a near miss, or that moved toward a person.
 *
 *   N1 window: 2, 3 or 4 events within so few picks that one window holds as many with a chance of at most `alpha` at the usual rate;
 *      overlapping ones are one cluster. The usual rate is that of all picks up to the period's end.
 *   N2 alpha is halved until few enough clusters are expected: many windows are looked at. Simulated: as many events as there are, each pick
 *      as likely as another to have one. Given their number their places do not depend on the true rate, which need not be known.
 *   N3 rise: a crew's share against all other picks, whole trees dealt out (rate_cells.h).
 *   N4 a window that shares half of the smaller one's near misses with a rise is not told again: the rise, which names the crew and has a
 *      chance of its own, tells both.
 *
 * Source  binomial windows as in ap_runs_window(); rate_cells.h for the rise. */
#include "analysis/between.h"
#include "nearmiss/rate_cells.h"
#include "stats/prng.h"
#include "stats/runs.h"

enum {
    EVENTS_LEAST = 2,
    EVENTS_MOST = 4,
    REPLICATIONS = 2000,
    STEPS = 400000, /* events drawn for one set of windows */
    HALVINGS = 12,
    DRAWN_EXACTLY = 1000 /* of more events the rate is known well enough to draw their number as a binomial one */
};
static const uint64_t seed = 0x41664e4d69737365; /* any number, kept */

static int near_miss(const ap_detect_input *in, size_t fact) {
    return ap_between_is_event(&in->roster->facts[fact]) ? 2 : 1;
}

typedef struct windows {
    size_t width[EVENTS_MOST + 1]; /* picks that so many events must lie within; 0: no window is short enough */
} windows;

static windows windows_for(double rate, double alpha) {
    windows w = {{0}};
    for (unsigned r = EVENTS_LEAST; r <= EVENTS_MOST; r++) {
        unsigned width = 0;
        ap_error none;
        if (rate > 0 && rate < 1 && ap_runs_window(&width, rate, r, alpha, &none) == AP_OK) {
            w.width[r] = width;
        }
    }
    return w;
}

/* Walks the clusters of `at[0..count)`, places of events in rising order: from..to are one. False when there is no further. */
static bool next_cluster(size_t *from, size_t *to, const size_t *at, size_t count, const windows *w, size_t start) {
    bool open = false;
    for (size_t i = start; i < count; i++) {
        size_t reach = SIZE_MAX; /* the earliest event of a window that ends here */
        for (size_t r = EVENTS_MOST; r >= EVENTS_LEAST && reach == SIZE_MAX; r--) {
            bool inside = i + 1 >= r && i + 1 - r >= start && w->width[r] && at[i] - at[i + 1 - r] < w->width[r];
            reach = inside ? i + 1 - r : SIZE_MAX;
        }
        if (reach != SIZE_MAX && (!open || reach <= *to)) {
            *from = open ? (*from < reach ? *from : reach) : reach;
            *to = i;
            open = true;
        } else if (reach != SIZE_MAX) {
            return true;
        }
    }
    return open;
}

static size_t count_clusters(const size_t *at, size_t count, const windows *w, size_t first) {
    size_t found = 0;
    size_t from = 0;
    size_t to = 0;
    for (size_t start = 0; next_cluster(&from, &to, at, count, w, start); start = to + 1) {
        found += at[to] >= first;
    }
    return found;
}

/* Picks until the next event: geometric by inversion, so that only events are drawn, not every pick. */
static size_t gap_to_next(ap_prng *prng, double rate, size_t most) {
    double gap = floor(log(ap_prng_uniform(prng)) / log1p(-rate));
    return gap < (double)most ? (size_t)gap : most;
}

static int rising(const void *left, const void *right) {
    size_t a = *(const size_t *)left;
    size_t b = *(const size_t *)right;
    return (a > b) - (a < b);
}

typedef struct events {
    size_t *at; /* room for those drawn */
    bool *taken;
    size_t count, among; /* events of all picks */
    uint64_t seed;       /* another for events at other places */
} events;

/* Places of the events among the last `picks` of all, in rising order; how many. */
static size_t draw_events(const events *all, size_t picks, ap_prng *prng) {
    size_t count = 0;
    if (all->count > DRAWN_EXACTLY) {
        double rate = (double)all->count / (double)all->among;
        for (size_t i = gap_to_next(prng, rate, picks); i < picks; i += 1 + gap_to_next(prng, rate, picks)) {
            all->at[count++] = i;
        }
        return count;
    }
    for (size_t e = 0; e < all->count; e++) {
        /* Of the places that are free, those among the last picks. */
        if (ap_prng_below(prng, all->among - e) < picks - count) {
            size_t place = (size_t)ap_prng_below(prng, picks);
            while (all->taken[place]) {
                place = (size_t)ap_prng_below(prng, picks);
            }
            all->taken[place] = true;
            all->at[count++] = place;
        }
    }
    for (size_t e = 0; e < count; e++) {
        all->taken[all->at[e]] = false;
    }
    qsort(all->at, count, sizeof *all->at, rising);
    return count;
}

/* N2: expected clusters among the last `picks`, those counted that end at `first` of them or later. */
static double expected_clusters(const events *all, size_t picks, size_t first, const windows *w) {
    size_t most = STEPS / (all->count + 1);
    size_t replications = most < REPLICATIONS ? most + 4 : REPLICATIONS;
    size_t found = 0;
    for (size_t r = 0; r < replications; r++) {
        ap_prng prng;
        ap_prng_init(&prng, all->seed, r);
        found += count_clusters(all->at, draw_events(all, picks, &prng), w, first);
    }
    return (double)found / (double)replications;
}

/* N4. */
static bool joins_rise(ap_finding_list *out, const ap_finding *window) {
    for (size_t f = 0; f < out->count; f++) {
        ap_finding *rise = &out->items[f];
        if (rise->detector != AP_DETECT_CLUSTER || !(rise->reasons & AP_CLUSTER_RISE)) {
            continue;
        }
        size_t shared = 0;
        for (size_t w = 0, r = 0; w < window->pick_count && r < rise->pick_count;) {
            shared += window->picks[w] == rise->picks[r];
            bool behind = window->picks[w] <= rise->picks[r];
            r += window->picks[w] >= rise->picks[r];
            w += behind;
        }
        size_t smaller = window->pick_count < rise->pick_count ? window->pick_count : rise->pick_count;
        if (shared && 2 * shared >= smaller) {
            bool closest = window->pick_count > rise->near_events;
            rise->reasons |= AP_CLUSTER_WINDOW;
            rise->near_events = closest ? window->pick_count : rise->near_events;
            rise->near_picks = closest ? window->among : rise->near_picks;
            rise->also_kind = closest ? window->kind : rise->also_kind;
            rise->also_first = closest ? window->picks[0] : rise->also_first;
            return true;
        }
    }
    return false;
}

static ap_status report_window(ap_finding_list *out, const ap_detect_input *in, const size_t *at, size_t from,
                               size_t to, double rate, ap_error *err) {
    ap_finding finding = {.detector = AP_DETECT_CLUSTER,
                          .class = AP_FINDING_LIKELY,
                          .kind = "all picks",
                          .scope = AP_STR_LIT("all picks"),
                          .picks = at + from,
                          .pick_count = to - from + 1,
                          .first = in->roster->facts[at[from]].date,
                          .last = in->roster->facts[at[to]].date,
                          .reasons = AP_CLUSTER_WINDOW,
                          .among = at[to] - at[from] + 1,
                          .rate_else = rate,
                          .value = (double)(to - from + 1),
                          .z = NAN,
                          .p = NAN,
                          .rank = 60 + (double)(to - from)};
    return joins_rise(out, &finding) ? AP_OK : ap_finding_add(out, &finding, err);
}

static ap_status find_windows(ap_finding_list *out, const ap_detect_input *in, const ap_rate_cells *seen,
                              double *expected, ap_error *err) {
    events all = {.count = seen->events, .among = in->end, .seed = seed};
    size_t *at = calloc(in->end + 1, sizeof *at);
    ap_status status = AP_OK;
    all.at = at;
    all.taken = calloc(in->end + 1, sizeof *all.taken);
    *expected = 0;
    if (!at || !all.taken) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the near misses of %zu picks", in->end);
        goto done;
    }
    for (size_t e = 0; e < all.count; e++) {
        all.seed = (all.seed ^ seen->at[e]) * 0x100000001b3; /* FNV-1a */
    }
    const double rate = all.among ? (double)all.count / (double)all.among : 0;
    /* A cluster may begin before the period; as far back as one can reach is simulated too. */
    windows w = {{0}};
    for (int turn = 0; turn < HALVINGS && rate > 0; turn++) {
        w = windows_for(rate, ldexp(in->limits->cluster_chance, -turn));
        size_t reach = w.width[EVENTS_MOST];
        size_t past = in->first < reach ? in->first : reach;
        *expected = expected_clusters(&all, in->end - in->first + past, past, &w);
        if (*expected <= in->allowed / 2) {
            break;
        }
    }
    size_t count = all.count;
    for (size_t e = 0; e < count; e++) {
        at[e] = seen->at[e];
    }
    size_t from = 0;
    size_t to = 0;
    for (size_t start = 0; rate > 0 && next_cluster(&from, &to, at, count, &w, start) && status == AP_OK;
         start = to + 1) {
        if (at[to] >= in->first) {
            status = report_window(out, in, at, from, to, rate, err);
        }
    }
done:
    free(at);
    free(all.taken);
    return status;
}

ap_status ap_detect_cluster(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    static const ap_by by[] = {AP_BY_CREW};
    ap_chance_line *line = &in->chance->line[AP_DETECT_CLUSTER];
    ap_rate_cells cells = {.least = EVENTS_LEAST};
    double expected = 0;
    ap_detect_input half = *in;
    half.allowed = in->allowed / 2;
    ap_status status = ap_rate_cells_count(&cells, in, by, 1, near_miss, 0, err);
    if (status == AP_OK) {
        status = ap_rate_cells_report(out, &cells, &half, AP_DETECT_CLUSTER, err);
    }
    if (status == AP_OK) {
        status = find_windows(out, in, &cells, &expected, err);
    }
    line->looked = line->looked || in->end > in->first;
    line->looks += in->end - in->first;
    line->expected += expected;
    ap_rate_cells_release(&cells);
    return status;
}
