/* Samples of a profile, what they give, and what only the whole profile shows. */
#include "intake/profile_parts.h"

#include "intake/header.h"

static ap_status take_pairs(ap_profile_pair **out, size_t *count, ap_profile_reading *reading, bool fields,
                            const char *usage) {
    ap_scan_line *scan = &reading->scan;
    ap_profile_pair *pairs = *out;
    if (!pairs) {
        pairs = *out = ap_arena_alloc_array(&reading->profile->arena, AP_PROFILE_CELLS_MAX, sizeof *pairs);
    }
    if (!pairs) {
        return ap_profile_wrong(reading, AP_E_MEMORY, "out of memory");
    }
    do {
        ap_profile_pair pair = {.field = -1};
        if (*count == AP_PROFILE_CELLS_MAX) {
            return ap_profile_wrong(reading, AP_E_LIMIT, "at most %d of them", (int)AP_PROFILE_CELLS_MAX);
        }
        const bool named = fields ? ap_take_word(&pair.name, scan) : ap_take_text(&pair.name, scan);
        if (!named || !ap_take_this(scan, "=")) {
            return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
        }
        if (fields) {
            pair.field = ap_header_field(&pair.unit, pair.name);
            if (pair.field < 0) {
                return ap_profile_wrong(reading, AP_E_INPUT, "'%.*s' is no field: docs/log.md lists them",
                                        pair.name.len > 60 ? 60 : (int)pair.name.len, pair.name.ptr);
            }
            if (!ap_take_rest(&pair.text, scan, true)) {
                return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
            }
            pair.text = ap_str_equal_word(pair.text, "blank") ? AP_STR_LIT("") : pair.text;
        } else if (!ap_take_text(&pair.text, scan)) {
            return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
        }
        pairs[(*count)++] = pair;
    } while (ap_take_this(scan, ","));
    return ap_profile_take_end(reading);
}

ap_status ap_profile_sample_line(ap_profile_reading *reading) {
    static const char usage[] =
        "write: sample \"HEADER\" = \"CELL\", ... for a table, or: sample \"THE LINE\" for a text log";
    ap_profile *profile = reading->profile;
    if (profile->sample_count == AP_PROFILE_SAMPLES_MAX) {
        return ap_profile_wrong(reading, AP_E_LIMIT, "at most %d samples", (int)AP_PROFILE_SAMPLES_MAX);
    }
    ap_profile_sample *sample = &profile->samples[profile->sample_count++];
    *sample = (ap_profile_sample){.line = reading->line};
    const ap_scan_line before = reading->scan;
    if (!ap_take_text(&sample->text, &reading->scan)) {
        return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
    }
    if (!ap_take_this(&reading->scan, "=")) {
        return ap_profile_take_end(reading);
    }
    sample->text = AP_STR_NONE;
    reading->scan = before;
    return take_pairs(&sample->cells, &sample->cell_count, reading, false, usage);
}

ap_status ap_profile_gives_line(ap_profile_reading *reading) {
    static const char usage[] = "write: gives FIELD = VALUE, FIELD = VALUE, ... or: gives nothing, or: gives set aside";
    ap_profile *profile = reading->profile;
    if (profile->sample_count == 0) {
        return ap_profile_wrong(reading, AP_E_INPUT, "'gives' belongs below a sample");
    }
    ap_profile_sample *sample = &profile->samples[profile->sample_count - 1];
    const bool nothing = ap_take_this(&reading->scan, "nothing");
    const bool aside = !nothing && ap_take_this(&reading->scan, "set");
    if (nothing || aside) {
        if ((aside && !ap_take_this(&reading->scan, "aside")) || sample->give_count) {
            return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
        }
        sample->what = nothing ? AP_GIVES_NOTHING : AP_GIVES_ASIDE;
        return ap_profile_take_end(reading);
    }
    if (sample->what != AP_GIVES_FIELDS) {
        return ap_profile_wrong(reading, AP_E_INPUT, "the sample on line %d gives nothing already", sample->line);
    }
    return take_pairs(&sample->gives, &sample->give_count, reading, true, usage);
}

