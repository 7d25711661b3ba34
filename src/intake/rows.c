#include "intake/rows.h"

struct ap_rows {
    const ap_source *source;
    int64_t offset;
    ap_delimited *delimited;
};

static ap_status read_source(void *context, char *bytes, size_t cap, size_t *got, ap_error *err) {
    ap_rows *rows = context;
    const ap_status status = ap_source_read_at(bytes, cap, got, rows->source, rows->offset, err);
    if (status == AP_OK) {
        rows->offset += (int64_t)*got;
    }
    return status;
}

ap_status ap_rows_new_delimited(ap_rows **out, const ap_source *source, char delimiter, ap_error *err) {
    ap_rows *rows = calloc(1, sizeof *rows);
    if (!rows) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while opening a log");
    }
    rows->source = source;
    const ap_delimited_options options = {.delimiter = delimiter};
    const ap_status status = ap_delimited_new(&rows->delimited, read_source, rows, &options, err);
    if (status != AP_OK) {
        free(rows);
        return status;
    }
    *out = rows;
    return AP_OK;
}

void ap_rows_free(ap_rows *rows) {
    if (rows) {
        ap_delimited_free(rows->delimited);
        free(rows);
    }
}

ap_status ap_rows_next(ap_row *row, bool *more, ap_rows *rows, ap_error *err) {
    return ap_delimited_next(row, more, rows->delimited, err);
}

static const char *delimiter_name(char delimiter) {
    switch (delimiter) {
    case ',':
        return "comma";
    case ';':
        return "semicolon";
    case '\t':
        return "tab";
    case '|':
        return "pipe";
    default:
        return "one column";
    }
}

void ap_rows_dialect(ap_buf *out, const ap_rows *rows) {
    ap_buf_appendf(out, "%s, %s", delimiter_name(ap_rows_delimiter(rows)),
                   ap_encoding_name(ap_delimited_encoding(rows->delimited)));
}

char ap_rows_delimiter(const ap_rows *rows) {
    return ap_delimited_delimiter(rows->delimited);
}

int64_t ap_rows_bytes(const ap_rows *rows) {
    return rows->offset;
}
