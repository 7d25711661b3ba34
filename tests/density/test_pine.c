/* The main job on real weighed wood: ../shared/reference/open/weighed_pine_pieces.csv (LegacyTreeData, Radtke et al., DOI
 * 10.7294/W4VD6WC6) imported by the program itself with a profile, planned at the reference density. Southern pine is no
 * city oak: this checks the arithmetic and the refinement. Not run where the folder is absent. */
#include <gsl/gsl_multifit.h>

#include "analysis/density_study.h"
#include "base/sink.h"
#include "intake/intake.h"
#include "support/check.h"

#define PIECES "../shared/reference/open/weighed_pine_pieces.csv"

/* Wood and bark, green, as printed in the US Forest Service FIA table REF_SPECIES; the ratios measured / planned that the
 * README of the reference values gives: exp(mean ln), conic volume. */
enum { PINES = 2 };
static const struct {
    int code;
    const char *common;
    double lb_ft3, not_butts, butts;
} pines[PINES] = {{131, "loblolly pine", 51.3, 1.127, 0.825}, {111, "slash pine", 55.4, 1.074, 0.866}};

typedef struct pine {
    char folder[200];
    ap_book *book;
    ap_roster roster;
    ap_arena arena;
    ap_density_picks picks;
    check_table pieces;
    size_t impossible; /* rows of the table whose tip is thicker than their butt */
} pine;

static ap_error err;
static pine *it; /* NULL: the folder is absent */

static double cell(size_t row, const char *column) {
    return check_table_number(&it->pieces, row, column);
}

static size_t pine_of(size_t row) {
    return cell(row, "spcd") == pines[0].code ? 0 : 1;
}

/* Frustum of a cone, inches and feet -> ft3: pi/12 L (D^2 + D d + d^2) / 144. */
static double conic_ft3(size_t row) {
    double butt = cell(row, "d_large_ob_in"), tip = cell(row, "d_small_ob_in");
    return 3.14159265358979323846 / 12 * cell(row, "length_ft") * (butt * butt + butt * tip + tip * tip) / 144;
}

/* Such a piece has no volume: the import warns, the model counts it apart. */
static bool tip_is_thicker(size_t row) {
    return cell(row, "d_small_ob_in") > cell(row, "d_large_ob_in");
}

static ap_str read_all(ap_arena *arena, const char *path) {
    FILE *in = fopen(path, "rb");
    char *text = ap_arena_alloc(arena, 1 << 20);
    assert_non_null(in);
    size_t len = fread(text, 1, (1 << 20) - 1, in);
    assert_int_equal(fclose(in), 0);
    return (ap_str){text, len};
}

/* The table with one column more: what somebody with a calculator and the reference density would have planned. */
static void write_log(const char *path) {
    ap_str rest = read_all(&it->arena, PIECES);
    FILE *out = fopen(path, "wb");
    assert_non_null(out);
    ap_str line = ap_str_split(rest, '\n', &rest);
    fprintf(out, "%.*s,planned_lb\n", AP_STR_ARG(ap_str_trim(line)));
    for (size_t row = 0; row < it->pieces.rows; row++) {
        line = ap_str_trim(ap_str_split(rest, '\n', &rest));
        fprintf(out, "%.*s,%.6f\n", AP_STR_ARG(line), conic_ft3(row) * pines[pine_of(row)].lb_ft3);
        it->impossible += tip_is_thicker(row);
    }
    assert_int_equal(fclose(out), 0);
}

static void import(const char *log) {
    ap_profile *profile = NULL;
    ap_intake_result result;
    ap_intake_options options = {.author = {.role = AP_STR_LIT("estimator")}, .no_copy = true};
    assert_true(ap_date_from_civil(&options.author.today, 2026, 11, 25));
    check_ok(ap_profile_read(&profile, read_all(&it->arena, "tests/density/pine.profile"), "pine.profile", &err), &err);
    options.profile = profile;
    ap_intake_result_init(&result);
    check_ok(ap_intake_files(&result, it->book, &log, 1, &options, &err), &err);
    ap_intake_result_release(&result);
    ap_profile_free(profile);
}

