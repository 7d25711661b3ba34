#include <inttypes.h>

#include "book/species.h"
#include "cli/commands.h"
#include "cli/period.h"
#include "report/actions_page.h"

static const char *const controls[] = {"elimination", "substitution", "engineering", "administrative",
                                       "protective equipment"};

static ap_status list_actions(ap_cli *cli, ap_action_show show, ap_error *err) {
    ap_action_list list;
    ap_roster roster = {0};
    ap_status status = ap_cli_open_roster(&roster, cli, AP_DATE_NONE, err);
    if (status == AP_OK) {
        status = ap_actions_read(&list, &cli->arena, cli->book, &roster, AP_DATE_NONE, cli->today, 0, err);
    }
    ap_roster_release(&roster);
    if (status != AP_OK) {
        return status;
    }
    cli->attention = show == AP_ACTIONS_OVERDUE && list.overdue > 0;
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_actions_json(&json, &list, show);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Actions", AP_STR_NONE);
    ap_actions_page(doc, &list, show);
    return ap_cli_write(cli, doc, err);
}

static ap_status number_of(int64_t *out, const char *word, const char *what, ap_error *err) {
    if (!ap_str_to_int64(out, ap_str_from(word)) || *out <= 0) {
        return ap_error_set(err, AP_E_USAGE, "'%s' is not the number of %s", word, what);
    }
    return AP_OK;
}

static ap_status show_action(ap_cli *cli, ap_error *err) {
    int64_t id;
    ap_action_list list;
    ap_action action;
    ap_action_change *changes = NULL;
    size_t count = 0;
    ap_roster roster = {0};
    ap_status status = number_of(&id, cli->words[1], "an action", err);
    if (status == AP_OK) {
        status = ap_cli_open_roster(&roster, cli, AP_DATE_NONE, err);
    }
    if (status == AP_OK) {
        status = ap_book_action_get(&action, &cli->arena, cli->book, id, err);
    }
    if (status == AP_OK) {
        status = ap_actions_read(&list, &cli->arena, cli->book, &roster, AP_DATE_NONE, cli->today, 0, err);
    }
    if (status == AP_OK) {
        status = ap_book_action_history(&changes, &count, &cli->arena, cli->book, id, err);
    }
    ap_roster_release(&roster);
    if (status != AP_OK) {
        return status;
    }
    ap_action_line line = {.action = action};
    for (size_t i = 0; i < list.count; i++) {
        line = list.lines[i].action.id == id ? list.lines[i] : line;
    }
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_action_json(&json, &line);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Action", AP_STR_NONE);
    ap_action_page(doc, &line, changes, count);
    return ap_cli_write(cli, doc, err);
}

static ap_str given(const ap_cli *cli, const char *option) {
    ap_str value = ap_str_trim(ap_cli_get(cli, option));
    return value.len ? value : AP_STR_NONE;
}

static ap_status read_control(ap_str *out, ap_str text, ap_error *err) {
    *out = AP_STR_NONE;
    for (size_t i = 0; text.ptr && i < sizeof controls / sizeof *controls; i++) {
        if (ap_str_equal_word(text, controls[i])) {
            *out = text;
        }
    }
    if (text.ptr && !out->ptr) {
        return ap_error_set(err, AP_E_USAGE,
                            "--control '%.*s': write elimination, substitution, engineering, administrative or "
                            "'protective equipment'",
                            AP_STR_ARG(text));
    }
    return AP_OK;
}

