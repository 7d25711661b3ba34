#include "intake/profile_plan.h"

#include "intake/fault.h"

enum { HEADER_WITHIN = 50, HEADERS_AT_LEAST = 3 };

static ap_unit ton_of(const ap_settings *settings) {
    static const ap_unit tons[] = {AP_UNIT_NONE, AP_UNIT_US_TON, AP_UNIT_LONG_TON,
                                   AP_UNIT_TONNE}; /* ask|short|long|tonne */
    return settings->ton >= 0 && settings->ton < 4 ? tons[settings->ton] : AP_UNIT_NONE;
}

ap_plan_rules ap_intake_rules(const ap_settings *settings, ap_intake_units units) {
    ap_plan_rules rules = {.ton = ton_of(settings)};
    if (units == AP_INTAKE_UNITS_US) {
        rules.load = AP_UNIT_LB;
        rules.length = AP_UNIT_FT;
        rules.diameter = AP_UNIT_IN;
    } else if (units == AP_INTAKE_UNITS_METRIC) {
        rules.load = AP_UNIT_KG;
        rules.length = AP_UNIT_M;
        rules.diameter = AP_UNIT_CM;
    }
    return rules;
}

ap_plan_rules ap_profile_rules(const ap_profile *profile, const ap_plan_rules *rules) {
    ap_plan_rules own = *rules;
    if (profile->ton != AP_UNIT_NONE) {
        own.ton = profile->ton;
    }
    if (profile->bare != AP_BARE_NOT_SAID) {
        const bool us = profile->bare == AP_BARE_US;
        own.load = us ? AP_UNIT_LB : AP_UNIT_KG;
        own.length = us ? AP_UNIT_FT : AP_UNIT_M;
        own.diameter = us ? AP_UNIT_IN : AP_UNIT_CM;
    }
    return own;
}

/* Index of the cell a column of the profile stands for; row->count when the row has none. *twice: another fits as well. */
static size_t find_cell(bool *twice, const ap_profile_column *column, const ap_row *row) {
    *twice = false;
    if (column->number == AP_PROFILE_COUNTED) { /* the last cell, which is put there to hold it */
        const size_t last = row->count ? row->count - 1 : 0;
        return row->count && ap_str_equal_word(row->cells[last], "pick") ? last : row->count;
    }
    if (column->number > 0) {
        const size_t at = (size_t)column->number - 1;
        const bool fits =
            column->header.len == 0 || (at < row->count && ap_profile_header_is(row->cells[at], column->header));
        return at < row->count && fits ? at : row->count;
    }
    size_t found = row->count;
    for (size_t i = 0; i < row->count; i++) {
        if (ap_profile_header_is(row->cells[i], column->header)) {
            *twice = found < row->count;
            found = found < row->count ? found : i;
        }
    }
    return found;
}

bool ap_profile_fits_header(const ap_profile *profile, const ap_row *row) {
    bool twice = false;
    for (size_t i = 0; i < profile->column_count; i++) {
        const ap_profile_column *column = &profile->columns[i];
        if (!column->heading && !column->optional && find_cell(&twice, column, row) == row->count) {
            return false;
        }
    }
    return profile->kind == AP_PROFILE_TABLE && !profile->header_none;
}

bool ap_profile_claims_header(const ap_profile *profile, const ap_row *row) {
    for (size_t i = 0; i < profile->use_count; i++) {
        bool there = false;
        for (size_t k = 0; k < row->count && !there; k++) {
            there = ap_profile_header_is(row->cells[k], profile->use_headers[i]);
        }
        if (!there) {
            return false;
        }
    }
    return profile->use_count > 0;
}

/* Headers of the profile that the row holds: a header row holds most of them, a title above it none. */
static bool looks_like_header(const ap_profile *profile, const ap_row *row) {
    size_t wanted = 0;
    size_t there = 0;
    bool twice = false;
    for (size_t i = 0; i < profile->column_count; i++) {
        if (!profile->columns[i].heading && profile->columns[i].header.len) {
            wanted++;
            there += find_cell(&twice, &profile->columns[i], row) < row->count;
        }
    }
    return there > 0 && (there >= HEADERS_AT_LEAST || there == wanted);
}

