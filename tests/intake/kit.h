/* A book in a fresh folder, logs written beside it, imports and what became of them. */
#ifndef AP_TESTS_INTAKE_KIT_H
#define AP_TESTS_INTAKE_KIT_H

#include <sys/stat.h>
#include <unistd.h>

#include "base/sink.h"
#include "book/picks.h"
#include "intake/intake.h"
#include "support/check.h"

#define KIT_HEADER                                                                                                     \
    "job,date,pick,species,planned_weight_lb,measured_weight_lb,measured_as,length_ft,butt_diameter_in,tip_diameter_"  \
    "in,notes\n"
#define KIT_ROW "J1,2026-03-02,1,red maple,4800,5400,gross,18,24,16,\n"

typedef struct kit {
    char folder[200];
    char *book_path;
    ap_book *book;
    ap_intake_result result;
    ap_intake_options options;
    ap_error err;
    char *path[64];
    size_t paths;
} kit;

static inline int kit_setup(void **state) {
    kit *k = calloc(1, sizeof *k);
    assert_non_null(k);
    check_folder_make(k->folder, sizeof k->folder);
    k->book_path = malloc(sizeof k->folder + 16);
    assert_non_null(k->book_path);
    snprintf(k->book_path, sizeof k->folder + 16, "%s/crew.book", k->folder);
    check_ok(ap_book_open(&k->book, k->book_path, AP_BOOK_CREATE, &k->err), &k->err);
    ap_intake_result_init(&k->result);
    k->options.author.role = AP_STR_LIT("safety officer");
    assert_true(ap_date_from_civil(&k->options.author.today, 2026, 11, 25));
    *state = k;
    return 0;
}

static inline int kit_teardown(void **state) {
    kit *k = *state;
    ap_intake_result_release(&k->result);
    ap_book_close(k->book);
    check_folder_remove(k->folder);
    for (size_t i = 0; i < k->paths; i++) {
        free(k->path[i]);
    }
    free(k->book_path);
    free(k);
    return 0;
}

/* Writes a log; its path stays in the kit. */
static inline const char *kit_log_bytes(kit *k, const char *name, const void *bytes, size_t len) {
    assert_true(k->paths < 64);
    const size_t size = strlen(k->folder) + strlen(name) + 2;
    char *path = malloc(size);
    assert_non_null(path);
    snprintf(path, size, "%s/%s", k->folder, name);
    k->path[k->paths++] = path;
    FILE *out = fopen(path, "wb");
    assert_non_null(out);
    assert_int_equal(fwrite(bytes, 1, len, out), len);
    assert_int_equal(fclose(out), 0);
    return path;
}
static inline const char *kit_log(kit *k, const char *name, const char *text) {
    return kit_log_bytes(k, name, text, strlen(text));
}

static inline ap_status kit_import_list(kit *k, const char *const *paths, size_t count) {
    ap_intake_result_release(&k->result);
    ap_intake_result_init(&k->result);
    ap_error_clear(&k->err);
    return ap_intake_files(&k->result, k->book, paths, count, &k->options, &k->err);
}
static inline ap_status kit_import(kit *k, const char *path) {
    return kit_import_list(k, &path, 1);
}
static inline void kit_import_text(kit *k, const char *name, const char *text) {
    check_ok(kit_import(k, kit_log(k, name, text)), &k->err);
}

static inline ap_status kit_count_one(void *context, const ap_pick *pick, ap_error *err) {
    (void)pick;
    (void)err;
    *(int64_t *)context += 1;
    return AP_OK;
}
static inline int64_t kit_picks(kit *k) {
    const ap_pick_filter all = {.since = AP_DATE_NONE, .until = AP_DATE_NONE};
    int64_t count = 0;
    check_ok(ap_book_each_pick(k->book, &all, kit_count_one, &count, &k->err), &k->err);
    return count;
}

/* Every row behind the header became exactly one thing. */
static inline void kit_adds_up(const kit *k) {
    for (size_t i = 0; i < k->result.file_count; i++) {
        const ap_intake_file *f = &k->result.files[i];
        assert_int_equal(f->rows, f->counts.stored + f->counts.unchanged + f->counts.set_aside + f->counts.conflicts +
                                      f->blank + f->totals + f->headers);
    }
}

static inline const ap_intake_problem *kit_problem(const kit *k, ap_intake_problem_kind kind, size_t index) {
    for (size_t i = 0; i < k->result.problem_count; i++) {
        if (k->result.problems[i].kind == kind && index-- == 0) {
            return &k->result.problems[i];
        }
    }
    return NULL;
}

static inline bool kit_holds(ap_str text, const char *part) {
    const size_t len = strlen(part);
    for (size_t i = 0; i + len <= text.len; i++) {
        if (memcmp(text.ptr + i, part, len) == 0) {
            return true;
        }
    }
    return false;
}

#define kit_says(text, part) kit_says_at((text), (part), __FILE__, __LINE__)
static inline void kit_says_at(ap_str text, const char *part, const char *file, int line) {
    if (!kit_holds(text, part)) {
        print_error("%s:%d: '%.*s' should say '%s'\n", file, line, AP_STR_ARG(text), part);
        _fail(file, line);
    }
}

/* The only problem of the kind: where it is and what it says. */
#define kit_one(k, kind, line, column, field, part)                                                                    \
    kit_one_at((k), (kind), (line), (column), (field), (part), __FILE__, __LINE__)
static inline void kit_one_at(const kit *k, ap_intake_problem_kind kind, int64_t line, int column, const char *field,
                              const char *part, const char *file, int at) {
    const ap_intake_problem *problem = kit_problem(k, kind, 0);
    if (!problem || k->result.kept[kind] != 1) {
        print_error("%s:%d: %zu problems of kind %d, 1 wanted\n", file, at, k->result.kept[kind], (int)kind);
        for (size_t i = 0; i < k->result.problem_count; i++) {
            print_error("  line %lld: %.*s\n", (long long)k->result.problems[i].line,
                        AP_STR_ARG(k->result.problems[i].reason));
        }
        _fail(file, at);
        return;
    }
    if (problem->line != line || problem->column != column || !ap_str_equal_word(problem->field, field)) {
        print_error("%s:%d: line %lld column %d field '%.*s': %.*s\n", file, at, (long long)problem->line,
                    problem->column, AP_STR_ARG(problem->field), AP_STR_ARG(problem->reason));
        _fail(file, at);
    }
    kit_says_at(problem->reason, part, file, at);
}

/* A log of one row is set aside: line 2, this column, this field, this reason. */
#define kit_aside(k, row, column, field, part)                                                                         \
    do {                                                                                                               \
        kit_import_text((k), "row.csv", KIT_HEADER row);                                                               \
        assert_int_equal((k)->result.totals.stored, 0);                                                                \
        assert_int_equal((k)->result.totals.set_aside, 1);                                                             \
        kit_adds_up(k);                                                                                                \
        kit_one((k), AP_INTAKE_SET_ASIDE, 2, (column), (field), (part));                                               \
    } while (0)

#endif
