#include "report/recon_page.h"

/* " m", " kg" or " N" as a word of its own behind a number: what one of it is, and how long the word. */
static ap_dim unit_behind(const char *text, size_t *len) {
    static const struct {
        const char *word;
        ap_dim dim;
    } units[] = {{" m", AP_DIM_LENGTH}, {" kg", AP_DIM_LOAD}, {" N", AP_DIM_FORCE}};
    for (size_t i = 0; i < sizeof units / sizeof *units; i++) {
        *len = strlen(units[i].word);
        char next = strncmp(text, units[i].word, *len) == 0 ? text[*len] : 'x';
        if (!(next >= 'a' && next <= 'z') && !(next >= '0' && next <= '9') && next != '/') {
            return units[i].dim;
        }
    }
    return AP_DIM_NONE;
}

ap_str ap_say_quantities(ap_doc *doc, const char *text) {
    ap_buf says;
    ap_buf_init(&says, 1024);
    const char *at = text;
    while (*at) {
        char *end = NULL;
        bool digit = *at >= '0' && *at <= '9';
        double value = digit ? strtod(at, &end) : 0.0;
        size_t len = 0;
        ap_dim dim = digit ? unit_behind(end, &len) : AP_DIM_NONE;
        if (dim) {
            ap_buf_append_str(&says, ap_doc_quantity(doc, dim, value, false));
            at = end + len;
        } else if (digit) {
            ap_buf_append(&says, at, (size_t)(end - at));
            at = end;
        } else {
            ap_buf_append_char(&says, *at++);
        }
    }
    ap_str kept = ap_doc_printf(doc, "%.*s", AP_STR_ARG(ap_buf_str(&says)));
    ap_buf_release(&says);
    return kept;
}

ap_str ap_say_recon_reason(ap_doc *doc, const ap_recon_reason *reason) {
    ap_buf text;
    if (!reason->no) {
        return AP_STR_NONE;
    }
    ap_buf_init(&text, 1024);
    ap_recon_say_reason(&text, reason);
    ap_str says = text.ptr ? ap_say_quantities(doc, text.ptr) : AP_STR_NONE;
    ap_buf_release(&text);
    return says;
}

ap_str ap_say_turn(ap_doc *doc, double turn_deg) {
    if (isnan(turn_deg)) {
        return AP_STR_NONE;
    }
    if (fabs(turn_deg) < 0.5) {
        return AP_STR_LIT("no turn");
    }
    return ap_doc_printf(doc, "tip %s %.0f°", turn_deg > 0 ? "up" : "down", fabs(turn_deg));
}

/* Under half an inch, or a centimetre, nothing is said to have moved. */
ap_str ap_say_rise(ap_doc *doc, double rise_m) {
    static const double LEAST_M = 0.0127;
    if (isnan(rise_m)) {
        return AP_STR_NONE;
    }
    if (fabs(rise_m) < LEAST_M) {
        return AP_STR_LIT("level");
    }
    return ap_doc_printf(doc, "%s %.*s", rise_m > 0 ? "up" : "down",
                         AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, fabs(rise_m), false)));
}

static ap_str say_slack_leg(ap_doc *doc, const ap_recon *recon) {
    for (int i = 0; i < recon->leg_count; i++) {
        const ap_recon_leg *leg = &recon->legs[i];
        if (leg->start_slack_m > 0.005) {
            return ap_doc_printf(doc, " Leg %d was slack by %.*s.", leg->number,
                                 AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, leg->start_slack_m, false)));
        }
    }
    return AP_STR_LIT("");
}

ap_str ap_say_recon(ap_doc *doc, const ap_recon *recon) {
    if (recon->no_hang.no) {
        return ap_doc_printf(doc, "No reconstruction: %.*s.", AP_STR_ARG(ap_say_recon_reason(doc, &recon->no_hang)));
    }
    ap_str lies = ap_doc_printf(doc, "%.0f° with the %s higher", fabs(recon->inclination_deg),
                                recon->inclination_deg >= 0 ? "tip" : "butt");
    if (recon->no_movement.no) {
        return ap_doc_printf(doc, "It hangs at %.*s; how it moved when it parted has no number: %.*s.",
                             AP_STR_ARG(lies), AP_STR_ARG(ap_say_recon_reason(doc, &recon->no_movement)));
    }
    if (fabs(recon->turn_deg) < 0.5 && recon->butt_move_m < 0.05 && recon->tip_move_m < 0.05) {
        return AP_STR_LIT("These slings hold the piece where it stood: it had nowhere to turn.");
    }
    return ap_doc_printf(doc, "When it parted it had to turn %.*s and the butt to go %.*s, %.*s in all.%.*s",
                         AP_STR_ARG(ap_say_turn(doc, recon->turn_deg)), AP_STR_ARG(ap_say_rise(doc, recon->butt_up_m)),
                         AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, recon->butt_move_m, false)),
                         AP_STR_ARG(say_slack_leg(doc, recon)));
}
