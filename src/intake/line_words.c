/* The words of a line: where they stand, and what one of them is. */
#include "intake/line_find.h"

#include "book/species.h"
#include "intake/dates.h"
#include "text/quantity.h"

enum { SPECIES_WORDS = 5, WEIGHT_WORDS = 4, DATE_WORDS = 4, NEUTRAL_YEAR = 2000 };

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

static bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

ap_str ap_line_word_text(const ap_line_finder *finder, size_t index) {
    return (ap_str){finder->line.ptr + finder->words[index].at, finder->words[index].len};
}

static void add_word(ap_line_finder *finder, size_t at, size_t len, bool stop) {
    if (len && finder->count < AP_LINE_WORDS) {
        finder->words[finder->count++] = (ap_line_word){.at = at, .len = len, .stop = stop};
    }
}

/* A mark that parts words, or stands between two figures of one ("3,800")? */
static bool parts(ap_str line, size_t at) {
    const char c = line.ptr[at];
    if (c == ',' || c == ';') {
        return !(at > 0 && at + 1 < line.len && is_digit(line.ptr[at - 1]) && is_digit(line.ptr[at + 1]));
    }
    return strchr("()[]|\"!", c) != NULL;
}

static void split_words(ap_line_finder *finder) {
    const ap_str line = finder->line;
    for (size_t i = 0; i < line.len;) {
        const char c = line.ptr[i];
        if (c == ' ' || c == '\t' || c == '\r' || c == '\n') {
            i++;
        } else if (parts(line, i)) {
            if (finder->count) {
                finder->words[finder->count - 1].stop = true;
                finder->words[finder->count - 1].comma |= c == ',' || c == ';';
            }
            i++;
        } else if (c == '~' || c == '=' || c == '@' || (c == '#' && i + 1 < line.len && is_digit(line.ptr[i + 1]))) {
            add_word(finder, i++, 1, false);
        } else {
            size_t end = i;
            while (end < line.len && !strchr(" \t\r\n~=@", line.ptr[end]) && !parts(line, end)) {
                end++;
            }
            size_t len = end - i;
            while (len > 1 &&
                   (line.ptr[i + len - 1] == ':' || (line.ptr[i + len - 1] == '.' && is_letter(line.ptr[i])))) {
                len--;
            }
            add_word(finder, i, len, false);
            i = end;
        }
    }
}

static ap_str span(const ap_line_finder *finder, size_t first, size_t last) {
    const ap_line_word *a = &finder->words[first];
    const ap_line_word *b = &finder->words[last];
    return (ap_str){finder->line.ptr + a->at, b->at + b->len - a->at};
}

/* Read with either mark: which one holds is the file's matter. An uncertain one ("1200 lb?") is a weight all the same. */
static bool reads_as_weight(ap_str text, ap_unit bare) {
    ap_quantity quantity;
    ap_refusal why;
    while (text.len && text.ptr[text.len - 1] == '?') {
        text.len--;
    }
    ap_quantity_rules rules = {.dim = AP_DIM_LOAD, .default_unit = bare, .ton = AP_UNIT_TONNE, .decimal = '.'};
    if (ap_quantity_read(&quantity, text, &rules, &why)) {
        return true;
    }
    rules.decimal = ',';
    return ap_quantity_read(&quantity, text, &rules, &why);
}

static size_t weight_at(const ap_line_finder *finder, size_t first, ap_unit bare) {
    size_t best = 0;
    for (size_t n = 1; n <= WEIGHT_WORDS && first + n <= finder->count; n++) {
        if (reads_as_weight(span(finder, first, first + n - 1), bare)) {
            best = n;
        }
        if (finder->words[first + n - 1].stop) {
            break;
        }
    }
    return best;
}

void ap_line_parse(ap_line_finder *finder, ap_book *book, ap_str line, bool bare) {
    finder->book = book;
    finder->line = line;
    finder->count = finder->weight_count = finder->used = 0;
    finder->trouble[0] = '\0';
    split_words(finder);
    for (size_t i = 0; i < finder->count && finder->weight_count < AP_LINE_WEIGHTS; i++) {
        if (!is_digit(finder->line.ptr[finder->words[i].at])) {
            continue;
        }
        size_t words = weight_at(finder, i, AP_UNIT_NONE);
        const bool has_unit = words > 0;
        words = words ? words : bare ? weight_at(finder, i, AP_UNIT_LB) : 0;
        if (words) {
            finder->weights[finder->weight_count++] = (ap_line_weight){.first = i,
                                                                       .last = i + words - 1,
                                                                       .text = span(finder, i, i + words - 1),
                                                                       .has_unit = has_unit,
                                                                       .field = -1};
            i += words - 1;
        }
    }
}

