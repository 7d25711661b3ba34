#include "report/problems_page.h"

#include "report/pick_page.h"
#include "report/sentences.h"

static const char *const state_words[] = {
    [AP_PROBLEM_OPEN] = "set aside", [AP_PROBLEM_STORED_SINCE] = "since stored", [AP_PROBLEM_DROPPED] = "dropped"};
static const char *const state_names[] = {
    [AP_PROBLEM_OPEN] = "open", [AP_PROBLEM_STORED_SINCE] = "stored_since", [AP_PROBLEM_DROPPED] = "dropped"};

static ap_str where(ap_doc *doc, const ap_aside *aside) {
    return aside->column > 0 ? ap_doc_printf(doc, "%.*s:%lld, cell %d", AP_STR_ARG(aside->file), (long long)aside->line,
                                             aside->column)
                             : ap_doc_printf(doc, "%.*s:%lld", AP_STR_ARG(aside->file), (long long)aside->line);
}

/* The reason quotes the text already, as a rule. */
static bool is_quoted(ap_str reason, ap_str text) {
    for (size_t i = 0; text.len && i + text.len + 2 <= reason.len; i++) {
        if (reason.ptr[i] == '\'' && memcmp(reason.ptr + i + 1, text.ptr, text.len) == 0) {
            return true;
        }
    }
    return text.len == 0;
}

static ap_str row_in_words(ap_doc *doc, const ap_problem_row *row) {
    const ap_aside *aside = &row->aside;
    bool told = is_quoted(aside->reason, aside->text);
    ap_str says =
        ap_doc_printf(doc, "%.*s%s%.*s%s %.*s", AP_STR_ARG(aside->field), told ? "" : " '",
                      AP_STR_ARG(told ? AP_STR_LIT("") : aside->text), told ? ":" : "':", AP_STR_ARG(aside->reason));
    switch (row->state) {
    case AP_PROBLEM_STORED_SINCE:
        return ap_doc_printf(doc, "%.*s; a later log brought it: %.*s", AP_STR_ARG(says),
                             AP_STR_ARG(row->stored_since));
    case AP_PROBLEM_DROPPED:
        return ap_doc_printf(doc, "%.*s; dropped %.*s%s%.*s: %.*s", AP_STR_ARG(says),
                             AP_STR_ARG(ap_doc_date(doc, aside->dropped_on)), aside->dropped_by.len ? " by " : "",
                             AP_STR_ARG(aside->dropped_by), AP_STR_ARG(aside->dropped_why));
    case AP_PROBLEM_OPEN:
        break;
    }
    return aside->remedy.len ? ap_doc_printf(doc, "%.*s; %.*s", AP_STR_ARG(says), AP_STR_ARG(aside->remedy)) : says;
}

static ap_str reading(ap_doc *doc, const ap_conflict_value *value, ap_str text, ap_str file, int64_t line, bool names) {
    ap_str says = ap_say_past_value(doc, value->field, text, names);
    return file.len
               ? ap_doc_printf(doc, "%.*s from %.*s line %lld", AP_STR_ARG(says), AP_STR_ARG(file), (long long)line)
               : ap_doc_printf(doc, "%.*s from an import that was taken out", AP_STR_ARG(says));
}

static void put_readings(ap_doc *doc, const ap_problems *problems, bool names) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("pick"), .label = AP_STR_LIT("pick"), .kind = AP_CELL_PICK},
        {.key = AP_STR_LIT("field"), .label = AP_STR_LIT("field"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("stored"), .label = AP_STR_LIT("stored"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("offered"), .label = AP_STR_LIT("offered"), .kind = AP_CELL_TEXT},
    };
    ap_table *table =
        ap_doc_table(doc, AP_STR_LIT("readings"), AP_STR_NONE, columns, sizeof columns / sizeof columns[0]);
    ap_table_has_marks(table);
    for (size_t i = 0; i < problems->conflicts.count; i++) {
        const ap_conflict *conflict = &problems->conflicts.items[i];
        for (size_t k = 0; k < conflict->value_count; k++) {
            const ap_conflict_value *value = &conflict->values[k];
            ap_table_row(table);
            ap_table_text(table, conflict->pick);
            ap_table_text(table, value->field);
            ap_table_text(table,
                          reading(doc, value, value->stored, conflict->stored_file, conflict->stored_line, names));
            ap_table_text(table, reading(doc, value, value->offered, conflict->file, conflict->line, names));
            if (!conflict->open) {
                ap_table_row_mark(table, AP_STR_LIT("decided"));
            }
        }
    }
}

