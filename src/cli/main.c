/* The only file that prints and exits. */
#include <errno.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif
#include <poll.h>
#include <signal.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "base/asset.h"
#include "cli/cli.h"
#include "page/glyph.h"

enum { ARENA_MAX = 256u << 20, SAID_MAX = 1 << 20, WIDTH_LEAST = 80, WIDTH_MOST = 132 };

/* Arrays over all picks go back to the system when they are freed, whatever was freed before: the next one finds their room. */
static void give_memory_back(void) {
#ifdef __GLIBC__
    mallopt(M_MMAP_THRESHOLD, 1 << 20);
#endif
}

static int terminal_width(void) {
    struct winsize size;
    if (isatty(STDOUT_FILENO) && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > WIDTH_LEAST) {
        return size.ws_col < WIDTH_MOST ? size.ws_col : WIDTH_MOST;
    }
    return WIDTH_LEAST;
}

static void look_around(ap_cli *cli) {
    const char *no_colour = getenv("NO_COLOR");
    const char *term = getenv("TERM");
    cli->out_is_terminal = isatty(STDOUT_FILENO) == 1;
    cli->notes_are_terminal = isatty(STDERR_FILENO) == 1;
    cli->colour = cli->out_is_terminal && !(no_colour && *no_colour) && !(term && strcmp(term, "dumb") == 0);
    cli->width = terminal_width();
    cli->units = -1;
    cli->today = AP_DATE_NONE;
    ap_asset_set_folder("sql", getenv("AFTERPICK_SQL"));
    ap_asset_set_folder("plots", getenv("AFTERPICK_PLOTS"));
}

/* "action dnoe 1": what was refused may have been meant otherwise. */
static ap_status with_hint(const ap_cli *cli, ap_status status, ap_error *err) {
    bool of_words = status == AP_E_USAGE || status == AP_E_NOT_FOUND;
    if (!of_words || strstr(err->text, "did you mean")) {
        return status;
    }
    for (size_t i = 0; i < cli->word_count && i < 2; i++) {
        ap_str near = ap_cli_near_verb(cli->command, ap_str_from(cli->words[i]));
        if (near.ptr && ap_str_equal_word(near, cli->words[i])) {
            return status; /* it was right: something behind it is not */
        }
        if (near.ptr) {
            const ap_error was = *err;
            return ap_error_set(err, status, "%s; did you mean '%.*s'?", was.text, AP_STR_ARG(near));
        }
    }
    return status;
}

static ap_status run(ap_cli *cli, int argc, char *const *argv, ap_error *err) {
    if (argc == 2 && strcmp(argv[1], "--version") == 0) {
        ap_sink_puts(cli->out, "afterpick " AP_VERSION "\n");
        return AP_OK;
    }
    if (argc >= 2 && strcmp(argv[1], "--completion") == 0) {
        return ap_cli_completion(cli->out, argc == 3 ? argv[2] : NULL, err);
    }
    ap_status status = ap_cli_parse(cli, argc, argv, err);
    if (status != AP_OK) {
        return status;
    }
    if (cli->help || argc < 2) {
        ap_cli_help(cli->out, cli->command);
        return AP_OK;
    }
    if (!cli->command) {
        return ap_error_set(err, AP_E_USAGE, "say what to do: 'afterpick --help' lists the commands");
    }
    if (cli->today == AP_DATE_NONE) {
        cli->today = ap_date_today();
    }
    status = cli->command->run(cli, err);
    return status == AP_OK ? ap_cli_say_kept(cli, err) : with_hint(cli, status, err);
}

/* Standard output is a pipe that nobody reads any more. */
static bool reader_is_gone(void) {
    struct pollfd out = {.fd = STDOUT_FILENO, .events = POLLOUT};
    return poll(&out, 1, 0) == 1 && (out.revents & POLLERR);
}

int main(int argc, char **argv) {
    static ap_cli cli; /* large, and zero is its empty state */
    ap_error err;
    ap_error_clear(&err);
    ap_sink out = ap_sink_to_stream(stdout);
    ap_sink notes = ap_sink_to_stream(stderr);
    cli.out = &out;
    cli.notes = &notes;
    signal(SIGPIPE, SIG_IGN);
    give_memory_back();
    ap_arena_init(&cli.arena, ARENA_MAX);
    ap_buf_init(&cli.said, SAID_MAX);
    look_around(&cli);

    ap_status status = run(&cli, argc, argv, &err);
    ap_book_close(cli.book);
    ap_arena_release(&cli.arena);
    ap_buf_release(&cli.said);

    /* A reader that has had enough (| head) is no failure; any other unwritten output is. */
    bool flushed = fflush(stdout) == 0;
    bool reader_left = (!flushed && errno == EPIPE) || out.saved_errno == EPIPE || reader_is_gone();
    if (status == AP_OK && (!flushed || out.status != AP_OK) && !reader_left) {
        status = ap_error_from_errno(&err, out.saved_errno ? out.saved_errno : errno, "write", "standard output");
    }
    if (status == AP_E_IO && ferror(stdout) && !reader_left) {
        status = ap_error_wrap(&err, status, "standard output");
    }
    if (status != AP_OK && !reader_left) {
        /* What the text quotes came from outside: nothing in it may move the cursor or turn the line round. */
        ap_sink_puts(&notes, "afterpick: ");
        ap_glyph_put(&notes, ap_str_from(err.text));
        ap_sink_puts(&notes, "\n");
        return ap_status_exit_code(status);
    }
    return cli.machine_trouble ? AP_EXIT_MACHINE : cli.attention ? AP_EXIT_ATTENTION : AP_EXIT_DONE;
}
