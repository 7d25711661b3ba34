#include "analysis/roster.h"

#include "analysis/brush_learnt.h"
#include "analysis/kept_roster.h"
#include "analysis/roster_labels.h"
#include "analysis/roster_wood.h"
#include "base/grow.h"
#include "book/cranes.h"
#include "book/settings_store.h"
#include "book/slings.h"

static const struct {
    const char *name;
    const char *label;
} groupings[AP_BY_COUNT] = {
    [AP_BY_SPECIES] = {"species", "species"},
    [AP_BY_CUT] = {"cut", "cut"},
    [AP_BY_BASIS] = {"basis", "basis of the estimate"},
    [AP_BY_PIECE] = {"piece", "piece"},
    [AP_BY_ESTIMATOR] = {"estimator", "estimator"},
    [AP_BY_CREW] = {"crew", "crew"},
    [AP_BY_CRANE] = {"crane", "crane"},
    [AP_BY_CONDITION] = {"condition", "condition"},
    [AP_BY_FOLIAGE] = {"foliage", "foliage"},
    [AP_BY_SETUP] = {"setup", "sling set-up"},
    [AP_BY_MONTH] = {"month", "month"},
    [AP_BY_JOB] = {"job", "job"},
    [AP_BY_TREE] = {"tree", "tree"},
};

_Static_assert(sizeof(ap_fact) + sizeof(ap_fact_rest) <= 168, "a million picks stay under 256 MiB");

#define WORDS_MOST 15u

enum { ARENA_MAX = 256u << 20, TEXT_MAX = 4096 };

const char *ap_by_name(ap_by by) {
    return groupings[by].name;
}

const char *ap_by_label(ap_by by) {
    return groupings[by].label;
}

bool ap_by_find(ap_by *out, ap_str name) {
    for (int by = 0; by < AP_BY_COUNT; by++) {
        if (ap_str_equal_word(name, groupings[by].name)) {
            *out = (ap_by)by;
            return true;
        }
    }
    return false;
}

ap_str ap_roster_label(const ap_roster *roster, ap_by by, uint32_t number) {
    return number ? ap_intern_get(roster->labels[by], number) : AP_STR_NONE;
}

bool ap_fact_set_group(ap_fact *fact, ap_by by, uint32_t number) {
    uint32_t *const many[AP_BY_COUNT] = {
        [AP_BY_ESTIMATOR] = &fact->label_estimator,
        [AP_BY_CREW] = &fact->label_crew,
        [AP_BY_CRANE] = &fact->label_crane,
        [AP_BY_SETUP] = &fact->rest->label_setup,
        [AP_BY_JOB] = &fact->label_job,
        [AP_BY_TREE] = &fact->label_tree,
    };
    if (by == AP_BY_SPECIES) {
        fact->label_species = (uint16_t)number;
    } else if (by == AP_BY_MONTH) {
        fact->label_month = (uint16_t)number;
    } else if (by == AP_BY_CUT) {
        fact->label_cut = (uint8_t)number;
    } else if (by == AP_BY_BASIS) {
        fact->label_basis = number & WORDS_MOST;
    } else if (by == AP_BY_PIECE) {
        fact->label_piece = number & WORDS_MOST;
    } else if (by == AP_BY_CONDITION) {
        fact->label_condition = number & WORDS_MOST;
    } else if (by == AP_BY_FOLIAGE) {
        fact->label_foliage = number & WORDS_MOST;
    } else if (many[by]) {
        *many[by] = number;
    }
    return ap_fact_group(fact, by) == number;
}

const char *ap_roster_name(const ap_roster *roster, size_t fact) {
    const ap_roster_names *names = &roster->row_names;
    const char *own = roster->facts[fact].rest->name;
    if (own || names->chunk_count == 0) {
        return own;
    }
    size_t row = names->rows[fact];
    size_t low = 0;
    size_t high = names->chunk_count; /* the last chunk that does not begin behind the row */
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        *(names->chunks[middle].first <= row ? &low : &high) = middle;
    }
    const char *name = names->chunks[low].names;
    for (size_t at = names->chunks[low].first; at < row; at++) {
        name += strlen(name) + 1;
    }
    return name;
}

double ap_fact_ratio(const ap_fact *fact) {
    return exp(fact->log_error);
}

double ap_fact_share_worst(const ap_fact *fact) {
    return fmax(fact->rest->share_cut, fact->rest->share_set_down);
}