static void put_conflicts(ap_doc *doc, const ap_problems *problems, const ap_problem_filter *filter) {
    ap_doc_section(doc, 2, AP_STR_LIT("conflicts"), AP_STR_LIT("Second readings that say something else"));
    put_readings(doc, problems, filter->names);
    for (size_t i = 0; i < problems->conflicts.count; i++) {
        const ap_conflict *conflict = &problems->conflicts.items[i];
        if (!conflict->open) {
            ap_doc_list_item(doc, ap_doc_printf(doc, "%.*s against %.*s:%lld, decided %.*s%s%.*s: %.*s",
                                                AP_STR_ARG(conflict->pick), AP_STR_ARG(conflict->file),
                                                (long long)conflict->line,
                                                AP_STR_ARG(ap_doc_date(doc, conflict->decided_on)),
                                                conflict->decided_by.len ? " by " : "",
                                                AP_STR_ARG(conflict->decided_by), AP_STR_ARG(conflict->decided_why)));
        }
    }
    if (problems->conflicts_open) {
        ap_doc_paragraph(
            doc,
            AP_STR_LIT("To decide one: 'afterpick problems decide PICK keep|take --why \"...\"'; keep leaves what is "
                       "stored, take amends it to what was offered."));
    }
}

void ap_problems_page(ap_doc *doc, const ap_problems *problems, const ap_problem_filter *filter) {
    size_t rows = problems->rows_open;
    size_t conflicts = problems->conflicts_open;
    const ap_say_part parts[] = {{rows, "row set aside", "rows set aside"},
                                 {conflicts, "second reading", "second readings"}};
    ap_doc_answer(doc, rows + conflicts == 0
                           ? AP_STR_LIT("Nothing waits for a person.")
                           : ap_doc_printf(doc, "For a person: %.*s.",
                                           AP_STR_ARG(ap_say_parts(doc, parts, sizeof parts / sizeof *parts))));
    if (problems->row_count) {
        ap_doc_section(doc, 2, AP_STR_LIT("set-aside"), AP_STR_LIT("Rows set aside"));
        for (size_t i = 0; i < problems->row_count; i++) {
            const ap_problem_row *row = &problems->rows[i];
            ap_doc_alert(doc, ap_str_from(state_words[row->state]), where(doc, &row->aside), row_in_words(doc, row));
        }
        if (rows) {
            ap_doc_paragraph(
                doc, AP_STR_LIT("Mend the log and import it again ('import --rejects FILE' writes such rows with their "
                                "reasons), or drop a row: 'afterpick problems drop FILE:LINE --why \"...\"'."));
        }
    }
    if (problems->conflicts.count) {
        put_conflicts(doc, problems, filter);
    }
}

static void put_row_cells(ap_table *table, const ap_problem_row *row) {
    const ap_aside *aside = &row->aside;
    ap_table_row(table);
    ap_table_text(table, AP_STR_LIT("set aside"));
    ap_table_text(table, ap_str_from(state_names[row->state]));
    ap_table_text(table, aside->file);
    ap_table_value(table, (double)aside->line);
    ap_table_value(table, aside->column ? aside->column : (double)NAN);
    ap_table_text(table, row->stored_since);
    ap_table_text(table, aside->field);
    ap_table_text(table, aside->text);
    ap_table_text(table, AP_STR_NONE);
    ap_table_text(table, AP_STR_NONE);
    ap_table_value(table, NAN);
    ap_table_text(table, aside->reason);
    ap_table_text(table, aside->remedy);
}

static void put_conflict_cells(ap_table *table, ap_arena *arena, const ap_conflict *conflict, bool names) {
    for (size_t i = 0; i < conflict->value_count; i++) {
        const ap_conflict_value *value = &conflict->values[i];
        ap_table_row(table);
        ap_table_text(table, AP_STR_LIT("conflict"));
        ap_table_text(table, conflict->open ? AP_STR_LIT("open") : AP_STR_LIT("decided"));
        ap_table_text(table, conflict->file);
        ap_table_value(table, (double)conflict->line);
        ap_table_value(table, NAN);
        ap_table_text(table, conflict->pick);
        ap_table_text(table, value->field);
        ap_table_text(table, ap_say_history_value(arena, value->field, value->offered, names));
        ap_table_text(table, ap_say_history_value(arena, value->field, value->stored, names));
        ap_table_text(table, conflict->stored_file);
        ap_table_value(table, conflict->stored_file.len ? (double)conflict->stored_line : (double)NAN);
        ap_table_text(table, AP_STR_LIT("another value is stored"));
        ap_table_text(table, AP_STR_LIT("decide which of the two is right"));
    }
}

