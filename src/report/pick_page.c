#include "report/pick_page.h"

static bool is_amended(const ap_whole_pick *whole, const ap_field *field) {
    for (size_t i = 0; i < whole->changes.count; i++) {
        if (ap_str_equal_word(whole->changes.items[i].field, field->name)) {
            return true;
        }
    }
    return false;
}

static ap_table *field_table(ap_doc *doc, const char *id) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("field"), .label = AP_STR_LIT("field"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("value"), .label = AP_STR_LIT("value"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, ap_str_from(id), AP_STR_NONE, columns, 2);
    ap_table_has_marks(table);
    return table;
}

static void put_field(ap_doc *doc, ap_table *table, const ap_whole_pick *whole, int column, bool by_name) {
    const ap_field *field = ap_field_get(column);
    ap_table_row(table);
    ap_table_text(table, ap_str_from(by_name ? field->name : field->label));
    ap_table_text(table, ap_say_field(doc, whole, column));
    if (is_amended(whole, field)) {
        ap_table_row_mark(table, AP_STR_LIT("amended"));
    }
}

/* A table of what was recorded and a line of what was not. */
static void put_group(ap_doc *doc, const ap_whole_pick *whole, ap_field_group group, const char *id,
                      const char *heading) {
    ap_table *table = NULL;
    ap_str blank = AP_STR_NONE;
    ap_doc_section(doc, 2, ap_str_from(id), ap_str_from(heading));
    for (int i = 0; i < AP_F_COUNT; i++) {
        if (ap_field_get(i)->group != group) {
            continue;
        }
        if (ap_pick_field_is_blank(&whole->pick, i)) {
            blank = ap_doc_printf(doc, "%.*s%s%s", AP_STR_ARG(blank), blank.len ? ", " : "", ap_field_get(i)->label);
            continue;
        }
        table = table ? table : field_table(doc, id);
        put_field(doc, table, whole, i, false);
    }
    if (blank.len) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "Not recorded: %.*s.", AP_STR_ARG(blank)));
    }
}

