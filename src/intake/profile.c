/* A profile's text, line by line: the table of statements and the short ones. */
#include "intake/profile_parts.h"

#include "intake/header.h"

enum { ARENA_MAX = 2 << 20, USAGE_MAX = 400 };

ap_status ap_profile_wrong(const ap_profile_reading *reading, ap_status code, const char *format, ...) {
    va_list args;
    va_start(args, format);
    (void)ap_error_setv(reading->err, code, format, args);
    va_end(args);
    return reading->line > 0 ? ap_error_wrap(reading->err, code, "unable to read the profile '%s': line %d",
                                             reading->where, reading->line)
                             : ap_error_wrap(reading->err, code, "unable to read the profile '%s'", reading->where);
}

ap_status ap_profile_take_end(const ap_profile_reading *reading) {
    const ap_str next = ap_next_shown(&reading->scan);
    return ap_at_end(&reading->scan)
               ? AP_OK
               : ap_profile_wrong(reading, AP_E_INPUT, "nothing more may stand here, but there is '%.*s'",
                                  AP_STR_ARG(next));
}

static ap_status name_line(ap_profile_reading *reading) {
    ap_profile *profile = reading->profile;
    if (!ap_take_rest(&profile->name, &reading->scan, false)) {
        return ap_profile_wrong(reading, AP_E_INPUT, "write: name NAME");
    }
    bool fine = profile->name.len <= AP_PROFILE_NAME_MAX;
    for (size_t i = 0; i < profile->name.len; i++) {
        const unsigned char c = (unsigned char)profile->name.ptr[i];
        fine = fine && c >= 0x20 && c != 0x7f && c != '/' && c != '\\';
    }
    return fine ? ap_profile_take_end(reading)
                : ap_profile_wrong(reading, AP_E_INPUT, "a name has at most %d bytes and neither / nor \\ in it",
                                   (int)AP_PROFILE_NAME_MAX);
}

static ap_status use_line(ap_profile_reading *reading) {
    ap_profile *profile = reading->profile;
    static const char usage[] = "write: use when header has \"HEADER\", \"HEADER\", ...";
    if (!ap_take_this(&reading->scan, "when") || !ap_take_this(&reading->scan, "header") ||
        !ap_take_this(&reading->scan, "has")) {
        return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
    }
    profile->use_headers = ap_arena_alloc_array(&profile->arena, AP_PROFILE_CELLS_MAX, sizeof(ap_str));
    if (!profile->use_headers) {
        return ap_profile_wrong(reading, AP_E_MEMORY, "out of memory");
    }
    do {
        ap_str header;
        if (!ap_take_text(&header, &reading->scan)) {
            return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
        }
        if (profile->use_count == AP_PROFILE_CELLS_MAX) {
            return ap_profile_wrong(reading, AP_E_LIMIT, "at most %d headers", (int)AP_PROFILE_CELLS_MAX);
        }
        profile->use_headers[profile->use_count++] = header;
    } while (ap_take_this(&reading->scan, ","));
    return ap_profile_take_end(reading);
}

static ap_status sheet_line(ap_profile_reading *reading) {
    return ap_take_rest(&reading->profile->sheet, &reading->scan, false)
               ? ap_profile_take_end(reading)
               : ap_profile_wrong(reading, AP_E_INPUT, "write: sheet NAME");
}

static ap_status sheets_line(ap_profile_reading *reading) {
    ap_profile *profile = reading->profile;
    profile->sheets_all = true;
    if (!ap_take_this(&reading->scan, "->")) {
        return ap_profile_take_end(reading);
    }
    ap_profile_column *column = NULL;
    int field = -1;
    ap_status status = ap_profile_take_field(&field, reading);
    if (status == AP_OK && (ap_field_get(field)->kind != AP_KIND_TEXT || field == AP_F_pick)) {
        status = ap_profile_wrong(reading, AP_E_INPUT,
                                  "a sheet's name can be the job, site, crew, crane, tree or the "
                                  "like, not the %s",
                                  ap_field_get(field)->label);
    }
    if (status == AP_OK) {
        status = ap_profile_add_column(&column, reading);
    }
    if (status != AP_OK || !column) {
        return status;
    }
    *column = (ap_profile_column){
        .header = AP_STR_LIT("the sheet's name"), .field = field, .heading = true, .line = reading->line};
    profile->sheets_column = profile->column_count;
    return ap_profile_take_end(reading);
}