/* Lines of the profile that give each field; 0 = none. */
typedef struct givers {
    int line[AP_COLUMN_COUNT];
} givers;

static ap_status give(givers *seen, ap_profile_reading *reading, int field, int line) {
    if (field < 0) {
        return AP_OK;
    }
    if (seen->line[field]) {
        return ap_profile_wrong(reading, AP_E_INPUT, "%s is given twice, by line %d and by line %d",
                                ap_field_get(field)->name, seen->line[field], line);
    }
    seen->line[field] = line;
    return AP_OK;
}

static ap_status collect_givers(givers *seen, ap_profile_reading *reading) {
    const ap_profile *profile = reading->profile;
    ap_status status = AP_OK;
    for (size_t i = 0; i < profile->column_count && status == AP_OK; i++) {
        status = give(seen, reading, profile->columns[i].field, profile->columns[i].line);
    }
    for (size_t i = 0; i < profile->constant_count && status == AP_OK; i++) {
        status = give(seen, reading, profile->constants[i].field, profile->constants[i].line);
    }
    for (size_t i = 0; i < profile->also_count && status == AP_OK; i++) {
        const ap_profile_also *also = &profile->alsos[i];
        if (!seen->line[also->from]) {
            return ap_profile_wrong(reading, AP_E_INPUT, "line %d: nothing gives %s, so it can not be read as %s too",
                                    also->line, ap_field_get(also->from)->name, ap_field_get(also->field)->name);
        }
        status = give(seen, reading, also->field, also->line);
    }
    return status;
}

static ap_status need_fields(const givers *seen, ap_profile_reading *reading) {
    static const int needed[] = {AP_F_job, AP_F_date, AP_F_pick, AP_F_species};
    static const char *const how[] = {"column \"HEADER\" -> ", "find ", "key \"KEY\" -> "};
    const ap_profile_kind kind = reading->profile->kind;
    for (size_t i = 0; i < 4; i++) {
        if (!seen->line[needed[i]]) {
            const char *name = ap_field_get(needed[i])->name;
            return ap_profile_wrong(
                reading, AP_E_INPUT,
                "nothing gives '%s', which every pick needs: add %s%s%s, or: "
                "constant %s = ...",
                name, kind == AP_PROFILE_LINES && !reading->profile->find_count ? "a group (?<" : how[kind], name,
                kind == AP_PROFILE_LINES && !reading->profile->find_count ? ">...) to a line or a heading" : "", name);
        }
    }
    if (!seen->line[AP_F_planned_weight] && !seen->line[AP_F_measured_weight]) {
        return ap_profile_wrong(reading, AP_E_INPUT,
                                "nothing gives 'planned_weight' or 'measured_weight': one of them is needed");
    }
    return AP_OK;
}

static ap_status check_values(const givers *seen, ap_profile_reading *reading) {
    const ap_profile *profile = reading->profile;
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        if (profile->values[i].count && !seen->line[i]) {
            return ap_profile_wrong(reading, AP_E_INPUT, "there are values for %s, but nothing gives it",
                                    ap_field_get(i)->name);
        }
    }
    static const struct {
        unsigned bit;
        int field;
    } restarts[] = {{AP_RESTART_CREW, AP_F_crew}, {AP_RESTART_CRANE, AP_F_crane}, {AP_RESTART_TREE, AP_F_tree}};
    for (size_t i = 0; i < 3; i++) {
        if ((profile->restart & restarts[i].bit) && !seen->line[restarts[i].field]) {
            return ap_profile_wrong(reading, AP_E_INPUT, "numbers restart each %s, but nothing gives '%s'",
                                    ap_field_get(restarts[i].field)->name, ap_field_get(restarts[i].field)->name);
        }
    }
    return AP_OK;
}

