#include "analysis/associations.h"

#include "analysis/movement.h"
#include "stats/rates.h"
#include "stats/shares.h"

enum {
    CUTS = 8,
    SETUPS = 64, /* the lower six bits of the slings: legs, eye, adjustable, balancer */
    LEANS = 3,
    KEYS = CUTS * SETUPS * LEANS,
    OTHERS_MAX = 1000 /* more others make no difference to the power */
};
/* From this lean on a piece counts as leaning, from that as steep; common practice, no source. */
static const float leaning_deg = 30;
static const float steep_deg = 60;

static const struct {
    const char *name;
    const char *outcome;
    const char *word;
    const char *against;
} kinds[AP_ASSOCIATION_KINDS] = {
    [AP_ASSOCIATION_MOVED] = {"movement", "the piece moved", "moved", "all other cuts, set-ups and leans"},
    [AP_ASSOCIATION_KERF] = {"kerf", "the piece moved", "moved", "a steady kerf"},
    [AP_ASSOCIATION_RE_RIG] = {"re-rig", "the hook had to come back", "hook came back", "all other set-ups"},
    [AP_ASSOCIATION_SLACK] = {"slack-leg", "a leg was slack at the cut", "slack leg", "all other set-ups"},
    [AP_ASSOCIATION_EYE_LEANING] = {"eye-on-leaning", "the hook had to come back", "hook came back",
                                    "leaning pieces without an eye sling"},
};

const char *ap_association_name(ap_association_kind kind) {
    return kinds[kind].name;
}

const char *ap_association_outcome(ap_association_kind kind) {
    return kinds[kind].outcome;
}

const char *ap_association_word(ap_association_kind kind) {
    return kinds[kind].word;
}

const char *ap_association_against(ap_association_kind kind) {
    return kinds[kind].against;
}

const char *ap_association_verdict_name(ap_association_verdict verdict) {
    static const char *const names[] = {"differs", "no difference seen", "one tree only", "too little to say"};
    return names[verdict];
}

/* Counts of one group; `one_tree` is the tree of its hits while there is only one. */
typedef struct cell {
    uint32_t picks, hits;
    uint32_t one_tree;
    bool several_trees;
} cell;

typedef struct count {
    ap_association_kind kind;
    size_t keys; /* cells in use */
    size_t base; /* the key that is only compared with; SIZE_MAX = none: a group is compared with all others */
    cell *cells;
    size_t picks, hits;
} count;

static size_t lean_class(const ap_fact *fact) {
    return fact->rest->lean_deg >= steep_deg ? 2 : fact->rest->lean_deg >= leaning_deg ? 1 : 0;
}

static bool moved(const ap_fact *fact) {
    return ap_movement_kind(fact->rest->movement) != AP_MOVED_STILL;
}

/* Where a pick belongs; false when what is needed is not logged. */
static bool sort_in(size_t *key, bool *hit, ap_association_kind kind, const ap_fact *fact) {
    size_t setup = fact->rest->slings & (SETUPS - 1);
    bool slung = (fact->rest->slings & AP_SLINGS_LEGS) != 0;
    uint32_t cut = ap_fact_group(fact, AP_BY_CUT);
    switch (kind) {
    case AP_ASSOCIATION_MOVED:
        *key = (cut * SETUPS + setup) * LEANS + lean_class(fact);
        *hit = moved(fact);
        return fact->rest->movement && slung && cut && cut < CUTS && !isnan(fact->rest->lean_deg);
    case AP_ASSOCIATION_KERF:
        *key = fact->kerf;
        *hit = moved(fact);
        return fact->rest->movement && fact->kerf;
    case AP_ASSOCIATION_RE_RIG:
        *key = setup;
        *hit = fact->rest->re_rigs > 0;
        return slung && fact->rest->re_rigs != AP_COUNT_NONE;
    case AP_ASSOCIATION_SLACK:
        *key = setup;
        *hit = (fact->rest->slings & AP_SLINGS_SLACK) != 0;
        return slung && (fact->rest->slings & AP_SLINGS_STATE);
    default:
        *key = fact->rest->slings & AP_SLINGS_EYE ? 1 : 0;
        *hit = fact->rest->re_rigs > 0;
        return slung && fact->rest->re_rigs != AP_COUNT_NONE && fact->rest->lean_deg >= leaning_deg;
    }
}

