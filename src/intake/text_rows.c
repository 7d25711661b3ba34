#include "intake/text_rows.h"

#include "book/species.h"
#include "intake/fault.h"
#include "intake/line_find.h"

enum { TROUBLE_BYTES = 200, CARRY_MAX = 4096, KEY_SHOWN = 60 };

typedef struct unread_key {
    char text[KEY_SHOWN + 1];
    size_t len;
} unread_key;

struct ap_text_rows {
    const ap_profile *profile;
    ap_lines *lines;
    size_t count; /* of cells */
    ap_str cells[AP_PROFILE_COLUMNS_MAX + 1];
    ap_buf carry[AP_PROFILE_COLUMNS_MAX]; /* what the last heading said */
    bool carried[AP_PROFILE_COLUMNS_MAX];
    ap_buf block;
    bool pending; /* a heading ended the block before it: it comes next */
    ap_buf pending_text;
    int64_t pending_line;
    unread_key unread[AP_TEXT_UNREAD_MAX];
    size_t unread_count;
    char trouble[TROUBLE_BYTES];
    ap_book *book; /* its species, for "find" */
    ap_line_finder *finder;
};

ap_status ap_text_rows_new(ap_text_rows **out, ap_read_fn read, void *context, const ap_profile *profile, ap_book *book,
                           ap_error *err) {
    ap_text_rows *rows = calloc(1, sizeof *rows);
    if (!rows) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while opening a log");
    }
    rows->profile = profile;
    rows->book = book;
    rows->count = profile->column_count + 1;
    for (size_t i = 0; i < AP_PROFILE_COLUMNS_MAX; i++) {
        ap_buf_init(&rows->carry[i], CARRY_MAX);
    }
    ap_buf_init(&rows->block, AP_TEXT_BLOCK_MAX);
    ap_buf_init(&rows->pending_text, AP_TEXT_BLOCK_MAX + 16);
    if (profile->find_count) {
        rows->finder = calloc(1, sizeof *rows->finder);
        if (!rows->finder || !book) {
            ap_text_rows_free(rows);
            return ap_error_set(err, AP_E_MEMORY, "out of memory while opening a log");
        }
        (void)ap_book_species_is_name(book, AP_STR_LIT("oak")); /* the names are loaded before rows are read ahead */
    }
    const ap_status status = ap_lines_new(&rows->lines, read, context, AP_TEXT_BLOCK_MAX, err);
    if (status != AP_OK) {
        ap_text_rows_free(rows);
        return status;
    }
    *out = rows;
    return AP_OK;
}

void ap_text_rows_free(ap_text_rows *rows) {
    if (rows) {
        ap_lines_free(rows->lines);
        for (size_t i = 0; i < AP_PROFILE_COLUMNS_MAX; i++) {
            ap_buf_release(&rows->carry[i]);
        }
        ap_buf_release(&rows->block);
        ap_buf_release(&rows->pending_text);
        free(rows->finder);
        free(rows);
    }
}

ap_encoding ap_text_rows_encoding(const ap_text_rows *rows) {
    return ap_lines_encoding(rows->lines);
}

size_t ap_text_rows_unread(const ap_text_rows *rows) {
    return rows->unread_count;
}

ap_str ap_text_rows_unread_key(const ap_text_rows *rows, size_t index) {
    return (ap_str){rows->unread[index].text, rows->unread[index].len};
}

static void begin_row(ap_row *row, ap_text_rows *rows, ap_str text, int64_t first, int64_t last, bool carry) {
    rows->trouble[0] = '\0';
    rows->cells[0] = text.ptr ? text : AP_STR_LIT("");
    for (size_t i = 1; i < rows->count; i++) {
        const ap_str kept = ap_buf_str(&rows->carry[i - 1]);
        rows->cells[i] = carry && rows->carried[i - 1] && kept.len ? kept : AP_STR_LIT("");
    }
    *row =
        (ap_row){.cells = rows->cells, .count = rows->count, .line = first, .line_last = last, .raw = rows->cells[0]};
}

/* The first heading or line that matches; *index = the count of patterns when none does. */
static ap_status find_pattern(size_t *index, ap_text_rows *rows, ap_str text, bool headings, ap_error *err) {
    const ap_profile *profile = rows->profile;
    for (*index = 0; *index < profile->pattern_count; (*index)++) {
        const ap_profile_pattern *pattern = &profile->patterns[*index];
        bool found = false;
        if (pattern->heading == headings) {
            const ap_status status = ap_pattern_match(&found, pattern->match, text, 0, err);
            if (status == AP_E_LIMIT) {
                snprintf(
                    rows->trouble, sizeof rows->trouble,
                    "the pattern on line %d of the profile needs too many steps on it: make its repeats possessive",
                    pattern->line);
                *index = profile->pattern_count;
                return AP_OK;
            }
            if (status != AP_OK) {
                return status;
            }
        }
        if (found) {
            return AP_OK;
        }
    }
    return AP_OK;
}

