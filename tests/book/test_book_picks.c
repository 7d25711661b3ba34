/* Picks in and out: every field, order, names, unchanged and conflict. */
#include "book/integrity.h"
#include "support/book_fixture.h"

/* Every column gets a value of its own. */
static ap_pick full_pick(book_fixture *it) {
    ap_pick pick = fixture_pick(it, "J231", "17", "2026-10-05", 2950);
    static const char texts[] = "abcdefghijklmnopqrstuvwxyz";
    for (int column = 0; column < AP_COLUMN_COUNT; column++) {
        const ap_field *field = ap_field_get(column);
        void *at = ap_pick_at(&pick, column);
        if (!ap_pick_field_is_blank(&pick, column)) {
            continue;
        }
        switch (field->kind) {
        case AP_KIND_TEXT:
            *(ap_str *)at = (ap_str){texts + column % 20, 3 + (size_t)column % 4};
            break;
        case AP_KIND_QTY:
            *(double *)at = field->dim == AP_DIM_SHARE ? 0.125 : 1.0 + column / 8.0;
            pick.written[column] =
                (ap_written){(uint8_t)(1 + column % (AP_UNIT_COUNT - 1)), (uint8_t)(column % 2 ? 3 : 33)};
            break;
        case AP_KIND_WORD:
            *(int32_t *)at = 1 + column % ap_word_count(field->vocabulary);
            break;
        case AP_KIND_MOVES:
            *(int32_t *)at = AP_MOVE_BIT(AP_MOVEMENT_BUTT_UP) | AP_MOVE_BIT(AP_MOVEMENT_SWING);
            break;
        case AP_KIND_COUNT:
            *(int32_t *)at = column % 3;
            break;
        case AP_KIND_YESNO:
            *(int32_t *)at = 1 + column % 2;
            break;
        case AP_KIND_DATE:
            break;
        case AP_KIND_TIME:
            *(ap_time *)at = 9 * 60 + 5;
            break;
        }
    }
    ap_pick_count_legs(&pick);
    return pick;
}

static void check_same_fields(const ap_pick *got, const ap_pick *want) {
    for (int column = 0; column < AP_COLUMN_COUNT; column++) {
        const ap_field *field = ap_field_get(column);
        const void *a = ap_pick_at_const(got, column);
        const void *b = ap_pick_at_const(want, column);
        bool same = ap_pick_field_is_blank(got, column) == ap_pick_field_is_blank(want, column);
        if (same && !ap_pick_field_is_blank(want, column)) {
            if (field->kind == AP_KIND_TEXT) {
                same = ap_str_equal(*(const ap_str *)a, *(const ap_str *)b);
            } else if (field->kind == AP_KIND_QTY) {
                same = memcmp(a, b, sizeof(double)) == 0 && got->written[column].unit == want->written[column].unit &&
                       got->written[column].quantum == want->written[column].quantum;
            } else {
                same = *(const int32_t *)a == *(const int32_t *)b;
            }
        }
        if (!same) {
            fail_msg("%s is not what was stored", field->name);
        }
    }
    assert_int_equal(got->leg_count, want->leg_count);
    assert_int_equal(got->species_id, want->species_id);
}

static ap_pick get(book_fixture *it, ap_arena *arena, const char *name) {
    ap_error err;
    ap_pick pick;
    ap_error_clear(&err);
    check_ok(ap_book_get_pick(&pick, arena, it->book, ap_str_from(name), &err), &err);
    return pick;
}

