/* Profiles: their grammar, what they make of logs, how the book keeps them, what is guessed. */
#include "book/profiles.h"
#include "intake/kit.h"
#include "intake/profile_guess.h"
#include "intake/profile_plan.h"

#define MINIMAL                                                                                                        \
    "name small\ncolumn \"J\" -> job\ncolumn \"D\" -> date\ncolumn \"N\" -> pick\ncolumn \"S\" -> species\n"           \
    "column \"W\" -> planned_weight in lb\n"

static void refused(const char *text, const char *says) {
    ap_profile *profile = NULL;
    ap_error err;
    ap_error_clear(&err);
    const ap_status status = ap_profile_read(&profile, ap_str_from(text), "test", &err);
    if (status != AP_E_INPUT && status != AP_E_LIMIT) {
        fail_msg("read, but should be refused with '%s':\n%s", says, text);
    }
    if (!strstr(err.text, says)) {
        fail_msg("refused with '%s', wanted '%s'", err.text, says);
    }
}

static void every_refusal_names_line_and_what_is_allowed(void **state) {
    (void)state;
    refused("", "no name");
    refused("name a\n", "reads nothing");
    refused("name a\nnmae b\n",
            "line 2: 'nmae' begins no line of a profile, 'name' is near; a line begins with name, about");
    refused("name a\nname b\n", "line 2: 'name' stands on line 1 already");
    refused("name a/b\n", "neither / nor");
    refused(MINIMAL "dates ymd\n", "line 7: write: dates mdy, or dates dmy");
    refused(MINIMAL "ton big\n", "write: ton short");
    refused(MINIMAL "bare imperial\n", "write: bare us");
    refused(MINIMAL "delimiter x\n", "write: delimiter comma");
    refused(MINIMAL "header on line 0\n", "from 1 to 1000");
    refused(MINIMAL "column \"X\" -> planed_weight\n", "'planed_weight' is no field, 'planned_weight' is near");
    refused(MINIMAL "column \"X\" -> length in lb\n", "length can not be in lb");
    refused(MINIMAL "column \"X\" -> length in cubits\n", "'cubits' is no unit");
    refused(MINIMAL "column X -> length\n", "write: column \"HEADER\" -> FIELD");
    refused(MINIMAL "column \"X\" -> job\n", "job is given twice, by line 2 and by line 7");
    refused(MINIMAL "constant job = J1\n", "job is given twice");
    refused(MINIMAL "line /(?<pick>.)/\n", "'line' does not go with 'column' on line 2");
    refused(MINIMAL "skip when \"J\" matches /(/\n", "unable to compile the pattern");
    refused(MINIMAL "value cut: \"a\" -> step\n", "there are values for cut, but nothing gives it");
    refused(MINIMAL "numbers restart each crew\n", "nothing gives 'crew'");
    refused(MINIMAL "numbers restart each year\n", "write: numbers restart each day");
    refused(MINIMAL "? bare us\n", "line 7: an open question, 'bare us'");
    refused(MINIMAL "gives pick = 1\n", "belongs below a sample");
    refused(MINIMAL "sample \"J\" = \"1\"\n", "says not what it gives");
    refused(MINIMAL "sample \"J 1 2\"\n  gives nothing\n", "a sample of a table is");
    refused(MINIMAL "dates mdy today\n", "nothing more may stand here, but there is 'today'");
    refused("name a\ncolumn \"J\" -> job\n", "nothing gives 'date', which every pick needs");
    refused("name a\ncolumn \"J\" -> job\nconstant date = 2026-01-01\ncolumn \"N\" -> pick\ncolumn \"S\" -> species\n",
            "nothing gives 'planned_weight' or 'measured_weight'");
    refused("name a\nline /(?<pick>.)(?<weird>.)/\n", "the group 'weird' names no field");
    refused("name a\nline /abc/\n", "no named group");
    refused("name a\nline /(?<job>.)(?<date>.)(?<pick>.)(?<species>.)(?<planned_weight_lb>.)/\n", "needs a sample");
    refused("name a\nline /(?<planned_weight_lb>.)/\nline /(?<planned_weight_kg>.)/\n", "one unit for a field");
    char longer[5000];
    memset(longer, 'x', sizeof longer - 1);
    memcpy(longer, "about ", 6);
    longer[sizeof longer - 1] = '\0';
    refused(longer, "longer than 4096 bytes");
    refused("name \xff\n", "not UTF-8");
}

