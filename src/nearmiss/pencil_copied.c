/* P3 of pencil.h. */
#include "nearmiss/pencil.h"

/* The row that a job's last weights make: how many in a row are the same, and the last of them. */
typedef struct row {
    size_t last;
    size_t length;
} row;

typedef struct search {
    const ap_detect_input *in;
    ap_finding_list *out;
    double equal; /* chance that a pick's weight is that of the pick before */
    size_t least; /* a row as long as this is a finding */
    size_t looks;
} search;

/* As net or as gross: the log has written one of the two. */
static bool same_weight(const ap_fact *a, const ap_fact *b) {
    return fabs(a->measured_net_kg - b->measured_net_kg) <= 1e-9 * fabs(a->measured_net_kg) ||
           fabs(a->hook_kg - b->hook_kg) <= 1e-9 * fabs(a->hook_kg);
}

/* Neighbours of one job that are weighed, and how many of those are equal. */
static void count_neighbours(size_t *pairs, size_t *equal, size_t *in_period, const ap_detect_input *in, row *rows) {
    for (size_t i = 0; i < in->end; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        row *job = &rows[ap_fact_group(fact, AP_BY_JOB)];
        if (isnan(fact->measured_net_kg)) {
            continue;
        }
        if (job->length) {
            ++*pairs;
            *equal += same_weight(&in->roster->facts[job->last], fact);
            *in_period += i >= in->first;
        }
        *job = (row){i, 1};
    }
}

static ap_status end_row(search *s, const row *job, ap_error *err) {
    const ap_roster *roster = s->in->roster;
    if (job->length < s->least || job->last < s->in->first) {
        return AP_OK;
    }
    size_t *picks = calloc(job->length + 1, sizeof *picks);
    if (!picks) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for a row of %zu weights", job->length);
    }
    uint32_t name = ap_fact_group(&roster->facts[job->last], AP_BY_JOB);
    size_t left = job->length;
    for (size_t i = job->last + 1; i-- > 0 && left > 0;) {
        const ap_fact *fact = &roster->facts[i];
        if (ap_fact_group(fact, AP_BY_JOB) == name && !isnan(fact->measured_net_kg)) {
            picks[--left] = i;
        }
    }
    ap_buf scope;
    ap_buf_init(&scope, 1u << 12);
    ap_scope_append(&scope, roster, AP_BY_JOB, name);
    double p = fmin(1, (double)s->looks * pow(s->equal, (double)job->length - 1)); /* anywhere among them */
    const ap_finding finding = {.detector = AP_DETECT_PENCIL,
                                .class = AP_FINDING_LIKELY,
                                .kind = "job, one weight",
                                .scope = ap_buf_str(&scope),
                                .picks = picks,
                                .pick_count = job->length,
                                .reasons = AP_PENCIL_COPIED,
                                .first = roster->facts[picks[0]].date,
                                .last = roster->facts[job->last].date,
                                .rate_else = s->equal,
                                .value = roster->facts[job->last].measured_net_kg,
                                .z = NAN,
                                .p = p,
                                .rank = 40 + fmin(-log10(fmax(p, 1e-30)), 30)};
    ap_status status = ap_finding_add(s->out, &finding, err);
    ap_buf_release(&scope);
    free(picks);
    return status;
}

static ap_status find_rows(search *s, row *rows, size_t jobs, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t i = 0; i < s->in->end && status == AP_OK; i++) {
        const ap_fact *fact = &s->in->roster->facts[i];
        row *job = &rows[ap_fact_group(fact, AP_BY_JOB)];
        if (isnan(fact->measured_net_kg)) {
            continue;
        }
        if (job->length && same_weight(&s->in->roster->facts[job->last], fact)) {
            job->length++;
            job->last = i;
        } else {
            status = end_row(s, job, err);
            *job = (row){i, 1};
        }
    }
    for (size_t j = 0; j < jobs && status == AP_OK; j++) {
        status = end_row(s, &rows[j], err);
    }
    return status;
}

ap_status ap_pencil_copied(ap_finding_list *out, ap_chance_line *line, const ap_detect_input *in, double level,
                           ap_error *err) {
    size_t jobs = (size_t)ap_intern_count(in->roster->labels[AP_BY_JOB]) + 1;
    row *rows = calloc(jobs, sizeof *rows);
    if (!rows) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for %zu jobs", jobs);
    }
    size_t pairs = 0;
    size_t equal = 0;
    size_t looks = 0;
    count_neighbours(&pairs, &equal, &looks, in, rows);
    /* One more of each: a book without an equal pair does not make the chance zero. */
    search s = {in, out, ((double)equal + 1) / ((double)pairs + 2), (size_t)in->limits->pencil_row, looks};
    ap_status status = AP_OK;
    if (looks) {
        while (s.least < 1000 && (double)looks * pow(s.equal, (double)s.least - 1) > level) {
            s.least++;
        }
        line->looks += looks;
        line->expected += (double)looks * pow(s.equal, (double)s.least - 1);
        line->rule_limit = in->limits->pencil_row;
        line->limit = (double)s.least;
        memset(rows, 0, jobs * sizeof *rows);
        status = find_rows(&s, rows, jobs, err);
    }
    free(rows);
    return status;
}