static void test_round_trip(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_arena_init(&arena, 1 << 20);
    fixture_make(&it);
    ap_pick pick = full_pick(&it);
    fixture_store(&it, &pick, 'a');
    ap_pick got = get(&it, &arena, "J231/17");
    check_same_fields(&got, &pick);
    check_str(got.name, "J231/17");
    check_str(got.species_common, "silver maple");
    check_str(got.source_file, "log-a.csv");
    assert_int_equal(got.source_line, 2);
    assert_int_equal(got.import_id, it.import_id);
    /* The least a pick may hold comes back as blank as it went in, also behind a full one. */
    ap_pick least = fixture_pick(&it, "J231", "18", "2026-10-05", 100);
    fixture_import_begin(&it, "b.csv", 'b');
    fixture_offer(&it, &least, NULL);
    pick.pick = AP_STR_LIT("19");
    fixture_offer(&it, &pick, NULL);
    least.pick = AP_STR_LIT("20");
    fixture_offer(&it, &least, NULL);
    fixture_import_end(&it);
    got = get(&it, &arena, "J231/20");
    check_same_fields(&got, &least);
    got = get(&it, &arena, "J231/19");
    check_same_fields(&got, &pick);
    ap_arena_release(&arena);
    fixture_remove(&it);
}

/* The view shows every word of every vocabulary as fields.def writes it, and refuses none of them. */
static void test_view_shows_words(void **state) {
    (void)state;
    book_fixture it;
    fixture_make(&it);
    for (int column = 0; column < AP_COLUMN_COUNT; column++) {
        const ap_field *field = ap_field_get(column);
        if (field->kind != AP_KIND_WORD && field->kind != AP_KIND_MOVES) {
            continue;
        }
        fixture_import_begin(&it, "words.csv", 'c');
        int count = ap_word_count(field->vocabulary);
        for (int value = 1; value <= count; value++) {
            char name[32];
            snprintf(name, sizeof name, "%d-%d", column, value);
            ap_pick pick = fixture_pick(&it, "W", name, "2026-10-05", 100);
            *(int32_t *)ap_pick_at(&pick, column) = field->kind == AP_KIND_MOVES ? AP_MOVE_BIT(value) : value;
            ap_pick_count_legs(&pick);
            fixture_offer(&it, &pick, NULL);
        }
        fixture_import_end(&it);
        for (int value = 1; value <= count; value++) {
            char sql[200];
            char leg[24] = "";
            if (field->leg > 0) {
                snprintf(leg, sizeof leg, "leg_%d_", field->leg);
            }
            snprintf(sql, sizeof sql, "SELECT count(*) FROM picks WHERE name = 'W/%d-%d' AND %s%s = '%s'", column,
                     value, leg, field->member, ap_word_get(field->vocabulary, value));
            assert_int_equal(fixture_number(&it, sql), 1);
        }
    }
    fixture_remove(&it);
}

typedef struct seen {
    char names[400];
} seen;

static ap_status note(void *context, const ap_pick *pick, ap_error *err) {
    seen *it = context;
    size_t at = strlen(it->names);
    (void)err;
    snprintf(it->names + at, sizeof it->names - at, "%s%.*s", at > 0 ? " " : "", AP_STR_ARG(pick->name));
    return AP_OK;
}

static void check_order(book_fixture *it, const ap_pick_filter *filter, const char *want) {
    ap_error err;
    seen got = {""};
    ap_error_clear(&err);
    check_ok(ap_book_each_pick(it->book, filter, note, &got, &err), &err);
    assert_string_equal(got.names, want);
    got.names[0] = '\0';
    check_ok(ap_book_each_pick_narrow(it->book, filter, note, &got, &err), &err);
    assert_string_equal(got.names, want);
}

static void offer_at(book_fixture *it, const char *job, const char *number, const char *date, int minutes,
                     const char *part) {
    ap_pick pick = fixture_pick(it, job, number, date, 1000);
    pick.time = minutes;
    fixture_offer(it, &pick, part);
}

