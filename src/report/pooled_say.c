#include "report/pooled_say.h"

const char ap_say_not_a_chart[] = "Not a load chart: weigh it, look at the chart, ask the operator. The percentage "
                                  "goes on the planned net weight of the "
                                  "piece; block, slings and stowed gear come on top of that.";

ap_str ap_say_cell(ap_arena *arena, const ap_roster *roster, const ap_pooled_level *level, const uint32_t *key) {
    if (level->by_count == 0) {
        return AP_STR_LIT("all picks");
    }
    ap_str label = AP_STR_NONE;
    for (size_t k = 0; k < level->by_count; k++) {
        ap_str part = ap_roster_label(roster, level->by[k], key[k]);
        part = part.ptr ? part : AP_STR_LIT("not recorded");
        label = k == 0 ? part : ap_arena_printf(arena, "%.*s, %.*s", AP_STR_ARG(label), AP_STR_ARG(part));
    }
    return label;
}

ap_str ap_say_add(ap_arena *arena, const ap_pooled_bound *bound) {
    /* Rounded up: a crew adds whole percents and never less than was worked out. */
    double percent = bound ? ceil((bound->planning - 1) * 100 - 1e-9) : 0;
    return bound ? ap_arena_printf(arena, "%.0f %%", percent > 0 ? percent : 0) : AP_STR_NONE; /* not "-0 %" */
}

ap_str ap_say_carried(ap_arena *arena, const ap_roster *roster, const ap_pooled *pooled, const ap_pooled_cell *cell) {
    if (!cell->bound) {
        return AP_STR_NONE;
    }
    return cell->has_own ? AP_STR_LIT("own") : ap_say_cell(arena, roster, &pooled->level[cell->of_level], cell->key);
}

/* Beside the grouping stand the estimators: of few that differ, little is known of the next. */
static ap_str say_few_people(ap_arena *arena, const ap_pooled_level *level, ap_str says) {
    bool named = false;
    for (size_t k = 0; k < level->by_count; k++) {
        named = named || level->by[k] == AP_BY_ESTIMATOR;
    }
    size_t people = level->levels[AP_TERM_ESTIMATOR];
    if (named || people < 2 || people >= AP_POOLED_FEW_LEVELS || !(level->variance[AP_TERM_ESTIMATOR] > 0)) {
        return says;
    }
    return ap_arena_printf(
        arena,
        "%.*sOnly %zu people planned these picks, and their errors differ: what a group owes to them is "
        "hard to tell, so that intervals are wide and few groups are called likely heavier; for "
        "another planner the factors are less sure than they say. ",
        AP_STR_ARG(says), people);
}

ap_str ap_say_model_limits(ap_arena *arena, const ap_pooled *pooled) {
    const ap_pooled_level *level = &pooled->level[0];
    if (!level->fitted) {
        return ap_arena_printf(arena, "No pooled figures: %.*s.", AP_STR_ARG(level->why_not));
    }
    ap_str says = AP_STR_LIT("");
    if (!level->used[AP_TERM_INSTRUMENT] || !level->used[AP_TERM_ESTIMATOR]) {
        says = AP_STR_LIT("There are too many estimators or cranes for the model; it leaves them in the rest. ");
    }
    if (level->used[AP_TERM_INSTRUMENT] && level->levels[AP_TERM_INSTRUMENT] < 2) {
        says = ap_arena_printf(
            arena, "%.*sOne crane weighed all, or none is logged: instrument and crew cannot be told apart. ",
            AP_STR_ARG(says));
    } else if (level->used[AP_TERM_INSTRUMENT] && level->same_as[AP_TERM_INSTRUMENT] >= 0) {
        says =
            ap_arena_printf(arena, "%.*sEach crane weighed for one %s only: the two cannot be told apart. ",
                            AP_STR_ARG(says), ap_pooled_term_name((ap_pooled_term)level->same_as[AP_TERM_INSTRUMENT]));
    }
    says = say_few_people(arena, level, says);
    if (!level->tree_told_apart) {
        says = ap_arena_printf(arena, "%.*sNo tree has two weighed picks: what a tree adds cannot be told apart. ",
                               AP_STR_ARG(says));
    }
    if (level->trees < AP_POOLED_TREES_LEAST) {
        says = ap_arena_printf(arena, "%.*sThere is no planning factor before %d trees. ", AP_STR_ARG(says),
                               AP_POOLED_TREES_LEAST);
    }
    if (!level->converged) {
        says =
            ap_arena_printf(arena, "%.*sThe fit did not settle: take the pooled figures as rough. ", AP_STR_ARG(says));
    }
    return says.len ? ap_str_trim(says) : AP_STR_NONE;
}

