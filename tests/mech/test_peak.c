/* Stiffness by kind, hitch factors, and the bracket of the peak. */
#include "support/check.h"

#include "mech/impact.h"
#include "mech/peak.h"
#include "mech/sling.h"
#include "mech/stiffness.h"

static void every_kind_has_a_stiffness(void **state) {
    (void)state;
    for (int kind = AP_LEG_KIND_EYE; kind <= AP_LEG_KIND_BALANCER; kind++) {
        const ap_stiffness_kind *row = ap_stiffness_find(kind);
        assert_non_null(row);
        assert_true(row->strain_least < row->strain && row->strain < row->strain_most);
        assert_true(strlen(row->source) > 10);
        ap_stiffness k;
        ap_error err = {0};
        check_ok(ap_stiffness_of_leg(&k, kind, 2000.0, 5.0, &err), &err);
        /* By its definition: the working load limit stretches it by that share. */
        check_close(2000.0 * 9.80665 / k.n_m / 5.0, row->strain, 1e-12, "definition of the strain at the limit");
        assert_true(k.least_n_m < k.n_m && k.n_m < k.most_n_m);
    }
    assert_null(ap_stiffness_find(0));
    assert_null(ap_stiffness_find(99));
    /* Wire, recomputed from the factors its row names (from memory): a fifth of 0.356 x 1770 over 0.46, at 65 GPa. */
    double strain = 0.356 * 1770.0 / 5.0 / 0.46 / 65000.0;
    check_close(ap_stiffness_find(AP_LEG_KIND_WIRE)->strain, strain, 0.0005, "EN 12385-4 factors, from memory");
    /* Chain: 200 N/mm2 on steel of 206 GPa is 0.1 % for a straight bar; links give about twice that. */
    check_close(ap_stiffness_find(AP_LEG_KIND_CHAIN)->strain_least, 200.0 / 206000.0, 0.0001,
                "Hooke's law, straight bar");
}

static void stiffness_refuses(void **state) {
    (void)state;
    ap_stiffness k = {.n_m = -7.0};
    ap_error err = {0};
    check_refused(ap_stiffness_of_leg(&k, 0, 2000.0, 5.0, &err), AP_E_DOMAIN, &err, "kind");
    check_refused(ap_stiffness_of_leg(&k, AP_LEG_KIND_WIRE, 0.0, 5.0, &err), AP_E_DOMAIN, &err, "limit of 0 kg");
    check_refused(ap_stiffness_of_leg(&k, AP_LEG_KIND_WIRE, 2000.0, NAN, &err), AP_E_DOMAIN, &err, "stiffness");
    assert_true(k.n_m == -7.0);
}

static ap_peak_in still(double weight) {
    return (ap_peak_in){.weight_n = weight, .preload_n = NAN, .swing_deg = NAN};
}

static void release_alone_is_the_preload_bracket(void **state) {
    (void)state;
    static const double preloads[] = {0.0, 300.0, 1000.0, 1500.0};
    for (size_t i = 0; i < sizeof preloads / sizeof preloads[0]; i++) {
        ap_peak_in in = still(1000.0);
        ap_peak peak;
        ap_error err = {0};
        in.preload_n = preloads[i];
        check_ok(ap_peak_bracket(&peak, &in, &err), &err);
        check_close(peak.low_n, fmax(preloads[i], 1000.0), 1e-12, "methods note: max(P, W)");
        check_close(peak.high_n, fmax(preloads[i], 2000.0 - preloads[i]), 1e-12, "methods note: max(P, 2W - P)");
        assert_int_equal(peak.kind, AP_PEAK_BY_RELEASE);
    }
    ap_peak_in in = still(1000.0);
    ap_peak peak;
    ap_error err = {0};
    check_ok(ap_peak_bracket(&peak, &in, &err), &err);
    check_close(peak.high_n, 2000.0, 1e-12, "sudden load factor of 2: no preload known");
    check_str(ap_str_from(ap_peak_kind_name(peak.kind)), "release");
}

