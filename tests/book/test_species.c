/* The handbook's species: all of them, to the digits the source prints, and every way to write a name. */
#include "book/species.h"
#include "support/book_fixture.h"

#define LB_FT3 16.018463373960142 /* kg/m3: 0.45359237 kg / (0.3048 m)^3, NIST SP 811 B.8 */
static const char fia[] = "FIA REF_SPECIES (Miles and Smith 2009, NRS-38)";
static const char handbook[] = "Wood Handbook FPL-GTR-282 Eq 4-3, 4-14";

static const ap_species *find(book_fixture *it, const char *name) {
    ap_error err;
    const ap_species *species = NULL;
    ap_error_clear(&err);
    check_ok(ap_book_species_find(&species, it->book, ap_str_from(name), &err), &err);
    return species;
}

static void test_all_130(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    check_table table;
    fixture_make(&it);
    check_table_load(&table, "tests/book/species_reference.csv");
    assert_int_equal(table.rows, 130);
    for (size_t i = 0; i < table.rows; i++) {
        const ap_species *species = NULL;
        int64_t id = (int64_t)check_table_number(&table, i, "spcd");
        check_ok(ap_book_species_get(&species, it.book, id, &err), &err);
        ap_str common = check_table_get(&table, i, "common");
        assert_true(ap_str_equal(species->common, common));
        assert_true(ap_str_equal(species->scientific, check_table_get(&table, i, "scientific")));
        assert_true(ap_str_equal(species->symbol, check_table_get(&table, i, "symbol")));
        double wood = check_table_number(&table, i, "wood_lb_ft3");
        double bark = check_table_number(&table, i, "bark_lb_ft3");
        double whole = check_table_number(&table, i, "wood_bark_lb_ft3");
        double volume = check_table_number(&table, i, "bark_volume_pct");
        double gravity = check_table_number(&table, i, "gravity");
        double moisture = check_table_number(&table, i, "moisture_pct");
        /* Half the last printed digit. */
        check_close(species->wood_density_kg_m3 / LB_FT3, wood, 1e-9, fia);
        check_close(species->density_kg_m3 / LB_FT3, whole, 1e-9, fia);
        check_close(species->gravity, gravity, 0, fia);
        check_close(species->moisture_pct, moisture, 0, fia);
        check_close(species->bark_volume_pct, volume, 0, fia);
        assert_int_equal(species->placeholder, check_table_number(&table, i, "placeholder") > 0);
        /* Wood and bark over the volume outside bark; the table prints its last digit from unrounded parts. */
        check_close(species->density_kg_m3 / LB_FT3, (100 * wood + volume * bark) / (100 + volume), 0.15, fia);
        /* Eq 4-14: 1000 G (1 + MC/100); G has two digits, so the product is known to half a hundredth of G. */
        check_close(species->wood_density_kg_m3, 1000 * gravity * (1 + moisture / 100),
                    0.005 * 1000 * (1 + moisture / 100) + 9, handbook);
        check_close(species->ceiling_kg_m3, 1000 * (1 + 0.351 * gravity), 1e-6, handbook);
        check_close(species->ceiling_kg_m3 / LB_FT3, check_table_number(&table, i, "ceiling_lb_ft3"), 0.1, handbook);
        assert_true(species->source.len > 0);
        /* Its own three names lead back to it. */
        const ap_str own[] = {species->common, species->scientific, species->symbol};
        for (size_t n = 0; n < 3; n++) {
            const ap_species *back = NULL;
            check_ok(ap_book_species_find(&back, it.book, own[n], &err), &err);
            assert_ptr_equal(back, species);
        }
    }
    check_table_release(&table);
    fixture_remove(&it);
}

/* Names of the trade: common practice, no source. */
static void test_names(void **state) {
    (void)state;
    static const char *const names[][2] = {
        {"red oak", "northern red oak"},
        {"N. red oak", "northern red oak"},
        {"n red oak", "northern red oak"},
        {"QURU", "northern red oak"},
        {"quercus rubra", "northern red oak"},
        {"Q. rubra", "northern red oak"},
        {"Oak, northern red", "northern red oak"},
        {"NORTHERN  RED-OAK", "northern red oak"},
        {"tulip poplar", "yellow-poplar"},
        {"tuliptree", "yellow-poplar"},
        {"Yellow Poplar", "yellow-poplar"},
        {"silver maple", "silver maple"},
        {"maple, silver", "silver maple"},
        {"sugar maple", "sugar maple"},
        {"hard maple", "sugar maple"},
        {"sycamore", "American sycamore"},
        {"cottonwood", "eastern cottonwood"},
        {"honeylocust", "honeylocust"},
        {"honey locust", "honeylocust"},
        {"Douglas fir", "Douglas-fir"},
        {"E. white pine", "eastern white pine"},
        {"Austrian pine", "Austrian pine"},
        {"elm", "elm spp."},
        {"box elder", "boxelder"},
    };
    book_fixture it;
    fixture_make(&it);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        for (int again = 0; again < 2; again++) { /* the second time from memory */
            check_str(find(&it, names[i][0])->common, names[i][1]);
        }
    }
    fixture_remove(&it);
}

