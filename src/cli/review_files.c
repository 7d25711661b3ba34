#include "cli/review_files.h"

#include "cli/page_folder.h"
#include "cli/whole_pick.h"
#include "report/crane_page.h"
#include "report/finding_page.h"
#include "report/pick_figure.h"

/* Pages of picks are made so many at a time: their facts are held together, and one gnuplot draws them. One that had trouble
 * before is not waited for as long again, forty times over. */
enum { PAGE_MAX = 64 << 20, AT_A_TIME = 50, PICKS_ARENA = 256 << 20, AGAIN_LEAST_MS = 1000 };

static ap_status render(ap_buf *page, const char *name, const ap_doc *doc, ap_page_writer write, ap_error *err) {
    ap_buf_init(page, PAGE_MAX);
    ap_sink sink = ap_sink_to_buf(page);
    ap_status status = write(&sink, doc, err);
    return status == AP_OK ? ap_sink_check(&sink, name, err) : status;
}

ap_status ap_review_write(ap_review_files *files, ap_cli *cli, const char *folder, const char *key, const char *name,
                          const ap_doc *doc, ap_page_writer write, ap_error *err) {
    ap_buf page;
    ap_status status = render(&page, name, doc, write, err);
    if (status == AP_OK) {
        ap_str path = ap_arena_printf(&cli->arena, "%s/%s", folder, name);
        status =
            path.ptr ? ap_file_write(path.ptr, ap_buf_str(&page), err) : ap_arena_check(&cli->arena, "a path", err);
    }
    ap_buf_release(&page);
    if (status == AP_OK && files->count < AP_REVIEW_FILES_MOST) {
        files->key[files->count] = key;
        files->name[files->count++] = name;
    }
    return status;
}

ap_status ap_review_choose_picks(ap_pick_book *book, ap_cli *cli, const ap_review *review, ap_error *err) {
    ap_writeup *writeups = NULL;
    size_t count = 0;
    ap_status status = ap_book_writeups(&writeups, &count, &cli->arena, cli->book, err);
    return status == AP_OK ? ap_pick_book_choose(book, review, writeups, count, err) : status;
}

typedef struct job {
    ap_cli *cli;
    const ap_pick_book *book;
    ap_page_folder *pages;
    ap_str period;
    ap_crane_list cranes;
} job;

/* Pages live in an arena of their own, released behind them: thousands together would fill the command's. */
static ap_status apart(const job *work, ap_status (*write)(const job *, size_t, ap_error *), size_t at, ap_error *err) {
    const ap_arena kept = work->cli->arena;
    ap_arena_init(&work->cli->arena, PICKS_ARENA);
    ap_status status = write(work, at, err);
    ap_arena_release(&work->cli->arena);
    work->cli->arena = kept;
    return status;
}

/* A page of the book: linked, under the review's period. NULL when memory is out. */
static ap_doc *begin(const job *work, ap_str title) {
    ap_doc *doc = ap_cli_doc(work->cli, title.ptr ? title.ptr : "", work->period);
    if (doc) {
        ap_pick_book_link(doc, work->book, "");
    }
    return doc;
}

static ap_status end(const job *work, const ap_doc *doc, ap_str name, ap_error *err) {
    ap_buf page;
    ap_status status = render(&page, name.ptr, doc, ap_page_write_html, err);
    if (status == AP_OK) {
        status = ap_page_folder_write(work->pages, name.ptr, ap_buf_str(&page), err);
    }
    ap_buf_release(&page);
    return status;
}

static ap_status write_finding(const job *work, size_t at, ap_error *err) {
    ap_cli *cli = work->cli;
    const ap_review *r = work->book->review;
    int64_t number = r->findings.items[at].number;
    ap_finding_kept kept;
    ap_doc *doc = begin(work, ap_arena_printf(&cli->arena, "Finding %lld", (long long)number));
    ap_status status = ap_finding_kept_read(&kept, &cli->arena, cli->book, number, err);
    if (status == AP_OK && doc) {
        kept.picks_told = true;
        ap_finding_page(doc, &kept, &r->limits, &cli->settings);
        ap_picks_table(doc, "its-picks", "The picks it rests on", r->roster, r->findings.items[at].picks,
                       r->findings.items[at].pick_count);
        ap_doc_link(doc, AP_STR_LIT("All pages"), AP_STR_LIT("index.html"));
        status = end(work, doc, ap_arena_printf(&cli->arena, "finding-%lld.html", (long long)number), err);
    }
    return status;
}

static ap_status write_species(const job *work, size_t g, ap_error *err) {
    const ap_review *r = work->book->review;
    ap_doc *doc = begin(work, ap_roster_label(r->roster, AP_BY_SPECIES, r->species.groups[g].key[0]));
    if (doc) {
        ap_pick_book_species(doc, work->book, g);
    }
    return end(work, doc, work->book->species[g], err);
}

