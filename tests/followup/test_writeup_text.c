/* The write-up's text: what a person wrote is never lost, moved or changed by the program (W1 to W5). */
#include "support/book_fixture.h"

#include <cmark.h>

#include "followup/writeup_text.h"
#include "page/markup.h"
#include "stats/prng.h"

static const ap_writeup_header header = {
    .id = 7,
    .token = {"0123456789abcdef", 16},
    .revision = 1,
    .picks = {"J231/17", 7},
    .opened = 20000,
};

enum { TEXT_MAX = 1 << 20 };

typedef struct fixture {
    ap_arena arena;
    ap_error err;
    ap_buf text;
    ap_buf next;
} fixture;

static int setup(void **state) {
    fixture *it = calloc(1, sizeof *it);
    ap_arena_init(&it->arena, 64u << 20);
    ap_buf_init(&it->text, TEXT_MAX);
    ap_buf_init(&it->next, TEXT_MAX);
    *state = it;
    return 0;
}

static int teardown(void **state) {
    fixture *it = *state;
    ap_arena_release(&it->arena);
    ap_buf_release(&it->text);
    ap_buf_release(&it->next);
    free(it);
    return 0;
}

static void fill(ap_str parts[AP_WRITEUP_PART_COUNT], fixture *it, int version) {
    for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
        parts[i] = i == AP_WRITEUP_DUTIES ? AP_STR_NONE
                                          : ap_arena_printf(&it->arena, "- %s, version %d\n- second line\n",
                                                            ap_writeup_part_name((ap_writeup_part)i), version);
    }
}

static void compose(fixture *it, int version) {
    ap_str parts[AP_WRITEUP_PART_COUNT];
    fill(parts, it, version);
    ap_buf_clear(&it->text);
    check_ok(ap_writeup_compose(&it->text, &header, AP_STR_LIT("Near miss"), parts, &it->err), &it->err);
}

static void composes_and_reads_back(void **state) {
    fixture *it = *state;
    ap_writeup_text text;
    compose(it, 1);
    check_ok(ap_writeup_parse(&text, ap_buf_str(&it->text), &it->err), &it->err);
    assert_int_equal(text.header.id, 7);
    assert_int_equal(text.header.revision, 1);
    check_str(text.header.picks, "J231/17");
    assert_int_equal(text.header.opened, 20000);
    assert_false(text.part[AP_WRITEUP_DUTIES].there);
    for (int i = AP_WRITEUP_FACTS; i < AP_WRITEUP_PART_COUNT; i++) {
        assert_true(text.part[i].there);
        assert_false(text.part[i].by_hand);
    }
}

/* The bytes outside the header and the program's parts, parts told by a mark. */
static ap_str of_the_person(fixture *it, const ap_writeup_text *text) {
    ap_buf out;
    ap_buf_init(&out, TEXT_MAX);
    ap_buf_append(&out, text->text.ptr, text->header_at);
    for (size_t at = text->header_end; at < text->text.len;) {
        bool skipped = false;
        for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
            const ap_writeup_place *place = &text->part[i];
            if (place->there && !place->by_hand && place->mark_at == at) {
                ap_buf_appendf(&out, "[%d]", i);
                at = place->mark_end;
                skipped = true;
                break;
            }
        }
        if (!skipped) {
            ap_buf_append_char(&out, text->text.ptr[at++]);
        }
    }
    ap_str copy = ap_arena_str(&it->arena, ap_buf_str(&out));
    ap_buf_release(&out);
    return copy;
}

/* A line a person might type, hostile ones among them. */
static const char *const typed[] = {
    "The butt came up about a foot.",
    "",
    "## My own heading",
    "<script>alert(1)</script>",
    "--- not a header ---",
    "Sling \xE2\x80\x9Cgreen\xE2\x80\x9D was slack <!-- I think -->",
    "> quoted",
    "\tindented",
    "***",
    "write-up: 99",
};

