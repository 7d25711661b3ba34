/* The longer statements of a profile: what feeds which field, and what its cells say. */
#include "intake/profile_parts.h"

#include "intake/header.h"

enum { VALUE_STEP = 16 };

ap_status ap_profile_take_field(int *field, ap_profile_reading *reading) {
    ap_str word = AP_STR_NONE;
    const ap_str next = ap_next_shown(&reading->scan);
    *field = ap_take_word(&word, &reading->scan) ? ap_field_find(word) : -1;
    if (*field >= 0) {
        return AP_OK;
    }
    const char *near = NULL;
    unsigned best = 4;
    for (int i = 0; i < AP_COLUMN_COUNT && word.len; i++) {
        const unsigned distance = ap_str_distance(word, ap_str_from(ap_field_get(i)->name), 3);
        near = distance < best ? ap_field_get(i)->name : near;
        best = distance < best ? distance : best;
    }
    return ap_profile_wrong(reading, AP_E_INPUT,
                            "'%.*s' is no field%s%s%s: docs/log.md lists them, planned_weight, "
                            "measured_weight, species, ...",
                            AP_STR_ARG(word.len && word.len < 60 ? word : next), near ? ", '" : "", near ? near : "",
                            near ? "' is near" : "");
}

ap_status ap_profile_take_unit(ap_unit *unit, bool *optional, int field, ap_profile_reading *reading) {
    ap_scan_line *scan = &reading->scan;
    *unit = AP_UNIT_NONE;
    if (ap_take_this(scan, "in")) {
        ap_str word = AP_STR_NONE;
        if (!ap_take_text(&word, scan) && ap_take_word(&word, scan)) {
            ap_str more;
            while (!ap_at_end(scan) && !ap_str_starts(scan->rest, AP_STR_LIT("if ")) && ap_take_word(&more, scan)) {
                word.len = (size_t)(more.ptr + more.len - word.ptr);
            }
        }
        if (!ap_unit_find(unit, word)) {
            return ap_profile_wrong(reading, AP_E_INPUT,
                                    "'%.*s' is no unit: lb, kg, short tons, tonnes, ft, in, m, cm, ...",
                                    word.len > 40 ? 40 : (int)word.len, word.ptr ? word.ptr : "");
        }
        const ap_field *desc = field >= 0 ? ap_field_get(field) : NULL;
        if (!desc || desc->kind != AP_KIND_QTY || ap_unit_dim(*unit) != desc->dim) {
            return ap_profile_wrong(reading, AP_E_INPUT, "%s can not be in %s", desc ? desc->label : "nothing",
                                    ap_unit_symbol(*unit));
        }
    }
    if (optional && ap_take_this(scan, "if")) {
        if (!ap_take_this(scan, "there")) {
            return ap_profile_wrong(reading, AP_E_INPUT, "write 'if there' for a column that may be missing");
        }
        *optional = true;
    }
    return ap_profile_take_end(reading);
}

ap_status ap_profile_set_kind(ap_profile_reading *reading, ap_profile_kind kind, const char *word) {
    if (reading->kind_said && reading->profile->kind != kind) {
        return ap_profile_wrong(reading, AP_E_INPUT,
                                "'%s' does not go with '%s' on line %d: a profile has columns, or lines, or a block "
                                "with keys",
                                word, reading->kind_word, reading->kind_line);
    }
    if (!reading->kind_said) {
        reading->kind_said = true;
        reading->kind_line = reading->line;
        reading->kind_word = word;
        reading->profile->kind = kind;
    }
    return AP_OK;
}

ap_status ap_profile_add_column(ap_profile_column **out, ap_profile_reading *reading) {
    ap_profile *profile = reading->profile;
    if (profile->column_count == AP_PROFILE_COLUMNS_MAX) {
        return ap_profile_wrong(reading, AP_E_LIMIT, "at most %d columns", (int)AP_PROFILE_COLUMNS_MAX);
    }
    *out = &profile->columns[profile->column_count++];
    **out = (ap_profile_column){.field = -1, .line = reading->line};
    return AP_OK;
}

static ap_status take_target(ap_profile_column *column, ap_profile_reading *reading, bool *optional,
                             const char *usage) {
    const bool named = ap_take_text(&column->header, &reading->scan);
    if ((named ? ap_str_is_blank(column->header) : column->number == 0) || !ap_take_this(&reading->scan, "->")) {
        return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
    }
    if (!ap_take_this(&reading->scan, "nothing")) {
        const ap_status status = ap_profile_take_field(&column->field, reading);
        if (status != AP_OK) {
            return status;
        }
    } else if (optional) {
        *optional = true; /* a column that nothing reads may as well be missing */
    }
    return ap_profile_take_unit(&column->unit, optional, column->field, reading);
}

