#include "report/review.h"

typedef struct margin_count {
    size_t judged, watch, stop, over;
    size_t both;       /* with a planned share too */
    double lost_worst; /* largest share lost between plan and pick */
    size_t lost_pick;
    size_t radii; /* picks with a planned radius and one at the cut or set-down */
    size_t crept; /* radius at the cut or set-down larger than planned */
} margin_count;

static margin_count count_margins(const ap_review *r) {
    margin_count n = {.lost_worst = 0, .lost_pick = SIZE_MAX};
    const ap_settings *settings = &r->roster->settings;
    for (size_t i = r->first; i < r->end; i++) {
        const ap_fact *fact = &r->roster->facts[i];
        double worst = ap_fact_share_worst(fact);
        double radius =
            fmaxf(fact->rest->cut_radius_m, fact->rest->set_down_radius_m); /* of two, the one that is known */
        n.radii += !isnan(radius) && !isnan(fact->rest->planned_radius_m);
        n.crept += ap_over(radius, fact->rest->planned_radius_m);
        if (isnan(worst)) {
            continue;
        }
        n.judged++;
        n.over += fact->over_chart;
        n.stop += !fact->over_chart && ap_over(worst, settings->band_stop);
        n.watch += !ap_over(worst, settings->band_stop) && ap_over(worst, settings->band_watch);
        if (!isnan(fact->share_planned)) {
            n.both++;
            if (worst - fact->share_planned > n.lost_worst) {
                n.lost_worst = worst - fact->share_planned;
                n.lost_pick = i;
            }
        }
    }
    return n;
}

typedef struct ranked {
    double share;
    size_t pick;
} ranked;

static int gravest_first(const void *a, const void *b) {
    const ranked *left = a;
    const ranked *right = b;
    return left->share != right->share ? (left->share < right->share) - (left->share > right->share)
                                       : (left->pick > right->pick) - (left->pick < right->pick);
}

static int in_order(const void *a, const void *b) {
    const ranked *left = a;
    const ranked *right = b;
    return (left->pick > right->pick) - (left->pick < right->pick);
}

/* Those past the second band, in pick order; of too many the gravest. */
static ranked *past_limit(size_t *shown, size_t *all, const ap_review *r) {
    ranked *list = ap_arena_alloc_array(r->arena, r->end - r->first + 1, sizeof *list);
    *shown = *all = 0;
    for (size_t i = r->first; list && i < r->end; i++) {
        double share = ap_fact_share_worst(&r->roster->facts[i]);
        if (ap_over(share, r->roster->settings.band_stop)) {
            list[(*all)++] = (ranked){share, i};
        }
    }
    *shown = *all < AP_ROWS_MOST ? *all : AP_ROWS_MOST;
    if (*shown) {
        qsort(list, *all, sizeof *list, gravest_first);
        qsort(list, *shown, sizeof *list, in_order);
    }
    return list;
}

