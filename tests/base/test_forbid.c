/* Each forbidden function must stop the compiler, and say which it was. */
#include "support/check.h"

#include "base/child.h"

static void compile(ap_child_result *result, const char *body) {
    ap_error err;
    ap_buf source;
    ap_error_clear(&err);
    const char *cc = getenv("CC");
    const char *const argv[] = {cc && *cc && !strchr(cc, ' ') ? cc : "cc",
                                "-std=c17",
                                "-D_XOPEN_SOURCE=700",
                                "-D_DEFAULT_SOURCE",
                                "-Isrc",
                                "-fsyntax-only",
                                "-x",
                                "c",
                                "-",
                                NULL};
    ap_buf_init(&source, 4096);
    ap_buf_appendf(&source,
                   "#include \"base/status.h\"\nint used(char *a, char *b);\nint used(char *a, char *b) {\n%s\n"
                   "return a == b;\n}\n",
                   body);
    ap_child_spec spec = {
        .argv = argv, .input = ap_buf_str(&source), .output_max = 65536, .errors_max = 65536, .deadline_ms = 60000};
    check_ok(ap_child_run(result, &spec, &err), &err);
    ap_buf_release(&source);
}

static void allowed_functions_compile(void **state) {
    (void)state;
    ap_child_result result;
    compile(&result, "memcpy(a, b, 3); snprintf(a, 3, \"%s\", b); (void)strtol(a, &b, 10); (void)strlen(b);");
    if (result.exit_code != 0) {
        print_error("%.*s\n", AP_STR_ARG(ap_buf_str(&result.errors)));
    }
    assert_int_equal(result.exit_code, 0);
    ap_child_result_release(&result);
}

static void forbidden_functions_do_not(void **state) {
    (void)state;
    static const struct {
        const char *name, *call;
    } rows[] = {
        {"strcpy", "strcpy(a, b);"},
        {"strcat", "strcat(a, b);"},
        {"strncpy", "strncpy(a, b, 3);"},
        {"strncat", "strncat(a, b, 3);"},
        {"sprintf", "sprintf(a, \"%s\", b);"},
        {"vsprintf", "vsprintf(a, b, 0);"},
        {"gets", "gets(a);"},
        {"strtok", "(void)strtok(a, b);"},
        {"atoi", "(void)atoi(a);"},
        {"atol", "(void)atol(a);"},
        {"atof", "(void)atof(a);"},
        {"system", "(void)system(a);"},
        {"popen", "(void)popen(a, b);"},
        {"alloca", "(void)alloca(3);"},
        {"tmpnam", "(void)tmpnam(a);"},
        {"mktemp", "(void)mktemp(a);"},
        {"setlocale", "(void)setlocale(0, a);"},
        {"asctime", "(void)asctime(0);"},
        {"ctime", "(void)ctime(0);"},
        {"gmtime", "(void)gmtime(0);"},
        {"localtime", "(void)localtime(0);"},
        {"rand", "(void)rand();"},
        {"srand", "srand(3);"},
        {"scanf", "(void)scanf(a);"},
        {"sscanf", "(void)sscanf(a, b);"},
        {"fscanf", "(void)fscanf(0, b);"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ap_child_result result;
        char says[64];
        snprintf(says, sizeof says, "ap_forbidden_%s", rows[i].name);
        compile(&result, rows[i].call);
        if (result.exit_code == 0 || result.errors.len == 0 || !strstr(result.errors.ptr, says)) {
            print_error("%s: exit %d: %.*s\n", rows[i].name, result.exit_code, AP_STR_ARG(ap_buf_str(&result.errors)));
            fail();
        }
        ap_child_result_release(&result);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(allowed_functions_compile),
        cmocka_unit_test(forbidden_functions_do_not),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
