/* The life of a finding: kept by (detector, scope, first pick) in the book, recognised in the next review with what people made of it.
 *
 *   L1 the scope that counts is the kind of group ("estimator"): which one, the first pick says;
 *   L2 a finding that names several groups is the one kept under any of them;
 *   L3 its state is only ever changed by a person;
 *   L4 resting on more picks than when its state was set, it went on: a dismissed one has come back;
 *   L5 one that tells what another would have told (also_kind, also_first) is the kept one of that where it is not kept itself. */
#ifndef AP_FOLLOWUP_LIFE_H
#define AP_FOLLOWUP_LIFE_H

#include "analysis/roster.h"
#include "book/findings.h"
#include "followup/finding.h"

/* Says a finding for the book; no names of people in it. */
typedef ap_str (*ap_finding_says)(void *context, const ap_finding *finding);

/* How the bits of ap_finding.groups are called; the rest of a finding's scopes is its own kind. */
typedef struct ap_life_groups {
    const char *const *names;
    size_t count;
} ap_life_groups;

/* Looks every finding up in the book: number, state, went_on. `today`: one found first on that day is new. */
AP_MUST_USE ap_status ap_life_recognise(ap_finding_list *findings, ap_book *book, const ap_roster *roster,
                                        const ap_life_groups *groups, ap_date today, ap_error *err);

enum { AP_LIFE_KEPT_MOST = 5000 }; /* of one run, the gravest first: nobody reads more */
/* The same, and keeps what is new or rests on more than before. Inside a transaction. */
AP_MUST_USE ap_status ap_life_keep(ap_finding_list *findings, ap_book *book, const ap_roster *roster,
                                   const ap_life_groups *groups, ap_finding_says says, void *context, ap_date today,
                                   ap_error *err);

#endif
