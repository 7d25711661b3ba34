/* How a command answers: as a page, as one JSON object, as CSV, in sentences. */
#include "cli/cli.h"
#include "page/json.h"
#include "page/plain.h"
#include "page/write.h"

void ap_cli_say(ap_cli *cli, ap_sink *sink, const char *format, ...) {
    ap_buf text;
    ap_buf_init(&text, 1u << 16);
    va_list args;
    va_start(args, format);
    ap_buf_appendv(&text, format, args);
    va_end(args);
    if (sink == cli->out && cli->format != AP_CLI_PAGE) {
        ap_buf_append_str(&cli->said, ap_buf_str(&text));
        ap_buf_release(&text);
        return;
    }
    const ap_plain page = {.sink = sink, .width = (size_t)cli->width};
    ap_str rest = ap_buf_str(&text);
    while (rest.len > 0) {
        ap_plain_wrap(&page, ap_str_split(rest, '\n', &rest), 0, 0);
    }
    ap_buf_release(&text);
}

void ap_cli_say_path(ap_cli *cli, const char *path) {
    if (cli->format != AP_CLI_PAGE) {
        ap_cli_say(cli, cli->out, "%s\n", path);
    } else {
        ap_sink_printf(cli->out, "%s\n", path);
    }
}

static void say_as_json(ap_cli *cli, ap_str rest) {
    ap_json json;
    ap_cli_json(&json, cli);
    ap_json_object_begin(&json);
    ap_json_key(&json, "says");
    ap_json_array_begin(&json);
    while (rest.len > 0) {
        ap_json_text(&json, ap_str_split(rest, '\n', &rest));
    }
    ap_json_array_end(&json);
    ap_json_object_end(&json);
    ap_cli_json_end(cli);
}

static ap_status say_as_csv(ap_cli *cli, ap_str rest, ap_error *err) {
    const ap_column says = {.key = AP_STR_LIT("says"), .label = AP_STR_LIT("says"), .kind = AP_CELL_TEXT};
    ap_doc *doc = ap_cli_doc(cli, "", AP_STR_NONE);
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the answer");
    }
    ap_table *table = ap_doc_table(doc, says.key, AP_STR_NONE, &says, 1);
    while (rest.len > 0) {
        ap_table_row(table);
        ap_table_text(table, ap_str_split(rest, '\n', &rest));
    }
    return ap_page_write_csv(cli->out, doc, AP_STR_NONE, err);
}

ap_status ap_cli_say_kept(ap_cli *cli, ap_error *err) {
    ap_str said = ap_buf_str(&cli->said);
    if (said.len == 0) {
        return AP_OK;
    }
    if (cli->answered) { /* one object, one table: what else was said must not stand behind it */
        ap_cli_say(cli, cli->notes, "%.*s", AP_STR_ARG(said));
        return AP_OK;
    }
    if (cli->format == AP_CLI_CSV) {
        return say_as_csv(cli, said, err);
    }
    say_as_json(cli, said);
    return AP_OK;
}

ap_doc *ap_cli_doc(ap_cli *cli, const char *title, ap_str period) {
    char today[AP_ISO_SIZE];
    ap_date_to_iso(today, cli->today);
    /* The name alone: a page that is handed on tells nothing of the folders it was made in. */
    const char *book = cli->book ? ap_book_path(cli->book) : NULL;
    ap_doc_head head = {.title = ap_str_from(title),
                        .subtitle = ap_str_from(cli->settings.company),
                        .book = book ? ap_str_from(ap_file_name(book)) : AP_STR_NONE,
                        .period = period,
                        .version = AP_STR_LIT(AP_VERSION),
                        .date_order = AP_STR_LIT("year-month-day"),
                        .made_on = ap_str_from(today),
                        .units = ap_cli_units(cli)};
    return ap_doc_new(&cli->arena, &head);
}

bool ap_cli_json(ap_json *json, ap_cli *cli) {
    if (cli->format != AP_CLI_JSON) {
        return false;
    }
    ap_json_init(json, cli->out, true);
    return true;
}

ap_status ap_cli_json_end(ap_cli *cli) {
    ap_sink_putc(cli->out, '\n');
    cli->answered = true;
    return AP_OK;
}

ap_status ap_cli_write(ap_cli *cli, const ap_doc *doc, ap_error *err) {
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    if (cli->format == AP_CLI_PAGE) {
        return ap_page_write_text(cli->out, doc, cli->width, cli->colour, err);
    }
    if (cli->format == AP_CLI_CSV && ap_doc_has_table(doc)) {
        cli->answered = true;
        return ap_page_write_csv(cli->out, doc, AP_STR_NONE, err);
    }
    ap_cli_say(cli, cli->out, "%.*s\n", AP_STR_ARG(ap_doc_first_answer(doc)));
    return AP_OK;
}