ap_status ap_profile_column_line(ap_profile_reading *reading) {
    ap_profile_column *column = NULL;
    int64_t number = 0;
    ap_status status = ap_profile_set_kind(reading, AP_PROFILE_TABLE, "column");
    if (status == AP_OK) {
        status = ap_profile_add_column(&column, reading);
    }
    if (status != AP_OK || !column) {
        return status;
    }
    if (ap_take_number(&number, &reading->scan)) {
        if (number < 1 || number > 1024) {
            return ap_profile_wrong(reading, AP_E_INPUT, "a column's number is from 1 to 1024");
        }
        column->number = (int)number;
    }
    return take_target(
        column, reading, &column->optional,
        "write: column \"HEADER\" -> FIELD [in UNIT] [if there], or: column 3 -> FIELD, or: column \"HEADER\" "
        "-> nothing");
}

ap_status ap_profile_key_line(ap_profile_reading *reading) {
    ap_profile_column *column = NULL;
    ap_status status = ap_profile_set_kind(reading, AP_PROFILE_BLOCKS, "key");
    if (status == AP_OK) {
        status = ap_profile_add_column(&column, reading);
    }
    return status == AP_OK && column
               ? take_target(column, reading, NULL, "write: key \"KEY\" -> FIELD [in UNIT], or: key \"KEY\" -> nothing")
               : status;
}

ap_status ap_profile_take_compiled(ap_pattern **out, ap_profile_reading *reading, const char *usage) {
    ap_str text;
    char flags[8];
    if (!ap_take_pattern(&text, flags, &reading->scan)) {
        return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
    }
    ap_error why;
    ap_error_clear(&why);
    const ap_status status = ap_pattern_new(out, text, flags, &why);
    return status == AP_OK ? AP_OK : ap_profile_wrong(reading, status, "%s", why.text);
}

/* The column a group feeds: one for each field, whichever patterns name it. */
static ap_status column_of_group(size_t *at, ap_profile_reading *reading, const char *name, bool heading) {
    ap_profile *profile = reading->profile;
    ap_unit unit = AP_UNIT_NONE;
    const int field = ap_header_field(&unit, ap_str_from(name));
    if (field < 0) {
        return ap_profile_wrong(reading, AP_E_INPUT,
                                "the group '%s' names no field: write (?<planned_weight_lb>...), (?<species>...), ...",
                                name);
    }
    for (size_t i = 0; i < profile->column_count; i++) {
        ap_profile_column *column = &profile->columns[i];
        if (column->field != field || (!column->heading && profile->kind != AP_PROFILE_LINES)) {
            continue;
        }
        if (column->unit != unit) {
            return ap_profile_wrong(reading, AP_E_INPUT, "%s has another unit on line %d: one unit for a field",
                                    ap_field_get(field)->name, column->line);
        }
        column->heading = column->heading && heading;
        *at = i;
        return AP_OK;
    }
    ap_profile_column *column = NULL;
    const ap_status status = ap_profile_add_column(&column, reading);
    if (status != AP_OK) {
        return status;
    }
    column->header = ap_arena_str(&profile->arena, ap_str_from(name));
    column->field = field;
    column->unit = unit;
    column->heading = heading;
    *at = profile->column_count - 1;
    return AP_OK;
}

ap_status ap_profile_pattern_line(ap_profile_reading *reading, bool heading) {
    ap_profile *profile = reading->profile;
    if (profile->pattern_count == AP_PROFILE_PATTERNS_MAX) {
        return ap_profile_wrong(reading, AP_E_LIMIT, "at most %d patterns", (int)AP_PROFILE_PATTERNS_MAX);
    }
    ap_profile_pattern *pattern = &profile->patterns[profile->pattern_count];
    *pattern = (ap_profile_pattern){.heading = heading, .line = reading->line};
    ap_status status = heading ? AP_OK : ap_profile_set_kind(reading, AP_PROFILE_LINES, "line");
    if (status == AP_OK) {
        status = ap_profile_take_compiled(&pattern->match, reading,
                                          heading ? "write: heading /PATTERN/ with groups such as (?<job>...)"
                                                  : "write: line /PATTERN/ with groups such as (?<pick>...)");
    }
    if (status != AP_OK) {
        return status;
    }
    profile->pattern_count++;
    const unsigned count = ap_pattern_name_count(pattern->match);
    if (count == 0) {
        return ap_profile_wrong(reading, AP_E_INPUT, "the pattern has no named group, so nothing would be read by it");
    }
    pattern->groups = ap_arena_alloc_array(&profile->arena, count, sizeof *pattern->groups);
    if (!pattern->groups) {
        return ap_profile_wrong(reading, AP_E_MEMORY, "out of memory");
    }
    for (unsigned i = 0; i < count && status == AP_OK; i++) {
        ap_profile_group *group = &pattern->groups[pattern->group_count];
        const char *name = ap_pattern_name(pattern->match, i, &group->group);
        status = column_of_group(&group->column, reading, name, heading);
        for (size_t k = 0; k < pattern->group_count && status == AP_OK; k++) {
            if (pattern->groups[k].column == group->column) {
                return ap_profile_wrong(reading, AP_E_INPUT, "two groups of the pattern are '%s'", name);
            }
        }
        pattern->group_count++;
    }
    return status == AP_OK ? ap_profile_take_end(reading) : status;
}

