/* Species are few and are asked for on every row of a log: the book reads them once and keeps them, with every written name in
 * order of its key. */
#include "book/species.h"

#include <ctype.h>

#include "book/handle.h"

enum { KEY_MAX = 96, MEMO_SLOTS = 256, MEMO_NAME_MAX = 48, SHOWN_MAX = 8, SHOWN_BYTES = 60, NEAR_MAX = 4 };

typedef struct written_name {
    ap_str key;
    ap_str name;
    const ap_species *species; /* NULL: a reading that is not in this book */
    ap_str remark;
} written_name;

typedef struct memo {
    const ap_species *species;
    uint8_t len;
    char name[MEMO_NAME_MAX];
} memo;

struct ap_species_index {
    ap_species *species; /* by id */
    size_t species_count;
    written_name *names; /* by key */
    size_t name_count;
    memo memos[MEMO_SLOTS];
};

typedef struct species_key {
    char text[KEY_MAX];
    size_t len;
} species_key;

/* Small letters and digits only; bytes above ASCII stay. False when nothing is left or it is too long to be a name. */
static bool make_key(species_key *out, ap_str name) {
    out->len = 0;
    for (size_t i = 0; i < name.len; i++) {
        unsigned char byte = (unsigned char)name.ptr[i];
        if (byte >= 'A' && byte <= 'Z') {
            byte = (unsigned char)(byte + ('a' - 'A'));
        }
        if (!((byte >= 'a' && byte <= 'z') || (byte >= '0' && byte <= '9') || byte >= 0x80u)) {
            continue;
        }
        if (out->len == KEY_MAX) {
            return false;
        }
        out->text[out->len++] = (char)byte;
    }
    return out->len > 0;
}

/* "oak, northern red" -> key of "northern red oak". */
static bool make_turned_key(species_key *out, ap_str name) {
    ap_str behind;
    ap_str front = ap_str_split(name, ',', &behind);
    species_key first;
    if (!behind.ptr || !make_key(&first, front) || !make_key(out, behind) || out->len + first.len > KEY_MAX) {
        return false;
    }
    memcpy(out->text + out->len, first.text, first.len);
    out->len += first.len;
    return true;
}

static void read_species(ap_species *out, const ap_query *query, ap_arena *arena) {
    *out = (ap_species){
        .id = ap_query_int(query, 0),
        .common = ap_arena_str(arena, ap_query_text(query, 1)),
        .scientific = ap_arena_str(arena, ap_query_text(query, 2)),
        .symbol = ap_arena_str(arena, ap_query_text(query, 3)),
        .hardwood = ap_query_int(query, 4) != 0,
        .placeholder = ap_query_int(query, 5) != 0,
        .gravity = ap_query_real(query, 6),
        .moisture_pct = ap_query_real(query, 7),
        .bark_volume_pct = ap_query_real(query, 8),
        .wood_density_kg_m3 = ap_query_real(query, 9),
        .bark_density_kg_m3 = ap_query_real(query, 10),
        .density_kg_m3 = ap_query_real(query, 11),
        .ceiling_kg_m3 = ap_query_real(query, 12),
        .heartwood_moisture_pct = ap_query_real(query, 13),
        .sapwood_moisture_pct = ap_query_real(query, 14),
        .moisture_recalled = ap_query_int(query, 15) != 0,
        .source = ap_arena_str(arena, ap_query_text(query, 16)),
    };
}

static const ap_species *by_id(const struct ap_species_index *index, int64_t id) {
    size_t low = 0;
    size_t high = index->species_count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (index->species[middle].id < id) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low < index->species_count && index->species[low].id == id ? &index->species[low] : NULL;
}

static ap_status load_species(struct ap_species_index *index, ap_book *book, ap_error *err) {
    int64_t count = 0;
    ap_query *query = NULL;
    bool row = false;
    ap_status status = ap_book_integer(&count, book, "SELECT count(*) FROM species", 0, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "species_all", err);
    }
    if (status == AP_OK) {
        index->species = ap_arena_alloc_array(&book->texts, (size_t)count + 1, sizeof(ap_species));
        status = index->species ? ap_query_step(&row, query, err) : ap_arena_check(&book->texts, "the species", err);
    }
    while (status == AP_OK && row && index->species_count < (size_t)count) {
        read_species(&index->species[index->species_count++], query, &book->texts);
        status = ap_query_step(&row, query, err);
    }
    ap_query_close(query);
    return status;
}