static void count_picks(count *counts, const ap_roster *roster, size_t first, size_t end) {
    for (size_t i = first; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        for (int kind = 0; kind < AP_ASSOCIATION_KINDS; kind++) {
            size_t key;
            bool hit;
            if (!sort_in(&key, &hit, (ap_association_kind)kind, fact)) {
                continue;
            }
            cell *to = &counts[kind].cells[key];
            uint32_t tree = ap_fact_group(fact, AP_BY_TREE);
            to->several_trees |= hit && to->hits && to->one_tree != tree;
            to->one_tree = hit ? tree : to->one_tree;
            to->hits += hit;
            to->picks++;
            counts[kind].hits += hit;
            counts[kind].picks++;
        }
    }
}

static ap_str name_setup(ap_arena *arena, size_t setup) {
    size_t legs = setup & AP_SLINGS_LEGS;
    bool eye = setup & AP_SLINGS_EYE;
    bool adjustable = setup & AP_SLINGS_ADJUSTABLE;
    return ap_arena_printf(arena, "%zu leg%s, %s%s", legs, legs == 1 ? "" : "s",
                           eye && adjustable ? "eye and adjustable"
                           : eye             ? "eye"
                           : adjustable      ? "adjustable"
                                             : "other slings",
                           setup & AP_SLINGS_BALANCER ? ", with balancer" : "");
}

static ap_str name_group(ap_arena *arena, const ap_roster *roster, ap_association_kind kind, size_t key) {
    static const char *const leans[LEANS] = {"flatter than 30 degrees", "leaning 30 to 60 degrees",
                                             "steeper than 60 degrees"};
    switch (kind) {
    case AP_ASSOCIATION_MOVED: {
        ap_str setup = name_setup(arena, key / LEANS % SETUPS);
        ap_str cut = ap_roster_label(roster, AP_BY_CUT, (uint32_t)(key / LEANS / SETUPS));
        return ap_arena_printf(arena, "%.*s cut, %.*s, %s", AP_STR_ARG(cut), AP_STR_ARG(setup), leans[key % LEANS]);
    }
    case AP_ASSOCIATION_KERF:
        return ap_arena_printf(arena, "kerf %s", ap_word_get(AP_VOC_KERF, (int)key));
    case AP_ASSOCIATION_EYE_LEANING:
        return AP_STR_LIT("an eye sling on a leaning piece");
    default:
        return name_setup(arena, key);
    }
}

static ap_status compare(ap_association *a, ap_error *err) {
    ap_fisher fisher;
    double share = (double)a->hits / (double)a->picks;
    double other = (double)a->other_hits / (double)a->others;
    a->difference = share - other;
    ap_status status =
        ap_fisher_test(&fisher, a->hits, a->picks - a->hits, a->other_hits, a->others - a->other_hits, err);
    a->p = fisher.p_two_sided;
    if (status == AP_OK) {
        status = ap_share_difference(&a->interval, share, (double)a->picks, other, (double)a->others, 0.95, err);
    }
    return status;
}

/* Do the hits of a group's others come from more than one tree? One pick alone is one tree. */
static bool others_of_several_trees(const count *c, size_t key) {
    const cell *seen = NULL;
    for (size_t other = 0; other < c->keys; other++) {
        const cell *it = &c->cells[other];
        bool counts = it->hits && (c->base == SIZE_MAX ? other != key : other == c->base);
        if (counts && (it->several_trees || (seen && seen->one_tree != it->one_tree))) {
            return true;
        }
        seen = counts ? it : seen;
    }
    return false;
}

/* Groups of one kind with enough picks on both sides become associations. */
static ap_status compare_groups(ap_association *items, size_t *n, size_t *left_out, const count *c, ap_arena *arena,
                                const ap_roster *roster, ap_error *err) {
    ap_status status = AP_OK;
    for (size_t key = 0; key < c->keys && status == AP_OK; key++) {
        const cell *group = &c->cells[key];
        if (key == c->base || group->picks == 0) {
            continue;
        }
        ap_association a = {.kind = c->kind, .hits = group->hits, .picks = group->picks};
        a.others = c->base == SIZE_MAX ? c->picks - group->picks : c->cells[c->base].picks;
        a.other_hits = c->base == SIZE_MAX ? c->hits - group->hits : c->cells[c->base].hits;
        if (a.picks < AP_ASSOCIATION_LEAST || a.others < AP_ASSOCIATION_LEAST) {
            ++*left_out;
            continue;
        }
        a.group = name_group(arena, roster, c->kind, key);
        status = compare(&a, err);
        bool several = a.difference > 0 ? group->several_trees : others_of_several_trees(c, key);
        a.verdict = several ? AP_ASSOCIATION_DIFFERS : AP_ASSOCIATION_ONE_TREE;
        items[(*n)++] = a;
    }
    return status;
}

