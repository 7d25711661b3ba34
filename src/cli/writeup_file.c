/* refresh, keep and render: a write-up's file against the book. */
#include <inttypes.h>

#include "cli/writeup.h"

static void tell_refreshed(ap_cli *cli, const ap_writeup_file *file, const ap_writeup_refreshed *state) {
    size_t updated = 0;
    for (int i = 0; i < AP_WRITEUP_PART_COUNT; i++) {
        const char *name = ap_writeup_part_name((ap_writeup_part)i);
        if (state[i] == AP_WRITEUP_UPDATED) {
            updated++;
            ap_cli_say(cli, cli->out, "part '%s' is new\n", name);
        } else if (state[i] == AP_WRITEUP_BY_HAND) {
            cli->attention = true;
            ap_cli_say(cli, cli->out,
                       "part '%s' (lines %zu to %zu) was edited by hand and is left as it is: put your words outside, "
                       "then take its lines out and refresh again\n",
                       name, file->text.part[i].first_line, file->text.part[i].last_line);
        }
    }
    if (updated == 0 && !cli->attention) {
        ap_cli_say(cli, cli->out, "nothing of the program's has changed\n");
    }
}

ap_status ap_writeup_refresh_run(ap_cli *cli, ap_error *err) {
    ap_writeup_file file = {0};
    ap_writeup_work work = {0};
    ap_str parts[AP_WRITEUP_PART_COUNT];
    ap_writeup_refreshed state[AP_WRITEUP_PART_COUNT];
    ap_buf out;
    ap_buf_init(&out, AP_WRITEUP_TEXT_MAX);
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    if (status == AP_OK) {
        status = ap_writeup_file_read(&file, cli, cli->words[1], err);
    }
    if (status == AP_OK) {
        status = ap_writeup_work_open(&work, cli, &file.writeup, err);
    }
    if (status == AP_E_NOT_FOUND && file.writeup.id) {
        status = ap_error_wrap(err, status, "'%s' stays as it is; keep and render still work", file.path);
    }
    if (status == AP_OK) {
        status = ap_writeup_parts(parts, &work.it, err);
    }
    if (status == AP_OK) {
        status = ap_writeup_refresh(&out, state, &file.text, parts, file.text.header.revision, err);
    }
    if (status == AP_OK && !ap_str_equal(ap_buf_str(&out), ap_buf_str(&file.bytes))) {
        status = ap_file_write(file.path, ap_buf_str(&out), err);
    }
    if (status == AP_OK && !cli->quiet) {
        tell_refreshed(cli, &file, state);
    }
    ap_writeup_work_release(&work);
    ap_buf_release(&file.bytes);
    ap_buf_release(&out);
    return status;
}

/* The file's text with another revision in its header; the program's parts stay. */
static ap_status with_revision(ap_buf *out, const ap_writeup_text *text, int64_t revision, ap_error *err) {
    const ap_str none[AP_WRITEUP_PART_COUNT] = {{0}};
    ap_writeup_refreshed state[AP_WRITEUP_PART_COUNT];
    return ap_writeup_refresh(out, state, text, none, revision, err);
}

static ap_status keep_revision(int64_t *revision, ap_cli *cli, const ap_writeup_file *file, ap_str text, ap_str why,
                               ap_error *err) {
    ap_writeup_text kept;
    const ap_book_author author = ap_cli_author(cli);
    ap_writeup settled = file->writeup;
    ap_status status = ap_book_writeup_keep(revision, cli->book, file->writeup.id, text, why, &author, err);
    if (status == AP_OK) {
        status = ap_writeup_parse(&kept, text, err);
    }
    if (status == AP_OK) {
        status = ap_writeup_settled(&settled, &cli->arena, &kept, err);
    }
    return status == AP_OK ? ap_book_writeup_settle(cli->book, &settled, err) : status;
}

