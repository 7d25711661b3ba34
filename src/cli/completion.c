/* Completion for bash, written from the table of commands, so that it knows every command and option there is. */
#include "cli/cli.h"

/* Single words in small letters are typed as they stand ("us", "keep"); NAME and DATE stand for something. */
static bool is_typed(ap_str word) {
    for (size_t i = 0; i < word.len; i++) {
        bool small = word.ptr[i] >= 'a' && word.ptr[i] <= 'z';
        if (!small && !(word.ptr[i] == '-' && i > 0)) {
            return false;
        }
    }
    return word.len > 1;
}

/* The next word between spaces, brackets and the marks in `also`; false at the end. */
static bool take_word(ap_str *word, ap_str *rest, const char *also) {
    size_t at = 0;
    while (at < rest->len && strchr(" []()\n", rest->ptr[at])) {
        at++;
    }
    size_t end = at;
    while (end < rest->len && !strchr(" []()\n", rest->ptr[end]) && !strchr(also, rest->ptr[end])) {
        end++;
    }
    *word = (ap_str){rest->ptr + at, end - at};
    bool any = at < rest->len;
    end += end < rest->len;
    *rest = (ap_str){rest->ptr + end, rest->len - end};
    return any;
}

/* Where a walk over a usage stands. */
typedef struct verbs {
    ap_str rest, words;
    bool option, of_option;
} verbs;

/* The next word of the usage that is typed ("list | show N"), but not one that is an option's value; false at the end. */
static bool take_verb(ap_str *verb, verbs *at) {
    for (;;) {
        while (!at->option && !at->of_option && take_word(verb, &at->words, "|")) {
            if (is_typed(*verb)) {
                return true;
            }
        }
        at->of_option = at->option;
        if (!take_word(&at->words, &at->rest, "")) {
            return false;
        }
        at->option = ap_str_starts(at->words, AP_STR_LIT("--"));
    }
}

static void put_verbs(ap_sink *out, const char *usage) {
    verbs at = {.rest = ap_str_from(usage)};
    ap_str verb = AP_STR_NONE;
    while (take_verb(&verb, &at)) {
        ap_sink_printf(out, " %.*s", AP_STR_ARG(verb));
    }
}

/* One slip for a short word, two for a longer one. */
static unsigned slips(ap_str word) {
    return word.len < 4 ? 1 : 2;
}

static void take_nearer(ap_str *near, unsigned *best, ap_str word, ap_str other) {
    unsigned distance = ap_str_distance(word, other, slips(word));
    *near = distance < *best ? other : *near;
    *best = distance < *best ? distance : *best;
}

ap_str ap_cli_near_verb(const ap_command *command, ap_str word) {
    ap_str near = AP_STR_NONE;
    unsigned best = slips(word) + 1;
    verbs at = {.rest = ap_str_from(command->usage)};
    ap_str verb = AP_STR_NONE;
    while (take_verb(&verb, &at)) {
        take_nearer(&near, &best, word, verb);
    }
    for (size_t t = 0; command->topics && command->topics[t]; t++) {
        take_nearer(&near, &best, word, ap_str_from(command->topics[t]->name + strlen(command->name) + 1));
    }
    return near;
}

static void put_choices(ap_sink *out, const ap_command *command, const ap_cli_option *option) {
    ap_str rest = ap_str_from(option->value);
    ap_str word = AP_STR_NONE;
    const char *several = NULL;
    const bool any = ap_cli_choice(&several, command, option, 0) != NULL;
    ap_sink_printf(out, " --%s) only=1; several=%s; words='", option->name, several ? several : "");
    for (size_t i = 0; any && ap_cli_choice(&several, command, option, i); i++) {
        ap_sink_printf(out, " %s", ap_cli_choice(&several, command, option, i));
    }
    while (take_word(&word, &rest, "|,")) {
        if (is_typed(word)) {
            ap_sink_printf(out, " %.*s", AP_STR_ARG(word));
        }
    }
    ap_sink_puts(out, "' ;;");
}

