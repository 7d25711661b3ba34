/* One file through the pipeline: source, header, dates, rows, judgement, book. */
#include "base/grow.h"
#include "intake/file_job.h"
#include "intake/profile_plan.h"
#include "intake/report.h"

enum {
    BIG_FILE =
        1 << 20, /* smaller ones are digested before they are read, and read in turn: no threads for a page of text */
    PLAN_MAX = 16 << 20
};
static const char NO_DIGEST[] = "0000000000000000000000000000000000000000000000000000000000000000";

static bool is_files_own(ap_status status) {
    return status == AP_E_INPUT || status == AP_E_NOT_FOUND || status == AP_E_LIMIT;
}

/* The file can not be used: said in its entry, and the import goes on with the next one. */
static ap_status unusable(ap_file_job *file, ap_status status, const ap_error *why, ap_error *err) {
    ap_str says = ap_str_from(why->text);
    ap_arena *arena = &file->session->result->arena;
    if (!strstr(why->text, file->path)) {
        says = ap_arena_printf(arena, "unable to use '%s': %s", file->path, why->text);
    }
    if (!is_files_own(status) && status != AP_E_IO) {
        return ap_error_set(err, status, "%.*s", AP_STR_ARG(says));
    }
    file->entry->outcome = AP_INTAKE_UNUSABLE;
    file->entry->says = ap_arena_str(arena, says);
    return AP_OK;
}

static ap_status ask_book(int64_t *answer, ap_book *book, const char *name, const char *parameter, int64_t number,
                          ap_str text, ap_str sheet, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    *answer = 0;
    ap_status status = ap_query_open(&query, book, name, err);
    if (status != AP_OK) {
        return status;
    }
    if (text.len) {
        ap_query_bind_text(query, parameter, text);
        ap_query_bind_text(query, ":sheet", sheet.len ? sheet : AP_STR_LIT(""));
    } else {
        ap_query_bind_int(query, parameter, number);
    }
    status = ap_query_step(&row, query, err);
    if (status == AP_OK && row) {
        *answer = ap_query_int(query, 0);
    }
    ap_query_close(query);
    return status;
}

/* *known = the import that has this very file. A file of a size the book does not have can not be one of its files: then
 * the digest is made while the rows are read. */
static ap_status look_if_known(int64_t *known, ap_file_job *file, ap_error *err) {
    ap_book *book = file->session->book;
    int64_t same_size = 0;
    *known = 0;
    ap_status status = ask_book(&same_size, book, "intake_same_size", ":bytes", ap_source_size(file->source),
                                AP_STR_NONE, AP_STR_NONE, err);
    if (status != AP_OK || (!same_size && ap_source_size(file->source) >= BIG_FILE)) {
        return status;
    }
    status = ap_source_digest(file->sha256, file->source, err);
    if (status != AP_OK) {
        return status;
    }
    file->digest_known = true;
    return ask_book(known, book, "intake_known_file", ":sha256", 0, ap_str_from(file->sha256), AP_STR_NONE, err);
}

ap_status ap_file_rows(ap_rows **out, const ap_file_job *file, ap_error *err) {
    const ap_intake_options *options = file->session->options;
    const ap_rows_options form = {.delimiter = options->delimiter,
                                  .sheet = file->sheet.len ? file->sheet : options->sheet,
                                  .profile = file->profile,
                                  .book = file->session->book};
    ap_rows *rows = NULL;
    ap_status status = ap_rows_new(&rows, file->source, &form, err);
    if (status == AP_OK && file->plan.count) {
        status = ap_rows_set_width(rows, file->plan.count, err);
    }
    if (status != AP_OK) {
        ap_rows_free(rows);
        return status;
    }
    *out = rows;
    return AP_OK;
}

static ap_status plan_columns(ap_file_job *file, ap_error *err) {
    const ap_session *session = file->session;
    const ap_plan_rules rules = ap_intake_rules(&session->settings, session->options->units_of);
    ap_status status = ap_file_rows(&file->rows, file, err);
    if (status != AP_OK) {
        return status;
    }
    status = file->profile ? ap_profile_plan(&file->plan, &file->arena, file->rows, &rules, file->profile, err)
                           : ap_plan_find(&file->plan, &file->arena, file->rows, &rules, session->book, err);
    if (status == AP_OK && file->profile && file->profile->header_none) { /* its first rows are picks */
        ap_rows_free(file->rows);
        file->rows = NULL;
        status = ap_file_rows(&file->rows, file, err);
    }
    return status == AP_OK ? ap_rows_set_width(file->rows, file->plan.count, err) : status;
}