/* Somebody else kept a text since this file was taken from the book. */
static ap_status join(ap_buf *out, size_t *clashes, ap_cli *cli, const ap_writeup_file *file, ap_error *err) {
    ap_writeup_revision base;
    ap_writeup_revision last;
    ap_writeup_text base_text;
    ap_writeup_text last_text;
    char date[AP_ISO_SIZE];
    int64_t id = file->writeup.id;
    ap_status status = ap_book_writeup_text(&base, &cli->arena, cli->book, id, file->text.header.revision, err);
    if (status == AP_OK) {
        status = ap_book_writeup_text(&last, &cli->arena, cli->book, id, 0, err);
    }
    if (status == AP_OK) {
        status = ap_writeup_parse(&base_text, base.text, err);
    }
    if (status == AP_OK) {
        status = ap_writeup_parse(&last_text, last.text, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_date_to_iso(date, last.stored_on);
    ap_str whose = ap_arena_printf(&cli->arena, "%.*s on %s (revision %" PRId64 ")",
                                   AP_STR_ARG(last.who.len ? last.who : AP_STR_LIT("somebody")), date, last.revision);
    return ap_writeup_merge(out, clashes, &cli->arena, &base_text, &file->text, &last_text, whose, err);
}

/* Writes the text to the file with the revision it was kept as. */
static ap_status write_back(const ap_writeup_file *file, ap_str text, int64_t revision, ap_error *err) {
    ap_writeup_text parsed;
    ap_buf out;
    ap_buf_init(&out, AP_WRITEUP_TEXT_MAX);
    ap_status status = ap_writeup_parse(&parsed, text, err);
    if (status == AP_OK) {
        status = with_revision(&out, &parsed, revision, err);
    }
    if (status == AP_OK) {
        status = ap_file_write(file->path, ap_buf_str(&out), err);
    }
    ap_buf_release(&out);
    return status;
}

/* The stored text carries its own number: it is written with it, so that file and book agree byte for byte. */
static ap_status store(int64_t *revision, ap_cli *cli, const ap_writeup_file *file, ap_str text, ap_str why,
                       ap_error *err) {
    ap_writeup_text parsed;
    ap_buf out;
    ap_buf_init(&out, AP_WRITEUP_TEXT_MAX);
    int64_t next = file->writeup.revision + 1;
    ap_status status = ap_writeup_parse(&parsed, text, err);
    if (status == AP_OK) {
        status = with_revision(&out, &parsed, next, err);
    }
    if (status == AP_OK) {
        status = keep_revision(revision, cli, file, ap_buf_str(&out), why, err);
    }
    if (status == AP_OK && *revision != next) {
        status = ap_error_set(err, AP_E_BUSY, "somebody kept this write-up just now: run keep again");
    }
    ap_buf_release(&out);
    return status;
}

typedef struct kept_text {
    ap_str text;
    int64_t revision;
    size_t clash_line; /* where two edits of one place stand in it; 0 = nowhere */
    bool joined;
} kept_text;

static ap_status keep(kept_text *out, ap_cli *cli, const ap_writeup_file *file, ap_error *err) {
    ap_buf joined;
    ap_writeup_text parsed = {0};
    size_t clashes = 0;
    ap_buf_init(&joined, AP_WRITEUP_TEXT_MAX);
    out->joined = file->text.header.revision < file->writeup.revision;
    ap_status status = out->joined ? join(&joined, &clashes, cli, file, err) : AP_OK;
    out->text = out->joined ? ap_arena_str(&cli->arena, ap_buf_str(&joined)) : file->text.text;
    if (status == AP_OK) {
        status = ap_writeup_parse(&parsed, out->text, err);
        out->clash_line = parsed.clash_line;
    }
    if (status == AP_OK) {
        status = store(&out->revision, cli, file, out->text, ap_cli_get(cli, "why"), err);
    }
    ap_buf_release(&joined);
    return status;
}

static void tell_kept(ap_cli *cli, const ap_writeup_file *file, const kept_text *done) {
    ap_cli_say(cli, cli->out, "write-up %" PRId64 " is kept at revision %" PRId64 "\n", file->writeup.id,
               done->revision);
    if (done->joined) {
        ap_cli_say(cli, cli->out, "it was joined with what was kept since revision %" PRId64 "\n",
                   file->text.header.revision);
    }
    if (done->clash_line) {
        ap_cli_say(cli, cli->out,
                   "line %zu: two edits of one place stand there one behind the other; settle them and keep it again\n",
                   done->clash_line);
    }
}

static ap_status read_to_keep(ap_writeup_file *file, ap_writeup_revision *last, ap_cli *cli, ap_error *err) {
    ap_status status = ap_writeup_file_read(file, cli, cli->words[1], err);
    if (status == AP_OK && file->text.clash_line) {
        status = ap_error_set(
            err, AP_E_INPUT,
            "unable to keep '%s': line %zu: two edits of one place still stand there; keep what is right and "
            "take the lines with '**afterpick:' out",
            file->path, file->text.clash_line);
    }
    return status == AP_OK ? ap_book_writeup_text(last, &cli->arena, cli->book, file->writeup.id, 0, err) : status;
}

/* The file is written after the book has it: a file that lags behind is joined again, a book that lags behind is not. */
ap_status ap_writeup_keep_run(ap_cli *cli, ap_error *err) {
    ap_writeup_file file = {0};
    ap_writeup_revision last = {0};
    kept_text done = {0};
    ap_status status = ap_cli_open(cli, AP_BOOK_WRITE, err);
    if (status == AP_OK) {
        status = ap_book_begin(cli->book, err);
    }
    if (status != AP_OK) {
        return status;
    }
    status = read_to_keep(&file, &last, cli, err);
    bool same = status == AP_OK && ap_str_equal(last.text, file.text.text);
    if (status == AP_OK && !same) {
        status = keep(&done, cli, &file, err);
    }
    status = ap_book_end(cli->book, status, err);
    if (status == AP_OK && !same) {
        status = write_back(&file, done.text, done.revision, err);
        if (status != AP_OK) {
            status = ap_error_wrap(err, status,
                                   "write-up %" PRId64 " is kept in the book at revision %" PRId64
                                   ", the file stays as it was: 'afterpick writeup show %" PRId64
                                   " > FILE' writes it elsewhere",
                                   file.writeup.id, done.revision, file.writeup.id);
        }
        cli->attention = done.clash_line > 0;
    }
    if (status == AP_OK && !cli->quiet && same) {
        ap_cli_say(cli, cli->out, "it is kept already, at revision %" PRId64 "\n", last.revision);
    } else if (status == AP_OK && !cli->quiet) {
        tell_kept(cli, &file, &done);
    }
    ap_buf_release(&file.bytes);
    return status;
}
