#include "report/explain_page.h"

static uint32_t find_label(const ap_roster *roster, ap_by by, ap_str word) {
    uint32_t count = ap_intern_count(roster->labels[by]);
    for (uint32_t n = 1; n <= count; n++) {
        ap_str label = ap_roster_label(roster, by, n);
        if (ap_str_equal_nocase(label, word)) {
            return n;
        }
    }
    return 0;
}

/* The label at the front of *rest, taken off with the comma behind it. A name may have commas of its own: the longest that is a
 * label counts. */
static uint32_t take_label(ap_str *rest, ap_str *word, const ap_roster *roster, ap_by by) {
    uint32_t label = 0;
    ap_str text = *rest;
    *word = ap_str_trim(ap_str_split(text, ',', rest));
    for (size_t len = text.len; label == 0 && len-- > 0;) {
        if (text.ptr[len] == ',') {
            label = find_label(roster, by, ap_str_trim((ap_str){text.ptr, len}));
            *rest = (ap_str){text.ptr + len + 1, text.len - len - 1};
        }
    }
    return label;
}

ap_status ap_explain_find(uint32_t key[AP_WEIGHTS_BY_MAX], const ap_roster *roster, const ap_by *by, size_t by_count,
                          ap_str words, ap_error *err) {
    memset(key, 0, AP_WEIGHTS_BY_MAX * sizeof *key);
    ap_str rest = words;
    for (size_t k = 0; k < by_count; k++) {
        bool last = k + 1 == by_count;
        ap_str word = ap_str_trim(rest);
        if (!last && !memchr(rest.ptr, ',', rest.len)) {
            return ap_error_set(err, AP_E_USAGE,
                                "--explain needs one name for each grouping of --by, with commas between");
        }
        key[k] = last ? find_label(roster, by[k], word) : take_label(&rest, &word, roster, by[k]);
        if (key[k] == 0) {
            return ap_error_set(err, AP_E_NOT_FOUND,
                                "no pick has the %s '%.*s'; 'afterpick weights --by %s' lists them", ap_by_label(by[k]),
                                AP_STR_ARG(word), ap_by_name(by[k]));
        }
    }
    return AP_OK;
}

static void step(ap_table *table, const char *what, ap_str value, const char *how) {
    ap_table_row(table);
    ap_table_text(table, ap_str_from(what));
    ap_table_text(table, value);
    ap_table_text(table, ap_str_from(how));
}

#define NUMBER(...) ap_doc_printf(doc, __VA_ARGS__)

/* Of the period, while the rest is of all picks up to its end. */
static void put_robust(ap_doc *doc, ap_table *table, const ap_robust_error *robust) {
    static const char *const how[] = {
        [AP_LOCATION_HUBER] = "of the period's picks; far ones count less (Huber)",
        [AP_LOCATION_MEDIAN_TOO_FEW] = "of the period's picks; below 4 the median",
        [AP_LOCATION_MEDIAN_NO_MAD] = "of the period's picks; most are alike: the median",
    };
    step(table, "robust average", NUMBER("%.3f", robust->ratio), how[robust->kind]);
    if (!isnan(robust->median_low)) {
        step(table, "its typical tree", NUMBER("%.3f to %.3f", robust->median_low, robust->median_high),
             "90 % interval by order statistics, each tree once");
    }
}

static void put_mean(ap_doc *doc, ap_table *table, const ap_pooled_level *level, const ap_pooled_cell *cell) {
    step(table, "weighed picks, trees", NUMBER("%zu, %zu", cell->count, cell->trees), "all up to the period's end");
    step(table, "own average", NUMBER("%+.4f", cell->own_log),
         "of ln(measured / planned), trees weighed by their picks");
    step(table, "its standard error", NUMBER("%.4f", cell->own_se), "from the pooled tree and rest variances");
    step(table, "average of all picks", NUMBER("%+.4f", level->mean), "mean of the model");
    step(table, "share of own kept", NUMBER("%.2f", cell->shrink), "variance between groups / (that + own variance)");
    step(table, "pooled average", NUMBER("%+.4f", cell->pooled_log), "the model's, other effects taken out");
    step(table, "its standard error", NUMBER("%.4f", cell->pooled_se),
         "spread between groups is itself estimated: included");
    step(table, "pooled ratio", NUMBER("%.3f", exp(cell->pooled_log)), "exp(pooled average)");
    step(table, "90 % interval", NUMBER("%.3f to %.3f", exp(cell->pooled_low), exp(cell->pooled_high)), "t");
    step(table, "heavier than planned?",
         NUMBER("t = %.2f (%.1f degrees of freedom), p = %.4f", cell->t, cell->t_df, cell->p_value),
         "one-sided, own average / its error");
    step(table, "over all groups", NUMBER("q = %.4f: %s", cell->q_value, cell->biased ? "yes" : "no"),
         "Benjamini-Hochberg, yes at 0.10 or below");
}

