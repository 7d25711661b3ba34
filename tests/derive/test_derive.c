#include "support/check.h"

#include "derive/derive.h"

/* Worked by hand: net + rigging = gross, shares are gross / capacity (pick-log.md, "Rules of intake"; OSHA and load charts
 * count block and slings as part of the load). */
static void start(ap_pick *pick, ap_settings *settings) {
    ap_pick_clear(pick);
    ap_settings_defaults(settings);
}

static void gross_is_made_net(void **state) {
    (void)state;
    ap_pick pick;
    ap_settings settings;
    ap_derived d;
    start(&pick, &settings);
    pick.planned_weight_kg = 2000;
    pick.planned_as = AP_WEIGHED_AS_NET;
    pick.measured_weight_kg = 2400;
    pick.measured_as = AP_WEIGHED_AS_GROSS;
    pick.rigging_weight_kg = 200;
    pick.planned_capacity_kg = 4000;
    pick.cut_capacity_kg = 3000;
    pick.set_down_capacity_kg = 2000;
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_int_equal(d.compared, AP_COMPARED);
    check_close(d.measured_net_kg, 2200, 0, "2400 - 200");
    check_close(d.ratio, 1.1, 1e-15, "2200 / 2000");
    check_close(d.log_error, log(1.1), 1e-15, "ln 1.1");
    check_close(d.hook_planned_kg, 2200, 0, "2000 + 200");
    check_close(d.share_planned, 0.55, 1e-15, "2200 / 4000");
    check_close(d.share_cut, 0.8, 1e-15, "2400 / 3000");
    check_close(d.share_set_down, 1.2, 1e-15, "2400 / 2000");
    check_close(d.share_worst, 1.2, 1e-15, "the larger");
    assert_true(d.over_chart);
    assert_int_equal(d.rigging_from, AP_ORIGIN_LOG);
}

static void rigging_falls_back_to_the_setting_and_says_so(void **state) {
    (void)state;
    ap_pick pick;
    ap_settings settings;
    ap_derived d;
    start(&pick, &settings);
    pick.measured_weight_kg = 1000;
    pick.measured_as = AP_WEIGHED_AS_GROSS;
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    check_close(d.measured_net_kg, 1000 - 350 * 0.45359237, 1e-9, "350 lb; NIST SP 811 B.8: 1 lb = 0.453 592 37 kg");
    assert_int_equal(d.rigging_from, AP_ORIGIN_SETTING);
}

/* The crane's own entry comes before the company's setting and after the log: 5000 - 420 lb, 5000 - 350 lb, 5000 - 100. */
static void the_cranes_own_entry_comes_before_the_setting(void **state) {
    (void)state;
    ap_pick pick;
    ap_settings settings;
    ap_derived d;
    start(&pick, &settings);
    const ap_crane cranes[] = {
        {.name = AP_STR_LIT("Big"), .block_weight_kg = NAN, .weighed_as = AP_WEIGHED_AS_GROSS, .band = NAN},
        {.name = AP_STR_LIT("Crane 2"),
         .block_weight_kg = 420 * 0.45359237,
         .weighed_as = AP_WEIGHED_AS_GROSS,
         .band = NAN},
    };
    const ap_company company = {.settings = &settings, .cranes = cranes, .crane_count = 2};
    pick.crane = AP_STR_LIT(" crane 2");
    pick.measured_weight_kg = 5000;
    ap_derive(&d, &pick, &company);
    check_close(d.measured_net_kg, 5000 - 420 * 0.45359237, 1e-9, "NIST SP 811 B.8: 1 lb = 0.453 592 37 kg");
    assert_int_equal(d.rigging_from, AP_ORIGIN_CRANE);
    assert_int_equal(d.weighed_as_from, AP_ORIGIN_CRANE);
    pick.crane = AP_STR_LIT("BIG");
    ap_derive(&d, &pick, &company);
    check_close(d.measured_net_kg, 5000 - 350 * 0.45359237, 1e-9, "the company's 350 lb");
    assert_int_equal(d.rigging_from, AP_ORIGIN_SETTING);
    pick.measured_as = AP_WEIGHED_AS_NET;
    pick.rigging_weight_kg = 100;
    ap_derive(&d, &pick, &company);
    check_close(d.hook_kg, 5100, 0, "5000 + 100 as logged");
    assert_int_equal(d.rigging_from, AP_ORIGIN_LOG);
    assert_int_equal(d.weighed_as_from, AP_ORIGIN_LOG);
    pick.measured_as = 0;
    pick.crane = AP_STR_LIT("crane 22");
    ap_derive(&d, &pick, &company);
    assert_int_equal(d.weighed_as, 0);
    assert_int_equal(d.weighed_as_from, AP_ORIGIN_NONE);
    assert_null(ap_company_crane(&company, AP_STR_NONE));
}