static ap_profile *load(kit *k, const char *text) {
    ap_profile *profile = NULL;
    check_ok(ap_profile_read(&profile, ap_str_from(text), "test", &k->err), &k->err);
    return profile;
}

static ap_status try_profile(kit *k, const char *text) {
    ap_profile *profile = load(k, text);
    const ap_plan_rules rules = {0};
    const ap_status status = ap_profile_try(profile, k->book, &rules, &k->err);
    ap_profile_free(profile);
    return status;
}

static void a_failing_sample_says_what_was_read(void **state) {
    kit *k = *state;
    check_ok(
        try_profile(k, MINIMAL "sample \"N\" = \"7\", \"W\" = \"2,950\"\n  gives pick = 7, planned_weight = 2950 lb\n"),
        &k->err);
    check_refused(
        try_profile(k, MINIMAL "sample \"N\" = \"7\", \"W\" = \"2,950\"\n  gives planned_weight = 2950 kg\n"),
        AP_E_INPUT, &k->err,
        "the sample on line 7 of the profile 'small' fails: planned_weight should be 2950 kg, but 2950 lb was read");
    check_refused(try_profile(k, MINIMAL "sample \"W\" = \"about 2t\"\n  gives planned_weight = 2 lb\n"), AP_E_INPUT,
                  &k->err, "it is set aside: planned_weight");
    check_refused(try_profile(k, MINIMAL "sample \"N\" = \"7\"\n  gives nothing\n"), AP_E_INPUT, &k->err,
                  "it is read as a pick");
    check_refused(try_profile(k, MINIMAL "sample \"N\" = \"7\"\n  gives pick = 8\n"), AP_E_INPUT, &k->err,
                  "pick should be '8', but '7' was read");
    check_refused(try_profile(k, MINIMAL "sample \"D\" = \"5/6/2026\"\n  gives date = 2026-05-06\n"), AP_E_INPUT,
                  &k->err, "it is set aside: date");
}

/* Imports text with a profile. */
static void import_with(kit *k, const char *name, const char *text, const char *profile_text) {
    ap_profile *profile = load(k, profile_text);
    k->options.profile = profile;
    const ap_status status = kit_import(k, kit_log(k, name, text));
    k->options.profile = NULL;
    ap_profile_free(profile);
    check_ok(status, &k->err);
}

static void counts(const kit *k, int64_t stored, int64_t aside, int64_t skipped) {
    const ap_intake_file *file = &k->result.files[0];
    assert_int_equal(file->counts.stored, stored);
    assert_int_equal(file->counts.set_aside, aside);
    assert_int_equal(file->skipped, skipped);
    assert_int_equal(file->rows, file->counts.stored + file->counts.unchanged + file->counts.set_aside +
                                     file->counts.conflicts + file->blank + file->totals + file->headers +
                                     file->skipped);
}

static void get(kit *k, ap_arena *arena, ap_pick *pick, const char *name) {
    check_ok(ap_book_get_pick(pick, arena, k->book, ap_str_from(name), &k->err), &k->err);
}

static void messy(kit *k, const char *log, const char *profile_path) {
    ap_profile *profile = NULL;
    char path[200];
    snprintf(path, sizeof path, "tests/intake/messy/%s", profile_path);
    const ap_plan_rules rules = {0};
    check_ok(ap_profile_load(&profile, k->book, path, &rules, &k->err), &k->err);
    snprintf(path, sizeof path, "tests/intake/messy/%s", log);
    k->options.profile = profile;
    const ap_status status = kit_import(k, path);
    k->options.profile = NULL;
    ap_profile_free(profile);
    check_ok(status, &k->err);
}