static ap_status header_line(ap_profile_reading *reading) {
    int64_t *line = &reading->profile->header_line;
    if (ap_take_this(&reading->scan, "none")) {
        reading->profile->header_none = true;
        return ap_profile_take_end(reading);
    }
    if (!ap_take_this(&reading->scan, "on") || !ap_take_this(&reading->scan, "line") ||
        !ap_take_number(line, &reading->scan) || *line < 1 || *line > 1000) {
        return ap_profile_wrong(reading, AP_E_INPUT, "write: header on line N, from 1 to 1000, or: header none");
    }
    return ap_profile_take_end(reading);
}

/* One of a few words; *choice is its place. */
static ap_status take_choice(size_t *choice, ap_profile_reading *reading, const char *usage, const char *const *words,
                             size_t count) {
    for (size_t i = 0; i < count; i++) {
        if (ap_take_this(&reading->scan, words[i])) {
            *choice = i;
            return ap_profile_take_end(reading);
        }
    }
    return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
}

static ap_status delimiter_line(ap_profile_reading *reading) {
    static const char *const words[] = {"comma", "semicolon", "tab", "pipe", ",", ";", "|"};
    static const char marks[] = {',', ';', '\t', '|', ',', ';', '|'};
    size_t at = 0;
    const ap_status status =
        take_choice(&at, reading, "write: delimiter comma, semicolon, tab or pipe", words, sizeof marks);
    reading->profile->delimiter = marks[at];
    return status;
}

static ap_status decimal_line(ap_profile_reading *reading) {
    static const char *const words[] = {"point", "comma"};
    size_t at = 0;
    const ap_status status = take_choice(&at, reading, "write: decimal comma, or decimal point", words, 2);
    reading->profile->decimal = at ? ',' : '.';
    return status;
}

static ap_status dates_line(ap_profile_reading *reading) {
    static const char *const words[] = {"mdy", "dmy"};
    size_t at = 0;
    const ap_status status = take_choice(&at, reading, "write: dates mdy, or dates dmy", words, 2);
    reading->profile->dates = at ? AP_DATES_DMY : AP_DATES_MDY;
    return status;
}

static ap_status ton_line(ap_profile_reading *reading) {
    static const char *const words[] = {"short", "long", "tonne"};
    static const ap_unit tons[] = {AP_UNIT_US_TON, AP_UNIT_LONG_TON, AP_UNIT_TONNE};
    size_t at = 0;
    const ap_status status = take_choice(&at, reading, "write: ton short, ton long or ton tonne", words, 3);
    reading->profile->ton = tons[at];
    return status;
}

static ap_status bare_line(ap_profile_reading *reading) {
    static const char *const words[] = {"us", "metric"};
    size_t at = 0;
    const ap_status status =
        take_choice(&at, reading, "write: bare us (lb, ft, in), or bare metric (kg, m, cm)", words, 2);
    reading->profile->bare = at ? AP_BARE_METRIC : AP_BARE_US;
    return status;
}

static ap_status add_constant(ap_profile_reading *reading, int field, ap_str text) {
    ap_profile *profile = reading->profile;
    if (profile->constant_count == AP_PROFILE_COLUMNS_MAX) {
        return ap_profile_wrong(reading, AP_E_LIMIT, "at most %d constants", (int)AP_PROFILE_COLUMNS_MAX);
    }
    profile->constants[profile->constant_count++] = (ap_profile_constant){field, text, reading->line};
    return ap_profile_take_end(reading);
}

static ap_status constant_line(ap_profile_reading *reading) {
    int field = -1;
    ap_str text;
    const ap_status status = ap_profile_take_field(&field, reading);
    if (status != AP_OK) {
        return status;
    }
    if (!ap_take_this(&reading->scan, "=") || !ap_take_rest(&text, &reading->scan, false) || ap_str_is_blank(text)) {
        return ap_profile_wrong(reading, AP_E_INPUT, "write: constant FIELD = VALUE");
    }
    return add_constant(reading, field, text);
}

static ap_status weight_line(ap_profile_reading *reading, int field) {
    static const char *const words[] = {"net", "gross"};
    for (size_t i = 0; i < 2; i++) {
        if (ap_take_this(&reading->scan, words[i])) {
            return add_constant(reading, field, ap_str_from(words[i]));
        }
    }
    return ap_profile_wrong(reading, AP_E_INPUT, "write: %s net, or %s gross", ap_field_get(field)->name,
                            ap_field_get(field)->name);
}

static ap_status measured_as_line(ap_profile_reading *reading) {
    return weight_line(reading, AP_F_measured_as);
}

static ap_status planned_as_line(ap_profile_reading *reading) {
    return weight_line(reading, AP_F_planned_as);
}

