#include <dirent.h>
#include <unistd.h>

#include "book/settings_store.h"
#include "intake/paths.h"
#include "intake/profile_plan.h"
#include "intake/report.h"
#include "intake/session.h"

/* Copies that a killed import left behind. The book's write lock is held, so nobody else is making one. */
static void sweep_folder(const char *folder) {
    DIR *dir = opendir(folder);
    if (!dir) {
        return;
    }
    for (struct dirent *entry = readdir(dir); entry; entry = readdir(dir)) {
        if (strncmp(entry->d_name, "incoming-", 9) == 0) {
            (void)unlinkat(dirfd(dir), entry->d_name, 0);
        }
    }
    closedir(dir);
}

static ap_status session_open(ap_session *session, ap_intake_result *out, ap_book *book,
                              const ap_intake_options *options, ap_error *err) {
    memset(session, 0, sizeof *session);
    session->result = out;
    session->book = book;
    session->options = options;
    if (!options->no_copy && !options->dry_run) {
        const char *path = ap_book_path(book);
        const size_t size = strlen(path) + sizeof "-logs";
        session->copy_folder = malloc(size);
        if (!session->copy_folder) {
            return ap_error_set(err, AP_E_MEMORY, "out of memory for the import");
        }
        snprintf(session->copy_folder, size, "%s-logs", path);
        sweep_folder(session->copy_folder);
    }
    ap_status status = ap_book_settings_read(&session->settings, book, err);
    if (status == AP_OK) {
        status = ap_judge_new(&session->judge, book, &session->settings, options->author.today, err);
    }
    if (status == AP_OK) {
        status = ap_store_new(&session->store, book, err);
    }
    if (status == AP_OK && !options->profile && !options->own_columns) {
        status = ap_profiles_kept(&session->kept, &session->kept_count, book, err);
    }
    if (status == AP_OK && options->rejects) {
        status = ap_rejects_new(&session->rejects, options->rejects, err);
    }
    return status;
}

static void session_close(ap_session *session) {
    for (size_t i = 0; i < session->source_count; i++) {
        ap_source_close(session->sources[i]);
    }
    ap_profiles_free(session->kept, session->kept_count);
    free(session->sources);
    free(session->copy_folder);
    ap_rejects_free(session->rejects);
    ap_store_free(session->store);
    ap_judge_free(session->judge);
    memset(session, 0, sizeof *session);
}

/* The picks are in the book; a copy that can not be kept is told, not a reason to take them out again. */
static void keep_copies(ap_session *session) {
    for (size_t i = 0; i < session->source_count; i++) {
        ap_error why;
        ap_error_clear(&why);
        if (ap_source_keep_copy(session->sources[i], &why) != AP_OK) {
            ap_report_problem(session->result,
                              &(ap_intake_problem){.kind = AP_INTAKE_WARNING, .reason = ap_str_from(why.text)});
            session->result->warnings++;
        }
    }
}

/* Not one file could be used: the first one's reason is the reason. */
static ap_status refuse_all(const ap_intake_result *out, ap_error *err) {
    for (size_t i = 0; i < out->file_count; i++) {
        if (out->files[i].outcome != AP_INTAKE_UNUSABLE) {
            return AP_OK;
        }
    }
    if (out->file_count == 0) {
        return ap_error_set(err, AP_E_INPUT, "there is no file to import: name a log, or a folder with logs in it");
    }
    if (out->file_count == 1) {
        return ap_error_set(err, AP_E_INPUT, "%.*s", AP_STR_ARG(out->files[0].says));
    }
    return ap_error_set(err, AP_E_INPUT, "not one of the %zu files could be used; the first: %.*s", out->file_count,
                        AP_STR_ARG(out->files[0].says));
}

static ap_status run_files(ap_session *session, const ap_paths *paths, ap_error *err) {
    for (size_t i = 0; i < paths->count; i++) {
        const ap_status status = ap_session_file(session, paths->names[i], err);
        if (status != AP_OK) {
            return status;
        }
    }
    ap_status status = refuse_all(session->result, err);
    if (status == AP_OK) {
        status = ap_arena_check(&session->result->arena, "the import's report", err);
    }
    if (status == AP_OK && session->rejects) {
        status = ap_rejects_finish(&session->result->rejects_written, &session->result->arena, session->rejects, err);
    }
    return status;
}

ap_status ap_intake_files(ap_intake_result *out, ap_book *book, const char *const *paths, size_t count,
                          const ap_intake_options *options, ap_error *err) {
    ap_session session;
    ap_paths list;
    ap_status status = ap_paths_expand(&list, paths, count, err);
    if (status != AP_OK) {
        return status;
    }
    status = ap_book_begin(book, err);
    if (status != AP_OK) {
        ap_paths_release(&list);
        return status;
    }
    status = session_open(&session, out, book, options, err);
    if (status == AP_OK) {
        status = run_files(&session, &list, err);
    }
    ap_store_free(session.store); /* its statements must rest before the commit */
    session.store = NULL;
    const bool keeps = session.import_id != 0 && !options->dry_run;
    if (status == AP_OK && keeps && options->stored_all) {
        status = options->stored_all(options->stored_context, err);
    }
    if (status == AP_OK && keeps) {
        status = ap_book_commit(book, err);
    }
    if (status != AP_OK || !keeps) {
        ap_book_rollback(book);
        ap_report_nothing_kept(out);
    } else {
        out->import_id = session.import_id;
        keep_copies(&session);
    }
    session_close(&session);
    ap_paths_release(&list);
    return status;
}
