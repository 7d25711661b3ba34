/* What the detectors are asked about and what they find, built by hand: no book, no files. */
#ifndef AP_TESTS_FINDINGS_H
#define AP_TESTS_FINDINGS_H

#include "nearmiss/detect.h"
#include "support/roster.h"

typedef struct check_findings {
    ap_roster roster;
    ap_arena arena;
    ap_finding_list findings;
    ap_chance chance;
} check_findings;

void check_findings_open(check_findings *f);
void check_findings_close(check_findings *f);

#endif