static ap_status judge(ap_association *a, ap_error *err) {
    if (a->adjusted <= AP_ASSOCIATION_FALSE) {
        return AP_OK; /* DIFFERS, or ONE_TREE */
    }
    double other = (double)a->other_hits / (double)a->others;
    double worth = other + AP_ASSOCIATION_WORTH <= 1 ? other + AP_ASSOCIATION_WORTH : other - AP_ASSOCIATION_WORTH;
    uint64_t others = a->others < OTHERS_MAX ? a->others : OTHERS_MAX;
    uint64_t needed = 0;
    ap_status status =
        ap_fisher_cases(&needed, others, worth, other, 0.05, AP_ASSOCIATION_POWER, AP_ASSOCIATION_PICKS_MAX, err);
    a->verdict = needed && needed <= a->picks ? AP_ASSOCIATION_ALIKE : AP_ASSOCIATION_TOO_LITTLE;
    a->needs_more = needed > a->picks ? (size_t)needed - a->picks : 0;
    return status;
}

static int by_p(const void *left, const void *right) {
    const ap_association *a = left;
    const ap_association *b = right;
    if (a->p < b->p || a->p > b->p) {
        return a->p < b->p ? -1 : 1;
    }
    if (a->picks != b->picks) {
        return a->picks > b->picks ? -1 : 1;
    }
    return a->kind != b->kind ? (a->kind < b->kind ? -1 : 1) : ap_str_compare(a->group, b->group);
}

static ap_status correct(ap_associations *out, ap_arena *arena, ap_error *err) {
    double *p = ap_arena_alloc_array(arena, out->count + 1, sizeof *p);
    if (!p) {
        return ap_arena_check(arena, "the associations", err);
    }
    for (size_t i = 0; i < out->count; i++) {
        p[i] = out->items[i].p;
    }
    ap_status status = ap_false_discovery(p, NULL, p, out->count, AP_ASSOCIATION_FALSE, err);
    for (size_t i = 0; status == AP_OK && i < out->count; i++) {
        out->items[i].adjusted = p[i];
    }
    if (out->count > AP_ASSOCIATION_MAX) {
        out->cut_off = out->count - AP_ASSOCIATION_MAX;
        out->count = AP_ASSOCIATION_MAX;
    }
    for (size_t i = 0; status == AP_OK && i < out->count; i++) {
        status = judge(&out->items[i], err);
    }
    return status;
}

ap_status ap_associations_find(ap_associations *out, ap_arena *arena, const ap_roster *roster, size_t first, size_t end,
                               ap_error *err) {
    static const size_t keys[AP_ASSOCIATION_KINDS] = {KEYS, 4, SETUPS, SETUPS, 2};
    *out = (ap_associations){0};
    count counts[AP_ASSOCIATION_KINDS];
    size_t most = 0;
    for (int kind = 0; kind < AP_ASSOCIATION_KINDS; kind++) {
        counts[kind] = (count){.kind = (ap_association_kind)kind, .keys = keys[kind], .base = SIZE_MAX};
        counts[kind].cells = ap_arena_alloc_array(arena, keys[kind], sizeof(cell));
        most += keys[kind];
    }
    counts[AP_ASSOCIATION_KERF].base = AP_KERF_STEADY;
    counts[AP_ASSOCIATION_EYE_LEANING].base = 0;
    out->items = ap_arena_alloc_array(arena, most, sizeof *out->items);
    ap_status status = ap_arena_check(arena, "the associations", err);
    if (status != AP_OK) {
        return status;
    }
    count_picks(counts, roster, first, end);
    for (int kind = 0; kind < AP_ASSOCIATION_KINDS && status == AP_OK; kind++) {
        status = compare_groups(out->items, &out->count, &out->left_out, &counts[kind], arena, roster, err);
    }
    if (status == AP_OK && out->count) {
        qsort(out->items, out->count, sizeof *out->items, by_p);
        status = correct(out, arena, err);
    }
    return status == AP_OK ? ap_arena_check(arena, "the associations", err) : status;
}
