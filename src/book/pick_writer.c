/* Offers picks to the book. A new one costs one insert; what is there already is found by the insert itself, read back and
 * compared. Jobs and trees are remembered in a table of fixed size: memory does not grow with the log. */
#include "book/pick_reader.h"
#include "book/picks.h"
#include "book/second_reading.h"

enum { KNOWN_SLOTS = 4096, KNOWN_KEY_MAX = 40, NAME_MAX_BYTES = 1 << 24 };

typedef struct known_name {
    int64_t parent; /* 0 for a job, the job's id for a tree */
    int64_t id;     /* 0 = empty slot */
    uint8_t len;
    char key[KNOWN_KEY_MAX];
    char stored[KNOWN_KEY_MAX]; /* the same but for capital and small letters */
} known_name;

struct ap_pick_writer {
    ap_book *book;
    sqlite3_stmt *insert;
    sqlite3_stmt *find; /* id of a stored pick */
    sqlite3_stmt *find_job;
    sqlite3_stmt *insert_job;
    sqlite3_stmt *find_tree;
    sqlite3_stmt *insert_tree;
    ap_pick_reader reader;
    ap_binder binder;
    ap_buf order;
    known_name known[KNOWN_SLOTS];
    ap_buf job; /* of the pick offered last, as the book writes it */
    ap_buf tree;
};

static ap_status prepare_insert(ap_pick_writer *writer, ap_error *err) {
    ap_buf sql;
    ap_buf_init(&sql, 1 << 16);
    sqlite3_finalize(writer->insert);
    writer->insert = NULL;
    ap_pick_insert_sql(&sql, &writer->binder.columns, writer->binder.parameter);
    ap_status status = ap_buf_check(&sql, "a statement", err);
    if (status == AP_OK) {
        status = ap_book_prepare(&writer->insert, writer->book, ap_buf_str(&sql), err);
    }
    ap_buf_release(&sql);
    return status;
}

static ap_status prepare_all(ap_pick_writer *writer, ap_error *err) {
    ap_book *book = writer->book;
    const struct {
        sqlite3_stmt **out;
        const char *sql;
    } lines[] = {
        {&writer->find, "SELECT id FROM pick WHERE job_id = ?1 AND part = ?2 AND pick = ?3"},
        {&writer->find_job, "SELECT id, job FROM job WHERE job = ?2"},
        {&writer->insert_job, "INSERT INTO job (job) VALUES (?2)"},
        {&writer->find_tree, "SELECT id, tree FROM tree WHERE job_id = ?1 AND tree = ?2"},
        {&writer->insert_tree, "INSERT INTO tree (job_id, tree) VALUES (?1, ?2)"},
    };
    ap_status status = prepare_insert(writer, err);
    for (size_t i = 0; i < sizeof lines / sizeof lines[0] && status == AP_OK; i++) {
        status = ap_book_prepare(lines[i].out, book, ap_str_from(lines[i].sql), err);
    }
    return status == AP_OK ? ap_pick_reader_open(&writer->reader, book, err) : status;
}

ap_status ap_pick_writer_new(ap_pick_writer **out, ap_book *book, ap_error *err) {
    *out = NULL;
    ap_pick_writer *writer = calloc(1, sizeof *writer);
    if (!writer) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory");
    }
    writer->book = book;
    ap_book_check_references(book, false);
    ap_book_end_kept_facts(book, false);
    ap_binder_init(&writer->binder);
    ap_buf_init(&writer->order, 1 << 20);
    ap_buf_init(&writer->job, NAME_MAX_BYTES);
    ap_buf_init(&writer->tree, NAME_MAX_BYTES);
    ap_status status = prepare_all(writer, err);
    if (status != AP_OK) {
        ap_pick_writer_free(writer);
        return status;
    }
    *out = writer;
    return AP_OK;
}

void ap_pick_writer_free(ap_pick_writer *writer) {
    if (!writer) {
        return;
    }
    sqlite3_finalize(writer->insert);
    sqlite3_finalize(writer->find);
    sqlite3_finalize(writer->find_job);
    sqlite3_finalize(writer->insert_job);
    sqlite3_finalize(writer->find_tree);
    sqlite3_finalize(writer->insert_tree);
    ap_pick_reader_close(&writer->reader);
    ap_book_check_references(writer->book, true);
    ap_book_end_kept_facts(writer->book, true);
    ap_buf_release(&writer->order);
    ap_buf_release(&writer->job);
    ap_buf_release(&writer->tree);
    free(writer);
}

