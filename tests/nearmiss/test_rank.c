#include "support/limits.h"
#include "support/roster.h"

#include "nearmiss/rank.h"

/* MIL-STD-882E (11 May 2012), table III, from memory: rows A..F, columns catastrophic, critical, marginal, negligible. */
static const char *const table_3[AP_PROBABILITIES][AP_SEVERITIES] = {
    {"high", "high", "serious", "medium"}, {"high", "high", "serious", "medium"},
    {"high", "serious", "medium", "low"},  {"serious", "medium", "medium", "low"},
    {"medium", "medium", "medium", "low"}, {"eliminated", "eliminated", "eliminated", "eliminated"},
};

static void the_matrix_is_the_standards(void **state) {
    (void)state;
    const ap_rule_limits *limits = check_limits();
    for (int p = 0; p < AP_PROBABILITIES; p++) {
        for (int s = 0; s < AP_SEVERITIES; s++) {
            assert_string_equal(ap_risk_name(limits->risk[s][p]), table_3[p][s]);
        }
    }
}

static void categories_have_the_standards_names(void **state) {
    (void)state;
    static const char *const severities[] = {"catastrophic", "critical", "marginal", "negligible"};
    static const char *const levels[] = {"frequent", "probable", "occasional", "remote", "improbable", "eliminated"};
    for (int s = 0; s < AP_SEVERITIES; s++) {
        assert_string_equal(ap_severity_name((ap_severity)(s + 1)), severities[s]);
    }
    for (int p = 0; p < AP_PROBABILITIES; p++) {
        assert_string_equal(ap_probability_name((ap_probability)(p + 1)), levels[p]);
        assert_int_equal(ap_probability_letter((ap_probability)(p + 1)), 'A' + p);
    }
    assert_null(ap_severity_name(AP_SEVERITY_NONE));
}

/* Appendix A, table A-II, from memory: 10^-1, 10^-2, 10^-3, 10^-6; a level begins at its lower end. */
static void levels_by_quantity(void **state) {
    (void)state;
    const struct {
        double per_pick;
        char level;
    } cases[] = {{1, 'A'},     {0.1, 'A'},  {0.099, 'B'}, {0.01, 'B'}, {0.0099, 'C'},
                 {0.001, 'C'}, {9e-4, 'D'}, {1e-6, 'D'},  {9e-7, 'E'}, {0, 'F'}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        assert_int_equal(ap_probability_letter(ap_probability_of(cases[i].per_pick)), cases[i].level);
    }
}

typedef struct fixture {
    ap_roster roster;
    ap_arena arena;
    ap_finding_list list;
} fixture;

static ap_finding *rank_one(fixture *f, ap_detector_id detector, double mass, int toward, double share) {
    ap_error err;
    memset(f, 0, sizeof *f);
    check_roster_init(&f->roster);
    ap_arena_init(&f->arena, 1u << 20);
    ap_finding_list_init(&f->list, &f->arena);
    for (int i = 0; i < 200; i++) {
        check_roster_add(&f->roster, "J/1", 1, 1.0, "beech", "step", "E1", "T");
    }
    ap_fact *fact = &f->roster.facts[0];
    fact->measured_net_kg = fact->planned_net_kg = mass;
    fact->toward = (uint8_t)toward;
    fact->toward_person = toward == AP_TOWARD_CLIMBER || toward == AP_TOWARD_CREW;
    check_ok(ap_finding_add_pick(&f->list, detector, 0, 1, share, 5, &err), &err);
    ap_rank_findings(&f->list, &f->roster, check_limits(), 0, 200);
    return &f->list.items[0];
}

static void close_fixture(fixture *f) {
    ap_arena_release(&f->arena);
    ap_roster_release(&f->roster);
}