static void put_scale(ap_doc *doc, ap_table *table, const ap_pooled_level *level, const ap_pooled_cell *cell) {
    double pooled = sqrt(level->tree_variance + level->rest_variance);
    step(table, "pooled spread", NUMBER("%.4f", pooled), "root of tree + rest variance");
    if (cell->own_scale_df > 0) {
        step(table, "own spread", NUMBER("%.4f (%.1f degrees of freedom)", sqrt(cell->own_scale2), cell->own_scale_df),
             "about the own average, estimator and crane taken out");
    }
    step(table, "spread used", NUMBER("%.4f (%.1f degrees of freedom)", cell->scale, cell->scale_df),
         "own shrunk to pooled, which counts as 8 at most");
}

static void put_bound(ap_doc *doc, ap_table *table, const ap_pooled_bound *bound) {
    step(table, "spread of a new piece", NUMBER("%.4f", bound->scale), "with estimators' and cranes' variance");
    step(table, "m", NUMBER("%.2f", bound->m), "spread^2 / variance of the average");
    step(table, "nu", NUMBER("%.1f", bound->nu), "effective degrees of freedom");
    step(table, "k", NUMBER("%.3f", bound->k), "t'(0.90; nu, z(0.95) root m) / root m: noncentral t");
    step(table, "planning factor", NUMBER("%.3f", bound->planning), "exp(average + k spread), not below 1");
    step(table, "next piece", NUMBER("%.3f", bound->prediction),
         "exp(average + t(0.95; nu) root(1 + 1/m) spread), not below 1");
}

static ap_str say_outcome(ap_doc *doc, const ap_roster *roster, const ap_pooled *pooled, const ap_pooled_cell *cell) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 16);
    ap_str name = ap_say_cell(&arena, roster, &pooled->level[0], cell->key);
    ap_str says;
    if (!cell->bound) {
        says = ap_doc_printf(doc, "%.*s: weighed picks %zu, trees %zu; there is no planning factor before %d trees.",
                             AP_STR_ARG(name), cell->count, cell->trees, AP_POOLED_TREES_LEAST);
    } else if (cell->has_own) {
        says = ap_doc_printf(doc, "%.*s: %s, from %zu weighed picks on %zu trees.", AP_STR_ARG(name),
                             cell->bound->planning > 1
                                 ? ap_arena_printf(&arena, "add %.*s", AP_STR_ARG(ap_say_add(&arena, cell->bound))).ptr
                                 : "plans ran heavy; nothing to add",
                             cell->count, cell->trees);
    } else {
        says = ap_doc_printf(doc, "%.*s: add %.*s, which is the figure of %.*s: its own %zu pick%s on only %zu tree%s.",
                             AP_STR_ARG(name), AP_STR_ARG(ap_say_add(&arena, cell->bound)),
                             AP_STR_ARG(ap_say_carried(&arena, roster, pooled, cell)), cell->count,
                             cell->count == 1 ? " lies" : "s lie", cell->trees, cell->trees == 1 ? "" : "s");
    }
    ap_arena_release(&arena);
    return says;
}

void ap_explain_page(ap_doc *doc, const ap_roster *roster, const ap_pooled *pooled, const uint32_t *key,
                     const ap_robust_error *robust) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("figure"), .label = AP_STR_LIT("figure"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("value"), .label = AP_STR_LIT("value"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("how"), .label = AP_STR_LIT("how"), .kind = AP_CELL_TEXT},
    };
    const ap_pooled_level *level = &pooled->level[0];
    const ap_pooled_cell *cell = ap_pooled_find(level, key);
    ap_arena arena;
    ap_arena_init(&arena, 1u << 20);
    ap_str limits = ap_say_model_limits(&arena, pooled);
    if (!cell || !level->fitted) {
        ap_doc_answer(
            doc,
            cell ? limits : AP_STR_LIT("No weighed pick up to the period's end is of this kind: nothing to work out."));
        ap_arena_release(&arena);
        return;
    }
    ap_doc_answer(doc, say_outcome(doc, roster, pooled, cell));
    if (limits.ptr) {
        ap_doc_paragraph(doc, limits);
    }
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("working"), AP_STR_LIT("The working, step by step"), columns, 3);
    if (robust && !isnan(robust->ratio)) {
        put_robust(doc, table, robust);
    }
    put_mean(doc, table, level, cell);
    put_scale(doc, table, level, cell);
    if (cell->bound) {
        if (!cell->has_own) {
            step(table, "average behind it", NUMBER("%+.4f", cell->bound->mean),
                 "of the group whose factor it is; the spread too");
        }
        put_bound(doc, table, cell->bound);
    }
    if (cell->suspects && cell->has_own) {
        step(table, "with the suspects", NUMBER("%.3f", cell->own_bound.planning), "planning factor");
        step(table, "without them",
             cell->has_without ? NUMBER("%.3f", cell->without.planning) : AP_STR_LIT("too few trees"),
             "the larger one is carried");
    }
    ap_doc_paragraph(doc, ap_doc_printf(doc, "Mixed model by REML: %.*s", AP_STR_ARG(ap_say_model(&arena, level))));
    ap_doc_caution(doc, ap_str_from(ap_say_not_a_chart));
    ap_arena_release(&arena);
}

