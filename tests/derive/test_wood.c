#include "support/check.h"

#include "derive/wood.h"

static const double PI = 3.14159265358979323846;

static ap_species oak(void) {
    /* FIA REF_SPECIES, white oak: 63.4 lb/ft3 wood and bark, G 0.60; lb/ft3 by NIST SP 811. */
    return (ap_species){.common = AP_STR_LIT("white oak"),
                        .hardwood = true,
                        .gravity = 0.6,
                        .density_kg_m3 = 63.4 * 16.018463373960142,
                        .ceiling_kg_m3 = 1210.6};
}

typedef struct scene {
    ap_pick pick;
    ap_settings settings;
    ap_species species;
    ap_wood_given given;
    const double *brush; /* the company's */
    ap_wood wood;
} scene;

/* A trunk piece: butt 12 in, tip 10 in, 16 ft, the worked log of the University of Missouri. */
static void start(scene *s) {
    ap_pick_clear(&s->pick);
    ap_settings_defaults(&s->settings);
    s->species = oak();
    s->brush = NULL;
    s->given = AP_WOOD_GIVEN_NOTHING;
    s->given.species = &s->species;
    s->pick.piece = AP_PIECE_TRUNK;
    s->pick.length_m = 16 * 0.3048;
    s->pick.butt_diameter_m = 12 * 0.0254;
    s->pick.tip_diameter_m = 10 * 0.0254;
}

static void work(scene *s) {
    const ap_company company = {.settings = &s->settings, .brush = s->brush};
    ap_wood_work_out(&s->wood, &s->pick, &s->given, &company);
}

static void a_stem_piece_is_worked_out(void **state) {
    (void)state;
    scene s;
    start(&s);
    s.given.place = AP_WOOD_ABOVE;
    work(&s);
    check_close(s.wood.volume_m3.value / 0.028316846592, 10.588, 0.0006, "University of Missouri Extension, cone");
    assert_int_equal(s.wood.rule, AP_VOLUME_CONIC);
    assert_int_equal(s.wood.volume_m3.from, AP_ORIGIN_DERIVED);
    assert_false(s.wood.flare_unmeasured);
    assert_int_equal(s.wood.density_kg_m3.from, AP_ORIGIN_HANDBOOK);
    assert_int_equal(s.wood.brush_class.group, AP_WOOD_HARDWOOD);
    assert_false(s.wood.brush_class.carries);
    check_close(s.wood.brush_allowance.value, 0, 0, "a stem piece is bare");
    /* 10.588 ft3 x 63.4 lb/ft3 = 671.3 lb */
    check_close(s.wood.worked_net_kg.value / 0.45359237, 671.3, 0.05, "product of the two published figures");
    /* 16 ft (12^2 + 2 12 10 + 3 10^2) / (4 (12^2 + 12 10 + 10^2)) = 16 x 684 / 1456 ft */
    check_close(s.wood.cg_m.value / 0.3048, 16.0 * 684.0 / 1456.0, 1e-12, "centroid of a frustum, by hand");
}

static void the_butt_is_known_or_not(void **state) {
    (void)state;
    static const struct {
        int piece;
        ap_wood_place place;
        ap_wood_butt butt;
    } rows[] = {
        {AP_PIECE_TRUNK, AP_WOOD_PLACE_UNKNOWN, AP_WOOD_BUTT_MAYBE},
        {AP_PIECE_TRUNK, AP_WOOD_LOWEST, AP_WOOD_BUTT_YES},
        {AP_PIECE_TRUNK, AP_WOOD_ABOVE, AP_WOOD_BUTT_NO},
        {AP_PIECE_STUB, AP_WOOD_PLACE_UNKNOWN, AP_WOOD_BUTT_YES},
        {AP_PIECE_STUB, AP_WOOD_ABOVE, AP_WOOD_BUTT_NO},
        {AP_PIECE_TOP, AP_WOOD_LOWEST, AP_WOOD_BUTT_NO},
        {AP_PIECE_LIMB, AP_WOOD_PLACE_UNKNOWN, AP_WOOD_BUTT_NO},
        {0, AP_WOOD_PLACE_UNKNOWN, AP_WOOD_BUTT_MAYBE},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        scene s;
        start(&s);
        s.pick.piece = rows[i].piece;
        s.given.place = rows[i].place;
        work(&s);
        assert_int_equal(s.wood.butt, rows[i].butt);
        assert_int_equal(s.wood.flare_unmeasured, rows[i].butt != AP_WOOD_BUTT_NO);
        s.pick.mid_diameter_m = 11 * 0.0254;
        work(&s);
        assert_int_equal(s.wood.rule, AP_VOLUME_NEWTON);
        assert_false(s.wood.flare_unmeasured);
    }
}

