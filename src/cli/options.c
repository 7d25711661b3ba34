#include "cli/cli.h"

typedef enum global_option { G_BOOK, G_UNITS, G_JSON, G_CSV, G_AS, G_TODAY, G_QUIET, G_NAMES, G_HELP } global_option;

static const struct {
    const char *name;
    global_option which;
    bool takes_value;
} globals[] = {
    {"book", G_BOOK, true},    {"units", G_UNITS, true},  {"json", G_JSON, false},
    {"csv", G_CSV, false},     {"as", G_AS, true},        {"today", G_TODAY, true},
    {"quiet", G_QUIET, false}, {"names", G_NAMES, false}, {"help", G_HELP, false},
};
enum { GLOBAL_COUNT = sizeof globals / sizeof globals[0] };

void ap_cli_put_globals(ap_sink *out, const char *lead, bool only_valued) {
    for (size_t i = 0; i < GLOBAL_COUNT; i++) {
        if (globals[i].takes_value || !only_valued) {
            ap_sink_printf(out, "%s%s", lead, globals[i].name);
        }
    }
}

static ap_status set_units(ap_cli *cli, ap_str value, ap_error *err) {
    if (ap_str_equal_word(value, "us")) {
        cli->units = AP_UNITS_US;
    } else if (ap_str_equal_word(value, "metric")) {
        cli->units = AP_UNITS_METRIC;
    } else {
        return ap_error_set(err, AP_E_USAGE, "--units is 'us' or 'metric', not '%.*s'", AP_STR_ARG(value));
    }
    return AP_OK;
}

static ap_status set_global(ap_cli *cli, global_option which, ap_str value, ap_error *err) {
    switch (which) {
    case G_BOOK:
        cli->book_path = value.ptr;
        return AP_OK;
    case G_UNITS:
        return set_units(cli, value, err);
    case G_JSON:
        cli->format = AP_CLI_JSON;
        return AP_OK;
    case G_CSV:
        cli->format = AP_CLI_CSV;
        return AP_OK;
    case G_AS:
        cli->role = value;
        return AP_OK;
    case G_TODAY:
        if (!ap_date_from_iso(&cli->today, value)) {
            return ap_error_set(err, AP_E_USAGE, "--today '%.*s' is not a date; write it as 2026-10-31",
                                AP_STR_ARG(value));
        }
        return AP_OK;
    case G_QUIET:
        cli->quiet = true;
        return AP_OK;
    case G_NAMES:
        cli->names = true;
        return AP_OK;
    case G_HELP:
        cli->help = true;
        return AP_OK;
    }
    return AP_OK;
}

static size_t option_index(const ap_command *command, ap_str name) {
    size_t i = 0;
    while (command && command->options && command->options[i].name) {
        if (ap_str_equal_word(name, command->options[i].name)) {
            return i;
        }
        i++;
    }
    return SIZE_MAX;
}

static ap_status unknown_option(const ap_command *command, ap_str name, ap_error *err) {
    static const char *const alone[] = {"version", "completion"};
    const char *near = NULL;
    unsigned best = 3;
    for (size_t i = 0; i < sizeof alone / sizeof alone[0] && !command; i++) {
        unsigned distance = ap_str_distance(name, ap_str_from(alone[i]), 2);
        near = distance < best ? alone[i] : near;
        best = distance < best ? distance : best;
    }
    for (size_t i = 0; i < GLOBAL_COUNT; i++) {
        unsigned distance = ap_str_distance(name, ap_str_from(globals[i].name), 2);
        near = distance < best ? globals[i].name : near;
        best = distance < best ? distance : best;
    }
    for (size_t i = 0; command && command->options && command->options[i].name; i++) {
        unsigned distance = ap_str_distance(name, ap_str_from(command->options[i].name), 2);
        near = distance < best ? command->options[i].name : near;
        best = distance < best ? distance : best;
    }
    if (near) {
        return ap_error_set(err, AP_E_USAGE, "there is no option --%.*s; did you mean --%s?", AP_STR_ARG(name), near);
    }
    return ap_error_set(err, AP_E_USAGE, "there is no option --%.*s; 'afterpick %s--help' lists them", AP_STR_ARG(name),
                        command ? "COMMAND " : "");
}

typedef struct scan {
    int argc;
    char *const *argv;
    int at;
} scan;

/* The value of an option: behind '=', else the next word. */
static ap_status take_value(ap_str *value, scan *words, ap_str name, ap_str inline_value, ap_error *err) {
    if (inline_value.ptr) {
        *value = inline_value;
        return AP_OK;
    }
    if (words->at + 1 >= words->argc) {
        return ap_error_set(err, AP_E_USAGE, "--%.*s needs a value behind it", AP_STR_ARG(name));
    }
    *value = ap_str_from(words->argv[++words->at]);
    return AP_OK;
}

