/* Random set-ups of legs in space and the solver's work space, for the tests of hang_space.h. */
#ifndef AP_TESTS_SPACE_KIT_H
#define AP_TESTS_SPACE_KIT_H

#include "mech/hang_space.h"
#include "support/check.h"

static const double DEGREE = 3.14159265358979323846 / 180.0;

/* splitmix64: fixed seed, so that every run looks at the same set-ups. */
static uint64_t random_state;

static inline double uniform(double low, double high) {
    random_state += 0x9E3779B97F4A7C15u;
    uint64_t z = random_state;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    z ^= z >> 31;
    return low + (high - low) * ((double)(z >> 11) / 9007199254740992.0);
}

typedef struct setup {
    ap_space_leg legs[AP_SPACE_LEGS_MAX];
    int count;
    ap_space_piece piece;
} setup;

/* flat: on the axis, as many bridles are logged. */
static inline setup random_setup(int count, bool flat) {
    setup s = {.count = count};
    s.piece.length_m = uniform(3.0, 15.0);
    s.piece.weight_n = uniform(500.0, 60000.0);
    s.piece.cg_m = uniform(0.2, 0.8) * s.piece.length_m;
    s.piece.cg_side_m = flat ? 0.0 : uniform(-0.3, 0.3);
    for (int i = 0; i < count; i++) {
        double length = uniform(1.0, 12.0);
        /* A stretch of 3 % down to 0.003 % of its length under the whole weight. */
        double stiffness = s.piece.weight_n / length * pow(10.0, uniform(1.5, 4.5));
        s.legs[i] = (ap_space_leg){uniform(0.0, s.piece.length_m), flat ? 0.0 : uniform(0.0, 0.6),
                                   flat ? 0.0 : uniform(-0.6, 0.6), length, stiffness};
    }
    return s;
}

static ap_space_solver *solver;

static int make_solver(void **state) {
    (void)state;
    return ap_space_solver_new(&solver, NULL) == AP_OK ? 0 : -1;
}

static int free_solver(void **state) {
    (void)state;
    ap_space_solver_free(solver);
    return 0;
}

#endif
