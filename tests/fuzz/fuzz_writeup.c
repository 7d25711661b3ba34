/* A write-up's file as people leave it behind. What must hold:
 *  - it is refused with a line and valid UTF-8, or read; what is read lies inside the text and in order;
 *  - a refresh leaves every byte outside the header and the program's parts, can be read again, and a second one changes nothing;
 *  - joined with itself it has no clash; joined with a shorter text of its own, the outcome can be read;
 *  - the page of it is written, valid UTF-8, and no tag of the text's own is in it. */
#include "followup/writeup_text.h"
#include "page/markup.h"
#include "require.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check_places(const ap_writeup_text *text) {
    require(text->header_at < text->header_end && text->header_end <= text->text.len);
    for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
        const ap_writeup_place *place = &text->part[i];
        if (place->there) {
            require(place->mark_at >= text->header_end && place->mark_at < place->at && place->at <= place->end);
            require(place->end < place->mark_end && place->mark_end <= text->text.len);
            require(place->first_line < place->last_line);
        }
    }
}

/* The bytes that are a person's: behind the header, outside every part that is not edited by hand. */
static void put_persons(ap_buf *out, const ap_writeup_text *text) {
    for (size_t at = text->header_end; at < text->text.len; at++) {
        for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
            const ap_writeup_place *place = &text->part[i];
            if (place->there && !place->by_hand && place->mark_at == at) {
                at = place->mark_end;
                i = -1; /* another may begin right there */
            }
        }
        if (at < text->text.len) {
            ap_buf_append_char(out, text->text.ptr[at]);
        }
    }
}

static void check_refresh(ap_writeup_text *text) {
    ap_str parts[AP_WRITEUP_PART_COUNT];
    ap_writeup_refreshed state[AP_WRITEUP_PART_COUNT];
    ap_writeup_text fresh;
    ap_error err = {0};
    ap_buf once;
    ap_buf twice;
    ap_buf before;
    ap_buf behind;
    ap_buf_init(&once, AP_WRITEUP_TEXT_MAX);
    ap_buf_init(&twice, AP_WRITEUP_TEXT_MAX);
    ap_buf_init(&before, AP_WRITEUP_TEXT_MAX);
    ap_buf_init(&behind, AP_WRITEUP_TEXT_MAX);
    for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
        parts[i] = AP_STR_LIT("- as it is now\n");
    }
    require(ap_writeup_refresh(&once, state, text, parts, 7, &err) == AP_OK);
    require(ap_writeup_parse(&fresh, ap_buf_str(&once), &err) == AP_OK && fresh.header.revision == 7);
    check_places(&fresh);
    put_persons(&before, text);
    put_persons(&behind, &fresh);
    require(ap_str_equal(ap_buf_str(&before), ap_buf_str(&behind)));
    require(ap_writeup_refresh(&twice, state, &fresh, parts, 7, &err) == AP_OK);
    require(ap_str_equal(ap_buf_str(&once), ap_buf_str(&twice)));
    ap_buf_release(&once);
    ap_buf_release(&twice);
    ap_buf_release(&before);
    ap_buf_release(&behind);
}

static void check_merge(ap_arena *arena, const ap_writeup_text *text) {
    ap_error err = {0};
    ap_buf out;
    size_t clashes = 1;
    ap_buf_init(&out, 4u * AP_WRITEUP_TEXT_MAX);
    require(ap_writeup_merge(&out, &clashes, arena, text, text, text, AP_STR_LIT("lead"), &err) == AP_OK && !clashes);
    ap_writeup_text cut;
    size_t len = text->text.len;
    for (size_t tries = 0; tries < 4 && len > text->header_end; tries++) {
        len -= (len - text->header_end + 2) / 3;
        if (ap_writeup_parse(&cut, (ap_str){text->text.ptr, len}, &err) == AP_OK) {
            ap_writeup_text joined;
            ap_buf_clear(&out);
            require(ap_writeup_merge(&out, &clashes, arena, &cut, text, &cut, AP_STR_LIT("lead"), &err) == AP_OK);
            require(ap_writeup_parse(&joined, ap_buf_str(&out), &err) == AP_OK);
        }
    }
    ap_buf_release(&out);
}

static void check_page(ap_str markdown) {
    const ap_doc_head head = {.title = AP_STR_LIT("Near miss"), .units = AP_UNITS_US};
    ap_error err = {0};
    ap_buf page;
    ap_buf_init(&page, 64u << 20);
    ap_sink sink = ap_sink_to_buf(&page);
    require(ap_page_write_markup(&sink, &head, markdown, NULL, 0, &err) == AP_OK);
    require(page.len > 0 && ap_utf8_is_valid(ap_buf_str(&page)));
    require(!strstr(page.ptr, "<script") && !strstr(page.ptr, "<img") && !strstr(page.ptr, "href=\"javascript:"));
    ap_buf_release(&page);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    ap_writeup_text text;
    ap_writeup settled = {0};
    ap_error err = {0};
    ap_arena arena;
    ap_str whole = {size ? (const char *)data : "", size};
    check_page(whole);
    if (ap_writeup_parse(&text, whole, &err) != AP_OK) {
        require(err.text[0] && ap_utf8_is_valid(ap_str_from(err.text)));
        return 0;
    }
    ap_arena_init(&arena, 64u << 20);
    check_places(&text);
    check_refresh(&text);
    check_merge(&arena, &text);
    if (ap_writeup_settled(&settled, &arena, &text, &err) != AP_OK) {
        require(err.text[0] && ap_utf8_is_valid(ap_str_from(err.text)));
    }
    ap_arena_release(&arena);
    return 0;
}
