#include "stats/mixed.h"

#include "stats/mixed_private.h"
#include "stats/numbers.h"
#include "stats/oneway.h"
#include "stats/prng.h"
#include "stats/tolerance.h"

static ap_error err;

static const char *const names[] = {"species", "cut", "both", "estimator", "crane"};
enum { FACTORS = 5 };

static ap_mixed_data *read_book(const check_table *books, const char *book) {
    ap_mixed_data *data = ap_mixed_data_new(FACTORS);
    assert_non_null(data);
    for (size_t row = 0; row < books->rows; row++) {
        if (!ap_str_equal_word(check_table_get(books, row, "book"), book)) {
            continue;
        }
        uint32_t level[FACTORS];
        for (size_t k = 0; k < FACTORS; k++) {
            level[k] = (uint32_t)check_table_number(books, row, names[k]);
        }
        check_ok(ap_mixed_add(data, (uint32_t)check_table_number(books, row, "tree"), level,
                              check_table_number(books, row, "e"), &err),
                 &err);
    }
    return data;
}

/* One row of the expected values against the fit. */
static void compare(const check_table *want, size_t row, const ap_mixed *fit, const char *book, double total) {
    char what[32], source[96];
    ap_str name = check_table_get(want, row, "what");
    double value = check_table_number(want, row, "value");
    uint32_t level = (uint32_t)check_table_number(want, row, "level");
    snprintf(what, sizeof what, "%.*s", AP_STR_ARG(name));
    snprintf(source, sizeof source, "lme4_expected.csv, book %s, %s %u", book, what, level);
    double sd = sqrt(total), variance = fmax(1e-4 * value, 1e-6 * total);
    if (strcmp(what, "criterion") == 0) {
        if (!(fit->criterion <= value + 1e-6)) {
            fail_msg("%s: criterion %.10g is above %.10g", source, fit->criterion, value);
        }
        check_close(fit->criterion, value, 1e-5, source); /* nor far below: it is the same criterion */
    } else if (strcmp(what, "mean") == 0) {
        check_close(fit->mean, value, 1e-5 * sd, source);
    } else if (strcmp(what, "mean_se") == 0) {
        check_close(fit->mean_se, value, 1e-4 * value, source);
    } else if (strcmp(what, "var_rest") == 0) {
        check_close(fit->rest_variance, value, variance, source);
    } else if (strcmp(what, "var_tree") == 0) {
        check_close(fit->tree_variance, value, variance, source);
    } else if (strcmp(what, "effect_tree") == 0) {
        double got = 0.0;
        assert_true(ap_mixed_tree_effect(&got, fit, level));
        check_close(got, value, 1e-4 * sd, source);
    } else {
        bool effect = strncmp(what, "effect_", 7) == 0, found = false;
        for (size_t k = 0; k < FACTORS; k++) {
            double got = fit->factor[k].variance, se = 0.0;
            if (strcmp(what + (effect ? 7 : 4), names[k]) != 0) {
                continue;
            }
            found = true;
            if (effect) {
                assert_true(ap_mixed_effect(&got, &se, fit, k, level));
                check_close(got, value, 1e-4 * sd, source);
                assert_true(isfinite(se) && se >= 0.0);
            } else {
                check_close(got, value, variance, source);
            }
        }
        assert_true(found);
    }
}

static void against_lme4(void **state) {
    (void)state;
    static const char *const book_names[] = {"a", "b", "c", "d", "e", "f", "penicillin", "pastes"};
    check_table books, want;
    check_table_load(&books, STATS_DATA "mixed_books.csv");
    check_table_load(&want, STATS_DATA "lme4_expected.csv");
    int zeros = 0;
    size_t compared = 0;
    for (size_t b = 0; b < sizeof book_names / sizeof *book_names; b++) {
        ap_mixed_data *data = read_book(&books, book_names[b]);
        ap_mixed fit;
        check_ok(ap_mixed_fit(&fit, data, &err), &err);
        assert_true(fit.converged);
        double total = fit.scale2;
        for (size_t k = 0; k < FACTORS; k++) {
            total += fit.factor[k].variance;
            zeros += fit.factor[k].same_as == AP_MIXED_TOLD_APART && fit.factor[k].variance == 0.0;
        }
        for (size_t row = 0; row < want.rows; row++) {
            if (ap_str_equal_word(check_table_get(&want, row, "book"), book_names[b])) {
                compare(&want, row, &fit, book_names[b], total);
                compared++;
            }
        }
        ap_mixed_release(&fit);
        ap_mixed_data_free(data);
    }
    assert_int_equal((int)compared, (int)want.rows);
    assert_true(zeros >= 3); /* variances of exactly 0 are among the answers */
    check_table_release(&want);
    check_table_release(&books);
}