static void put_legs(ap_doc *doc, const ap_whole_pick *whole) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("leg"), .label = AP_STR_LIT("leg"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("kind"), .label = AP_STR_LIT("sling"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("hitch"), .label = AP_STR_LIT("hitch"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("locks"), .label = AP_STR_LIT("locks"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("at"), .label = AP_STR_LIT("from the butt"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("length"), .label = AP_STR_LIT("length"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("side"), .label = AP_STR_LIT("off to the side"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("state"), .label = AP_STR_LIT("state"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("wll"), .label = AP_STR_LIT("working load limit"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("tag"), .label = AP_STR_LIT("tag"), .kind = AP_CELL_TEXT},
    };
    ap_doc_section(doc, 2, AP_STR_LIT("slings"), AP_STR_LIT("Slings"));
    if (whole->pick.leg_count == 0) {
        ap_doc_paragraph(doc, AP_STR_LIT("Not recorded."));
        return;
    }
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("slings"), AP_STR_NONE, columns, 1 + AP_LF_COUNT);
    ap_table_has_marks(table);
    for (int leg = 0; leg < whole->pick.leg_count; leg++) {
        ap_table_row(table);
        ap_table_value(table, leg + 1);
        bool amended = false;
        for (int i = 0; i < AP_LF_COUNT; i++) {
            int column = AP_F_COUNT + leg * AP_LF_COUNT + i;
            ap_table_text(table, ap_say_field(doc, whole, column));
            amended = amended || is_amended(whole, ap_field_get(column));
        }
        if (amended) {
            ap_table_row_mark(table, AP_STR_LIT("amended"));
        }
    }
}

/* Where a net or gross weight comes from. */
static ap_str weight_origin(double weight_kg, int basis, ap_origin_kind basis_from, ap_origin_kind rigging_from,
                            bool net) {
    bool is_net = basis == AP_WEIGHED_AS_NET;
    if (isnan(weight_kg)) {
        return AP_STR_LIT("the weight is not recorded");
    }
    if (!basis) {
        return AP_STR_LIT("net or gross is not recorded, and no setting says which");
    }
    if (is_net == net) {
        return basis_from == AP_ORIGIN_LOG     ? AP_STR_LIT("the log")
               : basis_from == AP_ORIGIN_CRANE ? AP_STR_LIT("the log; net or gross from the crane's entry")
                                               : AP_STR_LIT("the log; net or gross from the company's setting");
    }
    if (rigging_from == AP_ORIGIN_SETTING) {
        return net ? AP_STR_LIT("the log's gross less the company's rigging weight")
                   : AP_STR_LIT("the log's net and the company's rigging weight");
    }
    if (rigging_from == AP_ORIGIN_CRANE) {
        return net ? AP_STR_LIT("the log's gross less the crane's own block weight")
                   : AP_STR_LIT("the log's net and the crane's own block weight");
    }
    return net ? AP_STR_LIT("the log's gross less the logged rigging weight")
               : AP_STR_LIT("the log's net and the logged rigging weight");
}

static ap_str measured_origin(ap_doc *doc, const ap_whole_pick *whole, bool net) {
    const ap_derived *d = &whole->derived;
    ap_str origin =
        weight_origin(whole->pick.measured_weight_kg, d->weighed_as, d->weighed_as_from, d->rigging_from, net);
    return d->indicator_factor == 1 || isnan(whole->pick.measured_weight_kg)
               ? origin
               : ap_doc_printf(doc, "%.*s, corrected by the calibration of %.*s", AP_STR_ARG(origin),
                               AP_STR_ARG(ap_doc_date(doc, d->calibrated_on)));
}

static void put_derived_row(ap_table *table, const char *what, ap_str value, ap_str from) {
    ap_table_row(table);
    ap_table_text(table, ap_str_from(what));
    ap_table_text(table, value);
    ap_table_text(table, from);
}

/* Where a capacity comes from, or why there is none. */
static ap_str rated_origin(ap_doc *doc, const ap_whole_pick *whole, const ap_rated *rated, const char *place) {
    if (rated->from == AP_RATED_LOG) {
        return rated->differs ? ap_doc_printf(doc, "the logged capacity %s; the chart of %.*s has %.*s", place,
                                              AP_STR_ARG(whole->pick.crane),
                                              AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, rated->chart_kg, false)))
                              : ap_doc_printf(doc, "rated capacity %s", place);
    }
    if (rated->from == AP_RATED_CHART) {
        return ap_doc_printf(doc, "%.*s from the chart of %.*s, radius %.*s",
                             AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, rated->capacity_kg, false)),
                             AP_STR_ARG(whole->pick.crane),
                             AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, rated->chart_radius_m, false)));
    }
    if (rated->no == AP_RATED_NO_CHART || rated->no == AP_RATED_SAID) {
        return AP_STR_LIT("no rated capacity recorded");
    }
    return isnan(rated->chart_end_m)
               ? ap_doc_printf(doc, "no rated capacity recorded; %s", ap_rated_no_text(rated->no))
               : ap_doc_printf(doc, "no rated capacity recorded; %s (%.*s)", ap_rated_no_text(rated->no),
                               AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, rated->chart_end_m, false)));
}

static void put_share(ap_doc *doc, ap_table *table, const char *what, double share, const char *load, ap_str capacity,
                      bool capacity_known, const char *no_load) {
    put_derived_row(table, what, isnan(share) ? AP_STR_NONE : ap_doc_percent(doc, share, 0),
                    !capacity_known ? capacity
                    : isnan(share)  ? ap_str_from(no_load)
                                    : ap_doc_printf(doc, "%s / %.*s", load, AP_STR_ARG(capacity)));
}

static ap_str against_plan(ap_doc *doc, double ratio) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 12);
    ap_str says =
        isnan(ratio) ? AP_STR_NONE : ap_doc_printf(doc, "%.*s", AP_STR_ARG(ap_say_ratio_short(&arena, ratio)));
    ap_arena_release(&arena);
    return says;
}

