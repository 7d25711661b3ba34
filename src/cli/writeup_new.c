/* writeup new: a file from the picks it is about. */
#include <inttypes.h>
#include <sys/stat.h>

#include "book/findings.h"
#include "cli/writeup.h"
#include "intake/told_pick.h"

/* Which book's write-up it is, beside its number: from the book's file, the day and the picks. */
static ap_str make_token(ap_cli *cli, const ap_writeup_work *work) {
    uint64_t hash = ap_str_hash(ap_str_from(ap_book_path(cli->book)));
    for (size_t i = 0; i < work->it.count; i++) {
        hash = (hash << 5 | hash >> 59) ^ ap_str_hash(work->picks[i].pick.name) ^ (uint64_t)work->picks[i].source.line;
        hash = (hash << 5 | hash >> 59) ^ ap_str_hash(work->picks[i].source.sha256);
    }
    return ap_arena_printf(&cli->arena, "%016" PRIx64, hash ^ (uint64_t)cli->today);
}

static const char *path_of(ap_cli *cli, const ap_writeup_work *work) {
    ap_str given = ap_cli_get(cli, "out");
    if (given.len) {
        return given.ptr;
    }
    ap_buf path;
    ap_buf_init(&path, 4096);
    ap_buf_append_cstr(&path, "near-miss-");
    ap_str name = work->picks[0].pick.name;
    for (size_t i = 0; i < name.len && i < 100; i++) {
        bool plain =
            (name.ptr[i] >= '0' && name.ptr[i] <= '9') || ((name.ptr[i] | 32) >= 'a' && (name.ptr[i] | 32) <= 'z');
        ap_buf_append_char(&path, plain ? name.ptr[i] : '-');
    }
    ap_buf_append_cstr(&path, ".md");
    const char *kept = ap_arena_cstr(&cli->arena, ap_buf_str(&path));
    ap_buf_release(&path);
    return kept;
}

static ap_status compose(ap_buf *out, ap_cli *cli, ap_writeup_work *work, const ap_writeup_header *header, ap_str title,
                         ap_error *err) {
    ap_str parts[AP_WRITEUP_PART_COUNT];
    ap_status status = ap_writeup_parts(parts, &work->it, err);
    (void)cli;
    return status == AP_OK ? ap_writeup_compose(out, header, title, parts, err) : status;
}

/* Opens it in the book and keeps the text as revision 1. */
static ap_status open_writeup(ap_writeup_header *header, ap_buf *text, ap_cli *cli, ap_writeup_work *work, ap_str told,
                              ap_error *err) {
    const ap_book_author author = ap_cli_author(cli);
    ap_writeup_new fresh = {.title = ap_writeup_title(&work->it), .token = header->token, .told = told};
    for (size_t i = 0; i < work->it.count; i++) {
        fresh.picks[i] = work->picks[i].pick.name;
        fresh.ids[i] = work->picks[i].pick.id;
        header->picks = ap_arena_printf(&cli->arena, "%.*s%s%.*s", AP_STR_ARG(header->picks), i ? ", " : "",
                                        AP_STR_ARG(work->picks[i].pick.name));
    }
    fresh.pick_count = work->it.count;
    ap_status status = ap_book_writeup_open(&header->id, cli->book, &fresh, &author, err);
    if (status == AP_OK) {
        status = compose(text, cli, work, header, fresh.title, err);
    }
    if (status == AP_OK) {
        status =
            ap_book_writeup_keep(&header->revision, cli->book, header->id, ap_buf_str(text), AP_STR_NONE, &author, err);
    }
    return status;
}

static ap_status refuse_existing(const char *path, ap_error *err) {
    struct stat info;
    if (stat(path, &info) == 0) {
        return ap_error_set(err, AP_E_INPUT, "'%s' is there already: name another file with --out, or move it away",
                            path);
    }
    return AP_OK;
}

static ap_status add_name(ap_str *names, size_t *count, ap_str name, ap_error *err) {
    if (*count == AP_WRITEUP_PICKS_MAX) {
        return ap_error_set(err, AP_E_USAGE, "a write-up is about at most %d picks", (int)AP_WRITEUP_PICKS_MAX);
    }
    for (size_t k = 0; k < *count; k++) {
        if (ap_str_equal(names[k], name)) {
            return ap_error_set(err, AP_E_USAGE, "'%.*s' is named twice", AP_STR_ARG(name));
        }
    }
    names[(*count)++] = name;
    return AP_OK;
}

/* --finding N: the picks it rests on, the first ones of a long one. */
static ap_status picks_of_finding(ap_str *names, size_t *count, int64_t *finding, ap_cli *cli, ap_error *err) {
    ap_finding_row row;
    ap_finding_pick *picks = NULL;
    size_t found = 0;
    ap_str text = ap_cli_get(cli, "finding");
    if (!ap_str_to_int64(finding, text) || *finding <= 0) {
        return ap_error_set(err, AP_E_USAGE, "--finding '%.*s' is not the number of a finding", AP_STR_ARG(text));
    }
    ap_status status = ap_book_finding_get(&row, &cli->arena, cli->book, *finding, err);
    if (status == AP_OK) {
        status = ap_book_finding_picks(&picks, &found, &cli->arena, cli->book, *finding, err);
    }
    for (size_t i = 0; status == AP_OK && i < found && *count < AP_WRITEUP_PICKS_MAX; i++) {
        if (picks[i].there) {
            status = add_name(names, count, picks[i].name, err);
        }
    }
    if (status == AP_OK && *count == 0) {
        status =
            ap_error_set(err, AP_E_NOT_FOUND, "the picks of finding %" PRId64 " are no longer in the book", *finding);
    }
    return status;
}

