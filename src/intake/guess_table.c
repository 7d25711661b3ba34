/* A table: which column feeds which field, by its header, by the header row above it, by its cells, by a person's answer. */
#include "intake/profile_guess_parts.h"

#include "intake/cells.h"

enum { NAME_MAX_BYTES = 200 };

ap_str ap_guess_header(const ap_guess *g, size_t column) {
    const ap_row *row = &g->rows[g->header];
    return !g->no_header && column < row->count ? row->cells[column] : AP_STR_NONE;
}

ap_str ap_guess_cell(const ap_guess *g, size_t row, size_t column) {
    const ap_row *one = &g->rows[row];
    return !one->trouble && column < one->count ? one->cells[column] : AP_STR_NONE;
}

const char *ap_guess_sense(ap_header_sense sense) {
    switch (sense) {
    case AP_SENSE_CANONICAL:
        return "the column's own name";
    case AP_SENSE_SYNONYM:
        return "people call it so";
    case AP_SENSE_NEAR:
        return "nearly the column's own name";
    case AP_SENSE_ABOVE:
        return "with what stands above it";
    case AP_SENSE_CELLS:
        return "by what its cells hold";
    case AP_SENSE_ANSWERED:
        return "as answered";
    case AP_SENSE_NONE:
        break;
    }
    return "";
}

/* A header that is not known and speaks of a weight, a radius or a capacity that no column gives: -1 when it does not. */
static int looks_like(const ap_guess *g, ap_str header) {
    static const struct {
        const char *holds;
        int field;
    } looks[] = {
        {"gross", AP_F_measured_weight},  {"scale", AP_F_measured_weight}, {"weigh", AP_F_measured_weight},
        {"actual", AP_F_measured_weight}, {"radius", AP_F_cut_radius},     {"capacity", AP_F_cut_capacity},
    };
    for (size_t i = 0; i < sizeof looks / sizeof *looks; i++) {
        ap_str word = ap_str_from(looks[i].holds);
        for (size_t at = 0; g->column_of[looks[i].field] < 0 && at + word.len <= header.len; at++) {
            if (ap_str_equal_nocase((ap_str){header.ptr + at, word.len}, word)) {
                return looks[i].field;
            }
        }
    }
    return -1;
}

static void set_field(ap_guess *g, size_t column, int field, ap_header_sense sense) {
    g->fields[column] = field;
    g->senses[column] = sense;
    if (field >= 0 && g->column_of[field] < 0) {
        g->column_of[field] = (int)column;
    }
}

/* What stands in the row above a column, or to the left of there over merged cells; none when that row is no part of the
 * header: a title alone in its row. */
static ap_str above(const ap_guess *g, size_t column) {
    size_t filled = 0;
    ap_str text = AP_STR_NONE;
    if (g->no_header || g->header == 0) {
        return AP_STR_NONE;
    }
    const ap_row *row = &g->rows[g->header - 1];
    for (size_t i = 0; i < row->count; i++) {
        filled += row->cells[i].len > 0;
        text = i <= column && row->cells[i].len ? row->cells[i] : text;
    }
    return filled >= 2 ? text : AP_STR_NONE;
}

/* Columns that two share, or whose name alone says too little: "weight lb" below "Planned". */
static ap_status name_with_above(ap_guess *g, ap_error *err) {
    for (size_t i = 0; i < g->columns; i++) {
        const ap_str over = above(g, i);
        const ap_str own = ap_guess_header(g, i);
        int field = -1;
        ap_header_sense sense = AP_SENSE_NONE;
        const bool sure = g->fields[i] >= 0 && g->senses[i] != AP_SENSE_NEAR && g->column_of[g->fields[i]] == (int)i;
        if (over.len == 0 || sure || over.len + own.len > NAME_MAX_BYTES) {
            continue;
        }
        const ap_str both = ap_arena_printf(&g->arena, "%.*s %.*s", AP_STR_ARG(over), AP_STR_ARG(own));
        const ap_status status = ap_header_sense_of(&field, &sense, &g->arena, g->book, ap_str_trim(both), err);
        if (status != AP_OK) {
            return status;
        }
        if (field >= 0 && sense != AP_SENSE_NEAR && (g->column_of[field] < 0 || g->column_of[field] == (int)i)) {
            if (g->fields[i] >= 0 && g->column_of[g->fields[i]] == (int)i) {
                g->column_of[g->fields[i]] = -1;
            }
            set_field(g, i, field, AP_SENSE_ABOVE);
        }
    }
    return AP_OK;
}