static ap_str why_no_ratio(ap_compared compared) {
    static const char *const why[AP_COMPARED_COUNT] = {
        [AP_COMPARED] = "measured net / planned net",
        [AP_NOT_PLANNED] = "no planned weight",
        [AP_NOT_WEIGHED] = "not weighed",
        [AP_PLAN_BASIS_UNKNOWN] = "planned as net or gross is not known",
        [AP_WEIGH_BASIS_UNKNOWN] = "measured as net or gross is not known",
        [AP_NET_NOT_POSITIVE] = "not heavier than the rigging itself",
    };
    return ap_str_from(why[compared]);
}

static void put_derived(ap_doc *doc, const ap_whole_pick *whole) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("figure"), .label = AP_STR_LIT("figure"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("value"), .label = AP_STR_LIT("value"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("from"), .label = AP_STR_LIT("from"), .kind = AP_CELL_TEXT},
    };
    const ap_derived *d = &whole->derived;
    const ap_pick *p = &whole->pick;
    int planned_as = p->planned_as ? p->planned_as : whole->settings->planned_as;
    ap_origin_kind planned_as_from = p->planned_as ? AP_ORIGIN_LOG : AP_ORIGIN_SETTING;
    ap_doc_section(doc, 2, AP_STR_LIT("derived"), AP_STR_LIT("Worked out from the log"));
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("derived"), AP_STR_NONE, columns, 3);
    put_derived_row(table, "block and slings", ap_doc_quantity(doc, AP_DIM_LOAD, d->rigging_kg, false),
                    d->rigging_from == AP_ORIGIN_LOG     ? AP_STR_LIT("the log")
                    : d->rigging_from == AP_ORIGIN_CRANE ? AP_STR_LIT("the crane's own block weight")
                                                         : AP_STR_LIT("the company's setting block_weight"));
    put_derived_row(table, "planned net", ap_doc_quantity(doc, AP_DIM_LOAD, d->planned_net_kg, false),
                    weight_origin(p->planned_weight_kg, planned_as, planned_as_from, d->rigging_from, true));
    put_derived_row(table, "measured net", ap_doc_quantity(doc, AP_DIM_LOAD, d->measured_net_kg, false),
                    measured_origin(doc, whole, true));
    put_derived_row(table, "measured against planned", against_plan(doc, d->ratio), why_no_ratio(d->compared));
    put_derived_row(table, "planned load on the hook", ap_doc_quantity(doc, AP_DIM_LOAD, d->hook_planned_kg, false),
                    weight_origin(p->planned_weight_kg, planned_as, planned_as_from, d->rigging_from, false));
    put_derived_row(table, "load on the hook", ap_doc_quantity(doc, AP_DIM_LOAD, d->hook_kg, false),
                    measured_origin(doc, whole, false));
    bool stands_in = isnan(d->rated_cut.capacity_kg) && !isnan(d->share_cut);
    const ap_rated *cut = stands_in ? &d->rated_planned : &d->rated_cut;
    put_share(doc, table, "of the chart as planned", d->share_planned, "planned load",
              rated_origin(doc, whole, &d->rated_planned, "at the planned radius"), d->rated_planned.capacity_kg > 0,
              "the load is not known");
    put_share(doc, table, "of the chart at the cut", d->share_cut, "load on the hook",
              rated_origin(doc, whole, cut, stands_in ? "at the planned radius, no other is known" : "at the cut"),
              cut->capacity_kg > 0, "the load is not known");
    put_share(doc, table, "of the chart at set-down", d->share_set_down, "load on the hook",
              rated_origin(doc, whole, &d->rated_set_down, "at set-down"), d->rated_set_down.capacity_kg > 0,
              "the load is not known");
    put_share(doc, table, "peak of the chart at the cut", d->peak_share, "peak load on the indicator",
              rated_origin(doc, whole, &d->rated_cut, "at the cut"), d->rated_cut.capacity_kg > 0,
              "no peak load recorded");
    if (d->indicator_factor != 1 && !isnan(p->measured_weight_kg)) {
        put_derived_row(table, "weight as corrected", ap_doc_quantity(doc, AP_DIM_LOAD, d->measured_kg, false),
                        ap_doc_printf(doc, "the log's %.*s x %.3f, corrected by the calibration of %.*s",
                                      AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, p->measured_weight_kg, false)),
                                      d->indicator_factor, AP_STR_ARG(ap_doc_date(doc, d->calibrated_on))));
    }
}

