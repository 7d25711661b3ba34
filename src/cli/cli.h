/* The command line: a table of commands, one file each, writing to sinks that main.c owns. */
#ifndef AP_CLI_CLI_H
#define AP_CLI_CLI_H

#include "base/arena.h"
#include "base/calendar.h"
#include "base/sink.h"
#include "book/book.h"
#include "derive/company.h"
#include "figure/figure.h"
#include "page/doc.h"
#include "page/json.h"

typedef enum ap_cli_format { AP_CLI_PAGE = 0, AP_CLI_JSON, AP_CLI_CSV } ap_cli_format;

enum { AP_CLI_OPTIONS_MAX = 24, AP_CLI_WORDS_MAX = 4096 };

/* An option of a command. `value` names its value for the help ("DATE"); NULL for a flag. One that ends in "..." may be
 * given several times: its values stand in one text, a line each. */
typedef struct ap_cli_option {
    const char *name; /* without the dashes */
    const char *value;
    const char *help;
} ap_cli_option;

typedef struct ap_cli ap_cli;

typedef struct ap_command {
    const char *name;
    const char *group;            /* one of those that help.c puts in order */
    const char *summary;          /* one line */
    const char *usage;            /* what follows the name: "FILE... [--no-copy]" */
    const char *about;            /* a paragraph, NULL for none */
    const char *example;          /* runs on samples/ */
    const ap_cli_option *options; /* ends with a NULL name */
    ap_status (*run)(ap_cli *cli, ap_error *err);
    /* Second words that are commands of their own ("calc volume"), ends with NULL; NULL for none. Their name is the whole
     * "calc volume", and cli->words holds what follows it. Any other second word goes to run(). */
    const struct ap_command *const *topics;
} ap_command;

struct ap_cli {
    ap_arena arena;
    const ap_command *command;
    ap_str option_values[AP_CLI_OPTIONS_MAX]; /* of command->options, in its order; none = not given */
    const char *words[AP_CLI_WORDS_MAX];      /* what is not an option */
    size_t word_count;

    /* Global options. */
    const char *book_path; /* --book */
    ap_cli_format format;
    int units; /* -1 = the book's setting, else ap_unit_system */
    ap_str role;
    ap_date today;
    bool quiet;
    bool names;
    bool help;

    /* What main.c found out about its surroundings. */
    ap_sink *out;
    ap_sink *notes; /* standard error: progress and remarks */
    int width;
    bool colour;
    bool out_is_terminal;
    bool notes_are_terminal;

    ap_buf said;   /* with --json and --csv: sentences, a line each */
    bool answered; /* with --json and --csv: the object or table is written */

    ap_book *book; /* open from ap_cli_open() until main closes it */
    ap_settings settings;
    ap_company company;   /* the settings above and the cranes */
    bool attention;       /* done, but something needs a person: exit code 1 */
    bool machine_trouble; /* done, but a child or a file failed: exit code 4 */
};

extern const ap_command *const ap_commands[]; /* ends with NULL */
const ap_command *ap_command_find(ap_str name);

/* Reads the command line. AP_E_USAGE with a suggestion when a word is mistyped. */
AP_MUST_USE ap_status ap_cli_parse(ap_cli *cli, int argc, char *const *argv, ap_error *err);
/* Value of an option of the running command: none when not given; a flag that was given has a non-none empty value. */
ap_str ap_cli_get(const ap_cli *cli, const char *option);
bool ap_cli_has(const ap_cli *cli, const char *option);
AP_MUST_USE ap_status ap_cli_get_date(ap_date *out, const ap_cli *cli, const char *option, ap_error *err);
/* --why TEXT, which every change takes. */
AP_MUST_USE ap_status ap_cli_get_why(ap_str *out, const ap_cli *cli, ap_error *err);
AP_MUST_USE ap_status ap_cli_need_words(const ap_cli *cli, size_t least, size_t most, const char *what, ap_error *err);