static ap_status load_names(struct ap_species_index *index, ap_book *book, ap_error *err) {
    int64_t count = 0;
    ap_query *query = NULL;
    bool row = false;
    ap_status status = ap_book_integer(&count, book, "SELECT count(*) FROM species_name", 0, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "species_names", err);
    }
    if (status == AP_OK) {
        index->names = ap_arena_alloc_array(&book->texts, (size_t)count + 1, sizeof(written_name));
        status = index->names ? ap_query_step(&row, query, err) : ap_arena_check(&book->texts, "the species", err);
    }
    while (status == AP_OK && row && index->name_count < (size_t)count) {
        index->names[index->name_count++] = (written_name){
            .key = ap_arena_str(&book->texts, ap_query_text(query, 0)),
            .name = ap_arena_str(&book->texts, ap_query_text(query, 1)),
            .species = by_id(index, ap_query_int(query, 2)),
            .remark = ap_arena_str(&book->texts, ap_query_text(query, 3)),
        };
        status = ap_query_step(&row, query, err);
    }
    ap_query_close(query);
    return status;
}

static ap_status load(ap_book *book, ap_error *err) {
    if (book->species) {
        return AP_OK;
    }
    struct ap_species_index *index = calloc(1, sizeof *index);
    if (!index) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory");
    }
    ap_status status = load_species(index, book, err);
    if (status == AP_OK) {
        status = load_names(index, book, err);
    }
    if (status == AP_OK) {
        status = ap_arena_check(&book->texts, "the species", err);
    }
    if (status != AP_OK) {
        free(index);
        return status;
    }
    book->species = index;
    return AP_OK;
}

void ap_book_species_release(ap_book *book) {
    free(book->species);
    book->species = NULL;
}

/* The run of names with this key. */
static size_t find_key(size_t *first, const struct ap_species_index *index, const species_key *key) {
    ap_str wanted = {key->text, key->len};
    size_t low = 0;
    size_t high = index->name_count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (ap_str_compare(index->names[middle].key, wanted) < 0) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    size_t end = low;
    while (end < index->name_count && ap_str_equal(index->names[end].key, wanted)) {
        end++;
    }
    *first = low;
    return end - low;
}

typedef struct shown_name {
    char text[SHOWN_BYTES + 4];
} shown_name;

/* A name in a message: a long one shows its first bytes, whole characters only, and that it goes on. */
static shown_name shown(ap_str name) {
    shown_name out;
    size_t len = name.len;
    if (len > SHOWN_BYTES) {
        len = SHOWN_BYTES;
        while (len > 0 && ((unsigned char)name.ptr[len] & 0xC0u) == 0x80u) {
            len--;
        }
    }
    snprintf(out.text, sizeof out.text, "%.*s%s", (int)len, name.ptr ? name.ptr : "", len < name.len ? "..." : "");
    return out;
}

/* Of a name that gives no key: whether it has letters at all. */
static bool too_long(ap_str name) {
    species_key key;
    for (size_t i = 0; i < name.len; i++) {
        if (make_key(&key, (ap_str){name.ptr + i, 1})) {
            return true;
        }
    }
    return false;
}

/* To write one down that gives no key. */
static ap_status refuse_name(ap_str name, ap_error *err) {
    return too_long(name)
               ? ap_error_set(err, AP_E_INPUT, "'%s' is too long for a name: %d letters and digits at most",
                              shown(name).text, KEY_MAX)
               : ap_error_set(err, AP_E_INPUT, "'%s' is no name: write letters, %d at most", shown(name).text, KEY_MAX);
}

