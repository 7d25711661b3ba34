/* Figures through the real gnuplot: hostile labels, any number of rows, unique ids, every format. */
#include <unistd.h>

#include "base/asset.h"
#include "base/child.h"
#include "base/sink.h"
#include "figures.h"

enum { DEADLINE_MS = 60000 };

static char folder[256];
static char canary[300];

static int setup(void **state) {
    (void)state;
    check_folder_make(folder, sizeof folder);
    snprintf(canary, sizeof canary, "%s/canary", folder);
    return 0;
}

static int teardown(void **state) {
    (void)state;
    check_folder_remove(folder);
    return 0;
}

static ap_figure_set *new_set(ap_arena *arena, ap_figure_format format) {
    ap_arena_init(arena, 512u << 20);
    ap_figure_set *set = ap_figure_set_new(arena, format);
    assert_non_null(set);
    return set;
}

static void draw(ap_figure_set *set, bool all) {
    ap_error err;
    ap_error_clear(&err);
    ap_str trouble = AP_STR_NONE;
    check_ok(ap_figure_set_draw(&trouble, set, DEADLINE_MS, &err), &err);
    if (all && trouble.ptr) {
        fail_msg("trouble: %.*s", AP_STR_ARG(trouble));
    }
    for (size_t i = 0; i < ap_figure_set_count(set); i++) {
        const ap_figure *figure = ap_figure_set_get(set, i);
        assert_true((ap_figure_output(figure).len > 0) != (ap_figure_missing(figure).len > 0));
        if (all && ap_figure_missing(figure).ptr) {
            fail_msg("'%.*s' is missing: %.*s", AP_STR_ARG(ap_figure_id(figure)),
                     AP_STR_ARG(ap_figure_missing(figure)));
        }
    }
}

/* xmllint (libxml2) is the judge of the XML; without it nothing is claimed. */
static void check_xml(ap_str xml) {
    static const char *const argv[] = {"xmllint", "--nonet", "--noout", "-", NULL};
    ap_child_spec spec = {
        .argv = argv, .input = xml, .output_max = 1u << 20, .errors_max = 1u << 16, .deadline_ms = DEADLINE_MS};
    ap_child_result result = {0};
    ap_error err;
    ap_error_clear(&err);
    static bool told;
    if (ap_child_run(&result, &spec, &err) != AP_OK) {
        if (!told) {
            print_message("xmllint: not run (%s)\n", err.text);
            told = true;
        }
    } else if (result.exit_code != 0) {
        fail_msg("xmllint: %.*s", AP_STR_ARG(ap_buf_str(&result.errors)));
    }
    ap_child_result_release(&result);
}

static bool holds(ap_str text, const char *what) {
    size_t len = strlen(what);
    for (size_t i = 0; i + len <= text.len; i++) {
        if (memcmp(text.ptr + i, what, len) == 0) {
            return true;
        }
    }
    return false;
}

static void check_safe(ap_str svg) {
    assert_true(ap_str_starts(svg, AP_STR_LIT("<svg ")));
    assert_true(holds(svg, "role=\"img\"") && holds(svg, "width=\"100%\"") && holds(svg, "viewBox=\"0 0 "));
    assert_true(holds(svg, "<text"));
    static const char *const never[] = {"<script", "<a ",     "<image", "<foreignObject", "onload=\"", "<!",
                                        "<?",      "Gnuplot", "\001"};
    for (size_t i = 0; i < sizeof never / sizeof never[0]; i++) {
        if (holds(svg, never[i])) {
            fail_msg("the drawing holds '%s'", never[i]);
        }
    }
    if (!ap_utf8_is_valid(svg)) {
        fail_msg("no UTF-8: %.*s", 300, svg.ptr);
    }
    check_xml(svg);
}

/* The canary can sing: the same command in gnuplot's own double quotes does make the file. Without this the checks
 * below would pass on a machine where no command can run at all. */
