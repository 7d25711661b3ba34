#include "support/check.h"

#include "base/pick.h"
#include "derive/derive.h"
#include "mech/capacity.h"

#define FT 0.3048     /* NIST SP 811 B.8 */
#define LB 0.45359237 /* NIST SP 811 B.8 */

/* Invented chart: booms of 60 and 95 ft. */
static const ap_capacity_row chart[] = {
    {60 * FT, 35 * FT, 16000 * LB}, {60 * FT, 40 * FT, 13500 * LB}, {95 * FT, 35 * FT, 15400 * LB},
    {95 * FT, 40 * FT, 12900 * LB}, {95 * FT, 45 * FT, 10900 * LB},
};
static const ap_crane crane = {
    .name = {"K1", 2}, .block_weight_kg = NAN, .band = NAN, .chart = chart, .chart_count = 5};

static ap_rated find(double logged, double radius, double boom) {
    ap_rated rated;
    ap_rated_find(&rated, logged, &(ap_capacity_at){.boom_m = boom, .radius_m = radius}, &crane);
    return rated;
}

/* Rule: between rows the next longer radius and boom, never interpolated (BC Association for Crane Safety, load chart
 * practice quiz, note 6). */
static void the_chart_stands_in_for_a_capacity_not_logged(void **state) {
    (void)state;
    ap_rated r = find(NAN, 42 * FT, 95 * FT);
    check_close(r.capacity_kg, 10900 * LB, 1e-9, "45 ft row");
    assert_int_equal(r.from, AP_RATED_CHART);
    r = find(NAN, 40 * FT, 95 * FT);
    check_close(r.capacity_kg, 12900 * LB, 1e-9, "40 ft is a row");
    r = find(NAN, 36 * FT, 80 * FT);
    check_close(r.capacity_kg, 12900 * LB, 1e-9, "40 ft row of 95 ft, less than that of 60 ft");
    check_close(r.chart_radius_m, 40 * FT, 1e-12, "its radius");
    r = find(NAN, 20 * FT, 50 * FT);
    check_close(r.capacity_kg, 16000 * LB, 1e-9, "the first row of the shortest boom");
}

static void a_logged_capacity_is_never_overridden(void **state) {
    (void)state;
    ap_rated r = find(11500 * LB, 42 * FT, 95 * FT);
    check_close(r.capacity_kg, 11500 * LB, 1e-9, "as logged");
    assert_int_equal(r.from, AP_RATED_LOG);
    assert_true(r.differs);
    r = find(10950 * LB, 42 * FT, 95 * FT);
    assert_false(r.differs); /* 0.5 % */
    r = find(10950 * LB, 60 * FT, 95 * FT);
    assert_int_equal(r.from, AP_RATED_LOG);
    assert_false(r.differs); /* the chart says nothing there */
    assert_false(ap_rated_is_past(&r));
}

static void past_the_end_there_is_no_number(void **state) {
    (void)state;
    static const struct {
        double radius, boom;
        ap_rated_no no;
    } cases[] = {
        {46 * FT, 95 * FT, AP_RATED_PAST_RADIUS},  {44 * FT, 60 * FT, AP_RATED_PAST_RADIUS},
        {35 * FT, 96 * FT, AP_RATED_PAST_BOOM},    {35 * FT, NAN, AP_RATED_NO_BOOM},
        {NAN, 95 * FT, AP_RATED_NO_RADIUS},        {-3, 95 * FT, AP_RATED_NO_RADIUS},
        {INFINITY, 95 * FT, AP_RATED_PAST_RADIUS}, {35 * FT, -1, AP_RATED_PAST_BOOM},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        ap_rated r = find(NAN, cases[i].radius, cases[i].boom);
        assert_int_equal(r.no, cases[i].no);
        assert_true(isnan(r.capacity_kg));
        assert_int_equal(r.from, AP_RATED_UNKNOWN);
        assert_true(*ap_rated_no_text(r.no));
    }
    ap_rated none;
    ap_rated_find(&none, NAN, &(ap_capacity_at){.boom_m = 95 * FT, .radius_m = 35 * FT}, NULL);
    assert_int_equal(none.no, AP_RATED_NO_CHART);
}

