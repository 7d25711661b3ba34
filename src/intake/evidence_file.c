#include "intake/evidence_file.h"

#include <sha256.h>

#include "base/pick.h"
#include "base/sink.h"
#include "text/decimal.h"
#include "text/json_lines.h"

enum { GROUPS = 3, FOLIAGES = 4 };
#define SE_LEAST 0.001
#define SE_MOST 2.0
#define HANDBOOK_APART 0.20 /* ln: further apart the two books do not mean the same wood */

typedef enum key_number {
    K_FORMAT,
    K_VERSION,
    K_ORIGIN,
    K_KIND,
    K_SYMBOL,
    K_SCIENTIFIC,
    K_HANDBOOK,
    K_CONDITION,
    K_PIECE,
    K_FOLIAGE,
    K_GROUP,
    K_SHIFT,
    K_SE,
    K_TREES,
    K_PICKS,
    K_COUNT
} key_number;
static const char *const key_names[K_COUNT] = {"format",     "version",        "origin",    "kind",  "symbol",
                                               "scientific", "handbook_kg_m3", "condition", "piece", "foliage",
                                               "group",      "log_shift",      "se_log",    "trees", "picks"};

static const char *const kinds[] = {"", "species", "butt", "condition", "brush"};
static const char *const conditions[] = {"", "", "dead", "decayed", "hollow"}; /* ap_wood_class */
static const char *const groups[GROUPS] = {"", "hardwood", "softwood"};
enum { KINDS = sizeof kinds / sizeof kinds[0], CONDITIONS = sizeof conditions / sizeof conditions[0] };

typedef struct reading {
    ap_evidence_file *out;
    ap_arena *arena;
    ap_book *book;
    const char *path;
    int64_t line;
    ap_str cells[K_COUNT]; /* of the line; blank where it has none */
} reading;

static ap_status at_line(const reading *r, ap_error *err, const char *says) {
    return ap_error_set(err, AP_E_INPUT, "unable to take in '%s': line %lld: %s", r->path, (long long)r->line, says);
}

static ap_status bad_value(const reading *r, ap_error *err, key_number key, const char *says) {
    ap_str value = r->cells[key];
    value.len = value.len > 40 ? 40 : value.len;
    return ap_error_set(err, AP_E_INPUT, "unable to take in '%s': line %lld: %s '%.*s' %s", r->path, (long long)r->line,
                        key_names[key], AP_STR_ARG(value), says);
}

/* Plain decimals: the writer needs no exponent. */
static bool read_number(double *out, ap_str text) {
    bool minus = text.len && text.ptr[0] == '-';
    ap_str digits = {text.ptr + minus, text.len - minus};
    ap_decimal number;
    if (!digits.len || ap_decimal_scan(&number, digits, '.') != AP_DECIMAL_READ || number.len != digits.len) {
        return false;
    }
    *out = minus ? -number.value : number.value;
    return true;
}

static ap_status get_number(double *out, const reading *r, key_number key, double low, double high, ap_error *err) {
    char says[80];
    if (!read_number(out, r->cells[key])) {
        return bad_value(r, err, key, "is not a plain number");
    }
    if (!(*out >= low && *out <= high)) {
        snprintf(says, sizeof says, "must be from %g to %g", low, high);
        return bad_value(r, err, key, says);
    }
    return AP_OK;
}

static ap_status get_whole(int64_t *out, const reading *r, key_number key, double low, ap_error *err) {
    double value = 0;
    ap_status status = get_number(&value, r, key, low, 1e9, err);
    if (status == AP_OK && value != floor(value)) {
        status = bad_value(r, err, key, "is not a whole number");
    }
    *out = status == AP_OK ? (int64_t)value : 0;
    return status;
}

/* Number of a word; `blank_ok`: a blank cell is 0. */
static ap_status get_word(int *out, const reading *r, key_number key, const char *const *words, int count,
                          bool blank_ok, ap_error *err) {
    for (int i = 0; i < count; i++) {
        if (ap_str_equal_word(r->cells[key], words[i]) && (words[i][0] || (blank_ok && i == 0))) {
            *out = i;
            return AP_OK;
        }
    }
    return bad_value(r, err, key, "is not a word that belongs there");
}

