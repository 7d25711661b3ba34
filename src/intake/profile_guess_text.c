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

static ap_status put_keys(ap_guess *g, ap_error *err) {
    ap_str seen[AP_GUESS_CELLS];
    size_t count = 0;
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        g->column_of[i] = -1;
    }
    ap_buf_append_cstr(g->out, "block   # most lines are 'key: value'\n");
    for (size_t i = 0; i < g->row_count && count < AP_GUESS_CELLS; i++) {
        ap_str key;
        bool fresh = key_of(&key, g->rows[i].raw);
        for (size_t k = 0; k < count && fresh; k++) {
            fresh = !ap_profile_header_is(seen[k], key);
        }
        if (!fresh) {
            continue;
        }
        seen[count++] = key;
        int field = -1;
        ap_header_sense sense = AP_SENSE_NONE;
        const ap_status status = ap_header_sense_of(&field, &sense, &g->arena, g->book, key, err);
        if (status != AP_OK) {
            return status;
        }
        if (field < 0) {
            ap_buf_append_cstr(g->out, "# key ");
            ap_guess_quote(g->out, key);
            ap_buf_append_cstr(g->out, " is taken by nothing: no field is known by this name\n");
            continue;
        }
        const size_t begin = ap_guess_begin(g, sense == AP_SENSE_NEAR || g->column_of[field] >= 0);
        g->column_of[field] = (int)i;
        ap_buf_append_cstr(g->out, "key ");
        ap_guess_quote(g->out, key);
        ap_buf_appendf(g->out, " -> %s", ap_field_get(field)->name);
        ap_guess_why(g, begin, "%s; add 'in UNIT' where its numbers have none", ap_guess_sense(sense));
    }
    return AP_OK;
}

static ap_status put_block(ap_guess *g, ap_error *err) {
    g->told->kind = AP_GUESS_BLOCK;
    const ap_status status = put_keys(g, err);
    if (status != AP_OK) {
        return status;
    }
    ap_guess_needed(g);
    ap_buf_append_cstr(g->out, "\n# What the log says, and what must be read from it:\n");
    for (size_t i = 0; i < g->row_count; i++) {
        if (ap_str_is_blank(g->rows[i].raw)) {
            continue;
        }
        ap_buf all;
        ap_buf_init(&all, 16384);
        ap_buf_append_str(&all, g->rows[i].raw);
        for (; i + 1 < g->row_count && !ap_str_is_blank(g->rows[i + 1].raw); i++) {
            ap_buf_append_char(&all, '\n');
            ap_buf_append_str(&all, g->rows[i + 1].raw);
        }
        const size_t begin = ap_guess_begin(g, true);
        ap_buf_append_cstr(g->out, "sample ");
        ap_guess_quote(g->out, ap_buf_str(&all));
        ap_buf_append_cstr(g->out, "\n?   gives pick = , species = , planned_weight = ");
        ap_buf_release(&all);
        ap_guess_why(g, begin, "write into the profile what must be read from this block");
        break;
    }
    return AP_OK;
}

ap_status ap_guess_text(ap_guess *g, ap_error *err) {
    size_t keys = 0;
    size_t filled = 0;
    ap_status status = keep_lines(g, err);
    for (size_t i = 0; i < g->row_count; i++) {
        ap_str key;
        filled += !ap_str_is_blank(g->rows[i].raw);
        keys += key_of(&key, g->rows[i].raw);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_buf_append_char(g->out, '\n');
    return keys * 3 > filled * 2 ? put_block(g, err) : ap_guess_lines(g, err);
}
