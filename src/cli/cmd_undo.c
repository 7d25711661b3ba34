#include "book/imports.h"
#include "cli/commands.h"
#include "page/json.h"

static ap_status parse_import(int64_t *id, const ap_cli *cli, ap_error *err) {
    if (!ap_str_to_int64(id, ap_str_from(cli->words[0])) || *id <= 0) {
        return ap_error_set(err, AP_E_USAGE, "'%s' is not the number of an import; the import itself printed it",
                            cli->words[0]);
    }
    return AP_OK;
}

static void say_what_rests(ap_cli *cli, int64_t id, const ap_import_rests *rests, bool done) {
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_json_object_begin(&json);
        ap_json_put_int(&json, "import", id);
        ap_json_put_bool(&json, "undone", done);
        ap_json_put_int(&json, "picks", rests->picks);
        ap_json_put_int(&json, "amendments", rests->amendments);
        ap_json_put_int(&json, "findings", rests->findings);
        ap_json_put_int(&json, "writeups", rests->writeups);
        ap_json_object_end(&json);
        ap_cli_json_end(cli);
        return;
    }
    const struct {
        int64_t count;
        const char *noun;
    } parts[] = {{rests->picks, "pick"},
                 {rests->amendments, "amendment"},
                 {rests->findings, "finding"},
                 {rests->writeups, "write-up"}};
    ap_buf says;
    ap_buf_init(&says, 1024);
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        if (parts[i].count) {
            ap_buf_appendf(&says, "%s%lld %s%s", says.len ? ", " : "", (long long)parts[i].count, parts[i].noun,
                           parts[i].count == 1 ? "" : "s");
        }
    }
    ap_cli_say(cli, cli->out, "import %lld %s: %s\n", (long long)id, done ? "taken out" : "holds",
               says.len ? says.ptr : "no picks");
    ap_buf_release(&says);
}

/* Asks on a terminal; elsewhere --yes has to have been given when something rests on the import. */
static ap_status agree(ap_cli *cli, const ap_import_rests *rests, ap_error *err) {
    bool rests_on_it = rests->amendments || rests->findings || rests->writeups;
    if (!rests_on_it || ap_cli_has(cli, "yes")) {
        return AP_OK;
    }
    if (cli->out_is_terminal && cli->notes_are_terminal) {
        ap_sink_puts(cli->out, "Take it out all the same? (yes/no) ");
        fflush(stdout);
        char answer[16] = "";
        if (fgets(answer, sizeof answer, stdin) && ap_str_equal_word(ap_str_trim(ap_str_from(answer)), "yes")) {
            return AP_OK;
        }
        return ap_error_set(err, AP_E_USAGE, "nothing was taken out");
    }
    return ap_error_set(
        err, AP_E_USAGE,
        "amendments, findings or write-ups rest on this import (%lld, %lld, %lld); nothing was taken out; add "
        "--yes to take it out all the same",
        (long long)rests->amendments, (long long)rests->findings, (long long)rests->writeups);
}

static ap_status take_out(ap_cli *cli, int64_t id, ap_str why, ap_error *err) {
    const ap_book_author author = ap_cli_author(cli);
    ap_status status = ap_book_begin(cli->book, err);
    if (status == AP_OK) {
        status = ap_book_import_undo(cli->book, id, why, &author, err);
    }
    return ap_book_end(cli->book, status, err);
}

static ap_status run(ap_cli *cli, ap_error *err) {
    int64_t id = 0;
    ap_str why;
    ap_import_rests rests;
    ap_status status = ap_cli_need_words(cli, 1, 1, "the number of an import", err);
    if (status == AP_OK) {
        status = parse_import(&id, cli, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_why(&why, cli, err);
    }
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_WRITE, err);
    }
    if (status == AP_OK) {
        status = ap_book_import_rests(&rests, cli->book, id, err);
    }
    if (status == AP_OK) {
        status = agree(cli, &rests, err);
    }
    if (status == AP_OK) {
        status = take_out(cli, id, why, err);
    }
    ap_buf again;
    ap_buf_init(&again, 1u << 20);
    if (status == AP_OK) {
        say_what_rests(cli, id, &rests, true);
        status = ap_book_import_read_again(&again, cli->book, err);
    }
    if (status == AP_OK && again.len && cli->format != AP_CLI_JSON) {
        ap_cli_say(cli, cli->out,
                   "other logs had some of these picks too; import them again so that none is lost: %.*s\n",
                   AP_STR_ARG(ap_buf_str(&again)));
    }
    ap_buf_release(&again);
    return status;
}

static const ap_cli_option options[] = {
    {"why", "TEXT", "the reason; kept in the book"},
    {"yes", NULL, "do not ask when amendments, findings or write-ups rest on it"},
    {0},
};

const ap_command ap_command_undo = {
    .name = "undo",
    .group = "MONTH",
    .summary = "take one import out whole (the wrong ton, the wrong file)",
    .usage = "IMPORT --why TEXT [--yes]",
    .about =
        "IMPORT is the number that 'afterpick import' printed. Its picks leave the book, the import stays in the "
        "history\n"
        "with who, when and why. What rests on it (amendments, findings, write-ups) is counted first and asked about.",
    .example = "afterpick --book demo/demo.book undo 1 --yes --why 'wrong ton' --as 'safety officer'",
    .options = options,
    .run = run,
};