static ap_status look_at_dates(ap_file_job *file, ap_error *err) {
    const ap_intake_options *options = file->session->options;
    const ap_date_order given = options->dates != AP_DATES_UNSETTLED ? options->dates
                                : file->profile                      ? file->profile->dates
                                                                     : AP_DATES_UNSETTLED;
    ap_rows *look = NULL;
    bool any = false;
    ap_status status = ap_file_rows(&look, file, err);
    if (status == AP_OK) {
        status = ap_dates_look(&file->dates, &any, &file->plan, look, given, err);
    }
    ap_rows_free(look);
    if (status == AP_OK && !any) {
        status =
            ap_error_set(err, AP_E_INPUT, "a header on line %lld and no rows behind it", (long long)file->plan.line);
    }
    return status;
}

static ap_status look_at_decimals(ap_file_job *file, ap_error *err) {
    ap_rows *look = NULL;
    char decimal = file->profile ? file->profile->decimal : '\0';
    ap_status status = AP_OK;
    if (!decimal) {
        status = ap_file_rows(&look, file, err);
        if (status == AP_OK) {
            status = ap_decimal_look(&decimal, &file->plan, look, err);
        }
        ap_rows_free(look);
    }
    if (status == AP_OK) {
        ap_plan_set_decimal(&file->plan, decimal);
    }
    return status;
}

/* What must be settled before the first row: the columns, the order of dates, the decimal mark. */
static ap_status settle(ap_file_job *file, ap_error *err) {
    ap_status status = plan_columns(file, err);
    if (status == AP_OK) {
        status = look_at_dates(file, err);
    }
    if (status == AP_OK) {
        status = look_at_decimals(file, err);
    }
    if (status == AP_OK) {
        status = ap_row_reader_new(&file->reader, &file->plan, file->session->book, file->dates.order, err);
    }
    return status;
}

/* Lines of one sheet are not those of another: the sheet stands behind the file's name. */
static void name_sheet(ap_file_job *file) {
    const bool one =
        file->sheet.len || file->session->options->sheet.len || (file->profile && file->profile->sheets_all);
    if (ap_rows_sheet_count(file->rows) > 1 && one) {
        file->entry->path = ap_arena_printf(&file->session->result->arena, "%s [%.*s]", file->path,
                                            AP_STR_ARG(ap_rows_sheet(file->rows)));
    }
}

/* The next sheet with the header; those without are named. */
static ap_status look_for_next_sheet(ap_file_job *file, ap_error *err) {
    const size_t count = file->profile && file->profile->sheets_all ? ap_rows_sheet_count(file->rows) : 0;
    const ap_str here = count ? ap_arena_str(&file->arena, ap_rows_sheet(file->rows)) : AP_STR_NONE;
    size_t at = 0;
    while (at < count && !ap_str_equal(ap_rows_sheet_name(file->rows, at), here)) {
        at++;
    }
    for (at++; at < count; at++) {
        bool fits = false;
        const ap_str name = ap_arena_str(&file->arena, ap_rows_sheet_name(file->rows, at));
        ap_status status = ap_rows_sheet_fits(&fits, file->rows, at, err);
        if (status == AP_OK && fits) {
            ap_buf_append_str(file->next_sheet, name);
            return AP_OK;
        }
        if (status == AP_OK && file->entry->outcome == AP_INTAKE_READ) {
            status =
                ap_file_warn(file, 0, 0, AP_STR_NONE, AP_STR_NONE,
                             ap_arena_printf(&file->arena,
                                             "the sheet '%.*s' was not read: no row of it holds the headers of the "
                                             "profile",
                                             AP_STR_ARG(name)),
                             err);
        }
        if (status != AP_OK) {
            return status;
        }
    }
    return AP_OK;
}

