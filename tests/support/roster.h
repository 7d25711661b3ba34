/* A roster built by hand for tests: no book, no files. */
#ifndef AP_TESTS_ROSTER_H
#define AP_TESTS_ROSTER_H

#include "analysis/roster.h"
#include "support/check.h"

void check_roster_init(ap_roster *roster);
/* One pick compared at `ratio` (NAN: not weighed), on day `date`, in groups given by name ("" = blank); the tree too. */
ap_fact *check_roster_add(ap_roster *roster, const char *name, ap_date date, double ratio, const char *species,
                          const char *cut, const char *estimator, const char *tree);

#endif
