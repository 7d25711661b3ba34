/* Any bytes as a log, all the way into a book that is then rolled back. What must hold:
 *  - the import ends with a status and, if it is not AP_OK, a sentence;
 *  - every row became exactly one thing, and the totals are those of the files;
 *  - every problem says where and why;
 *  - the rows set aside, written as rejects, read back as just as many rows. */
#include <sys/stat.h>
#include <unistd.h>

#include "intake/intake.h"
#include "require.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static ap_book *book;
static char folder[] = "/tmp/afterpick-fuzz-XXXXXX";
static char log_path[64], rejects_path[64], book_path[64];

static void clean_up(void) {
    ap_book_close(book);
    unlink(log_path);
    unlink(rejects_path);
    unlink(book_path);
    rmdir(folder);
}

static void set_up(void) {
    ap_error err;
    require(mkdtemp(folder));
    snprintf(log_path, sizeof log_path, "%s/log.csv", folder);
    snprintf(rejects_path, sizeof rejects_path, "%s/rejects.csv", folder);
    snprintf(book_path, sizeof book_path, "%s/fuzz.book", folder);
    require(ap_book_open(&book, book_path, AP_BOOK_CREATE, &err) == AP_OK);
    atexit(clean_up);
}

static void write_log(const uint8_t *data, size_t size) {
    FILE *out = fopen(log_path, "wb");
    require(out && fwrite(data, 1, size, out) == size && fclose(out) == 0);
}

static void check_result(const ap_intake_result *result) {
    ap_file_counts sum = {0};
    for (size_t i = 0; i < result->file_count; i++) {
        const ap_intake_file *f = &result->files[i];
        const ap_file_counts *c = &f->counts;
        require(f->outcome == AP_INTAKE_READ || f->says.len > 0);
        require(f->rows == c->stored + c->unchanged + c->set_aside + c->conflicts + f->blank + f->totals + f->headers);
        sum.stored += c->stored;
        sum.set_aside += c->set_aside;
    }
    require(sum.stored == result->totals.stored && sum.set_aside == result->totals.set_aside);
    for (size_t i = 0; i < result->problem_count; i++) {
        const ap_intake_problem *p = &result->problems[i];
        require(p->reason.len > 0 && p->line >= 0 && p->column >= 0);
        require(p->kind != AP_INTAKE_SET_ASIDE || p->line > 0);
    }
}

static ap_status import(ap_intake_result *result, const char *path, const char *rejects, uint8_t choice) {
    ap_error err;
    ap_error_clear(&err);
    ap_intake_options options = {.no_copy = true, .dry_run = true, .rejects = rejects};
    require(ap_date_from_civil(&options.author.today, 2026, 11, 25));
    options.units_of = (ap_intake_units)(choice % 3);
    options.dates = (ap_date_order)(choice / 3 % 4);
    ap_intake_result_init(result);
    const ap_status status = ap_intake_files(result, book, &path, 1, &options, &err);
    require(status == AP_OK || err.text[0]);
    require(status == AP_OK || status == AP_E_INPUT);
    check_result(result);
    return status;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    if (!book) {
        set_up();
    }
    if (size == 0 || size > 64 * 1024) {
        return 0;
    }
    const uint8_t choice = data[0];
    write_log(data + 1, size - 1);
    unlink(rejects_path);
    ap_intake_result first;
    if (import(&first, log_path, rejects_path, choice) == AP_OK && first.totals.set_aside > 0) {
        require(first.rejects_written.len > 0);
        ap_intake_result second;
        (void)import(&second, rejects_path, NULL, choice);
        if (second.file_count == 1 && second.files[0].outcome == AP_INTAKE_READ &&
            second.files[0].dialect.ptr[0] == first.files[0].dialect.ptr[0]) {
            require(second.files[0].rows == first.totals.set_aside);
        }
        ap_intake_result_release(&second);
    }
    ap_intake_result_release(&first);
    return 0;
}
