#include <errno.h>
#include <sys/stat.h>

#include "base/draft.h"
#include "book/merge_amendments.h"
#include "book/stranger.h"
#include "cli/commands.h"
#include "cli/import_work.h"
#include "cli/merge_log.h"
#include "report/problems_page.h"

typedef struct merge_work {
    ap_cli *cli;
    const char *path; /* of the other book */
    ap_book *other;
    ap_merged merged;
} merge_work;

static ap_status refuse_itself(const ap_cli *cli, const char *path, ap_error *err) {
    struct stat here;
    struct stat there;
    if (stat(ap_book_path(cli->book), &here) == 0 && stat(path, &there) == 0 && here.st_dev == there.st_dev &&
        here.st_ino == there.st_ino) {
        return ap_error_set(err, AP_E_USAGE, "'%s' is the book itself: name the other one", path);
    }
    return AP_OK;
}

static ap_status count_left(merge_work *it, ap_error *err) {
    const ap_problem_filter all = {.period = {AP_DATE_NONE, AP_DATE_NONE}};
    ap_problems left;
    const ap_status status = ap_problems_read(&left, &it->cli->arena, it->other, &all, err);
    if (status == AP_OK) {
        it->merged.left_aside = (int64_t)left.rows_open;
        it->merged.left_conflicts = (int64_t)left.conflicts_open;
    }
    return status;
}

static ap_status carry_amendments(void *context, ap_error *err) {
    merge_work *it = context;
    return ap_book_merge_amendments(&it->merged.amendments, it->cli->book, it->other, it->merged.book, err);
}

/* The other book as a log, in a file without a name of its own: the import reads it and keeps its copy. */
static ap_status write_log(merge_work *it, ap_draft *draft, ap_error *err) {
    FILE *stream = NULL;
    ap_status status = ap_draft_stream(&stream, draft, err);
    if (status != AP_OK) {
        return status;
    }
    status = ap_book_begin_read(it->other, err);
    if (status == AP_OK) {
        status = ap_merge_log_write(stream, &it->merged, it->cli, it->other, err);
    }
    if (fclose(stream) != 0 && status == AP_OK) {
        status = ap_error_from_errno(err, errno, "write", draft->given);
    }
    return status;
}

static ap_status import_log(merge_work *it, const char *log, ap_error *err) {
    ap_cli *cli = it->cli;
    ap_intake_result result;
    ap_import_work work = {.paths = &log,
                           .count = 1,
                           .title = "Merge",
                           .also = carry_amendments,
                           .also_context = it,
                           .merged = &it->merged,
                           .options = {.author = ap_cli_author(cli),
                                       .own_columns = true,
                                       .shown = it->path,
                                       .dry_run = ap_cli_has(cli, "dry-run"),
                                       .rejects = ap_cli_get(cli, "rejects").ptr}};
    ap_intake_result_init(&result);
    const ap_status status = ap_cli_import(&result, cli, &work, err);
    if (result.file_count && result.files[0].outcome == AP_INTAKE_READ) {
        cli->attention = cli->attention || ap_merged_wants_person(&it->merged);
    }
    ap_intake_result_release(&result);
    return status;
}

static ap_status merge(merge_work *it, ap_error *err) {
    const ap_str beside = ap_arena_printf(&it->cli->arena, "%s-merge", ap_book_path(it->cli->book));
    ap_draft draft;
    it->merged.book = ap_str_from(ap_file_name(it->path));
    ap_status status = ap_arena_check(&it->cli->arena, "the merge", err);
    if (status == AP_OK) {
        status = ap_draft_open(&draft, beside.ptr, err);
    }
    if (status != AP_OK) {
        return status;
    }
    status = write_log(it, &draft, err);
    if (status == AP_OK && it->merged.picks == 0) {
        status = ap_error_set(err, AP_E_INPUT, "'%s' holds no pick: nothing was taken", it->path);
    }
    if (status == AP_OK) {
        status = count_left(it, err);
    }
    if (status == AP_OK) {
        status = import_log(it, draft.path, err);
    }
    ap_draft_drop(&draft);
    return status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    merge_work it = {.cli = cli};
    ap_status status = ap_cli_need_words(cli, 1, 1, "one other book", err);
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_WRITE, err);
    }
    if (status == AP_OK) {
        it.path = cli->words[0];
        status = refuse_itself(cli, it.path, err);
    }
    if (status == AP_OK) {
        status = ap_book_open_stranger(&it.other, it.path, err);
    }
    if (status == AP_OK) {
        status = merge(&it, err);
    }
    ap_book_close(it.other);
    return status;
}

static const ap_cli_option options[] = {
    {"rejects", "FILE", "write the rows set aside here, the reason in front; mend and import it"},
    {"dry-run", NULL, "read and judge everything, keep nothing"},
    {0},
};

const ap_command ap_command_merge = {
    .name = "merge",
    .group = "KEEP",
    .summary = "takes in the picks of another crew's book, as one import",
    .usage = "OTHER.book [--rejects FILE] [--dry-run]",
    .about =
        "A pick that both books have counts once; with other values it waits in 'problems' as a conflict. Amendments\n"
        "made there come with their picks, day, role and reason, and say which book they are from. What a blank cell\n"
        "means by the settings and cranes there is written into it where it means something else here. 'undo' takes\n"
        "the import out whole. Not taken: settings, cranes, slings, species, rows set aside, conflicts, findings,\n"
        "write-ups, actions, rules.\n"
        "The other book is read and never written. It is refused when it is damaged or holds tables that this\n"
        "program did not make.",
    .example = "afterpick --book demo/demo.book merge north.book",
    .options = options,
    .run = run,
};
