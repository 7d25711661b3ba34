#include "support/findings.h"
#include "support/limits.h"

#include "nearmiss/detect.h"
#include "stats/runs.h"

typedef check_findings fixture;

static void detect(fixture *f, ap_date since, ap_date until) {
    ap_error err;
    ap_finding_list_init(&f->findings, &f->arena);
    const ap_detect_given given = {.roster = &f->roster, .limits = check_limits()};
    check_ok(ap_detect_all(&f->findings, &f->chance, &given, since, until, &err), &err);
}

static const ap_finding *find(const fixture *f, ap_detector_id detector) {
    for (size_t i = 0; i < f->findings.count; i++) {
        if (f->findings.items[i].detector == detector) {
            return &f->findings.items[i];
        }
    }
    return NULL;
}

static void add(fixture *f, ap_date date, double ratio, const char *estimator, const char *species) {
    char name[16];
    snprintf(name, sizeof name, "J/%zu", f->roster.count + 1);
    check_roster_add(&f->roster, name, date, ratio, species, "step", estimator, name);
}

static void three_in_a_row_is_no_finding_four_is(void **state) {
    (void)state;
    fixture f;
    check_findings_open(&f);
    const double ratios[] = {1.0, 1.2, 1.2, 1.2, 1.0, 0.9};
    for (size_t i = 0; i < 6; i++) {
        add(&f, (ap_date)i, ratios[i], "E1", "beech");
    }
    detect(&f, AP_DATE_NONE, AP_DATE_NONE);
    assert_null(find(&f, AP_DETECT_HEAVIER_RUN));
    for (size_t i = 0; i < 4; i++) {
        add(&f, 10, 1.15, "E1", "beech");
    }
    detect(&f, AP_DATE_NONE, AP_DATE_NONE);
    const ap_finding *run = find(&f, AP_DETECT_HEAVIER_RUN);
    assert_non_null(run);
    assert_int_equal(run->pick_count, 4);
    assert_int_equal(run->class, AP_FINDING_LIKELY);
    check_close(run->value, 1.15, 1e-12, "median of four equal ratios");
    /* R4: estimator, species, species x cut rest on the same picks: one finding, every group named. */
    size_t runs = 0;
    for (size_t i = 0; i < f.findings.count; i++) {
        runs += f.findings.items[i].detector == AP_DETECT_HEAVIER_RUN;
    }
    assert_int_equal(runs, 1);
    check_str(run->scope, "estimator E1; species beech; species beech, step cut");
    check_findings_close(&f);
}

/* The row of a species inside that of an estimator: named is the species, not what the estimator's first pick was. */
static void a_group_is_named_by_its_own_picks(void **state) {
    (void)state;
    fixture f;
    check_findings_open(&f);
    add(&f, 1, 1.2, "E1", "oak");
    for (ap_date day = 2; day <= 6; day++) {
        add(&f, day, 1.2, "E1", "beech");
    }
    detect(&f, AP_DATE_NONE, AP_DATE_NONE);
    size_t rows = 0;
    for (size_t i = 0; i < f.findings.count; i++) {
        if (f.findings.items[i].detector == AP_DETECT_HEAVIER_RUN) {
            check_str(f.findings.items[i].scope, "estimator E1; species beech; species beech, step cut");
            rows++;
        }
    }
    assert_int_equal(rows, 1);
    check_findings_close(&f);
}

static void unweighed_picks_are_skipped_and_a_tie_ends_the_run(void **state) {
    (void)state;
    fixture f;
    check_findings_open(&f);
    const double ratios[] = {1.2, 1.2, NAN, 1.2, NAN, 1.2};
    for (size_t i = 0; i < 6; i++) {
        add(&f, 1, ratios[i], "E1", "beech");
    }
    detect(&f, AP_DATE_NONE, AP_DATE_NONE);
    assert_int_equal(find(&f, AP_DETECT_HEAVIER_RUN)->pick_count, 4);
    check_findings_close(&f);

    check_findings_open(&f);
    const double tied[] = {1.2, 1.2, 1.10, 1.2, 1.2};
    for (size_t i = 0; i < 5; i++) {
        add(&f, 1, tied[i], "E1", "beech");
    }
    detect(&f, AP_DATE_NONE, AP_DATE_NONE);
    assert_null(find(&f, AP_DETECT_HEAVIER_RUN));
    check_findings_close(&f);
}

static void a_run_belongs_to_the_period_of_its_last_pick(void **state) {
    (void)state;
    fixture f;
    check_findings_open(&f);
    for (size_t i = 0; i < 5; i++) {
        add(&f, i < 3 ? 10 : 40, 1.3, "E1", "beech");
    }
    add(&f, 70, 1.0, "E1", "beech");
    detect(&f, 31, 60);
    const ap_finding *run = find(&f, AP_DETECT_HEAVIER_RUN);
    assert_non_null(run);
    assert_int_equal(run->pick_count, 5);
    assert_int_equal(run->first, 10);
    detect(&f, 61, 90);
    assert_null(find(&f, AP_DETECT_HEAVIER_RUN));
    detect(&f, 1, 30); /* seen from the first month, the run is three long */
    assert_null(find(&f, AP_DETECT_HEAVIER_RUN));
    check_findings_close(&f);
}

