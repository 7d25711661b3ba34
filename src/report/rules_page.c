#include "report/rules_page.h"

#include "page/number.h"

ap_status ap_rules_read_all(ap_rules_read *out, ap_arena *arena, ap_book *book, const ap_settings *settings,
                            ap_error *err) {
    *out = (ap_rules_read){.arena = arena, .settings = *settings};
    ap_status status = ap_limits_read(&out->limits, book, err);
    return status == AP_OK ? ap_book_rules(&out->rows, &out->count, arena, book, err) : status;
}

static int decimals(double value) {
    static const double tens[] = {1, 10, 100, 1000};
    for (int digits = 0; digits < 4; digits++) {
        double scaled = fabs(value) * tens[digits];
        if (fabs(scaled - floor(scaled + 0.5)) <= 1e-6 * scaled) {
            return digits;
        }
    }
    return 4;
}

/* "1,100 lb"; "about 1,100 lb" where it is a round number in the other unit, 500 kg. */
static ap_str load_limit(ap_doc *doc, double kg) {
    double shown = ap_quantity_value(ap_doc_units(doc), AP_DIM_LOAD, false, kg);
    ap_str exact = ap_doc_quantity(doc, AP_DIM_LOAD, kg, false);
    bool whole = fabs(shown - floor(shown + 0.5)) <= 1e-6 * shown;
    return whole ? exact : ap_doc_printf(doc, "about %.*s", AP_STR_ARG(ap_doc_about(doc, AP_DIM_LOAD, kg)));
}

ap_str ap_say_limit(ap_doc *doc, const ap_limit *limit, double value) {
    switch (limit->dim) {
    case AP_DIM_SHARE:
        return ap_doc_percent(doc, value, decimals(value * 100));
    case AP_DIM_LOAD:
        return load_limit(doc, value);
    case AP_DIM_LENGTH:
    case AP_DIM_ANGLE:
        return ap_doc_quantity(doc, limit->dim, value, false);
    default:
        return ap_doc_number(doc, value, decimals(value));
    }
}

/* {key}: a limit of the rule, else a setting that is a share. */
static ap_str filled(ap_doc *doc, const ap_rule *rule, ap_str key, const ap_rule_limits *limits,
                     const ap_settings *settings) {
    const ap_limit *limit = ap_limit_find(ap_str_from(rule->name), key);
    if (limit) {
        return ap_say_limit(doc, limit, ap_limit_value(limits, limit));
    }
    const ap_setting *setting = ap_setting_find(key);
    double value = NAN;
    if (setting && setting->kind == AP_SETTING_NUMBER) {
        memcpy(&value, (const char *)settings + setting->offset, sizeof value);
    }
    return ap_doc_percent(doc, value, decimals(value * 100));
}

ap_str ap_say_rule(ap_doc *doc, const ap_rule *rule, const ap_rule_limits *limits, const ap_settings *settings) {
    ap_str rest = ap_str_from(rule->words);
    ap_str says = AP_STR_LIT("");
    while (rest.ptr) {
        ap_str plain = ap_str_split(rest, '{', &rest);
        says = ap_doc_printf(doc, "%.*s%.*s", AP_STR_ARG(says), AP_STR_ARG(plain));
        if (rest.ptr) {
            ap_str value = filled(doc, rule, ap_str_split(rest, '}', &rest), limits, settings);
            says = ap_doc_printf(doc, "%.*s%.*s", AP_STR_ARG(says), AP_STR_ARG(value));
        }
    }
    return says;
}

void ap_rules_page(ap_doc *doc, const ap_rules_read *rules) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("rule"), .label = AP_STR_LIT("rule"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("says"), .label = AP_STR_LIT("what makes a finding"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("changed"), .label = AP_STR_LIT("changed"), .kind = AP_CELL_TEXT},
    };
    ap_doc_answer(doc, AP_STR_LIT("The rules that findings follow; 'afterpick rule NAME' shows one with its limits."));
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("rules"), AP_STR_LIT("Rules"), columns, 3);
    for (size_t i = 0; i < ap_rule_count(); i++) {
        const ap_rule *rule = ap_rule_get(i);
        size_t changed = 0;
        for (size_t r = 0; r < rules->count; r++) {
            changed += ap_str_equal(rules->rows[r].name, ap_str_from(rule->name)) &&
                       !ap_str_equal(rules->rows[r].value, rules->rows[r].shipped);
        }
        ap_table_row(table);
        ap_table_text(table, ap_str_from(rule->name));
        ap_table_text(table, ap_say_rule(doc, rule, &rules->limits, &rules->settings));
        ap_table_text(table, changed ? AP_STR_LIT("yes") : AP_STR_NONE);
    }
}

