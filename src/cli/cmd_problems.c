#include "book/amend.h"
#include "book/pick_text.h"
#include "cli/commands.h"
#include "cli/period.h"
#include "intake/amend_values.h"
#include "report/problems_page.h"

static ap_status list_problems(ap_cli *cli, ap_error *err) {
    ap_problem_filter filter = {.file = ap_cli_get(cli, "file"), .all = ap_cli_has(cli, "all"), .names = cli->names};
    ap_problems problems = {0};
    ap_status status = ap_cli_get_period(&filter.period, cli, err);
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_READ, err);
    }
    if (status == AP_OK) {
        status = ap_problems_read(&problems, &cli->arena, cli->book, &filter, err);
    }
    if (status != AP_OK) {
        return status;
    }
    cli->attention = problems.rows_open || problems.conflicts_open;
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_problems_json(&json, &cli->arena, &problems, &filter);
        return ap_cli_json_end(cli);
    }
    ap_doc *doc = ap_cli_doc(cli, "Problems", ap_say_period(&cli->arena, filter.period));
    if (cli->format == AP_CLI_CSV) {
        ap_problems_table(doc, &problems, &filter);
    } else {
        ap_problems_page(doc, &problems, &filter);
    }
    return ap_cli_write(cli, doc, err);
}

/* "july.csv:9" -> the file and the line. */
static ap_status parse_place(ap_str *file, int64_t *line, ap_str text, ap_error *err) {
    size_t at = text.len;
    while (at > 0 && text.ptr[at - 1] != ':') {
        at--;
    }
    if (at < 2 || !ap_str_to_int64(line, (ap_str){text.ptr + at, text.len - at}) || *line < 1) {
        return ap_error_set(err, AP_E_USAGE, "'%.*s' is not FILE:LINE; 'afterpick problems' lists them so",
                            AP_STR_ARG(text));
    }
    *file = (ap_str){text.ptr, at - 1};
    return AP_OK;
}

/* Which of the pick's open conflicts is meant; AP_E_AMBIGUOUS when two different readings are. */
static ap_status choose(ap_conflict *out, ap_cli *cli, const ap_pick *pick, ap_conflict_list *list, ap_error *err) {
    ap_str from = ap_cli_get(cli, "from");
    ap_str file = AP_STR_NONE;
    int64_t line = 0;
    ap_status status = from.ptr ? parse_place(&file, &line, from, err) : AP_OK;
    const ap_conflict *first = NULL;
    size_t count = 0;
    for (size_t i = 0; status == AP_OK && i < list->count; i++) {
        const ap_conflict *conflict = &list->items[i];
        if (!from.ptr || (conflict->line == line && ap_problem_file_is(conflict->file, file))) {
            first = first ? first : conflict;
            list->items[count++] = *conflict;
        }
    }
    list->count = count;
    if (status == AP_OK && !first) {
        return ap_error_set(err, AP_E_NOT_FOUND, "no open conflict of '%.*s'%s%.*s; 'afterpick problems' lists them",
                            AP_STR_ARG(pick->name), from.ptr ? " from " : "", AP_STR_ARG(from));
    }
    if (status == AP_OK) {
        *out = list->items[0];
    }
    return status;
}

static void tell_doubt(void *context, int column, ap_str field, ap_str text, const char *says) {
    (void)column;
    (void)text;
    ap_cli *cli = context;
    ap_cli_say(cli, cli->notes, "to look at: %.*s %s\n", AP_STR_ARG(field), says);
}

/* Amended in the meantime to what was offered. */
static bool stands_already(const ap_pick *pick, const ap_pick *changed, int column) {
    ap_buf old;
    ap_buf new;
    ap_buf_init(&old, 1 << 20);
    ap_buf_init(&new, 1 << 20);
    ap_pick_value_write(&old, pick, column);
    ap_pick_value_write(&new, changed, column);
    bool same = ap_str_equal(ap_buf_str(&old), ap_buf_str(&new));
    ap_buf_release(&old);
    ap_buf_release(&new);
    return same;
}

