#include "followup/writeup_text.h"

#include <inttypes.h>

#include "text/line_diff.h"

#define MARKER "<!-- afterpick "
#define CLASH "> **afterpick: "
#define SEVERITY "Severity settled on:"
#define PROBABILITY "Probability settled on:"
#define SIGNED "Signed off on:"

static const struct {
    const char *name;
    const char *heading;
} part_table[AP_WRITEUP_PART_COUNT] = {
    [AP_WRITEUP_DUTIES] = {"duties", "Before anything else"},
    [AP_WRITEUP_FACTS] = {"facts", "The pick as planned and as measured"},
    [AP_WRITEUP_RECONSTRUCTION] = {"reconstruction", "How it hung and how it moved"},
    [AP_WRITEUP_CAPACITY] = {"capacity", "Load against capacity"},
    [AP_WRITEUP_SIMILAR] = {"similar", "Similar picks"},
    [AP_WRITEUP_FINDINGS] = {"findings", "Findings that touch it"},
    [AP_WRITEUP_SEVERITY] = {"severity", "How bad it could have been"},
    [AP_WRITEUP_QUESTIONS] = {"questions", "Questions to ask"},
    [AP_WRITEUP_ACTIONS] = {"actions", "Actions"},
    [AP_WRITEUP_ATTACHMENTS] = {"attachments", "Attachments"},
};

const char *ap_writeup_part_name(ap_writeup_part part) {
    return part_table[part].name;
}

/* Line endings and blanks at the end of a line do not count: editors change them unasked. */
static uint64_t check_of(ap_str content) {
    uint64_t sum = 0;
    for (size_t from = 0; from < content.len;) {
        const char *end = memchr(content.ptr + from, '\n', content.len - from);
        size_t next = end ? (size_t)(end - content.ptr) + 1 : content.len;
        ap_str line = {content.ptr + from, next - from};
        while (line.len && strchr(" \t\r\n", line.ptr[line.len - 1])) {
            line.len--;
        }
        sum = (sum << 7 | sum >> 57) ^ ap_str_hash(line);
        from = next;
    }
    return sum;
}

typedef struct reader {
    ap_writeup_text *out;
    size_t at;
    size_t line; /* number of the line just read */
    ap_str body; /* without its ending */
    size_t body_at;
    ap_error *err;
} reader;

static bool next_line(reader *it) {
    ap_str text = it->out->text;
    if (it->at >= text.len) {
        return false;
    }
    const char *end = memchr(text.ptr + it->at, '\n', text.len - it->at);
    size_t next = end ? (size_t)(end - text.ptr) + 1 : text.len;
    it->body_at = it->at;
    it->body = ap_line_body((ap_str){text.ptr + it->at, next - it->at});
    it->at = next;
    it->line++;
    return true;
}

/* With a backslash in front it is text: a log's own words, escaped. */
static bool has_marker(ap_str line) {
    for (size_t i = 0; i + sizeof MARKER - 1 <= line.len; i++) {
        if (line.ptr[i] == '<' && memcmp(line.ptr + i, MARKER, sizeof MARKER - 1) == 0) {
            if (i > 0 && line.ptr[i - 1] == '\\') {
                continue;
            }
            return true;
        }
    }
    return false;
}

static ap_status broken(const reader *it, const char *what) {
    return ap_error_set(it->err, AP_E_INPUT,
                        "line %zu: %s; mend it by hand, or take the last kept text: 'afterpick writeup show'", it->line,
                        what);
}

static bool read_token(ap_writeup_header *header, ap_str value) {
    bool fine = value.len == AP_WRITEUP_TOKEN_SIZE - 1;
    for (size_t i = 0; fine && i < value.len; i++) {
        fine = strchr("0123456789abcdef", value.ptr[i]) != NULL && value.ptr[i] != '\0';
    }
    header->token = value;
    return fine;
}

