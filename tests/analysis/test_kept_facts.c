/* What the book keeps of its picks against the picks themselves: after any change, by whomever, the roster is the same from both, field
 * by field, label by label. */
#include <unistd.h>

#include "analysis/keep_facts.h"
#include "analysis/kept_check.h"
#include "analysis/kept_ways.h"
#include "book/amend.h"
#include "book/kept_facts.h"
#include "book/settings_store.h"
#include "intake/intake.h"
#include "stats/prng.h"
#include "support/book_fixture.h"
#include "support/same_roster.h"

enum { MEMORY = 8 << 20 };

typedef struct world {
    book_fixture book;
    ap_prng random;
    int logs;
} world;

static int below(world *w, int n) {
    return (int)ap_prng_below(&w->random, (uint64_t)n);
}

static const char *one_of(world *w, const char *const *words, int count) {
    return words[below(w, count)];
}
#define ONE_OF(w, ...)                                                                                                 \
    one_of((w), (const char *const[]){__VA_ARGS__}, (int)(sizeof((const char *const[]){__VA_ARGS__}) / sizeof(char *)))

/* A log with all the untidiness a canonical one may have. `month` 0..11 of 2026; `clock`: 0 no times, 1 all, 2 some, 3 all and no two
 * the same within 600 rows. */
static void write_log(world *w, const char *path, int rows, int month, int clock) {
    FILE *log = fopen(path, "w");
    assert_non_null(log);
    fputs(
        "job,date,time,crew,estimator,crane,tree,pick,species,condition,foliage,piece,length_ft,butt_diameter_in,"
        "mid_diameter_in,tip_diameter_in,lean_deg,planned_weight_lb,planned_as,estimate_basis,planned_radius_ft,"
        "planned_capacity_lb,rigging_weight_lb,measured_weight_lb,measured_as,weighed_by,cut_radius_ft,cut_capacity_lb,"
        "cut,kerf,leg_1_kind,leg_1_hitch,leg_1_at_ft,leg_1_length_ft,leg_1_state,leg_2_kind,leg_2_hitch,leg_2_at_ft,"
        "leg_2_length_ft,leg_2_state,movement,movement_distance_ft,toward,re_rigs,near_miss,damage,notes\n",
        log);
    for (int i = 0; i < rows; i++) {
        char time[32] = "";
        if (clock == 1 || (clock == 2 && below(w, 3))) {
            snprintf(time, sizeof time, "%02d:%02d", 7 + below(w, 9), below(w, 4) * 15);
        }
        if (clock == 3) {
            int minute = i * 7 % 600;
            snprintf(time, sizeof time, "%02d:%02d", 7 + minute / 60, minute % 60);
        }
        int butt = 10 + below(w, 20);
        fprintf(log, "%s,2026-%02d-%02d,%s,%s,%s,%s,%s,%d%s,%s,%s,%s,%s,%d,%d,%s,%d,%s,",
                ONE_OF(w, "J1", "j1", "J10", "J2", "Oak Street/3"), month + 1, 1 + below(w, 3), time,
                ONE_OF(w, "A", "B", "", "crew c"),
                ONE_OF(w, "E1", "Somebody Invented", "Nobody Real", "", "estimator 1", "E22"),
                ONE_OF(w, "C1", "c1", "Crane Two", ""), ONE_OF(w, "T1", "t1", "", "T2", "any white oak"),
                1000 * w->logs + i, ONE_OF(w, "", "a", ""),
                ONE_OF(w, "white oak", "red maple", "Acer rubrum", "silver maple", "white ash"),
                ONE_OF(w, "live", "dead", "", "decayed"), ONE_OF(w, "leaf_on", "leaf_off", ""),
                ONE_OF(w, "trunk", "stub", "limb", "top", ""), 6 + below(w, 30), butt, ONE_OF(w, "", "9", "12"),
                5 + below(w, 6), ONE_OF(w, "", "30", "-5"));
        int planned = 300 + below(w, 40) * 50;
        fprintf(log, "%d,%s,%s,%s,%s,%s,", planned, ONE_OF(w, "net", "gross", ""),
                ONE_OF(w, "chart", "table", "by_eye", "worked", ""), ONE_OF(w, "40", "55", ""),
                ONE_OF(w, "2600", "8000", "1200", ""), ONE_OF(w, "", "350", "410"));
        if (below(w, 6)) {
            fprintf(log, "%d,%s,%s,", planned + below(w, 60) * 10 - 200 + 300, ONE_OF(w, "gross", "net", "gross", ""),
                    ONE_OF(w, "load_indicator", "load_cell", ""));
        } else {
            fputs(",,,", log);
        }
        fprintf(log, "%s,%s,%s,%s,%s,%s,%s,", ONE_OF(w, "41", ""), ONE_OF(w, "2500", "1500", ""),
                ONE_OF(w, "through", "step", "hinge", ""), ONE_OF(w, "steady", "closing", ""),
                ONE_OF(w, "eye", "adjustable", ""), ONE_OF(w, "choker", "cow", ""), ONE_OF(w, "2", ""));
        fprintf(log, "%s,%s,%s,%s,%s,%s,%s,", ONE_OF(w, "12", ""), ONE_OF(w, "tight", "slack", ""),
                ONE_OF(w, "eye", "round", ""), ONE_OF(w, "choker", "basket", ""), ONE_OF(w, "5", ""),
                ONE_OF(w, "14", ""), ONE_OF(w, "tight", "snug", ""));
        fprintf(log, "%s,%s,%s,%s,%s,%s,%s\n", ONE_OF(w, "still", "swing", "butt_up+swing", ""), ONE_OF(w, "3", ""),
                ONE_OF(w, "climber", "clear", ""), ONE_OF(w, "", "0", "2"), ONE_OF(w, "yes", "no", ""),
                ONE_OF(w, "none", "", "bruised hand"), ONE_OF(w, "", "hollow at the union", "quiet"));
    }
    assert_int_equal(fclose(log), 0);
    w->logs++;
}