static void a_phone_sheet(void **state) {
    kit *k = *state;
    ap_arena arena;
    ap_pick pick;
    ap_arena_init(&arena, 1u << 20);
    messy(k, "phone-sheet.csv", "phone-sheet.profile");
    counts(k, 5, 1, 1);
    get(k, &arena, &pick, "J310/2026-09-14/3");
    check_close(pick.planned_weight_kg, 2.25 * 907.18474, 1e-9, "NIST SP 811 B.8: 1 ton (short) = 907.18474 kg");
    assert_int_equal(pick.movement, AP_MOVE_BIT(AP_MOVEMENT_SWING) | AP_MOVE_BIT(AP_MOVEMENT_ROLL));
    assert_int_equal(pick.cut, AP_CUT_STEP);
    assert_int_equal(pick.measured_as, AP_WEIGHED_AS_GROSS);
    check_str(pick.crew, "B");
    get(k, &arena, &pick, "J310/2026-09-15/3");
    assert_true(isnan(pick.planned_weight_kg)); /* "?" is blank */
    assert_int_equal(pick.movement, AP_MOVE_BIT(AP_MOVEMENT_BUTT_UP) | AP_MOVE_BIT(AP_MOVEMENT_TIP_DIVE));
    check_str(pick.notes, "butt up, tip dove");
    assert_int_equal(kit_problem(k, AP_INTAKE_SET_ASIDE, 0)->line, 10);
    messy(k, "phone-sheet.csv", "phone-sheet.profile");
    assert_int_equal(k->result.files[0].outcome, AP_INTAKE_KNOWN);
    ap_arena_release(&arena);
}

static void a_retyped_page(void **state) {
    kit *k = *state;
    ap_arena arena;
    ap_pick pick;
    ap_arena_init(&arena, 1u << 20);
    messy(k, "retyped-page.txt", "retyped-page.profile");
    counts(k, 5, 2, 1);
    get(k, &arena, &pick, "J311/2026-10-05/7");
    check_close(pick.measured_weight_kg, 2950 * 0.45359237, 1e-9, "NIST SP 811 B.8: 1 lb = 0.45359237 kg");
    check_close(pick.butt_diameter_m, 24 * 0.0254, 1e-12, "NIST SP 811 B.8: 1 in = 0.0254 m");
    assert_int_equal(pick.legs[0].kind, AP_LEG_KIND_ADJUSTABLE);
    get(k, &arena, &pick, "J311/2026-10-06/1");
    check_str(pick.crane, "crane 2");
    assert_int_equal(pick.movement, AP_MOVE_BIT(AP_MOVEMENT_SWING));
    assert_true(kit_holds(kit_problem(k, AP_INTAKE_SET_ASIDE, 1)->reason, "no line of the profile"));
    ap_arena_release(&arena);
}

static void spoken_notes(void **state) {
    kit *k = *state;
    ap_arena arena;
    ap_pick pick;
    ap_arena_init(&arena, 1u << 20);
    messy(k, "voice-notes.txt", "voice-notes.profile");
    counts(k, 2, 2, 0);
    get(k, &arena, &pick, "J312/2");
    assert_int_equal(pick.cut, AP_CUT_STEP);
    check_str(pick.crew, "C");
    assert_true(kit_holds(kit_problem(k, AP_INTAKE_SET_ASIDE, 0)->reason, "line 22 is no 'key: value'"));
    bool told = false;
    for (size_t i = 0; i < k->result.problem_count; i++) {
        told = told || kit_holds(k->result.problems[i].reason, "the key 'mood' was not read");
    }
    assert_true(told);
    ap_arena_release(&arena);
}

