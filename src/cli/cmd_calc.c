#include "cli/calc_topics.h"
#include "cli/commands.h"
#include "report/recon_page.h"

static const ap_command *const topics[] = {
    &ap_calc_topic_volume,
    &ap_calc_topic_density,
    &ap_calc_topic_weight,
    &ap_calc_topic_hang,
    &ap_calc_topic_drop,
    &ap_calc_topic_sling,
    &ap_calc_topic_capacity,
    &ap_calc_topic_tolerance,
    &ap_calc_topic_runs,
    &ap_calc_topic_rate,
    NULL,
};

void ap_calc_units_as_written(ap_cli *cli, ap_unit written) {
    static const ap_unit metric[] = {AP_UNIT_KG,  AP_UNIT_G, AP_UNIT_TONNE, AP_UNIT_KN, AP_UNIT_N,
                                     AP_UNIT_KGF, AP_UNIT_M, AP_UNIT_CM,    AP_UNIT_MM};
    for (size_t i = 0; i < sizeof metric / sizeof *metric && cli->units < 0 && !cli->book; i++) {
        if (written == metric[i]) {
            cli->units = AP_UNITS_METRIC;
        }
    }
}

ap_status ap_calc_refuse(ap_cli *cli, ap_status status, ap_error *err) {
    ap_doc *doc = status == AP_E_DOMAIN && err ? ap_cli_doc(cli, "", AP_STR_NONE) : NULL;
    return doc ? ap_error_set(err, status, "%.*s", AP_STR_ARG(ap_say_quantities(doc, err->text))) : status;
}

ap_status ap_calc_write(ap_cli *cli, const ap_calc *calc, ap_error *err) {
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_calc_json(&json, calc);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Worked out", AP_STR_NONE);
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    ap_calc_page(doc, calc, cli->format == AP_CLI_CSV);
    return ap_cli_write(cli, doc, err);
}

ap_status ap_calc_run(ap_cli *cli, ap_status (*work_out)(ap_calc *out, ap_cli *cli, ap_error *err), ap_error *err) {
    ap_calc calc;
    ap_status status = ap_cli_need_words(cli, 0, 0, "no further word", err);
    status = status == AP_OK ? work_out(&calc, cli, err) : status;
    return status == AP_OK ? ap_calc_write(cli, &calc, err) : ap_calc_refuse(cli, status, err);
}

/* Only reached when the second word is no topic. */
static ap_status run(ap_cli *cli, ap_error *err) {
    ap_buf names;
    ap_buf_init(&names, AP_ERROR_TEXT_MAX);
    for (size_t i = 0; topics[i]; i++) {
        ap_buf_appendf(&names, "%s%s", i == 0 ? "" : topics[i + 1] ? ", " : " and ", topics[i]->name + sizeof "calc");
    }
    ap_status status = cli->word_count ? ap_error_set(err, AP_E_USAGE, "'calc %s' is not known; there are %.*s",
                                                      cli->words[0], AP_STR_ARG(ap_buf_str(&names)))
                                       : ap_error_set(err, AP_E_USAGE, "'afterpick calc' needs what to work out: %.*s",
                                                      AP_STR_ARG(ap_buf_str(&names)));
    ap_buf_release(&names);
    return status;
}

const ap_command ap_command_calc = {
    .name = "calc",
    .group = "A SINGLE FIGURE",
    .summary = "one number without a book, with its working and source",
    .usage = "WHAT ...",
    .about = NULL,
    .example = "afterpick calc tolerance --n 8 --content 0.95 --confidence 0.95",
    .run = run,
    .topics = topics,
};
