#include "report/guess_page.h"

enum { SHOWN = 40, COMMAND_MAX = 1 << 18, WIDTH = 78 };

/* A shell takes a line that ends in a backslash together with the next. */
static void add_piece(ap_buf *out, size_t *at, ap_str piece) {
    if (*at > 0 && *at + 1 + piece.len + 2 > WIDTH) {
        ap_buf_append_cstr(out, " \\\n    ");
        *at = 4;
    } else if (*at > 0) {
        ap_buf_append_char(out, ' ');
        *at += 1;
    }
    ap_buf_append_str(out, piece);
    *at += piece.len;
}

static bool is_word_question(const ap_guess_question *one) {
    return one->proposed && one->with_count > 1 && ap_str_equal_word(one->withs[1], "words=yes");
}

static void add_path(ap_buf *out, size_t *at, ap_arena *arena, const char *lead, const char *path) {
    const ap_str option = ap_guess_option(arena, ap_str_from(path)); /* "--with PATH", quoted where it must be */
    const ap_str bare = {option.ptr + strlen("--with "), option.len - strlen("--with ")};
    add_piece(out, at, ap_arena_printf(arena, "%s%.*s", lead, AP_STR_ARG(bare)));
}

static void add_guess(ap_buf *out, ap_arena *arena, const ap_guess_told *told, const char *log, const char *profile) {
    size_t at = 0;
    bool words = false;
    add_path(out, &at, arena, "afterpick profile guess ", log);
    add_path(out, &at, arena, "--out ", profile);
    for (size_t i = 0; i < told->given_count; i++) {
        add_piece(out, &at, told->given[i]);
    }
    for (size_t i = 0; i < told->question_count; i++) {
        const ap_guess_question *one = &told->questions[i];
        const bool word = is_word_question(one);
        if (one->proposed && !(word && words)) {
            add_piece(out, &at, ap_guess_option(arena, one->withs[word ? 1 : 0]));
        }
        words = words || word;
    }
    ap_buf_append_char(out, '\n');
}

void ap_guess_next(ap_buf *out, const ap_guess_told *told, const char *log, const char *profile) {
    ap_arena arena;
    ap_arena_init(&arena, COMMAND_MAX);
    if (told->question_count) {
        add_guess(out, &arena, told, log, profile);
    } else {
        size_t at = 0;
        add_path(out, &at, &arena, "afterpick profile check ", log);
        add_path(out, &at, &arena, "", profile);
        at = 0;
        ap_buf_append_char(out, '\n');
        add_path(out, &at, &arena, "afterpick profile keep ", profile);
        add_piece(out, &at, AP_STR_LIT("--why 'read, and right'"));
        at = 0;
        ap_buf_append_char(out, '\n');
        add_path(out, &at, &arena, "afterpick import ", log);
        const char *name = ap_arena_cstr(&arena, told->name);
        add_path(out, &at, &arena, "--profile ", name ? name : "");
        add_piece(out, &at, AP_STR_LIT("--rejects mend.csv"));
        ap_buf_append_char(out, '\n');
    }
    ap_arena_release(&arena);
}

