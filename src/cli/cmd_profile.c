#include "cli/commands.h"
#include "intake/profile_guess.h"
#include "report/guess_page.h"
#include "report/profile_page.h"

enum { GUESS_MAX = 1 << 20 };

static ap_status list(ap_cli *cli, ap_error *err) {
    ap_kept_profile *kept = NULL;
    size_t count = 0;
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    if (status == AP_OK) {
        status = ap_book_profiles(&kept, &count, &cli->arena, cli->book, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_profile_list_json(&json, kept, count);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Profiles", AP_STR_NONE);
    ap_profile_list_page(doc, kept, count);
    return ap_cli_write(cli, doc, err);
}

/* The text as it was kept, so that `profile show A >a.profile` can be mended and kept again. */
static ap_status show(ap_cli *cli, ap_error *err) {
    ap_kept_profile kept;
    ap_profile_change *history = NULL;
    size_t count = 0;
    bool found = false;
    const ap_str name = ap_str_from(cli->words[1]);
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    if (status == AP_OK) {
        status = ap_book_profile_find(&kept, &found, &cli->arena, cli->book, name, err);
    }
    ap_json json;
    if (status == AP_OK && found && ap_cli_json(&json, cli)) {
        ap_profile_list_json(&json, &kept, 1);
        return ap_cli_json_end(cli);
    }
    if (status == AP_OK && (ap_cli_has(cli, "history") || !found)) {
        status = ap_book_profile_history(&history, &count, &cli->arena, cli->book, name, err);
    }
    if (status == AP_OK && !found && count == 0) {
        return ap_error_set(err, AP_E_NOT_FOUND,
                            "the book keeps no profile '%.*s': 'afterpick profile list' lists them", AP_STR_ARG(name));
    }
    if (status == AP_OK && !found && !ap_cli_has(cli, "history")) {
        return ap_error_set(err, AP_E_NOT_FOUND, "the profile '%.*s' was dropped: --history shows its texts",
                            AP_STR_ARG(name));
    }
    if (status == AP_OK && found) {
        ap_sink_put(cli->out, kept.text);
    }
    for (size_t i = 0; status == AP_OK && i < count; i++) {
        ap_sink_printf(cli->out, "\n# until %.*s, by '%.*s': %.*s\n", AP_STR_ARG(history[i].replaced_on),
                       AP_STR_ARG(history[i].who), AP_STR_ARG(history[i].why));
        ap_sink_put(cli->out, history[i].text);
    }
    return status;
}

/* To a file with its page, or to standard output, where the page would be in the way. */
static ap_status write_guess(ap_cli *cli, const ap_guess_told *told, ap_str text, ap_error *err) {
    const ap_str path = ap_cli_get(cli, "out");
    cli->attention = told->question_count > 0;
    ap_json json;
    if (path.len == 0 && ap_cli_json(&json, cli)) {
        ap_guess_json(&json, told, text, cli->words[1], path);
        return ap_cli_json_end(cli);
    }
    if (path.len == 0) {
        ap_sink_put(cli->out, text);
        if (!cli->quiet) {
            ap_cli_say(cli, cli->notes,
                       "%zu question%s to answer: the lines that begin with '?'; --out FILE shows them with their "
                       "answers\n",
                       told->question_count, told->question_count == 1 ? "" : "s");
        }
        return AP_OK;
    }
    const char *name = ap_arena_cstr(&cli->arena, path);
    const ap_status status = name ? ap_file_write(name, text, err) : ap_arena_check(&cli->arena, "a name", err);
    if (status != AP_OK) {
        return status;
    }
    if (ap_cli_json(&json, cli)) {
        ap_guess_json(&json, told, text, cli->words[1], path);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "How a log is read", AP_STR_NONE);
    ap_guess_page(doc, told, cli->words[1], name);
    ap_status written = ap_cli_write(cli, doc, err);
    if (written == AP_OK && cli->format == AP_CLI_PAGE) {
        ap_buf next;
        ap_buf_init(&next, GUESS_MAX);
        ap_guess_next(&next, told, cli->words[1], name);
        ap_sink_putc(cli->out, '\n');
        ap_sink_put(cli->out, ap_buf_str(&next));
        ap_buf_release(&next);
    }
    return written;
}

static ap_status guess(ap_cli *cli, ap_error *err) {
    ap_guess_told *told = ap_arena_alloc(&cli->arena, sizeof *told);
    ap_buf text;
    if (!told) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a guess");
    }
    ap_guess_told_init(told);
    ap_buf_init(&text, GUESS_MAX);
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    if (status == AP_OK) {
        const ap_guess_options options = {.name = ap_cli_get(cli, "name"),
                                          .sheet = ap_cli_get(cli, "sheet"),
                                          .answers = ap_cli_get(cli, "with"),
                                          .settings = &cli->settings};
        status = ap_profile_guess(&text, told, cli->book, cli->words[1], &options, err);
    }
    if (status == AP_OK) {
        status = write_guess(cli, told, ap_buf_str(&text), err);
    }
    ap_buf_release(&text);
    ap_guess_told_release(told);
    return status;
}

static void on_plan(void *context, const char *path, const ap_plan *plan) {
    (void)path;
    ap_check_columns(context, plan);
}

static void on_pick(void *context, const ap_pick *pick) {
    ap_check_pick(context, pick);
}

static ap_status run_samples(ap_profile_check *check, ap_cli *cli, const ap_plan_rules *rules, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = 0; i < check->profile->sample_count && status == AP_OK; i++) {
        ap_sample_result *result = &check->samples[check->sample_count++];
        status = ap_profile_run_sample(result, &cli->arena, check->profile, i, cli->book, rules, err);
        check->samples_failed += !result->passed;
    }
    return status;
}

