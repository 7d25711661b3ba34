#include "analysis/sling_register.h"

#include "analysis/brush_learnt.h"
#include "base/crane.h"
#include "book/species.h"
#include "mech/sling.h"

enum { REASON_MAX = 512 };

typedef struct reader {
    ap_sling_register *out;
    ap_arena *arena;
    ap_book *book;
    const ap_company *company;
    ap_str wanted;
    ap_intern *tags; /* folded; number - 1 is the row */
    size_t cap, use_cap;
    ap_buf text;
} reader;

static ap_str folded(reader *r, ap_str tag) {
    ap_buf_clear(&r->text);
    for (size_t i = 0; i < tag.len; i++) {
        char c = tag.ptr[i];
        ap_buf_append_char(&r->text, c >= 'A' && c <= 'Z' ? (char)(c + ('a' - 'A')) : c);
    }
    return ap_buf_str(&r->text);
}

/* The row of a tag, made when it is new; NULL when there is no room for it. */
static ap_sling_row *row_of(reader *r, ap_str tag, const ap_sling_entry *entry) {
    ap_sling_register *out = r->out;
    ap_str key = folded(r, tag);
    uint32_t number = ap_intern_find(r->tags, key);
    if (number) {
        return &out->rows[number - 1];
    }
    if (out->count == AP_SLING_ROWS_MAX) {
        out->left_out++;
        return NULL;
    }
    if (out->count == r->cap) {
        size_t cap = r->cap ? r->cap * 2 : 64;
        ap_sling_row *wider = ap_arena_alloc_array(r->arena, cap, sizeof *wider);
        if (!wider) {
            return NULL;
        }
        if (r->cap) {
            memcpy(wider, out->rows, out->count * sizeof *wider);
        }
        out->rows = wider;
        r->cap = cap;
    }
    if (ap_intern_add(r->tags, key) != out->count + 1) {
        return NULL;
    }
    ap_sling_row *row = &out->rows[out->count++];
    *row = (ap_sling_row){.tag = entry ? entry->tag : ap_arena_str(r->arena, tag),
                          .entry = entry,
                          .kind = entry ? entry->kind : 0,
                          .wll_kg = entry ? entry->wll_kg : (double)NAN,
                          .worst_use = NAN,
                          .first = AP_DATE_NONE,
                          .last = AP_DATE_NONE,
                          .last_over = AP_DATE_NONE,
                          .last_shock = AP_DATE_NONE};
    return row;
}

static const ap_recon_leg *leg_of(const ap_recon *recon, int number) {
    for (int i = 0; i < recon->leg_count; i++) {
        if (recon->legs[i].number == number) {
            return &recon->legs[i];
        }
    }
    return NULL;
}

/* Why the use of a leg is not known. */
static ap_str why_not(reader *r, const ap_recon *recon, const ap_recon_leg *leg) {
    if (!leg) {
        return AP_STR_LIT("a balancer: it carries nothing by itself");
    }
    if (recon->no_hang.no) {
        ap_buf_clear(&r->text);
        ap_recon_say_reason(&r->text, &recon->no_hang);
        return ap_arena_str(r->arena, ap_buf_str(&r->text));
    }
    return isnan(leg->tension_n) ? AP_STR_LIT("no weight of the piece")
           : isnan(leg->wll_kg)  ? AP_STR_LIT("no working load limit")
                                 : AP_STR_LIT("the working load limit is none");
}

static void judge(ap_sling_service *out, const ap_pick *pick, const ap_derived *derived, const ap_recon_leg *leg) {
    out->wll_kg = leg ? leg->wll_kg : pick->legs[out->leg - 1].wll_kg;
    out->tension_n = leg ? leg->tension_n : (double)NAN;
    out->use = leg ? leg->use : (double)NAN;
    out->angle_deg = leg && leg->tight ? leg->angle_deg : (double)NAN;
    out->drop_m = leg ? leg->drop_m : (double)NAN;
    out->peak = derived->measured_kg > 0 ? derived->peak_kg / derived->measured_kg : (double)NAN;
    out->flat = !isnan(out->angle_deg) && ap_sling_is_flat(out->angle_deg);
    out->over = ap_over(out->use, 1);
    out->dropped = (pick->movement & AP_MOVE_BIT(AP_MOVEMENT_DROP)) != 0;
    out->shock = ap_over(out->peak, AP_SLING_SHOCK) || out->dropped || ap_over(out->drop_m, AP_SLING_DROP_M);
}

