#include "report/phrases_page.h"

static ap_str first_line(ap_str lines) {
    ap_str rest;
    return ap_str_trim(ap_str_split(lines, '\n', &rest));
}

void ap_phrases_page(ap_doc *doc, const ap_phrase_set *set) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("rule"), .label = AP_STR_LIT("rule"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("class"), .label = AP_STR_LIT("speaks of"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("finds"), .label = AP_STR_LIT("finds for example"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("leaves"), .label = AP_STR_LIT("leaves alone for example"), .kind = AP_CELL_TEXT},
    };
    ap_doc_answer(doc, ap_doc_printf(doc,
                                     "%zu rules for words in notes that sound like a near miss; 'afterpick rule "
                                     "phrase:NAME' shows one, 'afterpick rule try \"NOTE\"' tries a note.",
                                     set->count));
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("phrases"), AP_STR_LIT("Phrases"), columns, 4);
    for (size_t i = 0; i < set->count; i++) {
        const ap_phrase_rule *rule = &set->rules[i];
        ap_table_row(table);
        ap_table_text(table, ap_doc_printf(doc, "phrase:%.*s", AP_STR_ARG(rule->name)));
        ap_table_text(table, ap_str_from(ap_reason_words(rule->reason)));
        ap_table_text(table, first_line(rule->must));
        ap_table_text(table, first_line(rule->must_not));
    }
}

static void put_lines(ap_doc *doc, const char *what, ap_str lines) {
    for (ap_str rest = lines; rest.ptr;) {
        ap_str line = ap_str_trim(ap_str_split(rest, '\n', &rest));
        if (line.len) {
            ap_doc_list_item(doc, ap_doc_printf(doc, "%s: %.*s", what, AP_STR_ARG(line)));
        }
    }
}

void ap_phrase_page(ap_doc *doc, const ap_phrase_rule *rule) {
    ap_doc_answer(doc, ap_doc_printf(doc, "phrase:%.*s speaks of %s (class %s).", AP_STR_ARG(rule->name),
                                     ap_reason_words(rule->reason), ap_reason_name(rule->reason)));
    ap_doc_paragraph(doc, ap_doc_printf(doc, "Pattern (PCRE2): %.*s", AP_STR_ARG(rule->pattern)));
    put_lines(doc, "must find", rule->must);
    put_lines(doc, "must leave alone", rule->must_not);
}

void ap_phrases_tried(ap_doc *doc, const ap_phrase_set *set, ap_str text, const ap_phrase_hit *hits, size_t count) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("words"), .label = AP_STR_LIT("words"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("class"), .label = AP_STR_LIT("speaks of"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("rule"), .label = AP_STR_LIT("rule"), .kind = AP_CELL_TEXT},
    };
    ap_doc_answer(doc,
                  count ? ap_doc_printf(doc, "This note would be asked about: %zu hit%s.", count, count == 1 ? "" : "s")
                        : AP_STR_LIT("No rule finds anything in this note. That is no all-clear."));
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("hits"), AP_STR_LIT("Hits"), columns, 3);
    ap_table_empty(table, AP_STR_LIT("no hit"));
    for (size_t i = 0; i < count; i++) {
        ap_table_row(table);
        ap_table_text(table, (ap_str){text.ptr + hits[i].at, hits[i].len});
        ap_table_text(table, ap_str_from(ap_reason_words(hits[i].reason)));
        ap_table_text(table, ap_doc_printf(doc, "phrase:%.*s", AP_STR_ARG(set->rules[hits[i].rule].name)));
    }
}

static void put_array(ap_json *json, const char *key, ap_str lines) {
    ap_json_key(json, key);
    ap_json_array_begin(json);
    for (ap_str rest = lines; rest.ptr;) {
        ap_str line = ap_str_trim(ap_str_split(rest, '\n', &rest));
        if (line.len) {
            ap_json_text(json, line);
        }
    }
    ap_json_array_end(json);
}

void ap_phrases_json(ap_json *json, const ap_phrase_set *set, const ap_phrase_rule *only) {
    ap_json_object_begin(json);
    ap_json_key(json, "phrases");
    ap_json_array_begin(json);
    for (size_t i = 0; i < set->count; i++) {
        const ap_phrase_rule *rule = &set->rules[i];
        if (only && only != rule) {
            continue;
        }
        ap_json_object_begin(json);
        ap_json_put_text(json, "rule", rule->name);
        ap_json_put_text(json, "class", ap_str_from(ap_reason_name(rule->reason)));
        ap_json_put_text(json, "pattern", rule->pattern);
        put_array(json, "find", rule->must);
        put_array(json, "leave", rule->must_not);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}