static ap_status write_check(ap_cli *cli, const ap_profile_check *check, const ap_intake_result *result,
                             ap_error *err) {
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_profile_check_json(&json, check, result);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Profile checked", AP_STR_NONE);
    ap_profile_check_page(doc, check, result);
    return ap_cli_write(cli, doc, err);
}

/* A dry import with the profile: nothing is kept. */
static ap_status check(ap_cli *cli, ap_error *err) {
    ap_profile *profile = NULL;
    ap_intake_result result;
    ap_intake_result_init(&result);
    ap_profile_check *seen = ap_arena_alloc(&cli->arena, sizeof *seen);
    ap_status status = seen ? ap_cli_open(cli, AP_BOOK_WRITE, err) : ap_error_set(err, AP_E_MEMORY, "out of memory");
    if (status == AP_OK) {
        status = ap_profile_open(&profile, cli->book, cli->words[2], err);
    }
    if (status == AP_OK) {
        *seen = (ap_profile_check){.arena = &cli->arena, .profile = profile};
        const ap_plan_rules rules = ap_intake_rules(&cli->settings, AP_INTAKE_UNITS_NONE);
        status = run_samples(seen, cli, &rules, err);
    }
    if (status == AP_OK) {
        const ap_intake_options options = {.author = ap_cli_author(cli),
                                           .profile = profile,
                                           .sheet = ap_cli_get(cli, "sheet"),
                                           .dry_run = true,
                                           .again = true,
                                           .planned = on_plan,
                                           .planned_context = seen,
                                           .stored = on_pick,
                                           .stored_context = seen};
        status = ap_intake_files(&result, cli->book, &cli->words[1], 1, &options, err);
    }
    if (status == AP_OK) {
        status = write_check(cli, seen, &result, err);
        cli->attention = seen->samples_failed || result.totals.set_aside || result.totals.conflicts;
    }
    ap_intake_result_release(&result);
    ap_profile_free(profile);
    return status;
}

static ap_status keep_text(ap_cli *cli, const ap_profile *profile, ap_str why, ap_error *err) {
    const ap_book_author author = ap_cli_author(cli);
    bool replaced = false;
    ap_status status = ap_book_begin(cli->book, err);
    if (status == AP_OK) {
        status = ap_book_profile_keep(&replaced, cli->book, profile->name, profile->text, why, &author, err);
    }
    status = ap_book_end(cli->book, status, err);
    if (status != AP_OK) {
        return status;
    }
    if (!cli->quiet) {
        ap_cli_say(cli, cli->out, "the book %s the profile '%.*s'%s\n", replaced ? "now keeps this text of" : "keeps",
                   AP_STR_ARG(profile->name),
                   profile->use_count ? ", and uses it unasked for logs with the headers it names" : "");
    }
    return AP_OK;
}

