#include "report/check_page.h"

#include "report/sentences.h"

bool ap_check_needs_person(const ap_check *check) {
    return check->damages || check->problems.rows_open || check->problems.conflicts_open || check->copies.lost_count ||
           check->kept.verdict == AP_KEPT_DIFFERS || check->rights_count || !check->gnuplot.draws_svg;
}

/* Each thing that needs a person, one call: what it is and what to do. */
typedef void (*say_fn)(void *context, const char *what, ap_str says);

static void say_damages(const ap_check *check, say_fn say, void *context) {
    ap_str rest = check->damage_says;
    while (rest.ptr) {
        ap_str line = ap_str_split(rest, '\n', &rest);
        if (line.len) {
            say(context, "damaged", line);
        }
    }
}

static void say_lost(ap_doc *doc, const ap_check *check, say_fn say, void *context) {
    for (int64_t i = 0; i < check->copies.lost_count && i < AP_LOST_SHOWN; i++) {
        const ap_lost_copy *lost = &check->copies.lost[i];
        say(context, lost->changed ? "copy changed" : "copy missing",
            ap_doc_printf(doc, "%.*s of import %lld; put the log back as %.*s/%.*s", AP_STR_ARG(lost->path),
                          (long long)lost->import_id, AP_STR_ARG(check->copies.folder), AP_STR_ARG(lost->sha256)));
    }
    if (check->copies.lost_count > AP_LOST_SHOWN) {
        say(context, "copies",
            ap_doc_printf(doc, "and %lld more", (long long)(check->copies.lost_count - AP_LOST_SHOWN)));
    }
}

static void say_all(ap_doc *doc, const ap_check *check, say_fn say, void *context) {
    const ap_problems *problems = &check->problems;
    say_damages(check, say, context);
    if (problems->rows_open) {
        say(context, "set aside",
            ap_doc_printf(doc, "%zu row%s; 'afterpick problems' lists them", problems->rows_open,
                          problems->rows_open == 1 ? "" : "s"));
    }
    if (problems->conflicts_open) {
        say(context, "conflicts",
            ap_doc_printf(doc, "%zu second reading%s; 'afterpick problems' lists them", problems->conflicts_open,
                          problems->conflicts_open == 1 ? "" : "s"));
    }
    say_lost(doc, check, say, context);
    if (check->kept.verdict == AP_KEPT_DIFFERS) {
        say(context, "kept facts",
            ap_doc_printf(
                doc, "not what the picks come to%s%.*s; %s; make the reports again that were made since the last check",
                check->kept.first.len ? ", first at " : "", AP_STR_ARG(check->kept.first),
                check->kept.let_go ? "they are taken out" : "take them out: DELETE FROM kept_facts"));
    }
    for (size_t i = 0; i < check->rights_count; i++) {
        say(context, "rights", check->rights[i]);
    }
    if (!check->gnuplot.draws_svg) {
        say(context, "figures", check->gnuplot.trouble);
    }
}

static void say_alert(void *context, const char *what, ap_str says) {
    ap_doc_alert(context, ap_str_from(what), AP_STR_NONE, says);
}

/* "no logs", "1 log", "12 logs" */
static ap_str many(ap_doc *doc, int64_t count, const char *noun) {
    if (count == 0) {
        return ap_doc_printf(doc, "no %ss", noun);
    }
    return ap_doc_printf(doc, "%.*s %s%s", AP_STR_ARG(ap_doc_count(doc, (double)count)), noun, count == 1 ? "" : "s");
}

static void put_counts(ap_doc *doc, const ap_check *check) {
    const ap_source_counts *counts = &check->counts;
    ap_doc_section(doc, 2, AP_STR_LIT("book"), AP_STR_LIT("The book"));
    ap_doc_list_item(doc, ap_doc_printf(doc, "%.*s from %.*s in %.*s; %.*s taken out again",
                                        AP_STR_ARG(many(doc, counts->picks, "pick")),
                                        AP_STR_ARG(many(doc, counts->files, "log")),
                                        AP_STR_ARG(many(doc, counts->imports, "import")),
                                        AP_STR_ARG(many(doc, counts->undone, "import"))));
    ap_doc_list_item(doc, ap_doc_printf(doc, "%.*s amended, %.*s about what was stored",
                                        AP_STR_ARG(many(doc, counts->amended, "pick")),
                                        AP_STR_ARG(many(doc, counts->warnings, "warning"))));
    ap_doc_list_item(doc, ap_doc_printf(doc, "tables of version %d; file, references and counts %s", check->version,
                                        check->damages ? "NOT whole" : "whole"));
    ap_doc_list_item(doc, check->kept.verdict == AP_KEPT_NONE
                              ? AP_STR_LIT("nothing is kept of what the picks come to: reports read the picks")
                          : check->kept.verdict == AP_KEPT_AGREES
                              ? ap_doc_printf(doc, "what is kept of %.*s is what they come to",
                                              AP_STR_ARG(many(doc, (int64_t)check->kept.picks, "pick")))
                              : AP_STR_LIT("what is kept of the picks is NOT what they come to"));
    const ap_copies *copies = &check->copies;
    ap_doc_list_item(
        doc, copies->folder_exists
                 ? ap_doc_printf(doc, "copies of logs in %.*s: %lld of %lld match their SHA-256",
                                 AP_STR_ARG(copies->folder), (long long)copies->good, (long long)copies->logs)
                 : ap_doc_printf(doc, "no copies of logs are kept beside the book (%.*s)", AP_STR_ARG(copies->folder)));
}