static void severity_follows_mass_direction_and_share(void **state) {
    (void)state;
    const struct {
        ap_detector_id detector;
        double mass;
        int toward;
        double share;
        ap_severity severity;
        ap_risk risk; /* at 1 of 200 picks: C */
    } cases[] = {
        {AP_DETECT_TOWARD_PERSON, 800, AP_TOWARD_CLIMBER, NAN, AP_SEVERITY_CATASTROPHIC, AP_RISK_HIGH},
        {AP_DETECT_TOWARD_PERSON, 5, AP_TOWARD_CREW, NAN, AP_SEVERITY_CRITICAL, AP_RISK_SERIOUS},
        {AP_DETECT_TOWARD_PERSON, NAN, AP_TOWARD_CLIMBER, NAN, AP_SEVERITY_CATASTROPHIC, AP_RISK_HIGH},
        {AP_DETECT_NEAR_MISS, 800, AP_TOWARD_STRUCTURE, NAN, AP_SEVERITY_CRITICAL, AP_RISK_SERIOUS},
        {AP_DETECT_NEAR_MISS, 100, AP_TOWARD_STRUCTURE, NAN, AP_SEVERITY_MARGINAL, AP_RISK_MEDIUM},
        {AP_DETECT_NEAR_MISS, 100, AP_TOWARD_CLEAR, NAN, AP_SEVERITY_MARGINAL, AP_RISK_MEDIUM},
        {AP_DETECT_NEAR_MISS, 100, 0, NAN, AP_SEVERITY_CRITICAL, AP_RISK_SERIOUS},
        {AP_DETECT_OVER_CHART, 800, 0, 1.08, AP_SEVERITY_CATASTROPHIC, AP_RISK_HIGH},
        {AP_DETECT_MARGIN_LOST, 800, 0, 0.90, AP_SEVERITY_CRITICAL, AP_RISK_SERIOUS},
        {AP_DETECT_MARGIN_LOST, 800, 0, 0.80, AP_SEVERITY_MARGINAL, AP_RISK_MEDIUM},
        {AP_DETECT_PENCIL, 800, 0, NAN, AP_SEVERITY_NEGLIGIBLE, AP_RISK_LOW},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        fixture f;
        ap_finding *finding = rank_one(&f, cases[i].detector, cases[i].mass, cases[i].toward, cases[i].share);
        assert_int_equal(finding->severity, cases[i].severity);
        assert_int_equal(finding->probability, AP_PROBABILITY_OCCASIONAL);
        assert_int_equal(finding->risk, cases[i].risk);
        close_fixture(&f);
    }
}

static void what_could_have_been_worse_is_read_first(void **state) {
    (void)state;
    fixture f;
    ap_error err;
    rank_one(&f, AP_DETECT_NEAR_MISS, 100, AP_TOWARD_CLEAR, NAN);
    ap_finding_list_init(&f.list, &f.arena);
    f.roster.facts[1].toward_person = true;
    check_ok(ap_finding_add_pick(&f.list, AP_DETECT_NEAR_MISS, 0, 1, NAN, 9999, &err), &err);
    check_ok(ap_finding_add_pick(&f.list, AP_DETECT_TOWARD_PERSON, 1, 1, NAN, 1, &err), &err);
    check_ok(ap_finding_add_pick(&f.list, AP_DETECT_DAMAGE, 2, 1, NAN, 1, &err), &err);
    ap_rank_findings(&f.list, &f.roster, check_limits(), 0, 200);
    ap_finding_sort(&f.list);
    assert_int_equal(f.list.items[0].detector, AP_DETECT_DAMAGE); /* it happened */
    assert_int_equal(f.list.items[1].detector, AP_DETECT_TOWARD_PERSON);
    assert_int_equal(f.list.items[2].detector, AP_DETECT_NEAR_MISS);
    close_fixture(&f);
}

static void a_broken_matrix_is_refused(void **state) {
    (void)state;
    book_fixture it;
    ap_rule_limits limits;
    ap_error err;
    fixture_make(&it);
    fixture_change(&it, "UPDATE rule SET value = 'fine' WHERE name = 'risk-matrix' AND key = 'C critical'");
    check_refused(ap_limits_read(&limits, it.book, &err), AP_E_BOOK, &err, "'C critical'");
    fixture_remove(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_matrix_is_the_standards),
        cmocka_unit_test(categories_have_the_standards_names),
        cmocka_unit_test(levels_by_quantity),
        cmocka_unit_test(severity_follows_mass_direction_and_share),
        cmocka_unit_test(what_could_have_been_worse_is_read_first),
        cmocka_unit_test(a_broken_matrix_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
