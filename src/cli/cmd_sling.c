#include "base/pick.h"
#include "cli/commands.h"
#include "cli/pairs.h"
#include "report/sling_page.h"

static ap_status read_register(ap_sling_register *out, ap_cli *cli, ap_str tag, ap_error *err) {
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    return status == AP_OK ? ap_sling_register_read(out, &cli->arena, cli->book, &cli->company, AP_DATE_NONE, tag, err)
                           : status;
}

static bool wants_attention(const ap_sling_register *reg) {
    return reg->count && (ap_sling_needs_inspection(&reg->rows[0]) || ap_sling_used_retired(&reg->rows[0]));
}

static ap_status list_all(ap_cli *cli, ap_error *err) {
    ap_sling_register reg;
    ap_status status = read_register(&reg, cli, AP_STR_NONE, err);
    if (status != AP_OK) {
        return status;
    }
    cli->attention = wants_attention(&reg);
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_slings_json(&json, &reg, cli->today);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Slings", AP_STR_NONE);
    ap_slings_page(doc, &reg, cli->today);
    return ap_cli_write(cli, doc, err);
}

/* AP_E_NOT_FOUND with the nearest tag. */
static ap_status unknown(const ap_sling_register *reg, ap_str tag, ap_error *err) {
    ap_str near = AP_STR_NONE;
    unsigned best = 3;
    for (size_t i = 0; i < reg->count; i++) {
        unsigned distance = ap_str_distance(tag, reg->rows[i].tag, 2);
        near = distance < best ? reg->rows[i].tag : near;
        best = distance < best ? distance : best;
    }
    return near.ptr
               ? ap_error_set(err, AP_E_NOT_FOUND, "no sling '%.*s' is in the logs or entered; did you mean '%.*s'?",
                              AP_STR_ARG(tag), AP_STR_ARG(near))
               : ap_error_set(err, AP_E_NOT_FOUND,
                              "no sling '%.*s' is in the logs or entered; 'afterpick sling' lists them",
                              AP_STR_ARG(tag));
}

static ap_status show_one(ap_cli *cli, ap_error *err) {
    ap_sling_register reg;
    ap_entry_change *changes = NULL;
    size_t count = 0;
    ap_str tag = ap_str_trim(ap_str_from(cli->words[0]));
    ap_status status = read_register(&reg, cli, tag, err);
    const ap_sling_row *row = status == AP_OK ? ap_sling_register_find(&reg, tag) : NULL;
    if (status == AP_OK) {
        status = row ? ap_book_sling_history(&changes, &count, &cli->arena, cli->book, row->tag, err)
                     : unknown(&reg, tag, err);
    }
    if (status != AP_OK || !row) {
        return status;
    }
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_sling_json(&json, &reg, row, changes, count, cli->today);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Sling", row->tag);
    if (cli->format == AP_CLI_CSV) {
        ap_sling_picks_table(doc, &reg);
    } else {
        ap_sling_page(doc, &reg, row, changes, count, cli->today);
    }
    return ap_cli_write(cli, doc, err);
}

/* Opens the book for a change; the tag is spelled as the entry or the first log has it. */
static ap_status begin(ap_sling_edit *edit, ap_book_author *author, bool *logged, ap_cli *cli, ap_error *err) {
    ap_sling_register reg;
    *edit = (ap_sling_edit){.tag = ap_str_trim(ap_str_from(cli->words[0])), .author = author};
    *author = ap_cli_author(cli);
    ap_status status = ap_cli_begin_change(&edit->why, cli, err);
    if (status != AP_OK) {
        return status;
    }
    status = ap_sling_register_read(&reg, &cli->arena, cli->book, &cli->company, AP_DATE_NONE, AP_STR_NONE, err);
    if (status == AP_OK) {
        const ap_sling_row *row = ap_sling_register_find(&reg, edit->tag);
        edit->tag = row ? row->tag : edit->tag;
        *logged = row && row->picks > 0;
    }
    return status == AP_OK ? AP_OK : ap_book_end(cli->book, status, err);
}

static ap_status done(ap_cli *cli, ap_status status, const ap_sling_edit *edit, bool logged, ap_str says,
                      ap_error *err) {
    status = ap_book_end(cli->book, status, err);
    if (status == AP_OK && !cli->quiet) {
        ap_cli_say(cli, cli->out, "%.*s: %.*s\n", AP_STR_ARG(edit->tag), AP_STR_ARG(says));
        if (!logged) {
            ap_cli_say(cli, cli->notes, "to look at: no pick of this book has this tag\n");
        }
    }
    return status;
}

