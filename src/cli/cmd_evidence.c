#include <unistd.h>

#include "analysis/own_evidence.h"
#include "cli/commands.h"
#include "report/evidence_page.h"

static ap_status write_file(ap_cli *cli, const ap_evidence_file *file, ap_error *err) {
    ap_str path = ap_cli_get(cli, "out");
    if (!path.ptr) {
        return ap_evidence_write(cli->out, file, cli->book, err);
    }
    if (access(path.ptr, F_OK) == 0) {
        return ap_error_set(err, AP_E_USAGE, "'%s' exists already: choose another name or move it away", path.ptr);
    }
    ap_buf text;
    ap_buf_init(&text, AP_EVIDENCE_FILE_MAX);
    ap_sink sink = ap_sink_to_buf(&text);
    ap_status status = ap_evidence_write(&sink, file, cli->book, err);
    if (status == AP_OK) {
        status = ap_sink_check(&sink, path.ptr, err);
    }
    if (status == AP_OK) {
        status = ap_file_write(path.ptr, ap_buf_str(&text), err);
    }
    if (status == AP_OK && !cli->quiet) {
        ap_cli_say(cli, cli->out, "%s: %zu figures\n", path.ptr, file->count);
    }
    ap_buf_release(&text);
    return status;
}

static ap_status make_own(ap_evidence_file *file, ap_cli *cli, ap_error *err) {
    ap_roster roster = {0};
    ap_own_evidence own = {0};
    ap_status status = ap_roster_load(&roster, cli->book, cli->today, false, err);
    if (status == AP_OK) {
        status = ap_own_evidence_make(&own, &cli->arena, &roster, err);
    }
    ap_roster_release(&roster);
    if (status == AP_OK && own.count == 0) {
        return ap_error_set(err, AP_E_DOMAIN,
                            "there is nothing to give: a figure needs %d trees with weighed pieces whose length and "
                            "diameters are logged",
                            AP_EVIDENCE_TREES_LEAST);
    }
    if (status == AP_OK && own.held_back && !cli->quiet) {
        ap_cli_say(cli, cli->notes, "held back: %zu figures that rest on fewer than %d trees or are out of bounds\n",
                   own.held_back, AP_EVIDENCE_TREES_LEAST);
    }
    file->items = own.items;
    file->count = own.count;
    return status;
}

static ap_status give(ap_cli *cli, ap_error *err) {
    ap_evidence_file file = {.origin = ap_str_trim(ap_cli_get(cli, "origin"))};
    ap_status status = ap_cli_need_words(cli, 0, 0, "no further word", err);
    if (status == AP_OK && !ap_evidence_origin_is_fine(file.origin)) {
        status = ap_error_set(err, AP_E_USAGE,
                              "say whose evidence it is, as others shall see it: --origin \"...\", up to %d bytes",
                              AP_EVIDENCE_ORIGIN_MAX);
    }
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_WRITE, err);
    }
    if (status == AP_OK) {
        status = make_own(&file, cli, err);
    }
    if (status == AP_OK) {
        status = ap_evidence_settle(&file, err);
    }
    if (status == AP_OK) {
        status = ap_book_begin(cli->book, err);
    }
    if (status != AP_OK) {
        return status;
    }
    status = ap_book_evidence_exported(cli->book, ap_str_from(file.sha256), file.origin, cli->today, err);
    if (status == AP_OK) {
        status = write_file(cli, &file, err);
    }
    return ap_book_end(cli->book, status, err);
}

static void say_taken(ap_cli *cli, const ap_evidence_file *file, bool known) {
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_json_object_begin(&json);
        ap_json_put_text(&json, "origin", file->origin);
        ap_json_put_text(&json, "sha256", ap_str_from(file->sha256));
        ap_json_put_int(&json, "figures", (int64_t)file->count);
        ap_json_put_bool(&json, "known", known);
        ap_json_object_end(&json);
        ap_cli_json_end(cli);
    } else if (!cli->quiet) {
        ap_cli_say(cli, cli->out,
                   known ? "nothing added: these %zu figures of %.*s count already\n"
                         : "%zu figures of %.*s now count in the densities\n",
                   file->count, AP_STR_ARG(file->origin));
    }
}

static ap_status take(ap_cli *cli, ap_error *err) {
    ap_evidence_file file;
    bool known = false;
    ap_str why;
    const ap_book_author author = ap_cli_author(cli);
    ap_status status = ap_cli_need_words(cli, 1, 1, "one file of evidence", err);
    if (status == AP_OK) {
        status = ap_cli_get_why(&why, cli, err);
    }
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_WRITE, err);
    }
    if (status == AP_OK) {
        status = ap_evidence_file_read(&file, &cli->arena, cli->book, cli->words[0], err);
    }
    if (status == AP_OK) {
        status = ap_book_begin(cli->book, err);
    }
    if (status != AP_OK) {
        return status;
    }
    const ap_evidence_set set = {.sha256 = ap_str_from(file.sha256), .origin = file.origin, .why = why};
    status = ap_book_evidence_add(&known, cli->book, &set, file.items, file.count, &author, err);
    status = ap_book_end(cli->book, status, err);
    if (status == AP_OK) {
        say_taken(cli, &file, known);
    }
    return status;
}

