#include "figure/gnuplot_check.h"

#include "base/child.h"

enum { DEADLINE_MS = 10000, OUTPUT_MAX = 1 << 20 };

/* Output of one run, copied; none with the reason in *trouble. */
static ap_str run(ap_arena *arena, const char *const *argv, ap_str *trouble) {
    const ap_child_spec spec = {
        .argv = argv, .output_max = OUTPUT_MAX, .errors_max = OUTPUT_MAX, .deadline_ms = DEADLINE_MS};
    ap_child_result result = {0};
    ap_error why;
    ap_error_clear(&why);
    ap_str output = AP_STR_NONE;
    if (ap_child_run(&result, &spec, &why) != AP_OK) {
        *trouble = ap_arena_printf(arena, "%s", why.text);
    } else if (result.exit_code != 0) {
        ap_str rest;
        ap_str first = ap_str_split(ap_str_trim(ap_buf_str(&result.errors)), '\n', &rest);
        *trouble = ap_arena_printf(arena, "gnuplot ended with %d: %.*s", result.exit_code, AP_STR_ARG(first));
    } else {
        output = ap_arena_str(arena, ap_str_trim(ap_buf_str(&result.output)));
    }
    ap_child_result_release(&result);
    return output;
}

ap_status ap_gnuplot_check(ap_gnuplot *out, ap_arena *arena, ap_error *err) {
    static const char *const ask[] = {"gnuplot", "--version", NULL};
    static const char *const draw[] = {"gnuplot", "-d", "-e", "set terminal svg size 200,100; plot 1", NULL};
    *out = (ap_gnuplot){.trouble = AP_STR_NONE};
    out->version = run(arena, ask, &out->trouble);
    if (out->version.len) {
        ap_str svg = run(arena, draw, &out->trouble);
        out->draws_svg = svg.len && strstr(svg.ptr, "<svg") && strstr(svg.ptr, "</svg>");
        if (!out->draws_svg && !out->trouble.len) {
            out->trouble = AP_STR_LIT("gnuplot drew something that is no SVG");
        }
    }
    return ap_arena_check(arena, "the check of gnuplot", err);
}
