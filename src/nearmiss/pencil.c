#include "nearmiss/pencil.h"

#include <gsl/gsl_cdf.h>

#include "stats/rates.h"
#include "stats/select.h"

enum {
    CREW_LEAST = 10,   /* weighed picks of a crew, for P1 */
    DIGITS_LEAST = 50, /* five expected of each of ten digits */
    STEPS_LEAST = 25   /* P2: in the middle half of the weights */
};
/* A closer spread than this is not believed, as for surprises. */
static const double spread_floor = 0.05;
static const double pound_kg = 0.45359237; /* exact, NIST SP 811 B.8 */

static bool keeps_to(const double *values, size_t count, double step) {
    size_t off = 0;
    bool keeps = count > 0;
    for (size_t i = 0; i < count && keeps; i++) {
        double steps = values[i] / step;
        off += !(fabs(steps - floor(steps + 0.5)) < 1e-4);
        keeps = (double)(count - off) >= 0.98 * (double)count;
    }
    return keeps;
}

double ap_written_step_kg(const double *values_kg, size_t count) {
    static const double steps[] = {500, 250, 200, 100, 50, 25, 20, 10, 5, 2, 1};
    double best = NAN;
    for (size_t s = 0; s < sizeof steps / sizeof steps[0]; s++) {
        for (int pounds = 0; pounds < 2; pounds++) {
            double step = steps[s] * (pounds ? pound_kg : 1);
            if (!(step <= best) && keeps_to(values_kg, count, step)) {
                best = step;
            }
        }
    }
    return best;
}

/* The weighed picks of one crew in the period. */
typedef struct crew_weights {
    const uint32_t *picks;
    size_t count;
    double *written; /* kg, as net or as gross: the series with the coarser step */
    double step;
    bool gross;
} crew_weights;

/* What the weight was multiplied by after it was read. */
static double correction(const ap_detect_input *in, const ap_fact *fact) {
    if (!(fact->marks & AP_MARK_CORRECTED)) {
        return 1;
    }
    ap_str name = ap_roster_label(in->roster, AP_BY_CRANE, ap_fact_group(fact, AP_BY_CRANE));
    const ap_calibration *used = ap_crane_calibration(ap_company_crane(&in->roster->company, name), fact->date);
    return used && used->factor > 0 ? used->factor : 1;
}

static void fill(crew_weights *w, const ap_detect_input *in, bool gross) {
    w->gross = gross;
    for (size_t i = 0; i < w->count; i++) {
        const ap_fact *fact = &in->roster->facts[w->picks[i]];
        w->written[i] = (gross ? fact->hook_kg : fact->measured_net_kg) / correction(in, fact);
    }
}

static void take_crew(crew_weights *w, const ap_detect_input *in) {
    fill(w, in, false);
    w->step = ap_written_step_kg(w->written, w->count);
    fill(w, in, true);
    double gross = ap_written_step_kg(w->written, w->count);
    if (gross > w->step || isnan(w->step)) {
        w->step = gross;
    } else {
        fill(w, in, false);
    }
}

static ap_status add(ap_finding_list *out, const ap_detect_input *in, uint32_t crew, const size_t *picks, size_t count,
                     const ap_finding *as, ap_error *err) {
    ap_buf scope;
    ap_buf_init(&scope, 1u << 12);
    ap_scope_append(&scope, in->roster, AP_BY_CREW, crew);
    ap_finding finding = *as;
    finding.detector = AP_DETECT_PENCIL;
    finding.class = AP_FINDING_LIKELY;
    finding.kind = finding.reasons == AP_PENCIL_REPEATS ? "crew, plan repeated" : "crew, one ending";
    finding.scope = ap_buf_str(&scope);
    finding.picks = picks;
    finding.pick_count = count;
    finding.first = in->roster->facts[picks[0]].date;
    finding.last = in->roster->facts[picks[count - 1]].date;
    finding.z = NAN;
    finding.rank = 40 + fmin(-log10(fmax(as->p, 1e-30)), 30);
    ap_status status = ap_finding_add(out, &finding, err);
    ap_buf_release(&scope);
    return status;
}

/* P(at least k of n); 1 for k = 0. */
static double tail(size_t k, size_t n, double share) {
    return k == 0 ? 1 : gsl_cdf_binomial_Q((unsigned)(k - 1), share, (unsigned)n);
}

/* P1. */
static ap_status repeats_plan(ap_finding_list *out, ap_chance_line *line, const ap_detect_input *in, uint32_t crew,
                              const crew_weights *w, size_t *kept, double alpha, ap_error *err) {
    double sd = fmax(isnan(in->spread->sd) ? 0 : in->spread->sd, spread_floor);
    double share = 0;
    size_t compared = 0;
    size_t equal = 0;
    for (size_t i = 0; i < w->count; i++) {
        const ap_fact *fact = &in->roster->facts[w->picks[i]];
        if (fact->compared == AP_COMPARED) {
            compared++;
            share += fmin(1, w->step / (fact->planned_net_kg * sd * 2.5066282746310002)); /* sqrt(2 pi) */
            if (fact->marks & AP_MARK_REPEATS_PLAN) {
                kept[equal++] = w->picks[i];
            }
        }
    }
    if (compared < CREW_LEAST || isnan(w->step)) {
        return AP_OK;
    }
    share /= (double)compared;
    size_t least = 2;
    for (size_t most = compared; least < most;) {
        size_t middle = least + (most - least) / 2;
        bool rare = tail(middle, compared, share) <= alpha;
        most = rare ? middle : most;
        least = rare ? least : middle + 1;
    }
    double reached = tail(least, compared, share);
    line->expected += reached <= alpha ? reached : 0;
    if (reached > alpha || equal < least) {
        return AP_OK;
    }
    const ap_finding finding = {.reasons = AP_PENCIL_REPEATS,
                                .among = compared,
                                .rate_else = share,
                                .value = (double)equal / (double)compared,
                                .p = tail(equal, compared, share)};
    return add(out, in, crew, kept, equal, &finding, err);
}

