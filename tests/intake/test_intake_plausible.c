/* The table of plausible values: every bound and every relation does what it says, just inside and just outside; and what a
 * whole file gives away. */
#include "intake/kit.h"

static void write_si(char *out, size_t size, const ap_field *field, double value) {
    const char *unit = field->kind != AP_KIND_QTY    ? ""
                       : field->dim == AP_DIM_LENGTH ? " m"
                       : field->dim == AP_DIM_LOAD   ? " kg"
                       : field->dim == AP_DIM_ANGLE  ? " deg"
                                                     : "";
    snprintf(out, size, "%.10g%s", value, unit);
}

/* One row that holds only what is needed and this one cell. */
static void import_cell(kit *k, const char *field, const char *cell) {
    static int pick = 0;
    char text[600];
    const bool weight = strcmp(field, "planned_weight") == 0;
    snprintf(text, sizeof text, "job,date,pick,species,%s%s\nJ1,2026-03-02,%d,red maple,%s%s\n",
             weight ? "" : "planned_weight,", field, ++pick, weight ? "" : "900 kg,", cell);
    kit_import_text(k, "a.csv", text);
    free(k->path[--k->paths]);
}

static bool told(const kit *k, ap_intake_problem_kind kind, const char *field, const char *reason) {
    for (size_t i = 0; i < k->result.problem_count; i++) {
        const ap_intake_problem *problem = &k->result.problems[i];
        if (problem->kind == kind && ap_str_equal_word(problem->field, field) && kit_holds(problem->reason, reason)) {
            return true;
        }
    }
    return false;
}

typedef struct bound {
    char field[40];
    bool refuse;
    double low, high;
    char reason[200];
} bound;

static size_t read_bounds(kit *k, bound *out, size_t most) {
    ap_query *query = NULL;
    bool row = false;
    size_t count = 0;
    check_ok(ap_query_open(&query, k->book, "intake_limits", &k->err), &k->err);
    check_ok(ap_query_step(&row, query, &k->err), &k->err);
    while (row) {
        assert_true(count < most);
        const ap_str name = ap_query_text(query, 0);
        const ap_str reason = ap_query_text(query, 4);
        bound *b = &out[count++];
        if (kit_holds(name, "leg_i_")) {
            snprintf(b->field, sizeof b->field, "leg_3_%.*s", (int)name.len - 6, name.ptr + 6);
        } else {
            snprintf(b->field, sizeof b->field, "%.*s", AP_STR_ARG(name));
        }
        b->refuse = ap_str_equal_word(ap_query_text(query, 1), "refuse");
        b->low = ap_query_real(query, 2);
        b->high = ap_query_real(query, 3);
        snprintf(b->reason, sizeof b->reason, "%.*s", AP_STR_ARG(reason));
        check_ok(ap_query_step(&row, query, &k->err), &k->err);
    }
    ap_query_close(query);
    return count;
}

static void check_bound(kit *k, const bound *b, double edge, double step) {
    const ap_field *field = ap_field_get(ap_field_find(ap_str_from(b->field)));
    const ap_intake_problem_kind kind = b->refuse ? AP_INTAKE_SET_ASIDE : AP_INTAKE_WARNING;
    char cell[64];
    write_si(cell, sizeof cell, field, edge);
    import_cell(k, b->field, cell);
    if (told(k, kind, b->field, b->reason)) {
        fail_msg("%s: %s at its bound is told", b->field, cell);
    }
    write_si(cell, sizeof cell, field, edge + step);
    import_cell(k, b->field, cell);
    /* Beyond a warning may lie nothing a cell can hold (a negative count is no count): then it was set aside anyhow. */
    if (!told(k, kind, b->field, b->reason) && k->result.totals.set_aside == 0) {
        fail_msg("%s: %s beyond its bound is not told", b->field, cell);
    }
    if (b->refuse) {
        assert_int_equal(k->result.totals.set_aside, 1);
    }
}

static void test_every_bound(void **state) {
    kit *k = *state;
    bound bounds[128];
    const size_t count = read_bounds(k, bounds, 128);
    assert_true(count > 40);
    for (size_t i = 0; i < count; i++) {
        const bound *b = &bounds[i];
        const int column = ap_field_find(ap_str_from(b->field));
        assert_true(column >= 0);
        if (column == AP_F_date) {
            continue; /* test_intake_dates.c */
        }
        const bool count_kind = ap_field_get(column)->kind == AP_KIND_COUNT;
        if (!isnan(b->low)) {
            check_bound(k, b, b->low, count_kind ? -1 : -0.001);
        }
        if (!isnan(b->high)) {
            check_bound(k, b, b->high, count_kind ? 1 : 0.001 + 1e-6 * b->high);
        }
    }
}

