#include "book/settings_store.h"
#include "cli/commands.h"
#include "page/json.h"
#include "text/quantity.h"

/* The setting's value as a person reads it. */
static ap_str value_in_words(ap_doc *doc, const ap_setting *setting, const ap_settings *settings) {
    const char *member = (const char *)settings + setting->offset;
    double number;
    int word;
    switch (setting->kind) {
    case AP_SETTING_TEXT:
        return *member ? ap_doc_printf(doc, "%s", member) : AP_STR_NONE;
    case AP_SETTING_WORD: {
        memcpy(&word, member, sizeof word);
        ap_str rest = ap_str_from(setting->words);
        ap_str found = AP_STR_NONE;
        for (int i = 0; i <= word; i++) {
            found = ap_str_split(rest, '|', &rest);
        }
        return found;
    }
    case AP_SETTING_QTY:
        memcpy(&number, member, sizeof number);
        return ap_doc_quantity(doc, setting->dim, number, false);
    case AP_SETTING_NUMBER:
        memcpy(&number, member, sizeof number);
        return setting->dim == AP_DIM_SHARE ? ap_doc_percent(doc, number, 0) : ap_doc_number(doc, number, 0);
    }
    return AP_STR_NONE;
}

static void put_json(ap_json *json, const ap_setting *setting, const ap_settings *settings) {
    const char *member = (const char *)settings + setting->offset;
    ap_json_key(json, setting->member);
    if (setting->kind == AP_SETTING_TEXT) {
        ap_json_text(json, ap_str_from(member));
    } else if (setting->kind == AP_SETTING_WORD) {
        ap_json_text(json, value_in_words(NULL, setting, settings));
    } else {
        double number;
        memcpy(&number, member, sizeof number);
        ap_json_number(json, number);
    }
}

static ap_status show(ap_cli *cli, ap_error *err) {
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_json_object_begin(&json);
        for (size_t i = 0; i < ap_setting_count(); i++) {
            put_json(&json, ap_setting_get(i), &cli->settings);
        }
        ap_json_object_end(&json);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Settings", AP_STR_NONE);
    const ap_column columns[] = {
        {.key = AP_STR_LIT("setting"), .label = AP_STR_LIT("setting"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("value"), .label = AP_STR_LIT("value"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("meaning"), .label = AP_STR_LIT("what it is"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("remark"), .label = AP_STR_LIT("remark"), .kind = AP_CELL_TEXT},
    };
    ap_doc_answer(doc, AP_STR_LIT("The company's settings; change one with: afterpick set NAME VALUE --why \"...\""));
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("settings"), AP_STR_LIT("Settings"), columns, 4);
    for (size_t i = 0; i < ap_setting_count(); i++) {
        const ap_setting *setting = ap_setting_get(i);
        ap_table_row(table);
        ap_table_text(table, ap_str_from(setting->name));
        ap_table_text(table, value_in_words(doc, setting, &cli->settings));
        ap_table_text(table, ap_str_from(setting->label));
        ap_table_text(table, ap_str_from(setting->remark));
    }
    return ap_cli_write(cli, doc, err);
}

/* The value inside: SI for a quantity or number, else 0 (the store checks words and texts itself). */
static ap_status parse_value(double *si, const ap_setting *setting, ap_str value, ap_error *err) {
    *si = 0;
    if (setting->kind != AP_SETTING_QTY && setting->kind != AP_SETTING_NUMBER) {
        return AP_OK;
    }
    ap_quantity_rules rules = {.dim = setting->kind == AP_SETTING_NUMBER ? AP_DIM_SHARE : setting->dim, .decimal = '.'};
    ap_quantity quantity;
    ap_refusal why;
    if (!ap_quantity_read(&quantity, value, &rules, &why)) {
        return ap_error_set(err, AP_E_INPUT, "%s '%.*s': %s; %s", setting->name, AP_STR_ARG(value), why.reason,
                            why.remedy);
    }
    *si = quantity.value;
    return AP_OK;
}

static ap_status unknown(const char *name, ap_error *err) {
    const char *near = NULL;
    unsigned best = 4;
    for (size_t i = 0; i < ap_setting_count(); i++) {
        unsigned distance = ap_str_distance(ap_str_from(name), ap_str_from(ap_setting_get(i)->name), 3);
        near = distance < best ? ap_setting_get(i)->name : near;
        best = distance < best ? distance : best;
    }
    return ap_error_set(err, AP_E_USAGE, "there is no setting '%s'; %s%s%s", name,
                        near ? "did you mean '" : "'afterpick set'", near ? near : " lists them", near ? "'?" : "");
}

static ap_status change(ap_cli *cli, ap_error *err) {
    const ap_setting *setting = ap_setting_find(ap_str_from(cli->words[0]));
    if (!setting) {
        return unknown(cli->words[0], err);
    }
    ap_str value = ap_str_trim(ap_str_from(cli->words[1]));
    ap_str why;
    double si;
    ap_status status = parse_value(&si, setting, value, err);
    if (status == AP_OK) {
        status = ap_cli_begin_change(&why, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    const ap_book_author author = ap_cli_author(cli);
    status = ap_book_setting_change(cli->book, setting, value, si, why, &author, err);
    status = ap_book_end(cli->book, status, err);
    if (status != AP_OK) {
        return status;
    }
    status = ap_book_settings_read(&cli->settings, cli->book, err);
    if (status == AP_OK && !cli->quiet) {
        ap_doc *doc = ap_cli_doc(cli, "Settings", AP_STR_NONE);
        ap_str now = value_in_words(doc, setting, &cli->settings);
        ap_cli_say(cli, cli->out, "%s is now %.*s\n", setting->name, AP_STR_ARG(now));
    }
    return status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    if (cli->word_count == 1 || cli->word_count > 2) {
        return ap_error_set(err, AP_E_USAGE,
                            "'afterpick set' shows all settings; a change is 'afterpick set NAME VALUE --why \"...\"'");
    }
    if (cli->word_count) {
        return change(cli, err);
    }
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    return status == AP_OK ? show(cli, err) : status;
}

static const ap_cli_option options[] = {
    {"why", "TEXT", "the reason of a change; kept in the book"},
    {0},
};

const ap_command ap_command_set = {
    .name = "set",
    .group = "SET UP",
    .summary = "show or change the company's settings",
    .usage = "[NAME VALUE --why TEXT]",
    .about =
        "Units of reports, bands of capacity used, weight of block and slings when not logged, what a bare ton means.\n"
        "Every change keeps the old value, who, when and why.",
    .example = "afterpick --book demo/demo.book set block_weight '420 lb' --why 'weighed on the yard scale'",
    .options = options,
    .run = run,
};
