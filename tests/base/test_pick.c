#include "support/check.h"

#include "base/pick.h"

static void names_unique_and_found(void **state) {
    (void)state;
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        const ap_field *field = ap_field_get(i);
        assert_non_null(field);
        assert_int_equal(ap_field_find(ap_str_from(field->name)), i);
        for (int j = 0; j < i; j++) {
            const ap_field *other = ap_field_get(j);
            assert_string_not_equal(field->name, other->name);
            assert_string_not_equal(field->label, other->label);
            /* A column of one table: unique among the pick's own, and within a leg. */
            assert_true(field->leg != other->leg || strcmp(field->member, other->member) != 0);
            assert_true(field->offset != other->offset);
        }
    }
    assert_null(ap_field_get(-1));
    assert_null(ap_field_get(AP_COLUMN_COUNT));
    assert_int_equal(ap_field_find(AP_STR_LIT("Planned_Weight")), AP_F_planned_weight);
    assert_int_equal(ap_field_find(AP_STR_LIT("planned_weigh")), -1);
    assert_int_equal(ap_field_find(AP_STR_LIT("planned weight")), -1);
    assert_int_equal(ap_field_find(AP_STR_NONE), -1);
    assert_int_equal(ap_field_find(AP_STR_LIT("leg_1_kind")), AP_F_COUNT);
    assert_int_equal(ap_field_find(AP_STR_LIT("leg_3_wll")), AP_F_COUNT + 2 * AP_LF_COUNT + AP_LF_wll);
    assert_int_equal(ap_field_find(AP_STR_LIT("leg_5_wll")), -1);
}

static void described_soundly(void **state) {
    (void)state;
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        const ap_field *field = ap_field_get(i);
        bool worded = field->kind == AP_KIND_WORD || field->kind == AP_KIND_MOVES;
        assert_int_equal(field->dim != AP_DIM_NONE, field->kind == AP_KIND_QTY);
        assert_int_equal(field->vocabulary != AP_VOC_NONE, worded);
        assert_int_equal(field->group == AP_GROUP_SLINGS, field->leg > 0);
        assert_true(!worded || ap_word_count(field->vocabulary) > 0);
        assert_true(field->offset < sizeof(ap_pick));
        /* The SI unit stands in the column's name. */
        static const char *const endings[] = {[AP_DIM_LENGTH] = "_m", [AP_DIM_LOAD] = "_kg", [AP_DIM_ANGLE] = "_deg"};
        if (field->dim == AP_DIM_LENGTH || field->dim == AP_DIM_LOAD || field->dim == AP_DIM_ANGLE) {
            const char *ending = endings[field->dim];
            assert_string_equal(field->member + strlen(field->member) - strlen(ending), ending);
        }
    }
}

static void blank_and_not(void **state) {
    (void)state;
    static ap_pick pick;
    memset(&pick, 0x5A, sizeof pick);
    ap_pick_clear(&pick);
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        assert_true(ap_pick_field_is_blank(&pick, i));
        assert_int_equal(pick.written[i].unit, 0);
    }
    assert_true(isnan(pick.planned_weight_kg));
    assert_int_equal(pick.re_rigs, AP_COUNT_NONE);
    assert_int_equal(pick.date, AP_DATE_NONE);
    assert_int_equal(pick.time, AP_TIME_NONE);
    assert_null(pick.species.ptr);
    assert_null(pick.source_file.ptr);
    assert_int_equal(pick.id, 0);

    /* Zero is a value where zero can be meant. */
    pick.side_offset_m = 0.0;
    pick.re_rigs = 0;
    pick.date = 0;
    pick.time = 0;
    pick.notes = AP_STR_LIT("  ");
    pick.fibre_left = AP_YESNO_NO;
    assert_false(ap_pick_field_is_blank(&pick, AP_F_side_offset));
    assert_false(ap_pick_field_is_blank(&pick, AP_F_re_rigs));
    assert_false(ap_pick_field_is_blank(&pick, AP_F_date));
    assert_false(ap_pick_field_is_blank(&pick, AP_F_time));
    assert_false(ap_pick_field_is_blank(&pick, AP_F_fibre_left));
    assert_true(ap_pick_field_is_blank(&pick, AP_F_notes));

    assert_ptr_equal(ap_pick_at(&pick, AP_F_lean), &pick.lean_deg);
    assert_ptr_equal(ap_pick_at_const(&pick, ap_field_find(AP_STR_LIT("leg_4_at"))), &pick.legs[3].at_m);
    assert_ptr_equal(ap_pick_at(&pick, ap_field_find(AP_STR_LIT("leg_2_hitch"))), &pick.legs[1].hitch);
}