static bool one_takes_value(const ap_command *command, ap_str name) {
    size_t own = option_index(command, name);
    return own != SIZE_MAX && command->options[own].value;
}

/* An option of any command that takes a value, so that its value is not taken for the command's name. */
static bool any_takes_value(ap_str name) {
    for (size_t g = 0; g < GLOBAL_COUNT; g++) {
        if (globals[g].takes_value && ap_str_equal_word(name, globals[g].name)) {
            return true;
        }
    }
    for (size_t c = 0; ap_commands[c]; c++) {
        bool takes = one_takes_value(ap_commands[c], name);
        for (size_t t = 0; !takes && ap_commands[c]->topics && ap_commands[c]->topics[t]; t++) {
            takes = one_takes_value(ap_commands[c]->topics[t], name);
        }
        if (takes) {
            return true;
        }
    }
    return false;
}

/* "FIELD=VALUE...": may be given several times. */
static bool repeats(const ap_cli_option *option) {
    size_t len = option->value ? strlen(option->value) : 0;
    return len > 3 && strcmp(option->value + len - 3, "...") == 0;
}

static ap_status take_option(ap_cli *cli, scan *words, ap_error *err) {
    ap_str inline_value = AP_STR_NONE;
    ap_str name = ap_str_split(ap_str_from(words->argv[words->at] + 2), '=', &inline_value);
    size_t own = option_index(cli->command, name);
    if (own != SIZE_MAX) {
        ap_str value = AP_STR_LIT("");
        if (cli->command->options[own].value) {
            ap_status status = take_value(&value, words, name, inline_value, err);
            if (status != AP_OK) {
                return status;
            }
        } else if (inline_value.ptr) {
            return ap_error_set(err, AP_E_USAGE, "--%.*s takes no value", AP_STR_ARG(name));
        }
        cli->option_values[own] =
            repeats(&cli->command->options[own]) && cli->option_values[own].ptr
                ? ap_arena_printf(&cli->arena, "%.*s\n%.*s", AP_STR_ARG(cli->option_values[own]), AP_STR_ARG(value))
                : value;
        return AP_OK;
    }
    for (size_t i = 0; i < GLOBAL_COUNT; i++) {
        if (ap_str_equal_word(name, globals[i].name)) {
            ap_str value = AP_STR_NONE;
            if (globals[i].takes_value) {
                ap_status status = take_value(&value, words, name, inline_value, err);
                if (status != AP_OK) {
                    return status;
                }
            }
            return set_global(cli, globals[i].which, value, err);
        }
    }
    return unknown_option(cli->command, name, err);
}

static bool is_known_option(ap_str name) {
    for (size_t g = 0; g < GLOBAL_COUNT; g++) {
        if (ap_str_equal_word(name, globals[g].name)) {
            return true;
        }
    }
    for (size_t c = 0; ap_commands[c]; c++) {
        bool known = option_index(ap_commands[c], name) != SIZE_MAX;
        for (size_t t = 0; !known && ap_commands[c]->topics && ap_commands[c]->topics[t]; t++) {
            known = option_index(ap_commands[c]->topics[t], name) != SIZE_MAX;
        }
        if (known) {
            return true;
        }
    }
    return false;
}

/* `at` is no command: perhaps because an option before it is none ("--complation bash"), or because it is meant as one. */
static ap_status unknown_command(int at, char *const *argv, ap_error *err) {
    const char *word = argv[at];
    for (int i = 1; i < at; i++) {
        ap_str rest = AP_STR_NONE;
        ap_str name = ap_str_split(ap_str_from(argv[i] + 2), '=', &rest);
        if (strncmp(argv[i], "--", 2) == 0 && !is_known_option(name)) {
            return unknown_option(NULL, name, err);
        }
    }
    if (word[0] == '-') {
        return ap_error_set(err, AP_E_USAGE,
                            "there is no option %s; options have two dashes, 'afterpick --help' lists them", word);
    }
    const char *near = NULL;
    const unsigned most = strlen(word) < 4 ? 1 : strlen(word) < 6 ? 2 : 3;
    unsigned best = most + 1;
    for (size_t i = 0; ap_commands[i]; i++) {
        unsigned distance = ap_str_distance(ap_str_from(word), ap_str_from(ap_commands[i]->name), most);
        near = distance < best ? ap_commands[i]->name : near;
        best = distance < best ? distance : best;
    }
    if (near) {
        return ap_error_set(err, AP_E_USAGE, "there is no command '%s'; did you mean '%s'?", word, near);
    }
    return ap_error_set(err, AP_E_USAGE, "there is no command '%s'; 'afterpick --help' lists them", word);
}

