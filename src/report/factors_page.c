#include "report/factors_page.h"

#include "report/density_page.h"
#include "report/sentences.h"

static ap_date withdraw_on(const ap_factors_sheet *sheet) {
    return ap_date_add_months(sheet->made_on, AP_FACTORS_GOOD_FOR_MONTHS);
}

static ap_str say_line(ap_arena *arena, const ap_proof_line *line, const char *how) {
    ap_interval interval;
    double share;
    if (!ap_proof_coverage(&share, &interval, line)) {
        return AP_STR_NONE;
    }
    double n = (double)line->held_out;
    return ap_arena_printf(
        arena,
        "Of %zu picks %s, %.1f %% (95 %% interval %.1f to %.1f %%) were within plan x factor; within the plan "
        "itself %.0f %%. On the average %.0f %% was added.",
        line->held_out, how, 100 * share, 100 * interval.low, 100 * interval.high, 100 * (double)line->within_plan / n,
        100 * line->added / n);
}

ap_str ap_say_proof(ap_arena *arena, const ap_proof *proof) {
    ap_str says = say_line(arena, &proof->rolling, "planned only from earlier jobs");
    return says.ptr ? says : AP_STR_LIT("No proof yet: no job could be planned from earlier jobs on 5 or more trees.");
}

static ap_str say_left_out(ap_arena *arena, const ap_proof *proof) {
    const char *how = proof->folds >= proof->jobs ? "planned with their own job left out"
                                                  : "planned with a group of jobs, their own among them, left out";
    return say_line(arena, &proof->left_out, how);
}

static double percents(const ap_pooled_bound *bound) {
    return ceil((bound->planning - 1) * 100 - 1e-9);
}

static void put_change(ap_table *table, ap_doc *doc, const ap_factors *factors, const ap_pooled_cell *cell) {
    const ap_pooled_bound *before =
        factors->before.level_count ? ap_pooled_bound_for(&factors->before, cell->key) : NULL;
    if (!before || !cell->bound) {
        ap_table_value_as(table, NAN, cell->bound ? AP_STR_LIT("new") : AP_STR_NONE);
        return;
    }
    double points = percents(cell->bound) - percents(before);
    ap_table_value_as(table, points, points == 0 ? AP_STR_LIT("0") : ap_doc_printf(doc, "%+.0f", points));
}

static ap_str means(ap_doc *doc, ap_arena *arena, const ap_factors_sheet *sheet, const ap_pooled_cell *cell) {
    if (!cell->bound) {
        return sheet->factors->now.level[0].fitted ? AP_STR_LIT("too few trees") : AP_STR_NONE;
    }
    if (!cell->has_own) {
        return ap_doc_printf(doc, "as %.*s",
                             AP_STR_ARG(ap_say_carried(arena, sheet->roster, &sheet->factors->now, cell)));
    }
    return cell->bound->planning > 1 ? AP_STR_NONE : AP_STR_LIT("plans ran heavy; nothing to add");
}

static size_t put_names(ap_column *columns, const ap_pooled_level *level) {
    for (size_t k = 0; k < level->by_count; k++) {
        columns[k] = (ap_column){.key = ap_str_from(ap_by_name(level->by[k])),
                                 .label = ap_str_from(ap_by_label(level->by[k])),
                                 .kind = AP_CELL_TEXT};
    }
    return level->by_count;
}

static void put_cell_names(ap_table *table, const ap_roster *roster, const ap_pooled_level *level,
                           const uint32_t *key) {
    for (size_t k = 0; k < level->by_count; k++) {
        ap_str label = ap_roster_label(roster, level->by[k], key[k]);
        ap_table_text(table, label.ptr ? label : AP_STR_LIT("not recorded"));
    }
}