typedef struct watch {
    ap_fact_keeper *keeper;
} watch;

static void watch_pick(void *context, const ap_pick *pick) {
    ap_fact_keeper_take(((watch *)context)->keeper, pick);
}

static ap_status watch_end(void *context, ap_error *err) {
    return ap_fact_keeper_end(((watch *)context)->keeper, err);
}

static void read_company(ap_company *company, ap_settings *settings, ap_arena *arena, ap_book *book) {
    ap_error err;
    ap_roster roster;
    check_ok(ap_roster_load(&roster, book, AP_DATE_NONE, false, &err), &err); /* reads what a company says */
    *settings = roster.settings;
    *company = roster.company;
    company->settings = settings;
    ap_crane *cranes = ap_arena_alloc_array(arena, company->crane_count + 1, sizeof *cranes);
    for (size_t i = 0; i < company->crane_count; i++) {
        cranes[i] = company->cranes[i];
        cranes[i].name = ap_arena_str(arena, cranes[i].name);
        ap_calibration *calibrations =
            ap_arena_alloc_array(arena, cranes[i].calibration_count + 1, sizeof *calibrations);
        for (size_t k = 0; k < cranes[i].calibration_count; k++) {
            calibrations[k] = cranes[i].calibrations[k];
        }
        cranes[i].calibrations = calibrations;
        assert_int_equal(cranes[i].chart_count, 0);
    }
    company->cranes = cranes;
    assert_int_equal(company->sling_count, 0);
    ap_roster_release(&roster);
}

