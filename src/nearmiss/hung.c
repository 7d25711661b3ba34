#include "nearmiss/hung.h"

#include "analysis/brush_learnt.h"
#include "analysis/kept_recon.h"
#include "base/grow.h"
#include "book/species.h"

/* Where the butt goes is told by its way; who stands at the stem on the butt's side, nearer than that, stands in it. */
static bool in_sweep(const ap_pick *pick, const ap_recon *recon) {
    bool there = pick->climber_at == AP_CLIMBER_AT_STEM || pick->climber_at == 0;
    return there && pick->climber_side == AP_CLIMBER_SIDE_BUTT && pick->climber_distance_m <= recon->butt_move_m;
}

/* A leg that carries nothing, and a leg that is not there: the piece hangs as if both were missing. */
static void set_missing(ap_hung *out, const ap_recon *recon) {
    static const double degree = 3.14159265358979323846 / 180;
    for (int i = 0; i < recon->leg_count && recon->leg_count > 1; i++) {
        const ap_recon_leg *leg = &recon->legs[i];
        if (!leg->tight && !((float)leg->slack_m <= out->slack_m)) {
            out->slack_m = (float)leg->slack_m;
            out->slack_leg = (uint8_t)leg->number;
        }
    }
    if (recon->leg_count == 1) {
        const ap_recon_leg *leg = &recon->legs[0];
        double lean = recon->lean_deg.value * degree;
        out->above_m = (float)((recon->cg_m.value - leg->at_m) * sin(lean) - leg->off_m * cos(lean));
    }
}

static void set_reconstructed(ap_hung *out, const ap_pick *pick, const ap_derived *derived, const ap_species *species,
                              const ap_company *company, ap_recon_kept *kept, ap_recon_reason *no_hang) {
    ap_recon recon;
    ap_wood wood;
    ap_wood_given wood_given = AP_WOOD_GIVEN_NOTHING;
    wood_given.species = species;
    ap_wood_work_out(&wood, pick, &wood_given, company);
    ap_recon_given given = AP_RECON_GIVEN(derived, company);
    given.wood = &wood;
    given.kept = kept;
    ap_reconstruct(&recon, pick, &given);
    out->worst_use = (float)recon.worst_use;
    out->flattest_deg = (float)recon.flattest_deg;
    out->butt_move_m = (float)recon.butt_move_m;
    out->peak_share = (float)recon.peak_share;
    if (!ap_recon_wants_solver(pick)) {
        out->butt_up_m = (float)recon.butt_up_m;
        out->way_m = (float)fmax(recon.butt_move_m, recon.tip_move_m);
    }
    for (int i = 0; i < recon.leg_count; i++) {
        if (recon.legs[i].use >= recon.worst_use) {
            out->leg = (uint8_t)recon.legs[i].number;
            out->flags = (uint8_t)(out->flags | (recon.legs[i].hitch_assumed ? AP_HUNG_HITCH_ASSUMED : 0));
        }
    }
    bool hangs = recon.no_hang.no == AP_RECON_SAID;
    if (no_hang) {
        *no_hang = recon.no_hang;
    }
    if (hangs) {
        set_missing(out, &recon);
    }
    bool known = recon.preload_n.from == AP_ORIGIN_LOG || recon.peak_cause == AP_PEAK_DROP;
    out->flags = (uint8_t)(out->flags | (hangs && recon.cg_outside ? AP_HUNG_CG_OUTSIDE : 0) |
                           (in_sweep(pick, &recon) ? AP_HUNG_IN_SWEEP : 0) |
                           (recon.weight_planned ? AP_HUNG_PLANNED : 0) | (known ? AP_HUNG_PEAK_KNOWN : 0));
}

void ap_hung_set(ap_hung *out, const ap_pick *pick, const ap_species *species, const ap_company *company,
                 ap_recon_kept *kept, ap_recon_reason *no_hang) {
    ap_derived derived;
    ap_derive(&derived, pick, company);
    *out = (ap_hung){.worst_use = NAN,
                     .flattest_deg = NAN,
                     .butt_move_m = NAN,
                     .butt_up_m = NAN,
                     .way_m = NAN,
                     .slack_m = NAN,
                     .above_m = NAN,
                     .peak_share = NAN,
                     .peak_ratio = (float)(pick->peak_load_kg / derived.hook_kg)};
    if (no_hang) {
        *no_hang = (ap_recon_reason){.no = AP_RECON_SAID};
    }
    if (pick->leg_count > 0) {
        set_reconstructed(out, pick, &derived, species, company, kept, no_hang);
    }
}