ap_str ap_say_model(ap_arena *arena, const ap_pooled_level *level) {
    ap_str says = ap_arena_printf(
        arena, "%zu weighed picks on %zu trees. Spread (standard deviation of ln ratio, in %%):", level->picks,
        level->trees);
    for (int term = 0; term < AP_TERM_COUNT; term++) {
        if (level->used[term]) {
            says = ap_arena_printf(arena, "%.*s %s %.1f,", AP_STR_ARG(says), ap_pooled_term_name((ap_pooled_term)term),
                                   100 * sqrt(level->variance[term]));
        }
    }
    return ap_arena_printf(arena, "%.*s tree %.1f, rest %.1f.", AP_STR_ARG(says), 100 * sqrt(level->tree_variance),
                           100 * sqrt(level->rest_variance));
}

ap_str ap_say_suspects(ap_arena *arena, const ap_roster *roster, const ap_pooled *pooled) {
    enum { NAMED = 6 };
    if (pooled->suspect_count == 0) {
        return AP_STR_NONE;
    }
    ap_str list = AP_STR_LIT("");
    for (size_t i = 0; i < pooled->suspect_count && i < NAMED; i++) {
        const ap_fact *fact = &roster->facts[pooled->suspects[i].fact];
        bool ceiling = pooled->suspects[i].reason == AP_SUSPECT_CEILING;
        list = ap_arena_printf(arena, "%.*s%s%s (%.*s%s)", AP_STR_ARG(list), i ? ", " : "",
                               ap_roster_name(roster, pooled->suspects[i].fact),
                               AP_STR_ARG(ap_say_ratio(arena, ap_fact_ratio(fact))),
                               ceiling ? ", and heavier than sound wood of its size can be" : "");
    }
    if (pooled->suspect_count > NAMED) {
        list = ap_arena_printf(arena, "%.*s and %zu more", AP_STR_ARG(list), pooled->suspect_count - NAMED);
    }
    return ap_arena_printf(
        arena,
        "Look at these weights first, a slip in a dimension, a tare or the indicator is likely: %.*s. They "
        "stay in: each factor is worked out with and without them, and the larger one is carried.",
        AP_STR_ARG(list));
}

typedef struct ranked {
    const ap_pooled_cell *cell;
    ap_str label;
} ranked;

static int most_first(const void *left, const void *right) {
    const ranked *a = left;
    const ranked *b = right;
    if (a->cell->count != b->cell->count) {
        return a->cell->count < b->cell->count ? 1 : -1;
    }
    return ap_str_compare_natural(a->label, b->label);
}

const ap_pooled_cell **ap_pooled_rank(ap_arena *arena, const ap_roster *roster, const ap_pooled_level *level) {
    ranked *items = ap_arena_alloc_array(arena, level->cell_count + 1, sizeof *items);
    const ap_pooled_cell **cells = ap_arena_alloc_array(arena, level->cell_count + 1, sizeof *cells);
    if (!items || !cells) {
        return NULL;
    }
    for (size_t c = 0; c < level->cell_count; c++) {
        items[c].cell = &level->cells[c];
        items[c].label = ap_say_cell(arena, roster, level, level->cells[c].key);
    }
    qsort(items, level->cell_count, sizeof *items, most_first);
    for (size_t c = 0; c < level->cell_count; c++) {
        cells[c] = items[c].cell;
    }
    return cells;
}

