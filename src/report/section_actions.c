#include "report/review.h"

void ap_section_actions(ap_doc *doc, const ap_review *r) {
    ap_actions_page(doc, &r->actions, AP_ACTIONS_ALL);
}