static void test_order(void **state) {
    (void)state;
    book_fixture it;
    fixture_make(&it);
    fixture_import_begin(&it, "a.csv", 'a');
    offer_at(&it, "A", "10a", "2026-10-06", AP_TIME_NONE, NULL);
    offer_at(&it, "A", "10", "2026-10-06", AP_TIME_NONE, NULL);
    offer_at(&it, "A", "9", "2026-10-06", 600, NULL); /* one time among blanks does not count */
    offer_at(&it, "A", "3", "2026-10-05", 540, NULL); /* all timed: the clock, not the number */
    offer_at(&it, "A", "2", "2026-10-05", 550, NULL);
    offer_at(&it, "A", "1", "2026-10-05", 500, NULL);
    offer_at(&it, "B", "1", "2026-10-07", AP_TIME_NONE, "2026-10-07");
    fixture_import_end(&it);
    const char *all = "A/1 A/3 A/2 A/9 A/10 A/10a B/2026-10-07/1";
    check_order(&it, NULL, all);
    ap_pick_filter any = {.since = AP_DATE_NONE, .until = AP_DATE_NONE, .job = AP_STR_NONE, .import_id = 0};
    check_order(&it, &any, all);
    any.until = fixture_date("2026-10-06");
    any.since = fixture_date("2026-10-06");
    check_order(&it, &any, "A/9 A/10 A/10a");
    any.since = AP_DATE_NONE;
    any.job = AP_STR_LIT("a"); /* a job's name is the same in small letters */
    check_order(&it, &any, "A/1 A/3 A/2 A/9 A/10 A/10a");
    any.import_id = it.import_id + 1;
    check_order(&it, &any, "");
    fixture_remove(&it);
}

static void get_refused(book_fixture *it, const char *name, ap_status code, const char *says) {
    ap_error err;
    ap_pick pick;
    ap_arena arena;
    ap_error_clear(&err);
    ap_arena_init(&arena, 1 << 20);
    check_refused(ap_book_get_pick(&pick, &arena, it->book, ap_str_from(name), &err), code, &err, says);
    ap_arena_release(&arena);
}

typedef struct beside {
    ap_book *book;
    ap_pick *picks; /* by the wide reader, texts in `arena` */
    size_t count;
    size_t at;
    ap_arena arena;
} beside;

static ap_status keep_wide(void *context, const ap_pick *pick, ap_error *err) {
    beside *it = context;
    (void)err;
    ap_pick *to = &it->picks[it->count++];
    *to = *pick;
    to->name = ap_arena_str(&it->arena, pick->name);
    to->species_common = ap_arena_str(&it->arena, pick->species_common);
    for (int column = 0; column < AP_COLUMN_COUNT; column++) {
        if (ap_field_get(column)->kind == AP_KIND_TEXT) {
            ap_str *text = ap_pick_at(to, column);
            *text = ap_arena_str(&it->arena, *text);
        }
    }
    return AP_OK;
}

static bool is_narrow(const ap_field *field) {
    static const char *const names[] = {"site",
                                        "time",
                                        "climber",
                                        "operator",
                                        "species",
                                        "balance_point",
                                        "lean",
                                        "planned_radius",
                                        "planned_cut",
                                        "cut_radius",
                                        "set_down_radius",
                                        "side_offset",
                                        "kerf",
                                        "boom_length",
                                        "preload",
                                        "peak_load",
                                        "fibre_left",
                                        "movement",
                                        "climber_at",
                                        "climber_distance",
                                        "movement_distance",
                                        "climber_side",
                                        "re_rigs",
                                        "tag_line",
                                        "wind"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        if (strcmp(names[i], field->name) == 0) {
            return false;
        }
    }
    return field->leg == 0;
}

static ap_status compare_narrow(void *context, const ap_pick *pick, ap_error *err) {
    beside *it = context;
    (void)err;
    assert_true(it->at < it->count);
    ap_pick want = it->picks[it->at++];
    ap_pick blank;
    ap_pick_clear(&blank);
    for (int column = 0; column < AP_COLUMN_COUNT; column++) {
        const ap_field *field = ap_field_get(column);
        if (!is_narrow(field)) {
            size_t bytes = field->kind == AP_KIND_TEXT ? sizeof(ap_str) : field->kind == AP_KIND_QTY ? 8 : 4;
            memcpy(ap_pick_at(&want, column), ap_pick_at(&blank, column), bytes);
        }
    }
    memset(want.written, 0, sizeof want.written);
    want.leg_count = 0;
    check_same_fields(pick, &want);
    assert_true(ap_str_equal(pick->name, want.name));
    assert_true(ap_str_equal(pick->species_common, want.species_common));
    assert_int_equal(pick->id, want.id);
    return AP_OK;
}

