#include "analysis/keep_order.h"

#include "base/grow.h"

enum {
    DATE_FIRST = -25567,
    DATE_BIT = 44,
    TIME_BIT = 33,
    TIME_MOST = 2000,
    PICKS_MOST = 4 << 20,
    NAME_BYTES = 1 << 20
};

static uint64_t key_of(const ap_pick *pick, uint32_t job) {
    return (uint64_t)(pick->date - DATE_FIRST) << DATE_BIT | (uint64_t)(pick->time + 1) << TIME_BIT |
           (uint64_t)job << 1;
}

/* The pick before it has the same day, time and job, and a number that is not behind its own. */
static bool goes_on(ap_keep_order *order, const ap_pick *pick, uint64_t key) {
    if (order->count == 0 || order->keys[order->count - 1] >> 1 != key >> 1) {
        return false;
    }
    ap_buf_clear(&order->orders[0]);
    ap_buf_clear(&order->orders[1]);
    ap_natural_key(&order->orders[0], ap_buf_str(&order->before));
    ap_natural_key(&order->orders[1], pick->pick);
    return ap_str_compare(ap_buf_str(&order->orders[0]), ap_buf_str(&order->orders[1])) <= 0;
}

bool ap_keep_order_add(ap_keep_order *order, const ap_pick *pick, uint32_t job) {
    if (order->count == order->room) {
        uint64_t *grown = order->count < PICKS_MOST ? ap_grown(order->keys, &order->room, 4096, sizeof *grown) : NULL;
        if (!grown) {
            return false;
        }
        order->keys = grown;
    }
    if (order->count == 0) {
        order->first = pick->date;
        ap_buf_init(&order->before, NAME_BYTES);
        ap_buf_init(&order->orders[0], NAME_BYTES);
        ap_buf_init(&order->orders[1], NAME_BYTES);
    }
    bool timed = pick->time != AP_TIME_NONE;
    order->first = pick->date < order->first ? pick->date : order->first;
    order->timed = order->timed || timed;
    order->blank = order->blank || !timed;
    order->unsure = order->unsure || pick->date < DATE_FIRST || pick->time < AP_TIME_NONE || pick->time > TIME_MOST ||
                    pick->name.len != pick->job.len + 1 + pick->pick.len;
    uint64_t key = order->unsure ? 0 : key_of(pick, job);
    bool begins = !goes_on(order, pick, key);
    order->keys[order->count++] = key | begins;
    ap_buf_clear(&order->before);
    ap_buf_append_str(&order->before, pick->pick);
    return order->before.status == AP_OK && order->orders[0].status == AP_OK && order->orders[1].status == AP_OK;
}

void ap_keep_order_release(ap_keep_order *order) {
    free(order->keys);
    ap_buf_release(&order->before);
    ap_buf_release(&order->orders[0]);
    ap_buf_release(&order->orders[1]);
    *order = (ap_keep_order){0};
}

typedef struct job_name {
    ap_str name;
    uint32_t number;
} job_name;

static int by_name(const void *left, const void *right) {
    return ap_str_compare_nocase(((const job_name *)left)->name, ((const job_name *)right)->name);
}

/* Numbers of jobs in the keys become places of their names in the book's own order. */
static bool rank_jobs(ap_keep_order *order, const ap_intern *jobs) {
    uint32_t count = ap_intern_count(jobs);
    job_name *names = calloc((size_t)count + 1, sizeof *names);
    uint32_t *ranks = calloc((size_t)count + 1, sizeof *ranks);
    bool good = names && ranks;
    for (uint32_t i = 0; good && i < count; i++) {
        names[i] = (job_name){ap_intern_get(jobs, i + 1), i + 1};
    }
    if (good && count > 0) {
        qsort(names, count, sizeof *names, by_name);
    }
    for (uint32_t i = 0; good && i < count; i++) {
        ranks[names[i].number] = i;
    }
    for (size_t i = 0; good && i < order->count; i++) {
        uint64_t job = order->keys[i] >> 1 & UINT32_MAX;
        order->keys[i] ^= (job ^ ranks[job]) << 1;
    }
    free(names);
    free(ranks);
    return good;
}

/* Runs of `width` in order become runs of twice that; those that follow each other already cost one look. */
static void merge_runs(const uint64_t *keys, uint32_t *at, uint32_t *spare, size_t count, size_t width) {
    for (size_t low = 0; low + width < count; low += 2 * width) {
        size_t middle = low + width;
        size_t high = middle + width < count ? middle + width : count;
        if (keys[at[middle - 1]] >> 1 <= keys[at[middle]] >> 1) {
            continue;
        }
        memcpy(spare, at + low, width * sizeof *spare);
        size_t left = 0;
        size_t right = middle;
        for (size_t to = low; left < width; to++) {
            bool take_right = right < high && keys[spare[left]] >> 1 > keys[at[right]] >> 1;
            at[to] = take_right ? at[right++] : spare[left++];
        }
    }
}