/* The exact gradient against differences of the criterion, with dense classes and without. */
static void gradient(void **state) {
    (void)state;
    check_table books;
    check_table_load(&books, STATS_DATA "mixed_books.csv");
    ap_mixed_data *data = read_book(&books, "a");
    double plain[2] = {0};
    for (size_t pass = 0; pass < 2; pass++) {
        mixed_system system;
        mixed_work work;
        mixed_point here, low, high;
        ap_mixed_sums *sums = NULL;
        double center = 0.0;
        check_ok(mixed_data_sums(&sums, &center, data, pass == 0 ? (size_t)64 << 20 : 0, &err), &err);
        check_ok(mixed_system_init(&system, sums, NULL, &err), &err);
        ap_mixed_sums_free(sums);
        assert_true(pass == 0 ? system.classes > 3 : system.classes == 0);
        check_ok(mixed_work_init(&work, &system, &err), &err);
        double theta[AP_MIXED_FACTORS_MAX + 1] = {0.3, 0.8, 0.5, 0.2, 0.6, 0.7};
        assert_true(mixed_evaluate(&here, &work, &system, theta, true));
        plain[pass] = here.criterion;
        for (size_t k = 0; k <= FACTORS; k++) {
            double kept = theta[k], step = 1e-5;
            theta[k] = kept + step;
            assert_true(mixed_evaluate(&high, &work, &system, theta, false));
            theta[k] = kept - step;
            assert_true(mixed_evaluate(&low, &work, &system, theta, false));
            theta[k] = kept;
            double s2 = here.r2 / ((double)system.picks - 1.0);
            double want = (high.criterion - low.criterion) / (2.0 * step);
            check_close(here.trace[k] - here.square[k] / s2, want, 1e-5 * fmax(1.0, fabs(want)), "central differences");
        }
        mixed_work_release(&work);
        mixed_system_release(&system);
    }
    check_close(plain[0], plain[1], 1e-9, "dense and sparse trees are the same sum");
    ap_mixed_data_free(data);
    check_table_release(&books);
}

/* Slope of the profiled criterion in theta^2. */
static double slope_in_square(const mixed_system *system, const mixed_point *at, const double *theta, size_t k) {
    double s2 = at->r2 / ((double)system->picks - 1.0);
    return (at->trace[k] - at->square[k] / s2) / (2.0 * theta[k]);
}

