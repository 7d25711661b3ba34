#include "derive/derive.h"

bool ap_over(double x, double limit) {
    return x > limit * (1 + 1e-9);
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

void ap_derive(ap_derived *out, const ap_pick *pick, const ap_company *company) {
    const ap_settings *settings = company->settings;
    const ap_crane *crane = ap_company_crane(company, pick->crane);
    ap_derived d = {.ratio = NAN, .log_error = NAN};
    set_rigging(&d, pick, settings, crane);
    set_weighed_as(&d, pick, settings, crane);
    bool plan_known = split_weight(&d.planned_net_kg, &d.hook_planned_kg, pick->planned_weight_kg,
                                   basis_of(pick->planned_as, settings->planned_as), d.rigging_kg);
    bool weigh_known =
        split_weight(&d.measured_net_kg, &d.hook_kg, pick->measured_weight_kg, d.weighed_as, d.rigging_kg);
    d.compared = compare(&d, pick, plan_known, weigh_known);

    /* Net or gross not known: the hook held that much at least, which is enough to be over chart and for nothing else. */
    double lowest = fmin(pick->cut_capacity_kg, pick->set_down_capacity_kg);
    if (!weigh_known && ap_over(share_of(pick->measured_weight_kg, lowest), 1)) {
        d.hook_kg = pick->measured_weight_kg;
    }
    /* No capacity logged as lifted: that of the planned radius stands in. */
    bool logged = pick->cut_capacity_kg > 0 || pick->set_down_capacity_kg > 0;
    d.share_planned = share_of(d.hook_planned_kg, pick->planned_capacity_kg);
    d.share_cut = share_of(d.hook_kg, logged ? pick->cut_capacity_kg : pick->planned_capacity_kg);
    d.share_set_down = share_of(d.hook_kg, pick->set_down_capacity_kg);
    d.share_worst = fmax(d.share_cut, d.share_set_down);
    d.peak_share = share_of(pick->peak_load_kg, pick->cut_capacity_kg);

    d.over_chart = ap_over(d.share_worst, 1);
    d.planned_over_chart = ap_over(d.share_planned, 1);
    d.toward_person = pick->toward == AP_TOWARD_CLIMBER || pick->toward == AP_TOWARD_CREW;
    *out = d;
}
