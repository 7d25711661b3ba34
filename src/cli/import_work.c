#include "cli/import_work.h"

#include "analysis/keep_facts.h"
#include "analysis/kept_recon.h"
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
    const ap_import_work *work;
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

static ap_status end_picks(void *context, ap_error *err) {
    watch *seen = context;
    const ap_status status = seen->work->also ? seen->work->also(seen->work->also_context, err) : AP_OK;
    return status == AP_OK && seen->keeper ? ap_fact_keeper_end(seen->keeper, err) : status;
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

static ap_status write_result(ap_cli *cli, ap_doc *doc, const ap_intake_result *result, const watch *seen, bool dry_run,
                              ap_error *err) {
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_import_json(&json, result, &seen->alerts, dry_run, seen->work->merged);
        return ap_cli_json_end(cli);
    }
    ap_import_page(doc, result, &seen->alerts, dry_run, cli->format == AP_CLI_CSV);
    if (seen->work->merged && result->file_count && result->files[0].outcome == AP_INTAKE_READ) {
        ap_merged_page(doc, seen->work->merged);
    }
    return ap_cli_write(cli, doc, err);
}

static bool wants_person(const ap_intake_result *result) {
    bool wants = result->totals.set_aside || result->totals.conflicts;
    for (size_t i = 0; i < result->file_count; i++) {
        wants = wants || result->files[i].outcome == AP_INTAKE_UNUSABLE;
    }
    return wants;
}

ap_status ap_cli_import(ap_intake_result *result, ap_cli *cli, ap_import_work *work, ap_error *err) {
    ap_intake_options *options = &work->options;
    watch seen = {.company = &cli->company, .doc = ap_cli_doc(cli, work->title, AP_STR_NONE), .work = work};
    seen.alerts.items = seen.items;
    if (!options->dry_run) {
        seen.keeper = ap_fact_keeper_new(cli->book, &cli->company, KEEPER_MEMORY);
    }
    options->stored = watch_pick;
    options->stored_all = end_picks;
    options->stored_context = &seen;
    if (cli->notes_are_terminal && !cli->quiet) {
        options->progress = show_progress;
        options->progress_context = cli;
    }
    ap_status status = ap_intake_files(result, cli->book, work->paths, work->count, options, err);
    ap_fact_keeper_free(seen.keeper);
    if (result->import_id && seen.wants_solver && !options->dry_run) {
        keep_reconstructions(cli, result->import_id);
    }
    if (status == AP_OK || result->file_count > 1) { /* one unusable log: the error says it all */
        ap_error unwritten;
        ap_status written = write_result(cli, seen.doc, result, &seen, options->dry_run, &unwritten);
        if (status == AP_OK && written != AP_OK) {
            *err = unwritten;
            status = written;
        }
    }
    cli->attention = wants_person(result);
    return status;
}