/* Above the header: what a heading says stands for every row. */
static ap_status read_heading(ap_str *texts, ap_arena *arena, const ap_profile *profile, ap_str raw, ap_error *err) {
    for (size_t i = 0; i < profile->pattern_count; i++) {
        const ap_profile_pattern *pattern = &profile->patterns[i];
        bool found = false;
        const ap_status status = ap_pattern_match(&found, pattern->match, raw, 0, err);
        if (status != AP_OK) {
            return ap_error_wrap(err, AP_E_INPUT, "the heading on line %d of the profile", pattern->line);
        }
        for (size_t k = 0; k < pattern->group_count && found; k++) {
            const ap_str text = ap_str_trim(ap_pattern_group(pattern->match, pattern->groups[k].group));
            if (text.len) {
                texts[pattern->groups[k].column] = ap_arena_str(arena, text);
            }
        }
    }
    return AP_OK;
}

/* A row of blanks as wide as the widest of the first rows: columns are named by their number alone. */
static ap_status no_header(ap_row *row, ap_arena *arena, ap_rows *rows, const ap_profile *profile, ap_error *err) {
    size_t width = 0;
    bool more = true;
    for (size_t i = 0; i < profile->column_count; i++) {
        const size_t number = (size_t)profile->columns[i].number;
        width = number > width && number != AP_PROFILE_COUNTED ? number : width;
    }
    for (int i = 0; i < HEADER_WITHIN && more; i++) {
        const ap_status status = ap_rows_next(row, &more, rows, err);
        if (status != AP_OK) {
            return status;
        }
        width = more && row->count > width ? row->count : width;
    }
    ap_str *cells = ap_arena_alloc_array(arena, width + 1, sizeof *cells);
    if (!cells) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the profile");
    }
    for (size_t i = 0; i < width; i++) {
        cells[i] = AP_STR_LIT("");
    }
    *row = (ap_row){.cells = cells, .count = width, .raw = AP_STR_LIT("")};
    return AP_OK;
}

static ap_status find_header(ap_row *row, ap_str *texts, ap_arena *arena, ap_rows *rows, const ap_profile *profile,
                             ap_error *err) {
    for (int i = 0; profile->header_line || i < HEADER_WITHIN; i++) {
        bool more = false;
        ap_status status = ap_rows_next(row, &more, rows, err);
        if (status != AP_OK) {
            return status;
        }
        if (!more || (profile->header_line && row->line > profile->header_line)) {
            break;
        }
        if (profile->header_line ? row->line == profile->header_line : looks_like_header(profile, row)) {
            return AP_OK;
        }
        status = read_heading(texts, arena, profile, row->raw, err);
        if (status != AP_OK) {
            return status;
        }
    }
    if (profile->header_line) {
        return ap_error_set(err, AP_E_INPUT, "it has no line %lld, where the profile '%.*s' has the header",
                            (long long)profile->header_line, AP_STR_ARG(profile->name));
    }
    return ap_error_set(err, AP_E_INPUT,
                        "no row of the first %d holds the headers of the profile '%.*s', such as '%.*s': is it "
                        "another kind of log?",
                        (int)HEADER_WITHIN, AP_STR_ARG(profile->name), AP_STR_ARG(profile->columns[0].header));
}

/* Room for the row's cells, the fields read once more, and what has no cell. */
static ap_status make_plan(ap_plan *plan, ap_arena *arena, size_t cells, const ap_profile *profile, ap_error *err) {
    const size_t headings = profile->kind == AP_PROFILE_TABLE ? profile->column_count : 0;
    const size_t all = cells + profile->also_count + profile->constant_count + headings;
    *plan = (ap_plan){.count = cells, .restart = profile->restart, .year = profile->year, .profile = profile};
    plan->columns = ap_arena_alloc_array(arena, all ? all : 1, sizeof *plan->columns);
    plan->constants = ap_arena_alloc_array(arena, profile->constant_count + headings + 1, sizeof(ap_str));
    plan->skips = ap_arena_alloc_array(arena, profile->skip_count + 1, sizeof *plan->skips);
    if (!plan->columns || !plan->constants || !plan->skips) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the profile");
    }
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        plan->position[i] = -1;
    }
    for (size_t i = 0; i < cells; i++) {
        plan->columns[i].field = -1;
        plan->columns[i].cell = i;
    }
    return AP_OK;
}

