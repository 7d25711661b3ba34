/* The columns that the statistics of the error read, in pick order: all but the slings and what happened.
 *
 * Pick order is not row order, and a look-up of each row costs more than reading it. So the numbers of some hundred picks
 * are taken in pick order, their rows read in row order, which logs mostly are, and handed on in pick order again. Names of
 * jobs and trees change seldom from row to row: they are looked up when they do, not joined. */
#include "book/pick_reader.h"

#include "book/pick_sort.h"
#include "book/picks.h"
#include "book/species.h"

enum { WINDOW = 512, NAMES = 64, TEXTS_MAX = 64 << 20 };

/* Left out, with all of the legs and how a cell was written. */
static const ap_pick_field left_out[] = {
    AP_F_site,
    AP_F_time,
    AP_F_climber,
    AP_F_operator,
    AP_F_species,
    AP_F_balance_point,
    AP_F_side_offset,
    AP_F_lean,
    AP_F_planned_radius,
    AP_F_planned_cut,
    AP_F_cut_radius,
    AP_F_set_down_radius,
    AP_F_boom_length,
    AP_F_preload,
    AP_F_peak_load,
    AP_F_kerf,
    AP_F_fibre_left,
    AP_F_movement,
    AP_F_movement_distance,
    AP_F_climber_at,
    AP_F_climber_distance,
    AP_F_climber_side,
    AP_F_re_rigs,
    AP_F_tag_line,
    AP_F_wind,
};
enum { LEFT_OUT = sizeof left_out / sizeof *left_out, WANTED_MAX = AP_F_COUNT };
enum { AT_ID, AT_JOB, AT_TREE, AT_SPECIES, AT_PART, AT_PICK, AT_FIRST_FIELD };

/* Texts by row number, as many as fit: a number whose place is taken is looked up anew. */
typedef struct name_memo {
    sqlite3_stmt *statement;
    int64_t id[NAMES]; /* 0 = free */
    ap_str text[NAMES];
} name_memo;

typedef struct place {
    int64_t id;
    size_t at; /* in pick order */
} place;

typedef struct narrow_reader {
    ap_book *book;
    sqlite3_stmt *rows;
    name_memo jobs;
    name_memo trees;
    ap_plain_column plain[WANTED_MAX];
    int wanted;
    ap_columns columns;
    ap_pick *picks; /* WINDOW of them */
    place places[WINDOW];
    ap_arena texts; /* of one window */
    ap_buf name;
} narrow_reader;

static bool is_wanted(const ap_plain_column *plain) {
    bool wanted = plain->leg == 0;
    for (size_t i = 0; wanted && i < LEFT_OUT; i++) {
        wanted = plain->column != (int)left_out[i];
    }
    return wanted;
}

static ap_status prepare_rows(narrow_reader *reader, ap_error *err) {
    ap_buf sql;
    ap_buf_init(&sql, 1 << 16);
    ap_buf_append_cstr(&sql, "SELECT id, job_id, tree_id, species_id, part, pick");
    for (int i = 0; i < reader->wanted; i++) {
        ap_buf_append_cstr(&sql, ", ");
        ap_pick_column_name(&sql, reader->plain[i].column);
    }
    ap_buf_append_cstr(&sql, " FROM pick WHERE id >= ?1 ORDER BY id");
    ap_status status = ap_buf_check(&sql, "a statement", err);
    if (status == AP_OK) {
        status = ap_book_prepare(&reader->rows, reader->book, ap_buf_str(&sql), err);
    }
    ap_buf_release(&sql);
    return status;
}

static ap_status open_reader(narrow_reader *reader, ap_book *book, ap_error *err) {
    *reader = (narrow_reader){.book = book};
    ap_arena_init(&reader->texts, TEXTS_MAX);
    ap_buf_init(&reader->name, 1 << 20);
    ap_columns_init(&reader->columns);
    for (size_t p = 0; p < AP_PLAIN_COUNT; p++) {
        if (is_wanted(&reader->columns.plain[p])) {
            reader->plain[reader->wanted++] = reader->columns.plain[p];
        }
    }
    reader->picks = calloc(WINDOW, sizeof *reader->picks);
    ap_status status = reader->picks ? prepare_rows(reader, err) : ap_error_set(err, AP_E_MEMORY, "out of memory");
    if (status == AP_OK) {
        status = ap_book_prepare(&reader->jobs.statement, book, AP_STR_LIT("SELECT job FROM job WHERE id = ?1"), err);
    }
    if (status == AP_OK) {
        status =
            ap_book_prepare(&reader->trees.statement, book, AP_STR_LIT("SELECT tree FROM tree WHERE id = ?1"), err);
    }
    return status;
}

static void close_reader(narrow_reader *reader) {
    sqlite3_finalize(reader->rows);
    sqlite3_finalize(reader->jobs.statement);
    sqlite3_finalize(reader->trees.statement);
    free(reader->picks);
    ap_arena_release(&reader->texts);
    ap_buf_release(&reader->name);
}

