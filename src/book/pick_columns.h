/* A pick's columns in the table pick: SQL text, bind and read, all from the field table. Private to this room.
 *
 * The legs are columns of the pick (leg_1_kind ...), as in a log: a table of their own costs an insert for each leg, which is
 * half of an import. The view legs shows them row by row. */
#ifndef AP_BOOK_PICK_COLUMNS_H
#define AP_BOOK_PICK_COLUMNS_H

#include "base/pick.h"
#include "book/handle.h"
#include "book/pick_text.h"

/* Parameters of the insert, from 1; the fields follow. */
enum {
    AP_PICK_JOB_ID = 1,
    AP_PICK_PART,
    AP_PICK_PICK,
    AP_PICK_ORDER,
    AP_PICK_FILE_ID,
    AP_PICK_LINE,
    AP_PICK_SPECIES_ID,
    AP_PICK_TREE_ID,
    AP_PICK_WRITTEN,
    AP_PICK_FIRST_FIELD
};

/* A field that is a column of its own in the table pick: all but job, tree and pick. */
typedef struct ap_plain_column {
    ap_field_kind kind;
    int column; /* of the field table */
    int leg;    /* 1..4, 0 for the pick itself */
    size_t offset;
    int32_t most; /* largest value of a WORD or MOVES */
} ap_plain_column;

enum { AP_PLAIN_COUNT = AP_COLUMN_COUNT - 3 };

/* What binding and reading look up for every row, made once. */
typedef struct ap_columns {
    ap_plain_column plain[AP_PLAIN_COUNT];
    ap_pick blank; /* a read begins with a copy of it */
} ap_columns;
void ap_columns_init(ap_columns *columns);

/* The SQL column of a field: "planned_weight_kg", "leg_2_at_m". */
void ap_pick_column_name(ap_buf *out, int column);
/* An insert of the plain columns that have a parameter; the others are NULL. */
void ap_pick_insert_sql(ap_buf *out, const ap_columns *columns, const uint8_t parameter[AP_PLAIN_COUNT]);
/* "SELECT ..." with all a pick needs, in the order ap_pick_read_row() wants; `where` follows. */
void ap_pick_select_sql(ap_buf *out, const char *where);

/* Two characters for each recorded quantity. */
enum { AP_WRITTEN_MAX = 2 * AP_COLUMN_COUNT };
typedef struct ap_written_text {
    char text[AP_WRITTEN_MAX];
    size_t len;
} ap_written_text;
void ap_written_encode(ap_written_text *out, const ap_columns *columns, const ap_pick *pick);
void ap_written_encode_one(char out[2], ap_written written);
ap_written ap_written_decode_one(ap_str text); /* {0, 0} when it is not two characters of ours */

/* Text of a date or time, remembered because neighbours share it. */
typedef struct ap_iso_memo {
    int32_t value;
    char text[AP_ISO_SIZE];
} ap_iso_memo;

typedef struct ap_binder {
    ap_columns columns;
    ap_iso_memo date;
    ap_iso_memo time;
    uint8_t parameter[AP_PLAIN_COUNT]; /* of the insert; 0 = the insert has no such column */
    uint8_t bound[AP_PLAIN_COUNT];     /* not NULL now */
    uint8_t active[AP_PLAIN_COUNT];    /* columns with a parameter, in order */
    uint8_t absent[AP_PLAIN_COUNT];    /* the others, in order */
    int actives;
    ap_written_text written; /* of the pick bound last */
} ap_binder;
void ap_binder_init(ap_binder *binder);
/* A log fills the same columns row after row: the insert has only those seen so far. Gives a parameter to every recorded column of
 * the pick that has none; true when there was one: the insert must be made anew. */
bool ap_binder_grow(ap_binder *binder, const ap_pick *pick);
/* Binds the plain columns and makes `written`. Texts are views on the pick and the binder: valid for one step. Returns an
 * SQLite code. */
int ap_pick_bind_fields(sqlite3_stmt *statement, ap_binder *binder, const ap_pick *pick);
/* One field at one parameter, NULL when blank. */
int ap_pick_bind_one(sqlite3_stmt *statement, int at, ap_binder *binder, const ap_pick *pick, int column);

/* Column `at` of a row into a cleared pick; false when it is NULL. A text is a view on the statement. */
bool ap_pick_read_plain(ap_pick *pick, const ap_plain_column *plain, sqlite3_stmt *statement, int at);
/* How each recorded quantity was written, in the order of the columns, for those up to the first that was not read. */
void ap_pick_read_written(ap_pick *pick, const ap_columns *columns, ap_str text);
/* Reads a row of ap_pick_select_sql(); texts are views on the statement, the name goes into `name`. */
void ap_pick_read_row(ap_pick *pick, ap_buf *name, const ap_columns *columns, sqlite3_stmt *statement);

/* "J231/17", "J231/2026-10-05/17" */
void ap_pick_name_write(ap_buf *out, ap_str job, ap_str part, ap_str pick);

/* True when the two say the same: quantities to the coarser of the two written precisions, species by its id. */
bool ap_pick_value_same(const ap_pick *a, const ap_pick *b, int column);

#endif
