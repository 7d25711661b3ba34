#include "nearmiss/limits.h"

#include "nearmiss/rank.h"

static const ap_rule rules[] = {
#define AP_RULE(name, words) {name, words},
#include "nearmiss/limits.def"
#undef AP_RULE
};

static const ap_limit limits[] = {
#define AP_LIMIT(rule, key, member, dim, low, high, label)                                                             \
    {rule, key, AP_DIM_##dim, low, high, label, offsetof(ap_rule_limits, member)},
#include "nearmiss/limits.def"
#undef AP_LIMIT
};

size_t ap_rule_count(void) {
    return sizeof rules / sizeof rules[0];
}

const ap_rule *ap_rule_get(size_t index) {
    return index < ap_rule_count() ? &rules[index] : NULL;
}

const ap_rule *ap_rule_find(ap_str name) {
    for (size_t i = 0; i < ap_rule_count(); i++) {
        if (ap_str_equal_nocase(name, ap_str_from(rules[i].name))) {
            return &rules[i];
        }
    }
    return NULL;
}

size_t ap_limit_count(void) {
    return sizeof limits / sizeof limits[0];
}

const ap_limit *ap_limit_get(size_t index) {
    return index < ap_limit_count() ? &limits[index] : NULL;
}

const ap_limit *ap_limit_find(ap_str rule, ap_str key) {
    for (size_t i = 0; i < ap_limit_count(); i++) {
        if (ap_str_equal_nocase(rule, ap_str_from(limits[i].rule)) &&
            ap_str_equal_nocase(key, ap_str_from(limits[i].key))) {
            return &limits[i];
        }
    }
    return NULL;
}

double ap_limit_value(const ap_rule_limits *all, const ap_limit *limit) {
    double value;
    memcpy(&value, (const char *)all + limit->offset, sizeof value);
    return value;
}

static bool within(const ap_limit *limit, double value) {
    return value >= limit->low * (1 - 1e-9) && value <= limit->high * (1 + 1e-9);
}

/* The whole text: SQLite reads '4 m' as 4. */
static bool is_number(ap_str text) {
    char copy[64];
    char *end = copy;
    if (!text.len || text.len >= sizeof copy) {
        return false;
    }
    memcpy(copy, text.ptr, text.len);
    copy[text.len] = '\0';
    return isfinite(strtod(copy, &end)) && *end == '\0';
}

/* "C critical": a cell of the risk matrix. */
static void take_risk(ap_rule_limits *out, const ap_rule_row *row) {
    if (!ap_str_equal_word(row->name, "risk-matrix") || row->key.len < 3) {
        return;
    }
    ap_str severity = {row->key.ptr + 2, row->key.len - 2};
    for (int s = AP_SEVERITY_CATASTROPHIC; s <= AP_SEVERITY_NEGLIGIBLE; s++) {
        for (int p = AP_PROBABILITY_FREQUENT; p <= AP_PROBABILITY_ELIMINATED; p++) {
            for (int r = AP_RISK_ELIMINATED; r < AP_RISKS; r++) {
                if (ap_str_equal_word(severity, ap_severity_name((ap_severity)s)) &&
                    row->key.ptr[0] == ap_probability_letter((ap_probability)p) &&
                    ap_str_equal_word(row->value, ap_risk_name((ap_risk)r))) {
                    out->risk[s - 1][p - 1] = (ap_risk)r;
                }
            }
        }
    }
}

static ap_status check_risk(const ap_rule_limits *limits_read, const char *path, ap_error *err) {
    for (int s = 0; s < AP_SEVERITIES; s++) {
        for (int p = 0; p < AP_PROBABILITIES; p++) {
            if (limits_read->risk[s][p] == AP_RISK_NONE) {
                return ap_error_set(
                    err, AP_E_BOOK,
                    "'%s' holds no usable cell '%c %s' of the rule 'risk-matrix'; it is eliminated, low, "
                    "medium, serious or high",
                    path, ap_probability_letter((ap_probability)(p + 1)), ap_severity_name((ap_severity)(s + 1)));
            }
        }
    }
    return AP_OK;
}

ap_status ap_limits_read(ap_rule_limits *out, ap_book *book, ap_error *err) {
    bool seen[sizeof limits / sizeof limits[0]] = {false};
    ap_arena arena;
    ap_rule_row *rows = NULL;
    size_t count = 0;
    memset(out, 0, sizeof *out);
    ap_arena_init(&arena, 4u << 20);
    ap_status status = ap_book_rules(&rows, &count, &arena, book, err);
    for (size_t i = 0; i < count && status == AP_OK; i++) {
        const ap_limit *limit = ap_limit_find(rows[i].name, rows[i].key);
        take_risk(out, &rows[i]);
        if (limit) {
            memcpy((char *)out + limit->offset, &rows[i].number, sizeof rows[i].number);
            seen[limit - limits] = within(limit, rows[i].number) && is_number(rows[i].value);
        }
    }
    for (size_t i = 0; i < ap_limit_count() && status == AP_OK; i++) {
        if (!seen[i]) {
            status =
                ap_error_set(err, AP_E_BOOK,
                             "'%s' holds no usable limit '%s' of the rule '%s'; set it with 'afterpick rule set %s "
                             "%s=VALUE --why \"...\"'",
                             ap_book_path(book), limits[i].key, limits[i].rule, limits[i].rule, limits[i].key);
        }
    }
    ap_arena_release(&arena);
    return status == AP_OK ? check_risk(out, ap_book_path(book), err) : status;
}

/* "1 ft", "15 %", "4", in the page's unit. */
static void say_bound(char out[32], const ap_limit *limit, double value, ap_unit_system units) {
    if (limit->dim == AP_DIM_NONE) {
        snprintf(out, 32, "%g", value);
        return;
    }
    ap_unit unit = ap_unit_for_page(units, limit->dim, false);
    bool degrees = limit->dim == AP_DIM_ANGLE;
    snprintf(out, 32, "%.3g %s", ap_unit_from_si(unit, value), degrees ? "degrees" : ap_unit_symbol(unit));
}

/* What is counted: picks in a row, days. */
static const char *counted(const ap_limit *limit) {
    static const struct {
        const char *key;
        const char *what;
    } counts[] = {{"length", "picks"}, {"least", "picks"}, {"earlier", "picks"}, {"row", "picks"}, {"past", "days"}};
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++) {
        if (strcmp(limit->key, counts[i].key) == 0) {
            return counts[i].what;
        }
    }
    return NULL;
}

ap_status ap_limit_change(ap_book *book, const ap_limit *limit, double value, ap_unit_system units, ap_str why,
                          const ap_book_author *author, ap_error *err) {
    char low[32];
    char high[32];
    say_bound(low, limit, limit->low, units);
    say_bound(high, limit, limit->high, units);
    if (!within(limit, value)) {
        return ap_error_set(err, AP_E_INPUT, "%s of the rule '%s' must be from %s to %s", limit->key, limit->rule, low,
                            high);
    }
    if (counted(limit) && value != floor(value)) {
        return ap_error_set(err, AP_E_INPUT, "%s of the rule '%s' is a number of %s: a whole number", limit->key,
                            limit->rule, counted(limit));
    }
    return ap_book_rule_change(book, ap_str_from(limit->rule), ap_str_from(limit->key), value, why, author, err);
}