static ap_status write_crane(const job *work, size_t g, ap_error *err) {
    const ap_review *r = work->book->review;
    ap_cli *cli = work->cli;
    ap_entry_change *changes = NULL;
    size_t count = 0;
    ap_str name = ap_roster_label(r->roster, AP_BY_CRANE, r->cranes.groups[g].key[0]);
    ap_doc *doc = begin(work, ap_arena_printf(&cli->arena, "Crane %.*s", AP_STR_ARG(name)));
    const ap_crane_seen *crane = ap_crane_list_find(&work->cranes, name);
    if (crane) {
        ap_status status = ap_book_crane_history(&changes, &count, &cli->arena, cli->book, crane->name, err);
        if (status != AP_OK) {
            return status;
        }
        ap_crane_page(doc, crane, &cli->company, changes, count);
    }
    if (doc) {
        ap_doc_link(doc, AP_STR_LIT("All pages"), AP_STR_LIT("index.html"));
        ap_pick_book_crane(doc, work->book, g);
    }
    return end(work, doc, work->book->cranes[g], err);
}

static ap_status write_pick(const job *work, const ap_whole_pick *whole, size_t at, ap_error *err) {
    ap_doc *doc = begin(work, ap_arena_printf(&work->cli->arena, "Pick %.*s", AP_STR_ARG(whole->pick.name)));
    ap_pick_page(doc, whole);
    ap_pick_book_pick(doc, work->book, at);
    return end(work, doc, work->book->files[at], err);
}

static ap_status write_some_picks(const job *work, size_t first, ap_error *err) {
    const size_t left = work->book->count - first;
    const size_t count = left < AT_A_TIME ? left : AT_A_TIME;
    static ap_whole_pick whole[AT_A_TIME];
    ap_cli *cli = work->cli;
    const ap_roster *roster = work->book->review->roster;
    ap_str trouble = AP_STR_NONE;
    ap_status status = AP_OK;
    ap_figure_set *set = ap_figure_set_new(&cli->arena, AP_FIGURE_SVG);
    ap_figure_set_narrow(set);
    for (size_t i = 0; status == AP_OK && i < count; i++) {
        char id[32];
        const char *name = roster->facts[work->book->picks[first + i]].rest->name;
        whole[i] = (ap_whole_pick){.settings = &cli->settings, .names = cli->names, .roster = roster};
        status = ap_cli_read_whole(&whole[i], cli, ap_str_from(name), err);
        if (status == AP_OK && set) {
            snprintf(id, sizeof id, "side-%zu", first + i + 1);
            const ap_recon_view view = {.pick = &whole[i].pick, .recon = &whole[i].recon};
            whole[i].drawing = ap_pick_figure(set, ap_cli_units(cli), id, &view);
        }
    }
    if (status == AP_OK && set) {
        int time_ms = ap_cli_figure_time_ms(cli);
        int again_ms = time_ms / 10 > AGAIN_LEAST_MS ? time_ms / 10 : AGAIN_LEAST_MS;
        status = ap_figure_set_draw(&trouble, set, cli->machine_trouble ? again_ms : time_ms, err);
    }
    if (status == AP_OK && trouble.len && !cli->machine_trouble) {
        cli->machine_trouble = true;
        ap_sink_printf(cli->notes, "afterpick: figures: %.*s; the pages are written without them\n",
                       AP_STR_ARG(trouble));
    }
    for (size_t i = 0; status == AP_OK && i < count; i++) {
        status = write_pick(work, &whole[i], first + i, err);
    }
    return status;
}

static ap_status write_index(const job *work, ap_error *err) {
    ap_doc *doc = begin(work, ap_arena_printf(&work->cli->arena, "Book of picks, %.*s", AP_STR_ARG(work->period)));
    ap_pick_book_index(doc, work->book);
    return end(work, doc, AP_STR_LIT("index.html"), err);
}

static ap_status write_pages(const job *work, ap_error *err) {
    const ap_pick_book *book = work->book;
    ap_status status = write_index(work, err);
    for (size_t f = 0; status == AP_OK && f < book->review->findings.count; f++) {
        if (book->review->findings.items[f].number) {
            status = apart(work, write_finding, f, err);
        }
    }
    for (size_t g = 0; status == AP_OK && g < book->species_count; g++) {
        status = book->species[g].ptr ? apart(work, write_species, g, err) : AP_OK;
    }
    for (size_t g = 0; status == AP_OK && g < book->crane_count; g++) {
        status = book->cranes[g].ptr ? apart(work, write_crane, g, err) : AP_OK;
    }
    for (size_t first = 0; status == AP_OK && first < book->count; first += AT_A_TIME) {
        status = apart(work, write_some_picks, first, err);
    }
    return status;
}

ap_status ap_review_write_book(ap_review_files *files, ap_cli *cli, const ap_pick_book *book, const char *folder,
                               ap_error *err) {
    const ap_review *r = book->review;
    const char *path = ap_arena_printf(&cli->arena, "%s/book", folder).ptr;
    ap_page_folder pages;
    job work = {.cli = cli, .book = book, .pages = &pages, .period = ap_say_period(&cli->arena, r->period)};
    if (!path) {
        return ap_arena_check(&cli->arena, "a path", err);
    }
    ap_status status = ap_page_folder_open(&pages, path, err);
    if (status == AP_OK) {
        status = ap_crane_list_read(&work.cranes, &cli->arena, cli->book, &cli->company, err);
    }
    if (status == AP_OK) {
        status = write_pages(&work, err);
    }
    status = ap_page_folder_close(&pages, status, err);
    if (status == AP_OK) {
        files->key[files->count] = "book";
        files->name[files->count++] = "book/index.html";
        files->with_page = book->count;
        files->matter = book->matter;
        files->removed = pages.removed;
        files->left = pages.left;
    }
    return status;
}
