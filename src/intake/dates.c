#include "intake/dates.h"

enum { SHOWN = 24, DECIMAL_ROWS = 2000, ISO_BIT = 1, MDY_BIT = 2, DMY_BIT = 4 };

/* First sightings of dates that have one reading only because of the number above twelve, or two readings. */
typedef struct sightings {
    int64_t mdy_line;
    int64_t dmy_line;
    int64_t both_line;
    char both_text[SHOWN];
} sightings;

static void note_date(sightings *seen, ap_str cell, int64_t line) {
    const unsigned orders = ap_date_orders(cell);
    if (orders & ISO_BIT) {
        return;
    }
    if ((orders & MDY_BIT) && (orders & DMY_BIT)) {
        if (!seen->both_line) {
            seen->both_line = line;
            snprintf(seen->both_text, sizeof seen->both_text, "%.*s", AP_STR_ARG(cell));
        }
    } else if ((orders & MDY_BIT) && !seen->mdy_line) {
        seen->mdy_line = line;
    } else if ((orders & DMY_BIT) && !seen->dmy_line) {
        seen->dmy_line = line;
    }
}

static ap_status conclude(ap_dates *out, const sightings *seen, ap_error *err) {
    if (seen->mdy_line && seen->dmy_line) {
        return ap_error_set(
            err, AP_E_INPUT,
            "the dates contradict each other: line %lld can only be month first, line %lld only day first; "
            "correct one of them, or give --dates mdy or --dates dmy",
            (long long)seen->mdy_line, (long long)seen->dmy_line);
    }
    if (seen->both_line && !seen->mdy_line && !seen->dmy_line) {
        return ap_error_set(
            err, AP_E_INPUT,
            "the dates can be read two ways: '%s' on line %lld may be month first or day first, and no other "
            "line settles it; give --dates mdy or --dates dmy",
            seen->both_text, (long long)seen->both_line);
    }
    const ap_date_order order = seen->mdy_line ? AP_DATES_MDY : seen->dmy_line ? AP_DATES_DMY : AP_DATES_ISO;
    *out = (ap_dates){.order = order, .line = seen->mdy_line + seen->dmy_line, .complete = true};
    return AP_OK;
}

static size_t digits_at(ap_str text, size_t at) {
    size_t count = 0;
    while (at + count < text.len && text.ptr[at + count] >= '0' && text.ptr[at + count] <= '9') {
        count++;
    }
    return count;
}

ap_str ap_date_with_year(char space[AP_DATE_YEAR_SIZE], ap_str cell, int year) {
    const size_t first = digits_at(cell, 0);
    if (year <= 0 || cell.len == 0 || cell.len > AP_DATE_YEAR_SIZE - 8) {
        return cell;
    }
    const bool marked = first >= 1 && first <= 2 && first < cell.len && strchr("./-", cell.ptr[first]);
    const size_t second = marked ? digits_at(cell, first + 1) : 0;
    const size_t end = first + 1 + second;
    if (marked && second >= 1 && second <= 2 && (end == cell.len || (end + 1 == cell.len && cell.ptr[end] == '.'))) {
        snprintf(space, AP_DATE_YEAR_SIZE, "%.*s%c%d", (int)end, cell.ptr, cell.ptr[first], year);
        return ap_str_from(space);
    }
    /* "14 Sep": with a year behind it, it is a date. */
    if (ap_date_orders(cell) == 0) {
        snprintf(space, AP_DATE_YEAR_SIZE, "%.*s %d", AP_STR_ARG(cell), year);
        return ap_date_orders(ap_str_from(space)) ? ap_str_from(space) : cell;
    }
    return cell;
}

static ap_str date_cell(char space[AP_DATE_YEAR_SIZE], const ap_plan *plan, const ap_row *row) {
    const int at = plan->position[AP_F_date];
    const ap_str cell = at >= 0 && (size_t)at < row->count ? ap_str_trim(row->cells[at]) : AP_STR_NONE;
    return ap_date_with_year(space, cell, plan->year);
}

static bool row_is_blank(const ap_row *row) {
    for (size_t i = 0; i < row->count; i++) {
        if (!ap_str_is_blank(row->cells[i])) {
            return false;
        }
    }
    return true;
}

