/* "find FIELD ...": where in a line of free words a field stands. */
#include "intake/profile_parts.h"

static const char usage[] =
    "write: find FIELD, or: find FIELD behind \"WORD\", \"WORD\" (or before), or: find FIELD first (or second), "
    "or: find FIELD like \"J88\", or: find notes line";

static ap_status take_words(ap_profile_find *find, ap_profile_reading *reading) {
    find->words = ap_arena_alloc_array(&reading->profile->arena, AP_PROFILE_CELLS_MAX, sizeof *find->words);
    if (!find->words) {
        return ap_profile_wrong(reading, AP_E_MEMORY, "out of memory");
    }
    do {
        ap_str word;
        if (!ap_take_text(&word, &reading->scan) || ap_str_is_blank(word)) {
            return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
        }
        if (find->word_count == AP_PROFILE_CELLS_MAX) {
            return ap_profile_wrong(reading, AP_E_LIMIT, "at most %d words", (int)AP_PROFILE_CELLS_MAX);
        }
        find->words[find->word_count++] = ap_str_trim(word);
    } while (ap_take_this(&reading->scan, ","));
    return AP_OK;
}

/* What can be looked for by itself: a thing of the field's kind. */
static bool has_kind(int field) {
    const ap_field *desc = ap_field_get(field);
    return field == AP_F_species || desc->kind == AP_KIND_DATE || desc->kind == AP_KIND_WORD ||
           desc->kind == AP_KIND_MOVES;
}

static ap_status take_where(ap_profile_find *find, ap_profile_reading *reading) {
    static const struct {
        const char *word;
        ap_find_where where;
        bool words;
    } ways[] = {
        {"behind", AP_FIND_BEHIND, true}, {"before", AP_FIND_BEFORE, true}, {"like", AP_FIND_LIKE, true},
        {"first", AP_FIND_FIRST, false},  {"second", AP_FIND_LAST, false},  {"line", AP_FIND_LINE, false},
    };
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        if (ap_take_this(&reading->scan, ways[i].word)) {
            find->where = ways[i].where;
            return ways[i].words ? take_words(find, reading) : AP_OK;
        }
    }
    return AP_OK;
}

static ap_status check_where(const ap_profile_find *find, ap_profile_reading *reading) {
    const ap_field *desc = ap_field_get(find->field);
    const bool load = desc->kind == AP_KIND_QTY && desc->dim == AP_DIM_LOAD;
    const bool text = desc->kind == AP_KIND_TEXT;
    bool fine = true;
    switch (find->where) {
    case AP_FIND_ANY:
        fine = has_kind(find->field);
        break;
    case AP_FIND_BEHIND:
    case AP_FIND_BEFORE:
        fine = !has_kind(find->field) || desc->kind == AP_KIND_WORD;
        break;
    case AP_FIND_FIRST:
        fine = load || find->field == AP_F_pick;
        break;
    case AP_FIND_LAST:
        fine = load;
        break;
    case AP_FIND_LIKE:
        fine = text && find->field != AP_F_species;
        break;
    case AP_FIND_LINE:
        fine = text && desc->group == AP_GROUP_HAPPENED;
        break;
    }
    return fine ? AP_OK : ap_profile_wrong(reading, AP_E_INPUT, "%s can not be found that way; %s", desc->label, usage);
}

ap_status ap_profile_find_line(ap_profile_reading *reading) {
    ap_profile *profile = reading->profile;
    ap_profile_find find = {.field = -1, .line = reading->line};
    ap_status status = ap_profile_set_kind(reading, AP_PROFILE_LINES, "find");
    if (status == AP_OK && profile->find_count == AP_PROFILE_FINDS_MAX) {
        status = ap_profile_wrong(reading, AP_E_LIMIT, "at most %d lines 'find'", (int)AP_PROFILE_FINDS_MAX);
    }
    if (status == AP_OK) {
        status = ap_profile_take_field(&find.field, reading);
    }
    if (status == AP_OK) {
        status = take_where(&find, reading);
    }
    if (status == AP_OK) {
        status = check_where(&find, reading);
    }
    if (status == AP_OK) {
        status = ap_profile_take_unit(&find.unit, NULL, find.field, reading);
    }
    if (status != AP_OK) {
        return status;
    }
    for (find.column = 0; find.column < profile->column_count; find.column++) {
        if (profile->columns[find.column].field == find.field) {
            break;
        }
    }
    if (find.column == profile->column_count) {
        ap_profile_column *column = NULL;
        status = ap_profile_add_column(&column, reading);
        if (status != AP_OK || !column) {
            return status;
        }
        column->header = ap_str_from(ap_field_get(find.field)->name);
        column->field = find.field;
        column->unit = find.unit;
    }
    profile->finds[profile->find_count++] = find;
    return AP_OK;
}