/* One edit of one line outside the program's parts; a heading or a prompt may go. */
static void edit_once(fixture *it, ap_prng *prng, bool crlf) {
    ap_writeup_text text;
    check_ok(ap_writeup_parse(&text, ap_buf_str(&it->text), &it->err), &it->err);
    size_t starts[2000];
    size_t ends[2000];
    size_t count = 0;
    for (size_t at = text.header_end; at < text.text.len && count < 2000;) {
        const char *end = memchr(text.text.ptr + at, '\n', text.text.len - at);
        size_t next = end ? (size_t)(end - text.text.ptr) + 1 : text.text.len;
        bool program = false;
        for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
            program = program || (text.part[i].there && at >= text.part[i].mark_at && at < text.part[i].mark_end);
        }
        if (!program) {
            starts[count] = at;
            ends[count++] = next;
        }
        at = next;
    }
    assert_true(count > 0);
    size_t which = (size_t)ap_prng_below(prng, count);
    uint64_t what = ap_prng_below(prng, 3);
    ap_buf_clear(&it->next);
    ap_buf_append(&it->next, text.text.ptr, starts[which]);
    if (what != 2) { /* typed in front, or in its place */
        ap_buf_append_cstr(&it->next, typed[ap_prng_below(prng, sizeof typed / sizeof *typed)]);
        ap_buf_append_cstr(&it->next, crlf ? "\r\n" : "\n");
    }
    size_t from = what == 0 ? starts[which] : ends[which];
    ap_buf_append(&it->next, text.text.ptr + from, text.text.len - from);
    ap_buf swap = it->text;
    it->text = it->next;
    it->next = swap;
}

/* As an editor of another system saves it. */
static void to_crlf_with_bom(fixture *it) {
    ap_buf_clear(&it->next);
    ap_buf_append_cstr(&it->next, "\xEF\xBB\xBF");
    for (size_t i = 0; i < it->text.len; i++) {
        if (it->text.ptr[i] == '\n') {
            ap_buf_append_char(&it->next, '\r');
        }
        ap_buf_append_char(&it->next, it->text.ptr[i]);
    }
    ap_buf swap = it->text;
    it->text = it->next;
    it->next = swap;
}

/* Kept in the book and read back: the same bytes. */
static void keep_and_read_back(fixture *it, book_fixture *book, int64_t id, ap_str text) {
    const ap_book_author author = fixture_author();
    ap_writeup_revision kept;
    int64_t revision = 0;
    check_ok(ap_book_writeup_keep(&revision, book->book, id, text, AP_STR_NONE, &author, &it->err), &it->err);
    check_ok(ap_book_writeup_text(&kept, &it->arena, book->book, id, revision, &it->err), &it->err);
    assert_true(ap_str_equal(kept.text, text));
}

/* The page shows the plain sentence as often as it was typed, and lets nothing typed act. */
static void render_and_look(fixture *it, const ap_writeup_text *text) {
    static const char sentence[] = "The butt came up about a foot.";
    const ap_doc_head page_head = {.title = AP_STR_LIT("Write-up")};
    ap_buf page;
    ap_buf_init(&page, 16u << 20);
    ap_sink sink = ap_sink_to_buf(&page);
    ap_str body = {text->text.ptr + text->header_end, text->text.len - text->header_end};
    check_ok(ap_page_write_markup(&sink, &page_head, body, NULL, 0, &it->err), &it->err);
    size_t typed_count = 0;
    size_t shown = 0;
    ap_str copy = ap_arena_str(&it->arena, body);
    for (const char *at = copy.ptr; (at = strstr(at, sentence)) != NULL; at++) {
        typed_count++;
    }
    for (const char *at = strstr(page.ptr, "<main"); (at = strstr(at, sentence)) != NULL; at++) {
        shown++;
    }
    assert_int_equal(shown, typed_count);
    assert_null(strstr(strstr(page.ptr, "<main"), "<script>alert"));
    ap_buf_release(&page);
}