/* The offered values become amendments, all or none; what stands so already is passed over. */
static ap_status take(ap_cli *cli, const ap_pick *pick, const ap_conflict *conflict, ap_str why, ap_error *err) {
    ap_amend_value values[AP_AMEND_MAX];
    size_t count = 0;
    ap_pick changed;
    const ap_book_author author = ap_cli_author(cli);
    for (size_t i = 0; i < conflict->value_count && count < AP_AMEND_MAX; i++) {
        const ap_conflict_value *value = &conflict->values[i];
        values[count++] = (ap_amend_value){.column = ap_field_find(value->field), .text = value->offered};
    }
    if (count < conflict->value_count) {
        return ap_error_set(err, AP_E_LIMIT, "the readings differ in more than %d values; amend them one by one",
                            AP_AMEND_MAX);
    }
    ap_status status = ap_amend_read(&changed, &cli->arena, cli->book, &cli->settings, pick, values, count, cli->today,
                                     tell_doubt, cli, err);
    for (size_t i = 0; i < count && status == AP_OK; i++) {
        if (!stands_already(pick, &changed, values[i].column)) {
            status = ap_book_amend(cli->book, pick->name, values[i].column, &changed, why, &author, err);
        }
    }
    return status;
}

static ap_status open_conflicts(ap_conflict_list *out, ap_cli *cli, const ap_pick *pick, ap_error *err) {
    const ap_conflict_filter filter = {.pick_id = pick->id, .since = AP_DATE_NONE, .until = AP_DATE_NONE};
    return ap_book_conflicts(out, &cli->arena, cli->book, &filter, err);
}

/* Closes every conflict of the list that is still open: taking the values decides those it settles by itself. */
static ap_status close_all(ap_cli *cli, const ap_pick *pick, const ap_conflict_list *list, ap_str why, ap_error *err) {
    const ap_book_author author = ap_cli_author(cli);
    ap_conflict_list open = {0};
    ap_status status = open_conflicts(&open, cli, pick, err);
    for (size_t i = 0; i < open.count && status == AP_OK; i++) {
        for (size_t k = 0; k < list->count && status == AP_OK; k++) {
            if (open.items[i].id == list->items[k].id) {
                status = ap_book_conflict_decide(cli->book, open.items[i].id, why, &author, err);
            }
        }
    }
    return status;
}

static void say_decided(ap_cli *cli, const ap_pick *pick, const ap_conflict *chosen, bool taken, size_t closed) {
    if (cli->quiet) {
        return;
    }
    if (taken) {
        ap_cli_say(cli, cli->out, "%.*s now says what %.*s line %lld says\n", AP_STR_ARG(pick->name),
                   AP_STR_ARG(chosen->file), (long long)chosen->line);
    } else {
        ap_cli_say(cli, cli->out, "%.*s stays as it is stored\n", AP_STR_ARG(pick->name));
    }
    if (closed > 1) {
        ap_cli_say(cli, cli->out, "decided with it: %zu other second reading%s of this pick\n", closed - 1,
                   closed == 2 ? "" : "s");
    }
}

static ap_status decide_inside(ap_cli *cli, bool taken, ap_str why, ap_error *err) {
    ap_pick pick;
    ap_conflict_list list = {0};
    ap_conflict_list left = {0};
    ap_conflict chosen = {0};
    size_t before = 0;
    ap_status status = ap_book_get_pick(&pick, &cli->arena, cli->book, ap_str_from(cli->words[1]), err);
    if (status == AP_OK) {
        status = open_conflicts(&list, cli, &pick, err);
        before = list.count;
    }
    if (status == AP_OK) {
        status = choose(&chosen, cli, &pick, &list, err);
    }
    if (status == AP_OK && taken && list.count > 1) {
        return ap_error_set(err, AP_E_AMBIGUOUS,
                            "'%.*s' has %zu open conflicts, the first from %.*s:%lld; say which with --from FILE:LINE",
                            AP_STR_ARG(pick.name), list.count, AP_STR_ARG(chosen.file), (long long)chosen.line);
    }
    if (status == AP_OK && taken) {
        status = take(cli, &pick, &chosen, why, err);
    }
    if (status == AP_OK) {
        status = close_all(cli, &pick, &list, why, err);
    }
    if (status == AP_OK) {
        status = open_conflicts(&left, cli, &pick, err);
    }
    if (status == AP_OK) {
        status = ap_book_commit(cli->book, err);
    }
    if (status == AP_OK) {
        say_decided(cli, &pick, &chosen, taken, before - left.count);
    }
    return status;
}

