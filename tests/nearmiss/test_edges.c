/* The pencil and silence detectors at their edges: one below the limit and on it, days on the border of the period, one pick, all picks,
 * ties, a corrected indicator. The limits are those of the exact tests named beside each check. */
#include "support/limits.h"
#include "support/roster.h"

#include "nearmiss/pencil.h"
#include "stats/prng.h"
#include "stats/rates.h"

enum { PLANNED_KG = 2000, STEP_KG = 10, FIRST = 100, LAST = 130 };
static const double SD = 0.15;

typedef struct bench {
    ap_roster roster;
    ap_arena arena;
    ap_finding_list findings;
    ap_chance chance;
    size_t other; /* weights that are not the plan, by turns */
} bench;

static void start(bench *b) {
    memset(b, 0, sizeof *b);
    check_roster_init(&b->roster);
    ap_arena_init(&b->arena, 32u << 20);
}

static void end(bench *b) {
    ap_arena_release(&b->arena);
    ap_roster_release(&b->roster);
}

/* One pick of a crew in a job of its own day, as a log in tens of kilograms writes it. NaN: not weighed. */
static ap_fact *add(bench *b, ap_date date, const char *crew, double measured_kg) {
    char name[32];
    char job[16];
    snprintf(name, sizeof name, "J%d/%zu", (int)date, b->roster.count + 1);
    snprintf(job, sizeof job, "J%d", (int)date);
    ap_fact *fact = check_roster_add(&b->roster, name, date, measured_kg / PLANNED_KG, "beech", "step", "E1", name);
    fact->planned_net_kg = PLANNED_KG;
    fact->measured_net_kg = measured_kg;
    fact->hook_kg = measured_kg + 160.123;
    ap_fact_set_group(fact, AP_BY_CREW, ap_intern_add(b->roster.labels[AP_BY_CREW], ap_str_from(crew)));
    ap_fact_set_group(fact, AP_BY_JOB, ap_intern_add(b->roster.labels[AP_BY_JOB], ap_str_from(job)));
    return fact;
}

static ap_fact *add_weighed(bench *b, ap_date date, const char *crew) {
    static const double others[] = {1730, 2290, 1850, 2170, 1910, 2110, 1630, 2370, 1790};
    return add(b, date, crew, others[b->other++ % (sizeof others / sizeof others[0])]);
}

static ap_fact *add_plan(bench *b, ap_date date, const char *crew) {
    return add(b, date, crew, PLANNED_KG);
}

typedef ap_status (*run_fn)(ap_finding_list *out, const ap_detect_input *in, ap_error *err);

/* How many findings with this reason the detector makes of the picks of FIRST..LAST when it may expect `allowed` false alarms. */
static size_t run(bench *b, run_fn detector, uint32_t reason, double allowed) {
    const ap_spread spread = {.sd = SD};
    ap_error err;
    size_t count = 0;
    ap_detect_input in = {
        .roster = &b->roster, .limits = check_limits(), .spread = &spread, .chance = &b->chance, .allowed = allowed};
    ap_finding_list_init(&b->findings, &b->arena);
    ap_roster_slice(&b->roster, FIRST, LAST, &in.first, &in.end);
    check_ok(detector(&b->findings, &in, &err), &err);
    for (size_t i = 0; i < b->findings.count; i++) {
        count += b->findings.items[i].reasons == reason;
    }
    return count;
}

/* --- weights that repeat the plan ---------------------------------------------------------------------------------------- */

/* P(at least k of n) at the densest place of a normal curve: step / (plan sd sqrt(2 pi)). */
static double chance_of_plan(size_t k, size_t n) {
    double share = STEP_KG / (PLANNED_KG * SD * 2.5066282746310002);
    double p = NAN;
    double two_sided = NAN;
    ap_error err;
    check_ok(ap_binomial_test(&p, &two_sided, k, n, share, &err), &err);
    return p;
}

static size_t repeats(size_t equal, size_t of, ap_date date, double allowed) {
    bench b;
    start(&b);
    for (size_t i = 0; i < of; i++) {
        (void)(i < equal ? add_plan(&b, date, "A") : add_weighed(&b, date, "A"));
    }
    size_t found = run(&b, ap_detect_pencil, AP_PENCIL_REPEATS, allowed);
    end(&b);
    return found;
}

