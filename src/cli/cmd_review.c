#include "cli/commands.h"
#include "cli/keep_findings.h"
#include "cli/period.h"
#include "page/write.h"
#include "report/review.h"
#include "report/weights_page.h"

enum { FIGURES_DEADLINE_MS = 120000, PAGE_MAX = 64 << 20 };

static ap_status write_page(ap_cli *cli, const char *folder, const char *name, const ap_doc *doc,
                            ap_status (*write)(ap_sink *, const ap_doc *, ap_error *), ap_error *err) {
    ap_buf page;
    ap_buf_init(&page, PAGE_MAX);
    ap_sink sink = ap_sink_to_buf(&page);
    ap_status status = write(&sink, doc, err);
    if (status == AP_OK) {
        status = ap_sink_check(&sink, name, err);
    }
    if (status == AP_OK) {
        ap_str path = ap_arena_printf(&cli->arena, "%s/%s", folder, name);
        status =
            path.ptr ? ap_file_write(path.ptr, ap_buf_str(&page), err) : ap_arena_check(&cli->arena, "a path", err);
    }
    ap_buf_release(&page);
    return status;
}

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
    ap_status status = ap_figure_set_draw(&trouble, review->figures, FIGURES_DEADLINE_MS, err);
    if (status == AP_OK && trouble.len) {
        cli->machine_trouble = true;
        ap_sink_printf(cli->notes, "afterpick: figures: %.*s; the review is written without them\n",
                       AP_STR_ARG(trouble));
    }
    return status;
}

static void say_where(ap_cli *cli, const char *folder, const ap_review *review) {
    size_t picks = review->end - review->first;
    if (cli->format == AP_CLI_JSON) {
        ap_json json;
        ap_json_init(&json, cli->out, true);
        ap_json_object_begin(&json);
        ap_json_put_period(&json, review->period);
        ap_json_put_int(&json, "picks", (int64_t)picks);
        ap_json_put_int(&json, "findings", (int64_t)(review->findings.count + ap_finding_left_out(&review->findings)));
        ap_json_put_text(&json, "html", ap_arena_printf(&cli->arena, "%s/review.html", folder));
        ap_json_put_text(&json, "markdown", ap_arena_printf(&cli->arena, "%s/review.md", folder));
        ap_json_object_end(&json);
        ap_sink_putc(cli->out, '\n');
    } else if (!cli->quiet) {
        ap_str period = ap_say_period(&cli->arena, review->period);
        ap_sink_printf(cli->out, "review of %.*s: %zu picks, %zu findings\n%s/review.html\n%s/review.md\n",
                       AP_STR_ARG(period), picks, review->findings.count + ap_finding_left_out(&review->findings),
                       folder, folder);
    }
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
    ap_str when = ap_say_period(&cli->arena, period);
    ap_doc *doc = ap_cli_doc(cli, ap_arena_printf(&cli->arena, "Review of picks, %.*s", AP_STR_ARG(when)).ptr, when);
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    status = ap_cli_keep_findings(&review->findings_not_kept, cli, &review->findings, roster, doc, err);
    if (status != AP_OK) {
        return status;
    }
    ap_cli_judge_fail_on(cli, fail_on, &review->findings);
    ap_review_build(doc, review);
    status = ap_folder_make(folder, err);
    if (status == AP_OK) {
        status = write_figures(cli, folder, review->figures, err);
    }
    if (status == AP_OK) {
        status = write_page(cli, folder, "review.html", doc, ap_page_write_html, err);
    }
    if (status == AP_OK) {
        status = write_page(cli, folder, "review.md", doc, ap_page_write_markdown, err);
    }
    if (status == AP_OK) {
        say_where(cli, folder, review);
    }
    return status;
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
        status = ap_book_begin_read(cli->book, err);
    }
    if (status == AP_OK) {
        status = ap_roster_load(&roster, cli->book, period.until, cli->names, err);
    }
    if (status == AP_OK) {
        status = make_review(cli, folder.ptr, period, &roster, fail_on, err);
    }
    ap_roster_release(&roster);
    return status;
}

static const ap_cli_option options[] = {
    AP_CLI_PERIOD_OPTIONS,
    {"out", "FOLDER", "where review.html, review.md and figures/ go"},
    AP_CLI_FAIL_ON_OPTION,
    {0},
};

const ap_command ap_command_review = {
    .name = "review",
    .group = "MONTH",
    .summary = "write the safety officer's review of a month",
    .usage = "--month YYYY-MM --out FOLDER",
    .about = "One self-contained review.html with its figures inside, the same as review.md, and the figures as SVG. "
             "The first\n"
             "page stands on its own. People appear by role or code unless --names.",
    .example = "afterpick --book demo/demo.book review --month 2026-10 --out demo/review",
    .options = options,
    .run = run,
};