/* The same in few letters: the row's own species is named in it. */
static ap_str say_carried_short(ap_arena *arena, const ap_pooled *pooled, const ap_pooled_cell *cell) {
    const ap_pooled_level *level = &pooled->level[cell->of_level];
    if (!cell->bound || cell->has_own) {
        return cell->bound ? AP_STR_LIT("own") : AP_STR_NONE;
    }
    ap_str names = AP_STR_LIT("all picks");
    for (size_t k = 0; k < level->by_count; k++) {
        const char *name = ap_by_label(level->by[k]);
        names = k == 0 ? ap_str_from(name) : ap_arena_printf(arena, "%.*s, %s", AP_STR_ARG(names), name);
    }
    return names;
}

/* What is planned with is never less than was worked out, as ap_say_add() has it. */
static double rounded_up(double factor) {
    return ceil(factor * 100 - 1e-7) / 100;
}

static void put_row(ap_table *table, ap_arena *arena, const ap_roster *roster, const ap_pooled *pooled,
                    const ap_pooled_cell *cell) {
    const ap_pooled_level *level = &pooled->level[0];
    ap_table_row(table);
    ap_table_text(table, ap_say_cell(arena, roster, level, cell->key));
    ap_table_value(table, (double)cell->count);
    ap_table_value(table, (double)cell->trees);
    ap_table_value(table, exp(cell->pooled_log));
    ap_table_value(table, exp(cell->pooled_low));
    ap_table_value(table, exp(cell->pooled_high));
    ap_table_value(table, level->cell_count > 1 ? cell->shrink : NAN); /* one group has nobody to borrow from */
    ap_table_text(table, isnan(cell->q_value) ? AP_STR_NONE : cell->biased ? AP_STR_LIT("yes") : AP_STR_LIT("no"));
    ap_table_value(table, rounded_up(cell->bound ? cell->bound->planning : NAN));
    ap_table_value(table, rounded_up(cell->bound ? cell->bound->prediction : NAN));
    ap_table_text(table, say_carried_short(arena, pooled, cell));
}

ap_str ap_say_people_hidden(ap_arena *arena, const ap_roster *roster, const ap_pooled_level *level) {
    size_t hidden = ap_people_hidden(roster, level);
    return hidden ? ap_arena_printf(arena,
                                    "%zu group%s of fewer than %d weighed picks %s not shown by person (--names shows "
                                    "%s)%s.",
                                    hidden, hidden == 1 ? "" : "s", AP_PEOPLE_FEWEST, hidden == 1 ? "is" : "are",
                                    hidden == 1 ? "it" : "them",
                                    level->fitted && level->trees >= AP_POOLED_TREES_LEAST
                                        ? "; the factor of the larger group holds there"
                                        : "")
                  : AP_STR_NONE;
}

