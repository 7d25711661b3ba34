#include "analysis/roster.h"

#include "analysis/brush_learnt.h"
#include "analysis/roster_wood.h"
#include "book/cranes.h"
#include "book/settings_store.h"
#include "book/slings.h"
#include "derive/harm.h"
#include "derive/person.h"
#include "derive/reconstruct.h"

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

_Static_assert(sizeof(ap_fact) <= 160, "a million picks stay under 256 MiB");

#define WORDS_MOST 15u

enum { ARENA_MAX = 192u << 20, TEXT_MAX = 4096 };

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
        [AP_BY_SETUP] = &fact->label_setup,
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

double ap_fact_ratio(const ap_fact *fact) {
    return exp(fact->log_error);
}

double ap_fact_share_worst(const ap_fact *fact) {
    return fmax(fact->share_cut, fact->share_set_down);
}

/* A label's number, remembered: picks that follow each other mostly share it. */
typedef struct memo {
    int64_t key;
    uint32_t number;
} memo;

enum { SETUP_MEMOS = 64, PERSON_MEMOS = 64, NAMES_AT_ONCE = 1 << 15 };

typedef struct loader {
    ap_roster *roster;
    ap_book *book;
    bool errors_only;
    memo month;
    memo words[AP_BY_COUNT][16]; /* by value of the word */
    memo setup[SETUP_MEMOS];
    memo person[PERSON_MEMOS]; /* of estimators, by number */
    ap_roster_trees trees;
    char *names_at; /* room for more names, in the arena */
    size_t names_left;
    ap_buf text;
} loader;

static uint8_t intern_word(loader *load, ap_by by, ap_vocabulary vocabulary, int value) {
    memo *kept = &load->words[by][value & 15];
    if (value && kept->key != value) {
        const char *word = ap_word_get(vocabulary, value);
        *kept = (memo){value, word ? ap_intern_add(load->roster->labels[by], ap_str_from(word)) : 0};
    }
    return value ? (uint8_t)kept->number : 0; /* a vocabulary has some ten words */
}

static uint32_t intern_person(loader *load, ap_by by, ap_str text) {
    ap_roster *roster = load->roster;
    text = ap_str_trim(text);
    if (roster->names || text.len == 0 || ap_person_is_code(text)) {
        return ap_intern_add(roster->labels[by], text);
    }
    uint32_t person = ap_intern_add(roster->people, text);
    memo *kept = &load->person[person % PERSON_MEMOS];
    if (kept->key != person || !person) {
        ap_buf_clear(&load->text);
        ap_person_label(&load->text, ap_by_name(by), text, false, person);
        *kept = (memo){person, ap_intern_add(roster->labels[by], ap_buf_str(&load->text))};
    }
    return kept->number;
}

/* Most picks hang in one of a few ways: the words are made once for each kind and hitch of the legs. */
static uint32_t intern_setup(loader *load, const ap_pick *pick) {
    uint64_t key = 1;
    for (int i = 0; i < pick->leg_count; i++) {
        const ap_leg *leg = &pick->legs[i];
        bool more = leg->state || !isnan(leg->at_m) || !isnan(leg->length_m) || !isnan(leg->wll_kg) || leg->tag.ptr;
        key = key << 10 | (uint64_t)(leg->kind & 15) << 5 | (uint64_t)(leg->hitch & 15) << 1 | more;
    }
    memo *kept = &load->setup[key * UINT64_C(0x9e3779b97f4a7c15) >> 58];
    if (kept->key != (int64_t)key) {
        ap_derive_setup(&load->text, pick);
        *kept = (memo){(int64_t)key, ap_intern_add(load->roster->labels[AP_BY_SETUP], ap_buf_str(&load->text))};
    }
    return kept->number;
}

/* Three hundred years have 3600 months. */
static uint16_t intern_month(loader *load, ap_date date) {
    int64_t month = ap_month_index(date);
    if (!load->month.number || load->month.key != month) {
        char text[AP_ISO_SIZE];
        ap_month_to_iso(text, (int)month);
        load->month = (memo){month, ap_intern_add(load->roster->labels[AP_BY_MONTH], ap_str_from(text))};
    }
    return (uint16_t)load->month.number;
}

/* A tree is (job, tree); without a name, job and species stand for it. */
static uint32_t intern_tree(loader *load, const ap_pick *pick) {
    ap_roster *roster = load->roster;
    bool known = !ap_str_is_blank(pick->tree);
    roster->trees_assumed += !known;
    ap_buf_clear(&load->text);
    ap_buf_append_str(&load->text, pick->job);
    ap_buf_append_cstr(&load->text, known ? "/" : "/any ");
    ap_buf_append_str(&load->text, known ? pick->tree : pick->species_common);
    return ap_intern_add(roster->labels[AP_BY_TREE], ap_buf_str(&load->text));
}

