/* Rows of a workbook for tests/workbook/check.sh: "sheet HEX 0|1" (hidden), then "LINE ok|bad =HEX =HEX ..." a row.
 * A refusal is one line "refused: ..." and exit 3. */
#include "text/workbook.h"

static void put_hex(ap_str str) {
    putchar('=');
    for (size_t i = 0; i < str.len; i++) {
        printf("%02x", (unsigned char)str.ptr[i]);
    }
}

static ap_status dump(ap_workbook *book, ap_error *err) {
    for (size_t i = 0; i < ap_workbook_sheet_count(book); i++) {
        printf("sheet ");
        put_hex(ap_workbook_sheet_name(book, i));
        printf(" %d\n", ap_workbook_sheet_is_hidden(book, i));
        ap_status status = ap_workbook_select(book, i, err);
        bool more = true;
        while (status == AP_OK && more) {
            ap_row row;
            status = ap_workbook_next(&row, &more, book, err);
            if (status != AP_OK || !more) {
                break;
            }
            printf("%lld %s", (long long)row.line, row.trouble ? "bad" : "ok");
            for (size_t c = 0; c < row.count; c++) {
                putchar(' ');
                put_hex(row.cells[c]);
            }
            putchar('\n');
        }
        if (status != AP_OK) {
            return status;
        }
    }
    return AP_OK;
}

int main(int argc, char **argv) {
    ap_error err;
    ap_error_clear(&err);
    ap_workbook *book = NULL;
    if (argc != 2) {
        return 2;
    }
    ap_status status = ap_workbook_open(&book, argv[1], NULL, &err);
    status = status == AP_OK ? dump(book, &err) : status;
    ap_workbook_close(book);
    if (status != AP_OK) {
        printf("refused: %s\n", err.text);
        return 3;
    }
    return 0;
}