/* Kept as float: a tie is at the limit. */
bool ap_leg_is_missing(const ap_hung *hung, const ap_rule_limits *limits) {
    return ap_leg_hangs_slack(hung, limits) || (double)hung->above_m >= limits->leg_above_m * (1 - 1e-6);
}

bool ap_leg_hangs_slack(const ap_hung *hung, const ap_rule_limits *limits) {
    return (double)hung->slack_m >= limits->leg_slack_m * (1 - 1e-6);
}

typedef struct loader {
    ap_hung_list *list;
    const ap_rule_limits *limits;
    ap_book *book;
    ap_company company; /* the roster's, with the brush that its picks taught */
    ap_fact *facts;     /* may be NULL */
    size_t fact, end;
} loader;

static bool worth_keeping(const ap_hung *hung, const ap_rule_limits *limits) {
    return hung->flags & (AP_HUNG_CG_OUTSIDE | AP_HUNG_IN_SWEEP) || (double)hung->worst_use > 1 ||
           (double)hung->flattest_deg < limits->leg_angle_deg || ap_leg_is_missing(hung, limits) ||
           (double)hung->peak_ratio > limits->shock_ratio || (double)hung->peak_share > 1;
}

static void note_clash(ap_hung_clashes *clashes, uint32_t fact, const ap_recon_reason *why) {
    if (why->no == AP_RECON_CLASH || why->no == AP_RECON_LEG_OFF_PIECE) {
        if (clashes->count < AP_CLASHES_SHOWN) {
            clashes->shown[clashes->count] = (ap_hung_clash){fact, *why};
        }
        clashes->count++;
    }
}

static ap_status take(void *context, const ap_pick *pick, ap_error *err) {
    loader *load = context;
    ap_hung_list *list = load->list;
    ap_hung one;
    if (load->fact == load->end) {
        return ap_error_set(err, AP_E_INTERNAL, "the book gives more picks of this period than before");
    }
    ap_recon_kept kept;
    ap_status status = ap_kept_recon_read(&kept, load->book, pick, err);
    if (status != AP_OK) {
        return status;
    }
    const ap_species *species = NULL;
    ap_error unknown; /* a species that the book no longer has: the piece's wood is then not known */
    if (!pick->species_id || ap_book_species_get(&species, load->book, pick->species_id, &unknown) != AP_OK) {
        species = NULL;
    }
    ap_recon_reason no_hang;
    ap_hung_set(&one, pick, species, &load->company, &kept, &no_hang);
    note_clash(&list->clashes, (uint32_t)load->fact, &no_hang);
    if (load->facts) {
        load->facts[load->fact].rest->butt_up_m = one.butt_up_m;
        load->facts[load->fact].rest->way_m = one.way_m;
    }
    one.fact = (uint32_t)load->fact++;
    if (!worth_keeping(&one, load->limits)) {
        return AP_OK;
    }
    if (list->count == list->cap) {
        ap_hung *grown = ap_grown(list->items, &list->cap, 256, sizeof *grown);
        if (!grown) {
            return ap_error_set(err, AP_E_MEMORY, "out of memory for the slings of %zu picks", load->fact);
        }
        list->items = grown;
    }
    list->items[list->count++] = one;
    return AP_OK;
}

ap_status ap_hung_load(ap_hung_list *out, ap_book *book, const ap_roster *roster, ap_fact *facts,
                       const ap_rule_limits *limits, ap_date since, ap_date until, ap_error *err) {
    *out = (ap_hung_list){0};
    double brush[AP_WOOD_BRUSH_CLASSES];
    loader load = {.list = out, .limits = limits, .book = book, .company = roster->company, .facts = facts};
    ap_roster_slice(roster, since, until, &load.fact, &load.end);
    const ap_pick_filter filter = {.since = since, .until = until};
    ap_status status = AP_OK;
    if (!load.company.brush) {
        status = ap_brush_learnt(brush, roster, err);
        load.company.brush = brush;
    }
    if (status == AP_OK) {
        status = ap_book_each_pick(book, &filter, take, &load, err);
    }
    return status;
}

void ap_hung_release(ap_hung_list *list) {
    free(list->items);
    *list = (ap_hung_list){0};
}

const ap_hung *ap_hung_get(const ap_hung_list *list, size_t *place, size_t fact) {
    size_t count = list ? list->count : 0;
    while (*place < count && list->items[*place].fact < fact) {
        ++*place;
    }
    return *place < count && list->items[*place].fact == fact ? &list->items[*place] : NULL;
}
