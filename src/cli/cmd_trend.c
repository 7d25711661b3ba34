#include "analysis/people.h"
#include "cli/commands.h"
#include "cli/period.h"
#include "figure/plots.h"
#include "page/glyph.h"
#include "report/trend_page.h"

typedef struct job {
    ap_by by[AP_WEIGHTS_BY_MAX];
    size_t by_count;
    ap_period period;
    ap_roster roster;
    ap_trend trend;
    bool figure;
} job;

static ap_status read_options(ap_cli *cli, job *work, ap_error *err) {
    ap_status status = ap_cli_need_words(cli, 0, 0, "nothing", err);
    if (status == AP_OK && ap_cli_has(cli, "by")) {
        status = ap_weights_parse_by(work->by, &work->by_count, ap_cli_get(cli, "by"), err);
    }
    for (size_t k = 0; status == AP_OK && k < work->by_count; k++) {
        if (work->by[k] == AP_BY_MONTH || work->by[k] == AP_BY_JOB || work->by[k] == AP_BY_TREE) {
            status = ap_error_set(err, AP_E_USAGE, "a trend by %s is not one; it runs over months and jobs by itself",
                                  ap_by_name(work->by[k]));
        }
    }
    if (status == AP_OK && work->by_count == AP_WEIGHTS_BY_MAX) {
        status = ap_error_set(err, AP_E_USAGE, "a trend takes at most %d groupings", AP_WEIGHTS_BY_MAX - 1);
    }
    if (status == AP_OK) {
        status = ap_cli_text_figure_asked(&work->figure, cli, err);
    }
    return status == AP_OK ? ap_cli_get_period(&work->period, cli, err) : status;
}

enum { FIGURES_MOST = 6 };

/* One series in characters, its name above it. */
static ap_status write_figure(ap_cli *cli, const job *work, const ap_trend_series *series, ap_error *err) {
    ap_figure_set *set = ap_cli_text_figures(cli, err);
    if (!set) {
        return AP_E_MEMORY;
    }
    ap_figure *figure = ap_figure_add(set, AP_PLOT_TREND_MONTHS, "trend", AP_STR_LIT("Estimate error by month"),
                                      AP_STR_LIT("Median error of each month with its interval and limits."));
    ap_trend_describe(figure, series);
    if (series && work->by_count) {
        ap_sink_puts(cli->out, "\n");
        ap_glyph_put(cli->out, ap_trend_series_label(&cli->arena, &work->roster, &work->trend, series));
        ap_sink_puts(cli->out, "\n");
    }
    return ap_cli_write_text_figure(cli, set, figure, err);
}

static ap_status write_figures(ap_cli *cli, const job *work, ap_error *err) {
    const ap_trend *trend = &work->trend;
    ap_status status = trend->count ? AP_OK : write_figure(cli, work, NULL, err);
    for (size_t s = 0; status == AP_OK && s < trend->count && s < FIGURES_MOST; s++) {
        status = write_figure(cli, work, &trend->series[s], err);
    }
    if (trend->count > FIGURES_MOST) {
        ap_sink_printf(cli->out, "\nOf %zu groups the %d with most weighed picks are drawn.\n", trend->count,
                       FIGURES_MOST);
    }
    return status;
}

static ap_status write_trend(ap_cli *cli, const job *work, ap_error *err) {
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_trend_json(&json, &work->roster, &work->trend, work->period);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Trend of the estimate error", ap_say_period(&cli->arena, work->period));
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    ap_trend_page(doc, &work->roster, &work->trend);
    ap_status status = ap_cli_write(cli, doc, err);
    return status == AP_OK && work->figure ? write_figures(cli, work, err) : status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    job work = {0};
    ap_status status = read_options(cli, &work, err);
    if (status == AP_OK) {
        status = ap_cli_open_errors(&work.roster, cli, work.period.until, work.by, work.by_count, err);
    }
    if (status == AP_OK) {
        size_t first;
        size_t end;
        ap_roster_slice(&work.roster, work.period.since, work.period.until, &first, &end);
        status = ap_people_merge(&work.roster, first, end, work.by, work.by_count, err);
        if (status == AP_OK) {
            status = ap_trend_work_out(&work.trend, &cli->arena, &work.roster, first, end, work.by, work.by_count, err);
        }
    }
    if (status == AP_OK) {
        ap_people_blank_months(&work.trend, &work.roster);
        status = write_trend(cli, &work, err);
    }
    ap_roster_release(&work.roster);
    return status;
}

static const ap_cli_option options[] = {
    {"by", "NAMES", "a line for each group: species, cut, estimator, crew, crane, ..."},
    {"figure", "text", "the figure in characters, below the table"},
    AP_CLI_PERIOD_OPTIONS,
    {0},
};

const ap_command ap_command_trend = {
    .name = "trend",
    .group = "LOOK",
    .summary = "how the estimate error moves: by month, with its slope, a change of level, the run of jobs",
    .usage = "[--by species,...] [--figure text] [--since DATE --until DATE]",
    .about = "A slope takes 4 months with weighed picks, a change of level 11, the run of jobs 8 jobs.",
    .example = "afterpick --book demo/demo.book trend --figure text",
    .options = options,
    .run = run,
};
