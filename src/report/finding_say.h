/* A finding in words: what it says, how likely chance makes it, what to ask, what became of it. */
#ifndef AP_REPORT_FINDING_SAY_H
#define AP_REPORT_FINDING_SAY_H

#include "nearmiss/detect.h"
#include "report/sentences.h"

/* What it says, one or two sentences. */
ap_str ap_say_finding(ap_doc *doc, const ap_roster *roster, const ap_finding *finding);
/* KERF, RE_RIG, CLUSTER. */
ap_str ap_say_rate_finding(ap_doc *doc, const ap_roster *roster, const ap_finding *finding);
/* SAID_SO: the note, the words that were found in [ ]; PENCIL, SILENCE: what, against what is expected, without a verdict. */
ap_str ap_say_said_so(ap_doc *doc, const ap_finding *finding);
ap_str ap_say_notes(ap_doc *doc,
                    const ap_said_list *said); /* how many notes were searched, and which were not wholly */
ap_str ap_say_pencil(ap_doc *doc, const ap_finding *finding);
ap_str ap_say_silence(ap_doc *doc, const ap_finding *finding);
/* "Could have been critical (2,150 lb, moved, where to is not logged), occasional (1 of 107 picks): serious risk." */
ap_str ap_say_could_have(ap_doc *doc, const ap_roster *roster, const ap_finding *finding);
/* "certain: it is in the log", "chance alone makes one of these in about 2,400 looks (fewer than 0.1 here)". */
ap_str ap_say_finding_chance(ap_doc *doc, const ap_chance *chance, const ap_finding *finding);
/* The question for the people who were there; never a verdict. */
const char *ap_ask_finding(const ap_finding *finding);
/* "new", "acknowledged on 2026-11-02", "dismissed on 2026-11-02 and back, longer than then: REASON"; none without a book. */
ap_str ap_say_finding_state(ap_doc *doc, const ap_finding *finding);
/* "J231/17", or "J231/17, J231/18 and 4 more". */
ap_str ap_say_finding_picks(ap_doc *doc, const ap_roster *roster, const ap_finding *finding);
/* All likely findings of a review together, and where limits rose. */
ap_str ap_say_chance(ap_doc *doc, const ap_chance *chance, const ap_rule_limits *limits);
/* One line a likely detector: limit, looks, expected, independent. */
void ap_chance_table(ap_doc *doc, const char *id, const ap_chance *chance);

#endif