static void the_plan_repeated_as_often_as_the_limit(void **state) {
    (void)state;
    const double allowed = 0.05;
    const double level = allowed * 2 / 3; /* one crew of fewer than 50 weights: one look */
    size_t least = 2;
    while (chance_of_plan(least, 30) > level) {
        least++;
    }
    print_message("30 weights, one in %.0f expected: %zu equal to the plan are found\n", 1 / chance_of_plan(1, 1),
                  least);
    assert_true(least > 2); /* there is something below it */
    assert_int_equal(repeats(least - 1, 30, FIRST, allowed), 0);
    assert_int_equal(repeats(least, 30, FIRST, allowed), 1);
    assert_int_equal(repeats(30, 30, FIRST, allowed), 1); /* all of them */
    assert_int_equal(repeats(0, 30, FIRST, allowed), 0);
    assert_int_equal(repeats(1, 1, FIRST, allowed), 0); /* one pick says nothing */
    assert_int_equal(repeats(9, 9, FIRST, allowed), 0); /* nor do nine */
    assert_int_equal(repeats(10, 10, FIRST, allowed), 1);
    /* A chance that is the level itself is found, one that is a hair above is not. */
    double p = chance_of_plan(3, 30);
    assert_int_equal(repeats(3, 30, FIRST, p * 1.5 * (1 + 1e-9)), 1);
    assert_int_equal(repeats(3, 30, FIRST, p * 1.5 * (1 - 1e-9)), 0);
    /* The period's first and last day belong to it, the days beside them do not. */
    assert_int_equal(repeats(10, 10, LAST, allowed), 1);
    assert_int_equal(repeats(10, 10, FIRST - 1, allowed), 0);
    assert_int_equal(repeats(10, 10, LAST + 1, allowed), 0);
}

/* A calibration that is entered later multiplies what was read: the plan that was copied stays a copy. */
static void a_corrected_indicator_hides_no_copy(void **state) {
    (void)state;
    const ap_calibration calibration = {.on = 1, .factor = 1.03};
    const ap_crane crane = {.name = AP_STR_LIT("K1"), .calibrations = &calibration, .calibration_count = 1};
    bench b;
    start(&b);
    b.roster.company = (ap_company){.settings = &b.roster.settings, .cranes = &crane, .crane_count = 1};
    for (size_t i = 0; i < 30; i++) {
        ap_fact *fact = i < 6 ? add_plan(&b, FIRST, "A") : add_weighed(&b, FIRST, "A");
        fact->measured_net_kg *= 1.03;
        fact->hook_kg = fact->measured_net_kg + 160.123;
        fact->log_error += log(1.03);
        fact->marks |= AP_MARK_CORRECTED;
        ap_fact_set_group(fact, AP_BY_CRANE, ap_intern_add(b.roster.labels[AP_BY_CRANE], AP_STR_LIT("K1")));
    }
    assert_int_equal(run(&b, ap_detect_pencil, AP_PENCIL_REPEATS, 0.05), 1);
    assert_int_equal(b.findings.items[0].pick_count, 6);
    end(&b);
}

/* --- one ending ---------------------------------------------------------------------------------------------------------- */

/* `of` weights in steps of 10 kg that end on 7 steps, the upper quarter `half_steps` above the lower; one ends otherwise. */
static size_t endings(size_t of, double half_steps, double allowed) {
    bench b;
    start(&b);
    for (size_t i = 0; i < of; i++) {
        bool top = i >= of - 1 - of / 4;
        double steps = i <= of / 4 ? 17 : top ? 17 + half_steps : 17 + floor(half_steps / 20) * 10;
        add(&b, FIRST, "A", STEP_KG * steps + (i + 1 == of ? STEP_KG : 0));
    }
    size_t found = run(&b, ap_detect_pencil, AP_PENCIL_ENDING, allowed);
    end(&b);
    return found;
}

static void one_ending_from_fifty_finely_written_weights_on(void **state) {
    (void)state;
    assert_int_equal(endings(49, 40, 0.05), 0);
    assert_int_equal(endings(50, 40, 0.05), 1);
    assert_int_equal(endings(50, 25, 0.05), 1); /* 25 steps in the middle half: on the limit */
    assert_int_equal(endings(50, 24, 0.05), 0); /* so roughly written weights have no equal digits */
    assert_int_equal(endings(50, 0, 0.05), 0);  /* nearly one value: that is what a row of one weight is for */
}