/* "planned_weight in kg", "nothing". */
static ap_status read_answer(ap_guess *g, size_t column, ap_str value, ap_error *err) {
    ap_str rest = AP_STR_NONE;
    const ap_str name = ap_str_split(value, ' ', &rest);
    const int field = ap_field_find(name);
    rest = ap_str_trim(rest);
    if (ap_str_equal_nocase(value, AP_STR_LIT("nothing"))) {
        g->passed[column] = true;
        return AP_OK;
    }
    if (field < 0) {
        return ap_error_set(err, AP_E_USAGE,
                            "--with %zu=%.*s: '%.*s' is no field: docs/log.md lists them, planned_weight, "
                            "measured_weight, species, ..., or nothing",
                            column + 1, AP_STR_ARG(value), AP_STR_ARG(name));
    }
    if (rest.len) {
        ap_unit unit = AP_UNIT_NONE;
        const ap_field *desc = ap_field_get(field);
        const bool in = rest.len > 3 && ap_str_equal_nocase((ap_str){rest.ptr, 3}, AP_STR_LIT("in "));
        if (!in || !ap_unit_find(&unit, ap_str_trim((ap_str){rest.ptr + 3, rest.len - 3})) ||
            desc->kind != AP_KIND_QTY || ap_unit_dim(unit) != desc->dim) {
            return ap_error_set(err, AP_E_USAGE,
                                "--with '%zu=%.*s': behind the field stands its unit, such as 'in lb', 'in kg', 'in m'",
                                column + 1, AP_STR_ARG(value));
        }
        g->answered_units[column] = unit;
    }
    const int other = g->column_of[field];
    if (other >= 0 && other != (int)column) {
        if (g->senses[other] == AP_SENSE_ANSWERED) {
            return ap_error_set(err, AP_E_USAGE, "columns %d and %zu are both answered with %s", other + 1, column + 1,
                                ap_field_get(field)->name);
        }
        g->fields[other] = -1; /* what a person says goes before a guess */
    }
    g->column_of[field] = -1;
    set_field(g, column, field, AP_SENSE_ANSWERED);
    return AP_OK;
}

static ap_status take_answers(ap_guess *g, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = 0; i < g->columns && status == AP_OK; i++) {
        ap_str value = AP_STR_NONE;
        if (ap_guess_answered(&value, g, "%zu", i + 1)) {
            if (g->fields[i] >= 0 && g->column_of[g->fields[i]] == (int)i) {
                g->column_of[g->fields[i]] = -1;
            }
            g->fields[i] = -1;
            status = read_answer(g, i, value, err);
        }
    }
    return status;
}

/* Cells that speak for themselves, where no other column feeds the field. */
static void name_by_cells(ap_guess *g) {
    for (size_t i = 0; i < g->columns; i++) {
        const int field = g->shapes[i].field;
        const int own = g->fields[i];
        /* "Tree" over names of species: the cells say more than the header. */
        if (g->shapes[i].shape == AP_SHAPE_SPECIES && own >= 0 && own != AP_F_species &&
            g->column_of[AP_F_species] < 0 && ap_field_get(own)->kind == AP_KIND_TEXT &&
            g->senses[i] != AP_SENSE_ANSWERED) {
            g->column_of[own] = g->column_of[own] == (int)i ? -1 : g->column_of[own];
            set_field(g, i, AP_F_species, AP_SENSE_CELLS);
            continue;
        }
        if (g->fields[i] < 0 && !g->passed[i] && field >= 0 && g->column_of[field] < 0) {
            set_field(g, i, field, AP_SENSE_CELLS);
        }
    }
}

static ap_status name_columns(ap_guess *g, ap_error *err) {
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        g->column_of[i] = -1;
    }
    for (size_t i = 0; i < g->columns; i++) {
        int field = -1;
        ap_header_sense sense = AP_SENSE_NONE;
        const ap_status status = ap_header_sense_of(&field, &sense, &g->arena, g->book, ap_guess_header(g, i), err);
        if (status != AP_OK) {
            return status;
        }
        set_field(g, i, field, sense);
        ap_guess_shape_column(&g->shapes[i], g, i);
    }
    ap_status status = name_with_above(g, err);
    if (status == AP_OK) {
        status = take_answers(g, err);
    }
    for (size_t i = 0; i < g->columns && status == AP_OK; i++) {
        const int field = g->fields[i] < 0 && !g->passed[i] ? looks_like(g, ap_guess_header(g, i)) : -1;
        if (field >= 0) {
            set_field(g, i, field, AP_SENSE_NEAR);
        }
    }
    name_by_cells(g);
    return status;
}

