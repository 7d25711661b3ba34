/* A child process without a shell: argument vector, own environment, capped pipes, a deadline and a kill. */
#ifndef AP_BASE_CHILD_H
#define AP_BASE_CHILD_H

#include "base/str.h"

typedef struct ap_child_spec {
    const char *const *argv; /* NULL-terminated; argv[0] is looked up on PATH */
    const char *const *envp; /* NULL-terminated "NAME=value"; NULL = a minimal one: PATH, HOME, LC_ALL=C */
    ap_str input;            /* written to its standard input */
    size_t output_max;       /* standard output beyond this ends the child with AP_E_LIMIT */
    size_t errors_max;       /* standard error beyond this is dropped, not an error */
    int deadline_ms;         /* the whole run; then SIGKILL and AP_E_CHILD */
} ap_child_spec;

typedef struct ap_child_result {
    ap_buf output;
    ap_buf errors;
    int exit_code; /* -1 when it died of a signal */
    int signal;
} ap_child_result;

/* Runs to the end. A non-zero exit code is not an error of this function: the caller reads exit_code. Errors:
 * AP_E_CHILD (cannot start; past the deadline), AP_E_LIMIT (too much output), AP_E_IO, AP_E_MEMORY. */
AP_MUST_USE ap_status ap_child_run(ap_child_result *out, const ap_child_spec *spec, ap_error *err);
void ap_child_result_release(ap_child_result *result);

#endif