static ap_status read_header_line(reader *it, unsigned *seen) {
    static const char *const keys[] = {"write-up", "of", "revision", "picks", "opened"};
    ap_writeup_header *header = &it->out->header;
    ap_str value = AP_STR_NONE;
    ap_str key = ap_str_trim(ap_str_split(it->body, ':', &value));
    value = ap_str_trim(value);
    int which = -1;
    for (int i = 0; i < 5; i++) {
        which = ap_str_equal_word(key, keys[i]) ? i : which;
    }
    bool fine = which >= 0 && !(*seen & 1u << which);
    if (which == 0) {
        fine = fine && ap_str_to_int64(&header->id, value) && header->id > 0;
    } else if (which == 1) {
        fine = fine && read_token(header, value);
    } else if (which == 2) {
        fine = fine && ap_str_to_int64(&header->revision, value) && header->revision > 0;
    } else if (which == 3) {
        header->picks = value;
        fine = fine && value.len > 0;
    } else if (which == 4) {
        fine = fine && ap_date_from_iso(&header->opened, value);
    }
    *seen |= which >= 0 ? 1u << which : 0;
    return fine ? AP_OK
                : broken(it, "the header has write-up, of, revision, picks and opened, once each, and nothing else");
}

static ap_status read_header(reader *it) {
    static const char mark[] = "\xEF\xBB\xBF";
    ap_writeup_text *out = it->out;
    it->at = ap_str_starts(out->text, AP_STR_LIT(mark)) ? sizeof mark - 1 : 0;
    out->header_at = it->at;
    if (!next_line(it) || !ap_str_equal_word(ap_str_trim(it->body), "---")) {
        it->line = 1;
        return broken(it, "a write-up begins with its header, between two lines '---'");
    }
    unsigned seen = 0;
    while (next_line(it)) {
        if (ap_str_equal_word(ap_str_trim(it->body), "---")) {
            out->header_end = it->at;
            return seen == 31u ? AP_OK : broken(it, "the header lacks one of write-up, of, revision, picks, opened");
        }
        ap_status status = ap_str_is_blank(it->body) ? AP_OK : read_header_line(it, &seen);
        if (status != AP_OK) {
            return status;
        }
    }
    return broken(it, "the header does not end: its second line '---' is gone");
}

typedef struct marker {
    bool begin;
    int part;
    uint64_t check;
} marker;

/* "<!-- afterpick begin facts 0123456789abcdef: ... -->" or "<!-- afterpick end facts -->". */
static bool read_marker(marker *out, ap_str line) {
    line = ap_str_trim(line);
    if (!ap_str_starts(line, AP_STR_LIT(MARKER)) || line.len < 3 || memcmp(line.ptr + line.len - 3, "-->", 3) != 0) {
        return false;
    }
    ap_str rest = {line.ptr + sizeof MARKER - 1, line.len - (sizeof MARKER - 1) - 3};
    ap_str word = ap_str_split(rest, ' ', &rest);
    ap_str name = ap_str_split(rest, ' ', &rest);
    out->begin = ap_str_equal_word(word, "begin");
    out->part = -1;
    for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
        out->part = ap_str_equal_word(name, part_table[i].name) ? i : out->part;
    }
    if (out->part < 0 || (!out->begin && !ap_str_equal_word(word, "end"))) {
        return false;
    }
    if (!out->begin) {
        return ap_str_is_blank(rest);
    }
    ap_str digits = ap_str_split(rest, ':', &rest);
    out->check = 0;
    for (size_t i = 0; i < digits.len; i++) {
        const char *hex = strchr("0123456789abcdef", digits.ptr[i]);
        if (!hex || *hex == '\0') {
            return false;
        }
        out->check = out->check << 4 | (uint64_t)(hex - "0123456789abcdef");
    }
    return digits.len == 16;
}

static ap_status read_parts(reader *it) {
    ap_writeup_text *out = it->out;
    int open = -1;
    uint64_t check = 0;
    while (next_line(it)) {
        if (ap_str_starts(it->body, AP_STR_LIT(CLASH)) && !out->clash_line) {
            out->clash_line = it->line;
        }
        if (!has_marker(it->body)) {
            continue;
        }
        marker mark;
        if (!read_marker(&mark, it->body)) {
            return broken(it, "a marker line of the program was changed");
        }
        ap_writeup_place *place = &out->part[mark.part];
        if (mark.begin) {
            if (open >= 0) {
                return broken(it, "a part of the program begins inside another: an end marker is gone");
            }
            if (place->there) {
                return broken(it, "this part of the program stands twice");
            }
            *place = (ap_writeup_place){.there = true, .first_line = it->line, .mark_at = it->body_at, .at = it->at};
            open = mark.part;
            check = mark.check;
        } else {
            if (open != mark.part) {
                return broken(it, "an end marker without its begin");
            }
            place->end = it->body_at;
            place->mark_end = it->at;
            place->last_line = it->line;
            place->by_hand = check_of((ap_str){out->text.ptr + place->at, place->end - place->at}) != check;
            open = -1;
        }
    }
    if (open >= 0) {
        it->line = out->part[open].first_line;
        return broken(it, "this part of the program does not end: its end marker is gone");
    }
    return AP_OK;
}

