/* Quantities as people write them. Factors: NIST SP 811 (2008) Appendix B.8 and NIST Handbook 44 Appendix C, the digits as
 * printed there: 1 ft = 0.3048 m, 1 in = 0.0254 m, 1 lb = 0.453 592 37 kg, short ton 907.184 74 kg, long ton
 * 1016.046 908 8 kg, standard gravity 9.806 65 m/s2. */
#include "support/check.h"

#include "text/quantity.h"

static const char nist[] = "NIST SP 811 App. B.8, Handbook 44 App. C";

#define LENGTH(mark) ((ap_quantity_rules){AP_DIM_LENGTH, AP_UNIT_NONE, AP_UNIT_NONE, (mark), false})
#define LOAD(mark) ((ap_quantity_rules){AP_DIM_LOAD, AP_UNIT_NONE, AP_UNIT_US_TON, (mark), false})

typedef struct wanted {
    const char *text;
    ap_quantity_rules rules;
    double si;
    ap_unit unit;
    double quantum; /* in that unit */
} wanted;

static void check_reads(const wanted *rows, size_t count) {
    for (size_t i = 0; i < count; i++) {
        const wanted *w = &rows[i];
        ap_quantity got = {0};
        ap_refusal why;
        if (!ap_quantity_read(&got, ap_str_from(w->text), &w->rules, &why)) {
            fail_msg("'%s' refused: %s", w->text, why.reason);
        }
        /* One rounding of the product is allowed, nothing more. */
        if (!(fabs(got.value - w->si) <= 4e-16 * fabs(w->si))) {
            fail_msg("'%s': got %.17g, want %.17g (%s)", w->text, got.value, w->si, nist);
        }
        if (got.written.unit != w->unit || ap_written_quantum(got.written) != w->quantum) {
            fail_msg("'%s': unit %d quantum %g", w->text, (int)got.written.unit, ap_written_quantum(got.written));
        }
    }
}

