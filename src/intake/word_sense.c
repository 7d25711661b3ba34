#include "intake/word_sense.h"

#include <ctype.h>

typedef struct sense {
    ap_vocabulary vocabulary;
    int value;
    const char *said; /* phrases, '|' between */
} sense;

static const sense senses[] = {
    {AP_VOC_CUT, AP_CUT_THROUGH, "thru|thru cut|through cut|straight through|straight cut|straight"},
    {AP_VOC_CUT, AP_CUT_STEP, "step cut|stepped|stepped cut|shelf|shelf cut"},
    {AP_VOC_CUT, AP_CUT_HINGE, "hinge cut|hinged|face cut|notch and hinge"},
    {AP_VOC_CUT, AP_CUT_ANGLED, "angle|angle cut|angled cut|slant|slanted"},
    {AP_VOC_CUT, AP_CUT_SNAP, "snap cut|snapped"},
    {AP_VOC_KERF, AP_KERF_STEADY, "ok|fine|stayed open|did not move|no change"},
    {AP_VOC_KERF, AP_KERF_CLOSING, "closed|closes|pinched|pinching|pinch"},
    {AP_VOC_KERF, AP_KERF_OPENING, "opened|opens"},
    {AP_VOC_PIECE, AP_PIECE_TOP, "crown|head|tip section"},
    {AP_VOC_PIECE, AP_PIECE_LIMB, "branch|lateral|side limb"},
    {AP_VOC_PIECE, AP_PIECE_LEADER, "lead|co-lead|spar lead"},
    {AP_VOC_PIECE, AP_PIECE_TRUNK, "stem|bole|log|spar|trunk section"},
    {AP_VOC_PIECE, AP_PIECE_STUB, "stump|butt log"},
    {AP_VOC_MOVEMENT, AP_MOVEMENT_STILL,
     "stayed put|sat still|no movement|did not move|didn't move|none|nothing|stayed|stayed still|ok|no"},
    {AP_VOC_MOVEMENT, AP_MOVEMENT_SETTLED, "settled in|settled down|settled a bit|sat down"},
    {AP_VOC_MOVEMENT, AP_MOVEMENT_BUTT_UP,
     "butt came up|butt kicked up|butt jumped|butt jumped up|butt rose|butt lifted|butt popped up"},
    {AP_VOC_MOVEMENT, AP_MOVEMENT_BUTT_DOWN, "butt dropped|butt went down|butt fell|butt came down"},
    {AP_VOC_MOVEMENT, AP_MOVEMENT_TIP_DIVE, "tip dived|tip dove|tip dropped|tip went down|tip down"},
    {AP_VOC_MOVEMENT, AP_MOVEMENT_TIP_UP, "tip came up|tip rose|tip went up"},
    {AP_VOC_MOVEMENT, AP_MOVEMENT_SWING, "swung|swung out|small swing|big swing|swinging"},
    {AP_VOC_MOVEMENT, AP_MOVEMENT_ROLL, "rolled|rolled over|spun|turned over"},
    {AP_VOC_MOVEMENT, AP_MOVEMENT_DROP, "dropped|fell|fell on the slings|dropped on the slings"},
    {AP_VOC_FOLIAGE, AP_FOLIAGE_LEAF_ON, "leaves on|in leaf|full leaf|leaf"},
    {AP_VOC_FOLIAGE, AP_FOLIAGE_LEAF_OFF, "leaves off|bare|no leaves|dormant"},
    {AP_VOC_WEIGHED_BY, AP_WEIGHED_BY_LOAD_INDICATOR, "lmi|display|indicator|crane computer|crane"},
    {AP_VOC_WEIGHED_BY, AP_WEIGHED_BY_LOAD_CELL, "cell|dynamometer|dyno"},
    {AP_VOC_BASIS, AP_BASIS_CHART, "log chart|log weight chart|weight chart|wood chart|green log chart"},
    {AP_VOC_BASIS, AP_BASIS_TABLE, "tables|weight table|log table|density table"},
    {AP_VOC_BASIS, AP_BASIS_WORKED, "worked out|calculated|calculation|calc|formula|taped"},
    {AP_VOC_BASIS, AP_BASIS_BY_EYE,
     "eye|eyed|eyeball|eyeballed|eye-balled|guess|guessed|a guess|gut|gut feel|judged|sight"},
};

static bool is_said(const char *phrases, ap_str text) {
    for (ap_str rest = ap_str_from(phrases); rest.ptr;) {
        if (ap_str_equal_nocase(ap_str_split(rest, '|', &rest), text)) {
            return true;
        }
    }
    return false;
}

/* The value one phrase says; 0 when none. */
static int sense_of(const ap_field *field, ap_str text) {
    int value = ap_word_find(field->vocabulary, text);
    for (size_t i = 0; value == 0 && i < sizeof senses / sizeof *senses; i++) {
        if (senses[i].vocabulary == field->vocabulary && is_said(senses[i].said, text)) {
            value = senses[i].value;
        }
    }
    return value;
}

static bool is_joint(ap_str text, size_t at, size_t *len) {
    static const char *const joints[] = {" and ", " then ", ",", "+", "/", "&", ";"};
    for (size_t i = 0; i < sizeof joints / sizeof *joints; i++) {
        size_t width = strlen(joints[i]);
        if (width <= text.len - at && ap_str_equal_nocase((ap_str){text.ptr + at, width}, ap_str_from(joints[i]))) {
            *len = width;
            return true;
        }
    }
    return false;
}