static ap_status check_samples(ap_profile_reading *reading) {
    const ap_profile *profile = reading->profile;
    for (size_t i = 0; i < profile->sample_count; i++) {
        const ap_profile_sample *sample = &profile->samples[i];
        reading->line = sample->line;
        if ((sample->cell_count > 0) != (profile->kind == AP_PROFILE_TABLE)) {
            return ap_profile_wrong(
                reading, AP_E_INPUT,
                profile->kind == AP_PROFILE_TABLE
                    ? "a sample of a table is: sample \"HEADER\" = \"CELL\", ..."
                    : "a sample of a text log is: sample \"THE LINE\", in a block \\n between lines");
        }
        if (sample->what == AP_GIVES_FIELDS && sample->give_count == 0) {
            return ap_profile_wrong(reading, AP_E_INPUT, "the sample says not what it gives: add a line 'gives ...'");
        }
    }
    reading->line = 0;
    if (profile->sample_count == 0 && profile->kind != AP_PROFILE_TABLE) {
        return ap_profile_wrong(reading, AP_E_INPUT,
                                "a text log's profile needs a sample: a line of the log, and below it what it gives");
    }
    return AP_OK;
}

static bool has_skip_header(const ap_profile *profile, ap_str header) {
    for (size_t i = 0; i < profile->column_count; i++) {
        if (ap_profile_header_is(profile->columns[i].header, header)) {
            return true;
        }
    }
    return false;
}

/* Where nothing gives a pick's number, it gets a column of its own. */
static ap_status add_counted(ap_profile_reading *reading) {
    ap_profile *profile = reading->profile;
    ap_profile_column *column = NULL;
    for (size_t i = 0; i < profile->column_count; i++) {
        if (profile->columns[i].field == AP_F_pick) {
            return AP_OK;
        }
    }
    const ap_status status = ap_profile_add_column(&column, reading);
    if (status == AP_OK && column) {
        *column = (ap_profile_column){
            .header = AP_STR_LIT("pick"), .field = AP_F_pick, .optional = true, .line = profile->count_line};
        column->number = profile->header_none ? AP_PROFILE_COUNTED : 0;
    }
    return status;
}

ap_status ap_profile_finish(ap_profile_reading *reading) {
    const ap_profile *profile = reading->profile;
    givers seen = {0};
    if (profile->count_picks) {
        const ap_status status = add_counted(reading);
        if (status != AP_OK) {
            return status;
        }
    }
    if (profile->name.len == 0) {
        return ap_profile_wrong(reading, AP_E_INPUT, "it has no name: add a line 'name NAME'");
    }
    if (!reading->kind_said) {
        return ap_profile_wrong(reading, AP_E_INPUT,
                                "it reads nothing: add lines 'column', or 'line', or 'block' and 'key'");
    }
    const bool table = profile->kind == AP_PROFILE_TABLE;
    for (size_t i = 0; table && profile->header_none && i < profile->column_count; i++) {
        if (profile->columns[i].number == 0 && !profile->columns[i].heading) {
            reading->line = profile->columns[i].line;
            return ap_profile_wrong(reading, AP_E_INPUT,
                                    "there is no header, so a column goes by its number: column 3 -> FIELD");
        }
    }
    if (!table && (profile->sheet.len || profile->sheets_all || profile->header_line || profile->header_none ||
                   profile->delimiter || profile->use_count)) {
        return ap_profile_wrong(reading, AP_E_INPUT, "sheet, header, delimiter and 'use when' are for tables only");
    }
    for (size_t i = 0; i < profile->skip_count; i++) {
        if (!table && profile->skips[i].header.len && !has_skip_header(profile, profile->skips[i].header)) {
            reading->line = profile->skips[i].line;
            return ap_profile_wrong(reading, AP_E_INPUT, "there is no key or group '%.*s'",
                                    AP_STR_ARG(profile->skips[i].header));
        }
    }
    ap_status status = collect_givers(&seen, reading);
    if (status == AP_OK) {
        status = need_fields(&seen, reading);
    }
    if (status == AP_OK) {
        status = check_values(&seen, reading);
    }
    return status == AP_OK ? check_samples(reading) : status;
}
