/* Random set-ups of legs for tests/bench/hang.sh.
 *   hang_cases write LEGS N         prints N set-ups, one a line, of LEGS legs (2: in the plane, on the axis; else in space)
 *   hang_cases time LEGS N          solves the same ones and prints: microseconds a set-up by the springs in space, by the closed
 *                                   form (2 legs; else 0), the largest residual over the weight, how many were solved */
#include "base/units.h"
#include "mech/hang.h"
#include "mech/hang_space.h"

static uint64_t random_state = 20261126;

static double uniform(double low, double high) {
    random_state += 0x9E3779B97F4A7C15u;
    uint64_t z = random_state;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    z ^= z >> 31;
    return low + (high - low) * ((double)(z >> 11) / 9007199254740992.0);
}

typedef struct setup {
    ap_space_leg legs[AP_SPACE_LEGS_MAX];
    ap_space_piece piece;
} setup;

/* Legs that can meet, attach points apart, a stretch of 1 % to 0.01 % under the whole weight. */
static setup draw(int count) {
    setup s = {.piece = {uniform(2000.0, 40000.0), 0.0, 0.0, uniform(5.0, 15.0)}};
    bool flat = count == 2;
    s.piece.cg_m = uniform(0.3, 0.7) * s.piece.length_m;
    s.piece.cg_side_m = flat ? 0.0 : uniform(-0.2, 0.2);
    for (int i = 0; i < count; i++) {
        double at = (uniform(0.05, 0.95) + i) / count * s.piece.length_m;
        double length = uniform(0.5, 1.0) * s.piece.length_m;
        s.legs[i] = (ap_space_leg){at, flat ? 0.0 : uniform(0.1, 0.4), flat ? 0.0 : uniform(-0.5, 0.5), length,
                                   s.piece.weight_n / length * pow(10.0, uniform(2.0, 4.0))};
    }
    return s;
}

static bool solvable(ap_space_solver *solver, const setup *s, int count) {
    ap_space_hang hang;
    return ap_hang_space(&hang, solver, s->legs, count, &s->piece, NULL) == AP_OK;
}

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static void print_setup(const setup *s, int count) {
    printf("%.17g %.17g %.17g", s->piece.weight_n, s->piece.cg_m, s->piece.cg_side_m);
    for (int i = 0; i < count; i++) {
        const ap_space_leg *leg = &s->legs[i];
        printf(" %.17g %.17g %.17g %.17g %.17g", leg->at_m, leg->off_m, leg->side_m, leg->length_m, leg->stiffness_n_m);
    }
    puts("");
}

static void time_all(ap_space_solver *solver, const setup *sets, int n, int count) {
    enum { CLOSED_REPEATS = 1000 };
    double worst = 0.0;
    double closed_sum = 0.0;
    int solved = 0;
    double start = now();
    for (int i = 0; i < n; i++) {
        ap_space_hang hang;
        if (ap_hang_space(&hang, solver, sets[i].legs, count, &sets[i].piece, NULL) == AP_OK) {
            worst = fmax(worst, hang.rest[0].residual_n / sets[i].piece.weight_n);
            solved++;
        }
    }
    double springs = (now() - start) / n * 1e6;
    start = now();
    for (int repeat = 0; repeat < CLOSED_REPEATS && count == 2; repeat++) {
        for (int i = 0; i < n; i++) {
            const ap_hang_leg legs[2] = {{sets[i].legs[0].at_m, sets[i].legs[0].length_m, 0.0},
                                         {sets[i].legs[1].at_m, sets[i].legs[1].length_m, 0.0}};
            ap_hang hang = {0};
            if (ap_hang_two_legs(&hang, legs, sets[i].piece.cg_m, sets[i].piece.weight_n, NULL) == AP_OK) {
                closed_sum += hang.tension_n[0];
            }
        }
    }
    double closed = count == 2 ? (now() - start) / ((double)n * CLOSED_REPEATS) * 1e6 : 0.0;
    printf("%.6f %.6f %.3g %d %.0f\n", springs, closed, worst, solved, closed_sum);
}

int main(int argc, char **argv) {
    const int count = argc == 4 ? (int)strtol(argv[2], NULL, 10) : 0;
    const int n = argc == 4 ? (int)strtol(argv[3], NULL, 10) : 0;
    ap_space_solver *solver = NULL;
    if (count < 2 || count > AP_SPACE_LEGS_MAX || n < 1 || n > 100000 || ap_space_solver_new(&solver, NULL) != AP_OK) {
        fputs("use: hang_cases write|time LEGS N\n", stderr);
        return 2;
    }
    setup *sets = calloc((size_t)n, sizeof *sets);
    for (int i = 0; sets && i < n; i++) {
        do {
            sets[i] = draw(count);
        } while (!solvable(solver, &sets[i], count));
    }
    for (int i = 0; sets && i < n && strcmp(argv[1], "write") == 0; i++) {
        print_setup(&sets[i], count);
    }
    if (sets && strcmp(argv[1], "time") == 0) {
        time_all(solver, sets, n, count);
    }
    free(sets);
    ap_space_solver_free(solver);
    return 0;
}
