#include "stats/mixed.h"

#include "stats/mixed_private.h"
#include "stats/sample.h"

/* Products of tree sums are kept dense up to this much memory; the sizes beyond it are added tree by tree. */
static const size_t dense_bytes = (size_t)96 << 20;

struct ap_mixed_state {
    size_t rows;
    size_t factors;
    size_t first_row[AP_MIXED_FACTORS_MAX + 1];
    uint32_t *row_of[AP_MIXED_FACTORS_MAX];
    size_t row_room[AP_MIXED_FACTORS_MAX];
    double theta[AP_MIXED_FACTORS_MAX + 1];
    double rest_variance;
    double *effect;      /* rows: on the scale of e */
    gsl_matrix *inverse; /* spherical, rows + 1 */
    uint32_t *tree;      /* ascending */
    double *tree_effect;
    size_t trees;
};

static void state_free(ap_mixed_state *state) {
    if (state) {
        for (size_t k = 0; k < AP_MIXED_FACTORS_MAX; k++) {
            free(state->row_of[k]);
        }
        free(state->effect);
        gsl_matrix_free(state->inverse);
        free(state->tree);
        free(state->tree_effect);
        free(state);
    }
}

void ap_mixed_release(ap_mixed *fit) {
    state_free(fit->state);
    *fit = (ap_mixed){0};
}

/* Effects of the trees: theta^2 (sum of what is left over in the tree) / (1 + n theta^2). */
static void set_tree_effects(ap_mixed_state *state, const mixed_system *system, double mean) {
    double theta = state->theta[system->factors];
    for (size_t t = 0; t < system->trees; t++) {
        const mixed_tree *tree = &system->tree[t];
        double left = 0.0;
        for (size_t a = tree->first; a < tree->first + tree->count; a++) {
            size_t row = system->at[a];
            double by = row < system->rows ? -state->effect[row] : row == system->rows ? -mean : 1.0;
            left += by * system->value[a];
        }
        state->tree[t] = tree->tree;
        state->tree_effect[t] = theta * theta * left / (1.0 + tree->n * theta * theta);
    }
}

/* Takes row_of and the inverse over from the system and the work. */
static ap_mixed_state *state_new(mixed_system *system, mixed_work *work, const mixed_minimum *minimum, double s2) {
    ap_mixed_state *state = calloc(1, sizeof *state);
    if (!state) {
        return NULL;
    }
    state->rows = system->rows;
    state->factors = system->factors;
    state->rest_variance = s2;
    state->trees = system->trees;
    memcpy(state->first_row, system->first_row, sizeof state->first_row);
    memcpy(state->theta, minimum->theta, sizeof state->theta);
    state->effect = ap_sample_array(system->rows);
    state->tree = calloc(system->trees + 1, sizeof *state->tree);
    state->tree_effect = ap_sample_array(system->trees);
    if (!state->effect || !state->tree || !state->tree_effect) {
        state_free(state);
        return NULL;
    }
    for (size_t k = 0; k < system->factors; k++) {
        state->row_of[k] = system->row_of[k];
        state->row_room[k] = system->row_room[k];
        system->row_of[k] = NULL;
        for (size_t row = system->first_row[k]; row < system->first_row[k + 1]; row++) {
            state->effect[row] = minimum->theta[k] * gsl_vector_get(work->answer, row);
        }
    }
    state->inverse = work->system;
    work->system = NULL;
    set_tree_effects(state, system, gsl_vector_get(work->answer, system->rows));
    return state;
}

static ap_status check_data(const ap_mixed_data *data, ap_error *err) {
    if (!data || data->picks < 3) {
        return ap_error_set(err, AP_E_DOMAIN, "a mixed model needs at least 3 picks, there are %zu",
                            data ? data->picks : 0);
    }
    bool differ = false;
    for (size_t i = 0; i < data->cells; i++) {
        differ = differ || data->cell[i].m2 > 0.0 || data->cell[i].mean != data->cell[0].mean;
    }
    if (!differ) {
        return ap_error_set(err, AP_E_DOMAIN, "a mixed model needs errors that differ");
    }
    return AP_OK;
}