enum { GRID_CUTS = 16 };

/* The keys along one side of the grid, most weighed picks first. */
static size_t side(uint32_t *keys, size_t most, const ap_weight_table *table, size_t which) {
    size_t count = 0;
    for (size_t g = 0; g < table->count; g++) {
        uint32_t key = table->groups[g].key[which];
        size_t at = 0;
        while (at < count && keys[at] != key) {
            at++;
        }
        if (at == count && count < most) {
            keys[count++] = key;
        }
    }
    return count;
}

static const ap_weight_group *group_at(const ap_weight_table *table, uint32_t species, uint32_t cut) {
    for (size_t g = 0; g < table->count; g++) {
        if (table->groups[g].key[0] == species && table->groups[g].key[1] == cut) {
            return &table->groups[g];
        }
    }
    return NULL;
}

static ap_str shown(const ap_roster *roster, ap_by by, uint32_t key) {
    ap_str label = ap_roster_label(roster, by, key);
    return label.ptr ? label : AP_STR_LIT("not recorded");
}

static ap_str grid_cell(ap_doc *doc, ap_arena *arena, const ap_weight_group *group, const ap_pooled *pooled, bool add) {
    if (!group) {
        return AP_STR_NONE;
    }
    if (!add) {
        return group->count ? ap_doc_printf(doc, "%.*s (%zu)", AP_STR_ARG(ap_say_signed(arena, group->median_ratio)),
                                            group->count)
                            : AP_STR_LIT("(0)");
    }
    const ap_pooled_cell *cell = ap_pooled_find(&pooled->level[0], group->key);
    ap_str percent = cell ? ap_say_add(arena, cell->bound) : AP_STR_NONE;
    return percent.ptr ? ap_doc_printf(doc, "%.*s%s", AP_STR_ARG(percent), cell->has_own ? "" : " *") : AP_STR_NONE;
}

static void put_grid(ap_doc *doc, ap_arena *arena, const ap_roster *roster, const ap_weight_table *table,
                     const ap_pooled *pooled, bool add) {
    uint32_t cuts[GRID_CUTS];
    uint32_t *species = ap_arena_alloc_array(arena, table->count + 1, sizeof *species);
    if (!species) {
        return;
    }
    size_t across = side(cuts, GRID_CUTS, table, 1);
    size_t down = side(species, table->count, table, 0);
    ap_column columns[GRID_CUTS + 1] = {
        {.key = AP_STR_LIT("species"), .label = AP_STR_LIT("species"), .kind = AP_CELL_TEXT}};
    for (size_t c = 0; c < across; c++) {
        ap_str label = shown(roster, AP_BY_CUT, cuts[c]);
        columns[c + 1] = (ap_column){.key = label, .label = label, .kind = AP_CELL_TEXT};
    }
    ap_table *out =
        ap_doc_table(doc, add ? AP_STR_LIT("grid-add") : AP_STR_LIT("grid-error"),
                     add ? AP_STR_LIT("To add to the planned net weight (* figure of the species or of all picks)")
                         : AP_STR_LIT("Median error, heavier +, and weighed picks"),
                     columns, across + 1);
    ap_table_empty(out, AP_STR_LIT("no pick has both weights"));
    for (size_t s = 0; s < down; s++) {
        ap_table_row(out);
        ap_table_text(out, shown(roster, AP_BY_SPECIES, species[s]));
        for (size_t c = 0; c < across; c++) {
            ap_table_text(out, grid_cell(doc, arena, group_at(table, species[s], cuts[c]), pooled, add));
        }
    }
}

void ap_grid_page(ap_doc *doc, const ap_roster *roster, const ap_weight_table *table, const ap_pooled *pooled) {
    ap_arena arena;
    ap_arena_init(&arena, 4u << 20);
    ap_doc_answer(doc, ap_say_error(doc, roster, table));
    put_grid(doc, &arena, roster, table, pooled, false);
    if (table->all.count) {
        ap_str limits = ap_say_model_limits(&arena, pooled);
        if (limits.ptr) {
            ap_doc_paragraph(doc, limits);
        }
        if (pooled->level[0].fitted) {
            put_grid(doc, &arena, roster, table, pooled, true);
            ap_doc_caution(doc, ap_str_from(ap_say_not_a_chart));
        }
    }
    ap_arena_release(&arena);
}
