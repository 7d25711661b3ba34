#include "book/pick_sort.h"

#include "base/grow.h"
#include "book/pick_reader.h"

enum { TEXTS_MAX = 1 << 30, NO_TIME = -1, HEAD = 2 * sizeof(uint16_t) };
enum { AT_ID, AT_JOB, AT_FILE, AT_LINE, AT_DATE, AT_TIME, AT_PART, AT_ORDER };

typedef struct order_key {
    int64_t id;
    int64_t file;
    int64_t line;
    int32_t date; /* 20261005: compares as its text does */
    int32_t time; /* 730 */
    uint32_t job; /* rank of its name */
    uint32_t text;
} order_key;

typedef struct job_rank {
    int64_t id;
    uint32_t rank;
} job_rank;

typedef struct pick_sorter {
    order_key *keys;
    size_t count;
    size_t room;
    job_rank *jobs; /* by id */
    size_t job_count;
    const job_rank *job; /* the last one found: picks of a job stand together */
    ap_buf texts;        /* length of part, length of pick_order, both */
    uint32_t *order;
    uint32_t *spare;
    bool days_only; /* compare by date and job alone */
    bool blank_time;
    bool unsure;
} pick_sorter;

/* Digits where `form` has a 0, the same character elsewhere. */
static bool read_digits(int32_t *out, ap_str text, const char *form) {
    size_t len = strlen(form);
    *out = 0;
    if (text.len != len) {
        return false;
    }
    for (size_t i = 0; i < len; i++) {
        bool digit = text.ptr[i] >= '0' && text.ptr[i] <= '9';
        if (form[i] == '0' ? !digit : text.ptr[i] != form[i]) {
            return false;
        }
        *out = digit ? *out * 10 + (text.ptr[i] - '0') : *out;
    }
    return true;
}

static int by_job_id(const void *left, const void *right) {
    const job_rank *a = left;
    const job_rank *b = right;
    return (a->id > b->id) - (a->id < b->id);
}

static ap_status read_jobs(pick_sorter *sorter, ap_book *book, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    size_t room = 0;
    ap_status status = ap_query_open(&query, book, "job_ids", err);
    if (status == AP_OK) {
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row) {
        if (sorter->job_count == room) {
            job_rank *jobs = ap_grown(sorter->jobs, &room, 1024, sizeof *jobs);
            if (!jobs) {
                status = ap_error_set(err, AP_E_MEMORY, "out of memory at %zu jobs", sorter->job_count);
                break;
            }
            sorter->jobs = jobs;
        }
        sorter->jobs[sorter->job_count] = (job_rank){ap_query_int(query, 0), (uint32_t)sorter->job_count};
        sorter->job_count++;
        status = ap_query_step(&row, query, err);
    }
    ap_query_close(query);
    if (status == AP_OK && sorter->job_count > 0) {
        qsort(sorter->jobs, sorter->job_count, sizeof *sorter->jobs, by_job_id);
    }
    return status;
}

static bool rank_of(uint32_t *rank, pick_sorter *sorter, int64_t job) {
    if (!sorter->job || sorter->job->id != job) {
        const job_rank want = {job, 0};
        sorter->job =
            sorter->job_count ? bsearch(&want, sorter->jobs, sorter->job_count, sizeof want, by_job_id) : NULL;
    }
    *rank = sorter->job ? sorter->job->rank : 0;
    return sorter->job != NULL;
}

static bool keep_texts(pick_sorter *sorter, ap_str part, ap_str order) {
    bool plain = part.len <= UINT16_MAX && order.len <= UINT16_MAX && (part.len == 0 || !memchr(part.ptr, 0, part.len));
    if (plain) {
        const uint16_t head[2] = {(uint16_t)part.len, (uint16_t)order.len};
        ap_buf_append(&sorter->texts, head, HEAD);
        ap_buf_append_str(&sorter->texts, part);
        ap_buf_append_str(&sorter->texts, order);
    }
    return plain;
}