void ap_problems_table(ap_doc *doc, const ap_problems *problems, const ap_problem_filter *filter) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("kind"), .label = AP_STR_LIT("kind"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("state"), .label = AP_STR_LIT("state"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("file"), .label = AP_STR_LIT("log"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("line"), .label = AP_STR_LIT("line"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("cell"), .label = AP_STR_LIT("cell"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("pick"), .label = AP_STR_LIT("pick"), .kind = AP_CELL_PICK},
        {.key = AP_STR_LIT("column"), .label = AP_STR_LIT("column"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("text"), .label = AP_STR_LIT("found"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("stored"), .label = AP_STR_LIT("stored"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("stored_file"), .label = AP_STR_LIT("stored from"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("stored_line"), .label = AP_STR_LIT("its line"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("reason"), .label = AP_STR_LIT("why"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("remedy"), .label = AP_STR_LIT("what mends it"), .kind = AP_CELL_TEXT},
    };
    ap_arena arena;
    ap_arena_init(&arena, 64u << 20);
    ap_table *table =
        ap_doc_table(doc, AP_STR_LIT("problems"), AP_STR_LIT("Problems"), columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < problems->row_count; i++) {
        put_row_cells(table, &problems->rows[i]);
    }
    for (size_t i = 0; i < problems->conflicts.count; i++) {
        put_conflict_cells(table, &arena, &problems->conflicts.items[i], filter->names);
    }
    ap_arena_release(&arena);
}

static void put_json_row(ap_json *json, const ap_problem_row *row) {
    const ap_aside *aside = &row->aside;
    ap_json_object_begin(json);
    ap_json_put_text(json, "file", aside->file);
    ap_json_put_int(json, "line", aside->line);
    ap_json_put_int(json, "cell", aside->column);
    ap_json_put_text(json, "column", aside->field);
    ap_json_put_text(json, "text", aside->text);
    ap_json_put_text(json, "reason", aside->reason);
    ap_json_put_text(json, "remedy", aside->remedy);
    ap_json_put_text(json, "state", ap_str_from(state_names[row->state]));
    ap_json_put_text(json, "stored_since", row->stored_since);
    ap_json_put_int(json, "import", aside->import_id);
    ap_json_put_date(json, "imported_on", aside->imported_on);
    ap_json_put_date(json, "dropped_on", aside->dropped_on);
    ap_json_put_text(json, "dropped_by", aside->dropped_by.len ? aside->dropped_by : AP_STR_NONE);
    ap_json_put_text(json, "dropped_why", aside->dropped_why);
    ap_json_object_end(json);
}

static void put_json_conflict(ap_json *json, ap_arena *arena, const ap_conflict *conflict, bool names) {
    ap_json_object_begin(json);
    ap_json_put_text(json, "pick", conflict->pick);
    ap_json_put_text(json, "state", conflict->open ? AP_STR_LIT("open") : AP_STR_LIT("decided"));
    ap_json_put_text(json, "stored_file", conflict->stored_file);
    ap_json_key(json, "stored_line");
    if (conflict->stored_file.len) {
        ap_json_int(json, conflict->stored_line);
    } else {
        ap_json_null(json);
    }
    ap_json_put_text(json, "file", conflict->file);
    ap_json_put_int(json, "line", conflict->line);
    ap_json_put_int(json, "import", conflict->import_id);
    ap_json_key(json, "values");
    ap_json_array_begin(json);
    for (size_t i = 0; i < conflict->value_count; i++) {
        const ap_conflict_value *value = &conflict->values[i];
        ap_json_object_begin(json);
        ap_json_put_text(json, "field", value->field);
        ap_json_put_text(json, "stored", ap_say_history_value(arena, value->field, value->stored, names));
        ap_json_put_text(json, "offered", ap_say_history_value(arena, value->field, value->offered, names));
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_put_date(json, "decided_on", conflict->decided_on);
    ap_json_put_text(json, "decided_by", conflict->decided_by.len ? conflict->decided_by : AP_STR_NONE);
    ap_json_put_text(json, "decided_why", conflict->decided_why);
    ap_json_object_end(json);
}

void ap_conflicts_json(ap_json *json, ap_arena *arena, const ap_conflict_list *conflicts, bool names) {
    ap_json_array_begin(json);
    for (size_t i = 0; i < conflicts->count; i++) {
        put_json_conflict(json, arena, &conflicts->items[i], names);
    }
    ap_json_array_end(json);
}

void ap_problems_json(ap_json *json, ap_arena *arena, const ap_problems *problems, const ap_problem_filter *filter) {
    ap_json_object_begin(json);
    ap_json_put_period(json, filter->period);
    ap_json_put_int(json, "rows_open", (int64_t)problems->rows_open);
    ap_json_put_int(json, "conflicts_open", (int64_t)problems->conflicts_open);
    ap_json_key(json, "set_aside");
    ap_json_array_begin(json);
    for (size_t i = 0; i < problems->row_count; i++) {
        put_json_row(json, &problems->rows[i]);
    }
    ap_json_array_end(json);
    ap_json_key(json, "conflicts");
    ap_conflicts_json(json, arena, &problems->conflicts, filter->names);
    ap_json_object_end(json);
}
