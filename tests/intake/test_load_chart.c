#include "support/check.h"

#include "intake/load_chart.h"
#include "mech/capacity.h"

/* Worked by hand: 1 ft = 0.3048 m, 1 lb = 0.453 592 37 kg (NIST SP 811 B.8). */
static ap_status read(ap_load_chart *out, ap_arena *arena, const char *text, ap_error *err) {
    const ap_load_chart_options options = {AP_UNIT_NONE, AP_UNIT_NONE, AP_UNIT_NONE};
    return ap_load_chart_read(out, arena, ap_str_from(text), "chart.csv", &options, err);
}

static void both_forms_give_the_same_rows(void **state) {
    (void)state;
    static const char *const forms[] = {
        "boom_ft,radius_ft,capacity_lb\n95,40,12900\n60,40,13500\n60,35,16000\n95,35,15400\n95,45,10900\n",
        "Rated capacity (lb);Radius (ft);Boom "
        "(ft);remark\n12,900;40;95;\n13,500;40;60;\n16,000;35;60;\n15,400;35;95;x\n"
        "10,900;45;95;\n",
        "# a remark\n\nradius ft / lb,60,95 ft\r\n35,16000,15400\r\n40,13500,12900\r\n45,--,10900\r\n",
        "Radius,60 ft,95 ft\n35 ft,16000 lb,15400 lb\n40 ft,\"13,500 lb\",12900#\n45 ft,,10900 lb\n",
    };
    ap_arena arena;
    ap_arena_init(&arena, 1 << 20);
    for (size_t f = 0; f < 4; f++) {
        ap_load_chart chart;
        ap_error err;
        check_ok(read(&chart, &arena, forms[f], &err), &err);
        assert_int_equal(chart.count, 5);
        assert_int_equal(chart.booms, 2);
        assert_int_equal(chart.warning_count, 0);
        check_close(chart.rows[0].boom_m, 60 * 0.3048, 1e-12, "60 ft");
        check_close(chart.rows[0].radius_m, 35 * 0.3048, 1e-12, "35 ft");
        check_close(chart.rows[4].radius_m, 45 * 0.3048, 1e-12, "45 ft");
        check_close(chart.rows[4].capacity_kg, 10900 * 0.45359237, 1e-9, "10,900 lb");
    }
    ap_arena_release(&arena);
}

static void a_chart_may_name_no_boom(void **state) {
    (void)state;
    ap_arena arena;
    ap_arena_init(&arena, 1 << 20);
    ap_load_chart chart;
    ap_error err;
    ap_capacity found;
    check_ok(read(&chart, &arena, "radius_m,capacity_kg\n10,6000\n12,5000\n", &err), &err);
    assert_true(isnan(chart.rows[0].boom_m));
    check_ok(
        ap_capacity_find(&found, chart.rows, chart.count, &(ap_capacity_at){.boom_m = NAN, .radius_m = 10.5}, &err),
        &err);
    check_close(found.capacity_kg, 5000, 0, "the next longer radius, never interpolated");
    ap_arena_release(&arena);
}

