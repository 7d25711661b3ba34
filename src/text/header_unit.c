/* The unit in a column's header.
 *
 *  H1 In brackets at the end, "(lbs)" or "[m]", any unit counts.
 *  H2 Without brackets the last one or two words count, parted by blank, '_', '-', ',', '/' or ':'. Of one-letter words
 *     only "m" and "t" do, and "#", ' and " do not: "Pick #" is a number, not a weight.
 *  H3 A capital after a small letter parts too: "lengthFt".
 *  H4 "weight in lb" loses its "in". "time in", "checked in" and the like hold no inches.
 *  H5 A header that is nothing but a unit keeps itself as the name. */
#include "text/spelling.h"

static bool is_separator(char c) {
    return c == ' ' || c == '_' || c == '-' || c == ',' || c == '/' || c == ':' || c == '\t';
}

static ap_str without_separators_behind(ap_str text) {
    text = ap_str_trim(text);
    while (text.len > 0 && is_separator(text.ptr[text.len - 1])) {
        text.len--;
    }
    return ap_str_trim(text);
}

/* Where the last word begins. */
static size_t last_word(ap_str text) {
    size_t at = text.len;
    while (at > 0 && !is_separator(text.ptr[at - 1])) {
        at--;
    }
    return at;
}

static bool is_unit_word(ap_unit *unit, ap_str word) {
    ap_str bare = word;
    while (bare.len > 0 && bare.ptr[bare.len - 1] == '.') {
        bare.len--;
    }
    if (bare.len == 0 || strchr("#'\"", bare.ptr[0]) || (unsigned char)bare.ptr[0] == 0xE2) {
        return false;
    }
    bool short_word = bare.len == 1 && bare.ptr[0] != '%';
    if (short_word && !strchr("mMtT", bare.ptr[0])) {
        return false;
    }
    return ap_unit_find(unit, word);
}

/* "(lbs)" or "[m]" at the end; AP_STR_NONE when there are no brackets. */
static ap_str bracketed(ap_str header, size_t *open) {
    char close = header.len > 0 ? header.ptr[header.len - 1] : '\0';
    char opening = close == ')' ? '(' : close == ']' ? '[' : close == '}' ? '{' : '\0';
    for (size_t at = header.len; opening && at > 0; at--) {
        if (header.ptr[at - 1] == opening) {
            *open = at - 1;
            return (ap_str){header.ptr + at, header.len - at - 1};
        }
    }
    return AP_STR_NONE;
}

/* Words in front of "in" that make it an adverb. */
static bool goes_in(ap_str name) {
    static const char *const words[] = {"time", "check",  "checked", "sign",   "signed", "clock", "clocked",
                                        "log",  "logged", "phoned",  "called", "put",    "went"};
    ap_str word = {name.ptr + last_word(name), name.len - last_word(name)};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (ap_str_equal_nocase(word, ap_str_from(words[i]))) {
            return true;
        }
    }
    return false;
}

static ap_unit accept(ap_str *name, ap_str front, ap_unit unit, ap_str header) {
    front = without_separators_behind(front);
    if (unit == AP_UNIT_IN && goes_in(front)) {
        *name = header;
        return AP_UNIT_NONE;
    }
    size_t at = last_word(front);
    ap_str word = {front.ptr + at, front.len - at};
    if (at > 0 && (ap_str_equal_nocase(word, AP_STR_LIT("in")) || ap_str_equal_nocase(word, AP_STR_LIT("as")))) {
        front = without_separators_behind((ap_str){front.ptr, at});
    }
    *name = front.len > 0 ? front : header;
    return unit;
}

/* "lengthFt": where a capital follows a small letter, last such place. */
static size_t last_hump(ap_str header) {
    for (size_t at = header.len; at > 1; at--) {
        char before = header.ptr[at - 2];
        char here = header.ptr[at - 1];
        if (here >= 'A' && here <= 'Z' && before >= 'a' && before <= 'z') {
            return at - 1;
        }
    }
    return header.len;
}

ap_unit ap_header_split_unit(ap_str *name, ap_str header) {
    ap_unit unit = AP_UNIT_NONE;
    size_t open = 0;
    header = ap_str_trim(header);
    *name = header;
    ap_str inside = bracketed(header, &open);
    if (inside.len > 0 && ap_unit_find(&unit, inside)) {
        return accept(name, (ap_str){header.ptr, open}, unit, header);
    }
    if (header.len == 0) {
        return AP_UNIT_NONE;
    }
    /* "weight %" and "weight%": the sign parts by itself. */
    if (header.ptr[header.len - 1] == '%') {
        return accept(name, (ap_str){header.ptr, header.len - 1}, AP_UNIT_PERCENT, header);
    }
    size_t one = last_word(header);
    size_t gap = one;
    while (gap > 0 && is_separator(header.ptr[gap - 1])) {
        gap--;
    }
    size_t two = last_word((ap_str){header.ptr, gap});
    if (two < one && is_unit_word(&unit, (ap_str){header.ptr + two, header.len - two})) {
        return accept(name, (ap_str){header.ptr, two}, unit, header);
    }
    if (is_unit_word(&unit, (ap_str){header.ptr + one, header.len - one})) {
        return accept(name, (ap_str){header.ptr, one}, unit, header);
    }
    size_t hump = last_hump(header);
    if (header.len - hump >= 2 && is_unit_word(&unit, (ap_str){header.ptr + hump, header.len - hump})) {
        return accept(name, (ap_str){header.ptr, hump}, unit, header);
    }
    return AP_UNIT_NONE;
}