static void put_source(ap_doc *doc, const ap_whole_pick *whole) {
    const ap_pick_source *source = &whole->source;
    ap_doc_section(doc, 2, AP_STR_LIT("source"), AP_STR_LIT("Where it came from"));
    ap_doc_paragraph(doc, ap_doc_printf(doc, "%.*s line %lld, import %lld of %.*s%s%.*s; read as %.*s, dates %.*s.",
                                        AP_STR_ARG(source->file), (long long)source->line, (long long)source->import_id,
                                        AP_STR_ARG(ap_doc_date(doc, source->imported_on)),
                                        source->imported_by.len ? " by " : "", AP_STR_ARG(source->imported_by),
                                        AP_STR_ARG(source->dialect), AP_STR_ARG(source->date_order)));
    ap_doc_paragraph(doc, ap_doc_printf(doc, "SHA-256 of the log: %.*s", AP_STR_ARG(source->sha256)));
}

static void put_changes(ap_doc *doc, const ap_whole_pick *whole) {
    for (size_t i = 0; i < whole->changes.count; i++) {
        const ap_change *change = &whole->changes.items[i];
        ap_str old = ap_say_past_value(doc, change->field, change->old_value, whole->names);
        ap_str new = ap_say_past_value(doc, change->field, change->new_value, whole->names);
        ap_doc_list_item(doc, ap_doc_printf(doc, "%.*s: %.*s from %.*s to %.*s%s%.*s; %.*s",
                                            AP_STR_ARG(ap_doc_date(doc, change->amended_on)), AP_STR_ARG(change->field),
                                            AP_STR_ARG(old), AP_STR_ARG(new), change->who.len ? " by " : "",
                                            AP_STR_ARG(change->who), AP_STR_ARG(change->why)));
    }
}

static void put_conflicts(ap_doc *doc, const ap_whole_pick *whole) {
    for (size_t i = 0; i < whole->conflicts.count; i++) {
        const ap_conflict *conflict = &whole->conflicts.items[i];
        ap_str says =
            ap_doc_printf(doc, "%s: %.*s line %lld of import %lld says", conflict->open ? "Open conflict" : "Conflict",
                          AP_STR_ARG(conflict->file), (long long)conflict->line, (long long)conflict->import_id);
        for (size_t k = 0; k < conflict->value_count; k++) {
            const ap_conflict_value *value = &conflict->values[k];
            ap_str offered = ap_say_past_value(doc, value->field, value->offered, whole->names);
            ap_str stored = ap_say_past_value(doc, value->field, value->stored, whole->names);
            says = ap_doc_printf(doc, "%.*s%s %.*s %.*s (stored: %.*s)", AP_STR_ARG(says), k ? "," : "",
                                 AP_STR_ARG(value->field), AP_STR_ARG(offered), AP_STR_ARG(stored));
        }
        if (!conflict->open) {
            says = ap_doc_printf(doc, "%.*s; decided %.*s%s%.*s: %.*s", AP_STR_ARG(says),
                                 AP_STR_ARG(ap_doc_date(doc, conflict->decided_on)),
                                 conflict->decided_by.len ? " by " : "", AP_STR_ARG(conflict->decided_by),
                                 AP_STR_ARG(conflict->decided_why));
        }
        ap_doc_list_item(doc, says);
    }
}

