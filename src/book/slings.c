#include "book/slings.h"

#include "base/pick.h"
#include "book/handle.h"

enum { HISTORY_MAX = 2000, KEPT_MAX = 1024 };

static void read_entry(ap_sling_entry *out, const ap_query *query, int first, ap_arena *arena) {
    ap_str kind = ap_query_text(query, first);
    out->kind = kind.len ? ap_word_find(AP_VOC_LEG_KIND, kind) : 0;
    out->wll_kg = ap_query_real(query, first + 1);
    out->length_m = ap_query_real(query, first + 2);
    out->factor = ap_query_real(query, first + 3);
    out->stiffness_n = ap_query_real(query, first + 4);
    out->source = ap_arena_str(arena, ap_query_text(query, first + 5));
    out->retired_on = ap_query_date(query, first + 6);
}

ap_status ap_book_slings(const ap_sling_entry **out, size_t *count, ap_arena *arena, ap_book *book, ap_error *err) {
    ap_query *query = NULL;
    ap_sling_entry *all = NULL;
    size_t cap = 0;
    *out = NULL;
    *count = 0;
    ap_status status = ap_query_open(&query, book, "sling_list", err);
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status != AP_OK || !row) {
            break;
        }
        if (*count == AP_SLINGS_MAX) {
            status = ap_error_set(err, AP_E_LIMIT, "the book holds more than %d slings", (int)AP_SLINGS_MAX);
            break;
        }
        if (*count == cap) {
            ap_sling_entry *wider = ap_arena_alloc_array(arena, cap ? cap * 2 : 32, sizeof *wider);
            if (!wider) {
                status = ap_error_set(err, AP_E_MEMORY, "out of memory for the slings");
                break;
            }
            if (cap) {
                memcpy(wider, all, cap * sizeof *wider);
            }
            all = wider;
            cap = cap ? cap * 2 : 32;
        }
        ap_sling_entry *entry = &all[(*count)++];
        *entry = (ap_sling_entry){.tag = ap_arena_str(arena, ap_query_text(query, 0)),
                                  .inspected_on = ap_query_date(query, 8)};
        read_entry(entry, query, 1, arena);
    }
    ap_query_close(query);
    *out = all;
    return status == AP_OK ? ap_arena_check(arena, "the slings", err) : status;
}

ap_status ap_book_sling_history(ap_entry_change **out, size_t *count, ap_arena *arena, ap_book *book, ap_str tag,
                                ap_error *err) {
    ap_query *query = NULL;
    *count = 0;
    *out = ap_arena_alloc_array(arena, HISTORY_MAX, sizeof **out);
    if (!*out) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the history of a sling");
    }
    ap_status status = ap_query_open(&query, book, "sling_history_list", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":tag", tag);
    }
    for (bool row = true; status == AP_OK && row && *count < HISTORY_MAX;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row) {
            (*out)[(*count)++] = (ap_entry_change){.field = ap_arena_str(arena, ap_query_text(query, 0)),
                                                   .old_value = ap_arena_str(arena, ap_query_text(query, 1)),
                                                   .new_value = ap_arena_str(arena, ap_query_text(query, 2)),
                                                   .on = ap_arena_str(arena, ap_query_text(query, 3)),
                                                   .who = ap_arena_str(arena, ap_query_text(query, 4)),
                                                   .why = ap_arena_str(arena, ap_query_text(query, 5))};
        }
    }
    ap_query_close(query);
    return status == AP_OK ? ap_arena_check(arena, "the history of a sling", err) : status;
}

static ap_status check_tag(ap_str tag, ap_error *err) {
    if (ap_str_is_blank(tag)) {
        return ap_error_set(err, AP_E_INPUT, "a sling needs its tag: write it as the logs do");
    }
    if (tag.len > AP_SLING_TAG_MAX || !ap_utf8_is_valid(tag)) {
        return ap_error_set(err, AP_E_INPUT, "a sling's tag is text of at most %d bytes", (int)AP_SLING_TAG_MAX);
    }
    for (size_t i = 0; i < tag.len; i++) {
        if ((unsigned char)tag.ptr[i] < ' ' || tag.ptr[i] == 0x7f) {
            return ap_error_set(err, AP_E_INPUT, "a sling's tag holds a control character: write it as the logs do");
        }
    }
    return AP_OK;
}

