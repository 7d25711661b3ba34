#include "analysis/weighing.h"

#include "base/wide.h"
#include "stats/moments.h"
#include "stats/rates.h"
#include "stats/select.h"

const char *ap_weighing_look_name(ap_weighing_look look) {
    static const char *const names[AP_WEIGHING_LOOKS] = {
        "the heaviest third as planned",
        "planned near the chart",
        "near miss, damage or toward a person",
    };
    return names[look];
}

/* What one pass over the facts brings. Weights of picks without a plan are not in it. */
typedef struct columns {
    double *e; /* of the compared */
    double *planned;
    size_t planned_count;
    double *unweighed; /* planned, of those that were not weighed */
    size_t unweighed_count;
} columns;

static void add_to_look(ap_weighing_split *look, bool with, bool unweighed) {
    look->picks[with]++;
    look->unweighed[with] += unweighed;
}

static void read_picks(ap_weighing *out, columns *to, const ap_roster *roster, size_t first, size_t end) {
    const ap_log_limit limit = ap_log_limit_of(1 + roster->settings.heavier);
    size_t heavier = 0;
    for (size_t i = first; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        bool unweighed = fact->compared == AP_NOT_WEIGHED;
        out->unweighed += unweighed;
        if (!isnan(fact->planned_net_kg)) {
            to->planned[to->planned_count++] = fact->planned_net_kg;
            if (unweighed) {
                to->unweighed[to->unweighed_count++] = fact->planned_net_kg;
            }
        }
        if (!isnan(fact->share_planned)) {
            bool near = ap_over(fact->share_planned, roster->settings.band_watch);
            add_to_look(&out->look[AP_WEIGHING_NEAR_CHART], near, unweighed);
        }
        bool outcome = fact->near_miss == AP_YESNO_YES || fact->damage_noted || fact->toward_person;
        add_to_look(&out->look[AP_WEIGHING_OUTCOME], outcome, unweighed);
        if (fact->compared == AP_COMPARED) {
            to->e[out->compared++] = fact->log_error;
            heavier += ap_log_over(fact->log_error, &limit);
        }
    }
    out->share_heavier = out->compared ? (double)heavier / (double)out->compared : NAN;
}

/* The heaviest third by planned weight; the weights change their order. */
static void look_at_heavy(ap_weighing_split *look, const columns *from) {
    size_t third = from->planned_count / 3;
    if (third == 0) {
        return;
    }
    double heavy = ap_select(from->planned, from->planned_count, from->planned_count - third);
    for (size_t i = 0; i < from->planned_count; i++) {
        look->picks[from->planned[i] >= heavy]++;
    }
    for (size_t i = 0; i < from->unweighed_count; i++) {
        look->unweighed[from->unweighed[i] >= heavy]++;
    }
}

static void test_looks(ap_weighing *out) {
    for (int i = 0; i < AP_WEIGHING_LOOKS; i++) {
        ap_weighing_split *look = &out->look[i];
        ap_fisher test;
        ap_error why; /* an empty side has no test */
        bool tested = look->picks[0] && look->picks[1] &&
                      ap_fisher_test(&test, look->unweighed[1], look->picks[1] - look->unweighed[1], look->unweighed[0],
                                     look->picks[0] - look->unweighed[0], &why) == AP_OK;
        look->p = tested ? test.p_two_sided : NAN;
    }
}

/* The errors change their order. */
static ap_status heaviest_tenth(ap_weighing *out, double *e, double heavier, ap_error *err) {
    const ap_log_limit limit = ap_log_limit_of(1 + heavier);
    size_t n = out->compared;
    size_t tenth = n / 10;
    size_t heavy = 0;
    ap_moments moments;
    ap_moments_clear(&moments);
    if (tenth == 0) {
        return AP_OK;
    }
    (void)ap_select(e, n, n - tenth);
    ap_status status = ap_moments_add_all(&moments, e + (n - tenth), tenth, err);
    if (status == AP_OK) {
        status = ap_moments_mean(&out->tenth_log, &moments, err);
    }
    for (size_t i = n - tenth; i < n; i++) {
        heavy += ap_log_over(e[i], &limit);
    }
    double all = (double)(n + out->unweighed);
    double missing = (double)out->unweighed;
    out->worst_mean_log = ((double)n * out->mean_log + missing * out->tenth_log) / all;
    out->worst_share_heavier = ((double)n * out->share_heavier + missing * (double)heavy / (double)tenth) / all;
    return status;
}

/* Variance of ln(u), u even from low to high: the integral of ln^2 less the square of that of ln. */
static double even_variance(double low, double high) {
    double width = high - low;
    if (width < 1e-4) {
        return width * width / 12; /* ln u is u - 1 there */
    }
    double mean = (high * (log(high) - 1) - low * (log(low) - 1)) / width;
    double square =
        (high * (log(high) * log(high) - 2 * log(high) + 2) - low * (log(low) * log(low) - 2 * log(low) + 2)) / width;
    return square - mean * mean;
}