/* A heading's groups replace what the last one said about the same fields. */
static void keep_heading(ap_text_rows *rows, const ap_profile_pattern *pattern) {
    for (size_t i = 0; i < pattern->group_count; i++) {
        const ap_profile_group *group = &pattern->groups[i];
        const ap_str text = ap_str_trim(ap_pattern_group(pattern->match, group->group));
        ap_buf *kept = &rows->carry[group->column];
        ap_buf_release(kept);
        ap_buf_init(kept, CARRY_MAX);
        ap_buf_append_str(kept, text);
        rows->carried[group->column] = text.len > 0 && kept->status == AP_OK;
    }
}

static void fill_groups(ap_text_rows *rows, const ap_profile_pattern *pattern) {
    for (size_t i = 0; i < pattern->group_count; i++) {
        const ap_profile_group *group = &pattern->groups[i];
        const ap_str text = ap_str_trim(ap_pattern_group(pattern->match, group->group));
        if (text.len) {
            rows->cells[group->column + 1] = text;
        }
    }
}

static void give_heading(ap_row *row, ap_text_rows *rows, ap_str text, int64_t line) {
    begin_row(row, rows, text, line, line, false);
    row->heading = true;
}

/* By the "find" lines; what a heading said stays where the line says nothing else. */
static void find_in_line(ap_row *row, ap_text_rows *rows, ap_str text) {
    ap_str found[AP_PROFILE_COLUMNS_MAX] = {{0}};
    bool any = false;
    row->trouble = ap_line_find(found, rows->finder, rows->profile, rows->book, text);
    for (size_t i = 0; i < rows->profile->column_count; i++) {
        if (found[i].len) {
            rows->cells[i + 1] = found[i];
            any = any || rows->profile->columns[i].field != AP_F_notes;
        }
    }
    if (!row->trouble && !any) {
        row->trouble = "there is no date, pick, species or weight in it that the profile finds";
    }
}

static ap_status next_line(ap_row *row, bool *more, ap_text_rows *rows, ap_error *err) {
    ap_line line;
    const size_t none = rows->profile->pattern_count;
    size_t at = none;
    ap_status status = ap_lines_next(&line, more, rows->lines, err);
    if (status != AP_OK || !*more) {
        return status;
    }
    if (line.trouble || ap_str_is_blank(line.text)) {
        begin_row(row, rows, line.text, line.number, line.number, false);
        row->trouble = line.trouble;
        return AP_OK;
    }
    rows->trouble[0] = '\0';
    status = find_pattern(&at, rows, line.text, true, err);
    if (status == AP_OK && at < none) {
        keep_heading(rows, &rows->profile->patterns[at]);
        give_heading(row, rows, line.text, line.number);
        return AP_OK;
    }
    const bool limited = rows->trouble[0] != '\0';
    if (status == AP_OK && !limited) {
        begin_row(row, rows, line.text, line.number, line.number, true);
        status = find_pattern(&at, rows, line.text, false, err);
    }
    if (status != AP_OK) {
        return status;
    }
    if (at < none) {
        fill_groups(rows, &rows->profile->patterns[at]);
        return AP_OK;
    }
    if (rows->finder && !limited) {
        find_in_line(row, rows, line.text);
        return AP_OK;
    }
    char kept[TROUBLE_BYTES];
    memcpy(kept, rows->trouble, sizeof kept);
    begin_row(row, rows, line.text, line.number, line.number, false);
    memcpy(rows->trouble, kept, sizeof kept);
    if (!rows->trouble[0]) {
        snprintf(rows->trouble, sizeof rows->trouble, "no line of the profile '%.*s' reads it",
                 AP_STR_ARG(rows->profile->name));
    }
    row->trouble = rows->trouble;
    return AP_OK;
}

static void note_unread(ap_text_rows *rows, ap_str key) {
    key = ap_str_shortened(key, KEY_SHOWN);
    for (size_t i = 0; i < rows->unread_count; i++) {
        if (ap_profile_header_is(ap_text_rows_unread_key(rows, i), key)) {
            return;
        }
    }
    if (rows->unread_count < AP_TEXT_UNREAD_MAX) {
        unread_key *kept = &rows->unread[rows->unread_count++];
        memcpy(kept->text, key.ptr, key.len);
        kept->len = key.len;
    }
}

/* "Wt: 2950": the key up to the first colon or equals sign. */
static bool split_key(ap_str *key, ap_str *value, ap_str line) {
    for (size_t i = 0; i < line.len; i++) {
        if (line.ptr[i] == ':' || line.ptr[i] == '=') {
            *key = ap_str_trim((ap_str){line.ptr, i});
            *value = ap_str_trim((ap_str){line.ptr + i + 1, line.len - i - 1});
            return key->len > 0;
        }
    }
    return false;
}