static ap_status ambiguous(ap_str name, const written_name *readings, size_t count, ap_error *err) {
    ap_buf text;
    ap_buf_init(&text, AP_ERROR_TEXT_MAX);
    for (size_t i = 0; i < count && i < SHOWN_MAX; i++) {
        ap_str reading = readings[i].species ? readings[i].species->common : readings[i].remark;
        ap_buf_append_cstr(&text, i == 0 ? "" : i + 1 == count ? " or " : ", ");
        ap_buf_append_str(&text, reading);
    }
    if (count > SHOWN_MAX) {
        ap_buf_appendf(&text, " and %zu more", count - SHOWN_MAX);
    }
    ap_status status = ap_error_set(err, AP_E_AMBIGUOUS, "species '%s' may be %.*s: write the one that is meant",
                                    shown(name).text, AP_STR_ARG(ap_buf_str(&text)));
    ap_buf_release(&text);
    return status;
}

typedef struct near_name {
    const ap_species *species;
    unsigned distance;
} near_name;

/* Keeps the nearest few species, each once. */
static void keep_near(near_name *near, const ap_species *species, unsigned distance) {
    size_t at = 0;
    for (; at < NEAR_MAX && near[at].species && near[at].species != species; at++) {
    }
    if (at < NEAR_MAX && near[at].species) {
        if (distance >= near[at].distance) {
            return;
        }
    } else {
        at = at == NEAR_MAX ? NEAR_MAX - 1 : at;
        if (near[at].species && distance >= near[at].distance) {
            return;
        }
    }
    near[at] = (near_name){species, distance};
    for (; at > 0 && near[at].distance < near[at - 1].distance; at--) {
        near_name swap = near[at];
        near[at] = near[at - 1];
        near[at - 1] = swap;
    }
}

static ap_str next_word(ap_str *rest) {
    while (rest->len && !isalpha((unsigned char)*rest->ptr)) {
        *rest = (ap_str){rest->ptr + 1, rest->len - 1};
    }
    size_t len = 0;
    while (len < rest->len && isalpha((unsigned char)rest->ptr[len])) {
        len++;
    }
    const ap_str word = {rest->ptr, len};
    *rest = (ap_str){rest->ptr + len, rest->len - len};
    return word;
}

/* "w. oak" for white oak: the last word in full, each before it a beginning. */
static bool shortens(ap_str name, ap_str common) {
    bool shorter = false;
    for (;;) {
        const ap_str word = next_word(&name);
        const ap_str whole = next_word(&common);
        if (word.len == 0 || word.len > whole.len || !ap_str_equal_nocase(word, (ap_str){whole.ptr, word.len})) {
            return false;
        }
        shorter = shorter || word.len < whole.len;
        if (name.len == 0 || common.len == 0) {
            return shorter && word.len == whole.len && name.len == common.len;
        }
    }
}

static void find_near(near_name near[NEAR_MAX], const struct ap_species_index *index, const species_key *key,
                      ap_str name) {
    unsigned most = key->len < 6 ? 1 : key->len < 10 ? 2 : 3;
    for (size_t i = 0; i < index->name_count; i++) {
        const ap_species *species = index->names[i].species;
        unsigned distance = !species ? most + 1
                            : shortens(name, species->common)
                                ? 0
                                : ap_str_distance((ap_str){key->text, key->len}, index->names[i].key, most);
        if (distance <= most) {
            keep_near(near, species, distance);
        }
    }
}

static ap_status unknown(const struct ap_species_index *index, ap_str name, const species_key *key, ap_error *err) {
    near_name near[NEAR_MAX] = {{NULL, 0}};
    find_near(near, index, key, name);
    if (!near[0].species) {
        return ap_error_set(err, AP_E_NOT_FOUND, "species '%s' is not known: 'afterpick species' lists all",
                            shown(name).text);
    }
    ap_buf text;
    ap_buf_init(&text, AP_ERROR_TEXT_MAX);
    for (size_t i = 0; i < NEAR_MAX && near[i].species; i++) {
        ap_buf_appendf(&text, "%s'%.*s'", i > 0 ? ", " : "", AP_STR_ARG(near[i].species->common));
    }
    ap_status status = ap_error_set(err, AP_E_NOT_FOUND, "species '%s' is not known: near names are %.*s",
                                    shown(name).text, AP_STR_ARG(ap_buf_str(&text)));
    ap_buf_release(&text);
    return status;
}