static ap_str shipped_text(ap_doc *doc, const ap_limit *limit, const ap_rule_row *row) {
    char text[64];
    snprintf(text, sizeof text, "%.*s", AP_STR_ARG(row->shipped));
    return row->shipped.ptr ? ap_say_limit(doc, limit, strtod(text, NULL)) : AP_STR_NONE;
}

static void put_changes(ap_doc *doc, const ap_rule *rule, const ap_rule_change *changes, size_t count) {
    for (size_t c = 0; c < count; c++) {
        const ap_rule_change *change = &changes[c];
        const ap_limit *limit = ap_limit_find(ap_str_from(rule->name), change->key);
        if (limit) {
            ap_rule_row before = {.shipped = change->old_value};
            ap_rule_row after = {.shipped = change->new_value};
            ap_str who = change->who.len ? change->who : AP_STR_LIT("role not given");
            ap_str from = shipped_text(doc, limit, &before);
            ap_str to = shipped_text(doc, limit, &after);
            ap_doc_list_item(doc, ap_doc_printf(doc, "%.*s: %s from %.*s to %.*s (%.*s): %.*s",
                                                AP_STR_ARG(ap_doc_date(doc, change->on)), limit->key, AP_STR_ARG(from),
                                                AP_STR_ARG(to), AP_STR_ARG(who), AP_STR_ARG(change->why)));
        }
    }
}

void ap_rule_page(ap_doc *doc, const ap_rules_read *rules, const ap_rule *rule, const ap_rule_change *changes,
                  size_t count) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("key"), .label = AP_STR_LIT("limit"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("value"), .label = AP_STR_LIT("value"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("shipped"), .label = AP_STR_LIT("came as"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("reason"), .label = AP_STR_LIT("why"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("source"), .label = AP_STR_LIT("source"), .kind = AP_CELL_TEXT},
    };
    ap_doc_answer(doc, ap_doc_printf(doc, "%s: %.*s.", rule->name,
                                     AP_STR_ARG(ap_say_rule(doc, rule, &rules->limits, &rules->settings))));
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("limits"), AP_STR_LIT("Limits"), columns, 5);
    ap_table_empty(table,
                   AP_STR_LIT("this rule has no limit of its own; shares of capacity and percents are settings"));
    for (size_t r = 0; r < rules->count; r++) {
        const ap_rule_row *row = &rules->rows[r];
        const ap_limit *limit = ap_limit_find(row->name, row->key);
        if (limit && strcmp(limit->rule, rule->name) == 0) {
            ap_table_row(table);
            ap_table_text(table, row->key);
            ap_table_text(table, ap_say_limit(doc, limit, row->number));
            ap_table_text(table, shipped_text(doc, limit, row));
            ap_table_text(table, row->reason);
            ap_table_text(table, row->source);
        }
    }
    put_changes(doc, rule, changes, count);
}

void ap_rules_json(ap_json *json, ap_doc *doc, const ap_rules_read *rules, const ap_rule *only) {
    ap_json_object_begin(json);
    ap_json_key(json, "rules");
    ap_json_array_begin(json);
    for (size_t i = 0; i < ap_rule_count(); i++) {
        const ap_rule *rule = ap_rule_get(i);
        if (only && only != rule) {
            continue;
        }
        ap_json_object_begin(json);
        ap_json_put_text(json, "rule", ap_str_from(rule->name));
        ap_json_put_text(json, "says", ap_say_rule(doc, rule, &rules->limits, &rules->settings));
        ap_json_key(json, "limits");
        ap_json_array_begin(json);
        for (size_t r = 0; r < rules->count; r++) {
            const ap_rule_row *row = &rules->rows[r];
            const ap_limit *limit = ap_limit_find(row->name, row->key);
            if (!limit || strcmp(limit->rule, rule->name) != 0) {
                continue;
            }
            static const char *const units[AP_DIM_COUNT] = {
                [AP_DIM_LENGTH] = "m", [AP_DIM_ANGLE] = "deg", [AP_DIM_SHARE] = "share", [AP_DIM_LOAD] = "kg"};
            ap_json_object_begin(json);
            ap_json_put_text(json, "key", row->key);
            ap_json_put_number(json, "value", row->number);
            ap_json_put_text(json, "unit", units[limit->dim] ? ap_str_from(units[limit->dim]) : AP_STR_NONE);
            ap_json_put_number(json, "low", limit->low);
            ap_json_put_number(json, "high", limit->high);
            ap_json_put_text(json, "reason", row->reason);
            ap_json_put_text(json, "source", row->source);
            ap_json_object_end(json);
        }
        ap_json_array_end(json);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}