static ap_status read_figure(ap_action *out, const ap_cli *cli, ap_error *err) {
    ap_effect_figure figure;
    out->measure = (ap_action_measure){.figure = given(cli, "figure"),
                                       .species = given(cli, "species"),
                                       .cut = given(cli, "cut"),
                                       .crew = given(cli, "crew")};
    const ap_action_measure *measure = &out->measure;
    if (!measure->figure.ptr && (measure->species.ptr || measure->cut.ptr || measure->crew.ptr)) {
        return ap_error_set(err, AP_E_USAGE, "--species, --cut and --crew go with --figure: which figure should move?");
    }
    if (measure->figure.ptr && !ap_effect_figure_find(&figure, measure->figure)) {
        return ap_error_set(err, AP_E_USAGE,
                            "--figure '%.*s': write heavier, bias, over-chart, moved, near-miss, re-rig or unweighed",
                            AP_STR_ARG(measure->figure));
    }
    int cut = measure->cut.ptr ? ap_word_find(AP_VOC_CUT, measure->cut) : 0;
    if (measure->cut.ptr && !cut) {
        return ap_error_set(err, AP_E_USAGE, "--cut '%.*s' is none; write through, step, hinge, angled or snap",
                            AP_STR_ARG(measure->cut));
    }
    out->measure.cut = cut ? ap_str_from(ap_word_get(AP_VOC_CUT, cut)) : AP_STR_NONE;
    return AP_OK;
}

static ap_status read_source(int64_t *out, ap_str text, const char *option, ap_error *err) {
    *out = 0;
    if (text.ptr && (!ap_str_to_int64(out, text) || *out <= 0)) {
        return ap_error_set(err, AP_E_USAGE, "--%s '%.*s' is not a number", option, AP_STR_ARG(text));
    }
    return AP_OK;
}

static ap_status read_action(ap_action *out, const ap_cli *cli, ap_error *err) {
    *out = (ap_action){.says = ap_str_trim(ap_str_from(cli->words[1])),
                       .owner = given(cli, "owner"),
                       .target = given(cli, "target"),
                       .due = AP_DATE_NONE,
                       .closed = AP_DATE_NONE};
    if (!out->owner.ptr) {
        return ap_error_set(err, AP_E_USAGE, "an action needs the role that does it: add --owner \"lead climber\"");
    }
    ap_status status = ap_cli_get_date(&out->due, cli, "due", err);
    if (status == AP_OK && out->due == AP_DATE_NONE) {
        status = ap_error_set(err, AP_E_USAGE, "an action needs the day it is due: add --due 2026-11-30");
    }
    if (status == AP_OK && out->due < cli->today) {
        status = ap_error_set(err, AP_E_USAGE, "--due lies before today: an action is agreed for a day to come");
    }
    if (status == AP_OK) {
        status = read_control(&out->control, given(cli, "control"), err);
    }
    if (status == AP_OK) {
        status = read_figure(out, cli, err);
    }
    if (status == AP_OK) {
        status = read_source(&out->writeup, given(cli, "writeup"), "writeup", err);
    }
    if (status == AP_OK) {
        status = read_source(&out->finding, given(cli, "finding"), "finding", err);
    }
    return status;
}

static ap_status add_action(ap_cli *cli, ap_error *err) {
    ap_action action;
    int64_t id = 0;
    const ap_species *species = NULL;
    const ap_book_author author = ap_cli_author(cli);
    ap_status status = read_action(&action, cli, err);
    if (status == AP_OK && action.says.len == 0) {
        status = ap_error_set(err, AP_E_USAGE, "say what is to be done: 'afterpick action add \"WHAT\" ...'");
    }
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_WRITE, err);
    }
    if (status == AP_OK && action.measure.species.ptr) {
        status = ap_book_species_find(&species, cli->book, action.measure.species, err);
        action.measure.species = species ? species->common : AP_STR_NONE;
    }
    if (status == AP_OK) {
        status = ap_book_begin(cli->book, err);
    }
    if (status != AP_OK) {
        return status;
    }
    status = ap_book_action_add(&id, cli->book, &action, &author, err);
    status = ap_book_end(cli->book, status, err);
    if (status == AP_OK && !cli->quiet) {
        ap_cli_say(cli, cli->out,
                   "action %" PRId64 " is kept: 'afterpick action done %" PRId64 " --why ...' closes it\n", id, id);
    }
    return status;
}

