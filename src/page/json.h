/* A streaming JSON writer (RFC 8259): UTF-8, numbers with the fewest digits that read back to the same double, NaN and
 * infinity as null. Nesting errors are programming mistakes and asserted. */
#ifndef AP_PAGE_JSON_H
#define AP_PAGE_JSON_H

#include "base/calendar.h"
#include "base/sink.h"

enum { AP_JSON_DEPTH_MAX = 32 };
typedef struct ap_json {
    ap_sink *sink;
    int depth;
    bool first[AP_JSON_DEPTH_MAX];
    bool in_object[AP_JSON_DEPTH_MAX];
    bool after_key;
    bool pretty; /* two-space indent */
} ap_json;

void ap_json_init(ap_json *json, ap_sink *sink, bool pretty);
void ap_json_object_begin(ap_json *json);
void ap_json_object_end(ap_json *json);
void ap_json_array_begin(ap_json *json);
void ap_json_array_end(ap_json *json);
void ap_json_key(ap_json *json, const char *key);
void ap_json_text(ap_json *json, ap_str value); /* none -> null; invalid UTF-8 replaced by U+FFFD */
void ap_json_number(ap_json *json, double value);
void ap_json_int(ap_json *json, int64_t value);
void ap_json_bool(ap_json *json, bool value);
void ap_json_null(ap_json *json);
void ap_json_date(ap_json *json, ap_date date);
/* key and value in one call */
void ap_json_put_text(ap_json *json, const char *key, ap_str value);
void ap_json_put_number(ap_json *json, const char *key, double value);
void ap_json_put_int(ap_json *json, const char *key, int64_t value);
void ap_json_put_bool(ap_json *json, const char *key, bool value);
void ap_json_put_date(ap_json *json, const char *key, ap_date date);

#endif
