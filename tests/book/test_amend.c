/* Amendments: the old value stays, conflicts are decided, a log that says the old value again changes nothing. */
#include "book/amend.h"
#include "book/species.h"
#include "support/book_fixture.h"

static ap_status amend(book_fixture *it, const char *name, int column, const ap_pick *value, const char *why,
                       ap_error *err) {
    ap_book_author author = fixture_author();
    ap_error begin;
    check_ok(ap_book_begin(it->book, &begin), &begin);
    ap_status status = ap_book_amend(it->book, ap_str_from(name), column, value, ap_str_from(why), &author, err);
    if (status == AP_OK) {
        check_ok(ap_book_commit(it->book, &begin), &begin);
    } else {
        ap_book_rollback(it->book);
    }
    return status;
}

static ap_pick get(book_fixture *it, ap_arena *arena, const char *name) {
    ap_error err;
    ap_pick pick;
    check_ok(ap_book_get_pick(&pick, arena, it->book, ap_str_from(name), &err), &err);
    return pick;
}

static void test_quantity(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_arena arena;
    ap_pick value;
    ap_arena_init(&arena, 1 << 20);
    fixture_make(&it);
    ap_pick pick = fixture_pick(&it, "J1", "1", "2026-10-05", 2400);
    fixture_set_quantity(&pick, AP_F_length, 18.5, AP_UNIT_FT, 1);
    fixture_store(&it, &pick, 'a');
    ap_pick second = pick;
    fixture_set_quantity(&second, AP_F_measured_weight, 2950, AP_UNIT_LB, 0);
    fixture_store(&it, &second, 'b');
    assert_int_equal(it.stored, AP_STORED_CONFLICT);

    ap_pick_clear(&value);
    fixture_set_quantity(&value, AP_F_measured_weight, 2950, AP_UNIT_LB, 0);
    check_ok(amend(&it, "J1/1", AP_F_measured_weight, &value, "read from the scale ticket", &err), &err);
    ap_pick got = get(&it, &arena, "J1/1");
    check_close(got.measured_weight_kg, 2950 * 0.45359237, 1e-9, "NIST SP 811");
    assert_int_equal(got.written[AP_F_measured_weight].unit, AP_UNIT_LB);
    check_close(got.length_m, 18.5 * 0.3048, 1e-12, "untouched");
    assert_int_equal(got.written[AP_F_length].quantum, 1);
    assert_int_equal(
        fixture_number(&it, "SELECT count(*) FROM amendment WHERE pick_name = 'J1/1' AND field = 'measured_weight' AND "
                            "old_value = '2400 lb' AND new_value = '2950 lb' AND who = 'safety officer' AND "
                            "why = 'read from the scale ticket' AND abs(old_si - 1088.621688) < 1e-9"),
        1);
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM conflict WHERE state = 'open'"), 0);
    /* The old log again, from another file: a person has decided about its value already. */
    fixture_store(&it, &pick, 'c');
    assert_int_equal(it.stored, AP_STORED_UNCHANGED);
    fixture_store(&it, &second, 'd');
    assert_int_equal(it.stored, AP_STORED_UNCHANGED);
    fixture_set_quantity(&second, AP_F_measured_weight, 3100, AP_UNIT_LB, 0);
    fixture_store(&it, &second, 'e');
    assert_int_equal(it.stored, AP_STORED_CONFLICT);
    /* Kept as it stands, with a reason. */
    ap_book_author author = fixture_author();
    check_ok(ap_book_begin(it.book, &err), &err);
    check_refused(ap_book_conflict_decide(it.book, 2, AP_STR_LIT(" "), &author, &err), AP_E_USAGE, &err, "--why");
    check_ok(ap_book_conflict_decide(it.book, 2, AP_STR_LIT("a typing error"), &author, &err), &err);
    check_refused(ap_book_conflict_decide(it.book, 2, AP_STR_LIT("again"), &author, &err), AP_E_NOT_FOUND, &err,
                  "no open conflict 2");
    check_ok(ap_book_commit(it.book, &err), &err);
    ap_arena_release(&arena);
    fixture_remove(&it);
}