/* The narrow reader gives what the wide one gives, over many windows of rows that stand against the order of picks. */
static void test_narrow_reads_the_same(void **state) {
    (void)state;
    enum { PICKS = 1500 };
    book_fixture it;
    ap_error err;
    fixture_make(&it);
    ap_pick pick = full_pick(&it);
    fixture_store(&it, &pick, 'a');
    fixture_import_begin(&it, "b.csv", 'b');
    for (int i = 0; i < PICKS; i++) {
        char job[32], number[32], tree[32];
        snprintf(job, sizeof job, "J%d", i * 7 % 150);
        snprintf(number, sizeof number, "%d", PICKS - i);
        snprintf(tree, sizeof tree, "T%d", i % 3);
        pick = fixture_pick(&it, job, number, i % 2 ? "2026-10-06" : "2026-10-04", 1000 + i);
        pick.tree = i % 5 ? ap_str_from(tree) : AP_STR_NONE;
        pick.crew = i % 4 ? ap_str_from(tree) : AP_STR_NONE;
        pick.cut = i % 6;
        fixture_set_quantity(&pick, AP_F_planned_weight, 900 + i, AP_UNIT_LB, 33);
        fixture_offer(&it, &pick, i % 11 ? NULL : "2026-10-06");
    }
    fixture_import_end(&it);
    beside both = {.book = it.book, .picks = calloc(PICKS + 1, sizeof *both.picks)};
    ap_arena_init(&both.arena, 8 << 20);
    check_ok(ap_book_each_pick(it.book, NULL, keep_wide, &both, &err), &err);
    assert_int_equal(both.count, PICKS + 1);
    check_ok(ap_book_each_pick_narrow(it.book, NULL, compare_narrow, &both, &err), &err);
    assert_int_equal(both.at, PICKS + 1);
    free(both.picks);
    ap_arena_release(&both.arena);
    fixture_remove(&it);
}

static void test_names(void **state) {
    (void)state;
    book_fixture it;
    ap_arena arena;
    ap_arena_init(&arena, 1 << 20);
    fixture_make(&it);
    fixture_import_begin(&it, "a.csv", 'a');
    offer_at(&it, "J231", "17", "2026-10-05", AP_TIME_NONE, NULL);
    offer_at(&it, "J232", "17", "2026-10-05", AP_TIME_NONE, NULL);
    offer_at(&it, "J232", "18", "2026-10-05", AP_TIME_NONE, NULL);
    offer_at(&it, "K1", "1", "2026-10-05", AP_TIME_NONE, "2026-10-05");
    offer_at(&it, "K1", "1", "2026-10-06", AP_TIME_NONE, "2026-10-06");
    offer_at(&it, "K1", "5", "2026-10-06", AP_TIME_NONE, "2026-10-06");
    offer_at(&it, "A/B", "2", "2026-10-06", AP_TIME_NONE, NULL);
    fixture_import_end(&it);
    check_str(get(&it, &arena, "j231/17").name, "J231/17");
    check_str(get(&it, &arena, "18").name, "J232/18");
    check_str(get(&it, &arena, "K1/5").name, "K1/2026-10-06/5");
    check_str(get(&it, &arena, "K1/2026-10-05/1").name, "K1/2026-10-05/1");
    check_str(get(&it, &arena, "A/B/2").name, "A/B/2");
    get_refused(&it, "17", AP_E_AMBIGUOUS, "J231/17, J232/17");
    get_refused(&it, "K1/1", AP_E_AMBIGUOUS, "K1/2026-10-05/1, K1/2026-10-06/1");
    get_refused(&it, "J213/17", AP_E_NOT_FOUND, "'J231/17'");
    get_refused(&it, "Q9/404", AP_E_NOT_FOUND, "no pick 'Q9/404'");
    get_refused(&it, "", AP_E_NOT_FOUND, "not the name");
    ap_arena_release(&arena);
    fixture_remove(&it);
}

