#include "cli/commands.h"
#include "cli/period.h"
#include "report/findings_page.h"

static ap_status write_findings(ap_cli *cli, const ap_findings_told *told, ap_error *err) {
    ap_doc *doc = ap_cli_doc(cli, "Findings", ap_say_period(&cli->arena, told->period));
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    if (cli->format == AP_CLI_JSON) {
        ap_json json;
        ap_json_init(&json, cli->out, true);
        ap_findings_json(&json, doc, told);
        ap_sink_putc(cli->out, '\n');
        return AP_OK;
    }
    ap_findings_page(doc, told, cli->format == AP_CLI_CSV);
    return ap_cli_write(cli, doc, err);
}

static ap_status run(ap_cli *cli, ap_error *err) {
    ap_roster roster = {0};
    ap_hung_list hung = {0};
    ap_limits limits;
    ap_finding_list findings;
    ap_chance chance;
    ap_findings_told told = {.roster = &roster, .limits = &limits, .findings = &findings, .chance = &chance};
    const ap_detect_given given = {&roster, &limits, &hung};
    ap_finding_list_init(&findings, &cli->arena);
    ap_status status = ap_cli_need_words(cli, 0, 0, "nothing", err);
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
        status = ap_hung_load(&hung, cli->book, &roster, told.period.since, told.period.until, err);
    }
    if (status == AP_OK) {
        status = ap_detect_all(&findings, &chance, &given, told.period.since, told.period.until, err);
    }
    if (status == AP_OK) {
        status = write_findings(cli, &told, err);
    }
    ap_hung_release(&hung);
    ap_roster_release(&roster);
    return status;
}

static const ap_cli_option options[] = {AP_CLI_PERIOD_OPTIONS, {0}};

const ap_command ap_command_findings = {
    .name = "findings",
    .group = "MONTH",
    .summary = "what to look at first: certain findings, then likely ones",
    .usage = "[--month YYYY-MM | --since DATE --until DATE]",
    .about = "Certain: over chart, moved toward a person, thin margin. Likely: heavier than planned four times or more "
             "in a\n"
             "row, heavy surprises; with the false alarms that chance alone would make.",
    .example = "afterpick --book demo/demo.book findings --month 2026-10",
    .options = options,
    .run = run,
};
