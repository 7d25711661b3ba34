#include "report/entry_history.h"

enum { CHANGES_SHOWN = 10 };

void ap_entry_history_put(ap_doc *doc, const ap_entry_change *changes, size_t count) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("on"), .label = AP_STR_LIT("on"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("field"), .label = AP_STR_LIT("what"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("before"), .label = AP_STR_LIT("before"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("after"), .label = AP_STR_LIT("after"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("who"), .label = AP_STR_LIT("by"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("why"), .label = AP_STR_LIT("why"), .kind = AP_CELL_TEXT},
    };
    if (count == 0) {
        return;
    }
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("history"), AP_STR_LIT("Changes, the newest first"), columns,
                                   sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < count && i < CHANGES_SHOWN; i++) {
        ap_table_row(table);
        ap_table_text(table, changes[i].on);
        ap_table_text(table, changes[i].field);
        ap_table_text(table, changes[i].old_value);
        ap_table_text(table, changes[i].new_value.len ? changes[i].new_value : AP_STR_LIT("taken away"));
        ap_table_text(table, changes[i].who.len ? changes[i].who : AP_STR_NONE);
        ap_table_text(table, changes[i].why);
    }
    if (count > CHANGES_SHOWN) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "%zu earlier ones: --json.", count - CHANGES_SHOWN));
    }
}

void ap_entry_history_json(ap_json *json, const ap_entry_change *changes, size_t count) {
    ap_json_key(json, "history");
    ap_json_array_begin(json);
    for (size_t i = 0; i < count; i++) {
        ap_json_object_begin(json);
        ap_json_put_text(json, "field", changes[i].field);
        ap_json_put_text(json, "old", changes[i].old_value.len ? changes[i].old_value : AP_STR_NONE);
        ap_json_put_text(json, "new", changes[i].new_value.len ? changes[i].new_value : AP_STR_NONE);
        ap_json_put_text(json, "on", changes[i].on);
        ap_json_put_text(json, "who", changes[i].who.len ? changes[i].who : AP_STR_NONE);
        ap_json_put_text(json, "why", changes[i].why);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
}