static void test_examples(void **state) {
    kit *k = *state;
    import_cell(k, "length", "400 ft");
    kit_one(k, AP_INTAKE_SET_ASIDE, 2, 6, "length", "'400 ft' is above 60 m (197 ft)");
    import_cell(k, "planned_weight", "900 tonnes");
    kit_one(k, AP_INTAKE_SET_ASIDE, 2, 5, "planned_weight", "is above 100000 kg");
    import_cell(k, "lean", "95");
    kit_one(k, AP_INTAKE_SET_ASIDE, 2, 6, "lean", "is above 90 degrees");
}

static void relation(kit *k, const char *columns, const char *cells, bool refuse, const char *field, const char *says) {
    static int pick = 1000;
    char text[600];
    snprintf(text, sizeof text, "job,date,pick,species,%s\nJ1,2026-03-02,%d,red maple,%s\n", columns, ++pick, cells);
    kit_import_text(k, "a.csv", text);
    free(k->path[--k->paths]);
    assert_int_equal(k->result.totals.set_aside, refuse ? 1 : 0);
    assert_int_equal(k->result.totals.stored, refuse ? 0 : 1);
    if (!told(k, refuse ? AP_INTAKE_SET_ASIDE : AP_INTAKE_WARNING, field, says)) {
        fail_msg("%s / %s: not told that %s", columns, cells, says);
    }
}

static void test_relations(void **state) {
    kit *k = *state;
    relation(k, "planned_weight_lb,butt_diameter_in,tip_diameter_in", "4800,16,24", true, "tip_diameter",
             "much thicker than the butt");
    relation(k, "planned_weight_lb,butt_diameter_in,tip_diameter_in", "4800,16,17", false, "tip_diameter",
             "thicker than the butt");
    relation(k, "planned_weight_lb,length_ft,balance_point_ft", "4800,18,18.5", true, "balance_point",
             "beyond the end");
    relation(k, "planned_weight_lb,length_ft,leg_2_at_ft", "4800,18,19", true, "leg_2_at", "attached off the end");
    relation(k, "measured_weight_lb,measured_as,rigging_weight_lb", "300,gross,350", true, "rigging_weight",
             "less than its block and slings");
    relation(k, "measured_weight_lb,measured_as,rigging_weight_lb", "300,net,350", false, "rigging_weight",
             "net and gross mixed up");
    relation(k, "planned_weight_lb,measured_weight_lb,measured_as", "9000,4000,gross", false, "planned_weight",
             "below half the net weight planned");
    relation(k, "measured_weight_lb,measured_as,peak_load_lb", "5000,gross,4000", false, "measured_weight",
             "peak load is below");
    relation(k, "planned_weight_lb,preload_lb,peak_load_lb", "5000,4500,4000", false, "preload",
             "peak load is below the preload");
    relation(k, "planned_weight_lb,butt_diameter_in,length_ft", "4800,30,2", false, "butt_diameter",
             "thicker than it is long");
}

/* Equal is not more: 20 in is 0.508 m however it is written. */
static void test_a_tie_is_no_fault(void **state) {
    kit *k = *state;
    kit_import_text(k, "a.csv",
                    "job,date,pick,species,planned_weight_lb,butt_diameter,tip_diameter,length,leg_1_at\n"
                    "J1,2026-03-02,1,red maple,4800,20 in,50.8 cm,18 ft,5.4864 m\n");
    assert_int_equal(k->result.totals.stored, 1);
    assert_int_equal(k->result.warnings, 0);
}

static void whole(kit *k, const char *header, const char *row, const char *says) {
    ap_buf text;
    ap_buf_init(&text, 1 << 20);
    ap_buf_appendf(&text, "job,date,pick,species,%s\n", header);
    for (int i = 0; i < 24; i++) {
        ap_buf_appendf(&text, "%c%zu,2026-03-02,%d,red maple,", 'A', k->paths, i);
        ap_buf_appendf(&text, "%s\n", row);
    }
    check_ok(kit_import(k, kit_log_bytes(k, "w.csv", text.ptr, text.len)), &k->err);
    ap_buf_release(&text);
    size_t lines = 0;
    bool said = false;
    for (size_t i = 0; i < k->result.problem_count; i++) {
        if (k->result.problems[i].kind == AP_INTAKE_WARNING && k->result.problems[i].line == 0) {
            /* The rows of these tests are all alike, and that is said too. */
            lines += !kit_holds(k->result.problems[i].reason, "copied down");
            said = said || (says && kit_holds(k->result.problems[i].reason, says));
        }
    }
    if (says ? !said : lines != 0) {
        fail_msg("%s / %s: %zu words about the file, wanted: %s", header, row, lines, says ? says : "none");
    }
}