static void lengths_and_weights_of_the_trade_are_read(void **state) {
    (void)state;
    const wanted rows[] = {
        {"18 ft 6 in", LENGTH('.'), 222 * 0.0254, AP_UNIT_IN, 1},
        {"18'6\"", LENGTH('.'), 222 * 0.0254, AP_UNIT_IN, 1},
        {"18' 6 1/2\"", LENGTH('.'), 222.5 * 0.0254, AP_UNIT_IN, 0.5},
        {"18'-6\"", LENGTH('.'), 222 * 0.0254, AP_UNIT_IN, 1},
        {"18\xE2\x80\xB2 6\xE2\x80\xB3", LENGTH('.'), 222 * 0.0254, AP_UNIT_IN, 1},
        {"18\xE2\x80\x99"
         "6\xE2\x80\x9D",
         LENGTH('.'), 222 * 0.0254, AP_UNIT_IN, 1},
        {"18' 6", LENGTH('.'), 222 * 0.0254, AP_UNIT_IN, 1},
        {"18 feet and 6 inches", LENGTH('.'), 222 * 0.0254, AP_UNIT_IN, 1},
        {"18ft. 6in.", LENGTH('.'), 222 * 0.0254, AP_UNIT_IN, 1},
        {"18' 6.25\"", LENGTH('.'), 222.25 * 0.0254, AP_UNIT_IN, 0.01},
        {"18' 1/4\"", LENGTH('.'), 216.25 * 0.0254, AP_UNIT_IN, 0.25},
        {"18'", LENGTH('.'), 18 * 0.3048, AP_UNIT_FT, 1},
        {"24''", LENGTH('.'), 24 * 0.0254, AP_UNIT_IN, 1},
        {"3/4 in", LENGTH('.'), 0.75 * 0.0254, AP_UNIT_IN, 0.25},
        {"6-1/2 in", LENGTH('.'), 6.5 * 0.0254, AP_UNIT_IN, 0.5},
        {"6\xC2\xBD\"", LENGTH('.'), 6.5 * 0.0254, AP_UNIT_IN, 0.5},
        {"2 5/16 in", LENGTH(0), 2.3125 * 0.0254, AP_UNIT_IN, 0.0625},
        {"0.61m", LENGTH('.'), 0.61, AP_UNIT_M, 0.01},
        {"0,61 m", LENGTH(','), 0.61, AP_UNIT_M, 0.01},
        {"0,610 m", LENGTH(0), 0.610, AP_UNIT_M, 0.001},
        {".5 m", LENGTH('.'), 0.5, AP_UNIT_M, 0.1},
        {"61cm", LENGTH('.'), 0.61, AP_UNIT_CM, 1},
        {"1 m 20 cm", LENGTH('.'), 1.2, AP_UNIT_CM, 1},
        {"-3 ft", LENGTH('.'), -3 * 0.3048, AP_UNIT_FT, 1},
        {"\xE2\x88\x92"
         "3 ft",
         LENGTH('.'), -3 * 0.3048, AP_UNIT_FT, 1},
        {"5,200 lb", LOAD('.'), 5200 * 0.45359237, AP_UNIT_LB, 1},
        {"4,850.5 lb", LOAD(0), 4850.5 * 0.45359237, AP_UNIT_LB, 0.1},
        {"1,234,567 lb", LOAD(0), 1234567 * 0.45359237, AP_UNIT_LB, 1},
        {"5.200,5 kg", LOAD(','), 5200.5, AP_UNIT_KG, 0.1},
        {"5.200,5 kg", LOAD(0), 5200.5, AP_UNIT_KG, 0.1},
        {"5.200 kg", LOAD(','), 5200, AP_UNIT_KG, 1},
        {"5.200 kg", LOAD('.'), 5.2, AP_UNIT_KG, 0.001},
        {"5\xE2\x80\xAF"
         "200 kg",
         LOAD(0), 5200, AP_UNIT_KG, 1},
        {"5\xC2\xA0"
         "200\xE2\x80\x89kg",
         LOAD(0), 5200, AP_UNIT_KG, 1},
        {"12 500,5 kg", LOAD(','), 12500.5, AP_UNIT_KG, 0.1},
        {"2.2 t", LOAD('.'), 2.2 * 907.18474, AP_UNIT_US_TON, 0.1},
        {"2 1/4 tons", LOAD('.'), 2.25 * 907.18474, AP_UNIT_US_TON, 0.25},
        {"2 tons 500 lb", LOAD('.'), 4500 * 0.45359237, AP_UNIT_LB, 1},
        {"2.2 tonnes", LOAD('.'), 2200, AP_UNIT_TONNE, 0.1},
        {"1 long ton", LOAD('.'), 1016.0469088, AP_UNIT_LONG_TON, 1},
        {"20 kN", LOAD('.'), 20000 / 9.80665, AP_UNIT_KN, 1},
        {"~4800 lbs", LOAD('.'), 4800 * 0.45359237, AP_UNIT_LB, 1},
        {"~ 4800 lbs", LOAD('.'), 4800 * 0.45359237, AP_UNIT_LB, 1},
        {"4800#", LOAD('.'), 4800 * 0.45359237, AP_UNIT_LB, 1},
        {"  4800 Lbs. ", LOAD('.'), 4800 * 0.45359237, AP_UNIT_LB, 1},
        {"5 lb 3 oz", LOAD('.'), 83 * 0.45359237 / 16, AP_UNIT_OZ, 1},
    };
    check_reads(rows, sizeof rows / sizeof rows[0]);
}

