#include "intake/carry.h"

#include "base/grow.h"
#include "intake/read_row.h"
#include "text/when.h"

enum { DAYS_MAX = 64 << 20 };

void ap_carry_init(ap_carry *carry) {
    for (size_t i = 0; i < AP_PROFILE_CARRIES_MAX; i++) {
        ap_buf_init(&carry->kept[i], AP_CARRY_TEXT_MAX);
    }
    ap_arena_init(&carry->arena, DAYS_MAX);
    carry->days = NULL;
    carry->counts = NULL;
    carry->count_cap = 0;
}

void ap_carry_release(ap_carry *carry) {
    for (size_t i = 0; i < AP_PROFILE_CARRIES_MAX; i++) {
        ap_buf_release(&carry->kept[i]);
    }
    ap_arena_release(&carry->arena);
    free(carry->counts);
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

/* The place of a pick among those of its job and day; 0 when memory is out: then the number stays blank, and is told. */
static int next_number(ap_carry *carry, const ap_plan *plan, const ap_row *row) {
    const ap_str job = cell_of(plan, row, AP_F_job);
    const ap_str date = cell_of(plan, row, AP_F_date);
    const ap_str key = ap_arena_printf(&carry->arena, "%.*s\x1f%.*s", AP_STR_ARG(job), AP_STR_ARG(date));
    carry->days = carry->days ? carry->days : ap_intern_new(&carry->arena);
    const size_t day = carry->days ? ap_intern_add(carry->days, key) : 0;
    if (day >= carry->count_cap) {
        int *wider = ap_grown_to(carry->counts, &carry->count_cap, day, sizeof *wider);
        if (!wider) {
            return 0;
        }
        carry->counts = wider;
    }
    return day ? ++carry->counts[day] : 0;
}

static void give_number(ap_row *row, ap_carry *carry, const ap_plan *plan) {
    const int at = plan->position[AP_F_pick];
    const bool pick = cell_of(plan, row, AP_F_species).len || cell_of(plan, row, AP_F_planned_weight).len ||
                      cell_of(plan, row, AP_F_measured_weight).len;
    if (at < 0 || !pick || (cell_of(plan, row, AP_F_species).len == 0 && ap_row_says_total(row))) {
        return;
    }
    const size_t cells = plan->count - plan->counted;
    if ((size_t)at > row->count || ((size_t)at == row->count && row->count != cells) || (size_t)at >= AP_CARRY_CELLS) {
        return; /* a row with too few cells is told as such */
    }
    if (cell_of(plan, row, AP_F_pick).len) {
        return;
    }
    const int number = next_number(carry, plan, row);
    for (size_t i = 0; i < row->count && row->cells != carry->cells; i++) {
        carry->cells[i] = row->cells[i];
    }
    snprintf(carry->number, sizeof carry->number, "%d", number);
    carry->cells[at] = number ? ap_str_from(carry->number) : AP_STR_LIT("");
    row->cells = carry->cells;
    if ((size_t)at >= row->count) {
        row->count = (size_t)at + 1;
        row->numbers = NULL; /* a workbook's rows are as wide as the plan already */
    }
}

static void carry_cells(ap_row *row, ap_carry *carry, const ap_plan *plan);

void ap_carry_row(ap_row *row, ap_carry *carry, const ap_plan *plan) {
    const ap_profile *profile = plan->profile;
    if (!profile || row->heading || row->count > AP_CARRY_CELLS) {
        return;
    }
    if (profile->carry_count) {
        carry_cells(row, carry, plan);
    }
    if (profile->count_picks && !row->heading) {
        give_number(row, carry, plan);
    }
}

static void carry_cells(ap_row *row, ap_carry *carry, const ap_plan *plan) {
    const ap_profile *profile = plan->profile;
    const bool pick = cell_of(plan, row, AP_F_pick).len || cell_of(plan, row, AP_F_species).len;
    if (cell_of(plan, row, AP_F_species).len == 0 && ap_row_says_total(row)) {
        return;
    }
    /* Also of a row that is set aside: the day it gives is the day of those below it. */
    if (!row->trouble || profile->kind != AP_PROFILE_TABLE) {
        remember(carry, plan, row);
    }
    if (!pick) {
        row->heading = !row->trouble && is_heading(plan, row);
        return;
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
