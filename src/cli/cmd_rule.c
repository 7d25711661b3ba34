#include "cli/amount.h"
#include "cli/commands.h"
#include "cli/rule_phrases.h"
#include "report/rules_page.h"
#include "text/quantity.h"

static ap_status unknown_rule(const char *name, ap_error *err) {
    const char *near = NULL;
    unsigned best = 4;
    for (size_t i = 0; i < ap_rule_count(); i++) {
        unsigned distance = ap_str_distance(ap_str_from(name), ap_str_from(ap_rule_get(i)->name), 3);
        near = distance < best ? ap_rule_get(i)->name : near;
        best = distance < best ? distance : best;
    }
    return ap_error_set(err, AP_E_USAGE, "there is no rule '%s'; %s%s%s", name,
                        near ? "did you mean '" : "'afterpick rule'", near ? near : " lists them", near ? "'?" : "");
}

static ap_status write_rules(ap_cli *cli, const ap_rule *rule, ap_error *err) {
    ap_rules_read rules;
    ap_rule_change *changes = NULL;
    size_t count = 0;
    ap_status status = ap_rules_read_all(&rules, &cli->arena, cli->book, &cli->settings, err);
    if (status == AP_OK && rule) {
        status = ap_book_rule_history(&changes, &count, &cli->arena, cli->book, ap_str_from(rule->name), err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_doc *doc = ap_cli_doc(cli, rule ? "Rule" : "Rules", AP_STR_NONE);
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_rules_json(&json, doc, &rules, rule);
        return ap_cli_json_end(cli);
    }
    if (rule) {
        ap_rule_page(doc, &rules, rule, changes, count);
    } else {
        ap_rules_page(doc, &rules);
    }
    return ap_cli_write(cli, doc, err);
}

/* "length=5", "distance='4 ft'" -> the limit and its value in SI. */
static ap_status parse_change(const ap_limit **limit, double *value, const ap_rule *rule, const char *word,
                              ap_error *err) {
    ap_str rest = AP_STR_NONE;
    ap_str key = ap_str_trim(ap_str_split(ap_str_from(word), '=', &rest));
    if (!rest.ptr) {
        return ap_error_set(err, AP_E_USAGE, "'%s' is not KEY=VALUE", word);
    }
    *limit = ap_limit_find(ap_str_from(rule->name), key);
    if (!*limit) {
        return ap_error_set(err, AP_E_USAGE, "the rule '%s' has no limit '%.*s'; 'afterpick rule %s' lists them",
                            rule->name, AP_STR_ARG(key), rule->name);
    }
    ap_dim dim = (*limit)->dim;
    if (dim == AP_DIM_NONE) {
        return ap_cli_read_amount(value, ap_str_trim(rest))
                   ? AP_OK
                   : ap_error_set(err, AP_E_INPUT, "%s '%.*s' is not a plain number; write it in digits, as 4 or 3.5",
                                  (*limit)->key, AP_STR_ARG(rest));
    }
    ap_quantity_rules rules = {
        .dim = dim, .decimal = '.', .default_unit = dim == AP_DIM_ANGLE ? AP_UNIT_DEG : AP_UNIT_NONE};
    ap_quantity quantity;
    ap_refusal why;
    if (!ap_quantity_read(&quantity, ap_str_trim(rest), &rules, &why)) {
        return ap_error_set(err, AP_E_INPUT, "%s '%.*s': %s; %s", (*limit)->key, AP_STR_ARG(rest), why.reason,
                            why.remedy);
    }
    *value = quantity.value;
    return AP_OK;
}

static ap_status change(ap_cli *cli, ap_error *err) {
    const ap_rule *rule = ap_rule_find(ap_str_from(cli->words[1]));
    if (!rule) {
        return unknown_rule(cli->words[1], err);
    }
    ap_str why;
    ap_status status = ap_cli_begin_change(&why, cli, err);
    if (status != AP_OK) {
        return status;
    }
    const ap_book_author author = ap_cli_author(cli);
    for (size_t w = 2; w < cli->word_count && status == AP_OK; w++) {
        const ap_limit *limit = NULL;
        ap_str rest = AP_STR_NONE;
        double value = 0;
        status = parse_change(&limit, &value, rule, cli->words[w], err);
        for (size_t before = 2; before < w && status == AP_OK; before++) {
            ap_str key = ap_str_trim(ap_str_split(ap_str_from(cli->words[before]), '=', &rest));
            status = ap_limit_find(ap_str_from(rule->name), key) == limit
                         ? ap_error_set(err, AP_E_USAGE, "'%s' is set twice in one change", limit->key)
                         : AP_OK;
        }
        if (status == AP_OK) {
            status = ap_limit_change(cli->book, limit, value, ap_cli_units(cli), why, &author, err);
        }
    }
    status = ap_book_end(cli->book, status, err);
    return status == AP_OK && !cli->quiet ? write_rules(cli, rule, err) : status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    if (ap_cli_about_phrases(cli)) {
        return ap_cli_phrases(cli, err);
    }
    if (cli->word_count && strcmp(cli->words[0], "set") == 0) {
        if (cli->word_count < 3) {
            return ap_error_set(err, AP_E_USAGE, "a change is 'afterpick rule set NAME KEY=VALUE --why \"...\"'");
        }
        return change(cli, err);
    }
    const ap_rule *rule = NULL;
    ap_status status = ap_cli_need_words(cli, 0, 1, "the name of a rule", err);
    if (status == AP_OK && cli->word_count) {
        rule = ap_rule_find(ap_str_from(cli->words[0]));
        status = rule ? AP_OK : unknown_rule(cli->words[0], err);
    }
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_READ, err);
    }
    return status == AP_OK ? write_rules(cli, rule, err) : status;
}

static const ap_cli_option options[] = {
    {"why", "TEXT", "the reason of a change; kept in the book"},
    {0},
};

const ap_command ap_command_rule = {
    .name = "rule",
    .group = "SET UP",
    .summary = "what makes a finding: the rules, their limits, a change of one",
    .usage = "[NAME | phrases | try TEXT | set NAME KEY=VALUE ... --why TEXT]",
    .about =
        "The rules in words, each with its limits, why they are what they are, and from where. A limit with a unit is\n"
        "written with it: 'distance=4 ft'. Every change keeps the old value, who, when and why.\n"
        "'phrases' lists the words that notes are searched for; 'try' shows what they find in a text. One of your "
        "own:\n"
        "set phrase:NAME class=sling pattern='...' find='a line it must find' leave='a line it must leave alone'.",
    .example = "afterpick --book demo/demo.book rule set shock ratio=1.2 --why 'our slings stretch more'",
    .options = options,
    .run = run,
};
