/* One line of free words, read by the "find" lines of a profile: "12.3. J88 pick 4 oak top ~1200 lb came 1450 lb, swung a bit".
 *
 *   L1 Each thing is found by its kind (a date, a species of the book, a word of a vocabulary or one the profile gives) or by
 *      the words beside it ("came", "~"). Nothing is taken by its place alone unless the profile says so (first, second).
 *   L2 A weight with a unit that no "find" takes, one that two fields claim, and a field that two weights claim are the line's
 *      trouble: which of them is meant is a question, not a number.
 *   L3 A word behind "no", "not", "never", "without" or "didn't" is not found.
 *   L4 Two words of one vocabulary are both given ("top / limb"): the reader refuses what can not be one word. */
#ifndef AP_INTAKE_LINE_FIND_H
#define AP_INTAKE_LINE_FIND_H

#include "book/book.h"
#include "intake/profile.h"

enum { AP_LINE_WORDS = 256, AP_LINE_WEIGHTS = 16, AP_LINE_TROUBLE = 320, AP_LINE_SPACE = 4096 };

typedef struct ap_line_word {
    size_t at, len;
    bool taken;
    bool stop;  /* a comma or the like stands behind it */
    bool comma; /* it is a comma or a semicolon: what follows is another thing */
} ap_line_word;

/* A weight as it stands: words first..last. */
typedef struct ap_line_weight {
    size_t first, last;
    ap_str text;
    bool has_unit;
    int field; /* that took it; -1 = none yet */
} ap_line_weight;

typedef struct ap_line_finder {
    const ap_profile *profile;
    ap_book *book;
    ap_str line;
    ap_line_word words[AP_LINE_WORDS];
    size_t count;
    ap_line_weight weights[AP_LINE_WEIGHTS];
    size_t weight_count;
    char trouble[AP_LINE_TROUBLE];
    char space[AP_LINE_SPACE]; /* joined words and dates */
    size_t used;
} ap_line_finder;

/* Fills cells[column] of the profile's columns with what is found; texts live in `line` and in the finder until the next
 * call. Returns the line's trouble, NULL when there is none. */
const char *ap_line_find(ap_str *cells, ap_line_finder *finder, const ap_profile *profile, ap_book *book, ap_str line);

/* The line's words and the weights in it, for a guess; bare numbers are no weights unless `bare`. */
void ap_line_parse(ap_line_finder *finder, ap_book *book, ap_str line, bool bare);
ap_str ap_line_word_text(const ap_line_finder *finder, size_t index);
/* `phrase` stands at word `index`, whatever its case; *words = how many words it has. */
bool ap_line_phrase_at(size_t *words, const ap_line_finder *finder, size_t index, ap_str phrase);
/* The word says nothing of its own before a figure: "came in at 6100". */
bool ap_line_is_filler(ap_str word);
/* Words first..first+count-1 name a species; longest first. 0 = none. */
size_t ap_line_species_at(const ap_line_finder *finder, size_t index);
/* A date at the word, also without a year; 0 = none, else how many words. */
size_t ap_line_date_at(ap_str *date, char *space, size_t size, const ap_line_finder *finder, size_t index, int year);
/* Letters for letters, digits for digits: "J310" is like "J88". */
bool ap_line_is_like(ap_str word, ap_str form);
bool ap_line_is_denied(const ap_line_finder *finder, size_t index);

#endif
