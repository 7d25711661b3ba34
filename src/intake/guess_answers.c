/* Questions of a guess, and the answers a person gives to the next one. */
#include "book/species.h"
#include "intake/cells.h"
#include "intake/profile_guess_parts.h"

enum { COMMENT_AT = 52, ARENA_MAX = 16 << 20 };

void ap_guess_told_init(ap_guess_told *told) {
    memset(told, 0, sizeof *told);
    ap_arena_init(&told->arena, ARENA_MAX);
}

void ap_guess_told_release(ap_guess_told *told) {
    ap_arena_release(&told->arena);
}

ap_str ap_guess_option(ap_arena *arena, ap_str with) {
    static const char plain[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_=.,:/+-@%";
    bool quote = with.len == 0;
    ap_buf text;
    ap_buf_init(&text, 1u << 16);
    for (size_t i = 0; i < with.len; i++) {
        quote = quote || !strchr(plain, with.ptr[i]);
    }
    ap_buf_append_cstr(&text, quote ? "--with '" : "--with ");
    for (size_t i = 0; i < with.len; i++) {
        if (with.ptr[i] == '\'') {
            ap_buf_append_cstr(&text, "'\\''");
        } else {
            ap_buf_append_char(&text, (unsigned char)with.ptr[i] < 0x20 ? ' ' : with.ptr[i]);
        }
    }
    ap_buf_append_cstr(&text, quote ? "'" : "");
    const ap_str option = ap_arena_str(arena, ap_buf_str(&text));
    ap_buf_release(&text);
    return option;
}

void ap_guess_quote(ap_buf *out, ap_str text) {
    ap_buf_append_char(out, '"');
    for (size_t i = 0; i < text.len; i++) {
        const char c = text.ptr[i];
        if (c == '"' || c == '\\') {
            ap_buf_append_char(out, '\\');
        }
        if (c == '\n') {
            ap_buf_append_cstr(out, "\\n");
        } else if (c != '\r') {
            ap_buf_append_char(out, c == '\t' ? ' ' : c);
        }
    }
    ap_buf_append_char(out, '"');
}

size_t ap_guess_begin(ap_guess *g, bool question) {
    const size_t begin = g->out->len;
    ap_guess_told *told = g->told;
    g->asking = NULL;
    if (question) {
        ap_buf_append_cstr(g->out, "? ");
        if (told->question_count < AP_GUESS_QUESTIONS) {
            g->asking = &told->questions[told->question_count++];
            *g->asking = (ap_guess_question){.with_count = 0};
        }
    }
    return begin;
}

static ap_str print(ap_arena *arena, const char *format, va_list args) AP_PRINTF(2, 0);
static ap_str print(ap_arena *arena, const char *format, va_list args) {
    ap_buf text;
    ap_buf_init(&text, 1u << 16);
    ap_buf_appendv(&text, format, args);
    const ap_str kept = ap_arena_str(arena, ap_buf_str(&text));
    ap_buf_release(&text);
    return kept;
}

void ap_guess_with(ap_guess *g, bool proposed, const char *format, ...) {
    if (!g->asking || g->asking->with_count == AP_GUESS_WITHS) {
        return;
    }
    va_list args;
    va_start(args, format);
    g->asking->proposed = g->asking->proposed || (proposed && g->asking->with_count == 0);
    g->asking->withs[g->asking->with_count++] = print(&g->told->arena, format, args);
    va_end(args);
}

void ap_guess_subject(ap_guess *g, const char *format, ...) {
    if (g->asking) {
        va_list args;
        va_start(args, format);
        g->asking->subject = print(&g->told->arena, format, args);
        va_end(args);
    }
}

/* Ends a line with its comment, in a column of its own where there is room. */
void ap_guess_why(ap_guess *g, size_t begin, const char *format, ...) {
    va_list args;
    va_start(args, format);
    const ap_str why = print(&g->told->arena, format, args);
    va_end(args);
    do {
        ap_buf_append_char(g->out, ' ');
    } while (g->out->status == AP_OK && g->out->len - begin < COMMENT_AT);
    ap_buf_append_cstr(g->out, "# ");
    ap_buf_append_str(g->out, why);
    ap_buf_append_char(g->out, '\n');
    if (g->asking) {
        const ap_str subject = g->asking->subject;
        g->asking->asks =
            subject.len ? ap_arena_printf(&g->told->arena, "%.*s: %.*s", AP_STR_ARG(subject), AP_STR_ARG(why)) : why;
        g->asking = NULL;
    }
}

ap_status ap_guess_read_answers(ap_guess *g, ap_error *err) {
    ap_guess_told *told = g->told;
    ap_status status = AP_OK;
    for (ap_str rest = g->options->answers; rest.ptr && rest.len && status == AP_OK;) {
        const ap_str line = ap_str_trim(ap_str_split(rest, '\n', &rest));
        /* A word of a log may hold the sign itself: the last one parts. */
        size_t at = line.len;
        while (at > 0 && line.ptr[at - 1] != '=') {
            at--;
        }
        if (line.len == 0) {
            continue;
        }
        const ap_str key = at ? ap_str_trim((ap_str){line.ptr, at - 1}) : AP_STR_NONE;
        const ap_str value = at ? ap_str_trim((ap_str){line.ptr + at, line.len - at}) : AP_STR_NONE;
        if (key.len == 0 || value.len == 0) {
            status = ap_error_set(err, AP_E_USAGE, "--with takes an answer such as dates=dmy or 5=species, not '%.*s'",
                                  AP_STR_ARG(line));
        } else if (g->answer_count == AP_GUESS_ANSWERS) {
            status = ap_error_set(err, AP_E_USAGE, "more than %d answers", (int)AP_GUESS_ANSWERS);
        } else {
            g->answers[g->answer_count++] = (ap_guess_answer){.key = key, .value = value};
            told->given[told->given_count++] = ap_guess_option(&told->arena, line);
        }
    }
    return status;
}

bool ap_guess_answered(ap_str *value, ap_guess *g, const char *format, ...) {
    va_list args;
    va_start(args, format);
    const ap_str key = print(&g->arena, format, args);
    va_end(args);
    for (size_t i = g->answer_count; i > 0; i--) { /* the last one said holds */
        if (ap_str_equal_nocase(g->answers[i - 1].key, key)) {
            *value = g->answers[i - 1].value;
            for (size_t k = 0; k < g->answer_count; k++) {
                g->answers[k].used = g->answers[k].used || ap_str_equal_nocase(g->answers[k].key, key);
            }
            return true;
        }
    }
    return false;
}

/* "cut:Stufe=WORD": the word must be one. */
static ap_status check_word(const ap_guess *g, const ap_guess_answer *answer, ap_error *err) {
    ap_str text = AP_STR_NONE;
    const ap_str name = ap_str_split(answer->key, ':', &text);
    const int field = text.len ? ap_field_find(name) : -1;
    const ap_field *desc = field >= 0 ? ap_field_get(field) : NULL;
    if (!desc || ap_str_equal_nocase(answer->value, AP_STR_LIT("blank"))) {
        return AP_OK;
    }
    if (field == AP_F_species) {
        const ap_species *species = NULL;
        const ap_status status = ap_book_species_find(&species, g->book, answer->value, err);
        return status == AP_OK ? AP_OK : ap_error_wrap(err, AP_E_USAGE, "--with %.*s", AP_STR_ARG(answer->key));
    }
    const bool words = desc->kind == AP_KIND_WORD || desc->kind == AP_KIND_YESNO || desc->kind == AP_KIND_MOVES;
    if (words && ap_cell_word_find(desc, answer->value) == 0) {
        char remedy[AP_FAULT_REMEDY_MAX];
        ap_cell_word_remedy(remedy, sizeof remedy, desc, answer->value);
        return ap_error_set(err, AP_E_USAGE, "--with %.*s=%.*s: %s", AP_STR_ARG(answer->key), AP_STR_ARG(answer->value),
                            remedy);
    }
    return AP_OK;
}

ap_status ap_guess_all_used(const ap_guess *g, ap_error *err) {
    for (size_t i = 0; i < g->answer_count; i++) {
        const ap_status status = check_word(g, &g->answers[i], err);
        if (status != AP_OK) {
            return status;
        }
        if (!g->answers[i].used) {
            return ap_error_set(err, AP_E_USAGE,
                                "--with %.*s=%.*s answers nothing that this log asks: run it without, and take the "
                                "answers from what it shows",
                                AP_STR_ARG(g->answers[i].key), AP_STR_ARG(g->answers[i].value));
        }
    }
    return AP_OK;
}