static ap_status numbers_line(ap_profile_reading *reading) {
    static const char *const words[] = {"day", "crew", "crane", "tree"};
    static const char usage[] = "write: numbers restart each day (or crew, crane, tree; several with 'and')";
    if (!ap_take_this(&reading->scan, "restart") || !ap_take_this(&reading->scan, "each")) {
        return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
    }
    do {
        unsigned bit = 0;
        for (unsigned i = 0; i < 4 && !bit; i++) {
            bit = ap_take_this(&reading->scan, words[i]) ? 1u << i : 0;
        }
        if (!bit) {
            return ap_profile_wrong(reading, AP_E_INPUT, "%s", usage);
        }
        reading->profile->restart |= bit;
    } while (ap_take_this(&reading->scan, "and"));
    return ap_profile_take_end(reading);
}

static ap_status year_line(ap_profile_reading *reading) {
    int64_t year = 0;
    if (!ap_take_number(&year, &reading->scan) || year < 1900 || year > 2199) {
        return ap_profile_wrong(reading, AP_E_INPUT, "write: year 2026, the year of dates written without one");
    }
    reading->profile->year = (int)year;
    return ap_profile_take_end(reading);
}

static ap_status count_line(ap_profile_reading *reading) {
    ap_profile *profile = reading->profile;
    if (!ap_take_this(&reading->scan, "picks") || !ap_take_this(&reading->scan, "each") ||
        !ap_take_this(&reading->scan, "day")) {
        return ap_profile_wrong(reading, AP_E_INPUT, "write: count picks each day");
    }
    profile->count_picks = true;
    profile->count_line = reading->line;
    profile->restart |= AP_RESTART_DAY;
    return ap_profile_take_end(reading);
}

static ap_status carry_line(ap_profile_reading *reading) {
    ap_profile *profile = reading->profile;
    do {
        int field = -1;
        const ap_status status = ap_profile_take_field(&field, reading);
        if (status != AP_OK) {
            return status;
        }
        if (field == AP_F_pick || field == AP_F_species || ap_field_get(field)->group != AP_GROUP_WHERE) {
            return ap_profile_wrong(reading, AP_E_INPUT,
                                    "%s is each pick's own: carry job, site, date, crew, estimator, climber, "
                                    "operator, crane or tree",
                                    ap_field_get(field)->name);
        }
        if (profile->carry_count == AP_PROFILE_CARRIES_MAX) {
            return ap_profile_wrong(reading, AP_E_LIMIT, "at most %d fields", (int)AP_PROFILE_CARRIES_MAX);
        }
        profile->carries[profile->carry_count++] = field;
    } while (ap_take_this(&reading->scan, ","));
    return ap_profile_take_end(reading);
}

static ap_status about_line(ap_profile_reading *reading) {
    (void)reading;
    return AP_OK;
}

static ap_status block_line(ap_profile_reading *reading) {
    const ap_status status = ap_profile_set_kind(reading, AP_PROFILE_BLOCKS, "block");
    return status == AP_OK ? ap_profile_take_end(reading) : status;
}

static ap_status line_line(ap_profile_reading *reading) {
    return ap_profile_pattern_line(reading, false);
}

static ap_status heading_line(ap_profile_reading *reading) {
    return ap_profile_pattern_line(reading, true);
}

static const struct {
    const char *word;
    ap_status (*read)(ap_profile_reading *reading);
    bool once;
} statements[] = {
    {"name", name_line, true},
    {"about", about_line, false},
    {"use", use_line, true},
    {"sheet", sheet_line, true},
    {"sheets", sheets_line, true},
    {"header", header_line, true},
    {"delimiter", delimiter_line, true},
    {"decimal", decimal_line, true},
    {"dates", dates_line, true},
    {"ton", ton_line, true},
    {"bare", bare_line, true},
    {"year", year_line, true},
    {"carry", carry_line, true},
    {"count", count_line, true},
    {"column", ap_profile_column_line, false},
    {"find", ap_profile_find_line, false},
    {"line", line_line, false},
    {"heading", heading_line, false},
    {"block", block_line, true},
    {"key", ap_profile_key_line, false},
    {"also", ap_profile_also_line, false},
    {"value", ap_profile_value_line, false},
    {"constant", constant_line, false},
    {"planned_as", planned_as_line, true},
    {"measured_as", measured_as_line, true},
    {"skip", ap_profile_skip_line, false},
    {"numbers", numbers_line, true},
    {"sample", ap_profile_sample_line, false},
    {"gives", ap_profile_gives_line, false},
};
enum { STATEMENTS = sizeof statements / sizeof statements[0] };

