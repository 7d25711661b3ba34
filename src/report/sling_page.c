#include "report/sling_page.h"

#include "report/entry_history.h"

#include "base/units.h"

static const char caution[] =
    "A use worked out from a log is only as good as the log, and a sling is also worn by what nobody logs. The tag, "
    "the "
    "sling's maker and a person trained to inspect it decide; take it out of use when in doubt.";

static ap_str word_of(ap_vocabulary vocabulary, int value) {
    const char *word = value ? ap_word_get(vocabulary, value) : NULL;
    return word ? ap_str_from(word) : AP_STR_NONE;
}

static double days_since(ap_date date, ap_date today) {
    return date == AP_DATE_NONE ? (double)NAN : (double)(today - date);
}

static ap_str mark_of(const ap_sling_row *row) {
    return ap_sling_used_retired(row)       ? AP_STR_LIT("used after it was retired")
           : ap_sling_needs_inspection(row) ? AP_STR_LIT("inspect")
           : ap_sling_is_retired(row)       ? AP_STR_LIT("retired")
                                            : AP_STR_NONE;
}

static void list_answer(ap_doc *doc, const ap_sling_register *reg) {
    size_t inspect = 0;
    size_t retired = 0;
    for (size_t i = 0; i < reg->count; i++) {
        inspect += ap_sling_needs_inspection(&reg->rows[i]);
        retired += ap_sling_used_retired(&reg->rows[i]);
    }
    if (reg->count == 0) {
        ap_doc_answer(doc, AP_STR_LIT("No leg of this book has a sling tag, and no sling is entered."));
        return;
    }
    ap_str late = retired ? AP_STR_LIT(" Some were used after they were retired.") : AP_STR_LIT("");
    if (inspect == 0) {
        ap_doc_answer(doc, ap_doc_printf(doc,
                                         "None of %zu slings in use was over its limit or shocked since its last "
                                         "inspection, as far as the logs tell.%.*s",
                                         reg->count, AP_STR_ARG(late)));
        return;
    }
    ap_doc_answer(doc,
                  ap_doc_printf(doc,
                                "%zu of %zu slings %s over the limit or shocked since the last inspection: inspect "
                                "%s.%.*s",
                                inspect, reg->count, inspect == 1 ? "was" : "were", inspect == 1 ? "it" : "them",
                                AP_STR_ARG(late)));
}