static void test_never_chosen_in_silence(void **state) {
    (void)state;
    static const char *const names[][2] = {
        {"ash", "white ash, green ash or black ash"},
        {"cedar", "eastern redcedar"},
        {"poplar", "yellow-poplar"},
        {"ironwood", "eastern hophornbeam or American hornbeam"},
        {"soft maple", "silver maple or red maple"},
        {"Oak", "and 14 more"},
        {"locust", "black locust or honeylocust"},
        {"A. x", "not known"},
    };
    book_fixture it;
    ap_error err;
    const ap_species *species = NULL;
    fixture_make(&it);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        ap_status want = strcmp(names[i][1], "not known") == 0 ? AP_E_NOT_FOUND : AP_E_AMBIGUOUS;
        check_refused(ap_book_species_find(&species, it.book, ap_str_from(names[i][0]), &err), want, &err, names[i][1]);
        assert_null(species);
    }
    fixture_remove(&it);
}

static void test_near_names(void **state) {
    (void)state;
    static const char *const names[][2] = {
        {"sivler maple", "'silver maple'"},
        {"red oka", "'northern red oak'"},
        {"sycamoer", "'American sycamore'"},
        {"norway mapel", "'Norway maple'"},
        {"flying saucer", "lists all"},
        {"", "is not a name"},
        {" .-", "is not a name"},
        {"sug maple", "near names are 'sugar maple'"},
        {"w. oak", "near names are 'white oak', 'willow oak', 'water oak'"}, /* shortened, before what is misspelt */
    };
    book_fixture it;
    ap_error err;
    const ap_species *species = NULL;
    fixture_make(&it);
    check_ok(ap_book_species_near(&species, it.book, AP_STR_LIT("Silv. Maple"), &err), &err);
    check_str(species->common, "silver maple");
    check_ok(ap_book_species_near(&species, it.book, AP_STR_LIT("w. oak"), &err), &err);
    assert_null(species); /* one of three */
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        check_refused(ap_book_species_find(&species, it.book, ap_str_from(names[i][0]), &err), AP_E_NOT_FOUND, &err,
                      names[i][1]);
    }
    char longest[3000];
    memset(longest, 'x', sizeof longest);
    check_refused(ap_book_species_find(&species, it.book, (ap_str){longest, sizeof longest}, &err), AP_E_NOT_FOUND,
                  &err, "xxx...' is too long for a name: 96 letters and digits at most");
    const ap_book_author author = {.role = AP_STR_LIT("t")};
    const ap_species whole = {.common = {longest, 300}};
    check_refused(ap_book_species_add(it.book, &whole, AP_STR_LIT("x"), &author, &err), AP_E_INPUT, &err,
                  "xxx...' is too long for a name: 96 letters and digits at most");
    const ap_species none = {.common = AP_STR_LIT("...")};
    check_refused(ap_book_species_add(it.book, &none, AP_STR_LIT("x"), &author, &err), AP_E_INPUT, &err,
                  "'...' is no name: write letters");
    check_refused(ap_book_species_get(&species, it.book, 99999, &err), AP_E_NOT_FOUND, &err, "99999");
    fixture_remove(&it);
}

/* Every key in the table is the key the program makes of the name beside it: a lookup by that name finds the row. */
static void test_keys(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    ap_query *query = NULL;
    bool row = false;
    int count = 0;
    fixture_make(&it);
    check_ok(ap_query_open(&query, it.book, "species_names", &err), &err);
    check_ok(ap_query_step(&row, query, &err), &err);
    for (; row; count++) {
        const ap_species *species = NULL;
        ap_status status = ap_book_species_find(&species, it.book, ap_query_text(query, 1), &err);
        if (status != AP_OK && status != AP_E_AMBIGUOUS) {
            fail_msg("%s", err.text);
        }
        check_ok(ap_query_step(&row, query, &err), &err);
    }
    assert_true(count > 700);
    ap_query_close(query);
    fixture_remove(&it);
}

