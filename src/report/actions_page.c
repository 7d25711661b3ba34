#include "report/actions_page.h"

#include "report/sentences.h"

#include <inttypes.h>

static ap_status read_effect(ap_action_line *line, const ap_roster *roster, ap_date until, ap_error *err) {
    line->has_effect = roster && line->action.measure.figure.ptr && ap_str_equal_word(line->action.state, "done");
    if (!line->has_effect) {
        return AP_OK;
    }
    return ap_effect_read(&line->effect, roster, &line->action, until, err);
}

ap_status ap_actions_read(ap_action_list *out, ap_arena *arena, ap_book *book, const ap_roster *roster, ap_date until,
                          ap_date today, int64_t writeup, ap_error *err) {
    ap_action *actions = NULL;
    size_t count = 0;
    ap_status status = ap_book_actions(&actions, &count, arena, book, writeup, err);
    ap_action_list list = {.lines = ap_arena_alloc_array(arena, count + 1, sizeof *list.lines)};
    if (status == AP_OK && !list.lines) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the actions");
    }
    ap_date last = until == AP_DATE_NONE ? today : until;
    for (size_t i = 0; status == AP_OK && i < count; i++) {
        ap_action_line line = {.action = actions[i]};
        if (line.action.opened > last) {
            continue;
        }
        if (line.action.closed != AP_DATE_NONE && line.action.closed > last) {
            line.action.state = AP_STR_LIT("open");
            line.action.closed = AP_DATE_NONE;
        }
        bool open = ap_str_equal_word(line.action.state, "open");
        line.overdue = open && line.action.due < last;
        list.open += open;
        list.overdue += line.overdue;
        list.done += ap_str_equal_word(line.action.state, "done");
        status = read_effect(&line, roster, last, err);
        list.lines[list.count++] = line;
    }
    if (status == AP_OK) {
        *out = list;
    }
    return status;
}

static bool shown(const ap_action_line *line, ap_action_show show) {
    bool open = ap_str_equal_word(line->action.state, "open");
    return show == AP_ACTIONS_ALL || (show == AP_ACTIONS_OPEN && open) || (show == AP_ACTIONS_OVERDUE && line->overdue);
}

static ap_str say_side(ap_doc *doc, const ap_effect *effect, const ap_effect_side *side) {
    if (side->picks == 0) {
        return AP_STR_LIT("no pick");
    }
    if (effect->figure == AP_EFFECT_BIAS) {
        return ap_doc_printf(doc, "%.2f (%zu picks, %zu trees)", side->value, side->picks, side->trees);
    }
    return ap_doc_printf(doc, "%zu of %zu (%.*s)", side->events, side->picks,
                         AP_STR_ARG(ap_doc_percent(doc, side->value, 0)));
}

static ap_str say_verdict(ap_doc *doc, const ap_action_line *line) {
    const ap_effect *effect = &line->effect;
    if (effect->after.picks == 0) {
        return AP_STR_LIT("nothing to compare yet");
    }
    if (effect->before.picks == 0) {
        return AP_STR_LIT("there is nothing from before to compare with");
    }
    if (effect->moved_down) {
        return AP_STR_LIT("lower, by more than chance explains");
    }
    if (effect->moved_up) {
        return AP_STR_LIT("higher, by more than chance explains");
    }
    if (effect->needed > effect->after.picks) {
        return ap_doc_printf(doc, "too early to say: half as many would show with about %zu picks, %zu are there",
                             effect->needed, effect->after.picks);
    }
    return AP_STR_LIT("no change that chance could not explain");
}

ap_str ap_effect_sentence(ap_doc *doc, const ap_action_line *line) {
    if (!line->action.measure.figure.ptr) {
        return AP_STR_LIT("no figure was named that should move");
    }
    if (!line->has_effect) {
        return AP_STR_LIT("not done yet: nothing to compare");
    }
    ap_str before = say_side(doc, &line->effect, &line->effect.before);
    ap_str after = say_side(doc, &line->effect, &line->effect.after);
    ap_str verdict = say_verdict(doc, line);
    return ap_doc_printf(doc, "before %.*s, since %.*s: %.*s", AP_STR_ARG(before), AP_STR_ARG(after),
                         AP_STR_ARG(verdict));
}

/* "share of picks over chart, silver maple, step cut" */
static ap_str say_figure(ap_doc *doc, const ap_action *action) {
    ap_effect_figure figure;
    const ap_action_measure *measure = &action->measure;
    if (!ap_effect_figure_find(&figure, measure->figure)) {
        return AP_STR_NONE;
    }
    bool crew = measure->crew.ptr != NULL;
    return ap_doc_printf(doc, "%s%s%.*s%s%.*s%s%.*s%s%.*s", ap_effect_figure_label(figure),
                         measure->species.ptr ? ", " : "", AP_STR_ARG(measure->species),
                         measure->cut.ptr ? ", cut " : "", AP_STR_ARG(measure->cut), crew ? ", crew " : "",
                         AP_STR_ARG(measure->crew), action->target.ptr ? "; target " : "", AP_STR_ARG(action->target));
}