/* Picks that day, time and job do not tell apart must have come in one run. */
static bool ties_are_runs(const ap_keep_order *order, const uint32_t *at, uint32_t *run) {
    uint32_t number = 0;
    for (size_t i = 0; i < order->count; i++) {
        number += (uint32_t)(order->keys[i] & 1);
        run[i] = number;
    }
    for (size_t k = 1; k < order->count; k++) {
        bool tie = order->keys[at[k - 1]] >> 1 == order->keys[at[k]] >> 1;
        if (tie && run[at[k - 1]] != run[at[k]]) {
            return false;
        }
    }
    return true;
}

static void put_place(ap_buf *places, uint64_t place) {
    const unsigned char bytes[4] = {(unsigned char)(place & 0xff), (unsigned char)(place >> 8 & 0xff),
                                    (unsigned char)(place >> 16 & 0xff), (unsigned char)(place >> 24 & 0xff)};
    ap_buf_append(places, bytes, sizeof bytes);
}

static ap_status take_places(void *context, int64_t chunk, int64_t picks, ap_str bytes, ap_error *err) {
    (void)chunk;
    ap_buf_append_str(context, bytes);
    return bytes.len == 4 * (size_t)picks ? AP_OK : ap_error_set(err, AP_E_BOOK, "what is kept does not hold together");
}

/* Behind what was in force: all of it lies before the first new day. */
static ap_status put_places(ap_kept_head *head, ap_buf *places, const ap_keep_order *order, const uint32_t *at,
                            ap_book *book, ap_error *err) {
    bool rows = order->kept.picks == 0 || order->kept.order == AP_KEPT_ORDER_ROWS;
    uint64_t before = (uint64_t)order->kept.picks;
    ap_status status = rows ? AP_OK : ap_book_kept_places(take_places, places, book, err);
    for (size_t k = 0; rows && k < order->count; k++) {
        rows = at[k] == k;
    }
    head->order = rows ? AP_KEPT_ORDER_ROWS : AP_KEPT_ORDER_PLACES;
    if (rows || status != AP_OK) {
        return status;
    }
    for (uint64_t k = 0; places->len < 4 * before; k++) {
        put_place(places, k);
    }
    for (size_t k = 0; k < order->count; k++) {
        put_place(places, before + at[k]);
    }
    return ap_buf_check(places, "the order of the picks", err);
}

ap_status ap_keep_order_settle(ap_kept_head *head, ap_buf *places, ap_keep_order *order, const ap_intern *jobs,
                               ap_book *book, ap_error *err) {
    bool behind =
        order->kept.picks == 0 || (order->kept.order != AP_KEPT_ORDER_UNKNOWN && order->first > order->kept.last_date);
    head->order = AP_KEPT_ORDER_UNKNOWN;
    if (!behind || order->unsure || (order->timed && order->blank)) {
        return AP_OK;
    }
    uint32_t *at = calloc(order->count + 1, sizeof *at);
    uint32_t *spare = calloc(order->count + 1, sizeof *spare);
    ap_status status = AP_OK;
    if (at && spare && rank_jobs(order, jobs)) {
        for (size_t i = 0; i < order->count; i++) {
            at[i] = (uint32_t)i;
        }
        for (size_t width = 1; width < order->count; width *= 2) {
            merge_runs(order->keys, at, spare, order->count, width);
        }
        if (ties_are_runs(order, at, spare)) {
            status = put_places(head, places, order, at, book, err);
        }
    }
    free(at);
    free(spare);
    return status;
}

static int by_id(const void *left, const void *right) {
    int64_t a = *(const int64_t *)left;
    int64_t b = *(const int64_t *)right;
    return (a > b) - (a < b);
}

ap_status ap_keep_order_read(ap_kept_head *head, ap_buf *places, ap_book *book, ap_error *err) {
    int64_t *ids = NULL;
    size_t count = 0;
    ap_status status = ap_book_pick_order(&ids, &count, book, err);
    if (status != AP_OK) {
        return status;
    }
    int64_t *sorted = count > 0 ? malloc(count * sizeof *sorted) : NULL;
    bool rows = sorted != NULL;
    if (sorted) {
        memcpy(sorted, ids, count * sizeof *sorted);
        qsort(sorted, count, sizeof *sorted, by_id);
    }
    bool close = sorted && sorted[count - 1] - sorted[0] == (int64_t)count - 1;
    for (size_t k = 0; sorted && k < count; k++) {
        const int64_t *found =
            close ? sorted + (ids[k] - sorted[0]) : bsearch(&ids[k], sorted, count, sizeof *sorted, by_id);
        size_t place = (size_t)(found - sorted);
        rows = rows && place == k;
        put_place(places, place);
    }
    head->order = !sorted ? AP_KEPT_ORDER_UNKNOWN : rows ? AP_KEPT_ORDER_ROWS : AP_KEPT_ORDER_PLACES;
    if (rows) {
        ap_buf_clear(places);
    }
    free(ids);
    free(sorted);
    return ap_buf_check(places, "the order of the picks", err);
}
