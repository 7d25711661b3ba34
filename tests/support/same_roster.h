/* Two rosters, field by field. */
#ifndef AP_TESTS_SAME_ROSTER_H
#define AP_TESTS_SAME_ROSTER_H

#include "analysis/roster.h"

/* What differs first, in words; none when nothing does. NaN is NaN. Names only if `named`. */
bool same_roster(char what[200], const ap_roster *a, const ap_roster *b, bool named);

#endif
