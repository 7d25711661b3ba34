#include <errno.h>
#include <unistd.h>

#include "cli/commands.h"
#include "report/blank_log.h"

enum { LOG_MAX = 1 << 20 };

/* A book is not needed: without one that is named or lies here, the units are US unless --units says otherwise. */
static ap_status look_for_book(ap_cli *cli, ap_error *err) {
    ap_error why;
    ap_error_clear(&why);
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, &why);
    const char *named = getenv("AFTERPICK_BOOK");
    bool is_named = cli->book_path || (named && *named);
    if (status != AP_OK && (is_named || (status != AP_E_NOT_FOUND && status != AP_E_AMBIGUOUS))) {
        return ap_error_set(err, status, "%s", why.text);
    }
    return AP_OK;
}

static ap_status get_legs(int *legs, const ap_cli *cli, ap_error *err) {
    int64_t value = 2;
    ap_str text = ap_cli_get(cli, "legs");
    if (text.ptr && (!ap_str_to_int64(&value, text) || value < 1 || value > AP_LEG_MAX)) {
        return ap_error_set(err, AP_E_USAGE, "--legs is a number from 1 to %d, not '%.*s'", AP_LEG_MAX,
                            AP_STR_ARG(text));
    }
    *legs = (int)value;
    return AP_OK;
}

/* Never over a file that is there: it may be a log somebody filled in. */
static ap_status write_file(const char *path, ap_str bytes, ap_error *err) {
    if (access(path, F_OK) == 0) {
        return ap_error_set(err, AP_E_USAGE, "'%s' exists already: choose another name or move it away", path);
    }
    return ap_file_write(path, bytes, err);
}

static ap_status run(ap_cli *cli, ap_error *err) {
    int legs = 2;
    ap_status status = ap_cli_need_words(cli, 0, 0, "nothing", err);
    if (status == AP_OK) {
        status = get_legs(&legs, cli, err);
    }
    if (status == AP_OK) {
        status = look_for_book(cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_buf text;
    ap_buf_init(&text, LOG_MAX);
    ap_sink sink = ap_sink_to_buf(&text);
    if (ap_cli_has(cli, "html")) {
        ap_blank_log_html(&sink, ap_str_from(cli->settings.company), ap_cli_units(cli), legs);
    } else {
        ap_blank_log_csv(&sink, ap_cli_units(cli), legs);
    }
    status = ap_sink_check(&sink, "the blank log", err);
    const char *path = ap_cli_get(cli, "out").ptr;
    if (status == AP_OK && path) {
        status = write_file(path, ap_buf_str(&text), err);
        if (status == AP_OK && !cli->quiet) {
            ap_cli_say_path(cli, path);
        }
    } else if (status == AP_OK) {
        ap_sink_put(cli->out, ap_buf_str(&text));
    }
    ap_buf_release(&text);
    return status;
}

static const ap_cli_option options[] = {
    {"html", NULL, "a sheet to print and fill by hand, landscape, A4 or Letter"},
    {"legs", "N", "columns for so many sling legs, 1 to 4; 2 unless given"},
    {"out", "FILE", "write it here instead of to standard output; an existing file is left alone"},
    {0},
};

const ap_command ap_command_blank_log = {
    .name = "blank-log",
    .group = "SET UP",
    .summary = "an empty log: a CSV with every column, or a sheet to print",
    .usage = "[--html] [--out FILE] [--units us|metric] [--legs N]",
    .about =
        "The CSV's columns carry their units; import takes it as it is. job, date, pick, species and one weight are\n"
        "needed, everything else may stay blank: blank means not recorded.",
    .example = "afterpick --book demo/demo.book blank-log --units metric",
    .options = options,
    .run = run,
};
