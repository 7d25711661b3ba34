#include "intake/line_find.h"

#include "intake/cells.h"
#include "intake/fault.h"

enum { FILLERS = 3, PHRASES = 64 };

static ap_str *cell_for(ap_str *cells, const ap_profile_find *find) {
    return &cells[find->column];
}

static void take(ap_line_finder *finder, size_t first, size_t count) {
    for (size_t i = first; i < first + count && i < finder->count; i++) {
        finder->words[i].taken = true;
    }
}

static void say_trouble(ap_line_finder *finder, const char *format, ...) AP_PRINTF(2, 3);
static void say_trouble(ap_line_finder *finder, const char *format, ...) {
    if (!finder->trouble[0]) {
        va_list args;
        va_start(args, format);
        vsnprintf(finder->trouble, sizeof finder->trouble, format, args);
        va_end(args);
    }
}

static ap_str span_text(const ap_line_finder *finder, size_t first, size_t count) {
    const ap_line_word *a = &finder->words[first];
    const ap_line_word *b = &finder->words[first + count - 1];
    return (ap_str){finder->line.ptr + a->at, b->at + b->len - a->at};
}

static char *space_for(ap_line_finder *finder, size_t len) {
    if (finder->used + len > sizeof finder->space) {
        return NULL;
    }
    char *at = finder->space + finder->used;
    finder->used += len;
    return at;
}

static void find_date(ap_str *cell, ap_line_finder *finder) {
    char space[AP_LINE_TROUBLE];
    for (size_t i = 0; i < finder->count; i++) {
        ap_str date;
        const size_t words = ap_line_date_at(&date, space, sizeof space, finder, i, finder->profile->year);
        char *kept = words ? space_for(finder, date.len) : NULL;
        if (kept) {
            memcpy(kept, date.ptr, date.len);
            *cell = (ap_str){kept, date.len};
            take(finder, i, words);
            return;
        }
    }
}

/* The word behind one of the words, or glued to it ("pick4"). */
static void find_text(ap_str *cell, ap_line_finder *finder, const ap_profile_find *find) {
    for (size_t i = 0; i < finder->count; i++) {
        for (size_t k = 0; k < find->word_count; k++) {
            size_t words = 0;
            const ap_str word = ap_line_word_text(finder, i);
            const ap_str wanted = find->words[k];
            if (finder->words[i].taken) {
                continue;
            }
            if (find->where == AP_FIND_LIKE && ap_line_is_like(word, wanted)) {
                *cell = word;
                take(finder, i, 1);
                return;
            }
            const bool glued = find->where == AP_FIND_BEHIND && word.len > wanted.len && wanted.len > 1 &&
                               ap_str_equal_nocase((ap_str){word.ptr, wanted.len}, wanted) &&
                               word.ptr[wanted.len] >= '0' && word.ptr[wanted.len] <= '9';
            if (glued) {
                *cell = (ap_str){word.ptr + wanted.len, word.len - wanted.len};
                take(finder, i, 1);
                return;
            }
            if (find->where == AP_FIND_LIKE || !ap_line_phrase_at(&words, finder, i, wanted)) {
                continue;
            }
            if (find->where == AP_FIND_BEHIND && finder->words[i + words - 1].comma) {
                continue; /* "Hill job, K1 crane": what follows the comma is something else */
            }
            size_t at = find->where == AP_FIND_BEHIND ? i + words : i - 1;
            while (find->where == AP_FIND_BEHIND && at < finder->count &&
                   (ap_str_equal_word(ap_line_word_text(finder, at), "#") ||
                    ap_str_equal_word(ap_line_word_text(finder, at), "="))) {
                at++;
            }
            if (at < finder->count && !finder->words[at].taken) {
                *cell = ap_line_word_text(finder, at);
                take(finder, i, words);
                take(finder, at, 1);
                return;
            }
        }
    }
}

static bool is_whole(ap_str word) {
    for (size_t i = 0; i < word.len; i++) {
        if (word.ptr[i] < '0' || word.ptr[i] > '9') {
            return i > 0 && i + 1 == word.len && word.ptr[i] == '.';
        }
    }
    return word.len > 0;
}

/* The number a line begins with, behind what is taken already. */
static void find_first_number(ap_str *cell, ap_line_finder *finder) {
    for (size_t i = 0; i < finder->count; i++) {
        if (finder->words[i].taken) {
            continue;
        }
        ap_str word = ap_line_word_text(finder, i);
        if (is_whole(word)) {
            word.len -= word.ptr[word.len - 1] == '.';
            *cell = word;
            take(finder, i, 1);
        }
        return;
    }
}

