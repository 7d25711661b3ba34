/* A log that the program writes, imported into another book: the same picks to the last bit, and the same figures. */
#include "analysis/roster.h"
#include "book/amend.h"
#include "book/pick_text.h"
#include "book/species.h"
#include "intake/kit.h"
#include "intake/pick_log.h"
#include "support/same_roster.h"

enum { DUMP_MAX = 64 << 20 };

static const ap_pick_filter all = {.since = AP_DATE_NONE, .until = AP_DATE_NONE};

/* One line a pick: every field, numbers as their bits and as they were written. */
static ap_status dump_pick(void *context, const ap_pick *pick, ap_error *err) {
    ap_buf *out = context;
    (void)err;
    ap_buf_appendf(out, "%.*s|%lld", AP_STR_ARG(pick->name), (long long)pick->species_id);
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        ap_buf_append_char(out, '|');
        if (ap_pick_field_is_blank(pick, i) || i == AP_F_species) {
            continue;
        }
        if (ap_field_get(i)->kind == AP_KIND_QTY) {
            ap_buf_appendf(out, "%a %d %d", *(const double *)ap_pick_at_const(pick, i), pick->written[i].unit,
                           pick->written[i].quantum);
        } else {
            ap_pick_value_write(out, pick, i);
        }
    }
    ap_buf_append_char(out, '\n');
    return AP_OK;
}

static void dump(ap_buf *out, ap_book *book) {
    ap_error err;
    ap_buf_init(out, DUMP_MAX);
    check_ok(ap_book_each_pick(book, &all, dump_pick, out, &err), &err);
    check_ok(ap_buf_check(out, "the picks", &err), &err);
}

typedef struct writing {
    ap_sink sink;
    ap_pick_log *log;
} writing;

static ap_status write_one(void *context, const ap_pick *pick, ap_error *err) {
    writing *it = context;
    return ap_pick_log_row(&it->sink, it->log, pick, err);
}

static void write_log(ap_buf *out, ap_book *book, ap_unit_system units) {
    ap_error err;
    ap_buf_init(out, DUMP_MAX);
    writing it = {.sink = ap_sink_to_buf(out)};
    check_ok(ap_pick_log_new(&it.log, units, &err), &err);
    ap_pick_log_header(&it.sink, it.log);
    check_ok(ap_book_each_pick(book, &all, write_one, &it, &err), &err);
    check_ok(ap_sink_check(&it.sink, "the log", &err), &err);
    assert_int_equal(ap_pick_log_rounded(it.log), 0);
    ap_pick_log_free(it.log);
}

static void check_same_figures(ap_book *a, ap_book *b) {
    ap_error err;
    ap_roster first = {0};
    ap_roster second = {0};
    char what[200] = "";
    check_ok(ap_roster_load(&first, a, AP_DATE_NONE, true, &err), &err);
    check_ok(ap_roster_load(&second, b, AP_DATE_NONE, true, &err), &err);
    if (!same_roster(what, &first, &second, true)) {
        fail_msg("the figures differ: %s", what);
    }
    ap_roster_release(&first);
    ap_roster_release(&second);
}

static void all_stored(const kit *k, int64_t count) {
    const ap_intake_problem *aside = kit_problem(k, AP_INTAKE_SET_ASIDE, 0);
    if (aside) {
        fail_msg("line %lld was set aside: %.*s %.*s", (long long)aside->line, AP_STR_ARG(aside->field),
                 AP_STR_ARG(aside->reason));
    }
    assert_int_equal(k->result.totals.stored, count);
    assert_int_equal(k->result.totals.conflicts + k->result.totals.unchanged, 0);
}

/* Writes the book's picks in these units and reads them into a new book. */
static void check_round_trip(kit *k, ap_unit_system units) {
    ap_buf was;
    ap_buf log;
    ap_buf is;
    ap_book *first = k->book;
    const int64_t picks = kit_picks(k);
    char path[300];
    write_log(&log, first, units);
    dump(&was, first);
    snprintf(path, sizeof path, "%s/other-%d.book", k->folder, (int)units);
    check_ok(ap_book_open(&k->book, path, AP_BOOK_CREATE, &k->err), &k->err);
    const char *file = kit_log_bytes(k, units == AP_UNITS_US ? "us.csv" : "metric.csv", log.ptr, log.len);
    check_ok(kit_import(k, file), &k->err);
    all_stored(k, picks);
    dump(&is, k->book);
    assert_string_equal(is.ptr, was.ptr);
    check_same_figures(first, k->book);
    ap_book_close(k->book);
    k->book = first;
    ap_buf_release(&was);
    ap_buf_release(&log);
    ap_buf_release(&is);
}

static void test_samples_come_back(void **state) {
    kit *k = *state;
    const char *logs[] = {"samples"};
    check_ok(kit_import_list(k, logs, 1), &k->err);
    assert_true(k->result.totals.stored > 500);
    check_round_trip(k, AP_UNITS_US);
    check_round_trip(k, AP_UNITS_METRIC);
}