static ap_status set_column(ap_plan *plan, size_t index, int field, ap_unit unit, const ap_plan_rules *rules,
                            const ap_profile *profile, ap_error *err) {
    const ap_status status = ap_plan_set_column(plan, index, field, unit, rules, err);
    if (status == AP_OK && profile->values[field].count) {
        plan->columns[index].values = &profile->values[field];
    }
    return status;
}

static ap_status add_constant(ap_plan *plan, int field, ap_unit unit, ap_str text, const ap_plan_rules *rules,
                              const ap_profile *profile, ap_error *err) {
    const size_t index = plan->count + plan->also_count + plan->constant_count;
    plan->columns[index].header = ap_str_from(ap_field_get(field)->name);
    const ap_status status = set_column(plan, index, field, unit, rules, profile, err);
    plan->position[field] = -1;
    plan->constants[plan->constant_count++] = text;
    return status;
}

static ap_status add_the_rest(ap_plan *plan, const ap_plan_rules *rules, const ap_profile *profile, const ap_str *texts,
                              ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = 0; i < profile->also_count && status == AP_OK; i++) {
        const ap_profile_also *also = &profile->alsos[i];
        const int at = plan->position[also->from];
        if (at < 0) {
            continue; /* a column that is not in this log, or a constant */
        }
        ap_plan_column *column = &plan->columns[plan->count + plan->also_count];
        column->cell = (size_t)at;
        column->header = plan->columns[at].header;
        status = set_column(plan, plan->count + plan->also_count, also->field, also->unit, rules, profile, err);
        plan->also_count++;
    }
    for (size_t i = 0; i < profile->constant_count && status == AP_OK; i++) {
        status = add_constant(plan, profile->constants[i].field, AP_UNIT_NONE, profile->constants[i].text, rules,
                              profile, err);
    }
    for (size_t i = 0; texts && i < profile->column_count && status == AP_OK; i++) {
        if (texts[i].len) {
            status =
                add_constant(plan, profile->columns[i].field, profile->columns[i].unit, texts[i], rules, profile, err);
        }
    }
    return status;
}

static size_t cell_with_header(const ap_plan *plan, ap_str header) {
    for (size_t i = 0; i < plan->count; i++) {
        if (ap_profile_header_is(plan->columns[i].header, header)) {
            return i;
        }
    }
    return SIZE_MAX;
}

static ap_status add_skips(ap_plan *plan, const ap_profile *profile, bool partial, ap_error *err) {
    for (size_t i = 0; i < profile->skip_count; i++) {
        const ap_profile_skip *skip = &profile->skips[i];
        size_t cell = SIZE_MAX;
        if (skip->header.len) {
            for (size_t k = 0; profile->kind != AP_PROFILE_TABLE && k < profile->column_count; k++) {
                cell = ap_profile_header_is(profile->columns[k].header, skip->header) ? k + 1 : cell;
            }
            cell = cell == SIZE_MAX ? cell_with_header(plan, skip->header) : cell;
            if (cell == SIZE_MAX && partial) {
                continue;
            }
            if (cell == SIZE_MAX) {
                return ap_error_set(err, AP_E_INPUT, "it has no column '%.*s' (profile '%.*s', line %d)",
                                    AP_STR_ARG(skip->header), AP_STR_ARG(profile->name), skip->line);
            }
        }
        plan->skips[plan->skip_count++] = (ap_plan_skip){skip, cell};
    }
    return AP_OK;
}