static ap_status set(ap_cli *cli, ap_error *err) {
    static const char *const keys[AP_SLING_FIELDS] = {"kind", "wll", "length", "factor", "source"};
    static const ap_dim dims[AP_SLING_FIELDS] = {AP_DIM_NONE, AP_DIM_LOAD, AP_DIM_LENGTH, AP_DIM_SHARE, AP_DIM_NONE};
    ap_str written[AP_SLING_FIELDS];
    double values[AP_SLING_FIELDS];
    ap_sling_edit edit;
    ap_book_author author;
    bool logged = false;
    ap_buf says;
    ap_status status = ap_cli_get_pairs(written, keys, AP_SLING_FIELDS, cli, 2, err);
    for (size_t i = 0; status == AP_OK && i < AP_SLING_FIELDS; i++) {
        int word = i == AP_SLING_KIND && written[i].len ? ap_word_find(AP_VOC_LEG_KIND, written[i]) : 0;
        values[i] = word ? word : (double)NAN;
        if (dims[i]) {
            status = ap_cli_pair_quantity(&values[i], written[i], keys[i], dims[i], err);
        } else if (i == AP_SLING_KIND && written[i].len && !word) {
            status =
                ap_error_set(err, AP_E_INPUT, "kind '%.*s' is none of eye, adjustable, chain, wire, round, balancer",
                             AP_STR_ARG(written[i]));
        }
    }
    if (status == AP_OK) {
        status = begin(&edit, &author, &logged, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_buf_init(&says, AP_ERROR_TEXT_MAX);
    for (size_t i = 0; status == AP_OK && i < AP_SLING_FIELDS; i++) {
        if (written[i].ptr) {
            status = ap_book_sling_set(cli->book, &edit, (ap_sling_field)i, values[i], written[i], err);
            ap_buf_appendf(&says, "%s%s %s%.*s", says.len ? ", " : "", keys[i],
                           written[i].len ? "is now " : "taken away", AP_STR_ARG(written[i]));
        }
    }
    status = done(cli, status, &edit, logged, ap_buf_str(&says), err);
    ap_buf_release(&says);
    return status;
}

/* on=DATE of a change, else today. A day after today is refused. */
static ap_status day_of(ap_date *out, ap_cli *cli, ap_error *err) {
    static const char *const keys[] = {"on"};
    ap_str written[1] = {AP_STR_NONE};
    *out = cli->today;
    if (cli->word_count == 2) {
        return AP_OK;
    }
    ap_status status = ap_cli_get_pairs(written, keys, 1, cli, 2, err);
    if (status == AP_OK && (!ap_date_from_iso(out, written[0]) || *out > cli->today)) {
        status = ap_error_set(err, AP_E_INPUT, "on '%.*s' is no day up to today; write on=2026-09-01",
                              AP_STR_ARG(written[0]));
    }
    return status;
}

static ap_status on_a_day(ap_cli *cli, ap_error *err) {
    ap_date on = AP_DATE_NONE;
    ap_sling_edit edit;
    ap_book_author author;
    bool logged = false;
    const char *what = cli->words[1];
    bool back = strcmp(what, "unretire") == 0;
    bool retire = strcmp(what, "retire") == 0;
    ap_status status = day_of(&on, cli, err);
    if (status == AP_OK) {
        status = begin(&edit, &author, &logged, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    if (retire || back) {
        status = ap_book_sling_retire(cli->book, &edit, retire ? on : AP_DATE_NONE, err);
    } else {
        status = ap_book_sling_inspected(cli->book, &edit, on, err);
    }
    char day[AP_ISO_SIZE];
    ap_date_to_iso(day, on);
    ap_str says = back ? AP_STR_LIT("back in use")
                  : retire
                      ? ap_arena_printf(&cli->arena, "retired on %s; picks after that day are flagged", day)
                      : ap_arena_printf(&cli->arena, "inspected on %s; what happened up to that day is settled", day);
    return done(cli, status, &edit, logged, says, err);
}

static const struct {
    const char *word;
    ap_status (*run)(ap_cli *cli, ap_error *err);
} actions[] = {{"set", set}, {"retire", on_a_day}, {"unretire", on_a_day}, {"inspected", on_a_day}};

static ap_status run(ap_cli *cli, ap_error *err) {
    if (cli->word_count < 2) {
        return cli->word_count ? show_one(cli, err) : list_all(cli, err);
    }
    for (size_t i = 0; i < sizeof actions / sizeof actions[0]; i++) {
        if (strcmp(cli->words[1], actions[i].word) == 0) {
            return actions[i].run(cli, err);
        }
    }
    return ap_error_set(
        err, AP_E_USAGE,
        "'afterpick sling' does not know what to do with '%.120s': write the sling's tag first, then set, "
        "inspected, retire or unretire",
        cli->words[1]);
}

static const ap_cli_option options[] = {
    {"why", "TEXT", "the reason of a change, or what an inspection found; kept in the book"},
    {0},
};

const ap_command ap_command_sling = {
    .name = "sling",
    .group = "SET UP",
    .summary = "the slings by tag: their picks, worst use, shocks, and which to inspect",
    .usage = "[TAG] | TAG set KEY=VALUE... | TAG inspected [on=DATE] | TAG retire [on=DATE] | TAG unretire",
    .about =
        "Without a tag every sling that the logs name or the company entered, those to be inspected first; exit code "
        "1 when\n"
        "there are any. With a tag every pick it was on.\n"
        "set        wll=8400lb kind=round length=12ft source=\"its tag\"\n"
        "           factor=0.7 (what its hitch or knot leaves of the limit, in the place of the built-in one)\n"
        "inspected  settles what happened up to that day; --why says what was found\n"
        "retire     takes it out of use; a pick after that day is flagged\n"
        "A logged limit counts before an entered one. Every change needs --why and stays in the history.",
    .example = "afterpick --book demo/demo.book sling S53",
    .options = options,
    .run = run,
};