void ap_slings_page(ap_doc *doc, const ap_sling_register *reg, ap_date today) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("sling"), .label = AP_STR_LIT("sling"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("kind"), .label = AP_STR_LIT("kind"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("wll"), .label = AP_STR_LIT("limit"), .kind = AP_CELL_QUANTITY, .dim = AP_DIM_LOAD},
        {.key = AP_STR_LIT("picks"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("last"), .label = AP_STR_LIT("last pick"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("worst_use"), .label = AP_STR_LIT("worst use"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("over"), .label = AP_STR_LIT("over"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("days_since_over"), .label = AP_STR_LIT("days since"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("shocks"), .label = AP_STR_LIT("shocks"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("flat"), .label = AP_STR_LIT("flat"), .kind = AP_CELL_COUNT},
    };
    list_answer(doc, reg);
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("slings"), AP_STR_LIT("Slings by tag"), columns,
                                   sizeof columns / sizeof columns[0]);
    ap_table_has_marks(table);
    ap_table_empty(table, AP_STR_LIT("no sling"));
    for (size_t i = 0; i < reg->count; i++) {
        const ap_sling_row *row = &reg->rows[i];
        ap_table_row(table);
        ap_table_text(table, row->tag);
        ap_table_text(table, word_of(AP_VOC_LEG_KIND, row->kind));
        ap_table_value(table, row->wll_kg);
        ap_table_value(table, (double)row->picks);
        ap_table_date(table, row->last);
        ap_table_value(table, row->worst_use);
        ap_table_value(table, (double)row->over);
        ap_table_value(table, days_since(row->last_over, today));
        ap_table_value(table, (double)row->shocks);
        ap_table_value(table, (double)row->flat);
        ap_str mark = mark_of(row);
        if (mark.len) {
            ap_table_row_mark(table, mark);
        }
    }
    if (reg->untagged) {
        ap_doc_paragraph(doc,
                         ap_doc_printf(doc, "%zu legs have no tag in the log and count for no sling.", reg->untagged));
    }
    if (reg->left_out) {
        ap_doc_paragraph(
            doc, ap_doc_printf(doc, "%zu legs with more tags than the register takes are left out.", reg->left_out));
    }
    ap_doc_working_begin(doc, AP_STR_LIT("How this was worked out"));
    ap_doc_paragraph(
        doc,
        AP_STR_LIT("Use: the leg's tension as reconstructed at rest after the cut, over the working load limit times "
                   "the factor of the hitch; the logged limit before the entered one. Over: more than all of it. Flat: "
                   "less than 30 degrees above the horizontal. Shock: a logged peak more than 15 % above the measured "
                   "load, a logged drop, or a fall of more than 6 in (15 cm) before a slack leg bites; a peak counts "
                   "for every sling of the pick, because which one took it is not logged. Common practice, no "
                   "source, for both limits."));
    ap_doc_working_end(doc);
    ap_doc_caution(doc, ap_str_from(caution));
}

/* "peak 1.32 of the load, logged drop" */
static ap_str shock_text(ap_doc *doc, const ap_sling_service *use) {
    if (!use->shock) {
        return AP_STR_NONE;
    }
    if (ap_over(use->peak, AP_SLING_SHOCK)) {
        return ap_doc_printf(doc, "peak %.2f of the load%s", use->peak, use->dropped ? ", dropped" : "");
    }
    return use->dropped
               ? AP_STR_LIT("dropped")
               : ap_doc_printf(doc, "fell %.*s", AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, use->drop_m, true)));
}

void ap_sling_picks_table(ap_doc *doc, const ap_sling_register *reg) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("pick"), .label = AP_STR_LIT("pick"), .kind = AP_CELL_PICK},
        {.key = AP_STR_LIT("date"), .label = AP_STR_LIT("date"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("leg"), .label = AP_STR_LIT("leg"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("hitch"), .label = AP_STR_LIT("hitch"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("tension"),
         .label = AP_STR_LIT("tension"),
         .kind = AP_CELL_QUANTITY,
         .dim = AP_DIM_LOAD,
         .digits = AP_DIGITS_ABOUT},
        {.key = AP_STR_LIT("use"), .label = AP_STR_LIT("use"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("angle_deg"), .label = AP_STR_LIT("angle"), .kind = AP_CELL_NUMBER, .digits = 0},
        {.key = AP_STR_LIT("shock"), .label = AP_STR_LIT("shock"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("why"), .label = AP_STR_LIT("no use because"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("picks"), AP_STR_LIT("Every pick it was on"), columns,
                                   sizeof columns / sizeof columns[0]);
    ap_table_has_marks(table);
    ap_table_empty(table, AP_STR_LIT("no pick of this book has this tag"));
    for (size_t i = 0; i < reg->use_count; i++) {
        const ap_sling_service *use = &reg->uses[i];
        ap_table_row(table);
        ap_table_text(table, use->pick);
        ap_table_date(table, use->date);
        ap_table_value(table, use->leg);
        ap_table_text(table, word_of(AP_VOC_HITCH, use->hitch));
        ap_table_value(table, use->tension_n / AP_STANDARD_GRAVITY);
        ap_table_value(table, use->use);
        ap_table_value(table, use->angle_deg);
        ap_table_text(table, shock_text(doc, use));
        ap_table_text(table, use->why);
        if (use->over || use->flat) {
            ap_table_row_mark(table, use->over ? AP_STR_LIT("over its limit") : AP_STR_LIT("flat"));
        }
    }
}

static void put_facts(ap_doc *doc, const ap_sling_row *row, ap_date today) {
    const ap_sling_entry *entry = row->entry;
    ap_str kind = word_of(AP_VOC_LEG_KIND, row->kind);
    ap_doc_list_item(doc, isnan(row->wll_kg)
                              ? AP_STR_LIT("working load limit: neither logged nor entered; no use can be said")
                              : ap_doc_printf(doc, "working load limit: %.*s, %s%s",
                                              AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, row->wll_kg, false)),
                                              entry && entry->wll_kg > 0 ? "as entered" : "as last logged",
                                              row->wll_varies ? "; the logs give it other limits too" : ""));
    if (kind.len || (entry && !isnan(entry->length_m))) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "kind: %.*s%s%.*s",
                                            AP_STR_ARG(kind.len ? kind : AP_STR_LIT("not recorded")),
                                            entry && !isnan(entry->length_m) ? ", length " : "",
                                            AP_STR_ARG(entry && !isnan(entry->length_m)
                                                           ? ap_doc_quantity(doc, AP_DIM_LENGTH, entry->length_m, false)
                                                           : AP_STR_NONE)));
    }
    if (entry && !isnan(entry->factor)) {
        ap_doc_list_item(doc,
                         ap_doc_printf(doc, "the company's factor for its hitch or knot: %.2f of the limit%s%.*s",
                                       entry->factor, entry->source.len ? ", by " : "", AP_STR_ARG(entry->source)));
    } else if (entry && entry->source.len) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "figures by: %.*s", AP_STR_ARG(entry->source)));
    }
    ap_doc_list_item(doc, row->over ? ap_doc_printf(doc, "over its limit on %zu picks, the last %.0f days ago",
                                                    row->over, days_since(row->last_over, today))
                                    : AP_STR_LIT("never over its limit, as far as the logs tell"));
    if (row->shocks) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "shocked %zu time%s, the last %.0f days ago", row->shocks,
                                            row->shocks == 1 ? "" : "s", days_since(row->last_shock, today)));
    }
    ap_doc_list_item(doc,
                     entry && entry->inspected_on != AP_DATE_NONE
                         ? ap_doc_printf(doc, "inspected on %.*s", AP_STR_ARG(ap_doc_date(doc, entry->inspected_on)))
                         : AP_STR_LIT("no inspection is entered"));
    if (entry && entry->retired_on != AP_DATE_NONE) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "retired on %.*s%s", AP_STR_ARG(ap_doc_date(doc, entry->retired_on)),
                                            ap_sling_used_retired(row) ? ", and used after that" : ""));
    }
}

