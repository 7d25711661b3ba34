/* What the mechanics say against what was rigged and seen: a leg that carries nothing, a leg that is missing, a piece that went otherwise
 * than worked out; and how often the comparison of rates is right. */
#include <gsl/gsl_randist.h>

#include "support/limits.h"
#include "support/roster.h"

#include "nearmiss/detect.h"
#include "stats/prng.h"
#include "stats/rates.h"

static const double G = AP_STANDARD_GRAVITY;

typedef struct bench {
    ap_pick pick;
    ap_settings settings;
    ap_hung hung;
    ap_roster roster;
    ap_arena arena;
    ap_finding_list findings;
    ap_chance chance;
} bench;

static void start(bench *b) {
    memset(b, 0, sizeof *b);
    check_roster_init(&b->roster);
    ap_arena_init(&b->arena, 16u << 20);
    ap_finding_list_init(&b->findings, &b->arena);
    ap_settings_defaults(&b->settings);
    ap_pick_clear(&b->pick);
    b->pick.measured_as = AP_WEIGHED_AS_NET;
    b->pick.measured_weight_kg = 1000 / G;
    b->pick.rigging_weight_kg = 0;
    b->pick.lean_deg = 20;
}

static void end(bench *b) {
    ap_arena_release(&b->arena);
    ap_roster_release(&b->roster);
}

static void rig(bench *b, int leg, double at_m, double length_m) {
    b->pick.legs[leg].kind = AP_LEG_KIND_ADJUSTABLE;
    b->pick.legs[leg].hitch = AP_HITCH_TIMBER;
    b->pick.legs[leg].state = AP_LEG_STATE_TIGHT;
    b->pick.legs[leg].at_m = at_m;
    b->pick.legs[leg].length_m = length_m;
}

/* The reasons of the leg finding that the rigged pick makes; 0 for none. */
static uint32_t leg_reasons(bench *b) {
    ap_company company = {.settings = &b->settings};
    ap_error err;
    ap_pick_count_legs(&b->pick);
    ap_hung_set(&b->hung, &b->pick, NULL, &company, NULL, NULL);
    b->hung.fact = 0;
    b->roster.count = 0;
    ap_fact *fact = check_roster_add(&b->roster, "J/1", 1, 1.0, "beech", "step", "E1", "T1");
    fact->rest->slings = ap_derive_slings(&b->pick);
    const ap_hung_list hung = {.items = &b->hung, .count = 1};
    const ap_detect_given given = {.roster = &b->roster, .limits = check_limits(), .hung = &hung};
    ap_finding_list_init(&b->findings, &b->arena);
    check_ok(ap_detect_all(&b->findings, &b->chance, &given, AP_DATE_NONE, AP_DATE_NONE, &err), &err);
    for (size_t i = 0; i < b->findings.count; i++) {
        if (b->findings.items[i].detector == AP_DETECT_LEG) {
            assert_int_equal(b->findings.items[i].class, AP_FINDING_CERTAIN);
            return b->findings.items[i].reasons;
        }
    }
    return 0;
}

/* Row C06 of the rigging check values (closed form, recomputed numerically): legs of 10, 10 apart, the centre of gravity 10.5 from the first:
 * the first goes slack. The piece then hangs from the second with its centre of gravity plumb below, so the first attach point, 10 up the
 * axis, lies in the hook: all 10 of its leg are slack. */
static void a_leg_that_carries_nothing_is_told(void **state) {
    (void)state;
    bench b;
    start(&b);
    b.pick.length_m = 13;
    b.pick.balance_point_m = 11.5;
    rig(&b, 0, 1, 10);
    rig(&b, 1, 11, 10);
    assert_int_equal(leg_reasons(&b) & (AP_LEG_UNLOADED | AP_LEG_CG | AP_LEG_ALONE), AP_LEG_UNLOADED | AP_LEG_CG);
    const ap_finding *finding = &b.findings.items[0];
    assert_int_equal(finding->among, 1);
    check_close(finding->rate_else, 10, 1e-5, "C06: statics of a body hung from one point");
    /* C01: both carry. */
    b.pick.balance_point_m = 6;
    rig(&b, 0, 1, 6);
    rig(&b, 1, 11, 8);
    assert_int_equal(leg_reasons(&b) & (AP_LEG_UNLOADED | AP_LEG_CG | AP_LEG_ALONE), 0);
    end(&b);
}

