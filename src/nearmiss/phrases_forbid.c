/* What a pattern may not say because it stands among others in one alternation (phrases.c): a call to a group by number calls another
 * rule's, a verb such as (*COMMIT) ends the search for all of them, \K moves the beginning of the hit, a callout calls nobody. PCRE2
 * compiles each of them, so that they are looked for in the text of the pattern: outside of classes [...], of \Q...\E and of escapes. */
#include "nearmiss/phrases_private.h"

static bool digit_at(ap_str text, size_t at) {
    bool sign = at < text.len && (text.ptr[at] == '+' || text.ptr[at] == '-');
    at += sign;
    return at < text.len && text.ptr[at] >= '0' && text.ptr[at] <= '9';
}

static bool text_at(ap_str text, size_t at, const char *what) {
    size_t len = strlen(what);
    return at + len <= text.len && memcmp(text.ptr + at, what, len) == 0;
}

/* At an opening bracket. */
static const char *of_group(ap_str pattern, size_t at) {
    static const char by_number[] = "it calls a group by its number, (?1) or (?R): that is not allowed here";
    if (text_at(pattern, at, "(*")) {
        return "it holds a verb in brackets, (*...): that is not allowed here";
    }
    if (text_at(pattern, at, "(?C")) {
        return "it holds a callout (?C): that is not allowed here";
    }
    bool called = text_at(pattern, at, "(?R") || (text_at(pattern, at, "(?") && digit_at(pattern, at + 2));
    bool asked = (text_at(pattern, at, "(?(") && digit_at(pattern, at + 3)) || text_at(pattern, at, "(?(R");
    if (called || asked) {
        return by_number;
    }
    bool named = text_at(pattern, at, "(?<") || text_at(pattern, at, "(?'");
    size_t name = at + (named ? 3 : 4);
    named = named || text_at(pattern, at, "(?P<");
    /* The rules' own groups: r0_, r1_, ... and the lists of words. */
    bool ours = (text_at(pattern, name, "r") && digit_at(pattern, name + 1)) || text_at(pattern, name, "w_");
    return named && ours ? "it names a group as the rules' own are named, r1_ or w_...: name it otherwise" : NULL;
}

/* At a backslash that does not begin \Q. */
static const char *of_escape(ap_str pattern, size_t at) {
    if (text_at(pattern, at, "\\K")) {
        return "it moves the beginning of what it finds (\\K): that is not allowed here";
    }
    bool called = text_at(pattern, at, "\\g<") || text_at(pattern, at, "\\g'");
    bool by_number = called && digit_at(pattern, at + 3);
    return by_number ? "it calls a group by its number (\\g<1>): that is not allowed here" : NULL;
}

const char *ap_phrases_forbidden(ap_str pattern) {
    const char *why = NULL;
    bool quoted = false;
    bool class = false;
    size_t class_from = 0; /* a ] right behind [ or [^ is one of the class */
    for (size_t at = 0; at < pattern.len && !why; at++) {
        char byte = pattern.ptr[at];
        if (quoted) {
            quoted = !text_at(pattern, at, "\\E");
            at += !quoted;
        } else if (byte == '\\') {
            quoted = text_at(pattern, at, "\\Q");
            why = class || quoted ? NULL : of_escape(pattern, at);
            at++;
        } else if (class) {
            if (text_at(pattern, at, "[:")) {
                at++; /* [:alpha:] ends with :], which ends no class */
                while (at + 1 < pattern.len && !text_at(pattern, at, ":]")) {
                    at++;
                }
                at++;
            } else {
                class = byte != ']' || at == class_from;
            }
        } else if (byte == '[') {
            class = true;
            at += text_at(pattern, at, "[^");
            class_from = at + 1;
        } else if (byte == '(') {
            why = of_group(pattern, at);
        }
    }
    return why;
}
