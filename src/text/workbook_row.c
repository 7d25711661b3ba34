/* A row in the making: cells by column, in whatever order they come, within the limits of the delimited reader. */
#include "text/workbook_parts.h"

enum { CELL_MAX = 1 << 20, ROW_MAX = 4 << 20, CELLS_MAX = 1024 };

static void name_size(char *out, size_t size, const char *what, size_t bytes) {
    if (bytes >= 1u << 20 && bytes % (1u << 20) == 0) {
        snprintf(out, size, "%s longer than %zu MiB", what, bytes >> 20);
    } else {
        snprintf(out, size, "%s longer than %zu bytes", what, bytes);
    }
}

ap_status ap_row_maker_init(ap_row_maker *maker, const ap_workbook_options *options, ap_error *err) {
    *maker = (ap_row_maker){
        .cell_max = options->cell_max > 0 ? options->cell_max : CELL_MAX,
        .row_max = options->row_max > 0 ? options->row_max : ROW_MAX,
        .cells_max = options->cells_max > 0 ? options->cells_max : CELLS_MAX,
    };
    ap_buf_init(&maker->text, maker->row_max);
    ap_buf_init(&maker->raw, maker->row_max);
    name_size(maker->cell_long, sizeof maker->cell_long, "cell", maker->cell_max);
    name_size(maker->row_long, sizeof maker->row_long, "row", maker->row_max);
    snprintf(maker->cells_many, sizeof maker->cells_many, "more than %zu cells", maker->cells_max);
    maker->spans = calloc(maker->cells_max, sizeof *maker->spans);
    maker->cells = calloc(maker->cells_max, sizeof *maker->cells);
    if (!maker->spans || !maker->cells) {
        ap_row_maker_release(maker);
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a row of a sheet");
    }
    return AP_OK;
}

void ap_row_maker_release(ap_row_maker *maker) {
    ap_buf_release(&maker->text);
    ap_buf_release(&maker->raw);
    free(maker->spans);
    free(maker->cells);
    maker->spans = NULL;
    maker->cells = NULL;
}

void ap_row_maker_clear(ap_row_maker *maker) {
    ap_buf_clear(&maker->text);
    ap_buf_clear(&maker->raw);
    maker->count = 0;
    maker->trouble = NULL;
    maker->trouble_cell = 0;
}

bool ap_row_maker_is_blank(const ap_row_maker *maker) {
    return maker->count == 0;
}

void ap_row_maker_trouble(ap_row_maker *maker, const char *trouble, size_t cell) {
    if (!maker->trouble) {
        maker->trouble = trouble;
        maker->trouble_cell = cell;
    }
}

/* The longest start of `text` of at most `len` bytes that cuts no character. */
static size_t whole_characters(ap_str text, size_t len) {
    if (len >= text.len) {
        return text.len;
    }
    while (len > 0 && ((unsigned char)text.ptr[len] & 0xC0) == 0x80) {
        len--;
    }
    return len;
}

void ap_text_append(ap_buf *buf, ap_str text) {
    size_t left = buf->max - buf->len;
    ap_buf_append(buf, text.ptr, buf->status == AP_OK ? whole_characters(text, left) : 0);
    if (buf->status == AP_OK && text.len > left) {
        buf->status = AP_E_LIMIT;
    }
}

static void reach(ap_row_maker *maker, size_t count) {
    while (maker->count < count) {
        maker->spans[maker->count++] = (ap_row_span){0};
    }
}

void ap_row_maker_put(ap_row_maker *maker, size_t column, size_t repeat, ap_str text, const char *trouble) {
    if ((text.len == 0 && !trouble) || repeat == 0) {
        return;
    }
    if (column >= maker->cells_max || repeat > maker->cells_max - column) {
        repeat = column < maker->cells_max ? maker->cells_max - column : 0;
        column = maker->cells_max - repeat;
        reach(maker, maker->cells_max);
        ap_row_maker_trouble(maker, maker->cells_many, maker->cells_max - 1);
        if (repeat == 0) {
            return;
        }
    }
    if (column < maker->count && maker->spans[column].len > 0) {
        ap_row_maker_trouble(maker, "two values for one cell", column);
    }
    reach(maker, column + repeat);
    if (trouble) {
        ap_row_maker_trouble(maker, trouble, column);
    }
    if (text.len > maker->cell_max) {
        text.len = whole_characters(text, maker->cell_max);
        ap_row_maker_trouble(maker, maker->cell_long, column);
    }
    ap_row_span span = {.at = maker->text.len};
    ap_text_append(&maker->text, text);
    span.len = maker->text.len - span.at;
    for (size_t i = column; i < column + repeat; i++) {
        maker->spans[i] = span;
    }
    if (span.len < text.len) {
        ap_row_maker_trouble(maker, maker->row_long, column);
    }
}

void ap_row_maker_mark_number(ap_row_maker *maker, size_t column, size_t repeat) {
    for (size_t i = 0; i < repeat && column + i < maker->count; i++) {
        maker->spans[column + i].number = true;
    }
}

/* The cells as comma-separated text; cells behind the limit are cut off and said to be. */
static void write_raw(ap_row_maker *maker) {
    for (size_t i = 0; i < maker->count; i++) {
        size_t before = maker->raw.len;
        ap_buf_append_cstr(&maker->raw, i > 0 ? "," : "");
        ap_delimited_write_cell(&maker->raw, maker->cells[i], ',', false);
        if (maker->raw.status == AP_E_LIMIT) {
            ap_buf_clear(&maker->raw);
            maker->raw.len = before; /* what is behind it is not looked at */
            ap_row_maker_trouble(maker, maker->row_long, i);
            return;
        }
    }
}

ap_status ap_row_maker_finish(ap_row *row, ap_row_maker *maker, int64_t line, ap_error *err) {
    ap_buf_clear(&maker->raw);
    if (maker->count == 0) {
        maker->spans[maker->count++] = (ap_row_span){0};
    }
    for (size_t i = 0; i < maker->count; i++) {
        ap_row_span span = maker->spans[i];
        maker->cells[i] = (ap_str){span.len > 0 ? maker->text.ptr + span.at : "", span.len};
    }
    write_raw(maker);
    if (maker->text.status == AP_E_MEMORY || maker->raw.status == AP_E_MEMORY) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a row of a sheet");
    }
    *row = (ap_row){.cells = maker->cells, .count = maker->count, .line = line, .line_last = line};
    row->raw = maker->raw.len > 0 ? ap_buf_str(&maker->raw) : AP_STR_LIT("");
    row->trouble = maker->trouble;
    row->trouble_cell = maker->trouble_cell;
    return AP_OK;
}
