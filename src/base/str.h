/* Text as pointer and length (not NUL-terminated), and a growing byte buffer with a maximum. */
#ifndef AP_BASE_STR_H
#define AP_BASE_STR_H

#include "base/status.h"

/* A view on bytes owned by somebody else. {NULL, 0} means "not recorded". */
typedef struct ap_str {
    const char *ptr;
    size_t len;
} ap_str;

#define AP_STR_NONE ((ap_str){NULL, 0})
#define AP_STR_LIT(literal) ((ap_str){(literal), sizeof(literal) - 1})
/* For printf's "%.*s". */
#define AP_STR_ARG(str) (int)(str).len, (str).ptr ? (str).ptr : ""

ap_str ap_str_from(const char *cstr);
bool ap_str_is_blank(ap_str str); /* empty or only white space */
bool ap_str_equal(ap_str a, ap_str b);
bool ap_str_equal_nocase(ap_str a, ap_str b);  /* ASCII case only */
int ap_str_compare_nocase(ap_str a, ap_str b); /* <0, 0, >0: ASCII case only, as COLLATE NOCASE of the book compares */
bool ap_str_equal_word(ap_str a, const char *cstr);
int ap_str_compare(ap_str a, ap_str b);
int ap_str_compare_natural(ap_str a, ap_str b); /* 9 < 10 < 10a */
bool ap_str_starts(ap_str str, ap_str prefix);
ap_str ap_str_trim(ap_str str); /* ASCII white space and U+00A0 at both ends */
/* The part before the first `sep`; *rest gets what follows, AP_STR_NONE when there was no separator. */
ap_str ap_str_split(ap_str str, char sep, ap_str *rest);
uint64_t ap_str_hash(ap_str str);
bool ap_utf8_is_valid(ap_str str);
/* Edit distance with transposition, capped at `most` + 1: for "did you mean". */
unsigned ap_str_distance(ap_str a, ap_str b, unsigned most);
/* Strict decimal integer of the whole text. */
bool ap_str_to_int64(int64_t *out, ap_str str);

/* A growing buffer. Append functions never return a status: the first failure sticks, later appends do nothing,
 * and ap_buf_check() reports it once at the end. The content is always NUL-terminated when non-empty. */
typedef struct ap_buf {
    char *ptr;
    size_t len;
    size_t cap;
    size_t max;
    ap_status status;
} ap_buf;

void ap_buf_init(ap_buf *buf, size_t max);
void ap_buf_release(ap_buf *buf);
void ap_buf_clear(ap_buf *buf);
void ap_buf_append(ap_buf *buf, const void *bytes, size_t len);
void ap_buf_append_str(ap_buf *buf, ap_str str);
void ap_buf_append_cstr(ap_buf *buf, const char *cstr);
void ap_buf_append_char(ap_buf *buf, char byte);
void ap_buf_appendf(ap_buf *buf, const char *format, ...) AP_PRINTF(2, 3);
void ap_buf_appendv(ap_buf *buf, const char *format, va_list args) AP_PRINTF(2, 0);
ap_str ap_buf_str(const ap_buf *buf);
AP_MUST_USE ap_status ap_buf_check(const ap_buf *buf, const char *what, ap_error *err);

#endif
