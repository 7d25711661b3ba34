/* A guess in parts, for another program: docs/json.md, "profile". */
#include "report/guess_page.h"

/* The first question about a column itself, not about a word in it; none when nothing is asked. */
static ap_str asked_of(const ap_guess_told *told, size_t column) {
    for (size_t i = 0; i < told->question_count; i++) {
        const ap_guess_question *one = &told->questions[i];
        if (one->column == column && !one->of_word) {
            return one->asks;
        }
    }
    return AP_STR_NONE;
}

static void put_columns(ap_json *json, const ap_guess_told *told) {
    ap_json_key(json, "columns");
    ap_json_array_begin(json);
    for (size_t i = 0; i < told->column_count; i++) {
        const ap_guess_column *column = &told->columns[i];
        const ap_str question = asked_of(told, column->number);
        ap_json_object_begin(json);
        ap_json_put_int(json, "column", (int64_t)column->number);
        ap_json_put_text(json, "header", column->header);
        ap_json_key(json, "values");
        ap_json_array_begin(json);
        for (size_t k = 0; k < column->sample_count; k++) {
            ap_json_text(json, column->samples[k]);
        }
        ap_json_array_end(json);
        ap_json_put_text(json, "looks", column->looks);
        ap_json_put_text(json, "field", column->feeds.len ? column->feeds : AP_STR_NONE);
        ap_json_put_text(json, "confidence",
                         question.ptr || column->asked ? AP_STR_LIT("asked")
                         : column->feeds.len           ? AP_STR_LIT("sure")
                                                       : AP_STR_NONE);
        ap_json_put_text(json, "why", column->why);
        ap_json_put_text(json, "question", question);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
}

static void put_lines(ap_json *json, const ap_guess_told *told) {
    ap_json_key(json, "lines");
    ap_json_array_begin(json);
    for (size_t i = 0; i < told->line_count; i++) {
        const ap_guess_line *line = &told->lines[i];
        ap_json_object_begin(json);
        ap_json_put_int(json, "line", line->line);
        ap_json_put_text(json, "text", line->text);
        ap_json_put_text(json, "reads", line->reads);
        ap_json_put_text(json, "trouble", line->trouble.len ? line->trouble : AP_STR_NONE);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
}

static void put_questions(ap_json *json, const ap_guess_told *told) {
    ap_json_key(json, "questions");
    ap_json_array_begin(json);
    for (size_t i = 0; i < told->question_count; i++) {
        const ap_guess_question *one = &told->questions[i];
        ap_json_object_begin(json);
        ap_json_put_text(json, "asks", one->asks);
        ap_json_key(json, "column");
        if (one->column) {
            ap_json_int(json, (int64_t)one->column);
        } else {
            ap_json_null(json);
        }
        ap_json_key(json, "answers");
        ap_json_array_begin(json);
        for (size_t k = 0; k < one->with_count; k++) {
            ap_json_text(json, one->withs[k]);
        }
        ap_json_array_end(json);
        ap_json_put_text(json, "proposed", one->proposed ? one->withs[0] : AP_STR_NONE);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
}

void ap_guess_json(ap_json *json, const ap_guess_told *told, ap_str text, const char *log, ap_str out) {
    static const char *const kinds[] = {
        [AP_GUESS_TABLE] = "table", [AP_GUESS_BLOCK] = "blocks", [AP_GUESS_WORDS] = "lines"};
    ap_json_object_begin(json);
    ap_json_put_text(json, "file", ap_str_from(log));
    ap_json_put_text(json, "profile", told->name);
    ap_json_put_text(json, "written_to", out.len ? out : AP_STR_NONE);
    ap_json_put_text(json, "kind", ap_str_from(kinds[told->kind]));
    ap_json_key(json, "header_line");
    if (told->kind == AP_GUESS_TABLE && told->header_line) {
        ap_json_int(json, told->header_line);
    } else {
        ap_json_null(json);
    }
    ap_json_put_int(json, "rows_seen", (int64_t)told->rows_seen);
    ap_json_put_text(json, "sheets", told->sheets.len ? told->sheets : AP_STR_NONE);
    ap_json_put_text(json, "other_sheets", told->other_sheets.len ? told->other_sheets : AP_STR_NONE);
    put_columns(json, told);
    put_lines(json, told);
    put_questions(json, told);
    ap_json_put_text(json, "text", text);
    ap_json_object_end(json);
}
