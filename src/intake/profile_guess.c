#include "intake/profile_guess.h"

#include "book/species.h"
#include "intake/cells.h"
#include "intake/profile_guess_parts.h"
#include "intake/word_sense.h"
#include "text/when.h"

enum { HEADER_WITHIN = 50, KNOWN_AT_LEAST = 2, ARENA_MAX = 64 << 20, WORDS_SHOWN = 12, COMMENT_AT = 52 };

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

/* Ends a line with its comment, in a column of its own where there is room. */
void ap_guess_why(ap_guess *g, size_t begin, const char *format, ...) {
    va_list args;
    do {
        ap_buf_append_char(g->out, ' ');
    } while (g->out->status == AP_OK && g->out->len - begin < COMMENT_AT);
    ap_buf_append_cstr(g->out, "# ");
    va_start(args, format);
    ap_buf_appendv(g->out, format, args);
    va_end(args);
    ap_buf_append_char(g->out, '\n');
}

size_t ap_guess_begin(ap_guess *g, bool question) {
    const size_t begin = g->out->len;
    if (question) {
        ap_buf_append_cstr(g->out, "? ");
        *g->questions += 1;
    }
    return begin;
}

static ap_status keep_rows(ap_guess *g, ap_rows *rows, ap_error *err) {
    while (g->row_count < AP_GUESS_ROWS) {
        ap_row *kept = &g->rows[g->row_count];
        bool more = false;
        const ap_status status = ap_rows_next(kept, &more, rows, err);
        if (status != AP_OK || !more) {
            return status;
        }
        ap_str *cells = ap_arena_alloc_array(&g->arena, kept->count + 1, sizeof *cells);
        for (size_t i = 0; i < kept->count && cells; i++) {
            cells[i] = ap_arena_str(&g->arena, ap_str_trim(kept->cells[i]));
        }
        kept->cells = cells;
        kept->raw = ap_arena_str(&g->arena, kept->raw);
        if (g->arena.failed) {
            return ap_error_set(err, AP_E_LIMIT, "its first rows are too long to guess from");
        }
        g->row_count++;
    }
    return AP_OK;
}

/* The row with most headers that are known, among the first ones. */
static ap_status find_header(ap_guess *g, size_t *known, ap_error *err) {
    *known = 0;
    for (size_t i = 0; i < g->row_count && i < HEADER_WITHIN; i++) {
        size_t here = 0;
        for (size_t k = 0; k < g->rows[i].count && k < AP_GUESS_CELLS; k++) {
            int field = -1;
            ap_header_sense sense = AP_SENSE_NONE;
            const ap_status status = ap_header_sense_of(&field, &sense, &g->arena, g->book, g->rows[i].cells[k], err);
            if (status != AP_OK) {
                return status;
            }
            here += field >= 0;
        }
        if (here > *known) {
            *known = here;
            g->header = i;
        }
    }
    return AP_OK;
}

static ap_str cell_at(const ap_guess *g, size_t row, size_t column) {
    const ap_row *one = &g->rows[row];
    return !one->trouble && column < one->count ? one->cells[column] : AP_STR_NONE;
}

/* A header that is not known and speaks of a weight, a radius or a capacity that no column gives: -1 when it does not. */
static int looks_like(const ap_guess *g, ap_str header) {
    static const struct {
        const char *holds;
        int field;
    } looks[] = {
        {"gross", AP_F_measured_weight},  {"scale", AP_F_measured_weight}, {"weigh", AP_F_measured_weight},
        {"actual", AP_F_measured_weight}, {"radius", AP_F_cut_radius},     {"capacity", AP_F_cut_capacity},
    };
    for (size_t i = 0; i < sizeof looks / sizeof *looks; i++) {
        ap_str word = ap_str_from(looks[i].holds);
        for (size_t at = 0; g->column_of[looks[i].field] < 0 && at + word.len <= header.len; at++) {
            if (ap_str_equal_nocase((ap_str){header.ptr + at, word.len}, word)) {
                return looks[i].field;
            }
        }
    }
    return -1;
}

