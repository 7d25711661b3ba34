#include "intake/profile_guess_parts.h"

#include "text/lines.h"

/* "Wt: 2950" -> the part before the colon. */
static bool key_of(ap_str *key, ap_str line) {
    for (size_t i = 0; i < line.len && i < 40; i++) {
        if (line.ptr[i] == ':' || line.ptr[i] == '=') {
            *key = ap_str_trim((ap_str){line.ptr, i});
            return key->len > 0;
        }
    }
    return false;
}

static ap_status read_source(void *context, char *bytes, size_t cap, size_t *got, ap_error *err) {
    ap_guess *g = context;
    const ap_status status = ap_source_read_at(bytes, cap, got, g->source, g->offset, err);
    g->offset += status == AP_OK ? (int64_t)*got : 0;
    return status;
}

/* The first lines as they stand, in rows. */
static ap_status keep_lines(ap_guess *g, ap_error *err) {
    ap_lines *lines = NULL;
    g->row_count = 0;
    ap_status status = ap_lines_new(&lines, read_source, g, 0, err);
    for (bool more = true; status == AP_OK && more && g->row_count < AP_GUESS_ROWS;) {
        ap_line line;
        status = ap_lines_next(&line, &more, lines, err);
        if (status == AP_OK && more && !line.trouble) {
            g->rows[g->row_count++] =
                (ap_row){.line = line.number, .raw = ap_arena_str(&g->arena, ap_str_shortened(line.text, 400))};
        }
    }
    ap_lines_free(lines);
    return status == AP_OK ? ap_arena_check(&g->arena, "the lines of a log", err) : status;
}

/* The keys of all blocks, in the order they are met. */
static size_t find_keys(ap_str keys[AP_GUESS_CELLS], const ap_guess *g) {
    size_t count = 0;
    for (size_t i = 0; i < g->row_count && count < AP_GUESS_CELLS; i++) {
        ap_str key;
        bool fresh = key_of(&key, g->rows[i].raw);
        for (size_t k = 0; k < count && fresh; k++) {
            fresh = !ap_profile_header_is(keys[k], key);
        }
        if (fresh) {
            keys[count++] = key;
        }
    }
    return count;
}

/* At least two keys are names of columns: "5 Oct Hill Rd: red oak" is no key. */
static ap_status are_known(bool *known, ap_guess *g, const ap_str *keys, size_t count, ap_error *err) {
    size_t found = 0;
    for (size_t k = 0; k < count; k++) {
        int field = -1;
        ap_header_sense sense = AP_SENSE_NONE;
        const ap_status status = ap_header_sense_of(&field, &sense, &g->arena, g->book, keys[k], err);
        if (status != AP_OK) {
            return status;
        }
        found += field >= 0 && sense != AP_SENSE_NEAR;
    }
    *known = found >= 2;
    return AP_OK;
}

static ap_str value_of(ap_str line, ap_str key) {
    ap_str own;
    if (!key_of(&own, line) || !ap_profile_header_is(own, key)) {
        return AP_STR_NONE;
    }
    size_t at = 0;
    while (at < line.len && line.ptr[at] != ':' && line.ptr[at] != '=') {
        at++;
    }
    return at < line.len ? ap_str_trim((ap_str){line.ptr + at + 1, line.len - at - 1}) : AP_STR_NONE;
}

