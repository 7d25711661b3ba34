/* writeup render: the file as a page that prints on two or three sheets. */
#include <sys/stat.h>

#include "cli/writeup.h"
#include "derive/person.h"
#include "followup/redact.h"
#include "page/markup.h"
#include "report/pick_figure.h"

enum { PAGE_MAX = 64 << 20, NAMES_MAX = 4096 };

/* "near-miss.md" -> "near-miss.html" beside it. */
static const char *page_path(ap_cli *cli, const char *path) {
    ap_str given = ap_cli_get(cli, "out");
    if (given.len) {
        return given.ptr;
    }
    size_t len = strlen(path);
    bool markdown = len > 3 && strcmp(path + len - 3, ".md") == 0;
    return ap_arena_printf(&cli->arena, "%.*s.html", (int)(markdown ? len - 3 : len), path).ptr;
}

static void add_name(ap_str *names, size_t *count, ap_str name) {
    name = ap_str_trim(name);
    if (name.len && *count < NAMES_MAX) {
        names[(*count)++] = name;
    }
}

static void add_person(ap_str *names, size_t *count, ap_str name) {
    add_name(names, count, name);
    if (!ap_person_is_code(ap_str_trim(name))) {
        *count += ap_redact_words(names + *count, NAMES_MAX - *count, name);
    }
}

/* "Ferry Road 27" and "Ferry Road" */
static void add_site(ap_str *names, size_t *count, ap_str site) {
    add_name(names, count, site);
    while (site.len && strchr("0123456789 ,.#()", site.ptr[site.len - 1])) {
        site.len--;
    }
    if (site.len >= 3) {
        add_name(names, count, site);
    }
}

/* Site, crane, people and company of the picks, and every person, crew and crane the book knows by name. */
static size_t collect_names(ap_str *names, const ap_cli *cli, const ap_writeup_work *work) {
    static const ap_by known[] = {AP_BY_CRANE, AP_BY_CREW};
    size_t count = 0;
    add_name(names, &count, ap_str_from(cli->settings.company));
    for (size_t i = 0; i < work->it.count; i++) {
        const ap_pick *pick = &work->picks[i].pick;
        add_site(names, &count, pick->site);
        add_name(names, &count, pick->crane);
        add_name(names, &count, pick->crew);
        add_person(names, &count, pick->estimator);
        add_person(names, &count, pick->climber);
        add_person(names, &count, pick->operator_name);
    }
    for (uint32_t i = 1; i <= ap_intern_count(work->roster.people); i++) {
        add_person(names, &count, ap_intern_get(work->roster.people, i));
    }
    for (size_t k = 0; k < sizeof known / sizeof *known; k++) {
        for (uint32_t i = 1; i <= ap_intern_count(work->roster.labels[known[k]]); i++) {
            add_name(names, &count, ap_intern_get(work->roster.labels[known[k]], i));
        }
    }
    return count;
}

static ap_status redact(ap_buf *out, ap_cli *cli, const ap_writeup_work *work, ap_str text, ap_error *err) {
    ap_str *names = ap_arena_alloc_array(&cli->arena, NAMES_MAX, sizeof *names);
    if (!names) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the names to leave out");
    }
    size_t taken = ap_redact(out, text, names, NULL, collect_names(names, cli, work));
    if (!cli->quiet) {
        ap_cli_say(cli, cli->out,
                   "left out: site, crane, people, company and notes, %zu time%s in what people wrote. A name the "
                   "book does not "
                   "know may still stand there: read it before it leaves the house.\n",
                   taken, taken == 1 ? "" : "s");
    }
    return ap_buf_check(out, "the page", err);
}

/* One drawing a pick, named as the text names it. */
static ap_status draw(ap_markup_figure *figures, ap_cli *cli, const ap_writeup_work *work, ap_error *err) {
    const ap_figure *drawn[AP_WRITEUP_PICKS_MAX];
    ap_str trouble = AP_STR_NONE;
    ap_figure_set *set = ap_figure_set_new(&cli->arena, AP_FIGURE_SVG);
    ap_figure_set_narrow(set);
    for (size_t i = 0; set && i < work->it.count; i++) {
        char id[AP_WRITEUP_FIGURE_ID_SIZE];
        const ap_recon_view view = {.pick = &work->picks[i].pick, .recon = &work->picks[i].recon};
        ap_writeup_figure_id(id, i);
        drawn[i] = ap_pick_figure(set, work->it.units, id, &view);
    }
    ap_status status = set ? ap_figure_set_draw(&trouble, set, ap_cli_figure_time_ms(cli), err)
                           : ap_error_set(err, AP_E_MEMORY, "out of memory for the drawing");
    for (size_t i = 0; status == AP_OK && i < work->it.count; i++) {
        ap_str id = ap_figure_id(drawn[i]);
        figures[i] = (ap_markup_figure){.href = ap_arena_printf(&cli->arena, "figures/%.*s.svg", AP_STR_ARG(id)),
                                        .title = ap_figure_title(drawn[i]),
                                        .description = ap_figure_description(drawn[i]),
                                        .svg = ap_figure_page(drawn[i]),
                                        .missing = ap_figure_missing(drawn[i])};
    }
    if (status == AP_OK && trouble.len) {
        cli->machine_trouble = true;
        ap_sink_printf(cli->notes, "afterpick: figures: %.*s; the page is written without them\n", AP_STR_ARG(trouble));
    }
    return status;
}

