/* What stopped being written. Three exact questions by crew; a broken indicator, a holiday or a form without the box make them too.
 *
 *   S1 weighed less      the share of unweighed picks rose against the crew's own earlier picks: Fisher's exact test, one-sided
 *   S2 stopped logging   days without a pick since its last one, up to the last day on which any crew logged: a book that nobody feeds says
 *                        nothing about its crews. Crews log in stretches, not day by day at random: the chance to be off at
 *                        all, times that of going on so long, as its earlier breaks went on; both by the rule of succession
 *   S3 never reported    none of its telling picks (toward a person, dropped, over chart, said so in a note) is marked as a near miss, while
 *                        other crews mark theirs: Fisher's exact test, one-sided
 *
 * Source  Fisher 1935, JRSS 98:39-82; Laplace's rule of succession (Feller 1968, V.2). Each a third of what the detector is allowed. */
#include "nearmiss/detect.h"
#include "nearmiss/said.h"
#include "stats/rates.h"

enum { EARLIER_LEAST = 20, NOW_LEAST = 5, DAYS_LEAST = 5, TELLING_LEAST = 3, GAP_MOST = 4000 };

typedef struct crew {
    size_t before, before_unweighed;
    size_t now, now_unweighed;
    size_t days;        /* with a pick, of the past looked at, up to the last */
    size_t breaks, off; /* stretches without a pick between them, and their days */
    ap_date first, last;
    size_t last_pick;
    size_t telling, told; /* picks that could be near misses, and those marked as one */
    size_t marked;        /* any pick marked as a near miss */
} crew;

typedef struct search {
    const ap_detect_input *in;
    ap_finding_list *out;
    ap_chance_line *line;
    crew *crews;
    uint32_t count;
    size_t *picks;
    bool *said;  /* of each pick of the period: its note says so */
    size_t past; /* where the past that is looked at begins */
    double level;
} search;

static bool telling(const search *s, size_t i) {
    const ap_fact *fact = &s->in->roster->facts[i];
    bool said = i >= s->in->first && s->said[i - s->in->first];
    return fact->toward_person || fact->over_chart || (fact->rest->movement & AP_MOVE_BIT(AP_MOVEMENT_DROP)) != 0 ||
           said;
}

static void count_crews(search *s) {
    for (size_t i = s->past; i < s->in->end; i++) {
        const ap_fact *fact = &s->in->roster->facts[i];
        crew *c = &s->crews[ap_fact_group(fact, AP_BY_CREW)];
        bool unweighed = isnan(fact->measured_net_kg);
        bool now = i >= s->in->first;
        *(now ? &c->now : &c->before) += 1;
        *(now ? &c->now_unweighed : &c->before_unweighed) += unweighed;
        if (c->days && fact->date > c->last + 1) {
            c->breaks++;
            c->off += (size_t)(fact->date - c->last - 1);
        }
        c->first = c->days ? c->first : fact->date;
        c->days += c->days == 0 || c->last != fact->date;
        c->last = fact->date;
        c->last_pick = i;
        bool tells = telling(s, i);
        c->telling += tells;
        c->told += tells && fact->near_miss == AP_YESNO_YES;
        c->marked += fact->near_miss == AP_YESNO_YES;
    }
}

static ap_status add(search *s, uint32_t label, size_t count, const ap_finding *as, ap_error *err) {
    const ap_roster *roster = s->in->roster;
    ap_buf scope;
    ap_buf_init(&scope, 1u << 12);
    ap_scope_append(&scope, roster, AP_BY_CREW, label);
    ap_finding finding = *as;
    finding.detector = AP_DETECT_SILENCE;
    finding.class = AP_FINDING_LIKELY;
    finding.kind = as->reasons == AP_SILENCE_UNWEIGHED ? "crew, weighed less"
                   : as->reasons == AP_SILENCE_STOPPED ? "crew, stopped logging"
                                                       : "crew, never reported";
    finding.scope = ap_buf_str(&scope);
    finding.picks = s->picks;
    finding.pick_count = count;
    finding.first = roster->facts[s->picks[0]].date;
    finding.last = roster->facts[s->picks[count - 1]].date;
    finding.rank = 30 + fmin(-log10(fmax(as->p, 1e-30)), 30);
    ap_status status = ap_finding_add(s->out, &finding, err);
    ap_buf_release(&scope);
    return status;
}

