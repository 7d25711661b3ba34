/* The header row becomes a plan: what every column of this file is, settled once, so that a row costs no look-ups. */
#ifndef AP_INTAKE_HEADER_H
#define AP_INTAKE_HEADER_H

#include "base/arena.h"
#include "base/pick.h"
#include "book/book.h"
#include "intake/profile.h"
#include "intake/rows.h"
#include "text/quantity.h"

typedef struct ap_plan_column {
    int field;                       /* column number of fields.def; -1 = not read */
    const ap_field *desc;            /* NULL when not read */
    ap_quantity_rules rules;         /* of a quantity */
    ap_str header;                   /* as it stood */
    ap_str remark;                   /* why it is not read, for a warning; none when there is nothing to say */
    size_t cell;                     /* index of the cell it reads */
    const ap_profile_values *values; /* what its texts mean, by the profile; NULL = what they say */
} ap_plan_column;

/* A skip of the profile and where it looks: index of the cell, SIZE_MAX = the whole row. */
typedef struct ap_plan_skip {
    const ap_profile_skip *skip;
    size_t cell;
} ap_plan_skip;

typedef struct ap_plan {
    ap_plan_column *columns; /* `count` for the row's cells, then also_count, then constant_count */
    size_t count;
    size_t also_count;     /* columns that read a cell once more */
    size_t constant_count; /* columns without a cell: their texts are in `constants` */
    ap_str *constants;
    ap_plan_skip *skips;
    size_t skip_count;
    unsigned restart;              /* ap_profile_restart bits */
    int year;                      /* of dates written without one; 0 = not said */
    size_t counted;                /* cells at the end that no row of the file has: the number that is counted */
    const ap_profile *profile;     /* NULL = canonical columns */
    int64_t line;                  /* of the header */
    int position[AP_COLUMN_COUNT]; /* index into columns, -1 = the file does not have it */
} ap_plan;

typedef struct ap_plan_rules {
    ap_unit load; /* what a bare number means; AP_UNIT_NONE = refused */
    ap_unit length;
    ap_unit diameter;
    ap_unit ton;
} ap_plan_rules;

/* Reads rows up to and with the header: the first of the leading rows that holds at least three canonical names ("Butt
 * Diameter (in)" is one: case, blanks and hyphens do not count). Lives in `arena`.
 * Errors  AP_E_INPUT: no header, a column twice, a needed column missing, a unit that can not be the column's. */
AP_MUST_USE ap_status ap_plan_find(ap_plan *out, ap_arena *arena, ap_rows *rows, const ap_plan_rules *rules,
                                   ap_book *book, ap_error *err);

/* Canonical column of a header cell and the unit written in it; -1 when it is none. */
int ap_header_field(ap_unit *unit, ap_str header);
/* The canonical name the book's list has for exactly this spelling; none when it has none. */
AP_MUST_USE ap_status ap_header_synonym(ap_str *field, ap_arena *arena, ap_book *book, ap_str header, ap_error *err);
/* The canonical name people mean by such a header ("est wt" -> "planned_weight"), from the book's list; none when unknown. */
AP_MUST_USE ap_status ap_header_suggest(ap_str *field, ap_arena *arena, ap_book *book, ap_str header, ap_error *err);
/* [{"column":1,"header":"Job","field":"job"},{"column":2,"header":"Len (ft)","field":"length","unit":"ft"}, ...] */
void ap_plan_to_json(ap_buf *out, const ap_plan *plan);
/* Decimal mark of the file, applied to every quantity column. */
void ap_plan_set_decimal(ap_plan *plan, char decimal);
/* Column `index` of the plan reads `field`, its bare numbers in `unit` or, without one, in what the rules say. */
AP_MUST_USE ap_status ap_plan_set_column(ap_plan *plan, size_t index, int field, ap_unit unit,
                                         const ap_plan_rules *rules, ap_error *err);
/* The row holds at least three canonical names. */
bool ap_header_is_canonical(const ap_row *row);
/* "est. wt (lb)" -> "est_wt"; none when it is too long. */
enum { AP_HEADER_NAME_SIZE = 64 };
ap_str ap_header_spelling(char out[AP_HEADER_NAME_SIZE], ap_str header);

#endif
