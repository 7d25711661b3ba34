/* A profile and the log's columns become a plan; its samples are read by that plan. */
#ifndef AP_INTAKE_PROFILE_PLAN_H
#define AP_INTAKE_PROFILE_PLAN_H

#include "base/settings.h"
#include "intake/header.h"
#include "intake/intake.h"

/* What bare tons and bare numbers mean by the book's settings and the import's options. */
ap_plan_rules ap_intake_rules(const ap_settings *settings, ap_intake_units units);
/* The profile's word on tons and bare numbers goes before the import's. */
ap_plan_rules ap_profile_rules(const ap_profile *profile, const ap_plan_rules *rules);

/* As ap_plan_find(), by the profile: of a table the first row that holds its headers (or the line it names); of a text log
 * no row is read.
 * Errors  AP_E_INPUT: a header that is missing, or there twice, with its line in the profile. */
AP_MUST_USE ap_status ap_profile_plan(ap_plan *out, ap_arena *arena, ap_rows *rows, const ap_plan_rules *rules,
                                      const ap_profile *profile, ap_error *err);
/* The same for a table whose header row is known. `texts`: what headings said, by the profile's columns; NULL = none.
 * `partial`: columns may be missing, as in a sample. */
AP_MUST_USE ap_status ap_profile_plan_table(ap_plan *out, ap_arena *arena, const ap_row *row,
                                            const ap_plan_rules *rules, const ap_profile *profile, const ap_str *texts,
                                            bool partial, ap_error *err);
/* The row holds every header the profile can not do without; and those of its "use when". */
bool ap_profile_fits_header(const ap_profile *profile, const ap_row *row);
bool ap_profile_claims_header(const ap_profile *profile, const ap_row *row);

/* What the loader found out about one sample. */
typedef struct ap_sample_result {
    const ap_profile_sample *sample;
    bool passed;
    ap_str says; /* what was read instead; in `arena` */
} ap_sample_result;

/* Runs one sample. The status is for the book's failures only. */
AP_MUST_USE ap_status ap_profile_run_sample(ap_sample_result *out, ap_arena *arena, const ap_profile *profile,
                                            size_t index, ap_book *book, const ap_plan_rules *rules, ap_error *err);
/* Runs every sample. AP_E_INPUT: the first that fails, with what was read instead. */
/* A value as profiles write it, "4500 lb" in its own unit without more digits than it has; nothing for a blank. */
void ap_profile_value_write(ap_buf *out, const ap_pick *pick, int field);
AP_MUST_USE ap_status ap_profile_try(const ap_profile *profile, ap_book *book, const ap_plan_rules *rules,
                                     ap_error *err);

/* The profile kept in the book under this name, else the file of this name.
 * Errors  AP_E_NOT_FOUND names the profiles there are. */
AP_MUST_USE ap_status ap_profile_open(ap_profile **out, ap_book *book, const char *name_or_file, ap_error *err);
/* The same, and its samples are run: what import uses. */
AP_MUST_USE ap_status ap_profile_load(ap_profile **out, ap_book *book, const char *name_or_file,
                                      const ap_plan_rules *rules, ap_error *err);

/* Profiles of the book for tables: those may claim or fit a header. One whose text this program can not read is left out. */
AP_MUST_USE ap_status ap_profiles_kept(ap_profile ***out, size_t *count, ap_book *book, ap_error *err);
void ap_profiles_free(ap_profile **profiles, size_t count);

#endif