static void headers_missing_twice_or_by_number(void **state) {
    kit *k = *state;
    ap_profile *profile = load(k, MINIMAL);
    k->options.profile = profile;
    check_refused(kit_import(k, kit_log(k, "a.csv", "J,D,N,S\nJ1,2026-01-02,1,red oak\n")), AP_E_INPUT, &k->err,
                  "has no column 'W' (profile 'small', line 6)");
    check_refused(kit_import(k, kit_log(k, "b.csv", "J,D,N,S,W,W\nJ1,2026-01-02,1,red oak,500,600\n")), AP_E_INPUT,
                  &k->err, "two columns are 'W'");
    check_refused(kit_import(k, kit_log(k, "c.csv", "a,b\n1,2\n")), AP_E_INPUT, &k->err, "is it another kind of log?");
    k->options.profile = NULL;
    ap_profile_free(profile);
    import_with(k, "d.csv", "J,D,N,S,W,W,extra\nJ1,2026-01-02,1,red oak,500,600,x\n",
                "name n\ncolumn \"j\" -> job\ncolumn \" d \" -> date\ncolumn \"N\" -> pick\ncolumn \"S\" -> species\n"
                "column 6 \"W\" -> planned_weight in lb\ncolumn \"gone\" -> notes if there\n");
    counts(k, 1, 0, 0);
    ap_arena arena;
    ap_pick pick;
    ap_arena_init(&arena, 1u << 20);
    get(k, &arena, &pick, "J1/1");
    check_close(pick.planned_weight_kg, 600 * 0.45359237, 1e-9, "NIST SP 811 B.8: 1 lb = 0.45359237 kg");
    assert_true(kit_holds(kit_problem(k, AP_INTAKE_WARNING, 1)->reason, "the profile does not name it"));
    ap_arena_release(&arena);
}

static void a_value_that_is_blank_does_not_fill_a_needed_cell(void **state) {
    kit *k = *state;
    import_with(k, "a.csv", "J,D,N,S,W\nJ1,2026-01-02,1,oak?,500\nJ1,2026-01-02,2,red oak,?\n",
                MINIMAL "value species: \"oak?\" -> blank\nvalue planned_weight: \"?\" -> blank\n");
    counts(k, 0, 2, 0);
    assert_true(kit_holds(kit_problem(k, AP_INTAKE_SET_ASIDE, 0)->reason, "is blank"));
}

static void endless_backtracking_ends(void **state) {
    kit *k = *state;
    char log[400];
    snprintf(log, sizeof log, "J,D,N,S,W\nJ1,2026-01-02,1,red oak,500\n%080d!,2026-01-02,2,red oak,500\n", 0);
    import_with(k, "a.csv", log, MINIMAL "skip when \"J\" matches /^(0+)+$/\n");
    counts(k, 1, 1, 0);
    assert_true(kit_holds(kit_problem(k, AP_INTAKE_SET_ASIDE, 0)->reason, "needs too many steps"));
    char lines[400];
    snprintf(lines, sizeof lines, "1 red oak 500\n%080d!\n", 0);
    import_with(
        k, "a.txt", lines,
        "name t\nline /^(?<pick>\\d) (?<species>\\w+ \\w+) (?<planned_weight_lb>\\d+)$/\nline /^(?<notes>(0+)+)$/\n"
        "constant job = J2\nconstant date = 2026-01-02\nsample \"1 red oak 5\"\ngives pick = 1\n");
    counts(k, 1, 1, 0);
    assert_true(kit_holds(kit_problem(k, AP_INTAKE_SET_ASIDE, 0)->reason, "too many steps"));
}

static void keep(kit *k, const char *text) {
    ap_profile *profile = load(k, text);
    bool replaced = false;
    check_ok(ap_book_begin(k->book, &k->err), &k->err);
    check_ok(ap_book_profile_keep(&replaced, k->book, profile->name, profile->text, AP_STR_LIT("test"),
                                  &k->options.author, &k->err),
             &k->err);
    check_ok(ap_book_commit(k->book, &k->err), &k->err);
    ap_profile_free(profile);
}