/* The indicator of a crane on a day; what belongs to it is worked out when it is not that of the pick before. */
typedef struct indicator_band {
    double low, high;
    double variance; /* of its error in ln */
    bool own;        /* entered for the crane */
} indicator_band;

static indicator_band band_of(double band) {
    double low = isnan(band) ? AP_INDICATOR_LOW : 1 - band;
    double high = isnan(band) ? AP_INDICATOR_HIGH : 1 + band;
    return (indicator_band){low, high, even_variance(low, high), !isnan(band)};
}

/* By label of the crane; heap. */
static const ap_crane **find_cranes(const ap_roster *roster) {
    uint32_t labels = ap_intern_count(roster->labels[AP_BY_CRANE]);
    const ap_crane **cranes = calloc((size_t)labels + 1, sizeof *cranes);
    for (uint32_t label = 0; cranes && label <= labels; label++) {
        cranes[label] = ap_company_crane(&roster->company, ap_roster_label(roster, AP_BY_CRANE, label));
    }
    return cranes;
}

/* The plan is right if the true load lies in indicated / high .. indicated / low; both gross, rigging taken off. Band: the
 * crane's own where it is entered, about the corrected weight where there is a calibration. */
static ap_status indicator(ap_weighing *out, double *e, const ap_roster *roster, size_t first, size_t end,
                           ap_error *err) {
    const ap_crane **cranes = find_cranes(roster);
    if (!cranes) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the cranes");
    }
    double variance = 0;
    double entered = NAN;
    indicator_band band = band_of(entered);
    for (size_t i = first; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        if (fact->compared != AP_COMPARED || fact->weighed_by != AP_WEIGHED_BY_LOAD_INDICATOR) {
            continue;
        }
        double now = ap_crane_band(cranes[ap_fact_group(fact, AP_BY_CRANE)], fact->date);
        if (now != entered && !(isnan(now) && isnan(entered))) {
            entered = now;
            band = band_of(entered);
        }
        double planned = fact->planned_net_kg + (double)fact->rigging_kg;
        /* The indicator reads gross: an error of 1 % there is gross / net % of the net weight. */
        double gross_to_net = fact->hook_kg / fact->measured_net_kg;
        variance += gross_to_net * gross_to_net * band.variance;
        e[out->by_indicator++] = fact->log_error;
        out->own_band += band.own;
        out->corrected += (fact->marks & AP_MARK_CORRECTED) != 0;
        out->explained += !ap_over(fact->hook_kg / band.high, planned) && !ap_over(planned, fact->hook_kg / band.low);
    }
    free(cranes);
    double sd = 0;
    ap_error why; /* one pick has no spread */
    ap_moments errors;
    ap_moments_clear(&errors);
    ap_status status = ap_moments_add_all(&errors, e, out->by_indicator, err);
    if (status == AP_OK && out->by_indicator && ap_moments_sd(&sd, &errors, &why) == AP_OK && sd > 0) {
        out->variance_share = fmin(1, variance / (double)out->by_indicator / (sd * sd));
    }
    return status;
}

static ap_status set_mean(ap_weighing *out, const double *e, ap_error *err) {
    ap_moments moments;
    ap_moments_clear(&moments);
    ap_status status = ap_moments_add_all(&moments, e, out->compared, err);
    return status == AP_OK && out->compared ? ap_moments_mean(&out->mean_log, &moments, err) : status;
}

ap_status ap_weighing_read(ap_weighing *out, const ap_roster *roster, size_t first, size_t end, ap_error *err) {
    *out = (ap_weighing){.picks = end - first,
                         .mean_log = NAN,
                         .share_heavier = NAN,
                         .tenth_log = NAN,
                         .worst_mean_log = NAN,
                         .worst_share_heavier = NAN,
                         .variance_share = NAN};
    size_t room = end - first + 1;
    columns read = {.e = ap_wide_array(room, sizeof *read.e),
                    .planned = ap_wide_array(room, sizeof *read.planned),
                    .unweighed = ap_wide_array(room, sizeof *read.unweighed)};
    ap_status status = read.e && read.planned && read.unweighed
                           ? AP_OK
                           : ap_error_set(err, AP_E_MEMORY, "out of memory for %zu picks", end - first);
    if (status == AP_OK) {
        read_picks(out, &read, roster, first, end);
        look_at_heavy(&out->look[AP_WEIGHING_HEAVY], &read);
        test_looks(out);
        status = set_mean(out, read.e, err);
    }
    if (status == AP_OK) {
        status = heaviest_tenth(out, read.e, roster->settings.heavier, err);
    }
    if (status == AP_OK) {
        status = indicator(out, read.e, roster, first, end, err);
    }
    free(read.e);
    free(read.planned);
    free(read.unweighed);
    return status;
}