void ap_pooled_table(ap_doc *doc, const char *id, const char *caption, const ap_roster *roster,
                     const ap_pooled *pooled) {
    const ap_pooled_level *level = &pooled->level[0];
    /* One column for the names: with one each, a terminal of 80 columns has no room for the figures. */
    ap_str name = level->by_count == 1 ? ap_str_from(ap_by_label(level->by[0])) : AP_STR_LIT("group");
    const ap_column columns[] = {
        {.key = AP_STR_LIT("group"), .label = name, .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("count"), .label = AP_STR_LIT("weighed"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("trees"), .label = AP_STR_LIT("trees"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("pooled_ratio"), .label = AP_STR_LIT("pooled"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("pooled_low"), .label = AP_STR_LIT("from"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("pooled_high"), .label = AP_STR_LIT("to"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("shrink"), .label = AP_STR_LIT("own share kept"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("biased"), .label = AP_STR_LIT("likely heavier"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("planning_factor"), .label = AP_STR_LIT("plan factor"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("prediction_factor"), .label = AP_STR_LIT("next piece"), .kind = AP_CELL_RATIO},
        {.key = AP_STR_LIT("factor_of"), .label = AP_STR_LIT("factor from"), .kind = AP_CELL_TEXT},
    };
    ap_arena arena;
    ap_arena_init(&arena, 16u << 20);
    ap_table *table =
        ap_doc_table(doc, ap_str_from(id), ap_str_from(caption), columns, sizeof columns / sizeof columns[0]);
    const ap_pooled_cell **cells = ap_pooled_rank(&arena, roster, level);
    for (size_t c = 0; cells && c < level->cell_count; c++) {
        if (!ap_people_hides(roster, level, cells[c])) {
            put_row(table, &arena, roster, pooled, cells[c]);
        }
    }
    ap_table_empty(table, ap_people_hidden(roster, level) ? AP_STR_LIT(AP_SAY_NONE_BY_PERSON)
                                                          : AP_STR_LIT("No weighed pick."));
    ap_arena_release(&arena);
}

void ap_pooled_working(ap_doc *doc, const ap_pooled *pooled) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 20);
    const ap_pooled_level *level = &pooled->level[0];
    ap_doc_paragraph(
        doc,
        AP_STR_LIT(
            "Pooled figures use all weighed picks up to the end of the period. A group with few picks borrows from "
            "the others: \"own share kept\" is what stays of its own average. Picks of one tree are not "
            "independent and are not counted as if they were. The interval is a 90 % one. \"Likely heavier\": its "
            "own picks came heavier than planned on the average, told so that nine in ten of the groups so marked are "
            "(one-sided t on the pooled spread, Benjamini-Hochberg over all groups of this table, 10 %); the interval "
            "is two-sided and that of the pooled figure, so that the two need not agree."));
    ap_doc_paragraph(
        doc,
        AP_STR_LIT(
            "\"Plan factor\", the planning factor: the planned net weight and so much more cover 95 % of new pieces "
            "on new trees, with 90 % confidence (noncentral t); never below 0 %. \"Next piece\": the bound that the "
            "next piece stays under "
            "with a chance of 95 %. A group of fewer than 5 trees shows the factor of its larger group, which "
            "\"factor from\" "
            "names (its species, or all picks)."));
    if (level->fitted) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "Mixed model by REML: %.*s", AP_STR_ARG(ap_say_model(&arena, level))));
    }
    ap_arena_release(&arena);
}

void ap_json_put_pooled(ap_json *json, const ap_pooled_cell *cell) {
    bool tested = cell && !isnan(cell->q_value);
    ap_json_put_number(json, "pooled_ratio", cell ? exp(cell->pooled_log) : NAN);
    ap_json_put_number(json, "pooled_low", cell ? exp(cell->pooled_low) : NAN);
    ap_json_put_number(json, "pooled_high", cell ? exp(cell->pooled_high) : NAN);
    ap_json_put_number(json, "shrink", cell ? cell->shrink : NAN);
    ap_json_key(json, "biased");
    if (tested) {
        ap_json_bool(json, cell->biased);
    } else {
        ap_json_null(json);
    }
    ap_json_put_number(json, "q_value", cell ? cell->q_value : NAN);
    ap_json_put_number(json, "planning_factor", cell && cell->bound ? cell->bound->planning : NAN);
    ap_json_put_number(json, "prediction_factor", cell && cell->bound ? cell->bound->prediction : NAN);
}

void ap_json_put_factor_of(ap_json *json, const ap_roster *roster, const ap_pooled *pooled,
                           const ap_pooled_cell *cell) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 16);
    bool has = pooled && cell && cell->bound;
    ap_json_put_text(json, "factor_of",
                     has ? ap_say_cell(&arena, roster, &pooled->level[cell->of_level], cell->key) : AP_STR_NONE);
    ap_json_put_int(json, "suspects", cell ? (int64_t)cell->suspects : 0);
    ap_arena_release(&arena);
}
