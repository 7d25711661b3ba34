/* The profile for lines of free words, with its questions, and the first lines as it reads them. */
#include "intake/guess_lines.h"

enum { SAMPLES = 2, LINE_SHOWN = 300, OPEN_WORDS = 8 };

static void put_find(ap_line_guess *it, const char *field, const char *how) {
    ap_buf_appendf(it->g->out, "find %s%s%s\n", field, how[0] ? " " : "", how);
    const int at = ap_field_find(ap_str_from(field));
    if (at >= 0) {
        it->g->column_of[at] = 0;
    }
}

static void put_names(ap_line_guess *it) {
    ap_guess *g = it->g;
    ap_str said = AP_STR_NONE;
    char how[64];
    if (it->date_lines && !ap_guess_answered(&said, g, "date")) {
        put_find(it, "date", "");
    }
    const bool fixed = ap_guess_answered(&said, g, "job");
    if (!fixed && it->job_word) {
        put_find(it, "job", "behind \"job\"");
    } else if (!fixed && it->code.len) {
        snprintf(how, sizeof how, "like \"%.*s\"", AP_STR_ARG(it->code));
        put_find(it, "job", how);
    }
    size_t best = AP_LINE_NUMBERS;
    for (size_t k = 0; k < AP_LINE_NUMBERS; k++) {
        if (it->number_lines[k] && (best == AP_LINE_NUMBERS || it->number_lines[k] > it->number_lines[best])) {
            best = k;
        }
    }
    if (best < AP_LINE_NUMBERS && it->number_lines[best] >= it->first_lines) {
        snprintf(how, sizeof how, "behind \"%s\"", it->number_words[best]);
        put_find(it, "pick", how);
    } else if (it->first_lines) {
        put_find(it, "pick", "first");
    }
    if (it->species_lines) {
        put_find(it, "species", "");
    }
}

/* `find planned_weight behind "~", "guess"`. */
static void put_cues(ap_line_guess *it, int field, bool before) {
    ap_guess *g = it->g;
    size_t put = 0;
    for (size_t i = 0; i < it->cue_count; i++) {
        const ap_line_cue *cue = &it->cues[i];
        ap_str said = AP_STR_NONE;
        if (cue->field != field || cue->before != before ||
            ap_guess_answered(&said, g, "%.*s", AP_STR_ARG(cue->word))) {
            continue;
        }
        if (put++ == 0) {
            ap_buf_appendf(g->out, "find %s %s ", ap_field_get(field)->name, before ? "before" : "behind");
        } else {
            ap_buf_append_cstr(g->out, ", ");
        }
        ap_guess_quote(g->out, cue->word);
    }
    if (put) {
        ap_buf_append_char(g->out, '\n');
        g->column_of[field] = 0;
    }
}

/* Answers "WORD=FIELD" of words that stand before weights. */
static ap_status put_answered_cues(ap_line_guess *it, ap_error *err) {
    ap_guess *g = it->g;
    for (size_t i = 0; i < g->answer_count; i++) {
        ap_guess_answer *answer = &g->answers[i];
        const int field = ap_field_find(answer->value);
        const bool load =
            field >= 0 && ap_field_get(field)->kind == AP_KIND_QTY && ap_field_get(field)->dim == AP_DIM_LOAD;
        if (!load || ap_field_find(answer->key) >= 0 || memchr(answer->key.ptr, ':', answer->key.len)) {
            continue;
        }
        answer->used = true;
        if (!ap_str_equal_nocase(answer->key, AP_STR_LIT("first"))) {
            ap_buf_appendf(g->out, "find %s behind ", ap_field_get(field)->name);
            ap_guess_quote(g->out, answer->key);
            ap_buf_append_cstr(g->out, "   # as answered\n");
            g->column_of[field] = 0;
            continue;
        }
        if (field != AP_F_planned_weight && field != AP_F_measured_weight) {
            return ap_error_set(err, AP_E_USAGE, "--with first= is planned_weight or measured_weight");
        }
        const bool plan = field == AP_F_planned_weight;
        ap_buf_appendf(g->out,
                       "find %s first    # of two weights with no word beside them, as answered\nfind %s second\n",
                       plan ? "planned_weight" : "measured_weight", plan ? "measured_weight" : "planned_weight");
        g->column_of[AP_F_planned_weight] = g->column_of[AP_F_measured_weight] = 0;
    }
    return AP_OK;
}

