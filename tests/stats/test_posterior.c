#include "stats/posterior.h"

#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multifit.h>

#include "stats/prng.h"
#include "support/check.h"

static ap_error err;

/* The conjugate update of nig_conjugate_expected.csv: given sigma2, mu | data is normal with variance sigma2 / kappa; at
 * sigma2 = beta / alpha that is the table's post_sd_mean squared, the scale of its t with 2 alpha degrees of freedom. */
static void test_conjugate(void **state) {
    (void)state;
    check_table want;
    check_table_load(&want, "tests/stats/data/nig_conjugate_expected.csv");
    assert_true(want.rows >= 2);
    for (size_t row = 0; row < want.rows; row++) {
        double variance = check_table_number(&want, row, "beta") / check_table_number(&want, row, "alpha");
        double prior_mean = check_table_number(&want, row, "prior_m");
        double prior_sd = sqrt(variance / check_table_number(&want, row, "prior_kappa"));
        ap_posterior_cell cells[16];
        size_t count = 0;
        ap_str rest = check_table_get(&want, row, "data");
        while (rest.ptr && count < 16) {
            char text[64];
            ap_str one = ap_str_split(rest, ' ', &rest);
            snprintf(text, sizeof text, "%.*s", AP_STR_ARG(one));
            if (one.len) { /* the table aligns some numbers with two blanks */
                cells[count++] = (ap_posterior_cell){.effects = 1, .count = 1, .mean = strtod(text, NULL)};
            }
        }
        check_close((double)count,
                    check_table_number(&want, row, "kappa") - check_table_number(&want, row, "prior_kappa"), 1e-9,
                    "kappa counts the data");
        const ap_posterior_model model = {1, &prior_mean, &prior_sd, 0, variance};
        ap_posterior got;
        check_ok(ap_posterior_solve(&got, &model, cells, count, &err), &err);
        check_close(got.mean[0], check_table_number(&want, row, "m"), 1e-9, "nig_conjugate_expected.csv, m");
        check_close(sqrt(got.covariance[0]), check_table_number(&want, row, "post_sd_mean"), 1e-9,
                    "nig_conjugate_expected.csv, post_sd_mean");
        ap_posterior_release(&got);
    }
    check_table_release(&want);
}

enum { EFFECTS = 4, TREES = 30, PER_TREE = 3, CELLS = TREES * PER_TREE };

/* Three kinds of pieces, one effect of its own each, and a fourth that is on top of the second cell of each tree. */
static void make_cells(ap_posterior_cell *cells) {
    ap_prng prng;
    ap_prng_init(&prng, 20261126, 0);
    for (size_t i = 0; i < CELLS; i++) {
        uint32_t tree = (uint32_t)(i / PER_TREE);
        cells[i] = (ap_posterior_cell){.effect = {(uint32_t)(tree % 3), 3}, .tree = tree + 1, .effects = 1};
        cells[i].effects += i % PER_TREE == 1;
        cells[i].count = 1 + (double)(i % 4);
        cells[i].mean = 0.1 * (tree % 3) - 0.2 * (i % PER_TREE == 1) + 0.1 * ap_prng_normal(&prng);
    }
}

/* Weighted least squares by the GNU Scientific Library: another road to the same answer when the priors say nothing. */
static void test_least_squares(void **state) {
    (void)state;
    ap_posterior_cell cells[CELLS];
    make_cells(cells);
    const double sd[EFFECTS] = {100, 100, 100, 100};
    const ap_posterior_model model = {EFFECTS, NULL, sd, 0, 0.01};
    ap_posterior got;
    check_ok(ap_posterior_solve(&got, &model, cells, CELLS, &err), &err);
    gsl_matrix *x = gsl_matrix_calloc(CELLS, EFFECTS);
    gsl_vector *y = gsl_vector_alloc(CELLS), *w = gsl_vector_alloc(CELLS), *c = gsl_vector_alloc(EFFECTS);
    gsl_matrix *cov = gsl_matrix_alloc(EFFECTS, EFFECTS);
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(CELLS, EFFECTS);
    double chisq = 0;
    for (size_t i = 0; i < CELLS; i++) {
        for (size_t k = 0; k < cells[i].effects; k++) {
            gsl_matrix_set(x, i, cells[i].effect[k], 1);
        }
        gsl_vector_set(y, i, cells[i].mean);
        gsl_vector_set(w, i, cells[i].count);
    }
    assert_int_equal(gsl_multifit_wlinear(x, w, y, c, cov, &chisq, work), 0);
    for (size_t k = 0; k < EFFECTS; k++) {
        check_close(got.mean[k], gsl_vector_get(c, k), 1e-8, "weighted least squares, GSL multifit");
        check_close(got.covariance[k * EFFECTS + k], 0.01 * gsl_matrix_get(cov, k, k), 1e-9, "its covariance");
    }
    gsl_multifit_linear_free(work);
    gsl_matrix_free(cov);
    gsl_matrix_free(x);
    gsl_vector_free(y);
    gsl_vector_free(w);
    gsl_vector_free(c);
    ap_posterior_release(&got);
}