ap_status ap_writeup_parse(ap_writeup_text *out, ap_str text, ap_error *err) {
    ap_writeup_text parsed = {.text = text};
    if (text.len > AP_WRITEUP_TEXT_MAX) {
        return ap_error_set(err, AP_E_LIMIT, "a write-up of more than %d bytes", (int)AP_WRITEUP_TEXT_MAX);
    }
    reader it = {.out = &parsed, .err = err};
    ap_status status = read_header(&it);
    if (status == AP_OK) {
        status = read_parts(&it);
    }
    if (status == AP_OK) {
        *out = parsed;
    }
    return status;
}

static bool is_crlf(ap_str text, size_t line_end) {
    return line_end >= 2 && text.ptr[line_end - 1] == '\n' && text.ptr[line_end - 2] == '\r';
}

static void put_with_ending(ap_buf *out, ap_str content, bool crlf) {
    for (size_t from = 0; from < content.len;) {
        const char *end = memchr(content.ptr + from, '\n', content.len - from);
        size_t next = end ? (size_t)(end - content.ptr) + 1 : content.len;
        ap_buf_append_str(out, ap_line_body((ap_str){content.ptr + from, next - from}));
        ap_buf_append_cstr(out, crlf ? "\r\n" : "\n");
        from = next;
    }
}

static void put_part(ap_buf *out, ap_writeup_part part, ap_str content, bool crlf) {
    const char *end = crlf ? "\r\n" : "\n";
    ap_buf_appendf(out, MARKER "begin %s %016" PRIx64 ": written by the program; your own words go outside -->%s",
                   part_table[part].name, check_of(content), end);
    put_with_ending(out, content, crlf);
    ap_buf_appendf(out, MARKER "end %s -->%s", part_table[part].name, end);
}

static void put_header(ap_buf *out, const ap_writeup_header *header, bool crlf) {
    const char *end = crlf ? "\r\n" : "\n";
    char opened[AP_ISO_SIZE];
    ap_date_to_iso(opened, header->opened);
    ap_buf_appendf(out, "---%swrite-up: %" PRId64 "%sof: %.*s%srevision: %" PRId64 "%spicks: %.*s%sopened: %s%s---%s",
                   end, header->id, end, AP_STR_ARG(header->token), end, header->revision, end,
                   AP_STR_ARG(header->picks), end, opened, end, end);
}

/* A line of the program's own that looks like a marker would cut the file in two. */
static ap_status check_parts(const ap_str parts[AP_WRITEUP_PART_COUNT], ap_error *err) {
    for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
        if (parts[i].ptr && has_marker(parts[i])) {
            return ap_error_set(err, AP_E_INTERNAL, "the part '%s' of a write-up holds a marker", part_table[i].name);
        }
    }
    return AP_OK;
}

/* The order people read in; a person's part has a prompt in a comment, which no page shows. */
static const struct {
    const char *heading; /* NULL: the part's own */
    int part;            /* -1: a person's */
    const char *prompt;
} layout[] = {
    {NULL, AP_WRITEUP_DUTIES, NULL},
    {"What happened", -1,
     "In your own words, in the order it happened. Roles, not names. Say 'not known' where it is not known."},
    {"The order of events", -1,
     "One line each: time - what was done or seen - by which role. From the last set-down to the moment the piece hung "
     "still."},
    {NULL, AP_WRITEUP_FACTS, NULL},
    {NULL, AP_WRITEUP_RECONSTRUCTION, NULL},
    {NULL, AP_WRITEUP_CAPACITY, NULL},
    {NULL, AP_WRITEUP_SIMILAR, NULL},
    {NULL, AP_WRITEUP_FINDINGS, NULL},
    {NULL, AP_WRITEUP_SEVERITY,
     "Which severity and which probability do you settle on, and why? The worst that could have "
     "happened counts, not what did."},
    {NULL, AP_WRITEUP_QUESTIONS, "Answers, each with who said it (role)."},
    {"What contributed", -1,
     "People decide this, not the program. Look at: the plan and how the weight was found; the wood; the slings and "
     "where "
     "they sat; the cut; the crane, its place and its chart; where people stood; words and signals; weather and light; "
     "time "
     "pressure; training; what made it look right at the time."},
    {NULL, AP_WRITEUP_ACTIONS, NULL},
    {"How we will know it worked", -1,
     "For each action: which figure should move, how far, and by when it can be seen."},
    {NULL, AP_WRITEUP_ATTACHMENTS, NULL},
    {"Who gets this, and sign-off", -1, "Roles and dates: written by, read by, agreed by, sent to."},
};