static ap_status look_up(const ap_species **out, const struct ap_species_index *index, ap_str name, ap_error *err) {
    species_key key;
    species_key turned;
    size_t first = 0;
    if (!make_key(&key, name)) {
        return too_long(name) ? ap_error_set(err, AP_E_NOT_FOUND,
                                             "species '%s' is too long for a name: %d letters and digits at most",
                                             shown(name).text, KEY_MAX)
                              : ap_error_set(err, AP_E_NOT_FOUND, "species '%s' is not a name", shown(name).text);
    }
    size_t count = find_key(&first, index, &key);
    if (count == 0 && make_turned_key(&turned, name)) {
        count = find_key(&first, index, &turned);
    }
    if (count == 0) {
        return unknown(index, name, &key, err);
    }
    if (count > 1 || !index->names[first].species) {
        return ambiguous(name, index->names + first, count, err);
    }
    *out = index->names[first].species;
    return AP_OK;
}

ap_status ap_book_species_find(const ap_species **out, ap_book *book, ap_str name, ap_error *err) {
    ap_status status = load(book, err);
    if (status != AP_OK) {
        return status;
    }
    memo *slot = &book->species->memos[ap_str_hash(name) % MEMO_SLOTS];
    if (slot->species && slot->len == name.len && memcmp(slot->name, name.ptr, name.len) == 0) {
        *out = slot->species;
        return AP_OK;
    }
    status = look_up(out, book->species, name, err);
    if (status == AP_OK && name.len <= MEMO_NAME_MAX) {
        slot->species = *out;
        slot->len = (uint8_t)name.len;
        memcpy(slot->name, name.ptr, name.len);
    }
    return status;
}

bool ap_book_species_is_name(ap_book *book, ap_str name) {
    species_key key;
    size_t first = 0;
    return load(book, NULL) == AP_OK && make_key(&key, name) && find_key(&first, book->species, &key) > 0;
}

ap_status ap_book_species_near(const ap_species **out, ap_book *book, ap_str name, ap_error *err) {
    species_key key;
    near_name near[NEAR_MAX] = {{NULL, 0}};
    *out = NULL;
    ap_status status = load(book, err);
    if (status == AP_OK && make_key(&key, name)) {
        find_near(near, book->species, &key, name);
        bool alone = near[0].species && (!near[1].species || near[0].distance < near[1].distance);
        *out = alone ? near[0].species : NULL;
    }
    return status;
}

ap_status ap_book_species_get(const ap_species **out, ap_book *book, int64_t id, ap_error *err) {
    ap_status status = load(book, err);
    if (status != AP_OK) {
        return status;
    }
    const ap_species *species = by_id(book->species, id);
    if (!species) {
        return ap_error_set(err, AP_E_NOT_FOUND, "no species with the code %lld", (long long)id);
    }
    *out = species;
    return AP_OK;
}

ap_status ap_book_each_species(ap_book *book, ap_species_fn each, void *context, ap_error *err) {
    ap_status status = load(book, err);
    for (size_t i = 0; status == AP_OK && i < book->species->species_count; i++) {
        status = each(context, &book->species->species[i], err);
    }
    return status;
}

ap_status ap_book_species_aliases(ap_buf *out, ap_book *book, int64_t id, ap_error *err) {
    ap_status status = load(book, err);
    for (size_t i = 0; status == AP_OK && i < book->species->name_count; i++) {
        const written_name *name = &book->species->names[i];
        /* A key with several readings is a question, not a name of this species. */
        bool shared = (i > 0 && ap_str_equal(name->key, name[-1].key)) ||
                      (i + 1 < book->species->name_count && ap_str_equal(name->key, name[1].key));
        bool own =
            !shared && name->species && name->species->id == id && !ap_str_equal(name->name, name->species->common) &&
            !ap_str_equal(name->name, name->species->scientific) && !ap_str_equal(name->name, name->species->symbol);
        if (own) {
            ap_buf_append_cstr(out, out->len ? ", " : "");
            ap_buf_append_str(out, name->name);
        }
    }
    return status == AP_OK ? ap_buf_check(out, "the names of a species", err) : status;
}