/* Roughly rounded weights of a log-normal spread: without the guard the chi-square would find every one of these books. */
static void rough_rounding_is_no_ending(void **state) {
    (void)state;
    bench b;
    start(&b);
    for (size_t i = 0; i < 400; i++) {
        double quantile = ((double)i + 0.5) / 400;
        double spread = log(quantile / (1 - quantile)) * 0.3; /* logistic: near normal with sd .54 */
        double kg = floor(1500 * exp(spread) / 500 + 0.5) * 500;
        add(&b, FIRST, "A", kg < 500 ? 500 : kg);
    }
    assert_int_equal(run(&b, ap_detect_pencil, AP_PENCIL_ENDING, 0.05), 0);
    end(&b);
}

/* --- one weight copied down ---------------------------------------------------------------------------------------------- */

static size_t copied(size_t row, size_t around, ap_date date) {
    bench b;
    start(&b);
    for (size_t i = 0; i < around; i++) {
        add_weighed(&b, FIRST - 50 + (ap_date)(i / 6), "A");
    }
    add_weighed(&b, date, "A");
    for (size_t i = 0; i < row; i++) {
        add(&b, date, "A", 2050);
    }
    add_weighed(&b, date, "A");
    size_t found = run(&b, ap_detect_pencil, AP_PENCIL_COPIED, 0.05);
    end(&b);
    return found;
}

static void a_row_of_one_weight_as_long_as_the_limit(void **state) {
    (void)state;
    assert_int_equal((size_t)check_limits()->pencil_row, 3);
    assert_int_equal(copied(2, 240, FIRST), 0);
    assert_int_equal(copied(3, 240, FIRST), 1);
    assert_int_equal(copied(3, 240, LAST), 1);
    assert_int_equal(copied(40, 240, FIRST), 1);
    assert_int_equal(copied(40, 240, LAST + 1), 0);
    assert_int_equal(copied(1, 0, FIRST), 0);
}

/* A book in which every weight is the same is no book in which that is usual. */
static void all_copied_is_found(void **state) {
    (void)state;
    bench b;
    start(&b);
    for (size_t i = 0; i < 20; i++) {
        add(&b, FIRST, "A", 2050);
    }
    assert_int_equal(run(&b, ap_detect_pencil, AP_PENCIL_COPIED, 0.05), 1);
    assert_int_equal(b.findings.items[0].pick_count, 20);
    end(&b);
    start(&b);
    add(&b, FIRST, "A", 2050);
    assert_int_equal(run(&b, ap_detect_pencil, AP_PENCIL_COPIED, 0.05), 0);
    end(&b);
}

/* Rows of 1 and of 2 only: P(2) = q / (1 + q), so that q is their ratio; three rows more are counted, one of them of 2. Rows that the
 * job's end cut at 1 say nothing, cut at 2 the same as ended at 2 (it is the longest that is looked at). */
static void the_chance_of_a_repeat_is_the_likeliest(void **state) {
    (void)state;
    const size_t ended[3] = {0, 98, 19};
    const size_t none[3] = {0};
    const size_t cut[3] = {0, 50, 0};
    check_close(ap_repeat_chance(ended, none, 3), 20.0 / 100, 1e-6, "geometric law cut at 3, maximum likelihood");
    check_close(ap_repeat_chance(ended, cut, 3), 20.0 / 100, 1e-6, "what is cut at 1 says nothing");
    const size_t cut_two[3] = {0, 0, 10};
    check_close(ap_repeat_chance(ended, cut_two, 3), 30.0 / 100, 1e-6, "P(2 or more, shorter than 3) = P(2)");
    /* No short row at all: the three alone. */
    check_close(ap_repeat_chance(none, none, 3), 1.0 / 2, 1e-6, "1 row of 2 against 2 of 1");
}

/* A log so rounded that neighbours are equal one time in four: rows come as often as announced, both sides (Garwood 1936). */
static void rows_of_rounded_weights_come_as_announced(void **state) {
    (void)state;
    enum { BOOKS = 600, JOB = 12 };
    double announced = 0;
    size_t found = 0;
    ap_prng prng;
    ap_prng_init(&prng, 2026112607, 0);
    for (int book = 0; book < BOOKS; book++) {
        bench b;
        ap_error err;
        start(&b);
        for (ap_date date = FIRST - 20; date < FIRST + 20; date++) {
            for (int i = 0; i < JOB; i++) {
                add(&b, date, "A", 1500 + 500 * (double)ap_prng_below(&prng, 4));
            }
        }
        ap_chance_line line = {0};
        ap_detect_input in = {.roster = &b.roster, .limits = check_limits()};
        ap_roster_slice(&b.roster, FIRST, LAST, &in.first, &in.end);
        ap_finding_list_init(&b.findings, &b.arena);
        check_ok(ap_pencil_copied(&b.findings, &line, &in, 0.5, &err), &err);
        announced += line.expected;
        found += b.findings.count;
        end(&b);
    }
    ap_interval interval;
    ap_error err;
    check_ok(ap_rate_interval(&interval, found, 0.99, &err), &err);
    print_message("rounded weights, %d books: %zu rows found, %.1f announced, 99 %% interval %.1f to %.1f\n", BOOKS,
                  found, announced, interval.low, interval.high);
    assert_true(announced >= interval.low && announced <= interval.high);
}

