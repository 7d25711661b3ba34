#include "cli/commands.h"
#include "cli/keep_findings.h"
#include "cli/period.h"
#include "cli/review_files.h"
#include "page/write.h"
#include "report/review.h"
#include "report/weights_page.h"

static ap_status write_figures(ap_cli *cli, const char *folder, const ap_figure_set *figures, ap_error *err) {
    const char *inner = ap_arena_printf(&cli->arena, "%s/figures", folder).ptr;
    ap_status status = inner ? ap_folder_make(inner, err) : ap_arena_check(&cli->arena, "a path", err);
    for (size_t i = 0; status == AP_OK && figures && i < ap_figure_set_count(figures); i++) {
        const ap_figure *figure = ap_figure_set_get(figures, i);
        ap_str path = ap_arena_printf(&cli->arena, "%s/%.*s.svg", inner, AP_STR_ARG(ap_figure_id(figure)));
        if (ap_figure_output(figure).len && path.ptr) {
            status = ap_file_write(path.ptr, ap_figure_output(figure), err);
        }
    }
    return status;
}

static ap_status draw(ap_cli *cli, ap_review *review, ap_error *err) {
    ap_review_describe_figures(review);
    if (!review->figures) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the figures");
    }
    ap_str trouble = AP_STR_NONE;
    ap_status status = ap_figure_set_draw(&trouble, review->figures, ap_cli_figure_time_ms(cli), err);
    if (status == AP_OK && trouble.len) {
        cli->machine_trouble = true;
        ap_sink_printf(cli->notes, "afterpick: figures: %.*s; the review is written without them\n",
                       AP_STR_ARG(trouble));
    }
    return status;
}

/* With --csv: what was written, a file a row. */
static ap_status write_list(ap_cli *cli, const char *folder, const ap_review_files *files, ap_error *err) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("what"), .label = AP_STR_LIT("what"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("file"), .label = AP_STR_LIT("file"), .kind = AP_CELL_TEXT},
    };
    ap_doc *doc = ap_cli_doc(cli, "", AP_STR_NONE);
    ap_table *table = doc ? ap_doc_table(doc, AP_STR_LIT("files"), AP_STR_NONE, columns, 2) : NULL;
    for (size_t i = 0; i < files->count; i++) {
        ap_table_row(table);
        ap_table_text(table, ap_str_from(files->key[i]));
        ap_table_text(table, ap_arena_printf(&cli->arena, "%s/%s", folder, files->name[i]));
    }
    return ap_cli_write(cli, doc, err);
}

static ap_status say_where(ap_cli *cli, const char *folder, const ap_review *review, const ap_review_files *files,
                           ap_error *err) {
    size_t picks = review->end - review->first;
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_json_object_begin(&json);
        ap_json_put_period(&json, review->period);
        ap_json_put_int(&json, "picks", (int64_t)picks);
        ap_json_put_int(&json, "findings", (int64_t)(review->findings.count + ap_finding_left_out(&review->findings)));
        for (size_t i = 0; i < files->count; i++) {
            ap_json_put_text(&json, files->key[i], ap_arena_printf(&cli->arena, "%s/%s", folder, files->name[i]));
        }
        if (files->matter) {
            ap_json_put_int(&json, "picks_with_a_page", (int64_t)files->with_page);
            ap_json_put_int(&json, "picks_that_matter", (int64_t)files->matter);
        }
        if (ap_cli_has(cli, "book-of-picks")) {
            ap_json_put_int(&json, "older_pages_removed", (int64_t)files->removed);
            ap_json_put_int(&json, "older_pages_left", (int64_t)files->left);
        }
        ap_json_object_end(&json);
        return ap_cli_json_end(cli);
    }
    if (cli->format == AP_CLI_CSV) {
        return write_list(cli, folder, files, err);
    }
    if (!cli->quiet) {
        ap_str period = ap_say_period(&cli->arena, review->period);
        size_t found = review->findings.count + ap_finding_left_out(&review->findings);
        if (picks == 0) {
            ap_sink_printf(cli->out, "review of %.*s: the book holds no pick of this period\n", AP_STR_ARG(period));
        } else if (found == 0) {
            ap_sink_printf(cli->out, "review of %.*s: %zu pick%s, no finding\n", AP_STR_ARG(period), picks,
                           picks == 1 ? "" : "s");
        } else {
            ap_sink_printf(cli->out, "review of %.*s: %zu pick%s, %zu finding%s\n", AP_STR_ARG(period), picks,
                           picks == 1 ? "" : "s", found, found == 1 ? "" : "s");
        }
        for (size_t i = 0; i < files->count; i++) {
            ap_sink_printf(cli->out, "%s/%s\n", folder, files->name[i]);
        }
        if (files->matter > files->with_page) {
            ap_sink_printf(cli->out, "%zu picks matter, the gravest %zu have a page\n", files->matter,
                           files->with_page);
        }
    }
    return AP_OK;
}

/* What became of pages of an earlier review in the same folder. */
static void say_older(ap_cli *cli, const char *folder, const ap_review_files *files) {
    if (files->removed && !cli->quiet) {
        ap_cli_say(cli, cli->notes, "%zu page%s of an earlier review, not written again, removed from %s/book\n",
                   files->removed, files->removed == 1 ? "" : "s", folder);
    }
    if (files->left) {
        ap_cli_say(cli, cli->notes,
                   "%zu page%s of an earlier review in %s/book changed since: left as %s, not of this review\n",
                   files->left, files->left == 1 ? "" : "s", folder, files->left == 1 ? "it is" : "they are");
    }
}

static ap_str title(ap_cli *cli, const char *what, ap_period period) {
    return ap_arena_printf(&cli->arena, "%s, %.*s", what, AP_STR_ARG(ap_say_period(&cli->arena, period)));
}