static ap_status name_columns(ap_guess *g, ap_error *err) {
    const ap_row *header = &g->rows[g->header];
    g->columns = header->count < AP_GUESS_CELLS ? header->count : AP_GUESS_CELLS;
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        g->column_of[i] = -1;
    }
    for (size_t i = 0; i < g->columns; i++) {
        const ap_status status =
            ap_header_sense_of(&g->fields[i], &g->senses[i], &g->arena, g->book, header->cells[i], err);
        if (status != AP_OK) {
            return status;
        }
        if (g->fields[i] >= 0 && g->column_of[g->fields[i]] < 0) {
            g->column_of[g->fields[i]] = (int)i;
        }
    }
    for (size_t i = 0; i < g->columns; i++) {
        const int field = g->fields[i] < 0 ? looks_like(g, header->cells[i]) : -1;
        if (field >= 0) {
            g->fields[i] = field;
            g->senses[i] = AP_SENSE_NEAR;
            g->column_of[field] = (int)i;
        }
    }
    return AP_OK;
}

/* Numbers without a unit: the first of them, none when every cell has one. */
static ap_str first_bare(ap_guess *g, size_t column, ap_dim dim) {
    const ap_quantity_rules rules = {.dim = dim, .default_unit = AP_UNIT_NONE, .ton = AP_UNIT_TONNE, .decimal = '.'};
    ap_quantity_rules no_ton = rules;
    no_ton.ton = AP_UNIT_NONE;
    ap_str bare = AP_STR_NONE;
    for (size_t i = g->header + 1; i < g->row_count; i++) {
        const ap_str cell = cell_at(g, i, column);
        ap_quantity quantity;
        ap_refusal why;
        if (cell.len == 0) {
            continue;
        }
        if (!ap_quantity_read(&quantity, cell, &rules, &why)) {
            bare = bare.len ? bare : cell;
        } else if (!g->ton_text.len && dim == AP_DIM_LOAD && !ap_quantity_read(&quantity, cell, &no_ton, &why)) {
            g->ton_text = cell;
        }
    }
    return bare;
}

static void put_unit_question(ap_guess *g, size_t begin, const ap_field *desc, ap_str bare) {
    char shown[AP_QUOTED_SIZE];
    ap_fault_quote(shown, bare);
    if (desc->dim == AP_DIM_LOAD) {
        ap_buf_append_cstr(g->out, " in lb");
        ap_guess_why(g, begin, "%s has no unit: in lb, or in kg, tonnes, short tons?", shown);
    } else {
        const bool across = strstr(desc->name, "diameter") != NULL;
        ap_buf_append_cstr(g->out, across ? " in in" : " in ft");
        ap_guess_why(g, begin, "%s has no unit: in %s, or in %s?", shown, across ? "in" : "ft", across ? "cm" : "m");
    }
}

const char *ap_guess_sense(ap_header_sense sense) {
    switch (sense) {
    case AP_SENSE_CANONICAL:
        return "the column's own name";
    case AP_SENSE_SYNONYM:
        return "people call it so";
    case AP_SENSE_NEAR:
        return "nearly the column's own name";
    case AP_SENSE_NONE:
        break;
    }
    return "";
}

static void put_column(ap_guess *g, size_t column) {
    const ap_str header = g->rows[g->header].cells[column];
    const int field = g->fields[column];
    if (header.len == 0) {
        return;
    }
    if (field < 0) {
        ap_buf_append_cstr(g->out, "# column ");
        ap_guess_quote(g->out, header);
        ap_buf_append_cstr(g->out, " is taken by nothing: no field is known by this name. If it is one: column ");
        ap_guess_quote(g->out, header);
        ap_buf_append_cstr(g->out, " -> FIELD\n");
        return;
    }
    const ap_field *desc = ap_field_get(field);
    const bool second = g->column_of[field] != (int)column;
    ap_unit unit = AP_UNIT_NONE;
    ap_str name = header;
    ap_str bare = AP_STR_NONE;
    if (desc->kind == AP_KIND_QTY) {
        unit = ap_header_split_unit(&name, header);
        bare = first_bare(g, column, desc->dim);
        if (unit == AP_UNIT_TON && !g->ton_text.len) {
            g->ton_text = header;
        }
    }
    const bool asks_unit = bare.len && unit == AP_UNIT_NONE && (desc->dim == AP_DIM_LOAD || desc->dim == AP_DIM_LENGTH);
    const size_t begin = ap_guess_begin(g, second || asks_unit || g->senses[column] == AP_SENSE_NEAR);
    ap_buf_append_cstr(g->out, "column ");
    if (second) {
        ap_buf_appendf(g->out, "%zu ", column + 1);
    }
    ap_guess_quote(g->out, header);
    ap_buf_appendf(g->out, " -> %s", desc->name);
    if (second) {
        ap_guess_why(g, begin, "column %d is %s too: which of them is it?", g->column_of[field] + 1, desc->name);
    } else if (asks_unit) {
        put_unit_question(g, begin, desc, bare);
    } else if (unit != AP_UNIT_NONE) {
        ap_guess_why(g, begin, "%s, in %s by the header", ap_guess_sense(g->senses[column]), ap_unit_symbol(unit));
    } else {
        ap_guess_why(g, begin, "%s%s", ap_guess_sense(g->senses[column]),
                     g->senses[column] == AP_SENSE_NEAR ? ": is it?" : "");
    }
}