/* pick-log: values are the same when equal to the coarser of the two written precisions. */
static void offer_again(book_fixture *it, ap_pick *pick, char digit, ap_stored want, const char *field) {
    fixture_store(it, pick, digit);
    if (it->stored != want) {
        fail_msg("offer %c: became %d, not %d", digit, (int)it->stored, (int)want);
    }
    if (field) {
        assert_string_equal(ap_field_get(it->differs)->name, field);
    } else {
        assert_int_equal(it->differs, -1);
    }
}

static void test_unchanged_or_conflict(void **state) {
    (void)state;
    book_fixture it;
    fixture_make(&it);
    ap_pick pick = fixture_pick(&it, "J1", "1", "2026-10-05", 2400);
    fixture_set_quantity(&pick, AP_F_length, 18.5, AP_UNIT_FT, 1);
    pick.notes = AP_STR_LIT("quiet");
    offer_again(&it, &pick, '0', AP_STORED_NEW, NULL);
    offer_again(&it, &pick, '1', AP_STORED_UNCHANGED, NULL);
    /* 2400 lb is 1088.62 kg: 1089 kg read to 1 kg says the same, 1090 kg does not. */
    ap_pick again = pick;
    fixture_set_quantity(&again, AP_F_measured_weight, 1089, AP_UNIT_KG, 0);
    offer_again(&it, &again, '2', AP_STORED_UNCHANGED, NULL);
    fixture_set_quantity(&again, AP_F_measured_weight, 1090, AP_UNIT_KG, 0);
    offer_again(&it, &again, '3', AP_STORED_CONFLICT, "measured_weight");
    /* 18.5 ft against 18.4 ft differ; against 222 in (18.5 ft) they do not; 5.6 m (18.37 ft, read to 0.1 m) says the same. */
    again = pick;
    fixture_set_quantity(&again, AP_F_length, 18.4, AP_UNIT_FT, 1);
    offer_again(&it, &again, '4', AP_STORED_CONFLICT, "length");
    fixture_set_quantity(&again, AP_F_length, 222, AP_UNIT_IN, 0);
    offer_again(&it, &again, '5', AP_STORED_UNCHANGED, NULL);
    fixture_set_quantity(&again, AP_F_length, 5.6, AP_UNIT_M, 1);
    offer_again(&it, &again, '6', AP_STORED_UNCHANGED, NULL);
    /* A blank says nothing; a value where the book has none is something to decide. */
    again = pick;
    again.notes = AP_STR_NONE;
    offer_again(&it, &again, '7', AP_STORED_UNCHANGED, NULL);
    again.crew = AP_STR_LIT("B");
    again.fibre_left = AP_YESNO_YES;
    again.legs[0].state = AP_LEG_STATE_SLACK;
    ap_pick_count_legs(&again);
    offer_again(&it, &again, '8', AP_STORED_CONFLICT, "crew");
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM conflict WHERE state = 'open' AND pick_name = 'J1/1'"),
                     3);
    assert_int_equal(
        fixture_number(&it, "SELECT count(*) FROM conflict_value WHERE conflict_id = 1 AND field = 'measured_weight' "
                            "AND stored = '2400 lb' AND offered = '1090 kg'"),
        1);
    assert_int_equal(
        fixture_number(&it, "SELECT count(*) FROM conflict_value WHERE conflict_id = 3 AND stored IS NULL"), 3);
    assert_int_equal(
        fixture_number(&it, "SELECT count(*) FROM conflict WHERE raw = 'the row as it stood' AND line = 2"), 3);
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM pick"), 1);
    fixture_remove(&it);
}