enum { NAMES_AT_ONCE = 1 << 15, RESTS_AT_ONCE = 256 };

typedef struct loader {
    ap_roster *roster;
    ap_book *book;
    ap_roster_depth depth;
    ap_labeller labeller;
    ap_roster_trees trees;
    ap_fact_rest *rests; /* the next, in the arena */
    size_t rests_left;
    char *names_at; /* room for more names, in the arena */
    size_t names_left;
    ap_buf text;
} loader;

/* A tree is (job, tree); without a name, job and species stand for it. */
static uint32_t intern_tree(loader *load, ap_fact *fact, const ap_pick *pick) {
    ap_roster *roster = load->roster;
    fact->no_tree = !ap_tree_label(&load->text, pick);
    roster->trees_assumed += fact->no_tree;
    return ap_intern_add(roster->labels[AP_BY_TREE], ap_buf_str(&load->text));
}

/* False with more species than a fact can number. */
static bool set_groups(loader *load, ap_fact *fact, const ap_pick *pick) {
    ap_roster *roster = load->roster;
    ap_labeller *labeller = &load->labeller;
    ap_intern **labels = roster->labels;
    uint32_t species = ap_intern_add(labels[AP_BY_SPECIES], pick->species_common);
    fact->label_species = (uint16_t)species;
    fact->label_cut = ap_label_word(labeller, AP_BY_CUT, AP_VOC_CUT, pick->cut);
    fact->label_basis = ap_label_word(labeller, AP_BY_BASIS, AP_VOC_BASIS, pick->estimate_basis) & WORDS_MOST;
    fact->label_piece = ap_label_word(labeller, AP_BY_PIECE, AP_VOC_PIECE, pick->piece) & WORDS_MOST;
    fact->label_estimator = ap_label_person(labeller, AP_BY_ESTIMATOR, pick->estimator);
    fact->label_crew = ap_intern_add(labels[AP_BY_CREW], pick->crew);
    /* A crane that is entered is one crane, however its name is written. */
    const ap_crane *crane = ap_company_crane(&roster->company, pick->crane);
    fact->label_crane = ap_intern_add(labels[AP_BY_CRANE], crane ? crane->name : pick->crane);
    fact->label_condition = ap_label_word(labeller, AP_BY_CONDITION, AP_VOC_CONDITION, pick->condition) & WORDS_MOST;
    fact->label_foliage = ap_label_word(labeller, AP_BY_FOLIAGE, AP_VOC_FOLIAGE, pick->foliage) & WORDS_MOST;
    fact->label_job = ap_intern_add(labels[AP_BY_JOB], pick->job);
    if (load->depth == AP_ROSTER_ALL) {
        fact->rest->label_setup = ap_label_setup(labeller, roster->labels[AP_BY_SETUP], pick);
    }
    fact->label_month = ap_label_month(labeller, pick->date);
    fact->label_tree = intern_tree(load, fact, pick);
    return species <= UINT16_MAX;
}

/* Names one behind the other: the arena would pad each. NULL when it is full, which it remembers. */
static const char *keep_name(loader *load, ap_str name) {
    if (name.len >= load->names_left) {
        load->names_left = name.len + 1 > NAMES_AT_ONCE ? name.len + 1 : NAMES_AT_ONCE;
        load->names_at = ap_arena_alloc(&load->roster->arena, load->names_left);
        if (!load->names_at) {
            load->names_left = 0;
            return NULL;
        }
    }
    char *kept = load->names_at;
    if (name.len > 0) {
        memcpy(kept, name.ptr, name.len);
    }
    kept[name.len] = '\0';
    load->names_at += name.len + 1;
    load->names_left -= name.len + 1;
    return kept;
}

/* Beyond the depth that was asked for nothing is known, as when it is read from what is kept. */
static void keep_depth(loader *load, ap_fact *fact, const ap_pick *pick) {
    if (load->depth != AP_ROSTER_ALL) {
        ap_fact_rest *rest = fact->rest;
        const ap_fact_rest wood = *rest;
        ap_fact_rest_blank(rest);
        fact->kerf = 0;
        if (load->depth == AP_ROSTER_WOOD) {
            rest->volume_m3 = wood.volume_m3;
            rest->diameter_m = wood.diameter_m;
        }
    }
    fact->rest->name = keep_name(load, pick->name);
}