static ap_status keep(ap_cli *cli, ap_error *err) {
    ap_profile *profile = NULL;
    ap_buf text;
    ap_str why;
    ap_buf_init(&text, AP_PROFILE_BYTES_MAX);
    ap_status status = ap_cli_get_why(&why, cli, err);
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_WRITE, err);
    }
    if (status == AP_OK) {
        status = ap_file_read(&text, cli->words[1], AP_PROFILE_BYTES_MAX, err);
    }
    if (status == AP_OK) {
        status = ap_profile_read(&profile, ap_buf_str(&text), cli->words[1], err);
    }
    if (status == AP_OK) {
        const ap_plan_rules rules = ap_intake_rules(&cli->settings, AP_INTAKE_UNITS_NONE);
        status = ap_profile_try(profile, cli->book, &rules, err);
    }
    if (status == AP_OK) {
        status = keep_text(cli, profile, why, err);
    }
    ap_profile_free(profile);
    ap_buf_release(&text);
    return status;
}

static ap_status drop(ap_cli *cli, ap_error *err) {
    ap_str why;
    ap_status status = ap_cli_begin_change(&why, cli, err);
    if (status != AP_OK) {
        return status;
    }
    const ap_book_author author = ap_cli_author(cli);
    status = ap_book_profile_drop(cli->book, ap_str_from(cli->words[1]), why, &author, err);
    status = ap_book_end(cli->book, status, err);
    if (status != AP_OK) {
        return status;
    }
    if (!cli->quiet) {
        ap_cli_say(cli, cli->out, "the profile '%s' is no longer kept; its text stays in the history\n", cli->words[1]);
    }
    return AP_OK;
}

static const struct {
    const char *word;
    size_t words;
    const char *usage;
    ap_status (*run)(ap_cli *cli, ap_error *err);
} actions[] = {
    {"list", 1, "profile list", list},
    {"show", 2, "profile show NAME [--history]", show},
    {"guess", 2, "profile guess FILE [--out PROFILEFILE] [--with ANSWER]... [--name NAME] [--sheet NAME]", guess},
    {"check", 3, "profile check FILE PROFILE [--sheet NAME]", check},
    {"keep", 2, "profile keep PROFILEFILE --why TEXT", keep},
    {"drop", 2, "profile drop NAME --why TEXT", drop},
};

static ap_status run(ap_cli *cli, ap_error *err) {
    for (size_t i = 0; cli->word_count && i < sizeof actions / sizeof actions[0]; i++) {
        if (strcmp(cli->words[0], actions[i].word) == 0) {
            return cli->word_count == actions[i].words
                       ? actions[i].run(cli, err)
                       : ap_error_set(err, AP_E_USAGE, "write: afterpick %s", actions[i].usage);
        }
    }
    if (cli->word_count == 0) {
        return list(cli, err);
    }
    return ap_error_set(err, AP_E_USAGE, "'profile %s' is no command: profile list, show, guess, check, keep or drop",
                        cli->words[0]);
}

static const ap_cli_option options[] = {
    {"name", "NAME", "the name of a guessed profile; without it the file's own"},
    {"out", "PROFILEFILE", "with guess: where the profile goes; what was taken and what is asked is then shown"},
    {"with", "ANSWER...", "with guess: an answer to one of its questions, such as 5=species or dates=dmy"},
    {"sheet", "NAME", "the sheet of a workbook"},
    {"history", NULL, "with show: also the texts that were replaced or dropped"},
    {"why", "TEXT", "the reason to keep or drop one; kept in the book"},
    {0},
};

const ap_command ap_command_profile = {
    .name = "profile",
    .group = "SET UP",
    .summary = "how other kinds of logs are read: guess, check and keep a profile",
    .usage =
        "[list | show NAME | guess FILE | check FILE PROFILE | keep PROFILEFILE --why TEXT | drop NAME --why TEXT]",
    .about =
        "A profile says which column, key or pattern of a log feeds which field. 'guess' writes one from the headers "
        "and the\n"
        "first rows and leaves what it can not tell as questions; 'check' shows what it makes of a log and keeps "
        "nothing;\n"
        "'keep' runs its samples and keeps it in the book. Then: afterpick import FILE --profile NAME.",
    .example = "afterpick --book demo/demo.book profile guess samples/messy/notebook.csv",
    .options = options,
    .run = run,
};
