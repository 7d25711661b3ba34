/* The limits that detectors read: rows of the book, named and bounded by one list (limits.def). */
#ifndef AP_NEARMISS_LIMITS_H
#define AP_NEARMISS_LIMITS_H

#include "base/units.h"
#include "book/rules.h"
#include "followup/finding.h"

typedef struct ap_rule_limits {
#define AP_LIMIT(rule, key, member, dim, low, high, label) double member;
#include "nearmiss/limits.def"
#undef AP_LIMIT
    ap_risk risk[AP_SEVERITIES][AP_PROBABILITIES]; /* rule risk-matrix: by severity, then probability */
} ap_rule_limits;

typedef struct ap_rule {
    const char *name;  /* the detector's name, or "suspect", "chance" */
    const char *words; /* what a crew reads, with {key} for a limit or a setting */
} ap_rule;

typedef struct ap_limit {
    const char *rule;
    const char *key;
    ap_dim dim;
    double low, high; /* SI, inclusive */
    const char *label;
    size_t offset; /* into ap_rule_limits */
} ap_limit;

size_t ap_rule_count(void);
const ap_rule *ap_rule_get(size_t index);
const ap_rule *ap_rule_find(ap_str name); /* NULL when unknown */
size_t ap_limit_count(void);
const ap_limit *ap_limit_get(size_t index);
const ap_limit *ap_limit_find(ap_str rule, ap_str key); /* NULL when unknown */
double ap_limit_value(const ap_rule_limits *limits, const ap_limit *limit);

/* Reads every limit from the book. AP_E_BOOK when one is missing or out of its bounds. */
AP_MUST_USE ap_status ap_limits_read(ap_rule_limits *out, ap_book *book, ap_error *err);

/* A limit takes a new value (SI), with history. AP_E_INPUT says what it may be. Inside a transaction. */
AP_MUST_USE ap_status ap_limit_change(ap_book *book, const ap_limit *limit, double value, ap_unit_system units,
                                      ap_str why, const ap_book_author *author, ap_error *err);

#endif