static void a_blank_estimator_forms_no_group(void **state) {
    (void)state;
    fixture f;
    check_findings_open(&f);
    const char *const species[] = {"beech", "white oak"};
    for (size_t i = 0; i < 8; i++) {
        add(&f, 1, i == 3 || i == 4 ? 1.0 : 1.2, "", species[i % 2]);
    }
    detect(&f, AP_DATE_NONE, AP_DATE_NONE);
    assert_null(find(&f, AP_DETECT_HEAVIER_RUN));
    check_findings_close(&f);
}

static void certain_findings_come_first(void **state) {
    (void)state;
    fixture f;
    check_findings_open(&f);
    for (size_t i = 0; i < 4; i++) {
        add(&f, 1, 1.3, "E1", "beech");
    }
    f.roster.facts[0].rest->share_cut = 0.90; /* past the second band of 85 % */
    f.roster.facts[1].rest->share_set_down = 1.05;
    f.roster.facts[1].over_chart = true;
    f.roster.facts[2].toward_person = true;
    f.roster.facts[3].rest->share_cut = 0.85; /* a tie with the band */
    detect(&f, AP_DATE_NONE, AP_DATE_NONE);
    assert_int_equal(f.findings.items[0].detector, AP_DETECT_TOWARD_PERSON);
    assert_int_equal(f.findings.items[1].detector, AP_DETECT_OVER_CHART);
    check_close(f.findings.items[1].value, 1.05, 0, "set-down share");
    /* By what could have happened: what rests on the pick over chart comes before a thin margin. */
    assert_int_equal(f.findings.items[2].detector, AP_DETECT_SURPRISE);
    assert_int_equal(f.findings.items[2].picks[0], 1);
    assert_int_equal(find(&f, AP_DETECT_THIN_MARGIN)->pick_count, 1);
    /* 30 % heavier with the hook past the first band of 75 %: J/1, J/2 and J/4. */
    size_t surprises = 0;
    for (size_t i = 0; i < f.findings.count; i++) {
        surprises += f.findings.items[i].detector == AP_DETECT_SURPRISE;
    }
    assert_int_equal(surprises, 3);
    check_findings_close(&f);
}

/* An injury is the first thing on the page; a pick the log calls a near miss is named once. */
static void injuries_and_logged_near_misses_are_findings(void **state) {
    (void)state;
    fixture f;
    check_findings_open(&f);
    for (size_t i = 0; i < 4; i++) {
        add(&f, 1, 1.0, "E1", "beech");
    }
    f.roster.facts[0].near_miss = AP_YESNO_YES;
    f.roster.facts[1].near_miss = AP_YESNO_YES;
    f.roster.facts[1].toward_person = true;
    f.roster.facts[2].near_miss = AP_YESNO_YES;
    f.roster.facts[2].damage_noted = true;
    f.roster.facts[3].planned_over_chart = true; /* and not weighed: no share as lifted */
    f.roster.facts[3].share_planned = 1.5;
    detect(&f, AP_DATE_NONE, AP_DATE_NONE);
    assert_int_equal(f.findings.count, 4);
    assert_int_equal(f.findings.items[0].detector, AP_DETECT_DAMAGE);
    assert_int_equal(f.findings.items[1].detector, AP_DETECT_TOWARD_PERSON);
    assert_int_equal(f.findings.items[2].detector, AP_DETECT_OVER_CHART);
    check_close(f.findings.items[2].value, 1.5, 0, "the planned share");
    assert_int_equal(f.findings.items[3].detector, AP_DETECT_NEAR_MISS);
    assert_string_equal(f.roster.facts[f.findings.items[3].picks[0]].rest->name, "J/1");
    check_findings_close(&f);
}

static void one_pick_far_outside_its_kind_is_a_surprise(void **state) {
    (void)state;
    fixture f;
    check_findings_open(&f);
    for (size_t i = 0; i < 40; i++) {
        add(&f, 1, exp(0.04 * ((int)(i % 3) - 1)), "", "beech");
    }
    add(&f, 2, 1.5, "", "beech");
    detect(&f, AP_DATE_NONE, AP_DATE_NONE);
    const ap_finding *surprise = find(&f, AP_DETECT_SURPRISE);
    assert_non_null(surprise);
    assert_string_equal(f.roster.facts[surprise->picks[0]].rest->name, "J/41");
    /* 41 values: 14 at -0.04, 13 at 0, 13 at 0.04, one at ln 1.5. Middle 0; the middle distance from it is 0.04 (13 are
     * 0, 27 are 0.04): sd = 1.4826 * 0.04. It is a suspect, so that the spread of the other 40 stands: .033, and .05 is the least believed. Without
     * the pick the middle lies sqrt(pi / 2) * .05 / 41 lower, with the variance pi / 2 * .05^2 / 41 (Kenney & Keeping 1962, 8.8). */
    const double half_pi = 1.5707963267948966;
    double variance = pow(1.4826 * 0.04, 2) + half_pi * 0.05 * 0.05 / 41;
    check_close(surprise->z, (log(1.5) + sqrt(half_pi) * 0.05 / 41) / sqrt(variance), 1e-9, "worked by hand");
    check_findings_close(&f);
}

