/* Values given by a person: what the book wrote is read back as it was, and what import refuses is refused. */
#include "book/amend.h"
#include "book/pick_text.h"
#include "intake/amend_values.h"
#include "support/book_fixture.h"

typedef struct kit {
    book_fixture book;
    ap_arena arena;
    ap_settings settings;
    ap_pick stored;
    int doubts;
} kit;

static void count_doubt(void *context, int column, ap_str field, ap_str text, const char *says) {
    (void)column;
    (void)field;
    (void)text;
    assert_non_null(says);
    ((kit *)context)->doubts++;
}

static int set_up(void **state) {
    kit *it = calloc(1, sizeof *it);
    ap_error err;
    assert_non_null(it);
    fixture_make(&it->book);
    ap_arena_init(&it->arena, 64 << 20);
    ap_settings_defaults(&it->settings);
    ap_pick pick = fixture_pick(&it->book, "J231", "17", "2026-10-01", 5000);
    fixture_set_quantity(&pick, AP_F_length, 18, AP_UNIT_FT, 0);
    fixture_store(&it->book, &pick, '1');
    check_ok(ap_book_get_pick(&it->stored, &it->arena, it->book.book, AP_STR_LIT("J231/17"), &err), &err);
    *state = it;
    return 0;
}

static int tear_down(void **state) {
    kit *it = *state;
    ap_arena_release(&it->arena);
    fixture_remove(&it->book);
    free(it);
    return 0;
}

static ap_status give(kit *it, ap_pick *changed, const char *text, ap_error *err) {
    ap_amend_value value;
    ap_status status = ap_amend_parse(&value, &it->arena, it->book.book, ap_str_from(text), err);
    return status == AP_OK ? ap_amend_read(changed, &it->arena, it->book.book, &it->settings, &it->stored, &value, 1,
                                           fixture_date("2026-10-05"), count_doubt, it, err)
                           : status;
}

/* The text the book keeps of an offered value is what `decide take` reads: no unit may be lost on the way. */
static void test_written_values_are_read_back(void **state) {
    kit *it = *state;
    for (int unit = AP_UNIT_KG; unit < AP_UNIT_COUNT; unit++) {
        const ap_dim dim = ap_unit_dim((ap_unit)unit);
        const int column = dim == AP_DIM_LOAD     ? AP_F_measured_weight
                           : dim == AP_DIM_LENGTH ? AP_F_length
                           : dim == AP_DIM_ANGLE  ? AP_F_lean
                           : dim == AP_DIM_SHARE  ? AP_F_brush_share
                                                  : -1;
        if (column < 0 || unit == AP_UNIT_TON) {
            continue; /* a bare ton is never stored */
        }
        static const double si[AP_DIM_COUNT] = {
            [AP_DIM_LENGTH] = 5.5, [AP_DIM_LOAD] = 2000, [AP_DIM_ANGLE] = 25, [AP_DIM_SHARE] = 0.25};
        ap_pick offered = it->stored;
        ap_pick changed;
        ap_buf text;
        ap_error err;
        ap_buf_init(&text, 256);
        fixture_set_quantity(&offered, column, ap_unit_from_si((ap_unit)unit, si[dim]), (ap_unit)unit, 3);
        ap_pick_value_write(&text, &offered, column);
        const ap_amend_value value = {.column = column, .text = ap_buf_str(&text)};
        check_ok(ap_amend_read(&changed, &it->arena, it->book.book, &it->settings, &it->stored, &value, 1,
                               fixture_date("2026-10-05"), count_doubt, it, &err),
                 &err);
        const double quantum = ap_written_quantum_si(offered.written[column]);
        check_close(*(double *)ap_pick_at(&changed, column), si[dim], quantum / 2 * (1 + 1e-9),
                    "half the last digit written, which is what the text can hold");
        assert_int_equal(changed.written[column].quantum, offered.written[column].quantum);
        ap_buf_release(&text);
    }
}

