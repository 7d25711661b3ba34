#include "page/doc.h"

#include <assert.h>

#include "page/doc_node.h"

ap_doc *ap_doc_new(ap_arena *arena, const ap_doc_head *head) {
    ap_doc *doc = ap_arena_alloc(arena, sizeof *doc);
    if (!doc) {
        return NULL;
    }
    doc->arena = arena;
    doc->head.title = ap_arena_str(arena, head->title);
    doc->head.subtitle = ap_arena_str(arena, head->subtitle);
    doc->head.book = ap_arena_str(arena, head->book);
    doc->head.period = ap_arena_str(arena, head->period);
    doc->head.version = ap_arena_str(arena, head->version);
    doc->head.date_order = ap_arena_str(arena, head->date_order);
    doc->head.made_on = ap_arena_str(arena, head->made_on);
    doc->head.units = head->units;
    doc->head.is_part = head->is_part;
    doc->has_section = head->is_part;
    doc->ids = ap_intern_new(arena);
    doc->picks = ap_intern_new(arena);
    return doc->ids && doc->picks ? doc : NULL;
}

ap_node *ap_doc_add(ap_doc *doc, ap_node_kind kind, ap_str text) {
    ap_node *node = doc ? ap_arena_alloc(doc->arena, sizeof *node) : NULL;
    if (!node) {
        return NULL;
    }
    node->kind = kind;
    node->text = ap_arena_str(doc->arena, text);
    if (doc->last) {
        doc->last->next = node;
    } else {
        doc->first = node;
    }
    doc->last = node;
    return node;
}

ap_str ap_doc_make_id(ap_doc *doc, ap_str wanted) {
    char base[64];
    size_t len = 0;
    for (size_t i = 0; i < wanted.len && len < sizeof base - 1; i++) {
        char c = wanted.ptr[i];
        if (c >= 'A' && c <= 'Z') {
            c = (char)(c - 'A' + 'a');
        }
        bool plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
        base[len++] = plain ? c : '-';
    }
    /* Begins with a letter, so that a style or a script can name it without escapes. */
    if (len == 0 || base[0] < 'a' || base[0] > 'z') {
        char rest[sizeof base];
        memcpy(rest, base, len);
        int put = snprintf(base, sizeof base, len ? "p%.*s" : "part",
                           (int)(len < sizeof base - 2 ? len : sizeof base - 2), rest);
        len = (size_t)put;
    }
    ap_str id = {base, len};
    for (unsigned n = 2; ap_intern_find(doc->ids, id) != 0; n++) {
        id = ap_arena_printf(doc->arena, "%.*s-%u", (int)len, base, n);
        if (!id.ptr) {
            return AP_STR_NONE;
        }
    }
    return ap_intern_get(doc->ids, ap_intern_add(doc->ids, id));
}

void ap_doc_carry(ap_doc *doc) {
    if (doc) {
        doc->head.carried = true;
    }
}

void ap_doc_section(ap_doc *doc, int level, ap_str id, ap_str heading) {
    assert(level == 2 || level == 3);
    assert(!doc || doc->working_depth == 0);
    ap_node *node = ap_doc_add(doc, AP_NODE_SECTION, heading);
    if (node) {
        /* Headings stay in order: nothing of level 3 before the first of level 2. */
        node->level = doc->has_section ? level : 2;
        node->id = ap_doc_make_id(doc, id);
        doc->has_section = true;
    }
}

void ap_doc_page_break(ap_doc *doc) {
    ap_doc_add(doc, AP_NODE_BREAK, AP_STR_NONE);
}

void ap_doc_answer(ap_doc *doc, ap_str sentence) {
    ap_doc_add(doc, AP_NODE_ANSWER, sentence);
}

ap_str ap_doc_first_answer(const ap_doc *doc) {
    for (const ap_node *node = doc->first; node; node = node->next) {
        if (node->kind == AP_NODE_ANSWER) {
            return node->text;
        }
    }
    return AP_STR_NONE;
}

bool ap_doc_has_table(const ap_doc *doc) {
    const ap_node *node = doc->first;
    while (node && node->kind != AP_NODE_TABLE) {
        node = node->next;
    }
    return node != NULL;
}

void ap_doc_paragraph(ap_doc *doc, ap_str sentence) {
    ap_doc_add(doc, AP_NODE_PARAGRAPH, sentence);
}

void ap_doc_caution(ap_doc *doc, ap_str sentence) {
    ap_doc_add(doc, AP_NODE_CAUTION, sentence);
}

void ap_doc_list_item(ap_doc *doc, ap_str text) {
    ap_doc_add(doc, AP_NODE_ITEM, text);
}