/* Numbers without a unit: the first of them, none when every cell has one. */
static ap_str first_bare(ap_guess *g, size_t column, ap_dim dim) {
    const ap_quantity_rules rules = {.dim = dim, .default_unit = AP_UNIT_NONE, .ton = AP_UNIT_TONNE, .decimal = '.'};
    ap_quantity_rules no_ton = rules;
    no_ton.ton = AP_UNIT_NONE;
    ap_str bare = AP_STR_NONE;
    for (size_t i = g->data; i < g->row_count; i++) {
        const ap_str cell = ap_guess_cell(g, i, column);
        ap_quantity quantity;
        ap_refusal why;
        if (cell.len == 0) {
            continue;
        }
        if (!ap_quantity_read(&quantity, cell, &rules, &why)) {
            bare = bare.len ? bare : cell;
        } else if (!g->ton_text.len && dim == AP_DIM_LOAD && !ap_quantity_read(&quantity, cell, &no_ton, &why)) {
            g->ton_text = cell;
        }
    }
    return bare;
}

static void ask_unit(ap_guess *g, size_t column, size_t begin, const ap_field *desc, ap_str bare) {
    static const char *const loads[] = {"lb", "kg", "tonnes", "short tons"};
    static const char *const across[] = {"in", "cm"};
    static const char *const along[] = {"ft", "m"};
    char shown[AP_QUOTED_SIZE];
    ap_fault_quote(shown, bare);
    const bool diameter = strstr(desc->name, "diameter") != NULL;
    const char *const *units = desc->dim == AP_DIM_LOAD ? loads : diameter ? across : along;
    for (size_t i = 0; i < (desc->dim == AP_DIM_LOAD ? 4u : 2u); i++) {
        ap_guess_with(g, false, "%zu=%s in %s", column + 1, desc->name, units[i]);
    }
    ap_buf_appendf(g->out, " in %s", units[0]);
    if (desc->dim == AP_DIM_LOAD) {
        ap_guess_why(g, begin, "%s has no unit: in lb, or in kg, tonnes, short tons?", shown);
    } else {
        ap_guess_why(g, begin, "%s has no unit: in %s, or in %s?", shown, units[0], units[1]);
    }
}

static void subject_column(ap_guess *g, size_t column) {
    char shown[AP_QUOTED_SIZE];
    ap_fault_quote(shown, ap_guess_header(g, column));
    ap_guess_subject(g, g->no_header ? "column %zu" : "column %zu %s", column + 1, shown);
    if (g->asking) {
        g->asking->column = column + 1;
    }
}

static void put_name(ap_guess *g, size_t column, bool number) {
    const bool block = g->told->kind == AP_GUESS_BLOCK;
    ap_buf_append_cstr(g->out, block ? "key " : "column ");
    if (!block && (number || g->no_header)) {
        ap_buf_appendf(g->out, "%zu ", column + 1);
    }
    if (ap_guess_header(g, column).len) {
        ap_guess_quote(g->out, ap_guess_header(g, column));
        ap_buf_append_char(g->out, ' ');
    }
    ap_buf_append_cstr(g->out, "-> ");
}

/* A column that nothing takes is a remark; one whose cells are weights is a question. */
static void put_untaken(ap_guess *g, size_t column) {
    if (g->passed[column]) {
        const size_t begin = ap_guess_begin(g, false);
        put_name(g, column, false);
        ap_buf_append_cstr(g->out, "nothing");
        ap_guess_why(g, begin, "as answered");
        return;
    }
    if (g->shapes[column].shape == AP_SHAPE_WEIGHT && g->column_of[AP_F_planned_weight] < 0 &&
        g->column_of[AP_F_measured_weight] < 0) {
        const size_t begin = ap_guess_begin(g, true);
        put_name(g, column, false);
        ap_buf_append_cstr(g->out, "planned_weight");
        subject_column(g, column);
        ap_guess_with(g, false, "%zu=planned_weight", column + 1);
        ap_guess_with(g, false, "%zu=measured_weight", column + 1);
        ap_guess_with(g, false, "%zu=nothing", column + 1);
        ap_guess_why(g, begin, "%.*s: the plan, or what was measured?", AP_STR_ARG(g->shapes[column].say));
        return;
    }
    if (g->shapes[column].shape == AP_SHAPE_BLANK && ap_guess_header(g, column).len == 0) {
        return;
    }
    ap_buf_append_cstr(g->out, g->told->kind == AP_GUESS_BLOCK ? "# key " : "# column ");
    if (g->no_header || ap_guess_header(g, column).len == 0) {
        ap_buf_appendf(g->out, "%zu", column + 1);
    } else {
        ap_guess_quote(g->out, ap_guess_header(g, column));
    }
    ap_buf_append_cstr(g->out, " is taken by nothing: no field is known by this name. If it is one: ");
    put_name(g, column, false);
    ap_buf_append_cstr(g->out, "FIELD\n");
}