/* (X'V^-1 X + P)^-1 X'V^-1 y with V written out pick by pick and inverted by LU. */
static void dense_answer(double *mean, const ap_posterior_cell *cells, size_t count, const ap_posterior_model *m) {
    size_t picks = 0;
    for (size_t i = 0; i < count; i++) {
        picks += (size_t)cells[i].count;
    }
    const ap_posterior_cell **of = calloc(picks, sizeof *of);
    gsl_matrix *v = gsl_matrix_calloc(picks, picks), *inverse = gsl_matrix_alloc(picks, picks);
    gsl_permutation *order = gsl_permutation_alloc(picks);
    size_t at = 0;
    int sign;
    for (size_t i = 0; i < count; i++) {
        for (size_t k = 0; k < (size_t)cells[i].count; k++) {
            of[at++] = &cells[i];
        }
    }
    for (size_t i = 0; i < picks; i++) {
        for (size_t j = 0; j < picks; j++) {
            gsl_matrix_set(v, i, j,
                           (i == j ? m->rest_variance : 0) + (of[i]->tree == of[j]->tree ? m->tree_variance : 0));
        }
    }
    gsl_linalg_LU_decomp(v, order, &sign);
    gsl_linalg_LU_invert(v, order, inverse);
    gsl_matrix *a = gsl_matrix_calloc(m->params, m->params);
    gsl_vector *b = gsl_vector_calloc(m->params), *x = gsl_vector_alloc(m->params);
    for (size_t k = 0; k < m->params; k++) {
        double precision = 1 / (m->prior_sd[k] * m->prior_sd[k]);
        gsl_matrix_set(a, k, k, precision);
        gsl_vector_set(b, k, precision * m->prior_mean[k]);
    }
    for (size_t i = 0; i < picks; i++) {
        for (size_t j = 0; j < picks; j++) {
            double weight = gsl_matrix_get(inverse, i, j);
            for (size_t k = 0; k < of[i]->effects; k++) {
                *gsl_vector_ptr(b, of[i]->effect[k]) += weight * of[j]->mean;
                for (size_t l = 0; l < of[j]->effects; l++) {
                    *gsl_matrix_ptr(a, of[i]->effect[k], of[j]->effect[l]) += weight;
                }
            }
        }
    }
    gsl_linalg_HH_solve(a, b, x);
    for (size_t k = 0; k < m->params; k++) {
        mean[k] = gsl_vector_get(x, k);
    }
    gsl_matrix_free(a);
    gsl_vector_free(b);
    gsl_vector_free(x);
    gsl_matrix_free(v);
    gsl_matrix_free(inverse);
    gsl_permutation_free(order);
    free(of);
}

static const double prior_mean[EFFECTS] = {0.02, 0, -0.01, -0.1};
static const double prior_sd[EFFECTS] = {0.12, 0.12, 0.20, 0.20};

