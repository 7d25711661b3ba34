#include "cli/keep_findings.h"

#include "followup/life.h"

typedef struct teller {
    ap_doc *doc;
    const ap_roster *roster;
} teller;

static ap_str says(void *context, const ap_finding *finding) {
    teller *tell = context;
    /* With --names the scope may hold one: the book keeps the title then. */
    if (tell->roster->names && finding->scope.len) {
        return ap_str_from(ap_detector_title(finding->detector));
    }
    return ap_say_finding(tell->doc, tell->roster, finding);
}

static ap_status keep(ap_cli *cli, ap_book *book, ap_finding_list *findings, const ap_roster *roster, ap_doc *doc,
                      const ap_life_groups *groups, ap_error *err) {
    teller tell = {doc, roster};
    ap_status status = ap_book_begin(book, err);
    if (status != AP_OK) {
        return status;
    }
    status = ap_life_keep(findings, book, roster, groups, says, &tell, cli->today, err);
    return ap_book_end(book, status, err);
}

ap_status ap_cli_keep_findings(ap_str *not_kept, ap_cli *cli, ap_finding_list *findings, const ap_roster *roster,
                               ap_doc *doc, ap_error *err) {
    const char *names[AP_RUN_GROUPS];
    for (size_t g = 0; g < AP_RUN_GROUPS; g++) {
        names[g] = ap_run_groups[g].name;
    }
    const ap_life_groups groups = {names, AP_RUN_GROUPS};
    ap_book *writer = NULL;
    ap_error why;
    *not_kept = AP_STR_NONE;
    ap_book_rollback(cli->book); /* a snapshot that is still open would keep the writer out */
    ap_status status = ap_book_open(&writer, ap_book_path(cli->book), AP_BOOK_WRITE, &why);
    if (status == AP_OK) {
        status = keep(cli, writer, findings, roster, doc, &groups, &why);
    }
    ap_book_close(writer);
    ap_finding_sort(findings);
    if (status == AP_OK || status == AP_E_MEMORY || status == AP_E_INTERNAL) {
        return status == AP_OK ? AP_OK : ap_error_set(err, status, "%s", why.text);
    }
    /* What was numbered in a transaction that was taken back is not. */
    for (size_t i = 0; i < findings->count; i++) {
        findings->items[i].number = 0;
    }
    *not_kept = ap_arena_printf(&cli->arena, "The findings were not kept for the next review: %s.", why.text);
    return ap_life_recognise(findings, cli->book, roster, &groups, cli->today, err);
}

ap_status ap_cli_get_fail_on(ap_fail_on *out, const ap_cli *cli, ap_error *err) {
    ap_str word = ap_cli_get(cli, "fail-on");
    *out = AP_FAIL_ON_NOTHING;
    if (!word.ptr) {
        return AP_OK;
    }
    if (ap_str_equal_word(word, "certain")) {
        *out = AP_FAIL_ON_CERTAIN;
    } else if (ap_str_equal_word(word, "likely")) {
        *out = AP_FAIL_ON_LIKELY;
    } else {
        return ap_error_set(err, AP_E_USAGE, "--fail-on is 'certain' or 'likely', not '%.*s'", AP_STR_ARG(word));
    }
    return AP_OK;
}

void ap_cli_judge_fail_on(ap_cli *cli, ap_fail_on fail_on, const ap_finding_list *findings) {
    for (size_t i = 0; i < findings->count; i++) {
        const ap_finding *finding = &findings->items[i];
        bool counts =
            fail_on == AP_FAIL_ON_LIKELY || (fail_on == AP_FAIL_ON_CERTAIN && finding->class == AP_FINDING_CERTAIN);
        cli->attention = cli->attention || (counts && !ap_finding_is_settled(finding));
    }
}
