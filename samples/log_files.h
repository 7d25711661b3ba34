/* The files and their columns: picks to canonical CSV, one unit system a file. Part of make_samples.c. */
#ifndef AP_SAMPLES_LOG_FILES_H
#define AP_SAMPLES_LOG_FILES_H

#include "base/pick.h"
#include "base/str.h"

/* --- writing ------------------------------------------------------------------------------------------------------ */

/* Columns a log of each crew has: A keeps everything, B keeps no times, limits or peaks, C changed its form in August. */
static const char columns_common[] =
    "job site date crew estimator climber operator crane tree pick species condition foliage piece length "
    "butt_diameter "
    "mid_diameter tip_diameter lean planned_weight estimate_basis planned_radius planned_capacity rigging_weight "
    "planned_cut measured_weight measured_as weighed_by cut_radius cut_capacity set_down_radius set_down_capacity "
    "cut kerf leg_1_kind leg_1_hitch leg_1_at leg_1_length leg_1_state leg_2_kind leg_2_hitch leg_2_at leg_2_length "
    "leg_2_state movement movement_distance toward climber_at climber_distance climber_side re_rigs near_miss notes";
static const char columns_a[] =
    " time brush_share boom_length preload peak_load fibre_left leg_1_locks leg_1_wll leg_1_tag "
    "leg_2_locks leg_2_wll leg_2_tag leg_3_kind leg_3_at leg_3_state tag_line wind";
static const char columns_b[] = " tag_line";
static const char columns_c_us[] = " planned_as time preload wind";
static const char columns_c_metric[] = " planned_as boom_length preload peak_load leg_1_wll leg_2_wll wind";

typedef struct log_file {
    const char *name;
    int crew, first_month, last_month;
    bool metric;
    const char *more_columns;
} log_file;

static const log_file logs[] = {
    {"crew-a-2026-04-05.csv", 0, 4, 5, false, columns_a},
    {"crew-a-2026-06-07.csv", 0, 6, 7, false, columns_a},
    {"crew-a-2026-08-09.csv", 0, 8, 9, false, columns_a},
    {"crew-a-2026-10.csv", 0, 10, 10, false, columns_a},
    {"crew-b-2026-04-05.csv", 1, 4, 5, true, columns_b},
    {"crew-b-2026-06-07.csv", 1, 6, 7, true, columns_b},
    {"crew-b-2026-08-09.csv", 1, 8, 9, true, columns_b},
    {"crew-b-2026-10.csv", 1, 10, 10, true, columns_b},
    {"crew-c-2026-04-05.csv", 2, 4, 5, false, columns_c_us},
    {"crew-c-2026-06-07.csv", 2, 6, 7, false, columns_c_us},
    {"crew-c-2026-08-09.csv", 2, 8, 9, true, columns_c_metric},
    {"crew-c-2026-10.csv", 2, 10, 10, true, columns_c_metric},
};
enum { LOGS = sizeof logs / sizeof logs[0], COLUMNS_MAX = 96 };

typedef struct writer {
    ap_buf *out;
    bool metric;
    int columns[COLUMNS_MAX];
    int count;
} writer;

static ap_unit column_unit(const ap_field *field, bool metric) {
    bool across = strstr(field->name, "diameter") != NULL;
    switch (field->dim) {
    case AP_DIM_LENGTH:
        return metric ? (across ? AP_UNIT_CM : AP_UNIT_M) : (across ? AP_UNIT_IN : AP_UNIT_FT);
    case AP_DIM_LOAD:
        return metric ? AP_UNIT_KG : AP_UNIT_LB;
    case AP_DIM_ANGLE:
        return AP_UNIT_DEG;
    default:
        return AP_UNIT_PERCENT;
    }
}

static void write_header(writer *w, const char *names) {
    ap_str rest = ap_str_from(names);
    while (rest.len > 0 && w->count < COLUMNS_MAX) {
        ap_str name = ap_str_split(rest, ' ', &rest);
        int column = ap_field_find(name);
        if (column < 0)
            abort();
        const ap_field *field = ap_field_get(column);
        ap_buf_append_cstr(w->out, w->count ? "," : "");
        ap_buf_append_str(w->out, name);
        if (field->kind == AP_KIND_QTY)
            ap_buf_appendf(w->out, w->metric ? " (%s)" : "_%s",
                           field->dim == AP_DIM_SHARE ? (w->metric ? "%" : "pct")
                                                      : ap_unit_symbol(column_unit(field, w->metric)));
        w->columns[w->count++] = column;
    }
    ap_buf_append_char(w->out, '\n');
}

static void write_quantity(ap_buf *out, double value) {
    long long tenths = llround(value * 10.0);
    ap_buf_appendf(out, tenths % 10 ? "%s%lld.%lld" : "%s%lld", tenths < 0 ? "-" : "", llabs(tenths) / 10,
                   llabs(tenths) % 10);
}

static void write_cell(writer *w, const ap_pick *pick, int column) {
    const ap_field *field = ap_field_get(column);
    const void *at = ap_pick_at_const(pick, column);
    char text[AP_ISO_SIZE];
    if (ap_pick_field_is_blank(pick, column))
        return;
    switch (field->kind) {
    case AP_KIND_TEXT: {
        ap_str s = *(const ap_str *)at;
        bool quote = memchr(s.ptr, ',', s.len) != NULL;
        ap_buf_appendf(w->out, quote ? "\"%.*s\"" : "%.*s", AP_STR_ARG(s));
        break;
    }
    case AP_KIND_WORD:
        ap_buf_append_cstr(w->out, ap_word_get(field->vocabulary, *(const int32_t *)at));
        break;
    case AP_KIND_QTY:
        write_quantity(w->out, ap_unit_from_si(column_unit(field, w->metric), *(const double *)at));
        break;
    case AP_KIND_COUNT:
        ap_buf_appendf(w->out, "%d", *(const int32_t *)at);
        break;
    case AP_KIND_YESNO:
        ap_buf_append_cstr(w->out, *(const int32_t *)at == AP_YESNO_YES ? "yes" : "no");
        break;
    case AP_KIND_DATE:
        ap_date_to_iso(text, *(const ap_date *)at);
        ap_buf_append_cstr(w->out, text);
        break;
    case AP_KIND_TIME:
        ap_time_to_iso(text, *(const ap_time *)at);
        ap_buf_append_cstr(w->out, text);
        break;
    case AP_KIND_MOVES:
        ap_moves_to_text(w->out, *(const int32_t *)at);
        break;
    }
}

static void write_pick(void *context, const ap_pick *pick) {
    writer *w = context;
    for (int i = 0; i < w->count; i++) {
        if (i)
            ap_buf_append_char(w->out, ',');
        write_cell(w, pick, w->columns[i]);
    }
    ap_buf_append_char(w->out, '\n');
}

#endif