static ap_status list(ap_cli *cli, ap_error *err) {
    ap_evidence evidence;
    ap_status status = ap_cli_need_words(cli, 0, 0, "no further word", err);
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_READ, err);
    }
    if (status == AP_OK) {
        status = ap_book_evidence_read(&evidence, &cli->arena, cli->book, AP_DATE_NONE, err);
    }
    if (status != AP_OK) {
        return status;
    }
    const ap_evidence_view view = {&evidence, cli->book, ap_density_priors_default.company_sd};
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        status = ap_evidence_json(&json, &view, err);
        ap_cli_json_end(cli);
        return status;
    }
    ap_doc *doc = ap_cli_doc(cli, "Evidence of others", AP_STR_NONE);
    status = doc ? ap_evidence_page(doc, &view, err) : ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    return status == AP_OK ? ap_cli_write(cli, doc, err) : status;
}

static ap_status remove_set(ap_cli *cli, ap_error *err) {
    ap_str why;
    const ap_book_author author = ap_cli_author(cli);
    ap_status status =
        ap_cli_need_words(cli, 1, 1, "the origin, in quotes, as 'afterpick evidence list' shows it", err);
    if (status == AP_OK) {
        status = ap_cli_begin_change(&why, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    status = ap_book_evidence_remove(cli->book, ap_str_from(cli->words[0]), why, &author, err);
    status = ap_book_end(cli->book, status, err);
    if (status == AP_OK && !cli->quiet) {
        ap_cli_say(cli, cli->out, "the evidence of %s no longer counts; it stays in the list\n", cli->words[0]);
    }
    return status;
}

static const ap_cli_option export_options[] = {
    {"origin", "TEXT", "whose evidence it is, as others shall see it"},
    {"out", "FILE", "write it here instead of to standard output; an existing file is left alone"},
    {0},
};
static const ap_cli_option change_options[] = {
    {"why", "TEXT", "the reason; kept in the book"},
    {0},
};

static const ap_command topic_export = {
    .name = "evidence export",
    .group = "KEEP",
    .summary = "what your weighed wood says, without any pick, person, site or date",
    .usage = "--origin TEXT [--out FILE]",
    .about = "Figures by species and class with their standard errors and counts, from at least three trees each. The "
             "file's\nform is described in docs/evidence.md; read it before you hand it on.",
    .example = "afterpick --book demo/demo.book evidence export --origin 'invented company' --out evidence.jsonl",
    .options = export_options,
    .run = give,
};
static const ap_command topic_import = {
    .name = "evidence import",
    .group = "KEEP",
    .summary = "lets another company's evidence count in the densities",
    .usage = "FILE --why TEXT",
    .about =
        "The same figures again add nothing. Your own weighed trees are never overruled: what companies differ by is\n"
        "added to every figure of others.",
    .example = "afterpick --book demo/demo.book evidence import north.jsonl --why 'agreed with the north branch'",
    .options = change_options,
    .run = take,
};
static const ap_command topic_list = {
    .name = "evidence list",
    .group = "KEEP",
    .summary = "whose evidence counts, and what it says",
    .usage = "",
    .example = "afterpick --book demo/demo.book evidence list",
    .run = list,
};
static const ap_command topic_remove = {
    .name = "evidence remove",
    .group = "KEEP",
    .summary = "takes a set of evidence out again; it stays in the list",
    .usage = "ORIGIN --why TEXT",
    .example = "afterpick --book demo/demo.book evidence remove 'north branch' --why 'their tapes were wrong'",
    .options = change_options,
    .run = remove_set,
};
static const ap_command *const topics[] = {&topic_export, &topic_import, &topic_list, &topic_remove, NULL};

/* Only reached when the second word is no topic. */
static ap_status run(ap_cli *cli, ap_error *err) {
    return ap_error_set(err, AP_E_USAGE, "'afterpick evidence' is followed by export, import, list or remove%s%s%s",
                        cli->word_count ? ", not '" : "", cli->word_count ? cli->words[0] : "",
                        cli->word_count ? "'" : "");
}

const ap_command ap_command_evidence = {
    .name = "evidence",
    .group = "KEEP",
    .summary = "pool what wood weighs with others, without any pick of theirs or yours",
    .usage = "export | import | list | remove",
    .example = "afterpick --book demo/demo.book evidence list",
    .run = run,
    .topics = topics,
};
