#include <unistd.h>

#include "book/settings_store.h"
#include "cli/commands.h"
#include "page/json.h"

/* --company and friends are ordinary settings, written in the book's first moments. */
static ap_status set_text(ap_cli *cli, const char *setting, ap_str value, ap_error *err) {
    const ap_book_author author = ap_cli_author(cli);
    return ap_book_setting_change(cli->book, ap_setting_find(ap_str_from(setting)), value, 0, AP_STR_LIT("new book"),
                                  &author, err);
}

static ap_status first_settings(ap_cli *cli, ap_error *err) {
    ap_str company = ap_cli_get(cli, "company");
    ap_status status = ap_book_begin(cli->book, err);
    if (status == AP_OK && company.ptr) {
        status = set_text(cli, "company", company, err);
    }
    if (status == AP_OK && cli->units >= 0) {
        status = set_text(cli, "units", cli->units == AP_UNITS_METRIC ? AP_STR_LIT("metric") : AP_STR_LIT("us"), err);
    }
    return ap_book_end(cli->book, status, err);
}

static ap_status run(ap_cli *cli, ap_error *err) {
    ap_status status = ap_cli_need_words(cli, 0, 1, "the new book's name", err);
    if (status != AP_OK) {
        return status;
    }
    const char *path = cli->word_count ? cli->words[0] : cli->book_path;
    if (!path) {
        return ap_error_set(err, AP_E_USAGE, "name the new book: 'afterpick init NAME.book'");
    }
    cli->book_path = path;
    status = ap_cli_open(cli, AP_BOOK_CREATE, err);
    if (status != AP_OK) {
        return status;
    }
    status = first_settings(cli, err);
    if (status != AP_OK) {
        ap_book_close(cli->book);
        cli->book = NULL;
        unlink(path); /* ours, made a moment ago */
        return status;
    }
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_json_object_begin(&json);
        ap_json_put_text(&json, "book", ap_str_from(path));
        ap_json_put_int(&json, "version", ap_book_version(cli->book));
        ap_json_object_end(&json);
        ap_cli_json_end(cli);
    } else if (!cli->quiet) {
        ap_cli_say(cli, cli->out,
                   "new book '%s'\n"
                   "next: 'afterpick --book %s import LOG.csv', and 'afterpick --book %s set' for the company's "
                   "settings\n",
                   path, path, path);
    }
    return AP_OK;
}

static const ap_cli_option options[] = {
    {"company", "NAME", "printed on every review"},
    {0},
};

const ap_command ap_command_init = {
    .name = "init",
    .group = "SET UP",
    .summary = "make a new, empty book",
    .usage = "NAME.book [--company NAME] [--units us|metric]",
    .about =
        "The book is one file. It comes with 130 species and their handbook densities and with the company's settings\n"
        "at their defaults ('afterpick set' shows them).",
    .example = "afterpick init oak.book --company 'Invented Tree Works' --units us",
    .options = options,
    .run = run,
};