static ap_status get_vocabulary(int *out, const reading *r, key_number key, ap_vocabulary vocabulary, ap_error *err) {
    *out = r->cells[key].len ? ap_word_find(vocabulary, r->cells[key]) : 0;
    return *out || !r->cells[key].len ? AP_OK : bad_value(r, err, key, "is not a word that belongs there");
}

/* The shift is against the file's handbook figure: brought over to the book's. */
static ap_status read_species(ap_evidence_item *item, const reading *r, ap_error *err) {
    const ap_species *species = NULL;
    double handbook = 0;
    ap_error unknown;
    if (ap_book_species_find(&species, r->book, r->cells[K_SYMBOL], &unknown) != AP_OK ||
        !ap_str_equal(species->symbol, r->cells[K_SYMBOL])) {
        return bad_value(r, err, K_SYMBOL, "is the symbol of no species in this book");
    }
    if (!ap_str_equal(species->scientific, r->cells[K_SCIENTIFIC])) {
        return bad_value(r, err, K_SCIENTIFIC, "is another species than its symbol");
    }
    ap_status status = get_number(&handbook, r, K_HANDBOOK, 100, 1600, err);
    if (status != AP_OK) {
        return status;
    }
    double apart = log(handbook / species->density_kg_m3);
    if (!(fabs(apart) <= HANDBOOK_APART)) {
        return bad_value(r, err, K_HANDBOOK, "is too far from this book's figure to mean the same wood");
    }
    item->species_id = species->id;
    item->log_shift += fabs(apart) < 1e-4 ? 0 : apart;
    return AP_OK;
}

static ap_status read_class(ap_evidence_item *item, const reading *r, ap_error *err) {
    int condition = 0;
    int piece = 0;
    int foliage = 0;
    int group = 0;
    ap_status status = AP_OK;
    switch (item->kind) {
    case AP_EVIDENCE_SPECIES:
        return read_species(item, r, err);
    case AP_EVIDENCE_BUTT:
        return AP_OK;
    case AP_EVIDENCE_CONDITION:
        status = get_word(&condition, r, K_CONDITION, conditions, CONDITIONS, false, err);
        item->class = (uint32_t)condition;
        return status;
    case AP_EVIDENCE_BRUSH:
        break;
    }
    status = get_vocabulary(&piece, r, K_PIECE, AP_VOC_PIECE, err);
    if (status == AP_OK) {
        status = get_vocabulary(&foliage, r, K_FOLIAGE, AP_VOC_FOLIAGE, err);
    }
    if (status == AP_OK) {
        status = get_word(&group, r, K_GROUP, groups, GROUPS, false, err);
    }
    item->class = (uint32_t)((piece * FOLIAGES + foliage) * GROUPS + group);
    return status;
}

static ap_status read_item(reading *r, ap_error *err) {
    int kind = 0;
    ap_evidence_item item = {0};
    ap_evidence_file *out = r->out;
    if (out->count == AP_EVIDENCE_ITEMS_MAX) {
        return at_line(r, err, "more than 1000 figures");
    }
    ap_status status = get_word(&kind, r, K_KIND, kinds, KINDS, false, err);
    item.kind = (ap_evidence_kind)kind;
    if (status == AP_OK) {
        status = get_number(&item.log_shift, r, K_SHIFT, -AP_EVIDENCE_SHIFT_MAX, AP_EVIDENCE_SHIFT_MAX, err);
    }
    if (status == AP_OK) {
        status = get_number(&item.se_log, r, K_SE, SE_LEAST, SE_MOST, err);
    }
    if (status == AP_OK) {
        status = get_whole(&item.trees, r, K_TREES, AP_EVIDENCE_TREES_LEAST, err);
    }
    if (status == AP_OK) {
        status = get_whole(&item.picks, r, K_PICKS, (double)item.trees, err);
    }
    if (status == AP_OK) {
        status = read_class(&item, r, err);
    }
    for (size_t i = 0; status == AP_OK && i < out->count; i++) {
        const ap_evidence_item *other = &out->items[i];
        if (other->kind == item.kind && other->species_id == item.species_id && other->class == item.class) {
            status = at_line(r, err, "the same figure stands in an earlier line");
        }
    }
    if (status == AP_OK && !(fabs(item.log_shift) <= AP_EVIDENCE_SHIFT_MAX)) {
        status = at_line(r, err, "the shift against this book's handbook figure passes 1");
    }
    if (status == AP_OK) {
        out->items[out->count++] = item;
    }
    return status;
}