/* A rest for the next pick. NULL when the arena is full, which it remembers. */
static ap_fact_rest *next_rest(loader *load) {
    if (load->rests_left == 0) {
        load->rests_left = RESTS_AT_ONCE;
        load->rests = ap_arena_alloc_array(&load->roster->arena, load->rests_left, sizeof *load->rests);
        if (!load->rests) {
            load->rests_left = 0;
            return NULL;
        }
    }
    load->rests_left--;
    return load->rests++;
}

static ap_status add_fact(void *context, const ap_pick *pick, ap_error *err) {
    loader *load = context;
    ap_roster *roster = load->roster;
    if (roster->count == roster->cap) {
        ap_fact *grown = ap_grown(roster->facts, &roster->cap, 1024, sizeof *grown);
        if (!grown) {
            return ap_error_set(err, AP_E_MEMORY, "out of memory at %zu picks", roster->count);
        }
        roster->facts = grown;
    }
    ap_fact *fact = &roster->facts[roster->count];
    memset(fact, 0, sizeof *fact);
    fact->rest = next_rest(load);
    if (!fact->rest) {
        return ap_arena_check(&roster->arena, "the roster of picks", err);
    }
    const ap_species *species = ap_roster_species_of(load->book, pick);
    ap_fact_set(fact, pick, &roster->company);
    float stem_m = ap_roster_wood_set(fact, pick, species, &roster->company);
    keep_depth(load, fact, pick);
    if (!set_groups(load, fact, pick)) {
        return ap_error_set(err, AP_E_USAGE, "more than %d species in the picks: take some together", UINT16_MAX);
    }
    ap_status status = ap_arena_check(&roster->arena, "the roster of picks", err);
    if (status == AP_OK && load->depth != AP_ROSTER_ERRORS &&
        !ap_roster_wood_stem(&load->trees, fact, roster->count, stem_m)) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory at %zu picks", roster->count);
    }
    if (status == AP_OK) {
        if (roster->company.brush) {
            ap_fact_set_ways(fact, pick, species, &roster->company);
        }
        roster->count++;
    }
    return status;
}

/* A load chart is asked with radius and boom length, which the narrow reading leaves out. */
static bool has_chart(const ap_company *company) {
    for (size_t i = 0; i < company->crane_count; i++) {
        if (company->cranes[i].chart_count) {
            return true;
        }
    }
    return false;
}

/* Everything but the picks. */
static ap_status begin_roster(ap_roster *out, ap_book *book, bool names, const double *brush, ap_error *err) {
    memset(out, 0, sizeof *out);
    out->names = names;
    ap_arena_init(&out->arena, ARENA_MAX);
    out->people = ap_intern_new(&out->arena);
    for (int by = 0; by < AP_BY_COUNT; by++) {
        out->labels[by] = ap_intern_new(&out->arena);
        if (!out->labels[by] || !out->people) {
            return ap_error_set(err, AP_E_MEMORY, "out of memory for the roster of picks");
        }
    }
    ap_status status = ap_book_settings_read(&out->settings, book, err);
    out->company.settings = &out->settings;
    if (status == AP_OK) {
        status = ap_book_cranes(&out->company.cranes, &out->company.crane_count, &out->arena, book, err);
    }
    if (status == AP_OK) {
        status = ap_book_slings(&out->company.slings, &out->company.sling_count, &out->arena, book, err);
    }
    if (brush) {
        memcpy(out->brush, brush, sizeof out->brush);
        out->company.brush = out->brush;
    }
    return status;
}

static ap_status read_picks(loader *load, ap_date until, ap_error *err) {
    ap_pick_filter filter = {.since = AP_DATE_NONE, .until = until};
    bool narrow = load->depth != AP_ROSTER_ALL && !has_chart(&load->roster->company);
    ap_status status = narrow ? ap_book_each_pick_narrow(load->book, &filter, add_fact, load, err)
                              : ap_book_each_pick(load->book, &filter, add_fact, load, err);
    ap_roster_wood_end(&load->trees, load->roster);
    return status;
}