/* One leg, on the axis: the height of the balance point above it is (cg - at) sin(lean). Without diameters nothing is off the axis. */
static void one_leg_below_the_balance_point_is_a_leg_missing(void **state) {
    (void)state;
    bench b;
    start(&b);
    const double least = check_limits()->leg_above_m;
    check_close(least, 0.3, 1e-12, "sql/seed/again/050_rules.sql");
    b.pick.length_m = 8;
    b.pick.lean_deg = 90;
    b.pick.balance_point_m = 4;
    rig(&b, 0, 4 - least, 3); /* on the limit */
    assert_int_equal(leg_reasons(&b), AP_LEG_ALONE);
    check_close(b.findings.items[0].rate_else, least, 1e-6, "upright: the height is the distance");
    rig(&b, 0, 4 - least + 0.001, 3);
    assert_int_equal(leg_reasons(&b), 0);
    b.pick.lean_deg = 30; /* sin 30 = 1/2: twice as far along the axis */
    rig(&b, 0, 4 - 2 * least, 3);
    assert_int_equal(leg_reasons(&b), AP_LEG_ALONE);
    rig(&b, 0, 4 - 2 * least + 0.002, 3);
    assert_int_equal(leg_reasons(&b), 0);
    b.pick.lean_deg = -90; /* tip down: the same place is above the balance point */
    rig(&b, 0, 2, 3);
    assert_int_equal(leg_reasons(&b), 0);
    b.pick.lean_deg = NAN; /* not logged: nothing is said */
    assert_int_equal(leg_reasons(&b), 0);
    end(&b);
}

static ap_fact *moved(ap_roster *roster, float butt_up_m, float way_m, int32_t movement, double distance_m) {
    char name[24];
    snprintf(name, sizeof name, "J/%zu", roster->count + 1);
    ap_fact *fact = check_roster_add(roster, name, 1, NAN, "beech", "", "", name);
    fact->rest->butt_up_m = butt_up_m;
    fact->rest->way_m = way_m;
    fact->rest->movement = (uint16_t)movement;
    fact->rest->movement_distance_m = (float)distance_m;
    return fact;
}

static void seen_against_worked_out_one_by_one(void **state) {
    (void)state;
    const int32_t up = AP_MOVE_BIT(AP_MOVEMENT_BUTT_UP);
    const int32_t down = AP_MOVE_BIT(AP_MOVEMENT_BUTT_DOWN);
    const int32_t still = AP_MOVE_BIT(AP_MOVEMENT_STILL);
    const int32_t swing = AP_MOVE_BIT(AP_MOVEMENT_SWING);
    const struct {
        float butt_up_m, way_m;
        int32_t movement;
        double distance_m;
        int expected;
    } cases[] = {
        {0.8f, 1.0f, up, 1.0, 1},    {0.8f, 1.0f, down, 0.9, 2}, /* the other way, on the limit of 0.9 m */
        {0.8f, 1.0f, down, 0.89, 1}, {0.8f, 1.0f, down, NAN, 2}, {0.4f, 0.5f, down, NAN, 1},
        {0.8f, 1.0f, up, 1.9, 2},                               /* .9 farther, and more than one and a half times */
        {0.8f, 1.0f, up, 1.89, 1},   {1.8f, 2.0f, up, 3.0, 1},  /* 1.0 farther, one and a half times: a tie */
        {1.8f, 2.0f, up, 3.01, 2},   {0.1f, 0.29f, up, 0.9, 2}, /* was to stay */
        {0.1f, 0.29f, up, 0.89, 1},  {0.1f, 0.29f, up, NAN, 1},  {2.0f, 2.0f, still, NAN, 1},
        {0.8f, 1.0f, swing, 3.0, 0}, {NAN, NAN, up, 3.0, 0},     {0.8f, 1.0f, 0, NAN, 0},
    };
    ap_roster roster;
    check_roster_init(&roster);
    check_close(check_limits()->otherwise_m, 0.9, 1e-12, "sql/seed/again/050_rules.sql");
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const ap_fact *fact =
            moved(&roster, cases[i].butt_up_m, cases[i].way_m, cases[i].movement, cases[i].distance_m);
        if (ap_moved_otherwise(fact, check_limits()) != cases[i].expected) {
            fail_msg("case %zu: %d, not %d", i, ap_moved_otherwise(fact, check_limits()), cases[i].expected);
        }
    }
    ap_roster_release(&roster);
}

/* The pick is one finding of `moved`; what the log calls a near miss is not named twice. */
static void a_piece_that_went_otherwise_is_one_finding(void **state) {
    (void)state;
    bench b;
    ap_error err;
    start(&b);
    moved(&b.roster, 0.8f, 1.0f, AP_MOVE_BIT(AP_MOVEMENT_BUTT_DOWN), 1.0);
    moved(&b.roster, 0.8f, 1.0f, AP_MOVE_BIT(AP_MOVEMENT_BUTT_DOWN), 2.0);
    moved(&b.roster, 0.8f, 1.0f, AP_MOVE_BIT(AP_MOVEMENT_BUTT_UP), 1.0);
    moved(&b.roster, 0.8f, 1.0f, AP_MOVE_BIT(AP_MOVEMENT_BUTT_DOWN), 1.0)->near_miss = AP_YESNO_YES;
    const ap_detect_given given = {.roster = &b.roster, .limits = check_limits()};
    check_ok(ap_detect_all(&b.findings, &b.chance, &given, AP_DATE_NONE, AP_DATE_NONE, &err), &err);
    size_t found = 0;
    for (size_t i = 0; i < b.findings.count; i++) {
        const ap_finding *finding = &b.findings.items[i];
        if (finding->detector == AP_DETECT_MOVED) {
            found++;
            bool far = finding->picks[0] == 1;
            assert_true(finding->picks[0] < 2);
            assert_int_equal(finding->reasons, AP_MOVED_OTHERWISE | (far ? AP_MOVED_FAR : 0));
        }
        assert_true(finding->detector == AP_DETECT_MOVED || finding->detector == AP_DETECT_NEAR_MISS);
    }
    assert_int_equal(found, 2);
    end(&b);
}