static void put_sizes(ap_line_guess *it) {
    for (size_t k = 0; k < AP_LINE_SIZES; k++) {
        const int field = ap_line_sizes[k].field;
        const bool before = it->sizes[k].before > 0;
        if ((before || it->sizes[k].behind) && it->g->column_of[field] < 0) {
            char how[32];
            snprintf(how, sizeof how, "%s \"%s\"", before ? "before" : "behind", ap_line_sizes[k].word);
            put_find(it, ap_field_get(field)->name, how);
        }
    }
}

static void put_words(ap_line_guess *it) {
    ap_guess *g = it->g;
    for (size_t f = 0; f < AP_LINE_VOCABULARIES; f++) {
        if (it->word_lines[f]) {
            put_find(it, ap_field_get(ap_line_vocabularies[f])->name, "");
        }
    }
    put_find(it, "notes", "line");
    ap_buf_append_char(g->out, '\n');
    for (size_t i = 0; i < it->unclear_count; i++) {
        ap_guess_value(g, ap_field_get(AP_F_species), it->unclear[i], AP_STR_NONE, it->unclear_line[i]);
    }
    for (size_t i = 0; i < it->said_count; i++) {
        ap_guess_value(g, it->said[i].desc, it->said[i].phrase, it->said[i].says, it->said[i].line);
    }
}

/* Answers "FIELD:TEXT=WORD" to what was not asked: a person's own words. */
static void put_own_values(ap_line_guess *it) {
    ap_guess *g = it->g;
    for (size_t i = 0; i < g->answer_count; i++) {
        ap_str text = AP_STR_NONE;
        const ap_str name = ap_str_split(g->answers[i].key, ':', &text);
        const int field = text.len ? ap_field_find(name) : -1;
        if (!g->answers[i].used && field >= 0 && g->column_of[field] >= 0) {
            ap_guess_value(g, ap_field_get(field), text, AP_STR_NONE, 0);
        }
    }
}

static void put_bare(ap_line_guess *it) {
    ap_guess *g = it->g;
    ap_str value = AP_STR_NONE;
    if (ap_guess_answered(&value, g, "bare")) {
        ap_buf_appendf(g->out, "bare %.*s   # as answered\n", AP_STR_ARG(value));
    } else if (it->bare_text.len) {
        char shown[AP_QUOTED_SIZE];
        ap_fault_quote(shown, it->bare_text);
        const size_t begin = ap_guess_begin(g, true);
        ap_buf_append_cstr(g->out, "bare us");
        ap_guess_with(g, false, "bare=us");
        ap_guess_with(g, false, "bare=metric");
        ap_guess_why(g, begin, "%s has no unit: are such numbers lb, ft and in (us), or kg, m and cm (metric)?", shown);
    }
}

/* Picks below a line that gives the day or the job. */
static void put_carry(ap_line_guess *it) {
    size_t lines = it->g->told->rows_seen;
    const bool date = it->date_lines && it->date_lines < lines;
    const bool job = !it->job_word && it->code.len && it->code_lines < lines;
    ap_str value = AP_STR_NONE;
    if (ap_guess_answered(&value, it->g, "carry")) {
        if (!ap_str_equal_nocase(value, AP_STR_LIT("no"))) {
            ap_buf_appendf(it->g->out, "carry %.*s   # as answered\n", AP_STR_ARG(value));
        }
    } else if (date || job || it->job_word) {
        ap_buf_appendf(it->g->out, "carry %s%s%s   # a line that has none of its own takes what was said above it\n",
                       it->date_lines ? "date" : "", it->date_lines && it->g->column_of[AP_F_job] >= 0 ? ", " : "",
                       it->g->column_of[AP_F_job] >= 0 ? "job" : "");
    }
}