static bool is_twice(const ap_guess *g, size_t column) {
    for (size_t i = 0; i < g->columns; i++) {
        if (i != column && ap_profile_header_is(ap_guess_header(g, i), ap_guess_header(g, column))) {
            return true;
        }
    }
    return false;
}

static void ask_second(ap_guess *g, size_t column, size_t begin, const ap_field *desc) {
    const int other = g->column_of[g->fields[column]];
    ap_guess_with(g, false, "%zu=nothing", column + 1);
    ap_guess_with(g, false, "%zu=%s", column + 1, desc->name);
    ap_guess_with(g, false, "%zu=FIELD", column + 1);
    ap_guess_why(g, begin, "column %d is %s too: which of them is it?", other + 1, desc->name);
}

static void put_column(ap_guess *g, size_t column) {
    const ap_str header = ap_guess_header(g, column);
    const int field = g->fields[column];
    if (field < 0) {
        put_untaken(g, column);
        return;
    }
    const ap_field *desc = ap_field_get(field);
    const ap_header_sense sense = g->senses[column];
    const bool second = g->column_of[field] != (int)column;
    ap_unit unit = g->answered_units[column];
    ap_str bare = AP_STR_NONE;
    ap_unit headed = AP_UNIT_NONE;
    if (desc->kind == AP_KIND_QTY) {
        ap_str name = header;
        headed = header.len ? ap_header_split_unit(&name, header) : AP_UNIT_NONE;
        headed = headed != AP_UNIT_NONE && ap_unit_dim(headed) == desc->dim ? headed : AP_UNIT_NONE;
        bare = first_bare(g, column, desc->dim);
        if (unit == AP_UNIT_NONE && headed == AP_UNIT_TON && !g->ton_text.len) {
            g->ton_text = header;
        }
    }
    const bool asks_unit = bare.len && unit == AP_UNIT_NONE && headed == AP_UNIT_NONE &&
                           (desc->dim == AP_DIM_LOAD || desc->dim == AP_DIM_LENGTH);
    const bool unsure = sense == AP_SENSE_NEAR || sense == AP_SENSE_CELLS;
    const size_t begin = ap_guess_begin(g, second || asks_unit || unsure);
    put_name(g, column, second || is_twice(g, column));
    ap_buf_append_cstr(g->out, desc->name);
    subject_column(g, column);
    if (unit != AP_UNIT_NONE) {
        ap_buf_appendf(g->out, " in %s", ap_unit_symbol(unit));
    }
    if (second) {
        ask_second(g, column, begin, desc);
    } else if (asks_unit) {
        ask_unit(g, column, begin, desc, bare);
    } else if (unsure) {
        ap_guess_with(g, true, "%zu=%s", column + 1, desc->name);
        ap_guess_with(g, false, "%zu=nothing", column + 1);
        if (sense == AP_SENSE_CELLS) {
            ap_guess_why(g, begin, "its cells look like %.*s: is it the %s?", AP_STR_ARG(g->shapes[column].say),
                         desc->label);
        } else if (headed != AP_UNIT_NONE) {
            ap_guess_why(g, begin, "%s, in %s by the header: is it the %s?", ap_guess_sense(sense),
                         ap_unit_symbol(headed), desc->label);
        } else {
            ap_guess_why(g, begin, "%s: is it?", ap_guess_sense(sense));
        }
    } else if (headed != AP_UNIT_NONE && unit == AP_UNIT_NONE) {
        ap_guess_why(g, begin, "%s, in %s by the header", ap_guess_sense(sense), ap_unit_symbol(headed));
    } else {
        ap_guess_why(g, begin, "%s", ap_guess_sense(sense));
    }
}