static void import_file(world *w, const char *path, int rows) {
    ap_error err;
    ap_arena arena;
    ap_company company;
    ap_settings settings;
    ap_intake_result result;
    ap_arena_init(&arena, 1 << 20);
    read_company(&company, &settings, &arena, w->book.book);
    watch seen = {ap_fact_keeper_new(w->book.book, &company, MEMORY)};
    ap_intake_options options = {.author = fixture_author(),
                                 .no_copy = true,
                                 .stored = watch_pick,
                                 .stored_all = watch_end,
                                 .stored_context = &seen};
    options.author.today = fixture_date("2027-01-01");
    const char *paths[] = {path};
    ap_intake_result_init(&result);
    check_ok(ap_intake_files(&result, w->book.book, paths, 1, &options, &err), &err);
    assert_true(result.totals.stored > rows / 2);
    ap_intake_result_release(&result);
    ap_fact_keeper_free(seen.keeper);
    ap_arena_release(&arena);
}

static void import(world *w, int rows, int month, int clock) {
    char path[400];
    snprintf(path, sizeof path, "%s/log-%d.csv", w->book.folder, w->logs);
    write_log(w, path, rows, month, clock);
    import_file(w, path, rows);
    unlink(path);
}

static ap_status load_wood(ap_roster *out, ap_book *book, ap_date until, bool names, ap_error *err) {
    (void)names; /* people are never shown */
    return ap_roster_load_wood(out, book, until, err);
}

/* Both readings of all depths, up to a day and all of it, with and without names. Gives whether the kept facts were used. */
static bool compare(world *w, const char *after) {
    char path[400];
    char copy[460];
    char what[200];
    ap_error err;
    ap_book *rows = NULL;
    bool used = false;
    snprintf(path, sizeof path, "%s/rows.book", w->book.folder);
    snprintf(copy, sizeof copy, "VACUUM INTO '%s'", path);
    unlink(path);
    fixture_change(&w->book, copy);
    check_ok(ap_book_open(&rows, path, AP_BOOK_WRITE, &err), &err);
    check_ok(ap_book_begin(rows, &err), &err);
    check_ok(ap_book_kept_drop(rows, &err), &err);
    check_ok(ap_book_commit(rows, &err), &err);
    for (int way = 0; way < 12; way++) {
        ap_roster a;
        ap_roster b;
        ap_date until = way & 1 ? fixture_date("2026-03-02") : AP_DATE_NONE;
        bool names = way & 2;
        ap_status (*const loads[])(ap_roster *, ap_book *, ap_date, bool, ap_error *) = {ap_roster_load_errors,
                                                                                         ap_roster_load, load_wood};
        ap_status (*load)(ap_roster *, ap_book *, ap_date, bool, ap_error *) = loads[way / 4];
        check_ok(load(&a, w->book.book, until, names, &err), &err);
        check_ok(load(&b, rows, until, names, &err), &err);
        assert_false(b.kept);
        used = way / 4 == 1 ? a.kept : used; /* all of the picks, so all parts */
        if (!same_roster(what, &a, &b, way / 4 < 2)) {
            fail_msg("%s, way %d, kept %d: %s", after, way, a.kept, what);
        }
        ap_roster_release(&a);
        ap_roster_release(&b);
    }
    ap_book_close(rows);
    unlink(path);
    return used;
}

static void amend(world *w, int column) {
    ap_error err;
    ap_pick value;
    ap_roster roster;
    check_ok(ap_roster_load(&roster, w->book.book, AP_DATE_NONE, false, &err), &err);
    char name[100] = "";
    if (roster.count > 0) {
        snprintf(name, sizeof name, "%s", roster.facts[(size_t)below(w, (int)roster.count)].rest->name);
    }
    ap_roster_release(&roster);
    if (!name[0]) {
        return;
    }
    ap_pick_clear(&value);
    value.estimator = AP_STR_LIT("Amended Person");
    value.tree = AP_STR_LIT("T77");
    value.date = fixture_date("2026-02-11");
    fixture_set_quantity(&value, AP_F_measured_weight, 4444 + w->logs, AP_UNIT_LB, 33);
    ap_book_author author = fixture_author();
    check_ok(ap_book_begin(w->book.book, &err), &err);
    ap_status status =
        ap_book_amend(w->book.book, ap_str_from(name), column, &value, AP_STR_LIT("a test"), &author, &err);
    check_ok(ap_book_end(w->book.book, status == AP_E_USAGE ? AP_OK : status, &err), &err);
}

