#include <sys/stat.h>

#include "book/book_copy.h"
#include "cli/commands.h"
#include "cli/out_file.h"

static bool ends_with(const char *text, const char *end) {
    const size_t len = strlen(text);
    const size_t end_len = strlen(end);
    return len >= end_len && strcmp(text + len - end_len, end) == 0;
}

/* SQLite keeps files of its own beside a book. Under such a name a copy would be taken for one of them; beside one that was left
 * there, for a book whose last change has to be taken back. */
static ap_status refuse_own_names(ap_cli *cli, const char *path, ap_error *err) {
    static const char *const ends[] = {"-journal", "-wal", "-shm"};
    struct stat info;
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        if (ends_with(path, ends[i])) {
            return ap_error_set(err, AP_E_USAGE,
                                "'%s' is a name that SQLite uses beside a book: choose one without '%s' at its end",
                                path, ends[i]);
        }
        const ap_str beside = ap_arena_printf(&cli->arena, "%s%s", path, ends[i]);
        if (beside.ptr && stat(beside.ptr, &info) == 0) {
            return ap_error_set(err, AP_E_USAGE,
                                "'%s' lies there, left by a book of the name '%s': choose another name for the backup",
                                beside.ptr, path);
        }
    }
    return ap_arena_check(&cli->arena, "the name of the backup", err);
}

static ap_status refuse_places(ap_cli *cli, const char *path, const struct stat *book, ap_error *err) {
    struct stat info;
    if (stat(path, &info) != 0) {
        return refuse_own_names(cli, path, err);
    }
    if (info.st_dev == book->st_dev && info.st_ino == book->st_ino) {
        return ap_error_set(err, AP_E_USAGE, "'%s' is the book itself: name another file for its backup", path);
    }
    if (S_ISDIR(info.st_mode)) {
        const char *name = ap_file_name(ap_book_path(cli->book));
        const size_t stem = strlen(name) - (ends_with(name, ".book") ? strlen(".book") : 0);
        char today[AP_ISO_SIZE];
        ap_date_to_iso(today, cli->today);
        return ap_error_set(err, AP_E_USAGE, "'%s' is a folder: name a file in it, such as '%s%s%.*s-%s.book'", path,
                            path, ends_with(path, "/") ? "" : "/", (int)stem, name, today);
    }
    return refuse_own_names(cli, path, err);
}

/* Copies of logs and attachments are files beside the book. */
static void tell_folders(ap_cli *cli, const char *path) {
    static const char *const ends[] = {"-logs", "-attachments"};
    for (size_t i = 0; i < sizeof ends / sizeof *ends && !cli->quiet; i++) {
        const ap_str folder = ap_arena_printf(&cli->arena, "%s%s", ap_book_path(cli->book), ends[i]);
        struct stat info;
        if (folder.ptr && stat(folder.ptr, &info) == 0) {
            ap_cli_say(cli, cli->notes, "not in it: the folder '%s'; copy it as '%s%s'\n", folder.ptr, path, ends[i]);
        }
    }
}

static void tell(ap_cli *cli, const char *path, const ap_book_copy *copy) {
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_json_object_begin(&json);
        ap_json_put_text(&json, "book", ap_str_from(ap_book_path(cli->book)));
        ap_json_put_text(&json, "file", ap_str_from(path));
        ap_json_put_int(&json, "bytes", copy->bytes);
        ap_json_put_int(&json, "pages", copy->pages);
        ap_json_put_int(&json, "picks", copy->picks);
        ap_json_put_int(&json, "version", copy->version);
        ap_json_object_end(&json);
        ap_cli_json_end(cli);
    } else if (!cli->quiet) {
        ap_cli_say(cli, cli->out, "%s: %lld pick%s, %.*f MB, read back and whole\n", path, (long long)copy->picks,
                   copy->picks == 1 ? "" : "s", copy->bytes < 10000000 ? 1 : 0, (double)copy->bytes / 1e6);
    }
}

static ap_status write_copy(ap_cli *cli, const char *path, ap_error *err) {
    struct stat info;
    ap_draft draft;
    ap_book_copy copy;
    if (stat(ap_book_path(cli->book), &info) != 0) {
        return ap_error_set(err, AP_E_IO, "unable to read '%s'", ap_book_path(cli->book));
    }
    ap_status status = refuse_places(cli, path, &info, err);
    if (status == AP_OK) {
        status = ap_cli_draft_open(&draft, cli, path, err);
    }
    if (status != AP_OK) {
        return status;
    }
    draft.mode = info.st_mode & 0777; /* who may read the book may read its copy, and nobody else */
    status = ap_book_copy_to(&copy, cli->book, draft.path, path, err);
    status = ap_cli_draft_end(&draft, cli, status, err);
    if (status == AP_OK) {
        tell(cli, path, &copy);
        tell_folders(cli, path);
    }
    return status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    const char *book = NULL;
    ap_status status = ap_cli_need_words(cli, 1, 1, "one file for the copy", err);
    if (status == AP_OK) {
        status = ap_cli_find_book(&book, cli, err);
    }
    if (status == AP_OK) { /* whatever its version: a copy comes before bringing it up to date */
        status = ap_book_open(&cli->book, book, AP_BOOK_AS_IS, err);
    }
    return status == AP_OK ? write_copy(cli, cli->words[0], err) : status;
}

static const ap_cli_option options[] = {
    AP_CLI_REPLACE_OPTION,
    {0},
};

const ap_command ap_command_backup = {
    .name = "backup",
    .group = "KEEP",
    .summary = "a whole copy of the book, also while others write it",
    .usage = "FILE [--replace]",
    .about = "The copy is read back before it gets its name: SQLite's check of the file, its size, its picks. Without\n"
             "--replace no file is written over; who may read the book may read the copy.\n"
             "A backup is a book: look at one with 'afterpick --book FILE check', go back to it by putting it in the\n"
             "place of the damaged book. Copies of logs and attachments lie in folders beside the book and are to be\n"
             "copied with it.",
    .example = "afterpick --book demo/demo.book backup demo-2026-11.book",
    .options = options,
    .run = run,
};