static void put_picks(ap_doc *doc, const ap_review *r) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("pick"), .label = AP_STR_LIT("pick"), .kind = AP_CELL_PICK},
        {.key = AP_STR_LIT("date"), .label = AP_STR_LIT("date"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("class"), .label = AP_STR_LIT("class"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("species"), .label = AP_STR_LIT("species"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("crew"), .label = AP_STR_LIT("crew"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("crane"), .label = AP_STR_LIT("crane"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("hook"), .label = AP_STR_LIT("hook load"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_LOAD},
        {.key = AP_STR_LIT("planned"), .label = AP_STR_LIT("planned"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("cut"), .label = AP_STR_LIT("at the cut"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("set_down"), .label = AP_STR_LIT("at set-down"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("radius_planned"),
         .label = AP_STR_LIT("radius planned"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_LENGTH},
        {.key = AP_STR_LIT("radius"),
         .label = AP_STR_LIT("largest radius"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_LENGTH},
    };
    ap_table *table = ap_doc_table(
        doc, AP_STR_LIT("past-limits"),
        ap_doc_printf(doc, "Every pick past %.0f %% of rated capacity", r->roster->settings.band_stop * 100), columns,
        sizeof columns / sizeof columns[0]);
    ap_str past = ap_doc_printf(doc, "past %.0f %%", r->roster->settings.band_stop * 100);
    ap_table_has_marks(table);
    ap_table_empty(table, AP_STR_LIT("no pick that could be judged passed the limit"));
    size_t shown;
    size_t all;
    const ranked *list = past_limit(&shown, &all, r);
    for (size_t i = 0; list && i < shown; i++) {
        const ap_fact *fact = &r->roster->facts[list[i].pick];
        ap_table_row(table);
        ap_table_text(table, ap_str_from(fact->rest->name));
        ap_table_date(table, fact->date);
        ap_table_text(table, fact->over_chart ? AP_STR_LIT("over chart") : past);
        ap_table_text(table, ap_roster_label(r->roster, AP_BY_SPECIES, ap_fact_group(fact, AP_BY_SPECIES)));
        ap_table_text(table, ap_roster_label(r->roster, AP_BY_CREW, ap_fact_group(fact, AP_BY_CREW)));
        ap_table_text(table, ap_roster_label(r->roster, AP_BY_CRANE, ap_fact_group(fact, AP_BY_CRANE)));
        ap_table_value(table, fact->hook_kg);
        ap_table_value(table, fact->share_planned);
        ap_table_value(table, fact->rest->share_cut);
        ap_table_value(table, fact->rest->share_set_down);
        ap_table_value(table, fact->rest->planned_radius_m);
        ap_table_value(table, fmaxf(fact->rest->cut_radius_m, fact->rest->set_down_radius_m));
        if (fact->over_chart) {
            ap_table_row_mark(table, AP_STR_LIT("look first"));
        }
    }
    ap_str rest = ap_say_rest(doc, r->arena, "picks", shown, all, "pick", r->period);
    if (rest.ptr) {
        ap_doc_paragraph(doc, rest);
    }
}

/* "none was over chart and 2 more past 85 %": what is over chart is always said, the bands below only where something is in them. */
static ap_str say_bands(ap_doc *doc, const margin_count *n, const ap_settings *settings) {
    ap_str past_stop = ap_doc_printf(doc, "more past %.0f %%", settings->band_stop * 100);
    ap_str past_watch = ap_doc_printf(doc, "more past %.0f %%", settings->band_watch * 100);
    const ap_say_part bands[] = {{n->stop, past_stop.ptr, NULL}, {n->watch, past_watch.ptr, NULL}};
    ap_str below = ap_say_parts(doc, bands, sizeof bands / sizeof *bands);
    if (n->over == 0 && below.len == 0) {
        return ap_doc_printf(doc, "none was past %.0f %% of rated capacity", settings->band_watch * 100);
    }
    return ap_doc_printf(doc, "%.*s %s over chart%s%.*s%s", AP_STR_ARG(ap_say_or_none(doc, n->over)),
                         n->over > 1 ? "were" : "was", below.len ? "; " : "", AP_STR_ARG(below),
                         below.len ? " of rated capacity" : "");
}

void ap_section_margin(ap_doc *doc, const ap_review *r) {
    margin_count n = count_margins(r);
    const ap_settings *settings = &r->roster->settings;
    if (n.judged == 0) {
        ap_doc_answer(
            doc, AP_STR_LIT("No pick could be judged: a measured weight and a rated capacity are needed together."));
        return;
    }
    ap_doc_answer(doc, ap_doc_printf(doc, "Of %zu picks that could be judged, %.*s.", n.judged,
                                     AP_STR_ARG(say_bands(doc, &n, settings))));
    if (n.lost_pick != SIZE_MAX) {
        const ap_fact *fact = &r->roster->facts[n.lost_pick];
        /* A zero out of nothing would be read as good news. */
        ap_str radius = n.radii
                            ? ap_doc_printf(doc, "The radius was larger than planned on %zu of %.*s with both logged.",
                                            n.crept, AP_STR_ARG(ap_say_count(doc, n.radii, "pick")))
                            : AP_STR_LIT("No pick has both a planned radius and one at the cut or set-down.");
        ap_doc_paragraph(
            doc, ap_doc_printf(doc, "The most margin was lost on %s: planned at %.0f %%, lifted at %.0f %%. %.*s",
                               fact->rest->name, fact->share_planned * 100, ap_fact_share_worst(fact) * 100,
                               AP_STR_ARG(radius)));
    }
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_CAPACITY);
    put_picks(doc, r);
    ap_doc_caution(
        doc,
        AP_STR_LIT(
            "Bands are the company's own, not law. A hook load is the piece with block and slings, against the rated "
            "capacity that the log gives; the crane's own load chart and its operator decide."));
}
