#include "book/species.h"
#include "cli/commands.h"
#include "cli/period.h"
#include "figure/plots.h"
#include "report/density_page.h"

typedef struct job {
    ap_roster roster;
    ap_density_study study;
    const ap_species *species; /* NULL: all */
    uint32_t label;            /* its number in the roster; 0 = no pick of it */
    bool figure;               /* asked for, in characters */
} job;

/* The words from `first` on are one name: quotes are not needed. */
static ap_str name_of(ap_cli *cli, size_t first) {
    ap_str name = AP_STR_NONE;
    for (size_t i = first; i < cli->word_count; i++) {
        name = ap_arena_printf(&cli->arena, "%.*s%s%s", AP_STR_ARG(name), name.len ? " " : "", cli->words[i]);
    }
    return name;
}

/* The book is open: roster, species and study. */
static ap_status work_out(job *work, ap_cli *cli, size_t first, ap_date until, ap_error *err) {
    ap_status status = ap_roster_load(&work->roster, cli->book, until, cli->names, err);
    if (status == AP_OK && cli->word_count > first) {
        status = ap_book_species_find(&work->species, cli->book, name_of(cli, first), err);
    }
    if (status == AP_OK && work->species) {
        work->label = ap_intern_find(work->roster.labels[AP_BY_SPECIES], work->species->common);
    }
    if (status == AP_OK) {
        status = ap_density_study_run(&work->study, &cli->arena, &work->roster, work->label, err);
    }
    return status;
}

/* Why a species has no figure of its own: a clear word instead of one. */
static ap_status no_figure(const job *work, ap_error *err) {
    ap_str name = work->species->common;
    if (work->label == 0) {
        return ap_error_set(err, AP_E_NOT_FOUND, "no pick of %.*s is in this book", AP_STR_ARG(name));
    }
    if (!(work->species->density_kg_m3 > 0)) {
        return ap_error_set(err, AP_E_NOT_FOUND,
                            "the handbook has no green density of %.*s, so that there is nothing to refine",
                            AP_STR_ARG(name));
    }
    const size_t *unused = work->study.picks.unused_of[work->label];
    int most = 1;
    for (int why = 2; why < AP_DENSITY_UNUSED_COUNT; why++) {
        most = unused[why] > unused[most] ? why : most;
    }
    return ap_error_set(
        err, AP_E_NOT_FOUND,
        "no pick of %.*s says what its wood weighs: %zu are %s; it takes a net weight, a length, a butt "
        "and a tip diameter",
        AP_STR_ARG(name), unused[most], ap_density_unused_text((ap_density_unused)most));
}

static ap_status write_figure(ap_cli *cli, const job *work, ap_error *err) {
    ap_figure_set *set = ap_cli_text_figures(cli, err);
    if (!set) {
        return AP_E_MEMORY;
    }
    ap_figure *figure = ap_figure_add(set, AP_PLOT_DENSITY, "density", AP_STR_LIT("Own wood against the handbook"),
                                      AP_STR_LIT("Green density by species: handbook, own wood, single picks."));
    ap_density_describe(figure, &cli->arena, &work->study, ap_cli_units(cli));
    return ap_cli_write_text_figure(cli, set, figure, err);
}