static void put_command(ap_sink *out, const ap_command *command, bool topic) {
    ap_sink_printf(out, "        '%s%s'*)\n            words='", command->name, topic ? "" : " ");
    put_verbs(out, command->usage);
    for (size_t t = 0; command->topics && command->topics[t]; t++) {
        ap_sink_printf(out, " %s", command->topics[t]->name + strlen(command->name) + 1);
    }
    ap_sink_puts(out, "'\n            options=\"$options");
    bool valued = false;
    for (const ap_cli_option *option = command->options; option && option->name; option++) {
        ap_sink_printf(out, " --%s", option->name);
        valued = valued || option->value;
    }
    ap_sink_puts(out, "\"\n");
    if (valued) {
        ap_sink_puts(out, "            case $before in");
        for (const ap_cli_option *option = command->options; option->name; option++) {
            if (option->value) {
                put_choices(out, command, option);
            }
        }
        ap_sink_puts(out, " esac\n");
    }
    ap_sink_puts(out, "            ;;\n");
}

static const char head[] = "# bash completion for afterpick, written by 'afterpick --completion bash'\n"
                           "_afterpick() {\n"
                           "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]}\n"
                           "    local command='' second='' only='' several='' words='' i\n"
                           "    local options='";

static const char tail[] =
    "    esac\n"
    "    case $before in --units) only=1; words='us metric' ;;"
    " --book | --as | --today) only=1; words='' ;; esac\n"
    "    if [[ -z $only && $word == -* ]]; then words=$options; fi\n"
    /* "species,cut": what is being typed is the part behind the last comma; a word is not offered twice */
    "    if [[ -n $several && $word == *,* ]]; then\n"
    "        local given=${word%,*} more=''\n"
    "        for i in $words; do [[ $several == once && ,$given, == *,$i,* ]] || more+=\" $given,$i\"; done\n"
    "        words=$more\n"
    "    fi\n"
    "    COMPREPLY=($(compgen -W \"$words\" -- \"$word\"))\n"
    "}\n"
    "complete -o default -F _afterpick afterpick\n";

ap_status ap_cli_completion(ap_sink *out, const char *shell, ap_error *err) {
    if (!shell || strcmp(shell, "bash") != 0) {
        return ap_error_set(err, AP_E_USAGE, "--completion is made for bash: 'afterpick --completion bash'");
    }
    ap_sink_puts(out, head);
    ap_cli_put_globals(out, " --", false);
    ap_sink_puts(out, "'\n"
                      "    for ((i = 1; i < COMP_CWORD; i++)); do\n"
                      "        case ${COMP_WORDS[i]} in\n"
                      "            --none");
    ap_cli_put_globals(out, " | --", true);
    for (size_t c = 0; ap_commands[c]; c++) {
        for (const ap_cli_option *option = ap_commands[c]->options; option && option->name; option++) {
            if (option->value) {
                ap_sink_printf(out, " | --%s", option->name);
            }
        }
    }
    ap_sink_puts(out, ") ((i++)) ;;\n"
                      "            -*) ;;\n"
                      "            *) if [[ -z $command ]]; then command=${COMP_WORDS[i]};"
                      " elif [[ -z $second ]]; then second=${COMP_WORDS[i]}; fi ;;\n"
                      "        esac\n"
                      "    done\n"
                      "    case \"$command $second\" in\n"
                      "        ' ') words='");
    for (size_t c = 0; ap_commands[c]; c++) {
        ap_sink_printf(out, " %s", ap_commands[c]->name);
    }
    ap_sink_puts(out, "'; options=\"$options --version --completion\" ;;\n");
    for (size_t c = 0; ap_commands[c]; c++) {
        for (size_t t = 0; ap_commands[c]->topics && ap_commands[c]->topics[t]; t++) {
            put_command(out, ap_commands[c]->topics[t], true);
        }
        put_command(out, ap_commands[c], false);
    }
    ap_sink_puts(out, tail);
    return AP_OK;
}