static void put_factors(ap_doc *doc, ap_arena *arena, const ap_factors_sheet *sheet) {
    enum { FIXED = 6 };
    const ap_pooled_level *level = &sheet->factors->now.level[0];
    bool us = ap_doc_units(doc) == AP_UNITS_US;
    double planned = us ? 2000 * 0.45359237 : 1000; /* a round weight in the page's units */
    ap_str plan = ap_doc_printf(doc, "%s becomes", us ? "2,000" : "1,000");
    ap_str since = ap_doc_printf(doc, "points since %.*s", AP_STR_ARG(ap_doc_date(doc, sheet->factors->before_until)));
    ap_column columns[AP_WEIGHTS_BY_MAX + FIXED];
    size_t count = put_names(columns, level);
    const ap_column fixed[FIXED] = {
        {.key = AP_STR_LIT("add"), .label = AP_STR_LIT("add"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("count"), .label = AP_STR_LIT("weighed"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("trees"), .label = AP_STR_LIT("trees"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("change_points"), .label = since, .kind = AP_CELL_NUMBER},
        {.key = AP_STR_LIT("example"), .label = plan, .kind = AP_CELL_QUANTITY, .dim = AP_DIM_LOAD},
        {.key = AP_STR_LIT("note"), .label = AP_STR_LIT("note"), .kind = AP_CELL_TEXT},
    };
    memcpy(columns + count, fixed, sizeof fixed);
    ap_table *table =
        ap_doc_table(doc, AP_STR_LIT("factors"), AP_STR_LIT("Add to the planned net weight"), columns, count + FIXED);
    const ap_pooled_cell **cells = ap_pooled_rank(arena, sheet->roster, level);
    for (size_t c = 0; cells && c < level->cell_count; c++) {
        const ap_pooled_cell *cell = cells[c];
        if (ap_people_hides(sheet->roster, level, cell)) {
            continue;
        }
        ap_table_row(table);
        put_cell_names(table, sheet->roster, level, cell->key);
        ap_table_value_as(table, cell->bound ? percents(cell->bound) / 100 : NAN, ap_say_add(arena, cell->bound));
        ap_table_value(table, (double)cell->count);
        ap_table_value(table, (double)cell->trees);
        put_change(table, doc, sheet->factors, cell);
        ap_table_value(table, cell->bound ? planned * (1 + percents(cell->bound) / 100) : NAN);
        ap_table_text(table, means(doc, arena, sheet, cell));
    }
    ap_table_empty(table, ap_people_hidden(sheet->roster, level) ? AP_STR_LIT(AP_SAY_NONE_BY_PERSON)
                                                                 : AP_STR_LIT("No weighed pick up to this day."));
    ap_str hidden = ap_say_people_hidden(arena, sheet->roster, level);
    if (hidden.ptr) {
        ap_doc_paragraph(doc, hidden);
    }
}

static void put_proof(ap_doc *doc, ap_arena *arena, const ap_factors_sheet *sheet) {
    enum { FIXED = 6 };
    const ap_pooled_level *level = &sheet->factors->now.level[0];
    const ap_proof *proof = &sheet->factors->proof;
    ap_column columns[AP_WEIGHTS_BY_MAX + FIXED];
    size_t count = put_names(columns, level);
    const ap_column fixed[FIXED] = {
        {.key = AP_STR_LIT("held_out"), .label = AP_STR_LIT("held out"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("within"), .label = AP_STR_LIT("within"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("low"), .label = AP_STR_LIT("from"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("high"), .label = AP_STR_LIT("to"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("mean_added"), .label = AP_STR_LIT("added"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("left_out_within"), .label = AP_STR_LIT("own job left out"), .kind = AP_CELL_PERCENT},
    };
    memcpy(columns + count, fixed, sizeof fixed);
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("proof"),
                                   AP_STR_LIT("What the factors would have done, each job planned from earlier ones"),
                                   columns, count + FIXED);
    const ap_pooled_cell **cells = ap_pooled_rank(arena, sheet->roster, level);
    for (size_t c = 0; cells && c < level->cell_count; c++) {
        const ap_proof_group *group = ap_proof_find(proof, cells[c]->key);
        ap_interval interval;
        double share;
        if (!group || ap_people_hides(sheet->roster, level, cells[c]) ||
            !ap_proof_coverage(&share, &interval, &group->rolling)) {
            continue;
        }
        ap_table_row(table);
        put_cell_names(table, sheet->roster, level, cells[c]->key);
        ap_table_value(table, (double)group->rolling.held_out);
        ap_table_value(table, share);
        ap_table_value(table, interval.low);
        ap_table_value(table, interval.high);
        ap_table_value(table, group->rolling.added / (double)group->rolling.held_out);
        ap_table_value(table, ap_proof_coverage(&share, &interval, &group->left_out) ? share : NAN);
    }
    ap_table_empty(table, proof->rolling.held_out ? AP_STR_LIT(AP_SAY_NONE_BY_PERSON)
                                                  : AP_STR_LIT("No job could be planned from earlier ones yet."));
}

static void put_against(ap_doc *doc, const ap_factors_sheet *sheet) {
    const ap_against *a = &sheet->against_now;
    if (a->judged == 0 && a->weighed == 0) {
        ap_doc_paragraph(
            doc, ap_doc_printf(doc,
                               "Against %.*s of the chart: no pick of a group with a factor has a planned weight and "
                               "the capacity at its planned radius: nothing to count.",
                               AP_STR_ARG(sheet->against_words)));
        return;
    }
    ap_doc_paragraph(
        doc, ap_doc_printf(doc,
                           "Against %.*s of the chart at the planned radius: of %zu picks with a planned weight and "
                           "capacity, %.*s were planned above it; with these factors %.*s would have been. As lifted, "
                           "%.*s of %zu weighed ones were.",
                           AP_STR_ARG(sheet->against_words), a->judged, AP_STR_ARG(ap_say_or_none(doc, a->planned)),
                           AP_STR_ARG(ap_say_or_none(doc, a->factored)), AP_STR_ARG(ap_say_or_none(doc, a->lifted)),
                           a->weighed));
}

static ap_str say_answer(ap_doc *doc, ap_arena *arena, const ap_factors_sheet *sheet) {
    const ap_pooled *now = &sheet->factors->now;
    bool any = false;
    for (size_t c = 0; c < now->level[0].cell_count; c++) {
        any = any || now->level[0].cells[c].bound;
    }
    if (sheet->factors->picks == 0) {
        return AP_STR_LIT("No factors: no pick has both a planned and a measured weight.");
    }
    if (!now->level[0].fitted) {
        return ap_doc_printf(doc, "No factors: %.*s.", AP_STR_ARG(now->level[0].why_not));
    }
    if (!any) {
        return ap_doc_printf(doc, "No factors yet: the weighed picks lie on %zu trees, %d are needed.",
                             now->level[0].trees, AP_POOLED_TREES_LEAST);
    }
    return ap_doc_printf(
        doc,
        "Add this to the planned net weight: of new pieces on new trees 95 in 100 should then weigh no more "
        "than planned (confidence 90 %%). %.*s",
        AP_STR_ARG(ap_say_proof(arena, &sheet->factors->proof)));
}

static void put_head(ap_doc *doc, const ap_factors_sheet *sheet) {
    const char *company = sheet->roster->settings.company;
    ap_doc_caution(doc, ap_str_from(ap_say_not_a_chart));
    ap_doc_paragraph(doc, ap_doc_printf(doc, "%s. Made on %.*s; withdraw after %.*s.",
                                        *company ? company : "Company not recorded (afterpick set company)",
                                        AP_STR_ARG(ap_doc_date(doc, sheet->made_on)),
                                        AP_STR_ARG(ap_doc_date(doc, withdraw_on(sheet)))));
}

static void put_working(ap_doc *doc, const ap_factors_sheet *sheet) {
    ap_doc_working_begin(doc, AP_STR_LIT("How this was worked out"));
    ap_pooled_working(doc, &sheet->factors->now);
    ap_doc_paragraph(
        doc, ap_doc_printf(
                 doc,
                 "\"Points since %.*s\" is the change in percent points. A percentage is rounded up. Proof: each job "
                 "is planned with the factors of the picks before the month in which it began; the variances are "
                 "fitted anew for every month (in big books, whenever the picks have grown by half). The interval of "
                 "coverage is exact for independent picks (Clopper-Pearson); picks of one tree are not, so that it is "
                 "somewhat narrow. Suspects count in it.",
                 AP_STR_ARG(ap_doc_date(doc, sheet->factors->before_until))));
    ap_doc_working_end(doc);
}

void ap_factors_page(ap_doc *doc, const ap_factors_sheet *sheet) {
    ap_arena arena;
    ap_arena_init(&arena, 16u << 20);
    const ap_factors *factors = sheet->factors;
    ap_doc_answer(doc, say_answer(doc, &arena, sheet));
    put_head(doc, sheet);
    ap_str in_force = ap_say_densities_in_force(doc, sheet->roster);
    if (in_force.ptr) {
        ap_doc_caution(doc, in_force);
    }
    ap_str limits = ap_say_model_limits(&arena, &factors->now);
    if (limits.ptr && factors->now.level[0].fitted) {
        ap_doc_paragraph(doc, limits);
    }
    ap_str suspects = ap_say_suspects(&arena, sheet->roster, &factors->now);
    if (suspects.ptr) {
        ap_doc_paragraph(doc, suspects);
    }
    if (!isnan(sheet->against)) {
        put_against(doc, sheet);
    }
    put_factors(doc, &arena, sheet);
    if (factors->now.level[0].fitted) {
        ap_str left_out = say_left_out(&arena, &factors->proof);
        if (left_out.ptr) {
            ap_doc_paragraph(doc, left_out);
        }
        put_proof(doc, &arena, sheet);
        put_working(doc, sheet);
    }
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
    ap_arena_release(&arena);
}

static void put_line(ap_json *json, const char *key, const ap_proof_line *line) {
    ap_interval interval = {NAN, NAN, NAN};
    double share;
    bool has = ap_proof_coverage(&share, &interval, line);
    ap_json_key(json, key);
    ap_json_object_begin(json);
    ap_json_put_int(json, "held_out", (int64_t)line->held_out);
    ap_json_put_int(json, "within", (int64_t)line->within);
    ap_json_put_number(json, "low", has ? interval.low : NAN);
    ap_json_put_number(json, "high", has ? interval.high : NAN);
    ap_json_put_int(json, "within_plan", (int64_t)line->within_plan);
    ap_json_put_number(json, "mean_added", has ? line->added / (double)line->held_out : NAN);
    ap_json_put_int(json, "no_factor", (int64_t)line->no_factor);
    ap_json_object_end(json);
}

static void put_json_group(ap_json *json, const ap_factors_sheet *sheet, const ap_pooled_cell *cell) {
    const ap_factors *factors = sheet->factors;
    const ap_pooled_level *level = &factors->now.level[0];
    const ap_pooled_bound *before =
        factors->before.level_count ? ap_pooled_bound_for(&factors->before, cell->key) : NULL;
    const ap_proof_group *group = ap_proof_find(&factors->proof, cell->key);
    ap_json_object_begin(json);
    for (size_t k = 0; k < level->by_count; k++) {
        ap_json_put_text(json, ap_by_name(level->by[k]), ap_roster_label(sheet->roster, level->by[k], cell->key[k]));
    }
    ap_json_put_int(json, "count", (int64_t)cell->count);
    ap_json_put_int(json, "trees", (int64_t)cell->trees);
    ap_json_put_pooled(json, cell);
    ap_json_put_factor_of(json, sheet->roster, &factors->now, cell);
    ap_json_put_number(json, "planning_factor_before", before ? before->planning : NAN);
    static const ap_proof_line none = {0};
    put_line(json, "coverage", group ? &group->rolling : &none);
    put_line(json, "leave_one_job_out", group ? &group->left_out : &none);
    ap_json_object_end(json);
}

void ap_factors_json(ap_json *json, const ap_factors_sheet *sheet) {
    const ap_factors *factors = sheet->factors;
    const ap_pooled_level *level = &factors->now.level[0];
    ap_arena arena;
    ap_arena_init(&arena, 16u << 20);
    ap_json_object_begin(json);
    ap_json_put_text(json, "company", ap_str_from(sheet->roster->settings.company));
    ap_json_put_date(json, "made_on", sheet->made_on);
    ap_json_put_date(json, "withdraw_after", withdraw_on(sheet));
    ap_json_put_date(json, "until", factors->until);
    ap_json_put_date(json, "before_until", factors->before_until);
    ap_json_put_text(json, "warning", ap_str_from(ap_say_not_a_chart));
    ap_json_put_text(json, "says", level->fitted ? AP_STR_NONE : ap_say_model_limits(&arena, &factors->now));
    put_line(json, "coverage", &factors->proof.rolling);
    put_line(json, "leave_one_job_out", &factors->proof.left_out);
    if (!isnan(sheet->against)) {
        const ap_against *a = &sheet->against_now;
        ap_json_key(json, "against");
        ap_json_object_begin(json);
        ap_json_put_number(json, "share", sheet->against);
        ap_json_put_int(json, "judged", (int64_t)a->judged);
        ap_json_put_int(json, "planned_over", (int64_t)a->planned);
        ap_json_put_int(json, "factored_over", (int64_t)a->factored);
        ap_json_put_int(json, "weighed", (int64_t)a->weighed);
        ap_json_put_int(json, "lifted_over", (int64_t)a->lifted);
        ap_json_object_end(json);
    }
    ap_json_key(json, "groups");
    ap_json_array_begin(json);
    const ap_pooled_cell **cells = ap_pooled_rank(&arena, sheet->roster, level);
    for (size_t c = 0; cells && c < level->cell_count; c++) {
        if (!ap_people_hides(sheet->roster, level, cells[c])) {
            put_json_group(json, sheet, cells[c]);
        }
    }
    ap_json_array_end(json);
    ap_json_put_int(json, "groups_not_shown", (int64_t)ap_people_hidden(sheet->roster, level));
    ap_json_object_end(json);
    ap_arena_release(&arena);
}