static ap_status add_value(ap_profile_reading *reading, int field, const ap_profile_value *value) {
    ap_profile *profile = reading->profile;
    ap_profile_values *values = &profile->values[field];
    if (profile->value_count == AP_PROFILE_VALUES_MAX) {
        ap_pattern_free(value->match);
        return ap_profile_wrong(reading, AP_E_LIMIT, "at most %d values", (int)AP_PROFILE_VALUES_MAX);
    }
    if (values->count % VALUE_STEP == 0) {
        ap_profile_value *wider = ap_arena_alloc_array(&profile->arena, values->count + VALUE_STEP, sizeof *wider);
        if (!wider) {
            ap_pattern_free(value->match);
            return ap_profile_wrong(reading, AP_E_MEMORY, "out of memory");
        }
        if (values->count) {
            memcpy(wider, values->items, values->count * sizeof *wider);
        }
        values->items = wider;
    }
    values->joins = ap_field_get(field)->kind == AP_KIND_MOVES;
    values->items[values->count++] = *value;
    profile->value_count++;
    return AP_OK;
}

ap_status ap_profile_value_line(ap_profile_reading *reading) {
    static const char usage[] = "write: value FIELD: \"TEXT\", /PATTERN/i -> WORD, or -> blank";
    ap_scan_line *scan = &reading->scan;
    int field = -1;
    ap_status status = ap_profile_take_field(&field, reading);
    if (status != AP_OK) {
        return status;
    }
    if (!ap_take_this(scan, ":")) {
        return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
    }
    const size_t first = reading->profile->values[field].count;
    do {
        ap_profile_value value = {0};
        if (ap_take_this(scan, "otherwise")) {
            value.otherwise = true;
        } else if (!ap_take_text(&value.from, scan)) {
            status = ap_profile_take_compiled(&value.match, reading, usage);
        }
        value.from = ap_str_trim(value.from);
        if (status == AP_OK) {
            status = add_value(reading, field, &value);
        }
        if (status != AP_OK) {
            return status;
        }
    } while (ap_take_this(scan, ","));
    ap_str to = AP_STR_NONE;
    if (!ap_take_this(scan, "->") || !ap_take_rest(&to, scan, false)) {
        return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
    }
    to = ap_str_equal_word(to, "blank") ? AP_STR_LIT("") : to;
    for (size_t i = first; i < reading->profile->values[field].count; i++) {
        reading->profile->values[field].items[i].to = to;
    }
    return ap_profile_take_end(reading);
}

ap_status ap_profile_also_line(ap_profile_reading *reading) {
    ap_profile *profile = reading->profile;
    if (profile->also_count == AP_PROFILE_CELLS_MAX) {
        return ap_profile_wrong(reading, AP_E_LIMIT, "at most %d lines 'also'", (int)AP_PROFILE_CELLS_MAX);
    }
    ap_profile_also *also = &profile->alsos[profile->also_count];
    *also = (ap_profile_also){.line = reading->line};
    ap_status status = ap_profile_take_field(&also->from, reading);
    if (status == AP_OK && !ap_take_this(&reading->scan, "->")) {
        status = ap_profile_wrong(reading, AP_E_INPUT, "write: also FIELD -> FIELD [in UNIT]");
    }
    if (status == AP_OK) {
        status = ap_profile_take_field(&also->field, reading);
    }
    if (status == AP_OK) {
        status = ap_profile_take_unit(&also->unit, NULL, also->field, reading);
    }
    profile->also_count += status == AP_OK;
    return status;
}

ap_status ap_profile_skip_line(ap_profile_reading *reading) {
    static const char usage[] =
        "write: skip when \"HEADER\" is blank, or: skip when \"HEADER\" matches /PATTERN/i, or: "
        "skip when line matches /PATTERN/i";
    ap_profile *profile = reading->profile;
    ap_scan_line *scan = &reading->scan;
    if (profile->skip_count == AP_PROFILE_SKIPS_MAX) {
        return ap_profile_wrong(reading, AP_E_LIMIT, "at most %d lines 'skip'", (int)AP_PROFILE_SKIPS_MAX);
    }
    ap_profile_skip *skip = &profile->skips[profile->skip_count];
    *skip = (ap_profile_skip){.line = reading->line};
    if (!ap_take_this(scan, "when") || !(ap_take_text(&skip->header, scan) || ap_take_this(scan, "line"))) {
        return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
    }
    if (skip->header.len && ap_take_this(scan, "is")) {
        if (!ap_take_this(scan, "blank")) {
            return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
        }
    } else if (ap_take_this(scan, "matches")) {
        const ap_status status = ap_profile_take_compiled(&skip->match, reading, usage);
        if (status != AP_OK) {
            return status;
        }
    } else {
        return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
    }
    profile->skip_count++;
    return ap_profile_take_end(reading);
}