static ap_status take_row(pick_sorter *sorter, const ap_query *row, ap_error *err) {
    if (sorter->count == sorter->room) {
        order_key *keys = ap_grown(sorter->keys, &sorter->room, 1024, sizeof *keys);
        if (!keys) {
            return ap_error_set(err, AP_E_MEMORY, "out of memory at %zu picks", sorter->count);
        }
        sorter->keys = keys;
    }
    order_key *key = &sorter->keys[sorter->count++];
    *key = (order_key){.id = ap_query_int(row, AT_ID), .file = ap_query_int(row, AT_FILE)};
    key->line = ap_query_int(row, AT_LINE);
    key->text = (uint32_t)sorter->texts.len;
    ap_str time = ap_query_text(row, AT_TIME);
    bool sure = read_digits(&key->date, ap_query_text(row, AT_DATE), "0000-00-00");
    sure = (!time.ptr || read_digits(&key->time, time, "00:00")) && sure;
    sure = rank_of(&key->job, sorter, ap_query_int(row, AT_JOB)) && sure;
    sure = keep_texts(sorter, ap_query_text(row, AT_PART), ap_query_text(row, AT_ORDER)) && sure;
    key->time = time.ptr ? key->time : NO_TIME;
    sorter->blank_time |= !time.ptr;
    sorter->unsure |= !sure || sorter->count == UINT32_MAX;
    return ap_buf_check(&sorter->texts, "the order of picks", err);
}

static ap_str text_at(const pick_sorter *sorter, uint32_t at, ap_str *order) {
    uint16_t head[2];
    const char *text = sorter->texts.ptr + at;
    memcpy(head, text, HEAD);
    *order = (ap_str){text + HEAD + head[0], head[1]};
    return (ap_str){text + HEAD, head[0]};
}

static int compare_names(const pick_sorter *sorter, const order_key *a, const order_key *b) {
    ap_str order_a;
    ap_str order_b;
    ap_str part_a = text_at(sorter, a->text, &order_a);
    ap_str part_b = text_at(sorter, b->text, &order_b);
    int parts = ap_str_compare_nocase(part_a, part_b);
    if (parts != 0) {
        return parts;
    }
    size_t both = order_a.len < order_b.len ? order_a.len : order_b.len;
    int orders = memcmp(order_a.ptr, order_b.ptr, both);
    return orders != 0 ? orders : (order_a.len > order_b.len) - (order_a.len < order_b.len);
}

static int compare(const pick_sorter *sorter, uint32_t left, uint32_t right) {
    const order_key *a = &sorter->keys[left];
    const order_key *b = &sorter->keys[right];
    if (a->date != b->date) {
        return a->date < b->date ? -1 : 1;
    }
    if (a->time != b->time && !sorter->days_only) {
        return a->time < b->time ? -1 : 1;
    }
    if (a->job != b->job || sorter->days_only) {
        return (a->job > b->job) - (a->job < b->job);
    }
    int names = compare_names(sorter, a, b);
    if (names != 0) {
        return names;
    }
    return a->file != b->file ? (a->file > b->file) - (a->file < b->file) : (a->line > b->line) - (a->line < b->line);
}

/* Runs of `width` in order become runs of twice that; two that follow each other already cost one comparison. */
static void merge_runs(const pick_sorter *sorter, uint32_t *order, uint32_t *spare, size_t width) {
    for (size_t low = 0; low + width < sorter->count; low += 2 * width) {
        size_t middle = low + width;
        size_t high = middle + width < sorter->count ? middle + width : sorter->count;
        if (compare(sorter, order[middle - 1], order[middle]) <= 0) {
            continue;
        }
        memcpy(spare, order + low, (middle - low) * sizeof *spare);
        size_t left = 0;
        size_t right = middle;
        for (size_t to = low; left < middle - low; to++) {
            bool take_right = right < high && compare(sorter, spare[left], order[right]) > 0;
            order[to] = take_right ? order[right++] : spare[left++];
        }
    }
}

static void sort(pick_sorter *sorter, bool days_only) {
    sorter->days_only = days_only;
    for (size_t width = 1; width < sorter->count; width *= 2) {
        merge_runs(sorter, sorter->order, sorter->spare, width);
    }
}