/* False with more species than a fact can number. */
static bool set_groups(loader *load, ap_fact *fact, const ap_pick *pick) {
    ap_roster *roster = load->roster;
    ap_intern **labels = roster->labels;
    uint32_t species = ap_intern_add(labels[AP_BY_SPECIES], pick->species_common);
    fact->label_species = (uint16_t)species;
    fact->label_cut = intern_word(load, AP_BY_CUT, AP_VOC_CUT, pick->cut);
    fact->label_basis = intern_word(load, AP_BY_BASIS, AP_VOC_BASIS, pick->estimate_basis) & WORDS_MOST;
    fact->label_piece = intern_word(load, AP_BY_PIECE, AP_VOC_PIECE, pick->piece) & WORDS_MOST;
    fact->label_estimator = intern_person(load, AP_BY_ESTIMATOR, pick->estimator);
    fact->label_crew = ap_intern_add(labels[AP_BY_CREW], pick->crew);
    /* A crane that is entered is one crane, however its name is written. */
    const ap_crane *crane = ap_company_crane(&roster->company, pick->crane);
    fact->label_crane = ap_intern_add(labels[AP_BY_CRANE], crane ? crane->name : pick->crane);
    fact->label_condition = intern_word(load, AP_BY_CONDITION, AP_VOC_CONDITION, pick->condition) & WORDS_MOST;
    fact->label_foliage = intern_word(load, AP_BY_FOLIAGE, AP_VOC_FOLIAGE, pick->foliage) & WORDS_MOST;
    fact->label_job = ap_intern_add(labels[AP_BY_JOB], pick->job);

    fact->label_setup = load->errors_only ? 0 : intern_setup(load, pick);
    fact->label_month = intern_month(load, pick->date);
    fact->label_tree = intern_tree(load, pick);
    return species <= UINT16_MAX;
}

static uint8_t marks_of(const ap_derived *d) {
    const ap_rated *all[] = {&d->rated_planned, &d->rated_cut, &d->rated_set_down};
    unsigned marks = d->indicator_factor != 1 ? AP_MARK_CORRECTED : 0;
    for (size_t i = 0; i < 3; i++) {
        marks |= all[i]->from == AP_RATED_CHART ? AP_MARK_FROM_CHART : 0;
        marks |= ap_rated_is_past(all[i]) ? AP_MARK_PAST_CHART : 0;
        marks |= all[i]->differs ? AP_MARK_CHART_DIFFERS : 0;
    }
    marks |= d->rigging_from == AP_ORIGIN_CRANE ? AP_MARK_CRANE_RIGGING : 0;
    marks |= d->repeats_plan ? AP_MARK_REPEATS_PLAN : 0;
    return (uint8_t)marks;
}

/* By the closed form alone, under a microsecond a pick; set-ups that want the general solver have no number here. */
static void set_movement(ap_fact *fact, const ap_pick *pick, const ap_derived *derived, const ap_species *species,
                         const ap_company *company) {
    fact->butt_up_m = NAN;
    fact->way_m = NAN;
    if (pick->leg_count > 0) {
        ap_recon recon;
        ap_wood wood;
        ap_wood_given wood_given = AP_WOOD_GIVEN_NOTHING;
        wood_given.species = species;
        ap_wood_work_out(&wood, pick, &wood_given, company);
        ap_recon_given given = AP_RECON_GIVEN(derived, company);
        given.wood = &wood;
        given.closed_form_only = true;
        ap_reconstruct(&recon, pick, &given);
        fact->butt_up_m = (float)recon.butt_up_m;
        fact->way_m = (float)fmax(recon.butt_move_m, recon.tip_move_m);
    }
}

