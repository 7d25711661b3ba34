/* A reconstructed pick in words and tables: predicted beside logged, each leg, what stands in for what was not logged. */
#ifndef AP_REPORT_RECON_PAGE_H
#define AP_REPORT_RECON_PAGE_H

#include "derive/reconstruct.h"
#include "page/doc.h"
#include "page/json.h"

/* A reconstruction beside the pick it came from. */
typedef struct ap_recon_view {
    const ap_pick *pick;
    const ap_recon *recon;
} ap_recon_view;

/* The one sentence: what it had to do when it parted, or why there is no number. */
ap_str ap_say_recon(ap_doc *doc, const ap_recon *recon);
/* Tables and remarks under an open section. */
void ap_recon_put(ap_doc *doc, const ap_recon_view *view);
/* As logged beside as supposed. */
void ap_recon_put_supposed(ap_doc *doc, const ap_recon_view *logged, const ap_recon_view *supposed);

/* The reason why there is no number, lengths in the page's units; none for SAID. */
ap_str ap_say_recon_reason(ap_doc *doc, const ap_recon_reason *reason);
/* mech speaks in SI ("legs of 1.200 m and 0.900 m cannot meet"): every "NUMBER m", kg and N is said in the page's units. */
ap_str ap_say_quantities(ap_doc *doc, const char *text);
/* "tip down 12°", "tip up 3°", "no turn" under half a degree; none for NaN. */
ap_str ap_say_turn(ap_doc *doc, double turn_deg);
/* "up 2 ft 3 in", "down 4 in"; none for NaN. */
ap_str ap_say_rise(ap_doc *doc, double rise_m);

/* Keys "hang", "peak", "hook_load_kg", "capacity_share" and their reasons (docs/json.md, "pick") in the open object. */
void ap_recon_json(ap_json *json, const ap_recon *recon);

#endif
