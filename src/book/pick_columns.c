#include "book/pick_columns.h"

enum { WRITTEN_UNIT_BASE = '@', WRITTEN_QUANTUM_BASE = '0', WRITTEN_LAST = '~' };

static bool is_plain(int column) {
    return column != AP_F_job && column != AP_F_tree && column != AP_F_pick;
}

void ap_columns_init(ap_columns *columns) {
    ap_pick_clear(&columns->blank);
    size_t at = 0;
    for (int column = 0; column < AP_COLUMN_COUNT; column++) {
        const ap_field *field = ap_field_get(column);
        if (is_plain(column)) {
            int words = ap_word_count(field->vocabulary);
            int32_t most = field->kind == AP_KIND_MOVES ? AP_MOVE_BIT(words + 1) - 1 : words;
            columns->plain[at++] = (ap_plain_column){field->kind, column, field->leg, field->offset, most};
        }
    }
}

void ap_pick_column_name(ap_buf *out, int column) {
    const ap_field *field = ap_field_get(column);
    if (field->leg > 0) {
        ap_buf_appendf(out, "leg_%d_", field->leg);
    }
    ap_buf_append_cstr(out, field->member);
}

void ap_pick_insert_sql(ap_buf *out, const ap_columns *columns, const uint8_t parameter[AP_PLAIN_COUNT]) {
    ap_buf_append_cstr(out,
                       "INSERT INTO pick (job_id, part, pick, pick_order, file_id, line, species_id, tree_id, written");
    for (int i = 0; i < AP_PLAIN_COUNT; i++) {
        if (parameter[i] > 0) {
            ap_buf_append_cstr(out, ", ");
            ap_pick_column_name(out, columns->plain[i].column);
        }
    }
    ap_buf_append_cstr(out, ") VALUES (?1");
    for (int at = 2; at < AP_PICK_FIRST_FIELD; at++) {
        ap_buf_appendf(out, ", ?%d", at);
    }
    for (int i = 0; i < AP_PLAIN_COUNT; i++) {
        if (parameter[i] > 0) {
            ap_buf_appendf(out, ", ?%d", parameter[i]);
        }
    }
    ap_buf_append_cstr(out, ") ON CONFLICT (job_id, part, pick) DO NOTHING");
}

enum {
    ROW_ID,
    ROW_JOB,
    ROW_PART,
    ROW_PICK,
    ROW_TREE,
    ROW_SPECIES_ID,
    ROW_COMMON,
    ROW_IMPORT,
    ROW_PATH,
    ROW_LINE,
    ROW_WRITTEN,
    ROW_FIRST_FIELD
};

void ap_pick_select_sql(ap_buf *out, const char *where) {
    ap_buf_append_cstr(out,
                       "SELECT pick.id, job.job, pick.part, pick.pick, tree.tree, pick.species_id, species.common, "
                       "import_file.import_id, import_file.path, pick.line, pick.written");
    for (int column = 0; column < AP_COLUMN_COUNT; column++) {
        if (is_plain(column)) {
            ap_buf_append_cstr(out, ", pick.");
            ap_pick_column_name(out, column);
        }
    }
    ap_buf_appendf(
        out,
        " FROM pick CROSS JOIN job ON job.id = pick.job_id CROSS JOIN species ON species.id = pick.species_id"
        " CROSS JOIN import_file ON import_file.id = pick.file_id LEFT JOIN tree ON tree.id = pick.tree_id %s",
        where);
}

void ap_written_encode_one(char out[2], ap_written written) {
    int unit = WRITTEN_UNIT_BASE + written.unit;
    int quantum = WRITTEN_QUANTUM_BASE + written.quantum;
    bool known = unit <= WRITTEN_LAST && quantum <= WRITTEN_LAST;
    out[0] = (char)(known ? unit : WRITTEN_UNIT_BASE);
    out[1] = (char)(known ? quantum : WRITTEN_QUANTUM_BASE);
}

ap_written ap_written_decode_one(ap_str text) {
    if (text.len < 2) {
        return (ap_written){0, 0};
    }
    int unit = text.ptr[0] - WRITTEN_UNIT_BASE;
    int quantum = text.ptr[1] - WRITTEN_QUANTUM_BASE;
    bool known = unit > 0 && unit < AP_UNIT_COUNT && quantum >= 0;
    return known ? (ap_written){(uint8_t)unit, (uint8_t)quantum} : (ap_written){0, 0};
}

static double quantity_at(const ap_pick *pick, const ap_plain_column *plain) {
    double value;
    memcpy(&value, (const char *)pick + plain->offset, sizeof value);
    return value;
}

void ap_written_encode(ap_written_text *out, const ap_columns *columns, const ap_pick *pick) {
    out->len = 0;
    for (size_t i = 0; i < AP_PLAIN_COUNT; i++) {
        const ap_plain_column *plain = &columns->plain[i];
        if (plain->leg > pick->leg_count) {
            break;
        }
        if (plain->kind == AP_KIND_QTY && !isnan(quantity_at(pick, plain))) {
            ap_written_encode_one(out->text + out->len, pick->written[plain->column]);
            out->len += 2;
        }
    }
}