static ap_status decide(ap_cli *cli, ap_error *err) {
    ap_str why;
    ap_status status = ap_cli_need_words(cli, 3, 3, "decide PICK keep|take", err);
    if (status != AP_OK) {
        return status;
    }
    bool taken = ap_str_equal_word(ap_str_from(cli->words[2]), "take");
    if (!taken && !ap_str_equal_word(ap_str_from(cli->words[2]), "keep")) {
        return ap_error_set(err, AP_E_USAGE, "say 'keep' (what is stored) or 'take' (what was offered), not '%s'",
                            cli->words[2]);
    }
    status = ap_cli_begin_change(&why, cli, err);
    if (status == AP_OK) {
        status = decide_inside(cli, taken, why, err);
        if (status != AP_OK) {
            ap_book_rollback(cli->book);
        }
    }
    return status;
}

static ap_status drop_inside(ap_cli *cli, ap_str file, int64_t line, ap_str why, ap_error *err) {
    const ap_problem_filter filter = {.file = file, .period = {AP_DATE_NONE, AP_DATE_NONE}};
    const ap_book_author author = ap_cli_author(cli);
    ap_problems problems = {0};
    size_t dropped = 0;
    ap_str path = AP_STR_NONE;
    ap_status status = ap_problems_read(&problems, &cli->arena, cli->book, &filter, err);
    for (size_t i = 0; status == AP_OK && i < problems.row_count; i++) {
        const ap_aside *aside = &problems.rows[i].aside;
        if (aside->line != line) {
            continue;
        }
        if (path.ptr && !ap_str_equal(path, aside->file)) {
            return ap_error_set(err, AP_E_AMBIGUOUS, "'%.*s' may be '%.*s' or '%.*s': write the whole name",
                                AP_STR_ARG(file), AP_STR_ARG(path), AP_STR_ARG(aside->file));
        }
        path = aside->file;
        status = ap_book_aside_drop(cli->book, aside->id, why, &author, err);
        dropped++;
    }
    if (status == AP_OK && dropped == 0) {
        return ap_error_set(err, AP_E_NOT_FOUND, "no row set aside at %.*s:%lld; 'afterpick problems' lists them",
                            AP_STR_ARG(file), (long long)line);
    }
    if (status == AP_OK) {
        status = ap_book_commit(cli->book, err);
    }
    if (status == AP_OK && !cli->quiet) {
        ap_cli_say(cli, cli->out, "%.*s:%lld dropped%s; 'afterpick problems --all' still shows it\n", AP_STR_ARG(path),
                   (long long)line, dropped > 1 ? " in every import that has it" : "");
    }
    return status;
}

static ap_status drop(ap_cli *cli, ap_error *err) {
    ap_str why;
    ap_str file;
    int64_t line = 0;
    ap_status status = ap_cli_need_words(cli, 2, 2, "drop FILE:LINE", err);
    if (status == AP_OK) {
        status = parse_place(&file, &line, ap_str_from(cli->words[1]), err);
    }
    if (status == AP_OK) {
        status = ap_cli_begin_change(&why, cli, err);
    }
    if (status == AP_OK) {
        status = drop_inside(cli, file, line, why, err);
        if (status != AP_OK) {
            ap_book_rollback(cli->book);
        }
    }
    return status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    if (cli->word_count == 0) {
        return list_problems(cli, err);
    }
    ap_str word = ap_str_from(cli->words[0]);
    if (ap_str_equal_word(word, "decide")) {
        return decide(cli, err);
    }
    if (ap_str_equal_word(word, "drop")) {
        return drop(cli, err);
    }
    return ap_error_set(err, AP_E_USAGE, "'%s' is neither 'decide' nor 'drop'; 'afterpick problems' alone lists them",
                        cli->words[0]);
}

static const ap_cli_option options[] = {
    {"file", "FILE", "only of this log, by its name as imported or the last part of it"},
    {"all", NULL, "rows dropped and conflicts decided too, with who, when and why"},
    {"from", "FILE:LINE", "which of several second readings 'decide' is about"},
    {"why", "TEXT", "the reason of a decision; kept in the book"},
    AP_CLI_PERIOD_OPTIONS,
    {0},
};

const ap_command ap_command_problems = {
    .name = "problems",
    .group = "MEND",
    .summary = "rows set aside and conflicts that wait for a person; decide or drop one",
    .usage = "[--file FILE] [--month YYYY-MM] [--all] | decide PICK keep|take --why TEXT | drop FILE:LINE --why TEXT",
    .about =
        "A row whose date cannot be read is listed in every month. 'Since stored' is a row that a later log brought\n"
        "under the same job and pick. keep leaves what is stored; take amends it to what was offered, all of it or\n"
        "nothing. A dropped row stays in the history. Exit code 1 while something waits.",
    .example = "afterpick --book demo/demo.book problems",
    .options = options,
    .run = run,
};
