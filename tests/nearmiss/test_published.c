/* Published run lengths end to end: an invented log of picks with a known spread about plan is imported as a file, and the shipped
 * detectors read it from the book. Limits are held where the published figures are for them: chance does not raise them here.
 *
 * Consecutive picks belong to different estimators and crews, so that a row of the species is no row of theirs. */
#include <math.h>

#include "intake/intake.h"
#include "nearmiss/detect.h"
#include "stats/prng.h"
#include "stats/rates.h"
#include "support/book_fixture.h"

enum { CREWS = 566, EACH_CREW = 530, PICKS = CREWS * EACH_CREW, ESTIMATORS = PICKS / 50, PLANNED_LB = 100000 };
static const double SD = 0.15;

typedef struct published {
    book_fixture book;
    ap_roster roster;
    ap_rule_limits limits;
} published;

static void write_log(const char *path) {
    FILE *log = fopen(path, "w");
    assert_non_null(log);
    ap_prng prng;
    ap_prng_init(&prng, 20261126, 0);
    fputs("job,date,pick,species,crew,estimator,planned_weight_lb,planned_as,measured_weight_lb,measured_as\n", log);
    for (int i = 0; i < PICKS; i++) {
        char date[AP_ISO_SIZE];
        int estimator = i % ESTIMATORS;
        ap_date_to_iso(date, fixture_date("2010-01-01") + (ap_date)(i / 100));
        fprintf(log, "J,%s,%d,red maple,C%d,%c%03d,%d,net,%.0f,net\n", date, i + 1, i % CREWS, 'A' + estimator / 1000,
                estimator % 1000, PLANNED_LB, PLANNED_LB * exp(SD * ap_prng_normal(&prng)));
    }
    assert_int_equal(fclose(log), 0);
}

static int setup(void **state) {
    published *it = calloc(1, sizeof *it);
    assert_non_null(it);
    fixture_make(&it->book);
    char path[300];
    snprintf(path, sizeof path, "%s/log.csv", it->book.folder);
    write_log(path);
    const char *const paths[] = {path};
    ap_intake_result result;
    ap_intake_options options = {.author = fixture_author(), .no_copy = true};
    ap_error err;
    ap_intake_result_init(&result);
    check_ok(ap_intake_files(&result, it->book.book, paths, 1, &options, &err), &err);
    assert_int_equal(result.totals.stored, PICKS);
    ap_intake_result_release(&result);
    assert_int_equal(remove(path), 0);
    check_ok(ap_roster_load(&it->roster, it->book.book, AP_DATE_NONE, false, &err), &err);
    assert_int_equal(it->roster.count, PICKS);
    check_ok(ap_limits_read(&it->limits, it->book.book, &err), &err);
    it->limits.expected_most = 1e9; /* no limit rises */
    *state = it;
    return 0;
}

static int teardown(void **state) {
    published *it = *state;
    ap_roster_release(&it->roster);
    fixture_remove(&it->book);
    free(it);
    return 0;
}

static size_t number_of(const published *it, const ap_finding *finding) {
    int64_t number = 0;
    const char *name = it->roster.facts[finding->picks[0]].name;
    assert_true(ap_str_to_int64(&number, ap_str_from(strchr(name, '/') + 1)));
    return (size_t)number - 1;
}

/* `alarmed`: of `modulus` groups that picks fall into by turns, those with a finding of `detector` in the group `bit`. */
static size_t count_alarmed(const published *it, const ap_finding_list *findings, ap_detector_id detector, unsigned bit,
                            size_t modulus) {
    bool *alarmed = calloc(modulus, sizeof *alarmed);
    size_t count = 0;
    assert_non_null(alarmed);
    for (size_t f = 0; f < findings->count; f++) {
        const ap_finding *finding = &findings->items[f];
        if (finding->detector == detector && finding->groups >> bit & 1) {
            size_t group = number_of(it, finding) % modulus;
            count += !alarmed[group];
            alarmed[group] = true;
        }
    }
    free(alarmed);
    return count;
}

static void detect(published *it, ap_finding_list *findings, ap_arena *arena) {
    ap_error err;
    ap_arena_init(arena, 256u << 20);
    ap_finding_list_init(findings, arena);
    const ap_detect_given given = {.roster = &it->roster, .limits = &it->limits};
    check_ok(ap_detect_all(findings, NULL, &given, AP_DATE_NONE, AP_DATE_NONE, &err), &err);
}

static void expect_share(const char *what, double chance, size_t seen, size_t of) {
    ap_interval interval;
    ap_error err;
    check_ok(ap_share_interval(&interval, seen, of, 0.99, &err), &err);
    print_message("%s: %.4f published, %zu of %zu here, 99 %% interval %.4f to %.4f\n", what, chance, seen, of,
                  interval.low, interval.high);
    assert_true(chance >= interval.low && chance <= interval.high);
}

static void rows_come_as_often_as_published(void **state) {
    published *it = *state;
    ap_arena arena;
    ap_finding_list findings;
    it->limits.run_length = 4;
    detect(it, &findings, &arena);
    size_t rows = 0;
    for (size_t f = 0; f < findings.count; f++) {
        rows += findings.items[f].detector == AP_DETECT_HEAVIER_RUN && findings.items[f].groups >> 2 & 1;
    }
    size_t alarmed = count_alarmed(it, &findings, AP_DETECT_HEAVIER_RUN, 0, ESTIMATORS);
    ap_arena_release(&arena);
    expect_share("an alarm within 50 picks (run_rule_exact.csv, sd .15, limit .10, four in a row: PFA_50)", 0.155133,
                 alarmed, ESTIMATORS);
    /* The mean count is PICKS / ARL but for the .5 % of rows that go on past the fourth pick. */
    ap_interval interval;
    ap_error err;
    check_ok(ap_rate_interval(&interval, rows, 0.99, &err), &err);
    print_message(
        "rows of the species: ARL 283.889 published (run_rule_exact.csv), %.1f here, 99 %% interval %.1f to %.1f\n",
        (double)PICKS / (double)rows, PICKS / interval.high, PICKS / interval.low);
    assert_true(283.889 >= PICKS / interval.high && 283.889 <= PICKS / interval.low);
}

/* The run length of the sum is near geometric (Brook & Evans 1972): none within n picks has the chance exp(-n / ARL), but for a start
 * that costs some picks of 529, a fiftieth of the rate; the Monte Carlo interval is seven times that. */
static void the_sum_alarms_as_often_as_published(void **state) {
    published *it = *state;
    ap_arena arena;
    ap_finding_list findings;
    it->limits.run_length = 12; /* a row would be told in the sum's place */
    detect(it, &findings, &arena);
    size_t alarmed = count_alarmed(it, &findings, AP_DETECT_DRIFT, 1, CREWS);
    ap_arena_release(&arena);
    expect_share("an alarm of the clipped sum within 530 picks (methods.md section 4: ARL0 529, k .5, h 4, clip 2)",
                 1 - exp(-(double)EACH_CREW / 529), alarmed, CREWS);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_come_as_often_as_published),
        cmocka_unit_test(the_sum_alarms_as_often_as_published),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