static void undo(world *w, int64_t import_id) {
    ap_error err;
    ap_book_author author = fixture_author();
    check_ok(ap_book_begin(w->book.book, &err), &err);
    ap_status status = ap_book_import_undo(w->book.book, import_id, AP_STR_LIT("a test"), &author, &err);
    check_ok(ap_book_end(w->book.book, status == AP_E_NOT_FOUND ? AP_OK : status, &err), &err);
}

static void set(world *w, const char *name, const char *value, double si) {
    ap_error err;
    ap_book_author author = fixture_author();
    check_ok(ap_book_begin(w->book.book, &err), &err);
    ap_status status = ap_book_setting_change(w->book.book, ap_setting_find(ap_str_from(name)), ap_str_from(value), si,
                                              AP_STR_LIT("a test"), &author, &err);
    check_ok(ap_book_end(w->book.book, status, &err), &err);
}

static void begin(world *w, uint64_t seed) {
    memset(w, 0, sizeof *w);
    ap_prng_init(&w->random, seed, 1);
    fixture_make(&w->book);
}

static void imports_go_on(void **state) {
    (void)state;
    world w;
    begin(&w, 1);
    import(&w, 60, 0, 3);
    assert_true(compare(&w, "a first import"));
    import(&w, 500, 2, 3);
    assert_true(compare(&w, "a later one"));
    assert_int_equal(fixture_number(&w.book, "SELECT pick_order FROM kept_facts"), AP_KEPT_ORDER_PLACES);
    import(&w, 3000, 3, 1);
    assert_true(compare(&w, "one of two chunks"));
    assert_int_equal(fixture_number(&w.book, "SELECT pick_order FROM kept_facts"), AP_KEPT_ORDER_UNKNOWN);
    import(&w, 70, 3, 2);
    assert_true(compare(&w, "one on the same days"));
    import(&w, 20, 9, 2);
    assert_true(compare(&w, "one behind it"));
    assert_int_equal(fixture_number(&w.book, "SELECT chunks FROM kept_facts"), 6);
    fixture_remove(&w.book);
}