/* What is sure so far, as a profile: questions are left out, and what every profile needs is put in. */
static ap_status preview(ap_profile **out, const ap_guess *g, ap_error *err) {
    static const int needed[] = {AP_F_job, AP_F_date, AP_F_pick, AP_F_species};
    ap_buf text;
    ap_buf_init(&text, AP_PROFILE_BYTES_MAX);
    bool given[4] = {false};
    bool weight = false;
    for (ap_str rest = ap_buf_str(g->out); rest.ptr;) {
        const ap_str line = ap_str_split(rest, '\n', &rest);
        if (line.len && line.ptr[0] != '?') {
            ap_buf_append_str(&text, line);
            ap_buf_append_char(&text, '\n');
        }
        for (size_t i = 0; i < 4; i++) {
            char find[32];
            char constant[32];
            snprintf(find, sizeof find, "find %s", ap_field_get(needed[i])->name);
            snprintf(constant, sizeof constant, "constant %s ", ap_field_get(needed[i])->name);
            given[i] = given[i] || ap_str_starts(line, ap_str_from(find)) || ap_str_starts(line, ap_str_from(constant));
        }
        given[2] = given[2] || ap_str_starts(line, AP_STR_LIT("count picks"));
        weight = weight || ap_str_starts(line, AP_STR_LIT("find planned_weight")) ||
                 ap_str_starts(line, AP_STR_LIT("find measured_weight"));
    }
    for (size_t i = 0; i < 4; i++) {
        if (!given[i]) {
            ap_buf_appendf(&text, "constant %s = 1\n", ap_field_get(needed[i])->name);
        }
    }
    ap_buf_append_cstr(&text, weight ? "" : "constant planned_weight = 1 lb\n");
    ap_buf_append_cstr(&text, "sample \"-\"\n  gives nothing\n");
    const ap_status status = ap_profile_read(out, ap_buf_str(&text), "the guess", err);
    ap_buf_release(&text);
    return status;
}

typedef struct open_word {
    ap_str word;
    ap_str weight;
    int64_t line;
} open_word;

typedef struct opens {
    open_word words[OPEN_WORDS];
    size_t word_count;
    ap_str first, second; /* of a line with two */
    int64_t pair_line;
} opens;

static void note_open(opens *open, ap_line_guess *it, const ap_line_finder *line) {
    const ap_line_weight *left[AP_LINE_WEIGHTS];
    size_t count = 0;
    ap_arena *arena = &it->g->arena;
    const int64_t number = it->g->rows[it->line].line;
    for (size_t i = 0; i < line->weight_count; i++) {
        if (line->weights[i].field < 0 && line->weights[i].has_unit && !line->words[line->weights[i].first].taken) {
            left[count++] = &line->weights[i];
        }
    }
    if (count == 2 && !open->pair_line) {
        open->first = ap_arena_str(arena, left[0]->text);
        open->second = ap_arena_str(arena, left[1]->text);
        open->pair_line = number;
        return;
    }
    for (size_t i = 0; i < count && count != 2; i++) {
        size_t at = left[i]->first;
        while (at > 0 && ap_line_is_filler(ap_line_word_text(line, at - 1)) && !line->words[at - 1].stop) {
            at--;
        }
        const ap_str word = at > 0 && !line->words[at - 1].stop && !line->words[at - 1].taken
                                ? ap_line_word_text(line, at - 1)
                                : AP_STR_NONE;
        bool fresh = word.len > 1 && open->word_count < OPEN_WORDS;
        for (size_t k = 0; k < it->cue_count && fresh; k++) { /* "guess 3000 lb guess 3200 lb" is its own trouble */
            fresh = !ap_str_equal_nocase(it->cues[k].word, word);
        }
        for (size_t k = 0; k < open->word_count && fresh; k++) {
            fresh = !ap_str_equal_nocase(open->words[k].word, word);
        }
        if (fresh) {
            open->words[open->word_count++] =
                (open_word){ap_arena_str(arena, word), ap_arena_str(arena, left[i]->text), number};
        }
    }
}