/* What Markdown would read as more than text gets a backslash; ap_writeup_settled takes it out again. */
static void put_title(ap_buf *out, ap_str title) {
    ap_buf_append_cstr(out, "\n# ");
    for (size_t i = 0; i < title.len; i++) {
        char c = title.ptr[i];
        if (c != '\0' && strchr("\\`*_[]<>&#", c)) {
            ap_buf_append_char(out, '\\');
        }
        ap_buf_append_char(out, c == '\n' || c == '\r' ? ' ' : c);
    }
    ap_buf_append_char(out, '\n');
}

ap_status ap_writeup_compose(ap_buf *out, const ap_writeup_header *header, ap_str title,
                             const ap_str parts[AP_WRITEUP_PART_COUNT], ap_error *err) {
    ap_status status = check_parts(parts, err);
    if (status != AP_OK) {
        return status;
    }
    put_header(out, header, false);
    put_title(out, title);
    for (size_t i = 0; i < sizeof layout / sizeof *layout; i++) {
        int part = layout[i].part;
        if (part >= 0 && !parts[part].ptr) {
            continue;
        }
        ap_buf_appendf(out, "\n## %s\n\n", part >= 0 ? part_table[part].heading : layout[i].heading);
        if (part >= 0) {
            put_part(out, (ap_writeup_part)part, parts[part], false);
        }
        if (layout[i].prompt) {
            ap_buf_appendf(out, "%s<!-- %s -->\n\n", part >= 0 ? "\n" : "", layout[i].prompt);
        }
        if (part == AP_WRITEUP_SEVERITY) {
            ap_buf_append_cstr(out, "- " SEVERITY "\n- " PROBABILITY "\n- Because:\n");
        } else if (i + 1 == sizeof layout / sizeof *layout) {
            ap_buf_append_cstr(out, "- " SIGNED "\n");
        }
    }
    return ap_buf_check(out, "the write-up", err);
}

static bool same_content(const ap_writeup_text *old, const ap_writeup_place *place, ap_str content) {
    return check_of((ap_str){old->text.ptr + place->at, place->end - place->at}) == check_of(content);
}

/* The part that begins next behind byte `from`; AP_WRITEUP_PART_COUNT when there is none. */
static ap_writeup_part next_part(const ap_writeup_text *text, size_t from) {
    ap_writeup_part next = AP_WRITEUP_PART_COUNT;
    for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
        const ap_writeup_place *place = &text->part[i];
        if (place->there && place->mark_at >= from &&
            (next == AP_WRITEUP_PART_COUNT || place->mark_at < text->part[next].mark_at)) {
            next = (ap_writeup_part)i;
        }
    }
    return next;
}

static void copy_bytes(ap_buf *out, ap_str text, size_t from, size_t end) {
    ap_buf_append(out, text.ptr + from, end - from);
}

ap_status ap_writeup_refresh(ap_buf *out, ap_writeup_refreshed state[AP_WRITEUP_PART_COUNT], const ap_writeup_text *old,
                             const ap_str parts[AP_WRITEUP_PART_COUNT], int64_t revision, ap_error *err) {
    ap_status status = check_parts(parts, err);
    if (status != AP_OK) {
        return status;
    }
    for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
        state[i] = old->part[i].there ? AP_WRITEUP_SAME : AP_WRITEUP_TAKEN_OUT;
    }
    ap_writeup_header header = old->header;
    header.revision = revision;
    copy_bytes(out, old->text, 0, old->header_at);
    put_header(out, &header, is_crlf(old->text, old->header_end));
    size_t from = old->header_end;
    for (ap_writeup_part part; (part = next_part(old, from)) != AP_WRITEUP_PART_COUNT;) {
        const ap_writeup_place *place = &old->part[part];
        copy_bytes(out, old->text, from, place->mark_at);
        from = place->mark_end;
        if (place->by_hand) {
            state[part] = AP_WRITEUP_BY_HAND;
        } else if (parts[part].ptr && !same_content(old, place, parts[part])) {
            state[part] = AP_WRITEUP_UPDATED;
        }
        if (state[part] == AP_WRITEUP_UPDATED) {
            put_part(out, part, parts[part], is_crlf(old->text, place->at));
        } else {
            copy_bytes(out, old->text, place->mark_at, place->mark_end);
        }
    }
    copy_bytes(out, old->text, from, old->text.len);
    return ap_buf_check(out, "the write-up", err);
}

