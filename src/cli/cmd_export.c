#include <errno.h>

#include "cli/commands.h"
#include "cli/out_file.h"
#include "cli/period.h"
#include "derive/person.h"
#include "intake/pick_log.h"
#include "page/glyph.h"
#include "report/pick_page.h"
#include "report/weights_page.h"

typedef struct exporting {
    ap_cli *cli;
    ap_sink *sink;
    ap_pick_log *log;
    ap_intern *people; /* by their first pick of the whole book, as the error table numbers them */
    ap_arena row;      /* labels of one row */
    size_t picks;
    bool roles; /* a name was put as a role */
} exporting;

static ap_status meet(void *context, const ap_pick *pick, ap_error *err) {
    exporting *it = context;
    const ap_str name = ap_str_trim(pick->estimator);
    (void)err;
    if (name.len > 0 && !ap_person_is_code(name)) {
        ap_intern_add(it->people, name);
    }
    return AP_OK;
}

/* Numbers are given from the book's first pick on, whatever the period. */
static ap_status meet_earlier(exporting *it, ap_date since, ap_error *err) {
    if (it->cli->names || since == AP_DATE_NONE) {
        return AP_OK;
    }
    const ap_pick_filter earlier = {.since = AP_DATE_NONE, .until = since - 1};
    return ap_book_each_pick_narrow(it->cli->book, &earlier, meet, it, err);
}

static ap_str role_of(exporting *it, int column, ap_str name) {
    const ap_str shown = ap_say_history_value(&it->row, ap_str_from(ap_field_get(column)->name), name, false);
    it->roles = it->roles || !ap_str_equal(shown, ap_str_trim(name));
    return shown;
}

static void hide_people(exporting *it, ap_pick *pick) {
    ap_arena_clear(&it->row);
    const ap_str estimator = ap_str_trim(pick->estimator);
    if (estimator.len > 0 && !ap_person_is_code(estimator)) {
        const uint32_t number = ap_intern_add(it->people, estimator);
        pick->estimator = ap_arena_printf(&it->row, "estimator %u", (unsigned)number);
        it->roles = true;
    }
    pick->climber = role_of(it, AP_F_climber, pick->climber);
    pick->operator_name = role_of(it, AP_F_operator, pick->operator_name);
}

static ap_status put_pick(void *context, const ap_pick *pick, ap_error *err) {
    exporting *it = context;
    ap_pick shown = *pick;
    if (!it->cli->names) {
        hide_people(it, &shown);
    }
    ap_status status = ap_arena_check(&it->row, "the people of a pick", err);
    if (status == AP_OK) {
        status = ap_pick_log_row(it->sink, it->log, &shown, err);
    }
    it->picks++;
    /* A reader that has gone, a disk that is full: not a book of picks more. */
    return status == AP_OK && it->sink->status != AP_OK ? ap_sink_check(it->sink, "the log", err) : status;
}

static ap_status put_log(exporting *it, ap_period period, ap_error *err) {
    const ap_pick_filter wanted = {.since = period.since, .until = period.until};
    ap_status status = meet_earlier(it, period.since, err);
    if (status == AP_OK) {
        ap_pick_log_header(it->sink, it->log);
        status = ap_book_each_pick(it->cli->book, &wanted, put_pick, it, err);
    }
    return status;
}

/* A log holds what was logged; on a terminal nothing in it moves the cursor. */
static ap_status put_visible(void *context, const char *bytes, size_t len) {
    ap_sink *terminal = context;
    ap_glyph glyph;
    for (size_t at = 0; ap_glyph_next(&glyph, (ap_str){bytes, len}, &at, AP_GLYPH_KEEP_LINES);) {
        ap_sink_put(terminal, (ap_str){glyph.bytes, glyph.len});
    }
    return terminal->status;
}

static ap_status put_out(exporting *it, ap_period period, ap_error *err) {
    ap_sink visible = {.write = put_visible, .context = it->cli->out};
    it->sink = it->cli->out_is_terminal ? &visible : it->cli->out;
    return put_log(it, period, err);
}

static ap_status put_stream(exporting *it, FILE *stream, const char *path, ap_period period, ap_error *err) {
    ap_sink sink = ap_sink_to_stream(stream);
    it->sink = &sink;
    ap_status status = put_log(it, period, err);
    if (status == AP_OK) {
        status = ap_sink_check(&sink, path, err);
    }
    if (fclose(stream) != 0 && status == AP_OK) {
        status = ap_error_from_errno(err, errno, "write", path);
    }
    return status;
}