/* From what the book keeps, else from the picks. */
static ap_status read_facts(ap_roster *out, ap_book *book, ap_date until, ap_roster_depth depth, const double *brush,
                            ap_error *err) {
    loader load = {.roster = out, .book = book, .depth = depth};
    ap_status status = AP_OK;
    ap_buf_init(&load.text, TEXT_MAX);
    ap_labeller_init(&load.labeller, out);
    out->kept = ap_kept_roster_load(out, &load.labeller, book, until, depth);
    if (!out->kept) {
        bool names = out->names;
        ap_labeller_release(&load.labeller);
        ap_roster_release(out);
        ap_labeller_init(&load.labeller, out);
        status = begin_roster(out, book, names, brush, err);
        if (status == AP_OK) {
            status = read_picks(&load, until, err);
        }
    }
    ap_labeller_release(&load.labeller);
    ap_buf_release(&load.text);
    return status;
}

static ap_status load_roster(ap_roster *out, ap_book *book, ap_date until, bool names, ap_roster_depth depth,
                             const double brush[AP_WOOD_BRUSH_CLASSES], ap_error *err) {
    ap_status status = begin_roster(out, book, names, brush, err);
    if (status == AP_OK) {
        ap_kept_roster_refresh(book, &out->company);
        status = read_facts(out, book, until, depth, brush, err);
    }
    if (status == AP_OK) {
        status = ap_book_assumptions_read(&out->assumptions, &out->arena, book, err);
    }
    if (status == AP_OK) {
        status = ap_book_evidence_read(&out->evidence, &out->arena, book, until, err);
    }
    if (status == AP_OK) {
        status = ap_roster_wood_species(out, book, err);
    }
    if (status == AP_OK) {
        ap_roster_wood_plans(out, until);
    }
    return status;
}

ap_status ap_roster_load(ap_roster *out, ap_book *book, ap_date until, bool names, ap_error *err) {
    return load_roster(out, book, until, names, AP_ROSTER_ALL, NULL, err);
}

ap_status ap_roster_load_learnt(ap_roster *out, ap_book *book, ap_date until, bool names, ap_error *err) {
    double brush[AP_WOOD_BRUSH_CLASSES];
    ap_status status = ap_brush_learnt_read(brush, book, until, err);
    if (status != AP_OK) {
        memset(out, 0, sizeof *out);
        return status;
    }
    return load_roster(out, book, until, names, AP_ROSTER_ALL, brush, err);
}

void ap_roster_keep_learnt(ap_book *book, ap_date until) {
    double brush[AP_WOOD_BRUSH_CLASSES];
    ap_roster roster;
    ap_error err;
    ap_status status = begin_roster(&roster, book, false, NULL, &err);
    if (status == AP_OK && ap_kept_roster_is_worth_it(book)) {
        ap_kept_roster_refresh(book, &roster.company);
        if (ap_brush_learnt_read(brush, book, until, &err) == AP_OK) {
            roster.company.brush = brush;
            ap_kept_roster_refresh(book, &roster.company);
        }
    }
    ap_roster_release(&roster);
}

ap_status ap_roster_load_errors(ap_roster *out, ap_book *book, ap_date until, bool names, ap_error *err) {
    return load_roster(out, book, until, names, AP_ROSTER_ERRORS, NULL, err);
}

ap_status ap_roster_load_wood(ap_roster *out, ap_book *book, ap_date until, ap_error *err) {
    return load_roster(out, book, until, false, AP_ROSTER_WOOD, NULL, err);
}

ap_status ap_roster_load_kept(ap_roster *out, ap_book *book, ap_error *err) {
    ap_labeller labeller;
    ap_status status = begin_roster(out, book, true, NULL, err);
    if (status == AP_OK) {
        ap_labeller_init(&labeller, out);
        out->kept = ap_kept_roster_load(out, &labeller, book, AP_DATE_NONE, AP_ROSTER_ALL);
        ap_labeller_release(&labeller);
    }
    return status;
}

void ap_roster_release(ap_roster *roster) {
    free(roster->facts);
    free(roster->rests);
    ap_arena_release(&roster->arena);
    memset(roster, 0, sizeof *roster);
}

/* First fact dated `date` or later. */
static size_t lower_bound(const ap_roster *roster, ap_date date) {
    size_t low = 0;
    size_t high = roster->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (roster->facts[middle].date < date) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

void ap_roster_slice(const ap_roster *roster, ap_date since, ap_date until, size_t *first, size_t *end) {
    *first = since == AP_DATE_NONE ? 0 : lower_bound(roster, since);
    *end = until == AP_DATE_NONE ? roster->count : lower_bound(roster, until + 1);
    if (*end < *first) {
        *end = *first;
    }
}