void ap_sling_page(ap_doc *doc, const ap_sling_register *reg, const ap_sling_row *row, const ap_entry_change *changes,
                   size_t change_count, ap_date today) {
    ap_str worst = isnan(row->worst_use)
                       ? AP_STR_LIT("what it used of its limit is not known")
                       : ap_doc_printf(doc, "at the most %.*s of its limit (%.*s)",
                                       AP_STR_ARG(ap_doc_percent(doc, row->worst_use, 0)), AP_STR_ARG(row->worst_pick));
    ap_doc_answer(doc, ap_doc_printf(doc, "%.*s: %zu pick%s, %.*s.%s", AP_STR_ARG(row->tag), row->picks,
                                     row->picks == 1 ? "" : "s", AP_STR_ARG(worst),
                                     ap_sling_used_retired(row)       ? " Used after it was retired."
                                     : ap_sling_needs_inspection(row) ? " Inspect it."
                                                                      : ""));
    put_facts(doc, row, today);
    ap_sling_picks_table(doc, reg);
    if (reg->use_left_out) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "%zu later ones are not listed.", reg->use_left_out));
    }
    ap_entry_history_put(doc, changes, change_count);
    ap_doc_caution(doc, ap_str_from(caution));
}

static void put_row(ap_json *json, const ap_sling_row *row, ap_date today) {
    const ap_sling_entry *entry = row->entry;
    ap_json_put_text(json, "sling", row->tag);
    ap_json_put_bool(json, "entered", entry != NULL);
    ap_json_put_text(json, "kind", word_of(AP_VOC_LEG_KIND, row->kind));
    ap_json_put_number(json, "wll_kg", row->wll_kg);
    ap_json_put_bool(json, "wll_varies", row->wll_varies);
    ap_json_put_number(json, "length_m", entry ? entry->length_m : (double)NAN);
    ap_json_put_number(json, "factor", entry ? entry->factor : (double)NAN);
    ap_json_put_text(json, "source", entry && entry->source.len ? entry->source : AP_STR_NONE);
    ap_json_put_date(json, "retired_on", entry ? entry->retired_on : AP_DATE_NONE);
    ap_json_put_date(json, "inspected_on", entry ? entry->inspected_on : AP_DATE_NONE);
    ap_json_put_int(json, "picks", (int64_t)row->picks);
    ap_json_put_date(json, "first", row->first);
    ap_json_put_date(json, "last", row->last);
    ap_json_put_int(json, "judged", (int64_t)row->judged);
    ap_json_put_number(json, "worst_use", row->worst_use);
    ap_json_put_text(json, "worst_pick", row->worst_pick.len ? row->worst_pick : AP_STR_NONE);
    ap_json_put_int(json, "over", (int64_t)row->over);
    ap_json_put_date(json, "last_over", row->last_over);
    ap_json_put_number(json, "days_since_over", days_since(row->last_over, today));
    ap_json_put_int(json, "shocks", (int64_t)row->shocks);
    ap_json_put_date(json, "last_shock", row->last_shock);
    ap_json_put_int(json, "flat", (int64_t)row->flat);
    ap_json_put_bool(json, "inspect", ap_sling_needs_inspection(row));
    ap_json_put_bool(json, "used_retired", ap_sling_used_retired(row));
}

