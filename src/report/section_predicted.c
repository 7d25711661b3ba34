/* Predicted against seen movement in the review. */
#include "analysis/movement.h"
#include "figure/plots.h"
#include "report/review.h"

static ap_str share(ap_doc *doc, const ap_predicted_share *s) {
    return ap_doc_printf(doc, "%zu of %zu (%.*s; 95 %% interval %.*s to %.*s)", s->agree, s->of,
                         AP_STR_ARG(ap_doc_percent(doc, (double)s->agree / (double)s->of, 0)),
                         AP_STR_ARG(ap_doc_percent(doc, s->interval.low, 0)),
                         AP_STR_ARG(ap_doc_percent(doc, s->interval.high, 0)));
}

static void put_table(ap_doc *doc, const ap_predicted *p) {
    ap_column columns[AP_GOES_COUNT + 1] = {
        {.key = AP_STR_LIT("predicted"), .label = AP_STR_LIT("worked out"), .kind = AP_CELL_TEXT}};
    for (int i = 0; i < AP_GOES_COUNT; i++) {
        ap_str name = ap_str_from(ap_goes_name((ap_goes)i));
        columns[i + 1] = (ap_column){
            .key = name, .label = ap_doc_printf(doc, "logged %.*s", AP_STR_ARG(name)), .kind = AP_CELL_COUNT};
    }
    ap_table *table =
        ap_doc_table(doc, AP_STR_LIT("predicted"), AP_STR_LIT("Movement worked out against movement logged"), columns,
                     AP_GOES_COUNT + 1);
    for (int i = 0; i < AP_GOES_COUNT; i++) {
        ap_table_row(table);
        ap_table_text(table, ap_str_from(ap_goes_name((ap_goes)i)));
        for (int k = 0; k < AP_GOES_COUNT; k++) {
            ap_table_value(table, (double)p->table[i][k]);
        }
    }
}

static void put_size(ap_doc *doc, const ap_predicted *p) {
    if (p->sized == 0) {
        return;
    }
    ap_str interval =
        p->median_interval.low <= p->median_interval.high
            ? ap_doc_printf(doc, " (95 %% interval %.2f to %.2f)", p->median_interval.low, p->median_interval.high)
            : AP_STR_LIT(" (too few for an interval)");
    ap_doc_paragraph(doc, ap_doc_printf(doc,
                                        "How far: where it went the way worked out and a distance is logged, the "
                                        "logged one was %.2f times the worked-out one in the middle%.*s; within a "
                                        "factor of %.1f in %.*s.",
                                        p->median_ratio, AP_STR_ARG(interval), AP_PREDICTED_FACTOR,
                                        AP_STR_ARG(share(doc, &p->size))));
}

/* Both halves of the truth: how many of those that were to move did, and which way those went. */
static ap_str say_direction(ap_doc *doc, const ap_predicted *p) {
    size_t to_move = 0;
    size_t stayed = 0;
    size_t to_stay = 0;
    for (int k = 0; k < AP_GOES_COUNT; k++) {
        to_stay += p->table[AP_GOES_STAYS][k];
        to_move += p->table[AP_GOES_UP][k] + p->table[AP_GOES_DOWN][k];
    }
    stayed = p->table[AP_GOES_UP][AP_GOES_STAYS] + p->table[AP_GOES_DOWN][AP_GOES_STAYS];
    ap_str moved =
        ap_doc_printf(doc,
                      "Of %zu picks with an end that was to go %.*s or more, %.*s are logged as having stayed "
                      "or settled; of %zu that were to stay, %.*s moved.",
                      to_move, AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, AP_PREDICTED_STAYS_M, false)),
                      AP_STR_ARG(ap_say_or_none(doc, stayed)), to_stay,
                      AP_STR_ARG(ap_say_or_none(doc, to_stay - p->table[AP_GOES_STAYS][AP_GOES_STAYS])));
    if (p->direction.of == 0) {
        return moved;
    }
    return ap_doc_printf(doc,
                         "%.*s Where both name a direction, the butt went the way worked out in %.*s; by chance alone "
                         "it would be %.*s.",
                         AP_STR_ARG(moved), AP_STR_ARG(share(doc, &p->direction)),
                         AP_STR_ARG(ap_doc_percent(doc, p->direction.by_chance, 0)));
}

