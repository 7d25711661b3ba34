/* Private to derive/record*.c: building records one by one. A NULL record (memory is out) takes no input. */
#ifndef AP_DERIVE_RECORD_PARTS_H
#define AP_DERIVE_RECORD_PARTS_H

#include "derive/record.h"

typedef struct ap_record_what {
    const char *group;
    const char *key;
    const char *name;
    ap_dim dim;
    const char *formula;
    const char *source;
} ap_record_what;

ap_record *ap_record_add(ap_record_list *list, const ap_record_what *what, double value);
/* A cell of the log; nothing when it is blank. */
void ap_record_cell(ap_record *record, const ap_pick *pick, int column);
/* Another derived value. */
void ap_record_from(ap_record *record, const char *name, ap_dim dim, double value);
/* A value with its origin and note. */
void ap_record_value(ap_record *record, const char *name, ap_dim dim, double value, ap_origin_kind from,
                     const char *note);
void ap_record_word(ap_record *record, const char *name, const char *word, ap_origin_kind from, int column,
                    const char *note);
void ap_record_why(ap_record *record, ap_record_list *list, const char *why);

void ap_records_wood(ap_record_list *list, const ap_record_given *given);
void ap_records_hang(ap_record_list *list, const ap_record_given *given);

#endif