/* The look-up in a slice of a long chart gives what mech/capacity gives from the whole of it. */
static void the_slice_agrees_with_the_whole_chart(void **state) {
    (void)state;
    enum { BOOMS = 7, RADII = 9 };
    ap_capacity_row rows[BOOMS * RADII];
    unsigned seed = 20261126;
    for (int round = 0; round < 200; round++) {
        size_t count = 0;
        for (int b = 0; b < BOOMS; b++) {
            for (int r = 0; r < RADII; r++) {
                seed = seed * 1664525u + 1013904223u;
                rows[count++] = (ap_capacity_row){10 + 5 * b, 3 + 2 * r + (b % 2), 1000 + (seed >> 16) % 20000};
            }
        }
        const ap_crane long_chart = {.chart = rows, .chart_count = count};
        for (int k = 0; k < 50; k++) {
            seed = seed * 1664525u + 1013904223u;
            double boom = 8 + (double)((seed >> 16) % 360) / 10;
            seed = seed * 1664525u + 1013904223u;
            double radius = 1 + (double)((seed >> 16) % 220) / 10;
            ap_capacity whole;
            ap_error err;
            const ap_capacity_at at = {boom, radius, k % 3 ? 0 : 1, k % 4 ? 0 : 3};
            ap_status status = ap_capacity_find(&whole, rows, count, &at, &err);
            ap_rated rated;
            ap_rated_find(&rated, NAN, &at, &long_chart);
            assert_int_equal(status == AP_OK, rated.no == AP_RATED_SAID);
            if (status == AP_OK) {
                check_close(rated.capacity_kg, whole.capacity_kg, 0, "the whole chart");
            }
        }
    }
}

static ap_rated find_written(double radius, double radius_step, double boom, double boom_step) {
    ap_rated rated;
    ap_rated_find(&rated, NAN, &(ap_capacity_at){boom, radius, boom_step, radius_step}, &crane);
    return rated;
}

/* Values are the same when equal to the coarser of the two written precisions (the pick log's rule): a metric crew's round
 * lengths beside a chart in feet. 95 ft = 28.956 m, 45 ft = 13.716 m, 40 ft = 12.192 m, 35 ft = 10.668 m (NIST SP 811 B.8). */
static void a_length_equal_as_written_is_the_row(void **state) {
    (void)state;
    ap_rated r = find_written(12, 1, 29, 1);
    check_close(r.capacity_kg, 12900 * LB, 1e-9, "29 m is the 95 ft boom, 12 m the 40 ft row");
    check_close(r.chart_boom_m, 95 * FT, 1e-12, "the row's boom");
    check_close(find_written(12.2, 0.1, 29, 1).capacity_kg, 12900 * LB, 1e-9, "12.2 m is the 40 ft row");
    check_close(find_written(14, 1, 28.96, 0.01).capacity_kg, 10900 * LB, 1e-9, "14 m is the 45 ft row, the last");
    /* Beyond the reading step nothing is given away. */
    check_close(find_written(12.3, 0.1, 29, 1).capacity_kg, 10900 * LB, 1e-9, "12.3 m is longer than 40 ft");
    assert_int_equal(find_written(12, 1, 29.0, 0.08).no, AP_RATED_PAST_BOOM); /* 29.00 less half of .08 is 28.96 */
    assert_int_equal(find_written(13.8, 0.1, 29, 1).no, AP_RATED_PAST_RADIUS);
    assert_int_equal(find_written(14.3, 1, 29, 1).no, AP_RATED_PAST_RADIUS);
    /* Read to 3 m, 11.4 m may be 35 or 40 ft: the smaller capacity. An exact row stays itself. */
    check_close(find_written(11.4, 3, 29, 1).capacity_kg, 12900 * LB, 1e-9, "of two rows within the step the smaller");
    check_close(find_written(35 * FT, 3, 95 * FT, 1).capacity_kg, 15400 * LB, 1e-9, "an exact row");
}