static ap_status unknown_word(ap_profile_reading *reading, ap_str word) {
    char all[USAGE_MAX];
    size_t used = 0;
    const char *near = NULL;
    unsigned best = 3;
    for (size_t i = 0; i < STATEMENTS; i++) {
        const unsigned distance = ap_str_distance(word, ap_str_from(statements[i].word), 2);
        near = distance < best ? statements[i].word : near;
        best = distance < best ? distance : best;
        used += (size_t)snprintf(all + used, sizeof all - used, "%s%s", i ? ", " : "", statements[i].word);
    }
    return ap_profile_wrong(reading, AP_E_INPUT, "'%.*s' begins no line of a profile%s%s%s; a line begins with %s",
                            word.len > 40 ? 40 : (int)word.len, word.ptr ? word.ptr : "", near ? ", '" : "",
                            near ? near : "", near ? "' is near" : "", all);
}

static ap_status read_line(ap_profile_reading *reading, ap_str text) {
    reading->scan = (ap_scan_line){ap_str_trim(text), &reading->profile->arena};
    if (ap_at_end(&reading->scan)) {
        return AP_OK;
    }
    if (reading->scan.rest.ptr[0] == '?') {
        reading->scan.rest.ptr++;
        reading->scan.rest.len--;
        const ap_str asked = ap_next_shown(&reading->scan);
        return ap_profile_wrong(reading, AP_E_INPUT,
                                "an open question, '%.*s': answer it by writing the line without its '?', or take it "
                                "out",
                                AP_STR_ARG(asked));
    }
    ap_str word = ap_next_shown(&reading->scan);
    if (!ap_take_word(&word, &reading->scan)) {
        return unknown_word(reading, word);
    }
    for (size_t i = 0; i < STATEMENTS; i++) {
        if (ap_str_equal_word(word, statements[i].word)) {
            if (statements[i].once && reading->said[i]) {
                return ap_profile_wrong(reading, AP_E_INPUT, "'%s' stands on line %d already", statements[i].word,
                                        reading->said[i]);
            }
            reading->said[i] = reading->line;
            return statements[i].read(reading);
        }
    }
    return unknown_word(reading, word);
}

static ap_status read_lines(ap_profile_reading *reading) {
    for (ap_str rest = reading->profile->text; rest.ptr;) {
        const ap_str text = ap_str_split(rest, '\n', &rest);
        reading->line++;
        if (text.len > AP_PROFILE_LINE_MAX) {
            return ap_profile_wrong(reading, AP_E_LIMIT, "longer than %d bytes", (int)AP_PROFILE_LINE_MAX);
        }
        const ap_status status = read_line(reading, text);
        if (status != AP_OK) {
            return status;
        }
    }
    reading->line = 0;
    return ap_profile_finish(reading);
}

ap_status ap_profile_read(ap_profile **out, ap_str text, const char *where, ap_error *err) {
    ap_error spare;
    ap_profile *profile = calloc(1, sizeof *profile);
    if (!profile) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a profile");
    }
    ap_arena_init(&profile->arena, ARENA_MAX);
    ap_profile_reading reading = {.profile = profile, .where = where, .err = err ? err : &spare};
    if (ap_str_starts(text, AP_STR_LIT("\xEF\xBB\xBF"))) {
        text = (ap_str){text.ptr + 3, text.len - 3};
    }
    ap_status status = AP_OK;
    if (text.len > AP_PROFILE_BYTES_MAX) {
        status = ap_profile_wrong(&reading, AP_E_LIMIT, "it is longer than %d bytes", (int)AP_PROFILE_BYTES_MAX);
    } else if (!ap_utf8_is_valid(text) || (text.len && memchr(text.ptr, '\0', text.len))) {
        status = ap_profile_wrong(&reading, AP_E_INPUT, "it is not UTF-8 text: save it as UTF-8");
    } else {
        profile->text = ap_arena_str(&profile->arena, text.ptr ? text : AP_STR_LIT(""));
        status = ap_arena_check(&profile->arena, "a profile", reading.err);
        status = status == AP_OK ? read_lines(&reading) : status;
    }
    if (status == AP_OK) {
        status = ap_arena_check(&profile->arena, "a profile", reading.err);
    }
    if (status != AP_OK) {
        ap_profile_free(profile);
        return status;
    }
    *out = profile;
    return AP_OK;
}

void ap_profile_free(ap_profile *profile) {
    if (!profile) {
        return;
    }
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        for (size_t k = 0; k < profile->values[i].count; k++) {
            ap_pattern_free(profile->values[i].items[k].match);
        }
    }
    for (size_t i = 0; i < profile->skip_count; i++) {
        ap_pattern_free(profile->skips[i].match);
    }
    for (size_t i = 0; i < profile->pattern_count; i++) {
        ap_pattern_free(profile->patterns[i].match);
    }
    ap_arena_release(&profile->arena);
    free(profile);
}