/* The answers of a pick in no log, from a file or asked for here. */
static ap_status read_told(ap_str *out, ap_cli *cli, ap_error *err) {
    ap_buf answers;
    ap_str path = ap_cli_get(cli, "answers");
    ap_status status;
    if (path.len) {
        status = ap_file_read(&answers, path.ptr, AP_TOLD_TEXT_MAX, err);
    } else {
        ap_buf_init(&answers, AP_TOLD_TEXT_MAX);
        status = ap_writeup_ask(&answers, cli, err);
    }
    *out = ap_arena_str(&cli->arena, ap_buf_str(&answers));
    ap_buf_release(&answers);
    return status == AP_OK ? ap_arena_check(&cli->arena, "the answers", err) : status;
}

static ap_status read_picks(ap_writeup_work *work, int64_t *finding, ap_str *told, ap_cli *cli, ap_error *err) {
    ap_str names[AP_WRITEUP_PICKS_MAX];
    size_t count = 0;
    ap_status status = AP_OK;
    bool is_told = cli->word_count == 1 && !ap_cli_has(cli, "finding");
    if (is_told && (ap_cli_has(cli, "answers") || ap_cli_has(cli, "ask"))) {
        status = read_told(told, cli, err);
        return status == AP_OK ? ap_writeup_work_tell(work, cli, *told, err) : status;
    }
    for (size_t i = 1; status == AP_OK && i < cli->word_count; i++) {
        status = add_name(names, &count, ap_str_from(cli->words[i]), err);
    }
    if (status == AP_OK && ap_cli_has(cli, "finding")) {
        status = picks_of_finding(names, &count, finding, cli, err);
    }
    if (status == AP_OK && count == 0) {
        status = ap_error_set(
            err, AP_E_USAGE,
            "say what it is about: 'afterpick writeup new PICK', --finding N, or --ask for a pick in no log");
    }
    return status == AP_OK ? ap_writeup_work_read(work, cli, names, count, err) : status;
}

static ap_status take_up(ap_cli *cli, int64_t writeup, int64_t finding, ap_error *err) {
    const ap_book_author author = ap_cli_author(cli);
    if (!finding) {
        return AP_OK;
    }
    ap_str why = ap_arena_printf(&cli->arena, "write-up %" PRId64, writeup);
    ap_status status = ap_book_writeup_take_up(cli->book, writeup, finding, err);
    return status == AP_OK ? ap_book_finding_set_state(cli->book, finding, AP_STR_LIT("written up"), why, &author, err)
                           : status;
}

ap_status ap_writeup_new_run(ap_cli *cli, ap_error *err) {
    ap_writeup_work work = {0};
    ap_writeup_header header = {.revision = 1, .opened = cli->today};
    int64_t finding = 0;
    ap_str told = AP_STR_NONE;
    const char *path = NULL;
    ap_buf text;
    ap_buf_init(&text, AP_WRITEUP_TEXT_MAX);
    ap_status status = ap_cli_open(cli, AP_BOOK_WRITE, err);
    if (status == AP_OK) {
        status = read_picks(&work, &finding, &told, cli, err);
    }
    if (status == AP_OK) {
        path = path_of(cli, &work);
        header.token = make_token(cli, &work);
        status = refuse_existing(path, err);
    }
    if (status == AP_OK) {
        status = ap_book_begin(cli->book, err);
    }
    if (status == AP_OK) {
        status = open_writeup(&header, &text, cli, &work, told, err);
        if (status == AP_OK) {
            status = take_up(cli, header.id, finding, err);
        }
        status = ap_book_end(cli->book, status, err);
    }
    if (status == AP_OK) {
        status = ap_file_write(path, ap_buf_str(&text), err);
        if (status != AP_OK) {
            status = ap_error_wrap(err, status,
                                   "write-up %" PRId64 " is in the book, its file is not: "
                                   "'afterpick writeup show %" PRId64 " > FILE' makes it",
                                   header.id, header.id);
        }
    }
    if (status == AP_OK && !cli->quiet) {
        if (ap_writeup_is_harm(&work.it)) {
            ap_cli_say(cli, cli->out,
                       "INJURY OR DAMAGE IS NOTED: this is not a near miss. Care for people, keep the scene, report: "
                       "the duties come first and stand on top of the file.\n");
        }
        ap_cli_say(cli, cli->out, "write-up %" PRId64 ": %s\nwrite in it, then 'afterpick writeup keep %s'\n",
                   header.id, path, path);
    }
    ap_writeup_work_release(&work);
    ap_buf_release(&text);
    return status;
}