/* --- less is written ----------------------------------------------------------------------------------------------------- */

/* Crew A: `unweighed` of `now` picks of the period not weighed, 10 of `before` earlier ones. */
static size_t less_weighed(size_t unweighed, size_t now, size_t before, ap_date date, double allowed) {
    bench b;
    start(&b);
    for (size_t i = 0; i < before; i++) {
        ap_fact *fact = add_weighed(&b, FIRST - 60 + (ap_date)(i % 60), "A");
        if (i < 10) {
            fact->measured_net_kg = NAN;
        }
    }
    for (size_t i = 0; i < now; i++) {
        ap_fact *fact = add_weighed(&b, date, "A");
        if (i < unweighed) {
            fact->measured_net_kg = NAN;
        }
    }
    size_t found = run(&b, ap_detect_silence, AP_SILENCE_UNWEIGHED, allowed);
    end(&b);
    return found;
}

static void fewer_weighed_than_before(void **state) {
    (void)state;
    const double allowed = 0.05;
    ap_error err;
    ap_fisher fisher = {0};
    size_t least = 0;
    do {
        least++;
        check_ok(ap_fisher_test(&fisher, least, 20 - least, 10, 50, &err), &err);
    } while (fisher.p_more > allowed / 3); /* one crew, a third of the detector's */
    print_message("10 of 60 not weighed before: %zu of 20 are found (Fisher's p %.4f)\n", least, fisher.p_more);
    assert_int_equal(less_weighed(least - 1, 20, 60, FIRST, allowed), 0);
    assert_int_equal(less_weighed(least, 20, 60, FIRST, allowed), 1);
    assert_int_equal(less_weighed(least, 20, 60, LAST, allowed), 1);
    assert_int_equal(less_weighed(20, 20, 60, FIRST, allowed), 1);
    assert_int_equal(less_weighed(0, 20, 60, FIRST, allowed), 0);
    assert_int_equal(less_weighed(20, 20, 60, LAST + 1, allowed), 0); /* not of this period */
    assert_int_equal(less_weighed(4, 4, 60, FIRST, allowed), 0);      /* five picks at the least */
    assert_int_equal(less_weighed(5, 5, 60, FIRST, allowed), 1);
    assert_int_equal(less_weighed(5, 5, 19, FIRST, 1), 0); /* and twenty earlier ones */
    assert_int_equal(less_weighed(5, 5, 20, FIRST, 1), 1);
    /* The p itself as the level, and a hair less. */
    assert_int_equal(less_weighed(least, 20, 60, FIRST, 3 * fisher.p_more * (1 + 1e-9)), 1);
    assert_int_equal(less_weighed(least, 20, 60, FIRST, 3 * fisher.p_more * (1 - 1e-9)), 0);
}

/* Crew B logs every day for `days` days and then not for `gap`; crew A goes on. */
static size_t stopped(size_t days, size_t gap, double allowed) {
    bench b;
    start(&b);
    size_t all = days + gap;
    for (size_t day = 0; day < all; day++) {
        ap_date date = LAST - (ap_date)(all - 1 - day);
        add_weighed(&b, date, "A");
        if (day < days) {
            add_weighed(&b, date, "B");
        }
    }
    size_t found = run(&b, ap_detect_silence, AP_SILENCE_STOPPED, allowed);
    end(&b);
    return found;
}

/* Never off on n days: 1 / (n + 1) for a first day off, then 1/2 2/3 .. of going on: 1 / ((n + 1) gap) (Laplace's rule of succession).
 * Two crews are looked at, a third of the detector's false alarms. */