ap_status ap_dates_look(ap_dates *out, bool *any, const ap_plan *plan, ap_rows *rows, ap_date_order given,
                        ap_error *err) {
    sightings seen = {0};
    char space[AP_DATE_YEAR_SIZE];
    *any = false;
    for (bool first = true;;) {
        ap_row row;
        bool more = false;
        const ap_status status = ap_rows_next(&row, &more, rows, err);
        if (status != AP_OK) {
            return status;
        }
        if (!more) {
            break;
        }
        if (row.line <= plan->line || (!*any && !row.trouble && row_is_blank(&row))) {
            continue;
        }
        *any = true;
        if (given != AP_DATES_UNSETTLED) {
            *out = (ap_dates){.order = given, .given = true, .complete = true};
            return AP_OK;
        }
        const ap_str cell = date_cell(space, plan, &row);
        const unsigned orders = cell.len ? ap_date_orders(cell) : 0;
        if (first && (orders & ISO_BIT)) {
            *out = (ap_dates){.order = AP_DATES_ISO};
            return AP_OK;
        }
        first = first && orders == 0;
        note_date(&seen, cell, row.line);
    }
    return conclude(out, &seen, err);
}

ap_status ap_dates_settle(ap_dates *out, const ap_plan *plan, ap_rows *rows, ap_error *err) {
    sightings seen = {0};
    char space[AP_DATE_YEAR_SIZE];
    for (;;) {
        ap_row row;
        bool more = false;
        const ap_status status = ap_rows_next(&row, &more, rows, err);
        if (status != AP_OK) {
            return status;
        }
        if (!more) {
            return conclude(out, &seen, err);
        }
        if (row.line > plan->line) {
            note_date(&seen, date_cell(space, plan, &row), row.line);
        }
    }
}

void ap_dates_describe(ap_buf *out, const ap_dates *dates) {
    static const char *const names[] = {"unsettled", "ISO", "m/d/y", "d/m/y"};
    ap_buf_append_cstr(out, names[dates->order]);
    if (dates->given) {
        ap_buf_append_cstr(out, " (given)");
    } else if (dates->line) {
        ap_buf_appendf(out, " (settled by line %lld)", (long long)dates->line);
    }
}

/* A mark followed by other than three digits, or the last of two kinds of mark, is the decimal one: "6,25", "1.234,5". */
void ap_decimal_note(ap_decimal_seen *seen, ap_str cell) {
    char last = 0;
    size_t digits = 0;
    bool point = false;
    bool comma = false;
    for (size_t i = 0; i <= cell.len; i++) {
        const char c = i < cell.len ? cell.ptr[i] : ' ';
        if (c >= '0' && c <= '9') {
            digits++;
        } else if ((c == '.' || c == ',') && i > 0 && cell.ptr[i - 1] >= '0' && cell.ptr[i - 1] <= '9') {
            point = point || c == '.';
            comma = comma || c == ',';
            last = c;
            digits = 0;
        } else {
            if (last && digits > 0 && (digits != 3 || (point && comma))) {
                *(last == '.' ? &seen->points : &seen->commas) += 1;
            } else if (last && digits == 3) { /* 4,850 is one thing beside 6.5 and another beside 6,5 */
                *(last == '.' ? &seen->point_groups : &seen->comma_groups) += 1;
            }
            if (last) {
                return;
            }
            digits = 0;
        }
    }
}

char ap_decimal_settle(const ap_decimal_seen *seen, char delimiter) {
    if (seen->points == 0 && seen->commas == 0) {
        return delimiter == ';' ? '\0' : '.';
    }
    return seen->commas == 0 ? '.' : seen->points == 0 && seen->comma_groups == 0 ? ',' : '\0';
}

ap_status ap_decimal_look(char *decimal, const ap_plan *plan, ap_rows *rows, ap_error *err) {
    ap_decimal_seen seen = {0};
    for (int n = 0; n < DECIMAL_ROWS; n++) {
        ap_row row;
        bool more = false;
        const ap_status status = ap_rows_next(&row, &more, rows, err);
        if (status != AP_OK) {
            return status;
        }
        if (!more) {
            break;
        }
        for (size_t i = 0; row.line > plan->line && i < row.count && i < plan->count; i++) {
            /* A number of a workbook has a point of its own and says nothing about how texts are typed. */
            bool typed = !row.numbers || !row.numbers[i];
            if (typed && plan->columns[i].desc && plan->columns[i].desc->kind == AP_KIND_QTY) {
                ap_decimal_note(&seen, row.cells[i]);
            }
        }
    }
    *decimal = ap_decimal_settle(&seen, ap_rows_delimiter(rows));
    return AP_OK;
}