static void put_use(ap_guess *g) {
    ap_buf_append_cstr(g->out,
                       "# Take the '#' out to have it used for every log with these headers, unasked:\n# use when "
                       "header has ");
    for (size_t i = 0, put = 0; i < g->columns; i++) {
        if (ap_guess_header(g, i).len) {
            ap_buf_append_cstr(g->out, put++ ? ", " : "");
            ap_guess_quote(g->out, ap_guess_header(g, i));
        }
    }
    ap_buf_append_char(g->out, '\n');
}

/* A column without a header goes by its number, and then the header's line must be named. */
static bool has_bare_number(const ap_guess *g) {
    for (size_t i = 0; i < g->columns; i++) {
        if ((g->fields[i] >= 0 || g->passed[i]) && ap_guess_header(g, i).len == 0) {
            return true;
        }
    }
    return false;
}

static void put_header(ap_guess *g) {
    const int64_t line = g->rows[g->header].line;
    if (g->no_header) {
        ap_buf_append_cstr(g->out, "header none   # no row names the columns: they go by their numbers\n");
        return;
    }
    put_use(g);
    ap_str answer = AP_STR_NONE;
    if (has_bare_number(g) || ap_guess_answered(&answer, g, "header")) {
        ap_buf_appendf(g->out, "header on line %lld\n", (long long)line);
    } else if (line > 1) {
        ap_buf_appendf(g->out, "# the header stands on line %lld; it is looked for by its names\n", (long long)line);
    }
}

/* What somebody wrote about how a piece moved is more than the words that are taken from it. */
static void put_also(ap_guess *g) {
    if (g->column_of[AP_F_movement] >= 0 && g->column_of[AP_F_notes] < 0) {
        const size_t begin = ap_guess_begin(g, false);
        ap_buf_append_cstr(g->out, "also movement -> notes");
        ap_guess_why(g, begin, "the text itself is kept as the pick's notes");
    }
}

void ap_guess_tell_columns(ap_guess *g) {
    ap_guess_told *told = g->told;
    told->header_line = g->no_header ? 0 : g->rows[g->header].line;
    told->rows_seen = g->row_count - g->data;
    for (size_t i = 0; i < g->columns; i++) {
        ap_guess_column *column = &told->columns[told->column_count];
        if (g->shapes[i].shape == AP_SHAPE_BLANK && ap_guess_header(g, i).len == 0) {
            continue;
        }
        told->column_count++;
        *column = (ap_guess_column){
            .number = i + 1, .header = ap_arena_str(&told->arena, ap_guess_header(g, i)), .looks = g->shapes[i].say};
        for (size_t k = g->data; k < g->row_count && column->sample_count < AP_GUESS_SAMPLES; k++) {
            const ap_str cell = ap_str_shortened(ap_guess_cell(g, k, i), AP_QUOTED_SIZE);
            bool fresh = cell.len > 0;
            for (size_t n = 0; n < column->sample_count; n++) {
                fresh = fresh && !ap_str_equal(column->samples[n], cell);
            }
            if (fresh) {
                column->samples[column->sample_count++] = ap_arena_str(&told->arena, cell);
            }
        }
        column->why = AP_STR_LIT("no field is known by this name");
        if (g->passed[i]) {
            column->why = AP_STR_LIT("as answered");
        } else if (g->fields[i] >= 0) {
            column->why = ap_str_from(ap_guess_sense(g->senses[i]));
            column->feeds = ap_str_from(ap_field_get(g->fields[i])->name);
            column->asked =
                g->senses[i] == AP_SENSE_NEAR || g->senses[i] == AP_SENSE_CELLS || g->column_of[g->fields[i]] != (int)i;
        }
    }
}

ap_status ap_guess_table(ap_guess *g, ap_error *err) {
    ap_status status = ap_guess_sheets(g, err);
    if (status == AP_OK) {
        status = name_columns(g, err);
    }
    if (status != AP_OK) {
        return status;
    }
    if (g->told->kind == AP_GUESS_TABLE) {
        put_header(g);
        ap_guess_put_sheets(g);
    }
    ap_buf_append_char(g->out, '\n');
    for (size_t i = 0; i < g->columns; i++) {
        put_column(g, i);
    }
    put_also(g);
    ap_buf_append_char(g->out, '\n');
    ap_guess_needed(g);
    for (size_t i = 0; i < g->columns; i++) {
        ap_guess_values(g, i);
    }
    ap_guess_tell_columns(g);
    return AP_OK;
}