static ap_status begin_file(ap_file_job *file, ap_error *err) {
    ap_session *session = file->session;
    ap_intake_file *entry = file->entry;
    name_sheet(file);
    ap_buf text;
    ap_buf columns;
    ap_status status = AP_OK;
    ap_buf_init(&text, 4096);
    ap_buf_init(&columns, PLAN_MAX);
    if (session->import_id == 0) {
        status = ap_book_import_begin(&session->import_id, session->book, &session->options->author, err);
    }
    ap_rows_dialect(&text, file->rows);
    if (file->plan.line > 0) {
        ap_buf_appendf(&text, ", header on line %lld", (long long)file->plan.line);
    }
    if (file->profile) {
        ap_buf_appendf(&text, ", profile '%.*s'", AP_STR_ARG(file->profile->name));
        entry->profile = ap_arena_str(&session->result->arena, file->profile->name);
    }
    entry->dialect = ap_arena_str(&session->result->arena, ap_buf_str(&text));
    ap_buf_clear(&text);
    ap_dates_describe(&text, &file->dates);
    entry->date_order = ap_arena_str(&session->result->arena, ap_buf_str(&text));
    ap_plan_to_json(&columns, &file->plan);
    if (session->rejects) {
        ap_rejects_file(session->rejects, &file->plan, ap_rows_delimiter(file->rows));
    }
    if (status == AP_OK) {
        status = ap_buf_check(&columns, "the header row", err);
    }
    if (status == AP_OK) {
        status = ap_book_import_file_add(
            &file->file_id, session->book, session->import_id,
            &(ap_import_file){.path = entry->path,
                              .sha256 = ap_str_from(file->digest_known ? file->sha256 : NO_DIGEST),
                              .bytes = entry->bytes,
                              .dialect = entry->dialect,
                              .date_order = entry->date_order,
                              .columns = ap_buf_str(&columns)},
            err);
    }
    for (size_t i = 0; i < file->plan.count && status == AP_OK; i++) {
        if (file->plan.columns[i].remark.len) {
            status =
                ap_file_warn(file, 0, (int)i + 1, ap_str_shortened(file->plan.columns[i].header, AP_FAULT_TEXT_MAX),
                             AP_STR_NONE, file->plan.columns[i].remark, err);
        }
    }
    ap_buf_release(&columns);
    ap_buf_release(&text);
    if (status == AP_OK && session->options->planned) {
        session->options->planned(session->options->planned_context, file->path, &file->plan);
    }
    return status;
}

static ap_status take_rows(ap_file_job *file, ap_error *err) {
    const bool ahead = ap_source_size(file->source) >= BIG_FILE;
    ap_status status = ap_batches_run(ap_file_fill, ap_file_use, file, ahead, err);
    if (status == AP_OK && file->dates_failed) {
        status = ap_file_warn(file, 0, 0, AP_STR_LIT("date"), AP_STR_NONE, ap_str_from(file->dates_error.text), err);
    }
    return status == AP_OK ? AP_OK : ap_error_wrap(err, status, "unable to import '%s'", file->path);
}