static void what_cannot_be_compared_says_why(void **state) {
    (void)state;
    ap_pick pick;
    ap_settings settings;
    ap_derived d;
    start(&pick, &settings);
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_int_equal(d.compared, AP_NOT_PLANNED);
    pick.planned_weight_kg = 500;
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_int_equal(d.compared, AP_NOT_WEIGHED);
    pick.measured_weight_kg = 600;
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_int_equal(d.compared, AP_WEIGH_BASIS_UNKNOWN);
    pick.measured_as = AP_WEIGHED_AS_GROSS;
    pick.rigging_weight_kg = 700;
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_int_equal(d.compared, AP_NET_NOT_POSITIVE);
    assert_true(isnan(d.ratio));
    settings.planned_as = 0;
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_int_equal(d.compared, AP_PLAN_BASIS_UNKNOWN);
}

/* methods.md: a limit is passed when x > limit (1 + 1e-9): 4,850 lb against a chart of 4,850 lb is not over chart, also
 * after both went through kilograms. */
static void a_tie_is_not_over(void **state) {
    (void)state;
    assert_false(ap_over(1.1, 1.1));
    assert_false(ap_over(2200.0 / 2000.0, 1 + 0.10));
    assert_true(ap_over(1.1 + 1e-6, 1.1));
    assert_false(ap_over(NAN, 1));
    double load = 4850 * 0.45359237;
    assert_false(ap_over(load / load, 1));
    assert_false(ap_over((0.1 + 0.2) / 0.3, 1));
}

/* Logarithms are judged as their numbers are, within a rounding of the limit too. */
static void a_logarithm_is_judged_as_its_number(void **state) {
    (void)state;
    static const double limits[] = {1.1, 1, 1.25, 0.5, 1e-3, 40};
    for (size_t l = 0; l < sizeof limits / sizeof *limits; l++) {
        const ap_log_limit limit = ap_log_limit_of(limits[l]);
        size_t over = 0;
        double at = log(limits[l] * (1 + 1e-9));
        for (int i = -2000; i <= 2000; i++) {
            double log_x = at + i * 1e-17 * (1 + fabs(at)) * (i % 2 ? 1 : 1e3);
            assert_int_equal(ap_log_over(log_x, &limit), ap_over(exp(log_x), limits[l]));
            over += ap_log_over(log_x, &limit);
        }
        assert_in_range(over, 1000, 3000);
        assert_false(ap_log_over(NAN, &limit));
        assert_false(ap_log_over(-INFINITY, &limit));
        assert_true(ap_log_over(INFINITY, &limit));
    }
}

/* Where a person is logged as where the piece went, it counts, also when the movement is blank or "still": the two cells
 * contradict each other, and the cautious reading is the one to look at. */
static void toward_a_person_counts_whatever_the_movement(void **state) {
    (void)state;
    ap_pick pick;
    ap_settings settings;
    ap_derived d;
    start(&pick, &settings);
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_false(d.toward_person);
    pick.toward = AP_TOWARD_CLIMBER;
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_true(d.toward_person);
    pick.movement = AP_MOVE_BIT(AP_MOVEMENT_STILL);
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_true(d.toward_person);
    pick.toward = AP_TOWARD_STRUCTURE;
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_false(d.toward_person);
}