static void ask_open(ap_line_guess *it, const opens *open) {
    ap_guess *g = it->g;
    if (open->pair_line) {
        const size_t begin = ap_guess_begin(g, true);
        ap_buf_append_cstr(g->out, "find planned_weight first");
        ap_guess_with(g, false, "first=planned_weight");
        ap_guess_with(g, false, "first=measured_weight");
        ap_guess_why(g, begin,
                     "line %lld has '%.*s' and '%.*s' and no word that says which is the plan: is the first of two "
                     "planned, or measured?",
                     (long long)open->pair_line, AP_STR_ARG(open->first), AP_STR_ARG(open->second));
    }
    for (size_t i = 0; i < open->word_count; i++) {
        const open_word *one = &open->words[i];
        const size_t begin = ap_guess_begin(g, true);
        ap_buf_append_cstr(g->out, "find planned_weight behind ");
        ap_guess_quote(g->out, one->word);
        ap_guess_with(g, false, "%.*s=planned_weight", AP_STR_ARG(one->word));
        ap_guess_with(g, false, "%.*s=measured_weight", AP_STR_ARG(one->word));
        ap_guess_why(g, begin,
                     "line %lld has '%.*s' behind '%.*s': planned, or measured? Without an answer such lines are "
                     "set aside",
                     (long long)one->line, AP_STR_ARG(one->weight), AP_STR_ARG(one->word));
    }
}

/* "date = 12.3., pick = 4, species = white oak, planned_weight = 1200 lb"; a sample's words are those they are read as. */
static ap_str told_cells(ap_arena *arena, const ap_profile *profile, const ap_str *cells, bool sample) {
    ap_buf text;
    ap_buf space;
    ap_buf_init(&space, 1u << 16);
    ap_buf_init(&text, 1u << 16);
    for (size_t i = 0; i < profile->column_count; i++) {
        const ap_profile_column *column = &profile->columns[i];
        if (cells[i].len == 0 || column->field < 0 || column->field == AP_F_notes ||
            (sample && (column->field == AP_F_date || memchr(cells[i].ptr, '#', cells[i].len) ||
                        memchr(cells[i].ptr, ',', cells[i].len)))) {
            continue;
        }
        ap_str value = cells[i];
        ap_error ignored; /* a cell too long to be translated stands as it is */
        if (sample &&
            ap_profile_value_of(&value, &profile->values[column->field], cells[i], &space, &ignored) != AP_OK) {
            value = cells[i];
        }
        ap_buf_appendf(&text, "%s%s%s%.*s", text.len ? ", " : "", ap_field_get(column->field)->name,
                       sample ? " = " : " ", AP_STR_ARG(value));
    }
    const ap_str kept = ap_arena_str(arena, ap_buf_str(&text));
    ap_buf_release(&text);
    ap_buf_release(&space);
    return kept;
}

static bool has(const ap_profile *profile, const ap_str *cells, int field) {
    for (size_t i = 0; i < profile->column_count; i++) {
        if (profile->columns[i].field == field) {
            return cells[i].len > 0;
        }
    }
    return false;
}

