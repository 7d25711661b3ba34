#include "cli/commands.h"
#include "cli/period.h"
#include "figure/plots.h"
#include "report/explain_page.h"

typedef struct job {
    ap_by by[AP_WEIGHTS_BY_MAX];
    size_t by_count;
    ap_period period;
    ap_roster roster;
    ap_weight_table table;
    ap_pooled pooled;
    ap_weighing weighing;
    ap_robust_error *robust;
    bool figure; /* asked for, in characters */
    bool knows;  /* the model has terms for the grouping */
} job;

static ap_status write_figure(ap_cli *cli, const job *work, ap_error *err) {
    ap_figure_set *set = ap_cli_text_figures(cli, err);
    if (!set) {
        return AP_E_MEMORY;
    }
    ap_figure *figure = ap_figure_add(set, AP_PLOT_ERROR_GROUPS, "weights", AP_STR_LIT("Estimate error by group"),
                                      ap_str_from(ap_weights_figure_describes));
    if (ap_weights_describe(figure, &cli->arena, &work->roster, &work->table) == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No weighed pick in this period."));
    }
    return ap_cli_write_text_figure(cli, set, figure, err);
}

/* Of the group with this key; NULL when the period has none of it. */
static const ap_robust_error *robust_of(const ap_weight_table *table, const uint32_t *key) {
    for (size_t g = 0; g < table->count; g++) {
        if (memcmp(table->groups[g].key, key, sizeof table->groups[g].key) == 0) {
            return &table->robust[g];
        }
    }
    return NULL;
}

static ap_status write_table(ap_cli *cli, const job *work, ap_error *err) {
    const ap_pooled *pooled = work->knows ? &work->pooled : NULL;
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_weights_json(&json, &work->roster, &work->table, pooled, &work->weighing, work->period);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Estimate error", ap_say_period(&cli->arena, work->period));
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    if (ap_cli_has(cli, "explain")) {
        uint32_t key[AP_WEIGHTS_BY_MAX];
        ap_status status =
            ap_explain_find(key, &work->roster, work->by, work->by_count, ap_cli_get(cli, "explain"), err);
        const ap_pooled_cell *cell = status == AP_OK ? ap_pooled_find(&pooled->level[0], key) : NULL;
        if (cell && ap_people_hides(&work->roster, &pooled->level[0], cell)) {
            status = ap_error_set(err, AP_E_NOT_FOUND,
                                  "fewer than %d weighed picks are not shown by person; --names shows them",
                                  AP_PEOPLE_FEWEST);
        }
        if (status != AP_OK) {
            return status;
        }
        ap_explain_page(doc, &work->roster, pooled, key, robust_of(&work->table, key));
    } else if (ap_cli_has(cli, "grid")) {
        ap_grid_page(doc, &work->roster, &work->table, pooled);
    } else if (cli->format == AP_CLI_CSV) {
        ap_weights_spreadsheet(doc, &work->roster, &work->table, pooled);
    } else {
        ap_weights_page(doc, &work->roster, &work->table, pooled, &work->weighing);
    }
    ap_status status = ap_cli_write(cli, doc, err);
    return status == AP_OK && work->figure ? write_figure(cli, work, err) : status;
}