static bool finely_written(crew_weights *w, const ap_detect_input *in) {
    double low = ap_select(w->written, w->count, w->count / 4);
    double high = ap_select(w->written, w->count, w->count - 1 - w->count / 4);
    fill(w, in, w->gross);
    return high - low >= STEPS_LEAST * w->step * (1 - 1e-9);
}

/* P2. */
static ap_status one_ending(ap_finding_list *out, ap_chance_line *line, const ap_detect_input *in, uint32_t crew,
                            crew_weights *w, size_t *kept, double alpha, ap_error *err) {
    static const double equal_shares[10] = {.1, .1, .1, .1, .1, .1, .1, .1, .1, .1};
    uint64_t digits[10] = {0};
    size_t most = 0;
    if (w->count < DIGITS_LEAST || isnan(w->step) || !finely_written(w, in)) {
        return AP_OK;
    }
    for (size_t i = 0; i < w->count; i++) {
        digits[(uint64_t)floor(w->written[i] / w->step + 0.5) % 10]++;
    }
    for (size_t d = 1; d < 10; d++) {
        most = digits[d] > digits[most] ? d : most;
    }
    double statistic = 0;
    double p = 1;
    ap_status status = ap_chi_square_test(&statistic, &p, digits, equal_shares, 10, err);
    line->expected += alpha;
    if (status != AP_OK || p > alpha) {
        return status;
    }
    size_t count = 0;
    for (size_t i = 0; i < w->count; i++) {
        if ((uint64_t)floor(w->written[i] / w->step + 0.5) % 10 == most) {
            kept[count++] = w->picks[i];
        }
    }
    const ap_finding finding = {.reasons = AP_PENCIL_ENDING,
                                .among = w->count,
                                .rate_else = 0.1,
                                .value = (double)count / (double)w->count,
                                .p = p};
    return add(out, in, crew, kept, count, &finding, err);
}

/* The weighed picks of the period, crew by crew: where each crew's begin, and one place more. False: out of memory. */
static bool sort_by_crew(uint32_t **picks, size_t *start, const ap_detect_input *in, uint32_t crews) {
    size_t *next = start + 1; /* counted two places on, so that filling moves every start to its own place */
    for (size_t i = in->first; i < in->end; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        next[ap_fact_group(fact, AP_BY_CREW) + 1] += isnan(fact->measured_net_kg) ? 0 : 1;
    }
    for (uint32_t c = 1; c <= crews + 1; c++) {
        next[c] += next[c - 1];
    }
    *picks = malloc((next[crews + 1] + 1) * sizeof **picks);
    for (size_t i = in->first; i < in->end && *picks; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        if (!isnan(fact->measured_net_kg)) {
            (*picks)[next[ap_fact_group(fact, AP_BY_CREW)]++] = (uint32_t)i;
        }
    }
    return *picks != NULL;
}

ap_status ap_pencil_crews(ap_finding_list *out, ap_chance_line *line, const ap_detect_input *in, double level,
                          ap_error *err) {
    uint32_t crews = ap_intern_count(in->roster->labels[AP_BY_CREW]);
    size_t *start = calloc((size_t)crews + 3, sizeof *start);
    uint32_t *picks = NULL;
    size_t *kept = NULL;
    crew_weights w = {.step = NAN};
    ap_status status = AP_OK;
    size_t looks = 0;
    size_t most = 0;
    bool made = start && sort_by_crew(&picks, start, in, crews);
    for (uint32_t c = 1; c <= crews && made; c++) {
        size_t weighed = start[c + 1] - start[c];
        looks += weighed >= DIGITS_LEAST ? 2 : weighed >= CREW_LEAST ? 1 : 0;
        most = weighed > most ? weighed : most;
    }
    kept = calloc(most + 1, sizeof *kept);
    w.written = calloc(most + 1, sizeof *w.written);
    if (!made || !kept || !w.written) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the weights of %zu picks", in->end - in->first);
        goto done;
    }
    for (uint32_t c = 1; c <= crews && status == AP_OK; c++) {
        w.picks = picks + start[c];
        w.count = start[c + 1] - start[c];
        if (w.count >= CREW_LEAST) {
            take_crew(&w, in);
            status = repeats_plan(out, line, in, c, &w, kept, level / (double)looks, err);
        }
        if (status == AP_OK && w.count >= DIGITS_LEAST) {
            status = one_ending(out, line, in, c, &w, kept, level / (double)looks, err);
        }
    }
    line->looks += looks;
done:
    free(start);
    free(picks);
    free(kept);
    free(w.written);
    return status;
}

ap_status ap_detect_pencil(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    ap_chance_line line = {.rule_limit = NAN, .limit = NAN, .independent = NAN};
    ap_status status = ap_pencil_crews(out, &line, in, in->allowed * 2 / 3, err);
    if (status == AP_OK) {
        status = ap_pencil_copied(out, &line, in, in->allowed / 3, err);
    }
    line.looked = line.looks > 0;
    in->chance->line[AP_DETECT_PENCIL] = line;
    return status;
}