static void other_dimensions_and_defaults(void **state) {
    (void)state;
    const wanted rows[] = {
        {"4850", {AP_DIM_LOAD, AP_UNIT_LB, AP_UNIT_NONE, '.', false}, 4850 * 0.45359237, AP_UNIT_LB, 1},
        {"6.25", {AP_DIM_LENGTH, AP_UNIT_M, AP_UNIT_NONE, '.', false}, 6.25, AP_UNIT_M, 0.01},
        {"2.5", {AP_DIM_LOAD, AP_UNIT_TON, AP_UNIT_LONG_TON, '.', false}, 2.5 * 1016.0469088, AP_UNIT_LONG_TON, 0.1},
        {"2 1/2", {AP_DIM_LOAD, AP_UNIT_US_TON, AP_UNIT_NONE, '.', false}, 2.5 * 907.18474, AP_UNIT_US_TON, 0.5},
        {"45", {AP_DIM_ANGLE, AP_UNIT_DEG, AP_UNIT_NONE, '.', false}, 45, AP_UNIT_DEG, 1},
        {"45\xC2\xB0", {AP_DIM_ANGLE, AP_UNIT_NONE, AP_UNIT_NONE, '.', false}, 45, AP_UNIT_DEG, 1},
        {"0.15", {AP_DIM_SHARE, AP_UNIT_NONE, AP_UNIT_NONE, '.', false}, 0.15, AP_UNIT_ONE, 0.01},
        {"15 %", {AP_DIM_SHARE, AP_UNIT_NONE, AP_UNIT_NONE, '.', false}, 0.15, AP_UNIT_PERCENT, 1},
        {"15", {AP_DIM_SHARE, AP_UNIT_PERCENT, AP_UNIT_NONE, '.', false}, 0.15, AP_UNIT_PERCENT, 1},
        {"28 kN", {AP_DIM_FORCE, AP_UNIT_NONE, AP_UNIT_NONE, '.', false}, 28000, AP_UNIT_KN, 1},
        {"6,400 lb",
         {AP_DIM_FORCE, AP_UNIT_NONE, AP_UNIT_NONE, '.', false},
         6400 * 0.45359237 * 9.80665,
         AP_UNIT_LB,
         1},
        {"85 ft3", {AP_DIM_VOLUME, AP_UNIT_NONE, AP_UNIT_NONE, '.', false}, 85 * 0.028316846592, AP_UNIT_FT3, 1},
        {"1000 kg/m3", {AP_DIM_DENSITY, AP_UNIT_NONE, AP_UNIT_NONE, '.', false}, 1000, AP_UNIT_KG_M3, 1},
    };
    check_reads(rows, sizeof rows / sizeof rows[0]);
}

typedef struct refused {
    const char *text;
    ap_quantity_rules rules;
    const char *reason;
} refused;

