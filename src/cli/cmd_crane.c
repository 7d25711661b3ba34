#include "base/pick.h"
#include "cli/commands.h"
#include "cli/pairs.h"
#include "intake/intake.h"
#include "intake/load_chart.h"
#include "intake/profile_plan.h"
#include "report/crane_page.h"

static ap_status list_all(ap_cli *cli, ap_error *err) {
    ap_crane_list list;
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    if (status == AP_OK) {
        status = ap_crane_list_read(&list, &cli->arena, cli->book, &cli->company, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_cranes_json(&json, &list);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Cranes", AP_STR_NONE);
    ap_cranes_page(doc, &list);
    return ap_cli_write(cli, doc, err);
}

/* AP_E_NOT_FOUND with the nearest name. */
static ap_status find(const ap_crane_seen **out, const ap_crane_list *list, ap_str name, ap_error *err) {
    *out = ap_crane_list_find(list, name);
    if (*out) {
        return AP_OK;
    }
    ap_str near = ap_crane_list_near(list, name);
    return near.ptr
               ? ap_error_set(err, AP_E_NOT_FOUND, "no crane '%.*s' is in the logs or entered; did you mean '%.*s'?",
                              AP_STR_ARG(name), AP_STR_ARG(near))
               : ap_error_set(err, AP_E_NOT_FOUND,
                              "no crane '%.*s' is in the logs or entered; 'afterpick crane' lists them",
                              AP_STR_ARG(name));
}

static ap_status show_one(ap_cli *cli, ap_error *err) {
    ap_crane_list list;
    const ap_crane_seen *crane = NULL;
    ap_entry_change *changes = NULL;
    size_t count = 0;
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    if (status == AP_OK) {
        status = ap_crane_list_read(&list, &cli->arena, cli->book, &cli->company, err);
    }
    if (status == AP_OK) {
        status = find(&crane, &list, ap_str_from(cli->words[0]), err);
    }
    if (status == AP_OK) {
        status = ap_book_crane_history(&changes, &count, &cli->arena, cli->book, crane->name, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_crane_json(&json, crane, changes, count);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Crane", crane->name);
    if (cli->format == AP_CLI_CSV) {
        ap_crane_chart_table(doc, crane->entry);
    } else {
        ap_crane_page(doc, crane, &cli->company, changes, count);
    }
    return ap_cli_write(cli, doc, err);
}

/* Opens the book for a change of a crane, its name spelled as logs and company spell it; `doubt` when no pick has it. */
static ap_status begin(ap_crane_edit *edit, ap_book_author *author, ap_str *doubt, ap_cli *cli, ap_error *err) {
    ap_crane_list list;
    *doubt = AP_STR_NONE;
    *edit = (ap_crane_edit){.name = ap_str_trim(ap_str_from(cli->words[0])), .author = author};
    *author = ap_cli_author(cli);
    ap_status status = ap_cli_begin_change(&edit->why, cli, err);
    if (status != AP_OK) {
        return status;
    }
    status = ap_crane_list_read(&list, &cli->arena, cli->book, &cli->company, err);
    if (status == AP_OK) {
        const ap_crane_seen *seen = ap_crane_list_find(&list, edit->name);
        edit->name = seen ? seen->name : edit->name;
        if (!seen || !seen->use) {
            ap_str near = ap_crane_list_near(&list, edit->name);
            bool other = near.ptr && ap_str_compare_nocase(near, edit->name) != 0;
            *doubt =
                ap_arena_printf(&cli->arena, "no pick of this book names this crane%s%.*s%s", other ? "; was '" : "",
                                AP_STR_ARG(other ? near : AP_STR_NONE), other ? "' meant?" : "");
        }
    }
    return status == AP_OK ? AP_OK : ap_book_end(cli->book, status, err);
}

static ap_status done(ap_cli *cli, ap_status status, const ap_crane_edit *edit, ap_str doubt, ap_str says,
                      ap_error *err) {
    status = ap_book_end(cli->book, status, err);
    if (status == AP_OK && !cli->quiet) {
        ap_cli_say(cli, cli->out, "%.*s: %.*s\n", AP_STR_ARG(edit->name), AP_STR_ARG(says));
        if (doubt.ptr) {
            ap_cli_say(cli, cli->notes, "to look at: %.*s\n", AP_STR_ARG(doubt));
        }
    }
    return status;
}

/* crane NAME set block_weight=420lb weighed_as=gross band=3% */
static ap_status set(ap_cli *cli, ap_error *err) {
    static const char *const keys[] = {"block_weight", "weighed_as", "band"};
    static const ap_dim dims[] = {AP_DIM_LOAD, AP_DIM_NONE, AP_DIM_SHARE};
    ap_str written[3];
    double values[3];
    ap_crane_edit edit;
    ap_book_author author;
    ap_str doubt;
    ap_buf says;
    ap_status status = ap_cli_get_pairs(written, keys, 3, cli, 2, err);
    for (size_t i = 0; status == AP_OK && i < 3; i++) {
        int word = written[i].len ? ap_word_find(AP_VOC_WEIGHED_AS, written[i]) : 0;
        values[i] = word ? word : (double)NAN;
        if (dims[i]) {
            status = ap_cli_pair_quantity(&values[i], written[i], keys[i], dims[i], err);
        } else if (written[i].len && !word) {
            status =
                ap_error_set(err, AP_E_INPUT, "weighed_as '%.*s' is neither net nor gross", AP_STR_ARG(written[i]));
        }
    }
    if (status == AP_OK) {
        status = begin(&edit, &author, &doubt, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_buf_init(&says, AP_ERROR_TEXT_MAX);
    for (size_t i = 0; status == AP_OK && i < 3; i++) {
        if (written[i].ptr) {
            status = ap_book_crane_set(cli->book, &edit, (ap_crane_field)i, values[i], written[i], err);
            ap_buf_appendf(&says, "%s%s %s%.*s", says.len ? ", " : "", keys[i],
                           written[i].len ? "is now " : "taken away", AP_STR_ARG(written[i]));
        }
    }
    status = done(cli, status, &edit, doubt, ap_buf_str(&says), err);
    ap_buf_release(&says);
    return status;
}

/* crane NAME calibrate factor=0.97 band=3% on=2026-09-01 source="certificate 12" */
static ap_status calibrate(ap_cli *cli, ap_error *err) {
    static const char *const keys[] = {"factor", "band", "on", "source"};
    ap_str written[4];
    ap_calibration calibration = {0};
    ap_crane_edit edit;
    ap_book_author author;
    ap_str doubt;
    ap_status status = ap_cli_get_pairs(written, keys, 4, cli, 2, err);
    if (status == AP_OK && !ap_date_from_iso(&calibration.on, written[2])) {
        status = ap_error_set(err, AP_E_INPUT, "on '%.*s' is no day; write on=2026-09-01", AP_STR_ARG(written[2]));
    }
    if (status == AP_OK && calibration.on > cli->today) {
        status = ap_error_set(err, AP_E_INPUT, "on '%.*s' lies after today", AP_STR_ARG(written[2]));
    }
    if (status == AP_OK && !written[0].ptr) {
        status =
            ap_error_set(err, AP_E_USAGE,
                         "a calibration needs factor=, the true load over the indicated one; an empty factor= takes "
                         "that day's entry away");
    }
    if (status == AP_OK) {
        status = ap_cli_pair_quantity(&calibration.factor, written[0], keys[0], AP_DIM_SHARE, err);
    }
    if (status == AP_OK) {
        status = ap_cli_pair_quantity(&calibration.band, written[1], keys[1], AP_DIM_SHARE, err);
    }
    calibration.source = written[3];
    if (status == AP_OK) {
        status = begin(&edit, &author, &doubt, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    status = ap_book_crane_calibrate(cli->book, &edit, &calibration, err);
    bool gone = isnan(calibration.factor);
    ap_str says =
        gone ? ap_arena_printf(&cli->arena, "the calibration of %.*s is taken away", AP_STR_ARG(written[2]))
             : ap_arena_printf(&cli->arena,
                               "from %.*s on, until a later calibration, weights read on its indicator are multiplied "
                               "by %.*s",
                               AP_STR_ARG(written[2]), AP_STR_ARG(written[0]));
    return done(cli, status, &edit, doubt, says, err);
}

static ap_status read_chart(ap_load_chart *out, ap_cli *cli, ap_error *err) {
    ap_intake_units units = AP_INTAKE_UNITS_NONE;
    ap_str bare = ap_cli_get(cli, "bare");
    if (bare.ptr && !ap_str_equal_word(bare, "us") && !ap_str_equal_word(bare, "metric")) {
        return ap_error_set(err, AP_E_USAGE, "--bare is 'us' or 'metric', not '%.*s'", AP_STR_ARG(bare));
    }
    if (bare.ptr) {
        units = ap_str_equal_word(bare, "us") ? AP_INTAKE_UNITS_US : AP_INTAKE_UNITS_METRIC;
    }
    const ap_plan_rules rules = ap_intake_rules(&cli->settings, units);
    const ap_load_chart_options options = {.bare_length = rules.length, .bare_load = rules.load, .ton = rules.ton};
    ap_buf text;
    ap_status status = ap_file_read(&text, cli->words[2], AP_LOAD_CHART_BYTES_MAX, err);
    if (status == AP_OK) {
        status = ap_load_chart_read(out, &cli->arena, ap_buf_str(&text), cli->words[2], &options, err);
    }
    ap_buf_release(&text);
    return status;
}

/* crane NAME chart FILE */
static ap_status chart(ap_cli *cli, ap_error *err) {
    ap_load_chart read = {0};
    ap_crane_edit edit;
    ap_book_author author;
    ap_str doubt;
    ap_status status = ap_cli_need_words(cli, 3, 3, "the file of a load chart", err);
    if (status == AP_OK) {
        status = begin(&edit, &author, &doubt, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    bool drop = strcmp(cli->words[2], "none") == 0;
    status = drop ? AP_OK : read_chart(&read, cli, err);
    ap_str says = drop ? AP_STR_NONE
                       : ap_arena_printf(&cli->arena, "%zu row%s, %zu boom length%s, from %s", read.count,
                                         read.count == 1 ? "" : "s", read.booms, read.booms == 1 ? "" : "s",
                                         ap_file_name(cli->words[2]));
    if (status == AP_OK) {
        status = ap_book_crane_chart(cli->book, &edit, read.rows, read.count, says, err);
    }
    says = drop ? AP_STR_LIT("the load chart is taken away; it stays in the history")
                : ap_arena_printf(&cli->arena, "load chart of %.*s", AP_STR_ARG(says));
    status = done(cli, status, &edit, doubt, says, err);
    for (size_t i = 0; status == AP_OK && i < read.warning_count && i < AP_LOAD_CHART_WARNINGS_MAX; i++) {
        ap_cli_say(cli, cli->notes, "to look at: %.*s\n", AP_STR_ARG(read.warnings[i]));
    }
    if (status == AP_OK && read.warning_count > AP_LOAD_CHART_WARNINGS_MAX) {
        ap_cli_say(cli, cli->notes, "and %zu more like these\n", read.warning_count - AP_LOAD_CHART_WARNINGS_MAX);
    }
    cli->attention = cli->attention || read.warning_count > 0;
    return status;
}

static const struct {
    const char *word;
    ap_status (*run)(ap_cli *cli, ap_error *err);
} actions[] = {{"set", set}, {"calibrate", calibrate}, {"chart", chart}};

static ap_status run(ap_cli *cli, ap_error *err) {
    if (cli->word_count < 2) {
        return cli->word_count ? show_one(cli, err) : list_all(cli, err);
    }
    for (size_t i = 0; i < sizeof actions / sizeof actions[0]; i++) {
        if (strcmp(cli->words[1], actions[i].word) == 0) {
            return actions[i].run(cli, err);
        }
    }
    return ap_error_set(err, AP_E_USAGE,
                        "'afterpick crane' does not know what to do with '%.120s': write the crane's name first, then "
                        "set, calibrate or chart",
                        cli->words[1]);
}

static const ap_cli_option options[] = {
    {"bare", "us|metric", "with chart: what numbers without any unit mean: ft and lb, or m and kg"},
    {"why", "TEXT", "the reason of a change; kept in the book"},
    {0},
};

const ap_command ap_command_crane = {
    .name = "crane",
    .group = "SET UP",
    .summary = "the cranes: block weight, net or gross, calibration, load chart",
    .usage = "[NAME] | NAME set KEY=VALUE... | NAME calibrate factor=F on=DATE source=TEXT | NAME chart FILE",
    .about =
        "set        block_weight=420lb  weighed_as=net|gross  band=3% (the indicator's largest error)\n"
        "calibrate  factor=0.97, the true load over the indicated one; on=2026-09-01 source=\"certificate 12\" "
        "[band=2%].\n"
        "           Weights read on the indicator from that day on are multiplied by it. None entered: none "
        "corrected.\n"
        "chart      a CSV with the columns boom_ft (or none), radius_ft, capacity_lb; or radii down and boom lengths\n"
        "           across. Replaces the old one, whole or not at all. 'none' for FILE takes it away.\n"
        "An empty value takes an entry away. Every change needs --why and stays in the history.",
    .example = "afterpick --book demo/demo.book crane K1 chart samples/charts/k1.csv --why 'copied from the cab'",
    .options = options,
    .run = run,
};