static ap_status end_file(ap_file_job *file, ap_error *err) {
    ap_session *session = file->session;
    ap_intake_file *entry = file->entry;
    ap_query *query = NULL;
    ap_buf text;
    char says[512];
    ap_status status = AP_OK;
    for (int i = 0; status == AP_OK && ap_whole_file_says(says, sizeof says, &file->whole, i); i++) {
        status = ap_file_warn(file, 0, 0, AP_STR_NONE, AP_STR_NONE, ap_str_from(says), err);
    }
    if (status == AP_OK) {
        status = look_for_next_sheet(file, err);
    }
    ap_str remark;
    for (size_t i = 0; status == AP_OK && ap_rows_remark(&remark, &file->arena, file->rows, i); i++) {
        status = ap_file_warn(file, 0, 0, AP_STR_NONE, AP_STR_NONE, remark, err);
    }
    if (status == AP_OK && !file->digest_known) {
        status = ap_source_digest(file->sha256, file->source, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_buf_init(&text, 4096);
    ap_dates_describe(&text, &file->dates);
    if (file->dates_failed) {
        ap_buf_append_cstr(&text, ", others unsettled");
    }
    entry->date_order = ap_arena_str(&session->result->arena, ap_buf_str(&text));
    ap_buf_release(&text);
    entry->sha256 = ap_arena_str(&session->result->arena, ap_str_from(file->sha256));
    status = ap_query_open(&query, session->book, "intake_file_sha256", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":sha256", entry->sha256);
        ap_query_bind_text(query, ":date_order", entry->date_order);
        ap_query_bind_int(query, ":file_id", file->file_id);
        status = ap_query_run(query, err);
        ap_query_close(query);
    }
    return status == AP_OK ? ap_book_import_file_end(session->book, file->file_id, &entry->counts, err) : status;
}

static void add_totals(ap_session *session, const ap_file_counts *counts) {
    ap_file_counts *totals = &session->result->totals;
    totals->stored += counts->stored;
    totals->unchanged += counts->unchanged;
    totals->set_aside += counts->set_aside;
    totals->conflicts += counts->conflicts;
}

/* The copy waits for the commit. */
static ap_status hand_over(ap_file_job *file, ap_error *err) {
    ap_session *session = file->session;
    if (session->source_count == session->source_cap) {
        ap_source **wider = ap_grown(session->sources, &session->source_cap, 16, sizeof *wider);
        if (!wider) {
            return ap_error_set(err, AP_E_MEMORY, "out of memory for the import");
        }
        session->sources = wider;
    }
    ap_source_let_go(file->source);
    session->sources[session->source_count++] = file->source;
    file->source = NULL;
    return AP_OK;
}

static ap_status note_known(ap_file_job *file, int64_t known, ap_error *err) {
    ap_arena *arena = &file->session->result->arena;
    file->entry->outcome = AP_INTAKE_KNOWN;
    file->entry->known_import = known;
    file->entry->sha256 = ap_arena_str(arena, ap_str_from(file->sha256));
    file->entry->says =
        ap_arena_printf(arena, "the book has this very file from import %lld: nothing added", (long long)known);
    /* A copy that went missing is made again; the one of this call is still waiting for its commit. */
    return known == file->session->import_id || !file->session->copy_folder ? AP_OK
                                                                            : ap_source_keep_copy(file->source, err);
}

static ap_status choose_and_settle(ap_file_job *file, ap_error *why) {
    ap_status status = file->profile ? AP_OK : ap_file_choose_profile(file, why);
    if (status == AP_OK) {
        status = settle(file, why);
        if (status == AP_E_INPUT && !file->profile) {
            ap_file_name_profile(file, why);
        }
    }
    return status;
}

static ap_status run(ap_file_job *file, ap_error *err) {
    ap_session *session = file->session;
    ap_error why;
    ap_error_clear(&why);
    int64_t known = 0;
    ap_status status = ap_source_open(&file->source, file->name, session->copy_folder, &why);
    if (status != AP_OK) {
        return unusable(file, status, &why, err);
    }
    file->entry->bytes = ap_source_size(file->source);
    status = look_if_known(&known, file, err);
    if (session->options->again && session->options->dry_run) {
        known = 0;
    }
    if (status != AP_OK || (known != 0 && !ap_source_is_workbook(file->source))) {
        return status == AP_OK ? note_known(file, known, err) : status;
    }
    status = choose_and_settle(file, &why);
    if (status == AP_OK && known != 0) { /* another sheet of it may be new */
        status = ask_book(&known, session->book, "intake_known_file", ":sha256", 0, ap_str_from(file->sha256),
                          ap_rows_sheet(file->rows), err);
        name_sheet(file);
        if (status != AP_OK) {
            return status;
        }
    }
    if (known != 0) {
        status = status == AP_OK ? look_for_next_sheet(file, err) : AP_OK;
        return status == AP_OK ? note_known(file, known, err) : status;
    }
    if (status != AP_OK) {
        return unusable(file, status, &why, err);
    }
    if (!file->digest_known) {
        ap_source_digest_start(file->source);
    }
    file->entry->outcome = AP_INTAKE_READ;
    status = begin_file(file, err);
    if (status == AP_OK) {
        status = take_rows(file, err);
    }
    if (status == AP_OK) {
        status = end_file(file, err);
    }
    if (status == AP_OK) {
        add_totals(session, &file->entry->counts);
        status = hand_over(file, err);
    }
    return status;
}

static ap_status one_file(ap_session *session, const char *path, ap_buf *sheet, const ap_profile **profile,
                          ap_error *err) {
    ap_file_job *file = calloc(1, sizeof *file);
    if (!file) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while reading '%s'", path);
    }
    file->session = session;
    file->name = path;
    file->path = strcmp(path, "-") == 0 ? "standard input" : path;
    file->path = session->options->shown ? session->options->shown : file->path;
    file->profile = *profile;
    ap_arena_init(&file->arena, PLAN_MAX);
    file->sheet = ap_arena_str(&file->arena, ap_buf_str(sheet));
    file->next_sheet = sheet;
    ap_buf_clear(sheet);
    ap_buf_init(&file->name_text, 2 << 20);
    ap_carry_init(&file->carry);
    file->entry = ap_report_file(session->result, ap_str_from(file->path));
    ap_status status = AP_E_MEMORY;
    if (!file->entry) {
        ap_error_set(err, AP_E_MEMORY, "out of memory for the import's report");
    } else {
        status = run(file, err);
    }
    *profile = file->profile;
    ap_row_reader_free(file->reader);
    ap_rows_free(file->rows);
    ap_source_close(file->source);
    ap_buf_release(&file->name_text);
    ap_carry_release(&file->carry);
    ap_arena_release(&file->arena);
    free(file);
    return status;
}

ap_status ap_session_file(ap_session *session, const char *path, ap_error *err) {
    ap_buf sheet;
    const ap_profile *profile = NULL;
    ap_buf_init(&sheet, 4096);
    ap_status status = AP_OK;
    do { /* a workbook whose profile reads every sheet takes its turn once a sheet */
        status = one_file(session, path, &sheet, &profile, err);
    } while (status == AP_OK && sheet.len > 0);
    ap_buf_release(&sheet);
    return status;
}