static void test_canary_can_sing(void **state) {
    (void)state;
    static const char *const argv[] = {"gnuplot", "-d", "/dev/stdin", NULL};
    char script[400];
    snprintf(script, sizeof script, "x = \"`touch %s`\"\n", canary);
    ap_child_spec spec = {.argv = argv,
                          .input = ap_str_from(script),
                          .output_max = 1u << 16,
                          .errors_max = 1u << 16,
                          .deadline_ms = DEADLINE_MS};
    ap_child_result result = {0};
    ap_error err;
    ap_error_clear(&err);
    check_ok(ap_child_run(&result, &spec, &err), &err);
    ap_child_result_release(&result);
    assert_int_equal(access(canary, F_OK), 0);
    assert_int_equal(unlink(canary), 0);
}

/* G1, G2: whatever stands in a label, in every label place of every figure, runs nothing and takes no figure away. */
static void check_hostile(const char *text) {
    ap_arena arena;
    ap_figure_set *set = new_set(&arena, AP_FIGURE_SVG);
    add_figures(set, 12, text);
    draw(set, true);
    for (size_t i = 0; i < ap_figure_set_count(set); i++) {
        check_safe(ap_figure_output(ap_figure_set_get(set, i)));
    }
    if (access(canary, F_OK) == 0) {
        fail_msg("a command ran: %s", text);
    }
    ap_arena_release(&arena);
}

static void test_hostile_commands(void **state) {
    (void)state;
    static const char *const forms[] = {
        "`touch %s`",
        "\"`touch %s`\"",
        "'.system('touch %s').'",
        "\"| touch %s",
        "'; set output '|touch %s'; plot x #",
        "$data",
        "x\nsystem('touch %s')\n! touch %s\n",
        "AP_END_OF_ROWS\n! touch %s",
        "\nAP_END_OF_ROWS\nsystem(\"touch %s\")\n$picks << AP_END_OF_ROWS",
        "\\\"\\n`touch %s`\\",
        "\\",
        "'\\''`touch %s`''",
        "@ap_columns @{touch %s}",
        "} ; system('touch %s') ; {",
        "\001afterpick end 1\001\nexit\n",
    };
    for (size_t i = 0; i < sizeof forms / sizeof forms[0]; i++) {
        char text[1024];
        size_t len = 0;
        for (const char *at = forms[i]; *at && len + sizeof canary < sizeof text; at++) {
            if (at[0] == '%' && at[1] == 's') {
                len += (size_t)snprintf(text + len, sizeof text - len, "%s", canary);
                at++;
            } else {
                text[len++] = *at;
            }
        }
        text[len] = '\0';
        check_hostile(text);
    }
}

static void test_hostile_text(void **state) {
    (void)state;
    static const char *const texts[] = {
        "%s%n%d%500000f 100 % %%",
        "</text><script>alert(1)</script>&lt;&copy;&#0;",
        "<!--",
        "]]>",
        "\" onload=\"alert(1)",
        "{/Symbol a}_{x}^{y} ~a{.8-}",
        "Ünïcode 樹木 ☃ 🌳 é",
        "\xff\xfe\xc0\xaf broken \xed\xa0\x80",
        "a\tb\rc\fd\x7f\xc2\x85 e\xe2\x80\xae f",
        "",
        " ",
        "#",
        "#!/bin/sh",
        "NaN",
        "?",
        "-",
        "1e999",
        "\"",
        "'",
        "''",
        "\"\"",
        "e",
        "end",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        check_hostile(texts[i]);
    }
    char wide[3001];
    for (size_t i = 0; i < 1000; i++) {
        memcpy(wide + 3 * i, "\xe6\xa8\xb9", 3);
    }
    wide[3000] = '\0';
    check_hostile(wide);
    wide[900] = '\0'; /* 300 characters */
    check_hostile(wide);
}

