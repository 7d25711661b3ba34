#include "book/pick_columns.h"

enum { WRITTEN_UNIT_BASE = '@', WRITTEN_QUANTUM_BASE = '0', WRITTEN_LAST = '~' };

bool ap_pick_column_is_plain(int field) {
    return field != AP_F_job && field != AP_F_tree && field != AP_F_pick;
}

void ap_written_encode_one(char out[2], ap_written written) {
    int unit = WRITTEN_UNIT_BASE + written.unit;
    int quantum = WRITTEN_QUANTUM_BASE + written.quantum;
    bool known = unit <= WRITTEN_LAST && quantum <= WRITTEN_LAST;
    out[0] = (char)(known ? unit : WRITTEN_UNIT_BASE);
    out[1] = (char)(known ? quantum : WRITTEN_QUANTUM_BASE);
}

void ap_written_encode(ap_written_text *out, const ap_pick *pick) {
    out->len = 0;
    int last = AP_F_COUNT + pick->leg_count * AP_LF_COUNT;
    for (int column = 0; column < last; column++) {
        if (ap_field_get(column)->kind == AP_KIND_QTY && !isnan(*(const double *)ap_pick_at_const(pick, column))) {
            ap_written_encode_one(out->text + out->len, pick->written[column]);
            out->len += 2;
        }
    }
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

void ap_written_decode(ap_pick *pick, ap_str text) {
    int last = AP_F_COUNT + pick->leg_count * AP_LF_COUNT;
    for (int column = 0; column < last && text.len >= 2; column++) {
        if (ap_field_get(column)->kind == AP_KIND_QTY && !isnan(*(const double *)ap_pick_at_const(pick, column))) {
            pick->written[column] = ap_written_decode_one(text);
            text.ptr += 2;
            text.len -= 2;
        }
    }
}

/* The first plain field of the insert stands at AP_PICK_FIRST_FIELD. */
void ap_pick_insert_sql(ap_buf *out) {
    ap_buf_append_cstr(
        out,
        "INSERT INTO pick (job_id, part, pick, pick_order, file_id, line, species_id, tree_id, leg_count, written");
    int count = AP_PICK_FIRST_FIELD - 1;
    for (int field = 0; field < AP_F_COUNT; field++) {
        if (ap_pick_column_is_plain(field)) {
            ap_buf_appendf(out, ", %s", ap_field_get(field)->member);
            count++;
        }
    }
    ap_buf_append_cstr(out, ") VALUES (?1");
    for (int at = 2; at <= count; at++) {
        ap_buf_appendf(out, ", ?%d", at);
    }
    ap_buf_append_cstr(out, ") ON CONFLICT (job_id, part, pick) DO NOTHING");
}

void ap_leg_insert_sql(ap_buf *out) {
    ap_buf_append_cstr(out, "INSERT INTO leg (pick_id, leg_no");
    for (int field = 0; field < AP_LF_COUNT; field++) {
        ap_buf_appendf(out, ", %s", ap_field_get(AP_F_COUNT + field)->member);
    }
    ap_buf_append_cstr(out, ") VALUES (?1, ?2");
    for (int field = 0; field < AP_LF_COUNT; field++) {
        ap_buf_appendf(out, ", ?%d", 3 + field);
    }
    ap_buf_append_cstr(out, ")");
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
    ROW_LEGS,
    ROW_WRITTEN,
    ROW_FIRST_FIELD
};

void ap_pick_select_sql(ap_buf *out, const char *where) {
    ap_buf_append_cstr(out,
                       "SELECT pick.id, job.job, pick.part, pick.pick, tree.tree, pick.species_id, species.common, "
                       "import_file.import_id, import_file.path, pick.line, pick.leg_count, pick.written");
    for (int field = 0; field < AP_F_COUNT; field++) {
        if (ap_pick_column_is_plain(field)) {
            ap_buf_appendf(out, ", pick.%s", ap_field_get(field)->member);
        }
    }
    ap_buf_appendf(
        out,
        " FROM pick CROSS JOIN job ON job.id = pick.job_id CROSS JOIN species ON species.id = pick.species_id"
        " CROSS JOIN import_file ON import_file.id = pick.file_id LEFT JOIN tree ON tree.id = pick.tree_id %s",
        where);
}

void ap_leg_select_sql(ap_buf *out, const char *where) {
    ap_buf_append_cstr(out, "SELECT pick_id, leg_no");
    for (int field = 0; field < AP_LF_COUNT; field++) {
        ap_buf_appendf(out, ", %s", ap_field_get(AP_F_COUNT + field)->member);
    }
    ap_buf_appendf(out, " FROM leg %s", where);
}

void ap_binder_init(ap_binder *binder) {
    memset(binder, 0, sizeof *binder);
    binder->date.value = AP_DATE_NONE;
    binder->time.value = AP_TIME_NONE;
    ap_buf_init(&binder->moves, 4096);
}

void ap_binder_release(ap_binder *binder) {
    ap_buf_release(&binder->moves);
}

static int bind_cstr(sqlite3_stmt *statement, int at, const char *text) {
    return sqlite3_bind_text(statement, at, text, -1, SQLITE_STATIC);
}

static int bind_moves(sqlite3_stmt *statement, int at, ap_binder *binder, int32_t moves) {
    if ((moves & (moves - 1)) == 0) {
        int value = 1;
        while (!(moves & AP_MOVE_BIT(value))) {
            value++;
        }
        return bind_cstr(statement, at, ap_word_get(AP_VOC_MOVEMENT, value));
    }
    ap_buf_clear(&binder->moves);
    ap_moves_to_text(&binder->moves, moves);
    return ap_bind_view(statement, at, ap_buf_str(&binder->moves));
}

int ap_field_bind(sqlite3_stmt *statement, int at, ap_binder *binder, const ap_pick *pick, int column) {
    const ap_field *field = ap_field_get(column);
    const void *value = ap_pick_at_const(pick, column);
    switch (field->kind) {
    case AP_KIND_TEXT:
        return ap_bind_view(statement, at, *(const ap_str *)value);
    case AP_KIND_QTY:
        return sqlite3_bind_double(statement, at, *(const double *)value);
    case AP_KIND_WORD: {
        const char *word = ap_word_get(field->vocabulary, *(const int32_t *)value);
        return word ? bind_cstr(statement, at, word) : sqlite3_bind_null(statement, at);
    }
    case AP_KIND_COUNT:
        return *(const int32_t *)value < 0 ? sqlite3_bind_null(statement, at)
                                           : sqlite3_bind_int(statement, at, *(const int32_t *)value);
    case AP_KIND_YESNO:
        return *(const int32_t *)value == 0 ? sqlite3_bind_null(statement, at)
                                            : sqlite3_bind_int(statement, at, *(const int32_t *)value == AP_YESNO_YES);
    case AP_KIND_DATE:
        if (*(const ap_date *)value == AP_DATE_NONE) {
            return sqlite3_bind_null(statement, at);
        }
        if (binder->date.value != *(const ap_date *)value) {
            binder->date.value = *(const ap_date *)value;
            ap_date_to_iso(binder->date.text, binder->date.value);
        }
        return bind_cstr(statement, at, binder->date.text);
    case AP_KIND_TIME:
        if (*(const ap_time *)value < 0) {
            return sqlite3_bind_null(statement, at);
        }
        if (binder->time.value != *(const ap_time *)value) {
            binder->time.value = *(const ap_time *)value;
            ap_time_to_iso(binder->time.text, binder->time.value);
        }
        return bind_cstr(statement, at, binder->time.text);
    case AP_KIND_MOVES:
        return *(const int32_t *)value == 0 ? sqlite3_bind_null(statement, at)
                                            : bind_moves(statement, at, binder, *(const int32_t *)value);
    }
    return SQLITE_MISUSE;
}

int ap_pick_bind_fields(sqlite3_stmt *statement, int first, ap_binder *binder, const ap_pick *pick) {
    int at = first;
    for (int field = 0; field < AP_F_COUNT; field++) {
        if (!ap_pick_column_is_plain(field)) {
            continue;
        }
        /* A parameter that is NULL and stays NULL costs nothing. */
        bool blank = ap_pick_field_is_blank(pick, field);
        if (!blank || binder->bound[at]) {
            int rc = blank ? sqlite3_bind_null(statement, at) : ap_field_bind(statement, at, binder, pick, field);
            if (rc != SQLITE_OK) {
                return rc;
            }
            binder->bound[at] = !blank;
        }
        at++;
    }
    return SQLITE_OK;
}

int ap_leg_bind_fields(sqlite3_stmt *statement, int first, const ap_pick *pick, int leg) {
    for (int field = 0; field < AP_LF_COUNT; field++) {
        int rc = ap_field_bind(statement, first + field, NULL, pick, AP_F_COUNT + leg * AP_LF_COUNT + field);
        if (rc != SQLITE_OK) {
            return rc;
        }
    }
    return SQLITE_OK;
}

bool ap_leg_is_blank(const ap_pick *pick, int leg) {
    for (int field = 0; field < AP_LF_COUNT; field++) {
        if (!ap_pick_field_is_blank(pick, AP_F_COUNT + leg * AP_LF_COUNT + field)) {
            return false;
        }
    }
    return true;
}

/* A word of ours, as stored: exact, unlike ap_word_find(), which forgives. */
static int stored_word(ap_vocabulary vocabulary, ap_str text) {
    for (int value = ap_word_count(vocabulary); value > 0; value--) {
        const char *word = ap_word_get(vocabulary, value);
        if (word[0] == text.ptr[0] && strlen(word) == text.len && memcmp(word, text.ptr, text.len) == 0) {
            return value;
        }
    }
    return 0;
}

static int32_t stored_moves(ap_str text) {
    int32_t moves = 0;
    while (text.len > 0) {
        ap_str word = ap_str_split(text, '+', &text);
        int value = word.len > 0 ? stored_word(AP_VOC_MOVEMENT, word) : 0;
        moves |= value > 0 ? AP_MOVE_BIT(value) : 0;
    }
    return moves;
}

static void read_field(ap_pick *pick, int column, sqlite3_stmt *statement, int at) {
    const ap_field *field = ap_field_get(column);
    void *out = ap_pick_at(pick, column);
    if (sqlite3_column_type(statement, at) == SQLITE_NULL) {
        return; /* the pick was cleared before */
    }
    switch (field->kind) {
    case AP_KIND_TEXT:
        *(ap_str *)out = ap_column_text(statement, at);
        break;
    case AP_KIND_QTY:
        *(double *)out = sqlite3_column_double(statement, at);
        break;
    case AP_KIND_WORD:
        *(int32_t *)out = stored_word(field->vocabulary, ap_column_text(statement, at));
        break;
    case AP_KIND_MOVES:
        *(int32_t *)out = stored_moves(ap_column_text(statement, at));
        break;
    case AP_KIND_COUNT:
        *(int32_t *)out = sqlite3_column_int(statement, at);
        break;
    case AP_KIND_YESNO:
        *(int32_t *)out = sqlite3_column_int(statement, at) ? AP_YESNO_YES : AP_YESNO_NO;
        break;
    case AP_KIND_DATE:
        if (!ap_date_from_iso(out, ap_column_text(statement, at))) {
            *(ap_date *)out = AP_DATE_NONE;
        }
        break;
    case AP_KIND_TIME:
        if (!ap_time_from_iso(out, ap_column_text(statement, at))) {
            *(ap_time *)out = AP_TIME_NONE;
        }
        break;
    }
}

void ap_pick_read_row(ap_pick *pick, ap_buf *name, sqlite3_stmt *statement) {
    ap_pick_clear(pick);
    pick->id = sqlite3_column_int64(statement, ROW_ID);
    pick->job = ap_column_text(statement, ROW_JOB);
    pick->pick = ap_column_text(statement, ROW_PICK);
    pick->tree = ap_column_text(statement, ROW_TREE);
    pick->species_id = sqlite3_column_int64(statement, ROW_SPECIES_ID);
    pick->species_common = ap_column_text(statement, ROW_COMMON);
    pick->import_id = sqlite3_column_int64(statement, ROW_IMPORT);
    pick->source_file = ap_column_text(statement, ROW_PATH);
    pick->source_line = sqlite3_column_int64(statement, ROW_LINE);
    pick->leg_count = sqlite3_column_int(statement, ROW_LEGS);
    ap_buf_clear(name);
    ap_pick_name_write(name, pick->job, ap_column_text(statement, ROW_PART), pick->pick);
    pick->name = ap_buf_str(name);
    int at = ROW_FIRST_FIELD;
    for (int field = 0; field < AP_F_COUNT; field++) {
        if (ap_pick_column_is_plain(field)) {
            read_field(pick, field, statement, at++);
        }
    }
}

void ap_pick_read_written(ap_pick *pick, sqlite3_stmt *statement) {
    ap_written_decode(pick, ap_column_text(statement, ROW_WRITTEN));
}

int ap_leg_read_row(ap_pick *pick, sqlite3_stmt *statement) {
    int leg = sqlite3_column_int(statement, AP_LEG_ROW_NO);
    if (leg < 1 || leg > AP_LEG_MAX) {
        return -1;
    }
    for (int field = 0; field < AP_LF_COUNT; field++) {
        read_field(pick, AP_F_COUNT + (leg - 1) * AP_LF_COUNT + field, statement, AP_LEG_ROW_FIRST + field);
    }
    return leg - 1;
}