enum { CREW_PICKS = 25, OTHER_PICKS = 200 };

/* A month of picks that can all be compared: those of crew A go otherwise at one rate, those without a crew at another. */
static bool month(uint64_t seed, double rate, double elsewhere, double *announced) {
    bench b;
    ap_error err;
    ap_prng prng;
    bool found = false;
    start(&b);
    ap_prng_init(&prng, seed, 0);
    for (int i = 0; i < CREW_PICKS + OTHER_PICKS; i++) {
        bool crew = i < CREW_PICKS;
        bool otherwise = ap_prng_uniform(&prng) < (crew ? rate : elsewhere);
        int32_t way = AP_MOVE_BIT(otherwise ? AP_MOVEMENT_BUTT_DOWN : AP_MOVEMENT_BUTT_UP);
        ap_fact *fact = moved(&b.roster, 0.8f, 1.0f, way, 1.0);
        if (crew) {
            ap_fact_set_group(fact, AP_BY_CREW, ap_intern_add(b.roster.labels[AP_BY_CREW], AP_STR_LIT("A")));
        }
    }
    const ap_detect_given given = {.roster = &b.roster, .limits = check_limits()};
    check_ok(ap_detect_all(&b.findings, &b.chance, &given, AP_DATE_NONE, AP_DATE_NONE, &err), &err);
    for (size_t i = 0; i < b.findings.count; i++) {
        found = found || b.findings.items[i].detector == AP_DETECT_OTHERWISE;
    }
    *announced += b.chance.line[AP_DETECT_OTHERWISE].expected;
    end(&b);
    return found;
}

/* The chance that the exact conditional test of two rates finds the crew, over both counts. */
static double power(double rate, double elsewhere, double level) {
    double sum = 0;
    for (unsigned crew = 0; crew <= CREW_PICKS; crew++) {
        for (unsigned other = 0; other <= OTHER_PICKS; other++) {
            double p_more = 1;
            double two_sided;
            ap_error err;
            if (crew + other > 0) {
                check_ok(ap_binomial_test(&p_more, &two_sided, crew, crew + other,
                                          (double)CREW_PICKS / (CREW_PICKS + OTHER_PICKS), &err),
                         &err);
            }
            bool found = crew >= (unsigned)check_limits()->otherwise_least && p_more <= level;
            sum += found ? gsl_ran_binomial_pdf(crew, rate, CREW_PICKS) *
                               gsl_ran_binomial_pdf(other, elsewhere, OTHER_PICKS)
                         : 0;
        }
    }
    return sum;
}

static void expect_inside(const char *what, double expected, uint64_t seen, uint64_t of) {
    ap_interval interval;
    ap_error err;
    check_ok(ap_share_interval(&interval, seen, of, 0.99, &err), &err);
    print_message("%s: %.3f computed, %llu of %llu, 99 %% interval %.3f to %.3f\n", what, expected,
                  (unsigned long long)seen, (unsigned long long)of, interval.low, interval.high);
    assert_true(expected >= interval.low && expected <= interval.high);
}

static void the_rate_is_found_as_often_as_computed(void **state) {
    (void)state;
    enum { MONTHS = 200, QUIET = 600 };
    double announced = 0;
    uint64_t found = 0;
    uint64_t alarms = 0;
    for (uint64_t m = 0; m < MONTHS; m++) {
        double unused = 0;
        found += month(880000 + m, 0.25, 0.06, &unused);
    }
    expect_inside("a crew at 25 % among others at 6 %", power(0.25, 0.06, 0.05), found, MONTHS);
    for (uint64_t m = 0; m < QUIET; m++) {
        alarms += month(990000 + m, 0.1, 0.1, &announced);
    }
    expect_inside("no crew is different: announced", announced / QUIET, alarms, QUIET);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_leg_that_carries_nothing_is_told),
        cmocka_unit_test(one_leg_below_the_balance_point_is_a_leg_missing),
        cmocka_unit_test(seen_against_worked_out_one_by_one),
        cmocka_unit_test(a_piece_that_went_otherwise_is_one_finding),
        cmocka_unit_test(the_rate_is_found_as_often_as_computed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
