#include "book/pick_history.h"
#include "book/pick_text.h"
#include "book/species.h"
#include "cli/commands.h"
#include "cli/period.h"
#include "derive/person.h"
#include "intake/amend_values.h"
#include "report/pick_page.h"

static ap_status list_picks(ap_cli *cli, ap_error *err) {
    ap_period period;
    ap_roster roster = {0};
    ap_status status = ap_cli_get_period(&period, cli, err);
    if (status == AP_OK) {
        status = ap_cli_open_roster(&roster, cli, period.until, err);
    }
    if (status == AP_OK) {
        size_t first;
        size_t end;
        ap_roster_slice(&roster, period.since, period.until, &first, &end);
        if (cli->format == AP_CLI_JSON) {
            ap_json json;
            ap_json_init(&json, cli->out, true);
            ap_picks_json(&json, &roster, first, end, period);
            ap_sink_putc(cli->out, '\n');
        } else {
            ap_doc *doc = ap_cli_doc(cli, "Picks", ap_say_period(&cli->arena, period));
            ap_picks_page(doc, &roster, first, end);
            status = ap_cli_write(cli, doc, err);
        }
    }
    ap_roster_release(&roster);
    return status;
}

/* The number the error table shows this estimator under: settled over all picks, so that both say the same. */
static ap_status number_estimator(ap_whole_pick *whole, ap_cli *cli, ap_error *err) {
    ap_str name = ap_str_trim(whole->pick.estimator);
    if (cli->names || name.len == 0 || ap_person_is_code(name)) {
        return AP_OK;
    }
    ap_roster roster = {0};
    ap_status status = ap_roster_load(&roster, cli->book, AP_DATE_NONE, false, err);
    if (status == AP_OK) {
        whole->estimator_number = ap_intern_find(roster.people, name);
    }
    ap_roster_release(&roster);
    return status;
}

static void reconstruct(ap_recon *out, const ap_pick *pick, const ap_derived *derived, const ap_wood *wood,
                        const ap_company *company) {
    ap_recon_given given = AP_RECON_GIVEN(derived, company);
    given.wood = wood;
    ap_reconstruct(out, pick, &given);
}

static ap_status find_wood(ap_wood *out, const ap_pick *pick, ap_cli *cli, ap_error *err) {
    ap_wood_given given = AP_WOOD_GIVEN_NOTHING;
    if (pick->species_id) {
        ap_status status = ap_book_species_get(&given.species, cli->book, pick->species_id, err);
        if (status != AP_OK) {
            return status;
        }
    }
    ap_wood_work_out(out, pick, &given, &cli->company);
    return AP_OK;
}

static ap_status read_wood(ap_whole_pick *whole, ap_cli *cli, ap_error *err) {
    ap_status status = find_wood(&whole->wood, &whole->pick, cli, err);
    if (status == AP_OK) {
        reconstruct(&whole->recon, &whole->pick, &whole->derived, &whole->wood, &cli->company);
    }
    return status;
}

/* "leg_2_length 3.2 m (logged 5.5 m)" */
static void say_supposed(ap_buf *says, ap_cli *cli, const ap_supposed *supposed, const ap_pick *logged, int column) {
    ap_buf value;
    ap_buf_init(&value, 1 << 16);
    bool first = says->len == 0;
    ap_pick_value_write(&value, &supposed->pick, column);
    ap_str now =
        ap_say_history_value(&cli->arena, ap_str_from(ap_field_get(column)->name), ap_buf_str(&value), cli->names);
    ap_buf_appendf(says, "%s%s %.*s", first ? "Suppose " : ", ", ap_field_get(column)->label,
                   AP_STR_ARG(now.len ? ap_arena_str(&cli->arena, now) : AP_STR_LIT("not recorded")));
    ap_buf_clear(&value);
    ap_pick_value_write(&value, logged, column);
    ap_str was =
        ap_say_history_value(&cli->arena, ap_str_from(ap_field_get(column)->name), ap_buf_str(&value), cli->names);
    ap_buf_appendf(says, " (logged: %.*s)", AP_STR_ARG(was.len ? was : AP_STR_LIT("nothing")));
    ap_buf_release(&value);
}

static void tell_doubt(void *context, int column, ap_str field, ap_str text, const char *says) {
    (void)column;
    (void)text;
    ap_cli *cli = context;
    ap_sink_printf(cli->notes, "to look at: %.*s %s\n", AP_STR_ARG(field), says);
}