/* Blocks become rows of a table whose header is the keys: what is known of columns is known of keys. */
static ap_status make_table(ap_guess *g, const ap_str *keys, size_t count, ap_error *err) {
    ap_row *rows = ap_arena_alloc_array(&g->arena, AP_GUESS_ROWS, sizeof *rows);
    ap_str *header = ap_arena_alloc_array(&g->arena, count, sizeof *header);
    size_t made = 0;
    if (!rows || !header) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a guess");
    }
    memcpy(header, keys, count * sizeof *header);
    rows[made++] = (ap_row){.cells = header, .count = count, .line = 0, .raw = AP_STR_LIT("")};
    for (size_t i = 0; i < g->row_count && made < AP_GUESS_ROWS; i++) {
        if (ap_str_is_blank(g->rows[i].raw)) {
            continue;
        }
        ap_str *cells = ap_arena_alloc_array(&g->arena, count, sizeof *cells);
        const int64_t line = g->rows[i].line;
        ap_buf all;
        ap_buf_init(&all, 65536);
        for (size_t k = 0; cells && k < count; k++) {
            cells[k] = AP_STR_LIT("");
        }
        for (; cells && i < g->row_count && !ap_str_is_blank(g->rows[i].raw); i++) {
            for (size_t k = 0; k < count; k++) {
                const ap_str value = value_of(g->rows[i].raw, keys[k]);
                cells[k] = value.len ? value : cells[k];
            }
            ap_buf_appendf(&all, "%s%.*s", all.len ? "\n" : "", AP_STR_ARG(g->rows[i].raw));
        }
        rows[made++] =
            (ap_row){.cells = cells, .count = count, .line = line, .raw = ap_arena_str(&g->arena, ap_buf_str(&all))};
        ap_buf_release(&all);
    }
    memcpy(g->rows, rows, made * sizeof *rows);
    g->row_count = made;
    g->header = 0;
    g->data = 1;
    g->columns = count;
    return ap_arena_check(&g->arena, "the blocks of a log", err);
}

/* The first block with a pick's number and a species, and the texts of what was taken from it that stand for themselves. */
static void put_sample(ap_guess *g) {
    static const int shown[] = {AP_F_pick, AP_F_piece, AP_F_crew, AP_F_crane, AP_F_tree};
    const int species = g->column_of[AP_F_species];
    ap_buf_append_cstr(g->out, "\n# What the log says, and what must be read from it:\n");
    for (size_t i = g->data; i < g->row_count; i++) {
        size_t put = 0;
        if (species < 0 || (size_t)species >= g->columns || !ap_guess_cell(g, i, (size_t)species).len) {
            continue;
        }
        ap_buf_append_cstr(g->out, "sample ");
        ap_guess_quote(g->out, g->rows[i].raw);
        ap_buf_append_cstr(g->out, "\n  gives ");
        for (size_t k = 0; k < sizeof shown / sizeof *shown; k++) {
            const int column = g->column_of[shown[k]];
            const ap_str cell =
                column >= 0 && (size_t)column < g->columns ? ap_guess_cell(g, i, (size_t)column) : AP_STR_NONE;
            const bool plain = cell.len && !memchr(cell.ptr, ',', cell.len) && !memchr(cell.ptr, '#', cell.len);
            if (plain && ap_field_get(shown[k])->kind == AP_KIND_TEXT && g->senses[column] != AP_SENSE_CELLS) {
                ap_buf_appendf(g->out, "%s%s = %.*s", put++ ? ", " : "", ap_field_get(shown[k])->name,
                               AP_STR_ARG(cell));
            }
        }
        ap_buf_append_cstr(g->out, put ? "\n" : "condition = blank\n");
        return;
    }
    const size_t begin = ap_guess_begin(g, true);
    ap_buf_append_cstr(g->out, "sample \"BLOCK\"");
    ap_guess_why(g, begin, "no block gives a species yet: answer the other questions first");
}

ap_status ap_guess_text(ap_guess *g, ap_error *err) {
    ap_str keys[AP_GUESS_CELLS];
    size_t with_key = 0;
    size_t filled = 0;
    bool known = false;
    ap_status status = keep_lines(g, err);
    for (size_t i = 0; i < g->row_count; i++) {
        ap_str key;
        filled += !ap_str_is_blank(g->rows[i].raw);
        with_key += key_of(&key, g->rows[i].raw);
    }
    const size_t count = status == AP_OK ? find_keys(keys, g) : 0;
    if (status == AP_OK) {
        status = are_known(&known, g, keys, count, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_buf_append_char(g->out, '\n');
    if (!known || with_key * 3 <= filled * 2) {
        return ap_guess_lines(g, err);
    }
    g->told->kind = AP_GUESS_BLOCK;
    ap_buf_append_cstr(g->out, "block   # most lines are 'key: value'\n");
    status = make_table(g, keys, count, err);
    if (status == AP_OK) {
        status = ap_guess_table(g, err);
    }
    if (status == AP_OK) {
        put_sample(g);
    }
    return status;
}