/* From `from` on, the first word that is neither an option nor an option's value; argc when there is none. */
static int first_word(ap_cli *cli, int argc, char *const *argv, int from) {
    for (int i = from; i < argc; i++) {
        if (strcmp(argv[i], "-h") == 0) {
            cli->help = true;
            continue;
        }
        if (strncmp(argv[i], "--", 2) != 0) {
            return i;
        }
        ap_str rest = AP_STR_NONE;
        ap_str name = ap_str_split(ap_str_from(argv[i] + 2), '=', &rest);
        i += any_takes_value(name) && !rest.ptr;
    }
    return argc;
}

/* "calc" and "volume" is the command named "calc volume". */
static const ap_command *find_topic(const ap_command *command, const char *word) {
    size_t len = strlen(command->name);
    for (size_t t = 0; command->topics && command->topics[t]; t++) {
        if (strcmp(command->topics[t]->name + len + 1, word) == 0) {
            return command->topics[t];
        }
    }
    return NULL;
}

/* The words of the command line that name the command; 0 when there is none (the program's own name). */
typedef struct named {
    int command_at;
    int topic_at;
} named;

/* Found before the options are read, so that these may stand in any order. */
static ap_status find_command(ap_cli *cli, named *at, int argc, char *const *argv, ap_error *err) {
    int first = first_word(cli, argc, argv, 1);
    if (first == argc) {
        return AP_OK;
    }
    cli->command = ap_command_find(ap_str_from(argv[first]));
    if (!cli->command) {
        return unknown_command(first, argv, err);
    }
    at->command_at = first;
    int second = first_word(cli, argc, argv, first + 1);
    const ap_command *topic = second < argc ? find_topic(cli->command, argv[second]) : NULL;
    if (topic) {
        cli->command = topic;
        at->topic_at = second;
    }
    return AP_OK;
}

ap_status ap_cli_parse(ap_cli *cli, int argc, char *const *argv, ap_error *err) {
    named at = {0, 0};
    ap_status status = find_command(cli, &at, argc, argv, err);
    if (status != AP_OK) {
        return status;
    }
    scan words = {argc, argv, 1};
    bool only_words = false;
    for (; words.at < argc; words.at++) {
        const char *word = argv[words.at];
        if (words.at == at.command_at || words.at == at.topic_at) {
            continue;
        }
        if (!only_words && strcmp(word, "--") == 0) {
            only_words = true;
        } else if (!only_words && strncmp(word, "--", 2) == 0) {
            status = take_option(cli, &words, err);
            if (status != AP_OK) {
                return status;
            }
        } else if (!only_words && strcmp(word, "-h") == 0) {
            cli->help = true;
        } else if (cli->word_count == AP_CLI_WORDS_MAX) {
            return ap_error_set(err, AP_E_USAGE, "more than %d words on the command line; name a folder instead",
                                AP_CLI_WORDS_MAX);
        } else {
            cli->words[cli->word_count++] = word;
        }
    }
    return AP_OK;
}

ap_str ap_cli_get(const ap_cli *cli, const char *option) {
    size_t index = option_index(cli->command, ap_str_from(option));
    return index == SIZE_MAX ? AP_STR_NONE : cli->option_values[index];
}

bool ap_cli_has(const ap_cli *cli, const char *option) {
    return ap_cli_get(cli, option).ptr != NULL;
}

ap_status ap_cli_get_date(ap_date *out, const ap_cli *cli, const char *option, ap_error *err) {
    ap_str value = ap_cli_get(cli, option);
    *out = AP_DATE_NONE;
    if (value.ptr && !ap_date_from_iso(out, value)) {
        return ap_error_set(err, AP_E_USAGE, "--%s '%.*s' is not a date; write it as 2026-10-31", option,
                            AP_STR_ARG(value));
    }
    return AP_OK;
}

ap_status ap_cli_get_why(ap_str *out, const ap_cli *cli, ap_error *err) {
    *out = ap_cli_get(cli, "why");
    if (ap_str_is_blank(*out)) {
        return ap_error_set(err, AP_E_USAGE, "a change needs its reason: add --why \"...\"");
    }
    return AP_OK;
}

ap_status ap_cli_need_words(const ap_cli *cli, size_t least, size_t most, const char *what, ap_error *err) {
    if (cli->word_count < least) {
        return ap_error_set(err, AP_E_USAGE, "'afterpick %s' needs %s; see 'afterpick %s --help'", cli->command->name,
                            what, cli->command->name);
    }
    if (cli->word_count > most) {
        return ap_error_set(err, AP_E_USAGE,
                            "'afterpick %s' does not know what to do with '%s'; see 'afterpick %s --help'",
                            cli->command->name, cli->words[most], cli->command->name);
    }
    return AP_OK;
}