/* Steps a statement that changes or finds one row and rests it; SQLITE_ROW or SQLITE_DONE when all is well. */
static int step_once(sqlite3_stmt *statement, int64_t *id) {
    int rc = sqlite3_step(statement);
    if (rc == SQLITE_ROW && id) {
        *id = sqlite3_column_int64(statement, 0);
    }
    int reset = sqlite3_reset(statement);
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? rc : reset;
}

static int bind_name(sqlite3_stmt *statement, int64_t parent, ap_str name) {
    if (parent != 0) {
        int rc = sqlite3_bind_int64(statement, 1, parent);
        if (rc != SQLITE_OK) {
            return rc;
        }
    }
    return ap_bind_view(statement, 2, name);
}

/* `stored` gets the name as it stands in the book: the first spelling counts. */
static int find_or_insert(int64_t *id, ap_buf *stored, sqlite3 *db, sqlite3_stmt *find, sqlite3_stmt *insert,
                          int64_t parent, ap_str name) {
    int rc = bind_name(find, parent, name);
    if (rc == SQLITE_OK) {
        rc = sqlite3_step(find);
        *id = rc == SQLITE_ROW ? sqlite3_column_int64(find, 0) : 0;
        ap_buf_append_str(stored, rc == SQLITE_ROW ? ap_column_text(find, 1) : name);
        int reset = sqlite3_reset(find);
        rc = rc == SQLITE_ROW || rc == SQLITE_DONE ? rc : reset;
    }
    if (rc == SQLITE_DONE) {
        rc = bind_name(insert, parent, name);
        if (rc == SQLITE_OK) {
            rc = step_once(insert, NULL);
            *id = sqlite3_last_insert_rowid(db);
        }
    }
    return rc == SQLITE_ROW || rc == SQLITE_DONE ? SQLITE_OK : rc;
}

/* The number of a job (parent 0) or tree, made when it is new. */
static ap_status name_id(int64_t *id, ap_buf *stored, ap_pick_writer *writer, int64_t parent, ap_str name,
                         ap_error *err) {
    bool fits = name.len <= KNOWN_KEY_MAX;
    size_t at = (size_t)(ap_str_hash(name) ^ (uint64_t)parent * 0x9e3779b97f4a7c15u) % KNOWN_SLOTS;
    known_name *slot = &writer->known[at];
    ap_buf_clear(stored);
    if (fits && slot->id != 0 && slot->parent == parent && slot->len == name.len &&
        memcmp(slot->key, name.ptr, name.len) == 0) {
        *id = slot->id;
        ap_buf_append(stored, slot->stored, slot->len);
        return AP_OK;
    }
    sqlite3 *db = writer->book->db;
    int rc = parent == 0 ? find_or_insert(id, stored, db, writer->find_job, writer->insert_job, 0, name)
                         : find_or_insert(id, stored, db, writer->find_tree, writer->insert_tree, parent, name);
    if (rc != SQLITE_OK) {
        return ap_book_error(err, writer->book, rc, parent == 0 ? "store a job" : "store a tree");
    }
    if (fits && stored->len == name.len) {
        *slot = (known_name){.parent = parent, .id = *id, .len = (uint8_t)name.len};
        memcpy(slot->key, name.ptr, name.len);
        memcpy(slot->stored, stored->ptr, stored->len);
    }
    return ap_buf_check(stored, "a name", err);
}

/* An empty text, not NULL: part is a piece of the identity. */
static int bind_text(sqlite3_stmt *statement, int at, ap_str text) {
    return sqlite3_bind_text64(statement, at, text.len > 0 ? text.ptr : "", text.len, SQLITE_STATIC, SQLITE_UTF8);
}

static int bind_identity(sqlite3_stmt *statement, int64_t job_id, ap_str part, ap_str pick) {
    int rc = sqlite3_bind_int64(statement, AP_PICK_JOB_ID, job_id);
    rc = rc == SQLITE_OK ? bind_text(statement, AP_PICK_PART, part) : rc;
    return rc == SQLITE_OK ? bind_text(statement, AP_PICK_PICK, pick) : rc;
}

