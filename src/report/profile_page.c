#include "report/profile_page.h"

#include "report/sentences.h"

enum { PROBLEMS_SHOWN = 10 };

static ap_str values_remark(ap_arena *arena, const ap_plan_column *column, bool also) {
    const char *again = also ? "read once more" : "";
    if (column->values) {
        return ap_arena_printf(arena, "%s%swith %zu value%s of the profile", again, also ? ", " : "",
                               column->values->count, column->values->count == 1 ? "" : "s");
    }
    return also ? ap_str_from(again) : AP_STR_NONE;
}

void ap_check_columns(ap_profile_check *check, const ap_plan *plan) {
    const size_t all = plan->count + plan->also_count + plan->constant_count;
    for (size_t i = 0; i < all && check->column_count < AP_CHECK_COLUMNS; i++) {
        const ap_plan_column *column = &plan->columns[i];
        const bool constant = i >= plan->count + plan->also_count;
        const bool also = i >= plan->count && !constant;
        ap_check_column *kept = &check->columns[check->column_count++];
        *kept = (ap_check_column){.number = constant ? 0 : (int)column->cell + 1,
                                  .header = ap_arena_str(check->arena, column->header)};
        if (!column->desc) {
            kept->remark =
                column->remark.len ? AP_STR_LIT("not read: the profile does not name it") : AP_STR_LIT("passed over");
            continue;
        }
        kept->field = ap_str_from(column->desc->name);
        if (column->desc->kind == AP_KIND_QTY && column->rules.default_unit != AP_UNIT_NONE) {
            kept->unit = ap_str_from(ap_unit_symbol(column->rules.default_unit));
        }
        kept->remark = constant ? ap_arena_printf(check->arena, "the same for every pick: '%.*s'",
                                                  AP_STR_ARG(plan->constants[i - plan->count - plan->also_count]))
                                : values_remark(check->arena, column, also);
    }
}

void ap_check_pick(ap_profile_check *check, const ap_pick *pick) {
    if (check->pick_count == AP_CHECK_PICKS) {
        return;
    }
    ap_pick *kept = &check->picks[check->pick_count++];
    *kept = *pick;
    kept->name = ap_arena_str(check->arena, pick->name);
    kept->species_common = ap_arena_str(check->arena, pick->species_common);
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        if (ap_field_get(i)->kind == AP_KIND_TEXT) {
            ap_str *text = ap_pick_at(kept, i);
            *text = ap_arena_str(check->arena, *text);
        }
    }
}

static ap_str written(ap_doc *doc, const ap_pick *pick, int field) {
    ap_buf text;
    ap_buf_init(&text, 1u << 20);
    ap_profile_value_write(&text, pick, field);
    const ap_str copy = ap_doc_printf(doc, "%.*s", AP_STR_ARG(ap_buf_str(&text)));
    ap_buf_release(&text);
    return copy;
}