static void put_crews(ap_doc *doc, const ap_upkeep *upkeep) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("crew"), .label = AP_STR_LIT("crew"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("picks"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("no_weight"), .label = AP_STR_LIT("weight"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("no_capacity"), .label = AP_STR_LIT("capacity"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("no_movement"), .label = AP_STR_LIT("movement"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("no_slings"), .label = AP_STR_LIT("slings"), .kind = AP_CELL_PERCENT},
        {.key = AP_STR_LIT("no_tree"), .label = AP_STR_LIT("tree"), .kind = AP_CELL_PERCENT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("crews"), AP_STR_LIT("Share of picks whose cell is blank"), columns,
                                   sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < upkeep->crew_count; i++) {
        const ap_upkeep_crew *crew = &upkeep->crews[i];
        ap_table_row(table);
        ap_table_text(table, crew->crew.len ? crew->crew : AP_STR_LIT("not recorded"));
        ap_table_value(table, (double)crew->picks);
        for (int c = 0; c < AP_UPKEEP_COUNT; c++) {
            ap_table_value(table, (double)crew->blank[c] / (double)crew->picks);
        }
    }
}

static void put_upkeep(ap_doc *doc, const ap_upkeep *upkeep) {
    ap_doc_section(doc, 2, AP_STR_LIT("logs"), AP_STR_LIT("How the logs are kept"));
    if (upkeep->picks == 0) {
        ap_doc_paragraph(doc, AP_STR_LIT("No picks yet."));
        return;
    }
    ap_doc_list_item(doc, upkeep->unweighed
                              ? ap_doc_printf(doc, "%zu of %zu picks not weighed", upkeep->unweighed, upkeep->picks)
                              : AP_STR_LIT("every pick weighed"));
    ap_doc_list_item(
        doc, upkeep->repeats_plan
                 ? ap_doc_printf(doc, "%zu with a measured weight equal to the planned one", upkeep->repeats_plan)
                 : AP_STR_LIT("no measured weight equal to the planned one"));
    ap_doc_list_item(doc, ap_doc_printf(doc, "%.*s of one measured weight in %d or more picks of a job",
                                        AP_STR_ARG(many(doc, (int64_t)upkeep->run_count, "run")), AP_COPIED_LEAST));
    for (size_t i = 0; i < upkeep->run_count && i < AP_COPIED_SHOWN; i++) {
        const ap_copied_run *run = &upkeep->runs[i];
        ap_doc_list_item(doc, ap_doc_printf(doc, "%.*s to %.*s: %.*s, %zu times; copied down?", AP_STR_ARG(run->first),
                                            AP_STR_ARG(run->last),
                                            AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, run->weight_kg, false)),
                                            run->length));
    }
    put_crews(doc, upkeep);
}

static void put_versions(ap_doc *doc, const ap_check *check) {
    ap_doc_section(doc, 2, AP_STR_LIT("machine"), AP_STR_LIT("The machine"));
    for (size_t i = 0; i < AP_CHECK_VERSIONS; i++) {
        ap_doc_list_item(
            doc, ap_doc_printf(doc, "%s %.*s", check->versions[i].name, AP_STR_ARG(check->versions[i].version)));
    }
    ap_doc_list_item(doc, check->gnuplot.version.len ? ap_doc_printf(doc, "%.*s%s", AP_STR_ARG(check->gnuplot.version),
                                                                     check->gnuplot.draws_svg ? ", draws SVG" : "")
                                                     : AP_STR_LIT("gnuplot: not found"));
}

void ap_check_page(ap_doc *doc, const ap_check *check) {
    ap_doc_answer(doc, check->damages                 ? AP_STR_LIT("The book is damaged.")
                       : ap_check_needs_person(check) ? AP_STR_LIT("The book is whole; something needs a person.")
                                                      : AP_STR_LIT("The book is whole; nothing needs a person."));
    say_all(doc, check, say_alert, doc);
    if (!check->damages) {
        put_counts(doc, check);
        put_upkeep(doc, &check->upkeep);
    }
    put_versions(doc, check);
}

static void say_row(void *context, const char *what, ap_str says) {
    ap_table_row(context);
    ap_table_text(context, ap_str_from(what));
    ap_table_text(context, says);
}

void ap_check_table(ap_doc *doc, const ap_check *check) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("what"), .label = AP_STR_LIT("what"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("says"), .label = AP_STR_LIT("says"), .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("check"), AP_STR_LIT("What needs a person"), columns, 2);
    if (table) {
        say_all(doc, check, say_row, table);
    }
}

