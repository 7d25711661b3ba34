#include "stats/mixed.h"

#include "stats/mixed_private.h"
#include "stats/sample.h"

struct ap_mixed_state {
    size_t rows;
    size_t factors;
    size_t first_row[AP_MIXED_FACTORS_MAX + 1];
    uint32_t *row_of[AP_MIXED_FACTORS_MAX]; /* by level number: row + 1, 0 = never seen */
    size_t row_room[AP_MIXED_FACTORS_MAX];
    double theta[AP_MIXED_FACTORS_MAX + 1];
    double rest_variance;
    double *effect;  /* rows: on the scale of e */
    double *inverse; /* spherical, (rows + 1) squared, lower half */
    uint32_t *tree;  /* ascending */
    double *tree_effect;
    size_t trees;
};

static void state_free(ap_mixed_state *state) {
    if (state) {
        for (size_t k = 0; k < AP_MIXED_FACTORS_MAX; k++) {
            free(state->row_of[k]);
        }
        free(state->effect);
        free(state->inverse);
        free(state->tree);
        free(state->tree_effect);
        free(state);
    }
}

void ap_mixed_release(ap_mixed *fit) {
    state_free(fit->state);
    *fit = (ap_mixed){0};
}

static double inverse_at(const ap_mixed_state *state, size_t a, size_t b) {
    return a > b ? state->inverse[a * (state->rows + 1) + b] : state->inverse[b * (state->rows + 1) + a];
}

/* Takes the inverse over from the work. Levels are numbered as in the sums. */
static ap_mixed_state *state_new(const mixed_system *system, mixed_work *work, const mixed_minimum *minimum,
                                 double s2) {
    ap_mixed_state *state = calloc(1, sizeof *state);
    if (!state) {
        return NULL;
    }
    state->rows = system->rows;
    state->factors = system->factors;
    state->rest_variance = s2;
    memcpy(state->first_row, system->first_row, sizeof state->first_row);
    memcpy(state->theta, minimum->theta, sizeof state->theta);
    state->effect = ap_sample_array(system->rows);
    bool made = state->effect != NULL;
    for (size_t k = 0; made && k < system->factors; k++) {
        state->row_room[k] = system->level_count[k] + 1;
        state->row_of[k] = calloc(state->row_room[k], sizeof *state->row_of[k]);
        made = state->row_of[k] != NULL;
        if (made) {
            memcpy(state->row_of[k] + 1, system->row_of + system->level_base[k],
                   system->level_count[k] * sizeof *state->row_of[k]);
        }
        for (size_t row = system->first_row[k]; row < system->first_row[k + 1]; row++) {
            state->effect[row] = minimum->theta[k] * work->answer[row];
        }
    }
    if (!made) {
        state_free(state);
        return NULL;
    }
    state->inverse = work->system;
    work->system = NULL;
    return state;
}

/* Levels as they were given take the place of those without gaps. */
static bool name_levels(ap_mixed_state *state, const ap_mixed_data *data) {
    for (size_t k = 0; k < data->factors; k++) {
        uint32_t *row_of = calloc(data->dense_room[k] + 1, sizeof *row_of);
        const uint32_t *by_dense = state->row_of[k];
        if (!row_of || !by_dense) {
            free(row_of);
            return false;
        }
        for (size_t level = 0; level < data->dense_room[k]; level++) {
            row_of[level] = by_dense[data->dense[k][level]];
        }
        free(state->row_of[k]);
        state->row_of[k] = row_of;
        state->row_room[k] = data->dense_room[k];
    }
    return true;
}

