#include "intake/amend_values.h"

#include "book/pick_text.h"
#include "intake/read_row.h"

enum { VALUE_MAX = 1 << 20 };

static ap_status no_such_field(ap_arena *arena, ap_book *book, ap_str name, ap_error *err) {
    ap_str meant = AP_STR_NONE;
    const ap_status status = ap_header_suggest(&meant, arena, book, name, err);
    if (status != AP_OK) {
        return status;
    }
    if (meant.len) {
        return ap_error_set(err, AP_E_USAGE, "there is no field '%.*s'; did you mean '%.*s'?", AP_STR_ARG(name),
                            AP_STR_ARG(meant));
    }
    return ap_error_set(err, AP_E_USAGE, "there is no field '%.*s'; docs/log.md lists the fields of a log",
                        AP_STR_ARG(name));
}

/* "leg2_length" as people type it is "leg_2_length". */
static ap_str leg_spelling(ap_arena *arena, ap_str name) {
    bool short_leg = name.len > 5 && ap_str_starts(name, AP_STR_LIT("leg")) && name.ptr[3] >= '1' &&
                     name.ptr[3] <= '0' + AP_LEG_MAX && name.ptr[4] == '_';
    return short_leg ? ap_arena_printf(arena, "leg_%.*s", (int)(name.len - 3), name.ptr + 3) : name;
}

ap_status ap_amend_parse(ap_amend_value *out, ap_arena *arena, ap_book *book, ap_str text, ap_error *err) {
    ap_str value = AP_STR_NONE;
    const ap_str name = leg_spelling(arena, ap_str_trim(ap_str_split(text, '=', &value)));
    if (!value.ptr) {
        return ap_error_set(err, AP_E_USAGE, "'%.*s' is not FIELD=VALUE; write it as planned_weight='5000 lb'",
                            AP_STR_ARG(text));
    }
    out->text = ap_str_trim(value);
    out->column = ap_header_field(&out->unit, name);
    return out->column >= 0 ? AP_OK : no_such_field(arena, book, name, err);
}

static ap_unit ton_of(const ap_settings *settings) {
    static const ap_unit tons[] = {AP_UNIT_NONE, AP_UNIT_US_TON, AP_UNIT_LONG_TON,
                                   AP_UNIT_TONNE}; /* ask|short|long|tonne */
    return settings->ton >= 0 && settings->ton < 4 ? tons[settings->ton] : AP_UNIT_NONE;
}

static ap_unit unit_of(const ap_amend_value *value, const ap_pick *stored, ap_unit ton) {
    const ap_field *field = ap_field_get(value->column);
    if (value->unit != AP_UNIT_NONE) {
        return value->unit == AP_UNIT_TON ? ton : value->unit;
    }
    if (field->dim == AP_DIM_ANGLE) {
        return AP_UNIT_DEG;
    }
    return field->dim == AP_DIM_SHARE ? AP_UNIT_ONE : (ap_unit)stored->written[value->column].unit;
}

/* One row and its plan: a column for every amended field, and what a row must have. */
typedef struct one_row {
    ap_plan plan;
    ap_row row;
    ap_plan_column columns[AP_COLUMN_COUNT];
    ap_str cells[AP_COLUMN_COUNT];
} one_row;

static one_row *new_row(ap_arena *arena) {
    one_row *it = ap_arena_alloc(arena, sizeof *it);
    if (it) {
        it->plan.columns = it->columns;
        it->row.cells = it->cells;
        it->row.line = 1;
        it->row.raw = AP_STR_LIT("");
        for (int i = 0; i < AP_COLUMN_COUNT; i++) {
            it->plan.position[i] = -1;
        }
    }
    return it;
}

static void add_cell(one_row *it, int column, ap_str text, ap_quantity_rules rules) {
    const size_t at = it->plan.count++;
    const ap_field *field = ap_field_get(column);
    it->columns[at] = (ap_plan_column){
        .cell = at, .field = column, .desc = field, .rules = rules, .header = ap_str_from(field->name)};
    it->cells[at] = text.ptr ? text : AP_STR_LIT("");
    it->plan.position[column] = (int)at;
    it->row.count = it->plan.count;
}

static ap_str value_text(ap_arena *arena, const ap_pick *pick, int column) {
    ap_buf text;
    ap_buf_init(&text, VALUE_MAX);
    ap_pick_value_write(&text, pick, column);
    const ap_str kept = ap_arena_str(arena, ap_buf_str(&text));
    ap_buf_release(&text);
    return kept;
}