static void what_cannot_be_said_says_why(void **state) {
    (void)state;
    scene s;
    start(&s);
    s.pick.tip_diameter_m = NAN;
    work(&s);
    assert_true(isnan(s.wood.volume_m3.value) && isnan(s.wood.worked_net_kg.value) && isnan(s.wood.cg_m.value));
    assert_string_equal(s.wood.worked_net_kg.why, "no tip diameter is recorded");
    assert_true(isnan(s.wood.volume_bound) && isnan(s.wood.volume_sd));
    s.pick.tip_diameter_m = 1;
    work(&s);
    assert_non_null(strstr(s.wood.volume_m3.why, "thicker than the butt"));

    start(&s);
    s.given.species = NULL;
    work(&s);
    assert_true(!isnan(s.wood.volume_m3.value));
    assert_string_equal(s.wood.worked_net_kg.why, "the species is not known");
    s.given.species = &s.species;
    s.species.density_kg_m3 = NAN;
    work(&s);
    assert_non_null(strstr(s.wood.stem_kg.why, "no figure"));
    s.given.accepted_kg_m3 = 900;
    work(&s);
    assert_int_equal(s.wood.density_kg_m3.from, AP_ORIGIN_ACCEPTED);
    assert_true(!isnan(s.wood.stem_kg.value));

    start(&s);
    s.pick.brush_share = 1;
    work(&s);
    assert_true(isnan(s.wood.worked_net_kg.value));
    assert_non_null(strstr(s.wood.worked_net_kg.why, "brush share"));
}

static void brush_counts_when_logged_or_learnt(void **state) {
    (void)state;
    scene s;
    start(&s);
    s.pick.piece = AP_PIECE_TOP;
    s.pick.foliage = AP_FOLIAGE_LEAF_ON;
    work(&s);
    double stem = s.wood.stem_kg.value;
    double stem_cg = s.wood.cg_m.value;
    assert_true(s.wood.brush_class.carries);
    assert_int_equal(s.wood.brush_class.piece, AP_PIECE_TOP);
    assert_true(isnan(s.wood.worked_net_kg.value) && stem > 0);
    assert_non_null(strstr(s.wood.cg_m.why, "stem alone"));

    double learnt
        [AP_WOOD_BRUSH_CLASSES]; /* the book's: for one class, and not for a piece of another or of an unknown group */
    for (int i = 0; i < AP_WOOD_BRUSH_CLASSES; i++) {
        learnt[i] = NAN;
    }
    learnt[ap_wood_brush_number(AP_PIECE_TOP, AP_FOLIAGE_LEAF_ON, s.wood.brush_class.group)] = 0.4;
    s.brush = learnt;
    work(&s);
    check_close(s.wood.worked_net_kg.value, 1.4 * stem, 1e-9, "stem x (1 + learnt allowance)");
    check_close(s.wood.cg_m.value, (stem_cg + 0.4 * 0.75 * s.pick.length_m) / 1.4, 1e-12, "moments of stem and brush");
    assert_int_equal(s.wood.brush_allowance.from, AP_ORIGIN_LEARNT);
    s.pick.foliage = AP_FOLIAGE_LEAF_OFF;
    work(&s);
    assert_true(isnan(s.wood.brush_allowance.value));
    s.pick.foliage = AP_FOLIAGE_LEAF_ON;
    const ap_species *known = s.given.species;
    s.given.species = NULL;
    work(&s);
    assert_true(isnan(s.wood.brush_allowance.value));
    s.given.species = known;

    s.given.brush_allowance = 0.3;
    work(&s);
    check_close(s.wood.worked_net_kg.value, 1.3 * stem, 1e-9, "stem x (1 + allowance)");
    s.pick.brush_share = 0.2; /* the log wins: b = s / (1 - s) = 0.25 */
    work(&s);
    check_close(s.wood.worked_net_kg.value, 1.25 * stem, 1e-9, "b = s/(1-s)");
    assert_int_equal(s.wood.brush_allowance.from, AP_ORIGIN_LOG);
    check_close(s.wood.cg_m.value, 0.8 * stem_cg + 0.2 * 0.75 * s.pick.length_m, 1e-12,
                "(1-s) stem + s brush at 0.75 L");
    s.settings.brush_at = 0.6;
    work(&s);
    check_close(s.wood.cg_m.value, 0.8 * stem_cg + 0.2 * 0.6 * s.pick.length_m, 1e-12, "the company's own brush_at");
    s.pick.balance_point_m = 2.0;
    work(&s);
    check_close(s.wood.cg_m.value, 2.0, 0, "a logged balance point wins");
    assert_int_equal(s.wood.cg_m.from, AP_ORIGIN_LOG);
}