/* Heartwood and sapwood of Table 4-1. A name of the table that this book does not have, or has as several, is skipped. */
static void test_heartwood_and_sapwood(void **state) {
    (void)state;
    book_fixture it;
    check_table table;
    size_t met = 0;
    fixture_make(&it);
    check_table_load(&table, "tests/book/wood_handbook_table4_1.csv");
    for (size_t i = 0; i < table.rows; i++) {
        ap_error err;
        const ap_species *species = NULL;
        ap_error_clear(&err);
        if (ap_book_species_find(&species, it.book, check_table_get(&table, i, "species"), &err) != AP_OK) {
            continue;
        }
        static const char source[] = "Wood Handbook FPL-GTR-282 Table 4-1";
        double heart = check_table_number(&table, i, "heartwood_mc_pct");
        double sap = check_table_number(&table, i, "sapwood_mc_pct");
        if (isnan(species->heartwood_moisture_pct) && isnan(species->sapwood_moisture_pct)) {
            continue;
        }
        bool recalled = ap_str_equal_word(check_table_get(&table, i, "status"), "RECALLED");
        assert_int_equal(species->moisture_recalled, recalled);
        assert_int_equal(isnan(species->heartwood_moisture_pct) != 0, isnan(heart) != 0);
        assert_int_equal(isnan(species->sapwood_moisture_pct) != 0, isnan(sap) != 0);
        if (!isnan(heart)) {
            check_close(species->heartwood_moisture_pct, heart, 0, source);
        }
        if (!isnan(sap)) {
            check_close(species->sapwood_moisture_pct, sap, 0, source);
        }
        met++;
    }
    assert_true(met >= 40);
    check_table_release(&table);
    fixture_remove(&it);
}

static void test_species_of_ones_own(void **state) {
    (void)state;
    book_fixture it;
    ap_error err;
    fixture_make(&it);
    ap_book_author author = fixture_author();
    ap_error_clear(&err);
    ap_species given = {.common = AP_STR_LIT("Norfolk pine"),
                        .gravity = 0.42,
                        .moisture_pct = 95,
                        .density_kg_m3 = 819, /* Eq 4-14: 1000 x 0.42 x 1.95 */
                        .ceiling_kg_m3 = 1147.3,
                        .source = AP_STR_LIT("invented")};
    check_ok(ap_book_begin(it.book, &err), &err);
    check_ok(ap_book_species_add(it.book, &given, AP_STR_LIT("none in the table"), &author, &err), &err);
    const ap_species *species = find(&it, "norfolk-PINE");
    assert_int_equal(species->id, AP_SPECIES_OWN_FIRST);
    assert_true(species->placeholder && !species->hardwood && isnan(species->bark_density_kg_m3));
    check_close(species->density_kg_m3, 819, 1e-9, handbook);
    assert_string_equal(ap_species_weak_text(species), "entered by hand");
    check_refused(ap_book_species_add(it.book, &given, AP_STR_LIT("x"), &author, &err), AP_E_AMBIGUOUS, &err,
                  "already");
    given.common = AP_STR_LIT("cedar");
    check_refused(ap_book_species_add(it.book, &given, AP_STR_LIT("x"), &author, &err), AP_E_AMBIGUOUS, &err,
                  "already");
    given.common = AP_STR_LIT(" - ");
    check_refused(ap_book_species_add(it.book, &given, AP_STR_LIT("x"), &author, &err), AP_E_INPUT, &err, "no name");
    given.common = AP_STR_LIT("holm");
    check_ok(ap_book_species_add(it.book, &given, AP_STR_LIT("x"), &author, &err), &err);
    assert_int_equal(find(&it, "holm")->id, AP_SPECIES_OWN_FIRST + 1);
    check_ok(ap_book_commit(it.book, &err), &err);
    fixture_remove(&it);
}

/* The species without a book are those of a new book. */
static void test_seed_without_a_book(void **state) {
    (void)state;
    ap_book *book = NULL;
    ap_error err;
    const ap_species *species = NULL;
    ap_error_clear(&err);
    check_ok(ap_book_open_seed(&book, &err), &err);
    check_ok(ap_book_species_find(&species, book, AP_STR_LIT("white oak"), &err), &err);
    check_close(species->density_kg_m3 / LB_FT3, 63.4, 1e-9, fia);
    check_close(species->bark_density_kg_m3 / LB_FT3, 66.0, 1e-9, fia);
    check_refused(ap_book_species_find(&species, book, AP_STR_LIT("cedar"), &err), AP_E_AMBIGUOUS, &err, "redcedar");
    ap_book_close(book);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_all_130),
        cmocka_unit_test(test_heartwood_and_sapwood),
        cmocka_unit_test(test_species_of_ones_own),
        cmocka_unit_test(test_seed_without_a_book),
        cmocka_unit_test(test_names),
        cmocka_unit_test(test_never_chosen_in_silence),
        cmocka_unit_test(test_near_names),
        cmocka_unit_test(test_keys),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