static ap_status write_page(ap_cli *cli, const ap_writeup_file *file, const ap_writeup_work *work, ap_str markdown,
                            const char *path, ap_error *err) {
    ap_markup_figure figures[AP_WRITEUP_PICKS_MAX];
    char today[AP_ISO_SIZE];
    ap_buf page;
    ap_buf_init(&page, PAGE_MAX);
    ap_sink sink = ap_sink_to_buf(&page);
    ap_date_to_iso(today, cli->today);
    /* The heading of the text is the title; the book's own may hold a name. */
    const ap_doc_head head = {.title = work->it.redacted ? AP_STR_LIT("Near miss") : file->writeup.title,
                              .subtitle = work->it.redacted ? AP_STR_NONE : ap_str_from(cli->settings.company),
                              .period =
                                  ap_arena_printf(&cli->arena, "write-up %lld, revision %lld",
                                                  (long long)file->writeup.id, (long long)file->text.header.revision),
                              .version = AP_STR_LIT(AP_VERSION),
                              .made_on = ap_str_from(today),
                              .units = ap_cli_units(cli)};
    ap_status status = draw(figures, cli, work, err);
    if (status == AP_OK) {
        status = ap_page_write_markup(&sink, &head, markdown, figures, work->it.count, err);
    }
    if (status == AP_OK) {
        status = ap_file_write(path, ap_buf_str(&page), err);
    }
    ap_buf_release(&page);
    return status;
}

/* The text without its header, the program's parts as they stand in the file; redacted: made anew without names. */
static ap_status text_to_show(ap_buf *out, ap_cli *cli, const ap_writeup_file *file, ap_writeup_work *work,
                              bool redacted, ap_error *err) {
    ap_str parts[AP_WRITEUP_PART_COUNT];
    ap_writeup_refreshed state[AP_WRITEUP_PART_COUNT];
    ap_writeup_text fresh;
    ap_buf text;
    if (!redacted) {
        ap_buf_append(out, file->text.text.ptr + file->text.header_end, file->text.text.len - file->text.header_end);
        return ap_buf_check(out, "the page", err);
    }
    ap_buf_init(&text, AP_WRITEUP_TEXT_MAX);
    ap_status status = ap_writeup_parts(parts, &work->it, err);
    if (status == AP_OK) {
        status = ap_writeup_refresh(&text, state, &file->text, parts, file->text.header.revision, err);
    }
    if (status == AP_OK) {
        status = ap_writeup_parse(&fresh, ap_buf_str(&text), err);
    }
    if (status == AP_OK) {
        ap_str body = {fresh.text.ptr + fresh.header_end, fresh.text.len - fresh.header_end};
        status = redact(out, cli, work, body, err);
    }
    ap_buf_release(&text);
    return status;
}

static bool is_same_file(const char *a, const char *b) {
    struct stat one;
    struct stat other;
    return stat(a, &one) == 0 && stat(b, &other) == 0 && one.st_dev == other.st_dev && one.st_ino == other.st_ino;
}

/* A page never takes the place of the words it is made of. */
static ap_status refuse_own(const ap_cli *cli, const char *file, const char *page, ap_error *err) {
    if (page && (is_same_file(page, file) || is_same_file(page, ap_book_path(cli->book)))) {
        return ap_error_set(err, AP_E_USAGE,
                            "'%s' is the write-up or the book itself: name another file for the page with --out", page);
    }
    return page ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the page's name");
}

ap_status ap_writeup_render_run(ap_cli *cli, ap_error *err) {
    ap_writeup_file file = {0};
    ap_writeup_work work = {0};
    bool redacted = ap_cli_has(cli, "redacted");
    const char *path = page_path(cli, cli->words[1]);
    ap_buf markdown;
    ap_buf_init(&markdown, 2 * AP_WRITEUP_TEXT_MAX);
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    if (status == AP_OK) {
        status = ap_writeup_file_read(&file, cli, cli->words[1], err);
    }
    if (status == AP_OK) {
        status = refuse_own(cli, file.path, path, err);
    }
    if (status == AP_OK) {
        work.it.redacted = redacted;
        status = ap_writeup_work_open(&work, cli, &file.writeup, err);
        if (status == AP_E_NOT_FOUND && !redacted) { /* its import was undone, say: the words are still there */
            ap_sink_printf(cli->notes, "afterpick: %s: the page is the text as it stands, without drawings\n",
                           err->text);
            work.it.count = 0;
            cli->attention = true;
            status = AP_OK;
        } else if (status == AP_E_NOT_FOUND) {
            status = ap_error_wrap(err, status, "what to leave out cannot be known");
        }
    }
    if (status == AP_OK) {
        status = text_to_show(&markdown, cli, &file, &work, redacted, err);
    }
    if (status == AP_OK) {
        status = write_page(cli, &file, &work, ap_buf_str(&markdown), path, err);
    }
    if (status == AP_OK && !cli->quiet) {
        ap_cli_say_path(cli, path);
    }
    ap_writeup_work_release(&work);
    ap_buf_release(&file.bytes);
    ap_buf_release(&markdown);
    return status;
}