/* The entry as it stands; everything blank when there is none. Its text lives in `arena`. */
static ap_status find(ap_sling_entry *out, ap_arena *arena, ap_book *book, ap_str tag, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    *out =
        (ap_sling_entry){.wll_kg = NAN, .length_m = NAN, .factor = NAN, .stiffness_n = NAN, .retired_on = AP_DATE_NONE};
    ap_status status = ap_book_need_transaction(book, err);
    if (status == AP_OK) {
        status = check_tag(tag, err);
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "sling_get", err);
    }
    if (status == AP_OK) {
        ap_query_bind_text(query, ":tag", tag);
        status = ap_query_step(&row, query, err);
    }
    if (status == AP_OK && row) {
        read_entry(out, query, 0, arena);
        status = ap_arena_check(arena, "a sling", err);
    }
    ap_query_close(query);
    return status;
}

static void bind_author(ap_query *query, const ap_sling_edit *edit) {
    ap_query_bind_text(query, ":who", edit->author->role.ptr ? edit->author->role : AP_STR_LIT(""));
    ap_query_bind_text(query, ":why", edit->why.ptr ? edit->why : AP_STR_LIT(""));
}

static ap_status keep_history(ap_book *book, const ap_sling_edit *edit, const char *field, ap_str old_value,
                              ap_str new_value, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "sling_history_insert", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":tag", edit->tag);
        ap_query_bind_text(query, ":field", ap_str_from(field));
        ap_query_bind_text(query, ":old_value", old_value.len ? old_value : AP_STR_NONE);
        ap_query_bind_text(query, ":new_value", new_value.len ? new_value : AP_STR_NONE);
        ap_query_bind_date(query, ":today", edit->author->today);
        bind_author(query, edit);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    return status;
}