static ap_unit unit_of(const ap_profile_column *column, ap_str header) {
    if (column->unit != AP_UNIT_NONE || column->field < 0 || ap_field_get(column->field)->kind != AP_KIND_QTY) {
        return column->unit;
    }
    ap_str name = header;
    const ap_unit found = ap_header_split_unit(&name, header);
    return found != AP_UNIT_NONE && ap_unit_dim(found) == ap_field_get(column->field)->dim ? found : AP_UNIT_NONE;
}

/* "planned_weight (lb)": what a row set aside is written under. */
static ap_str text_header(ap_arena *arena, const ap_plan_column *column, unsigned restart) {
    if (column->field == AP_F_pick && restart) {
        return AP_STR_LIT("pick (number starts anew)");
    }
    if (column->desc->kind == AP_KIND_QTY && column->rules.default_unit != AP_UNIT_NONE) {
        return ap_arena_printf(arena, "%s (%s)", column->desc->name, ap_unit_symbol(column->rules.default_unit));
    }
    return ap_str_from(column->desc->name);
}

/* Where no row names them, columns go by what they feed: so a row set aside is written too. */
static void name_by_field(ap_plan *plan, ap_arena *arena, const bool *named) {
    for (size_t i = 0; i < plan->count; i++) {
        ap_plan_column *column = &plan->columns[i];
        if (column->desc) {
            column->header = text_header(arena, column, plan->restart);
        } else if (!named[i]) {
            column->header = ap_arena_printf(arena, "column %zu", i + 1);
            column->remark = ap_arena_printf(arena, "column %zu was not read: the profile does not name it", i + 1);
        }
    }
}

/* The header with a cell for the number that is counted, where it has none. */
static ap_status add_number_cell(ap_row *out, ap_arena *arena, const ap_row *row, const ap_profile *profile,
                                 ap_error *err) {
    *out = *row;
    bool twice = false;
    for (size_t i = 0; i < profile->column_count; i++) {
        if (profile->columns[i].field == AP_F_pick && find_cell(&twice, &profile->columns[i], row) < row->count) {
            return AP_OK;
        }
    }
    ap_str *cells = ap_arena_alloc_array(arena, row->count + 1, sizeof *cells);
    if (!cells) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the profile");
    }
    for (size_t i = 0; i < row->count; i++) {
        cells[i] = row->cells[i];
    }
    cells[row->count] = AP_STR_LIT("pick");
    out->cells = cells;
    out->count = row->count + 1;
    return AP_OK;
}

