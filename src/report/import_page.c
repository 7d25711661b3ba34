#include "report/import_page.h"

static const char *const kind_names[] = {
    [AP_INTAKE_SET_ASIDE] = "set aside", [AP_INTAKE_CONFLICT] = "conflict", [AP_INTAKE_WARNING] = "to look at"};

static ap_str file_name(const ap_intake_result *result, const ap_intake_problem *problem) {
    return problem->file < result->file_count ? result->files[problem->file].path : AP_STR_NONE;
}

/* `whole`: with the reason why a log was not read in its row, for a spreadsheet; a page tells it below. */
static void put_files(ap_doc *doc, const ap_intake_result *result, bool whole) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("file"), .label = AP_STR_LIT("log"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("stored"), .label = AP_STR_LIT("stored"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("unchanged"), .label = AP_STR_LIT("unchanged"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("set_aside"), .label = AP_STR_LIT("set aside"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("conflicts"), .label = AP_STR_LIT("conflicts"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("remark"), .label = AP_STR_LIT("remark"), .kind = AP_CELL_TEXT},
    };
    ap_table *table =
        ap_doc_table(doc, AP_STR_LIT("files"), AP_STR_LIT("Logs"), columns, sizeof columns / sizeof columns[0]);
    ap_table_has_marks(table);
    for (size_t i = 0; i < result->file_count; i++) {
        const ap_intake_file *file = &result->files[i];
        ap_table_row(table);
        ap_table_text(table, file->path);
        ap_table_value(table, (double)file->counts.stored);
        ap_table_value(table, (double)file->counts.unchanged);
        ap_table_value(table, (double)file->counts.set_aside);
        ap_table_value(table, (double)file->counts.conflicts);
        bool below = file->outcome == AP_INTAKE_UNUSABLE && !whole;
        ap_table_text(table, below            ? AP_STR_NONE
                             : file->says.len ? file->says
                             : file->profile.len
                                 ? ap_doc_printf(doc, "read with the profile '%.*s'", AP_STR_ARG(file->profile))
                                 : AP_STR_NONE);
        if (file->outcome == AP_INTAKE_UNUSABLE) {
            ap_table_row_mark(table, AP_STR_LIT("not read"));
        }
    }
}

static ap_str where(ap_doc *doc, const ap_intake_result *result, const ap_intake_problem *problem) {
    ap_str file = file_name(result, problem);
    if (problem->line <= 0) {
        return file;
    }
    return problem->column > 0
               ? ap_doc_printf(doc, "%.*s:%lld, cell %d", AP_STR_ARG(file), (long long)problem->line, problem->column)
               : ap_doc_printf(doc, "%.*s:%lld", AP_STR_ARG(file), (long long)problem->line);
}

/* Field, what was found (unless the reason quotes it already), why, and what would mend it. */
static ap_str problem_in_words(ap_doc *doc, const ap_intake_problem *problem) {
    ap_str quoted = ap_doc_printf(doc, "'%.*s'", AP_STR_ARG(problem->text));
    bool told = problem->text.len == 0 || (quoted.ptr && strstr(problem->reason.ptr, quoted.ptr));
    return ap_doc_printf(doc, "%.*s%s%.*s%s%.*s%s%.*s", AP_STR_ARG(problem->field), told ? "" : " ",
                         AP_STR_ARG(told ? AP_STR_LIT("") : quoted), problem->field.len || !told ? ": " : "",
                         AP_STR_ARG(problem->reason), problem->remedy.len ? "; " : "", AP_STR_ARG(problem->remedy));
}

static void put_problems(ap_doc *doc, const ap_intake_result *result, ap_intake_problem_kind kind, int64_t all,
                         int64_t most, const char *elsewhere) {
    int64_t shown = 0;
    for (size_t i = 0; i < result->problem_count && shown < most; i++) {
        const ap_intake_problem *problem = &result->problems[i];
        if (problem->kind == kind) {
            ap_doc_alert(doc, ap_str_from(kind_names[kind]), where(doc, result, problem),
                         problem_in_words(doc, problem));
            shown++;
        }
    }
    if (all > shown) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "... and %lld more %s%s.", (long long)(all - shown),
                                            kind == AP_INTAKE_WARNING ? "to look at" : kind_names[kind], elsewhere));
    }
}

/* "unable to use 'FILE': why" without the file, which stands in front. */
static ap_str reason_of(const ap_intake_file *file) {
    ap_str says = file->says;
    for (size_t i = 0; i + 2 < says.len; i++) {
        if (memcmp(says.ptr + i, "': ", 3) == 0 && ap_str_starts(says, AP_STR_LIT("unable to use '"))) {
            return (ap_str){says.ptr + i + 3, says.len - i - 3};
        }
    }
    return says;
}

static void put_unusable(ap_doc *doc, const ap_intake_result *result) {
    for (size_t i = 0; i < result->file_count; i++) {
        if (result->files[i].outcome == AP_INTAKE_UNUSABLE) {
            ap_doc_alert(doc, AP_STR_LIT("not read"), result->files[i].path, reason_of(&result->files[i]));
        }
    }
}

