#include "text/line_diff.h"

ap_str ap_line_body(ap_str line) {
    line.len -= line.len && line.ptr[line.len - 1] == '\n';
    line.len -= line.len && line.ptr[line.len - 1] == '\r';
    return line;
}

static bool same(ap_str a, ap_str b) {
    return ap_str_equal(ap_line_body(a), ap_line_body(b));
}

ap_status ap_line_split(ap_line_list *out, ap_arena *arena, ap_str text, ap_error *err) {
    size_t count = 0;
    for (size_t i = 0; i < text.len; i++) {
        count += text.ptr[i] == '\n' || i + 1 == text.len;
    }
    if (count > AP_LINES_MAX) {
        return ap_error_set(err, AP_E_LIMIT, "a text of more than %d lines", (int)AP_LINES_MAX);
    }
    *out = (ap_line_list){.items = ap_arena_alloc_array(arena, count + 1, sizeof(ap_str))};
    if (!out->items) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the lines of a text");
    }
    for (size_t from = 0; from < text.len;) {
        const char *end = memchr(text.ptr + from, '\n', text.len - from);
        size_t next = end ? (size_t)(end - text.ptr) + 1 : text.len;
        out->items[out->count++] = (ap_str){text.ptr + from, next - from};
        from = next;
    }
    return AP_OK;
}

/* The differing middle of two texts, and the furthest points reached by each number of edits. */
typedef struct search {
    const ap_str *a, *b;
    long n, m;
    long *trace; /* for d edits, the d + 1 furthest x, packed one after the other */
} search;

static long *furthest(const search *it, long edits) {
    return it->trace + edits * (edits + 1) / 2;
}

/* The step onto diagonal k from d - 1 edits: the furthest of one line more of b (down) and one of a (right). -1: neither
 * stays inside both texts. */
static long step(bool *right, const search *it, long d, long k) {
    const long *before = furthest(it, d - 1);
    long down = k < d ? before[(k + d) / 2] : -1; /* diagonal k + 1 of d - 1 */
    long side = k > -d ? before[(k + d) / 2 - 1] : -1;
    down = down - k > it->m ? -1 : down;
    side = side < 0 || side == it->n ? -1 : side + 1;
    *right = side >= down;
    return *right ? side : down;
}

/* Where diagonal k is reached with d edits, along its equal lines; -1 when it is not. */
static long reach(const search *it, long d, long k) {
    bool right = false;
    long x = d > 0 ? step(&right, it, d, k) : 0;
    while (x >= 0 && x < it->n && x - k < it->m && same(it->a[x], it->b[x - k])) {
        x++;
    }
    return x;
}

/* The number of edits of the shortest script; -1 when it is above the limit. */
static long forward(const search *it) {
    for (long d = 0; d <= AP_LINE_EDITS_MAX && d <= it->n + it->m; d++) {
        long *now = furthest(it, d);
        for (long k = -d; k <= d; k += 2) {
            now[(k + d) / 2] = reach(it, d, k);
            if (now[(k + d) / 2] == it->n && it->n - k == it->m) {
                return d;
            }
        }
    }
    return -1;
}

static void backward(const search *it, long edits, size_t *match, size_t a_from, size_t b_from) {
    long x = it->n;
    long y = it->m;
    for (long d = edits; d >= 0; d--) {
        long k = x - y;
        bool right = false;
        long from = d > 0 ? step(&right, it, d, k) : 0; /* where its equal lines begin */
        for (; x > from; x--) {
            match[a_from + (size_t)x - 1] = b_from + (size_t)(x - k) - 1;
        }
        y = x - k;
        x -= d > 0 && right;
        y -= d > 0 && !right;
    }
}

ap_status ap_line_match(size_t **out, ap_arena *arena, const ap_line_list *a, const ap_line_list *b, ap_error *err) {
    size_t *match = ap_arena_alloc_array(arena, a->count + 1, sizeof *match);
    if (!match) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for comparing two texts");
    }
    size_t head = 0;
    size_t tail = 0;
    size_t least = a->count < b->count ? a->count : b->count;
    for (; head < least && same(a->items[head], b->items[head]); head++) {
        match[head] = head;
    }
    for (; tail < least - head && same(a->items[a->count - 1 - tail], b->items[b->count - 1 - tail]); tail++) {
        match[a->count - 1 - tail] = b->count - 1 - tail;
    }
    for (size_t i = head; i < a->count - tail; i++) {
        match[i] = AP_LINE_NONE;
    }
    search it = {.a = a->items + head,
                 .b = b->items + head,
                 .n = (long)(a->count - head - tail),
                 .m = (long)(b->count - head - tail)};
    long most = it.n + it.m < AP_LINE_EDITS_MAX ? it.n + it.m : AP_LINE_EDITS_MAX;
    it.trace = malloc((size_t)((most + 1) * (most + 2) / 2) * sizeof *it.trace);
    if (!it.trace) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for comparing two texts");
    }
    long edits = forward(&it);
    if (edits >= 0) {
        backward(&it, edits, match, head, head);
    }
    free(it.trace);
    *out = match;
    return AP_OK;
}

static void put_lines(ap_buf *out, const ap_line_list *list, size_t from, size_t end) {
    for (size_t i = from; i < end; i++) {
        ap_buf_append_str(out, list->items[i]);
    }
}

static bool same_lines(const ap_line_list *a, size_t a_from, size_t a_end, const ap_line_list *b, size_t b_from,
                       size_t b_end) {
    bool equal = a_end - a_from == b_end - b_from;
    for (size_t i = 0; equal && i < a_end - a_from; i++) {
        equal = same(a->items[a_from + i], b->items[b_from + i]);
    }
    return equal;
}

