#include "derive/derive.h"

ap_log_limit ap_log_limit_of(double limit) {
    double at = log(limit * (1 + 1e-9));
    double reach = 1e-14 * (1 + fabs(at)); /* some tens of times what log and exp may be off by */
    return (ap_log_limit){limit, at - reach, at + reach};
}

/* A blank "net or gross" falls back to the company's setting, whose words are ask, net, gross. */
static int basis_of(int logged, int setting) {
    return logged ? logged : setting;
}

static double share_of(double load_kg, double capacity_kg) {
    return capacity_kg > 0 ? load_kg / capacity_kg : NAN;
}

static void set_rigging(ap_derived *out, const ap_pick *pick, const ap_settings *settings, const ap_crane *crane) {
    if (!isnan(pick->rigging_weight_kg)) {
        out->rigging_kg = pick->rigging_weight_kg;
        out->rigging_from = AP_ORIGIN_LOG;
    } else if (crane && !isnan(crane->block_weight_kg)) {
        out->rigging_kg = crane->block_weight_kg;
        out->rigging_from = AP_ORIGIN_CRANE;
    } else {
        out->rigging_kg = settings->block_weight_kg;
        out->rigging_from = AP_ORIGIN_SETTING;
    }
}

static void set_weighed_as(ap_derived *out, const ap_pick *pick, const ap_settings *settings, const ap_crane *crane) {
    if (pick->measured_as) {
        out->weighed_as = pick->measured_as;
        out->weighed_as_from = AP_ORIGIN_LOG;
    } else if (crane && crane->weighed_as) {
        out->weighed_as = crane->weighed_as;
        out->weighed_as_from = AP_ORIGIN_CRANE;
    } else {
        out->weighed_as = settings->weighed_as;
        out->weighed_as_from = settings->weighed_as ? AP_ORIGIN_SETTING : AP_ORIGIN_NONE;
    }
}

/* Net and gross of one weight; false when its basis is unknown. */
static bool split_weight(double *net_kg, double *gross_kg, double weight_kg, int basis, double rigging_kg) {
    *net_kg = NAN;
    *gross_kg = NAN;
    if (basis == AP_WEIGHED_AS_NET) {
        *net_kg = weight_kg;
        *gross_kg = weight_kg + rigging_kg;
    } else if (basis == AP_WEIGHED_AS_GROSS) {
        *gross_kg = weight_kg;
        *net_kg = weight_kg - rigging_kg;
    }
    return basis == AP_WEIGHED_AS_NET || basis == AP_WEIGHED_AS_GROSS;
}

static ap_compared compare(ap_derived *out, const ap_pick *pick, bool plan_known, bool weigh_known) {
    if (isnan(pick->planned_weight_kg)) {
        return AP_NOT_PLANNED;
    }
    if (isnan(pick->measured_weight_kg)) {
        return AP_NOT_WEIGHED;
    }
    if (!plan_known) {
        return AP_PLAN_BASIS_UNKNOWN;
    }
    if (!weigh_known) {
        return AP_WEIGH_BASIS_UNKNOWN;
    }
    if (!(out->planned_net_kg > 0) || !(out->measured_net_kg > 0)) {
        return AP_NET_NOT_POSITIVE;
    }
    out->ratio = out->measured_net_kg / out->planned_net_kg;
    out->log_error = log(out->ratio);
    return AP_COMPARED;
}

/* The calibration in force on the pick's day, for what was read on the crane's own indicator. */
static void correct(ap_derived *out, const ap_pick *pick, const ap_crane *crane) {
    bool read = pick->weighed_by == AP_WEIGHED_BY_LOAD_INDICATOR;
    const ap_calibration *calibration = read ? ap_crane_calibration(crane, pick->date) : NULL;
    out->indicator_factor = calibration ? calibration->factor : 1;
    out->calibrated_on = calibration ? calibration->on : AP_DATE_NONE;
    out->measured_kg = pick->measured_weight_kg * out->indicator_factor;
    out->preload_kg = pick->preload_kg * out->indicator_factor;
    out->peak_kg = pick->peak_load_kg * out->indicator_factor;
}