static void keeps_every_byte_of_a_person_through_a_thousand_edits(void **state) {
    fixture *it = *state;
    book_fixture book;
    int64_t id = 0;
    const ap_book_author author = fixture_author();
    const ap_writeup_new fresh_one = {
        .title = AP_STR_LIT("Near miss"), .token = header.token, .picks = {AP_STR_LIT("J231/17")}, .pick_count = 1};
    fixture_make(&book);
    check_ok(ap_book_begin(book.book, &it->err), &it->err);
    check_ok(ap_book_writeup_open(&id, book.book, &fresh_one, &author, &it->err), &it->err);
    for (unsigned seed = 0; seed < 1000; seed++) {
        ap_prng prng;
        ap_prng_init(&prng, 20261126, seed);
        ap_arena_clear(&it->arena);
        compose(it, 1);
        bool crlf = seed % 3 == 1;
        if (crlf) {
            to_crlf_with_bom(it);
        }
        for (uint64_t edits = 1 + ap_prng_below(&prng, 12); edits > 0; edits--) {
            edit_once(it, &prng, crlf);
        }
        ap_writeup_text old;
        ap_writeup_text fresh;
        ap_str parts[AP_WRITEUP_PART_COUNT];
        ap_writeup_refreshed became[AP_WRITEUP_PART_COUNT];
        fill(parts, it, 2);
        check_ok(ap_writeup_parse(&old, ap_buf_str(&it->text), &it->err), &it->err);
        ap_buf_clear(&it->next);
        check_ok(ap_writeup_refresh(&it->next, became, &old, parts, 2, &it->err), &it->err);
        check_ok(ap_writeup_parse(&fresh, ap_buf_str(&it->next), &it->err), &it->err);
        assert_int_equal(fresh.header.revision, 2);
        assert_true(ap_str_equal(of_the_person(it, &old), of_the_person(it, &fresh)));
        for (int i = AP_WRITEUP_FACTS; i < AP_WRITEUP_PART_COUNT; i++) {
            assert_int_equal(became[i], AP_WRITEUP_UPDATED);
        }
        /* A second time with the same parts and revision changes nothing at all. */
        ap_buf again;
        ap_buf_init(&again, TEXT_MAX);
        check_ok(ap_writeup_refresh(&again, became, &fresh, parts, 2, &it->err), &it->err);
        assert_true(ap_str_equal(ap_buf_str(&again), ap_buf_str(&it->next)));
        ap_buf_release(&again);
        keep_and_read_back(it, &book, id, fresh.text);
        render_and_look(it, &fresh);
    }
    check_ok(ap_book_commit(book.book, &it->err), &it->err);
    fixture_remove(&book);
}

static void replace(fixture *it, const char *what, const char *with) {
    char *at = strstr(it->text.ptr, what);
    assert_non_null(at);
    ap_buf_clear(&it->next);
    ap_buf_append(&it->next, it->text.ptr, (size_t)(at - it->text.ptr));
    ap_buf_append_cstr(&it->next, with);
    ap_buf_append_cstr(&it->next, at + strlen(what));
    ap_buf swap = it->text;
    it->text = it->next;
    it->next = swap;
}

static void leaves_a_part_that_was_edited_by_hand(void **state) {
    fixture *it = *state;
    ap_writeup_text text;
    ap_str parts[AP_WRITEUP_PART_COUNT];
    ap_writeup_refreshed became[AP_WRITEUP_PART_COUNT];
    compose(it, 1);
    replace(it, "- facts, version 1", "- facts, version 1, but the tag line was off");
    check_ok(ap_writeup_parse(&text, ap_buf_str(&it->text), &it->err), &it->err);
    assert_true(text.part[AP_WRITEUP_FACTS].by_hand);
    fill(parts, it, 2);
    ap_buf_clear(&it->next);
    check_ok(ap_writeup_refresh(&it->next, became, &text, parts, 2, &it->err), &it->err);
    assert_int_equal(became[AP_WRITEUP_FACTS], AP_WRITEUP_BY_HAND);
    assert_int_equal(became[AP_WRITEUP_CAPACITY], AP_WRITEUP_UPDATED);
    assert_non_null(strstr(it->next.ptr, "but the tag line was off"));
}

static void leaves_out_a_part_that_was_taken_out(void **state) {
    fixture *it = *state;
    ap_writeup_text text;
    ap_str parts[AP_WRITEUP_PART_COUNT];
    ap_writeup_refreshed became[AP_WRITEUP_PART_COUNT];
    compose(it, 1);
    check_ok(ap_writeup_parse(&text, ap_buf_str(&it->text), &it->err), &it->err);
    const ap_writeup_place *place = &text.part[AP_WRITEUP_SIMILAR];
    ap_buf_clear(&it->next);
    ap_buf_append(&it->next, it->text.ptr, place->mark_at);
    ap_buf_append(&it->next, it->text.ptr + place->mark_end, it->text.len - place->mark_end);
    check_ok(ap_writeup_parse(&text, ap_buf_str(&it->next), &it->err), &it->err);
    fill(parts, it, 2);
    ap_buf_clear(&it->text);
    check_ok(ap_writeup_refresh(&it->text, became, &text, parts, 2, &it->err), &it->err);
    assert_int_equal(became[AP_WRITEUP_SIMILAR], AP_WRITEUP_TAKEN_OUT);
    assert_null(strstr(it->text.ptr, "similar, version 2"));
}