static void note_limit(ap_sling_row *row, const ap_leg *leg) {
    bool entered = row->entry && row->entry->wll_kg > 0;
    if (leg->wll_kg > 0) {
        row->wll_varies = row->wll_varies || fabs(leg->wll_kg - row->wll_kg) > 0.01 * row->wll_kg;
        row->wll_kg = entered ? row->wll_kg : leg->wll_kg;
    }
    if (leg->kind && !(row->entry && row->entry->kind)) {
        row->kind = leg->kind;
    }
}

static void count(ap_sling_row *row, const ap_pick *pick, const ap_sling_service *use, ap_arena *arena) {
    ap_date inspected = row->entry ? row->entry->inspected_on : AP_DATE_NONE;
    bool settled = inspected != AP_DATE_NONE && use->date <= inspected;
    row->picks += row->picks == 0 || row->last_id != pick->id;
    row->last_id = pick->id;
    row->first = row->first == AP_DATE_NONE || use->date < row->first ? use->date : row->first;
    row->last = row->last == AP_DATE_NONE || use->date > row->last ? use->date : row->last;
    row->judged += isnan(use->use) ? 0 : 1;
    if (use->use > row->worst_use || (isnan(row->worst_use) && !isnan(use->use))) {
        row->worst_use = use->use;
        row->worst_pick = ap_arena_str(arena, pick->name);
    }
    row->flat += use->flat;
    row->over += use->over;
    row->shocks += use->shock;
    row->open += !settled && (use->over || use->shock);
    row->last_over = use->over ? use->date : row->last_over;
    row->last_shock = use->shock ? use->date : row->last_shock;
}

static bool keep_use(reader *r, const ap_sling_service *use) {
    ap_sling_register *out = r->out;
    if (out->use_count == AP_SLING_USES_MAX) {
        out->use_left_out++;
        return true;
    }
    if (out->use_count == r->use_cap) {
        size_t cap = r->use_cap ? r->use_cap * 2 : 64;
        ap_sling_service *wider = ap_arena_alloc_array(r->arena, cap, sizeof *wider);
        if (!wider) {
            return false;
        }
        if (r->use_cap) {
            memcpy(wider, out->uses, out->use_count * sizeof *wider);
        }
        out->uses = wider;
        r->use_cap = cap;
    }
    out->uses[out->use_count++] = *use;
    return true;
}

static ap_status reconstruct(ap_recon *out, ap_derived *derived, const ap_pick *pick, reader *r, ap_error *err) {
    ap_wood_given given = AP_WOOD_GIVEN_NOTHING;
    ap_wood wood;
    if (pick->species_id) {
        ap_status status = ap_book_species_get(&given.species, r->book, pick->species_id, err);
        if (status != AP_OK) {
            return status;
        }
    }
    ap_derive(derived, pick, r->company);
    ap_wood_work_out(&wood, pick, &given, r->company);
    ap_recon_given known = AP_RECON_GIVEN(derived, r->company);
    known.wood = &wood;
    ap_reconstruct(out, pick, &known);
    return AP_OK;
}