/* Each is a change of something that facts rest on, by the program or by a stranger with a shell of SQLite's. */
static void every_change_ends_it(void **state) {
    (void)state;
    static const char *const changes[] = {
        "UPDATE pick SET measured_weight_kg = measured_weight_kg + 1 WHERE id = 7",
        "UPDATE pick SET part = 'x' WHERE id = 3",
        "DELETE FROM pick WHERE id = (SELECT max(id) FROM pick)",
        "DELETE FROM pick WHERE id = 11",
        "PRAGMA recursive_triggers = OFF; INSERT OR REPLACE INTO pick (id, job_id, part, pick, pick_order, file_id, "
        "line, "
        "species_id, date, species, measured_weight_kg, written) SELECT id, job_id, part, pick, pick_order, file_id, "
        "line, "
        "species_id, date, species, 700, '' FROM pick WHERE id = 5",
        "INSERT INTO pick (id, job_id, part, pick, pick_order, file_id, line, species_id, date, species, "
        "measured_weight_kg, written) SELECT 11, job_id, part, 'new', 'new', file_id, line, species_id, date, species, "
        "700, '' "
        "FROM pick WHERE id = 5",
        "UPDATE job SET job = 'A first one' WHERE id = 1",
        "UPDATE tree SET tree = 'T9x' WHERE id = 1",
        "UPDATE species SET ceiling_kg_m3 = 500",
        "UPDATE species SET common = common || ' x'",
        "INSERT INTO crane (name, block_weight_kg, weighed_as) VALUES ('C1', 90, 'gross')",
        "INSERT INTO crane (name) VALUES ('Crane Two'); INSERT INTO crane_calibration VALUES ((SELECT max(id) FROM "
        "crane), "
        "'2026-01-02', 1.05, NULL, 'a test')",
        "UPDATE crane SET block_weight_kg = 120",
        "UPDATE crane_calibration SET factor = 0.97",
        "DELETE FROM crane_calibration; DELETE FROM crane",
        "INSERT INTO setting VALUES ('block_weight', '500 lb', 226.796185, '2026-10-05', '', 'a test')",
        "INSERT INTO setting VALUES ('diameter_step', '2 in', 0.0508, '2026-10-05', '', 'a test')",
        "DELETE FROM setting",
        "DROP TRIGGER kept_facts_end_2; UPDATE pick SET measured_weight_kg = 900 WHERE id = 9",
    };
    ap_error err;
    world w;
    begin(&w, 2);
    import(&w, 200, 0, 0);
    import(&w, 100, 2, 1);
    for (size_t i = 0; i < sizeof changes / sizeof *changes; i++) {
        ap_roster roster;
        assert_true(compare(&w, "before a change"));
        check_ok(ap_roster_load(&roster, w.book.book, AP_DATE_NONE, false, &err), &err);
        ap_roster_release(&roster);
        fixture_change(&w.book, changes[i]);
        fixture_reopen(&w.book, AP_BOOK_WRITE); /* species are read once */
        if (compare(&w, changes[i])) {
            fail_msg("still in force after: %s", changes[i]);
        }
        check_ok(ap_roster_load(&roster, w.book.book, AP_DATE_NONE, false, &err), &err);
        bool renewed = ap_kept_facts_renew(w.book.book, &roster.company);
        ap_roster_release(&roster);
        /* Without its triggers nothing is ever in force again. */
        bool last = i + 1 == sizeof changes / sizeof *changes;
        assert_true(renewed);
        if (compare(&w, "worked out anew") == last) {
            fail_msg("worked out anew after: %s", changes[i]);
        }
    }
    fixture_remove(&w.book);
}

static void any_order_of_changes(void **state) {
    (void)state;
    for (uint64_t seed = 10; seed < 16; seed++) {
        world w;
        size_t used = 0;
        begin(&w, seed);
        import(&w, 100, 0, below(&w, 3));
        for (int step = 0; step < 12; step++) {
            char after[80];
            int kind = below(&w, 8);
            snprintf(after, sizeof after, "seed %d, step %d, kind %d", (int)seed, step, kind);
            if (kind < 3) {
                import(&w, 20 + below(&w, 60), below(&w, 4) + (step > 6 ? 3 : 0), below(&w, 3));
            } else if (kind == 3) {
                undo(&w, 1 + below(&w, w.logs));
            } else if (kind == 4) {
                set(&w, "weighed_as", below(&w, 2) ? "net" : "gross", 0);
            } else if (kind == 5) {
                amend(&w, (const int[]){AP_F_estimator, AP_F_tree, AP_F_date, AP_F_measured_weight}[below(&w, 4)]);
            } else {
                ap_roster roster;
                ap_error err;
                check_ok(ap_roster_load(&roster, w.book.book, AP_DATE_NONE, false, &err), &err);
                assert_true(ap_kept_facts_renew(w.book.book, &roster.company) || roster.count == 0);
                ap_roster_release(&roster);
            }
            used += compare(&w, after);
        }
        print_message("seed %d: in force after %zu of 12 steps\n", (int)seed, used);
        assert_true(used > 0);
        fixture_remove(&w.book);
    }
}

