/* One pick by the name a person writes: exact, else by the end of the name, else near names. */
#include "book/pick_reader.h"
#include "book/picks.h"

enum { CANDIDATES_MAX = 8, NEAR_MAX = 3, NAME_MAX_BYTES = 512 };

typedef struct candidates {
    int64_t ids[CANDIDATES_MAX];
    size_t count;
    bool more;
    ap_buf names; /* "J231/2026-10-05/17, J231/2026-10-06/17" */
} candidates;

static void add_candidate(candidates *found, int64_t id) {
    for (size_t i = 0; i < found->count; i++) {
        if (found->ids[i] == id) {
            return;
        }
    }
    if (found->count < CANDIDATES_MAX) {
        found->ids[found->count++] = id;
    } else {
        found->more = true;
    }
}

static ap_status try_exact(candidates *found, ap_query *query, ap_str job, ap_str part, ap_str pick, ap_error *err) {
    bool row = false;
    ap_query_bind_text(query, ":job", job);
    ap_query_bind_text(query, ":part", part);
    ap_query_bind_text(query, ":pick", pick);
    ap_status status = ap_query_step(&row, query, err);
    if (status == AP_OK && row) {
        add_candidate(found, ap_query_int(query, 0));
    }
    return status == AP_OK ? ap_query_reset(query, err) : status;
}

/* A job or a pick may hold a '/' itself: every way to cut the name is tried. */
static ap_status find_exact(candidates *found, ap_book *book, ap_str name, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "pick_by_name", err);
    for (size_t i = 1; i < name.len && status == AP_OK; i++) {
        if (name.ptr[i] != '/') {
            continue;
        }
        ap_str job = {name.ptr, i};
        ap_str rest = {name.ptr + i + 1, name.len - i - 1};
        status = try_exact(found, query, job, AP_STR_LIT(""), rest, err);
        for (size_t j = 1; j < rest.len && status == AP_OK; j++) {
            if (rest.ptr[j] == '/') {
                status = try_exact(found, query, job, (ap_str){rest.ptr, j},
                                   (ap_str){rest.ptr + j + 1, rest.len - j - 1}, err);
            }
        }
    }
    ap_query_close(query);
    return status;
}