static void put_columns(ap_doc *doc, const ap_profile_check *check) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("column"), .label = AP_STR_LIT("column"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("header"), .label = AP_STR_LIT("header"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("field"), .label = AP_STR_LIT("feeds"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("unit"), .label = AP_STR_LIT("bare numbers in"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("remark"), .label = AP_STR_LIT("remark"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("columns"), AP_STR_LIT("Columns"), columns, 5);
    for (size_t i = 0; i < check->column_count; i++) {
        const ap_check_column *column = &check->columns[i];
        ap_table_row(table);
        ap_table_value(table, column->number ? column->number : (double)NAN);
        ap_table_text(table, column->header);
        ap_table_text(table, column->field);
        ap_table_text(table, column->unit);
        ap_table_text(table, column->remark);
    }
}

static void put_picks(ap_doc *doc, const ap_profile_check *check) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("field"), .label = AP_STR_LIT("pick, field"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("read"), .label = AP_STR_LIT("as read"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("picks"), AP_STR_LIT("First picks as read"), columns, 2);
    ap_table_empty(table, AP_STR_LIT("no pick was read"));
    for (size_t i = 0; i < check->pick_count; i++) {
        const ap_pick *pick = &check->picks[i];
        for (int field = 0; field < AP_COLUMN_COUNT; field++) {
            if (!ap_pick_field_is_blank(pick, field)) {
                ap_table_row(table);
                ap_table_text(table, ap_doc_printf(doc, "%.*s %s", AP_STR_ARG(pick->name), ap_field_get(field)->name));
                ap_table_text(table, written(doc, pick, field));
            }
        }
    }
}

static void put_samples(ap_doc *doc, const ap_profile_check *check) {
    if (check->sample_count == 0) {
        return;
    }
    const ap_column columns[] = {
        {.key = AP_STR_LIT("line"), .label = AP_STR_LIT("line of the profile"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("result"), .label = AP_STR_LIT("result"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("samples"), AP_STR_LIT("Samples"), columns, 2);
    for (size_t i = 0; i < check->sample_count; i++) {
        const ap_sample_result *sample = &check->samples[i];
        ap_table_row(table);
        ap_table_value(table, sample->sample->line);
        ap_table_text(table, sample->passed ? AP_STR_LIT("as it says") : sample->says);
    }
}

static void put_problems(ap_doc *doc, const ap_intake_result *result) {
    static const char *const kinds[] = {
        [AP_INTAKE_SET_ASIDE] = "set aside", [AP_INTAKE_CONFLICT] = "conflict", [AP_INTAKE_WARNING] = "to look at"};
    if (result->problem_count == 0) {
        return;
    }
    ap_doc_section(doc, 2, AP_STR_LIT("problems"), AP_STR_LIT("What would be set aside, and what to look at"));
    for (size_t i = 0; i < result->problem_count && i < PROBLEMS_SHOWN; i++) {
        const ap_intake_problem *problem = &result->problems[i];
        const ap_str place =
            problem->line > 0 ? ap_doc_printf(doc, "line %lld", (long long)problem->line) : AP_STR_LIT("the log");
        ap_doc_alert(doc, ap_str_from(kinds[problem->kind]), place,
                     ap_doc_printf(doc, "%.*s%s%.*s%s%.*s", AP_STR_ARG(problem->field), problem->field.len ? ": " : "",
                                   AP_STR_ARG(problem->reason), problem->remedy.len ? "; " : "",
                                   AP_STR_ARG(problem->remedy)));
    }
    if (result->problem_count > PROBLEMS_SHOWN) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "... and %zu more", result->problem_count - PROBLEMS_SHOWN));
    }
}

static ap_str passed_over(ap_doc *doc, const ap_intake_file *file) {
    const ap_say_part parts[] = {{(size_t)file->skipped, "by the profile", NULL},
                                 {(size_t)file->blank, "blank", NULL},
                                 {(size_t)file->totals, "total", "totals"},
                                 {(size_t)file->headers, "heading", "headings"}};
    ap_str says = ap_say_parts(doc, parts, sizeof parts / sizeof *parts);
    return says.len ? says : AP_STR_LIT("nothing");
}

void ap_profile_check_page(ap_doc *doc, const ap_profile_check *check, const ap_intake_result *result) {
    const ap_intake_file *file = result->file_count ? &result->files[0] : NULL;
    if (check->samples_failed) {
        ap_doc_answer(doc, ap_doc_printf(doc, "%zu of %zu samples of the profile fail: it can not be used yet.",
                                         check->samples_failed, check->sample_count));
    } else if (file) {
        ap_doc_answer(doc, ap_doc_printf(doc,
                                         "Nothing was kept: %lld picks would be stored, %lld are in the book already, "
                                         "%lld would be set aside, %lld in conflict.",
                                         (long long)file->counts.stored, (long long)file->counts.unchanged,
                                         (long long)file->counts.set_aside, (long long)file->counts.conflicts));
        ap_doc_paragraph(doc,
                         ap_doc_printf(doc, "Read as %.*s; dates %.*s. Passed over: %.*s.", AP_STR_ARG(file->dialect),
                                       AP_STR_ARG(file->date_order), AP_STR_ARG(passed_over(doc, file))));
    }
    put_samples(doc, check);
    if (check->column_count) {
        put_columns(doc, check);
        put_picks(doc, check);
    }
    put_problems(doc, result);
}

void ap_profile_check_json(ap_json *json, const ap_profile_check *check, const ap_intake_result *result) {
    const ap_intake_file *file = result->file_count ? &result->files[0] : NULL;
    ap_json_object_begin(json);
    ap_json_put_text(json, "profile", check->profile->name);
    ap_json_put_int(json, "stored", file ? file->counts.stored : 0);
    ap_json_put_int(json, "unchanged", file ? file->counts.unchanged : 0);
    ap_json_put_int(json, "set_aside", file ? file->counts.set_aside : 0);
    ap_json_put_int(json, "conflicts", file ? file->counts.conflicts : 0);
    ap_json_put_int(json, "skipped", file ? file->skipped : 0);
    ap_json_key(json, "columns");
    ap_json_array_begin(json);
    for (size_t i = 0; i < check->column_count; i++) {
        const ap_check_column *column = &check->columns[i];
        ap_json_object_begin(json);
        ap_json_put_int(json, "column", column->number);
        ap_json_put_text(json, "header", column->header);
        ap_json_put_text(json, "field", column->field);
        ap_json_put_text(json, "unit", column->unit);
        ap_json_put_text(json, "remark", column->remark);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_key(json, "samples");
    ap_json_array_begin(json);
    for (size_t i = 0; i < check->sample_count; i++) {
        ap_json_object_begin(json);
        ap_json_put_int(json, "line", check->samples[i].sample->line);
        ap_json_put_bool(json, "passed", check->samples[i].passed);
        ap_json_put_text(json, "says", check->samples[i].passed ? AP_STR_NONE : check->samples[i].says);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}

void ap_profile_list_page(ap_doc *doc, const ap_kept_profile *kept, size_t count) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("profile"), .label = AP_STR_LIT("profile"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("changed_on"), .label = AP_STR_LIT("kept on"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("who"), .label = AP_STR_LIT("by"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("why"), .label = AP_STR_LIT("why"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("replaced"), .label = AP_STR_LIT("texts before"), .kind = AP_CELL_COUNT},
    };
    ap_doc_answer(doc, ap_doc_printf(doc, "The book keeps %zu profile%s.", count, count == 1 ? "" : "s"));
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("profiles"), AP_STR_LIT("Profiles"), columns, 5);
    ap_table_empty(table, AP_STR_LIT("none yet: 'afterpick profile guess FILE --out NEW.profile' begins one"));
    for (size_t i = 0; i < count; i++) {
        ap_table_row(table);
        ap_table_text(table, kept[i].name);
        ap_table_text(table, kept[i].changed_on);
        ap_table_text(table, kept[i].who);
        ap_table_text(table, kept[i].why);
        ap_table_value(table, (double)kept[i].replaced);
    }
}

void ap_profile_list_json(ap_json *json, const ap_kept_profile *kept, size_t count) {
    ap_json_object_begin(json);
    ap_json_key(json, "profiles");
    ap_json_array_begin(json);
    for (size_t i = 0; i < count; i++) {
        ap_json_object_begin(json);
        ap_json_put_text(json, "profile", kept[i].name);
        ap_json_put_text(json, "changed_on", kept[i].changed_on);
        ap_json_put_text(json, "who", kept[i].who);
        ap_json_put_text(json, "why", kept[i].why);
        ap_json_put_int(json, "replaced", kept[i].replaced);
        ap_json_put_text(json, "text", kept[i].text);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}
