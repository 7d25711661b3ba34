#include "book/amend.h"
#include "book/pick_text.h"
#include "cli/commands.h"
#include "intake/amend_values.h"
#include "page/json.h"
#include "report/pick_page.h"

typedef struct change_set {
    ap_amend_value values[AP_AMEND_MAX];
    size_t count;
    ap_pick before;
    ap_pick after;
} change_set;

static ap_status parse_values(change_set *set, ap_cli *cli, ap_error *err) {
    if (cli->word_count - 1 > AP_AMEND_MAX) {
        return ap_error_set(err, AP_E_USAGE, "more than %d values at once; amend in two steps", AP_AMEND_MAX);
    }
    ap_status status = AP_OK;
    for (size_t i = 1; i < cli->word_count && status == AP_OK; i++) {
        status = ap_amend_parse(&set->values[set->count++], &cli->arena, cli->book, ap_str_from(cli->words[i]), err);
    }
    return status;
}

static void tell_doubt(void *context, int column, ap_str field, ap_str text, const char *says) {
    (void)column;
    (void)text;
    ap_cli *cli = context;
    ap_cli_say(cli, cli->notes, "to look at: %.*s %s\n", AP_STR_ARG(field), says);
}

static ap_status amend(change_set *set, ap_cli *cli, ap_str why, ap_error *err) {
    const ap_book_author author = ap_cli_author(cli);
    ap_status status = ap_book_get_pick(&set->before, &cli->arena, cli->book, ap_str_from(cli->words[0]), err);
    if (status == AP_OK) {
        status = ap_amend_read(&set->after, &cli->arena, cli->book, &cli->settings, &set->before, set->values,
                               set->count, cli->today, tell_doubt, cli, err);
    }
    for (size_t i = 0; i < set->count && status == AP_OK; i++) {
        status = ap_book_amend(cli->book, set->before.name, set->values[i].column, &set->after, why, &author, err);
    }
    if (status == AP_OK) {
        status = ap_book_commit(cli->book, err);
    }
    return status;
}

static ap_str text_of(ap_cli *cli, const ap_pick *pick, int column) {
    ap_buf text;
    ap_buf_init(&text, 1 << 20);
    ap_pick_value_write(&text, pick, column);
    ap_str kept = ap_arena_str(&cli->arena, ap_buf_str(&text));
    ap_buf_release(&text);
    return ap_say_history_value(&cli->arena, ap_str_from(ap_field_get(column)->name), kept, cli->names);
}

static void write_json(ap_cli *cli, const change_set *set) {
    ap_json json;
    ap_cli_json(&json, cli);
    ap_json_object_begin(&json);
    ap_json_put_text(&json, "pick", set->before.name);
    ap_json_key(&json, "amended");
    ap_json_array_begin(&json);
    for (size_t i = 0; i < set->count; i++) {
        int column = set->values[i].column;
        ap_str before = text_of(cli, &set->before, column);
        ap_str after = text_of(cli, &set->after, column);
        ap_json_object_begin(&json);
        ap_json_put_text(&json, "field", ap_str_from(ap_field_get(column)->name));
        ap_json_put_text(&json, "before", before.len ? before : AP_STR_NONE);
        ap_json_put_text(&json, "after", after.len ? after : AP_STR_NONE);
        ap_json_object_end(&json);
    }
    ap_json_array_end(&json);
    ap_json_object_end(&json);
    ap_cli_json_end(cli);
}

static ap_status write_change(ap_cli *cli, const change_set *set, ap_error *err) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("field"), .label = AP_STR_LIT("field"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("before"), .label = AP_STR_LIT("before"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("after"), .label = AP_STR_LIT("after"), .kind = AP_CELL_TEXT},
    };
    if (cli->format == AP_CLI_JSON) {
        write_json(cli, set);
        return AP_OK;
    }
    ap_doc *doc = ap_cli_doc(cli, "Amendment", set->before.name);
    ap_doc_answer(doc,
                  ap_doc_printf(doc, "%.*s amended; the old value stays in the book.", AP_STR_ARG(set->before.name)));
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("amended"), AP_STR_LIT("Before and after"), columns, 3);
    for (size_t i = 0; i < set->count; i++) {
        ap_table_row(table);
        ap_table_text(table, ap_str_from(ap_field_get(set->values[i].column)->name));
        ap_table_text(table, text_of(cli, &set->before, set->values[i].column));
        ap_table_text(table, text_of(cli, &set->after, set->values[i].column));
    }
    return ap_cli_write(cli, doc, err);
}

static ap_status run(ap_cli *cli, ap_error *err) {
    static change_set set; /* large */
    ap_str why;
    if (cli->word_count < 2) {
        return ap_error_set(err, AP_E_USAGE,
                            "'afterpick amend' needs a pick and what to change: PICK FIELD=VALUE --why \"...\"");
    }
    ap_status status = ap_cli_get_why(&why, cli, err);
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_WRITE, err);
    }
    if (status == AP_OK) {
        status = parse_values(&set, cli, err);
    }
    if (status == AP_OK) {
        status = ap_book_begin(cli->book, err);
    }
    if (status != AP_OK) {
        return status;
    }
    status = amend(&set, cli, why, err);
    if (status != AP_OK) {
        ap_book_rollback(cli->book);
        return status;
    }
    return cli->quiet ? AP_OK : write_change(cli, &set, err);
}

static const ap_cli_option options[] = {
    {"why", "TEXT", "the reason; kept in the book"},
    {0},
};

const ap_command ap_command_amend = {
    .name = "amend",
    .group = "MEND",
    .summary = "correct values of one pick; what they were stays in the book",
    .usage = "PICK FIELD=VALUE [FIELD=VALUE...] --why TEXT",
    .about =
        "Fields are the columns of a log (planned_weight, cut, leg_2_at, ...). A number without a unit is in the unit "
        "the\n"
        "old value was written in. An empty value means not recorded. What import would set aside is refused. All\n"
        "values go in, or none.",
    .example = "afterpick --book demo/demo.book amend J152/2 climber_distance='9 ft' --why 'paced out by the foreman'",
    .options = options,
    .run = run,
};