static void legs_counted(void **state) {
    (void)state;
    static ap_pick pick;
    ap_pick_clear(&pick);
    ap_pick_count_legs(&pick);
    assert_int_equal(pick.leg_count, 0);
    pick.legs[0].kind = AP_LEG_KIND_EYE;
    ap_pick_count_legs(&pick);
    assert_int_equal(pick.leg_count, 1);
    pick.legs[2].at_m = 0.0; /* leg 2 is blank between them */
    ap_pick_count_legs(&pick);
    assert_int_equal(pick.leg_count, 3);
    pick.legs[3].tag = AP_STR_LIT(" ");
    ap_pick_count_legs(&pick);
    assert_int_equal(pick.leg_count, 3);
}

static void words_unique_and_numbered(void **state) {
    (void)state;
    for (int voc = AP_VOC_NONE + 1; voc < AP_VOC_COUNT; voc++) {
        ap_vocabulary vocabulary = (ap_vocabulary)voc;
        int count = ap_word_count(vocabulary);
        assert_true(count >= 2);
        for (int value = 1; value <= count; value++) {
            const char *word = ap_word_get(vocabulary, value);
            assert_non_null(word); /* so the values run 1..count without a gap */
            assert_int_equal(ap_word_find(vocabulary, ap_str_from(word)), value);
        }
        assert_null(ap_word_get(vocabulary, 0));
        assert_null(ap_word_get(vocabulary, count + 1));
        assert_int_equal(ap_word_find(vocabulary, AP_STR_LIT("")), 0);
    }
    assert_int_equal(ap_word_count(AP_VOC_NONE), 0);
    assert_int_equal(ap_word_find(AP_VOC_FOLIAGE, AP_STR_LIT("Leaf-On")), AP_FOLIAGE_LEAF_ON);
    assert_int_equal(ap_word_find(AP_VOC_FOLIAGE, AP_STR_LIT(" leaf off ")), AP_FOLIAGE_LEAF_OFF);
    assert_int_equal(ap_word_find(AP_VOC_FOLIAGE, AP_STR_LIT("leafon")), 0);
    assert_int_equal(ap_word_find(AP_VOC_CUT, AP_STR_LIT("top")), 0); /* a word of another vocabulary */
    assert_string_equal(ap_word_get(AP_VOC_HITCH, AP_HITCH_NONE), "none");
    assert_true(ap_word_count(AP_VOC_MOVEMENT) < 31); /* a set of them fits an int32_t */
}

static void moves(void **state) {
    (void)state;
    ap_buf buf;
    ap_buf_init(&buf, 200);
    ap_moves_to_text(&buf, 0);
    assert_int_equal(buf.len, 0);
    ap_moves_to_text(&buf, AP_MOVE_BIT(AP_MOVEMENT_SWING) | AP_MOVE_BIT(AP_MOVEMENT_BUTT_UP));
    check_str(ap_buf_str(&buf), "butt_up+swing");
    ap_buf_clear(&buf);
    ap_moves_to_text(&buf, -1); /* bits that name no movement are passed over */
    check_str(ap_buf_str(&buf), "still+settled+butt_up+butt_down+tip_dive+tip_up+swing+roll+drop");
    ap_buf_release(&buf);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_unique_and_found),
        cmocka_unit_test(described_soundly),
        cmocka_unit_test(blank_and_not),
        cmocka_unit_test(legs_counted),
        cmocka_unit_test(words_unique_and_numbered),
        cmocka_unit_test(moves),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
