#include "report/working_page.h"

/* The last amendment of a field; NULL when it stands as logged. */
static const ap_change *last_change(const ap_working *working, int column) {
    const ap_change_list *changes = &working->whole->changes;
    for (size_t i = changes->count; i > 0; i--) {
        if (ap_str_equal_word(changes->items[i - 1].field, ap_field_get(column)->name)) {
            return &changes->items[i - 1];
        }
    }
    return NULL;
}

/* Where a cell of the log stood: "june.csv:41:7"; `file` none: "41:7". */
static ap_str cell_place(ap_arena *arena, const ap_working *working, int column, ap_str file) {
    const ap_change *change = last_change(working, column);
    char day[AP_ISO_SIZE];
    if (change) {
        ap_date_to_iso(day, change->amended_on);
        return ap_arena_printf(arena, "amended %s", day);
    }
    ap_str place = file.len
                       ? ap_arena_printf(arena, "%.*s:%lld", AP_STR_ARG(file), (long long)working->whole->source.line)
                       : ap_arena_printf(arena, "%lld", (long long)working->whole->source.line);
    int cell = working->cells[column];
    return cell ? ap_arena_printf(arena, "%.*s:%d", AP_STR_ARG(place), cell)
                : ap_arena_printf(arena, "%.*s, by its profile", AP_STR_ARG(place));
}

static ap_str origin_of(ap_arena *arena, const ap_working *working, const ap_record_input *input, ap_str file) {
    const char *note = input->note;
    switch (input->from) {
    case AP_ORIGIN_LOG:
        return input->column >= 0 ? cell_place(arena, working, input->column, file) : AP_STR_LIT("the log");
    case AP_ORIGIN_SETTING:
        return strchr(note, ' ') ? ap_arena_printf(arena, "default (%s)", note)
                                 : ap_arena_printf(arena, "default (setting %s)", note);
    case AP_ORIGIN_CRANE:
        return note[0] ? ap_arena_printf(arena, "the crane's entry: %s", note) : AP_STR_LIT("the crane's entry");
    case AP_ORIGIN_SLING:
        return AP_STR_LIT("the sling's entry");
    case AP_ORIGIN_HANDBOOK:
        return ap_arena_printf(arena, "handbook: %s", note);
    case AP_ORIGIN_ACCEPTED:
        return AP_STR_LIT("the company's accepted figure");
    case AP_ORIGIN_LEARNT:
        return AP_STR_LIT("learnt from the book's weighed pieces");
    case AP_ORIGIN_DERIVED:
    case AP_ORIGIN_NONE:
        break;
    default:
        break;
    }
    return note[0] ? ap_str_from(note) : AP_STR_LIT("worked out here");
}

static ap_str value_of(ap_doc *doc, ap_dim dim, bool small, double value) {
    switch (dim) {
    case AP_DIM_NONE:
        return ap_doc_number(doc, value, 3);
    case AP_DIM_ANGLE:
        return ap_doc_printf(doc, "%.1f°", value);
    case AP_DIM_SHARE:
        return ap_doc_percent(doc, value, 1);
    default:
        return ap_doc_quantity(doc, dim, value, small);
    }
}

static ap_str input_value(ap_doc *doc, const ap_record_input *input) {
    ap_arena arena;
    if (!input->word.ptr) {
        return isnan(input->value) ? AP_STR_LIT("as logged") : value_of(doc, input->dim, input->small, input->value);
    }
    ap_arena_init(&arena, 1u << 12);
    ap_str says = ap_word_plain(&arena, input->word);
    says = ap_doc_printf(doc, "%.*s", AP_STR_ARG(says));
    ap_arena_release(&arena);
    return says;
}

/* "measured net / planned net. measured weight 3,420 lb [3:26]; ..." */
static ap_str how(ap_doc *doc, const ap_working *working, const ap_record *record) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 18);
    ap_str says = ap_doc_printf(doc, "%s%s", record->formula, record->input_count ? ". " : "");
    for (int i = 0; i < record->input_count; i++) {
        const ap_record_input *input = &record->inputs[i];
        bool derived = input->from == AP_ORIGIN_DERIVED && !input->note[0];
        ap_str origin = derived ? AP_STR_NONE : origin_of(&arena, working, input, AP_STR_NONE);
        says = ap_doc_printf(doc, "%.*s%s%s %.*s%s%.*s%s", AP_STR_ARG(says), i ? "; " : "", input->name,
                             AP_STR_ARG(input_value(doc, input)), derived ? "" : " [", AP_STR_ARG(origin),
                             derived ? "" : "]");
    }
    if (record->why.len) {
        says = ap_doc_printf(doc, "%.*s. %c%.*s", AP_STR_ARG(says),
                             record->why.ptr[0] >= 'a' && record->why.ptr[0] <= 'z' ? record->why.ptr[0] - 32
                                                                                    : record->why.ptr[0],
                             AP_STR_ARG(((ap_str){record->why.ptr + 1, record->why.len - 1})));
    }
    ap_arena_release(&arena);
    return says;
}

static ap_table *group_table(ap_doc *doc, const char *group) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("figure"), .label = AP_STR_LIT("figure"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("value"), .label = AP_STR_LIT("value"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("how"), .label = AP_STR_LIT("how, and from what"), .kind = AP_CELL_TEXT},
    };
    ap_str heading = ap_doc_printf(doc, "%c%s", group[0] - 32, group + 1);
    ap_doc_section(doc, 2, ap_str_from(group), heading);
    return ap_doc_table(doc, ap_str_from(group), AP_STR_NONE, columns, 3);
}

