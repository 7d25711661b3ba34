#include "nearmiss/rate_cells.h"

#include "base/grow.h"

bool ap_rate_cell_has(const ap_rate_cell *cell, const ap_detect_input *in, size_t fact) {
    if (cell->words) {
        const ap_fact *it = &in->roster->facts[fact];
        return it->rest->slings & AP_SLINGS_EYE &&
               (double)it->rest->lean_deg >= in->limits->re_rig_lean_deg * (1 - 1e-6);
    }
    return ap_fact_group(&in->roster->facts[fact], cell->by) == cell->label;
}

static bool room_for_event(ap_rate_cells *cells, size_t *room) {
    if (cells->events < *room) {
        return true;
    }
    uint32_t *grown = ap_grown(cells->at, room, 256, sizeof *grown);
    if (!grown) {
        return false;
    }
    cells->at = grown;
    return true;
}

ap_status ap_rate_cells_count(ap_rate_cells *out, const ap_detect_input *in, const ap_by *by, size_t by_count,
                              ap_rate_event event, size_t total_from, ap_error *err) {
    const ap_roster *roster = in->roster;
    size_t slots = 1;
    size_t base[AP_BY_COUNT];
    for (size_t b = 0; b < by_count; b++) {
        base[b] = slots - 1;
        slots += (size_t)ap_intern_count(roster->labels[by[b]]) + 1;
    }
    ap_rate_cell *cells = calloc(slots + 1, sizeof *cells);
    bool fine = cells != NULL;
    size_t room = 0;
    for (size_t i = total_from; i < in->end && fine; i++) {
        int what = event(in, i);
        out->of += what > 0;
        if (what == 2) {
            fine = room_for_event(out, &room);
            out->before += i < in->first;
            if (fine) {
                out->at[out->events++] = (uint32_t)i;
            }
        }
        for (size_t b = 0; b < by_count && what > 0 && i >= in->first && fine; b++) {
            uint32_t label = ap_fact_group(&roster->facts[i], by[b]);
            ap_rate_cell *cell = &cells[base[b] + label];
            cell->grouping = b;
            cell->by = by[b];
            cell->label = label;
            cell->of++;
            cell->events += what == 2;
        }
    }
    if (!fine) {
        free(cells);
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the groups of %zu picks", in->end - in->first);
    }
    size_t kept = 0;
    for (size_t c = 0; c < slots; c++) {
        if (cells[c].label && cells[c].of) {
            cells[kept++] = cells[c];
        }
    }
    out->items = cells;
    out->count = kept;
    out->groupings = by_count;
    out->event = event;
    out->total_from = total_from;
    return AP_OK;
}

static int clearest_first(const void *left, const void *right) {
    const ap_rate_cell *a = left;
    const ap_rate_cell *b = right;
    if (a->found != b->found) {
        return a->found ? -1 : 1;
    }
    if (a->found && (a->p < b->p || a->p > b->p)) {
        return a->p < b->p ? -1 : 1;
    }
    if (a->by != b->by) {
        return a->by < b->by ? -1 : 1;
    }
    return (a->label > b->label) - (a->label < b->label);
}

enum { MERGE_MOST = 64 }; /* the clearest of a very long list are told apart; the rest stand alone */

/* C4. */
static void merge(ap_rate_cells *cells, const ap_detect_input *in) {
    size_t shared[MERGE_MOST][MERGE_MOST] = {{0}};
    size_t found = 0;
    while (found < cells->count && found < MERGE_MOST && cells->items[found].found) {
        found++;
    }
    for (size_t e = cells->before; e < cells->events && found > 1; e++) {
        bool has[MERGE_MOST];
        for (size_t c = 0; c < found; c++) {
            has[c] = ap_rate_cell_has(&cells->items[c], in, cells->at[e]);
            for (size_t o = 0; o < c && has[c]; o++) {
                shared[c][o] += has[o];
            }
        }
    }
    for (size_t c = 1; c < found; c++) {
        ap_rate_cell *cell = &cells->items[c];
        for (size_t o = 0; o < c && cell->merged_into == SIZE_MAX; o++) {
            const ap_rate_cell *other = &cells->items[o];
            size_t smaller = cell->events < other->events ? cell->events : other->events;
            bool same = other->merged_into == SIZE_MAX && shared[c][o] && 2 * shared[c][o] >= smaller;
            cell->merged_into = same ? o : SIZE_MAX;
        }
    }
}

static void name_cell(ap_buf *scope, const ap_detect_input *in, const ap_rate_cell *cell) {
    if (scope->len) {
        ap_buf_append_cstr(scope, "; ");
    }
    if (cell->words) {
        ap_buf_append_cstr(scope, cell->words);
    } else {
        ap_scope_append(scope, in->roster, cell->by, cell->label);
    }
}

static ap_status report(ap_finding_list *out, const ap_rate_cells *cells, size_t c, const ap_detect_input *in,
                        ap_detector_id detector, size_t *picks, ap_error *err) {
    const ap_rate_cell *cell = &cells->items[c];
    size_t count = 0;
    ap_buf scope;
    ap_buf_init(&scope, 1u << 16);
    name_cell(&scope, in, cell);
    for (size_t o = c + 1; o < cells->count && cells->items[o].found; o++) {
        if (cells->items[o].merged_into == c) {
            name_cell(&scope, in, &cells->items[o]);
        }
    }
    for (size_t e = cells->before; e < cells->events; e++) {
        if (ap_rate_cell_has(cell, in, cells->at[e])) {
            picks[count++] = cells->at[e];
        }
    }
    ap_finding finding = {.detector = detector,
                          .class = AP_FINDING_LIKELY,
                          .kind = cell->words ? "eye slings on leaning pieces" : ap_by_label(cell->by),
                          .scope = ap_buf_str(&scope),
                          .picks = picks,
                          .pick_count = count,
                          .first = in->roster->facts[picks[0]].date,
                          .last = in->roster->facts[picks[count - 1]].date,
                          .among = cell->of,
                          .trees = cell->trees_hit,
                          .rate_else = (double)(cells->events - cell->events) / (double)(cells->of - cell->of),
                          .value = (double)cell->events / (double)cell->of,
                          .reasons = detector == AP_DETECT_CLUSTER ? AP_CLUSTER_RISE : 0u,
                          .z = NAN,
                          .p = cell->p,
                          .rank = 50 + fmin(-log10(fmax(cell->p, 1e-30)), 30)};
    ap_status status = ap_finding_add(out, &finding, err);
    ap_buf_release(&scope);
    return status;
}

ap_status ap_rate_cells_report(ap_finding_list *out, ap_rate_cells *cells, const ap_detect_input *in,
                               ap_detector_id detector, ap_error *err) {
    size_t *picks = calloc(cells->events + 1, sizeof *picks);
    if (!picks) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the picks of %zu groups", cells->count);
    }
    double level = fmin(in->allowed, in->limits->discoveries);
    ap_status status = ap_rate_cells_judge(cells, in, level, &in->chance->line[detector], err);
    if (status == AP_OK && cells->count > 1) {
        qsort(cells->items, cells->count, sizeof *cells->items, clearest_first);
        merge(cells, in);
    }
    for (size_t c = 0; c < cells->count && cells->items[c].found && status == AP_OK; c++) {
        if (cells->items[c].merged_into == SIZE_MAX) {
            status = report(out, cells, c, in, detector, picks, err);
        }
    }
    free(picks);
    return status;
}

void ap_rate_cells_release(ap_rate_cells *cells) {
    free(cells->items);
    free(cells->at);
    *cells = (ap_rate_cells){0};
}