static void a_kept_profile_is_used_unasked_only_if_it_says_so(void **state) {
    kit *k = *state;
    const char *log = "J,D,N,S,W\nJ1,2026-01-02,1,red oak,500\n";
    check_refused(kit_import(k, kit_log(k, "a.csv", log)), AP_E_INPUT, &k->err, "afterpick profile guess FILE");
    keep(k, MINIMAL);
    check_refused(kit_import(k, kit_log(k, "a.csv", log)), AP_E_INPUT, &k->err,
                  "the kept profile 'small' fits its header: --profile 'small'");
    keep(k, MINIMAL "use when header has \"J\", \"W\"\n");
    check_ok(kit_import(k, kit_log(k, "a.csv", log)), &k->err);
    counts(k, 1, 0, 0);
    check_str(k->result.files[0].profile, "small");
    assert_true(kit_holds(k->result.files[0].dialect, "profile 'small'"));
    keep(k, "name other\ncolumn \"J\" -> job\ncolumn \"D\" -> date\ncolumn \"N\" -> pick\ncolumn \"S\" -> species\n"
            "column \"W\" -> measured_weight in kg\nuse when header has \"S\"\n");
    check_refused(kit_import(k, kit_log(k, "b.csv", "J,D,N,S,W\nJ1,2026-01-02,2,red oak,500\n")), AP_E_INPUT, &k->err,
                  "claimed by 2 kept profiles");
    ap_arena arena;
    ap_profile_change *history = NULL;
    size_t count = 0;
    ap_arena_init(&arena, 1u << 20);
    check_ok(ap_book_profile_history(&history, &count, &arena, k->book, AP_STR_LIT("small"), &k->err), &k->err);
    assert_int_equal(count, 1);
    check_str(history[0].text, MINIMAL);
    check_ok(ap_book_begin(k->book, &k->err), &k->err);
    check_ok(ap_book_profile_drop(k->book, AP_STR_LIT("other"), AP_STR_LIT("wrong"), &k->options.author, &k->err),
             &k->err);
    check_refused(ap_book_profile_drop(k->book, AP_STR_LIT("none"), AP_STR_LIT("x"), &k->options.author, &k->err),
                  AP_E_NOT_FOUND, &k->err, "keeps no profile 'none'");
    check_ok(ap_book_commit(k->book, &k->err), &k->err);
    ap_arena_release(&arena);
}

/* A log that this program wrote is read by its own columns, whatever a kept profile would make of them. */
static void own_columns_are_not_claimed(void **state) {
    kit *k = *state;
    const char *log = "job,date,pick,species,planned_weight_kg\nJ1,2026-01-02,1,red oak,500\n";
    keep(k, "name claims\ncolumn \"job\" -> job\ncolumn \"date\" -> date\ncolumn \"pick\" -> pick\n"
            "column \"species\" -> species\ncolumn \"planned_weight_kg\" -> measured_weight in kg\n"
            "use when header has \"job\"\n");
    k->options.dry_run = true;
    check_ok(kit_import(k, kit_log(k, "a.csv", log)), &k->err);
    check_str(k->result.files[0].profile, "claims");
    k->options.own_columns = true;
    k->options.shown = "north.book";
    check_ok(kit_import(k, kit_log(k, "a.csv", log)), &k->err);
    assert_int_equal(k->result.files[0].profile.len, 0);
    check_str(k->result.files[0].path, "north.book");
}