static void set_summary(ap_mixed *fit, const mixed_system *system, const mixed_minimum *minimum, double s2) {
    fit->picks = system->picks;
    fit->trees = system->trees;
    fit->factors = system->factors;
    for (size_t k = 0; k < system->factors; k++) {
        fit->factor[k].variance = minimum->theta[k] * minimum->theta[k] * s2;
        fit->factor[k].levels = system->first_row[k + 1] - system->first_row[k];
        fit->factor[k].same_as = system->held[k];
    }
    fit->tree_variance = minimum->theta[system->factors] * minimum->theta[system->factors] * s2;
    fit->tree_told_apart = system->held[system->factors] == 0;
    fit->rest_variance = s2;
    fit->scale2 = s2 + fit->tree_variance;
    fit->criterion = minimum->criterion;
    fit->converged = minimum->converged;
    fit->iterations = minimum->iterations;
    fit->evaluations = minimum->evaluations;
    fit->gradient = minimum->gradient;
    fit->fall = minimum->fall;
}

static ap_status finish(ap_mixed *fit, mixed_system *system, mixed_work *work, const mixed_minimum *minimum,
                        double shift, ap_error *err) {
    mixed_point point = {0};
    fit->scale_df = mixed_scale_df(work, system, minimum);
    if (!mixed_evaluate(&point, work, system, minimum->theta, true)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "a mixed model leaves no rest variance: the errors follow from the groups exactly");
    }
    double s2 = point.r2 / ((double)system->picks - 1.0);
    set_summary(fit, system, minimum, s2);
    fit->mean = shift + system->center + gsl_vector_get(work->answer, system->rows);
    fit->mean_se = sqrt(s2 * gsl_matrix_get(work->system, system->rows, system->rows));
    fit->state = state_new(system, work, minimum, s2);
    return fit->state ? AP_OK : ap_sample_no_memory("a mixed model", err);
}

ap_status ap_mixed_fit(ap_mixed *out, const ap_mixed_data *data, ap_error *err) {
    ap_stats_init();
    mixed_system system = {0};
    mixed_work work = {0};
    mixed_minimum minimum = {0};
    ap_mixed fit = {0};
    ap_status status = check_data(data, err);
    if (status == AP_OK) {
        status = mixed_system_init(&system, data, dense_bytes, err);
    }
    if (status == AP_OK) {
        status = mixed_work_init(&work, &system, err);
    }
    if (status == AP_OK) {
        status = mixed_minimise(&minimum, &work, &system, err);
    }
    if (status == AP_OK) {
        status = finish(&fit, &system, &work, &minimum, data->shift, err);
    }
    if (status == AP_OK) {
        *out = fit;
    }
    mixed_work_release(&work);
    mixed_system_release(&system);
    return status;
}

static bool find_row(size_t *row, const ap_mixed_state *state, size_t factor, uint32_t level) {
    if (factor >= state->factors || level == 0 || level >= state->row_room[factor] ||
        state->row_of[factor][level] == 0) {
        return false;
    }
    *row = state->row_of[factor][level] - 1;
    return true;
}

bool ap_mixed_effect(double *value, double *se, const ap_mixed *fit, size_t factor, uint32_t level) {
    const ap_mixed_state *state = fit->state;
    size_t row = 0;
    double theta = factor < state->factors ? state->theta[factor] : 0.0;
    bool found = find_row(&row, state, factor, level);
    double spherical = found ? gsl_matrix_get(state->inverse, row, row) : 1.0;
    *value = found ? state->effect[row] : 0.0;
    *se = theta * sqrt(state->rest_variance * spherical);
    return found;
}

bool ap_mixed_tree_effect(double *value, const ap_mixed *fit, uint32_t tree) {
    const ap_mixed_state *state = fit->state;
    size_t low = 0, high = state->trees;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (state->tree[middle] < tree) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    bool found = low < state->trees && state->tree[low] == tree && tree != 0;
    *value = found ? state->tree_effect[low] : 0.0;
    return found;
}

void ap_mixed_predict(double *mean, double *se, bool *seen, const ap_mixed *fit, const uint32_t *level) {
    const ap_mixed_state *state = fit->state;
    size_t row[AP_MIXED_FACTORS_MAX + 1] = {state->rows};
    double scale[AP_MIXED_FACTORS_MAX + 1] = {1.0};
    size_t count = 1;
    double sum = fit->mean, variance = 0.0;
    for (size_t k = 0; k < state->factors; k++) {
        bool found = find_row(&row[count], state, k, level[k]);
        if (found) {
            sum += state->effect[row[count]];
            scale[count++] = state->theta[k];
        } else if (level[k] != 0) {
            variance += state->theta[k] * state->theta[k];
        }
        if (seen) {
            seen[k] = found;
        }
    }
    for (size_t a = 0; a < count; a++) {
        for (size_t b = 0; b < count; b++) {
            variance += scale[a] * scale[b] * gsl_matrix_get(state->inverse, row[a], row[b]);
        }
    }
    *mean = sum;
    *se = sqrt(fmax(0.0, variance) * state->rest_variance);
}
