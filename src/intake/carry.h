/* Cells that are blank because the row above says it: merged cells of a sheet, a day written once above its picks.
 *
 *   C1 Only the fields a profile names ("carry job, date") are filled, and only in a row that holds a pick's number or species.
 *   C2 What is filled is what the last row above that had it, a total excepted, whatever became of that row.
 *   C3 A row with nothing but such fields is a heading. A total is neither: it has figures. *   C4 Where the profile counts picks, one without a number is given its place among the picks of that job and day, by the texts
 *      of the two cells. It is written with the rows set aside, so that a mended row keeps it.
 */
#ifndef AP_INTAKE_CARRY_H
#define AP_INTAKE_CARRY_H

#include "intake/header.h"

enum { AP_CARRY_TEXT_MAX = 4096, AP_CARRY_CELLS = 1024 };

typedef struct ap_carry {
    ap_buf kept[AP_PROFILE_CARRIES_MAX];
    ap_str cells[AP_CARRY_CELLS + 1]; /* of the row last given */
    ap_arena arena;
    ap_intern *days; /* jobs with their days, met so far */
    int *counts;     /* of each */
    size_t count_cap;
    char number[16];
} ap_carry;

void ap_carry_init(ap_carry *carry);
void ap_carry_release(ap_carry *carry);
/* Fills the row's blank cells, or makes it a heading. The row then lives until the next call. */
void ap_carry_row(ap_row *row, ap_carry *carry, const ap_plan *plan);

#endif