static void put_json_upkeep(ap_json *json, const ap_upkeep *upkeep) {
    ap_json_put_int(json, "unweighed", (int64_t)upkeep->unweighed);
    ap_json_put_int(json, "repeats_plan", (int64_t)upkeep->repeats_plan);
    ap_json_put_int(json, "copied_runs_total", (int64_t)upkeep->run_count);
    ap_json_key(json, "copied_runs");
    ap_json_array_begin(json);
    for (size_t i = 0; i < upkeep->run_count && i < AP_COPIED_SHOWN; i++) {
        ap_json_object_begin(json);
        ap_json_put_text(json, "first", upkeep->runs[i].first);
        ap_json_put_text(json, "last", upkeep->runs[i].last);
        ap_json_put_int(json, "length", (int64_t)upkeep->runs[i].length);
        ap_json_put_number(json, "weight_kg", upkeep->runs[i].weight_kg);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_key(json, "crews");
    ap_json_array_begin(json);
    for (size_t i = 0; i < upkeep->crew_count; i++) {
        ap_json_object_begin(json);
        ap_json_put_text(json, "crew", upkeep->crews[i].crew);
        ap_json_put_int(json, "picks", (int64_t)upkeep->crews[i].picks);
        ap_json_key(json, "blank");
        ap_json_object_begin(json);
        for (int c = 0; c < AP_UPKEEP_COUNT; c++) {
            ap_json_put_int(json, ap_upkeep_cell_name((ap_upkeep_cell)c), (int64_t)upkeep->crews[i].blank[c]);
        }
        ap_json_object_end(json);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
}

static void put_json_copies(ap_json *json, const ap_copies *copies) {
    ap_json_key(json, "copies");
    ap_json_object_begin(json);
    ap_json_put_bool(json, "kept", copies->folder_exists);
    ap_json_put_int(json, "logs", copies->logs);
    ap_json_put_int(json, "good", copies->good);
    ap_json_key(json, "lost");
    ap_json_array_begin(json);
    for (int64_t i = 0; i < copies->lost_count && i < AP_LOST_SHOWN; i++) {
        ap_json_object_begin(json);
        ap_json_put_text(json, "file", copies->lost[i].path);
        ap_json_put_text(json, "sha256", copies->lost[i].sha256);
        ap_json_put_int(json, "import", copies->lost[i].import_id);
        ap_json_put_text(json, "state", copies->lost[i].changed ? AP_STR_LIT("changed") : AP_STR_LIT("missing"));
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}

static void put_json_lines(ap_json *json, const char *key, ap_str lines) {
    ap_json_key(json, key);
    ap_json_array_begin(json);
    while (lines.ptr) {
        ap_str line = ap_str_split(lines, '\n', &lines);
        if (line.len) {
            ap_json_text(json, line);
        }
    }
    ap_json_array_end(json);
}

void ap_check_json(ap_json *json, const ap_check *check) {
    ap_json_object_begin(json);
    ap_json_put_text(json, "book", check->book);
    ap_json_put_int(json, "version", check->version);
    ap_json_put_bool(json, "damaged", check->damages > 0);
    ap_json_put_bool(json, "needs_person", ap_check_needs_person(check));
    put_json_lines(json, "damages", check->damage_says);
    if (!check->damages) {
        ap_json_put_int(json, "imports", check->counts.imports);
        ap_json_put_int(json, "imports_undone", check->counts.undone);
        ap_json_put_int(json, "files", check->counts.files);
        ap_json_put_int(json, "picks", check->counts.picks);
        ap_json_put_int(json, "amended", check->counts.amended);
        ap_json_put_int(json, "warnings", check->counts.warnings);
        ap_json_put_int(json, "rows_open", (int64_t)check->problems.rows_open);
        ap_json_put_int(json, "conflicts_open", (int64_t)check->problems.conflicts_open);
        static const char *const verdicts[] = {"none", "agree", "differ"};
        ap_json_put_text(json, "kept_facts", ap_str_from(verdicts[check->kept.verdict]));
        put_json_upkeep(json, &check->upkeep);
        put_json_copies(json, &check->copies);
    }
    ap_json_key(json, "rights");
    ap_json_array_begin(json);
    for (size_t i = 0; i < check->rights_count; i++) {
        ap_json_text(json, check->rights[i]);
    }
    ap_json_array_end(json);
    ap_json_key(json, "versions");
    ap_json_object_begin(json);
    for (size_t i = 0; i < AP_CHECK_VERSIONS; i++) {
        ap_json_put_text(json, check->versions[i].name, check->versions[i].version);
    }
    ap_json_put_text(json, "gnuplot", check->gnuplot.version);
    ap_json_object_end(json);
    ap_json_put_bool(json, "gnuplot_draws_svg", check->gnuplot.draws_svg);
    ap_json_object_end(json);
}
