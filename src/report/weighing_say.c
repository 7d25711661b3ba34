#include "report/weighing_say.h"

ap_str ap_say_worst_case(ap_arena *arena, const ap_roster *roster, const ap_weighing *w) {
    if (w->unweighed == 0) {
        return AP_STR_NONE;
    }
    if (w->compared == 0) {
        return ap_arena_printf(arena, "None of the %zu planned picks was weighed: nothing can be said about them.",
                               w->unweighed);
    }
    if (isnan(w->tenth_log)) {
        return ap_arena_printf(arena, "Not weighed: %zu. With fewer than 10 weighed picks no worst case is worked out.",
                               w->unweighed);
    }
    return ap_arena_printf(arena,
                           "Not weighed: %zu. If all of them were like the heaviest tenth of the weighed ones (%.*s), "
                           "the average would be %.*s "
                           "instead of %.*s, and %.0f %% instead of %.0f %% heavier by more than %.0f %%.",
                           w->unweighed, AP_STR_ARG(ap_say_signed(arena, exp(w->tenth_log))),
                           AP_STR_ARG(ap_say_signed(arena, exp(w->worst_mean_log))),
                           AP_STR_ARG(ap_say_signed(arena, exp(w->mean_log))), 100 * w->worst_share_heavier,
                           100 * w->share_heavier, 100 * roster->settings.heavier);
}

ap_str ap_say_indicator(ap_arena *arena, const ap_weighing *w) {
    if (w->by_indicator == 0) {
        return AP_STR_NONE;
    }
    ap_str spread = isnan(w->variance_share)
                        ? AP_STR_LIT("")
                        : ap_arena_printf(arena,
                                          " Readings spread evenly over that band would make %.0f %% of the variance "
                                          "of the error.",
                                          100 * w->variance_share);
    const char *legal =
        "A load indicator that reads 95 to 110 % of the true load (29 CFR 1917.46 allows that at marine "
        "terminals; an illustration)";
    ap_str band =
        w->own_band == 0 ? ap_str_from(legal)
        : w->own_band == w->by_indicator
            ? AP_STR_LIT("A load indicator within the largest error entered for its crane")
            : ap_arena_printf(arena,
                              "A load indicator within the largest error entered for its crane (%zu picks), else "
                              "one that reads 95 to 110 %% of the true load (29 CFR 1917.46 allows that at "
                              "marine terminals; an illustration),",
                              w->own_band);
    ap_str corrected =
        w->corrected ? ap_arena_printf(arena, "%zu weight%s corrected by a calibration of %s crane.", w->corrected,
                                       w->corrected == 1 ? " is" : "s are", w->corrected == 1 ? "its" : "their")
                     : AP_STR_LIT("No weight is corrected for it.");
    ap_str share = w->by_indicator < 20 /* a percentage of a handful says more than there is */
                       ? AP_STR_LIT("")
                       : ap_arena_printf(arena, " (%.0f %%)", 100 * (double)w->explained / (double)w->by_indicator);
    return ap_arena_printf(arena,
                           "%.*s could alone explain the whole error of %zu of %zu pick%s weighed by one%.*s.%.*s %.*s",
                           AP_STR_ARG(band), w->explained, w->by_indicator, w->by_indicator == 1 ? "" : "s",
                           AP_STR_ARG(share), AP_STR_ARG(spread), AP_STR_ARG(corrected));
}

void ap_weighing_table(ap_doc *doc, const char *id, const ap_weighing *w) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("picks"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("with"), .label = AP_STR_LIT("such"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("unweighed_with"), .label = AP_STR_LIT("not weighed"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("rest"), .label = AP_STR_LIT("others"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("unweighed_rest"), .label = AP_STR_LIT("not weighed"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("verdict"), .label = AP_STR_LIT("chance?"), .kind = AP_CELL_TEXT},
    };
    if (w->unweighed == 0) {
        return;
    }
    ap_table *table = ap_doc_table(doc, ap_str_from(id), AP_STR_LIT("Which picks were not weighed"), columns,
                                   sizeof columns / sizeof columns[0]);
    for (int look = 0; look < AP_WEIGHING_LOOKS; look++) {
        const ap_weighing_split *s = &w->look[look];
        ap_table_row(table);
        ap_table_text(table, ap_str_from(ap_weighing_look_name((ap_weighing_look)look)));
        ap_table_value(table, (double)s->picks[1]);
        ap_table_value(table, s->picks[1] ? (double)s->unweighed[1] / (double)s->picks[1] : NAN);
        ap_table_value(table, (double)s->picks[0]);
        ap_table_value(table, s->picks[0] ? (double)s->unweighed[0] / (double)s->picks[0] : NAN);
        ap_table_text(table, isnan(s->p)    ? AP_STR_NONE
                             : s->p <= 0.05 ? AP_STR_LIT("more than chance")
                                            : AP_STR_LIT("could be"));
    }
}
