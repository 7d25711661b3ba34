/* Times the detectors alone over a book that is there: detect BOOK
 * Prints: picks, processor seconds of reading the picks, of reconstructing those with legs, of the notes, of all detectors; findings; notes with
 * a hit. */
#include <time.h>

#include "nearmiss/detect.h"

static double now(void) {
    struct timespec at;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &at);
    return (double)at.tv_sec + 1e-9 * (double)at.tv_nsec;
}

int main(int argc, char **argv) {
    ap_book *book = NULL;
    ap_roster roster = {0};
    ap_hung_list hung = {0};
    ap_said_list said = {0};
    ap_rule_limits limits;
    ap_arena arena;
    ap_finding_list findings;
    ap_chance chance;
    ap_error err;
    if (argc != 2) {
        fputs("use: detect BOOK\n", stderr);
        return 2;
    }
    ap_arena_init(&arena, 512u << 20);
    ap_finding_list_init(&findings, &arena);
    const ap_detect_given given = {&roster, &limits, &hung, &said};
    ap_status status = ap_book_open(&book, argv[1], AP_BOOK_READ, &err);
    double start = now();
    if (status == AP_OK) {
        status = ap_roster_load(&roster, book, AP_DATE_NONE, false, &err);
    }
    double read = now();
    if (status == AP_OK) {
        status = ap_limits_read(&limits, book, &err);
    }
    if (status == AP_OK) {
        status = ap_hung_load(&hung, book, &roster, roster.facts, &limits, AP_DATE_NONE, AP_DATE_NONE, &err);
    }
    double rebuilt = now();
    if (status == AP_OK) {
        status = ap_said_read(&said, &arena, book, &roster, AP_DATE_NONE, AP_DATE_NONE, &err);
    }
    double noted = now();
    if (status == AP_OK) {
        status = ap_detect_all(&findings, &chance, &given, AP_DATE_NONE, AP_DATE_NONE, &err);
    }
    double done = now();
    if (status != AP_OK) {
        fprintf(stderr, "detect: %s\n", err.text);
    } else {
        printf("%zu %.3f %.3f %.3f %.3f %zu %zu\n", roster.count, read - start, rebuilt - read, noted - rebuilt,
               done - noted, findings.count + ap_finding_left_out(&findings), said.count);
    }
    ap_hung_release(&hung);
    ap_roster_release(&roster);
    ap_arena_release(&arena);
    ap_book_close(book);
    return status == AP_OK ? 0 : 1;
}
