#include "intake/pick_log.h"

#include "book/pick_text.h"
#include "intake/cells.h"
#include "text/delimited.h"

enum { ROW_MAX = 4 << 20 /* as text/delimited.h reads them */, NUMBER_MAX = 512 };

struct ap_pick_log {
    ap_unit bare[AP_COLUMN_COUNT]; /* what a number without a unit means; of a quantity */
    ap_book *seed;                 /* what a new book reads species as */
    ap_species_memory species;
    ap_buf row;
    ap_buf cell;
    int64_t rounded;
};

static ap_unit unit_of(const ap_field *field, ap_unit_system units) {
    if (field->dim == AP_DIM_SHARE) {
        return AP_UNIT_ONE; /* "0.15"; a percent carries its sign */
    }
    return ap_unit_for_page(units, field->dim, strstr(field->name, "diameter") != NULL);
}

ap_status ap_pick_log_new(ap_pick_log **out, ap_unit_system units, ap_error *err) {
    ap_pick_log *log = calloc(1, sizeof *log);
    if (!log) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the log");
    }
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        const ap_field *field = ap_field_get(i);
        log->bare[i] = field->kind == AP_KIND_QTY ? unit_of(field, units) : AP_UNIT_NONE;
    }
    ap_buf_init(&log->row, ROW_MAX);
    ap_buf_init(&log->cell, NUMBER_MAX);
    const ap_status status = ap_book_open_seed(&log->seed, err);
    if (status != AP_OK) {
        ap_pick_log_free(log);
        return status;
    }
    *out = log;
    return AP_OK;
}

void ap_pick_log_free(ap_pick_log *log) {
    if (log) {
        ap_book_close(log->seed);
        ap_buf_release(&log->row);
        ap_buf_release(&log->cell);
        free(log);
    }
}

int64_t ap_pick_log_rounded(const ap_pick_log *log) {
    return log->rounded;
}

void ap_pick_log_header(ap_sink *sink, const ap_pick_log *log) {
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        const char *symbol = ap_unit_symbol(log->bare[i]);
        ap_sink_printf(sink, "%s%s%s%s", i ? "," : "", ap_field_get(i)->name, *symbol ? "_" : "", symbol);
    }
    ap_sink_puts(sink, "\r\n");
}

static void put_text(ap_pick_log *log, ap_str text) {
    ap_delimited_write_cell(&log->row, text, ',', true);
}

/* "-0.5" is a number to a spreadsheet; "-6 in" would be a formula. */
static void put_quantity(ap_pick_log *log, const ap_pick *pick, int column) {
    const double value = *(const double *)ap_pick_at_const(pick, column);
    ap_buf_clear(&log->cell);
    const bool exact =
        ap_quantity_write(&log->cell, value, ap_field_get(column)->dim, pick->written[column], log->bare[column]);
    log->rounded += !exact;
    put_text(log, ap_buf_str(&log->cell));
}

static bool means(bool *same, ap_pick_log *log, ap_str name, int64_t id, ap_error *err) {
    const ap_species *species = NULL;
    *same = false;
    if (!ap_book_species_is_name(log->seed, name)) {
        return AP_OK;
    }
    const ap_status status = ap_cell_species(&species, &log->species, log->seed, name, err);
    *same = status == AP_OK && species->id == id;
    return status == AP_E_AMBIGUOUS || status == AP_E_NOT_FOUND ? AP_OK : status;
}

static ap_status put_species(ap_pick_log *log, const ap_pick *pick, ap_error *err) {
    bool same = false;
    ap_status status = means(&same, log, pick->species, pick->species_id, err);
    if (status == AP_OK &&
        !same) { /* taught, or put so by a profile; a species of the company's own has no other name */
        put_text(log, pick->species_common.len > 0 ? pick->species_common : pick->species);
    } else if (status == AP_OK) {
        put_text(log, pick->species);
    }
    return status;
}

static ap_status put_cell(ap_pick_log *log, const ap_pick *pick, int column, ap_error *err) {
    const size_t job = pick->job.len + 1;
    if (column == AP_F_species) {
        return put_species(log, pick, err);
    }
    if (column == AP_F_pick && pick->name.len > job) {
        put_text(log, (ap_str){pick->name.ptr + job, pick->name.len - job});
    } else if (ap_field_get(column)->kind == AP_KIND_QTY) {
        put_quantity(log, pick, column);
    } else if (ap_field_get(column)->kind == AP_KIND_TEXT) {
        put_text(log, *(const ap_str *)ap_pick_at_const(pick, column));
    } else {
        ap_pick_value_write(&log->row, pick, column);
    }
    return AP_OK;
}

ap_status ap_pick_log_row(ap_sink *sink, ap_pick_log *log, const ap_pick *pick, ap_error *err) {
    ap_status status = AP_OK;
    ap_buf_clear(&log->row);
    for (int i = 0; status == AP_OK && i < AP_COLUMN_COUNT; i++) {
        if (i > 0) {
            ap_buf_append_char(&log->row, ',');
        }
        if (ap_field_get(i)->leg <= pick->leg_count && !ap_pick_field_is_blank(pick, i)) {
            status = put_cell(log, pick, i, err);
        }
    }
    ap_buf_append_cstr(&log->row, "\r\n");
    if (status == AP_OK) {
        status = ap_buf_check(&log->row, "a row of the log", err);
    }
    if (status == AP_OK) {
        ap_sink_put(sink, ap_buf_str(&log->row));
    }
    return status;
}