static int bind_pick(ap_pick_writer *writer, const ap_pick *pick, int64_t job_id, int64_t tree_id, ap_str part,
                     const ap_origin *origin) {
    sqlite3_stmt *insert = writer->insert;
    ap_buf_clear(&writer->order);
    ap_natural_key(&writer->order, pick->pick);
    if (writer->order.status != AP_OK) {
        return SQLITE_NOMEM;
    }
    int rc = bind_identity(insert, job_id, part, pick->pick);
    rc = rc == SQLITE_OK ? bind_text(insert, AP_PICK_ORDER, ap_buf_str(&writer->order)) : rc;
    rc = rc == SQLITE_OK ? sqlite3_bind_int64(insert, AP_PICK_FILE_ID, origin->file_id) : rc;
    rc = rc == SQLITE_OK ? sqlite3_bind_int64(insert, AP_PICK_LINE, origin->line) : rc;
    rc = rc == SQLITE_OK ? sqlite3_bind_int64(insert, AP_PICK_SPECIES_ID, pick->species_id) : rc;
    if (rc == SQLITE_OK) {
        rc = tree_id > 0 ? sqlite3_bind_int64(insert, AP_PICK_TREE_ID, tree_id)
                         : sqlite3_bind_null(insert, AP_PICK_TREE_ID);
    }
    rc = rc == SQLITE_OK ? ap_pick_bind_fields(insert, &writer->binder, pick) : rc;
    const ap_written_text *written = &writer->binder.written;
    return rc == SQLITE_OK ? bind_text(insert, AP_PICK_WRITTEN, (ap_str){written->text, written->len}) : rc;
}

static ap_status compare_stored(ap_stored *stored, int *differs, ap_pick_writer *writer, const ap_pick *pick,
                                int64_t job_id, ap_str part, const ap_origin *origin, ap_error *err) {
    int64_t id = 0;
    int rc = bind_identity(writer->find, job_id, part, pick->pick);
    rc = rc == SQLITE_OK ? step_once(writer->find, &id) : rc;
    if (rc != SQLITE_ROW) {
        return ap_book_error(err, writer->book, rc == SQLITE_DONE ? SQLITE_INTERNAL : rc, "find a stored pick");
    }
    ap_pick old;
    ap_status status = ap_pick_reader_get(&old, &writer->reader, id, err);
    if (status == AP_OK) {
        status = ap_second_reading(differs, writer->book, &old, pick, origin, err);
    }
    ap_pick_reader_rest(&writer->reader);
    *stored = *differs < 0 ? AP_STORED_UNCHANGED : AP_STORED_CONFLICT;
    return status;
}

ap_status ap_pick_writer_offer(ap_stored *stored, int *differs, ap_pick_writer *writer, const ap_pick *pick,
                               ap_str part, const ap_origin *origin, ap_error *err) {
    int64_t job_id = 0;
    int64_t tree_id = 0;
    *differs = -1;
    ap_status status = ap_book_need_transaction(writer->book, err);
    if (status == AP_OK && (pick->job.len == 0 || pick->pick.len == 0)) {
        status = ap_error_set(err, AP_E_INTERNAL, "a pick without job or number was offered to the book");
    }
    if (status == AP_OK) {
        status = name_id(&job_id, &writer->job, writer, 0, pick->job, err);
    }
    if (status == AP_OK && ap_binder_grow(&writer->binder, pick)) {
        status = prepare_insert(writer, err);
    }
    if (status == AP_OK && pick->tree.len > 0) {
        status = name_id(&tree_id, &writer->tree, writer, job_id, pick->tree, err);
    }
    if (status != AP_OK) {
        return status;
    }
    int64_t before = sqlite3_total_changes64(writer->book->db);
    int rc = bind_pick(writer, pick, job_id, tree_id, part, origin);
    rc = rc == SQLITE_OK ? step_once(writer->insert, NULL) : rc;
    if (rc == SQLITE_DONE && sqlite3_total_changes64(writer->book->db) == before) {
        return compare_stored(stored, differs, writer, pick, job_id, part, origin, err);
    }
    if (rc != SQLITE_DONE) {
        return ap_book_error(err, writer->book, rc, "store a pick");
    }
    *stored = AP_STORED_NEW;
    return AP_OK;
}

void ap_pick_writer_last(const ap_pick_writer *writer, ap_pick *pick) {
    pick->id = ap_book_last_row(writer->book);
    pick->job = ap_buf_str(&writer->job);
    if (pick->tree.len > 0) {
        pick->tree = ap_buf_str(&writer->tree);
    }
}