static bool is_known_word(ap_guess *g, const ap_field *desc, ap_str cell) {
    if (desc->kind == AP_KIND_WORD || desc->kind == AP_KIND_YESNO || desc->kind == AP_KIND_MOVES) {
        return ap_cell_word_find(desc, cell) != 0;
    }
    const ap_species *species = NULL;
    return ap_book_species_find(&species, g->book, cell, NULL) == AP_OK;
}

/* What a word that is none of the vocabulary seems to say; "blank" where nothing is near. */
static void propose(ap_guess *g, size_t begin, const ap_field *desc, ap_str cell, int64_t line) {
    const ap_species *species = NULL;
    ap_buf word;
    ap_buf_init(&word, 1024);
    if (desc->kind == AP_KIND_TEXT) {
        if (ap_book_species_near(&species, g->book, cell, NULL) == AP_OK && species) {
            ap_buf_append_str(&word, species->common);
        }
    } else if (!ap_word_sense(&word, desc, cell)) {
        ap_buf_clear(&word);
    }
    ap_buf_append_cstr(g->out, " -> ");
    if (word.len && desc->kind == AP_KIND_TEXT) {
        ap_guess_quote(g->out, ap_buf_str(&word));
    } else {
        ap_buf_append_cstr(g->out, word.len ? word.ptr : "blank");
    }
    if (word.len) {
        ap_guess_why(g, begin, "line %lld: is that what it says?", (long long)line);
    } else if (desc->kind == AP_KIND_TEXT) {
        ap_guess_why(g, begin, "line %lld: no species is known by this name; 'afterpick species' lists them",
                     (long long)line);
    } else {
        char remedy[AP_FAULT_REMEDY_MAX];
        ap_cell_word_remedy(remedy, sizeof remedy, desc, cell);
        ap_guess_why(g, begin, "line %lld: %s", (long long)line, remedy);
    }
    ap_buf_release(&word);
}

/* Words of a column that are none of its vocabulary, each once. */
static void put_values(ap_guess *g, size_t column) {
    ap_str seen[WORDS_SHOWN];
    size_t count = 0;
    const int field = g->fields[column];
    if (field < 0 || g->column_of[field] != (int)column) {
        return;
    }
    const ap_field *desc = ap_field_get(field);
    const bool words = desc->kind == AP_KIND_WORD || desc->kind == AP_KIND_YESNO || desc->kind == AP_KIND_MOVES;
    for (size_t i = g->header + 1; (words || field == AP_F_species) && i < g->row_count && count < WORDS_SHOWN; i++) {
        const ap_str cell = cell_at(g, i, column);
        bool fresh = cell.len > 0;
        for (size_t k = 0; k < count && fresh; k++) {
            fresh = !ap_str_equal_nocase(seen[k], cell);
        }
        if (!fresh || is_known_word(g, desc, cell)) {
            continue;
        }
        seen[count++] = cell;
        const size_t begin = ap_guess_begin(g, true);
        ap_buf_appendf(g->out, "value %s: ", desc->name);
        ap_guess_quote(g->out, cell);
        propose(g, begin, desc, cell, g->rows[i].line);
    }
}

