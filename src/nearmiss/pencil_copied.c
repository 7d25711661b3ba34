/* P3 of pencil.h. */
#include "nearmiss/pencil.h"

enum { LEAST_MOST = 50, ROW_MOST = 1000 };

/* The row that a job's last weights make: how many in a row are the same, and the last of them. */
typedef struct row {
    size_t last;
    size_t length;
    size_t pairs; /* neighbours of the job in the period */
} row;

typedef struct search {
    const ap_detect_input *in;
    ap_finding_list *out;
    double equal;    /* chance that a pick's weight is that of the pick before */
    size_t least;    /* a row as long as this is a finding */
    double expected; /* such rows by chance */
} search;

/* As net or as gross: the log has written one of the two. */
static bool same_weight(const ap_fact *a, const ap_fact *b) {
    return fabs(a->measured_net_kg - b->measured_net_kg) <= 1e-9 * fabs(a->measured_net_kg) ||
           fabs(a->hook_kg - b->hook_kg) <= 1e-9 * fabs(a->hook_kg);
}

static double likelihood(const size_t *ended, const size_t *cut, size_t least, double q) {
    static const double more[3] = {0, 2, 1}; /* rows of 1 and of 2 */
    double shorter = log1p(-pow(q, (double)least - 1));
    double sum = 0;
    for (size_t k = 1; k < least; k++) {
        double rows = (double)ended[k] + (k < 3 ? more[k] : 0);
        double reached = (double)(k - 1) * log(q);
        sum += rows * (reached + log1p(-q) - shorter);
        sum += (double)cut[k] * (reached + log1p(-pow(q, (double)(least - k))) - shorter);
    }
    return sum;
}

double ap_repeat_chance(const size_t *ended, const size_t *cut, size_t least) {
    const double golden = 0.6180339887498949;
    double low = 1e-9;
    double high = 0.999;
    while (high - low > 1e-9) {
        double a = high - golden * (high - low);
        double b = low + golden * (high - low);
        if (likelihood(ended, cut, least, a) < likelihood(ended, cut, least, b)) {
            low = a;
        } else {
            high = b;
        }
    }
    return floor((low + high) / 2 * 1e6 + 0.5) / 1e6; /* closer than the flat top of a likelihood can tell */
}

/* The rows of the book that are shorter than the rule's, and the period's neighbours by job. */
static double learn(const ap_detect_input *in, size_t least, row *rows, size_t jobs, size_t *looks) {
    size_t ended[LEAST_MOST + 1] = {0};
    size_t cut[LEAST_MOST + 1] = {0};
    for (size_t i = 0; i < in->end; i++) {
        const ap_fact *fact = &in->roster->facts[i];
        row *job = &rows[ap_fact_group(fact, AP_BY_JOB)];
        if (isnan(fact->measured_net_kg)) {
            continue;
        }
        bool inside = i >= in->first && job->length;
        job->pairs += inside;
        *looks += inside;
        if (job->length && same_weight(&in->roster->facts[job->last], fact)) {
            job->length++;
        } else {
            ended[job->length < least ? job->length : 0]++;
            job->length = 1;
        }
        job->last = i;
    }
    for (size_t j = 0; j < jobs; j++) {
        cut[rows[j].length < least ? rows[j].length : 0]++;
    }
    return ap_repeat_chance(ended, cut, least);
}

/* Rows of `least` or more by chance: one may begin at a job's first pick, or behind a neighbour that differs. */
static double rows_expected(const row *rows, size_t jobs, double equal, size_t least) {
    double sum = 0;
    for (size_t j = 0; j < jobs; j++) {
        double room = (double)rows[j].pairs - (double)(least - 1);
        sum += room >= 0 ? 1 + room * (1 - equal) : 0;
    }
    return sum * pow(equal, (double)least - 1);
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
    double p = fmin(1, s->expected * pow(s->equal, (double)(job->length - s->least))); /* anywhere among them */
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
        } else {
            status = end_row(s, job, err);
            job->length = 1;
        }
        job->last = i;
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
    size_t looks = 0;
    size_t least = (size_t)in->limits->pencil_row;
    search s = {in, out, learn(in, least, rows, jobs, &looks), least, 0};
    ap_status status = AP_OK;
    if (looks) {
        s.expected = rows_expected(rows, jobs, s.equal, s.least);
        while (s.least < ROW_MOST && s.expected > level) {
            s.least++;
            s.expected = rows_expected(rows, jobs, s.equal, s.least);
        }
        line->looks += looks;
        line->expected += s.expected;
        line->rule_limit = in->limits->pencil_row;
        line->limit = (double)s.least;
        memset(rows, 0, jobs * sizeof *rows);
        status = find_rows(&s, rows, jobs, err);
    }
    free(rows);
    return status;
}