/* One line of a block; false with the trouble. */
static bool read_key(ap_text_rows *rows, ap_str line, int64_t number, bool *given) {
    ap_str key;
    ap_str value;
    if (!split_key(&key, &value, line)) {
        snprintf(rows->trouble, sizeof rows->trouble, "line %lld is no 'key: value'", (long long)number);
        return false;
    }
    for (size_t i = 0; i < rows->profile->column_count; i++) {
        const ap_profile_column *column = &rows->profile->columns[i];
        if (column->heading || !ap_profile_header_is(column->header, key)) {
            continue;
        }
        if (given[i]) {
            snprintf(rows->trouble, sizeof rows->trouble, "the key on line %lld stands twice in the block",
                     (long long)number);
            return false;
        }
        given[i] = true;
        rows->cells[i + 1] = value.len ? value : AP_STR_LIT("");
        return true;
    }
    note_unread(rows, key);
    return true;
}

static void read_block(ap_row *row, ap_text_rows *rows, int64_t first, int64_t last, const char *trouble) {
    bool given[AP_PROFILE_COLUMNS_MAX] = {false};
    const ap_str block = ap_buf_str(&rows->block);
    begin_row(row, rows, block, first, last, true);
    row->trouble = trouble;
    int64_t number = first;
    for (ap_str rest = block; rest.ptr && !row->trouble; number++) {
        const ap_str line = ap_str_split(rest, '\n', &rest);
        if (!read_key(rows, line, number, given)) {
            row->trouble = rows->trouble;
        }
    }
}

/* The heading that ended the block before. */
static ap_status next_heading(ap_row *row, bool *more, ap_text_rows *rows, ap_error *err) {
    const ap_str text = ap_buf_str(&rows->pending_text);
    size_t at = 0;
    rows->pending = false;
    const ap_status status = find_pattern(&at, rows, text, true, err);
    if (status == AP_OK && at < rows->profile->pattern_count) {
        keep_heading(rows, &rows->profile->patterns[at]);
    }
    *more = true;
    give_heading(row, rows, text, rows->pending_line);
    return status;
}

/* Gathers lines up to a blank one, a heading, or the end. */
static ap_status next_block(ap_row *row, bool *more, ap_text_rows *rows, ap_error *err) {
    const size_t none = rows->profile->pattern_count;
    const char *trouble = NULL;
    int64_t first = 0;
    int64_t last = 0;
    if (rows->pending) {
        return next_heading(row, more, rows, err);
    }
    ap_buf_release(&rows->block);
    ap_buf_init(&rows->block, AP_TEXT_BLOCK_MAX);
    for (;;) {
        ap_line line;
        size_t at = none;
        ap_status status = ap_lines_next(&line, more, rows->lines, err);
        if (status != AP_OK) {
            return status;
        }
        const bool blank = *more && !line.trouble && ap_str_is_blank(line.text);
        if (!*more || blank) {
            *more = *more || first > 0;
            if (first > 0) {
                read_block(row, rows, first, last, trouble);
            } else if (blank) {
                begin_row(row, rows, AP_STR_LIT(""), line.number, line.number, false);
            }
            return AP_OK;
        }
        rows->trouble[0] = '\0';
        status = line.trouble ? AP_OK : find_pattern(&at, rows, line.text, true, err);
        if (status != AP_OK) {
            return status;
        }
        if (at < none && first == 0) {
            keep_heading(rows, &rows->profile->patterns[at]);
            give_heading(row, rows, line.text, line.number);
            return AP_OK;
        }
        if (at < none) {
            /* The block before it still stands under the heading before: this one takes its turn next. */
            read_block(row, rows, first, last, trouble);
            rows->pending = true;
            ap_buf_clear(&rows->pending_text);
            ap_buf_append_str(&rows->pending_text, line.text);
            rows->pending_line = line.number;
            return AP_OK;
        }
        if (first > 0) {
            ap_buf_append_char(&rows->block, '\n');
        }
        ap_buf_append_str(&rows->block, line.text);
        first = first ? first : line.number;
        last = line.number;
        trouble = trouble ? trouble : line.trouble;
        if (rows->block.status != AP_OK) {
            trouble = "block longer than 65536 bytes: blocks are parted by blank lines";
            ap_buf_release(&rows->block);
            ap_buf_init(&rows->block, AP_TEXT_BLOCK_MAX);
        }
    }
}

ap_status ap_text_rows_next(ap_row *row, bool *more, ap_text_rows *rows, ap_error *err) {
    return rows->profile->kind == AP_PROFILE_BLOCKS ? next_block(row, more, rows, err)
                                                    : next_line(row, more, rows, err);
}
