/* What becomes of one row: stored, unchanged, in conflict, set aside, or no pick at all. */
#include "intake/file_job.h"
#include "intake/report.h"

enum { PROGRESS_ROWS = 8192 };

ap_status ap_file_warn(ap_file_job *file, int64_t line, int column, ap_str field, ap_str text, ap_str says,
                       ap_error *err) {
    ap_session *session = file->session;
    file->entry->warnings++;
    session->result->warnings++;
    ap_report_problem(
        session->result,
        &(ap_intake_problem){
            .kind = AP_INTAKE_WARNING, .line = line, .column = column, .field = field, .text = text, .reason = says});
    return ap_book_warning_add(session->book, file->file_id, line, field, says, err);
}

static void keep_doubt(void *context, int column, ap_str field, ap_str text, const char *says) {
    ap_file_job *file = context;
    if (file->doubt_count == AP_DOUBTS_MAX) {
        return;
    }
    ap_doubt *kept = &file->doubts[file->doubt_count++];
    const ap_str shown = ap_str_shortened(text, sizeof kept->text);
    kept->column = column;
    kept->field = field;
    kept->text_len = shown.len;
    if (shown.len) {
        memcpy(kept->text, shown.ptr, shown.len);
    }
    snprintf(kept->says, sizeof kept->says, "%s", says);
}

static ap_intake_problem problem_of(ap_intake_problem_kind kind, const ap_row *row, const ap_fault *fault) {
    return (ap_intake_problem){.kind = kind,
                               .line = row->line,
                               .column = fault->column,
                               .field = fault->field,
                               .text = {fault->text, fault->text_len},
                               .reason = ap_str_from(fault->reason),
                               .remedy = ap_str_from(fault->remedy)};
}

static ap_status set_aside(ap_file_job *file, const ap_batch_item *item, ap_error *err) {
    const ap_row *row = &item->row;
    ap_session *session = file->session;
    const ap_intake_problem problem = problem_of(AP_INTAKE_SET_ASIDE, row, &item->fault);
    file->entry->counts.set_aside++;
    ap_report_problem(session->result, &problem);
    ap_status status = ap_book_set_aside_add(session->book, file->file_id,
                                             &(ap_set_aside){.line = row->line,
                                                             .column = problem.column,
                                                             .field = problem.field,
                                                             .text = problem.text,
                                                             .reason = problem.reason,
                                                             .remedy = problem.remedy,
                                                             .raw = row->raw},
                                             err);
    if (status == AP_OK && session->rejects) {
        char why[AP_FAULT_REASON_MAX + AP_FAULT_TEXT_MAX];
        snprintf(why, sizeof why, "%.*s %s", AP_STR_ARG(problem.field), item->fault.reason);
        status = ap_rejects_row(session->rejects, row, ap_str_from(why), problem.remedy, err);
    }
    return status;
}

static ap_status told_conflict(ap_file_job *file, ap_batch_item *item, int differs, ap_error *err) {
    const ap_row *row = &item->row;
    ap_session *session = file->session;
    file->entry->counts.conflicts++;
    if (!ap_report_wants(session->result, AP_INTAKE_CONFLICT)) {
        return AP_OK;
    }
    const ap_status status =
        ap_store_describe_conflict(&item->fault, session->store, &item->pick, differs, &file->plan, row, err);
    if (status == AP_OK) {
        const ap_intake_problem problem = problem_of(AP_INTAKE_CONFLICT, row, &item->fault);
        ap_report_problem(session->result, &problem);
    }
    return status;
}

static void tell_stored(ap_file_job *file, ap_pick *pick) {
    const ap_intake_options *options = file->session->options;
    if (options->stored) {
        ap_store_last(file->session->store, pick);
        ap_buf_clear(&file->name_text);
        ap_buf_append_str(&file->name_text, pick->job);
        ap_buf_append_char(&file->name_text, '/');
        ap_buf_append_str(&file->name_text, pick->pick);
        pick->name = ap_buf_str(&file->name_text);
        options->stored(options->stored_context, pick);
    }
}

static ap_status offer(ap_file_job *file, ap_batch_item *item, ap_error *err) {
    const ap_row *row = &item->row;
    ap_session *session = file->session;
    const ap_origin origin = {
        .import_id = session->import_id, .file_id = file->file_id, .line = row->line, .raw = row->raw};
    ap_stored stored = AP_STORED_NEW;
    int differs = -1;
    ap_status status = ap_store_offer(&stored, &differs, session->store, &item->pick, &origin, err);
    if (status != AP_OK) {
        return status;
    }
    if (stored == AP_STORED_CONFLICT) {
        return told_conflict(file, item, differs, err);
    }
    if (stored == AP_STORED_UNCHANGED) {
        file->entry->counts.unchanged++;
        return AP_OK;
    }
    file->entry->counts.stored++;
    tell_stored(file, &item->pick);
    for (size_t i = 0; i < file->doubt_count && status == AP_OK; i++) {
        const ap_doubt *kept = &file->doubts[i];
        status = ap_file_warn(file, row->line, kept->column, kept->field, (ap_str){kept->text, kept->text_len},
                              ap_str_from(kept->says), err);
    }
    return status;
}

