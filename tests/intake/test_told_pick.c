/* A pick that is in no log, from answers (T1 to T4). Expected values are unit definitions (1 ft = 0.3048 m, 1 lb =
 * 0.45359237 kg: NIST SP 811). */
#include "intake/told_pick.h"
#include "support/book_fixture.h"

typedef struct fixture {
    book_fixture book;
    ap_arena arena;
    ap_settings settings;
    ap_error err;
    ap_told_pick told;
} fixture;

static int setup(void **state) {
    fixture *it = calloc(1, sizeof *it);
    fixture_make(&it->book);
    ap_arena_init(&it->arena, 16u << 20);
    ap_settings_defaults(&it->settings);
    *state = it;
    return 0;
}

static int teardown(void **state) {
    fixture *it = *state;
    ap_arena_release(&it->arena);
    fixture_remove(&it->book);
    free(it);
    return 0;
}

static ap_status read_answers(fixture *it, const char *text) {
    return ap_told_pick_read(&it->told, &it->arena, it->book.book, &it->settings, ap_str_from(text),
                             fixture_date("2026-11-05"), ap_told_no_doubt, NULL, &it->err);
}

static void reads_values_ranges_and_what_is_not_known(void **state) {
    fixture *it = *state;
    check_ok(read_answers(it, "# from memory\n"
                              "species: silver maple\n"
                              "\n"
                              "length: between 10 and 14 ft\n"
                              "butt_diameter: 12 in to 1.5 ft\n"
                              "lean: 40 to 50 deg\n"
                              "planned_weight: not known\n"
                              "measured_weight: ?\n"
                              "tip_diameter:\n"
                              "leg1_length: 3 m\n"
                              "toward: climber\n"),
             &it->err);
    const ap_pick *pick = &it->told.pick;
    check_close(pick->length_m, 12 * 0.3048, 1e-12, "NIST SP 811: middle of 10 and 14 ft");
    check_close(pick->butt_diameter_m, 1.25 * 0.3048, 1e-12, "NIST SP 811: middle of 1 and 1.5 ft");
    check_close(pick->lean_deg, 45, 1e-12, "middle of 40 and 50");
    check_close(pick->legs[0].length_m, 3, 1e-12, "as written");
    assert_true(isnan(pick->planned_weight_kg));
    assert_true(isnan(pick->measured_weight_kg));
    assert_true(isnan(pick->tip_diameter_m));
    assert_int_equal(pick->toward, AP_TOWARD_CLIMBER);
    assert_int_equal(pick->date, AP_DATE_NONE);
    check_str(pick->species_common, "silver maple");
    check_str(pick->name, "a pick in no log");
    assert_null(pick->job.ptr);
    assert_int_equal(it->told.range_count, 3);
    assert_int_equal(it->told.ranges[0].column, AP_F_length);
    check_close(it->told.ranges[0].low, 10 * 0.3048, 1e-12, "NIST SP 811");
    check_close(it->told.ranges[0].high, 14 * 0.3048, 1e-12, "NIST SP 811");
}

static void needs_neither_species_nor_weight_and_takes_a_name(void **state) {
    fixture *it = *state;
    check_ok(read_answers(it, "\xEF\xBB\xBFjob: J240\r\npick: 3\r\nlength: 18 ft\r\ndate: 2026-10-20\r\n"), &it->err);
    check_str(it->told.pick.name, "J240/3");
    assert_int_equal(it->told.pick.date, fixture_date("2026-10-20"));
    assert_int_equal(it->told.pick.species_id, 0);
    assert_null(it->told.pick.species_common.ptr);
    check_ok(read_answers(it, "planned_weight: 2000 lb"), &it->err);
    check_close(it->told.pick.planned_weight_kg, 2000 * 0.45359237, 1e-9, "NIST SP 811");
}

static void refuses_what_it_cannot_read(void **state) {
    fixture *it = *state;
    static const struct {
        const char *text, *says;
    } cases[] = {
        {"", "no question is answered"},
        {"length: not known\n", "no question is answered"},
        {"species: silver maple\nhello\n", "line 2: 'hello' is not FIELD: ANSWER"},
        {"lenght: 4 ft\n", "line 1: there is no field 'lenght'"},
        {"length: eighteen\n", "length"},
        {"length: 14 to 10 ft\n", "the second figure of a range is the larger one"},
        {"length: 4\n", "length"},
        {"length: 4 ft\nlength: 5 ft\n", "given twice"},
        {"species: cedar\n", "cedar"},
        {"movement: jumped\n", "movement"},
        {"tip_diameter: 20 in\nbutt_diameter: 10 in\n", "tip"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        ap_status status = read_answers(it, cases[i].text);
        if (status == AP_OK) {
            fail_msg("read: %s", cases[i].text);
        }
        check_refused(status, status, &it->err, cases[i].says);
        assert_true(status == AP_E_INPUT || status == AP_E_AMBIGUOUS || status == AP_E_USAGE);
    }
}

/* Every question of --ask is about a field that there is. */
static void asks_for_fields_there_are(void **state) {
    fixture *it = *state;
    (void)it;
    size_t count = 0;
    for (const ap_told_question *question = ap_told_questions; question->field; question++) {
        if (ap_field_find(ap_str_from(question->field)) < 0) {
            fail_msg("no field '%s'", question->field);
        }
        count++;
    }
    assert_true(count > 20);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(reads_values_ranges_and_what_is_not_known, setup, teardown),
        cmocka_unit_test_setup_teardown(needs_neither_species_nor_weight_and_takes_a_name, setup, teardown),
        cmocka_unit_test_setup_teardown(refuses_what_it_cannot_read, setup, teardown),
        cmocka_unit_test_setup_teardown(asks_for_fields_there_are, setup, teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