static void find_species(ap_str *cell, ap_line_finder *finder) {
    const ap_profile_values *values = &finder->profile->values[AP_F_species];
    for (size_t i = 0; i < finder->count && !cell->len; i++) {
        size_t words = 0;
        size_t best = ap_line_species_at(finder, i);
        for (size_t k = 0; k < values->count; k++) {
            if (values->items[k].from.len && ap_line_phrase_at(&words, finder, i, values->items[k].from) &&
                words > best) {
                best = words;
            }
        }
        if (best && !finder->words[i].taken) {
            *cell = span_text(finder, i, best);
            take(finder, i, best);
        }
    }
}

/* The value that the longest phrase at a word says: one of the vocabulary's own, or a text of the profile. */
static size_t value_at(ap_str *says, const ap_line_finder *finder, const ap_field *desc,
                       const ap_profile_values *values, size_t index) {
    size_t best = 0;
    for (int value = 1; value <= ap_word_count(desc->vocabulary); value++) {
        char spelled[64];
        size_t words = 0;
        const char *word = ap_word_get(desc->vocabulary, value);
        snprintf(spelled, sizeof spelled, "%s", word ? word : "");
        for (char *c = spelled; *c; c++) {
            *c = *c == '_' ? ' ' : *c;
        }
        if (word &&
            (ap_line_phrase_at(&words, finder, index, ap_str_from(word)) ||
             ap_line_phrase_at(&words, finder, index, ap_str_from(spelled))) &&
            words > best) {
            best = words;
            *says = ap_str_from(word);
        }
    }
    for (size_t k = 0; k < values->count; k++) {
        size_t words = 0;
        if (values->items[k].from.len && ap_line_phrase_at(&words, finder, index, values->items[k].from) &&
            words >= best) {
            best = words;
            *says = values->items[k].to;
        }
    }
    return best;
}

static void find_words(ap_str *cell, ap_line_finder *finder, const ap_profile_find *find) {
    const ap_field *desc = ap_field_get(find->field);
    const ap_profile_values *values = &finder->profile->values[find->field];
    ap_str seen[PHRASES];
    size_t count = 0;
    for (size_t i = 0; i < finder->count && count < PHRASES; i++) {
        ap_str says = AP_STR_NONE;
        const size_t words = finder->words[i].taken ? 0 : value_at(&says, finder, desc, values, i);
        if (!words) {
            continue;
        }
        const bool denied = ap_line_is_denied(finder, i);
        bool fresh = says.len > 0 && !denied;
        for (size_t k = 0; k < count && fresh; k++) {
            fresh = !ap_str_equal_nocase(seen[k], says);
        }
        if (fresh) {
            seen[count++] = says;
        }
        if (!denied) {
            take(finder, i, words);
        }
        i += words - 1;
    }
    const ap_str joint = ap_str_from(desc->kind == AP_KIND_MOVES ? "+" : " / ");
    size_t len = 0;
    for (size_t k = 0; k < count; k++) {
        len += seen[k].len + (k ? joint.len : 0);
    }
    char *at = len ? space_for(finder, len) : NULL;
    *cell = at ? (ap_str){at, len} : *cell;
    for (size_t k = 0; k < count && at; k++) {
        if (k) {
            memcpy(at, joint.ptr, joint.len);
            at += joint.len;
        }
        memcpy(at, seen[k].ptr, seen[k].len);
        at += seen[k].len;
    }
}

/* One of the words stands right behind or before the weight, fillers between them. *first: where an "about" begins. */
static bool is_beside(const ap_line_finder *finder, const ap_profile_find *find, const ap_line_weight *weight) {
    for (size_t gap = 0; gap <= FILLERS; gap++) {
        for (size_t k = 0; k < find->word_count; k++) {
            size_t words = 0;
            if (find->where == AP_FIND_BEFORE) {
                const size_t at = weight->last + 1 + gap;
                if (at < finder->count && !finder->words[weight->last].stop &&
                    ap_line_phrase_at(&words, finder, at, find->words[k])) {
                    return true;
                }
                continue;
            }
            for (size_t back = 1; back <= 4 && back + gap <= weight->first; back++) {
                const size_t at = weight->first - gap - back;
                if (ap_line_phrase_at(&words, finder, at, find->words[k]) && words == back &&
                    !finder->words[at + words - 1].stop) {
                    return true;
                }
            }
        }
        const size_t next = find->where == AP_FIND_BEFORE ? weight->last + 1 + gap : weight->first - gap - 1;
        if ((find->where == AP_FIND_BEFORE ? next >= finder->count : gap >= weight->first) ||
            !ap_line_is_filler(ap_line_word_text(finder, next)) ||
            (find->where != AP_FIND_BEFORE && finder->words[next].stop)) {
            return false;
        }
    }
    return false;
}

