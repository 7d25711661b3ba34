#include "report/weights_page.h"

#include "report/density_page.h"

enum { FIXED_COLUMNS = 8, ROBUST_COLUMNS = 4, POOLED_COLUMNS = 10 };

/* Words of the log's vocabularies have underscores; people read blanks. Names stay as they were written. */
static ap_str shown_label(ap_doc *doc, ap_by by, ap_str label) {
    bool word = by == AP_BY_BASIS || by == AP_BY_FOLIAGE;
    char text[64];
    if (!word || label.len >= sizeof text) {
        return label;
    }
    for (size_t i = 0; i < label.len; i++) {
        text[i] = label.ptr[i] == '_' ? ' ' : label.ptr[i];
    }
    return ap_doc_printf(doc, "%.*s", (int)label.len, text);
}

static size_t add_robust_columns(ap_column *columns) {
    const ap_column robust[ROBUST_COLUMNS] = {
        {.key = AP_STR_LIT("median_low"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("median_high"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("robust_ratio"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("robust_kind"), .kind = AP_CELL_TEXT},
    };
    memcpy(columns, robust, sizeof robust);
    return ROBUST_COLUMNS;
}

static ap_str robust_kind(const ap_robust_error *robust) {
    return isnan(robust->ratio) ? AP_STR_NONE : ap_str_from(ap_robust_kind_name(robust->kind));
}

static void put_robust_cells(ap_table *out, const ap_robust_error *robust) {
    ap_table_value(out, robust->median_low);
    ap_table_value(out, robust->median_high);
    ap_table_value(out, robust->ratio);
    ap_table_text(out, robust_kind(robust));
}

static size_t add_pooled_columns(ap_column *columns) {
    const ap_column pooled[POOLED_COLUMNS] = {
        {.key = AP_STR_LIT("pooled_ratio"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("pooled_low"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("pooled_high"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("shrink"), .kind = AP_CELL_NUMBER},
        {.key = AP_STR_LIT("biased"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("q_value"), .kind = AP_CELL_NUMBER},
        {.key = AP_STR_LIT("planning_factor"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("prediction_factor"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("factor_of"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("suspects"), .kind = AP_CELL_COUNT},
    };
    memcpy(columns, pooled, sizeof pooled);
    return POOLED_COLUMNS;
}

static void put_pooled_cells(ap_table *out, ap_arena *arena, const ap_roster *roster, const ap_pooled *pooled,
                             const ap_pooled_cell *cell) {
    const ap_pooled_bound *bound = cell ? cell->bound : NULL;
    ap_str biased = cell && cell->biased ? AP_STR_LIT("yes") : AP_STR_LIT("no");
    ap_table_value(out, cell ? exp(cell->pooled_log) : NAN);
    ap_table_value(out, cell ? exp(cell->pooled_low) : NAN);
    ap_table_value(out, cell ? exp(cell->pooled_high) : NAN);
    ap_table_value(out, cell ? cell->shrink : NAN);
    ap_table_text(out, cell && !isnan(cell->q_value) ? biased : AP_STR_NONE);
    ap_table_value(out, cell ? cell->q_value : NAN);
    ap_table_value(out, bound ? bound->planning : NAN);
    ap_table_value(out, bound ? bound->prediction : NAN);
    ap_table_text(out, bound ? ap_say_cell(arena, roster, &pooled->level[cell->of_level], cell->key) : AP_STR_NONE);
    ap_table_value(out, cell ? (double)cell->suspects : NAN);
}

/* NULL where there is none, and where it is not shown by person. */
static const ap_pooled_cell *shown_cell(const ap_roster *roster, const ap_pooled *pooled, const uint32_t *key) {
    const ap_pooled_cell *cell = pooled ? ap_pooled_find(&pooled->level[0], key) : NULL;
    return cell && !ap_people_hides(roster, &pooled->level[0], cell) ? cell : NULL;
}

/* `together`: the names in one column, where one each would leave their words no room. `sheet`: the figures that have no room on a page
 * too, those of `pooled` if it is not NULL. */
static void put_table(ap_doc *doc, const char *id, const char *caption, const ap_roster *roster,
                      const ap_weight_table *table, bool together, bool sheet, const ap_pooled *pooled) {
    ap_column columns[AP_WEIGHTS_BY_MAX + FIXED_COLUMNS + ROBUST_COLUMNS + POOLED_COLUMNS];
    size_t count = 0;
    if (together) {
        columns[count++] = (ap_column){.key = AP_STR_LIT("group"), .label = AP_STR_LIT("group"), .kind = AP_CELL_TEXT};
    }
    for (size_t k = 0; !together && k < table->by_count; k++) {
        columns[count++] = (ap_column){.key = ap_str_from(ap_by_name(table->by[k])),
                                       .label = ap_str_from(ap_by_label(table->by[k])),
                                       .kind = AP_CELL_TEXT};
    }
    ap_str heavier = ap_doc_printf(doc, "heavier by > %.0f %%", roster->settings.heavier * 100);
    const ap_column fixed[FIXED_COLUMNS] = {
        {.key = AP_STR_LIT("picks"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("count"), .label = AP_STR_LIT("weighed"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("median_ratio"), .label = AP_STR_LIT("median"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("ratio_low"), .label = AP_STR_LIT("average from"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("ratio_high"), .label = AP_STR_LIT("to"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("share_heavier"), .label = heavier, .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("worst_ratio"), .label = AP_STR_LIT("worst"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("worst_pick"), .label = AP_STR_LIT("its pick"), .kind = AP_CELL_PICK},
    };
    memcpy(columns + count, fixed, sizeof fixed);
    count += FIXED_COLUMNS;
    sheet = sheet && table->robust;
    count += sheet ? add_robust_columns(columns + count) : 0;
    count += pooled ? add_pooled_columns(columns + count) : 0;

    ap_arena arena;
    ap_arena_init(&arena, 16u << 20);
    ap_table *out = ap_doc_table(doc, ap_str_from(id), ap_str_from(caption), columns, count);
    for (size_t g = 0; g < table->count; g++) {
        const ap_weight_group *group = &table->groups[g];
        ap_str names = AP_STR_NONE;
        ap_table_row(out);
        for (size_t k = 0; k < table->by_count; k++) {
            ap_str label = ap_roster_label(roster, table->by[k], group->key[k]);
            label = label.ptr ? shown_label(doc, table->by[k], label) : AP_STR_LIT("not recorded");
            names = names.ptr ? ap_doc_printf(doc, "%.*s, %.*s", AP_STR_ARG(names), AP_STR_ARG(label)) : label;
            if (!together) {
                ap_table_text(out, label);
            }
        }
        if (together) {
            ap_table_text(out, names);
        }
        ap_table_value(out, (double)group->picks);
        ap_table_value(out, (double)group->count);
        ap_table_value(out, group->median_ratio);
        ap_table_value(out, group->ratio_low);
        ap_table_value(out, group->ratio_high);
        ap_table_value(out, group->share_heavier);
        ap_table_value(out, group->worst_ratio);
        ap_table_text(out, group->worst == SIZE_MAX ? AP_STR_NONE : ap_str_from(ap_roster_name(roster, group->worst)));
        if (sheet) {
            put_robust_cells(out, &table->robust[g]);
        }
        if (pooled) {
            put_pooled_cells(out, &arena, roster, pooled, shown_cell(roster, pooled, group->key));
        }
    }
    ap_arena_release(&arena);
}

void ap_weights_table(ap_doc *doc, const char *id, const char *caption, const ap_roster *roster,
                      const ap_weight_table *table) {
    put_table(doc, id, caption, roster, table, false, false, NULL);
}

void ap_weights_spreadsheet(ap_doc *doc, const ap_roster *roster, const ap_weight_table *table,
                            const ap_pooled *pooled) {
    put_table(doc, "weights", "", roster, table, false, true, pooled);
}

static void put_pooled(ap_doc *doc, ap_arena *arena, const ap_roster *roster, const ap_pooled *pooled) {
    ap_str limits = ap_say_model_limits(arena, pooled);
    if (limits.ptr) {
        ap_doc_paragraph(doc, limits);
    }
    if (!pooled->level[0].fitted) {
        return;
    }
    ap_str in_force = ap_say_densities_in_force(doc, roster);
    if (in_force.ptr) {
        ap_doc_paragraph(doc, in_force);
    }
    ap_str suspects = ap_say_suspects(arena, roster, pooled);
    if (suspects.ptr) {
        ap_doc_paragraph(doc, suspects);
    }
    ap_pooled_table(doc, "pooled", "Pooled: measured against planned, and what to plan with", roster, pooled);
    ap_str hidden = ap_say_people_hidden(arena, roster, &pooled->level[0]);
    if (hidden.ptr) {
        ap_doc_paragraph(doc, hidden);
    }
    ap_doc_caution(doc, ap_str_from(ap_say_not_a_chart));
}

/* What was not weighed, and what the indicator alone could make of the rest. */
static void put_doubts(ap_doc *doc, ap_arena *arena, const ap_roster *roster, const ap_weighing *weighing) {
    ap_str worst = ap_say_worst_case(arena, roster, weighing);
    if (worst.ptr) {
        ap_doc_paragraph(doc, worst);
        ap_weighing_table(doc, "unweighed", weighing);
    }
    ap_str indicator = ap_say_indicator(arena, weighing);
    if (indicator.ptr) {
        ap_doc_paragraph(doc, indicator);
    }
}

void ap_weights_page(ap_doc *doc, const ap_roster *roster, const ap_weight_table *table, const ap_pooled *pooled,
                     const ap_weighing *weighing) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 20);
    ap_doc_answer(doc, ap_say_error(doc, roster, table));
    ap_str not_compared = ap_say_not_compared(&arena, table);
    if (not_compared.ptr) {
        ap_doc_paragraph(doc, not_compared);
    }
    if (table->all.picks > 0) {
        put_table(doc, "weights", "Measured against planned net weight", roster, table, table->by_count > 2, false,
                  NULL);
        if (pooled) {
            put_pooled(doc, &arena, roster, pooled);
        }
        put_doubts(doc, &arena, roster, weighing);
        ap_doc_working_begin(doc, AP_STR_LIT("How this was worked out"));
        ap_doc_paragraph(
            doc,
            AP_STR_LIT(
                "In percent of the planned net weight: +5 % is 5 % heavier than planned, -5 % lighter. Gross is made "
                "net with the logged weight of block and slings, else with the crane's own entry "
                "(afterpick crane), else with the company's setting (afterpick set). \"Average from ... "
                "to\" is the 90 % t interval of the average "
                "ln(ratio), each tree counting once, because picks of one tree are not independent; "
                "it is blank where fewer than two trees were weighed."));
        if (pooled && pooled->level[0].fitted) {
            ap_pooled_working(doc, pooled);
        }
        ap_doc_working_end(doc);
        ap_doc_caution(doc, ap_str_from(ap_say_caution));
    }
    ap_arena_release(&arena);
}

void ap_json_put_period(ap_json *json, ap_period period) {
    ap_json_key(json, "period");
    ap_json_object_begin(json);
    ap_json_put_date(json, "since", period.since);
    ap_json_put_date(json, "until", period.until);
    ap_json_object_end(json);
}

static void put_group(ap_json *json, const ap_roster *roster, const ap_weight_table *table,
                      const ap_weight_group *group, const ap_pooled *pooled) {
    ap_json_object_begin(json);
    for (size_t k = 0; k < table->by_count; k++) {
        ap_json_put_text(json, ap_by_name(table->by[k]), ap_roster_label(roster, table->by[k], group->key[k]));
    }
    ap_json_put_int(json, "picks", (int64_t)group->picks);
    ap_json_put_int(json, "count", (int64_t)group->count);
    ap_json_put_int(json, "trees", (int64_t)group->trees);
    ap_json_put_number(json, "median_ratio", group->median_ratio);
    static const ap_robust_error none = {.ratio = NAN, .median_low = NAN, .median_high = NAN};
    const ap_robust_error *robust = table->robust ? &table->robust[group - table->groups] : &none;
    ap_json_put_number(json, "median_low", robust->median_low);
    ap_json_put_number(json, "median_high", robust->median_high);
    ap_json_put_number(json, "robust_ratio", robust->ratio);
    ap_json_put_text(json, "robust_kind", robust_kind(robust));
    ap_json_put_number(json, "ratio_low", group->ratio_low);
    ap_json_put_number(json, "ratio_high", group->ratio_high);
    ap_json_put_number(json, "mean_log_ratio", group->mean_log_ratio);
    ap_json_put_number(json, "share_heavier_10pct", group->share_heavier);
    ap_json_put_number(json, "worst_ratio", group->worst_ratio);
    ap_json_put_text(json, "worst_pick",
                     group->worst == SIZE_MAX ? AP_STR_NONE : ap_str_from(ap_roster_name(roster, group->worst)));
    ap_json_put_int(json, "three_in_a_row", (int64_t)group->three_in_a_row);
    const ap_pooled_cell *cell = shown_cell(roster, pooled, group->key);
    ap_json_put_pooled(json, cell);
    ap_json_put_factor_of(json, roster, pooled, cell);
    ap_json_object_end(json);
}

static void put_weighing(ap_json *json, const ap_weighing *w) {
    static const char *const names[AP_WEIGHING_LOOKS] = {"heaviest_third", "near_chart", "outcome"};
    ap_json_key(json, "unweighed");
    ap_json_object_begin(json);
    ap_json_put_int(json, "picks", (int64_t)w->unweighed);
    for (int look = 0; look < AP_WEIGHING_LOOKS; look++) {
        const ap_weighing_split *s = &w->look[look];
        ap_json_key(json, names[look]);
        ap_json_object_begin(json);
        ap_json_put_int(json, "picks", (int64_t)s->picks[1]);
        ap_json_put_int(json, "unweighed", (int64_t)s->unweighed[1]);
        ap_json_put_int(json, "other_picks", (int64_t)s->picks[0]);
        ap_json_put_int(json, "other_unweighed", (int64_t)s->unweighed[0]);
        ap_json_put_number(json, "p_value", s->p);
        ap_json_object_end(json);
    }
    ap_json_put_number(json, "worst_mean_log", w->worst_mean_log);
    ap_json_put_number(json, "worst_share_heavier", w->worst_share_heavier);
    ap_json_object_end(json);
    ap_json_key(json, "indicator");
    ap_json_object_begin(json);
    ap_json_put_int(json, "picks", (int64_t)w->by_indicator);
    ap_json_put_int(json, "explained", (int64_t)w->explained);
    ap_json_put_number(json, "variance_share", w->variance_share);
    ap_json_put_int(json, "own_band", (int64_t)w->own_band);
    ap_json_put_int(json, "corrected", (int64_t)w->corrected);
    ap_json_object_end(json);
}

void ap_weights_json(ap_json *json, const ap_roster *roster, const ap_weight_table *table, const ap_pooled *pooled,
                     const ap_weighing *weighing, ap_period period) {
    static const char *const why[AP_COMPARED_COUNT] = {
        [AP_NOT_PLANNED] = "not_planned",
        [AP_NOT_WEIGHED] = "not_weighed",
        [AP_PLAN_BASIS_UNKNOWN] = "planned_as_unknown",
        [AP_WEIGH_BASIS_UNKNOWN] = "measured_as_unknown",
        [AP_NET_NOT_POSITIVE] = "net_not_positive",
    };
    ap_json_object_begin(json);
    ap_json_put_period(json, period);
    ap_json_put_int(json, "picks", (int64_t)table->all.picks);
    ap_json_put_int(json, "weighed", (int64_t)table->all.count);
    ap_json_key(json, "not_compared");
    ap_json_object_begin(json);
    for (int i = AP_COMPARED + 1; i < AP_COMPARED_COUNT; i++) {
        ap_json_put_int(json, why[i], (int64_t)table->why_not[i]);
    }
    ap_json_object_end(json);
    put_weighing(json, weighing);
    ap_json_key(json, "groups");
    ap_json_array_begin(json);
    for (size_t g = 0; g < table->count; g++) {
        put_group(json, roster, table, &table->groups[g], pooled);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}