/* What a label says arrives, with its reserved characters written for XML. */
static void test_label_arrives(void **state) {
    (void)state;
    ap_arena arena;
    ap_figure_set *set = new_set(&arena, AP_FIGURE_SVG);
    ap_figure *figure = ap_figure_add(set, AP_PLOT_ERROR_GROUPS, "g", AP_STR_LIT("A <b> & \"c\""), AP_STR_LIT("d & e"));
    ap_figure_block(figure, "groups");
    ap_figure_row_label(figure, (double[]){4, 1, 8, 42, NAN}, 5, AP_STR_LIT("O'Ak 50% & <x>"));
    draw(set, true);
    ap_str svg = ap_figure_output(figure);
    assert_true(holds(svg, "O\xe2\x80\x99"
                           "Ak 50% &amp; &lt;x&gt; (n = 42)"));
    assert_true(holds(svg, "<title id=\"g-title\">A &lt;b&gt; &amp; &quot;c&quot;</title>"));
    assert_true(holds(svg, "<desc id=\"g-desc\">d &amp; e</desc>") && holds(svg, "aria-labelledby=\"g-title g-desc\""));
    ap_arena_release(&arena);
}

static void test_sizes(void **state) {
    (void)state;
    static const size_t sizes[] = {1, 2, 10, 10000};
    for (size_t k = 0; k < sizeof sizes / sizeof sizes[0]; k++) {
        ap_arena arena;
        ap_figure_set *set = new_set(&arena, AP_FIGURE_SVG);
        add_figures(set, sizes[k], NULL);
        draw(set, true);
        for (size_t i = 0; i < ap_figure_set_count(set); i++) {
            check_safe(ap_figure_output(ap_figure_set_get(set, i)));
        }
        ap_arena_release(&arena);
    }
}

static void test_no_rows(void **state) {
    (void)state;
    ap_arena arena;
    ap_figure_set *set = new_set(&arena, AP_FIGURE_SVG);
    add_figures(set, 0, NULL);
    ap_figure *said = ap_figure_add(set, AP_PLOT_RUNS, "said", AP_STR_LIT("t"), AP_STR_LIT("d"));
    ap_figure_empty(said, AP_STR_LIT("no pick was weighed this month"));
    ap_figure *nan = ap_figure_add(set, AP_PLOT_PLANNED_MEASURED, "nan", AP_STR_LIT("t"), AP_STR_LIT("d"));
    ap_figure_block(nan, "picks");
    ap_figure_row(nan, (double[]){NAN, INFINITY}, 2);
    draw(set, false);
    for (size_t i = 0; i < ap_figure_set_count(set); i++) {
        assert_int_equal(ap_figure_output(ap_figure_set_get(set, i)).len, 0);
    }
    check_str(ap_figure_missing(ap_figure_set_get(set, 0)), "nothing to draw: no picks");
    check_str(ap_figure_missing(said), "no pick was weighed this month");
    check_str(ap_figure_missing(nan), "nothing to draw: no pick has the numbers");
    ap_arena_release(&arena);
}

/* A number missing here and there is left out; one number that is there is drawn even if the others are not. */
static void test_missing_numbers(void **state) {
    (void)state;
    ap_arena arena;
    ap_figure_set *set = new_set(&arena, AP_FIGURE_SVG);
    static const double rows[][8] = {
        {1, NAN, 3, NAN, 5, NAN, NAN, 2}, {2, 4, NAN, 0, NAN, NAN, NAN, NAN}, {NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN}};
    static const struct {
        const char *plot;
        const char *block;
        size_t columns;
        bool label;
    } figures[] = {{AP_PLOT_PLANNED_MEASURED, "picks", 3, false},
                   {AP_PLOT_CAPACITY_USED, "picks", 3, false},
                   {AP_PLOT_RUNS, "picks", 4, false},
                   {AP_PLOT_ERROR_GROUPS, "groups", 5, true},
                   {AP_PLOT_TREND_MONTHS, "months", 7, true},
                   {AP_PLOT_MOVEMENT, "moves", 8, true},
                   {AP_PLOT_SHARES, "groups", 5, true},
                   {AP_PLOT_PREDICTED, "picks", 4, false},
                   {AP_PLOT_BETWEEN, "gaps", 4, false}};
    enum { FIGURES = sizeof figures / sizeof figures[0] };
    for (size_t only = 0; only < 4; only++) {
        for (size_t k = 0; k < FIGURES; k++) {
            ap_figure *figure = ap_figure_add(set, figures[k].plot, "f", AP_STR_LIT("t"), AP_STR_LIT("d"));
            ap_figure_block(figure, figures[k].block);
            for (size_t i = 0; i < 3; i++) {
                if (only < 3 && only != i) {
                    continue;
                }
                if (figures[k].label) {
                    ap_figure_row_label(figure, rows[i], figures[k].columns, AP_STR_LIT("red oak"));
                } else {
                    ap_figure_row(figure, rows[i], figures[k].columns);
                }
            }
        }
    }
    draw(set, false);
    for (size_t i = 0; i < ap_figure_set_count(set); i++) {
        const ap_figure *figure = ap_figure_set_get(set, i);
        ap_str missing = ap_figure_missing(figure);
        if (missing.ptr && !ap_str_starts(missing, AP_STR_LIT("nothing to draw"))) {
            fail_msg("figure %zu (%.*s): %.*s", i, AP_STR_ARG(figure->plot), AP_STR_ARG(missing));
        }
        assert_true(missing.ptr == NULL || i / FIGURES == 2);
    }
    ap_arena_release(&arena);
}

