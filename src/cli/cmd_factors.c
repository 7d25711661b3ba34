#include "cli/amount.h"
#include "cli/commands.h"
#include "cli/period.h"
#include "report/factors_page.h"

typedef struct job {
    ap_by by[AP_WEIGHTS_BY_MAX];
    size_t by_count;
    ap_period period;
    ap_roster roster;
    ap_factors factors;
    ap_factors_sheet sheet;
} job;

static ap_status read_share(job *work, ap_cli *cli, ap_error *err) {
    ap_status status = ap_cli_get_share(&work->sheet.against, cli, "against", err);
    if (status == AP_OK && !isnan(work->sheet.against)) {
        work->sheet.against_words = ap_arena_printf(&cli->arena, "%g %%", work->sheet.against * 100);
    }
    return status;
}

static ap_status read_options(ap_cli *cli, job *work, ap_error *err) {
    work->by[0] = AP_BY_SPECIES;
    work->by[1] = AP_BY_CUT;
    work->by_count = 2;
    ap_status status = ap_cli_need_words(cli, 0, 0, "nothing", err);
    if (status == AP_OK && ap_cli_has(cli, "by")) {
        status = ap_weights_parse_by(work->by, &work->by_count, ap_cli_get(cli, "by"), err);
    }
    if (status == AP_OK && !ap_pooled_knows(work->by, work->by_count)) {
        status = ap_error_set(err, AP_E_USAGE, "factors are by species, cut and estimator: the model knows these");
    }
    if (status == AP_OK) {
        status = ap_cli_get_period(&work->period, cli, err);
    }
    return status == AP_OK ? read_share(work, cli, err) : status;
}

static ap_status write_sheet(ap_cli *cli, job *work, ap_error *err) {
    work->sheet.roster = &work->roster;
    work->sheet.factors = &work->factors;
    work->sheet.made_on = cli->today;
    if (!isnan(work->sheet.against)) {
        ap_factors_against(&work->sheet.against_now, &work->factors, &work->roster, work->sheet.against);
    }
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_factors_json(&json, &work->sheet);
        return ap_cli_json_end(cli);
    }
    ap_period period = {AP_DATE_NONE, work->factors.until};
    ap_doc *doc = ap_cli_doc(cli, "Planning factors", ap_say_period(&cli->arena, period));
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    ap_factors_page(doc, &work->sheet);
    return ap_cli_write(cli, doc, err);
}

static ap_status run(ap_cli *cli, ap_error *err) {
    job work = {0};
    ap_status status = read_options(cli, &work, err);
    if (status == AP_OK) {
        bool lifted = !isnan(work.sheet.against); /* asks for the shares of the chart at the cut and at the set down */
        status = lifted ? ap_cli_open_roster(&work.roster, cli, work.period.until, err)
                        : ap_cli_open_errors(&work.roster, cli, work.period.until, work.by, work.by_count, err);
    }
    if (status == AP_OK) {
        status = ap_factors_work_out(&work.factors, &cli->arena, &work.roster, work.period.until, work.by,
                                     work.by_count, err);
    }
    if (status == AP_OK) {
        status = write_sheet(cli, &work, err);
    }
    ap_roster_release(&work.roster);
    return status;
}

static const ap_cli_option options[] = {
    {"by", "NAMES", "species, cut, estimator; species,cut unless said"},
    {"against", "SHARE", "how many past picks pass this share of the chart with the factors: 85%"},
    {"month", "YYYY-MM", "factors as of the end of this month"},
    {"until", "DATE", "factors from the picks of this day and earlier"},
    {0},
};

const ap_command ap_command_factors = {
    .name = "factors",
    .group = "LOOK",
    .summary = "the percent to add to planned weights, as a table a crew can carry, with its proof",
    .usage = "[--by species,cut] [--until DATE] [--against 85%]",
    .about =
        "A percentage covers 95 of 100 new pieces on new trees with 90 % confidence. The proof plans each past job "
        "from\nearlier jobs only. Not a load chart: weigh it, look at the chart, ask the operator.",
    .example = "afterpick --book demo/demo.book factors --against 85%",
    .options = options,
    .run = run,
};
