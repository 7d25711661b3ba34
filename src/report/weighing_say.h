/* What the weighed picks can and cannot say, in words. */
#ifndef AP_REPORT_WEIGHING_SAY_H
#define AP_REPORT_WEIGHING_SAY_H

#include "analysis/weighing.h"
#include "report/sentences.h"

/* "If the 84 picks not weighed were like the heaviest tenth ..."; none when all were weighed. */
ap_str ap_say_worst_case(ap_arena *arena, const ap_roster *roster, const ap_weighing *weighing);
/* What an indicator alone could make of the error; none when none was used. */
ap_str ap_say_indicator(ap_arena *arena, const ap_weighing *weighing);
/* Whether the unweighed picks are others than the weighed ones, as a table; nothing when all were weighed. */
void ap_weighing_table(ap_doc *doc, const char *id, const ap_weighing *weighing);

#endif
