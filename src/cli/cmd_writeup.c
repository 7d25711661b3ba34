#include <inttypes.h>

#include "cli/commands.h"
#include "cli/writeup.h"
#include "followup/attachments.h"
#include "report/writeup_list.h"
#include "text/line_diff.h"

static ap_status list(ap_cli *cli, ap_error *err) {
    ap_writeup *writeups = NULL;
    size_t count = 0;
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    if (status == AP_OK) {
        status = ap_book_writeups(&writeups, &count, &cli->arena, cli->book, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_writeups_json(&json, writeups, count);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Write-ups", AP_STR_NONE);
    ap_writeups_page(doc, writeups, count);
    return ap_cli_write(cli, doc, err);
}

static ap_status read_number(int64_t *out, ap_str text, const char *what, ap_error *err) {
    if (!ap_str_to_int64(out, text) || *out <= 0) {
        return ap_error_set(err, AP_E_USAGE, "'%.*s' is not the number of %s", AP_STR_ARG(text), what);
    }
    return AP_OK;
}

static ap_status read_revision(ap_writeup_revision *out, ap_cli *cli, int64_t id, const char *option, ap_error *err) {
    int64_t revision = 0;
    ap_str text = ap_cli_get(cli, option);
    ap_status status = text.len ? read_number(&revision, text, "a revision", err) : AP_OK;
    return status == AP_OK ? ap_book_writeup_text(out, &cli->arena, cli->book, id, revision, err) : status;
}

static ap_status show(ap_cli *cli, ap_error *err) {
    int64_t id;
    ap_writeup writeup;
    ap_writeup_revision kept;
    ap_status status = read_number(&id, ap_str_from(cli->words[1]), "a write-up", err);
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_READ, err);
    }
    if (status == AP_OK) {
        status = ap_book_writeup_get(&writeup, &cli->arena, cli->book, id, err);
    }
    if (status == AP_OK) {
        status = read_revision(&kept, cli, id, "revision", err);
    }
    if (status == AP_OK) {
        ap_sink_put(cli->out, kept.text);
    }
    return status;
}

/* Between two kept revisions; a terminal sees control bytes as the page writers show them. */
static ap_status diff(ap_cli *cli, ap_error *err) {
    int64_t id;
    ap_writeup writeup;
    ap_writeup_revision from = {0};
    ap_writeup_revision to = {0};
    ap_buf out;
    ap_buf_init(&out, 2 * AP_WRITEUP_TEXT_MAX);
    ap_status status = read_number(&id, ap_str_from(cli->words[1]), "a write-up", err);
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_READ, err);
    }
    if (status == AP_OK) {
        status = ap_book_writeup_get(&writeup, &cli->arena, cli->book, id, err);
    }
    if (status == AP_OK) {
        status = read_revision(&to, cli, id, "to", err);
    }
    if (status == AP_OK && ap_cli_has(cli, "from")) {
        status = read_revision(&from, cli, id, "from", err);
    } else if (status == AP_OK) {
        status = ap_book_writeup_text(&from, &cli->arena, cli->book, id, to.revision > 1 ? to.revision - 1 : 1, err);
    }
    if (status == AP_OK) {
        status = ap_line_diff(&out, &cli->arena, from.text, to.text, 2, err);
    }
    if (status == AP_OK) {
        char date[AP_ISO_SIZE];
        ap_date_to_iso(date, to.stored_on);
        ap_sink_printf(cli->out, "write-up %" PRId64 ", revision %" PRId64 " to %" PRId64 " (%s%s%.*s)\n", id,
                       from.revision, to.revision, date, to.who.len ? ", " : "", AP_STR_ARG(to.who));
        ap_sink_put(cli->out, ap_buf_str(&out));
    }
    ap_buf_release(&out);
    return status;
}