static ap_status put_file(exporting *it, const char *path, ap_period period, ap_error *err) {
    ap_draft draft;
    ap_status status = ap_cli_draft_open(&draft, it->cli, path, err);
    if (status != AP_OK) {
        return status;
    }
    FILE *stream = NULL;
    status = ap_draft_stream(&stream, &draft, err);
    if (status == AP_OK) {
        status = put_stream(it, stream, path, period, err);
    }
    return ap_cli_draft_end(&draft, it->cli, status, err);
}

static void tell_file(const exporting *it, const char *path, ap_period period) {
    ap_cli *cli = it->cli;
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_json_object_begin(&json);
        ap_json_put_text(&json, "file", ap_str_from(path));
        ap_json_put_int(&json, "picks", (int64_t)it->picks);
        ap_json_put_bool(&json, "names", cli->names);
        ap_json_put_int(&json, "rounded", ap_pick_log_rounded(it->log));
        ap_json_put_period(&json, period);
        ap_json_object_end(&json);
        ap_cli_json_end(cli);
    } else if (!cli->quiet) {
        const ap_str of = ap_say_period(&cli->arena, period);
        const bool all = period.since == AP_DATE_NONE && period.until == AP_DATE_NONE;
        ap_cli_say(cli, cli->out, "%s: %zu pick%s%s%.*s%s\n", path, it->picks, it->picks == 1 ? "" : "s",
                   all ? "" : ", ", all ? 0 : (int)of.len, of.ptr,
                   it->roles ? "; people by role, --names writes them as logged" : "");
    }
}

static void tell_doubts(const exporting *it) {
    const long long rounded = (long long)ap_pick_log_rounded(it->log);
    if (it->picks == 0 && !it->cli->quiet) {
        ap_cli_say(it->cli, it->cli->notes, "no pick of this period: the log holds its header alone\n");
    }
    if (rounded > 0) {
        ap_cli_say(it->cli, it->cli->notes, "%lld number%s could not be written exactly: the nearest stand%s there\n",
                   rounded, rounded == 1 ? "" : "s", rounded == 1 ? "s" : "");
    }
}

static ap_status export_picks(ap_cli *cli, ap_period period, ap_error *err) {
    const char *path = ap_cli_get(cli, "out").ptr;
    exporting it = {.cli = cli};
    ap_arena_init(&it.row, 8u << 20);
    it.people = ap_intern_new(&cli->arena);
    ap_status status = it.people ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the people");
    if (status == AP_OK) {
        status = ap_pick_log_new(&it.log, ap_cli_units(cli), err);
    }
    if (status == AP_OK) {
        status = path ? put_file(&it, path, period, err) : put_out(&it, period, err);
    }
    if (status == AP_OK) {
        status = ap_arena_check(&cli->arena, "the people", err);
    }
    if (status == AP_OK && path) {
        tell_file(&it, path, period);
    }
    if (status == AP_OK) {
        tell_doubts(&it);
    }
    ap_pick_log_free(it.log);
    ap_arena_release(&it.row);
    return status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    ap_period period;
    ap_status status = ap_cli_need_words(cli, 0, 0, "no further word", err);
    if (status == AP_OK && ap_cli_has(cli, "replace") && !ap_cli_has(cli, "out")) {
        status = ap_error_set(err, AP_E_USAGE, "--replace goes with --out FILE");
    }
    if (status == AP_OK) {
        status = ap_cli_get_period(&period, cli, err);
    }
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_READ, err);
    }
    if (status == AP_OK) {
        status = ap_book_begin_read(cli->book, err);
    }
    return status == AP_OK ? export_picks(cli, period, err) : status;
}

static const ap_cli_option options[] = {
    AP_CLI_PERIOD_OPTIONS,
    {"out", "FILE", "write it here instead of to standard output; an existing file is left alone"},
    AP_CLI_REPLACE_OPTION,
    {0},
};

const ap_command ap_command_export = {
    .name = "export",
    .group = "KEEP",
    .summary = "the picks as a log in the program's own columns, which import reads",
    .usage = "[--month YYYY-MM | --since DATE --until DATE] [--out FILE [--replace]] [--units us|metric] [--names]",
    .about =
        "A CSV with every column, amendments applied. Imported into another book it gives the same picks to the last\n"
        "bit. A cell keeps the unit and the digits it was logged in; --units says only which units the headers name.\n"
        "People stand by role unless --names. Notes and damage are as logged: read them before you hand the file on.\n"
        "Not in it: settings, cranes, slings, species of your own, rows set aside and conflicts, the history of\n"
        "amendments, findings, write-ups, actions, rules: 'backup' takes the whole book.",
    .example = "afterpick --book demo/demo.book export --month 2026-10 --out october.csv",
    .options = options,
    .run = run,
};