static void put_history(ap_doc *doc, const ap_whole_pick *whole) {
    ap_doc_section(doc, 2, AP_STR_LIT("history"), AP_STR_LIT("History"));
    ap_doc_list_item(doc, ap_doc_printf(doc, "%.*s: stored by import %lld",
                                        AP_STR_ARG(ap_doc_date(doc, whole->source.imported_on)),
                                        (long long)whole->source.import_id));
    put_changes(doc, whole);
    put_conflicts(doc, whole);
}

static ap_str open_conflicts(ap_doc *doc, const ap_whole_pick *whole) {
    size_t open = 0;
    for (size_t i = 0; i < whole->conflicts.count; i++) {
        open += whole->conflicts.items[i].open;
    }
    return open ? ap_doc_printf(doc, " %zu second reading%s a person to decide: afterpick problems.", open,
                                open == 1 ? " waits for" : "s wait for")
                : AP_STR_LIT("");
}

static void put_recon(ap_doc *doc, const ap_whole_pick *whole) {
    const ap_recon_view logged = {&whole->pick, &whole->recon};
    ap_doc_section(doc, 2, AP_STR_LIT("reconstructed"), AP_STR_LIT("Reconstructed"));
    ap_recon_put(doc, &logged);
    if (whole->supposed) {
        const ap_recon_view supposed = {&whole->supposed->pick, &whole->supposed->recon};
        ap_doc_section(doc, 2, AP_STR_LIT("what-if"), AP_STR_LIT("What if"));
        ap_doc_paragraph(doc, whole->supposed->says);
        ap_recon_put_supposed(doc, &logged, &supposed);
    }
}

void ap_pick_page(ap_doc *doc, const ap_whole_pick *whole) {
    const ap_pick *pick = &whole->pick;
    const ap_derived *d = &whole->derived;
    ap_arena arena;
    ap_arena_init(&arena, 1u << 16);
    ap_str compared = isnan(d->ratio) ? why_no_ratio(d->compared) : ap_say_ratio(&arena, d->ratio);
    ap_doc_answer(
        doc, ap_doc_printf(doc, "%.*s, %.*s: %.*s.%s%s%.*s", AP_STR_ARG(pick->name), AP_STR_ARG(pick->species_common),
                           AP_STR_ARG(compared), d->over_chart ? " Over chart." : "",
                           d->toward_person ? " Moved toward a person." : "", AP_STR_ARG(open_conflicts(doc, whole))));
    ap_arena_release(&arena);
    if (whole->drawing) {
        ap_doc_section(doc, 2, AP_STR_LIT("side"), AP_STR_LIT("From the side"));
        ap_doc_figure(doc, ap_figure_id(whole->drawing), ap_figure_title(whole->drawing),
                      ap_figure_description(whole->drawing), ap_figure_page(whole->drawing),
                      ap_figure_missing(whole->drawing));
    }
    put_group(doc, whole, AP_GROUP_WHERE, "where", "Where and who");
    put_group(doc, whole, AP_GROUP_PIECE, "piece", "Piece");
    put_group(doc, whole, AP_GROUP_PLAN, "plan", "Plan");
    put_group(doc, whole, AP_GROUP_WEIGHING, "weighing", "Weighing");
    put_group(doc, whole, AP_GROUP_CUT, "cut", "Cut");
    put_legs(doc, whole);
    put_group(doc, whole, AP_GROUP_HAPPENED, "happened", "What happened");
    put_derived(doc, whole);
    put_recon(doc, whole);
    if (whole->among) {
        ap_pick_among_put(doc, whole->among);
    }
    put_source(doc, whole);
    if (whole->history) {
        put_history(doc, whole);
    } else if (whole->changes.count || whole->conflicts.count) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "%zu amendment%s and %zu second reading%s: --history shows them.",
                                            whole->changes.count, whole->changes.count == 1 ? "" : "s",
                                            whole->conflicts.count, whole->conflicts.count == 1 ? "" : "s"));
    }
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
}

void ap_pick_table(ap_doc *doc, const ap_whole_pick *whole) {
    ap_table *table = field_table(doc, "pick");
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        if (!ap_pick_field_is_blank(&whole->pick, i)) {
            put_field(doc, table, whole, i, true);
        }
    }
}
