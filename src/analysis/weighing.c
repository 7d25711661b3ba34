#include "analysis/weighing.h"

#include "stats/moments.h"
#include "stats/rates.h"
#include "stats/sample.h"

const char *ap_weighing_look_name(ap_weighing_look look) {
    static const char *const names[AP_WEIGHING_LOOKS] = {
        "the heaviest third as planned",
        "planned near the chart",
        "near miss, damage or toward a person",
    };
    return names[look];
}

/* -1 unknown, 0 without, 1 with the property. */
static int side_of(const ap_fact *fact, ap_weighing_look look, double heavy, double band) {
    switch (look) {
    case AP_WEIGHING_HEAVY:
        return isnan(fact->planned_net_kg) || isnan(heavy) ? -1 : fact->planned_net_kg >= heavy;
    case AP_WEIGHING_NEAR_CHART:
        return isnan(fact->share_planned) ? -1 : ap_over(fact->share_planned, band);
    default:
        return fact->near_miss == AP_YESNO_YES || fact->damage_noted || fact->toward_person;
    }
}

static void split(ap_weighing *out, const ap_roster *roster, size_t first, size_t end, double heavy) {
    for (int look = 0; look < AP_WEIGHING_LOOKS; look++) {
        ap_weighing_split *to = &out->look[look];
        for (size_t i = first; i < end; i++) {
            const ap_fact *fact = &roster->facts[i];
            int side = side_of(fact, (ap_weighing_look)look, heavy, roster->settings.band_watch);
            if (side >= 0) {
                to->picks[side]++;
                to->unweighed[side] += fact->compared == AP_NOT_WEIGHED;
            }
        }
        ap_fisher test;
        ap_error why; /* an empty side has no test */
        bool tested = to->picks[0] && to->picks[1] &&
                      ap_fisher_test(&test, to->unweighed[1], to->picks[1] - to->unweighed[1], to->unweighed[0],
                                     to->picks[0] - to->unweighed[0], &why) == AP_OK;
        to->p = tested ? test.p_two_sided : NAN;
    }
}

static void heaviest_tenth(ap_weighing *out, const double *sorted, double heavier_than) {
    size_t n = out->compared;
    size_t tenth = n / 10;
    if (tenth == 0) {
        return;
    }
    double sum = 0;
    size_t heavy = 0;
    for (size_t i = n - tenth; i < n; i++) {
        sum += sorted[i];
        heavy += ap_over(exp(sorted[i]), heavier_than);
    }
    double all = (double)(n + out->unweighed);
    double missing = (double)out->unweighed;
    out->tenth_log = sum / (double)tenth;
    out->worst_mean_log = ((double)n * out->mean_log + missing * out->tenth_log) / all;
    out->worst_share_heavier = ((double)n * out->share_heavier + missing * (double)heavy / (double)tenth) / all;
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

/* The plan is right if the true load lies in indicated / high .. indicated / low; both gross, rigging taken off. Band: the
 * crane's own where it is entered, about the corrected weight where there is a calibration. */
static ap_status indicator(ap_weighing *out, const ap_roster *roster, size_t first, size_t end, ap_error *err) {
    double variance = 0;
    ap_moments errors;
    ap_moments_clear(&errors);
    for (size_t i = first; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        if (fact->compared != AP_COMPARED || fact->weighed_by != AP_WEIGHED_BY_LOAD_INDICATOR) {
            continue;
        }
        ap_str name = ap_roster_label(roster, AP_BY_CRANE, ap_fact_group(fact, AP_BY_CRANE));
        double band = ap_crane_band(ap_company_crane(&roster->company, name), fact->date);
        double low = isnan(band) ? AP_INDICATOR_LOW : 1 - band;
        double high = isnan(band) ? AP_INDICATOR_HIGH : 1 + band;
        double planned = fact->planned_net_kg + (double)fact->rigging_kg;
        /* The indicator reads gross: an error of 1 % there is gross / net % of the net weight. */
        double gross_to_net = fact->hook_kg / fact->measured_net_kg;
        variance += gross_to_net * gross_to_net * even_variance(low, high);
        ap_status status = ap_moments_add(&errors, fact->log_error, err);
        if (status != AP_OK) {
            return status;
        }
        out->by_indicator++;
        out->own_band += isnan(band) ? 0 : 1;
        out->corrected += (fact->marks & AP_MARK_CORRECTED) != 0;
        out->explained += !ap_over(fact->hook_kg / high, planned) && !ap_over(planned, fact->hook_kg / low);
    }
    double sd = 0;
    ap_error why; /* one pick has no spread */
    if (out->by_indicator && ap_moments_sd(&sd, &errors, &why) == AP_OK && sd > 0) {
        out->variance_share = fmin(1, variance / (double)out->by_indicator / (sd * sd));
    }
    return AP_OK;
}

static ap_status read_errors(ap_weighing *out, ap_moments *moments, double *e, double *planned, size_t *planned_count,
                             const ap_roster *roster, size_t first, size_t end, ap_error *err) {
    ap_status status = AP_OK;
    size_t heavier = 0;
    for (size_t i = first; status == AP_OK && i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        out->unweighed += fact->compared == AP_NOT_WEIGHED;
        if (!isnan(fact->planned_net_kg)) {
            planned[(*planned_count)++] = fact->planned_net_kg;
        }
        if (fact->compared == AP_COMPARED) {
            e[out->compared++] = fact->log_error;
            heavier += ap_over(ap_fact_ratio(fact), 1 + roster->settings.heavier);
            status = ap_moments_add(moments, fact->log_error, err);
        }
    }
    if (status == AP_OK && out->compared) {
        out->share_heavier = (double)heavier / (double)out->compared;
        status = ap_moments_mean(&out->mean_log, moments, err);
    }
    return status;
}

ap_status ap_weighing_read(ap_weighing *out, const ap_roster *roster, size_t first, size_t end, ap_error *err) {
    *out = (ap_weighing){.picks = end - first,
                         .mean_log = NAN,
                         .share_heavier = NAN,
                         .tenth_log = NAN,
                         .worst_mean_log = NAN,
                         .worst_share_heavier = NAN,
                         .variance_share = NAN};
    double *e = calloc(end - first + 1, sizeof *e);
    double *planned = calloc(end - first + 1, sizeof *planned);
    size_t planned_count = 0;
    ap_moments moments;
    ap_moments_clear(&moments);
    ap_status status =
        e && planned ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for %zu picks", end - first);
    if (status == AP_OK) {
        status = read_errors(out, &moments, e, planned, &planned_count, roster, first, end, err);
    }
    if (status == AP_OK) {
        ap_sample_sort_in_place(e, out->compared);
        ap_sample_sort_in_place(planned, planned_count);
        size_t third = planned_count / 3;
        split(out, roster, first, end, third ? planned[planned_count - third] : NAN);
        heaviest_tenth(out, e, 1 + roster->settings.heavier);
        status = indicator(out, roster, first, end, err);
    }
    free(e);
    free(planned);
    return status;
}