static int setup(void **state) {
    (void)state;
    char path[256];
    FILE *there = fopen(PIECES, "rb");
    if (!there) {
        print_message("density on weighed pine: not run (no " PIECES ")\n");
        return 0;
    }
    (void)fclose(there);
    it = calloc(1, sizeof *it);
    assert_non_null(it);
    ap_arena_init(&it->arena, 64u << 20);
    check_folder_make(it->folder, sizeof it->folder);
    snprintf(path, sizeof path, "%s/pine.book", it->folder);
    check_ok(ap_book_open(&it->book, path, AP_BOOK_CREATE, &err), &err);
    check_table_load(&it->pieces, PIECES);
    snprintf(path, sizeof path, "%s/pine.csv", it->folder);
    write_log(path);
    import(path);
    check_ok(ap_roster_load(&it->roster, it->book, AP_DATE_NONE, false, &err), &err);
    check_ok(ap_density_picks_take(&it->picks, &it->roster, 0, it->roster.count, &err), &err);
    return 0;
}

static int teardown(void **state) {
    (void)state;
    if (it) {
        ap_density_picks_release(&it->picks);
        ap_roster_release(&it->roster);
        check_table_release(&it->pieces);
        ap_book_close(it->book);
        check_folder_remove(it->folder);
        ap_arena_release(&it->arena);
        free(it);
    }
    return 0;
}

/* The fact of a row of the table, by its name "STUDY/TREE/PIECE". */
static const ap_fact *fact_of(size_t row) {
    char name[128];
    snprintf(name, sizeof name, "%.*s/%.*s/%.0f", AP_STR_ARG(check_table_get(&it->pieces, row, "study")),
             AP_STR_ARG(check_table_get(&it->pieces, row, "tree")), cell(row, "piece"));
    for (size_t i = 0; i < it->roster.count; i++) {
        if (strcmp(it->roster.facts[i].rest->name, name) == 0) {
            return &it->roster.facts[i];
        }
    }
    return NULL;
}

/* Nothing lost on the way in, and the ratios before refinement are those that were worked out by others. */
static void test_before(void **state) {
    (void)state;
    if (!it) {
        return;
    }
    double sum[PINES][2] = {{0}}, count[PINES][2] = {{0}};
    assert_int_equal(it->roster.count, it->pieces.rows);
    for (size_t row = 0; row < it->pieces.rows; row++) {
        const ap_fact *fact = fact_of(row);
        assert_non_null(fact);
        assert_int_equal(fact->compared, AP_COMPARED);
        int butt = cell(row, "butt") > 0;
        sum[pine_of(row)][butt] += fact->log_error;
        count[pine_of(row)][butt] += 1;
        assert_true(isnan(fact->rest->volume_m3) == tip_is_thicker(row));
        if (!isnan(fact->rest->volume_m3)) {
            check_close(fact->rest->volume_m3, conic_ft3(row) * 0.028316846592, 1e-9, "frustum of a cone; ft3 exactly");
        }
    }
    for (size_t p = 0; p < PINES; p++) {
        check_close(exp(sum[p][0] / count[p][0]), pines[p].not_butts, 5e-4,
                    "README of the reference values, not butts");
        check_close(exp(sum[p][1] / count[p][1]), pines[p].butts, 5e-4, "README of the reference values, butts");
    }
}

static void test_evidence(void **state) {
    (void)state;
    if (!it) {
        return;
    }
    assert_int_equal(it->picks.count, it->pieces.rows - it->impossible);
    assert_int_equal(it->picks.unused[AP_DENSITY_IMPOSSIBLE], it->impossible);
    size_t wrong = 0;
    for (size_t row = 0; row < it->pieces.rows; row++) {
        wrong += (fact_of(row)->wood & AP_FACT_BUTT) != (cell(row, "butt") > 0);
    }
    /* Six trees lack their butt piece in the table: the thickest piece of each is taken for it. */
    assert_int_equal(wrong, 6);
    for (size_t i = 0; i < it->picks.count; i++) { /* the plan at the reference density is the handbook's weight */
        const ap_density_pick *pick = &it->picks.items[i];
        check_close(pick->y, it->roster.facts[pick->fact].log_error, 2e-3, "printed lb/ft3 against the book's kg/m3");
    }
}

