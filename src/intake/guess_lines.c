/* Lines of free words, one pick a line: which words stand beside what. */
#include "intake/guess_lines.h"

#include "book/species.h"
#include "intake/word_sense.h"

enum { FILLERS = 3 };

/* Words that stand beside a weight. Common practice, no source. */
static const struct {
    int field;
    const char *words; /* '|' between; longer ones first */
} cues[] = {
    {AP_F_planned_weight,
     "~|by eye|guessed|guess|estimated|estimate|est.|est|planned|plan|figured|expected|called|thought|reckoned"},
    {AP_F_measured_weight,
     "came in|came out|came|actually|actual|load cell|scale|lmi|weighed|weighs|measured|real|indicator|showed|read"},
    {AP_F_cut_capacity, "chart|capacity|rated"},
    {AP_F_rigging_weight, "rigging|block"},
    {AP_F_peak_load, "peak|peaked|spiked"},
    {AP_F_preload, "preload|pretension"},
};
enum { CUES = sizeof cues / sizeof *cues };

static void note_cue(ap_line_guess *it, int field, ap_str word, bool before) {
    for (size_t i = 0; i < it->cue_count; i++) {
        ap_line_cue *cue = &it->cues[i];
        if (cue->field == field && cue->before == before && ap_str_equal_nocase(cue->word, word)) {
            cue->lines++;
            return;
        }
    }
    if (it->cue_count < AP_LINE_CUES) {
        it->cues[it->cue_count++] = (ap_line_cue){field, ap_arena_str(&it->g->arena, word), before, 1};
    }
}

/* The cue that ends right before word `at`, or begins right behind it; fillers between. */
static bool known_cue(int *field, ap_str *cue, const ap_line_finder *line, const ap_line_weight *weight, bool before) {
    for (size_t gap = 0; gap <= FILLERS; gap++) {
        for (size_t i = 0; i < CUES; i++) {
            for (ap_str rest = ap_str_from(cues[i].words); rest.ptr;) {
                size_t words = 0;
                const ap_str one = ap_str_split(rest, '|', &rest);
                for (size_t len = 1; len <= 2; len++) {
                    if (!before && weight->first < gap + len) {
                        continue;
                    }
                    const size_t at = before ? weight->last + 1 + gap : weight->first - gap - len;
                    const bool there = at < line->count && ap_line_phrase_at(&words, line, at, one) && words == len &&
                                       (before || !line->words[at + len - 1].stop);
                    if (there) {
                        *field = cues[i].field;
                        *cue = one;
                        return true;
                    }
                }
            }
        }
        const size_t next = before ? weight->last + 1 + gap : weight->first - gap - 1;
        if ((before ? next >= line->count || line->words[weight->last].stop : gap >= weight->first) ||
            !ap_line_is_filler(ap_line_word_text(line, next))) {
            return false;
        }
    }
    return false;
}

static void look_at_weights(ap_line_guess *it, const ap_line_finder *line) {
    for (size_t i = 0; i < line->weight_count; i++) {
        const ap_line_weight *weight = &line->weights[i];
        int field = -1;
        ap_str cue = AP_STR_NONE;
        bool before = false;
        bool known = known_cue(&field, &cue, line, weight, false);
        if (!known && weight->has_unit) {
            before = known = known_cue(&field, &cue, line, weight, true);
        }
        if (known) {
            note_cue(it, field, cue, before);
            it->bare_text =
                !weight->has_unit && !it->bare_text.len ? ap_arena_str(&it->g->arena, weight->text) : it->bare_text;
        }
        const size_t len = weight->text.len;
        const bool ton = weight->has_unit && len > 1 && weight->text.ptr[len - 1] == 't' &&
                         (weight->text.ptr[len - 2] == ' ' ||
                          (weight->text.ptr[len - 2] >= '0' && weight->text.ptr[len - 2] <= '9'));
        const bool tons = weight->has_unit && len > 3 &&
                          (ap_str_equal_nocase((ap_str){weight->text.ptr + len - 3, 3}, AP_STR_LIT("ton")) ||
                           ap_str_equal_nocase((ap_str){weight->text.ptr + len - 4, 4}, AP_STR_LIT("tons")));
        if ((ton || tons) && !it->g->ton_text.len) {
            it->g->ton_text = ap_arena_str(&it->g->arena, weight->text);
        }
    }
}