void ap_slings_json(ap_json *json, const ap_sling_register *reg, ap_date today) {
    ap_json_object_begin(json);
    ap_json_put_int(json, "untagged_legs", (int64_t)reg->untagged);
    ap_json_key(json, "slings");
    ap_json_array_begin(json);
    for (size_t i = 0; i < reg->count; i++) {
        ap_json_object_begin(json);
        put_row(json, &reg->rows[i], today);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}

static void put_use(ap_json *json, const ap_sling_service *use) {
    ap_json_object_begin(json);
    ap_json_put_text(json, "pick", use->pick);
    ap_json_put_date(json, "date", use->date);
    ap_json_put_int(json, "leg", use->leg);
    ap_json_put_text(json, "hitch", word_of(AP_VOC_HITCH, use->hitch));
    ap_json_put_text(json, "state", word_of(AP_VOC_LEG_STATE, use->state));
    ap_json_put_number(json, "wll_kg", use->wll_kg);
    ap_json_put_number(json, "tension_n", use->tension_n);
    ap_json_put_number(json, "use", use->use);
    ap_json_put_number(json, "angle_deg", use->angle_deg);
    ap_json_put_number(json, "drop_m", use->drop_m);
    ap_json_put_number(json, "peak", use->peak);
    ap_json_put_bool(json, "over", use->over);
    ap_json_put_bool(json, "flat", use->flat);
    ap_json_put_bool(json, "shock", use->shock);
    ap_json_put_text(json, "why", use->why);
    ap_json_object_end(json);
}

void ap_sling_json(ap_json *json, const ap_sling_register *reg, const ap_sling_row *row, const ap_entry_change *changes,
                   size_t change_count, ap_date today) {
    ap_json_object_begin(json);
    put_row(json, row, today);
    ap_json_key(json, "uses");
    ap_json_array_begin(json);
    for (size_t i = 0; i < reg->use_count; i++) {
        put_use(json, &reg->uses[i]);
    }
    ap_json_array_end(json);
    ap_entry_history_json(json, changes, change_count);
    ap_json_object_end(json);
}