static void put_dates(ap_guess *g) {
    const int column = g->column_of[AP_F_date];
    enum { MDY = 2, DMY = 4 };
    ap_str both = AP_STR_NONE;
    int64_t line = 0;
    unsigned only = 0;
    if (column < 0) {
        return;
    }
    for (size_t i = g->header + 1; i < g->row_count; i++) {
        const ap_str cell = cell_at(g, i, (size_t)column);
        const unsigned orders = ap_date_orders(cell);
        if (orders == MDY || orders == DMY) {
            only |= orders;
            line = g->rows[i].line;
        } else if (orders == (MDY | DMY) && !both.len) {
            both = cell;
        }
    }
    const bool settled = only == MDY || only == DMY;
    if (!settled && !both.len && !only) {
        return;
    }
    const size_t begin = ap_guess_begin(g, !settled);
    ap_buf_appendf(g->out, "dates %s", only == DMY ? "dmy" : "mdy");
    if (settled) {
        ap_guess_why(g, begin, "line %lld can be read in no other way", (long long)line);
    } else {
        char shown[AP_QUOTED_SIZE];
        ap_fault_quote(shown, both);
        ap_guess_why(g, begin, "%s: month first (mdy) or day first (dmy)?",
                     both.len ? shown : "the dates contradict each other");
    }
}

void ap_guess_needed(ap_guess *g) {
    static const int needed[] = {AP_F_job, AP_F_date, AP_F_pick, AP_F_species};
    for (size_t i = 0; i < 4; i++) {
        if (g->column_of[needed[i]] < 0) {
            const size_t begin = ap_guess_begin(g, true);
            ap_buf_appendf(g->out, "constant %s = ", ap_field_get(needed[i])->name);
            ap_guess_why(g, begin, "every pick needs it: a column -> %s, or one value for the whole log",
                         ap_field_get(needed[i])->name);
        }
    }
    if (g->column_of[AP_F_planned_weight] < 0 && g->column_of[AP_F_measured_weight] < 0) {
        const size_t begin = ap_guess_begin(g, true);
        ap_buf_append_cstr(g->out, "column \"\" -> planned_weight");
        ap_guess_why(g, begin, "which column is the planned weight, which the measured one?");
    }
    if (g->column_of[AP_F_measured_weight] >= 0 && g->column_of[AP_F_measured_as] < 0 &&
        g->options->settings->weighed_as == 0) {
        const size_t begin = ap_guess_begin(g, true);
        ap_buf_append_cstr(g->out, "measured_as gross");
        ap_guess_why(g, begin, "was the block and the slings on it (gross), or only the piece (net)?");
    }
    if (g->ton_text.len && g->options->settings->ton == 0) {
        char shown[AP_QUOTED_SIZE];
        ap_fault_quote(shown, g->ton_text);
        const size_t begin = ap_guess_begin(g, true);
        ap_buf_append_cstr(g->out, "ton short");
        ap_guess_why(g, begin, "%s: short (2,000 lb), long (2,240 lb) or tonne (1,000 kg)?", shown);
    }
}

/* One number on two days of one job. */
static void put_restart(ap_guess *g) {
    const int pick = g->column_of[AP_F_pick];
    const int date = g->column_of[AP_F_date];
    const int job = g->column_of[AP_F_job];
    for (size_t i = g->header + 1; pick >= 0 && date >= 0 && i < g->row_count; i++) {
        for (size_t k = g->header + 1; k < i; k++) {
            const bool same = cell_at(g, i, (size_t)pick).len &&
                              ap_str_equal(cell_at(g, i, (size_t)pick), cell_at(g, k, (size_t)pick)) &&
                              (job < 0 || ap_str_equal(cell_at(g, i, (size_t)job), cell_at(g, k, (size_t)job)));
            if (same && !ap_str_equal(cell_at(g, i, (size_t)date), cell_at(g, k, (size_t)date))) {
                const size_t begin = ap_guess_begin(g, true);
                ap_buf_append_cstr(g->out, "numbers restart each day");
                ap_guess_why(g, begin,
                             "lines %lld and %lld have one number on two days: take it out if they are one pick",
                             (long long)g->rows[k].line, (long long)g->rows[i].line);
                return;
            }
        }
    }
}

