/* A what-if with the logged value changes nothing: every quantity of every pick of a sample log, given again as the book
 * writes it, leaves the reconstruction as it was, bit for bit. */
#include "book/pick_text.h"
#include "derive/reconstruct.h"
#include "intake/amend_values.h"
#include "kit.h"

typedef struct round_trip {
    kit *kit;
    ap_arena arena;
    ap_settings settings;
    ap_company company;
    size_t tried;
    size_t hung;
} round_trip;

static void no_doubt(void *context, int column, ap_str field, ap_str text, const char *says) {
    (void)context;
    (void)column;
    (void)field;
    (void)text;
    (void)says;
}

static void work_out(ap_recon *out, const ap_pick *pick, const ap_company *company) {
    ap_derived derived;
    memset(out, 0, sizeof *out);
    ap_derive(&derived, pick, company);
    ap_recon_given given = AP_RECON_GIVEN(&derived, company);
    ap_reconstruct(out, pick, &given);
}

static bool same(double a, double b) {
    return (isnan(a) && isnan(b)) || a == b;
}

static void check_same(const ap_recon *a, const ap_recon *b, const char *what) {
    bool equal = same(a->inclination_deg, b->inclination_deg) && same(a->turn_deg, b->turn_deg) &&
                 same(a->butt_up_m, b->butt_up_m) && same(a->tip_up_m, b->tip_up_m) &&
                 same(a->peak_high_n, b->peak_high_n) && same(a->worst_use, b->worst_use) &&
                 same(a->hook_load_kg, b->hook_load_kg) && same(a->capacity_share, b->capacity_share) &&
                 a->no_hang.no == b->no_hang.no && a->no_movement.no == b->no_movement.no;
    for (int i = 0; i < a->leg_count; i++) {
        equal = equal && same(a->legs[i].tension_n, b->legs[i].tension_n) && same(a->legs[i].drop_m, b->legs[i].drop_m);
    }
    if (!equal) {
        fail_msg("supposing what was logged changed the reconstruction: %s", what);
    }
}

static ap_status suppose_each(void *context, const ap_pick *pick, ap_error *err) {
    round_trip *it = context;
    ap_recon logged;
    work_out(&logged, pick, &it->company);
    it->hung += !logged.no_movement.no;
    for (int column = 0; column < AP_COLUMN_COUNT; column++) {
        ap_amend_value value;
        ap_pick changed;
        ap_recon supposed;
        ap_buf text;
        const ap_field *field = ap_field_get(column);
        if (field->kind != AP_KIND_QTY || ap_pick_field_is_blank(pick, column)) {
            continue;
        }
        ap_buf_init(&text, 4096);
        ap_buf_appendf(&text, "%s=", field->name);
        ap_pick_value_write(&text, pick, column);
        check_ok(ap_amend_parse(&value, &it->arena, it->kit->book, ap_buf_str(&text), err), err);
        check_ok(ap_amend_read(&changed, &it->arena, it->kit->book, &it->settings, pick, &value, 1,
                               it->kit->options.author.today, no_doubt, NULL, err),
                 err);
        work_out(&supposed, &changed, &it->company);
        check_same(&logged, &supposed, text.ptr);
        ap_buf_release(&text);
        it->tried++;
    }
    ap_arena_clear(&it->arena);
    return AP_OK;
}

static void supposing_what_was_logged_changes_nothing(void **state) {
    kit *k = *state;
    static const char *const logs[] = {"samples/crew-a-2026-10.csv", "samples/crew-c-2026-10.csv"};
    round_trip it = {.kit = k};
    ap_arena_init(&it.arena, 64 << 20);
    ap_settings_defaults(&it.settings);
    it.company.settings = &it.settings;
    check_ok(kit_import_list(k, logs, 2), &k->err);
    const ap_pick_filter all = {.since = AP_DATE_NONE, .until = AP_DATE_NONE};
    check_ok(ap_book_each_pick(k->book, &all, suppose_each, &it, &k->err), &k->err);
    assert_true(it.tried > 500 && it.hung > 20);
    ap_arena_release(&it.arena);
}

/* "leg2_length" is what people type for leg_2_length. */
static void a_leg_may_be_written_short(void **state) {
    kit *k = *state;
    ap_arena arena;
    ap_amend_value value;
    ap_arena_init(&arena, 1 << 20);
    check_ok(ap_amend_parse(&value, &arena, k->book, AP_STR_LIT("leg2_length=3.2m"), &k->err), &k->err);
    assert_int_equal(value.column, ap_field_find(AP_STR_LIT("leg_2_length")));
    check_refused(ap_amend_parse(&value, &arena, k->book, AP_STR_LIT("leg5_length=3.2m"), &k->err), AP_E_USAGE, &k->err,
                  "leg5_length");
    ap_arena_release(&arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(supposing_what_was_logged_changes_nothing, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(a_leg_may_be_written_short, kit_setup, kit_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
