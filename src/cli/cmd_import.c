#include "cli/commands.h"
#include "cli/import_work.h"
#include "intake/profile_plan.h"

static ap_status read_options(ap_intake_options *options, ap_cli *cli, ap_error *err) {
    *options = (ap_intake_options){.author = ap_cli_author(cli)};
    options->no_copy = ap_cli_has(cli, "no-copy");
    options->dry_run = ap_cli_has(cli, "dry-run");
    options->rejects = ap_cli_get(cli, "rejects").ptr;
    ap_str dates = ap_cli_get(cli, "dates");
    if (dates.ptr) {
        if (ap_str_equal_word(dates, "mdy")) {
            options->dates = AP_DATES_MDY;
        } else if (ap_str_equal_word(dates, "dmy")) {
            options->dates = AP_DATES_DMY;
        } else {
            return ap_error_set(err, AP_E_USAGE, "--dates is 'mdy' or 'dmy', not '%.*s'", AP_STR_ARG(dates));
        }
    }
    ap_str bare = ap_cli_get(cli, "bare");
    if (bare.ptr) {
        if (ap_str_equal_word(bare, "us")) {
            options->units_of = AP_INTAKE_UNITS_US;
        } else if (ap_str_equal_word(bare, "metric")) {
            options->units_of = AP_INTAKE_UNITS_METRIC;
        } else {
            return ap_error_set(err, AP_E_USAGE, "--bare is 'us' or 'metric', not '%.*s'", AP_STR_ARG(bare));
        }
    }
    options->sheet = ap_cli_get(cli, "sheet");
    return AP_OK;
}

/* --profile NAME or FILE; its samples are run before the first row is read. */
static ap_status load_profile(ap_profile **out, ap_cli *cli, const ap_intake_options *options, ap_error *err) {
    const ap_str name = ap_cli_get(cli, "profile");
    if (!name.ptr) {
        return AP_OK;
    }
    const ap_plan_rules rules = ap_intake_rules(&cli->settings, options->units_of);
    return ap_profile_load(out, cli->book, name.ptr, &rules, err);
}

static ap_status run(ap_cli *cli, ap_error *err) {
    ap_profile *profile = NULL;
    ap_import_work work = {.title = "Import"};
    ap_intake_result result;
    ap_intake_result_init(&result);
    ap_status status = ap_cli_need_words(cli, 1, AP_CLI_WORDS_MAX, "at least one log or folder", err);
    if (status == AP_OK) {
        status = read_options(&work.options, cli, err);
    }
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_WRITE, err);
    }
    if (status == AP_OK) {
        status = load_profile(&profile, cli, &work.options, err);
    }
    if (status == AP_OK) {
        work.options.profile = profile;
        work.paths = cli->words;
        work.count = cli->word_count;
        status = ap_cli_import(&result, cli, &work, err);
    }
    ap_intake_result_release(&result);
    ap_profile_free(profile);
    return status;
}

static const ap_cli_option options_of_import[] = {
    {"dates", "mdy|dmy", "the order of day and month where the file does not settle it"},
    {"bare", "us|metric", "what numbers without any unit mean: lb, ft, in or kg, m, cm"},
    {"profile", "NAME|FILE", "how the logs are read: a profile the book keeps, or a file"},
    {"sheet", "NAME", "the sheet of a workbook; without it the first with a header"},
    {"rejects", "FILE", "write the rows set aside here, the reason in front; mend and import it again"},
    {"dry-run", NULL, "read and judge everything, keep nothing"},
    {"no-copy", NULL, "keep no copy of the log beside the book"},
    {0},
};

const ap_command ap_command_import = {
    .name = "import",
    .group = "MONTH",
    .summary = "take logs into the book; what cannot be read is set aside and named",
    .usage =
        "FILE|FOLDER... [--profile NAME|FILE] [--sheet NAME] [--dates mdy|dmy] [--bare us|metric] [--rejects FILE] "
        "[--dry-run] [--no-copy]",
    .about =
        "Logs are CSV, spreadsheet workbooks and JSON Lines; with a profile any other text too ('afterpick profile').\n"
        "A row is stored whole or set aside whole, with line, cell, reason and remedy. The same file again adds "
        "nothing;\n"
        "the same pick with other values is a conflict that a person decides. One import is one transaction. Ends "
        "with\n"
        "the certain findings of the picks just stored. Exit code 1 when something was set aside.",
    .example = "afterpick --book demo/demo.book import samples/messy/notebook.csv --dry-run",
    .options = options_of_import,
    .run = run,
};
