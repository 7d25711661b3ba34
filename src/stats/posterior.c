#include "stats/posterior.h"

#include <gsl/gsl_linalg.h>

#include "stats/sample.h"

struct ap_posterior_work {
    size_t params;
    double tree_variance, rest_variance;
    gsl_matrix *precision;
    double *sum;
};

static ap_status not_good(ap_error *err) {
    return ap_error_set(err, AP_E_DOMAIN,
                        "a posterior takes finite means, variances and priors above zero, and known effects");
}

static ap_status check_model(const ap_posterior_model *model, ap_error *err) {
    if (model->params == 0 || model->params > AP_POSTERIOR_PARAMS_MAX) {
        return ap_error_set(err, AP_E_LIMIT, "a posterior takes 1 to %d effects, not %zu", AP_POSTERIOR_PARAMS_MAX,
                            model->params);
    }
    bool good = isfinite(model->rest_variance) && model->rest_variance > 0 && isfinite(model->tree_variance) &&
                model->tree_variance >= 0;
    for (size_t k = 0; good && k < model->params; k++) {
        good = isfinite(model->prior_sd[k]) && model->prior_sd[k] > 0 &&
               (!model->prior_mean || isfinite(model->prior_mean[k]));
    }
    return good ? AP_OK : not_good(err);
}

static ap_status check_cells(size_t params, const ap_posterior_cell *cells, size_t count, ap_error *err) {
    bool good = true;
    for (size_t i = 0; good && i < count; i++) {
        good = isfinite(cells[i].mean) && cells[i].count > 0 && cells[i].effects <= AP_POSTERIOR_EFFECTS_MAX;
        for (size_t k = 0; good && k < cells[i].effects; k++) {
            good = cells[i].effect[k] < params;
        }
    }
    return good ? AP_OK : not_good(err);
}

/* Adds weight x x' and weight x value, x = 1 at the cell's effects. */
static void add_product(gsl_matrix *a, const ap_posterior_cell *row, const ap_posterior_cell *column, double weight) {
    for (size_t i = 0; i < row->effects; i++) {
        for (size_t k = 0; k < column->effects; k++) {
            *gsl_matrix_ptr(a, row->effect[i], column->effect[k]) += weight;
        }
    }
}

static void add_tree(ap_posterior_work *work, const ap_posterior_cell *cells, size_t count) {
    double picks = 0;
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        picks += cells[i].count;
        sum += cells[i].count * cells[i].mean;
    }
    double rest = work->rest_variance;
    double shared = work->tree_variance / (rest * (rest + work->tree_variance * picks));
    for (size_t i = 0; i < count; i++) {
        double weight = cells[i].count / rest;
        add_product(work->precision, &cells[i], &cells[i], weight);
        for (size_t k = 0; k < cells[i].effects; k++) {
            work->sum[cells[i].effect[k]] += weight * cells[i].mean - shared * cells[i].count * sum;
        }
        for (size_t j = 0; shared > 0 && j < count; j++) {
            add_product(work->precision, &cells[i], &cells[j], -shared * cells[i].count * cells[j].count);
        }
    }
}

static size_t tree_end(const ap_posterior_cell *cells, size_t count, size_t from) {
    size_t end = from + 1;
    while (end < count && cells[end].tree == cells[from].tree && cells[from].tree != 0) {
        end++;
    }
    return end;
}

static ap_status solve(ap_posterior *out, gsl_matrix *a, const double *b, ap_error *err) {
    size_t params = out->params;
    if (gsl_linalg_cholesky_decomp1(a) != 0 || gsl_linalg_cholesky_invert(a) != 0) {
        return ap_error_set(err, AP_E_DOMAIN, "the effects cannot be told apart: their system has no answer");
    }
    for (size_t i = 0; i < params; i++) {
        double sum = 0;
        for (size_t k = 0; k < params; k++) {
            out->covariance[i * params + k] = gsl_matrix_get(a, i, k);
            sum += gsl_matrix_get(a, i, k) * b[k];
        }
        out->mean[i] = sum;
    }
    return AP_OK;
}

void ap_posterior_drop(ap_posterior_work *work) {
    if (work) {
        gsl_matrix_free(work->precision);
        free(work->sum);
        free(work);
    }
}

ap_status ap_posterior_open(ap_posterior_work **out, const ap_posterior_model *model, ap_error *err) {
    *out = NULL;
    ap_stats_init();
    ap_status status = check_model(model, err);
    if (status != AP_OK) {
        return status;
    }
    ap_posterior_work *work = calloc(1, sizeof *work);
    if (!work) {
        return ap_sample_no_memory("the posterior", err);
    }
    work->params = model->params;
    work->tree_variance = model->tree_variance;
    work->rest_variance = model->rest_variance;
    work->precision = gsl_matrix_calloc(model->params, model->params);
    work->sum = calloc(model->params, sizeof *work->sum);
    if (!work->precision || !work->sum) {
        ap_posterior_drop(work);
        return ap_sample_no_memory("the posterior", err);
    }
    for (size_t k = 0; k < model->params; k++) {
        double precision = 1 / (model->prior_sd[k] * model->prior_sd[k]);
        gsl_matrix_set(work->precision, k, k, precision);
        work->sum[k] = model->prior_mean ? precision * model->prior_mean[k] : 0;
    }
    *out = work;
    return AP_OK;
}

