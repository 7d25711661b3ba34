#include "analysis/keep_facts.h"
#include "analysis/kept_recon.h"
#include "cli/commands.h"
#include "intake/intake.h"
#include "intake/profile_plan.h"
#include "nearmiss/detect.h"
#include "report/finding_say.h"
#include "report/import_page.h"

/* Certain findings of the picks just stored, as they come by. */
typedef struct watch {
    ap_doc *doc;
    const ap_company *company;
    ap_import_alert items[AP_IMPORT_ALERTS_MAX];
    ap_import_alerts alerts;
    bool wants_solver;      /* a pick was stored whose hang the general solver works out */
    ap_fact_keeper *keeper; /* NULL: nothing is kept of what the picks come to */
} watch;

enum { KEEPER_MEMORY = 24 << 20 };

static void watch_pick(void *context, const ap_pick *pick) {
    watch *seen = context;
    ap_fact_rest rest = {0};
    ap_fact fact = {.rest = &rest};
    seen->wants_solver = seen->wants_solver || ap_recon_wants_solver(pick);
    if (seen->keeper) {
        fact = *ap_fact_keeper_take(seen->keeper, pick);
    } else {
        ap_fact_set(&fact, pick, seen->company);
    }
    if (!fact.over_chart && !fact.toward_person) {
        return;
    }
    size_t found = (size_t)fact.over_chart + (size_t)fact.toward_person;
    seen->alerts.total += found;
    if (seen->alerts.count + found > AP_IMPORT_ALERTS_MAX) {
        return;
    }
    ap_roster one = {.settings = *seen->company->settings, .facts = &fact, .count = 1};
    ap_arena arena;
    ap_arena_init(&arena, 1u << 16);
    ap_finding_list findings;
    ap_finding_list_init(&findings, &arena);
    const ap_detect_input in = {.roster = &one, .end = 1};
    ap_error err;
    if (ap_detect_toward_person(&findings, &in, &err) == AP_OK && ap_detect_over_chart(&findings, &in, &err) == AP_OK) {
        for (size_t i = 0; i < findings.count; i++) {
            ap_import_alert *alert = &seen->items[seen->alerts.count++];
            alert->title = ap_str_from(ap_detector_title(findings.items[i].detector));
            alert->pick = ap_doc_printf(seen->doc, "%.*s", AP_STR_ARG(pick->name));
            alert->says = ap_say_finding(seen->doc, &one, &findings.items[i]);
        }
    }
    ap_arena_release(&arena);
}

static ap_status keep_facts(void *context, ap_error *err) {
    watch *seen = context;
    return seen->keeper ? ap_fact_keeper_end(seen->keeper, err) : AP_OK;
}

/* The picks are stored; what is kept of their mechanics is a convenience, and its failure is told, no more. */
static void keep_reconstructions(ap_cli *cli, int64_t import_id) {
    size_t count = 0;
    ap_error err;
    if (ap_kept_recon_write(&count, cli->book, &cli->company, import_id, &err) != AP_OK) {
        ap_sink_printf(cli->notes, "afterpick: reconstructions were not kept: %s\n", err.text);
    }
}

static void show_progress(void *context, const char *path, int64_t rows, int64_t bytes) {
    ap_cli *cli = context;
    ap_sink_printf(cli->notes, "\r%s: %lld rows, %lld MB ", path, (long long)rows, (long long)(bytes / 1000000));
    fflush(stderr);
}

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
    if (cli->notes_are_terminal && !cli->quiet) {
        options->progress = show_progress;
        options->progress_context = cli;
    }
    return AP_OK;
}

static ap_status write_result(ap_cli *cli, ap_doc *doc, const ap_intake_result *result, const watch *seen, bool dry_run,
                              ap_error *err) {
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_import_json(&json, result, &seen->alerts, dry_run);
        return ap_cli_json_end(cli);
    }
    ap_import_page(doc, result, &seen->alerts, dry_run, cli->format == AP_CLI_CSV);
    return ap_cli_write(cli, doc, err);
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
    ap_intake_options options;
    ap_intake_result result;
    ap_intake_result_init(&result);
    ap_status status = ap_cli_need_words(cli, 1, AP_CLI_WORDS_MAX, "at least one log or folder", err);
    if (status == AP_OK) {
        status = read_options(&options, cli, err);
    }
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_WRITE, err);
    }
    if (status == AP_OK) {
        status = load_profile(&profile, cli, &options, err);
        options.profile = profile;
    }
    if (status == AP_OK) {
        watch seen = {.company = &cli->company, .doc = ap_cli_doc(cli, "Import", AP_STR_NONE)};
        seen.alerts.items = seen.items;
        if (!options.dry_run) {
            seen.keeper = ap_fact_keeper_new(cli->book, &cli->company, KEEPER_MEMORY);
        }
        options.stored = watch_pick;
        options.stored_all = keep_facts;
        options.stored_context = &seen;
        status = ap_intake_files(&result, cli->book, cli->words, cli->word_count, &options, err);
        ap_fact_keeper_free(seen.keeper);
        if (result.import_id && seen.wants_solver && !options.dry_run) {
            keep_reconstructions(cli, result.import_id);
        }
        if (status == AP_OK || result.file_count > 1) { /* one unusable log: the error says it all */
            ap_error unwritten;
            ap_status written = write_result(cli, seen.doc, &result, &seen, options.dry_run, &unwritten);
            if (status == AP_OK && written != AP_OK) {
                *err = unwritten;
                status = written;
            }
        }
        cli->attention = result.totals.set_aside || result.totals.conflicts;
        for (size_t i = 0; i < result.file_count; i++) {
            cli->attention = cli->attention || result.files[i].outcome == AP_INTAKE_UNUSABLE;
        }
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