/* Finds and opens the book (--book, else AFTERPICK_BOOK, else the single *.book here) and reads its settings. */
AP_MUST_USE ap_status ap_cli_open(ap_cli *cli, ap_book_mode mode, ap_error *err);
/* The reason of a change (--why), the book open for it, a transaction begun: ap_book_end() is the caller's. */
AP_MUST_USE ap_status ap_cli_begin_change(ap_str *why, ap_cli *cli, ap_error *err);
AP_MUST_USE ap_status ap_cli_find_book(const char **path, ap_cli *cli, ap_error *err);
/* A sentence or two on what was done, to cli->out or cli->notes: filled to the width, and nothing in it moves the cursor.
 * With --json and --csv what goes to cli->out is kept for ap_cli_say_kept(). */
void ap_cli_say(ap_cli *cli, ap_sink *sink, const char *format, ...) AP_PRINTF(3, 4);
/* A file that was written, alone on its line however long. */
void ap_cli_say_path(ap_cli *cli, const char *path);
/* What was said, for commands that have no object or table of their own: {"says": [...]}, or a table with the column `says`.
 * Behind an object or table it goes to cli->notes; nothing when nothing was said. */
AP_MUST_USE ap_status ap_cli_say_kept(ap_cli *cli, ap_error *err);
ap_unit_system ap_cli_units(const ap_cli *cli);
/* How long gnuplot may take for all figures of a command, in milliseconds: 60 s, or what AFTERPICK_FIGURE_SECONDS says. */
int ap_cli_figure_time_ms(const ap_cli *cli);

/* `--figure text`, the figure in characters below the page: whether it is asked for, the set, and the figure drawn and written. A
 * gnuplot that fails is said and does not stop the page.
 * Errors: AP_E_USAGE for another word than text; AP_E_MEMORY. */
ap_status ap_cli_text_figure_asked(bool *asked, const ap_cli *cli, ap_error *err);
ap_figure_set *ap_cli_text_figures(ap_cli *cli, ap_error *err); /* NULL: out of memory, said in err */
ap_status ap_cli_write_text_figure(ap_cli *cli, ap_figure_set *set, const ap_figure *figure, ap_error *err);
ap_book_author ap_cli_author(const ap_cli *cli);

/* A document with the head every command's page has. */
ap_doc *ap_cli_doc(ap_cli *cli, const char *title, ap_str period);
/* With --json begins the answer and is true; ap_cli_json_end() closes it and is AP_OK. */
bool ap_cli_json(ap_json *json, ap_cli *cli);
ap_status ap_cli_json_end(ap_cli *cli);
/* Writes it as a page for the terminal, or its first table as CSV. A page without a table, and JSON where the command has no
 * object of its own: its answer is said. */
AP_MUST_USE ap_status ap_cli_write(ap_cli *cli, const ap_doc *doc, ap_error *err);

/* The word a command's usage has that is `word`, or a slip or two away from it; none when there is none. */
ap_str ap_cli_near_verb(const ap_command *command, ap_str word);
/* Word number `index` of the fixed set that an option of a command takes, where its value does not spell it out ("us|metric"); NULL
 * behind the last and where anything may stand. *several: NULL where one word goes; "once" and "again" where more go with commas between,
 * each once or any again. */
const char *ap_cli_choice(const char **several, const ap_command *command, const ap_cli_option *option, size_t index);
/* The completion of words for `shell`, which is "bash"; AP_E_USAGE for another, or NULL. */
AP_MUST_USE ap_status ap_cli_completion(ap_sink *out, const char *shell, ap_error *err);
/* The names of the options of every command, `lead` before each; only those that take a value, or all. */
void ap_cli_put_globals(ap_sink *out, const char *lead, bool only_valued);
void ap_cli_help(ap_sink *out, const ap_command *command); /* NULL: the program's own help */

#endif