static void guess_with(kit *k, ap_buf *out, int *questions, const char *name, const char *log, const char *answers) {
    ap_settings settings;
    ap_guess_told told;
    memset(&settings, 0, sizeof settings);
    const ap_guess_options options = {.settings = &settings, .answers = ap_str_from(answers)};
    ap_buf_init(out, 1u << 20);
    ap_guess_told_init(&told);
    check_ok(ap_profile_guess(out, &told, k->book, kit_log(k, name, log), &options, &k->err), &k->err);
    *questions = (int)told.question_count;
    ap_guess_told_release(&told);
}

static void guess_of(kit *k, ap_buf *out, int *questions, const char *name, const char *log) {
    guess_with(k, out, questions, name, log, "");
}

static void holds(const ap_buf *out, const char *part) {
    if (!out->ptr || !strstr(out->ptr, part)) {
        fail_msg("the guess does not hold: %s\n%s", part, out->ptr ? out->ptr : "");
    }
}

static void a_guess_says_why_and_asks(void **state) {
    kit *k = *state;
    ap_buf out;
    int questions = 0;
    guess_of(k, &out, &questions, "june.csv",
             "Sheet of June (invented)\nJob No,Day,Pick #,Tree Species,Est Wt,Actual (lb),Type of cut,Mood\n"
             "J1,5/6/2026,1,red oak,2400,2500,shelf,fine\nJ1,5/7/2026,1,oakwood,2.2 t,2500,through,\n");
    holds(&out, "name june\n");
    holds(&out, "column \"Job No\" -> job");
    holds(&out, "\n? column \"Est Wt\" -> planned_weight in lb");
    holds(&out, "\ncolumn \"Actual (lb)\" -> measured_weight");
    holds(&out, "# column \"Mood\" is taken by nothing");
    holds(&out, "? dates mdy");
    holds(&out, "? value cut: \"shelf\" -> step");
    holds(&out, "? value species: \"oakwood\" -> blank");
    holds(&out, "? ton short");
    holds(&out, "? measured_as gross");
    holds(&out, "? numbers restart each day");
    refused(out.ptr, "an open question");
    /* Every question answered as it stands makes a profile that reads the log. */
    for (char *at = out.ptr; (at = strstr(at, "\n? ")); at++) {
        at[1] = ' ';
    }
    import_with(k, "june2.csv",
                "Sheet of June (invented)\nJob No,Day,Pick #,Tree Species,Est Wt,Actual (lb),Type of cut,Mood\n"
                "J1,5/6/2026,1,red oak,2400,2500,shelf,fine\nJ1,5/7/2026,1,red oak,2.2 t,2500,through,\n",
                out.ptr);
    counts(k, 2, 0, 0);
    ap_buf_release(&out);
}

static void a_guess_of_text_logs(void **state) {
    kit *k = *state;
    ap_buf out;
    int questions = 0;
    guess_of(k, &out, &questions, "notes.txt",
             "pick: 1\nspecies: red oak\nguess: 500\nmood: fine\n\npick: 2\nspecies: red oak\nguess: 600\n");
    holds(&out, "block");
    holds(&out, "\n? key \"guess\" -> planned_weight in lb");
    holds(&out, "# key \"mood\" is taken by nothing");
    holds(&out, "? constant job =");
    refused(out.ptr, "an open question");
    ap_buf_release(&out);
    guess_of(k, &out, &questions, "page.txt", "7) maple top, guess 2400\n8) maple limb, guess 900\n");
    holds(&out, "find pick first");
    holds(&out, "find planned_weight behind \"guess\"");
    holds(&out, "? bare us");
    holds(&out, "? value species: \"maple\" -> blank");
    holds(&out, "? constant job =");
    holds(&out, "? constant date =");
    refused(out.ptr, "an open question");
    ap_buf_release(&out);
    /* The answers asked for make a profile that reads the log: which maple it was, too. */
    guess_with(k, &out, &questions, "page.txt", "7) maple top, guess 2400\n8) maple limb, guess 900\n",
               "bare=us\nspecies:maple=red maple\njob=H7\ndate=2026-10-05\n");
    assert_int_equal(questions, 0);
    import_with(k, "page2.txt", "7) maple top, guess 2400\n8) maple limb, guess 900\n", out.ptr);
    counts(k, 2, 0, 0);
    ap_buf_release(&out);
    /* The crane of the day is no job, whatever word stands before the comma. */
    guess_of(k, &out, &questions, "crane.txt",
             "oct 5 2026 - Hill street job, K1 crane\n1 red oak top, guess 900 lb\n2 red oak limb, guess 600 lb\n");
    holds(&out, "? constant job =");
    assert_null(strstr(out.ptr, "find job"));
    ap_buf_release(&out);
}

