#include "intake/store.h"

enum { SCRATCH_MAX = 8 << 20 };

struct ap_store {
    ap_book *book;
    ap_pick_writer *writer;
    ap_arena scratch;
};

ap_status ap_store_new(ap_store **out, ap_book *book, ap_error *err) {
    ap_store *store = calloc(1, sizeof *store);
    if (!store) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for storing picks");
    }
    store->book = book;
    ap_arena_init(&store->scratch, SCRATCH_MAX);
    const ap_status status = ap_pick_writer_new(&store->writer, book, err);
    if (status != AP_OK) {
        ap_store_free(store);
        return status;
    }
    *out = store;
    return AP_OK;
}

void ap_store_free(ap_store *store) {
    if (store) {
        ap_pick_writer_free(store->writer);
        ap_arena_release(&store->scratch);
        free(store);
    }
}

ap_status ap_store_offer(ap_stored *stored, int *differs, ap_store *store, const ap_pick *pick, const ap_origin *origin,
                         ap_error *err) {
    return ap_pick_writer_offer(stored, differs, store->writer, pick, AP_STR_NONE, origin, err);
}

void ap_store_last(const ap_store *store, ap_pick *pick) {
    ap_pick_writer_last(store->writer, pick);
}

static void value_text(char *out, size_t size, const ap_pick *pick, int column) {
    const ap_field *field = ap_field_get(column);
    const void *at = ap_pick_at_const(pick, column);
    if (ap_pick_field_is_blank(pick, column)) {
        snprintf(out, size, "nothing");
        return;
    }
    switch (field->kind) {
    case AP_KIND_TEXT: {
        const ap_str text = ap_str_shortened(*(const ap_str *)at, 60);
        snprintf(out, size, "'%.*s'", AP_STR_ARG(text));
        break;
    }
    case AP_KIND_QTY: {
        const ap_unit unit = (ap_unit)pick->written[column].unit;
        snprintf(out, size, "'%.10g%s%s'", unit ? ap_unit_from_si(unit, *(const double *)at) : *(const double *)at,
                 unit ? " " : "", unit ? ap_unit_symbol(unit) : "");
        break;
    }
    case AP_KIND_WORD:
        snprintf(out, size, "'%s'", ap_word_get(field->vocabulary, *(const int32_t *)at));
        break;
    case AP_KIND_YESNO:
        snprintf(out, size, "'%s'", *(const int32_t *)at == AP_YESNO_YES ? "yes" : "no");
        break;
    case AP_KIND_COUNT:
        snprintf(out, size, "'%d'", (int)*(const int32_t *)at);
        break;
    case AP_KIND_DATE:
        ap_date_to_iso(out, *(const ap_date *)at);
        break;
    case AP_KIND_TIME:
        ap_time_to_iso(out, *(const ap_time *)at);
        break;
    case AP_KIND_MOVES: {
        ap_buf words;
        ap_buf_init(&words, size);
        ap_moves_to_text(&words, *(const int32_t *)at);
        const ap_str text = ap_buf_str(&words);
        snprintf(out, size, "'%.*s'", AP_STR_ARG(text));
        ap_buf_release(&words);
        break;
    }
    }
}

ap_status ap_store_describe_conflict(ap_fault *fault, ap_store *store, const ap_pick *pick, int differs,
                                     const ap_plan *plan, const ap_row *row, ap_error *err) {
    ap_arena_clear(&store->scratch);
    const ap_str name = ap_arena_printf(&store->scratch, "%.*s/%.*s", AP_STR_ARG(pick->job), AP_STR_ARG(pick->pick));
    ap_pick stored;
    ap_error why;
    ap_error_clear(&why);
    const ap_status status = ap_book_get_pick(&stored, &store->scratch, store->book, name, &why);
    const bool there = status == AP_OK;
    if (!there && status != AP_E_NOT_FOUND && status != AP_E_AMBIGUOUS) {
        return ap_error_set(err, status, "%s", why.text);
    }
    const bool other_tree = there && stored.tree.len && pick->tree.len && !ap_str_equal_nocase(stored.tree, pick->tree);
    differs = other_tree ? AP_F_tree : differs;
    const bool known = differs >= 0 && differs < AP_COLUMN_COUNT;
    const int at = known ? plan->position[differs] : -1;
    const char *field = known ? ap_field_get(differs)->name : "row";
    const ap_str cell = at >= 0 && (size_t)at < row->count ? row->cells[at] : AP_STR_NONE;
    char shown[AP_QUOTED_SIZE];
    ap_fault_quote(shown, cell);
    const char *remedy = other_tree ? "where numbers start anew with each tree, undo this import and read the log with "
                                      "a profile that says 'numbers restart each tree' ('afterpick profile guess FILE' "
                                      "asks for it)"
                                    : "decide which of the two is right (problems, amend)";
    if (!there) {
        ap_fault_add(fault, at + 1, ap_str_from(field), cell, remedy, "%s differs: %.*s is in the book already", shown,
                     AP_STR_ARG(name));
        return AP_OK;
    }
    char value[160] = "other values";
    if (known) {
        value_text(value, sizeof value, &stored, differs);
    }
    const ap_str file = ap_str_shortened(stored.source_file, 120);
    ap_fault_add(fault, at + 1, ap_str_from(field), cell, remedy,
                 "%s differs: the book has %.*s with %s, from '%.*s' line %lld", shown, AP_STR_ARG(stored.name), value,
                 AP_STR_ARG(file), (long long)stored.source_line);
    return AP_OK;
}