/* The clock counts only where every pick of that job and day has a time. */
static void blank_times(pick_sorter *sorter) {
    sort(sorter, true);
    for (size_t from = 0; from < sorter->count;) {
        size_t to = from;
        bool blank = false;
        for (; to < sorter->count && compare(sorter, sorter->order[from], sorter->order[to]) == 0; to++) {
            blank |= sorter->keys[sorter->order[to]].time == NO_TIME;
        }
        for (; from < to; from++) {
            order_key *key = &sorter->keys[sorter->order[from]];
            key->time = blank ? NO_TIME : key->time;
        }
    }
}

static ap_status settle(ap_pick_sorted *out, pick_sorter *sorter, ap_error *err) {
    sorter->order = calloc(sorter->count + 1, sizeof *sorter->order);
    sorter->spare = calloc(sorter->count + 1, sizeof *sorter->spare);
    out->ids = calloc(sorter->count + 1, sizeof *out->ids);
    if (!sorter->order || !sorter->spare || !out->ids) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the order of %zu picks", sorter->count);
    }
    for (size_t i = 0; i < sorter->count; i++) {
        sorter->order[i] = (uint32_t)i;
    }
    if (sorter->blank_time) {
        blank_times(sorter);
    }
    sort(sorter, false);
    for (size_t i = 0; i < sorter->count; i++) {
        out->ids[i] = sorter->keys[sorter->order[i]].id;
    }
    out->count = sorter->count;
    return AP_OK;
}

static ap_status sort_in_memory(ap_pick_sorted *out, bool *unsure, ap_book *book, const ap_pick_filter *filter,
                                ap_error *err) {
    pick_sorter sorter = {.unsure = false};
    ap_query *query = NULL;
    bool row = false;
    ap_buf_init(&sorter.texts, TEXTS_MAX);
    ap_status status = read_jobs(&sorter, book, err);
    if (status == AP_OK) {
        status = ap_query_open(&query, book, "pick_keys", err);
    }
    if (status == AP_OK) {
        ap_query_bind_date(query, ":since", filter ? filter->since : AP_DATE_NONE);
        ap_query_bind_date(query, ":until", filter ? filter->until : AP_DATE_NONE);
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row && !sorter.unsure) {
        status = take_row(&sorter, query, err);
        if (status == AP_OK) {
            status = ap_query_step(&row, query, err);
        }
    }
    ap_query_close(query);
    *unsure = sorter.unsure;
    if (status == AP_OK && !sorter.unsure) {
        status = settle(out, &sorter, err);
    }
    ap_buf_release(&sorter.texts);
    free(sorter.keys);
    free(sorter.jobs);
    free(sorter.order);
    free(sorter.spare);
    return status;
}

static ap_status sort_in_sql(ap_pick_sorted *out, ap_book *book, const ap_pick_filter *filter, ap_error *err) {
    ap_query *query = NULL;
    bool row = false;
    size_t room = 0;
    ap_status status = ap_pick_order_open(&query, book, filter, err);
    if (status == AP_OK) {
        status = ap_query_step(&row, query, err);
    }
    while (status == AP_OK && row) {
        if (out->count == room) {
            int64_t *ids = ap_grown(out->ids, &room, 1024, sizeof *ids);
            if (!ids) {
                status = ap_error_set(err, AP_E_MEMORY, "out of memory for the order of %zu picks", out->count);
                break;
            }
            out->ids = ids;
        }
        out->ids[out->count++] = ap_query_int(query, 0);
        status = ap_query_step(&row, query, err);
    }
    ap_query_close(query);
    return status;
}

ap_status ap_pick_sort(ap_pick_sorted *out, ap_book *book, const ap_pick_filter *filter, ap_error *err) {
    *out = (ap_pick_sorted){0};
    bool unsure = filter && (filter->job.ptr || filter->import_id);
    ap_status status = unsure ? AP_OK : sort_in_memory(out, &unsure, book, filter, err);
    return status == AP_OK && unsure ? sort_in_sql(out, book, filter, err) : status;
}

void ap_pick_sorted_release(ap_pick_sorted *sorted) {
    free(sorted->ids);
    *sorted = (ap_pick_sorted){0};
}
