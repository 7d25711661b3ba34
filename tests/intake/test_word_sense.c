/* What people write for the words of a vocabulary: common practice, no source. */
#include "support/check.h"

#include "intake/word_sense.h"

static void expect(const char *field, const char *cell, const char *want) {
    ap_buf out;
    ap_buf_init(&out, 256);
    int column = ap_field_find(ap_str_from(field));
    assert_true(column >= 0);
    bool said = ap_word_sense(&out, ap_field_get(column), ap_str_from(cell));
    if (said != (want != NULL)) {
        fail_msg("%s '%s': %s", field, cell, said ? out.ptr : "nothing");
    }
    if (want) {
        check_str(ap_buf_str(&out), want);
    }
    ap_buf_release(&out);
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

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(proposes_what_can_mean_one_thing),
        cmocka_unit_test(proposes_nothing_where_a_part_is_not_known),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
