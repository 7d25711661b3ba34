/* Limits, factors and phrases kept as rows of the book, each change with who, when, why. */
#ifndef AP_BOOK_RULES_H
#define AP_BOOK_RULES_H

#include "book/book.h"

typedef struct ap_rule_row {
    ap_str name, key;
    ap_str value;  /* a quantity in SI */
    double number; /* of the value; 0 when it is a text */
    ap_str shipped;
    ap_str reason, source;
} ap_rule_row;

typedef struct ap_rule_change {
    ap_str name, key, old_value, new_value, who, why;
    ap_date on;
} ap_rule_change;

/* All rows, by name and key. They live in `arena`. */
AP_MUST_USE ap_status ap_book_rules(ap_rule_row **rows, size_t *count, ap_arena *arena, ap_book *book, ap_error *err);
/* The changes of one rule, oldest first. */
AP_MUST_USE ap_status ap_book_rule_history(ap_rule_change **rows, size_t *count, ap_arena *arena, ap_book *book,
                                           ap_str name, ap_error *err);
/* An entry takes a number; the row is made when it is not there. History row with the old value. Inside a transaction. */
AP_MUST_USE ap_status ap_book_rule_change_text(ap_book *book, ap_str name, ap_str key, ap_str value, ap_str why,
                                               const ap_book_author *author, ap_error *err);
AP_MUST_USE ap_status ap_book_rule_change(ap_book *book, ap_str name, ap_str key, double value, ap_str why,
                                          const ap_book_author *author, ap_error *err);

#endif