/* Second derivatives against differences of the exact gradient, and the slope at 0 against that next to it. */
static void curvature(void **state) {
    (void)state;
    check_table books;
    check_table_load(&books, STATS_DATA "mixed_books.csv");
    ap_mixed_data *data = read_book(&books, "a");
    ap_mixed_sums *sums = NULL;
    mixed_system system;
    mixed_work work;
    mixed_point here, low, high;
    mixed_curve curve;
    double center = 0.0;
    check_ok(mixed_data_sums(&sums, &center, data, (size_t)64 << 20, &err), &err);
    check_ok(mixed_system_init(&system, sums, NULL, &err), &err);
    check_ok(mixed_work_init(&work, &system, &err), &err);
    double theta[AP_MIXED_FACTORS_MAX + 1] = {0.3, 0.8, 0.5, 0.2, 0.6, 0.7};
    for (size_t k = 0; k <= FACTORS; k++) {
        double kept = theta[k], size = kept * kept, step = 1e-5 * size;
        theta[k] = sqrt(size + step);
        assert_true(mixed_evaluate(&high, &work, &system, theta, true));
        double high_theta[AP_MIXED_FACTORS_MAX + 1];
        memcpy(high_theta, theta, sizeof theta);
        theta[k] = sqrt(size - step);
        assert_true(mixed_evaluate(&low, &work, &system, theta, true));
        double low_theta[AP_MIXED_FACTORS_MAX + 1];
        memcpy(low_theta, theta, sizeof theta);
        theta[k] = kept;
        assert_true(mixed_evaluate(&here, &work, &system, theta, true));
        mixed_curvature(&curve, &work, &system, theta);
        double df = (double)system.picks - 1.0, s2 = here.r2 / df;
        for (size_t j = 0; j <= FACTORS; j++) {
            double want =
                (slope_in_square(&system, &high, high_theta, j) - slope_in_square(&system, &low, low_theta, j)) /
                (2.0 * step);
            double squares = here.square[j] * here.square[k] / (4.0 * theta[j] * theta[k] * df * s2 * s2);
            double got = 2.0 * curve.square[j][k] / s2 - curve.trace[j][k] - squares;
            check_close(got, want, 1e-5 * fmax(1.0, fabs(want)), "central differences");
        }
        theta[k] = 0.0;
        assert_true(mixed_evaluate(&here, &work, &system, theta, true));
        double at_zero = mixed_slope_at_zero(&work, &system, &here, theta, k);
        theta[k] = 3e-4;
        assert_true(mixed_evaluate(&high, &work, &system, theta, true));
        check_close(at_zero, slope_in_square(&system, &high, theta, k), 1e-4 * fabs(at_zero), "next to 0");
        theta[k] = kept;
    }
    mixed_work_release(&work);
    mixed_system_release(&system);
    ap_mixed_sums_free(sums);
    ap_mixed_data_free(data);
    check_table_release(&books);
}

/* The least over values of 0 or more, against the least over every choice of which are 0. */
static void least_quadratic(void **state) {
    (void)state;
    enum { CASES = 400, MOST = 6 };
    ap_prng prng;
    ap_prng_init(&prng, 12, 3);
    for (int i = 0; i < CASES; i++) {
        size_t n = 1 + ap_prng_below(&prng, MOST);
        double root[MOST][MOST], d[MOST], y[MIXED_SIDE], best = 0.0;
        mixed_square curve = {{{0}}};
        for (size_t a = 0; a < n; a++) {
            d[a] = ap_prng_normal(&prng);
            for (size_t b = 0; b < n; b++) {
                root[a][b] = ap_prng_normal(&prng);
            }
        }
        for (size_t a = 0; a < n; a++) {
            for (size_t b = 0; b < n; b++) {
                for (size_t c = 0; c < n; c++) {
                    curve.at[a][b] += root[c][a] * root[c][b];
                }
            }
            curve.at[a][a] += 0.01;
        }
        for (unsigned chosen = 0; chosen < 1u << n; chosen++) {
            mixed_square left;
            double right[MIXED_SIDE], x[MIXED_SIDE], value = 0.0;
            size_t row[MOST], count = 0;
            bool within = true;
            for (size_t a = 0; a < n; a++) {
                if (chosen >> a & 1) {
                    row[count++] = a;
                }
            }
            for (size_t a = 0; a < count; a++) {
                right[a] = -d[row[a]];
                for (size_t b = 0; b < count; b++) {
                    left.at[a][b] = curve.at[row[a]][row[b]];
                }
            }
            assert_true(mixed_solve(x, &left, right, count));
            for (size_t a = 0; a < count; a++) {
                within = within && x[a] >= 0.0;
                value += 0.5 * d[row[a]] * x[a]; /* at a stationary point y'Cy = -d'y */
            }
            best = within ? fmin(best, value) : best;
        }
        assert_true(mixed_least_quadratic(y, &curve, d, n));
        double value = 0.0;
        for (size_t a = 0; a < n; a++) {
            assert_true(y[a] >= 0.0);
            value += d[a] * y[a];
            for (size_t b = 0; b < n; b++) {
                value += 0.5 * y[a] * curve.at[a][b] * y[b];
            }
        }
        check_close(value, best, 1e-10 * fmax(1.0, fabs(best)), "all choices of which are 0");
    }
    mixed_square flat = {{{1.0, -2.0}, {-2.0, 1.0}}};
    double y[MIXED_SIDE];
    assert_false(mixed_least_quadratic(y, &flat, (const double[]){-1.0, -1.0}, 2));
}