static void put_columns(ap_doc *doc, const ap_guess_told *told) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("column"), .label = AP_STR_LIT("column"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("header"), .label = AP_STR_LIT("header"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("values"), .label = AP_STR_LIT("first values"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("looks"), .label = AP_STR_LIT("looks like"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("feeds"), .label = AP_STR_LIT("feeds"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("columns"), AP_STR_LIT("Columns"), columns, 5);
    for (size_t i = 0; i < told->column_count; i++) {
        const ap_guess_column *column = &told->columns[i];
        ap_buf values;
        ap_buf_init(&values, 1024);
        for (size_t k = 0; k < column->sample_count; k++) {
            ap_buf_appendf(&values, "%s%.*s", k ? "; " : "",
                           column->samples[k].len > SHOWN ? SHOWN : (int)column->samples[k].len,
                           column->samples[k].ptr);
        }
        ap_table_row(table);
        ap_table_value(table, (double)column->number);
        ap_table_text(table, column->header);
        ap_table_text(table, ap_doc_printf(doc, "%.*s", AP_STR_ARG(ap_buf_str(&values))));
        ap_table_text(table, column->looks);
        ap_table_text(table, column->feeds.len
                                 ? ap_doc_printf(doc, "%.*s%s", AP_STR_ARG(column->feeds), column->asked ? "?" : "")
                                 : AP_STR_LIT("nothing"));
        ap_buf_release(&values);
    }
}

static void put_lines(ap_doc *doc, const ap_guess_told *told) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("line"), .label = AP_STR_LIT("line"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("text"), .label = AP_STR_LIT("as it stands"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("reads"), .label = AP_STR_LIT("what was taken"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("lines"), AP_STR_LIT("First lines"), columns, 3);
    for (size_t i = 0; i < told->line_count; i++) {
        const ap_guess_line *line = &told->lines[i];
        ap_table_row(table);
        ap_table_value(table, (double)line->line);
        ap_table_text(table, line->text);
        if (line->trouble.len) {
            ap_table_text(table, ap_doc_printf(doc, "set aside: %.*s", AP_STR_ARG(line->trouble)));
        } else {
            ap_table_text(table, line->reads);
        }
    }
}

/* Words of the log that are none of ours, all in one table: one answer takes them all. */
static void put_words(ap_doc *doc, const ap_guess_told *told) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("said"), .label = AP_STR_LIT("what the log says"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("answer"), .label = AP_STR_LIT("taken as, by"), .kind = AP_CELL_TEXT},
    };
    size_t count = 0;
    for (size_t i = 0; i < told->question_count; i++) {
        count += is_word_question(&told->questions[i]);
    }
    if (count == 0) {
        return;
    }
    ap_arena arena;
    ap_arena_init(&arena, COMMAND_MAX);
    ap_doc_paragraph(
        doc, ap_doc_printf(doc,
                           "%zu word%s may mean what the table proposes. If all of it is right: --with words=yes. "
                           "If not, answer them one by one; the part behind the last = is a word of docs/log.md, "
                           "or blank.",
                           count, count == 1 ? "" : "s"));
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("words"), AP_STR_LIT("Words"), columns, 2);
    for (size_t i = 0; i < told->question_count; i++) {
        const ap_guess_question *one = &told->questions[i];
        if (is_word_question(one)) {
            ap_table_row(table);
            ap_table_text(table, one->subject);
            ap_table_text(table, ap_guess_option(&arena, one->withs[0]));
        }
    }
    ap_arena_release(&arena);
}

static void put_questions(ap_doc *doc, const ap_guess_told *told) {
    ap_arena arena;
    ap_arena_init(&arena, COMMAND_MAX);
    size_t number = 0;
    for (size_t i = 0; i < told->question_count; i++) {
        const ap_guess_question *one = &told->questions[i];
        if (is_word_question(one)) {
            continue;
        }
        ap_doc_alert(doc, AP_STR_LIT("question"), ap_doc_printf(doc, "%zu", ++number), one->asks);
        for (size_t k = 0; k < one->with_count; k++) {
            ap_doc_list_item(doc, ap_doc_printf(doc, "%.*s%s", AP_STR_ARG(ap_guess_option(&arena, one->withs[k])),
                                                one->proposed && k == 0 ? "   (proposed)" : ""));
        }
    }
    ap_arena_release(&arena);
}

static void put_next(ap_doc *doc, const ap_guess_told *told, const char *out) {
    size_t open = 0;
    for (size_t i = 0; i < told->question_count; i++) {
        open += !told->questions[i].proposed;
    }
    ap_doc_section(doc, 2, AP_STR_LIT("next"), AP_STR_LIT("What to type next"));
    if (told->question_count) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "%s%sThe same questions stand in %s as lines that begin with '?'.",
                                            open < told->question_count
                                                ? "What is proposed is in the command: take out what is wrong. "
                                                : "",
                                            open ? "Add your answer to each of the others. " : "", out));
    } else {
        ap_doc_paragraph(doc, AP_STR_LIT("The first of these shows what comes out and keeps nothing."));
    }
}

void ap_guess_page(ap_doc *doc, const ap_guess_told *told, const char *log, const char *out) {
    const size_t n = told->question_count;
    ap_doc_answer(doc,
                  n ? ap_doc_printf(doc, "%zu question%s left before '%s' can be read; what is known so far is in %s.",
                                    n, n == 1 ? " is" : "s are", log, out)
                    : ap_doc_printf(doc, "Nothing is left to ask: %s says how '%s' is read.", out, log));
    if (told->kind == AP_GUESS_TABLE) {
        ap_doc_paragraph(
            doc, told->header_line
                     ? ap_doc_printf(doc,
                                     "Read as a table: its header stands on line %lld%s, %zu rows behind it were "
                                     "looked at. If the header is another line: --with header=LINE, or none.",
                                     (long long)told->header_line,
                                     told->header_line > 1 ? ", what is above it is no pick" : "", told->rows_seen)
                     : ap_doc_printf(doc,
                                     "Read as a table without a header: %zu rows were looked at, columns go by "
                                     "their numbers. If a line does name them: --with header=LINE.",
                                     told->rows_seen));
        if (told->sheets.len) {
            ap_doc_paragraph(doc,
                             ap_doc_printf(doc, "Sheets of the workbook with this header: %.*s%s%.*s.",
                                           AP_STR_ARG(told->sheets), told->other_sheets.len ? "; without it: " : "",
                                           AP_STR_ARG(told->other_sheets)));
        }
        put_columns(doc, told);
    } else if (told->kind == AP_GUESS_BLOCK) {
        ap_doc_paragraph(
            doc, ap_doc_printf(doc,
                               "Read as blocks of 'key: value', a blank line between them: %zu blocks were looked "
                               "at. Each key stands for a column.",
                               told->rows_seen));
        put_columns(doc, told);
    } else if (told->kind == AP_GUESS_WORDS) {
        ap_doc_paragraph(
            doc, ap_doc_printf(doc,
                               "Read as notes, one pick a line: %zu lines were looked at. The whole line is kept "
                               "as the pick's notes.",
                               told->rows_seen));
        put_lines(doc, told);
    }
    if (n) {
        ap_doc_section(doc, 2, AP_STR_LIT("questions"), AP_STR_LIT("Questions"));
        put_words(doc, told);
        put_questions(doc, told);
    }
    put_next(doc, told, out);
}