/* ARL0 of four in a row at sd .15 with unbiased plans is 284 (methods.md section 4; closed form of Feller XIII.7): the figure for
 * independent picks. */
static void the_announced_rate_for_independent_picks_is_the_published_one(void **state) {
    (void)state;
    fixture f;
    check_findings_open(&f);
    /* n values at +-d, each a tree of its own: the rest's sd is d sqrt(n / (n - 1)). */
    double d = 0.15 * sqrt(39.0 / 40);
    for (size_t i = 0; i < 40; i++) {
        add(&f, 1, exp(i % 2 ? d : -d), "E1", "beech");
    }
    detect(&f, AP_DATE_NONE, AP_DATE_NONE);
    const ap_chance_line *line = &f.chance.line[AP_DETECT_HEAVIER_RUN];
    check_close(f.chance.spread.sd, 0.15, 1e-9, "by construction");
    assert_int_equal(line->looks, 120); /* estimator, species, species x cut; crew blank */
    ap_error err;
    double share = NAN;
    double picks = NAN;
    check_ok(ap_runs_share(&share, 1.1, 0, 0.15, &err), &err);
    check_ok(ap_runs_arl(&picks, share, (unsigned)line->limit, &err), &err);
    check_close(line->independent, 120 / picks, 1e-9, "looks / ARL0 at the limit taken");
    check_close(line->limit, 4, 0, "40 picks ask for no more than the rule");
    check_close(picks, 284, 0.5, "methods.md section 4: ARL0 284 for four at sd .15");
    assert_true(line->expected <= 0.25 + 1e-12);
    check_findings_close(&f);
}

static void an_empty_book_gives_nothing_and_no_number(void **state) {
    (void)state;
    fixture f;
    check_findings_open(&f);
    detect(&f, AP_DATE_NONE, AP_DATE_NONE);
    assert_int_equal(f.findings.count, 0);
    check_close(f.chance.expected, 0, 0, "nothing was looked at");
    assert_false(f.chance.line[AP_DETECT_HEAVIER_RUN].looked);
    check_findings_close(&f);
}

/* Many certain findings: the gravest are kept and of equals the first, the others counted, and what is said of their share
 * counts them all. */
static void beyond_a_limit_certain_findings_are_counted(void **state) {
    (void)state;
    enum { MANY = 5 * AP_FINDING_CERTAIN_MOST / 2 };
    fixture f;
    check_findings_open(&f);
    for (size_t i = 0; i < MANY; i++) {
        add(&f, 1, 1.0, "E1", "beech");
        ap_fact *fact = &f.roster.facts[i];
        fact->over_chart = true;
        fact->rest->share_cut = i == MANY - 1 ? 1.5 : i % 2 ? 1.2 : 1.1;
    }
    detect(&f, AP_DATE_NONE, AP_DATE_NONE);
    size_t found = 0;
    size_t graver = 0;
    for (size_t i = 0; i < f.findings.count; i++) {
        const ap_finding *finding = &f.findings.items[i];
        if (finding->detector == AP_DETECT_OVER_CHART) {
            found++;
            graver += finding->value > 1.15;
            assert_int_equal(finding->kind_picks, MANY);
            assert_true(finding->value > 1.15 && (found == 1 || finding->picks[0] < 2 * AP_FINDING_CERTAIN_MOST));
        }
    }
    assert_int_equal(f.findings.items[0].picks[0], MANY - 1); /* the gravest is the last pick */
    assert_int_equal(found, AP_FINDING_CERTAIN_MOST);
    assert_int_equal(graver, AP_FINDING_CERTAIN_MOST);
    assert_int_equal(f.findings.left_out[AP_DETECT_OVER_CHART], MANY - AP_FINDING_CERTAIN_MOST);
    assert_int_equal(ap_finding_left_out(&f.findings), MANY - AP_FINDING_CERTAIN_MOST);
    check_findings_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(beyond_a_limit_certain_findings_are_counted),
        cmocka_unit_test(three_in_a_row_is_no_finding_four_is),
        cmocka_unit_test(a_group_is_named_by_its_own_picks),
        cmocka_unit_test(unweighed_picks_are_skipped_and_a_tie_ends_the_run),
        cmocka_unit_test(a_run_belongs_to_the_period_of_its_last_pick),
        cmocka_unit_test(a_blank_estimator_forms_no_group),
        cmocka_unit_test(certain_findings_come_first),
        cmocka_unit_test(injuries_and_logged_near_misses_are_findings),
        cmocka_unit_test(one_pick_far_outside_its_kind_is_a_surprise),
        cmocka_unit_test(the_announced_rate_for_independent_picks_is_the_published_one),
        cmocka_unit_test(an_empty_book_gives_nothing_and_no_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
