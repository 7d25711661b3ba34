/* Words of a log that are none of a vocabulary: what each may mean, asked or answered. */
#include <ctype.h>

#include "book/species.h"
#include "intake/cells.h"
#include "intake/profile_guess_parts.h"
#include "intake/word_sense.h"

enum { WORDS_ASKED = 40, CELL_SHOWN = 60 };

/* "--", "?", "n/a": what people write for no number. Any other text ("heavy") tells something, and is for a person to mend. */
static bool says_no_number(ap_str cell) {
    static const char *const words[] = {"n/a",      "na",          "n.a.",    "none",   "nil", "no",
                                        "not read", "not weighed", "unknown", "missed", "tbd"};
    bool says = true;
    for (size_t i = 0; i < cell.len; i++) {
        says = says && ispunct((unsigned char)cell.ptr[i]);
    }
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        says = says || ap_str_equal_nocase(cell, ap_str_from(words[i]));
    }
    return says;
}

static bool is_known_word(ap_guess *g, const ap_field *desc, ap_str cell) {
    if (desc->kind == AP_KIND_QTY) {
        return !says_no_number(cell);
    }
    if (desc->kind == AP_KIND_WORD || desc->kind == AP_KIND_YESNO || desc->kind == AP_KIND_MOVES) {
        return ap_cell_word_find(desc, cell) != 0;
    }
    const ap_species *species = NULL;
    return ap_book_species_find(&species, g->book, cell, NULL) == AP_OK;
}

/* What a word that is none of the vocabulary seems to say; none where nothing is near. */
static ap_str proposal_for(ap_guess *g, const ap_field *desc, ap_str cell) {
    const ap_species *species = NULL;
    ap_str says = AP_STR_NONE;
    if (desc->kind == AP_KIND_QTY) {
        return AP_STR_LIT("blank");
    }
    if (desc->kind == AP_KIND_TEXT) {
        const bool near = ap_book_species_near(&species, g->book, cell, NULL) == AP_OK && species;
        return near ? species->common : AP_STR_NONE;
    }
    ap_buf word;
    ap_buf_init(&word, 1024);
    if (ap_word_sense_within(&word, desc, cell)) {
        says = ap_arena_str(&g->arena, ap_buf_str(&word));
    }
    ap_buf_release(&word);
    return says;
}

static void put_says(ap_guess *g, const ap_field *desc, ap_str says) {
    ap_buf_append_cstr(g->out, " -> ");
    if (says.len == 0 || ap_str_equal_nocase(says, AP_STR_LIT("blank"))) {
        ap_buf_append_cstr(g->out, "blank");
    } else if (desc->kind == AP_KIND_TEXT) {
        ap_guess_quote(g->out, says);
    } else {
        ap_buf_append_str(g->out, says);
    }
}

static void ask_why(ap_guess *g, size_t begin, const ap_field *desc, ap_str cell, ap_str proposal, int64_t line) {
    char shown[AP_QUOTED_SIZE];
    ap_fault_quote(shown, cell);
    ap_guess_subject(g, "%s %s", desc->label, shown);
    if (g->asking) {
        g->asking->of_word = true;
        for (size_t i = 0; i < g->columns; i++) {
            g->asking->column = g->fields[i] >= 0 && ap_field_get(g->fields[i]) == desc ? i + 1 : g->asking->column;
        }
    }
    if (proposal.len) {
        ap_guess_with(g, true, "%s:%.*s=%.*s", desc->name, AP_STR_ARG(cell), AP_STR_ARG(proposal));
        ap_guess_with(g, false, "words=yes");
        ap_guess_why(g, begin,
                     desc->kind == AP_KIND_QTY ? "line %lld: not recorded?" : "line %lld: is that what it says?",
                     (long long)line);
        return;
    }
    ap_guess_with(g, false, "%s:%.*s=%s", desc->name, AP_STR_ARG(cell), desc->kind == AP_KIND_TEXT ? "NAME" : "WORD");
    if (desc->kind == AP_KIND_TEXT) {
        const ap_species *species = NULL;
        ap_error why;
        ap_error_clear(&why);
        const ap_status status = ap_book_species_find(&species, g->book, cell, &why);
        if (status == AP_E_AMBIGUOUS || strstr(why.text, "near names")) {
            ap_guess_why(g, begin, "line %lld: %s", (long long)line, why.text);
            return;
        }
        ap_guess_why(g, begin,
                     "line %lld: no species is known by this name; 'afterpick species' lists them, 'afterpick species "
                     "add' adds one",
                     (long long)line);
        return;
    }
    char remedy[AP_FAULT_REMEDY_MAX];
    ap_cell_word_remedy(remedy, sizeof remedy, desc, cell);
    ap_guess_with(g, false, "%s:%.*s=blank", desc->name, AP_STR_ARG(cell));
    ap_guess_with(g, false, "%s:*=blank", desc->name);
    ap_guess_why(g, begin, "line %lld: %s", (long long)line, remedy);
}

void ap_guess_value(ap_guess *g, const ap_field *desc, ap_str cell, ap_str proposal, int64_t line) {
    ap_str said = AP_STR_NONE;
    ap_str all = AP_STR_NONE;
    const bool answered = ap_guess_answered(&said, g, "%s:%.*s", desc->name, AP_STR_ARG(cell));
    const bool taken =
        !answered && proposal.len && ap_guess_answered(&all, g, "words") && ap_str_equal_nocase(all, AP_STR_LIT("yes"));
    ap_str rest = AP_STR_NONE;
    if (!answered && !taken && ap_guess_answered(&rest, g, "%s:*", desc->name)) {
        return; /* its "otherwise" says so */
    }
    const size_t begin = ap_guess_begin(g, !answered && !taken);
    ap_buf_appendf(g->out, "value %s: ", desc->name);
    ap_guess_quote(g->out, cell);
    put_says(g, desc, answered ? said : proposal);
    if (answered || taken) {
        ap_guess_why(g, begin, "line %lld, as answered", (long long)line);
    } else {
        ask_why(g, begin, desc, cell, proposal, line);
    }
}

void ap_guess_values(ap_guess *g, size_t column) {
    ap_str seen[WORDS_ASKED];
    size_t count = 0;
    const int field = g->fields[column];
    if (field < 0 || g->column_of[field] != (int)column) {
        return;
    }
    const ap_field *desc = ap_field_get(field);
    const bool words = desc->kind == AP_KIND_WORD || desc->kind == AP_KIND_YESNO || desc->kind == AP_KIND_MOVES;
    const bool asked = words || field == AP_F_species || desc->kind == AP_KIND_QTY;
    for (size_t i = g->data; asked && i < g->row_count && count < WORDS_ASKED; i++) {
        const ap_str cell = ap_guess_cell(g, i, column);
        bool fresh = cell.len > 0 && cell.len <= CELL_SHOWN;
        for (size_t k = 0; k < count && fresh; k++) {
            fresh = !ap_str_equal_nocase(seen[k], cell);
        }
        if (fresh && !is_known_word(g, desc, cell)) {
            seen[count++] = cell;
            ap_guess_value(g, desc, cell, proposal_for(g, desc, cell), g->rows[i].line);
        }
    }
    ap_str rest = AP_STR_NONE;
    if (words && ap_guess_answered(&rest, g, "%s:*", desc->name)) {
        ap_buf_appendf(g->out, "value %s: otherwise", desc->name);
        put_says(g, desc, rest);
        ap_buf_append_cstr(g->out, "   # as answered; the texts stay with the rows\n");
    }
}
