#include <sys/stat.h>

#include "book/integrity.h"
#include "cli/commands.h"
#include "report/check_page.h"
#include "stats/stats_version.h"
#include "text/text_versions.h"

enum { SAYS_MAX = 1 << 16 };

static void read_versions(ap_check *check, ap_cli *cli) {
    char pcre2[AP_VERSION_SIZE];
    ap_text_version_pcre2(pcre2);
    const struct {
        const char *name;
        const char *version;
    } all[AP_CHECK_VERSIONS] = {
        {"afterpick", AP_VERSION},       {"SQLite", ap_book_sqlite_version()}, {"PCRE2", pcre2},
        {"GSL", ap_stats_version_gsl()}, {"libzip", ap_text_version_libzip()}, {"expat", ap_text_version_expat()},
    };
    for (size_t i = 0; i < AP_CHECK_VERSIONS; i++) {
        check->versions[i].name = all[i].name;
        check->versions[i].version = ap_arena_str(&cli->arena, ap_str_from(all[i].version));
    }
}

static void add_right(ap_check *check, ap_str says) {
    if (check->rights_count < AP_CHECK_NOTES_MAX) {
        check->rights[check->rights_count++] = says;
    }
}

/* Anybody who may write the book, or put another file in its place, may change what it says. */
static void look_at_rights(ap_check *check, ap_cli *cli) {
    const char *path = ap_book_path(cli->book);
    struct stat info;
    if (stat(path, &info) == 0 && (info.st_mode & S_IWOTH)) {
        add_right(check, ap_arena_printf(&cli->arena, "everybody on this machine may write '%s': chmod o-w", path));
    }
    ap_str folder = ap_str_from(path);
    while (folder.len > 0 && folder.ptr[folder.len - 1] != '/') {
        folder.len--;
    }
    const char *name = folder.len ? ap_arena_cstr(&cli->arena, folder) : ".";
    if (name && stat(name, &info) == 0 && (info.st_mode & S_IWOTH) && !(info.st_mode & S_ISVTX)) {
        add_right(check, ap_arena_printf(&cli->arena,
                                         "everybody on this machine may write in '%s', where the book lies: "
                                         "chmod o-w",
                                         name));
    }
}

static ap_status read_damages(ap_check *check, ap_cli *cli, ap_error *err) {
    ap_buf says;
    ap_buf_init(&says, SAYS_MAX);
    ap_status status = ap_book_check_integrity(&check->damages, &says, cli->book, err);
    check->damage_says = ap_arena_str(&cli->arena, ap_buf_str(&says));
    ap_buf_release(&says);
    return status;
}

static ap_status read_content(ap_check *check, ap_cli *cli, ap_error *err) {
    const ap_problem_filter all = {.period = {AP_DATE_NONE, AP_DATE_NONE}};
    ap_status status = ap_book_source_counts(&check->counts, cli->book, err);
    if (status == AP_OK) {
        status = ap_problems_read(&check->problems, &cli->arena, cli->book, &all, err);
    }
    if (status == AP_OK) {
        status = ap_upkeep_read(&check->upkeep, &cli->arena, cli->book, err);
    }
    if (status == AP_OK) {
        status = ap_kept_facts_check(&check->kept, &cli->arena, cli->book, err);
    }
    return status == AP_OK ? ap_copies_check(&check->copies, &cli->arena, cli->book, err) : status;
}

static ap_status write_check(ap_cli *cli, const ap_check *check, ap_error *err) {
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_check_json(&json, check);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Check", AP_STR_NONE);
    if (cli->format == AP_CLI_CSV) {
        ap_check_table(doc, check);
    } else {
        ap_check_page(doc, check);
    }
    return ap_cli_write(cli, doc, err);
}

static ap_status run(ap_cli *cli, ap_error *err) {
    static ap_check check; /* large */
    ap_status status = ap_cli_need_words(cli, 0, 0, "nothing", err);
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_READ, err);
    }
    if (status == AP_OK) {
        check.book = ap_str_from(ap_book_path(cli->book));
        check.version = ap_book_version(cli->book);
        read_versions(&check, cli);
        look_at_rights(&check, cli);
        status = read_damages(&check, cli, err);
    }
    if (status == AP_OK && !check.damages) {
        status = read_content(&check, cli, err);
    }
    if (status == AP_OK) {
        status = ap_gnuplot_check(&check.gnuplot, &cli->arena, err);
    }
    if (status == AP_OK) {
        cli->attention = ap_check_needs_person(&check);
        status = write_check(cli, &check, err);
    }
    if (status == AP_OK && check.damages) {
        return ap_error_set(err, AP_E_BOOK,
                            "'%s' is damaged; keep a copy of it as it is, then go back to the last good backup and "
                            "import the logs since then",
                            ap_book_path(cli->book));
    }
    return status;
}

static const ap_cli_option options[] = {{0}};

const ap_command ap_command_check = {
    .name = "check",
    .group = "KEEP",
    .summary = "is the book whole, what waits for a person, how well are the logs kept",
    .usage = "",
    .about =
        "Reads the whole book and every copy of a log. Exit code 1 when something needs a person: rows set aside,\n"
        "conflicts, copies of logs lost or changed, a book that everybody may write, no gnuplot. Exit code 3 when the\n"
        "book is damaged. Blank cells and weights that look copied are told, not counted as trouble: they can not\n"
        "be mended afterwards.",
    .example = "afterpick --book demo/demo.book check",
    .options = options,
    .run = run,
};