/* The tables refuse what a log may not say; the transaction goes on. */
static void test_refusals(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_origin origin = {1, 1, 2, AP_STR_NONE};
    fixture_make(&it);
    fixture_import_begin(&it, "a.csv", 'a');
    ap_pick pick = fixture_pick(&it, "J1", "1", "2026-10-05", 2400);
    pick.planned_weight_kg = -1;
    check_refused(ap_pick_writer_offer(&it.stored, &it.differs, it.writer, &pick, AP_STR_NONE, &origin, &err),
                  AP_E_DOMAIN, &err, "pick_planned_weight_kg_not_negative");
    pick.planned_weight_kg = (double)NAN;
    pick.brush_share = 1.5;
    check_refused(ap_pick_writer_offer(&it.stored, &it.differs, it.writer, &pick, AP_STR_NONE, &origin, &err),
                  AP_E_DOMAIN, &err, "pick_brush_share_is_a_share");
    pick.brush_share = (double)NAN;
    pick.legs[2].kind = ap_word_count(AP_VOC_LEG_KIND) + 1;
    ap_pick_count_legs(&pick);
    check_refused(ap_pick_writer_offer(&it.stored, &it.differs, it.writer, &pick, AP_STR_NONE, &origin, &err),
                  AP_E_DOMAIN, &err, "pick_leg_3_kind_is_known");
    pick.legs[2].kind = 0;
    ap_pick_count_legs(&pick);
    pick.measured_weight_kg = (double)NAN;
    check_refused(ap_pick_writer_offer(&it.stored, &it.differs, it.writer, &pick, AP_STR_NONE, &origin, &err),
                  AP_E_DOMAIN, &err, "pick_has_a_weight");
    pick.measured_weight_kg = 1000;
    fixture_offer(&it, &pick, NULL);
    assert_int_equal(it.stored, AP_STORED_NEW);
    fixture_import_end(&it);
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM pick"), 1);
    fixture_remove(&it);
}

/* The writer looks no reference up: what it wrote must hold all the same. */
static void test_many_jobs_and_references(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_buf says;
    int troubles = -1;
    fixture_make(&it);
    fixture_import_begin(&it, "a.csv", 'a');
    for (int i = 0; i < 6000; i++) {
        char job[96];
        char tree[64];
        snprintf(job, sizeof job, "job %d%s", i % 4500,
                 i % 7 == 0 ? " with a name longer than the table of known names takes" : "");
        snprintf(tree, sizeof tree, "%d", i % 3);
        char number[16];
        snprintf(number, sizeof number, "%d", i);
        ap_pick pick = fixture_pick(&it, job, number, "2026-10-05", 1000 + i);
        pick.tree = ap_str_from(tree);
        fixture_offer(&it, &pick, NULL);
    }
    fixture_import_end(&it);
    ap_buf_init(&says, 1 << 16);
    check_ok(ap_book_check_integrity(&troubles, &says, it.book, &err), &err);
    assert_int_equal(troubles, 0);
    ap_buf_release(&says);
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM pick"), 6000);
    assert_int_equal(fixture_number(&it, "SELECT count(*) FROM job"),
                     fixture_number(&it, "SELECT count(DISTINCT job_id) FROM pick"));
    /* Behind the writer the references are looked up again. */
    check_ok(ap_book_begin(it.book, &err), &err);
    check_refused(ap_book_warning_add(it.book, 999, 0, AP_STR_NONE, AP_STR_LIT("x"), &err), AP_E_DOMAIN, &err,
                  "FOREIGN KEY");
    ap_book_rollback(it.book);
    fixture_remove(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_round_trip), cmocka_unit_test(test_view_shows_words),
        cmocka_unit_test(test_order),      cmocka_unit_test(test_narrow_reads_the_same),
        cmocka_unit_test(test_names),      cmocka_unit_test(test_unchanged_or_conflict),
        cmocka_unit_test(test_refusals),   cmocka_unit_test(test_many_jobs_and_references),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