/* The text with the header and the program's parts of another revision, so that only a person's lines can differ. A part
 * edited by hand counts as a person's. */
static ap_status with_parts_of(ap_buf *out, const ap_writeup_text *text, const ap_writeup_text *other, ap_error *err) {
    ap_str parts[AP_WRITEUP_PART_COUNT] = {{0}};
    ap_writeup_refreshed state[AP_WRITEUP_PART_COUNT];
    for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
        if (other->part[i].there && !other->part[i].by_hand) {
            parts[i] = (ap_str){other->text.ptr + other->part[i].at, other->part[i].end - other->part[i].at};
        }
    }
    return ap_writeup_refresh(out, state, text, parts, other->header.revision, err);
}

/* Whether the part's end marker comes before any other begins. */
static bool has_end(ap_str text, size_t from, int part) {
    marker mark;
    for (size_t next; from < text.len; from = next) {
        const char *end = memchr(text.ptr + from, '\n', text.len - from);
        next = end ? (size_t)(end - text.ptr) + 1 : text.len;
        if (read_marker(&mark, (ap_str){text.ptr + from, next - from})) {
            return !mark.begin && mark.part == part;
        }
    }
    return false;
}

/* Where one person moved or edited a part of the program and another did too, its markers may stand twice or out of their
 * order. A marker that pairs with none becomes a comment of people, so that no word is lost and the file can be read. */
static void put_pairing(ap_buf *out, ap_str text) {
    bool there[AP_WRITEUP_PART_COUNT] = {false};
    int open = -1;
    for (size_t from = 0; from < text.len;) {
        const char *end = memchr(text.ptr + from, '\n', text.len - from);
        size_t next = end ? (size_t)(end - text.ptr) + 1 : text.len;
        ap_str line = {text.ptr + from, next - from};
        marker mark;
        from = next;
        if (!read_marker(&mark, line)) {
            ap_buf_append_str(out, line);
            continue;
        }
        bool fits = mark.begin ? open < 0 && !there[mark.part] && has_end(text, next, mark.part) : open == mark.part;
        if (fits) {
            open = mark.begin ? mark.part : -1;
            there[mark.part] = true;
            ap_buf_append_str(out, line);
        } else {
            size_t at = (size_t)(strchr(line.ptr, '<') - line.ptr);
            ap_buf_append(out, line.ptr, at);
            ap_buf_append_cstr(out, "<!-- once ");
            ap_buf_append(out, line.ptr + at + 5, line.len - at - 5);
        }
    }
}

ap_status ap_writeup_merge(ap_buf *out, size_t *clashes, ap_arena *arena, const ap_writeup_text *base,
                           const ap_writeup_text *ours, const ap_writeup_text *theirs, ap_str whose, ap_error *err) {
    ap_buf base_text;
    ap_buf our_text;
    ap_buf joined;
    ap_buf_init(&base_text, AP_WRITEUP_TEXT_MAX);
    ap_buf_init(&our_text, AP_WRITEUP_TEXT_MAX);
    ap_buf_init(&joined, 3u * AP_WRITEUP_TEXT_MAX);
    ap_line_labels labels = {
        .theirs = ap_arena_printf(arena, CLASH "both changed this. Kept by %.*s:**", AP_STR_ARG(whose)),
        .ours = AP_STR_LIT(CLASH "and in this file:**"),
        .end = AP_STR_LIT(CLASH "end of what both changed. Keep what is right and take these three lines out.**"),
    };
    ap_status status = with_parts_of(&base_text, base, theirs, err);
    if (status == AP_OK) {
        status = with_parts_of(&our_text, ours, theirs, err);
    }
    if (status == AP_OK) {
        status = ap_line_merge(&joined, clashes, arena, ap_buf_str(&base_text), ap_buf_str(&our_text), theirs->text,
                               &labels, err);
    }
    if (status == AP_OK) {
        put_pairing(out, ap_buf_str(&joined));
        status = ap_buf_check(out, "two edits put together", err);
    }
    ap_buf_release(&base_text);
    ap_buf_release(&our_text);
    ap_buf_release(&joined);
    return status;
}