/* Balanced one-way data: every answer in closed form (Searle, Casella & McCulloch 1992, section 3.5). */
static void balanced_closed_form(void **state) {
    (void)state;
    check_table table;
    check_table_load(&table, STATS_DATA "random_effects_dyestuff.csv");
    ap_mixed_data *data = ap_mixed_data_new(0);
    double x[30];
    uint32_t batch[30];
    for (size_t i = 0; i < 30; i++) {
        x[i] = check_table_number(&table, i, "yield");
        batch[i] = (uint32_t)check_table_get(&table, i, "batch").ptr[0];
        check_ok(ap_mixed_add(data, batch[i], NULL, x[i], &err), &err);
    }
    ap_oneway groups;
    ap_mixed fit;
    check_ok(ap_oneway_fit(&groups, x, batch, 30, &err), &err);
    check_ok(ap_mixed_fit(&fit, data, &err), &err);
    double within = groups.pooled_sd * groups.pooled_sd;
    double between = groups.between_ss / groups.between_df;
    check_close(fit.tree_variance, (between - within) / 5.0, 1e-6 * within, "closed form");
    check_close(fit.rest_variance, within, 1e-6 * within, "closed form");
    check_close(fit.mean, 1527.5, 1e-9, "closed form");
    check_close(fit.mean_se, sqrt(between / 30.0), 1e-6, "closed form");
    check_close(sqrt(fit.tree_variance), 42.0005953104, 1e-3, "random_effects_dyestuff.csv");
    double scale2 = between / 5.0 + 0.8 * within;
    double df = scale2 * scale2 / (between * between / 25.0 / 5.0 + 0.64 * within * within / 24.0);
    check_close(fit.scale2, scale2, 1e-6 * scale2, "closed form");
    check_close(fit.scale_df, df, 1e-4 * df, "Satterthwaite 1946 on the two mean squares");
    double effect = 0.0, first = 0.0;
    for (size_t i = 0; i < 5; i++) {
        first += x[i] / 5.0;
    }
    assert_true(ap_mixed_tree_effect(&effect, &fit, 'A'));
    check_close(effect, (1.0 - within / between) * (first - 1527.5), 1e-4, "closed form");
    assert_false(ap_mixed_tree_effect(&effect, &fit, 'Z'));
    ap_mixed_release(&fit);
    ap_mixed_data_free(data);
    check_table_release(&table);
}

/* M3: one crane weighs all; crews that are the cranes under another name; a factor that is the tree. */
static void not_told_apart(void **state) {
    (void)state;
    ap_prng prng;
    ap_prng_init(&prng, 11, 0);
    ap_mixed_data *data = ap_mixed_data_new(5);
    for (uint32_t i = 0; i < 200; i++) {
        uint32_t tree = 1 + i / 4, crew = 1 + tree % 3;
        const uint32_t level[] = {7, crew, 10 * crew, tree + 5, i % 2 == 0 ? 0 : 1 + i % 5};
        check_ok(ap_mixed_add(data, tree, level, 0.1 * ap_prng_normal(&prng) + 0.1 * crew, &err), &err);
    }
    ap_mixed fit;
    check_ok(ap_mixed_fit(&fit, data, &err), &err);
    assert_int_equal(fit.factor[0].same_as, AP_MIXED_TOO_FEW_LEVELS);
    assert_int_equal(fit.factor[1].same_as, AP_MIXED_TOLD_APART);
    assert_int_equal(fit.factor[2].same_as, 1);
    assert_int_equal(fit.factor[3].same_as, AP_MIXED_SAME_AS_TREE);
    assert_int_equal(fit.factor[4].same_as, AP_MIXED_TOLD_APART);
    assert_true(fit.converged && fit.tree_told_apart);
    check_close(fit.factor[2].variance, 0.0, 0.0, "held");
    double mean = 0.0, se = 0.0, se_new = 0.0;
    bool seen[5];
    const uint32_t known[] = {7, 2, 20, 0, 0}, unknown[] = {7, 9, 20, 0, 0};
    ap_mixed_predict(&mean, &se, seen, &fit, known);
    assert_true(seen[0] && seen[1] && seen[2] && !seen[3]);
    check_close(mean, 0.2, 0.05, "crew 2 was simulated at 0.2");
    ap_mixed_predict(&mean, &se_new, seen, &fit, unknown);
    assert_true(!seen[1] && se_new > se);
    check_close(mean, fit.mean, 1e-12, "a new crew is an average crew");
    ap_mixed_release(&fit);
    ap_mixed_data_free(data);

    /* Trees of one pick, and no trees at all: the same thing. */
    for (uint32_t pass = 0; pass < 2; pass++) {
        data = ap_mixed_data_new(1);
        for (uint32_t i = 0; i < 40; i++) {
            const uint32_t level[] = {1 + i % 4};
            check_ok(ap_mixed_add(data, pass * (i + 1), level, sin(i * 1.7) + 0.3 * (i % 4), &err), &err);
        }
        check_ok(ap_mixed_fit(&fit, data, &err), &err);
        assert_false(fit.tree_told_apart);
        assert_int_equal((int)fit.trees, 40);
        check_close(fit.tree_variance, 0.0, 0.0, "held");
        ap_mixed_release(&fit);
        ap_mixed_data_free(data);
    }
}