void ap_pick_read_written(ap_pick *pick, const ap_columns *columns, ap_str text) {
    for (size_t i = 0; i < AP_PLAIN_COUNT && text.len >= 2; i++) {
        const ap_plain_column *plain = &columns->plain[i];
        if (plain->kind == AP_KIND_QTY && !isnan(quantity_at(pick, plain))) {
            pick->written[plain->column] = ap_written_decode_one(text);
            text.ptr += 2;
            text.len -= 2;
        }
    }
}

_Static_assert(AP_PICK_FIRST_FIELD + AP_PLAIN_COUNT <= UINT8_MAX, "a parameter's number is a byte");

static void sort_columns(ap_binder *binder) {
    int absents = 0;
    binder->actives = 0;
    for (int i = 0; i < AP_PLAIN_COUNT; i++) {
        if (binder->parameter[i] > 0) {
            binder->active[binder->actives++] = (uint8_t)i;
        } else {
            binder->absent[absents++] = (uint8_t)i;
        }
    }
}

void ap_binder_init(ap_binder *binder) {
    memset(binder, 0, sizeof *binder);
    ap_columns_init(&binder->columns);
    binder->date.value = AP_DATE_NONE;
    binder->time.value = AP_TIME_NONE;
    sort_columns(binder);
}

bool ap_binder_grow(ap_binder *binder, const ap_pick *pick) {
    bool grown = false;
    int parameters = binder->actives;
    for (int i = 0; i < AP_PLAIN_COUNT - binder->actives; i++) {
        const ap_plain_column *plain = &binder->columns.plain[binder->absent[i]];
        if (plain->leg > pick->leg_count) {
            break;
        }
        if (!ap_pick_field_is_blank(pick, plain->column)) {
            binder->parameter[binder->absent[i]] = (uint8_t)(AP_PICK_FIRST_FIELD + parameters++);
            grown = true;
        }
    }
    if (grown) {
        sort_columns(binder);
        memset(binder->bound, 0, sizeof binder->bound); /* the new statement's parameters are NULL */
    }
    return grown;
}

/* Each returns the text to bind; none = NULL. */
static ap_str date_text(ap_binder *binder, ap_date date) {
    if (date == AP_DATE_NONE) {
        return AP_STR_NONE;
    }
    if (binder->date.value != date) {
        binder->date.value = date;
        ap_date_to_iso(binder->date.text, date);
    }
    return ap_str_from(binder->date.text);
}

/* Most picks have another time than the one before: without printf. */
static ap_str time_text(ap_binder *binder, ap_time time) {
    if (time < 0 || time >= 24 * 60) {
        return AP_STR_NONE;
    }
    if (binder->time.value != time) {
        binder->time.value = time;
        binder->time.text[0] = (char)('0' + time / 600);
        binder->time.text[1] = (char)('0' + time / 60 % 10);
        binder->time.text[2] = ':';
        binder->time.text[3] = (char)('0' + time % 60 / 10);
        binder->time.text[4] = (char)('0' + time % 10);
    }
    return (ap_str){binder->time.text, 5};
}

/* A parameter that is NULL and stays NULL costs nothing: *bound remembers. */
static int bind_text(sqlite3_stmt *statement, int at, ap_str text, uint8_t *bound) {
    if (text.len > 0) {
        *bound = 1;
        return text.len > INT32_MAX ? SQLITE_TOOBIG
                                    : sqlite3_bind_text(statement, at, text.ptr, (int)text.len, SQLITE_STATIC);
    }
    if (!*bound) {
        return SQLITE_OK;
    }
    *bound = 0;
    return sqlite3_bind_null(statement, at);
}

static int bind_number(sqlite3_stmt *statement, int at, bool blank, int32_t value, uint8_t *bound) {
    if (blank && !*bound) {
        return SQLITE_OK;
    }
    *bound = blank ? 0 : 1;
    return blank ? sqlite3_bind_null(statement, at) : sqlite3_bind_int(statement, at, value);
}

static int bind_plain(sqlite3_stmt *statement, int at, ap_binder *binder, const ap_pick *pick,
                      const ap_plain_column *plain, uint8_t *bound) {
    const void *value = (const char *)pick + plain->offset;
    switch (plain->kind) {
    case AP_KIND_QTY: {
        double number = quantity_at(pick, plain);
        if (isnan(number) && !*bound) {
            return SQLITE_OK;
        }
        *bound = (uint8_t)!isnan(number);
        return sqlite3_bind_double(statement, at, number); /* SQLite stores NaN as NULL */
    }
    case AP_KIND_TEXT: {
        const ap_str *text = value;
        return bind_text(statement, at, *text, bound);
    }
    case AP_KIND_WORD:
    case AP_KIND_MOVES:
        return bind_number(statement, at, *(const int32_t *)value == 0, *(const int32_t *)value, bound);
    case AP_KIND_DATE:
        return bind_text(statement, at, date_text(binder, *(const ap_date *)value), bound);
    case AP_KIND_TIME:
        return bind_text(statement, at, time_text(binder, *(const ap_time *)value), bound);
    case AP_KIND_COUNT:
        return bind_number(statement, at, *(const int32_t *)value < 0, *(const int32_t *)value, bound);
    case AP_KIND_YESNO:
        return bind_number(statement, at, *(const int32_t *)value == 0, *(const int32_t *)value == AP_YESNO_YES, bound);
    }
    return SQLITE_MISUSE;
}