static bool is_load(int field) {
    return ap_field_get(field)->kind == AP_KIND_QTY && ap_field_get(field)->dim == AP_DIM_LOAD;
}

/* A measured weight that is "about" so much stays so: the reader refuses it as uncertain. */
static ap_str with_doubt(const ap_line_finder *finder, const ap_line_weight *weight, int field) {
    static const char *const doubts[] = {"about", "around", "approx", "approx.", "roughly", "maybe", "ca", "ca.", "~"};
    for (size_t i = 0; field == AP_F_measured_weight && weight->first > 0 && i < sizeof doubts / sizeof *doubts; i++) {
        if (ap_str_equal_nocase(ap_line_word_text(finder, weight->first - 1), ap_str_from(doubts[i]))) {
            return span_text(finder, weight->first - 1, weight->last - weight->first + 2);
        }
    }
    return weight->text;
}

static void give_weight(ap_str *cells, ap_line_finder *finder, const ap_profile_find *find, ap_line_weight *weight) {
    char shown[AP_QUOTED_SIZE];
    ap_str *cell = cell_for(cells, find);
    if (cell->len) {
        ap_fault_quote(shown, weight->text);
        say_trouble(finder, "two weights say %s, '%.*s' and %s: leave one of them", ap_field_get(find->field)->label,
                    cell->len > 40 ? 40 : (int)cell->len, cell->ptr, shown);
        return;
    }
    *cell = with_doubt(finder, weight, find->field);
    weight->field = find->field;
    take(finder, weight->first, weight->last - weight->first + 1);
}

static void find_beside(ap_str *cells, ap_line_finder *finder) {
    const ap_profile *profile = finder->profile;
    for (size_t i = 0; i < finder->weight_count; i++) {
        ap_line_weight *weight = &finder->weights[i];
        const ap_profile_find *by = NULL;
        for (size_t k = 0; k < profile->find_count; k++) {
            const ap_profile_find *find = &profile->finds[k];
            const bool beside =
                is_load(find->field) && (find->where == AP_FIND_BEHIND || find->where == AP_FIND_BEFORE);
            if (finder->words[weight->first].taken || !beside || !is_beside(finder, find, weight)) {
                continue;
            }
            if (by && by->field != find->field) {
                char shown[AP_QUOTED_SIZE];
                ap_fault_quote(shown, weight->text);
                say_trouble(finder, "%s could be the %s or the %s by the words beside it", shown,
                            ap_field_get(by->field)->label, ap_field_get(find->field)->label);
            }
            by = by ? by : find;
        }
        if (by) {
            give_weight(cells, finder, by, weight);
        }
    }
}

static void find_by_place(ap_str *cells, ap_line_finder *finder) {
    const ap_profile *profile = finder->profile;
    const ap_profile_find *by[2] = {NULL, NULL};
    ap_line_weight *open[AP_LINE_WEIGHTS];
    size_t count = 0;
    for (size_t k = 0; k < profile->find_count; k++) {
        const ap_profile_find *find = &profile->finds[k];
        if (is_load(find->field) && (find->where == AP_FIND_FIRST || find->where == AP_FIND_LAST)) {
            by[find->where == AP_FIND_LAST] = find;
        }
    }
    for (size_t i = 0; i < finder->weight_count; i++) {
        if (finder->weights[i].field < 0 && finder->weights[i].has_unit &&
            !finder->words[finder->weights[i].first].taken) {
            open[count++] = &finder->weights[i];
        }
    }
    if (count == 2 && by[0] && by[1]) {
        give_weight(cells, finder, by[0], open[0]);
        give_weight(cells, finder, by[1], open[1]);
    }
    /* The other one has its word beside it: what is left is the second, if it stands behind. */
    if (count == 1 && by[0] && by[1] && finder->weight_count == 2 && !cell_for(cells, by[1])->len &&
        cell_for(cells, by[0])->len && open[0] == &finder->weights[1]) {
        give_weight(cells, finder, by[1], open[0]);
    }
}

