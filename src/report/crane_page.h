/* The cranes: what the logs name and what the company entered. */
#ifndef AP_REPORT_CRANE_PAGE_H
#define AP_REPORT_CRANE_PAGE_H

#include "book/cranes.h"
#include "derive/company.h"
#include "page/doc.h"
#include "page/json.h"

/* A crane from either side; one of the two may be missing. */
typedef struct ap_crane_seen {
    ap_str name;
    const ap_crane *entry;   /* NULL: nothing entered */
    const ap_crane_use *use; /* NULL: no pick names it */
} ap_crane_seen;

typedef struct ap_crane_list {
    ap_crane_seen *items; /* in order of name */
    size_t count;
    size_t left_out; /* more names in the logs than the list takes */
} ap_crane_list;

AP_MUST_USE ap_status ap_crane_list_read(ap_crane_list *out, ap_arena *arena, ap_book *book, const ap_company *company,
                                         ap_error *err);
/* The crane meant by a name, case ignored; NULL when neither logs nor company know it. */
const ap_crane_seen *ap_crane_list_find(const ap_crane_list *list, ap_str name);
/* "'K3'": the nearest name, for a message; none when none is near. */
ap_str ap_crane_list_near(const ap_crane_list *list, ap_str name);

void ap_cranes_page(ap_doc *doc, const ap_crane_list *list);
void ap_crane_page(ap_doc *doc, const ap_crane_seen *crane, const ap_company *company, const ap_entry_change *changes,
                   size_t change_count);
/* The chart as a long table: what `crane NAME chart` takes. */
void ap_crane_chart_table(ap_doc *doc, const ap_crane *crane);

/* docs/json.md, "crane". */
void ap_cranes_json(ap_json *json, const ap_crane_list *list);
void ap_crane_json(ap_json *json, const ap_crane_seen *crane, const ap_entry_change *changes, size_t change_count);

#endif
