/* Which delimiter a file uses, from its first rows.
 *
 * Each candidate splits the first rows (outside quotes); the one under which most rows have the same number of cells
 * wins, more cells deciding between equals. Title rows above a header have one cell under every candidate and so count
 * against all alike. A comma between two digits is likely a decimal comma or a thousands mark: where another candidate
 * splits at least half of the rows evenly, the comma's share is cut by the part of its commas that stand so. */
#include "text/scan.h"

enum { SNIFF_ROWS = 200, SNIFF_CELLS = 256 };

typedef struct candidate {
    char delimiter;
    double even;  /* share of the rows that have `cells` cells */
    size_t cells; /* the commonest number above one */
} candidate;

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

static bool row_is_blank(const ap_scan *scan) {
    return ap_str_is_blank((ap_str){scan->start, (size_t)(scan->stop - scan->start)});
}

static candidate judge(const ap_scan *window, char delimiter, const char **read_to) {
    size_t rows_of[SNIFF_CELLS] = {0};
    size_t rows = 0;
    ap_scan scan = *window;
    scan.delimiter = delimiter;
    scan.scratch = NULL; /* the copy's storage is its own */
    scan.scratch_cap = 0;
    while (rows < SNIFF_ROWS && scan.start < scan.end && ap_scan_row(&scan) == AP_SCAN_ROW) {
        if (!row_is_blank(&scan)) {
            rows++;
            rows_of[scan.count < SNIFF_CELLS ? scan.count : SNIFF_CELLS - 1]++;
        }
        scan.start = scan.next;
    }
    free(scan.scratch);
    *read_to = scan.start;
    candidate found = {delimiter, 0.0, 1};
    size_t best = 0;
    for (size_t cells = 2; cells < SNIFF_CELLS; cells++) {
        if (rows_of[cells] > 0 && rows_of[cells] >= best) {
            best = rows_of[cells];
            found.cells = cells;
        }
    }
    found.even = rows > 0 ? (double)best / (double)rows : 0.0;
    return found;
}

static double share_between_digits(const char *start, const char *end) {
    size_t commas = 0;
    size_t between = 0;
    for (const char *at = start; at < end; at++) {
        if (*at == ',') {
            commas++;
            between += at > start && at + 1 < end && is_digit(at[-1]) && is_digit(at[1]);
        }
    }
    return commas > 0 ? (double)between / (double)commas : 0.0;
}

char ap_scan_sniff_delimiter(const ap_scan *scan) {
    static const char order[] = {',', ';', '\t', '|'};
    enum { ORDER = sizeof order };
    candidate all[ORDER];
    const char *read_to = scan->start;
    double other = 0.0;
    for (size_t i = 0; i < ORDER; i++) {
        const char *end = scan->start;
        all[i] = judge(scan, order[i], &end);
        read_to = i == 0 ? end : read_to;
        other = i > 0 && all[i].even > other ? all[i].even : other;
    }
    if (other >= 0.5) {
        all[0].even *= 1.0 - share_between_digits(scan->start, read_to);
    }
    candidate best = all[0];
    for (size_t i = 1; i < ORDER; i++) {
        if (all[i].even > best.even || (all[i].even == best.even && all[i].even > 0.0 && all[i].cells > best.cells)) {
            best = all[i];
        }
    }
    return best.even > 0.0 ? best.delimiter : ',';
}