static void a_gap_as_long_as_the_limit(void **state) {
    (void)state;
    const double at_five = 6.0 / (81 * 5);
    assert_int_equal(stopped(80, 5, at_five * (1 + 1e-9)), 1);
    assert_int_equal(stopped(80, 5, at_five * (1 - 1e-9)), 0);
    assert_int_equal(stopped(80, 4, at_five * (1 + 1e-9)), 0);
    assert_int_equal(stopped(80, 6, at_five * (1 - 1e-9)), 1);
    assert_int_equal(stopped(80, 0, 1), 0); /* logged on the last day */
    assert_int_equal(stopped(4, 20, 3), 0); /* five days are the least to speak of a habit */
    assert_int_equal(stopped(5, 20, 3), 1);
}

/* Crew A marks all of its 12 telling picks; crew B has `telling` and marks `marked` other picks. */
static size_t unreported(size_t telling, size_t marked, ap_date last, size_t others, double allowed) {
    bench b;
    start(&b);
    for (size_t i = 0; i < others; i++) {
        ap_fact *fact = add_weighed(&b, FIRST - 20, "A");
        fact->toward_person = true;
        fact->near_miss = AP_YESNO_YES;
    }
    for (size_t i = 0; i < telling; i++) {
        add_weighed(&b, i + 1 < telling ? FIRST - 10 : last, "B")->over_chart = true;
    }
    for (size_t i = 0; i < marked; i++) {
        add_weighed(&b, last, "B")->near_miss = AP_YESNO_YES;
    }
    add_weighed(&b, LAST, "A");
    size_t found = run(&b, ap_detect_silence, AP_SILENCE_UNREPORTED, allowed);
    end(&b);
    return found;
}

static void near_misses_that_are_never_marked(void **state) {
    (void)state;
    /* 0 of 3 against 12 of 12: 1 / choose(15, 3) = 1 / 455 (Fisher 1935, all margins fixed); two crews, a third. */
    const double level = 6.0 / 455;
    assert_int_equal(unreported(3, 0, FIRST, 12, level * (1 + 1e-9)), 1);
    assert_int_equal(unreported(3, 0, FIRST, 12, level * (1 - 1e-9)), 0);
    assert_int_equal(unreported(2, 0, FIRST, 12, 1), 0); /* three at the least */
    assert_int_equal(unreported(3, 0, LAST, 12, 1), 1);
    assert_int_equal(unreported(3, 0, FIRST - 1, 12, 1), 0); /* the last of them lies before the period */
    assert_int_equal(unreported(3, 1, FIRST, 12, 1), 0);     /* a crew that marks some is not silent */
    assert_int_equal(unreported(3, 0, FIRST, 0, 1), 0);      /* nobody to compare with */
    /* What is announced does not hang on what was found. */
    bench b;
    start(&b);
    for (int i = 0; i < 12; i++) {
        ap_fact *fact = add_weighed(&b, FIRST, i < 3 ? "B" : "A");
        fact->toward_person = true;
        fact->near_miss = i != 1 ? AP_YESNO_YES : 0;
    }
    assert_int_equal(run(&b, ap_detect_silence, AP_SILENCE_UNREPORTED, 1), 0);
    end(&b);
}

static void one_pick_says_nothing(void **state) {
    (void)state;
    bench b;
    start(&b);
    ap_fact *fact = add_plan(&b, FIRST, "A");
    fact->over_chart = true;
    assert_int_equal(run(&b, ap_detect_pencil, AP_PENCIL_REPEATS, 1), 0);
    assert_int_equal(b.findings.count, 0);
    assert_int_equal(run(&b, ap_detect_silence, AP_SILENCE_STOPPED, 1), 0);
    assert_int_equal(b.findings.count, 0);
    check_close(b.chance.line[AP_DETECT_SILENCE].expected, 0, 0, "nothing was looked at");
    end(&b);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_plan_repeated_as_often_as_the_limit),
        cmocka_unit_test(a_corrected_indicator_hides_no_copy),
        cmocka_unit_test(one_ending_from_fifty_finely_written_weights_on),
        cmocka_unit_test(rough_rounding_is_no_ending),
        cmocka_unit_test(a_row_of_one_weight_as_long_as_the_limit),
        cmocka_unit_test(all_copied_is_found),
        cmocka_unit_test(the_chance_of_a_repeat_is_the_likeliest),
        cmocka_unit_test(rows_of_rounded_weights_come_as_announced),
        cmocka_unit_test(fewer_weighed_than_before),
        cmocka_unit_test(a_gap_as_long_as_the_limit),
        cmocka_unit_test(near_misses_that_are_never_marked),
        cmocka_unit_test(one_pick_says_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
