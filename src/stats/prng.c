#include "stats/prng.h"

static uint64_t rotate_left(uint64_t x, int by) {
    return (x << by) | (x >> (64 - by));
}

static uint64_t splitmix_next(uint64_t *state) {
    uint64_t z = *state += UINT64_C(0x9e3779b97f4a7c15);
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

void ap_prng_init(ap_prng *prng, uint64_t seed, uint64_t stream) {
    uint64_t mixer = seed;
    if (stream != 0) { /* stream 0 is the seed's own sequence, as the authors seed it */
        uint64_t other = stream;
        mixer ^= splitmix_next(&other);
    }
    for (int i = 0; i < 4; i++) {
        prng->state[i] = splitmix_next(&mixer);
    }
}

uint64_t ap_prng_next(ap_prng *prng) {
    uint64_t *s = prng->state;
    uint64_t result = rotate_left(s[1] * 5, 7) * 9;
    uint64_t t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = rotate_left(s[3], 45);
    return result;
}

double ap_prng_uniform(ap_prng *prng) {
    return ((double)(ap_prng_next(prng) >> 11) + 0.5) * 0x1.0p-53;
}

double ap_prng_gamma(ap_prng *prng, double shape) {
    if (!(shape > 0)) {
        return 0;
    }
    /* Below a shape of 1: that of one more, times a power of a uniform (their section 6). */
    double boost = shape < 1 ? pow(ap_prng_uniform(prng), 1 / shape) : 1;
    double d = (shape < 1 ? shape + 1 : shape) - 1.0 / 3;
    double c = 1 / sqrt(9 * d);
    for (;;) {
        double x = ap_prng_normal(prng);
        double v = 1 + c * x;
        v *= v * v;
        if (v > 0 && log(ap_prng_uniform(prng)) < 0.5 * x * x + d - d * v + d * log(v)) {
            return boost * d * v;
        }
    }
}

double ap_prng_chi_square(ap_prng *prng, double df) {
    return 2 * ap_prng_gamma(prng, df / 2);
}

uint64_t ap_prng_below(ap_prng *prng, uint64_t bound) {
    if (bound == 0) {
        return 0;
    }
    uint64_t spare = (0 - bound) % bound; /* 2^64 mod bound: values below it would be counted once too often */
    uint64_t value = 0;
    do {
        value = ap_prng_next(prng);
    } while (value < spare);
    return value % bound;
}

void ap_prng_shuffle(ap_prng *prng, double *x, size_t n) {
    for (size_t i = n; i > 1; i--) {
        size_t j = (size_t)ap_prng_below(prng, i);
        double kept = x[i - 1];
        x[i - 1] = x[j];
        x[j] = kept;
    }
}

/* Horner, highest power first. */
static double ratio(const double top[8], const double below[8], double r) {
    double up = 0.0, down = 0.0;
    for (int i = 0; i < 8; i++) {
        up = up * r + top[i];
        down = down * r + below[i];
    }
    return up / down;
}

/* Coefficients: AS 241, PPND16. */
double ap_prng_normal_quantile(double p) {
    static const double center_top[8] = {2509.0809287301226727, 33430.575583588128105, 67265.770927008700853,
                                         45921.953931549871457, 13731.693765509461125, 1971.5909503065514427,
                                         133.14166789178437745, 3.387132872796366608};
    static const double center_below[8] = {
        5226.495278852854561,  28729.085735721942674, 39307.89580009271061,  21213.794301586595867,
        5394.1960214247511077, 687.1870074920579083,  42.313330701600911252, 1.0};
    static const double tail_top[8] = {7.7454501427834140764e-4, .0227238449892691845833, .24178072517745061177,
                                       1.27045825245236838258,   3.64784832476320460504,  5.7694972214606914055,
                                       4.6303378461565452959,    1.42343711074968357734};
    static const double tail_below[8] = {
        1.05075007164441684324e-9, 5.475938084995344946e-4, .0151986665636164571966, .14810397642748007459,
        .68976733498510000455,     1.6763848301838038494,   2.05319162663775882187,  1.0};
    static const double far_top[8] = {2.01033439929228813265e-7, 2.71155556874348757815e-5, .0012426609473880784386,
                                      .026532189526576123093,    .29656057182850489123,     1.7848265399172913358,
                                      5.4637849111641143699,     6.6579046435011037772};
    static const double far_below[8] = {
        2.04426310338993978564e-15, 1.4215117583164458887e-7, 1.8463183175100546818e-5, 7.868691311456132591e-4,
        .0148753612908506148525,    .13692988092273580531,    .59983220655588793769,    1.0};
    if (!(p > 0.0 && p < 1.0)) {
        return 0.0;
    }
    double q = p - 0.5;
    if (fabs(q) <= 0.425) {
        return q * ratio(center_top, center_below, 0.180625 - q * q);
    }
    double r = sqrt(-log(q < 0.0 ? p : 1.0 - p));
    double z = r <= 5.0 ? ratio(tail_top, tail_below, r - 1.6) : ratio(far_top, far_below, r - 5.0);
    return q < 0.0 ? -z : z;
}

double ap_prng_normal(ap_prng *prng) {
    return ap_prng_normal_quantile(ap_prng_uniform(prng));
}
