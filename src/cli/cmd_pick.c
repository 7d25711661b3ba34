#include "cli/commands.h"
#include "cli/period.h"
#include "cli/pick_parts.h"
#include "cli/whole_pick.h"
#include "report/working_page.h"

static ap_status list_picks(ap_cli *cli, ap_error *err) {
    ap_period period;
    ap_roster roster = {0};
    ap_status status = ap_cli_get_period(&period, cli, err);
    if (status == AP_OK) {
        status = ap_cli_open_roster(&roster, cli, period.until, err);
    }
    if (status == AP_OK) {
        size_t first;
        size_t end;
        ap_roster_slice(&roster, period.since, period.until, &first, &end);
        ap_json json;
        if (ap_cli_json(&json, cli)) {
            ap_picks_json(&json, &roster, first, end, period);
            ap_cli_json_end(cli);
        } else {
            ap_doc *doc = ap_cli_doc(cli, "Picks", ap_say_period(&cli->arena, period));
            ap_picks_page(doc, &roster, first, end, cli->format == AP_CLI_CSV);
            status = ap_cli_write(cli, doc, err);
        }
    }
    ap_roster_release(&roster);
    return status;
}

static ap_status write_json(ap_cli *cli, const ap_whole_pick *whole, const ap_working *working) {
    ap_json json;
    ap_cli_json(&json, cli);
    ap_json_object_begin(&json);
    ap_pick_json(&json, &cli->arena, ap_cli_doc(cli, "Pick", whole->pick.name), whole);
    if (working->records) {
        ap_working_json(&json, &cli->arena, working);
    }
    ap_json_object_end(&json);
    return ap_cli_json_end(cli);
}

static ap_status write_pick(ap_cli *cli, const ap_whole_pick *whole, ap_error *err) {
    ap_record_list records = {0};
    int cells[AP_COLUMN_COUNT] = {0};
    ap_working working = {.whole = whole, .cells = cells};
    if (ap_cli_has(cli, "working")) {
        ap_status status = ap_pick_work_out(&records, cells, whole, cli, err);
        if (status != AP_OK) {
            return status;
        }
        working.records = &records;
    }
    if (cli->format == AP_CLI_JSON) {
        return write_json(cli, whole, &working);
    }
    ap_doc *doc = ap_cli_doc(cli, "Pick", whole->pick.name);
    if (cli->format == AP_CLI_CSV) {
        working.records ? ap_working_table(doc, &working) : ap_pick_table(doc, whole);
    } else {
        working.records ? ap_working_page(doc, &working) : ap_pick_page(doc, whole);
    }
    ap_status status = ap_cli_write(cli, doc, err);
    return status == AP_OK && cli->format == AP_CLI_PAGE ? ap_pick_draw(whole, cli, err) : status;
}

static ap_status show_pick(ap_cli *cli, ap_error *err) {
    ap_whole_pick whole = {.settings = &cli->settings, .history = ap_cli_has(cli, "history"), .names = cli->names};
    ap_supposed supposed;
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    if (status == AP_OK) {
        status = ap_cli_read_whole(&whole, cli, ap_str_from(cli->words[0]), err);
    }
    if (status == AP_OK && ap_cli_has(cli, "suppose")) {
        status = ap_pick_suppose(&supposed, &whole, cli, err);
        whole.supposed = &supposed;
    }
    if (status != AP_OK) {
        return status;
    }
    ap_pick_among among = {0};
    if (cli->format != AP_CLI_CSV && !ap_cli_has(cli, "working")) {
        status = ap_pick_among_read(&among, &cli->arena, cli->book, whole.pick.name, whole.pick.date, cli->names, err);
        whole.among = &among;
    }
    if (status == AP_OK) {
        status = write_pick(cli, &whole, err);
    }
    ap_pick_among_release(&among);
    return status;
}

static ap_status check_options(ap_cli *cli, ap_error *err) {
    static const char *const of_one[][2] = {{"history", "--history"},
                                            {"working", "--working"},
                                            {"figure", "--figure text"},
                                            {"suppose", "--suppose FIELD=VALUE"}};
    bool period = ap_cli_has(cli, "month") || ap_cli_has(cli, "since") || ap_cli_has(cli, "until");
    ap_str figure = ap_cli_get(cli, "figure");
    ap_figure_format format;
    if (cli->word_count == 1 && period) {
        return ap_error_set(err, AP_E_USAGE, "name one pick or a period, not both");
    }
    for (size_t i = 0; cli->word_count == 0 && i < sizeof of_one / sizeof *of_one; i++) {
        if (ap_cli_has(cli, of_one[i][0])) {
            return ap_error_set(err, AP_E_USAGE, "--%s is of one pick: 'afterpick pick NAME %s'", of_one[i][0],
                                of_one[i][1]);
        }
    }
    if (ap_cli_has(cli, "working") && ap_cli_has(cli, "suppose")) {
        return ap_error_set(err, AP_E_USAGE, "--working is of a pick as it stands in the book, without --suppose");
    }
    if (figure.ptr && !ap_pick_figure_format(&format, figure)) {
        return ap_error_set(err, AP_E_USAGE, "--figure is 'text' or a file that ends in .svg, .png or .pdf, not '%.*s'",
                            AP_STR_ARG(figure));
    }
    if (figure.ptr && cli->format != AP_CLI_PAGE) {
        return ap_error_set(err, AP_E_USAGE, "--figure goes with the page, not with --json or --csv");
    }
    return AP_OK;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    ap_status status = ap_cli_need_words(cli, 0, 1, "one pick, or none for the list", err);
    if (status == AP_OK) {
        status = check_options(cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    return cli->word_count ? show_pick(cli, err) : list_picks(cli, err);
}

static const ap_cli_option options[] = {
    {"history", NULL, "of one pick: its amendments and second readings"},
    {"working", NULL, "of one pick: every derived figure with its formula, inputs and their origin"},
    {"figure", "text|FILE", "of one pick: from the side, in characters below the page, or as .svg, .png or .pdf"},
    {"suppose", "FIELD=VALUE...", "of one pick: how it would have hung with other values; nothing is written"},
    AP_CLI_PERIOD_OPTIONS,
    {0},
};

const ap_command ap_command_pick = {
    .name = "pick",
    .group = "LOOK",
    .summary = "list picks, or show one whole with its figures and where it came from",
    .usage = "[PICK [--history] [--working] [--figure text|FILE] [--suppose FIELD=VALUE]... | --month YYYY-MM | "
             "--since DATE --until DATE]",
    .about = "A pick is named JOB/PICK (J231/17); its number alone will do where only one job has it.\n"
             "Figures worked out from the log say from what. People are shown by role or code unless --names.",
    .example = "afterpick --book demo/demo.book pick J152/2",
    .options = options,
    .run = run,
};
