#include <dirent.h>
#include <sys/stat.h>

#include "book/cranes.h"
#include "book/settings_store.h"
#include "book/slings.h"
#include "cli/cli.h"
#include "page/json.h"
#include "page/plain.h"
#include "page/write.h"

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

void ap_cli_say(ap_cli *cli, ap_sink *sink, const char *format, ...) {
    ap_buf text;
    ap_buf_init(&text, 1u << 16);
    va_list args;
    va_start(args, format);
    ap_buf_appendv(&text, format, args);
    va_end(args);
    if (sink == cli->out && cli->format == AP_CLI_JSON) {
        ap_buf_append_str(&cli->said, ap_buf_str(&text));
        ap_buf_release(&text);
        return;
    }
    const ap_plain page = {.sink = sink, .width = (size_t)cli->width};
    ap_str rest = ap_buf_str(&text);
    while (rest.len > 0) {
        ap_plain_wrap(&page, ap_str_split(rest, '\n', &rest), 0, 0);
    }
    ap_buf_release(&text);
}

void ap_cli_say_path(ap_cli *cli, const char *path) {
    if (cli->format == AP_CLI_JSON) {
        ap_cli_say(cli, cli->out, "%s\n", path);
    } else {
        ap_sink_printf(cli->out, "%s\n", path);
    }
}

void ap_cli_say_json(ap_cli *cli) {
    if (cli->said.len == 0) {
        return;
    }
    ap_json json;
    ap_json_init(&json, cli->out, true);
    ap_json_object_begin(&json);
    ap_json_key(&json, "says");
    ap_json_array_begin(&json);
    ap_str rest = ap_buf_str(&cli->said);
    while (rest.len > 0) {
        ap_json_text(&json, ap_str_split(rest, '\n', &rest));
    }
    ap_json_array_end(&json);
    ap_json_object_end(&json);
    ap_sink_putc(cli->out, '\n');
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

ap_doc *ap_cli_doc(ap_cli *cli, const char *title, ap_str period) {
    char today[AP_ISO_SIZE];
    ap_date_to_iso(today, cli->today);
    /* The name alone: a page that is handed on tells nothing of the folders it was made in. */
    const char *book = cli->book ? ap_book_path(cli->book) : NULL;
    const char *slash = book ? strrchr(book, '/') : NULL;
    ap_doc_head head = {.title = ap_str_from(title),
                        .subtitle = ap_str_from(cli->settings.company),
                        .book = book ? ap_str_from(slash ? slash + 1 : book) : AP_STR_NONE,
                        .period = period,
                        .version = AP_STR_LIT(AP_VERSION),
                        .date_order = AP_STR_LIT("year-month-day"),
                        .made_on = ap_str_from(today),
                        .units = ap_cli_units(cli)};
    return ap_doc_new(&cli->arena, &head);
}

ap_status ap_cli_write(ap_cli *cli, const ap_doc *doc, ap_error *err) {
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    if (cli->format == AP_CLI_JSON) {
        ap_cli_say(cli, cli->out, "%.*s\n", AP_STR_ARG(ap_doc_first_answer(doc)));
        return AP_OK;
    }
    if (cli->format == AP_CLI_CSV) {
        return ap_page_write_csv(cli->out, doc, AP_STR_NONE, err);
    }
    return ap_page_write_text(cli->out, doc, cli->width, cli->colour, err);
}