static ap_str say_state(const ap_action_line *line) {
    return line->overdue ? AP_STR_LIT("overdue") : line->action.state;
}

void ap_actions_table(ap_doc *doc, const ap_action_list *list, ap_action_show show) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("action"), .label = AP_STR_LIT("no."), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("says"), .label = AP_STR_LIT("what is to be done"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("owner"), .label = AP_STR_LIT("by"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("due"), .label = AP_STR_LIT("due"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("state"), .label = AP_STR_LIT("state"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("figure"), .label = AP_STR_LIT("figure it should move"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("actions"),
                                   show == AP_ACTIONS_ALL    ? AP_STR_LIT("Actions agreed")
                                   : show == AP_ACTIONS_OPEN ? AP_STR_LIT("Actions still open")
                                                             : AP_STR_LIT("Actions past the day they were due"),
                                   columns, sizeof columns / sizeof *columns);
    ap_table_has_marks(table);
    ap_table_empty(table, show == AP_ACTIONS_ALL ? AP_STR_LIT("no action was agreed") : AP_STR_LIT("none"));
    for (size_t i = 0; i < list->count; i++) {
        const ap_action_line *line = &list->lines[i];
        if (!shown(line, show)) {
            continue;
        }
        ap_table_row(table);
        ap_table_value(table, (double)line->action.id);
        ap_table_text(table, line->action.says);
        ap_table_text(table, line->action.owner);
        ap_table_date(table, line->action.due);
        ap_table_text(table, line->action.state);
        ap_table_text(table, say_figure(doc, &line->action));
        if (line->overdue) {
            ap_table_row_mark(table, AP_STR_LIT("overdue"));
        }
    }
}

static ap_str answer(ap_doc *doc, const ap_action_list *list) {
    if (list->count == 0) {
        return AP_STR_LIT("No action was agreed yet: 'afterpick action add' keeps one.");
    }
    ap_str overdue = list->overdue ? ap_doc_printf(doc, "open (%zu overdue)", list->overdue) : AP_STR_LIT("open");
    const ap_say_part parts[] = {{list->open, overdue.ptr, NULL}, {list->done, "done", NULL}};
    return ap_doc_printf(doc, "%.*s: %.*s.", AP_STR_ARG(ap_say_count(doc, list->count, "action")),
                         AP_STR_ARG(ap_say_parts(doc, parts, sizeof parts / sizeof *parts)));
}

void ap_actions_page(ap_doc *doc, const ap_action_list *list, ap_action_show show) {
    ap_doc_answer(doc, answer(doc, list));
    ap_actions_table(doc, list, show);
    bool effects = false;
    for (size_t i = 0; show == AP_ACTIONS_ALL && i < list->count; i++) {
        const ap_action_line *line = &list->lines[i];
        if (line->has_effect) {
            effects = true;
            ap_doc_list_item(doc, ap_doc_printf(doc, "Action %" PRId64 ", done on %.*s: %.*s.", line->action.id,
                                                AP_STR_ARG(ap_doc_date(doc, line->action.closed)),
                                                AP_STR_ARG(ap_effect_sentence(doc, line))));
        }
    }
    if (effects) {
        ap_doc_working_begin(doc, AP_STR_NONE);
        ap_doc_paragraph(
            doc,
            AP_STR_LIT(
                "A figure is taken over the picks of the twelve months before the action was agreed and over those "
                "after the day it was done. Lower or higher is said only when the 90 % interval of the difference "
                "leaves 0 out (Newcombe 1998, method 10, on counts divided by the design effect of picks that "
                "share a tree; for measured against planned, Welch's interval over trees)."));
        ap_doc_working_end(doc);
    }
}

void ap_action_page(ap_doc *doc, const ap_action_line *line, const ap_action_change *changes, size_t count) {
    const ap_action *action = &line->action;
    ap_doc_answer(doc, ap_doc_printf(doc, "Action %" PRId64 ": %.*s", action->id, AP_STR_ARG(action->says)));
    ap_doc_list_item(doc, ap_doc_printf(doc, "by: %.*s", AP_STR_ARG(action->owner)));
    ap_doc_list_item(doc, ap_doc_printf(doc, "due: %.*s (%.*s)", AP_STR_ARG(ap_doc_date(doc, action->due)),
                                        AP_STR_ARG(say_state(line))));
    if (action->control.ptr) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "kind of measure: %.*s", AP_STR_ARG(action->control)));
    }
    if (action->writeup) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "follows from write-up %" PRId64, action->writeup));
    }
    if (action->finding) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "follows from finding %" PRId64, action->finding));
    }
    if (action->measure.figure.ptr) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "should move: %.*s", AP_STR_ARG(say_figure(doc, action))));
        ap_doc_list_item(doc, ap_doc_printf(doc, "did it: %.*s", AP_STR_ARG(ap_effect_sentence(doc, line))));
    }
    const ap_column columns[] = {
        {.key = AP_STR_LIT("date"), .label = AP_STR_LIT("date"), .kind = AP_CELL_DATE},
        {.key = AP_STR_LIT("field"), .label = AP_STR_LIT("what"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("from"), .label = AP_STR_LIT("from"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("to"), .label = AP_STR_LIT("to"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("by"), .label = AP_STR_LIT("by"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("why"), .label = AP_STR_LIT("why"), .kind = AP_CELL_TEXT},
    };
    ap_table *table =
        ap_doc_table(doc, AP_STR_LIT("history"), AP_STR_LIT("What changed since it was agreed"), columns, 6);
    ap_table_empty(table, AP_STR_LIT("nothing"));
    for (size_t i = 0; i < count; i++) {
        ap_table_row(table);
        ap_table_date(table, changes[i].changed_on);
        ap_table_text(table, changes[i].field);
        ap_table_text(table, changes[i].old_value);
        ap_table_text(table, changes[i].new_value);
        ap_table_text(table, changes[i].who);
        ap_table_text(table, changes[i].why);
    }
}

static void side_json(ap_json *json, const char *key, const ap_effect_side *side, bool share) {
    ap_json_key(json, key);
    ap_json_object_begin(json);
    ap_json_put_int(json, "picks", (int64_t)side->picks);
    ap_json_put_int(json, "trees", (int64_t)side->trees);
    if (share) {
        ap_json_put_int(json, "events", (int64_t)side->events);
    }
    ap_json_put_number(json, "value", side->value);
    ap_json_put_number(json, "low", side->low);
    ap_json_put_number(json, "high", side->high);
    ap_json_object_end(json);
}

void ap_action_json(ap_json *json, const ap_action_line *line) {
    const ap_action *action = &line->action;
    ap_json_object_begin(json);
    ap_json_put_int(json, "action", action->id);
    ap_json_put_text(json, "says", action->says);
    ap_json_put_text(json, "control", action->control);
    ap_json_put_text(json, "owner", action->owner);
    ap_json_put_date(json, "due", action->due);
    ap_json_put_text(json, "state", action->state);
    ap_json_put_bool(json, "overdue", line->overdue);
    ap_json_put_date(json, "agreed_on", action->opened);
    ap_json_put_date(json, "closed_on", action->closed);
    ap_json_key(json, "writeup");
    action->writeup ? ap_json_int(json, action->writeup) : ap_json_null(json);
    ap_json_key(json, "finding");
    action->finding ? ap_json_int(json, action->finding) : ap_json_null(json);
    ap_json_put_text(json, "figure", action->measure.figure);
    ap_json_put_text(json, "species", action->measure.species);
    ap_json_put_text(json, "cut", action->measure.cut);
    ap_json_put_text(json, "crew", action->measure.crew);
    ap_json_put_text(json, "target", action->target);
    ap_json_key(json, "effect");
    if (line->has_effect) {
        const ap_effect *effect = &line->effect;
        bool share = effect->figure != AP_EFFECT_BIAS;
        ap_json_object_begin(json);
        side_json(json, "before", &effect->before, share);
        side_json(json, "after", &effect->after, share);
        ap_json_put_number(json, "difference", effect->has_difference ? effect->difference : NAN);
        ap_json_put_number(json, "low", effect->has_difference ? effect->low : NAN);
        ap_json_put_number(json, "high", effect->has_difference ? effect->high : NAN);
        ap_json_put_text(json, "moved",
                         effect->moved_down ? AP_STR_LIT("down")
                         : effect->moved_up ? AP_STR_LIT("up")
                                            : AP_STR_NONE);
        ap_json_object_end(json);
    } else {
        ap_json_null(json);
    }
    ap_json_object_end(json);
}

void ap_actions_json(ap_json *json, const ap_action_list *list, ap_action_show show) {
    ap_json_object_begin(json);
    ap_json_put_int(json, "open", (int64_t)list->open);
    ap_json_put_int(json, "overdue", (int64_t)list->overdue);
    ap_json_put_int(json, "done", (int64_t)list->done);
    ap_json_key(json, "actions");
    ap_json_array_begin(json);
    for (size_t i = 0; i < list->count; i++) {
        if (shown(&list->lines[i], show)) {
            ap_action_json(json, &list->lines[i]);
        }
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}
