#include "support/check.h"

#include "base/asset.h"
#include "base/child.h"
#include "base/sink.h"

/* What was built in is what lies in the tree (the tests run from its top), in order. */
static void embedded_files(void **state) {
    (void)state;
    ap_arena arena;
    ap_error err;
    ap_error_clear(&err);
    ap_arena_init(&arena, 1u << 20);
    for (size_t i = 0; i < ap_asset_count; i++) {
        const ap_asset *asset = &ap_assets[i];
        ap_buf file;
        ap_str text;
        assert_true(i == 0 || strcmp(ap_assets[i - 1].name, asset->name) < 0);
        assert_int_equal(asset->bytes[asset->size], 0);
        check_ok(ap_file_read(&file, asset->name, 4u << 20, &err), &err);
        check_ok(ap_asset_get(&text, &arena, asset->name, &err), &err);
        assert_true(ap_str_equal(ap_buf_str(&file), text));
        ap_buf_release(&file);
    }
    size_t first = 99;
    assert_int_equal(ap_asset_range(&first, ""), ap_asset_count);
    assert_int_equal(first, 0);
    assert_int_equal(ap_asset_range(&first, "zzz/"), 0);
    size_t sql = ap_asset_range(&first, "sql/");
    for (size_t i = 0; i < ap_asset_count; i++) {
        bool inside = i >= first && i < first + sql;
        assert_int_equal(inside, strncmp(ap_assets[i].name, "sql/", 4) == 0);
    }
    ap_str text;
    check_refused(ap_asset_get(&text, &arena, "sql/no_such.sql", &err), AP_E_NOT_FOUND, &err, "'sql/no_such.sql'");
    ap_arena_release(&arena);
}

static void stand_in_folder(void **state) {
    (void)state;
    ap_arena arena;
    ap_error err;
    ap_str text;
    char top[1024];
    char path[1100];
    ap_error_clear(&err);
    ap_arena_init(&arena, 1u << 20);
    check_folder_make(top, sizeof top);
    snprintf(path, sizeof path, "%s/query", top);
    check_ok(ap_folder_make(path, &err), &err);
    snprintf(path, sizeof path, "%s/query/x.sql", top);
    check_ok(ap_file_write(path, AP_STR_LIT("SELECT 1;"), &err), &err);
    ap_asset_set_folder("sql", top);
    check_ok(ap_asset_get(&text, &arena, "sql/query/x.sql", &err), &err);
    check_str(text, "SELECT 1;");
    check_refused(ap_asset_get(&text, &arena, "sql/query/y.sql", &err), AP_E_INPUT, &err, "y.sql': No such file");
    check_refused(ap_asset_get(&text, &arena, "plots/x.gp", &err), AP_E_NOT_FOUND, &err, "'plots/x.gp'");
    ap_asset_set_folder("sql", NULL);
    check_refused(ap_asset_get(&text, &arena, "sql/query/x.sql", &err), AP_E_NOT_FOUND, &err, "built into");
    check_folder_remove(top);
    ap_arena_release(&arena);
}

static void run(ap_child_result *result, const char *const *argv) {
    ap_error err;
    ap_error_clear(&err);
    ap_child_spec spec = {.argv = argv, .output_max = 16u << 20, .errors_max = 65536, .deadline_ms = 120000};
    check_ok(ap_child_run(result, &spec, &err), &err);
}

#define RUN(result, ...) run((result), (const char *const[]){__VA_ARGS__, NULL})

/* embed.sh over every byte value, an empty file and names out of order, through the compiler and back. */
static void every_byte_survives(void **state) {
    (void)state;
    static const char program[] = "#include <stdio.h>\n#include \"base/asset.h\"\n"
                                  "int main(void) {\nfor (size_t i = 0; i < ap_asset_count; i++) {\n"
                                  "printf(\"%zu:\", ap_assets[i].size);\n"
                                  "fwrite(ap_assets[i].bytes, 1, ap_assets[i].size + 1, stdout);\n}\nreturn 0;\n}\n";
    char top[512];
    char names[5][600];
    char all[256];
    ap_error err;
    ap_child_result result;
    ap_error_clear(&err);
    check_folder_make(top, sizeof top);
    static const char *const ends[] = {"b", "a", "gen.c", "main.c", "prog"};
    for (size_t i = 0; i < 5; i++) {
        snprintf(names[i], sizeof names[i], "%s/%s", top, ends[i]);
    }
    for (size_t i = 0; i < sizeof all; i++) {
        all[i] = (char)(unsigned char)i;
    }
    check_ok(ap_file_write(names[0], (ap_str){all, sizeof all}, &err), &err);
    check_ok(ap_file_write(names[1], AP_STR_NONE, &err), &err);
    check_ok(ap_file_write(names[3], ap_str_from(program), &err), &err);
    RUN(&result, "sh", "src/base/embed.sh", names[0], names[1]);
    assert_int_equal(result.exit_code, 0);
    check_ok(ap_file_write(names[2], ap_buf_str(&result.output), &err), &err);
    ap_child_result_release(&result);
    RUN(&result, "cc", "-std=c17", "-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Werror", "-Isrc", names[2],
        names[3], "-o", names[4]);
    assert_int_equal(result.exit_code, 0);
    ap_child_result_release(&result);
    RUN(&result, names[4]);
    ap_buf want;
    ap_buf_init(&want, 1000);
    ap_buf_append(&want,
                  "0:\0"
                  "256:",
                  7);
    ap_buf_append(&want, all, sizeof all);
    ap_buf_append_char(&want, '\0');
    assert_true(ap_str_equal(ap_buf_str(&result.output), ap_buf_str(&want)));
    ap_buf_release(&want);
    ap_child_result_release(&result);
    check_folder_remove(top);
}

static void embed_with_nothing_and_refusals(void **state) {
    (void)state;
    ap_child_result result;
    RUN(&result, "sh", "src/base/embed.sh");
    assert_int_equal(result.exit_code, 0);
    assert_non_null(strstr(result.output.ptr, "ap_asset_count = 0;"));
    ap_child_result_release(&result);
    RUN(&result, "sh", "src/base/embed.sh", "no/such/file");
    assert_int_equal(result.exit_code, 1);
    assert_non_null(strstr(result.errors.ptr, "unable to read 'no/such/file'"));
    ap_child_result_release(&result);
    RUN(&result, "sh", "src/base/embed.sh", "a\"b");
    assert_int_equal(result.exit_code, 1);
    ap_child_result_release(&result);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(embedded_files),
        cmocka_unit_test(stand_in_folder),
        cmocka_unit_test(every_byte_survives),
        cmocka_unit_test(embed_with_nothing_and_refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