/* The level that S1 can really reach: the largest p at most alpha among the tables with these margins. */
static ap_status reach_weighed_less(double *reached, const crew *k, double alpha, ap_error *err) {
    size_t unweighed = k->now_unweighed + k->before_unweighed;
    size_t low = unweighed > k->before ? unweighed - k->before : 0;
    size_t high = (unweighed < k->now ? unweighed : k->now) + 1; /* the least count that is found lies in low..high */
    ap_status status = AP_OK;
    *reached = 0;
    while (low < high && status == AP_OK) {
        size_t middle = low + (high - low) / 2;
        ap_fisher fisher;
        if (middle > unweighed || middle > k->now) {
            break;
        }
        status =
            ap_fisher_test(&fisher, middle, k->now - middle, unweighed - middle, k->before + middle - unweighed, err);
        if (status == AP_OK && fisher.p_more <= alpha) {
            *reached = fisher.p_more;
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    return status;
}

/* S1. */
static ap_status weighed_less(search *s, ap_error *err) {
    size_t looks = 0;
    for (uint32_t c = 1; c <= s->count; c++) {
        looks += s->crews[c].now >= NOW_LEAST && s->crews[c].before >= EARLIER_LEAST;
    }
    ap_status status = AP_OK;
    double alpha = looks ? s->level / (double)looks : 0;
    for (uint32_t c = 1; c <= s->count && status == AP_OK; c++) {
        const crew *k = &s->crews[c];
        if (k->now < NOW_LEAST || k->before < EARLIER_LEAST) {
            continue;
        }
        ap_fisher fisher;
        status = ap_fisher_test(&fisher, k->now_unweighed, k->now - k->now_unweighed, k->before_unweighed,
                                k->before - k->before_unweighed, err);
        double reached = 0;
        if (status == AP_OK) {
            status = reach_weighed_less(&reached, k, alpha, err);
        }
        s->line->expected += reached;
        if (status == AP_OK && fisher.p_more <= alpha && k->now_unweighed > 0) {
            size_t count = 0;
            for (size_t i = s->in->first; i < s->in->end; i++) {
                const ap_fact *fact = &s->in->roster->facts[i];
                if (ap_fact_group(fact, AP_BY_CREW) == c && isnan(fact->measured_net_kg)) {
                    s->picks[count++] = i;
                }
            }
            const ap_finding finding = {.reasons = AP_SILENCE_UNWEIGHED,
                                        .among = k->now,
                                        .rate_else = (double)k->before_unweighed / (double)k->before,
                                        .value = (double)k->now_unweighed / (double)k->now,
                                        .z = NAN,
                                        .p = fisher.p_more};
            status = add(s, c, count, &finding, err);
        }
    }
    s->line->looks += looks;
    return status;
}

/* The chance of `gap` days or more without a pick on a day that was not chosen for it; 1 for none. */
static double chance_of_break(const crew *k, double gap) {
    double span = (double)(k->last - k->first + 1);
    double off = (double)k->off;
    double p = gap < 1 ? 1 : (off + 1) / (span + 1);
    for (size_t day = 1; (double)day < gap; day++) {
        p *= (off - (double)k->breaks + (double)day) / (off + 1 + (double)day);
    }
    return p;
}

/* S2. The finding rests on the crew's last pick, which may lie before the period. */
static ap_status stopped_logging(search *s, ap_error *err) {
    ap_date end = s->in->end ? s->in->roster->facts[s->in->end - 1].date : 0;
    size_t looks = 0;
    for (uint32_t c = 1; c <= s->count; c++) {
        looks += s->crews[c].days >= DAYS_LEAST;
    }
    ap_status status = AP_OK;
    double alpha = looks ? s->level / (double)looks : 0;
    for (uint32_t c = 1; c <= s->count && status == AP_OK; c++) {
        const crew *k = &s->crews[c];
        if (k->days < DAYS_LEAST) {
            continue;
        }
        double gap = fmin((double)(end - k->last), GAP_MOST);
        double least = 1; /* the least gap that is found */
        while (least < GAP_MOST && chance_of_break(k, least) > alpha) {
            least *= 2;
        }
        double step = least / 4;
        while (step >= 1) {
            least -= chance_of_break(k, least - step) <= alpha ? step : 0;
            step /= 2;
        }
        s->line->expected += least < GAP_MOST ? chance_of_break(k, least) : 0;
        double p = chance_of_break(k, gap);
        if (gap > 0 && p <= alpha) {
            s->picks[0] = k->last_pick;
            const ap_finding finding = {.reasons = AP_SILENCE_STOPPED,
                                        .among = k->days,
                                        .rate_else = (double)k->days / (double)(k->last - k->first + 1),
                                        .value = (double)(end - k->last),
                                        .z = NAN,
                                        .p = p};
            status = add(s, c, 1, &finding, err);
        }
    }
    s->line->looks += looks;
    return status;
}

/* S3. */
static ap_status never_reported(search *s, ap_error *err) {
    size_t looks = 0;
    size_t all = 0;
    size_t told = 0;
    for (uint32_t c = 1; c <= s->count; c++) {
        looks += s->crews[c].telling >= TELLING_LEAST;
        all += s->crews[c].telling;
        told += s->crews[c].told;
    }
    ap_status status = AP_OK;
    double alpha = looks ? s->level / (double)looks : 0;
    for (uint32_t c = 1; c <= s->count && status == AP_OK; c++) {
        const crew *k = &s->crews[c];
        if (k->telling < TELLING_LEAST || k->marked > k->told || k->telling == all) {
            continue;
        }
        size_t count = 0;
        for (size_t i = s->past; i < s->in->end; i++) {
            if (ap_fact_group(&s->in->roster->facts[i], AP_BY_CREW) == c && telling(s, i)) {
                s->picks[count++] = i;
            }
        }
        /* That none of its own is marked, of as many as are marked by all. */
        double p = 1 - ap_hypergeometric_more(1, k->telling, all, told);
        if (p > alpha || s->picks[count - 1] < s->in->first) {
            continue;
        }
        s->line->expected += p;
        if (k->told == 0) {
            const ap_finding finding = {.reasons = AP_SILENCE_UNREPORTED,
                                        .among = k->telling,
                                        .rate_else = (double)told / (double)(all - k->telling),
                                        .value = 0,
                                        .z = NAN,
                                        .p = p};
            status = add(s, c, count, &finding, err);
        }
    }
    s->line->looks += looks;
    return status;
}

ap_status ap_detect_silence(ap_finding_list *out, const ap_detect_input *in, ap_error *err) {
    ap_chance_line line = {.rule_limit = NAN, .limit = NAN, .independent = NAN};
    search s = {.in = in, .out = out, .line = &line, .level = in->allowed / 3};
    s.count = ap_intern_count(in->roster->labels[AP_BY_CREW]);
    s.crews = calloc((size_t)s.count + 1, sizeof *s.crews);
    s.said = calloc(in->end - in->first + 1, sizeof *s.said);
    ap_date end = in->end ? in->roster->facts[in->end - 1].date : 0;
    size_t unused;
    ap_roster_slice(in->roster, end - (ap_date)in->limits->silence_past_days, AP_DATE_NONE, &s.past, &unused);
    s.past = s.past > in->first ? in->first : s.past;
    s.picks = calloc(in->end - s.past + 1, sizeof *s.picks);
    ap_status status = AP_OK;
    if (!s.crews || !s.said || !s.picks) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory for %zu picks", in->end - s.past);
        goto done;
    }
    for (size_t i = 0; in->said && i < in->said->count; i++) {
        size_t fact = in->said->items[i].fact;
        if (fact >= in->first && fact < in->end) {
            s.said[fact - in->first] = true;
        }
    }
    count_crews(&s);
    status = weighed_less(&s, err);
    if (status == AP_OK) {
        status = stopped_logging(&s, err);
    }
    if (status == AP_OK) {
        status = never_reported(&s, err);
    }
    line.looked = line.looks > 0;
    in->chance->line[AP_DETECT_SILENCE] = line;
done:
    free(s.crews);
    free(s.said);
    free(s.picks);
    return status;
}
