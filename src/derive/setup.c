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