static void the_spellings_keep_to_their_examples(void **state) {
    kit *k = *state;
    check_ok(ap_header_check_examples(k->book, &k->err), &k->err);
}

static void json_lines(void **state) {
    kit *k = *state;
    ap_arena arena;
    ap_pick pick;
    ap_arena_init(&arena, 1u << 20);
    check_ok(kit_import(k, "tests/intake/messy/picks.jsonl"), &k->err);
    counts(k, 2, 2, 0);
    get(k, &arena, &pick, "J313/1");
    check_close(pick.measured_weight_kg, 4650 * 0.45359237, 1e-9, "NIST SP 811 B.8: 1 lb = 0.45359237 kg");
    assert_int_equal(pick.near_miss, AP_YESNO_NO);
    assert_int_equal(pick.legs[0].kind, AP_LEG_KIND_EYE);
    const ap_intake_problem *aside = kit_problem(k, AP_INTAKE_SET_ASIDE, 1);
    assert_int_equal(aside->line, 4);
    assert_true(kit_holds(aside->field, "planned_weight_lb"));
    assert_true(kit_holds(kit_problem(k, AP_INTAKE_WARNING, 0)->reason, "'mood'"));
    check_refused(kit_import(k, kit_log(k, "x.jsonl", "{\"a\": 1}\n")), AP_E_INPUT, &k->err, "no header row");
    ap_arena_release(&arena);
}

static void workbooks_go_the_same_way(void **state) {
    kit *k = *state;
    k->options.sheet = AP_STR_LIT("Nowhere");
    check_refused(kit_import(k, "tests/intake/messy/picks.ods"), AP_E_INPUT, &k->err, "Nowhere");
    k->options.sheet = AP_STR_NONE;
    check_ok(kit_import(k, "tests/intake/messy/picks.ods"), &k->err);
    counts(k, 2, 0, 0);
    assert_true(kit_holds(k->result.files[0].dialect, "workbook .ods, sheet 'Picks'"));
}

/* docs/profile.md: each log is read with the profile below it and gives the picks below that. */
static ap_str fenced(const char **at, const char *kind) {
    char opening[40];
    snprintf(opening, sizeof opening, "\n```%s\n", kind);
    const char *from = strstr(*at, opening);
    if (!from) {
        return AP_STR_NONE;
    }
    from += strlen(opening);
    const char *to = strstr(from, "\n```\n");
    assert_non_null(to);
    *at = to;
    return (ap_str){from, (size_t)(to + 1 - from)};
}

