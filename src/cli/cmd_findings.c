#include "cli/commands.h"
#include "cli/find_associations.h"
#include "cli/keep_findings.h"
#include "cli/period.h"
#include "report/finding_page.h"
#include "report/findings_page.h"

static ap_status write_findings(ap_cli *cli, ap_finding_list *findings, const ap_findings_told *told, ap_error *err) {
    ap_doc *doc = ap_cli_doc(cli, "Findings", ap_say_period(&cli->arena, told->period));
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    ap_str not_kept;
    ap_status status = ap_cli_keep_findings(&not_kept, cli, findings, told->roster, doc, err);
    if (status != AP_OK) {
        return status;
    }
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_findings_json(&json, doc, told);
        return ap_cli_json_end(cli);
    }
    ap_findings_page(doc, told, cli->format == AP_CLI_CSV);
    if (not_kept.len) {
        ap_doc_paragraph(doc, not_kept);
    }
    return ap_cli_write(cli, doc, err);
}

static ap_status write_kept(ap_cli *cli, int64_t id, ap_error *err) {
    ap_finding_kept kept;
    ap_rule_limits limits;
    ap_status status = ap_finding_kept_read(&kept, &cli->arena, cli->book, id, err);
    if (status == AP_OK) {
        status = ap_limits_read(&limits, cli->book, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_finding_json(&json, &kept);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Finding", AP_STR_NONE);
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    ap_finding_page(doc, &kept, &limits, &cli->settings);
    return ap_cli_write(cli, doc, err);
}

/* show, acknowledge, dismiss: the number, and for a change its reason. */
static ap_status one_finding(ap_cli *cli, const char *state, ap_error *err) {
    int64_t id = 0;
    ap_str why = AP_STR_NONE;
    ap_status status = ap_cli_need_words(cli, 2, 2, "the number of a finding", err);
    if (status == AP_OK && (!ap_str_to_int64(&id, ap_str_from(cli->words[1])) || id <= 0)) {
        status = ap_error_set(err, AP_E_USAGE, "'%s' is not the number of a finding; 'afterpick findings' shows them",
                              cli->words[1]);
    }
    if (status == AP_OK && state) {
        status = ap_cli_get_why(&why, cli, err);
    }
    if (status == AP_OK) {
        status = ap_cli_open(cli, state ? AP_BOOK_WRITE : AP_BOOK_READ, err);
    }
    if (status == AP_OK && state) {
        const ap_book_author author = ap_cli_author(cli);
        ap_finding_row row;
        status = ap_book_begin(cli->book, err);
        if (status != AP_OK) {
            return status;
        }
        status = ap_book_finding_get(&row, &cli->arena, cli->book, id, err);
        if (status == AP_OK) {
            status = ap_book_finding_set_state(cli->book, id, ap_str_from(state), why, &author, err);
        }
        status = ap_book_end(cli->book, status, err);
    }
    return status == AP_OK && !(state && cli->quiet) ? write_kept(cli, id, err) : status;
}

static ap_status list(ap_cli *cli, ap_error *err) {
    ap_roster roster = {0};
    ap_hung_list hung = {0};
    ap_said_list said = {0};
    ap_rule_limits limits;
    ap_finding_list findings;
    ap_chance chance;
    ap_findings_told told = {.roster = &roster,
                             .limits = &limits,
                             .findings = &findings,
                             .chance = &chance,
                             .said = &said,
                             .clashes = &hung.clashes};
    const ap_detect_given given = {&roster, &limits, &hung, &said};
    ap_finding_list_init(&findings, &cli->arena);
    ap_fail_on fail_on;
    ap_status status = ap_cli_get_fail_on(&fail_on, cli, err);
    if (status == AP_OK) {
        status = ap_cli_get_period(&told.period, cli, err);
    }
    if (status == AP_OK) {
        status = ap_cli_open_roster(&roster, cli, told.period.until, err);
    }
    if (status == AP_OK) {
        status = ap_limits_read(&limits, cli->book, err);
    }
    if (status == AP_OK) {
        status =
            ap_hung_load(&hung, cli->book, &roster, roster.facts, &limits, told.period.since, told.period.until, err);
    }
    if (status == AP_OK) {
        status = ap_said_read(&said, &cli->arena, cli->book, &roster, told.period.since, told.period.until, err);
    }
    if (status == AP_OK) {
        status = ap_detect_all(&findings, &chance, &given, told.period.since, told.period.until, err);
    }
    if (status == AP_OK) {
        status = write_findings(cli, &findings, &told, err);
    }
    if (status == AP_OK) {
        ap_cli_judge_fail_on(cli, fail_on, &findings);
    }
    ap_hung_release(&hung);
    ap_roster_release(&roster);
    return status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    static const struct {
        const char *verb;
        const char *state; /* NULL: only shown */
    } verbs[] = {{"show", NULL}, {"acknowledge", "acknowledged"}, {"dismiss", "dismissed"}};
    if (cli->word_count == 0) {
        return ap_cli_has(cli, "associations") ? ap_cli_associations(cli, err) : list(cli, err);
    }
    for (size_t v = 0; v < sizeof verbs / sizeof verbs[0]; v++) {
        if (strcmp(cli->words[0], verbs[v].verb) == 0) {
            return one_finding(cli, verbs[v].state, err);
        }
    }
    return ap_error_set(err, AP_E_USAGE, "'afterpick findings' knows show, acknowledge and dismiss, not '%s'",
                        cli->words[0]);
}

static const ap_cli_option options[] = {
    AP_CLI_PERIOD_OPTIONS,
    AP_CLI_FAIL_ON_OPTION,
    {"associations", NULL, "instead: which cuts, set-ups and kerfs go with what followed"},
    {"why", "TEXT", "acknowledge, dismiss: the reason; kept in the book"},
    {0}};

const ap_command ap_command_findings = {
    .name = "findings",
    .group = "MONTH",
    .summary = "what to look at first: certain findings, then likely ones",
    .usage =
        "[--month YYYY-MM | --since DATE --until DATE] | show NO | acknowledge NO --why TEXT | dismiss NO --why TEXT",
    .about = "Certain: it is in the log, or follows from it. Likely: a pattern that chance can make too, with the "
             "false alarms to\n"
             "expect. Each finding keeps its number in the book; acknowledged or dismissed, the next review remembers "
             "it. The rules\n"
             "and their limits: 'afterpick rule'.",
    .example = "afterpick --book demo/demo.book findings --month 2026-10",
    .options = options,
    .run = run,
};