static void damage_is_found(void **state) {
    (void)state;
    static const char *const damages[] = {
        "UPDATE kept_facts_part SET bytes = substr(bytes, 1, length(bytes) - 1) WHERE part = 2",
        "UPDATE kept_facts_part SET checksum = checksum + 1 WHERE part = 1",
        "UPDATE kept_facts_part SET picks = 2000 WHERE part = 4",
        "UPDATE kept_facts_part SET bytes = zeroblob(40) WHERE part = 5",
        "UPDATE kept_facts_part SET bytes = substr(bytes, 2) WHERE part = 3",
        "DELETE FROM kept_facts_part WHERE part = 3",
        "UPDATE kept_facts_part SET chunk = 1 WHERE part = 2",
        "DELETE FROM kept_facts_part WHERE part = 2",
        "UPDATE kept_facts SET chunks = 2",
        "UPDATE kept_facts SET method = method + 1",
        "UPDATE kept_facts SET positions = zeroblob(length(positions))",
        "UPDATE kept_facts SET positions = substr(positions, 2)",
        "UPDATE kept_facts SET positions = NULL",
        "UPDATE kept_facts SET company = zeroblob(32)",
        "UPDATE kept_facts SET last_pick = 3",
        "DELETE FROM kept_facts",
    };
    ap_error err;
    world w;
    begin(&w, 3);
    import(&w, 300, 0, 1);
    for (size_t i = 0; i < sizeof damages / sizeof *damages; i++) {
        ap_roster roster;
        check_ok(ap_roster_load(&roster, w.book.book, AP_DATE_NONE, false, &err), &err);
        assert_true(ap_kept_facts_renew(w.book.book, &roster.company));
        ap_roster_release(&roster);
        assert_true(compare(&w, "worked out anew"));
        fixture_change(&w.book, damages[i]);
        if (compare(&w, damages[i])) {
            fail_msg("used in spite of: %s", damages[i]);
        }
    }
    fixture_remove(&w.book);
}

/* The movement worked out rests on the brush of all weighed pieces: kept by a reader, a new month's alone when the brush stays. */
static void the_movement_worked_out_is_kept(void **state) {
    (void)state;
    static const char *const logs[] = {"samples/crew-a-2026-08-09.csv", "samples/crew-b-2026-10.csv",
                                       "samples/crew-a-2026-10.csv"};
    ap_error err;
    world w;
    begin(&w, 6);
    for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
        ap_roster rows;
        ap_roster kept;
        char what[200];
        size_t worked_out = 0;
        import_file(&w, logs[i], 20);
        check_ok(ap_roster_load_learnt(&rows, w.book.book, AP_DATE_NONE, false, &err), &err);
        assert_false(rows.kept);
        int64_t there = fixture_number(&w.book, "SELECT count(*) FROM kept_facts_part WHERE part = 6");
        assert_int_equal(there, i);
        assert_true(ap_kept_ways_renew(w.book.book, &rows.company));
        check_ok(ap_roster_load_learnt(&kept, w.book.book, AP_DATE_NONE, false, &err), &err);
        assert_true(kept.kept);
        if (!same_roster(what, &kept, &rows, true)) {
            fail_msg("%s: %s", logs[i], what);
        }
        for (size_t k = 0; k < kept.count; k++) {
            worked_out += isnan(kept.facts[k].rest->butt_up_m) ? 0 : 1;
        }
        assert_true(worked_out > 10);
        double other[AP_WOOD_BRUSH_CLASSES];
        for (size_t k = 0; k < AP_WOOD_BRUSH_CLASSES; k++) {
            other[k] = 0.77;
        }
        rows.company.brush = other;
        assert_true(ap_kept_ways_renew(w.book.book, &rows.company));
        ap_roster_release(&kept);
        check_ok(ap_roster_load_learnt(&kept, w.book.book, AP_DATE_NONE, false, &err), &err);
        assert_false(kept.kept); /* another brush than the pieces taught */
        ap_roster_release(&kept);
        ap_roster_release(&rows);
    }
    fixture_remove(&w.book);
}