/* From the log to the share: the steps are those that were written. */
static void the_written_steps_reach_the_look_up(void **state) {
    (void)state;
    ap_settings settings;
    ap_settings_defaults(&settings);
    const ap_company company = {.settings = &settings, .cranes = &crane, .crane_count = 1};
    ap_derived d;
    ap_pick pick;
    ap_pick_clear(&pick);
    pick.crane = AP_STR_LIT("K1");
    pick.cut_radius_m = 12;
    pick.boom_length_m = 29;
    ap_derive(&d, &pick, &company);
    assert_int_equal(d.rated_cut.no, AP_RATED_PAST_BOOM); /* as exact figures */
    pick.written[AP_F_boom_length] = (ap_written){AP_UNIT_M, 0};
    pick.written[AP_F_cut_radius] = (ap_written){AP_UNIT_M, 0};
    ap_derive(&d, &pick, &company);
    check_close(d.rated_cut.capacity_kg, 12900 * LB, 1e-9, "29 m and 12 m, read to the metre");
    pick.written[AP_F_boom_length] = (ap_written){AP_UNIT_M, 2};
    ap_derive(&d, &pick, &company);
    assert_int_equal(d.rated_cut.no, AP_RATED_PAST_BOOM); /* 29.00 m is longer than 95 ft */
}

static const ap_calibration calibrations[] = {
    {20000, 0.97, 0.03, {"certificate 12", 14}},
    {20100, 1.02, NAN, {"certificate 13", 14}},
};
static const ap_crane calibrated = {.name = {"K1", 2},
                                    .block_weight_kg = 200,
                                    .band = 0.05,
                                    .calibrations = calibrations,
                                    .calibration_count = 2,
                                    .chart = chart,
                                    .chart_count = 5};

static ap_pick weighed_pick(ap_date date) {
    ap_pick pick;
    ap_pick_clear(&pick);
    pick.crane = AP_STR_LIT("k1");
    pick.date = date;
    pick.planned_weight_kg = 2000;
    pick.measured_weight_kg = 2500;
    pick.peak_load_kg = 3000;
    pick.preload_kg = 1000;
    pick.measured_as = AP_WEIGHED_AS_GROSS;
    pick.weighed_by = AP_WEIGHED_BY_LOAD_INDICATOR;
    pick.planned_radius_m = 40 * FT;
    pick.cut_radius_m = 45 * FT;
    pick.boom_length_m = 95 * FT;
    return pick;
}

/* By hand: 2500 x 0.97 = 2425 on the hook, less 200 = 2225 net, over 2000 = 1.1125; of 10,900 lb = 4944.157 kg: 0.49048. */
static void a_calibration_corrects_from_its_day_on(void **state) {
    (void)state;
    ap_settings settings;
    ap_settings_defaults(&settings);
    const ap_company company = {.settings = &settings, .cranes = &calibrated, .crane_count = 1};
    ap_derived d;
    ap_pick pick = weighed_pick(20000);
    ap_derive(&d, &pick, &company);
    check_close(d.measured_kg, 2425, 1e-9, "2500 x 0.97");
    check_close(d.measured_net_kg, 2225, 1e-9, "2425 - 200");
    check_close(d.ratio, 1.1125, 1e-12, "2225 / 2000");
    check_close(d.peak_kg, 2910, 1e-9, "3000 x 0.97");
    check_close(d.preload_kg, 970, 1e-9, "1000 x 0.97");
    check_close(d.share_cut, 2425 / (10900 * LB), 1e-12, "2425 kg / 10,900 lb");
    check_close(d.share_planned, 2200 / (12900 * LB), 1e-12, "(2000 + 200) kg / 12,900 lb");
    assert_int_equal(d.calibrated_on, 20000);
    check_close(pick.measured_weight_kg, 2500, 0, "the raw figure stays");

    const struct {
        ap_date date;
        double factor;
        double band;
    } days[] = {
        {19999, 1, 0.05}, {20099, 0.97, 0.03}, {20100, 1.02, 0.05}, {30000, 1.02, 0.05}, {AP_DATE_NONE, 1, 0.05}};
    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
        pick = weighed_pick(days[i].date);
        ap_derive(&d, &pick, &company);
        check_close(d.measured_kg, 2500 * days[i].factor, 1e-9, "the calibration in force on the day");
        check_close(ap_crane_band(&calibrated, days[i].date), days[i].band, 0, "its band, else the crane's own");
    }
}

