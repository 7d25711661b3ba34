/* One pick as a fact of the roster. */
#include "analysis/roster.h"
#include "analysis/roster_wood.h"
#include "derive/harm.h"
#include "derive/reconstruct.h"

static uint8_t marks_of(const ap_derived *d) {
    const ap_rated *all[] = {&d->rated_planned, &d->rated_cut, &d->rated_set_down};
    unsigned marks = d->indicator_factor != 1 ? AP_MARK_CORRECTED : 0;
    for (size_t i = 0; i < 3; i++) {
        marks |= all[i]->from == AP_RATED_CHART ? AP_MARK_FROM_CHART : 0;
        marks |= ap_rated_is_past(all[i]) ? AP_MARK_PAST_CHART : 0;
        marks |= all[i]->differs ? AP_MARK_CHART_DIFFERS : 0;
    }
    marks |= d->rigging_from == AP_ORIGIN_CRANE ? AP_MARK_CRANE_RIGGING : 0;
    marks |= d->repeats_plan ? AP_MARK_REPEATS_PLAN : 0;
    return (uint8_t)marks;
}

void ap_fact_set(ap_fact *fact, const ap_pick *pick, const ap_company *company) {
    ap_derived derived;
    const ap_derived *d = &derived;
    ap_derive(&derived, pick, company);
    fact->date = pick->date;
    fact->marks = marks_of(d);
    fact->planned_net_kg = d->planned_net_kg;
    fact->measured_net_kg = d->measured_net_kg;
    fact->rigging_kg = (float)d->rigging_kg;
    fact->log_error = d->log_error;
    fact->hook_kg = d->hook_kg;
    fact->share_planned = d->share_planned;
    fact->rest->share_cut = d->share_cut;
    fact->rest->share_set_down = d->share_set_down;
    fact->rest->planned_radius_m = (float)pick->planned_radius_m;
    fact->rest->cut_radius_m = (float)pick->cut_radius_m;
    fact->rest->set_down_radius_m = (float)pick->set_down_radius_m;
    fact->rest->movement_distance_m = (float)pick->movement_distance_m;
    fact->rest->movement = (uint16_t)pick->movement;
    fact->compared = (uint8_t)d->compared;
    fact->toward = (uint8_t)pick->toward;
    fact->near_miss = (uint8_t)pick->near_miss;
    fact->kerf = (uint8_t)pick->kerf;
    fact->weighed_by = (uint8_t)pick->weighed_by;
    fact->rest->slings = ap_derive_slings(pick);
    fact->rest->lean_deg = (float)pick->lean_deg;
    fact->rest->re_rigs = (int8_t)(pick->re_rigs > INT8_MAX ? INT8_MAX : pick->re_rigs);
    fact->over_chart = d->over_chart;
    fact->planned_over_chart = d->planned_over_chart;
    fact->toward_person = d->toward_person;
    fact->rigging_assumed = d->rigging_from == AP_ORIGIN_SETTING;
    fact->damage_noted = ap_harm_is_noted(pick->damage);
    fact->rest->butt_up_m = NAN;
    fact->rest->way_m = NAN;
}

void ap_fact_rest_blank(ap_fact_rest *rest) {
    *rest = (ap_fact_rest){.share_cut = NAN,
                           .share_set_down = NAN,
                           .volume_m3 = NAN,
                           .diameter_m = NAN,
                           .planned_radius_m = NAN,
                           .cut_radius_m = NAN,
                           .set_down_radius_m = NAN,
                           .movement_distance_m = NAN,
                           .lean_deg = NAN,
                           .butt_up_m = NAN,
                           .way_m = NAN,
                           .re_rigs = AP_COUNT_NONE};
}

/* By the closed form alone, under a microsecond a pick; set-ups that want the general solver have no number here. */
void ap_fact_set_ways(ap_fact *fact, const ap_pick *pick, const ap_species *species, const ap_company *company) {
    if (pick->leg_count > 0) {
        ap_derived derived;
        ap_recon recon;
        ap_wood wood;
        ap_wood_given wood_given = AP_WOOD_GIVEN_NOTHING;
        wood_given.species = species;
        ap_derive(&derived, pick, company);
        ap_wood_work_out(&wood, pick, &wood_given, company);
        ap_recon_given given = AP_RECON_GIVEN(&derived, company);
        given.wood = &wood;
        given.closed_form_only = true;
        ap_reconstruct(&recon, pick, &given);
        fact->rest->butt_up_m = (float)recon.butt_up_m;
        fact->rest->way_m = (float)fmax(recon.butt_move_m, recon.tip_move_m);
    }
}
