#include <dirent.h>
#include <sys/stat.h>

#include "book/cranes.h"
#include "book/settings_store.h"
#include "book/slings.h"
#include "cli/cli.h"

/* The single *.book of this folder. None or two: the sentence names them. */
static ap_status find_book_here(const char **path, ap_cli *cli, ap_error *err) {
    DIR *dir = opendir(".");
    if (!dir) {
        return ap_error_set(err, AP_E_IO, "unable to read this folder; name the book with --book FILE");
    }
    const char *found = NULL;
    const char *second = NULL;
    for (const struct dirent *entry = readdir(dir); entry; entry = readdir(dir)) {
        ap_str name = ap_str_from(entry->d_name);
        if (name.len > 5 && memcmp(name.ptr + name.len - 5, ".book", 5) == 0) {
            const char *copy = ap_arena_cstr(&cli->arena, name);
            second = found ? copy : second;
            found = found ? found : copy;
        }
    }
    closedir(dir);
    if (!found) {
        return ap_error_set(
            err, AP_E_NOT_FOUND,
            "there is no book here; make one with 'afterpick init NAME.book', or name one with --book FILE");
    }
    if (second) {
        bool ordered = strcmp(found, second) < 0;
        return ap_error_set(err, AP_E_AMBIGUOUS,
                            "more than one book here, such as '%s' and '%s'; say which with --book FILE",
                            ordered ? found : second, ordered ? second : found);
    }
    *path = found;
    return AP_OK;
}

ap_status ap_cli_find_book(const char **path, ap_cli *cli, ap_error *err) {
    const char *named = cli->book_path;
    if (!named) {
        named = getenv("AFTERPICK_BOOK");
    }
    if (named && *named) {
        *path = named;
        return AP_OK;
    }
    return find_book_here(path, cli, err);
}

ap_status ap_cli_open(ap_cli *cli, ap_book_mode mode, ap_error *err) {
    const char *path = NULL;
    ap_status status = ap_cli_find_book(&path, cli, err);
    if (status == AP_OK) {
        status = ap_book_open(&cli->book, path, mode, err);
    }
    if (status == AP_OK) {
        status = ap_book_settings_read(&cli->settings, cli->book, err);
    }
    if (status == AP_OK) {
        cli->company.settings = &cli->settings;
        status = ap_book_cranes(&cli->company.cranes, &cli->company.crane_count, &cli->arena, cli->book, err);
    }
    if (status == AP_OK) {
        status = ap_book_slings(&cli->company.slings, &cli->company.sling_count, &cli->arena, cli->book, err);
    }
    return status;
}

int ap_cli_figure_time_ms(const ap_cli *cli) {
    enum { USUAL_S = 60, LONGEST_S = 3600 };
    const char *given = getenv("AFTERPICK_FIGURE_SECONDS");
    int64_t seconds = USUAL_S;
    if (given && *given && (!ap_str_to_int64(&seconds, ap_str_from(given)) || seconds < 1 || seconds > LONGEST_S)) {
        seconds = USUAL_S;
        ap_sink_printf(cli->notes,
                       "afterpick: AFTERPICK_FIGURE_SECONDS is to be a number from 1 to %d; gnuplot gets %d seconds\n",
                       LONGEST_S, USUAL_S);
    }
    return (int)seconds * 1000;
}

ap_unit_system ap_cli_units(const ap_cli *cli) {
    return (ap_unit_system)(cli->units >= 0 ? cli->units : cli->settings.units);
}

ap_book_author ap_cli_author(const ap_cli *cli) {
    return (ap_book_author){.role = cli->role, .today = cli->today};
}

ap_status ap_cli_begin_change(ap_str *why, ap_cli *cli, ap_error *err) {
    ap_status status = ap_cli_get_why(why, cli, err);
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_WRITE, err);
    }
    return status == AP_OK ? ap_book_begin(cli->book, err) : status;
}