ap_status ap_profile_plan_table(ap_plan *out, ap_arena *arena, const ap_row *row, const ap_plan_rules *rules,
                                const ap_profile *profile, const ap_str *texts, bool partial, ap_error *err) {
    ap_plan plan;
    const ap_plan_rules own = ap_profile_rules(profile, rules);
    ap_row with_number;
    ap_status status =
        profile->count_picks && !partial ? add_number_cell(&with_number, arena, row, profile, err) : AP_OK;
    const bool counted = status == AP_OK && profile->count_picks && !partial && with_number.count > row->count;
    row = counted ? &with_number : row;
    status = status == AP_OK ? make_plan(&plan, arena, row->count, profile, err) : status;
    if (status != AP_OK) {
        return status;
    }
    plan.counted = counted ? 1 : 0;
    plan.line = row->line;
    bool *named = ap_arena_alloc_array(arena, row->count + 1, sizeof *named);
    for (size_t i = 0; i < row->count && named; i++) {
        plan.columns[i].header = ap_arena_str(arena, row->cells[i]);
    }
    for (size_t i = 0; i < profile->column_count && named && status == AP_OK; i++) {
        const ap_profile_column *column = &profile->columns[i];
        bool twice = false;
        const size_t at = column->heading ? row->count : find_cell(&twice, column, row);
        if (at == row->count && !column->heading && !column->optional && !partial) {
            status =
                ap_error_set(err, AP_E_INPUT,
                             "the header on line %lld has no column %s%.*s' (profile '%.*s', line %d): correct the "
                             "profile, or add 'if there' to that line",
                             (long long)row->line, column->number ? "at its place '" : "'", AP_STR_ARG(column->header),
                             AP_STR_ARG(profile->name), column->line);
        } else if (twice) {
            status = ap_error_set(err, AP_E_INPUT,
                                  "two columns are '%.*s': say which on line %d of the profile '%.*s', column %zu "
                                  "\"%.*s\" -> ...",
                                  AP_STR_ARG(column->header), column->line, AP_STR_ARG(profile->name), at + 1,
                                  AP_STR_ARG(column->header));
        } else if (at < row->count) {
            named[at] = true;
            if (column->field >= 0) {
                status = set_column(&plan, at, column->field, unit_of(column, row->cells[at]), &own, profile, err);
            }
        }
    }
    for (size_t i = 0; i < row->count && named && !partial; i++) {
        if (!named[i] && !ap_str_is_blank(row->cells[i]) &&
            !ap_str_equal_nocase(ap_str_trim(row->cells[i]), AP_STR_LIT("reason"))) {
            const ap_str shown = ap_str_shortened(plan.columns[i].header, 60);
            plan.columns[i].remark = ap_arena_printf(
                arena, "column %zu ('%.*s') was not read: the profile does not name it", i + 1, AP_STR_ARG(shown));
        }
    }
    if (status == AP_OK && named && profile->header_none && !partial) {
        name_by_field(&plan, arena, named);
    }
    if (status == AP_OK) {
        status = add_the_rest(&plan, &own, profile, texts, err);
    }
    if (status == AP_OK) {
        status = add_skips(&plan, profile, partial, err);
    }
    if (status == AP_OK) {
        status = ap_arena_check(arena, "the columns of a log", err);
    }
    if (status == AP_OK) {
        *out = plan;
    }
    return status;
}

static ap_status plan_text(ap_plan *out, ap_arena *arena, const ap_plan_rules *rules, const ap_profile *profile,
                           ap_error *err) {
    ap_plan plan;
    const ap_plan_rules own = ap_profile_rules(profile, rules);
    ap_status status = make_plan(&plan, arena, profile->column_count + 1, profile, err);
    if (status != AP_OK) {
        return status;
    }
    plan.columns[0].header = profile->kind == AP_PROFILE_LINES ? AP_STR_LIT("line") : AP_STR_LIT("block");
    for (size_t i = 0; i < profile->column_count && status == AP_OK; i++) {
        const ap_profile_column *column = &profile->columns[i];
        plan.columns[i + 1].header = column->header;
        if (column->field >= 0) {
            status = set_column(&plan, i + 1, column->field, unit_of(column, column->header), &own, profile, err);
        }
        if (status == AP_OK && column->field >= 0) {
            plan.columns[i + 1].header = text_header(arena, &plan.columns[i + 1], profile->restart);
        }
    }
    if (status == AP_OK) {
        status = add_the_rest(&plan, &own, profile, NULL, err);
    }
    if (status == AP_OK) {
        status = add_skips(&plan, profile, false, err);
    }
    if (status == AP_OK) {
        status = ap_arena_check(arena, "the columns of a log", err);
    }
    if (status == AP_OK) {
        *out = plan;
    }
    return status;
}

ap_status ap_profile_plan(ap_plan *out, ap_arena *arena, ap_rows *rows, const ap_plan_rules *rules,
                          const ap_profile *profile, ap_error *err) {
    if (profile->kind != AP_PROFILE_TABLE) {
        return plan_text(out, arena, rules, profile, err);
    }
    ap_row row;
    ap_str *texts = ap_arena_alloc_array(arena, profile->column_count + 1, sizeof *texts);
    if (!texts) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the profile");
    }
    const ap_status status = profile->header_none ? no_header(&row, arena, rows, profile, err)
                                                  : find_header(&row, texts, arena, rows, profile, err);
    if (profile->sheets_column) {
        texts[profile->sheets_column - 1] = ap_arena_str(arena, ap_rows_sheet(rows));
    }
    return status == AP_OK ? ap_profile_plan_table(out, arena, &row, rules, profile, texts, false, err) : status;
}