static void what_is_no_chart_is_refused_with_its_place(void **state) {
    (void)state;
    static const struct {
        const char *text;
        const char *says;
    } cases[] = {
        {"", "holds no capacity"},
        {"boom_ft,radius_ft,capacity_lb\n", "holds no capacity"},
        {"a,b,c\n1,2,3\n", "line 1, cell 1, 'a': this is no load chart"},
        {"boom_ft,radius_ft,capacity_lb\n95,40,about 12900\n", "line 2, cell 3, 'about 12900'"},
        {"boom_ft,radius_ft,capacity_lb\n95,40,nan\n", "line 2, cell 3"},
        {"boom_ft,radius_ft,capacity_lb\n95,40,inf\n", "line 2, cell 3"},
        {"boom_ft,radius_ft,capacity_lb\n95,40,-5\n", "no capacity (above 0"},
        {"boom_ft,radius_ft,capacity_lb\n95,40,0\n", "no capacity (above 0"},
        {"boom_ft,radius_ft,capacity_lb\n95,0,5000\n", "line 2, cell 2, '0': no length of a crane"},
        {"boom_ft,radius_ft,capacity_lb\n95,4000,5000\n", "no length of a crane"},
        {"boom_ft,radius_ft,capacity_lb\n95,40,99999999999\n", "no capacity"},
        {"boom_ft,radius_ft,capacity_lb\n95,40\n", "the row ends before its capacity"},
        {"boom_ft,radius_ft,capacity_lb\n95,40,\n", "line 2, cell 3"},
        {"boom,radius,capacity\n95,40,5000\n", "has no unit"},
        {"boom_ft,radius_ft,capacity_t\n95,40,5\n", "a ton may be"},
        {"boom_ft,radius_ft,capacity_lb\n95,40,5000\n95,40,5000\n", "lines 2 and 3 give a capacity for the same"},
        {"boom_ft,radius_ft,capacity_lb\n95,40,5000\n95,12.192 m,4900\n", "lines 2 and 3"},
        {"boom_ft,radius_ft,capacity_lb\n95,40,5000\n,45,4000\n", "line 3 has no boom length and others have"},
        {"boom_ft,radius_ft,capacity_lb\n95,40,1290\n95,45,10900\n", "line 3, cell 3: the capacity is 8.45 times"},
        {"radius_ft,60,95\n40,5000 lb,4000 lb,3000 lb\n", "line 2, cell 4, '3000 lb': no boom length stands over it"},
        {"radius_ft,60,60\n40,5000 lb,4000 lb\n", "stands over two columns"},
        {"radius_ft,,\n40,5000 lb,4000 lb\n", "no boom length stands beside it"},
        {"radius_ft,60,big\n40,5000 lb,4000 lb\n", "line 1, cell 3, 'big'"},
        {"%PDF-1.4\n", "save the load chart as CSV"},
    };
    ap_arena arena;
    ap_arena_init(&arena, 1 << 20);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        ap_load_chart chart;
        ap_error err;
        check_refused(read(&chart, &arena, cases[i].text, &err), AP_E_INPUT, &err, cases[i].says);
    }
    ap_arena_release(&arena);
}

static void doubts_are_told_and_kept(void **state) {
    (void)state;
    ap_arena arena;
    ap_arena_init(&arena, 1 << 20);
    ap_load_chart chart;
    ap_error err;
    check_ok(read(&chart, &arena, "boom_m,radius_m,capacity_kg\n28,10,6000\n28,12,6300\n28,29,1000\n", &err), &err);
    assert_int_equal(chart.warning_count, 2);
    check_str(chart.warnings[0],
              "line 3, cell 3: the capacity rises by 5.0 % over the shorter radius on line 2; look at "
              "the chart in the cab");
    check_str(chart.warnings[1], "line 4, cell 3: the radius is longer than the boom");
    ap_arena_release(&arena);
}

/* One row too many is refused, not cut off. */
static void a_huge_chart_is_bounded(void **state) {
    (void)state;
    ap_buf text;
    ap_buf_init(&text, 1 << 20);
    ap_buf_append_cstr(&text, "radius_m,capacity_kg\n");
    for (int i = 1; i <= AP_LOAD_CHART_ROWS_MAX + 1; i++) {
        ap_buf_appendf(&text, "%.2f,%d\n", 1 + 0.01 * i, 20000 - i);
    }
    ap_arena arena;
    ap_arena_init(&arena, 4 << 20);
    ap_load_chart chart;
    ap_error err;
    check_refused(read(&chart, &arena, text.ptr, &err), AP_E_LIMIT, &err, "more than 5000 capacities");
    ap_buf_clear(&text);
    ap_buf_append_cstr(&text, "radius_ft");
    for (int i = 1; i <= 300; i++) {
        ap_buf_appendf(&text, ",%d", i);
    }
    check_refused(read(&chart, &arena, text.ptr, &err), AP_E_LIMIT, &err, "more than 200 columns");
    ap_arena_release(&arena);
    ap_buf_release(&text);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_forms_give_the_same_rows),
        cmocka_unit_test(a_chart_may_name_no_boom),
        cmocka_unit_test(what_is_no_chart_is_refused_with_its_place),
        cmocka_unit_test(doubts_are_told_and_kept),
        cmocka_unit_test(a_huge_chart_is_bounded),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