/* 9,000 past a capacity of 6,000 is over chart whether it was net or gross; 5,900 says nothing then. */
static void an_unknown_basis_can_still_be_over_chart(void **state) {
    (void)state;
    ap_pick pick;
    ap_settings settings;
    ap_derived d;
    start(&pick, &settings);
    pick.measured_weight_kg = 9000;
    pick.cut_capacity_kg = 6000;
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_true(d.over_chart);
    check_close(d.share_cut, 1.5, 1e-15, "9000 / 6000");
    pick.measured_weight_kg = 5900;
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_false(d.over_chart);
    assert_true(isnan(d.share_worst));
}

static void the_planned_capacity_stands_in_where_none_was_logged(void **state) {
    (void)state;
    ap_pick pick;
    ap_settings settings;
    ap_derived d;
    start(&pick, &settings);
    pick.measured_weight_kg = 7000;
    pick.measured_as = AP_WEIGHED_AS_GROSS;
    pick.planned_capacity_kg = 6000;
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_true(d.over_chart);
    pick.set_down_capacity_kg = 8000;
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_false(d.over_chart);
    pick.planned_weight_kg = 9000;
    pick.planned_as = AP_WEIGHED_AS_GROSS;
    ap_derive(&d, &pick, &(ap_company){.settings = &settings});
    assert_true(d.planned_over_chart);
}

static void the_setup_has_a_readable_name(void **state) {
    (void)state;
    ap_pick pick;
    ap_pick_clear(&pick);
    ap_buf text;
    ap_buf_init(&text, 512);
    ap_derive_setup(&text, &pick);
    check_str(ap_buf_str(&text), "");
    assert_int_equal(ap_derive_slings(&pick), 0);
    pick.legs[0].kind = AP_LEG_KIND_EYE;
    pick.legs[0].hitch = AP_HITCH_CHOKER;
    pick.legs[1].kind = AP_LEG_KIND_ADJUSTABLE;
    pick.legs[1].hitch = AP_HITCH_TIMBER;
    pick.legs[3].kind = AP_LEG_KIND_BALANCER;
    ap_pick_count_legs(&pick);
    ap_derive_setup(&text, &pick);
    check_str(ap_buf_str(&text), "2 legs: eye choker + adjustable timber, with balancer");
    int bits = 2 | AP_SLINGS_EYE | AP_SLINGS_ADJUSTABLE | AP_SLINGS_BALANCER;
    assert_int_equal(ap_derive_slings(&pick), bits);
    pick.legs[3].state = AP_LEG_STATE_SLACK; /* a balancer may hang loose */
    assert_int_equal(ap_derive_slings(&pick), bits);
    pick.legs[0].state = AP_LEG_STATE_TIGHT;
    assert_int_equal(ap_derive_slings(&pick), bits | AP_SLINGS_STATE);
    pick.legs[1].state = AP_LEG_STATE_SLACK;
    assert_int_equal(ap_derive_slings(&pick), bits | AP_SLINGS_STATE | AP_SLINGS_SLACK);
    ap_buf_release(&text);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gross_is_made_net),
        cmocka_unit_test(rigging_falls_back_to_the_setting_and_says_so),
        cmocka_unit_test(the_cranes_own_entry_comes_before_the_setting),
        cmocka_unit_test(what_cannot_be_compared_says_why),
        cmocka_unit_test(a_tie_is_not_over),
        cmocka_unit_test(a_logarithm_is_judged_as_its_number),
        cmocka_unit_test(toward_a_person_counts_whatever_the_movement),
        cmocka_unit_test(an_unknown_basis_can_still_be_over_chart),
        cmocka_unit_test(the_planned_capacity_stands_in_where_none_was_logged),
        cmocka_unit_test(the_setup_has_a_readable_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