static void only_what_the_indicator_read_is_corrected(void **state) {
    (void)state;
    ap_settings settings;
    ap_settings_defaults(&settings);
    const ap_company company = {.settings = &settings, .cranes = &calibrated, .crane_count = 1};
    static const int others[] = {0, AP_WEIGHED_BY_LOAD_CELL, AP_WEIGHED_BY_SCALE};
    ap_derived d;
    for (size_t i = 0; i < 3; i++) {
        ap_pick pick = weighed_pick(20000);
        pick.weighed_by = others[i];
        ap_derive(&d, &pick, &company);
        check_close(d.measured_kg, 2500, 0, "not read on the indicator");
        assert_int_equal(d.calibrated_on, AP_DATE_NONE);
    }
    ap_pick pick = weighed_pick(20000);
    pick.crane = AP_STR_LIT("K2");
    ap_derive(&d, &pick, &company);
    check_close(d.measured_kg, 2500, 0, "another crane");
    /* A weight copied from the plan is still seen as copied. */
    pick = weighed_pick(20000);
    pick.measured_weight_kg = 2200;
    ap_derive(&d, &pick, &company);
    assert_true(d.repeats_plan);
    check_close(d.ratio, (2200 * 0.97 - 200) / 2000, 1e-12, "corrected all the same");
}

/* No capacity as lifted: the planned one stands in, but not where the piece went past the end of the chart. */
static void past_the_chart_nothing_stands_in(void **state) {
    (void)state;
    ap_settings settings;
    ap_settings_defaults(&settings);
    const ap_company company = {.settings = &settings, .cranes = &calibrated, .crane_count = 1};
    ap_derived d;
    ap_pick pick = weighed_pick(20000);
    pick.cut_radius_m = NAN;
    ap_derive(&d, &pick, &company);
    check_close(d.share_cut, 2425 / (12900 * LB), 1e-12, "that of the planned radius");
    pick.cut_radius_m = 50 * FT;
    ap_derive(&d, &pick, &company);
    assert_true(isnan(d.share_cut));
    assert_true(ap_rated_is_past(&d.rated_cut));
    assert_false(d.over_chart);
    pick.cut_radius_m = 45 * FT;
    pick.set_down_radius_m = 40 * FT;
    pick.measured_weight_kg = 12000 * LB;
    ap_derive(&d, &pick, &company);
    check_close(d.share_worst, 12000 * 0.97 / 10900, 1e-12, "at the cut");
    assert_true(d.over_chart);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_chart_stands_in_for_a_capacity_not_logged),
        cmocka_unit_test(a_logged_capacity_is_never_overridden),
        cmocka_unit_test(past_the_end_there_is_no_number),
        cmocka_unit_test(the_slice_agrees_with_the_whole_chart),
        cmocka_unit_test(a_length_equal_as_written_is_the_row),
        cmocka_unit_test(the_written_steps_reach_the_look_up),
        cmocka_unit_test(a_calibration_corrects_from_its_day_on),
        cmocka_unit_test(only_what_the_indicator_read_is_corrected),
        cmocka_unit_test(past_the_chart_nothing_stands_in),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
