#include "intake/header.h"

enum { HEADER_WITHIN = 50, KNOWN_AT_LEAST = 3, NAME_SIZE = AP_HEADER_NAME_SIZE };

/* "Butt  Diameter" and "butt-diameter." -> "butt_diameter". */
static ap_str normal_name(char out[NAME_SIZE], ap_str name) {
    size_t len = 0;
    bool gap = false;
    for (size_t i = 0; i < name.len; i++) {
        const unsigned char c = (unsigned char)name.ptr[i];
        if (c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '-' || c == '_' || c == '.' || c == ':') {
            gap = len > 0;
            continue;
        }
        if (len + 2 >= NAME_SIZE) {
            return AP_STR_NONE;
        }
        if (gap) {
            out[len++] = '_';
            gap = false;
        }
        out[len++] = (char)(c >= 'A' && c <= 'Z' ? c + 32 : c);
    }
    return (ap_str){out, len};
}

int ap_header_field(ap_unit *unit, ap_str header) {
    char space[NAME_SIZE];
    *unit = AP_UNIT_NONE;
    const ap_str whole = ap_delimited_unguard(ap_str_trim(header));
    int field = whole.len ? ap_field_find(normal_name(space, whole)) : -1;
    if (field >= 0 || whole.len == 0) {
        return field;
    }
    ap_str name = whole;
    const ap_unit found = ap_header_split_unit(&name, whole);
    field = found == AP_UNIT_NONE ? -1 : ap_field_find(normal_name(space, ap_str_trim(name)));
    /* A unit belongs to a quantity only: "species (in)" is no column we know. */
    if (field >= 0 && ap_field_get(field)->kind == AP_KIND_QTY) {
        *unit = found;
        return field;
    }
    return -1;
}

ap_str ap_header_spelling(char out[AP_HEADER_NAME_SIZE], ap_str header) {
    ap_str name = ap_str_trim(header);
    const ap_unit unit = ap_header_split_unit(&name, name);
    return normal_name(out, ap_str_trim(unit == AP_UNIT_NONE ? ap_str_trim(header) : name));
}

ap_status ap_header_synonym(ap_str *field, ap_arena *arena, ap_book *book, ap_str header, ap_error *err) {
    char space[NAME_SIZE];
    const ap_str spelling = ap_header_spelling(space, header);
    *field = AP_STR_NONE;
    if (spelling.len == 0) {
        return AP_OK;
    }
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "intake_synonym", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_text(query, ":spelling", spelling);
    bool row = false;
    status = ap_query_step(&row, query, err);
    if (status == AP_OK && row) {
        *field = ap_arena_str(arena, ap_query_text(query, 0));
    }
    ap_query_close(query);
    return status;
}

ap_status ap_header_suggest(ap_str *field, ap_arena *arena, ap_book *book, ap_str header, ap_error *err) {
    char space[NAME_SIZE];
    const ap_status status = ap_header_synonym(field, arena, book, header, err);
    if (status != AP_OK || field->len > 0) {
        return status;
    }
    const ap_str spelling = ap_header_spelling(space, header);
    unsigned best = 3;
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        const ap_str canonical = ap_str_from(ap_field_get(i)->name);
        const unsigned distance = ap_str_distance(spelling, canonical, best);
        if (distance < best && distance * 3 <= canonical.len) {
            best = distance;
            *field = canonical;
        }
    }
    return AP_OK;
}

static size_t count_known(const ap_row *row) {
    size_t known = 0;
    for (size_t i = 0; i < row->count; i++) {
        ap_unit unit = AP_UNIT_NONE;
        known += ap_header_field(&unit, row->cells[i]) >= 0;
    }
    return known;
}

bool ap_header_is_canonical(const ap_row *row) {
    return !row->trouble && count_known(row) >= KNOWN_AT_LEAST;
}

