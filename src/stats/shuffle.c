#include "stats/shuffle.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>

enum {
    ENOUGH = 100,          /* H3: a standard error of a tenth of p */
    DEALINGS_LEAST = 2000, /* fewer are no measure of what a review needs: H4, */
    MANY = 200,            /* where so many clusters lie on the smaller side; else what can be paid for */
    REACHED_BY = 50        /* dealings that should reach the level, to say how often it is reached */
};

void ap_clusters_start(ap_clusters *out, ap_cluster *items, size_t count) {
    *out = (ap_clusters){.items = items, .count = count};
    uint64_t seed = 0xcbf29ce484222325; /* FNV-1a */
    for (size_t i = 0; i < count; i++) {
        out->of += items[i].of;
        out->events += items[i].events;
        out->with_events += items[i].events > 0;
        seed = (seed ^ items[i].of) * 0x100000001b3;
        seed = (seed ^ items[i].events) * 0x100000001b3;
    }
    ap_prng_init(&out->prng, seed, 0);
}

/* H2. */
static double distance(const ap_clusters *all, uint64_t of, uint64_t events) {
    double n = (double)of;
    double rest = (double)(all->of - of);
    double apart = (double)events * (double)all->of - n * (double)all->events;
    return rest > 0 && of > 0 ? apart / sqrt(n * rest) : 0;
}

typedef struct dealt {
    double distance;
    uint64_t of, events;
    bool several; /* clusters with the event */
} dealt;

static int farthest_first(const void *left, const void *right) {
    double a = ((const dealt *)left)->distance;
    double b = ((const dealt *)right)->distance;
    return (a < b) - (a > b);
}

static size_t smaller_side(const ap_clusters *all, size_t inside) {
    return inside <= all->count - inside ? inside : all->count - inside;
}

/* The first places of a shuffle, those of the smaller side. */
static dealt deal(ap_clusters *all, size_t inside) {
    size_t side = smaller_side(all, inside);
    uint64_t of = 0;
    uint64_t events = 0;
    size_t with = 0;
    for (size_t i = 0; i < side; i++) {
        size_t other = i + (size_t)ap_prng_below(&all->prng, all->count - i);
        ap_cluster one = all->items[other];
        all->items[other] = all->items[i];
        all->items[i] = one;
        of += one.of;
        events += one.events;
        with += one.events > 0;
    }
    if (side == inside) {
        return (dealt){distance(all, of, events), of, events, with > 1};
    }
    of = all->of - of;
    events = all->events - events;
    return (dealt){distance(all, of, events), of, events, all->with_events - with > 1};
}

/* H4: moments of a sum drawn without replacement, the scores adding up to nothing. */
static double normal_tail(const ap_clusters *all, size_t inside, uint64_t of, uint64_t events) {
    double share = (double)all->events / (double)all->of;
    double squares = 0;
    double cubes = 0;
    for (size_t i = 0; i < all->count; i++) {
        double score = all->items[i].events - all->items[i].of * share;
        squares += score * score;
        cubes += score * score * score;
    }
    double m = (double)inside;
    double count = (double)all->count;
    double second = m * (count - m) / (count * (count - 1)) * squares;
    double third = m * (count - m) * (count - 2 * m) / (count * (count - 1) * (count - 2)) * cubes;
    if (!(second > 0)) {
        return 1;
    }
    double z = ((double)events - (double)of * share) / sqrt(second);
    double skew = third / (second * sqrt(second)) / 6 * (z * z - 1) * gsl_ran_ugaussian_pdf(z);
    return fmin(1, gsl_cdf_ugaussian_Q(z) + fmax(0, skew));
}

ap_shuffled ap_clusters_test(ap_clusters *clusters, size_t inside, uint64_t of, uint64_t events, size_t steps) {
    size_t side = smaller_side(clusters, inside);
    size_t most = side ? steps / side : 0;
    if (most < DEALINGS_LEAST && side >= MANY) {
        return (ap_shuffled){.p = normal_tail(clusters, inside, of, events)};
    }
    double seen = distance(clusters, of, events);
    size_t as_far = 0;
    size_t dealings = 0;
    while (dealings < most && as_far < ENOUGH) {
        as_far += deal(clusters, inside).distance >= seen - 1e-9 * fabs(seen);
        dealings++;
    }
    double p = as_far == ENOUGH ? (double)as_far / (double)dealings : (double)(as_far + 1) / (double)(dealings + 1);
    double error = dealings ? p * sqrt((1 - p) / (double)(as_far < ENOUGH ? as_far + 1 : ENOUGH)) : 0;
    return (ap_shuffled){p, error, dealings};
}

ap_status ap_clusters_reach(double *out, ap_clusters *clusters, size_t inside, double level, uint64_t least,
                            size_t steps, ap_error *err) {
    size_t side = smaller_side(clusters, inside);
    size_t most = side ? steps / side : 0;
    double wanted = REACHED_BY / level;
    *out = -1;
    if (most < DEALINGS_LEAST || wanted > 4 * (double)most) {
        return AP_OK;
    }
    size_t count = wanted < (double)most ? (size_t)wanted + 1 : most;
    dealt *dealings = malloc(count * sizeof *dealings);
    if (!dealings) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for %zu dealings", count);
    }
    for (size_t d = 0; d < count; d++) {
        dealings[d] = deal(clusters, inside);
    }
    qsort(dealings, count, sizeof *dealings, farthest_first);
    size_t found = 0;
    for (size_t from = 0, to = 0; to < count; from = to) {
        while (to < count && !(dealings[to].distance < dealings[from].distance)) {
            to++;
        }
        if ((double)to > level * (double)count) {
            break;
        }
        for (size_t d = from; d < to; d++) {
            const dealt *one = &dealings[d];
            found += one->several && one->events >= least &&
                     ap_hypergeometric_more(one->events, one->of, clusters->of, clusters->events) <= level;
        }
    }
    *out = (double)found / (double)count;
    free(dealings);
    return AP_OK;
}