/* Plain least squares of y on the two species and the butts by the GNU Scientific Library. */
static void least_squares(double answer[PINES + 1]) {
    size_t n = it->picks.count;
    gsl_matrix *x = gsl_matrix_calloc(n, PINES + 1), *cov = gsl_matrix_alloc(PINES + 1, PINES + 1);
    gsl_vector *y = gsl_vector_alloc(n), *c = gsl_vector_alloc(PINES + 1);
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(n, PINES + 1);
    double chisq;
    for (size_t i = 0; i < n; i++) {
        const ap_density_pick *pick = &it->picks.items[i];
        gsl_matrix_set(x, i, it->picks.species[pick->species]->id == pines[0].code ? 0 : 1, 1);
        gsl_matrix_set(x, i, PINES, pick->butt);
        gsl_vector_set(y, i, pick->y);
    }
    assert_int_equal(gsl_multifit_linear(x, y, c, cov, &chisq, work), 0);
    for (size_t k = 0; k <= PINES; k++) {
        answer[k] = gsl_vector_get(c, k);
    }
    gsl_multifit_linear_free(work);
    gsl_matrix_free(x);
    gsl_matrix_free(cov);
    gsl_vector_free(y);
    gsl_vector_free(c);
}

static double shift_of(const ap_density *density, size_t p) {
    return ap_density_shift(density, ap_intern_find(it->roster.labels[AP_BY_SPECIES], ap_str_from(pines[p].common)));
}

static void test_two_roads(void **state) {
    (void)state;
    if (!it) {
        return;
    }
    double plain[PINES + 1];
    least_squares(plain);
    /* Priors that say nothing; a common instrument shift can not be told from the species then, so it is left out. */
    const ap_density_priors wide = {
        .species_sd = 100, .weak_sd = 100, .butt_sd = 100, .condition_sd = 100, .brush_sd = 100};
    ap_density free_of_priors, density;
    check_ok(ap_density_fit(&free_of_priors, &it->arena, &it->picks, it->picks.count, &wide, &err), &err);
    check_ok(ap_density_fit(&density, &it->arena, &it->picks, it->picks.count, &ap_density_priors_default, &err), &err);
    check_ok(ap_density_judge(&density, &it->arena, &it->picks, &ap_density_priors_default, &err), &err);
    assert_false(density.assumed);
    for (size_t p = 0; p < PINES; p++) {
        check_close(shift_of(&free_of_priors, p), plain[p], 1e-8, "plain least squares, GSL multifit");
        assert_true(shift_of(&density, p) > 0 && shift_of(&density, p) < plain[p]);
    }
    for (size_t s = 0; s < density.species_count; s++) {
        const ap_density_species *row = &density.species[s];
        assert_false(row->conflict);
    }
    ap_density_release(&free_of_priors);
    ap_density_release(&density);
}

/* Planned at the handbook's figure, then with the figure that the other trees give: the error of trees that had no part in
 * it is smaller. */
static void test_left_out(void **state) {
    (void)state;
    if (!it) {
        return;
    }
    ap_density_study study;
    check_ok(ap_density_study_run(&study, &it->arena, &it->roster, 0, &err), &err);
    assert_int_equal(study.density.species_count, PINES);
    for (size_t s = 0; s < PINES; s++) {
        const ap_reestimate_species *plans = &study.plans.species[s];
        const ap_held_line *before = &plans->tree.before, *after = &plans->tree.after;
        assert_true(before->picks == after->picks && before->picks > 600);
        assert_true(after->bias * after->bias + after->sd * after->sd <
                    before->bias * before->bias + before->sd * before->sd);
        assert_true(fabs(after->bias) < fabs(before->bias));
        assert_true(after->heavier < before->heavier);
        assert_true(plans->tree.gain_low > 0);
        assert_int_equal(plans->verdict, AP_DENSITY_HEAVIER);
    }
    ap_density_study_release(&study);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_before),   cmocka_unit_test(test_evidence), cmocka_unit_test(test_two_roads),
        cmocka_unit_test(test_left_out), cmocka_unit_test(test_left_out),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