bool ap_evidence_origin_is_fine(ap_str origin) {
    for (size_t i = 0; i < origin.len; i++) {
        if ((unsigned char)origin.ptr[i] < 0x20 || origin.ptr[i] == 0x7F) {
            return false;
        }
    }
    return !ap_str_is_blank(origin) && origin.len <= AP_EVIDENCE_ORIGIN_MAX && ap_utf8_is_valid(origin) &&
           ap_str_equal(ap_str_trim(origin), origin);
}

static ap_status read_head(reading *r, ap_error *err) {
    if (!ap_str_equal_word(r->cells[K_FORMAT], "afterpick-evidence")) {
        return at_line(r, err, "the first line must be the head of a file of evidence: see docs/evidence.md");
    }
    if (!ap_str_equal_word(r->cells[K_VERSION], "1")) {
        return bad_value(r, err, K_VERSION, "is not a version this program reads: it reads 1");
    }
    if (!ap_evidence_origin_is_fine(r->cells[K_ORIGIN])) {
        return at_line(r, err, "origin must name whose evidence it is, in 1 to 80 bytes");
    }
    r->out->origin = ap_arena_str(r->arena, r->cells[K_ORIGIN]);
    return AP_OK;
}

static bool belongs(key_number key, int64_t number) {
    bool head = key == K_FORMAT || key == K_VERSION || key == K_ORIGIN;
    return head == (number == 1);
}

/* Sorts a row's cells by our keys; a key that is none, or that belongs elsewhere, is a fault. */
static ap_status sort_cells(reading *r, const ap_row *row, const int *key_of, const ap_str *names, int64_t number,
                            ap_error *err) {
    for (int k = 0; k < K_COUNT; k++) {
        r->cells[k] = AP_STR_LIT("");
    }
    for (size_t c = 0; c < row->count; c++) {
        if (!row->cells[c].len) {
            continue;
        }
        if (key_of[c] < 0 || !belongs((key_number)key_of[c], number)) {
            ap_str name = names[c];
            name.len = name.len > 40 ? 40 : name.len;
            return ap_error_set(err, AP_E_INPUT, "unable to take in '%s': line %lld: '%.*s' does not belong there",
                                r->path, (long long)row->line, AP_STR_ARG(name));
        }
        r->cells[key_of[c]] = row->cells[c];
    }
    return AP_OK;
}

static int find_key(ap_str name) {
    for (int k = 0; k < K_COUNT; k++) {
        if (ap_str_equal_word(name, key_names[k])) {
            return k;
        }
    }
    return -1;
}

static ap_status read_rows(reading *r, ap_json_lines *lines, ap_error *err) {
    int key_of[AP_JSON_KEYS_MAX];
    ap_str names[AP_JSON_KEYS_MAX];
    ap_row row;
    bool more = false;
    int64_t number = 0;
    ap_status status = ap_json_lines_next(&row, &more, lines, err); /* the keys */
    size_t count = status == AP_OK ? row.count : 0;
    for (size_t c = 0; c < count; c++) {
        names[c] = ap_arena_str(r->arena, row.cells[c]);
        key_of[c] = find_key(row.cells[c]);
    }
    while (status == AP_OK && more) {
        status = ap_json_lines_next(&row, &more, lines, err);
        if (status != AP_OK || !more || (!row.trouble && ap_str_is_blank(row.raw))) {
            continue;
        }
        r->line = row.line;
        status = row.trouble ? at_line(r, err, row.trouble) : sort_cells(r, &row, key_of, names, ++number, err);
        if (status == AP_OK) {
            status = number == 1 ? read_head(r, err) : read_item(r, err);
        }
    }
    if (status == AP_OK && r->out->count == 0) {
        status = ap_error_set(err, AP_E_INPUT, "unable to take in '%s': it holds no figure", r->path);
    }
    return status;
}

