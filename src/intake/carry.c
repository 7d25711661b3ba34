#include "intake/carry.h"

#include "intake/read_row.h"
#include "text/when.h"

void ap_carry_init(ap_carry *carry) {
    for (size_t i = 0; i < AP_PROFILE_CARRIES_MAX; i++) {
        ap_buf_init(&carry->kept[i], AP_CARRY_TEXT_MAX);
    }
}

void ap_carry_release(ap_carry *carry) {
    for (size_t i = 0; i < AP_PROFILE_CARRIES_MAX; i++) {
        ap_buf_release(&carry->kept[i]);
    }
}

static ap_str cell_of(const ap_plan *plan, const ap_row *row, int field) {
    const int at = plan->position[field];
    return at >= 0 && (size_t)at < row->count ? ap_str_trim(row->cells[at]) : AP_STR_NONE;
}

static bool is_carried(const ap_profile *profile, int field) {
    for (size_t i = 0; i < profile->carry_count; i++) {
        if (profile->carries[i] == field) {
            return true;
        }
    }
    return false;
}

/* Nothing but carried fields stands in it; in a text log the line itself and its notes do not count. */
static bool is_heading(const ap_plan *plan, const ap_row *row) {
    const bool table = plan->profile->kind == AP_PROFILE_TABLE;
    bool any = false;
    for (size_t i = 0; i < row->count && i < plan->count; i++) {
        const int field = plan->columns[i].field;
        if (ap_str_is_blank(row->cells[i]) || (!table && (field < 0 || field == AP_F_notes))) {
            continue;
        }
        if (field < 0 || !is_carried(plan->profile, field)) {
            return false;
        }
        any = any || field != AP_F_date || ap_date_orders(cell_of(plan, row, AP_F_date)) != 0 || plan->year;
    }
    return any;
}

static void remember(ap_carry *carry, const ap_plan *plan, const ap_row *row) {
    for (size_t i = 0; i < plan->profile->carry_count; i++) {
        const ap_str cell = cell_of(plan, row, plan->profile->carries[i]);
        if (cell.len && cell.len < AP_CARRY_TEXT_MAX) {
            ap_buf_clear(&carry->kept[i]);
            ap_buf_append_str(&carry->kept[i], cell);
        }
    }
}

void ap_carry_row(ap_row *row, ap_carry *carry, const ap_plan *plan) {
    const ap_profile *profile = plan->profile;
    if (!profile || profile->carry_count == 0 || row->heading || row->count > AP_CARRY_CELLS) {
        return;
    }
    if (cell_of(plan, row, AP_F_pick).len == 0 && cell_of(plan, row, AP_F_species).len == 0) {
        if (is_heading(plan, row)) {
            remember(carry, plan, row);
            row->heading = true;
            row->trouble = NULL;
        }
        return;
    }
    if (cell_of(plan, row, AP_F_species).len == 0 && ap_row_says_total(row)) {
        return;
    }
    if (!row->trouble) {
        remember(carry, plan, row);
    }
    for (size_t i = 0; i < row->count; i++) {
        carry->cells[i] = row->cells[i];
    }
    for (size_t i = 0; i < profile->carry_count; i++) {
        const int at = plan->position[profile->carries[i]];
        if (at >= 0 && (size_t)at < row->count && ap_str_is_blank(row->cells[at])) {
            carry->cells[at] = ap_buf_str(&carry->kept[i]);
        }
    }
    row->cells = carry->cells;
}