static ap_status write_page(ap_cli *cli, const job *work, ap_error *err) {
    ap_density_evidence evidence = {0};
    ap_status status = AP_OK;
    if (work->species && !ap_density_find(&work->study.density, work->label)) {
        return no_figure(work, err);
    }
    if (work->species) {
        status = ap_density_evidence_read(&evidence, &cli->arena, cli->book, &work->study, work->label, err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_json json;
    if (ap_cli_json(&json, cli)) {
        ap_density_json(&json, &work->study, work->label, work->species ? &evidence : NULL);
        return ap_cli_json_end(cli);
    }
    ap_period period = {AP_DATE_NONE, work->roster.until};
    ap_doc *doc = ap_cli_doc(cli, "Density", ap_say_period(&cli->arena, period));
    if (!doc) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    if (work->species && cli->format == AP_CLI_CSV) {
        ap_density_evidence_table(doc, &work->study, &evidence);
    } else if (work->species) {
        ap_density_species_page(doc, &work->study, work->label, &evidence);
    } else {
        ap_density_page(doc, &work->study);
    }
    status = ap_cli_write(cli, doc, err);
    return status == AP_OK && work->figure ? write_figure(cli, work, err) : status;
}

static ap_status show(ap_cli *cli, ap_error *err) {
    job work = {0};
    ap_period period;
    ap_status status = ap_cli_get_period(&period, cli, err);
    if (status == AP_OK) {
        status = ap_cli_text_figure_asked(&work.figure, cli, err);
    }
    if (status == AP_OK) {
        status = ap_cli_open(cli, AP_BOOK_READ, err);
    }
    if (status == AP_OK) {
        status = work_out(&work, cli, 0, period.until, err);
    }
    if (status == AP_OK) {
        status = write_page(cli, &work, err);
    }
    ap_density_study_release(&work.study);
    ap_roster_release(&work.roster);
    return status;
}

static ap_status history(ap_cli *cli, ap_error *err) {
    job work = {0};
    ap_status status = ap_cli_open(cli, AP_BOOK_READ, err);
    if (status == AP_OK) {
        status = work_out(&work, cli, 1, AP_DATE_NONE, err);
    }
    int64_t species = work.species ? work.species->id : 0;
    bool as_json = cli->format == AP_CLI_JSON;
    if (status == AP_OK && as_json) {
        ap_density_history_json(cli->out, &work.study, species);
        cli->answered = true;
    }
    ap_doc *doc = status == AP_OK && !as_json ? ap_cli_doc(cli, "Accepted densities", AP_STR_NONE) : NULL;
    if (status == AP_OK && !as_json && !doc) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    if (doc) {
        size_t count = work.roster.assumptions.count;
        ap_doc_answer(doc, count ? ap_doc_printf(doc,
                                                 "%zu accepted figure%s, youngest first; every review keeps the "
                                                 "one in force on its last day.",
                                                 count, count == 1 ? "" : "s")
                                 : AP_STR_LIT("No density was accepted yet: the handbook's are in use."));
        ap_density_history(doc, &work.study, species);
        status = ap_cli_write(cli, doc, err);
    }
    ap_density_study_release(&work.study);
    ap_roster_release(&work.roster);
    return status;
}

/* Writes the assumption when it may be recommended; the sentence of what it was is kept for the answer. */
static ap_status accept_figure(ap_cli *cli, const job *work, ap_doc *doc, ap_str why, ap_error *err) {
    const ap_density_species *row = ap_density_find(&work->study.density, work->label);
    if (!row) {
        return no_figure(work, err);
    }
    const ap_reestimate_species *plans = &work->study.plans.species[row - work->study.density.species];
    ap_str says = ap_say_verdict(doc, &work->study, row, plans);
    if (!ap_density_is_recommended(plans->verdict)) {
        return ap_error_set(err, AP_E_DOMAIN, "%.*s", AP_STR_ARG(says));
    }
    const ap_book_author author = ap_cli_author(cli);
    const ap_assumption assumption = {
        .species_id = work->species->id,
        .density_kg_m3 = ap_density_of(row->info, row->shift),
        .sd_log = row->sd,
        .trees = (int64_t)row->bare_trees,
        .picks = (int64_t)row->bare_picks,
        .why = why,
        .evidence = ap_say_density_evidence(doc, row, plans),
        .lowers_weight = plans->verdict == AP_DENSITY_LIGHTER,
    };
    ap_doc_answer(doc, ap_doc_printf(doc, "From %.*s on %.*s is planned with %.*s%s.",
                                     AP_STR_ARG(ap_doc_date(doc, author.today)), AP_STR_ARG(row->info->common),
                                     AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_DENSITY, assumption.density_kg_m3, false)),
                                     assumption.lowers_weight ? ": LOWERS PLANNED WEIGHT" : ""));
    ap_doc_paragraph(doc, says);
    const ap_lighter_guard *guard = &plans->guard;
    if (!isnan(guard->factor_before) && !isnan(guard->factor_after)) {
        ap_doc_paragraph(doc,
                         ap_doc_printf(doc,
                                       "Its planning factor was plan x %.2f and is plan x %.2f from now on, worked "
                                       "out on the plans made anew: take a new sheet (afterpick factors).",
                                       guard->factor_before, guard->factor_after));
    }
    ap_doc_caution(doc, ap_str_from(ap_say_caution));
    return ap_book_assumption_accept(cli->book, &assumption, &author, err);
}