/* The pick with other values, read and judged as `amend` would; nothing is written. */
static ap_status suppose(ap_supposed *out, const ap_whole_pick *whole, ap_cli *cli, ap_error *err) {
    ap_amend_value values[AP_AMEND_MAX];
    size_t count = 0;
    ap_status status = AP_OK;
    ap_wood wood;
    for (ap_str rest = ap_cli_get(cli, "suppose"); rest.ptr && status == AP_OK;) {
        ap_str one = ap_str_split(rest, '\n', &rest);
        if (count == AP_AMEND_MAX) {
            return ap_error_set(err, AP_E_USAGE, "more than %d things supposed at once", AP_AMEND_MAX);
        }
        status = ap_amend_parse(&values[count++], &cli->arena, cli->book, one, err);
    }
    if (status == AP_OK) {
        status = ap_amend_read(&out->pick, &cli->arena, cli->book, &cli->settings, &whole->pick, values, count,
                               cli->today, tell_doubt, cli, err);
    }
    if (status == AP_OK) {
        status = find_wood(&wood, &out->pick, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_derive(&out->derived, &out->pick, &cli->company);
    reconstruct(&out->recon, &out->pick, &out->derived, &wood, &cli->company);
    ap_buf says;
    ap_buf_init(&says, 1 << 20);
    for (size_t i = 0; i < count; i++) {
        say_supposed(&says, cli, out, &whole->pick, values[i].column);
    }
    ap_buf_append_cstr(&says, ".");
    out->says = ap_arena_str(&cli->arena, ap_buf_str(&says));
    ap_buf_release(&says);
    return AP_OK;
}

static ap_status read_whole(ap_whole_pick *whole, ap_cli *cli, ap_error *err) {
    ap_status status = ap_book_get_pick(&whole->pick, &cli->arena, cli->book, ap_str_from(cli->words[0]), err);
    if (status != AP_OK) {
        return status;
    }
    ap_derive(&whole->derived, &whole->pick, &cli->company);
    status = read_wood(whole, cli, err);
    if (status != AP_OK) {
        return status;
    }
    const ap_conflict_filter conflicts = {
        .all = true, .pick_id = whole->pick.id, .since = AP_DATE_NONE, .until = AP_DATE_NONE};
    status = ap_book_pick_source(&whole->source, &cli->arena, cli->book, whole->pick.id, err);
    if (status == AP_OK) {
        status = ap_book_pick_changes(&whole->changes, &cli->arena, cli->book, whole->pick.name, err);
    }
    if (status == AP_OK) {
        status = ap_book_conflicts(&whole->conflicts, &cli->arena, cli->book, &conflicts, err);
    }
    return status == AP_OK ? number_estimator(whole, cli, err) : status;
}

static ap_status show_pick(ap_cli *cli, ap_error *err) {
    ap_whole_pick whole = {.settings = &cli->settings, .history = ap_cli_has(cli, "history"), .names = cli->names};
    ap_supposed supposed;
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    if (status == AP_OK) {
        status = read_whole(&whole, cli, err);
    }
    if (status == AP_OK && ap_cli_has(cli, "suppose")) {
        status = suppose(&supposed, &whole, cli, err);
        whole.supposed = &supposed;
    }
    if (status != AP_OK) {
        return status;
    }
    if (cli->format == AP_CLI_JSON) {
        ap_json json;
        ap_json_init(&json, cli->out, true);
        ap_pick_json(&json, &cli->arena, &whole);
        ap_sink_putc(cli->out, '\n');
        return AP_OK;
    }
    ap_doc *doc = ap_cli_doc(cli, "Pick", whole.pick.name);
    if (cli->format == AP_CLI_CSV) {
        ap_pick_table(doc, &whole);
    } else {
        ap_pick_page(doc, &whole);
    }
    return ap_cli_write(cli, doc, err);
}

static ap_status run(ap_cli *cli, ap_error *err) {
    ap_status status = ap_cli_need_words(cli, 0, 1, "one pick, or none for the list", err);
    if (status != AP_OK) {
        return status;
    }
    bool period = ap_cli_has(cli, "month") || ap_cli_has(cli, "since") || ap_cli_has(cli, "until");
    if (cli->word_count == 1 && period) {
        return ap_error_set(err, AP_E_USAGE, "name one pick or a period, not both");
    }
    if (cli->word_count == 0 && ap_cli_has(cli, "history")) {
        return ap_error_set(err, AP_E_USAGE, "--history is of one pick: 'afterpick pick NAME --history'");
    }
    if (cli->word_count == 0 && ap_cli_has(cli, "suppose")) {
        return ap_error_set(err, AP_E_USAGE, "--suppose is of one pick: 'afterpick pick NAME --suppose FIELD=VALUE'");
    }
    return cli->word_count ? show_pick(cli, err) : list_picks(cli, err);
}

static const ap_cli_option options[] = {
    {"history", NULL, "of one pick: its amendments and second readings"},
    {"suppose", "FIELD=VALUE...", "of one pick: how it would have hung with other values; nothing is written"},
    AP_CLI_PERIOD_OPTIONS,
    {0},
};

const ap_command ap_command_pick = {
    .name = "pick",
    .group = "LOOK",
    .summary = "list picks, or show one whole with its figures and where it came from",
    .usage = "[PICK [--history] [--suppose FIELD=VALUE]... | --month YYYY-MM | --since DATE --until DATE]",
    .about = "A pick is named JOB/PICK (J231/17); its number alone will do where only one job has it.\n"
             "Figures worked out from the log say from what. People are shown by role or code unless --names.",
    .example = "afterpick --book demo/demo.book pick J152/2",
    .options = options,
    .run = run,
};