static ap_status attach(ap_cli *cli, ap_error *err) {
    int64_t id;
    ap_writeup writeup;
    ap_attachment file = {0};
    const ap_book_author author = ap_cli_author(cli);
    ap_str says = ap_cli_get(cli, "says");
    ap_status status = read_number(&id, ap_str_from(cli->words[1]), "a write-up", err);
    if (status == AP_OK && ap_str_is_blank(says)) {
        status = ap_error_set(err, AP_E_USAGE, "say what it shows: --says \"the sling after the pick\"");
    }
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_WRITE, err);
    }
    if (status == AP_OK) {
        status = ap_book_begin(cli->book, err);
    }
    if (status != AP_OK) {
        return status;
    }
    status = ap_book_writeup_get(&writeup, &cli->arena, cli->book, id, err);
    if (status == AP_OK) {
        status = ap_attachment_add(&file, &cli->arena, cli->book, id, cli->words[2], says, &author, err);
    }
    status = ap_book_end(cli->book, status, err);
    if (status == AP_OK && !cli->quiet) {
        ap_cli_say(cli, cli->out, "'%.*s' is attached to write-up %" PRId64 ": SHA-256 %.*s\n", AP_STR_ARG(file.name),
                   id, AP_STR_ARG(file.sha256));
    }
    return status;
}

static const struct {
    const char *verb;
    size_t least, most; /* words with the verb */
    const char *needs;
    ap_status (*run)(ap_cli *cli, ap_error *err);
} verbs[] = {
    {"list", 1, 1, "no word more", list},
    {"new", 1, 1 + AP_WRITEUP_PICKS_MAX, "the picks it is about", ap_writeup_new_run},
    {"refresh", 2, 2, "the write-up's file", ap_writeup_refresh_run},
    {"keep", 2, 2, "the write-up's file", ap_writeup_keep_run},
    {"render", 2, 2, "the write-up's file", ap_writeup_render_run},
    {"show", 2, 2, "the number of a write-up", show},
    {"diff", 2, 2, "the number of a write-up", diff},
    {"attach", 3, 3, "the number of a write-up and a file", attach},
};

static ap_status run(ap_cli *cli, ap_error *err) {
    if (cli->word_count == 0) {
        return list(cli, err);
    }
    for (size_t i = 0; i < sizeof verbs / sizeof *verbs; i++) {
        if (strcmp(cli->words[0], verbs[i].verb) == 0) {
            ap_status status = ap_cli_need_words(cli, verbs[i].least, verbs[i].most, verbs[i].needs, err);
            return status == AP_OK ? verbs[i].run(cli, err) : status;
        }
    }
    return ap_error_set(err, AP_E_USAGE,
                        "'afterpick writeup' knows list, new, refresh, keep, render, show, diff and attach, not '%s'",
                        cli->words[0]);
}

static const ap_cli_option options[] = {
    {"out", "FILE", "new: the Markdown file to make; render: the page to make"},
    {"finding", "N", "new: about the picks this finding rests on"},
    {"ask", NULL, "new: about a pick in no log; asks on the terminal, 'not known' is an answer"},
    {"answers", "FILE", "new: the same from a file of lines 'field: answer'; ranges as 'between 10 and 14 ft'"},
    {"redacted", NULL, "render: without site, people, crane and company, for sharing outside"},
    {"says", "TEXT", "attach: what the file shows"},
    {"revision", "N", "show: an earlier text"},
    {"from", "N", "diff: from this revision"},
    {"to", "N", "diff: to this revision"},
    {"why", "TEXT", "keep: what was changed and why"},
    {0},
};

const ap_command ap_command_writeup = {
    .name = "writeup",
    .group = "MONTH",
    .summary = "write up a near miss: facts, reconstruction, questions; keep and print it",
    .usage = "[list | new PICK... | new --finding N | new --ask | refresh FILE | keep FILE | render FILE | show N | "
             "diff N | "
             "attach N FILE --says TEXT]",
    .about = "'new' makes a Markdown file that anybody can edit: the program's parts stand between marker lines, all "
             "the rest is\n"
             "yours and stays as you write it. 'refresh' brings the program's parts up to date, 'keep' stores text and "
             "revision\n"
             "in the book, 'render' makes a page to print. docs/writeup.md describes the file.",
    .example = "afterpick --book demo/demo.book writeup new J152/2 --out demo/near-miss.md",
    .options = options,
    .run = run,
};
