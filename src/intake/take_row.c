/* What becomes of one row: stored, unchanged, in conflict, set aside, or no pick at all. */
#include "intake/file_job.h"
#include "intake/report.h"

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

static ap_status set_aside(ap_file_job *file, const ap_row *row, ap_error *err) {
    ap_session *session = file->session;
    const ap_intake_problem problem = problem_of(AP_INTAKE_SET_ASIDE, row, &file->fault);
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
        snprintf(why, sizeof why, "%.*s %s", AP_STR_ARG(problem.field), file->fault.reason);
        status = ap_rejects_row(session->rejects, row, ap_str_from(why), problem.remedy, err);
    }
    return status;
}

static ap_status told_conflict(ap_file_job *file, const ap_row *row, int differs, ap_error *err) {
    ap_session *session = file->session;
    file->entry->counts.conflicts++;
    if (!ap_report_wants(session->result, AP_INTAKE_CONFLICT)) {
        return AP_OK;
    }
    const ap_status status =
        ap_store_describe_conflict(&file->fault, session->store, &file->pick, differs, &file->plan, row, err);
    if (status == AP_OK) {
        const ap_intake_problem problem = problem_of(AP_INTAKE_CONFLICT, row, &file->fault);
        ap_report_problem(session->result, &problem);
    }
    return status;
}

static void tell_stored(ap_file_job *file) {
    const ap_intake_options *options = file->session->options;
    if (options->stored) {
        ap_buf_clear(&file->name_text);
        ap_buf_append_str(&file->name_text, file->pick.job);
        ap_buf_append_char(&file->name_text, '/');
        ap_buf_append_str(&file->name_text, file->pick.pick);
        file->pick.name = ap_buf_str(&file->name_text);
        options->stored(options->stored_context, &file->pick);
    }
}

static ap_status offer(ap_file_job *file, const ap_row *row, ap_error *err) {
    ap_session *session = file->session;
    const ap_origin origin = {
        .import_id = session->import_id, .file_id = file->file_id, .line = row->line, .raw = row->raw};
    ap_stored stored = AP_STORED_NEW;
    int differs = -1;
    ap_status status = ap_store_offer(&stored, &differs, session->store, &file->pick, &origin, err);
    if (status != AP_OK) {
        return status;
    }
    if (stored == AP_STORED_CONFLICT) {
        return told_conflict(file, row, differs, err);
    }
    if (stored == AP_STORED_UNCHANGED) {
        file->entry->counts.unchanged++;
        return AP_OK;
    }
    file->entry->counts.stored++;
    tell_stored(file);
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
    ap_error why;
    ap_error_clear(&why);
    ap_status status = ap_rows_new_delimited(&look, file->source, file->session->options->delimiter, err);
    if (status != AP_OK) {
        return status;
    }
    status = ap_dates_settle(&file->dates, &file->plan, look, &why);
    ap_rows_free(look);
    if (status == AP_E_INPUT) {
        file->dates.complete = true;
        file->dates_failed = true;
        ap_row_reader_set_order(file->reader, AP_DATES_UNSETTLED);
        return ap_file_warn(file, 0, 0, AP_STR_LIT("date"), AP_STR_NONE, ap_str_from(why.text), err);
    }
    if (status != AP_OK) {
        return ap_error_set(err, status, "%s", why.text);
    }
    ap_row_reader_set_order(file->reader, file->dates.order);
    return AP_OK;
}

ap_status ap_file_take_row(ap_file_job *file, const ap_row *row, ap_error *err) {
    ap_intake_file *entry = file->entry;
    ap_status status = AP_OK;
    ap_row_kind kind = AP_ROW_RAGGED;
    ap_fault_clear(&file->fault);
    file->doubt_count = 0;
    if (!file->dates.complete && ap_row_reader_needs_order(file->reader, row)) {
        status = settle_late(file, err);
    }
    if (status == AP_OK) {
        status = ap_row_reader_read(&kind, &file->pick, &file->fault, file->reader, row, err);
    }
    if (status != AP_OK) {
        return status;
    }
    entry->rows++;
    switch (kind) {
    case AP_ROW_BLANK:
        entry->blank++;
        return AP_OK;
    case AP_ROW_TOTAL:
        entry->totals++;
        return AP_OK;
    case AP_ROW_HEADER:
        entry->headers++;
        return AP_OK;
    case AP_ROW_RAGGED:
        return set_aside(file, row, err);
    case AP_ROW_FAULTY: /* judged too, so that all that is wrong can be mended at once */
    case AP_ROW_PICK:
        break;
    }
    file->pick.source_file = file->entry->path;
    file->pick.source_line = row->line;
    ap_judge_pick(file->session->judge, &file->pick, &file->plan, row, &file->fault, keep_doubt, file);
    if (file->fault.count) {
        return set_aside(file, row, err);
    }
    ap_whole_file_add(&file->whole, &file->pick, ap_row_reader_species(file->reader), &file->session->settings);
    return offer(file, row, err);
}