static ap_capacity_at at_radius(const ap_pick *pick, double radius_m, int column) {
    return (ap_capacity_at){.boom_m = pick->boom_length_m,
                            .radius_m = radius_m,
                            .boom_step_m = ap_written_quantum_si(pick->written[AP_F_boom_length]),
                            .radius_step_m = ap_written_quantum_si(pick->written[column])};
}

/* Shares of capacity. No capacity known as lifted: that of the planned radius stands in, but not where the piece went past
 * the end of the chart. */
static void set_shares(ap_derived *out, const ap_pick *pick, const ap_crane *crane, bool weigh_known) {
    const ap_capacity_at at_plan = at_radius(pick, pick->planned_radius_m, AP_F_planned_radius);
    const ap_capacity_at at_cut = at_radius(pick, pick->cut_radius_m, AP_F_cut_radius);
    const ap_capacity_at at_set_down = at_radius(pick, pick->set_down_radius_m, AP_F_set_down_radius);
    ap_rated_find(&out->rated_planned, pick->planned_capacity_kg, &at_plan, crane);
    ap_rated_find(&out->rated_cut, pick->cut_capacity_kg, &at_cut, crane);
    ap_rated_find(&out->rated_set_down, pick->set_down_capacity_kg, &at_set_down, crane);
    double planned = out->rated_planned.capacity_kg;
    double cut = out->rated_cut.capacity_kg;
    double set_down = out->rated_set_down.capacity_kg;

    /* Net or gross not known: the hook held that much at least, which is enough to be over chart and for nothing else. */
    if (!weigh_known && ap_over(share_of(out->measured_kg, fmin(cut, set_down)), 1)) {
        out->hook_kg = out->measured_kg;
    }
    bool lifted =
        cut > 0 || set_down > 0 || ap_rated_is_past(&out->rated_cut) || ap_rated_is_past(&out->rated_set_down);
    out->share_planned = share_of(out->hook_planned_kg, planned);
    out->share_cut = share_of(out->hook_kg, lifted ? cut : planned);
    out->share_set_down = share_of(out->hook_kg, set_down);
    out->share_worst = fmax(out->share_cut, out->share_set_down);
    out->peak_share = share_of(out->peak_kg, cut);
    out->over_chart = ap_over(out->share_worst, 1);
    out->planned_over_chart = ap_over(out->share_planned, 1);
}

void ap_derive(ap_derived *out, const ap_pick *pick, const ap_company *company) {
    const ap_settings *settings = company->settings;
    const ap_crane *crane = ap_company_crane(company, pick->crane);
    ap_derived d = {.ratio = NAN, .log_error = NAN};
    set_rigging(&d, pick, settings, crane);
    set_weighed_as(&d, pick, settings, crane);
    correct(&d, pick, crane);
    double net_read = NAN;
    double gross_read = NAN;
    bool plan_known = split_weight(&d.planned_net_kg, &d.hook_planned_kg, pick->planned_weight_kg,
                                   basis_of(pick->planned_as, settings->planned_as), d.rigging_kg);
    bool weigh_known = split_weight(&net_read, &gross_read, pick->measured_weight_kg, d.weighed_as, d.rigging_kg);
    weigh_known =
        split_weight(&d.measured_net_kg, &d.hook_kg, d.measured_kg, d.weighed_as, d.rigging_kg) && weigh_known;
    d.compared = compare(&d, pick, plan_known, weigh_known);
    d.repeats_plan = d.compared == AP_COMPARED && fabs(net_read - d.planned_net_kg) <= 1e-9 * d.planned_net_kg;
    set_shares(&d, pick, crane, weigh_known);
    d.toward_person = pick->toward == AP_TOWARD_CLIMBER || pick->toward == AP_TOWARD_CREW;
    *out = d;
}
