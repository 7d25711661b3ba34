/* Records say what ap_derived, ap_wood and ap_recon hold, once each, and every input can be followed back. */
#include "support/check.h"

#include "derive/record.h"

typedef struct bench {
    ap_arena arena;
    ap_pick pick;
    ap_settings settings;
    ap_company company;
    ap_derived derived;
    ap_wood wood;
    ap_recon recon;
    ap_record_list records;
} bench;

static void blank(bench *b) {
    memset(b, 0, sizeof *b);
    ap_arena_init(&b->arena, 1 << 20);
    ap_pick_clear(&b->pick);
    ap_settings_defaults(&b->settings);
    b->company.settings = &b->settings;
}

static void full(bench *b) {
    blank(b);
    ap_pick *p = &b->pick;
    p->piece = AP_PIECE_TOP;
    p->foliage = AP_FOLIAGE_LEAF_ON;
    p->brush_share = 0.2;
    p->length_m = 8;
    p->butt_diameter_m = 0.5;
    p->tip_diameter_m = 0.2;
    p->lean_deg = 30;
    p->planned_weight_kg = 900;
    p->measured_weight_kg = 1200;
    p->measured_as = AP_WEIGHED_AS_GROSS;
    p->rigging_weight_kg = 180;
    p->planned_capacity_kg = 2500;
    p->cut_capacity_kg = 2400;
    p->set_down_capacity_kg = 2000;
    p->preload_kg = 900;
    p->peak_load_kg = 1500;
    for (int i = 0; i < 2; i++) {
        p->legs[i].kind = AP_LEG_KIND_EYE;
        p->legs[i].hitch = AP_HITCH_CHOKER;
        p->legs[i].at_m = 2 + 3 * i;
        p->legs[i].length_m = 5 + i;
        p->legs[i].wll_kg = 3000;
    }
    p->legs[0].state = AP_LEG_STATE_TIGHT;
    p->legs[1].state = AP_LEG_STATE_SLACK;
}

static void make(bench *b) {
    ap_pick_count_legs(&b->pick);
    ap_derive(&b->derived, &b->pick, &b->company);
    ap_wood_work_out(&b->wood, &b->pick, &AP_WOOD_GIVEN_NOTHING, &b->company);
    ap_recon_given given = AP_RECON_GIVEN(&b->derived, &b->company);
    given.wood = &b->wood;
    ap_reconstruct(&b->recon, &b->pick, &given);
    const ap_record_given all = {&b->pick, &b->derived, &b->wood, &b->recon, &b->company};
    ap_records_make(&b->records, &b->arena, &all);
    assert_false(b->arena.failed);
}

static void check_value(const bench *b, const char *key, double want) {
    const ap_record *record = ap_record_find(&b->records, key);
    if (!record) {
        fail_msg("there is no record '%s'", key);
        return;
    }
    if (isnan(want)) {
        assert_true(isnan(record->value));
    } else {
        check_close(record->value, want, 0, key);
    }
}

static void a_record_holds_the_value_that_others_use(void **state) {
    (void)state;
    bench b;
    full(&b);
    make(&b);
    assert_int_equal(b.recon.no_movement.no, AP_RECON_SAID);
    check_value(&b, "planned_net_kg", b.derived.planned_net_kg);
    check_value(&b, "measured_net_kg", 1020); /* 1200 - 180 */
    check_value(&b, "ratio", b.derived.ratio);
    check_value(&b, "hook_kg", b.derived.hook_kg);
    check_value(&b, "share_cut", 0.5);    /* 1200 / 2400 */
    check_value(&b, "peak_share", 0.625); /* 1500 / 2400 */
    check_value(&b, "volume_m3", b.wood.volume_m3.value);
    check_value(&b, "cg_m", b.recon.cg_m.value);
    check_value(&b, "inclination_deg", b.recon.inclination_deg);
    check_value(&b, "leg_1_tension_n", b.recon.legs[0].tension_n);
    check_value(&b, "leg_2_use", b.recon.legs[1].use);
    check_value(&b, "leg_2_drop_m", b.recon.legs[1].drop_m);
    check_value(&b, "butt_rise_m", b.recon.butt_up_m);
    check_value(&b, "peak_high_n", b.recon.peak_high_n);
    ap_arena_release(&b.arena);
}

static void check_input(const bench *b, const ap_record *record, const ap_record_input *input) {
    assert_non_null(input->name);
    assert_non_null(input->note);
    assert_true(input->from != AP_ORIGIN_NONE);
    if (input->column >= 0) {
        assert_int_equal(input->from, AP_ORIGIN_LOG);
        assert_false(ap_pick_field_is_blank(&b->pick, input->column));
    }
    if (input->from == AP_ORIGIN_SETTING && !strchr(input->note, ' ') && !ap_setting_find(ap_str_from(input->note))) {
        fail_msg("%s: '%s' is no setting", record->key, input->note);
    }
}

/* Once each; a formula, and either a value or the reason why there is none; inputs that lead somewhere. */
static void check_records(const bench *b) {
    for (size_t i = 0; i < b->records.count; i++) {
        const ap_record *record = &b->records.items[i];
        assert_true(record->formula && record->formula[0] && record->name.len);
        for (size_t other = 0; other < i; other++) {
            if (strcmp(b->records.items[other].key, record->key) == 0) {
                fail_msg("two records '%s'", record->key);
            }
        }
        assert_true(isinf(record->value) == 0);
        for (int k = 0; k < record->input_count; k++) {
            check_input(b, record, &record->inputs[k]);
        }
    }
}

static void every_input_leads_to_a_cell_a_setting_or_a_record(void **state) {
    (void)state;
    bench b;
    full(&b);
    make(&b);
    check_records(&b);
    assert_true(b.records.count > 30);
    ap_arena_release(&b.arena);
    blank(&b); /* nothing logged at all */
    make(&b);
    check_records(&b);
    assert_non_null(ap_record_find(&b.records, "inclination_deg"));
    assert_true(ap_record_find(&b.records, "inclination_deg")->why.len > 0);
    assert_true(ap_record_find(&b.records, "ratio")->why.len > 0);
    ap_arena_release(&b.arena);
}

static void without_memory_it_says_so(void **state) {
    (void)state;
    bench b;
    full(&b);
    make(&b);
    ap_arena small;
    ap_record_list list;
    ap_arena_init(&small, 2000);
    const ap_record_given all = {&b.pick, &b.derived, &b.wood, &b.recon, &b.company};
    ap_records_make(&list, &small, &all);
    assert_true(small.failed);
    ap_arena_release(&small);
    ap_arena_release(&b.arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_record_holds_the_value_that_others_use),
        cmocka_unit_test(every_input_leads_to_a_cell_a_setting_or_a_record),
        cmocka_unit_test(without_memory_it_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