static bool take_part(int *moves, const ap_field *field, ap_str part) {
    part = ap_str_trim(part);
    int value = part.len ? sense_of(field, part) : 0;
    *moves |= value ? AP_MOVE_BIT(value) : 0;
    return part.len == 0 || value != 0;
}

bool ap_word_sense(ap_buf *out, const ap_field *field, ap_str cell) {
    if (field->kind != AP_KIND_MOVES) {
        int value = field->kind == AP_KIND_WORD ? sense_of(field, cell) : 0;
        ap_buf_append_cstr(out, value ? ap_word_get(field->vocabulary, value) : "");
        return value != 0;
    }
    int moves = 0;
    size_t from = 0;
    for (size_t at = 0; at <= cell.len; at++) {
        size_t len = 0;
        if (at == cell.len || is_joint(cell, at, &len)) {
            if (!take_part(&moves, field, (ap_str){cell.ptr + from, at - from})) {
                return false;
            }
            from = at + len;
            at += len ? len - 1 : 0;
        }
    }
    ap_moves_to_text(out, moves);
    return moves != 0;
}

static bool is_letter(char byte) {
    return isalnum((unsigned char)byte) || byte == '\'' || (unsigned char)byte >= 0x80;
}

/* Where the phrase stands in the text, between words; the text's length when nowhere. An underscore of the phrase is a space. */
static size_t place_in(ap_str text, ap_str phrase) {
    for (size_t at = 0; at + phrase.len <= text.len; at++) {
        size_t end = at + phrase.len;
        bool apart = (at == 0 || !is_letter(text.ptr[at - 1])) && (end == text.len || !is_letter(text.ptr[end]));
        size_t same = 0;
        while (apart && same < phrase.len) {
            char want = phrase.ptr[same] == '_' ? ' ' : phrase.ptr[same];
            if (tolower((unsigned char)text.ptr[at + same]) != tolower((unsigned char)want)) {
                break;
            }
            same++;
        }
        if (apart && same == phrase.len) {
            return at;
        }
    }
    return text.len;
}

static bool denies(ap_str text) {
    static const char *const words[] = {"no",     "not",   "never", "without", "nothing",
                                        "didn't", "didnt", "don't", "almost",  "nearly"};
    bool found = false;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        found = found || place_in(text, ap_str_from(words[i])) < text.len;
    }
    return found;
}

/* The longest phrase of the vocabulary that stands in the text is taken out of it: "butt dropped" is not "dropped" too. 0 when none does. */
static int take_longest(char *text, size_t len, ap_vocabulary vocabulary) {
    const ap_str in = {text, len};
    ap_str longest = AP_STR_NONE;
    int value = 0;
    for (size_t i = 0; i < sizeof senses / sizeof *senses; i++) {
        ap_str word = ap_str_from(ap_word_get(senses[i].vocabulary, senses[i].value));
        for (ap_str rest = ap_str_from(senses[i].said); senses[i].vocabulary == vocabulary && word.ptr;
             word = rest.ptr ? ap_str_split(rest, '|', &rest) : AP_STR_NONE) {
            if (word.len > longest.len && !ap_word_is_loose(word) && place_in(in, word) < len) {
                longest = word;
                value = senses[i].value;
            }
        }
    }
    if (value) {
        memset(text + place_in(in, longest), '.', longest.len);
    }
    return value;
}

bool ap_word_sense_within(ap_buf *out, const ap_field *field, ap_str cell) {
    enum { LONGEST = 120 };
    char text[LONGEST];
    const bool moves = field->kind == AP_KIND_MOVES;
    if (ap_word_sense(out, field, cell)) {
        return true;
    }
    ap_buf_clear(out);
    if ((!moves && field->kind != AP_KIND_WORD) || cell.len == 0 || cell.len > LONGEST || denies(cell)) {
        return false;
    }
    memcpy(text, cell.ptr, cell.len);
    int found = 0;
    for (int one = take_longest(text, cell.len, field->vocabulary); one;
         one = take_longest(text, cell.len, field->vocabulary)) {
        if (!moves && found && found != one) {
            return false;
        }
        found = moves ? found | (int)AP_MOVE_BIT(one) : one;
    }
    if (moves) {
        ap_moves_to_text(out, found);
    } else if (found) {
        ap_buf_append_cstr(out, ap_word_get(field->vocabulary, found));
    }
    return found != 0;
}

bool ap_word_is_loose(ap_str phrase) {
    return is_said(
        "ok|no|none|fine|log|head|lead|spar|bare|leaf|cell|crane|display|stayed|straight|angle|pinch|crown|indicator",
        phrase);
}

bool ap_word_sense_phrase(ap_str *phrase, const char **word, const ap_field *field, size_t index) {
    size_t count = 0;
    for (size_t i = 0; i < sizeof senses / sizeof *senses; i++) {
        for (ap_str rest = ap_str_from(senses[i].said); senses[i].vocabulary == field->vocabulary && rest.ptr;) {
            const ap_str one = ap_str_split(rest, '|', &rest);
            if (!ap_word_is_loose(one) && count++ == index) {
                *phrase = one;
                *word = ap_word_get(field->vocabulary, senses[i].value);
                return true;
            }
        }
    }
    return false;
}
