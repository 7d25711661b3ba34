#include <unistd.h>

#include "book/species.h"
#include "cli/commands.h"
#include "cli/period.h"
#include "page/write.h"
#include "report/weight_sheet_page.h"

enum { PAGE_MAX = 4 << 20 };

static ap_status find_species(const ap_species **out, ap_cli *cli, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = 0; status == AP_OK && i < cli->word_count; i++) {
        status = ap_book_species_find(&out[i], cli->book, ap_str_from(cli->words[i]), err);
        for (size_t k = 0; status == AP_OK && k < i; k++) {
            if (out[k] == out[i]) {
                return ap_error_set(err, AP_E_USAGE, "'%s' is named twice", cli->words[i]);
            }
        }
    }
    return status;
}

/* Never over a file that is there: the one carried along may be the only copy. */
static ap_status write_html(ap_cli *cli, const char *path, const ap_doc *doc, ap_error *err) {
    if (access(path, F_OK) == 0) {
        return ap_error_set(err, AP_E_USAGE, "'%s' exists already: choose another name or move it away", path);
    }
    ap_buf page;
    ap_buf_init(&page, PAGE_MAX);
    ap_sink sink = ap_sink_to_buf(&page);
    ap_status status = ap_page_write_html(&sink, doc, err);
    if (status == AP_OK) {
        status = ap_sink_check(&sink, path, err);
    }
    if (status == AP_OK) {
        status = ap_file_write(path, ap_buf_str(&page), err);
    }
    if (status == AP_OK && !cli->quiet) {
        ap_cli_say_path(cli, path);
    }
    ap_buf_release(&page);
    return status;
}

static ap_status write_sheet(ap_cli *cli, const ap_weight_sheet_view *view, ap_error *err) {
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_weight_sheet_json(&json, view);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Weight sheet", AP_STR_NONE);
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    ap_weight_sheet_page(doc, view, cli->format == AP_CLI_CSV);
    ap_str path = ap_cli_get(cli, "out");
    return path.ptr ? write_html(cli, path.ptr, doc, err) : ap_cli_write(cli, doc, err);
}

static ap_status run(ap_cli *cli, ap_error *err) {
    const ap_species *species[AP_SHEET_SPECIES_MAX] = {NULL};
    ap_roster roster = {0};
    ap_weight_sheet sheet;
    ap_status status =
        ap_cli_need_words(cli, 1, AP_SHEET_SPECIES_MAX, "the species, each in quotes if it has two words", err);
    if (status == AP_OK) {
        status = ap_cli_open_roster(&roster, cli, cli->today, err);
    }
    if (status == AP_OK) {
        status = find_species(species, cli, err);
    }
    if (status == AP_OK) {
        double step_m = ap_weight_sheet_step(ap_cli_units(cli));
        status =
            ap_weight_sheet_work_out(&sheet, &cli->arena, &roster, species, cli->word_count, cli->today, step_m, err);
    }
    if (status == AP_OK) {
        const ap_weight_sheet_view view = {&sheet, &roster, cli->today};
        for (size_t i = 0; i < sheet.species_count; i++) {
            cli->attention = cli->attention || sheet.species[i].why_none != AP_SHEET_FINE;
        }
        status = write_sheet(cli, &view, err);
    }
    ap_roster_release(&roster);
    return status;
}

static const ap_cli_option options[] = {
    {"out", "FILE", "write it here as HTML to print; an existing file is left alone"},
    {0},
};

const ap_command ap_command_weight_sheet = {
    .name = "weight-sheet",
    .group = "LOOK",
    .summary = "weight per foot by diameter from your own accepted figures, to carry along",
    .usage = "SPECIES... [--out sheet.html] [--csv] [--units us|metric]",
    .about = "Accepted densities with the planning factor in them, only at diameters at which pieces of yours were "
             "weighed.\n"
             "A species without an accepted figure has no row. Not a load chart; withdraw it after six months.",
    .example = "afterpick --book demo/demo.book weight-sheet 'northern red oak' --out sheet.html",
    .options = options,
    .run = run,
};