static void test_trees(void **state) {
    (void)state;
    ap_posterior_cell cells[CELLS];
    make_cells(cells);
    const ap_posterior_model model = {EFFECTS, prior_mean, prior_sd, 0.02, 0.01};
    ap_posterior got;
    double want[EFFECTS], left[EFFECTS];
    check_ok(ap_posterior_solve(&got, &model, cells, CELLS, &err), &err);
    dense_answer(want, cells, CELLS, &model);
    for (size_t k = 0; k < EFFECTS; k++) {
        check_close(got.mean[k], want[k], 1e-10, "generalised least squares with V written out");
    }
    ap_posterior_cell rest[CELLS];
    for (size_t tree = 0; tree < TREES; tree += 7) { /* one tree out, against the same road without its cells */
        size_t before = tree * PER_TREE, after = before + PER_TREE;
        memcpy(rest, cells, before * sizeof *cells);
        memcpy(rest + before, cells + after, (CELLS - after) * sizeof *cells);
        dense_answer(want, rest, CELLS - PER_TREE, &model);
        check_ok(ap_posterior_leave_out(left, &got, cells + before, PER_TREE, &err), &err);
        for (size_t k = 0; k < EFFECTS; k++) {
            check_close(left[k], want[k], 1e-10, "generalised least squares without the tree");
        }
    }
    ap_posterior_release(&got);
}

/* What more picks would do, against picks that were really added. */
static void test_more_picks(void **state) {
    (void)state;
    ap_posterior_cell cells[CELLS + 5];
    make_cells(cells);
    const ap_posterior_model model = {EFFECTS, prior_mean, prior_sd, 0.02, 0.01};
    ap_posterior before, after;
    const uint32_t effect[2] = {0, 3};
    check_ok(ap_posterior_solve(&before, &model, cells, CELLS, &err), &err);
    for (uint32_t i = 0; i < 5; i++) {
        cells[CELLS + i] = (ap_posterior_cell){{0, 3}, 2, 1000 + i, 1, 0.3};
    }
    check_ok(ap_posterior_solve(&after, &model, cells, CELLS + 5, &err), &err);
    for (uint32_t of = 0; of < EFFECTS; of++) {
        check_close(ap_posterior_variance_after(&before, of, effect, 2, 5), after.covariance[of * EFFECTS + of], 1e-12,
                    "the same model with five picks more");
    }
    double variance;
    check_close(ap_posterior_sum(&variance, &before, effect, 2), before.mean[0] + before.mean[3], 1e-15, "a sum");
    check_close(variance, before.covariance[0] + before.covariance[3 * EFFECTS + 3] + 2 * before.covariance[3], 1e-15,
                "variance of a sum");
    /* Known exactly = a prior without width. */
    const double known_sd[EFFECTS] = {0.12, 0.12, 0.20, 1e-7};
    const ap_posterior_model known = {EFFECTS, prior_mean, known_sd, 0.02, 0.01};
    ap_posterior sure;
    check_ok(ap_posterior_solve(&sure, &known, cells, CELLS, &err), &err);
    check_close(ap_posterior_variance_knowing(&before, 0, 3), sure.covariance[0], 1e-10, "a prior without width");
    ap_posterior_release(&sure);
    ap_posterior_release(&before);
    ap_posterior_release(&after);
}

static void test_refusals(void **state) {
    (void)state;
    ap_posterior got;
    double sd[2] = {1, 0};
    ap_posterior_cell cell = {{0}, 1, 1, 1, 0.5};
    ap_posterior_model model = {2, NULL, sd, 0, 1};
    check_refused(ap_posterior_solve(&got, &model, &cell, 1, &err), AP_E_DOMAIN, &err, "above zero");
    ap_posterior_release(&got);
    sd[1] = 1;
    cell.mean = NAN;
    check_refused(ap_posterior_solve(&got, &model, &cell, 1, &err), AP_E_DOMAIN, &err, "finite");
    ap_posterior_release(&got);
    cell = (ap_posterior_cell){{2}, 1, 1, 1, 0.5};
    check_refused(ap_posterior_solve(&got, &model, &cell, 1, &err), AP_E_DOMAIN, &err, "known effects");
    ap_posterior_release(&got);
    model.params = 0;
    check_refused(ap_posterior_solve(&got, &model, &cell, 1, &err), AP_E_LIMIT, &err, "effects");
    ap_posterior_release(&got);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_conjugate),  cmocka_unit_test(test_least_squares), cmocka_unit_test(test_trees),
        cmocka_unit_test(test_more_picks), cmocka_unit_test(test_refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