void ap_doc_alert(ap_doc *doc, ap_str tag, ap_str pick, ap_str text) {
    ap_node *node = ap_doc_add(doc, AP_NODE_ALERT, text);
    if (node) {
        node->tag = ap_arena_str(doc->arena, tag);
        node->note = ap_arena_str(doc->arena, pick);
    }
}

void ap_doc_tile(ap_doc *doc, ap_str label, ap_str value, ap_str note) {
    ap_node *node = ap_doc_add(doc, AP_NODE_TILE, value);
    if (node) {
        node->tag = ap_arena_str(doc->arena, label);
        node->note = ap_arena_str(doc->arena, note);
    }
}

void ap_doc_message(ap_doc *doc, ap_str text, ap_str pick, ap_str evidence) {
    ap_node *node = ap_doc_add(doc, AP_NODE_MESSAGE, text);
    if (node) {
        node->tag = ap_arena_str(doc->arena, evidence);
        node->note = ap_arena_str(doc->arena, pick);
    }
}

bool ap_doc_href_allowed(ap_str href) {
    /* One folder up, to the review from its book of picks. */
    if (href.len > 3 && memcmp(href.ptr, "../", 3) == 0 && href.ptr[3] != '.') {
        href = (ap_str){href.ptr + 3, href.len - 3};
    }
    if (href.len == 0 || href.len > 512 || href.ptr[0] == '/') {
        return false;
    }
    for (size_t i = 0; i < href.len; i++) {
        char c = href.ptr[i];
        bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        if (!plain && (c == '\0' || !strchr("._-/#", c))) {
            return false;
        }
        if (c == '.' && i + 1 < href.len && href.ptr[i + 1] == '.') {
            return false;
        }
        if (c == '/' && i + 1 < href.len && href.ptr[i + 1] == '/') {
            return false;
        }
    }
    return true;
}

void ap_doc_link(ap_doc *doc, ap_str text, ap_str href) {
    ap_node *node = ap_doc_add(doc, AP_NODE_LINK, text);
    if (node && ap_doc_href_allowed(href)) {
        node->tag = ap_arena_str(doc->arena, href);
    }
}

void ap_doc_pick_page(ap_doc *doc, ap_str pick, ap_str href) {
    if (!doc || ap_str_is_blank(pick) || !ap_doc_href_allowed(href)) {
        return;
    }
    ap_pick_link *link = ap_arena_alloc(doc->arena, sizeof *link);
    uint32_t number = ap_intern_add(doc->picks, pick);
    if (!link || number == 0) {
        return;
    }
    link->pick = number;
    link->href = ap_arena_str(doc->arena, href);
    ap_pick_link **slot = &doc->links[number % AP_DOC_LINK_SLOTS];
    link->next = *slot;
    *slot = link;
}

ap_str ap_doc_pick_href(const ap_doc *doc, ap_str pick) {
    uint32_t number = ap_str_is_blank(pick) ? 0 : ap_intern_find(doc->picks, pick);
    if (number == 0) {
        return AP_STR_NONE;
    }
    for (const ap_pick_link *link = doc->links[number % AP_DOC_LINK_SLOTS]; link; link = link->next) {
        if (link->pick == number) {
            return link->href;
        }
    }
    return AP_STR_NONE;
}

void ap_doc_figure(ap_doc *doc, ap_str id, ap_str title, ap_str description, ap_str svg, ap_str missing) {
    ap_node *node = ap_doc_add(doc, AP_NODE_FIGURE, title);
    if (node) {
        node->id = ap_doc_make_id(doc, id);
        node->note = ap_arena_str(doc->arena, description);
        node->svg = ap_arena_str(doc->arena, svg);
        node->missing = ap_arena_str(doc->arena, missing);
    }
}

void ap_doc_working_begin(ap_doc *doc, ap_str summary) {
    if (ap_doc_add(doc, AP_NODE_WORKING_BEGIN, summary)) {
        doc->working_depth++;
    }
}

void ap_doc_working_end(ap_doc *doc) {
    if (!doc || doc->arena->failed) {
        return;
    }
    assert(doc->working_depth > 0);
    if (ap_doc_add(doc, AP_NODE_WORKING_END, AP_STR_NONE)) {
        doc->working_depth--;
    }
}

ap_status ap_doc_check(const ap_doc *doc, ap_error *err) {
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "unable to build the page: out of memory");
    }
    assert(doc->working_depth == 0 || doc->arena->failed);
    return ap_arena_check(doc->arena, "the page", err);
}

const char *ap_doc_units_text(ap_unit_system units) {
    return units == AP_UNITS_US ? "US (lb, ft, in)" : "metric (kg, m, cm)";
}

ap_unit_system ap_doc_units(const ap_doc *doc) {
    return doc ? doc->head.units : AP_UNITS_US;
}

ap_str ap_doc_working_title(const ap_node *node) {
    return ap_str_is_blank(node->text) ? AP_STR_LIT("How this was worked out") : node->text;
}