/* A date with two readings turned up behind rows with one: the whole file is looked at now. */
static ap_status settle_late(ap_file_job *file, ap_error *err) {
    ap_rows *look = NULL;
    ap_status status = ap_file_rows(&look, file, err);
    if (status != AP_OK) {
        return status;
    }
    ap_error_clear(&file->dates_error);
    status = ap_dates_settle(&file->dates, &file->plan, look, &file->dates_error);
    ap_rows_free(look);
    if (status == AP_E_INPUT) { /* told at the end of the file; its rows are set aside one by one */
        file->dates.complete = true;
        file->dates_failed = true;
        ap_row_reader_set_order(file->reader, AP_DATES_UNSETTLED);
        return AP_OK;
    }
    if (status != AP_OK) {
        return ap_error_set(err, status, "%s", file->dates_error.text);
    }
    ap_row_reader_set_order(file->reader, file->dates.order);
    return AP_OK;
}

void ap_file_fill(void *context, ap_batch *batch) {
    ap_file_job *file = context;
    ap_row_reader_set_texts(file->reader, &batch->arena);
    while (!ap_batch_is_full(batch)) {
        ap_row row;
        bool more = false;
        batch->status = ap_rows_next(&row, &more, file->rows, &batch->error);
        if (batch->status == AP_OK && !more) {
            batch->last = true;
            break;
        }
        if (batch->status == AP_OK) {
            ap_carry_row(&row, &file->carry, &file->plan);
        }
        ap_batch_item *item = batch->status == AP_OK ? ap_batch_add(batch, &row) : NULL;
        if (batch->status == AP_OK && !item) {
            batch->status =
                ap_error_set(&batch->error, AP_E_MEMORY, "out of memory for line %lld", (long long)row.line);
        }
        if (batch->status == AP_OK && !file->dates.complete && ap_row_reader_needs_order(file->reader, &item->row)) {
            batch->status = settle_late(file, &batch->error);
        }
        if (batch->status != AP_OK) {
            break;
        }
        item->kind = ap_row_reader_cells(&item->pick, &item->fault, file->reader, &item->row);
    }
    batch->offset = ap_rows_bytes(file->rows);
}

static ap_status take_pick(ap_file_job *file, ap_batch_item *item, ap_error *err) {
    const ap_species *species = NULL;
    const ap_status status = ap_row_reader_species(&species, &item->pick, &item->fault, file->reader, err);
    if (status != AP_OK) {
        return status;
    }
    file->doubt_count = 0;
    item->pick.source_file = file->entry->path;
    item->pick.source_line = item->row.line;
    ap_judge_pick(file->session->judge, &item->pick, &file->plan, &item->row, &item->fault, keep_doubt, file);
    if (item->fault.count) {
        return set_aside(file, item, err);
    }
    ap_whole_file_add(&file->whole, &item->pick, species, &file->session->settings);
    return offer(file, item, err);
}

static ap_status take_item(ap_file_job *file, ap_batch_item *item, ap_error *err) {
    ap_intake_file *entry = file->entry;
    entry->rows++;
    switch (item->kind) {
    case AP_ROW_BLANK:
        entry->blank++;
        return AP_OK;
    case AP_ROW_TOTAL:
        entry->totals++;
        return AP_OK;
    case AP_ROW_HEADER:
        entry->headers++;
        return AP_OK;
    case AP_ROW_SKIPPED:
        entry->skipped++;
        return AP_OK;
    case AP_ROW_RAGGED:
        return set_aside(file, item, err);
    case AP_ROW_FAULTY: /* judged too, so that all that is wrong can be mended at once */
    case AP_ROW_PICK:
        break;
    }
    return take_pick(file, item, err);
}

ap_status ap_file_use(void *context, ap_batch *batch, ap_error *err) {
    ap_file_job *file = context;
    const ap_intake_options *options = file->session->options;
    for (size_t i = 0; i < batch->count; i++) {
        const ap_status status = take_item(file, &batch->items[i], err);
        if (status != AP_OK) {
            return status;
        }
        if (options->progress && file->entry->rows % PROGRESS_ROWS == 0) {
            options->progress(options->progress_context, file->path, file->entry->rows, batch->offset);
        }
    }
    return AP_OK;
}
