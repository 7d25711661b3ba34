/* What the files that read a profile share. */
#ifndef AP_INTAKE_PROFILE_PARTS_H
#define AP_INTAKE_PROFILE_PARTS_H

#include "intake/profile.h"
#include "intake/profile_scan.h"

/* One reading of a profile. */
typedef struct ap_profile_reading {
    ap_profile *profile;
    const char *where;
    int line;
    ap_scan_line scan;
    bool kind_said;
    int kind_line;
    const char *kind_word; /* the statement that settled the kind */
    int said[32];          /* line where the statement stood, by its place in the table; 0 = not yet */
    ap_error *err;
} ap_profile_reading;

/* "unable to read the profile 'W': line 12: ..." */
ap_status ap_profile_wrong(const ap_profile_reading *reading, ap_status code, const char *format, ...) AP_PRINTF(3, 4);
/* The field a word names; says the nearest when there is none. */
ap_status ap_profile_take_field(int *field, ap_profile_reading *reading);
/* "in UNIT" and "if there", both optional, to the line's end. `optional` NULL = not allowed here. */
ap_status ap_profile_take_unit(ap_unit *unit, bool *optional, int field, ap_profile_reading *reading);
ap_status ap_profile_take_compiled(ap_pattern **out, ap_profile_reading *reading, const char *usage);
/* A new column of the profile, fed by the line being read. */
ap_status ap_profile_add_column(ap_profile_column **out, ap_profile_reading *reading);
/* Nothing more may stand in the line. */
ap_status ap_profile_take_end(const ap_profile_reading *reading);
ap_status ap_profile_set_kind(ap_profile_reading *reading, ap_profile_kind kind, const char *word);

/* Statements; the word itself is taken already. */
ap_status ap_profile_column_line(ap_profile_reading *reading);
ap_status ap_profile_find_line(ap_profile_reading *reading);
ap_status ap_profile_key_line(ap_profile_reading *reading);
ap_status ap_profile_pattern_line(ap_profile_reading *reading, bool heading);
ap_status ap_profile_value_line(ap_profile_reading *reading);
ap_status ap_profile_also_line(ap_profile_reading *reading);
ap_status ap_profile_skip_line(ap_profile_reading *reading);
ap_status ap_profile_sample_line(ap_profile_reading *reading);
ap_status ap_profile_gives_line(ap_profile_reading *reading);

/* What only the whole profile shows: a field given twice, a needed one by nothing. */
ap_status ap_profile_finish(ap_profile_reading *reading);

#endif