/* A large book in one pass. The seconds are not judged here; the counts and the true values are. */
static void many_picks(void **state) {
    (void)state;
    enum { PICKS = 30000 };
    static double effect[5][256];
    ap_prng prng;
    ap_prng_init(&prng, 99, 0);
    for (size_t k = 0; k < 5; k++) {
        for (size_t i = 0; i < 256; i++) {
            effect[k][i] = 0.06 * ap_prng_normal(&prng);
        }
    }
    ap_mixed_data *data = ap_mixed_data_new(5);
    uint32_t tree = 0;
    for (uint32_t i = 0; i < PICKS;) {
        uint32_t picks = 1 + (uint32_t)ap_prng_below(&prng, 15), species = 1 + (uint32_t)ap_prng_below(&prng, 10);
        double tree_effect = 0.08 * ap_prng_normal(&prng);
        tree++;
        for (uint32_t j = 0; j < picks && i < PICKS; j++, i++) {
            uint32_t cut = 1 + (uint32_t)ap_prng_below(&prng, 6), who = 1 + (uint32_t)ap_prng_below(&prng, 15);
            const uint32_t level[] = {species, cut, (species - 1) * 6 + cut, who, 1 + who % 4};
            double e = 0.02 + tree_effect + 0.15 * ap_prng_normal(&prng);
            for (size_t k = 0; k < 5; k++) {
                e += effect[k][level[k]];
            }
            check_ok(ap_mixed_add(data, tree, level, e, &err), &err);
        }
    }
    ap_mixed fit;
    check_ok(ap_mixed_fit(&fit, data, &err), &err);
    assert_true(fit.converged);
    assert_int_equal((int)fit.picks, PICKS);
    check_close(sqrt(fit.rest_variance), 0.15, 4.0 * 0.15 / sqrt(2.0 * PICKS * 0.8), "simulated, four standard errors");
    check_close(sqrt(fit.tree_variance), 0.08, 4.0 * 0.08 * 1.6 / sqrt(2.0 * tree),
                "simulated, about four standard errors");
    ap_mixed_release(&fit);
    ap_mixed_data_free(data);
}

/* What the planning factor promises, from picks in trees: the share of simulated books whose bound holds the content.
 * The bands are those that ap_tolerance_df() documents, widened by four standard errors. Seed fixed. */