/* S2: over a whole set no id comes twice, and every reference finds its id in its own figure. */
static void test_ids_unique(void **state) {
    (void)state;
    ap_arena arena;
    ap_figure_set *set = new_set(&arena, AP_FIGURE_SVG);
    add_figures(set, 40, NULL);
    add_figures(set, 40, NULL);
    draw(set, true);
    ap_intern *seen = ap_intern_new(&arena);
    uint32_t count = 0;
    for (size_t i = 0; i < ap_figure_set_count(set); i++) {
        ap_str svg = ap_figure_output(ap_figure_set_get(set, i));
        ap_str id = ap_figure_id(ap_figure_set_get(set, i));
        uint32_t before = count;
        for (size_t at = 0; at + 5 < svg.len; at++) {
            if (memcmp(svg.ptr + at, " id=\"", 5) == 0) {
                ap_str rest = {svg.ptr + at + 5, svg.len - at - 5};
                ap_str value = ap_str_split(rest, '"', &rest);
                assert_true(ap_str_starts(value, id));
                assert_int_equal(ap_intern_add(seen, value), count + 1);
                count++;
            }
        }
        assert_true(count >= before + 4); /* title, description, canvas, a symbol */
        for (size_t at = 0; at + 14 < svg.len; at++) {
            bool href = memcmp(svg.ptr + at, "xlink:href=\"#", 13) == 0;
            if (href || memcmp(svg.ptr + at, "url(#", 5) == 0) {
                size_t skip = href ? 13 : 5;
                ap_str rest = {svg.ptr + at + skip, svg.len - at - skip};
                ap_str value = ap_str_split(rest, href ? '"' : ')', &rest);
                assert_true(ap_str_starts(value, id) && ap_intern_find(seen, value) > before);
            }
        }
    }
    check_str(ap_figure_id(ap_figure_set_get(set, ap_figure_set_count(set) / 2 + 1)), "planned-2");
    ap_arena_release(&arena);
}

static void test_formats(void **state) {
    (void)state;
    static const struct {
        ap_figure_format format;
        const char *start;
    } formats[] = {{AP_FIGURE_PNG, "\x89PNG\r\n\x1a\n"}, {AP_FIGURE_PDF, "%PDF-"}};
    for (size_t k = 0; k < 2; k++) {
        ap_arena arena;
        ap_figure_set *set = new_set(&arena, formats[k].format);
        add_figures(set, 30, NULL);
        draw(set, true);
        for (size_t i = 0; i < ap_figure_set_count(set); i++) {
            assert_true(ap_str_starts(ap_figure_output(ap_figure_set_get(set, i)), ap_str_from(formats[k].start)));
        }
        ap_arena_release(&arena);
    }
}

