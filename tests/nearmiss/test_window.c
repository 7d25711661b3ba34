/* Near misses close together, end to end: logs are imported as files and the shipped detector reads them from the book. For every row of
 * near_miss_window.csv (the widest window in which as many near misses have a chance of at most alpha at the usual rate; binomial sums
 * by R) as many within that window are an alarm, and within one pick more they are none.
 *
 * One log a row: 1,000 picks with evenly spaced near misses make the usual rate, that of all picks up to the period's end; a first month
 * with the window one pick too wide; a second month with the window itself. Both are so long that the rate stays p. */
#include "support/limits.h"

#include "intake/intake.h"
#include "nearmiss/detect.h"

enum { BASE = 1000, A_DAY = 100 };

typedef struct log_file {
    FILE *out;
    int picks;
    ap_date date; /* of the next pick */
    int today;
} log_file;

static void write_pick(log_file *log, bool near_miss) {
    char date[AP_ISO_SIZE];
    if (log->today == A_DAY) {
        log->today = 0;
        log->date++;
    }
    ap_date_to_iso(date, log->date);
    log->picks++;
    log->today++;
    fprintf(log->out, "W,%s,%d,A,red maple,%d,net,%s\n", date, log->picks, 1000 + log->picks, near_miss ? "yes" : "no");
}

static void write_quiet(log_file *log, int picks) {
    for (int i = 0; i < picks; i++) {
        write_pick(log, false);
    }
}

/* `events` near misses spread evenly over `width` picks, the first and the last of them near misses. */
static void write_window(log_file *log, int events, int width) {
    int next = 0;
    for (int i = 0; i < width; i++) {
        bool near_miss = i == (int)floor((double)next * (width - 1) / (events - 1) + 0.5);
        next += near_miss;
        write_pick(log, near_miss);
    }
    assert_int_equal(next, events);
}

static void next_month(log_file *log) {
    log->date = ap_month_first(ap_month_index(log->date) + 1);
    log->today = 0;
}

/* Writes and imports; the two months begin on `months`. */
static void make_book(book_fixture *it, ap_date months[3], double p, int events, int width) {
    char path[300];
    ap_error err;
    fixture_make(it);
    snprintf(path, sizeof path, "%s/log.csv", it->folder);
    log_file log = {.out = fopen(path, "w"), .date = fixture_date("2026-01-01")};
    assert_non_null(log.out);
    fputs("job,date,pick,crew,species,measured_weight_lb,measured_as,near_miss\n", log.out);
    int seen = (int)floor(BASE * p + 0.5);
    int apart = BASE / (seen + 1);
    for (int i = 1; i <= BASE; i++) {
        write_pick(&log, i % apart == 0 && i / apart <= seen);
    }
    next_month(&log);
    months[0] = log.date;
    int month = (int)floor(events / p + 0.5); /* as many picks as its near misses ask for */
    write_quiet(&log, month - width - 1);
    write_window(&log, events, width + 1);
    next_month(&log);
    months[1] = log.date;
    write_quiet(&log, month - width);
    write_window(&log, events, width);
    next_month(&log);
    months[2] = log.date;
    assert_int_equal(fclose(log.out), 0);
    const char *const paths[] = {path};
    ap_intake_result result;
    ap_intake_options options = {.author = fixture_author(), .no_copy = true};
    ap_intake_result_init(&result);
    check_ok(ap_intake_files(&result, it->book, paths, 1, &options, &err), &err);
    assert_int_equal(result.totals.stored, log.picks);
    ap_intake_result_release(&result);
    assert_int_equal(remove(path), 0);
}

/* Near misses in the cluster found between two days; 0 for none. */
static size_t cluster(const ap_roster *roster, const ap_rule_limits *limits, ap_date since, ap_date next) {
    ap_arena arena;
    ap_finding_list findings;
    ap_error err;
    size_t found = 0;
    ap_arena_init(&arena, 16u << 20);
    ap_finding_list_init(&findings, &arena);
    ap_chance chance = {0};
    ap_detect_input in = {
        .roster = roster, .limits = limits, .chance = &chance, .allowed = 1e9}; /* chance shortens no window */
    ap_roster_slice(roster, since, next - 1, &in.first, &in.end);
    check_ok(ap_detect_cluster(&findings, &in, &err), &err);
    for (size_t f = 0; f < findings.count; f++) {
        const ap_finding *finding = &findings.items[f];
        if (finding->detector == AP_DETECT_CLUSTER && finding->reasons == AP_CLUSTER_WINDOW) {
            assert_int_equal(found, 0);
            found = finding->rests_on;
        }
    }
    ap_arena_release(&arena);
    return found;
}

static void every_published_window(void **state) {
    (void)state;
    check_table table;
    size_t reached = 0;
    size_t out_of_reach = 0;
    check_table_load(&table, "tests/stats/data/near_miss_window.csv");
    for (size_t row = 0; row < table.rows; row++) {
        double p = check_table_number(&table, row, "p");
        int events = (int)check_table_number(&table, row, "r_events");
        bool none = ap_str_equal_word(check_table_get(&table, row, "max_window_picks"), "NA");
        /* Out of reach: even side by side they are no alarm. */
        int width = none ? events : (int)check_table_number(&table, row, "max_window_picks");
        book_fixture it;
        ap_roster roster;
        ap_date months[3];
        ap_error err;
        make_book(&it, months, p, events, width);
        ap_rule_limits limits = *check_limits();
        limits.cluster_chance = check_table_number(&table, row, "alpha");
        check_ok(ap_roster_load(&roster, it.book, AP_DATE_NONE, false, &err), &err);
        size_t wider = cluster(&roster, &limits, months[0], months[1]);
        size_t within = cluster(&roster, &limits, months[1], months[2]);
        if (wider != 0 || within != (none ? 0 : (size_t)events)) {
            fail_msg(
                "near_miss_window.csv row %zu (p %g, alpha %g, %d events, %d picks): %zu found in one pick more, %zu "
                "within",
                row + 1, p, limits.cluster_chance, events, width, wider, within);
        }
        reached += !none;
        out_of_reach += none;
        ap_roster_release(&roster);
        fixture_remove(&it);
    }
    print_message(
        "near_miss_window.csv: %zu windows alarm and are silent one pick wider, %zu out of reach are silent\n", reached,
        out_of_reach);
    assert_true(reached > 30 && out_of_reach > 0);
    check_table_release(&table);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_published_window)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