static void what_is_not_one_quantity_is_refused_with_the_reason(void **state) {
    (void)state;
    const refused rows[] = {
        {"approx 2t?", LOAD('.'), "'approx 2t?' is not a weight: it is marked as uncertain"},
        {"about 4800 lb", LOAD('.'), "marked as uncertain"},
        {"4800ish", LOAD('.'), "marked as uncertain"},
        {"10-12 ft", LENGTH('.'), "'10-12 ft' is not a length: it is a range, or two values"},
        {"10\xE2\x80\x93"
         "12 ft",
         LENGTH('.'), "a range, or two values"},
        {"10 ft - 12 ft", LENGTH('.'), "a range, or two values"},
        {"10 to 12 ft", LENGTH('.'), "a range, or two values"},
        {"4800/5200", LOAD('.'), "a range, or two values"},
        {"4800 or 5200 lb", LOAD('.'), "a range, or two values"},
        {"<5000 lb", LOAD('.'), "a bound"},
        {"up to 5000 lb", LOAD('.'), "a bound"},
        {"5000 \xC2\xB1 200 lb", LOAD('.'), "a tolerance"},
        {"18 ft", LOAD('.'), "'18 ft' is not a weight: 'ft' is a unit of length"},
        {"5,200 lb", LENGTH('.'), "'5,200 lb' is not a length: 'lb' is a unit of weight"},
        {"1,234 lb", LOAD(0), "'1,234 lb' has two readings: 1234 and 1.234"},
        {"5.200 kg", LOAD(0), "two readings: 5200 and 5.2"},
        {"5,2 kg", LOAD('.'), "decimal mark is a point"},
        {"5.2 kg", LOAD(','), "decimal mark is a comma"},
        {"1,23,456 lb", LOAD('.'), "thousands"},
        {"1.234,567,8 lb", LOAD(0), "thousands"},
        {"2 tons",
         {AP_DIM_LOAD, AP_UNIT_NONE, AP_UNIT_NONE, '.', false},
         "a ton may be 2,000 lb, 2,240 lb or 1,000 kg"},
        {"4850", LOAD('.'), "'4850' has no unit, and neither the header nor the file gives one"},
        {"4850 stone", LOAD('.'), "'stone' is not a unit known here"},
        {"heavy", LOAD('.'), "it holds no number"},
        {"", LOAD('.'), "blank"},
        {"nan", LOAD('.'), "no number"},
        {"inf lb", LOAD('.'), "no number"},
        {"0x10 lb", LOAD('.'), "not a weight"},
        {"4.8e3 lb", LOAD('.'), "powers of ten"},
        {"18' 14\"", LENGTH('.'), "do not make one figure"},
        {"18.5 ft 6 in", LENGTH('.'), "not a length"},
        {"18' 61/2\"", LENGTH('.'), "not a length"},
        {"7/4 in", LENGTH('.'), "not a length"},
        {"1111111111111111111111111111111111111111111 lb", LOAD('.'), "not a weight"},
        {"12 lb 14 ft", LOAD('.'), "not a weight"},
        {"4800 lb 4900 lb", LOAD('.'), "not a weight"},
        {"4800 lb\n5200 lb", LOAD('.'), "not a weight"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ap_quantity got = {0};
        ap_refusal why;
        if (ap_quantity_read(&got, ap_str_from(rows[i].text), &rows[i].rules, &why)) {
            fail_msg("'%s' read as %g", rows[i].text, got.value);
        }
        if (!strstr(why.reason, rows[i].reason) || why.remedy[0] == '\0') {
            fail_msg("'%s': '%s' should say '%s'; remedy '%s'", rows[i].text, why.reason, rows[i].reason, why.remedy);
        }
    }
}

/* Where a setting or a profile can settle a bare ton, the remedy names both; elsewhere it says what to write. */
static void a_bare_ton_is_settled_where_it_can_be(void **state) {
    (void)state;
    ap_quantity_rules rules = {.dim = AP_DIM_LOAD, .decimal = '.'};
    ap_quantity got;
    ap_refusal why;
    assert_false(ap_quantity_read(&got, AP_STR_LIT("2.1 ton"), &rules, &why));
    assert_non_null(strstr(why.remedy, "write short tons, long tons or tonnes"));
    assert_null(strstr(why.remedy, "afterpick set"));
    rules.ton_in_settings = true;
    assert_false(ap_quantity_read(&got, AP_STR_LIT("2.1 ton"), &rules, &why));
    assert_non_null(strstr(why.remedy, "'afterpick set ton short --why TEXT' (or long, tonne)"));
    assert_non_null(strstr(why.remedy, "'ton short' in its profile"));
    rules.ton = AP_UNIT_US_TON;
    assert_true(ap_quantity_read(&got, AP_STR_LIT("2.1 ton"), &rules, &why));
}

/* Every whole number of eighths of an inch up to 30 ft, as feet and inches, comes back exactly. */
static void feet_inches_round_trip(void **state) {
    (void)state;
    const ap_quantity_rules rules = LENGTH('.');
    for (int eighths = 1; eighths <= 30 * 12 * 8; eighths++) {
        char text[64];
        int feet = eighths / 96;
        int inches = eighths / 8 % 12;
        int part = eighths % 8;
        if (part > 0) {
            snprintf(text, sizeof text, "%d' %d %d/8\"", feet, inches, part);
        } else {
            snprintf(text, sizeof text, "%d' %d\"", feet, inches);
        }
        ap_quantity got;
        ap_refusal why;
        if (!ap_quantity_read(&got, ap_str_from(text), &rules, &why)) {
            fail_msg("'%s': %s", text, why.reason);
        }
        check_close(got.value, eighths * 0.0254 / 8, 1e-14, nist);
    }
}

/* A decimal number printed with its digits reads back as the nearest double: the C library's own reading. */
static void numbers_are_read_as_the_nearest_double(void **state) {
    (void)state;
    const ap_quantity_rules rules = {AP_DIM_LOAD, AP_UNIT_KG, AP_UNIT_NONE, '.', false};
    uint64_t seed = 42;
    for (int i = 0; i < 20000; i++) {
        char text[64];
        seed = seed * 6364136223846793005u + 1442695040888963407u;
        int decimals = (int)(seed >> 40) % 13;
        snprintf(text, sizeof text, "%.*f", decimals, (double)(seed >> 20) / 1e6);
        ap_quantity got;
        assert_true(ap_quantity_read(&got, ap_str_from(text), &rules, NULL));
        if (got.value != strtod(text, NULL)) {
            fail_msg("'%s': %.17g", text, got.value);
        }
    }
}

static void units_in_headers(void **state) {
    (void)state;
    static const struct {
        const char *header, *name;
        ap_unit unit;
    } rows[] = {
        {"length_ft", "length", AP_UNIT_FT},
        {"length (ft)", "length", AP_UNIT_FT},
        {"Weight [lbs]", "Weight", AP_UNIT_LB},
        {"Weight (#)", "Weight", AP_UNIT_LB},
        {"butt dia. in", "butt dia.", AP_UNIT_IN},
        {"butt dia. in.", "butt dia.", AP_UNIT_IN},
        {"Preload kN", "Preload", AP_UNIT_KN},
        {"planned weight (metric tons)", "planned weight", AP_UNIT_TONNE},
        {"planned weight metric tons", "planned weight", AP_UNIT_TONNE},
        {"Weight, lb", "Weight", AP_UNIT_LB},
        {"weight in lb", "weight", AP_UNIT_LB},
        {"lengthFt", "length", AP_UNIT_FT},
        {"radius [m]", "radius", AP_UNIT_M},
        {"brush %", "brush", AP_UNIT_PERCENT},
        {"lean_deg", "lean", AP_UNIT_DEG},
        {"lb", "lb", AP_UNIT_LB},
        {"Pick #", "Pick #", AP_UNIT_NONE},
        {"time in", "time in", AP_UNIT_NONE},
        {"planned_weight", "planned_weight", AP_UNIT_NONE},
        {"notes (crew)", "notes (crew)", AP_UNIT_NONE},
        {"leg_1_at", "leg_1_at", AP_UNIT_NONE},
        {"fibre_left", "fibre_left", AP_UNIT_NONE},
        {"  species ", "species", AP_UNIT_NONE},
        {"", "", AP_UNIT_NONE},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ap_str name;
        ap_unit unit = ap_header_split_unit(&name, ap_str_from(rows[i].header));
        if (unit != rows[i].unit || !ap_str_equal_word(name, rows[i].name)) {
            fail_msg("'%s': unit %d name '%.*s'", rows[i].header, (int)unit, AP_STR_ARG(name));
        }
    }
}

static int teardown(void **state) {
    (void)state;
    ap_quantity_release();
    return 0;
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lengths_and_weights_of_the_trade_are_read),
        cmocka_unit_test(other_dimensions_and_defaults),
        cmocka_unit_test(what_is_not_one_quantity_is_refused_with_the_reason),
        cmocka_unit_test(a_bare_ton_is_settled_where_it_can_be),
        cmocka_unit_test(feet_inches_round_trip),
        cmocka_unit_test(numbers_are_read_as_the_nearest_double),
        cmocka_unit_test(units_in_headers),
    };
    return cmocka_run_group_tests(tests, NULL, teardown);
}
