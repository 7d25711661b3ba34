#include "nearmiss/said.h"

#include "base/grow.h"
#include "book/notes.h"
#include "nearmiss/phrases_load.h"

enum { BEFORE_HIT = 60, BEHIND_HIT = 80, HIT_SHOWN = 120, NAMES_MAX = 128 << 20, NOWHERE = -1 };

typedef struct reading {
    ap_said_list *out;
    ap_arena *arena;
    ap_book *book;
    ap_phrase_book *rules; /* read with the first note: a book without notes needs none */
    ap_intern *names;      /* of picks with a hit: number n is items[n - 1] */
    ap_said *items;        /* heap */
    size_t cap;
} reading;

static bool inside_character(char byte) {
    return ((unsigned char)byte & 0xC0) == 0x80;
}

/* Some words before the hit and behind it, so that a long note does not fill the page. */
static void take_excerpt(ap_said *said, ap_arena *arena, ap_str note, const ap_phrase_hit *hit) {
    size_t from = hit->at > BEFORE_HIT ? hit->at - BEFORE_HIT : 0;
    size_t len = hit->len > HIT_SHOWN ? HIT_SHOWN : hit->len;
    size_t to = hit->at + len + BEHIND_HIT < note.len ? hit->at + len + BEHIND_HIT : note.len;
    while (from > 0 && from < hit->at && note.ptr[from - 1] != ' ') {
        from++;
    }
    while (from < hit->at && inside_character(note.ptr[from])) {
        from++;
    }
    while (to < note.len && to > hit->at + len && note.ptr[to] != ' ') {
        to--;
    }
    while (to < note.len && to > hit->at && inside_character(note.ptr[to])) {
        to--;
    }
    char *text = ap_arena_cstr(arena, (ap_str){note.ptr + from, to - from});
    if (!text) {
        return;
    }
    for (size_t i = 0; i < to - from; i++) {
        text[i] = (unsigned char)text[i] < ' ' ? ' ' : text[i];
    }
    said->note = (ap_str){text, to - from};
    size_t at = hit->at - from;
    said->at = (uint16_t)at;
    said->len = (uint16_t)(at + len > said->note.len ? said->note.len - at : len);
}

static ap_status keep(reading *r, const ap_note *note, const ap_phrase_hit *hits, size_t count, ap_error *err) {
    if (r->out->count == r->cap) {
        ap_said *grown = ap_grown(r->items, &r->cap, 64, sizeof *grown);
        if (!grown) {
            return ap_error_set(err, AP_E_MEMORY, "out of memory for the notes");
        }
        r->items = grown;
    }
    const ap_phrase_hit *gravest = &hits[0];
    ap_said said = {.fact = (uint32_t)NOWHERE};
    for (size_t i = 0; i < count; i++) {
        said.reasons |= 1u << hits[i].reason;
        gravest = hits[i].reason < gravest->reason ? &hits[i] : gravest;
    }
    said.reason = gravest->reason;
    take_excerpt(&said, r->arena, note->text, gravest);
    size_t known = ap_intern_count(r->names);
    if (ap_intern_add(r->names, note->pick) == known + 1) {
        r->items[r->out->count++] = said;
    }
    return ap_arena_check(r->arena, "the notes", err);
}

static ap_status search(void *context, const ap_note *note, ap_error *err) {
    reading *r = context;
    ap_phrase_hit hits[AP_PHRASE_HITS_MAX];
    size_t count = 0;
    ap_status status = r->rules ? AP_OK : ap_phrase_book_load(&r->rules, r->book, err);
    if (status != AP_OK) {
        return status;
    }
    r->out->notes++;
    r->out->cut_short += note->text.len > AP_PHRASE_NOTE_MAX;
    status = ap_phrases_find(hits, &count, ap_phrase_book_phrases(r->rules), note->text, err);
    if (status == AP_E_LIMIT) {
        r->out->unsearched++;
        return AP_OK;
    }
    return status == AP_OK && count ? keep(r, note, hits, count, err) : status;
}

static int by_fact(const void *left, const void *right) {
    const ap_said *a = left;
    const ap_said *b = right;
    return (a->fact > b->fact) - (a->fact < b->fact);
}

/* Finds each pick's place in the roster; a pick that is not in it is left out. */
static void place(reading *r, const ap_roster *roster, ap_date since, ap_date until) {
    size_t first;
    size_t end;
    ap_roster_slice(roster, since, until, &first, &end);
    for (size_t i = first; i < end && r->out->count; i++) {
        uint32_t number = ap_intern_find(r->names, ap_str_from(roster->facts[i].rest->name));
        if (number) {
            r->items[number - 1].fact = (uint32_t)i;
        }
    }
    qsort(r->items, r->out->count, sizeof *r->items, by_fact);
    while (r->out->count && r->items[r->out->count - 1].fact == (uint32_t)NOWHERE) {
        r->out->count--;
    }
}

ap_status ap_said_read(ap_said_list *out, ap_arena *arena, ap_book *book, const ap_roster *roster, ap_date since,
                       ap_date until, ap_error *err) {
    *out = (ap_said_list){0};
    ap_arena names;
    ap_arena_init(&names, NAMES_MAX);
    reading r = {.out = out, .arena = arena, .book = book, .names = ap_intern_new(&names)};
    ap_status status = ap_arena_check(&names, "the notes", err);
    if (status == AP_OK) {
        status = ap_book_each_note(book, since, until, search, &r, err);
    }
    if (status == AP_OK) {
        status = ap_arena_check(&names, "the notes", err);
    }
    if (status == AP_OK && out->count) {
        place(&r, roster, since, until);
        ap_said *items = ap_arena_alloc_array(arena, out->count + 1, sizeof *items);
        if (items && out->count) {
            memcpy(items, r.items, out->count * sizeof *items);
        }
        out->items = items;
        status = ap_arena_check(arena, "the notes", err);
    }
    free(r.items);
    ap_arena_release(&names);
    ap_phrase_book_free(r.rules);
    return status;
}