/* Somebody changes a pick behind the triggers' back: the one thing that only holding one against the other finds. */
static void a_check_finds_what_is_not_so(void **state) {
    (void)state;
    static const char *const changes[] = {
        "UPDATE pick SET measured_weight_kg = measured_weight_kg * 1.5 WHERE id = 40 AND measured_weight_kg IS NOT "
        "NULL",
        "UPDATE pick SET estimator = 'Another' WHERE id = 50",
        "UPDATE job SET job = 'J99' WHERE id = 2",
        "UPDATE pick SET date = '2026-01-03' WHERE date = '2026-01-01'",
        "UPDATE pick SET piece = 4, length_m = 3, butt_diameter_m = 4, tip_diameter_m = 3 WHERE id = 60",
        "UPDATE pick SET leg_1_kind = 6 WHERE id = 61",
        "UPDATE pick SET notes = CASE WHEN notes LIKE 'hollow%' THEN 'sound' ELSE 'hollow' END, condition = 1 WHERE id "
        "= 62",
        "UPDATE tree SET tree = 'T-other' WHERE id = 1",
    };
    ap_error err;
    ap_arena arena;
    ap_kept_check check;
    world w;
    begin(&w, 5);
    import(&w, 150, 0, 3);
    ap_arena_init(&arena, 1 << 22);
    check_ok(ap_kept_facts_check(&check, &arena, w.book.book, &err), &err);
    assert_int_equal(check.verdict, AP_KEPT_AGREES);
    assert_true(check.picks > 120);
    for (size_t i = 0; i < sizeof changes / sizeof *changes; i++) {
        char sql[800];
        ap_roster roster;
        check_ok(ap_roster_load(&roster, w.book.book, AP_DATE_NONE, false, &err), &err);
        assert_true(ap_kept_facts_renew(w.book.book, &roster.company));
        ap_roster_release(&roster);
        snprintf(sql, sizeof sql,
                 "CREATE TEMP TABLE was AS SELECT * FROM kept_facts; %s; INSERT OR REPLACE INTO kept_facts SELECT * "
                 "FROM was",
                 changes[i]);
        fixture_change(&w.book, sql);
        check_ok(ap_kept_facts_check(&check, &arena, w.book.book, &err), &err);
        if (check.verdict != AP_KEPT_DIFFERS || !check.let_go) {
            fail_msg("not found: %s", changes[i]);
        }
        check_ok(ap_kept_facts_check(&check, &arena, w.book.book, &err), &err);
        assert_int_equal(check.verdict, AP_KEPT_NONE);
    }
    ap_arena_release(&arena);
    fixture_remove(&w.book);
}

/* A reader may not be able to write: the book locked by another, or open in a transaction of its own. */
static void what_can_not_be_kept_is_not(void **state) {
    (void)state;
    ap_error err;
    ap_book *other = NULL;
    ap_roster roster;
    world w;
    begin(&w, 4);
    import(&w, 100, 0, 1);
    fixture_change(&w.book, "DELETE FROM kept_facts");
    check_ok(ap_book_open(&other, w.book.path, AP_BOOK_WRITE, &err), &err);
    check_ok(ap_roster_load(&roster, w.book.book, AP_DATE_NONE, false, &err), &err);
    check_ok(ap_book_begin(other, &err), &err);
    assert_false(ap_kept_facts_renew(w.book.book, &roster.company));
    ap_book_rollback(other);
    fixture_reopen(&w.book, AP_BOOK_READ);
    check_ok(ap_book_begin_read(w.book.book, &err), &err);
    assert_false(ap_kept_facts_renew(w.book.book, &roster.company));
    ap_book_rollback(w.book.book);
    assert_true(ap_kept_facts_renew(w.book.book, &roster.company));
    check_refused(ap_book_begin(w.book.book, &err), AP_E_INTERNAL, &err, "reading only");
    assert_true(compare(&w, "kept by a reader"));
    ap_roster_release(&roster);
    ap_book_close(other);
    fixture_remove(&w.book);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(imports_go_on),
        cmocka_unit_test(every_change_ends_it),
        cmocka_unit_test(any_order_of_changes),
        cmocka_unit_test(damage_is_found),
        cmocka_unit_test(the_movement_worked_out_is_kept),
        cmocka_unit_test(a_check_finds_what_is_not_so),
        cmocka_unit_test(what_can_not_be_kept_is_not),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