static ap_status take_pick(void *context, const ap_pick *pick, ap_error *err) {
    reader *r = context;
    ap_recon recon;
    ap_derived derived;
    bool worked = false;
    ap_status status = AP_OK;
    for (int i = 0; status == AP_OK && i < pick->leg_count; i++) {
        ap_str tag = ap_str_trim(pick->legs[i].tag);
        if (tag.len == 0) {
            r->out->untagged++;
            continue;
        }
        if (!worked) {
            status = reconstruct(&recon, &derived, pick, r, err);
            worked = true;
        }
        ap_sling_row *row = status == AP_OK ? row_of(r, tag, ap_company_sling(r->company, tag)) : NULL;
        if (!row) {
            continue;
        }
        const ap_recon_leg *leg = leg_of(&recon, i + 1);
        ap_sling_service use = {
            .date = pick->date, .leg = i + 1, .hitch = pick->legs[i].hitch, .state = pick->legs[i].state};
        judge(&use, pick, &derived, leg);
        note_limit(row, &pick->legs[i]);
        count(row, pick, &use, r->arena);
        if (r->wanted.len && ap_str_compare_nocase(tag, r->wanted) == 0) {
            use.pick = ap_arena_str(r->arena, pick->name);
            use.why = isnan(use.use) ? why_not(r, &recon, leg) : AP_STR_NONE;
            if (!keep_use(r, &use)) {
                break;
            }
        }
    }
    return status == AP_OK ? ap_arena_check(r->arena, "the slings", err) : status;
}

bool ap_sling_is_retired(const ap_sling_row *row) {
    return row->entry && row->entry->retired_on != AP_DATE_NONE;
}

bool ap_sling_needs_inspection(const ap_sling_row *row) {
    return row->open > 0 && !ap_sling_is_retired(row);
}

bool ap_sling_used_retired(const ap_sling_row *row) {
    return ap_sling_is_retired(row) && row->last != AP_DATE_NONE && row->last > row->entry->retired_on;
}

static int by_need(const void *a, const void *b) {
    const ap_sling_row *x = a;
    const ap_sling_row *y = b;
    bool need_x = ap_sling_needs_inspection(x) || ap_sling_used_retired(x);
    bool need_y = ap_sling_needs_inspection(y) || ap_sling_used_retired(y);
    if (need_x != need_y) {
        return need_x ? -1 : 1;
    }
    double use_x = isnan(x->worst_use) ? -1 : x->worst_use;
    double use_y = isnan(y->worst_use) ? -1 : y->worst_use;
    if (use_x != use_y) {
        return use_x > use_y ? -1 : 1;
    }
    return ap_str_compare_natural(x->tag, y->tag);
}

ap_status ap_sling_register_read(ap_sling_register *out, ap_arena *arena, ap_book *book, const ap_company *company,
                                 ap_date until, ap_str tag, ap_error *err) {
    *out = (ap_sling_register){0};
    double brush[AP_WOOD_BRUSH_CLASSES];
    ap_company taught = *company; /* the same tensions as `pick` says */
    taught.brush = brush;
    reader r = {.out = out, .arena = arena, .book = book, .company = &taught, .wanted = ap_str_trim(tag)};
    r.tags = ap_intern_new(arena);
    if (!r.tags) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the slings");
    }
    ap_buf_init(&r.text, REASON_MAX);
    for (size_t i = 0; i < company->sling_count; i++) {
        (void)row_of(&r, company->slings[i].tag, &company->slings[i]);
    }
    const ap_pick_filter filter = {.since = AP_DATE_NONE, .until = until};
    ap_status status = ap_brush_learnt_read(brush, book, AP_DATE_NONE, err);
    if (status == AP_OK) {
        status = ap_book_each_pick(book, &filter, take_pick, &r, err);
    }
    ap_buf_release(&r.text);
    if (status == AP_OK) {
        status = ap_arena_check(arena, "the slings", err);
    }
    if (status == AP_OK && out->count) {
        qsort(out->rows, out->count, sizeof out->rows[0], by_need);
    }
    return status;
}

const ap_sling_row *ap_sling_register_find(const ap_sling_register *reg, ap_str tag) {
    tag = ap_str_trim(tag);
    for (size_t i = 0; i < reg->count; i++) {
        if (ap_str_compare_nocase(reg->rows[i].tag, tag) == 0) {
            return &reg->rows[i];
        }
    }
    return NULL;
}