static void look_for_open_weights(ap_line_finder *finder) {
    for (size_t i = 0; i < finder->weight_count; i++) {
        const ap_line_weight *weight = &finder->weights[i];
        if (weight->field < 0 && weight->has_unit && !finder->words[weight->first].taken) {
            char shown[AP_QUOTED_SIZE];
            ap_fault_quote(shown, weight->text);
            say_trouble(finder,
                        "no word beside %s says whether it was planned or measured: write one of the profile's words "
                        "before it, or add its word to the profile",
                        shown);
        }
    }
}

/* Lengths, counts and the like, by the words beside them. */
static void find_quantity(ap_str *cell, ap_line_finder *finder, const ap_profile_find *find) {
    const ap_field *desc = ap_field_get(find->field);
    const ap_quantity_rules rules = {.dim = desc->dim, .default_unit = find->unit, .ton = AP_UNIT_TONNE, .decimal = 0};
    for (size_t i = 0; i < finder->count; i++) {
        for (size_t n = 4; n > 0; n--) {
            ap_quantity quantity;
            ap_refusal why;
            if (i + n > finder->count || finder->words[i].taken) {
                continue;
            }
            const ap_line_weight here = {.first = i, .last = i + n - 1, .text = span_text(finder, i, n)};
            const bool fits = desc->kind == AP_KIND_COUNT ? n == 1 && is_whole(here.text)
                                                          : ap_quantity_read(&quantity, here.text, &rules, &why);
            if (fits && is_beside(finder, find, &here)) {
                *cell = here.text;
                take(finder, i, n);
                return;
            }
        }
    }
}

static void find_one(ap_str *cells, ap_line_finder *finder, const ap_profile_find *find) {
    const ap_field *desc = ap_field_get(find->field);
    ap_str *cell = cell_for(cells, find);
    if (cell->len || is_load(find->field)) {
        return;
    }
    if (find->where == AP_FIND_LINE) {
        *cell = ap_str_trim(finder->line);
    } else if (desc->kind == AP_KIND_DATE) {
        find_date(cell, finder);
    } else if (find->field == AP_F_species) {
        find_species(cell, finder);
    } else if (find->field == AP_F_pick && find->where == AP_FIND_FIRST) {
        find_first_number(cell, finder);
    } else if (desc->kind == AP_KIND_QTY || desc->kind == AP_KIND_COUNT) {
        find_quantity(cell, finder, find);
    } else if (find->where == AP_FIND_ANY) {
        find_words(cell, finder, find);
    } else {
        find_text(cell, finder, find);
    }
}

/* In this order whatever the profile's: a pick's number is not the first number before the date is known to be none. */
static int turn_of(const ap_profile_find *find) {
    const ap_field *desc = ap_field_get(find->field);
    return desc->kind == AP_KIND_DATE                                    ? 0
           : find->where == AP_FIND_LIKE                                 ? 1
           : desc->kind == AP_KIND_TEXT && find->where == AP_FIND_BEHIND ? 2
           : find->field == AP_F_pick                                    ? 3
           : desc->kind == AP_KIND_QTY || desc->kind == AP_KIND_COUNT    ? 5
           : find->field == AP_F_species                                 ? 6
                                                                         : 7;
}

const char *ap_line_find(ap_str *cells, ap_line_finder *finder, const ap_profile *profile, ap_book *book, ap_str line) {
    finder->profile = profile;
    bool bare = profile->bare != AP_BARE_NOT_SAID;
    for (size_t i = 0; i < profile->find_count; i++) {
        bare = bare || (profile->finds[i].unit != AP_UNIT_NONE && is_load(profile->finds[i].field));
    }
    ap_line_parse(finder, book, line, bare);
    for (int turn = 0; turn < 8; turn++) {
        if (turn == 4) {
            find_beside(cells, finder);
            find_by_place(cells, finder);
        }
        for (size_t i = 0; i < profile->find_count; i++) {
            if (turn_of(&profile->finds[i]) == turn) {
                find_one(cells, finder, &profile->finds[i]);
            }
        }
    }
    look_for_open_weights(finder);
    return finder->trouble[0] ? finder->trouble : NULL;
}