static bool is_number(ap_str word) {
    for (size_t i = 0; i < word.len; i++) {
        if (word.ptr[i] < '0' || word.ptr[i] > '9') {
            return false;
        }
    }
    return word.len > 0 && word.len <= 4;
}

/* J88, B-17: letters first, digits behind. */
static bool is_code(ap_str word) {
    bool digit = false;
    size_t letters = 0;
    for (size_t i = 0; i < word.len; i++) {
        const char c = word.ptr[i];
        const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
        digit = digit || (c >= '0' && c <= '9');
        letters += letter;
        if ((letter && digit) || !(letter || (c >= '0' && c <= '9') || c == '-')) {
            return false;
        }
    }
    return digit && letters > 0 && letters <= 3;
}

/* "K1 crane", "crane K1". */
static bool names_a_crane(const ap_line_finder *line, size_t at) {
    const ap_str crane = AP_STR_LIT("crane");
    return (at > 0 && !line->words[at - 1].stop && ap_str_equal_nocase(ap_line_word_text(line, at - 1), crane)) ||
           (at + 1 < line->count && !line->words[at].stop &&
            ap_str_equal_nocase(ap_line_word_text(line, at + 1), crane));
}

static void look_at_names(ap_line_guess *it, ap_line_finder *line) {
    static const char *const numbers[] = {"pick", "lift", "piece", "#", "no", "no.", "nr", "nr.", "hub", "p"};
    ap_str date;
    char space[64];
    for (size_t i = 0; i < line->count; i++) {
        const size_t words = ap_line_date_at(&date, space, sizeof space, line, i, 0);
        if (words) {
            it->dates[it->line] = ap_arena_str(&it->g->arena, date);
            it->date_lines++;
            for (size_t k = 0; k < words; k++) {
                line->words[i + k].taken = true;
            }
            break;
        }
    }
    bool first = true;
    for (size_t i = 0; i < line->count; i++) {
        const ap_str word = ap_line_word_text(line, i);
        const ap_str next = i + 1 < line->count ? ap_line_word_text(line, i + 1) : AP_STR_NONE;
        if (line->words[i].taken) {
            continue;
        }
        if (ap_str_equal_nocase(word, AP_STR_LIT("job")) && next.len && !line->words[i].comma) {
            it->job_word = true;
        }
        if (is_code(word) && !it->code.len && !names_a_crane(line, i)) {
            it->code = ap_arena_str(&it->g->arena, word);
        }
        it->code_lines += it->code.len && ap_line_is_like(word, it->code);
        for (size_t k = 0; k < sizeof numbers / sizeof *numbers; k++) {
            it->number_lines[k] += ap_str_equal_nocase(word, ap_str_from(numbers[k])) && is_number(next);
        }
        if (first && !is_code(word)) {
            it->first_lines +=
                is_number(word.len && word.ptr[word.len - 1] == '.' ? (ap_str){word.ptr, word.len - 1} : word);
            first = false;
        }
    }
    it->number_words = numbers;
}

static void look_at_species(ap_line_guess *it, const ap_line_finder *line) {
    bool weight = false;
    for (size_t i = 0; i < line->weight_count; i++) {
        weight = weight || line->weights[i].has_unit;
    }
    for (size_t i = 0; i < line->count; i++) {
        const size_t words = ap_line_species_at(line, i);
        const ap_species *species = NULL;
        if (!words || (!weight && !it->bare_text.len)) { /* "oak street" is no pick's species */
            continue;
        }
        const ap_line_word *last = &line->words[i + words - 1];
        const ap_str name = {line->line.ptr + line->words[i].at, last->at + last->len - line->words[i].at};
        it->species_lines++;
        if (ap_book_species_find(&species, it->g->book, name, NULL) == AP_OK) {
            return;
        }
        for (size_t k = 0; k < it->unclear_count; k++) {
            if (ap_str_equal_nocase(it->unclear[k], name)) {
                return;
            }
        }
        if (it->unclear_count < AP_LINE_UNCLEAR) {
            it->unclear_line[it->unclear_count] = it->g->rows[it->line].line;
            it->unclear[it->unclear_count++] = ap_arena_str(&it->g->arena, name);
        }
        return;
    }
}