static void refuses_what_is_half_broken_and_says_where(void **state) {
    fixture *it = *state;
    static const struct {
        const char *what, *with, *says;
    } cases[] = {
        {"<!-- afterpick end facts -->\n", "", "line 29: a part of the program begins inside another"},
        {"<!-- afterpick end attachments -->\n", "", "does not end: its end marker is gone"},
        {"<!-- afterpick end facts -->", "<!-- afterpick end fact -->",
         "line 26: a marker line of the program was changed"},
        {"<!-- afterpick end facts -->", "> <!-- afterpick end facts -->",
         "line 26: a marker line of the program was changed"},
        {"<!-- afterpick end similar -->", "<!-- afterpick end similar -->\n<!-- afterpick end similar -->",
         "an end marker without its begin"},
        {"---\n", "", "line 1: a write-up begins with its header"},
        {"revision: 1\n", "", "the header lacks one of"},
        {"revision: 1\n", "revision: one\n", "line 4: the header has"},
        {"of: 0123456789abcdef", "of: 0123", "line 3: the header has"},
        {"opened: 2024-10-04\n---\n", "opened: 2024-10-04\n", "line 8: the header has"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        ap_writeup_text text;
        compose(it, 1);
        replace(it, cases[i].what, cases[i].with);
        check_refused(ap_writeup_parse(&text, ap_buf_str(&it->text), &it->err), AP_E_INPUT, &it->err, cases[i].says);
    }
}

static void refuses_cut_files_anywhere_without_a_fault(void **state) {
    fixture *it = *state;
    compose(it, 1);
    for (size_t len = 0; len < it->text.len; len += 3) {
        ap_writeup_text text;
        ap_status status = ap_writeup_parse(&text, (ap_str){it->text.ptr, len}, &it->err);
        assert_true(status == AP_OK || status == AP_E_INPUT);
    }
}

static ap_writeup_text parsed(fixture *it, ap_str text) {
    ap_writeup_text out;
    check_ok(ap_writeup_parse(&out, ap_arena_str(&it->arena, text), &it->err), &it->err);
    return out;
}

static void joins_two_peoples_edits_and_shows_both_where_they_clash(void **state) {
    fixture *it = *state;
    size_t clashes;
    ap_buf out;
    compose(it, 1);
    ap_writeup_text base = parsed(it, ap_buf_str(&it->text));
    replace(it, "## What happened\n", "## What happened\n\nThe climber felt the saw pinch.\n");
    ap_writeup_text theirs = parsed(it, ap_buf_str(&it->text));
    compose(it, 1);
    replace(it, "## Who gets this", "More here.\n\n## Who gets this");
    ap_writeup_text ours = parsed(it, ap_buf_str(&it->text));
    ap_buf_init(&out, TEXT_MAX);
    check_ok(ap_writeup_merge(&out, &clashes, &it->arena, &base, &ours, &theirs, AP_STR_LIT("crew lead"), &it->err),
             &it->err);
    assert_int_equal(clashes, 0);
    assert_non_null(strstr(out.ptr, "felt the saw pinch"));
    assert_non_null(strstr(out.ptr, "More here."));

    compose(it, 1);
    replace(it, "## What happened\n", "## What happened\n\nThe operator saw 5,200 on the display.\n");
    ours = parsed(it, ap_buf_str(&it->text));
    ap_buf_clear(&out);
    check_ok(ap_writeup_merge(&out, &clashes, &it->arena, &base, &ours, &theirs, AP_STR_LIT("crew lead"), &it->err),
             &it->err);
    assert_int_equal(clashes, 1);
    assert_non_null(strstr(out.ptr, "felt the saw pinch"));
    assert_non_null(strstr(out.ptr, "saw 5,200 on the display"));
    assert_true(parsed(it, ap_buf_str(&out)).clash_line > 0);
    ap_buf_release(&out);
}

/* One edit with lines that tell who typed them, so that each can be looked for behind. */
static void edit_as(fixture *it, ap_prng *prng, char who, unsigned seed, unsigned number, ap_buf *typed_lines) {
    ap_writeup_text text;
    check_ok(ap_writeup_parse(&text, ap_buf_str(&it->text), &it->err), &it->err);
    size_t at = text.header_end;
    uint64_t skip = ap_prng_below(prng, 60);
    for (size_t i = at; i < text.text.len && skip > 0; i++) {
        bool in_part = false;
        for (int p = 0; p < AP_WRITEUP_PART_COUNT; p++) {
            in_part = in_part || (text.part[p].there && i + 1 > text.part[p].mark_at && i + 1 < text.part[p].mark_end);
        }
        if (text.text.ptr[i] == '\n' && !in_part) {
            skip--;
            at = i + 1;
        }
    }
    ap_buf_clear(&it->next);
    ap_buf_append(&it->next, text.text.ptr, at);
    size_t from = it->next.len;
    ap_buf_appendf(&it->next, "%c%u.%u said so\n", who, seed, number);
    ap_buf_append(typed_lines, it->next.ptr + from, it->next.len - from);
    ap_buf_append(&it->next, text.text.ptr + at, text.text.len - at);
    ap_buf swap = it->text;
    it->text = it->next;
    it->next = swap;
}

/* What people do to the parts of the program: words inside, a part moved to the end, a part taken out. */
static void trouble_a_part(fixture *it, ap_prng *prng, char who) {
    ap_writeup_text text;
    check_ok(ap_writeup_parse(&text, ap_buf_str(&it->text), &it->err), &it->err);
    const ap_writeup_place *place = &text.part[AP_WRITEUP_FACTS + ap_prng_below(prng, 3)];
    uint64_t what = ap_prng_below(prng, 4);
    if (!place->there || what == 3) {
        return;
    }
    ap_buf_clear(&it->next);
    ap_buf_append(&it->next, text.text.ptr, what == 0 ? place->at : place->mark_at);
    if (what == 0) {
        ap_buf_appendf(&it->next, "- %c knows better\n", who);
        ap_buf_append(&it->next, text.text.ptr + place->at, text.text.len - place->at);
    } else {
        ap_buf_append(&it->next, text.text.ptr + place->mark_end, text.text.len - place->mark_end);
        if (what == 1) {
            ap_buf_append(&it->next, text.text.ptr + place->mark_at, place->mark_end - place->mark_at);
        }
    }
    ap_buf swap = it->text;
    it->text = it->next;
    it->next = swap;
}

static void refresh_to(fixture *it, int version) {
    ap_writeup_text text;
    ap_str parts[AP_WRITEUP_PART_COUNT];
    ap_writeup_refreshed became[AP_WRITEUP_PART_COUNT];
    fill(parts, it, version);
    check_ok(ap_writeup_parse(&text, ap_buf_str(&it->text), &it->err), &it->err);
    ap_buf_clear(&it->next);
    check_ok(ap_writeup_refresh(&it->next, became, &text, parts, 1, &it->err), &it->err);
    ap_buf swap = it->text;
    it->text = it->next;
    it->next = swap;
}

static ap_writeup_text edited_by(fixture *it, ap_prng *prng, char who, unsigned seed, ap_buf *typed_lines) {
    compose(it, 1);
    for (unsigned edits = 1 + (unsigned)ap_prng_below(prng, 6); edits > 0; edits--) {
        edit_as(it, prng, who, seed, edits, typed_lines);
    }
    if (ap_prng_below(prng, 3) == 0) {
        refresh_to(it, 2);
    }
    if (seed % 2) {
        trouble_a_part(it, prng, who);
    }
    return parsed(it, ap_buf_str(&it->text));
}

/* Two people edit the same revision, some of them in the program's parts: the joined text can be read, and nothing that one
 * of them typed is lost. */
static void no_line_of_two_people_is_lost_in_a_thousand_joins(void **state) {
    fixture *it = *state;
    for (unsigned seed = 0; seed < 1000; seed++) {
        ap_prng prng;
        size_t clashes = 0;
        ap_buf out;
        ap_buf lines;
        ap_prng_init(&prng, 20261127, seed);
        ap_arena_clear(&it->arena);
        ap_buf_init(&out, TEXT_MAX);
        ap_buf_init(&lines, TEXT_MAX);
        compose(it, 1);
        ap_writeup_text base = parsed(it, ap_buf_str(&it->text));
        ap_writeup_text theirs = edited_by(it, &prng, 'A', seed, &lines);
        ap_writeup_text ours = edited_by(it, &prng, 'B', seed, &lines);
        check_ok(ap_writeup_merge(&out, &clashes, &it->arena, &base, &ours, &theirs, AP_STR_LIT("crew lead"), &it->err),
                 &it->err);
        ap_writeup_text joined = parsed(it, ap_buf_str(&out));
        assert_int_equal(joined.clash_line > 0, clashes > 0);
        for (ap_str rest = ap_buf_str(&lines); rest.len;) {
            ap_str line = ap_str_split(rest, '\n', &rest);
            assert_non_null(strstr(out.ptr, ap_arena_cstr(&it->arena, line)));
        }
        bool knows = strstr(ap_arena_str(&it->arena, theirs.text).ptr, "- A knows better");
        assert_true(!knows || strstr(out.ptr, "- A knows better"));
        knows = strstr(ap_arena_str(&it->arena, ours.text).ptr, "- B knows better");
        assert_true(!knows || strstr(out.ptr, "- B knows better"));
        ap_buf_release(&lines);
        ap_buf_release(&out);
    }
}

/* A title that would be a marker, and words of a log that are one: escaped, they are text. */
static void words_like_a_marker_are_text(void **state) {
    fixture *it = *state;
    ap_writeup_text text;
    ap_writeup settled = {0};
    ap_str parts[AP_WRITEUP_PART_COUNT] = {{0}};
    parts[AP_WRITEUP_FACTS] = AP_STR_LIT("- \\<!-- afterpick end facts --\\>\n");
    check_ok(
        ap_writeup_compose(&it->text, &header, AP_STR_LIT("On <!-- afterpick end facts --> a_b/4"), parts, &it->err),
        &it->err);
    check_ok(ap_writeup_parse(&text, ap_buf_str(&it->text), &it->err), &it->err);
    assert_true(text.part[AP_WRITEUP_FACTS].there);
    check_ok(ap_writeup_settled(&settled, &it->arena, &text, &it->err), &it->err);
    check_str(settled.title, "On <!-- afterpick end facts --> a_b/4");
    parts[AP_WRITEUP_FACTS] = AP_STR_LIT("- <!-- afterpick end facts -->\n");
    check_refused(ap_writeup_compose(&it->next, &header, AP_STR_LIT("x"), parts, &it->err), AP_E_INTERNAL, &it->err,
                  "holds a marker");
}

/* What a CommonMark reader finds: one title, then the headings in the order people read them, and none inside the parts.
 * The fields behind them: OSHA 2015, HSG245, MSC-MEPC.7/Circ.7 (docs/writeup.md). */
static void a_reader_of_commonmark_finds_the_same_headings(void **state) {
    static const char *const wanted[] = {"Near miss",
                                         "What happened",
                                         "The order of events",
                                         "The pick as planned and as measured",
                                         "How it hung and how it moved",
                                         "Load against capacity",
                                         "Similar picks",
                                         "Findings that touch it",
                                         "How bad it could have been",
                                         "Questions to ask",
                                         "What contributed",
                                         "Actions",
                                         "How we will know it worked",
                                         "Attachments",
                                         "Who gets this, and sign-off"};
    fixture *it = *state;
    ap_writeup_text text;
    size_t found = 0;
    compose(it, 1);
    check_ok(ap_writeup_parse(&text, ap_buf_str(&it->text), &it->err), &it->err);
    cmark_node *root =
        cmark_parse_document(text.text.ptr + text.header_end, text.text.len - text.header_end, CMARK_OPT_DEFAULT);
    assert_non_null(root);
    for (cmark_node *node = cmark_node_first_child(root); node; node = cmark_node_next(node)) {
        if (cmark_node_get_type(node) == CMARK_NODE_HEADING) {
            assert_true(found < sizeof wanted / sizeof *wanted);
            assert_int_equal(cmark_node_get_heading_level(node), found ? 2 : 1);
            assert_string_equal(cmark_node_get_literal(cmark_node_first_child(node)), wanted[found]);
            found++;
        }
    }
    assert_int_equal(found, sizeof wanted / sizeof *wanted);
    cmark_node_free(root);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(composes_and_reads_back, setup, teardown),
        cmocka_unit_test_setup_teardown(keeps_every_byte_of_a_person_through_a_thousand_edits, setup, teardown),
        cmocka_unit_test_setup_teardown(leaves_a_part_that_was_edited_by_hand, setup, teardown),
        cmocka_unit_test_setup_teardown(leaves_out_a_part_that_was_taken_out, setup, teardown),
        cmocka_unit_test_setup_teardown(refuses_what_is_half_broken_and_says_where, setup, teardown),
        cmocka_unit_test_setup_teardown(refuses_cut_files_anywhere_without_a_fault, setup, teardown),
        cmocka_unit_test_setup_teardown(joins_two_peoples_edits_and_shows_both_where_they_clash, setup, teardown),
        cmocka_unit_test_setup_teardown(no_line_of_two_people_is_lost_in_a_thousand_joins, setup, teardown),
        cmocka_unit_test_setup_teardown(words_like_a_marker_are_text, setup, teardown),
        cmocka_unit_test_setup_teardown(a_reader_of_commonmark_finds_the_same_headings, setup, teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