static ap_unit default_unit(const ap_field *field, const ap_plan_rules *rules) {
    switch (field->dim) {
    case AP_DIM_LOAD:
        return rules->load;
    case AP_DIM_LENGTH:
        return strstr(field->name, "diameter") ? rules->diameter : rules->length;
    case AP_DIM_ANGLE:
        return AP_UNIT_DEG; /* the one unit a lean is ever written in */
    case AP_DIM_SHARE:
        return AP_UNIT_ONE;
    default:
        return AP_UNIT_NONE;
    }
}

ap_status ap_plan_set_column(ap_plan *plan, size_t index, int field, ap_unit unit, const ap_plan_rules *rules,
                             ap_error *err) {
    ap_plan_column *column = &plan->columns[index];
    const int before = plan->position[field];
    if (before >= 0) {
        return ap_error_set(err, AP_E_INPUT,
                            "columns %d ('%.*s') and %zu ('%.*s') are both %s: keep one of them and rename the other",
                            before + 1, AP_STR_ARG(plan->columns[before].header), index + 1, AP_STR_ARG(column->header),
                            ap_field_get(field)->name);
    }
    plan->position[field] = (int)column->cell;
    column->field = field;
    column->desc = ap_field_get(field);
    if (column->desc->kind != AP_KIND_QTY) {
        return AP_OK;
    }
    if (unit != AP_UNIT_NONE && ap_unit_dim(unit) != column->desc->dim) {
        return ap_error_set(err, AP_E_INPUT, "column %zu ('%.*s'): '%s' can not be the unit of %s: correct the header",
                            index + 1, AP_STR_ARG(column->header), ap_unit_symbol(unit), column->desc->label);
    }
    column->rules.dim = column->desc->dim;
    column->rules.ton = rules->ton;
    column->rules.ton_in_settings = true;
    column->rules.decimal = '.';
    column->rules.default_unit = unit == AP_UNIT_NONE ? default_unit(column->desc, rules) : unit;
    if (column->rules.default_unit == AP_UNIT_TON && rules->ton != AP_UNIT_NONE) {
        column->rules.default_unit = rules->ton;
    }
    return AP_OK;
}

/* A column we do not know is named, never guessed; what it may mean is only a remark. */
static ap_status plan_unknown(ap_plan_column *column, size_t index, ap_arena *arena, ap_book *book, ap_error *err) {
    column->field = -1;
    if (ap_str_is_blank(column->header) || ap_str_equal_nocase(ap_str_trim(column->header), AP_STR_LIT("reason"))) {
        return AP_OK; /* "reason" is what our own files of set-aside rows carry in front */
    }
    ap_str meant = AP_STR_NONE;
    const ap_status status = ap_header_suggest(&meant, arena, book, column->header, err);
    if (status != AP_OK) {
        return status;
    }
    const ap_str shown = {column->header.ptr, column->header.len < 60 ? column->header.len : 60};
    column->remark =
        meant.len
            ? ap_arena_printf(arena, "column %zu ('%.*s') was not read: rename it %.*s if that is meant", index + 1,
                              AP_STR_ARG(shown), AP_STR_ARG(meant))
            : ap_arena_printf(arena, "column %zu ('%.*s') was not read: no such column", index + 1, AP_STR_ARG(shown));
    return AP_OK;
}

static ap_status plan_columns(ap_plan *plan, ap_arena *arena, const ap_row *row, const ap_plan_rules *rules,
                              ap_book *book, ap_error *err) {
    plan->line = row->line;
    plan->count = row->count;
    plan->columns = ap_arena_alloc_array(arena, row->count, sizeof *plan->columns);
    if (!plan->columns) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the header row");
    }
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        plan->position[i] = -1;
    }
    for (size_t i = 0; i < row->count; i++) {
        ap_plan_column *column = &plan->columns[i];
        ap_unit unit = AP_UNIT_NONE;
        column->header = ap_arena_str(arena, row->cells[i]);
        column->cell = i;
        const int field = ap_header_field(&unit, row->cells[i]);
        const ap_status status = field >= 0 ? ap_plan_set_column(plan, i, field, unit, rules, err)
                                            : plan_unknown(column, i, arena, book, err);
        if (status != AP_OK) {
            return status;
        }
    }
    return ap_arena_check(arena, "the header row", err);
}