static ap_status refuse(const ap_fault *fault, ap_error *err) {
    return ap_error_set(err, AP_E_INPUT, "%.*s %s%s%s", AP_STR_ARG(fault->field), fault->reason,
                        fault->remedy[0] ? "; " : "", fault->remedy);
}

static ap_status fill_row(one_row *it, ap_arena *arena, const ap_settings *settings, const ap_pick *stored,
                          const ap_amend_value *values, size_t count, ap_error *err) {
    static const int needed[] = {AP_F_job,     AP_F_date,           AP_F_pick,
                                 AP_F_species, AP_F_planned_weight, AP_F_measured_weight};
    const ap_unit ton = ton_of(settings);
    for (size_t i = 0; i < count; i++) {
        const ap_field *field = ap_field_get(values[i].column);
        if (it->plan.position[values[i].column] >= 0) {
            return ap_error_set(err, AP_E_USAGE, "%s is given twice", field->name);
        }
        add_cell(it, values[i].column, values[i].text,
                 (ap_quantity_rules){
                     .dim = field->dim, .default_unit = unit_of(&values[i], stored, ton), .ton = ton, .decimal = '.'});
    }
    for (size_t i = 0; i < sizeof needed / sizeof *needed; i++) {
        if (it->plan.position[needed[i]] < 0) {
            add_cell(it, needed[i], value_text(arena, stored, needed[i]),
                     (ap_quantity_rules){.dim = ap_field_get(needed[i])->dim, .decimal = '.'});
        }
    }
    return ap_arena_check(arena, "an amendment", err);
}

static void copy_value(ap_pick *to, const ap_pick *from, int column) {
    const ap_field_kind kind = ap_field_get(column)->kind;
    memcpy(ap_pick_at(to, column), ap_pick_at_const(from, column),
           kind == AP_KIND_TEXT  ? sizeof(ap_str)
           : kind == AP_KIND_QTY ? sizeof(double)
                                 : sizeof(int32_t));
    to->written[column] = from->written[column];
    if (column == AP_F_species) {
        to->species_id = from->species_id;
        to->species_common = from->species_common;
    }
}

static ap_status judge_whole(const ap_pick *changed, ap_arena *arena, ap_book *book, const ap_settings *settings,
                             ap_date today, ap_doubt_fn doubt, void *context, ap_error *err) {
    one_row *whole = new_row(arena);
    ap_judge *judge = NULL;
    ap_fault fault;
    for (int i = 0; whole && i < AP_COLUMN_COUNT; i++) {
        add_cell(whole, i, value_text(arena, changed, i), (ap_quantity_rules){0});
    }
    ap_status status = ap_arena_check(arena, "an amendment", err);
    if (status == AP_OK) {
        status = ap_judge_new(&judge, book, settings, today, err);
    }
    if (status == AP_OK) {
        ap_fault_clear(&fault);
        ap_judge_pick(judge, changed, &whole->plan, &whole->row, &fault, doubt, context);
        status = fault.count ? refuse(&fault, err) : AP_OK;
    }
    ap_judge_free(judge);
    return status;
}

ap_status ap_amend_read(ap_pick *changed, ap_arena *arena, ap_book *book, const ap_settings *settings,
                        const ap_pick *stored, const ap_amend_value *values, size_t count, ap_date today,
                        ap_doubt_fn doubt, void *context, ap_error *err) {
    if (count > AP_AMEND_MAX) {
        return ap_error_set(err, AP_E_USAGE, "more than %d values at once; amend in two steps", AP_AMEND_MAX);
    }
    one_row *given = new_row(arena);
    ap_row_reader *reader = NULL;
    ap_row_kind kind = AP_ROW_FAULTY;
    ap_pick read;
    ap_fault fault;
    ap_fault_clear(&fault);
    ap_status status = given ? fill_row(given, arena, settings, stored, values, count, err)
                             : ap_arena_check(arena, "an amendment", err);
    if (status == AP_OK) {
        status = ap_row_reader_new(&reader, &given->plan, book, AP_DATES_ISO, err);
    }
    if (status == AP_OK) {
        status = ap_row_reader_read(&kind, &read, &fault, reader, &given->row, err);
    }
    ap_row_reader_free(reader);
    if (status == AP_OK && kind != AP_ROW_PICK) {
        status = fault.count ? refuse(&fault, err)
                             : ap_error_set(err, AP_E_INPUT, "job, date, pick and species must stay recorded");
    }
    if (status != AP_OK) {
        return status;
    }
    *changed = *stored;
    for (size_t i = 0; i < count; i++) {
        copy_value(changed, &read, values[i].column);
    }
    ap_pick_count_legs(changed);
    return judge_whole(changed, arena, book, settings, today, doubt, context, err);
}