/* The period's picks as they are; the model over all picks up to its end. */
static ap_status work_out(ap_cli *cli, job *work, ap_error *err) {
    size_t first;
    size_t end;
    ap_pooled_picks picks = {0};
    ap_roster_slice(&work->roster, work->period.since, work->period.until, &first, &end);
    ap_status status = ap_weighing_read(&work->weighing, &work->roster, first, end, err);
    if (status == AP_OK && work->knows) {
        status = ap_pooled_picks_take(&picks, &work->roster, 0, end, err);
    }
    if (status == AP_OK && work->knows) {
        status = ap_pooled_fit(&work->pooled, &cli->arena, &picks, work->by, work->by_count, err);
    }
    ap_pooled_picks_release(&picks);
    if (status == AP_OK) {
        status = ap_people_merge(&work->roster, first, end, work->by, work->by_count, err);
    }
    if (status == AP_OK) {
        status = ap_weights(&work->table, &cli->arena, &work->roster, first, end, work->by, work->by_count, err);
    }
    if (status == AP_OK) {
        ap_people_blank_groups(&work->table, &work->roster);
    }
    bool needed = cli->format == AP_CLI_JSON || cli->format == AP_CLI_CSV || ap_cli_has(cli, "explain");
    if (status == AP_OK && needed) { /* the page has no room for them, and they take their time */
        status = ap_robust_errors(&work->robust, &cli->arena, &work->roster, first, end, &work->table, err);
        work->table.robust = work->robust;
    }
    return status;
}

static ap_status read_options(ap_cli *cli, job *work, ap_error *err) {
    ap_str explain = ap_cli_get(cli, "explain");
    bool pair = ap_cli_has(cli, "grid") || (explain.ptr && memchr(explain.ptr, ',', explain.len));
    work->by[work->by_count++] = AP_BY_SPECIES;
    if (pair) {
        work->by[work->by_count++] = AP_BY_CUT;
    }
    ap_status status = ap_cli_need_words(cli, 0, 0, "nothing", err);
    if (status == AP_OK && ap_cli_has(cli, "by")) {
        if (ap_cli_has(cli, "grid")) {
            return ap_error_set(err, AP_E_USAGE, "--grid is by species and cut; leave --by out");
        }
        status = ap_weights_parse_by(work->by, &work->by_count, ap_cli_get(cli, "by"), err);
    }
    if (status == AP_OK) {
        status = ap_cli_text_figure_asked(&work->figure, cli, err);
    }
    if (status == AP_OK && work->figure && (explain.ptr || ap_cli_has(cli, "grid"))) {
        return ap_error_set(err, AP_E_USAGE, "--figure goes with the table; leave --grid and --explain out");
    }
    work->knows = ap_pooled_knows(work->by, work->by_count);
    if (status == AP_OK && explain.ptr && !work->knows) {
        return ap_error_set(err, AP_E_USAGE, "--explain works for species, cut and estimator: the model knows these");
    }
    return status == AP_OK ? ap_cli_get_period(&work->period, cli, err) : status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    job work = {0};
    ap_status status = read_options(cli, &work, err);
    if (status == AP_OK) {
        status = ap_cli_open_errors(&work.roster, cli, work.period.until, work.by, work.by_count, err);
    }
    if (status == AP_OK) {
        status = work_out(cli, &work, err);
    }
    if (status == AP_OK) {
        status = write_table(cli, &work, err);
    }
    ap_roster_release(&work.roster);
    return status;
}

static const ap_cli_option options[] = {
    {"by", "NAMES", "up to four of species, cut, basis, piece, estimator, crew, crane, ..."},
    {"explain", "CELL", "the working of one group: \"silver maple, through\""},
    {"figure", "text", "the figure in characters, below the table"},
    {"grid", NULL, "species down, cuts across"},
    AP_CLI_PERIOD_OPTIONS,
    {0},
};

const ap_command ap_command_weights = {
    .name = "weights",
    .group = "LOOK",
    .summary = "the estimate error: measured against planned, by group",
    .usage = "[--by species,cut,...] [--explain CELL | --grid | --figure text] [--month YYYY-MM | --since DATE --until "
             "DATE]",
    .about =
        "Groupings: species, cut, basis, piece, estimator, crew, crane, condition, foliage, setup, month, job, tree.\n"
        "A ratio above 1 is heavier than planned. Gross is made net with the rigging weight before anything is "
        "compared.\nBy species, cut and estimator also the pooled figures and the planning factor, from all picks up "
        "to the period's end.",
    .example = "afterpick --book demo/demo.book weights --by species,cut --since 2026-08-01",
    .options = options,
    .run = run,
};
