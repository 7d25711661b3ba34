#include "cli/cli.h"
#include "page/plain.h"

static const char *const group_order[] = {"MONTH", "LOOK", "MEND", "SET UP", "KEEP", "A SINGLE FIGURE"};

enum { HELP_WIDTH = 80, NAME_COLUMN = 15, OPTION_COLUMN = 25 };

static const char intro[] = "afterpick: the look back at crane-assisted tree removal. It turns the log of\n"
                            "picks into better numbers and warnings.\n"
                            "\n"
                            "Usage: afterpick COMMAND [words] [options]\n";

static const char month_in_five_lines[] =
    "\nA monthly review:\n"
    "  afterpick init oak.book                        a new, empty book, once\n"
    "  afterpick import logs/october/*.csv            the month's logs\n"
    "  afterpick review --month 2026-10 --out review  review/review.html\n"
    "  afterpick weights --by species,cut             the estimate error behind it\n"
    "  afterpick findings --month 2026-10             what to look at first\n";

static const char global_help[] = "\nOptions of every command:\n"
                                  "  --book FILE        the book; else AFTERPICK_BOOK, else the single *.book here\n"
                                  "  --units us|metric  what figures are written in; else the book's setting\n"
                                  "  --json | --csv     for programs | for a spreadsheet\n"
                                  "  --as ROLE          who makes a change, by role\n"
                                  "  --today DATE       work as on this day (2026-10-31)\n"
                                  "  --quiet            only what was asked for\n"
                                  "  --names            show people by the names in the log\n"
                                  "  --help             help on a command, with an example\n"
                                  "  --completion bash  alone: completion of words, for a line in ~/.bashrc:\n"
                                  "                     eval \"$(afterpick --completion bash)\"\n";

static const char caution[] = "\nA review aid, after the fact. It does not plan a lift and does not replace the\n"
                              "crane's load chart, its operator's judgement, the sling maker's tag, an engineer\n"
                              "or a qualified arborist. Local law and codes come first.\n";

/* `text` from column `at` on, broken at spaces before column 80, later lines indented by `indent`. */
static void put_wrapped(ap_sink *out, ap_str text, size_t at, size_t indent) {
    ap_str line = AP_STR_NONE;
    for (bool first = true; ap_plain_take_line(&line, &text, HELP_WIDTH - (first ? at : indent)); first = false) {
        if (!first) {
            ap_sink_printf(out, "%*s", (int)indent, "");
        }
        ap_sink_put(out, line);
        ap_sink_putc(out, '\n');
    }
}

/* "  name   what it is": a name too long for its column gets a line of its own. */
static void put_entry(ap_sink *out, const char *name, const char *what, size_t column) {
    ap_sink_printf(out, "  %-*s", (int)column - 2, name);
    if (strlen(name) + 3 > column) {
        ap_sink_printf(out, "\n%*s", (int)column, "");
    }
    put_wrapped(out, ap_str_from(what), column, column);
}

/* Where a line of a table ("set        wll=...") has its text: behind the first gap of two spaces; 0 when it has none. */
static size_t text_column(ap_str line) {
    size_t i = 0;
    while (i + 1 < line.len && !(line.ptr[i] == ' ' && line.ptr[i + 1] == ' ')) {
        i++;
    }
    size_t gap = i;
    while (i < line.len && line.ptr[i] == ' ') {
        i++;
    }
    return i - gap >= 2 ? i : 0;
}

/* A paragraph on its way: filled from column `hang` on, `lead` before its first line. */
typedef struct paragraph {
    ap_buf text;
    ap_str lead;
    size_t hang;
} paragraph;

static void put_paragraph(ap_sink *out, paragraph *p) {
    if (p->text.len > 0) {
        ap_sink_put(out, p->lead);
        put_wrapped(out, ap_buf_str(&p->text), p->hang, p->hang);
    }
    ap_buf_clear(&p->text);
}

/* Prose is filled anew; a line of a table begins anew, its text hanging under itself with that of indented lines below. */
static void put_about(ap_sink *out, const char *about) {
    ap_str rest = ap_str_from(about);
    paragraph p = {.hang = 0};
    ap_buf_init(&p.text, 4096);
    while (rest.len > 0) {
        ap_str line = ap_str_split(rest, '\n', &rest);
        size_t column = text_column(line);
        bool goes_on = column == p.hang && p.text.len > 0 && (column == 0 || line.ptr[0] == ' ');
        if (!goes_on) {
            put_paragraph(out, &p);
            p.lead = (ap_str){line.ptr, column};
            p.hang = column;
        }
        ap_buf_append_cstr(&p.text, p.text.len > 0 ? " " : "");
        ap_buf_append(&p.text, line.ptr + column, line.len - column);
    }
    put_paragraph(out, &p);
    ap_buf_release(&p.text);
}

static void help_of_program(ap_sink *out) {
    ap_sink_puts(out, intro);
    for (size_t g = 0; g < sizeof group_order / sizeof group_order[0]; g++) {
        bool headed = false;
        for (size_t i = 0; ap_commands[i]; i++) {
            if (strcmp(ap_commands[i]->group, group_order[g]) == 0) {
                if (!headed) {
                    ap_sink_printf(out, "\n%s\n", group_order[g]);
                }
                put_entry(out, ap_commands[i]->name, ap_commands[i]->summary, NAME_COLUMN);
                headed = true;
            }
        }
    }
    ap_sink_puts(out, month_in_five_lines);
    ap_sink_puts(out, global_help);
    ap_sink_puts(out, caution);
}

static void put_options(ap_sink *out, const ap_cli_option *options) {
    ap_sink_puts(out, "\nOptions:\n");
    for (const ap_cli_option *option = options; option->name; option++) {
        char left[64];
        snprintf(left, sizeof left, "--%s%s%s", option->name, option->value ? " " : "",
                 option->value ? option->value : "");
        put_entry(out, left, option->help, OPTION_COLUMN);
    }
}

static void put_usage(ap_sink *out, const ap_command *command) {
    ap_sink_printf(out, "\nUsage: afterpick %s ", command->name);
    size_t at = strlen("Usage: afterpick  ") + strlen(command->name);
    if (command->usage[0]) {
        put_wrapped(out, ap_str_from(command->usage), at, at);
    } else {
        ap_sink_putc(out, '\n');
    }
}

void ap_cli_help(ap_sink *out, const ap_command *command) {
    if (!command) {
        help_of_program(out);
        return;
    }
    ap_sink_printf(out, "afterpick %s: ", command->name);
    put_wrapped(out, ap_str_from(command->summary), strlen("afterpick : ") + strlen(command->name), 2);
    put_usage(out, command);
    if (command->about) {
        ap_sink_puts(out, "\n");
        put_about(out, command->about);
    }
    if (command->topics) {
        ap_sink_printf(out, "\nWhat there is, 'afterpick %s WHAT --help' tells more:\n", command->name);
        for (size_t i = 0; command->topics[i]; i++) {
            put_entry(out, command->topics[i]->name + strlen(command->name) + 1, command->topics[i]->summary,
                      NAME_COLUMN);
        }
    }
    if (command->options && command->options[0].name) {
        put_options(out, command->options);
    }
    /* In one line however long: it is there to be copied. */
    ap_sink_printf(out, "\nExample:\n  %s\n", command->example);
}