bool ap_line_phrase_at(size_t *words, const ap_line_finder *finder, size_t index, ap_str phrase) {
    size_t at = index;
    ap_str rest = ap_str_trim(phrase);
    while (rest.len) {
        size_t len = 0;
        while (len < rest.len && rest.ptr[len] != ' ') {
            len++;
        }
        if (at >= finder->count || (at > index && finder->words[at - 1].stop) ||
            !ap_str_equal_nocase(ap_line_word_text(finder, at), (ap_str){rest.ptr, len})) {
            return false;
        }
        at++;
        rest = ap_str_trim((ap_str){rest.ptr + len, rest.len - len});
    }
    *words = at - index;
    return at > index;
}

static bool is_among(ap_str word, const char *list) {
    for (ap_str rest = ap_str_from(list); rest.ptr;) {
        if (ap_str_equal_nocase(ap_str_split(rest, '|', &rest), word)) {
            return true;
        }
    }
    return false;
}

bool ap_line_is_filler(ap_str word) {
    return is_among(word, "in|at|was|is|were|of|for|the|to|on|out|only|it|said|says|read|reads|showed|shows|=|@|about|"
                          "around|approx|approx.|"
                          "roughly|maybe|ca|ca.");
}

bool ap_line_is_denied(const ap_line_finder *finder, size_t index) {
    return index > 0 && !finder->words[index - 1].stop &&
           is_among(ap_line_word_text(finder, index - 1),
                    "no|not|never|without|didn't|didnt|wasn't|wasnt|nor|kein|keine|nicht");
}

size_t ap_line_species_at(const ap_line_finder *finder, size_t index) {
    size_t most = 0;
    while (most < SPECIES_WORDS && index + most < finder->count && !finder->words[index + most].taken) {
        most++;
        if (finder->words[index + most - 1].stop) {
            break;
        }
    }
    for (size_t n = most; n > 0; n--) {
        const ap_str name = span(finder, index, index + n - 1);
        if (name.len > 2 && is_letter(name.ptr[0]) && ap_book_species_is_name(finder->book, name)) {
            return n;
        }
    }
    return 0;
}

/* Dates that lack the year stand at the front of a line, behind a weekday at most, or end in a point: 1/2 is a half elsewhere,
 * and at the front too, before "day" or "ton". */
static bool may_lack_year(const ap_line_finder *finder, size_t index, size_t words, ap_str text) {
    const bool weekday = index == 1 && finder->words[0].len >= 2 && is_letter(finder->line.ptr[finder->words[0].at]) &&
                         finder->words[0].len <= 10;
    const ap_str next = index + words < finder->count ? ap_line_word_text(finder, index + words) : AP_STR_NONE;
    const bool part = is_among(next, "day|days|hour|hours|ton|tons|t|in|inch|ft|foot|of|way|up|done");
    return !part && (index == 0 || weekday || (text.len && text.ptr[text.len - 1] == '.'));
}

size_t ap_line_date_at(ap_str *date, char *space, size_t size, const ap_line_finder *finder, size_t index, int year) {
    for (size_t n = DATE_WORDS; n > 0; n--) {
        if (index + n > finder->count) {
            continue;
        }
        const ap_str text = span(finder, index, index + n - 1);
        char with_year[AP_DATE_YEAR_SIZE];
        ap_str read = text;
        if (text.len < 3 || text.len >= size) {
            continue;
        }
        bool plain = true;
        for (size_t i = 0; i < text.len; i++) {
            plain = plain && is_digit(text.ptr[i]);
        }
        if (!plain && ap_date_orders(text) == 0 && may_lack_year(finder, index, n, text)) {
            read = ap_date_with_year(with_year, text, year > 0 ? year : NEUTRAL_YEAR);
        }
        if (!plain && ap_date_orders(read)) {
            /* Without a year to go by, the date stays as it stands. */
            const ap_str kept = year > 0 ? read : text;
            memcpy(space, kept.ptr, kept.len);
            *date = (ap_str){space, kept.len};
            return n;
        }
    }
    return 0;
}

bool ap_line_is_like(ap_str word, ap_str form) {
    size_t i = 0;
    size_t k = 0;
    while (i < word.len && k < form.len) {
        if (is_digit(word.ptr[i]) && is_digit(form.ptr[k])) {
            while (i < word.len && is_digit(word.ptr[i])) {
                i++;
            }
            while (k < form.len && is_digit(form.ptr[k])) {
                k++;
            }
        } else if (ap_str_equal_nocase((ap_str){word.ptr + i, 1}, (ap_str){form.ptr + k, 1})) {
            i++;
            k++;
        } else {
            return false;
        }
    }
    return i == word.len && k == form.len && word.len > 0;
}