static ap_status need_columns(const ap_plan *plan, ap_error *err) {
    static const int needed[] = {AP_F_job, AP_F_date, AP_F_pick, AP_F_species};
    for (size_t i = 0; i < sizeof needed / sizeof *needed; i++) {
        if (plan->position[needed[i]] < 0) {
            return ap_error_set(err, AP_E_INPUT,
                                "the header on line %lld has no column '%s': name it so, or 'afterpick profile guess "
                                "FILE --out NEW.profile' "
                                "shows what this kind of log holds and asks for the rest",
                                (long long)plan->line, ap_field_get(needed[i])->name);
        }
    }
    if (plan->position[AP_F_planned_weight] < 0 && plan->position[AP_F_measured_weight] < 0) {
        return ap_error_set(err, AP_E_INPUT,
                            "the header on line %lld has neither 'planned_weight' nor 'measured_weight', of which one "
                            "is needed: name it so, "
                            "or 'afterpick profile guess FILE --out NEW.profile' shows what this kind of log holds and "
                            "asks for the rest",
                            (long long)plan->line);
    }
    return AP_OK;
}

ap_status ap_plan_find(ap_plan *out, ap_arena *arena, ap_rows *rows, const ap_plan_rules *rules, ap_book *book,
                       ap_error *err) {
    for (int i = 0; i < HEADER_WITHIN; i++) {
        ap_row row;
        bool more = false;
        ap_status status = ap_rows_next(&row, &more, rows, err);
        if (status != AP_OK) {
            return status;
        }
        if (!more) {
            break;
        }
        if (!ap_header_is_canonical(&row)) {
            continue;
        }
        ap_plan plan = {0};
        status = plan_columns(&plan, arena, &row, rules, book, err);
        if (status == AP_OK) {
            status = need_columns(&plan, err);
        }
        if (status == AP_OK) {
            *out = plan;
        }
        return status;
    }
    return ap_error_set(err, AP_E_INPUT,
                        "no header row in the first %d rows: one row must name the columns (job, date, pick, species, "
                        "planned_weight_lb, ...), or 'afterpick profile guess FILE --out NEW.profile' "
                        "shows what this kind of log holds and asks for the rest",
                        (int)HEADER_WITHIN);
}

static void json_text(ap_buf *out, ap_str text) {
    ap_buf_append_char(out, '"');
    for (size_t i = 0; i < text.len; i++) {
        const unsigned char c = (unsigned char)text.ptr[i];
        if (c == '"' || c == '\\') {
            ap_buf_append_char(out, '\\');
            ap_buf_append_char(out, (char)c);
        } else if (c < 0x20) {
            ap_buf_appendf(out, "\\u%04x", c);
        } else {
            ap_buf_append_char(out, (char)c);
        }
    }
    ap_buf_append_char(out, '"');
}

void ap_plan_to_json(ap_buf *out, const ap_plan *plan) {
    ap_buf_append_char(out, '[');
    for (size_t i = 0; i < plan->count; i++) {
        const ap_plan_column *column = &plan->columns[i];
        ap_buf_appendf(out, "%s{\"column\":%zu,\"header\":", i ? "," : "", i + 1);
        json_text(out, ap_utf8_is_valid(column->header) ? column->header : AP_STR_NONE);
        ap_buf_append_cstr(out, ",\"field\":");
        if (!column->desc) {
            ap_buf_append_cstr(out, "null}");
            continue;
        }
        json_text(out, ap_str_from(column->desc->name));
        if (column->desc->kind == AP_KIND_QTY && column->rules.default_unit != AP_UNIT_NONE) {
            ap_buf_append_cstr(out, ",\"unit\":");
            json_text(out, ap_str_from(ap_unit_symbol(column->rules.default_unit)));
        }
        ap_buf_append_char(out, '}');
    }
    ap_buf_append_char(out, ']');
}

void ap_plan_set_decimal(ap_plan *plan, char decimal) {
    for (size_t i = 0; i < plan->count + plan->also_count + plan->constant_count; i++) {
        plan->columns[i].rules.decimal = decimal;
    }
}