/* Effects of the trees: theta^2 (sum of what is left over in the tree) / (1 + n theta^2). The picks stand tree by tree. */
static bool set_tree_effects(ap_mixed_state *state, const ap_mixed_data *data, size_t trees, double mean) {
    double theta = state->theta[state->factors];
    state->tree = calloc(trees + 1, sizeof *state->tree);
    state->tree_effect = ap_sample_array(trees);
    if (!state->tree || !state->tree_effect) {
        return false;
    }
    for (size_t i = 0; i < data->picks; state->trees++) {
        uint32_t tree = data->pick[i].tree;
        double left = 0.0, n = 0.0;
        for (; i < data->picks && data->pick[i].tree == tree; i++) {
            const ap_mixed_kind *kind = &data->kind[data->pick[i].kind];
            left += data->pick[i].e - mean;
            n += 1.0;
            for (size_t k = 0; k < data->factors; k++) {
                const uint32_t *row_of = state->row_of[k];
                left -= row_of && kind->level[k] ? state->effect[row_of[kind->level[k]] - 1] : 0.0;
            }
        }
        state->tree[state->trees] = tree;
        state->tree_effect[state->trees] = theta * theta * left / (1.0 + n * theta * theta);
    }
    return true;
}

static ap_status too_few(size_t picks, ap_error *err) {
    return ap_error_set(err, AP_E_DOMAIN, "a mixed model needs at least 3 picks, there are %zu", picks);
}

static ap_status check_data(const ap_mixed_data *data, ap_error *err) {
    if (!data || data->picks < 3) {
        return too_few(data ? data->picks : 0, err);
    }
    bool differ = false;
    for (size_t i = 0; !differ && i < data->picks; i++) {
        differ = data->pick[i].e != data->pick[0].e;
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

static ap_status finish(ap_mixed *fit, const mixed_system *system, mixed_work *work, const mixed_minimum *minimum,
                        double shift, ap_error *err) {
    mixed_point point = {0};
    if (!mixed_scale_df(&fit->scale_df, &point, work, system, minimum)) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "a mixed model leaves no rest variance: the errors follow from the groups exactly");
    }
    double s2 = point.r2 / ((double)system->picks - 1.0);
    set_summary(fit, system, minimum, s2);
    fit->mean = shift + work->answer[system->rows];
    fit->mean_se = sqrt(s2 * work->system[system->rows * (system->rows + 1) + system->rows]);
    fit->state = state_new(system, work, minimum, s2);
    return fit->state ? AP_OK : ap_sample_no_memory("a mixed model", err);
}

ap_status ap_mixed_fit_sums(ap_mixed *out, const ap_mixed_sums *sums, const bool *used, double shift, ap_error *err) {
    ap_stats_init();
    mixed_system system = {0};
    mixed_work work = {0};
    mixed_minimum minimum = {0};
    ap_mixed fit = {0};
    ap_status status = sums->picks < 3 ? too_few((size_t)sums->picks, err) : AP_OK;
    if (status == AP_OK) {
        status = mixed_system_init(&system, sums, used, err);
    }
    if (status == AP_OK) {
        status = mixed_work_init(&work, &system, err);
    }
    if (status == AP_OK) {
        status = mixed_minimise(&minimum, &work, &system, err);
    }
    if (status == AP_OK) {
        status = finish(&fit, &system, &work, &minimum, shift, err);
    }
    if (status == AP_OK) {
        *out = fit;
    }
    mixed_work_release(&work);
    mixed_system_release(&system);
    return status;
}

ap_status ap_mixed_fit(ap_mixed *out, ap_mixed_data *data, ap_error *err) {
    ap_mixed_sums *sums = NULL;
    ap_mixed fit = {0};
    double center = 0.0;
    ap_status status = check_data(data, err);
    if (status == AP_OK) {
        status = mixed_data_sums(&sums, &center, data, SIZE_MAX, err);
    }
    if (status == AP_OK) {
        status = ap_mixed_fit_sums(&fit, sums, NULL, center, err);
    }
    if (status == AP_OK &&
        (!fit.state || !set_tree_effects(fit.state, data, fit.trees, fit.mean) || !name_levels(fit.state, data))) {
        ap_mixed_release(&fit);
        status = ap_sample_no_memory("a mixed model", err);
    }
    if (status == AP_OK) {
        *out = fit;
    }
    ap_mixed_sums_free(sums);
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
    double spherical = found ? inverse_at(state, row, row) : 1.0;
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
            variance += scale[a] * scale[b] * inverse_at(state, row[a], row[b]);
        }
    }
    *mean = sum;
    *se = sqrt(fmax(0.0, variance) * state->rest_variance);
}