static void check_line(kit *k, ap_str line) {
    ap_arena arena;
    ap_pick pick;
    ap_arena_init(&arena, 1u << 20);
    ap_str rest;
    const ap_str name = ap_str_split(line, ' ', &rest);
    get(k, &arena, &pick, ap_arena_cstr(&arena, name));
    ap_buf text;
    ap_buf_init(&text, 4096);
    for (int i = 0; i < AP_F_COUNT; i++) {
        const ap_field *field = ap_field_get(i);
        char key[80];
        snprintf(key, sizeof key, "%s ", field->name);
        if (!ap_str_starts(rest, ap_str_from(key)) || ap_pick_field_is_blank(&pick, i)) {
            continue;
        }
        ap_buf_append_cstr(&text, key);
        const void *value = ap_pick_at_const(&pick, i);
        if (field->kind == AP_KIND_QTY) {
            const ap_unit unit = (ap_unit)pick.written[i].unit;
            ap_buf_appendf(&text, "%.10g %s", ap_unit_from_si(unit, *(const double *)value), ap_unit_symbol(unit));
        } else if (field->kind == AP_KIND_TEXT) {
            ap_buf_append_str(&text, *(const ap_str *)value);
        } else if (field->kind == AP_KIND_WORD) {
            ap_buf_append_cstr(&text, ap_word_get(field->vocabulary, *(const int32_t *)value));
        } else {
            ap_moves_to_text(&text, *(const int32_t *)value);
        }
        if (!ap_str_starts(rest, ap_buf_str(&text))) {
            fail_msg("docs/profile.md: %.*s: read '%s'", AP_STR_ARG(line), text.ptr);
        }
        rest = ap_str_trim((ap_str){rest.ptr + text.len, rest.len - text.len});
        ap_buf_clear(&text);
        i = -1;
        if (rest.len == 0) {
            break;
        }
    }
    if (rest.len) {
        fail_msg("docs/profile.md: %.*s: nothing gives '%.*s'", AP_STR_ARG(line), AP_STR_ARG(rest));
    }
    ap_buf_release(&text);
    ap_arena_release(&arena);
}

static void the_manual_does_what_it_says(void **state) {
    kit *k = *state;
    ap_buf manual;
    int parts = 0;
    check_ok(ap_file_read(&manual, "docs/profile.md", 1u << 20, &k->err), &k->err);
    for (const char *at = manual.ptr;; parts++) {
        char name[32];
        const ap_str log = fenced(&at, "log");
        const ap_str profile_text = log.ptr ? fenced(&at, "profile") : AP_STR_NONE;
        ap_str picks = log.ptr ? fenced(&at, "picks") : AP_STR_NONE;
        if (!log.ptr) {
            break;
        }
        ap_profile *profile = NULL;
        const ap_plan_rules rules = {0};
        check_ok(ap_profile_read(&profile, profile_text, "docs/profile.md", &k->err), &k->err);
        check_ok(ap_profile_try(profile, k->book, &rules, &k->err), &k->err);
        snprintf(name, sizeof name, "manual-%d", parts);
        k->options.profile = profile;
        check_ok(kit_import(k, kit_log_bytes(k, name, log.ptr, log.len)), &k->err);
        k->options.profile = NULL;
        ap_profile_free(profile);
        int64_t lines = 0;
        while (picks.len) {
            check_line(k, ap_str_split(picks, '\n', &picks));
            lines++;
        }
        assert_int_equal(k->result.files[0].counts.stored, lines);
    }
    assert_int_equal(parts, 4);
    ap_buf_release(&manual);
}

int main(void) {
#define WITH_BOOK(test) cmocka_unit_test_setup_teardown(test, kit_setup, kit_teardown)
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_refusal_names_line_and_what_is_allowed),
        WITH_BOOK(a_failing_sample_says_what_was_read),
        WITH_BOOK(a_phone_sheet),
        WITH_BOOK(a_retyped_page),
        WITH_BOOK(spoken_notes),
        WITH_BOOK(headers_missing_twice_or_by_number),
        WITH_BOOK(a_value_that_is_blank_does_not_fill_a_needed_cell),
        WITH_BOOK(endless_backtracking_ends),
        WITH_BOOK(a_kept_profile_is_used_unasked_only_if_it_says_so),
        WITH_BOOK(own_columns_are_not_claimed),
        WITH_BOOK(a_guess_says_why_and_asks),
        WITH_BOOK(a_guess_of_text_logs),
        WITH_BOOK(the_spellings_keep_to_their_examples),
        WITH_BOOK(json_lines),
        WITH_BOOK(workbooks_go_the_same_way),
        WITH_BOOK(the_manual_does_what_it_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