static ap_status undo_figure(ap_cli *cli, const job *work, ap_doc *doc, ap_str why, ap_error *err) {
    const ap_book_author author = ap_cli_author(cli);
    const ap_assumption *held = ap_assumption_in_force(&work->roster.assumptions, work->species->id, AP_DATE_NONE);
    if (!held) {
        return ap_error_set(err, AP_E_NOT_FOUND, "no accepted density of %.*s is in force",
                            AP_STR_ARG(work->species->common));
    }
    ap_status status = ap_book_assumption_undo(cli->book, held->id, why, &author, err);
    ap_assumptions left;
    if (status == AP_OK) {
        status = ap_book_assumptions_read(&left, &cli->arena, cli->book, err);
    }
    if (status == AP_OK) {
        const ap_assumption *now = ap_assumption_in_force(&left, work->species->id, AP_DATE_NONE);
        double density = now ? now->density_kg_m3 : work->species->density_kg_m3;
        ap_doc_answer(
            doc, ap_doc_printf(doc,
                               "From %.*s on %.*s is planned with %.*s again, %s%s. Reports of days before keep what "
                               "they used.",
                               AP_STR_ARG(ap_doc_date(doc, author.today)), AP_STR_ARG(work->species->common),
                               AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_DENSITY, density, false)),
                               now ? "the figure accepted before" : "the handbook's",
                               density < held->density_kg_m3 ? ": LOWERS PLANNED WEIGHT" : ""));
        ap_doc_caution(doc, ap_str_from(ap_say_caution));
    }
    return status;
}

static ap_status change(ap_cli *cli, bool accept, ap_error *err) {
    job work = {0};
    ap_str why;
    ap_doc *doc = NULL;
    ap_status status = ap_cli_need_words(cli, 2, 8, "a species", err);
    if (status == AP_OK) {
        status = ap_cli_begin_change(&why, cli, err);
    }
    if (status != AP_OK) {
        return status;
    }
    status = work_out(&work, cli, 1, cli->today, err); /* what is dated later proves nothing today */
    if (status == AP_OK) {
        doc = ap_cli_doc(cli, "Density", AP_STR_NONE);
        status = doc ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the page");
    }
    if (status == AP_OK) {
        status = accept ? accept_figure(cli, &work, doc, why, err) : undo_figure(cli, &work, doc, why, err);
    }
    status = ap_book_end(cli->book, status, err);
    if (status == AP_OK && !cli->quiet) {
        status = ap_cli_write(cli, doc, err);
    }
    ap_density_study_release(&work.study);
    ap_roster_release(&work.roster);
    return status;
}

static ap_status run(ap_cli *cli, ap_error *err) {
    const char *verb = cli->word_count ? cli->words[0] : "";
    if (strcmp(verb, "accept") == 0 || strcmp(verb, "undo") == 0) {
        return change(cli, verb[0] == 'a', err);
    }
    ap_status status = ap_cli_need_words(cli, 0, 8, "at most one species", err);
    if (status != AP_OK) {
        return status;
    }
    return strcmp(verb, "history") == 0 ? history(cli, err) : show(cli, err);
}

static const ap_cli_option options[] = {
    {"figure", "text", "the figure in characters, below the table"},
    {"why", "TEXT", "the reason for a change; kept in the book"},
    {"month", "YYYY-MM", "as of the end of this month"},
    {"until", "DATE", "from the picks of this day and earlier"},
    {0},
};

const ap_command ap_command_density = {
    .name = "density",
    .group = "LOOK",
    .summary = "what your own wood weighs against the handbook, and whether plans would be better with it",
    .usage = "[SPECIES] [--figure text] | accept SPECIES --why TEXT | undo SPECIES --why TEXT | history [SPECIES]",
    .about =
        "Weighed pieces with a length and two diameters refine the handbook's green density. A figure is accepted only "
        "when\nplans of trees it had not seen get better; one that makes plans lighter has more to prove. Every review "
        "keeps the\nfigure in force on its last day.",
    .example = "afterpick --book demo/demo.book density --figure text",
    .options = options,
    .run = run,
};
