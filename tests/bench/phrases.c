/* The phrase rules of a book over a file of notes, one a line.
 *   phrases BOOK NOTES        prints how many notes have a hit
 *   phrases BOOK --patterns   prints the rules as alternations of at most 8,000 bytes, which pcre2grep -f takes
 *   phrases - LINES           writes LINES invented notes: ordinary ones, one in ten with a phrase */
#include "base/sink.h"
#include "nearmiss/phrases_load.h"
#include "nearmiss/phrases_private.h"

enum { NOTES_MAX = 1 << 30, PATTERN_MAX = 8000 };

static void write_notes(long lines) {
    static const char *const dull[] = {
        "settled on the step and went up clean",
        "kerf steady, no trouble",
        "brushy maple top over the drive",
        "two legs tight before the cut",
        "chipped on site",
        "lunch after this one",
        "long limb with a crook at the end",
        "no side load",
        "third pick off the north leader, small",
    };
    static const char *const telling[] = {
        "butt kicked out at the stem", "line was slack and it dropped 2 ft",
        "strap crept along the bark",  "alarm went off at set-down",
        "tip tapped the gutter",
    };
    for (long i = 0; i < lines; i++) {
        unsigned long at = (unsigned long)i * 2654435761u >> 7;
        bool tells = at % 10 == 0;
        printf("%s%s%s\n", dull[at / 10 % 9], tells ? "; " : ", ", tells ? telling[at / 90 % 5] : dull[at / 90 % 9]);
    }
}

static void write_patterns(const ap_phrase_set *set) {
    ap_buf one;
    ap_buf line;
    ap_buf_init(&one, NOTES_MAX);
    ap_buf_init(&line, NOTES_MAX);
    ap_error err;
    for (size_t i = 0; i < set->count; i++) {
        ap_buf_clear(&one);
        if (ap_phrases_expand(&one, set, set->rules[i].pattern, &err) != AP_OK) {
            puts(err.text);
        }
        bool fresh = line.len == 0;
        if (line.len + one.len > PATTERN_MAX) {
            printf("%s)\n", line.ptr);
            ap_buf_clear(&line);
            fresh = true;
        }
        if (fresh) {
            ap_buf_append_cstr(&line, "(?J)");
            ap_phrases_define(&line, set);
        }
        ap_buf_append_cstr(&line, fresh ? "(?:" : "|");
        ap_buf_append_str(&line, ap_buf_str(&one));
    }
    printf("%s)\n", line.ptr);
    ap_buf_release(&one);
    ap_buf_release(&line);
}

static int count_hits(ap_phrases *phrases, const char *path) {
    ap_buf text;
    ap_error err;
    ap_buf_init(&text, NOTES_MAX);
    if (ap_file_read(&text, path, NOTES_MAX, &err) != AP_OK) {
        puts(err.text);
        return 1;
    }
    size_t hit = 0;
    for (ap_str rest = ap_buf_str(&text); rest.ptr && rest.len;) {
        ap_phrase_hit hits[AP_PHRASE_HITS_MAX];
        size_t count = 0;
        if (ap_phrases_find(hits, &count, phrases, ap_str_split(rest, '\n', &rest), &err) != AP_OK) {
            puts(err.text);
        }
        hit += count > 0;
    }
    printf("%zu\n", hit);
    ap_buf_release(&text);
    return 0;
}

int main(int argc, char **argv) {
    if (argc != 3) {
        return 2;
    }
    if (strcmp(argv[1], "-") == 0) {
        write_notes(strtol(argv[2], NULL, 10));
        return 0;
    }
    ap_error err;
    ap_book *book = NULL;
    ap_phrase_book *rules = NULL;
    if (ap_book_open(&book, argv[1], AP_BOOK_READ, &err) != AP_OK || ap_phrase_book_load(&rules, book, &err) != AP_OK) {
        puts(err.text);
        return 1;
    }
    int code = 0;
    if (strcmp(argv[2], "--patterns") == 0) {
        write_patterns(ap_phrase_book_set(rules));
    } else {
        code = count_hits(ap_phrase_book_phrases(rules), argv[2]);
    }
    ap_phrase_book_free(rules);
    ap_book_close(book);
    return code;
}