/* G02: a uniform rod swung about its end from 90 degrees pulls 2.5 times its weight, more than the sudden 2. */
static void a_swing_can_be_the_worst(void **state) {
    (void)state;
    ap_peak_in in = still(1000.0);
    ap_peak peak;
    ap_error err = {0};
    in.swing_deg = -90.0;
    in.arm_m = 10.0;
    in.gyration2_m2 = 400.0 / 12.0;
    check_ok(ap_peak_bracket(&peak, &in, &err), &err);
    check_close(peak.high_n, 2500.0, 1e-9, "G02: uniform rod pivot at end, 2.50");
    check_str(ap_str_from(ap_peak_kind_name(peak.kind)), "swing");
    check_close(peak.low_n, 1000.0, 1e-12, "let down gently");
    check_close(peak.by_n[AP_PEAK_BY_RELEASE], 2000.0, 1e-12, "the others are still told");
}

/* F09: 2000 on a leg of 2500 a unit length, free drop 3.2: factor 4, peak 8000. Upright and alone it is the hook's
 * too; at 30 degrees half of what comes on top reaches the hook. */
static void a_drop_onto_a_slack_leg(void **state) {
    (void)state;
    ap_peak_in in = still(2000.0);
    ap_peak peak;
    ap_error err = {0};
    in.legs[0] = (ap_peak_leg){2000.0, 3.2, 2500.0, 90.0};
    in.leg_count = 1;
    check_ok(ap_peak_bracket(&peak, &in, &err), &err);
    check_close(peak.leg_peak_n[0], 8000.0, 0.01, "F09 derived");
    check_close(peak.high_n, 8000.0, 0.01, "F09 derived");
    check_str(ap_str_from(ap_peak_kind_name(peak.kind)), "drop");
    in.legs[0].angle_deg = 30.0;
    check_ok(ap_peak_bracket(&peak, &in, &err), &err);
    check_close(peak.high_n, 2000.0 + 0.5 * 6000.0, 0.01, "F09 and sin 30");
    /* No drop, no stiffness, a slack leg: no number for that cause. */
    in.legs[0].stiffness_n_m = NAN;
    in.legs[1] = (ap_peak_leg){0.0, 1.0, 2500.0, 60.0};
    in.legs[2] = (ap_peak_leg){500.0, NAN, 2500.0, 60.0};
    in.leg_count = 3;
    check_ok(ap_peak_bracket(&peak, &in, &err), &err);
    assert_true(isnan(peak.by_n[AP_PEAK_BY_DROP]) && isnan(peak.leg_peak_n[0]) && isnan(peak.leg_peak_n[1]));
    check_close(peak.high_n, 4000.0, 1e-9, "release");
}

static void the_peak_refuses(void **state) {
    (void)state;
    ap_peak_in in = still(0.0);
    ap_peak peak = {.low_n = -7.0};
    ap_error err = {0};
    check_refused(ap_peak_bracket(&peak, &in, &err), AP_E_DOMAIN, &err, "weight of 0 N");
    in = still(1000.0);
    in.preload_n = -1.0;
    check_refused(ap_peak_bracket(&peak, &in, &err), AP_E_DOMAIN, &err, "preload");
    in = still(1000.0);
    in.legs[0] = (ap_peak_leg){500.0, 1.0, 0.0, 60.0};
    in.leg_count = 1;
    check_refused(ap_peak_bracket(&peak, &in, &err), AP_E_DOMAIN, &err, "stiffness of 0 N/m");
    in.leg_count = 5;
    check_refused(ap_peak_bracket(&peak, &in, &err), AP_E_DOMAIN, &err, "5 legs");
    assert_true(peak.low_n == -7.0);
}

/* Common practice, no source, but never above the published straight pull: a single part hitched carries no more. */
static void hitches_only_take_away(void **state) {
    (void)state;
    for (int kind = 0; kind <= AP_LEG_KIND_BALANCER; kind++)
        for (int hitch = 0; hitch <= AP_HITCH_NONE; hitch++) {
            double factor = ap_sling_hitch_factor(hitch, kind);
            assert_true(hitch == AP_HITCH_BASKET ? factor == 2.0 : factor > 0.0 && factor <= 1.0);
            assert_true(strlen(ap_sling_hitch_source(hitch)) > 0);
        }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_has_a_stiffness),
        cmocka_unit_test(stiffness_refuses),
        cmocka_unit_test(release_alone_is_the_preload_bracket),
        cmocka_unit_test(a_swing_can_be_the_worst),
        cmocka_unit_test(a_drop_onto_a_slack_leg),
        cmocka_unit_test(the_peak_refuses),
        cmocka_unit_test(hitches_only_take_away),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
