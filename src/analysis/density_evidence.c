/* All evidence of one species, pick by pick, and what is left over in groups. */
#include "analysis/density_study.h"
#include "analysis/key_map.h"

enum { LABEL_MAX = 64 };

const char *ap_density_by_name(ap_density_by by) {
    static const char *const names[AP_DENSITY_BY_COUNT] = {"piece", "place in the tree", "season", "site", "tree"};
    return names[by];
}

typedef struct site_reader {
    ap_arena *arena;
    const ap_density_study *study;
    ap_density_evidence *out;
    size_t fact; /* number of the pick that is read */
    size_t at;   /* row that waits for its site */
} site_reader;

static ap_status read_site(void *context, const ap_pick *pick, ap_error *err) {
    site_reader *r = context;
    if (r->at < r->out->count && r->out->rows[r->at].pick->fact == r->fact) {
        r->out->rows[r->at++].site = ap_arena_str(r->arena, ap_str_trim(pick->site));
    }
    r->fact++;
    return ap_arena_check(r->arena, "the sites", err);
}

static ap_status set_places(ap_density_evidence *out, const ap_roster *roster, ap_error *err) {
    size_t trees = (size_t)ap_intern_count(roster->labels[AP_BY_TREE]) + 1;
    uint32_t *all = calloc(trees * 2, sizeof *all);
    if (!all) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the places of the pieces");
    }
    uint32_t *before = all + trees;
    for (size_t i = 0; i < out->count; i++) {
        all[out->rows[i].pick->tree]++;
    }
    for (size_t i = 0; i < out->count; i++) {
        uint32_t tree = out->rows[i].pick->tree;
        out->rows[i].place = (uint8_t)(all[tree] < 3 ? 0 : 1 + 3 * before[tree] / all[tree]);
        before[tree]++;
    }
    free(all);
    return AP_OK;
}

static ap_str label_of(ap_arena *arena, const ap_roster *roster, const ap_density_row *row, ap_density_by by) {
    static const char *const places[] = {"fewer than 3 weighed pieces of the tree", "first third of its picks",
                                         "middle third", "last third of its picks"};
    static const char *const seasons[] = {"December to February", "March to May", "June to August",
                                          "September to November"};
    const ap_fact *fact = &roster->facts[row->pick->fact];
    int year;
    int month;
    int day;
    ap_str text;
    switch (by) {
    case AP_DENSITY_BY_PIECE:
        text = ap_word_plain(arena, ap_roster_label(roster, AP_BY_PIECE, ap_fact_group(fact, AP_BY_PIECE)));
        return row->pick->butt ? ap_arena_printf(arena, "%.*s, butt without mid diameter", AP_STR_ARG(text))
               : text.len      ? text
                               : AP_STR_LIT("not recorded");
    case AP_DENSITY_BY_PLACE:
        return ap_str_from(places[row->place]);
    case AP_DENSITY_BY_SEASON:
        ap_date_to_civil(fact->date, &year, &month, &day);
        return ap_str_from(seasons[month % 12 / 3]);
    case AP_DENSITY_BY_SITE:
        return row->site.len ? row->site : AP_STR_LIT("not recorded");
    case AP_DENSITY_BY_TREE:
    case AP_DENSITY_BY_COUNT:
        break;
    }
    return ap_roster_label(roster, AP_BY_TREE, ap_fact_group(fact, AP_BY_TREE));
}

static int most_first(const void *left, const void *right) {
    const ap_density_group *a = left;
    const ap_density_group *b = right;
    return a->picks != b->picks ? (a->picks > b->picks ? -1 : 1) : ap_str_compare_natural(a->label, b->label);
}

static ap_status group_by(ap_density_evidence *out, ap_arena *arena, const ap_roster *roster, ap_density_by by,
                          ap_error *err) {
    ap_intern *names = ap_intern_new(arena);
    ap_density_group *groups = ap_arena_alloc_array(arena, out->count + 1, sizeof *groups);
    ap_key_map pairs = {0}; /* of group and tree */
    ap_status status = ap_arena_check(arena, "the groups of the evidence", err);
    for (size_t i = 0; status == AP_OK && i < out->count; i++) {
        ap_str label = label_of(arena, roster, &out->rows[i], by);
        uint32_t number = ap_intern_add(names, label);
        status = ap_arena_check(arena, "the groups of the evidence", err);
        if (status == AP_OK && number) {
            ap_density_group *group = &groups[number - 1];
            group->label = label;
            group->picks++;
            const uint32_t pair[AP_WEIGHTS_BY_MAX] = {number, out->rows[i].pick->tree};
            size_t known = pairs.count;
            uint32_t which;
            if (!ap_key_map_add(&pairs, pair, &which)) {
                status = ap_error_set(err, AP_E_MEMORY, "out of memory for the groups of the evidence");
            }
            group->trees += pairs.count > known;
            group->mean += (out->rows[i].left - group->mean) / (double)group->picks;
        }
    }
    ap_key_map_release(&pairs);
    out->groups[by] = groups;
    out->group_count[by] = status == AP_OK ? ap_intern_count(names) : 0;
    if (status == AP_OK) {
        qsort(groups, out->group_count[by], sizeof *groups, most_first);
    }
    return status;
}

ap_status ap_density_evidence_read(ap_density_evidence *out, ap_arena *arena, ap_book *book,
                                   const ap_density_study *study, uint32_t label, ap_error *err) {
    *out = (ap_density_evidence){0};
    size_t count = 0;
    for (size_t i = 0; i < study->picks.count; i++) {
        count += study->picks.items[i].species == label;
    }
    out->rows = ap_arena_alloc_array(arena, count + 1, sizeof *out->rows);
    ap_status status = ap_arena_check(arena, "the evidence", err);
    for (size_t i = 0; status == AP_OK && i < study->picks.count; i++) {
        const ap_density_pick *pick = &study->picks.items[i];
        if (pick->species == label) {
            out->rows[out->count++] =
                (ap_density_row){.pick = pick, .left = pick->y - ap_density_fitted(&study->density, pick)};
        }
    }
    if (status == AP_OK) {
        status = set_places(out, study->roster, err);
    }
    if (status == AP_OK) {
        site_reader reader = {arena, study, out, 0, 0};
        const ap_pick_filter filter = {.since = AP_DATE_NONE, .until = study->roster->until};
        status = ap_book_each_pick(book, &filter, read_site, &reader, err);
    }
    for (int by = 0; status == AP_OK && by < AP_DENSITY_BY_COUNT; by++) {
        status = group_by(out, arena, study->roster, (ap_density_by)by, err);
    }
    return status;
}
