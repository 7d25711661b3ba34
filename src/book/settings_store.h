/* The company's settings in the book, each change with who, when, why. */
#ifndef AP_BOOK_SETTINGS_STORE_H
#define AP_BOOK_SETTINGS_STORE_H

#include "base/settings.h"
#include "book/book.h"

/* Defaults with what the book holds on top. */
AP_MUST_USE ap_status ap_book_settings_read(ap_settings *out, ap_book *book, ap_error *err);
/* Checks `value` against the setting's kind and bounds (AP_E_INPUT says what it may be); `si` is its value inside: the
 * caller parsed it with text/. History row with the old value. Inside a transaction. */
AP_MUST_USE ap_status ap_book_setting_change(ap_book *book, const ap_setting *setting, ap_str value, double si,
                                             ap_str why, const ap_book_author *author, ap_error *err);

#endif