ap_status ap_evidence_text_read(ap_evidence_file *out, ap_arena *arena, ap_book *book, ap_str text, const char *name,
                                ap_error *err) {
    ap_evidence_file file = {.items = ap_arena_alloc_array(arena, AP_EVIDENCE_ITEMS_MAX, sizeof *file.items)};
    reading r = {.out = &file, .arena = arena, .book = book, .path = name};
    ap_json_keys *keys = NULL;
    ap_json_lines *lines = NULL;
    ap_str first = text;
    ap_str second = text;
    ap_status status = ap_arena_check(arena, "the evidence", err);
    if (status == AP_OK) {
        status = ap_json_keys_read(&keys, ap_read_from_str, &first, err);
    }
    if (status == AP_OK && ap_json_keys_count(keys) == AP_JSON_KEYS_MAX) {
        status =
            ap_error_set(err, AP_E_INPUT, "unable to take in '%s': it has %d keys and more", name, AP_JSON_KEYS_MAX);
    }
    if (status == AP_OK) {
        status = ap_json_lines_new(&lines, ap_read_from_str, &second, keys, err);
    }
    if (status == AP_OK) {
        status = read_rows(&r, lines, err);
    }
    if (status == AP_OK) {
        status = ap_evidence_settle(&file, err);
    }
    if (status == AP_OK) {
        status = ap_arena_check(arena, "the evidence", err);
    }
    if (status == AP_OK) {
        *out = file;
    }
    ap_json_lines_free(lines);
    ap_json_keys_free(keys);
    return status;
}

ap_status ap_evidence_file_read(ap_evidence_file *out, ap_arena *arena, ap_book *book, const char *path,
                                ap_error *err) {
    ap_buf text;
    ap_buf_init(&text, AP_EVIDENCE_FILE_MAX + 1);
    ap_status status = ap_file_read(&text, path, AP_EVIDENCE_FILE_MAX, err);
    if (status == AP_OK) {
        status = ap_evidence_text_read(out, arena, book, ap_buf_str(&text), path, err);
    }
    ap_buf_release(&text);
    return status;
}

static int by_key(const void *left, const void *right) {
    const ap_evidence_item *a = left;
    const ap_evidence_item *b = right;
    if (a->kind != b->kind) {
        return a->kind < b->kind ? -1 : 1;
    }
    if (a->species_id != b->species_id) {
        return a->species_id < b->species_id ? -1 : 1;
    }
    return a->class < b->class ? -1 : a->class > b->class;
}

ap_status ap_evidence_settle(ap_evidence_file *file, ap_error *err) {
    ap_buf text;
    uint8_t digest[SHA256_DIGEST_LENGTH];
    SHA2_CTX sha;
    ap_buf_init(&text, AP_EVIDENCE_FILE_MAX);
    qsort(file->items, file->count, sizeof *file->items, by_key);
    for (size_t i = 0; i < file->count; i++) {
        ap_evidence_item *item = &file->items[i];
        item->log_shift = round(item->log_shift * 1e4) / 1e4;
        item->se_log = fmax(SE_LEAST, ceil(item->se_log * 1e4 - 1e-6) / 1e4);
        ap_buf_appendf(&text, "%d %lld %u %.4f %.4f %lld %lld\n", (int)item->kind, (long long)item->species_id,
                       (unsigned)item->class, item->log_shift + 0.0, item->se_log, (long long)item->trees,
                       (long long)item->picks);
    }
    SHA256Init(&sha);
    SHA256Update(&sha, (const uint8_t *)ap_buf_str(&text).ptr, ap_buf_str(&text).len);
    SHA256Final(digest, &sha);
    for (size_t i = 0; i < sizeof digest; i++) {
        snprintf(file->sha256 + 2 * i, 3, "%02x", digest[i]);
    }
    ap_status status = text.status == AP_OK ? AP_OK : ap_error_set(err, AP_E_MEMORY, "out of memory for the evidence");
    ap_buf_release(&text);
    return status;
}

ap_evidence_words ap_evidence_class_words(const ap_evidence_item *item) {
    ap_evidence_words words = {kinds[item->kind], "", "", "", ""};
    if (item->kind == AP_EVIDENCE_CONDITION && item->class < CONDITIONS) {
        words.condition = conditions[item->class];
    }
    if (item->kind == AP_EVIDENCE_BRUSH) {
        int piece = (int)(item->class / (FOLIAGES * GROUPS));
        int foliage = (int)(item->class / GROUPS % FOLIAGES);
        words.piece = piece ? ap_word_get(AP_VOC_PIECE, piece) : "";
        words.foliage = foliage ? ap_word_get(AP_VOC_FOLIAGE, foliage) : "";
        words.group = groups[item->class % GROUPS];
    }
    return words;
}