/* Imports `text` and looks for a word about the file that says `says`; with `wanted` false it must not be there. */
static void whole_text(kit *k, const char *text, const char *says, bool wanted) {
    check_ok(kit_import(k, kit_log_bytes(k, "w.csv", text, strlen(text))), &k->err);
    bool said = false;
    for (size_t i = 0; i < k->result.problem_count; i++) {
        said = said || (k->result.problems[i].line == 0 && kit_holds(k->result.problems[i].reason, says));
    }
    if (said != wanted) {
        fail_msg("%s '%s'", wanted ? "nothing says" : "something says", says);
    }
}

static void test_one_value_copied_down(void **state) {
    kit *k = *state;
    whole_text(k,
               "job,date,pick,species,planned_weight_lb,measured_weight_lb,measured_as\n"
               "C1,2026-03-02,1,red maple,1800,1950,net\nC1,2026-03-02,2,red maple,2400,1950,net\n"
               "C1,2026-03-02,3,red maple,1100,1950,net\nC1,2026-03-02,4,red maple,1100,1200,net\n",
               "copied down", false);
    whole_text(k,
               "job,date,pick,species,planned_weight_lb,measured_weight_lb,measured_as\n"
               "C2,2026-03-02,1,red maple,900,1000,net\nC2,2026-03-02,2,red maple,1800,1950,net\n"
               "C2,2026-03-02,3,red maple,2400,1950,net\nC2,2026-03-02,4,red maple,1100,1950,net\n"
               "C2,2026-03-02,5,red maple,1700,1950,net\n",
               "stands in 4 rows in a row, from line 3", true);
}

static void test_gross_labelled_net(void **state) {
    kit *k = *state;
    for (int gross = 0; gross < 2; gross++) {
        ap_buf text;
        ap_buf_init(&text, 1 << 16);
        ap_buf_append_cstr(
            &text, "job,date,pick,species,planned_weight_lb,measured_weight_lb,measured_as,rigging_weight_lb\n");
        for (int i = 0; i < 12; i++) {
            int planned = 500 + 40 * i;
            int error = (i % 3 - 1) * planned / 20; /* five in a hundred either way */
            ap_buf_appendf(&text, "G%d,2026-03-02,%d,red maple,%d,%d,net,400\n", gross, i, planned,
                           planned + error + (gross ? 400 : 0));
        }
        whole_text(k, text.ptr, "gross weights written as net", gross != 0);
        ap_buf_release(&text);
    }
}

static void test_day_and_month_swapped(void **state) {
    kit *k = *state;
    for (int swapped = 0; swapped < 2; swapped++) {
        ap_buf text;
        ap_buf_init(&text, 1 << 16);
        ap_buf_append_cstr(&text, "job,date,pick,species,planned_weight_lb\n");
        for (int i = 0; i < 12; i++) {
            int day = 1 + i / 3; /* the first four days of March, three picks each */
            ap_buf_appendf(&text, "D%d,2026-%02d-%02d,%d,red maple,1800\n", swapped, swapped ? day : 3,
                           swapped ? 3 : day, i);
        }
        whole_text(k, text.ptr, "day and month swapped", swapped != 0);
        ap_buf_release(&text);
    }
}

static void test_whole_file_in_the_wrong_unit(void **state) {
    kit *k = *state;
    const char *columns = "planned_weight_lb,measured_weight_lb,measured_as";
    whole(k, columns, "4800,5000,net", NULL);
    whole(k, columns, "2200,4850,net", "about 2.2 times planned");
    whole(k, columns, "4850,2200,net", "about 0.45 times planned");
    whole(k, columns, "4850,4000,gross", "below the net weight planned");
    whole(k, columns, "4831,4900,net", "the two columns may be mixed up");
    /* A green red maple piece: 18 ft of 24 to 16 in hold 40 cubic feet and weigh about 1.9 thousand pounds. */
    const char *stem = "measured_weight_lb,measured_as,length_ft,butt_diameter_in,tip_diameter_in";
    whole(k, stem, "1950,net,18,24,16", NULL);
    whole(k, stem, "1950,net,5.5,24,16", "metres read as feet");
    whole(k, stem, "1950,net,18,61,41", "centimetres read as inches");
    whole(k, stem, "885,net,18,24,16", "kilograms read as pounds");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_every_bound, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_examples, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_relations, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_a_tie_is_no_fault, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_whole_file_in_the_wrong_unit, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_one_value_copied_down, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_gross_labelled_net, kit_setup, kit_teardown),
        cmocka_unit_test_setup_teardown(test_day_and_month_swapped, kit_setup, kit_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
