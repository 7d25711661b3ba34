#include "report/writeup_list.h"

#include "report/sentences.h"

void ap_writeups_page(ap_doc *doc, const ap_writeup *writeups, size_t count) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("writeup"), .label = AP_STR_LIT("no."), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("title"), .label = AP_STR_LIT("what"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("opened"), .label = AP_STR_LIT("opened"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("state"), .label = AP_STR_LIT("state"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("severity"), .label = AP_STR_LIT("could have been"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("probability"), .label = AP_STR_LIT("how often"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("revision"), .label = AP_STR_LIT("revision"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("kept"), .label = AP_STR_LIT("last kept"), .kind = AP_CELL_DATE},
    };
    size_t open = 0;
    for (size_t i = 0; i < count; i++) {
        open += !ap_str_equal_word(writeups[i].state, "signed off");
    }
    ap_doc_answer(doc, count ? ap_doc_printf(doc, "%.*s, %zu not signed off.",
                                             AP_STR_ARG(ap_say_count(doc, count, "write-up")), open)
                             : AP_STR_LIT("No write-up was opened yet: 'afterpick writeup new PICK' opens one."));
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("writeups"), AP_STR_LIT("Write-ups, the newest first"), columns, 8);
    ap_table_empty(table, AP_STR_LIT("none"));
    for (size_t i = 0; i < count; i++) {
        ap_table_row(table);
        ap_table_value(table, (double)writeups[i].id);
        ap_table_text(table, writeups[i].title);
        ap_table_date(table, writeups[i].opened);
        ap_table_text(table, writeups[i].state);
        ap_table_text(table, writeups[i].severity);
        ap_table_text(table, writeups[i].probability);
        ap_table_value(table, (double)writeups[i].revision);
        ap_table_date(table, writeups[i].stored_on);
    }
}

void ap_writeups_json(ap_json *json, const ap_writeup *writeups, size_t count) {
    ap_json_object_begin(json);
    ap_json_key(json, "writeups");
    ap_json_array_begin(json);
    for (size_t i = 0; i < count; i++) {
        const ap_writeup *one = &writeups[i];
        ap_json_object_begin(json);
        ap_json_put_int(json, "writeup", one->id);
        ap_json_put_text(json, "title", one->title);
        ap_json_put_text(json, "picks", one->picks);
        ap_json_put_date(json, "opened_on", one->opened);
        ap_json_put_text(json, "state", one->state);
        ap_json_put_text(json, "severity", one->severity);
        ap_json_put_text(json, "probability", one->probability);
        ap_json_put_int(json, "revision", one->revision);
        ap_json_put_date(json, "kept_on", one->stored_on);
        ap_json_put_text(json, "kept_by", one->who);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}
