#include "cli/cli.h"

static const char *const group_order[] = {"MONTH", "LOOK", "MEND", "SET UP", "KEEP"};

static const char intro[] = "afterpick: the look back at crane-assisted tree removal. It turns the log of picks into "
                            "better numbers and warnings.\n"
                            "\n"
                            "Usage: afterpick COMMAND [words] [options]\n";

static const char month_in_five_lines[] =
    "\nA monthly review:\n"
    "  afterpick init oak.book                        once: a new, empty book\n"
    "  afterpick import logs/october/*.csv            the month's logs; what cannot be read is set aside and named\n"
    "  afterpick review --month 2026-10 --out review  review/review.html, with its figures\n"
    "  afterpick weights --by species,cut             the estimate error behind it\n"
    "  afterpick findings --since 2026-10-01          what to look at first\n";

static const char global_help[] = "\nOptions of every command:\n"
                                  "  --book FILE        the book; else AFTERPICK_BOOK, else the single *.book here\n"
                                  "  --units us|metric  what figures are written in; else the book's setting\n"
                                  "  --json | --csv     for programs | for a spreadsheet\n"
                                  "  --as ROLE          who makes a change, by role\n"
                                  "  --today DATE       work as on this day (2026-10-31)\n"
                                  "  --quiet            only what was asked for\n"
                                  "  --names            show people by the names in the log\n"
                                  "  --help             help on a command, with an example\n";

static const char caution[] =
    "\nA review aid, after the fact. It does not plan a lift and does not replace the crane's load chart, its "
    "operator's\n"
    "judgement, the sling maker's tag, an engineer or a qualified arborist. Local law and codes come first.\n";

static void help_of_program(ap_sink *out) {
    ap_sink_puts(out, intro);
    for (size_t g = 0; g < sizeof group_order / sizeof group_order[0]; g++) {
        bool headed = false;
        for (size_t i = 0; ap_commands[i]; i++) {
            if (strcmp(ap_commands[i]->group, group_order[g]) == 0) {
                if (!headed) {
                    ap_sink_printf(out, "\n%s\n", group_order[g]);
                }
                ap_sink_printf(out, "  %-12s %s\n", ap_commands[i]->name, ap_commands[i]->summary);
                headed = true;
            }
        }
    }
    ap_sink_puts(out, month_in_five_lines);
    ap_sink_puts(out, global_help);
    ap_sink_puts(out, caution);
}

void ap_cli_help(ap_sink *out, const ap_command *command) {
    if (!command) {
        help_of_program(out);
        return;
    }
    ap_sink_printf(out, "afterpick %s: %s\n\nUsage: afterpick %s %s\n", command->name, command->summary, command->name,
                   command->usage);
    if (command->about) {
        ap_sink_printf(out, "\n%s\n", command->about);
    }
    if (command->topics) {
        ap_sink_printf(out, "\nWhat there is, 'afterpick %s WHAT --help' tells more:\n", command->name);
        for (size_t i = 0; command->topics[i]; i++) {
            ap_sink_printf(out, "  %-12s %s\n", command->topics[i]->name + strlen(command->name) + 1,
                           command->topics[i]->summary);
        }
    }
    if (command->options && command->options[0].name) {
        ap_sink_puts(out, "\nOptions:\n");
        for (const ap_cli_option *option = command->options; option->name; option++) {
            char left[48];
            snprintf(left, sizeof left, "--%s%s%s", option->name, option->value ? " " : "",
                     option->value ? option->value : "");
            ap_sink_printf(out, "  %-22s %s\n", left, option->help);
        }
    }
    ap_sink_printf(out, "\nExample:\n  %s\n", command->example);
}
