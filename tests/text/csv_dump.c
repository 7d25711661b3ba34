/* Prints what the delimited reader reads, one line a row: "ok" or "trouble", then each cell as hex. For check.sh. */
#include "text/delimited.h"

static ap_status read_stdin(void *context, char *bytes, size_t cap, size_t *got, ap_error *err) {
    *got = fread(bytes, 1, cap, context);
    return ferror((FILE *)context) ? ap_error_set(err, AP_E_IO, "unable to read standard input") : AP_OK;
}

int main(int argc, char **argv) {
    ap_delimited_options options = {argc > 1 ? argv[1][0] : '\0', 0, 0, 0};
    ap_delimited *reader = NULL;
    ap_row row;
    bool more = false;
    if (ap_delimited_new(&reader, read_stdin, stdin, &options, NULL) != AP_OK) {
        return 3;
    }
    while (ap_delimited_next(&row, &more, reader, NULL) == AP_OK && more) {
        printf("%s", row.trouble ? "trouble" : "ok");
        for (size_t i = 0; i < row.count; i++) {
            printf(" =");
            for (size_t k = 0; k < row.cells[i].len; k++) {
                printf("%02x", (unsigned)(unsigned char)row.cells[i].ptr[k]);
            }
        }
        printf("\n");
    }
    ap_delimited_free(reader);
    return more ? 3 : 0;
}