static void dead_decayed_and_hollow_are_classes(void **state) {
    (void)state;
    static const struct {
        int condition;
        const char *notes;
        ap_wood_class class;
    } rows[] = {
        {0, NULL, AP_WOOD_CONDITION_BLANK},
        {AP_CONDITION_LIVE, NULL, AP_WOOD_SOUND},
        {AP_CONDITION_DEAD, "came off steady", AP_WOOD_DEAD},
        {AP_CONDITION_DECAYED, NULL, AP_WOOD_DECAYED},
        {AP_CONDITION_LIVE, "Hollow above the union", AP_WOOD_HOLLOW},
        {AP_CONDITION_LIVE, "was not hollow after all", AP_WOOD_SOUND},
        {AP_CONDITION_LIVE, "no hollow", AP_WOOD_SOUND},
        {AP_CONDITION_LIVE, "hollowed lane behind the house", AP_WOOD_SOUND},
        {AP_CONDITION_LIVE, "not hollow at the top but hollow at the base", AP_WOOD_HOLLOW},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        scene s;
        start(&s);
        s.pick.condition = rows[i].condition;
        s.pick.notes = rows[i].notes ? ap_str_from(rows[i].notes) : AP_STR_NONE;
        work(&s);
        assert_int_equal(s.wood.class, rows[i].class);
        bool odd = rows[i].class >= AP_WOOD_DEAD;
        assert_int_equal(strstr(s.wood.density_kg_m3.why, ap_wood_class_text(rows[i].class)) != NULL && odd, odd);
    }
}

static void reading_errors_follow_the_steps(void **state) {
    (void)state;
    scene s;
    start(&s);
    work(&s);
    /* 0.5 in on each diameter and 3 in on the length: ((12.5^2 + 12.5 10.5 + 10.5^2) / 364) (16.25 / 16) - 1 */
    double bound = (12.5 * 12.5 + 12.5 * 10.5 + 10.5 * 10.5) / 364.0 * (16.25 / 16.0) - 1.0;
    check_close(s.wood.volume_bound, bound, 1e-12, "by hand");
    /* A cylinder: d(ln V) = 2 dD/D for one tape on both ends is 1 dD/D each: sd^2 = (2 (1/D)^2 1^2 + (0.5/L)^2) / 12. */
    s.pick.tip_diameter_m = s.pick.butt_diameter_m;
    work(&s);
    double sd = sqrt((2.0 / (12.0 * 12.0) + (6.0 / 192.0) * (6.0 / 192.0)) / 12.0);
    check_close(s.wood.volume_sd, sd, 1e-12, "GUM 4.3.7, by hand for a cylinder");
    /* Written to the foot: coarser than the setting's half foot. */
    s.pick.written[AP_F_length] = (ap_written){.unit = AP_UNIT_FT, .quantum = 0};
    work(&s);
    check_close(s.wood.volume_bound, 12.5 * 12.5 / 144.0 * 16.5 / 16.0 - 1.0, 1e-12, "by hand");
}

static void the_ceiling_allows_for_the_tape(void **state) {
    (void)state;
    scene s;
    start(&s);
    s.given.place = AP_WOOD_ABOVE;
    work(&s);
    double volume = PI / 12 * s.pick.length_m * (0.3048 * 0.3048 + 0.3048 * 0.254 + 0.254 * 0.254);
    double limit = 1210.6 * (1 + s.wood.volume_bound) * volume;
    check_close(ap_wood_implied_density(&s.wood, 1000 * volume), 1000, 1e-9, "weight / volume");
    assert_false(ap_wood_passes_ceiling(&s.wood, limit));
    assert_true(ap_wood_passes_ceiling(&s.wood, limit * 1.001));
    assert_false(ap_wood_passes_ceiling(&s.wood, NAN));
    s.pick.length_m = NAN;
    work(&s);
    assert_false(ap_wood_passes_ceiling(&s.wood, limit * 2));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_stem_piece_is_worked_out),          cmocka_unit_test(the_butt_is_known_or_not),
        cmocka_unit_test(what_cannot_be_said_says_why),        cmocka_unit_test(brush_counts_when_logged_or_learnt),
        cmocka_unit_test(dead_decayed_and_hollow_are_classes), cmocka_unit_test(reading_errors_follow_the_steps),
        cmocka_unit_test(the_ceiling_allows_for_the_tape),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