/* A label stands on lines of its own, also behind a last line without an ending. */
static void put_label(ap_buf *out, ap_str label) {
    if (out->len && out->ptr[out->len - 1] != '\n') {
        ap_buf_append_char(out, '\n');
    }
    ap_buf_append_str(out, label);
    ap_buf_append_char(out, '\n');
}

typedef struct stretch {
    size_t base, ours, theirs;
} stretch;

static void put_stretch(ap_buf *out, size_t *clashes, const ap_line_list list[3], stretch from, stretch to,
                        const ap_line_labels *labels) {
    const ap_line_list *base = &list[0];
    const ap_line_list *ours = &list[1];
    const ap_line_list *theirs = &list[2];
    bool ours_same = same_lines(base, from.base, to.base, ours, from.ours, to.ours);
    bool alike = same_lines(ours, from.ours, to.ours, theirs, from.theirs, to.theirs);
    if (alike || same_lines(base, from.base, to.base, theirs, from.theirs, to.theirs)) {
        put_lines(out, ours, from.ours, to.ours);
    } else if (ours_same) {
        put_lines(out, theirs, from.theirs, to.theirs);
    } else {
        put_label(out, labels->theirs);
        put_lines(out, theirs, from.theirs, to.theirs);
        put_label(out, labels->ours);
        put_lines(out, ours, from.ours, to.ours);
        put_label(out, labels->end);
        (*clashes)++;
    }
}

ap_status ap_line_merge(ap_buf *out, size_t *clashes, ap_arena *arena, ap_str base, ap_str ours, ap_str theirs,
                        const ap_line_labels *labels, ap_error *err) {
    ap_line_list list[3];
    size_t *match[2] = {NULL, NULL};
    const ap_str texts[3] = {base, ours, theirs};
    ap_status status = AP_OK;
    *clashes = 0;
    for (int i = 0; status == AP_OK && i < 3; i++) {
        status = ap_line_split(&list[i], arena, texts[i], err);
    }
    for (int i = 0; status == AP_OK && i < 2; i++) {
        status = ap_line_match(&match[i], arena, &list[0], &list[i + 1], err);
    }
    if (status != AP_OK) {
        return status;
    }
    stretch from = {0, 0, 0};
    while (from.base < list[0].count || from.ours < list[1].count || from.theirs < list[2].count) {
        size_t next = from.base;
        while (next < list[0].count && (match[0][next] == AP_LINE_NONE || match[1][next] == AP_LINE_NONE)) {
            next++;
        }
        bool end = next == list[0].count;
        stretch to = {next, end ? list[1].count : match[0][next], end ? list[2].count : match[1][next]};
        put_stretch(out, clashes, list, from, to, labels);
        if (!end) {
            ap_buf_append_str(out, list[1].items[to.ours]);
        }
        from = end ? to : (stretch){to.base + 1, to.ours + 1, to.theirs + 1};
    }
    return ap_buf_check(out, "two edits put together", err);
}

static void put_marked(ap_buf *out, const char *mark, ap_str line) {
    ap_str body = ap_line_body(line);
    ap_buf_append_cstr(out, mark);
    ap_buf_append_str(out, body);
    ap_buf_append_char(out, '\n');
}

/* Marks the kept lines of the old text that lie within `around` lines of a change. */
static void mark_near(bool *near, const size_t *match, size_t count, size_t other_count, size_t around) {
    size_t there = 0;
    for (size_t i = 0; i <= count; i++) {
        size_t until = i == count ? other_count : match[i];
        bool changed = until == AP_LINE_NONE || until != there;
        there = until == AP_LINE_NONE ? there : until + 1;
        for (size_t j = i > around ? i - around : 0; changed && j < i + around + (until == AP_LINE_NONE) && j < count;
             j++) {
            near[j] = true;
        }
    }
}

ap_status ap_line_diff(ap_buf *out, ap_arena *arena, ap_str old_text, ap_str new_text, size_t around, ap_error *err) {
    ap_line_list a;
    ap_line_list b;
    size_t *match = NULL;
    ap_status status = ap_line_split(&a, arena, old_text, err);
    if (status == AP_OK) {
        status = ap_line_split(&b, arena, new_text, err);
    }
    if (status == AP_OK) {
        status = ap_line_match(&match, arena, &a, &b, err);
    }
    if (status != AP_OK) {
        return status;
    }
    bool *near = ap_arena_alloc_array(arena, a.count + 1, sizeof *near);
    if (!near) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for comparing two texts");
    }
    mark_near(near, match, a.count, b.count, around);
    bool skipping = false;
    size_t there = 0;
    for (size_t i = 0; i <= a.count; i++) {
        size_t until = i == a.count ? b.count : match[i];
        if (until != AP_LINE_NONE) {
            for (; there < until; there++) {
                put_marked(out, "+ ", b.items[there]);
                skipping = false;
            }
            there = until + 1;
        }
        if (i == a.count) {
            break;
        }
        if (until == AP_LINE_NONE) {
            put_marked(out, "- ", a.items[i]);
            skipping = false;
        } else if (near[i]) {
            put_marked(out, "  ", a.items[i]);
            skipping = false;
        } else if (!skipping) {
            ap_buf_append_cstr(out, "...\n");
            skipping = true;
        }
    }
    return ap_buf_check(out, "what changed", err);
}