void ap_predicted_put(ap_doc *doc, const ap_review *r) {
    const ap_predicted *p = &r->predicted;
    ap_doc_section(doc, 3, AP_STR_LIT("predicted"), AP_STR_LIT("Worked out against seen"));
    if (p->pair_count == 0) {
        ap_doc_paragraph(doc, ap_doc_printf(doc,
                                            "No pick up to now can be compared: %.*s have a movement logged, %.*s have "
                                            "slings, lean and states logged well enough to work one out.",
                                            AP_STR_ARG(ap_say_or_none(doc, p->logged)),
                                            AP_STR_ARG(ap_say_or_none(doc, p->predicted))));
        return;
    }
    ap_doc_answer(doc, say_direction(doc, p));
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_PREDICTED);
    put_table(doc, p);
    put_size(doc, p);
    ap_doc_working_begin(doc, AP_STR_NONE);
    ap_doc_paragraph(
        doc,
        ap_doc_printf(doc,
                      "All %zu picks up to the end of the period: %zu with a movement worked out, %zu with one "
                      "logged, %zu with both, of which %.*s name no direction (a swing, roll or drop). With staying "
                      "counted as an answer %.*s agree; by chance alone %.*s. Stays means that neither end goes %.*s.",
                      p->picks, p->predicted, p->logged, p->both, AP_STR_ARG(ap_say_or_none(doc, p->other)),
                      AP_STR_ARG(share(doc, &p->all)), AP_STR_ARG(ap_doc_percent(doc, p->all.by_chance, 0)),
                      AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, AP_PREDICTED_STAYS_M, false))));
    ap_doc_paragraph(
        doc, AP_STR_LIT("Interval: Clopper and Pearson, the picks taken as independent, which those of one tree "
                        "and crew are not quite. Agreement by chance from the margins of the table (Cohen 1960). "
                        "The mechanics know nothing of fibre that held, of a shelf under the butt, of wind or a "
                        "tag line; the log is a look and a guess. A poor agreement may lie with either."));
    ap_doc_working_end(doc);
}

void ap_predicted_describe(ap_figure *figure, const ap_review *r) {
    ap_unit unit = ap_unit_for_page(r->units, AP_DIM_LENGTH, false);
    ap_figure_string(figure, "unit", ap_str_from(ap_unit_symbol(unit)));
    size_t room = r->predicted.pair_count + 1;
    double *x = ap_arena_alloc_array(r->arena, room, sizeof *x);
    double *y = ap_arena_alloc_array(r->arena, room, sizeof *y);
    ap_figure_block(figure, "picks");
    size_t counts[2] = {0};
    for (int stayed = 0; x && y && stayed < 2; stayed++) {
        size_t count = 0;
        for (size_t i = 0; i < r->predicted.pair_count; i++) {
            const ap_predicted_pair *pair = &r->predicted.pairs[i];
            if (isnan(pair->logged_m) || (pair->logged_m == 0) != (stayed == 1)) {
                continue;
            }
            /* Those that stayed all lie on one line: spread over a band, evenly, so that they can be told apart. */
            double place = 0.618034 * (double)count;
            x[count] = ap_unit_from_si(unit, (double)pair->predicted_m);
            y[count] = stayed ? 2 * (place - floor(place)) - 1 : ap_unit_from_si(unit, (double)pair->logged_m);
            count++;
        }
        ap_review_put_marks(figure, r->arena, x, y, count, stayed);
        counts[stayed] = count;
    }
    ap_figure_number(figure, "moved_count", (double)counts[0]);
    ap_figure_number(figure, "stayed_count", (double)counts[1]);
    if (r->predicted.pair_count == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No pick has both a movement worked out and one logged."));
    }
}