/* Words of a vocabulary, its own and those people say for them. */
static void look_at_words(ap_line_guess *it, const ap_line_finder *line) {
    for (size_t f = 0; f < AP_LINE_VOCABULARIES; f++) {
        const ap_field *desc = ap_field_get(ap_line_vocabularies[f]);
        ap_str phrase;
        const char *says = NULL;
        for (size_t i = 0; i < line->count; i++) {
            size_t words = 0;
            for (int value = 1; value <= ap_word_count(desc->vocabulary); value++) {
                const char *word = ap_word_get(desc->vocabulary, value);
                it->word_lines[f] += word && ap_line_phrase_at(&words, line, i, ap_str_from(word));
            }
            size_t best = 0;
            ap_said_phrase found = {.desc = desc, .line = it->g->rows[it->line].line};
            for (size_t n = 0; ap_word_sense_phrase(&phrase, &says, desc, n); n++) {
                if (ap_line_phrase_at(&words, line, i, phrase) && words > best) {
                    best = words;
                    found.phrase = phrase;
                    found.says = ap_str_from(says);
                }
            }
            bool fresh = best > 0;
            for (size_t k = 0; k < it->said_count && fresh; k++) {
                fresh = it->said[k].desc != desc || !ap_str_equal_nocase(it->said[k].phrase, found.phrase);
            }
            if (fresh && it->said_count < AP_LINE_SAID) {
                it->said[it->said_count++] = found;
            }
            it->word_lines[f] += best > 0;
            i += best > 1 ? best - 1 : 0;
        }
    }
}

const int ap_line_vocabularies[AP_LINE_VOCABULARIES] = {AP_F_piece, AP_F_cut, AP_F_movement, AP_F_condition};

/* "24in butt", "18 ft long": only with the word. */
static void look_at_sizes(ap_line_guess *it, const ap_line_finder *line) {
    for (size_t i = 0; i < line->count; i++) {
        for (size_t k = 0; k < AP_LINE_SIZES; k++) {
            const ap_str word = ap_str_from(ap_line_sizes[k].word);
            ap_quantity quantity;
            ap_refusal why;
            const ap_quantity_rules rules = {.dim = AP_DIM_LENGTH, .default_unit = AP_UNIT_NONE, .decimal = '.'};
            if (!ap_str_equal_nocase(ap_line_word_text(line, i), word)) {
                continue;
            }
            for (size_t n = 1; n <= 2 && n <= i; n++) {
                const size_t from = line->words[i - n].at;
                const ap_str text = {line->line.ptr + from, line->words[i - 1].at + line->words[i - 1].len - from};
                it->sizes[k].before += !line->words[i - 1].stop && ap_quantity_read(&quantity, text, &rules, &why);
            }
            for (size_t n = 1; n <= 2 && i + n < line->count; n++) {
                const size_t from = line->words[i + 1].at;
                const ap_str text = {line->line.ptr + from, line->words[i + n].at + line->words[i + n].len - from};
                it->sizes[k].behind += !line->words[i].stop && ap_quantity_read(&quantity, text, &rules, &why);
            }
        }
    }
}

const ap_line_size ap_line_sizes[AP_LINE_SIZES] = {
    {AP_F_butt_diameter, "butt"}, {AP_F_tip_diameter, "tip"}, {AP_F_length, "long"}, {AP_F_length, "length"}};

ap_status ap_guess_lines(ap_guess *g, ap_error *err) {
    ap_line_guess *it = ap_arena_alloc(&g->arena, sizeof *it);
    ap_line_finder *line = ap_arena_alloc(&g->arena, sizeof *line);
    if (!it || !line) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a guess");
    }
    memset(it, 0, sizeof *it);
    it->g = g;
    g->told->kind = AP_GUESS_WORDS;
    g->columns = 0;
    for (it->line = 0; it->line < g->row_count; it->line++) {
        memset(line, 0, sizeof *line);
        ap_line_parse(line, g->book, g->rows[it->line].raw, true);
        g->told->rows_seen += line->count > 0;
        look_at_weights(it, line);
        look_at_species(it, line);
        look_at_words(it, line);
        look_at_sizes(it, line);
        look_at_names(it, line);
    }
    return ap_guess_lines_write(it, err);
}