/* Quotes, line ends in a cell, formulas, apostrophes in front, other scripts, a text as long as a page. */
static void test_awkward_texts_come_back(void **state) {
    kit *k = *state;
    kit_import_text(
        k, "texts.csv",
        "job,date,pick,species,planned_weight_lb,estimator,damage,notes,wind,leg_1_tag\n"
        "\"J,1\",2026-03-02,1,red maple,4800,O\"\"Neil,\"he said \"\"stop\"\"\",\"two\nlines\r\nand\rmore\",'calm,S;1\n"
        "J1,2026-03-02,=1+1,red maple,4800,'=cmd,@home,+1-2,'-5 kn,'+S1\n"
        "J1,2026-03-02,-7,red maple,4800,''=twice,-12.5,-2+3,'''@thrice,\xEF\xBC\x9D"
        "1\n"
        "J1,2026-03-02,4,Acer rubrum,4800,\xC3\x9C"
        "bel,\xE6\x9E\x9D|\xF0\x9F\x8C\xB3,a | b ; c,'\xEF\xBC\xA0x,''\n"
        "J1,2026-03-02,5,ACRU,4800,' =x,'' ,#N/A,\"\"\"\",1e5\n");
    all_stored(k, 5);
    check_round_trip(k, AP_UNITS_US);
}

static void test_awkward_numbers_come_back(void **state) {
    kit *k = *state;
    kit_import_text(
        k, "numbers.csv",
        "job,date,time,pick,species,planned_weight,measured_weight,measured_as,length,butt_diameter,tip_diameter,"
        "brush_share,lean,side_offset,re_rigs,tag_line,movement,leg_2_at,leg_3_wll,leg_4_tag\n"
        "J1,2026-03-02,7:05,9,red maple,\"4,850 lb\",18.60 kN,gross,18 ft 7 1/3 in,24 3/8 in,16in,15 %,-45,-6 in,0,no,"
        "butt_up+swing,3' 4,2 1/4 short tons,T4\n"
        "J1,2026-03-02,2:05 pm,10,red maple,2.20 tonnes,2 tonnes 150 kg,net,5 m 7 cm,0.61m,412 mm,0.15,0.0,-0.05 m,3,"
        "yes,still,1.10 m,3 long tons,\n"
        "J1,2026-03-02,,10a,red maple,1234.5678901234567 kg,4850.123456789012345 lb,,6 yd 1.5 ft,23.999999999 in,"
        "0.333333333333333333 m,7.5%,12.25,0 ft,,,,0.1 in,5000 lbf,\n"
        "J1,2026-03-02,,11,red maple,,900 kgf,gross,17.1 ft,0.3048006096 m,11 1/64 in,0,,,,,,,35274 oz,\n");
    all_stored(k, 4);
    check_round_trip(k, AP_UNITS_US);
    check_round_trip(k, AP_UNITS_METRIC);
}

static void test_amended_value_is_written(void **state) {
    kit *k = *state;
    ap_buf log;
    ap_pick value;
    kit_import_text(k, "a.csv", KIT_HEADER KIT_ROW);
    ap_pick_clear(&value);
    value.planned_weight_kg = 2000;
    value.written[AP_F_planned_weight] = (ap_written){AP_UNIT_KG, 0};
    check_ok(ap_book_begin(k->book, &k->err), &k->err);
    check_ok(ap_book_amend(k->book, AP_STR_LIT("J1/1"), AP_F_planned_weight, &value, AP_STR_LIT("misread"),
                           &k->options.author, &k->err),
             &k->err);
    check_ok(ap_book_commit(k->book, &k->err), &k->err);
    write_log(&log, k->book, AP_UNITS_US);
    assert_non_null(strstr(log.ptr, ",2000 kg,"));
    assert_null(strstr(log.ptr, "4800"));
    ap_buf_release(&log);
    check_round_trip(k, AP_UNITS_US);
}

/* A name that only this book knows goes out as one that every book knows. */
static void test_taught_species(void **state) {
    kit *k = *state;
    const ap_species *species = NULL;
    ap_buf log;
    check_ok(ap_book_species_find(&species, k->book, AP_STR_LIT("silver maple"), &k->err), &k->err);
    check_ok(ap_book_begin(k->book, &k->err), &k->err);
    check_ok(ap_book_species_teach(k->book, AP_STR_LIT("river ghost"), species, AP_STR_LIT("what we call it"),
                                   &k->options.author, &k->err),
             &k->err);
    check_ok(ap_book_commit(k->book, &k->err), &k->err);
    kit_import_text(k, "a.csv",
                    KIT_HEADER "J1,2026-03-02,1,river ghost,4800,,,,,,\nJ1,2026-03-02,2,Soft Maple,4800,,,,,,\n"
                               "J1,2026-03-02,3,sugar  MAPLE,4800,,,,,,\n");
    assert_int_equal(k->result.totals.stored + k->result.totals.set_aside, 3);
    write_log(&log, k->book, AP_UNITS_US);
    assert_null(strstr(log.ptr, "river ghost"));
    assert_non_null(strstr(log.ptr, "sugar  MAPLE"));
    ap_buf_release(&log);
    check_round_trip(k, AP_UNITS_US);
}

int main(void) {
#define WITH_BOOK(test) cmocka_unit_test_setup_teardown(test, kit_setup, kit_teardown)
    const struct CMUnitTest tests[] = {
        WITH_BOOK(test_samples_come_back),
        WITH_BOOK(test_awkward_texts_come_back),
        WITH_BOOK(test_awkward_numbers_come_back),
        WITH_BOOK(test_amended_value_is_written),
        WITH_BOOK(test_taught_species),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