ap_status ap_book_species_teach(ap_book *book, ap_str name, const ap_species *species, ap_str why,
                                const ap_book_author *author, ap_error *err) {
    species_key key;
    if (!make_key(&key, name)) {
        return refuse_name(name, err);
    }
    const ap_species *means = NULL;
    ap_error already;
    ap_status found = ap_book_species_find(&means, book, name, &already);
    if (found == AP_OK && means && means->id == species->id) {
        return AP_OK;
    }
    if (found == AP_OK || found == AP_E_AMBIGUOUS) {
        return ap_error_set(err, AP_E_AMBIGUOUS, "'%s' means %.*s already; choose a name of its own", shown(name).text,
                            AP_STR_ARG(found == AP_OK && means ? means->common : AP_STR_LIT("more than one species")));
    }
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "species_teach", err);
    if (status != AP_OK) {
        return status;
    }
    ap_buf remark;
    ap_buf_init(&remark, 4096);
    char today[AP_ISO_SIZE];
    ap_date_to_iso(today, author->today);
    ap_buf_appendf(&remark, "taught on %s by '%.*s': %.*s", today, AP_STR_ARG(author->role), AP_STR_ARG(why));
    ap_query_bind_text(query, ":key", (ap_str){key.text, key.len});
    ap_query_bind_text(query, ":name", name);
    ap_query_bind_int(query, ":species_id", species->id);
    ap_query_bind_text(query, ":remark", ap_buf_str(&remark));
    status = ap_query_run(query, err);
    ap_query_close(query);
    ap_buf_release(&remark);
    ap_book_species_release(book); /* read again when next asked for: `species` lives in the book's texts until then */
    return status;
}

/* A name that is free: nothing is found by it, and it can be a key. */
static ap_status check_free(ap_book *book, ap_str name, ap_error *err) {
    species_key key;
    const ap_species *means = NULL;
    ap_error already;
    if (!make_key(&key, name)) {
        return refuse_name(name, err);
    }
    ap_status found = ap_book_species_find(&means, book, name, &already);
    if (found == AP_E_NOT_FOUND) {
        return AP_OK;
    }
    return found == AP_OK || found == AP_E_AMBIGUOUS
               ? ap_error_set(err, AP_E_AMBIGUOUS, "'%s' means %.*s already; choose a name of its own",
                              shown(name).text,
                              AP_STR_ARG(found == AP_OK && means ? means->common : AP_STR_LIT("more than one species")))
               : ap_error_set(err, found, "%s", already.text);
}

ap_status ap_book_species_add(ap_book *book, const ap_species *given, ap_str why, const ap_book_author *author,
                              ap_error *err) {
    const ap_species *added = NULL;
    ap_query *query = NULL;
    ap_status status = check_free(book, given->common, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "species_add", err);
    }
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":first", AP_SPECIES_OWN_FIRST);
    ap_query_bind_text(query, ":common", given->common);
    ap_query_bind_text(query, ":scientific", given->scientific.ptr ? given->scientific : given->common);
    ap_query_bind_int(query, ":hardwood", given->hardwood);
    ap_query_bind_real(query, ":gravity", given->gravity);
    ap_query_bind_real(query, ":moisture", given->moisture_pct);
    ap_query_bind_real(query, ":density", given->density_kg_m3);
    ap_query_bind_real(query, ":ceiling", given->ceiling_kg_m3);
    ap_query_bind_text(query, ":source", given->source);
    status = ap_query_run(query, err);
    int64_t id = ap_book_last_row(book);
    ap_query_close(query);
    ap_book_species_release(book);
    if (status == AP_OK) {
        status = ap_book_species_get(&added, book, id, err);
    }
    return status == AP_OK ? ap_book_species_teach(book, given->common, added, why, author, err) : status;
}