/* done, drop and move */
static ap_status change_action(ap_cli *cli, const char *verb, ap_error *err) {
    int64_t id;
    ap_str why;
    ap_action before;
    ap_date due = AP_DATE_NONE;
    const ap_book_author author = ap_cli_author(cli);
    bool move = strcmp(verb, "move") == 0;
    ap_status status = number_of(&id, cli->words[1], "an action", err);
    if (status == AP_OK) {
        status = ap_cli_get_date(&due, cli, "due", err);
    }
    if (status == AP_OK && move && due == AP_DATE_NONE && !given(cli, "owner").ptr) {
        status = ap_error_set(err, AP_E_USAGE, "say what changes: --due DATE, --owner ROLE or both");
    }
    if (status == AP_OK) {
        status = ap_cli_begin_change(&why, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    status = ap_book_action_get(&before, &cli->arena, cli->book, id, err);
    if (status == AP_OK && !ap_str_equal_word(before.state, "open")) {
        status = ap_error_set(err, AP_E_DOMAIN, "action %" PRId64 " is %.*s already", id, AP_STR_ARG(before.state));
    }
    ap_action changed = before;
    if (status == AP_OK && move) {
        changed.due = due == AP_DATE_NONE ? before.due : due;
        changed.owner = given(cli, "owner").ptr ? given(cli, "owner") : before.owner;
    } else if (status == AP_OK) {
        changed.state = strcmp(verb, "done") == 0 ? AP_STR_LIT("done") : AP_STR_LIT("dropped");
    }
    if (status == AP_OK) {
        status = ap_book_action_change(cli->book, &before, &changed, why, &author, err);
    }
    status = ap_book_end(cli->book, status, err);
    if (status == AP_OK && !cli->quiet) {
        ap_cli_say(cli, cli->out, "action %" PRId64 " is %.*s\n", id,
                   AP_STR_ARG(move ? AP_STR_LIT("changed") : changed.state));
    }
    return status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    const char *verb = cli->word_count ? cli->words[0] : "list";
    static const char *const changes[] = {"done", "drop", "move"};
    if (strcmp(verb, "list") == 0 || strcmp(verb, "overdue") == 0) {
        ap_status status = ap_cli_need_words(cli, 0, 1, "no word more", err);
        return status == AP_OK ? list_actions(cli, verb[0] == 'l' ? AP_ACTIONS_ALL : AP_ACTIONS_OVERDUE, err) : status;
    }
    ap_status status =
        ap_cli_need_words(cli, 2, 2, strcmp(verb, "add") == 0 ? "what is to be done" : "the number of an action", err);
    if (status == AP_OK && strcmp(verb, "add") == 0) {
        return add_action(cli, err);
    }
    if (status == AP_OK && strcmp(verb, "show") == 0) {
        return show_action(cli, err);
    }
    for (size_t i = 0; status == AP_OK && i < 3; i++) {
        if (strcmp(verb, changes[i]) == 0) {
            return change_action(cli, verb, err);
        }
    }
    return status != AP_OK
               ? status
               : ap_error_set(err, AP_E_USAGE,
                              "'afterpick action' knows list, overdue, show, add, done, move and drop, not '%s'", verb);
}

static const ap_cli_option options[] = {
    {"owner", "ROLE", "add, move: the role that does it"},
    {"due", "DATE", "add, move: the day it is due"},
    {"control", "WORD", "add: elimination, substitution, engineering, administrative, 'protective equipment'"},
    {"figure", "WORD", "add: heavier, bias, over-chart, moved, near-miss, re-rig or unweighed: what should move"},
    {"species", "NAME", "add: only picks of this species"},
    {"cut", "WORD", "add: only picks of this cut"},
    {"crew", "NAME", "add: only picks of this crew"},
    {"target", "TEXT", "add: where the figure should get to"},
    {"writeup", "N", "add: the write-up it follows from"},
    {"finding", "N", "add: the finding it follows from"},
    {"why", "TEXT", "done, move, drop: the reason, or what was done"},
    {0},
};

const ap_command ap_command_action = {
    .name = "action",
    .group = "MONTH",
    .summary = "what was agreed, by whom and when, and whether the figure moved",
    .usage = "[list | overdue | show N | add WHAT --owner ROLE --due DATE ... | done N | move N | drop N]",
    .about = "An action names a role, a day and, where it can, the figure that should move. When it is done, the "
             "figure of the\n"
             "twelve months before is set against the picks since, with honest words when it is too early to say.\n"
             "'overdue' ends with code 1 when there is one.",
    .example = "afterpick --book demo/demo.book action",
    .options = options,
    .run = run,
};