static void put_use(ap_guess *g) {
    ap_buf_append_cstr(g->out,
                       "# Take the '#' out to have it used for every log with these headers, unasked:\n# use when "
                       "header has ");
    for (size_t i = 0, put = 0; i < g->columns; i++) {
        if (g->rows[g->header].cells[i].len) {
            ap_buf_append_cstr(g->out, put++ ? ", " : "");
            ap_guess_quote(g->out, g->rows[g->header].cells[i]);
        }
    }
    ap_buf_append_char(g->out, '\n');
}

static ap_status guess_table(ap_guess *g, ap_error *err) {
    const ap_status status = name_columns(g, err);
    if (status != AP_OK) {
        return status;
    }
    put_use(g);
    if (g->rows[g->header].line > 1) {
        ap_buf_appendf(g->out, "# the header stands on line %lld; it is looked for by its names\n",
                       (long long)g->rows[g->header].line);
    }
    ap_buf_append_char(g->out, '\n');
    for (size_t i = 0; i < g->columns; i++) {
        put_column(g, i);
    }
    ap_buf_append_char(g->out, '\n');
    put_dates(g);
    ap_guess_needed(g);
    put_restart(g);
    for (size_t i = 0; i < g->columns; i++) {
        put_values(g, i);
    }
    return AP_OK;
}

static void put_head(ap_guess *g, const char *path) {
    const char *slash = strrchr(path, '/');
    const char *file = slash ? slash + 1 : path;
    ap_str name = g->options->name;
    if (name.len == 0) {
        name = ap_str_split(ap_str_from(file), '.', &(ap_str){0});
    }
    ap_buf_append_cstr(g->out, "name ");
    for (size_t i = 0; i < name.len && i < AP_PROFILE_NAME_MAX; i++) {
        const char c = name.ptr[i];
        ap_buf_append_char(g->out, (unsigned char)c < 0x20 || c == '/' || c == '\\' || c == '#' ? '-' : c);
    }
    ap_buf_append_cstr(g->out, name.len ? "\n" : "log\n");
    ap_buf_append_cstr(g->out, "about Guessed from '");
    for (const char *c = file; *c; c++) {
        ap_buf_append_char(g->out, (unsigned char)*c < 0x20 ? '-' : *c);
    }
    ap_buf_append_cstr(g->out,
                       "'. Answer every line that begins with '?', then: afterpick profile keep THIS --why TEXT\n");
}

static ap_status guess_rows(ap_guess *g, const char *path, ap_error *err) {
    ap_rows *rows = NULL;
    size_t known = 0;
    const ap_rows_options form = {.sheet = g->options->sheet};
    ap_status status = ap_rows_new(&rows, g->source, &form, err);
    if (status == AP_OK) {
        status = keep_rows(g, rows, err);
    }
    const bool workbook = rows && ap_rows_kind_of(rows) == AP_ROWS_WORKBOOK;
    ap_rows_free(rows);
    if (status == AP_OK) {
        status = find_header(g, &known, err);
    }
    if (status != AP_OK) {
        return status;
    }
    put_head(g, path);
    if (known >= KNOWN_AT_LEAST && g->rows[g->header].count > 1) {
        if (workbook && g->options->sheet.len) {
            ap_buf_append_cstr(g->out, "sheet ");
            ap_guess_quote(g->out, g->options->sheet);
            ap_buf_append_char(g->out, '\n');
        }
        return guess_table(g, err);
    }
    if (workbook) {
        return ap_error_set(err, AP_E_INPUT,
                            "no row of this sheet names two columns that are known: name them in the sheet");
    }
    return ap_guess_text(g, err);
}

ap_status ap_profile_guess(ap_buf *out, int *questions, ap_book *book, const char *path,
                           const ap_guess_options *options, ap_error *err) {
    ap_guess *g = calloc(1, sizeof *g);
    if (!g) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a guess");
    }
    *questions = 0;
    *g = (ap_guess){.out = out, .questions = questions, .book = book, .options = options};
    ap_arena_init(&g->arena, ARENA_MAX);
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        g->column_of[i] = -1;
    }
    ap_status status = ap_header_check_examples(book, err);
    if (status == AP_OK) {
        status = ap_source_open(&g->source, path, NULL, err);
    }
    if (status == AP_OK) {
        status = guess_rows(g, path, err);
    }
    if (status == AP_OK) {
        status = ap_buf_check(out, "the guessed profile", err);
    }
    ap_source_close(g->source);
    ap_arena_release(&g->arena);
    free(g);
    return status;
}