void ap_import_page(ap_doc *doc, const ap_intake_result *result, const ap_import_alerts *alerts, bool dry_run,
                    bool as_table) {
    const ap_file_counts *all = &result->totals;
    ap_str undo =
        result->import_id ? ap_doc_printf(doc, " This is import %lld.", (long long)result->import_id) : AP_STR_LIT("");
    ap_doc_answer(doc, ap_doc_printf(doc, "%s%lld pick%s stored, %lld unchanged, %lld set aside, %lld in conflict.%.*s",
                                     dry_run ? "Dry run, nothing was kept: " : "", (long long)all->stored,
                                     all->stored == 1 ? "" : "s", (long long)all->unchanged, (long long)all->set_aside,
                                     (long long)all->conflicts, AP_STR_ARG(undo)));
    put_files(doc, result, as_table);
    put_unusable(doc, result);
    if (result->problem_count) {
        ap_doc_section(doc, 2, AP_STR_LIT("problems"), AP_STR_LIT("To be mended"));
        put_problems(doc, result, AP_INTAKE_SET_ASIDE, all->set_aside, AP_IMPORT_PROBLEMS_SHOWN,
                     "; '--rejects FILE' writes every row set aside with its reason");
        put_problems(doc, result, AP_INTAKE_CONFLICT, all->conflicts, AP_IMPORT_PROBLEMS_SHOWN, "");
        put_problems(doc, result, AP_INTAKE_WARNING, result->warnings, AP_IMPORT_WARNINGS_SHOWN, "");
    }
    if (result->rejects_written.len) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "Rows set aside were written to %.*s; mend them there and import it.",
                                            AP_STR_ARG(result->rejects_written)));
    }
    if (alerts->total) {
        ap_doc_section(doc, 2, AP_STR_LIT("first"), AP_STR_LIT("Look at these now"));
        for (size_t i = 0; i < alerts->count; i++) {
            ap_doc_alert(doc, alerts->items[i].title, alerts->items[i].pick, alerts->items[i].says);
        }
        if (alerts->total > alerts->count) {
            ap_doc_paragraph(doc, ap_doc_printf(doc, "... and %zu more: 'afterpick findings' lists them.",
                                                alerts->total - alerts->count));
        }
    }
}

static void put_json_problem(ap_json *json, const ap_intake_result *result, const ap_intake_problem *problem) {
    ap_json_object_begin(json);
    ap_json_put_text(json, "file", file_name(result, problem));
    ap_json_put_int(json, "line", problem->line);
    ap_json_put_int(json, "cell", problem->column);
    ap_json_put_text(json, "column", problem->field);
    ap_json_put_text(json, "text", problem->text);
    ap_json_put_text(json, "reason", problem->reason);
    ap_json_put_text(json, "remedy", problem->remedy);
    ap_json_object_end(json);
}

static void put_json_problems(ap_json *json, const char *key, const ap_intake_result *result,
                              ap_intake_problem_kind kind) {
    ap_json_key(json, key);
    ap_json_array_begin(json);
    for (size_t i = 0; i < result->problem_count; i++) {
        if (result->problems[i].kind == kind) {
            put_json_problem(json, result, &result->problems[i]);
        }
    }
    ap_json_array_end(json);
}

void ap_import_json(ap_json *json, const ap_intake_result *result, const ap_import_alerts *alerts, bool dry_run,
                    const ap_merged *merged) {
    static const char *const outcomes[] = {
        [AP_INTAKE_READ] = "read", [AP_INTAKE_KNOWN] = "known", [AP_INTAKE_UNUSABLE] = "unusable"};
    ap_json_object_begin(json);
    ap_json_put_int(json, "import", result->import_id);
    ap_json_put_bool(json, "dry_run", dry_run);
    ap_json_key(json, "files");
    ap_json_array_begin(json);
    for (size_t i = 0; i < result->file_count; i++) {
        const ap_intake_file *file = &result->files[i];
        ap_json_object_begin(json);
        ap_json_put_text(json, "file", file->path);
        ap_json_put_text(json, "outcome", ap_str_from(outcomes[file->outcome]));
        ap_json_put_text(json, "says", file->says);
        ap_json_put_text(json, "sha256", file->sha256);
        ap_json_put_int(json, "rows", file->rows);
        ap_json_put_int(json, "stored", file->counts.stored);
        ap_json_put_int(json, "unchanged", file->counts.unchanged);
        ap_json_put_int(json, "set_aside", file->counts.set_aside);
        ap_json_put_int(json, "conflicts", file->counts.conflicts);
        ap_json_put_int(json, "blank", file->blank);
        ap_json_put_int(json, "totals", file->totals);
        ap_json_put_int(json, "headers", file->headers);
        ap_json_put_int(json, "skipped", file->skipped);
        ap_json_put_text(json, "profile", file->profile);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    put_json_problems(json, "set_aside", result, AP_INTAKE_SET_ASIDE);
    put_json_problems(json, "conflicts", result, AP_INTAKE_CONFLICT);
    put_json_problems(json, "warnings", result, AP_INTAKE_WARNING);
    ap_json_key(json, "certain_findings");
    ap_json_array_begin(json);
    for (size_t i = 0; i < alerts->count; i++) {
        ap_json_object_begin(json);
        ap_json_put_text(json, "detector", alerts->items[i].title);
        ap_json_put_text(json, "pick", alerts->items[i].pick);
        ap_json_put_text(json, "says", alerts->items[i].says);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_put_int(json, "certain_findings_total", (int64_t)alerts->total);
    if (merged) {
        ap_merged_json(json, merged);
    }
    ap_json_object_end(json);
}