/* Every kind of column but the name can be amended, blanked and set again. */
static void test_every_column(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_arena arena;
    ap_arena_init(&arena, 8 << 20);
    fixture_make(&it);
    ap_pick pick = fixture_pick(&it, "J1", "1", "2026-10-05", 2400);
    fixture_set_quantity(&pick, AP_F_planned_weight, 2000, AP_UNIT_LB, 0);
    fixture_store(&it, &pick, 'a');
    for (int column = 0; column < AP_COLUMN_COUNT; column++) {
        ap_pick value;
        ap_pick blank;
        const ap_field *field = ap_field_get(column);
        if (column == AP_F_job || column == AP_F_pick || column == AP_F_species) {
            continue;
        }
        ap_pick_clear(&value);
        ap_pick_clear(&blank);
        void *at = ap_pick_at(&value, column);
        switch (field->kind) {
        case AP_KIND_TEXT:
            *(ap_str *)at = AP_STR_LIT("text");
            break;
        case AP_KIND_QTY:
            fixture_set_quantity(&value, column, 0.25, AP_UNIT_M, 2);
            break;
        case AP_KIND_DATE:
            *(ap_date *)at = fixture_date("2026-09-30");
            break;
        default:
            *(int32_t *)at = 1;
        }
        check_ok(amend(&it, "J1/1", column, &value, "why", &err), &err);
        ap_pick got = get(&it, &arena, "J1/1");
        if (ap_pick_field_is_blank(&got, column)) {
            fail_msg("%s was not set", field->name);
        }
        check_refused(amend(&it, "J1/1", column, &value, "why", &err), AP_E_USAGE, &err, "stands so already");
        if (column == AP_F_date) {
            check_refused(amend(&it, "J1/1", column, &blank, "why", &err), AP_E_USAGE, &err, "must be recorded");
            continue;
        }
        check_ok(amend(&it, "J1/1", column, &blank, "why", &err), &err);
        got = get(&it, &arena, "J1/1");
        if (!ap_pick_field_is_blank(&got, column)) {
            fail_msg("%s was not made blank", field->name);
        }
        if (column == AP_F_planned_weight) {
            check_ok(amend(&it, "J1/1", column, &value, "why", &err), &err); /* one weight must be left */
        }
    }
    ap_arena_release(&arena);
    fixture_remove(&it);
}

static void test_species_and_refusals(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_arena arena;
    ap_pick value;
    const ap_species *red = NULL;
    ap_arena_init(&arena, 1 << 20);
    fixture_make(&it);
    ap_pick pick = fixture_pick(&it, "J1", "1", "2026-10-05", 2400);
    fixture_store(&it, &pick, 'a');
    check_ok(ap_book_species_find(&red, it.book, AP_STR_LIT("red maple"), &err), &err);
    ap_pick_clear(&value);
    value.species = AP_STR_LIT("red maple");
    value.species_id = red->id;
    check_ok(amend(&it, "J1/1", AP_F_species, &value, "leaves looked at again", &err), &err);
    ap_pick got = get(&it, &arena, "J1/1");
    check_str(got.species_common, "red maple");
    check_str(got.species, "red maple");
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM amendment WHERE old_value = 'silver maple'"), 1);

    value.job = AP_STR_LIT("J2");
    check_refused(amend(&it, "J1/1", AP_F_job, &value, "why", &err), AP_E_USAGE, &err, "cannot be amended");
    check_refused(amend(&it, "J1/1", AP_F_notes, &value, " ", &err), AP_E_USAGE, &err, "needs a reason");
    check_refused(amend(&it, "J1/1", AP_F_measured_weight, &value, "why", &err), AP_E_USAGE, &err, "no other weight");
    check_refused(amend(&it, "J9/1", AP_F_notes, &value, "why", &err), AP_E_NOT_FOUND, &err, "J9/1");
    value.brush_share = 3;
    check_refused(amend(&it, "J1/1", AP_F_brush_share, &value, "why", &err), AP_E_DOMAIN, &err,
                  "pick_brush_share_is_a_share");
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM amendment"), 1);
    ap_arena_release(&arena);
    fixture_remove(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_quantity),
        cmocka_unit_test(test_every_column),
        cmocka_unit_test(test_species_and_refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