int ap_pick_bind_fields(sqlite3_stmt *statement, ap_binder *binder, const ap_pick *pick) {
    ap_written_text *written = &binder->written;
    written->len = 0;
    for (int i = 0; i < binder->actives; i++) {
        size_t at = binder->active[i];
        const ap_plain_column *plain = &binder->columns.plain[at];
        int rc = bind_plain(statement, binder->parameter[at], binder, pick, plain, &binder->bound[at]);
        if (rc != SQLITE_OK) {
            return rc;
        }
        if (plain->kind == AP_KIND_QTY && binder->bound[at]) {
            ap_written_encode_one(written->text + written->len, pick->written[plain->column]);
            written->len += 2;
        }
    }
    return SQLITE_OK;
}

int ap_pick_bind_one(sqlite3_stmt *statement, int at, ap_binder *binder, const ap_pick *pick, int column) {
    uint8_t bound = 1;
    for (size_t i = 0; i < AP_PLAIN_COUNT; i++) {
        if (binder->columns.plain[i].column == column) {
            return bind_plain(statement, at, binder, pick, &binder->columns.plain[i], &bound);
        }
    }
    return SQLITE_MISUSE;
}

static bool is_null(sqlite3_stmt *statement, int at) {
    return sqlite3_column_type(statement, at) == SQLITE_NULL;
}

/* Each question to the row costs a call: whether it is NULL is asked only where the value does not say. */
static bool read_number(void *out, const ap_plain_column *plain, sqlite3_stmt *statement, int at) {
    int value = sqlite3_column_int(statement, at);
    if (value == 0 && is_null(statement, at)) {
        return false;
    }
    bool word = plain->kind == AP_KIND_WORD || plain->kind == AP_KIND_MOVES;
    if (plain->kind == AP_KIND_YESNO) {
        value = value ? AP_YESNO_YES : AP_YESNO_NO;
    } else if (word && (value < 0 || value > plain->most)) {
        value = 0;
    }
    *(int32_t *)out = value;
    return true;
}

static bool read_text(void *out, ap_field_kind kind, ap_str text) {
    if (!text.ptr) {
        return false;
    }
    if (kind == AP_KIND_TEXT) {
        *(ap_str *)out = text;
    } else if (kind == AP_KIND_DATE && !ap_date_from_iso(out, text)) {
        *(ap_date *)out = AP_DATE_NONE;
    } else if (kind == AP_KIND_TIME && !ap_time_from_iso(out, text)) {
        *(ap_time *)out = AP_TIME_NONE;
    }
    return true;
}

/* The pick was cleared before: a blank needs nothing. */
bool ap_pick_read_plain(ap_pick *pick, const ap_plain_column *plain, sqlite3_stmt *statement, int at) {
    void *out = (char *)pick + plain->offset;
    bool there = false;
    if (plain->kind == AP_KIND_QTY) {
        double value = sqlite3_column_double(statement, at);
        there = value != 0 || !is_null(statement, at);
        *(double *)out = there ? value : *(double *)out;
    } else if (plain->kind == AP_KIND_TEXT || plain->kind == AP_KIND_DATE || plain->kind == AP_KIND_TIME) {
        there = read_text(out, plain->kind, ap_column_text(statement, at));
    } else {
        there = read_number(out, plain, statement, at);
    }
    if (there && plain->leg > pick->leg_count) {
        pick->leg_count = plain->leg;
    }
    return there;
}

void ap_pick_read_row(ap_pick *pick, ap_buf *name, const ap_columns *columns, sqlite3_stmt *statement) {
    *pick = columns->blank;
    pick->id = sqlite3_column_int64(statement, ROW_ID);
    pick->job = ap_column_text(statement, ROW_JOB);
    pick->pick = ap_column_text(statement, ROW_PICK);
    pick->tree = ap_column_text(statement, ROW_TREE);
    pick->species_id = sqlite3_column_int64(statement, ROW_SPECIES_ID);
    pick->species_common = ap_column_text(statement, ROW_COMMON);
    pick->import_id = sqlite3_column_int64(statement, ROW_IMPORT);
    pick->source_file = ap_column_text(statement, ROW_PATH);
    pick->source_line = sqlite3_column_int64(statement, ROW_LINE);
    ap_buf_clear(name);
    ap_pick_name_write(name, pick->job, ap_column_text(statement, ROW_PART), pick->pick);
    pick->name = ap_buf_str(name);
    for (int i = 0; i < AP_PLAIN_COUNT; i++) {
        ap_pick_read_plain(pick, &columns->plain[i], statement, ROW_FIRST_FIELD + i);
    }
    ap_pick_read_written(pick, columns, ap_column_text(statement, ROW_WRITTEN));
}