static ap_status name_of(ap_str *out, name_memo *memo, narrow_reader *reader, int64_t id, ap_error *err) {
    size_t at = (size_t)id % NAMES;
    if (memo->id[at] != id) {
        sqlite3_bind_int64(memo->statement, 1, id);
        int rc = sqlite3_step(memo->statement);
        ap_str text = rc == SQLITE_ROW ? ap_arena_str(&reader->texts, ap_column_text(memo->statement, 0)) : AP_STR_NONE;
        sqlite3_reset(memo->statement);
        if (rc != SQLITE_ROW) {
            return rc == SQLITE_DONE
                       ? ap_error_set(err, AP_E_BOOK, "'%s' is damaged: a pick's job or tree is not there",
                                      reader->book->path)
                       : ap_book_error(err, reader->book, rc, "read a pick");
        }
        memo->id[at] = id;
        memo->text[at] = text;
    }
    *out = memo->text[at];
    return AP_OK;
}

static ap_status read_row(ap_pick *pick, narrow_reader *reader, ap_error *err) {
    sqlite3_stmt *row = reader->rows;
    *pick = reader->columns.blank;
    pick->id = sqlite3_column_int64(row, AT_ID);
    pick->species_id = sqlite3_column_int64(row, AT_SPECIES);
    const ap_species *species = NULL;
    ap_status status = ap_book_species_get(&species, reader->book, pick->species_id, err);
    if (status == AP_OK) {
        pick->species_common = species->common;
        status = name_of(&pick->job, &reader->jobs, reader, sqlite3_column_int64(row, AT_JOB), err);
    }
    if (status == AP_OK && sqlite3_column_type(row, AT_TREE) != SQLITE_NULL) {
        status = name_of(&pick->tree, &reader->trees, reader, sqlite3_column_int64(row, AT_TREE), err);
    }
    if (status != AP_OK) {
        return status;
    }
    pick->pick = ap_arena_str(&reader->texts, ap_column_text(row, AT_PICK));
    ap_buf_clear(&reader->name);
    ap_pick_name_write(&reader->name, pick->job, ap_column_text(row, AT_PART), pick->pick);
    pick->name = ap_arena_str(&reader->texts, ap_buf_str(&reader->name));
    for (int i = 0; i < reader->wanted; i++) {
        bool there = ap_pick_read_plain(pick, &reader->plain[i], row, AT_FIRST_FIELD + i);
        if (there && reader->plain[i].kind == AP_KIND_TEXT) {
            ap_str *text = (void *)((char *)pick + reader->plain[i].offset);
            *text = ap_arena_str(&reader->texts, *text);
        }
    }
    return ap_buf_check(&reader->name, "the name of a pick", err);
}

static int by_id(const void *left, const void *right) {
    const place *a = left;
    const place *b = right;
    return (a->id > b->id) - (a->id < b->id);
}

/* The rows of `count` places, read in row order into reader->picks in pick order. */
static ap_status read_window(narrow_reader *reader, size_t count, ap_error *err) {
    ap_arena_clear(&reader->texts);
    memset(reader->jobs.id, 0, sizeof reader->jobs.id);
    memset(reader->trees.id, 0, sizeof reader->trees.id);
    qsort(reader->places, count, sizeof *reader->places, by_id);
    ap_status status = AP_OK;
    int64_t on = 0;
    for (size_t i = 0; status == AP_OK && i < count; i++) {
        int64_t id = reader->places[i].id;
        if (i == 0 || on + 1 != id) {
            sqlite3_reset(reader->rows);
            sqlite3_bind_int64(reader->rows, 1, id);
        }
        int rc = sqlite3_step(reader->rows);
        on = rc == SQLITE_ROW ? sqlite3_column_int64(reader->rows, AT_ID) : 0;
        if (rc == SQLITE_DONE || (rc == SQLITE_ROW && on != id)) {
            status =
                ap_error_set(err, AP_E_NOT_FOUND, "a pick was taken out of '%s' while it was read", reader->book->path);
        } else if (rc != SQLITE_ROW) {
            status = ap_book_error(err, reader->book, rc, "read a pick");
        } else {
            status = read_row(&reader->picks[reader->places[i].at], reader, err);
        }
    }
    sqlite3_reset(reader->rows);
    return status == AP_OK ? ap_arena_check(&reader->texts, "the texts of some picks", err) : status;
}

ap_status ap_book_each_pick_narrow(ap_book *book, const ap_pick_filter *filter, ap_pick_fn each, void *context,
                                   ap_error *err) {
    ap_pick_sorted order = {0};
    narrow_reader reader;
    ap_status status = open_reader(&reader, book, err);
    if (status == AP_OK) {
        status = ap_book_exec(book, "PRAGMA cache_size = -1024", "read the picks", err); /* each page is read once */
    }
    if (status == AP_OK) {
        status = ap_pick_sort(&order, book, filter, err);
    }
    for (size_t first = 0; status == AP_OK && first < order.count; first += WINDOW) {
        size_t count = order.count - first < WINDOW ? order.count - first : WINDOW;
        for (size_t i = 0; i < count; i++) {
            reader.places[i] = (place){order.ids[first + i], i};
        }
        status = read_window(&reader, count, err);
        for (size_t i = 0; status == AP_OK && i < count; i++) {
            status = each(context, &reader.picks[i], err);
        }
    }
    ap_pick_sorted_release(&order);
    close_reader(&reader);
    ap_book_memory_back(book);
    return status;
}