static void test_a_bare_number_has_the_old_unit(void **state) {
    kit *it = *state;
    ap_pick changed;
    ap_error err;
    check_ok(give(it, &changed, "length=20", &err), &err);
    check_close(changed.length_m, 20 * 0.3048, 1e-12, "NIST SP 811 B.8: 1 ft = 0.3048 m, exact");
    check_ok(give(it, &changed, "measured_weight_kg=2300", &err), &err);
    check_close(changed.measured_weight_kg, 2300, 1e-9, "kilograms are kept as they are");
    check_ok(give(it, &changed, "lean=30", &err), &err);
    check_close(changed.lean_deg, 30, 1e-12, "degrees are kept as they are");
    /* Never recorded before: there is no old unit. */
    check_refused(give(it, &changed, "planned_weight=4000", &err), AP_E_INPUT, &err, "no unit");
    check_refused(give(it, &changed, "measured_weight=2 tons", &err), AP_E_INPUT, &err, "ton");
}

static void test_other_kinds(void **state) {
    kit *it = *state;
    ap_pick changed;
    ap_error err;
    check_ok(give(it, &changed, "movement=butt_up+swing", &err), &err);
    assert_int_equal(changed.movement, AP_MOVE_BIT(AP_MOVEMENT_BUTT_UP) | AP_MOVE_BIT(AP_MOVEMENT_SWING));
    check_ok(give(it, &changed, "species=red maple", &err), &err);
    check_str(changed.species_common, "red maple");
    assert_true(changed.species_id > 0 && changed.species_id != it->stored.species_id);
    check_ok(give(it, &changed, "near_miss=Y", &err), &err);
    assert_int_equal(changed.near_miss, AP_YESNO_YES);
    check_ok(give(it, &changed, "time=2:05 pm", &err), &err);
    assert_int_equal(changed.time, 14 * 60 + 5);
    check_ok(give(it, &changed, "leg_3_kind=eye", &err), &err);
    assert_int_equal(changed.leg_count, 3);
    check_ok(give(it, &changed, "notes= a = b ", &err), &err);
    check_str(changed.notes, "a = b");
    check_ok(give(it, &changed, "length=", &err), &err);
    assert_true(isnan(changed.length_m));
    assert_int_equal(changed.written[AP_F_length].unit, 0);
}

static void test_refusals(void **state) {
    kit *it = *state;
    ap_pick changed;
    ap_error err;
    check_refused(give(it, &changed, "length", &err), AP_E_USAGE, &err, "FIELD=VALUE");
    check_refused(give(it, &changed, "lenght=3 ft", &err), AP_E_USAGE, &err, "did you mean 'length'");
    check_refused(give(it, &changed, "cut=stp", &err), AP_E_INPUT, &err, "step if that is meant");
    check_refused(give(it, &changed, "species=mapel", &err), AP_E_INPUT, &err, "not known");
    check_refused(give(it, &changed, "length=-3 ft", &err), AP_E_INPUT, &err, "below");
    check_refused(give(it, &changed, "date=2026-10-06", &err), AP_E_INPUT, &err, "future");
    check_refused(give(it, &changed, "date=05/06/2026", &err), AP_E_INPUT, &err, "date");
    check_refused(give(it, &changed, "measured_weight=", &err), AP_E_INPUT, &err, "blank");
    check_refused(give(it, &changed, "crew=A\nB", &err), AP_E_INPUT, &err, "control character");
    const ap_amend_value twice[2] = {{.column = AP_F_notes, .text = AP_STR_LIT("a")},
                                     {.column = AP_F_notes, .text = AP_STR_LIT("b")}};
    check_refused(ap_amend_read(&changed, &it->arena, it->book.book, &it->settings, &it->stored, twice, 2,
                                fixture_date("2026-10-05"), count_doubt, it, &err),
                  AP_E_USAGE, &err, "twice");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_written_values_are_read_back, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_a_bare_number_has_the_old_unit, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_other_kinds, set_up, tear_down),
        cmocka_unit_test_setup_teardown(test_refusals, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