static void content_with_trees(void **state) {
    (void)state;
    enum { BOOKS = 800 };
    static const struct {
        uint32_t trees, picks;
        double share; /* intraclass correlation */
    } designs[] = {{6, 4, 0.5}, {12, 5, 0.2}, {8, 10, 0.3}};
    ap_prng prng;
    ap_prng_init(&prng, 31, 0);
    for (size_t i = 0; i < sizeof designs / sizeof *designs; i++) {
        int plain = 0, careful = 0;
        for (int book = 0; book < BOOKS; book++) {
            ap_mixed_data *data = ap_mixed_data_new(0);
            for (uint32_t tree = 1; tree <= designs[i].trees; tree++) {
                double effect = sqrt(designs[i].share) * ap_prng_normal(&prng);
                for (uint32_t j = 0; j < designs[i].picks; j++) {
                    double e = effect + sqrt(1.0 - designs[i].share) * ap_prng_normal(&prng);
                    check_ok(ap_mixed_add(data, tree, NULL, e, &err), &err);
                }
            }
            ap_mixed fit;
            double k = 0.0, nu = 0.0;
            check_ok(ap_mixed_fit(&fit, data, &err), &err);
            double mean_variance = fit.mean_se * fit.mean_se, m = fit.scale2 / mean_variance;
            check_ok(ap_tolerance_factor(&k, 0.95, 0.90, m, fit.scale_df, &err), &err);
            plain += 0.5 * erfc(-(fit.mean + k * sqrt(fit.scale2)) / sqrt(2.0)) >= 0.95;
            check_ok(ap_tolerance_df(&nu, 0.95, mean_variance, designs[i].trees - 1.0, fit.scale2, fit.scale_df, &err),
                     &err);
            check_ok(ap_tolerance_factor(&k, 0.95, 0.90, m, nu, &err), &err);
            careful += 0.5 * erfc(-(fit.mean + k * sqrt(fit.scale2)) / sqrt(2.0)) >= 0.95;
            ap_mixed_release(&fit);
            ap_mixed_data_free(data);
        }
        double band = 4.0 * sqrt(0.9 * 0.1 / BOOKS);
        check_close((double)plain / BOOKS, 0.89, 0.03 + band, "documented range .86 to .92");
        check_close((double)careful / BOOKS, 0.935, 0.045 + band, "documented range .89 to .98");
        assert_true(careful >= plain);
    }
}

static void refusals(void **state) {
    (void)state;
    ap_mixed fit = {0};
    assert_null(ap_mixed_data_new(AP_MIXED_FACTORS_MAX + 1));
    ap_mixed_data *data = ap_mixed_data_new(1);
    const uint32_t level[] = {1}, far[] = {AP_MIXED_LEVEL_ID_MAX + 1};
    check_refused(ap_mixed_fit(&fit, data, &err), AP_E_DOMAIN, &err, "at least 3 picks, there are 0");
    check_refused(ap_mixed_add(data, 1, level, NAN, &err), AP_E_DOMAIN, &err, "finite");
    check_refused(ap_mixed_add(data, 1, far, 0.1, &err), AP_E_LIMIT, &err, "numbers its levels");
    check_refused(ap_mixed_add(data, UINT32_MAX, level, 0.1, &err), AP_E_LIMIT, &err, "numbers its trees");
    for (int i = 0; i < 5; i++) {
        check_ok(ap_mixed_add(data, 1, level, 0.25, &err), &err);
    }
    check_refused(ap_mixed_fit(&fit, data, &err), AP_E_DOMAIN, &err, "errors that differ");
    ap_mixed_data_free(data);

    /* Every tree constant: no rest. Refused, or at least not called settled. */
    data = ap_mixed_data_new(0);
    for (uint32_t i = 0; i < 12; i++) {
        check_ok(ap_mixed_add(data, 1 + i / 3, NULL, (double)(i / 3), &err), &err);
    }
    ap_status status = ap_mixed_fit(&fit, data, &err);
    assert_true(status == AP_E_DOMAIN || (status == AP_OK && !fit.converged));
    if (status == AP_OK) {
        ap_mixed_release(&fit);
    }
    ap_mixed_data_free(data);
    ap_mixed_data_free(NULL);
    ap_mixed_release(&(ap_mixed){0});
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(against_lme4),
        cmocka_unit_test(gradient),
        cmocka_unit_test(curvature),
        cmocka_unit_test(least_quadratic),
        cmocka_unit_test(balanced_closed_form),
        cmocka_unit_test(not_told_apart),
        cmocka_unit_test(many_picks),
        cmocka_unit_test(content_with_trees),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
