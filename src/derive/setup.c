#include "derive/derive.h"

static bool leg_is_blank(const ap_leg *leg) {
    return !leg->kind && !leg->hitch && !leg->state && isnan(leg->at_m) && isnan(leg->length_m) && isnan(leg->wll_kg) &&
           !leg->tag.ptr;
}

static void append_leg(ap_buf *out, const ap_leg *leg) {
    const char *kind = ap_word_get(AP_VOC_LEG_KIND, leg->kind);
    const char *hitch = leg->hitch == AP_HITCH_NONE ? NULL : ap_word_get(AP_VOC_HITCH, leg->hitch);
    ap_buf_append_cstr(out, kind ? kind : "sling");
    if (hitch) {
        ap_buf_appendf(out, " %s", hitch);
    }
}

void ap_derive_setup(ap_buf *out, const ap_pick *pick) {
    ap_buf_clear(out);
    int carrying = 0;
    int balancers = 0;
    for (int i = 0; i < pick->leg_count; i++) {
        if (!leg_is_blank(&pick->legs[i])) {
            *(pick->legs[i].kind == AP_LEG_KIND_BALANCER ? &balancers : &carrying) += 1;
        }
    }
    if (carrying == 0) {
        return;
    }
    ap_buf_appendf(out, "%d leg%s: ", carrying, carrying == 1 ? "" : "s");
    bool first = true;
    for (int i = 0; i < pick->leg_count; i++) {
        if (pick->legs[i].kind != AP_LEG_KIND_BALANCER && !leg_is_blank(&pick->legs[i])) {
            ap_buf_append_cstr(out, first ? "" : " + ");
            append_leg(out, &pick->legs[i]);
            first = false;
        }
    }
    if (balancers) {
        ap_buf_append_cstr(out, ", with balancer");
    }
}

uint8_t ap_derive_slings(const ap_pick *pick) {
    int bits = 0;
    int carrying = 0;
    for (int i = 0; i < pick->leg_count; i++) {
        const ap_leg *leg = &pick->legs[i];
        if (leg_is_blank(leg)) {
            continue;
        }
        if (leg->kind == AP_LEG_KIND_BALANCER) {
            bits |= AP_SLINGS_BALANCER;
            continue;
        }
        carrying++;
        bits |= leg->kind == AP_LEG_KIND_EYE ? AP_SLINGS_EYE : 0;
        bits |= leg->kind == AP_LEG_KIND_ADJUSTABLE ? AP_SLINGS_ADJUSTABLE : 0;
        bits |= leg->state ? AP_SLINGS_STATE : 0;
        bits |= leg->state == AP_LEG_STATE_SLACK ? AP_SLINGS_SLACK : 0;
    }
    return (uint8_t)(carrying ? bits | carrying : 0);
}