/* Lines with a pick's number and no trouble come first, as samples; the first lines are told whatever they hold. */
static void tell_line(ap_line_guess *it, const ap_profile *profile, const ap_str *cells, const char *trouble,
                      size_t *samples, ap_buf *gives) {
    ap_guess_told *told = it->g->told;
    const ap_str line = it->g->rows[it->line].raw;
    const bool counted = it->g->column_of[AP_F_pick] < 0;
    const bool whole = (counted || has(profile, cells, AP_F_pick)) && has(profile, cells, AP_F_species) &&
                       (has(profile, cells, AP_F_planned_weight) || has(profile, cells, AP_F_measured_weight));
    if (told->line_count < AP_GUESS_LINES) {
        ap_guess_line *kept = &told->lines[told->line_count++];
        *kept = (ap_guess_line){.line = it->g->rows[it->line].line,
                                .text = ap_arena_str(&told->arena, ap_str_shortened(line, LINE_SHOWN)),
                                .reads = told_cells(&told->arena, profile, cells, false)};
        kept->trouble = trouble ? ap_arena_printf(&told->arena, "%s", trouble) : AP_STR_NONE;
    }
    if (!trouble && whole && *samples < SAMPLES && line.len <= LINE_SHOWN) {
        ap_buf_append_cstr(gives, "sample ");
        ap_guess_quote(gives, line);
        const ap_str says = told_cells(&told->arena, profile, cells, true);
        ap_buf_appendf(gives, "\n  gives %.*s\n", AP_STR_ARG(says));
        *samples += 1;
    }
}

static ap_status read_lines(ap_line_guess *it, ap_error *err) {
    ap_guess *g = it->g;
    ap_profile *profile = NULL;
    ap_line_finder *line = ap_arena_alloc(&g->arena, sizeof *line);
    opens open = {.word_count = 0};
    size_t samples = 0;
    ap_buf gives;
    ap_buf_init(&gives, 1u << 16);
    ap_status status = line ? preview(&profile, g, err) : ap_error_set(err, AP_E_MEMORY, "out of memory for a guess");
    for (it->line = 0; status == AP_OK && it->line < g->row_count; it->line++) {
        ap_str cells[AP_PROFILE_COLUMNS_MAX + 1] = {{0}};
        if (ap_str_is_blank(g->rows[it->line].raw)) {
            continue;
        }
        memset(line, 0, sizeof *line);
        const char *trouble = ap_line_find(cells, line, profile, g->book, g->rows[it->line].raw);
        note_open(&open, it, line);
        tell_line(it, profile, cells, trouble, &samples, &gives);
    }
    if (status == AP_OK) {
        ask_open(it, &open);
        ap_buf_append_cstr(g->out, "\n# What the log says, and what must be read from it:\n");
        ap_buf_append_str(g->out, ap_buf_str(&gives));
        if (!samples) {
            const size_t begin = ap_guess_begin(g, true);
            ap_buf_append_cstr(g->out, "sample \"LINE\"");
            ap_guess_why(g, begin,
                         "no line gives a pick's number, a species and a weight yet: answer the other questions first");
        }
    }
    ap_profile_free(profile);
    ap_buf_release(&gives);
    return status;
}

ap_status ap_guess_lines_write(ap_line_guess *it, ap_error *err) {
    ap_guess *g = it->g;
    static const int loads[] = {AP_F_planned_weight, AP_F_measured_weight, AP_F_cut_capacity,
                                AP_F_rigging_weight, AP_F_peak_load,       AP_F_preload};
    ap_buf_append_cstr(
        g->out, "# One pick a line, in free words: each thing is found by its kind or by the words beside it.\n");
    put_names(it);
    for (size_t i = 0; i < sizeof loads / sizeof *loads; i++) {
        put_cues(it, loads[i], false);
        put_cues(it, loads[i], true);
    }
    ap_status status = put_answered_cues(it, err);
    if (status != AP_OK) {
        return status;
    }
    put_sizes(it);
    put_words(it);
    put_own_values(it);
    put_bare(it);
    put_carry(it);
    /* The dates stand in a column of their own for the order of day and month. */
    ap_str *cells = ap_arena_alloc_array(&g->arena, g->row_count + 1, sizeof *cells);
    for (size_t i = 0; i < g->row_count && cells; i++) {
        cells[i] = it->dates[i].ptr ? it->dates[i] : AP_STR_LIT("");
        g->rows[i].cells = &cells[i];
        g->rows[i].count = 1;
    }
    g->no_header = true;
    g->data = 0;
    ap_guess_needed(g);
    return cells ? read_lines(it, err) : ap_error_set(err, AP_E_MEMORY, "out of memory for a guess");
}