ap_status ap_posterior_add(ap_posterior_work *work, const ap_posterior_cell *cells, size_t count, ap_error *err) {
    ap_status status = check_cells(work->params, cells, count, err);
    for (size_t at = 0; status == AP_OK && at < count;) {
        size_t end = tree_end(cells, count, at);
        add_tree(work, cells + at, end - at);
        at = end;
    }
    return status;
}

ap_status ap_posterior_close(ap_posterior *out, ap_posterior_work *work, ap_error *err) {
    *out = (ap_posterior){
        .params = work->params, .tree_variance = work->tree_variance, .rest_variance = work->rest_variance};
    out->mean = calloc(work->params, sizeof *out->mean);
    out->covariance = calloc(work->params * work->params, sizeof *out->covariance);
    ap_status status = out->mean && out->covariance ? solve(out, work->precision, work->sum, err)
                                                    : ap_sample_no_memory("the posterior", err);
    ap_posterior_drop(work);
    return status;
}

ap_status ap_posterior_solve(ap_posterior *out, const ap_posterior_model *model, const ap_posterior_cell *cells,
                             size_t count, ap_error *err) {
    ap_posterior_work *work = NULL;
    *out = (ap_posterior){.tree_variance = model->tree_variance, .rest_variance = model->rest_variance};
    ap_status status = ap_posterior_open(&work, model, err);
    if (status == AP_OK) {
        status = ap_posterior_add(work, cells, count, err);
    }
    if (status != AP_OK) {
        ap_posterior_drop(work);
        return status;
    }
    return ap_posterior_close(out, work, err);
}

void ap_posterior_release(ap_posterior *posterior) {
    free(posterior->mean);
    free(posterior->covariance);
    *posterior = (ap_posterior){0};
}

/* Covariance of one effect with the sum of some. */
static double with_sum(const ap_posterior *p, uint32_t of, const uint32_t *effect, size_t effects) {
    double sum = 0;
    for (size_t k = 0; k < effects; k++) {
        sum += p->covariance[of * p->params + effect[k]];
    }
    return sum;
}

double ap_posterior_sum(double *variance, const ap_posterior *posterior, const uint32_t *effect, size_t effects) {
    double mean = 0;
    *variance = 0;
    for (size_t k = 0; k < effects; k++) {
        mean += posterior->mean[effect[k]];
        *variance += with_sum(posterior, effect[k], effect, effects);
    }
    return mean;
}

/* K = M^-1 - X S X', the system of the left-out tree; r = X mean - y. */
static void fill_system(gsl_matrix *system, gsl_vector *off, const ap_posterior *p, const ap_posterior_cell *cells,
                        size_t count) {
    for (size_t i = 0; i < count; i++) {
        double fitted = 0;
        for (size_t k = 0; k < cells[i].effects; k++) {
            fitted += p->mean[cells[i].effect[k]];
        }
        gsl_vector_set(off, i, fitted - cells[i].mean);
        for (size_t j = 0; j < count; j++) {
            double value = p->tree_variance + (i == j ? p->rest_variance / cells[i].count : 0);
            for (size_t k = 0; k < cells[i].effects; k++) {
                value -= with_sum(p, cells[i].effect[k], cells[j].effect, cells[j].effects);
            }
            gsl_matrix_set(system, i, j, value);
        }
    }
}

ap_status ap_posterior_leave_out(double *mean, const ap_posterior *posterior, const ap_posterior_cell *cells,
                                 size_t count, ap_error *err) {
    memcpy(mean, posterior->mean, posterior->params * sizeof *mean);
    if (count == 0) {
        return AP_OK;
    }
    if (count > AP_POSTERIOR_CELLS_MAX) {
        return ap_error_set(err, AP_E_LIMIT, "a tree takes up to %d kinds of picks, this one has %zu",
                            AP_POSTERIOR_CELLS_MAX, count);
    }
    gsl_matrix *system = gsl_matrix_alloc(count, count);
    gsl_vector *off = gsl_vector_alloc(count);
    ap_status status = AP_OK;
    if (!system || !off) {
        status = ap_sample_no_memory("the posterior without a tree", err);
    } else {
        fill_system(system, off, posterior, cells, count);
        if (gsl_linalg_cholesky_decomp1(system) != 0 || gsl_linalg_cholesky_svx(system, off) != 0) {
            status = ap_error_set(err, AP_E_DOMAIN, "leaving tree %u out has no answer", cells[0].tree);
        }
    }
    for (size_t k = 0; status == AP_OK && k < posterior->params; k++) {
        for (size_t i = 0; i < count; i++) {
            mean[k] += with_sum(posterior, (uint32_t)k, cells[i].effect, cells[i].effects) * gsl_vector_get(off, i);
        }
    }
    gsl_matrix_free(system);
    gsl_vector_free(off);
    return status;
}

double ap_posterior_variance_after(const ap_posterior *posterior, uint32_t of, const uint32_t *effect, size_t effects,
                                   double picks) {
    double variance = posterior->covariance[of * posterior->params + of];
    double spread;
    double shared = with_sum(posterior, of, effect, effects);
    (void)ap_posterior_sum(&spread, posterior, effect, effects);
    double fresh = posterior->tree_variance + posterior->rest_variance;
    return variance - picks * shared * shared / (fresh + picks * spread);
}

double ap_posterior_variance_knowing(const ap_posterior *posterior, uint32_t of, uint32_t known) {
    size_t params = posterior->params;
    double shared = posterior->covariance[of * params + known];
    return posterior->covariance[of * params + of] - shared * shared / posterior->covariance[known * params + known];
}
