/* What people write for the words of a vocabulary: common practice, no source. */
#include "support/check.h"

#include "intake/word_sense.h"

static void expect_of(bool (*sense)(ap_buf *, const ap_field *, ap_str), const char *field, const char *cell,
                      const char *want) {
    ap_buf out;
    ap_buf_init(&out, 256);
    int column = ap_field_find(ap_str_from(field));
    assert_true(column >= 0);
    bool said = sense(&out, ap_field_get(column), ap_str_from(cell));
    if (said != (want != NULL)) {
        fail_msg("%s '%s': %s", field, cell, said ? out.ptr : "nothing");
    }
    if (want) {
        check_str(ap_buf_str(&out), want);
    }
    ap_buf_release(&out);
}

static void expect(const char *field, const char *cell, const char *want) {
    expect_of(ap_word_sense, field, cell, want);
}

static void within(const char *field, const char *cell, const char *want) {
    expect_of(ap_word_sense_within, field, cell, want);
}

static void proposes_what_can_mean_one_thing(void **state) {
    (void)state;
    expect("cut", "thru", "through");
    expect("cut", "Shelf", "step");
    expect("cut", "step", "step");
    expect("piece", "branch", "limb");
    expect("kerf", "pinched", "closing");
    expect("movement", "stayed put", "still");
    expect("movement", "settled, small swing", "settled+swing");
    expect("movement", "butt kicked up and tip dove", "butt_up+tip_dive");
    expect("movement", "Swung / rolled", "swing+roll");
    expect("estimate_basis", "eye", "by_eye");
    expect("estimate_basis", "By Eye", "by_eye");
    expect("estimate_basis", "guessed", "by_eye");
    expect("estimate_basis", "log chart", "chart");
    expect("estimate_basis", "calculated", "worked");
    expect("estimate_basis", "he told me", NULL);
}

static void proposes_nothing_where_a_part_is_not_known(void **state) {
    (void)state;
    expect("cut", "chainsaw", NULL);
    expect("movement", "settled, scared me", NULL);
    expect("movement", "", NULL);
    expect("movement", ",", NULL);
    expect("near_miss", "maybe", NULL);
    expect("species", "silver maple", NULL);
}

static void looks_into_longer_texts_to_ask(void **state) {
    (void)state;
    within("movement", "swung to road side", "swing");
    within("movement", "Butt kicked up a bit", "butt_up");
    within("movement", "butt dropped onto the deck", "butt_down"); /* and not "drop" too */
    within("movement", "butt came up, then a small swing to the left", "butt_up+swing");
    within("movement", "butt up", "butt_up");
    within("movement", "stayed put", "still");
    within("movement", "no swing at all", NULL);
    within("movement", "it did not roll, I think", NULL);
    within("movement", "almost rolled", NULL);
    within("movement", "swungout", NULL);
    within("movement", "look at the log", NULL);
    within("movement", "", NULL);
    within("cut", "a step cut as always", "step");
    within("cut", "snap cut or step cut", NULL); /* one word */
    within("notes", "swung out", NULL);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(proposes_what_can_mean_one_thing),
        cmocka_unit_test(proposes_nothing_where_a_part_is_not_known),
        cmocka_unit_test(looks_into_longer_texts_to_ask),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
