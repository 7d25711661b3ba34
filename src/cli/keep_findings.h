/* Findings into the book after a review or a listing: the book is opened for writing only then, and a book that cannot be written is
 * still reviewed. */
#ifndef AP_CLI_KEEP_FINDINGS_H
#define AP_CLI_KEEP_FINDINGS_H

#include "cli/cli.h"
#include "report/finding_say.h"

#define AP_CLI_FAIL_ON_OPTION                                                                                          \
    { "fail-on", "CLASS", "exit code 1 when there is an open finding of the class: certain or likely" }

/* Looks the findings up, keeps new ones where the book can be written; *not_kept says why not, none when they were kept. `doc` makes
 * the sentences. Every read of the book must be done: the snapshot ends here. */
AP_MUST_USE ap_status ap_cli_keep_findings(ap_str *not_kept, ap_cli *cli, ap_finding_list *findings,
                                           const ap_roster *roster, ap_doc *doc, ap_error *err);

/* --fail-on CLASS: read it early, judge it late (sets cli->attention; likely takes in certain). */
typedef enum ap_fail_on { AP_FAIL_ON_NOTHING, AP_FAIL_ON_CERTAIN, AP_FAIL_ON_LIKELY } ap_fail_on;
AP_MUST_USE ap_status ap_cli_get_fail_on(ap_fail_on *out, const ap_cli *cli, ap_error *err);
void ap_cli_judge_fail_on(ap_cli *cli, ap_fail_on fail_on, const ap_finding_list *findings);

#endif