static void test_text_fits(void **state) {
    (void)state;
    static const int widths[] = {60, 80, 120};
    for (size_t k = 0; k < 3; k++) {
        ap_arena arena;
        ap_figure_set *set = new_set(&arena, AP_FIGURE_TEXT);
        ap_figure_set_text_width(set, widths[k]);
        add_figures(set, 30, NULL);
        draw(set, true);
        for (size_t i = 0; i < ap_figure_set_count(set); i++) {
            ap_str rest = ap_figure_output(ap_figure_set_get(set, i));
            while (rest.len > 0) {
                ap_str line = ap_str_split(rest, '\n', &rest);
                int columns = 0;
                for (size_t j = 0; j < line.len; j++) {
                    assert_true((unsigned char)line.ptr[j] >= 0x20);
                    columns += (line.ptr[j] & 0xC0) != 0x80;
                }
                assert_true(columns <= widths[k]);
            }
        }
        ap_arena_release(&arena);
    }
}

/* One pick, one month: a symbol of which no point has a place must not crash gnuplot's characters. */
static void test_text_few(void **state) {
    (void)state;
    static const size_t sizes[] = {1, 2, 3};
    for (size_t k = 0; k < sizeof sizes / sizeof *sizes; k++) {
        ap_arena arena;
        ap_figure_set *set = new_set(&arena, AP_FIGURE_TEXT);
        add_figures(set, sizes[k], NULL);
        draw(set, true);
        ap_arena_release(&arena);
    }
}

/* A month without limits: the diamond has no place. */
static void test_text_month(void **state) {
    (void)state;
    ap_arena arena;
    ap_figure_set *set = new_set(&arena, AP_FIGURE_TEXT);
    ap_figure *trend = ap_figure_add(set, AP_PLOT_TREND_MONTHS, "", AP_STR_LIT("Trend"), AP_STR_LIT("one month"));
    ap_figure_block(trend, "months");
    ap_figure_row_label(trend, (double[]){1, 20, NAN, NAN, 12, NAN, NAN}, 7, AP_STR_LIT("2026-05"));
    draw(set, true);
    ap_arena_release(&arena);
}

/* Mistakes of a caller do not reach gnuplot. */
static void test_bad_names(void **state) {
    (void)state;
    ap_arena arena;
    ap_figure_set *set = new_set(&arena, AP_FIGURE_SVG);
    ap_figure *figure = ap_figure_add(set, "../etc/passwd", "9 <x>", AP_STR_LIT("t"), AP_STR_LIT("d"));
    ap_figure *other = ap_figure_add(set, AP_PLOT_RUNS, "", AP_STR_NONE, AP_STR_NONE);
    ap_figure_number(other, "x = system('id') #", 1);
    ap_figure *loose = ap_figure_add(set, AP_PLOT_RUNS, "loose", AP_STR_NONE, AP_STR_NONE);
    ap_figure_row(loose, (double[]){1}, 1);
    draw(set, false);
    assert_true(holds(ap_figure_missing(figure), "description is broken"));
    assert_true(holds(ap_figure_missing(other), "description is broken"));
    assert_true(holds(ap_figure_missing(loose), "description is broken"));
    check_str(ap_figure_id(figure), "f9--x-");
    check_str(ap_figure_id(other), "f");
    ap_figure_number(NULL, "x", 1);
    ap_figure_row(NULL, NULL, 0);
    assert_null(ap_figure_add(NULL, "runs", "x", AP_STR_NONE, AP_STR_NONE));
    ap_arena_release(&arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_canary_can_sing), cmocka_unit_test(test_hostile_commands),
        cmocka_unit_test(test_hostile_text),    cmocka_unit_test(test_label_arrives),
        cmocka_unit_test(test_sizes),           cmocka_unit_test(test_no_rows),
        cmocka_unit_test(test_missing_numbers), cmocka_unit_test(test_ids_unique),
        cmocka_unit_test(test_formats),         cmocka_unit_test(test_text_fits),
        cmocka_unit_test(test_text_few),        cmocka_unit_test(test_text_month),
        cmocka_unit_test(test_bad_names),
    };
    return cmocka_run_group_tests(tests, setup, teardown);
}