static void put_sources(ap_doc *doc, const ap_record_list *records, const char *group) {
    for (size_t i = 0; i < records->count; i++) {
        const ap_record *record = &records->items[i];
        bool seen = strcmp(record->group, group) != 0 || !record->source[0];
        for (size_t k = 0; k < i && !seen; k++) {
            seen = strcmp(records->items[k].source, record->source) == 0 && strcmp(records->items[k].group, group) == 0;
        }
        if (!seen) {
            ap_doc_list_item(doc, ap_doc_printf(doc, "Source: %s.", record->source));
        }
    }
}

void ap_working_page(ap_doc *doc, const ap_working *working) {
    const ap_record_list *records = working->records;
    const ap_pick_source *source = &working->whole->source;
    const char *group = "";
    ap_table *table = NULL;
    ap_doc_answer(doc, ap_doc_printf(doc, "%.*s: %zu figures, each with its formula and what went into it.",
                                     AP_STR_ARG(working->whole->pick.name), records->count));
    ap_doc_paragraph(doc, ap_doc_printf(doc, "[%lld:7] is line %lld, cell 7 of %.*s.", (long long)source->line,
                                        (long long)source->line, AP_STR_ARG(source->file)));
    for (size_t i = 0; i < records->count; i++) {
        const ap_record *record = &records->items[i];
        if (strcmp(record->group, group) != 0) {
            if (table) {
                put_sources(doc, records, group);
            }
            group = record->group;
            table = group_table(doc, group);
        }
        ap_table_row(table);
        ap_table_text(table, record->name);
        ap_table_text(table,
                      isnan(record->value) ? AP_STR_NONE : value_of(doc, record->dim, record->small, record->value));
        ap_table_text(table, how(doc, working, record));
    }
    if (table) {
        put_sources(doc, records, group);
    }
}

static ap_str text_value(ap_doc *doc, double value, ap_str word) {
    return word.ptr ? word : isnan(value) ? AP_STR_NONE : ap_doc_printf(doc, "%.15g", value);
}

void ap_working_table(ap_doc *doc, const ap_working *working) {
    static const char *const names[] = {"figure", "value_si", "formula", "input", "input_si", "origin", "remark"};
    ap_column columns[7] = {0};
    ap_arena arena;
    ap_arena_init(&arena, 1u << 20);
    for (size_t i = 0; i < 7; i++) {
        columns[i].key = columns[i].label = ap_str_from(names[i]);
        columns[i].kind = AP_CELL_TEXT;
    }
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("working"), AP_STR_NONE, columns, 7);
    for (size_t i = 0; i < working->records->count; i++) {
        const ap_record *record = &working->records->items[i];
        for (int k = 0; k < record->input_count || k == 0; k++) {
            const ap_record_input *input = k < record->input_count ? &record->inputs[k] : NULL;
            ap_table_row(table);
            ap_table_text(table, ap_str_from(record->key));
            ap_table_text(table, text_value(doc, record->value, AP_STR_NONE));
            ap_table_text(table, ap_str_from(record->formula));
            ap_table_text(table, input ? ap_str_from(input->name) : AP_STR_NONE);
            ap_table_text(table, input ? text_value(doc, input->value, input->word) : AP_STR_NONE);
            ap_table_text(table, input ? origin_of(&arena, working, input, working->whole->source.file) : AP_STR_NONE);
            ap_table_text(table, record->why);
        }
    }
    ap_arena_release(&arena);
}

static void put_input(ap_json *json, ap_arena *arena, const ap_working *working, const ap_record_input *input) {
    ap_json_object_begin(json);
    ap_json_put_text(json, "name", ap_str_from(input->name));
    if (input->word.ptr) {
        ap_json_put_text(json, "value", input->word);
    } else {
        ap_json_put_number(json, "value", input->value);
    }
    ap_json_put_text(json, "origin", origin_of(arena, working, input, working->whole->source.file));
    ap_json_object_end(json);
}

void ap_working_json(ap_json *json, ap_arena *arena, const ap_working *working) {
    static const char *const units[AP_DIM_COUNT] = {
        [AP_DIM_NONE] = "1",  [AP_DIM_LENGTH] = "m", [AP_DIM_LOAD] = "kg",   [AP_DIM_ANGLE] = "deg",
        [AP_DIM_SHARE] = "1", [AP_DIM_FORCE] = "N",  [AP_DIM_VOLUME] = "m3", [AP_DIM_DENSITY] = "kg/m3",
    };
    ap_json_key(json, "working");
    ap_json_array_begin(json);
    for (size_t i = 0; i < working->records->count; i++) {
        const ap_record *record = &working->records->items[i];
        ap_json_object_begin(json);
        ap_json_put_text(json, "key", ap_str_from(record->key));
        ap_json_put_text(json, "name", record->name);
        ap_json_put_number(json, "value", record->value);
        ap_json_put_text(json, "unit", ap_str_from(units[record->dim]));
        ap_json_put_text(json, "formula", ap_str_from(record->formula));
        ap_json_put_text(json, "source", record->source[0] ? ap_str_from(record->source) : AP_STR_NONE);
        ap_json_put_text(json, "remark", record->why);
        ap_json_key(json, "inputs");
        ap_json_array_begin(json);
        for (int k = 0; k < record->input_count; k++) {
            put_input(json, arena, working, &record->inputs[k]);
        }
        ap_json_array_end(json);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
}