static void set_figures(ap_fact *fact, const ap_pick *pick, const ap_derived *d) {
    fact->date = pick->date;
    fact->marks = marks_of(d);
    fact->planned_net_kg = d->planned_net_kg;
    fact->measured_net_kg = d->measured_net_kg;
    fact->rigging_kg = (float)d->rigging_kg;
    fact->log_error = d->log_error;
    fact->hook_kg = d->hook_kg;
    fact->share_planned = d->share_planned;
    fact->share_cut = d->share_cut;
    fact->share_set_down = d->share_set_down;
    fact->planned_radius_m = (float)pick->planned_radius_m;
    fact->cut_radius_m = (float)pick->cut_radius_m;
    fact->set_down_radius_m = (float)pick->set_down_radius_m;
    fact->movement_distance_m = (float)pick->movement_distance_m;
    fact->movement = (uint16_t)pick->movement;
    fact->compared = (uint8_t)d->compared;
    fact->toward = (uint8_t)pick->toward;
    fact->near_miss = (uint8_t)pick->near_miss;
    fact->kerf = (uint8_t)pick->kerf;
    fact->weighed_by = (uint8_t)pick->weighed_by;
    fact->slings = ap_derive_slings(pick);
    fact->lean_deg = (float)pick->lean_deg;
    fact->re_rigs = (int8_t)(pick->re_rigs > INT8_MAX ? INT8_MAX : pick->re_rigs);
    fact->over_chart = d->over_chart;
    fact->planned_over_chart = d->planned_over_chart;
    fact->toward_person = d->toward_person;
    fact->rigging_assumed = d->rigging_from == AP_ORIGIN_SETTING;
    fact->damage_noted = ap_harm_is_noted(pick->damage);
}

void ap_fact_set(ap_fact *fact, const ap_pick *pick, const ap_company *company) {
    ap_derived derived;
    ap_derive(&derived, pick, company);
    set_figures(fact, pick, &derived);
    set_movement(fact, pick, &derived, NULL, company);
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

static ap_status add_fact(void *context, const ap_pick *pick, ap_error *err) {
    loader *load = context;
    ap_roster *roster = load->roster;
    if (roster->count == roster->cap) {
        size_t cap = roster->cap ? roster->cap + roster->cap / 2 : 1024;
        ap_fact *grown = realloc(roster->facts, cap * sizeof *grown);
        if (!grown) {
            return ap_error_set(err, AP_E_MEMORY, "out of memory at %zu picks", roster->count);
        }
        roster->facts = grown;
        roster->cap = cap;
    }
    ap_fact *fact = &roster->facts[roster->count];
    memset(fact, 0, sizeof *fact);
    fact->name = keep_name(load, pick->name);
    ap_derived derived;
    ap_derive(&derived, pick, &roster->company);
    set_figures(fact, pick, &derived);
    if (!set_groups(load, fact, pick)) {
        return ap_error_set(err, AP_E_USAGE, "more than %d species in the picks: take some together", UINT16_MAX);
    }
    ap_status status = ap_arena_check(&roster->arena, "the roster of picks", err);
    const ap_species *species = ap_roster_species_of(load->book, pick);
    if (status == AP_OK && !ap_roster_wood_set(&load->trees, fact, roster->count, pick, species, roster)) {
        status = ap_error_set(err, AP_E_MEMORY, "out of memory at %zu picks", roster->count);
    }
    if (status == AP_OK) {
        set_movement(fact, pick, &derived, species, &roster->company);
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

static ap_status load_roster(ap_roster *out, ap_book *book, ap_date until, bool names, bool errors_only,
                             const double brush[AP_WOOD_BRUSH_CLASSES], ap_error *err) {
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
    if (status != AP_OK) {
        return status;
    }
    if (brush) {
        memcpy(out->brush, brush, sizeof out->brush);
        out->company.brush = out->brush;
    }
    loader load = {.roster = out, .book = book, .errors_only = errors_only};
    ap_buf_init(&load.text, TEXT_MAX);
    ap_pick_filter filter = {.since = AP_DATE_NONE, .until = until};
    status = errors_only && !has_chart(&out->company) ? ap_book_each_pick_narrow(book, &filter, add_fact, &load, err)
                                                      : ap_book_each_pick(book, &filter, add_fact, &load, err);
    ap_buf_release(&load.text);
    ap_roster_wood_end(&load.trees, out);
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
    return load_roster(out, book, until, names, false, NULL, err);
}

ap_status ap_roster_load_learnt(ap_roster *out, ap_book *book, ap_date until, bool names, ap_error *err) {
    double brush[AP_WOOD_BRUSH_CLASSES];
    ap_status status = ap_brush_learnt_read(brush, book, until, err);
    if (status != AP_OK) {
        memset(out, 0, sizeof *out);
        return status;
    }
    return load_roster(out, book, until, names, false, brush, err);
}

ap_status ap_roster_load_errors(ap_roster *out, ap_book *book, ap_date until, bool names, ap_error *err) {
    return load_roster(out, book, until, names, true, NULL, err);
}

void ap_roster_release(ap_roster *roster) {
    free(roster->facts);
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
