#include "support/limits.h"

const ap_rule_limits *check_limits(void) {
    static ap_rule_limits limits;
    static bool known;
    if (!known) {
        book_fixture it;
        ap_error err;
        fixture_make(&it);
        check_ok(ap_limits_read(&limits, it.book, &err), &err);
        fixture_remove(&it);
        known = true;
    }
    return &limits;
}