/* "17" in any job; "J231/17" where the log restarts its numbers. */
static ap_status find_by_end(candidates *found, ap_book *book, ap_str name, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    ap_str pick;
    ap_str job = ap_str_split(name, '/', &pick);
    bool whole = !pick.ptr;
    ap_status status = ap_query_open(&query, book, "pick_by_last_part", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_text(query, ":job", whole ? AP_STR_NONE : job);
    ap_query_bind_text(query, ":pick", whole ? name : pick);
    status = ap_query_step(&row, query, err);
    while (status == AP_OK && row) {
        if (found->count > 0 && !found->more) {
            ap_buf_append_cstr(&found->names, ", ");
        }
        add_candidate(found, ap_query_int(query, 0));
        if (!found->more) {
            ap_pick_name_write(&found->names, ap_query_text(query, 1), ap_query_text(query, 2),
                               ap_query_text(query, 3));
        }
        status = ap_query_step(&row, query, err);
    }
    ap_query_close(query);
    return status;
}

typedef struct near_picks {
    char names[NEAR_MAX][NAME_MAX_BYTES];
    unsigned distance[NEAR_MAX];
    size_t count;
} near_picks;

static void keep_near(near_picks *near, ap_str name, unsigned distance) {
    if (name.len >= NAME_MAX_BYTES) {
        return;
    }
    size_t at = near->count < NEAR_MAX ? near->count++ : NEAR_MAX - 1;
    if (at == NEAR_MAX - 1 && near->names[at][0] != '\0' && distance >= near->distance[at]) {
        return;
    }
    for (; at > 0 && distance < near->distance[at - 1]; at--) {
        memcpy(near->names[at], near->names[at - 1], NAME_MAX_BYTES);
        near->distance[at] = near->distance[at - 1];
    }
    memcpy(near->names[at], name.ptr, name.len);
    near->names[at][name.len] = '\0';
    near->distance[at] = distance;
}

static ap_status near_in_job(near_picks *near, ap_book *book, ap_str job, ap_str name, unsigned most, ap_error *err) {
    ap_query *query = NULL;
    ap_buf candidate;
    bool row = false;
    ap_status status = ap_query_open(&query, book, "pick_names_of_job", err);
    if (status != AP_OK) {
        return status;
    }
    ap_buf_init(&candidate, 1 << 16);
    ap_query_bind_text(query, ":job", job);
    status = ap_query_step(&row, query, err);
    while (status == AP_OK && row) {
        ap_buf_clear(&candidate);
        ap_pick_name_write(&candidate, job, ap_query_text(query, 0), ap_query_text(query, 1));
        unsigned distance = ap_str_distance(name, ap_buf_str(&candidate), most);
        if (distance <= most) {
            keep_near(near, ap_buf_str(&candidate), distance);
        }
        status = ap_query_step(&row, query, err);
    }
    ap_buf_release(&candidate);
    ap_query_close(query);
    return status;
}

static ap_status find_near(near_picks *near, ap_book *book, ap_str name, ap_error *err) {
    enum { MOST = 2 };
    ap_query *query = NULL;
    bool row = false;
    ap_str rest;
    ap_str written_job = ap_str_split(name, '/', &rest);
    ap_status status = ap_query_open(&query, book, "job_names", err);
    if (status == AP_OK) {
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row && rest.ptr) {
        ap_str job = ap_query_text(query, 0);
        if (ap_str_distance(job, written_job, MOST) <= MOST) {
            status = near_in_job(near, book, job, name, MOST, err);
        }
        if (status == AP_OK) {
            status = ap_query_step(&row, query, err);
        }
    }
    ap_query_close(query);
    return status;
}

static ap_status not_found(ap_book *book, ap_str name, ap_error *err) {
    near_picks near = {.count = 0};
    ap_status status = find_near(&near, book, name, err);
    if (status != AP_OK) {
        return status;
    }
    if (near.count == 0) {
        return ap_error_set(err, AP_E_NOT_FOUND, "no pick '%.*s' in '%s'", AP_STR_ARG(name), ap_book_path(book));
    }
    ap_buf text;
    ap_buf_init(&text, AP_ERROR_TEXT_MAX);
    for (size_t i = 0; i < near.count; i++) {
        ap_buf_appendf(&text, "%s'%s'", i > 0 ? ", " : "", near.names[i]);
    }
    status = ap_error_set(err, AP_E_NOT_FOUND, "no pick '%.*s': near names are %.*s", AP_STR_ARG(name),
                          AP_STR_ARG(ap_buf_str(&text)));
    ap_buf_release(&text);
    return status;
}

static void copy_texts(ap_pick *pick, ap_arena *arena) {
    for (int column = 0; column < AP_COLUMN_COUNT; column++) {
        if (ap_field_get(column)->kind == AP_KIND_TEXT) {
            ap_str *text = ap_pick_at(pick, column);
            *text = ap_arena_str(arena, *text);
        }
    }
    pick->name = ap_arena_str(arena, pick->name);
    pick->species_common = ap_arena_str(arena, pick->species_common);
    pick->source_file = ap_arena_str(arena, pick->source_file);
}

static ap_status read_copy(ap_pick *out, ap_arena *arena, ap_book *book, int64_t id, ap_error *err) {
    ap_pick_reader reader;
    ap_pick pick;
    ap_status status = ap_pick_reader_open(&reader, book, err);
    if (status == AP_OK) {
        status = ap_pick_reader_get(&pick, &reader, id, err);
    }
    if (status == AP_OK) {
        copy_texts(&pick, arena);
        status = ap_arena_check(arena, "a pick", err);
    }
    if (status == AP_OK) {
        *out = pick;
    }
    ap_pick_reader_close(&reader);
    return status;
}

static ap_status settle(candidates *found, ap_book *book, ap_str name, ap_error *err) {
    ap_status status = find_exact(found, book, name, err);
    if (status == AP_OK && found->count == 0) {
        status = find_by_end(found, book, name, err);
    }
    if (status != AP_OK) {
        return status;
    }
    if (found->count == 0) {
        return not_found(book, name, err);
    }
    if (found->count > 1) {
        bool listed = found->names.len > 0;
        return ap_error_set(err, AP_E_AMBIGUOUS, "pick '%.*s' may be %.*s%s: write the whole name", AP_STR_ARG(name),
                            AP_STR_ARG(listed ? ap_buf_str(&found->names) : AP_STR_LIT("read in several ways")),
                            found->more ? " and others" : "");
    }
    return AP_OK;
}

ap_status ap_book_get_pick(ap_pick *out, ap_arena *arena, ap_book *book, ap_str name, ap_error *err) {
    candidates found = {.count = 0};
    ap_str trimmed = ap_str_trim(name);
    if (trimmed.len == 0 || trimmed.len >= NAME_MAX_BYTES) {
        return ap_error_set(err, AP_E_NOT_FOUND, "'%.*s' is not the name of a pick",
                            (int)(trimmed.len < 60 ? trimmed.len : 60), trimmed.len > 0 ? trimmed.ptr : "");
    }
    ap_buf_init(&found.names, AP_ERROR_TEXT_MAX / 2);
    ap_status status = settle(&found, book, trimmed, err);
    if (status == AP_OK) {
        status = read_copy(out, arena, book, found.ids[0], err);
    }
    ap_buf_release(&found.names);
    return status;
}