static ap_status write_briefing(ap_review_files *files, ap_cli *cli, const ap_review *review, const char *folder,
                                ap_error *err) {
    ap_doc *doc =
        ap_cli_doc(cli, title(cli, "Briefing", review->period).ptr, ap_say_period(&cli->arena, review->period));
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the briefing");
    }
    ap_review_briefing(doc, review);
    ap_status status =
        ap_review_write(files, cli, folder, "briefing_html", "briefing.html", doc, ap_page_write_html, err);
    return status == AP_OK ? ap_review_write(files, cli, folder, "briefing_markdown", "briefing.md", doc,
                                             ap_page_write_markdown, err)
                           : status;
}

static ap_status text_writer(ap_sink *sink, const ap_doc *doc, ap_error *err) {
    return ap_page_write_text(sink, doc, 80, false, err);
}

static ap_status write_files(ap_cli *cli, ap_review *review, ap_doc *doc, const char *folder, ap_error *err) {
    ap_review_files files = {0};
    ap_pick_book book = {0};
    ap_status status = ap_folder_make(folder, err);
    if (status == AP_OK && ap_cli_has(cli, "book-of-picks")) {
        review->pages = "book/";
        status = ap_review_choose_picks(&book, cli, review, err);
        ap_pick_book_link(doc, &book, review->pages);
    }
    if (status == AP_OK) {
        ap_review_build(doc, review);
        status = write_figures(cli, folder, review->figures, err);
    }
    if (status == AP_OK) {
        status = ap_review_write(&files, cli, folder, "html", "review.html", doc, ap_page_write_html, err);
    }
    if (status == AP_OK) {
        status = ap_review_write(&files, cli, folder, "markdown", "review.md", doc, ap_page_write_markdown, err);
    }
    if (status == AP_OK) {
        status = ap_review_write(&files, cli, folder, "text", "review.txt", doc, text_writer, err);
    }
    if (status == AP_OK && ap_cli_has(cli, "briefing")) {
        status = write_briefing(&files, cli, review, folder, err);
    }
    if (status == AP_OK && review->pages) {
        status = ap_review_write_book(&files, cli, &book, folder, err);
    }
    if (status == AP_OK) {
        status = say_where(cli, folder, review, &files, err);
        say_older(cli, folder, &files);
    }
    return status;
}

static ap_status write_review(ap_cli *cli, ap_review *review, const char *folder, ap_period period,
                              const ap_roster *roster, ap_fail_on fail_on, ap_error *err) {
    ap_status status = ap_review_gather(review, &cli->arena, cli->book, roster, period, ap_cli_units(cli), err);
    if (status == AP_OK) {
        status = draw(cli, review, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_doc *doc = ap_cli_doc(cli, title(cli, "Review of picks", period).ptr, ap_say_period(&cli->arena, period));
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    status = ap_cli_keep_findings(&review->findings_not_kept, cli, &review->findings, roster, doc, err);
    if (status != AP_OK) {
        return status;
    }
    ap_cli_judge_fail_on(cli, fail_on, &review->findings);
    return write_files(cli, review, doc, folder, err);
}

static ap_status make_review(ap_cli *cli, const char *folder, ap_period period, const ap_roster *roster,
                             ap_fail_on fail_on, ap_error *err) {
    ap_review review;
    ap_status status = write_review(cli, &review, folder, period, roster, fail_on, err);
    ap_review_release(&review);
    return status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    ap_period period;
    ap_fail_on fail_on = AP_FAIL_ON_NOTHING;
    ap_roster roster = {0};
    ap_status status = ap_cli_need_words(cli, 0, 0, "nothing", err);
    if (status == AP_OK) {
        status = ap_cli_get_period(&period, cli, err);
    }
    if (status == AP_OK) {
        status = ap_cli_get_fail_on(&fail_on, cli, err);
    }
    if (status == AP_OK && period.since == AP_DATE_NONE && period.until == AP_DATE_NONE) {
        status = ap_error_set(err, AP_E_USAGE, "say which month: --month 2026-10, or --since and --until");
    }
    ap_str folder = ap_cli_get(cli, "out");
    if (status == AP_OK && ap_str_is_blank(folder)) {
        status = ap_error_set(err, AP_E_USAGE, "say where the review goes: --out FOLDER");
    }
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_READ, err);
    }
    if (status == AP_OK) {
        ap_roster_keep_learnt(cli->book, period.until);
        status = ap_book_begin_read(cli->book, err);
    }
    if (status == AP_OK) {
        status = ap_roster_load_learnt(&roster, cli->book, period.until, cli->names, err);
    }
    if (status == AP_OK) {
        status = make_review(cli, folder.ptr, period, &roster, fail_on, err);
    }
    ap_roster_release(&roster);
    return status;
}

static const ap_cli_option options[] = {
    AP_CLI_PERIOD_OPTIONS,
    {"out", "FOLDER", "where review.html, review.md, review.txt and figures/ go"},
    {"briefing", NULL, "also briefing.html and .md: one page for the crew, at most three messages in big type"},
    {"book-of-picks", NULL, "also book/: a page for each finding, species, crane and pick that matters, linked"},
    AP_CLI_FAIL_ON_OPTION,
    {0},
};

const ap_command ap_command_review = {
    .name = "review",
    .group = "MONTH",
    .summary = "write the safety officer's review of a month",
    .usage = "--month YYYY-MM --out FOLDER [--briefing] [--book-of-picks]",
    .about =
        "One self-contained review.html with its figures inside, the same as review.md and review.txt, and the figures "
        "as SVG.\n"
        "The first page stands on its own. People appear by role or code unless --names.",
    .example = "afterpick --book demo/demo.book review --month 2026-10 --out demo/review",
    .options = options,
    .run = run,
};
