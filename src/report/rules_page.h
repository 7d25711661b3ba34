/* The rules of the detectors in words, as pages and as JSON. */
#ifndef AP_REPORT_RULES_PAGE_H
#define AP_REPORT_RULES_PAGE_H

#include "base/settings.h"
#include "nearmiss/limits.h"
#include "page/doc.h"
#include "page/json.h"

/* What `afterpick rule` reads; lives in `arena`. */
typedef struct ap_rules_read {
    ap_arena *arena;
    ap_rule_limits limits;
    ap_settings settings;
    ap_rule_row *rows;
    size_t count;
} ap_rules_read;

AP_MUST_USE ap_status ap_rules_read_all(ap_rules_read *out, ap_arena *arena, ap_book *book, const ap_settings *settings,
                                        ap_error *err);

/* A rule with its limits filled in: "a peak of more than 1.15 times the hanging load". */
ap_str ap_say_rule(ap_doc *doc, const ap_rule *rule, const ap_rule_limits *limits, const ap_settings *settings);
/* A limit's value as people read it: "1 m", "15 %", "4". */
ap_str ap_say_limit(ap_doc *doc, const ap_limit *limit, double value);

void ap_rules_page(ap_doc *doc, const ap_rules_read *rules);
void ap_rule_page(ap_doc *doc, const ap_rules_read *rules, const ap_rule *rule, const ap_rule_change *changes,
                  size_t count);
/* docs/json.md, "rule"; `only` NULL = all rules. */
void ap_rules_json(ap_json *json, ap_doc *doc, const ap_rules_read *rules, const ap_rule *only);

#endif
