/* A pick's columns in the tables pick and leg: SQL text, bind and read, all from the field table. Private to this room. */
#ifndef AP_BOOK_PICK_COLUMNS_H
#define AP_BOOK_PICK_COLUMNS_H

#include "base/pick.h"
#include "book/handle.h"

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
    AP_PICK_LEG_COUNT,
    AP_PICK_WRITTEN,
    AP_PICK_FIRST_FIELD
};

/* Two characters for each quantity of a pick. */
enum { AP_WRITTEN_MAX = 2 * AP_COLUMN_COUNT };
typedef struct ap_written_text {
    char text[AP_WRITTEN_MAX];
    size_t len;
} ap_written_text;
void ap_written_encode(ap_written_text *out, const ap_pick *pick);
/* Blank quantities get {0, 0}; a text that is too short leaves the rest so. */
void ap_written_decode(ap_pick *pick, ap_str text);
void ap_written_encode_one(char out[2], ap_written written);
ap_written ap_written_decode_one(ap_str text); /* {0, 0} when it is not two characters of ours */

/* True when the field has a column of its own in the table pick: all but job, tree and pick. */
bool ap_pick_column_is_plain(int field);

void ap_pick_insert_sql(ap_buf *out);
void ap_leg_insert_sql(ap_buf *out);
/* "SELECT ..." with all a pick needs, in the order ap_pick_read_row() wants; `where` follows. */
void ap_pick_select_sql(ap_buf *out, const char *where);
void ap_leg_select_sql(ap_buf *out, const char *where);

/* Text of a date or time, remembered because neighbours share it. */
typedef struct ap_iso_memo {
    int32_t value;
    char text[AP_ISO_SIZE];
} ap_iso_memo;

typedef struct ap_binder {
    ap_iso_memo date;
    ap_iso_memo time;
    ap_buf moves;
    uint8_t bound[AP_PICK_FIRST_FIELD + AP_F_COUNT]; /* parameters of the pick's insert that are not NULL now */
} ap_binder;
void ap_binder_init(ap_binder *binder);
void ap_binder_release(ap_binder *binder);
/* Binds every plain field of the pick (leg 0) or of one leg to consecutive parameters from `first`. Texts are views on the pick and
 * the binder: valid for one step. Returns an SQLite code. */
int ap_pick_bind_fields(sqlite3_stmt *statement, int first, ap_binder *binder, const ap_pick *pick);
int ap_leg_bind_fields(sqlite3_stmt *statement, int first, const ap_pick *pick, int leg);
/* One field at one parameter. */
int ap_field_bind(sqlite3_stmt *statement, int at, ap_binder *binder, const ap_pick *pick, int column);
bool ap_leg_is_blank(const ap_pick *pick, int leg);

/* Reads a row of ap_pick_select_sql(); texts are views on the statement, the name goes into `name`. */
void ap_pick_read_row(ap_pick *pick, ap_buf *name, sqlite3_stmt *statement);
/* How its quantities were written: after the legs are read. */
void ap_pick_read_written(ap_pick *pick, sqlite3_stmt *statement);
/* Reads a row of ap_leg_select_sql() into its leg; the leg's index, -1 when it is none. */
int ap_leg_read_row(ap_pick *pick, sqlite3_stmt *statement);
/* The row of ap_leg_select_sql(): pick_id, leg_no, then the fields. */
enum { AP_LEG_ROW_PICK_ID, AP_LEG_ROW_NO, AP_LEG_ROW_FIRST };

/* "J231/17", "J231/2026-10-05/17" */
void ap_pick_name_write(ap_buf *out, ap_str job, ap_str part, ap_str pick);
/* Text whose order by bytes is natural order, as ap_str_compare_natural() orders all but case and leading zeros. */
void ap_natural_key(ap_buf *out, ap_str text);

/* A value as a person reads it, in the unit it was written in: "2400 lb", "step", "yes"; nothing for a blank. */
void ap_pick_value_write(ap_buf *out, const ap_pick *pick, int column);
/* True when the two say the same: quantities to the coarser of the two written precisions, species by its id. */
bool ap_pick_value_same(const ap_pick *a, const ap_pick *b, int column);

#endif