static ap_status put(ap_book *book, const ap_sling_edit *edit, const ap_sling_entry *entry, ap_error *err) {
    ap_query *query = NULL;
    const char *kind = entry->kind ? ap_word_get(AP_VOC_LEG_KIND, entry->kind) : NULL;
    ap_status status = ap_query_open(&query, book, "sling_put", err);
    if (status == AP_OK) {
        ap_query_bind_text(query, ":tag", edit->tag);
        ap_query_bind_text(query, ":kind", kind ? ap_str_from(kind) : AP_STR_NONE);
        ap_query_bind_real(query, ":wll", entry->wll_kg);
        ap_query_bind_real(query, ":length", entry->length_m);
        ap_query_bind_real(query, ":factor", entry->factor);
        ap_query_bind_real(query, ":stiffness", entry->stiffness_n);
        ap_query_bind_text(query, ":source", entry->source.len ? entry->source : AP_STR_NONE);
        ap_query_bind_date(query, ":retired_on", entry->retired_on);
        ap_query_bind_date(query, ":today", edit->author->today);
        bind_author(query, edit);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    return status;
}

static ap_status check_value(ap_sling_field field, double value, ap_str written, ap_error *err) {
    switch (field) {
    case AP_SLING_KIND:
        return isnan(value) || (value >= 1 && value <= ap_word_count(AP_VOC_LEG_KIND))
                   ? AP_OK
                   : ap_error_set(err, AP_E_INPUT, "kind is eye, adjustable, chain, wire, round or balancer");
    case AP_SLING_WLL:
        return isnan(value) || (value > 0 && value <= 200000)
                   ? AP_OK
                   : ap_error_set(err, AP_E_INPUT, "wll must be above 0 and at most 200,000 kg");
    case AP_SLING_LENGTH:
        return isnan(value) || (value > 0 && value <= 100)
                   ? AP_OK
                   : ap_error_set(err, AP_E_INPUT, "length must be above 0 and at most 100 m");
    case AP_SLING_FACTOR:
        return isnan(value) || (value > 0 && value <= 2)
                   ? AP_OK
                   : ap_error_set(err, AP_E_INPUT,
                                  "factor is what the hitch or knot leaves of the limit, above 0 and at most 2");
    case AP_SLING_SOURCE:
        return written.len <= AP_SLING_SOURCE_MAX && ap_utf8_is_valid(written)
                   ? AP_OK
                   : ap_error_set(err, AP_E_INPUT, "source is text of at most %d bytes", (int)AP_SLING_SOURCE_MAX);
    case AP_SLING_FIELDS:
        break;
    }
    return ap_error_set(err, AP_E_INTERNAL, "no such field of a sling");
}

static void say_before(char *out, size_t size, const ap_sling_entry *entry, ap_sling_field field) {
    const char *kind = entry->kind ? ap_word_get(AP_VOC_LEG_KIND, entry->kind) : NULL;
    double number = field == AP_SLING_WLL      ? entry->wll_kg
                    : field == AP_SLING_LENGTH ? entry->length_m
                    : field == AP_SLING_FACTOR ? entry->factor
                                               : (double)NAN;
    const char *unit = field == AP_SLING_WLL ? " kg" : field == AP_SLING_LENGTH ? " m" : "";
    out[0] = '\0';
    if (!isnan(number)) {
        snprintf(out, size, "%.6g%s", number, unit);
    } else if (field == AP_SLING_KIND && kind) {
        snprintf(out, size, "%s", kind);
    } else if (field == AP_SLING_SOURCE) {
        snprintf(out, size, "%.*s", AP_STR_ARG(entry->source));
    }
}

ap_status ap_book_sling_set(ap_book *book, const ap_sling_edit *edit, ap_sling_field field, double value,
                            ap_str written, ap_error *err) {
    static const char *const names[AP_SLING_FIELDS] = {"kind", "wll", "length", "factor", "source"};
    ap_arena arena;
    ap_sling_entry entry;
    char before[KEPT_MAX];
    ap_arena_init(&arena, 1 << 16);
    ap_status status = check_value(field, value, written, err);
    if (status == AP_OK) {
        status = find(&entry, &arena, book, edit->tag, err);
    }
    if (status == AP_OK) {
        say_before(before, sizeof before, &entry, field);
        status = keep_history(book, edit, names[field], ap_str_from(before), written, err);
    }
    if (status == AP_OK) {
        entry.kind = field == AP_SLING_KIND ? isnan(value) ? 0 : (int)value : entry.kind;
        entry.wll_kg = field == AP_SLING_WLL ? value : entry.wll_kg;
        entry.length_m = field == AP_SLING_LENGTH ? value : entry.length_m;
        entry.factor = field == AP_SLING_FACTOR ? value : entry.factor;
        entry.source = field == AP_SLING_SOURCE ? written : entry.source;
        status = put(book, edit, &entry, err);
    }
    ap_arena_release(&arena);
    return status;
}

ap_status ap_book_sling_retire(ap_book *book, const ap_sling_edit *edit, ap_date on, ap_error *err) {
    ap_arena arena;
    ap_sling_entry entry;
    char before[AP_ISO_SIZE];
    char after[AP_ISO_SIZE];
    ap_arena_init(&arena, 1 << 16);
    ap_status status = find(&entry, &arena, book, edit->tag, err);
    if (status == AP_OK && on == AP_DATE_NONE && entry.retired_on == AP_DATE_NONE) {
        status = ap_error_set(err, AP_E_NOT_FOUND, "the sling '%.*s' is not retired", AP_STR_ARG(edit->tag));
    }
    if (status == AP_OK) {
        ap_date_to_iso(before, entry.retired_on);
        ap_date_to_iso(after, on);
        status = keep_history(book, edit, "retired", ap_str_from(before), ap_str_from(after), err);
    }
    if (status == AP_OK) {
        entry.retired_on = on;
        status = put(book, edit, &entry, err);
    }
    ap_arena_release(&arena);
    return status;
}

ap_status ap_book_sling_inspected(ap_book *book, const ap_sling_edit *edit, ap_date on, ap_error *err) {
    ap_arena arena;
    ap_sling_entry entry;
    ap_query *query = NULL;
    char day[AP_ISO_SIZE];
    ap_arena_init(&arena, 1 << 16);
    ap_status status = find(&entry, &arena, book, edit->tag, err);
    if (status == AP_OK) {
        ap_date_to_iso(day, on);
        status = keep_history(book, edit, "inspected", AP_STR_NONE, ap_str_from(day), err);
    }
    if (status == AP_OK) {
        status = put(book, edit, &entry, err); /* entered, if it was not */
    }
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "sling_inspection_put", err);
    }
    if (status == AP_OK) {
        ap_query_bind_text(query, ":tag", edit->tag);
        ap_query_bind_date(query, ":on", on);
        bind_author(query, edit);
        status = ap_query_run(query, err);
    }
    ap_query_close(query);
    ap_arena_release(&arena);
    return status;
}
