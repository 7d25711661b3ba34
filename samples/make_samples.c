/* Writes the invented logs of samples/: make_samples FOLDER
 *
 * Everything here is made up: the company, its crews, cranes, capacity tables, trees and picks. What holds it together is
 * physics, so that the review has something true to find:
 *   wood     handbook green density with bark, a company shift per species, spread per tree and per piece
 *   shape    conic stem, brush as an allowance by season, butt flare that the plan does not know
 *   plan     the same sums with the handbook's density and one brush allowance, a bias per estimator, a reading error
 *   crane    two capacity tables that fall with radius; crane K2's indicator reads 3 % high
 *   slings   legs set for a guessed balance point; what the piece then does comes from mech/hang
 * On top lie the planted patterns, each one function or one line marked PLANT, listed in samples/README.md.
 *
 * Digits do not depend on the machine: own generator (PCG32, M. O'Neill 2014), normal deviates as sums of uniform ones,
 * every figure rounded to what a crew writes. One seed a job, so that a change to one job leaves the others alone. */
#include "company.h"
#include "log_files.h"
#include "slings.h"

#include "mech/balance.h"
#include "mech/hang.h"

#include "base/arena.h"

/* --- one pick ---------------------------------------------------------------------------------------------------- */

static ap_stem stem_of(const ap_pick *p) {
    return (ap_stem){p->length_m, p->butt_diameter_m, p->mid_diameter_m, p->tip_diameter_m};
}

static double stem_volume(const ap_pick *p) {
    return ap_volume_conic(p->butt_diameter_m, p->tip_diameter_m, p->length_m);
}

/* Brush on the stem's own weight: what is there. The plan reckons with one figure all year. */
static double brush_allowance(const ap_pick *p) {
    static const double by_foliage[] = {0.10, 0.23, 0.13, 0.22};
    double full = by_foliage[p->foliage];
    return p->piece == AP_PIECE_TOP || p->piece == AP_PIECE_LIMB ? full
           : p->piece == AP_PIECE_LEADER                         ? full / 2.0
                                                                 : 0.0;
}

static double planned_allowance(const ap_pick *p) {
    return p->piece == AP_PIECE_TOP || p->piece == AP_PIECE_LIMB ? 0.20 : p->piece == AP_PIECE_LEADER ? 0.10 : 0.0;
}

static void set_shape(ap_pick *p, const job *j, int piece) {
    p->piece = piece;
    double length = 0.0;
    double butt = 0.0;
    double taper = 0.0;
    switch (piece) {
    case AP_PIECE_TOP:
        length = uniform(6.0, 9.5), butt = uniform(0.38, 0.52), taper = uniform(0.15, 0.3),
        p->lean_deg = between(13, 17) * 5;
        break;
    case AP_PIECE_LIMB:
        length = uniform(5.5, 9.0), butt = uniform(0.40, 0.58), taper = uniform(0.3, 0.5),
        p->lean_deg = between(0, 9) * 5;
        break;
    case AP_PIECE_LEADER:
        length = uniform(4.5, 8.0), butt = uniform(0.46, 0.72), taper = uniform(0.55, 0.75),
        p->lean_deg = between(6, 12) * 5;
        break;
    case AP_PIECE_STUB:
        length = uniform(1.0, 1.8), butt = uniform(0.5, 0.8), taper = uniform(0.9, 0.97), p->lean_deg = 90;
        break;
    default:
        length = uniform(2.8, 5.5), butt = uniform(0.65, 1.1), taper = uniform(0.82, 0.93),
        p->lean_deg = between(17, 18) * 5;
        break;
    }
    p->length_m = length_written(j, length);
    p->butt_diameter_m = diameter_written(j, butt);
    p->tip_diameter_m = fmin(diameter_written(j, butt * taper), p->butt_diameter_m);
}

/* Keeps the planned hook load under two thirds of the chart, as a careful planner would: shorter pieces. */
static double plan_estimate(ap_pick *p, const job *j, const truth *t, double log_bias) {
    double factor = t->wood->handbook_lb_ft3 * LB_FT3 * (1.0 + planned_allowance(p)) * exp(log_bias);
    for (int i = 0; i < 12; i++) {
        double hook = stem_volume(p) * factor + p->rigging_weight_kg;
        if (hook <= 0.74 * p->planned_capacity_kg)
            break;
        p->length_m = length_written(j, p->length_m * 0.88);
    }
    return stem_volume(p) * factor;
}

static double plan_bias(const job *j, const ap_pick *p, const truth *t) {
    static const double person[] = {0.0, 0.01, 0.04, 0.02, 0.03};
    double bias = person[j->estimator];
    double spread = 0.06;
    if (j->crew == 0) { /* PLANT crew A plans light until August, better and steadier from September */
        bias += j->month < 9 ? -0.09 : 0.01;
        spread = j->month < 9 ? 0.10 : 0.055;
    }
    /* PLANT estimator E2 runs about 18 % light on silver maple through cuts from July (the wood's own 5 % included) */
    if (j->estimator == 2 && j->month >= 7 && t->wood == &woods[0] && p->cut == AP_CUT_THROUGH)
        bias = -0.17;
    return bias + spread * normal();
}

static int choose_cut(int piece) {
    double u = uniform(0.0, 1.0);
    switch (piece) {
    case AP_PIECE_TOP:
        return u < 0.60 ? AP_CUT_THROUGH : u < 0.88 ? AP_CUT_STEP : AP_CUT_HINGE;
    case AP_PIECE_LIMB:
        return u < 0.50 ? AP_CUT_THROUGH : u < 0.72 ? AP_CUT_STEP : u < 0.90 ? AP_CUT_HINGE : AP_CUT_ANGLED;
    case AP_PIECE_LEADER:
        return u < 0.42 ? AP_CUT_THROUGH : u < 0.92 ? AP_CUT_STEP : AP_CUT_SNAP;
    default:
        return u < 0.85 ? AP_CUT_THROUGH : AP_CUT_STEP;
    }
}

static void set_foliage(ap_pick *p, const job *j, const species *wood) {
    bool bare = j->month == 4 || (j->month == 10 && j->day > 24);
    p->foliage = wood->evergreen ? AP_FOLIAGE_EVERGREEN : bare ? AP_FOLIAGE_LEAF_OFF : AP_FOLIAGE_LEAF_ON;
}

/* Plan and true weight. */
static void plan(ap_pick *p, const job *j, truth *t) {
    p->rigging_weight_kg = weight_written(j, ap_unit_to_si(AP_UNIT_LB, rigging_lb[j->crane]), false);
    p->planned_radius_m = radius_written(j, j->radius_m + uniform(-1.0, 1.0));
    p->planned_capacity_kg = capacity_at(j, p->planned_radius_m);
    p->cut = choose_cut(p->piece);
    p->planned_cut = chance(0.94) ? p->cut : AP_CUT_STEP;
    double estimate = plan_estimate(p, j, t, plan_bias(j, p, t));
    double u = uniform(0.0, 1.0);
    p->estimate_basis = u < 0.40   ? AP_BASIS_CHART
                        : u < 0.60 ? AP_BASIS_TABLE
                        : u < 0.75 ? AP_BASIS_WORKED
                                   : AP_BASIS_BY_EYE;
    p->planned_weight_kg = weight_written(j, estimate, true);
    if (p->estimate_basis == AP_BASIS_BY_EYE && !j->metric)
        p->planned_weight_kg = rounded(estimate, AP_UNIT_LB, 100);
    p->planned_as = AP_WEIGHED_AS_NET;

    double flare = t->butt_piece ? 0.92 : 1.0;
    double brush = brush_allowance(p) * exp(0.25 * normal());
    double reading = 1.0 + 0.02 * normal();
    t->weight_kg = stem_volume(p) * flare * reading * t->density_kg_m3 * exp(0.04 * normal()) * (1.0 + brush);
    double share = brush / (1.0 + brush);
    double balance = ap_balance_frustum(p->butt_diameter_m, p->tip_diameter_m, p->length_m);
    t->cg_m = (1.0 - share) * balance + share * AP_BRUSH_AT_SHARE * p->length_m;
    if (share > 0.0 && chance(0.4))
        p->brush_share = rounded(share, AP_UNIT_PERCENT, 5);
    ap_stem stem = stem_of(p);
    if (t->butt_piece && chance(0.3)) /* some crews tape the middle of a butt log, where the flare shows */
        p->mid_diameter_m = diameter_written(j, 0.5 * (stem.butt_diameter_m * 0.91 + stem.tip_diameter_m));
    if (!isnan(p->mid_diameter_m) && p->mid_diameter_m < p->tip_diameter_m)
        p->mid_diameter_m = NAN;
}

/* --- the weighing ------------------------------------------------------------------------------------------------- */

static void set_measured(ap_pick *p, const job *j, double net_kg) {
    bool cell = j->crew == 2 && j->metric;
    /* PLANT crane K2's indicator reads 3 % high; a load cell on the hook does not */
    double reads = !cell && j->crane == 1 ? 1.03 : 1.0;
    double gross = (net_kg + p->rigging_weight_kg) * reads;
    p->measured_weight_kg = weight_written(j, cell ? gross - p->rigging_weight_kg : gross, false);
    p->measured_as = cell ? AP_WEIGHED_AS_NET : AP_WEIGHED_AS_GROSS;
    p->weighed_by = cell ? AP_WEIGHED_BY_LOAD_CELL : AP_WEIGHED_BY_LOAD_INDICATOR;
}

static double gross_of(const ap_pick *p) {
    return p->measured_weight_kg + (p->measured_as == AP_WEIGHED_AS_NET ? p->rigging_weight_kg : 0.0);
}

static void weigh(ap_pick *p, const job *j, const truth *t) {
    double hook = t->weight_kg + p->rigging_weight_kg;
    p->cut_radius_m = radius_written(j, p->planned_radius_m + fabs(0.35 * normal()));
    p->cut_capacity_kg = capacity_at(j, p->cut_radius_m);
    p->set_down_radius_m = radius_written(j, fmin(j->landing_m + uniform(-1.0, 1.0), p->cut_radius_m));
    p->set_down_capacity_kg = capacity_at(j, p->set_down_radius_m);
    p->boom_length_m = j->metric ? rounded(ap_unit_to_si(AP_UNIT_FT, boom_ft[j->crane]), AP_UNIT_M, 1)
                                 : ap_unit_to_si(AP_UNIT_FT, boom_ft[j->crane]);
    if (chance(0.7))
        p->preload_kg = weight_written(
            j, fmin(p->planned_weight_kg + p->rigging_weight_kg, 0.97 * hook) * uniform(0.82, 1.0), true);
    double unweighed = j->crew == 2 && j->month >= 9 ? 0.30 : 0.085; /* PLANT crew C weighs less and less */
    set_measured(p, j, t->weight_kg * (1.0 + 0.01 * normal()));
    if (chance(0.6)) {
        bool moved = (p->movement & ~3) != 0;
        double factor = 1.0 + (moved ? uniform(0.02, 0.11) : fabs(0.015 * normal()));
        p->peak_load_kg = fmax(weight_written(j, hook * fmin(factor, 1.12), false), gross_of(p));
    }
    if (chance(unweighed)) {
        p->measured_weight_kg = NAN;
        p->measured_as = p->weighed_by = 0;
        p->peak_load_kg = NAN;
    }
}

/* --- notes and the planted picks ---------------------------------------------------------------------------------- */

static void note(ap_pick *p, const char *text) {
    p->notes = ap_str_from(text);
}

static void write_notes(ap_pick *p, const truth *t) {
    static const char *const plain[] = {
        "no side load",
        "tight drop zone, went fine",
        "chips wet, saw pulled a bit",
        "second sling moved up before the cut",
        "operator happy",
        "short radio gap",
        "ivy on the stem",
        "old cable in the crotch, cut above it",
        "no close call today, good landing",
    };
    double heavy = p->measured_weight_kg / (p->planned_weight_kg + p->rigging_weight_kg);
    double far = p->movement_distance_m;
    if (far > 1.0 && chance(0.25)) {
        p->near_miss = AP_YESNO_YES;
        note(p, p->legs[1].state == AP_LEG_STATE_SLACK           ? "butt jumped up past the saw, upper leg was slack"
                : p->movement & AP_MOVE_BIT(AP_MOVEMENT_BUTT_UP) ? "butt jumped up past the saw"
                                                                 : "came off with a jerk, nobody close");
    } else if (heavy > 1.18 && chance(0.35)) {
        note(p, chance(0.5) ? "heavier than we thought" : "way heavier than the guess, operator not amused");
    } else if (p->re_rigs > 0 && p->re_rigs != AP_COUNT_NONE && chance(0.5)) {
        note(p, "had to bring the hook back, leg was wrong");
    } else if (t->butt_piece && chance(0.15)) {
        note(p, "flare at the butt");
    } else if (chance(0.07)) {
        note(p, plain[between(0, 8)]);
    }
}

/* Slacks the upper leg by 0.7 m, the hook plumb over the lower one, so that the butt comes up; the log then says what was
 * seen. The predicted way of the butt is returned. */
static double slack_upper_leg(ap_pick *p, const job *j, const truth *t) {
    if (isnan(p->butt_diameter_m))
        p->butt_diameter_m = diameter_written(j, 0.45);
    if (isnan(p->tip_diameter_m))
        p->tip_diameter_m = diameter_written(j, 0.4 * p->butt_diameter_m);
    if (!p->legs[1].kind)
        rig_two(p, j, t);
    ap_hang_leg legs[2];
    hang_legs(legs, p);
    legs[1].length_m = 50.0;
    const int states[2] = {AP_LEG_STATE_TIGHT, AP_LEG_STATE_SLACK};
    ap_hang_start start;
    if (isnan(p->lean_deg))
        p->lean_deg = 35.0;
    if (ap_hang_before_cut(&start, legs, states, p->lean_deg, NULL) == AP_OK)
        p->legs[1].length_m = length_written(j, 50.0 - start.slack_m[1] + 0.7);
    p->legs[0].state = AP_LEG_STATE_TIGHT;
    p->legs[1].state = AP_LEG_STATE_SLACK;
    p->movement = AP_MOVE_BIT(AP_MOVEMENT_BUTT_UP) | AP_MOVE_BIT(AP_MOVEMENT_TIP_DIVE);
    ap_separation way;
    double swing;
    return part(&way, &swing, p, t) ? way.butt_move_m : 1.0;
}

static bool crept; /* the radius has crept once */

/* C, second job, the first piece above 1500 kg: over chart at set-down because the radius crept. */
static void creep(ap_pick *p, const job *j, const truth *t) {
    crept = true;
    p->cut_radius_m = isnan(p->cut_radius_m) ? p->planned_radius_m : p->cut_radius_m;
    p->cut_capacity_kg = capacity_at(j, p->cut_radius_m);
    p->rigging_weight_kg = weight_written(j, ap_unit_to_si(AP_UNIT_LB, rigging_lb[j->crane]), false);
    set_measured(p, j, t->weight_kg);
    p->set_down_radius_m = p->cut_radius_m;
    while (capacity_at(j, p->set_down_radius_m) > gross_of(p) / 1.04)
        p->set_down_radius_m = radius_written(j, p->set_down_radius_m + 0.5);
    p->set_down_capacity_kg = capacity_at(j, p->set_down_radius_m);
    p->near_miss = AP_YESNO_YES;
    note(p, "had to boom out over the garage, indicator alarm");
}

static void plant_october(ap_pick *p, const job *j, const truth *t, int n) {
    int at = j->crew * 100 + j->turn * 20 + n;
    switch (at) {
    case 2: /* A, first job, pick 2: the butt comes at the climber */
        p->movement_distance_m = length_written(j, slack_upper_leg(p, j, t));
        p->toward = AP_TOWARD_CLIMBER;
        p->climber_at = AP_CLIMBER_AT_STEM;
        p->climber_distance_m = length_written(j, 0.9);
        p->climber_side = AP_CLIMBER_SIDE_BUTT;
        p->near_miss = AP_YESNO_YES;
        note(p, "butt jumped at the climber, upper leg was still slack, nobody hurt");
        break;
    case 23: /* A, second job, pick 3: legs too short for their spacing */
        if (!p->legs[1].kind)
            rig_two(p, j, t);
        p->legs[0].length_m = p->legs[1].length_m = length_written(j, 0.54 * (p->legs[1].at_m - p->legs[0].at_m));
        note(p, "legs very flat");
        break;
    case 47: /* A, third job, pick 7: dropped onto its slings */
        p->movement = AP_MOVE_BIT(AP_MOVEMENT_DROP);
        p->movement_distance_m = length_written(j, 0.5);
        set_measured(p, j, t->weight_kg);
        p->peak_load_kg = weight_written(j, gross_of(p) * 1.32, false);
        note(p, "dropped onto the slings, indicator jumped");
        break;
    case 122: /* B, second job, pick 2: stood inside the butt's way, and it went well */
        p->movement_distance_m = length_written(j, slack_upper_leg(p, j, t));
        p->toward = AP_TOWARD_CLEAR;
        p->climber_at = AP_CLIMBER_AT_STEM;
        p->climber_side = AP_CLIMBER_SIDE_BUTT;
        p->climber_distance_m = length_written(j, 0.6);
        break;
    case 144: /* B, third job, pick 4: swings at the climber, not marked as a near miss */
        p->movement = AP_MOVE_BIT(AP_MOVEMENT_SWING);
        p->movement_distance_m = length_written(j, 1.4);
        p->toward = AP_TOWARD_CLIMBER;
        p->climber_at = AP_CLIMBER_AT_STEM;
        p->climber_distance_m = length_written(j, 1.2);
        note(p, "came round at the climber, close call, he stepped back in time");
        break;
    default:
        break;
    }
    if (j->crew == 2 && j->turn == 1 && !crept && t->weight_kg > 1500.0)
        creep(p, j, t);
    if (j->crew == 2 && j->turn == 2 &&
        (n == 3 || n == 4 || n == 6 || n == 7 || n == 9)) { /* C, third job: kerfs close */
        p->kerf = AP_KERF_CLOSING;
        note(p, n == 3 ? "kerf closed on the bar, wedge needed" : n == 7 ? "saw pinched again" : "kerf closing");
    }
}

static double copied_kg; /* the weight that was copied down */

static void plant(ap_pick *p, const job *j, const truth *t, int n) {
    static const double run[] = {1.14, 1.21, 1.16, 1.24, 1.13, 1.18};
    if (j->crew == 1 && j->month == 9 && j->turn == 1 && n >= 3 && n <= 8) /* PLANT crew B: six heavier in a row */
        set_measured(p, j, p->planned_weight_kg * run[n - 3] / 1.03);
    if (j->crew == 1 && j->month == 10 && j->turn == 2 && n >= 7 && n <= 10) { /* PLANT one weight copied down */
        if (n == 7) {
            set_measured(p, j, t->weight_kg);
            copied_kg = p->measured_weight_kg;
        }
        p->measured_weight_kg = copied_kg;
        p->measured_as = AP_WEIGHED_AS_GROSS;
        p->weighed_by = AP_WEIGHED_BY_LOAD_INDICATOR;
        p->peak_load_kg = NAN;
    }
    if (j->month == 10)
        plant_october(p, j, t, n);
}

/* --- jobs --------------------------------------------------------------------------------------------------------- */

static void name_people(ap_pick *p, const job *j, ap_arena *arena) {
    static const char *const sites[] = {"Quarry Lane", "Mill Pond lots", "Orchard Row",   "School yard",
                                        "Ferry Road",  "Cemetery edge",  "Station Green", "Old Brickworks",
                                        "Chapel Hill", "North Common"};
    static const char *const crews[] = {"A", "B", "C"};
    p->job = ap_arena_printf(arena, "J%d", j->number);
    p->site = ap_arena_printf(arena, "%s %d", sites[(j->number * 7) % 10], 1 + (j->number * 13) % 40);
    p->crew = ap_str_from(crews[j->crew]);
    p->estimator = ap_arena_printf(arena, "E%d", j->estimator);
    p->climber = ap_arena_printf(arena, "C%d", 1 + 2 * j->crew + (chance(0.6) ? 0 : 1));
    p->operator_name = ap_arena_printf(arena, "O%d", j->crane + 1 + (j->crew == 2 ? 1 : 0));
    p->crane = ap_arena_printf(arena, "K%d", j->crane + 1);
    if (ap_date_from_civil(&p->date, 2026, j->month, j->day) && chance(0.5))
        p->wind = ap_str_from(chance(0.6) ? "calm" : chance(0.7) ? "light" : "gusty");
}

/* Cells that nobody filled in. Never what a pick needs to be read. */
static void smudge(ap_pick *p) {
    static const char *const may_be_blank[] = {
        "lean", "tip_diameter", "estimate_basis", "cut_radius",  "cut_capacity",  "rigging_weight",  "climber_at",
        "kerf", "leg_1_length", "leg_2_state",    "planned_cut", "butt_diameter", "set_down_radius", "movement"};
    ap_pick blank;
    ap_pick_clear(&blank);
    for (size_t i = 0; i < sizeof may_be_blank / sizeof may_be_blank[0]; i++) {
        int column = ap_field_find(ap_str_from(may_be_blank[i]));
        bool length = ap_field_get(column)->kind == AP_KIND_QTY;
        if (chance(0.025))
            memcpy(ap_pick_at(p, column), ap_pick_at_const(&blank, column), length ? sizeof(double) : sizeof(int32_t));
    }
}

enum { PIECES_MAX = 10 };

static int pieces_of(int out[PIECES_MAX], bool evergreen) {
    int n = 0;
    out[n++] = AP_PIECE_TOP;
    for (int i = between(evergreen ? 0 : 1, evergreen ? 1 : 3); i > 0; i--)
        out[n++] = AP_PIECE_LIMB;
    for (int i = evergreen ? 0 : between(1, 2); i > 0; i--)
        out[n++] = AP_PIECE_LEADER;
    for (int i = between(evergreen ? 3 : 1, evergreen ? 4 : 2); i > 0; i--)
        out[n++] = AP_PIECE_TRUNK;
    if (chance(0.08))
        out[n++] = AP_PIECE_STUB;
    return n;
}

typedef void (*pick_sink)(void *context, const ap_pick *pick);

static void run_job(const job *j, ap_arena *arena, pick_sink sink, void *context) {
    seed((uint64_t)j->number);
    int n = 0;
    crept = false;
    int minute = 7 * 60 + between(20, 55);
    for (int tree = 0; tree < TREES_MAX; tree++) {
        double u = uniform(0.0, 1.0);
        int w = 0;
        while (w < WOODS - 1 && u >= mix[j->crew][w])
            w++;
        /* The planted picks need limbs and leaders, and a silver maple for E2: those jobs start with one. */
        if (tree == 0 && j->month >= 9)
            w = j->crew == 1 ? 0 : 1 + (j->number % 4);
        double spread = exp(0.04 * normal());
        int condition = chance(0.08) ? AP_CONDITION_DEAD : AP_CONDITION_LIVE;
        int kinds[PIECES_MAX];
        int count = pieces_of(kinds, woods[w].evergreen);
        for (int i = 0; i < count; i++) {
            ap_pick p;
            ap_pick_clear(&p);
            truth t = {.wood = &woods[w], .butt_piece = i == count - 1};
            t.density_kg_m3 = woods[w].handbook_lb_ft3 * LB_FT3 * woods[w].shift * spread *
                              (condition == AP_CONDITION_DEAD ? 0.85 : 1.0);
            name_people(&p, j, arena);
            n++;
            minute += between(14, 34);
            p.time = minute;
            p.tree = ap_arena_printf(arena, "T%d", tree + 1);
            p.pick = ap_arena_printf(arena, "%d", n);
            p.species = ap_str_from(woods[w].name);
            p.condition = condition;
            set_foliage(&p, j, &woods[w]);
            set_shape(&p, j, kinds[i]);
            plan(&p, j, &t);
            rig(&p, j, &t);
            move(&p, j, &t);
            weigh(&p, j, &t);
            write_notes(&p, &t);
            smudge(&p);
            plant(&p, j, &t, n);
            if (j->crew == 0)
                for (int leg = 0; leg < 2 && p.legs[leg].kind; leg++)
                    p.legs[leg].tag = ap_arena_printf(arena, "S%d", 10 * p.legs[leg].kind + 3 * leg + between(1, 3));
            sink(context, &p);
        }
    }
}

static void set_job(job *j, int number, int crew, int month, int turn) {
    *j = (job){.crew = crew, .month = month, .turn = turn, .number = number};
    seed(1000u + (uint64_t)number);
    j->metric = crew == 1 || (crew == 2 && month >= 8);
    j->crane = crew == 2 ? turn % 2 : crew;
    j->estimator = chance(0.12) ? 4 : crew + 1;
    if (month >= 9 && crew == 1)
        j->estimator = 2;
    j->radius_m = ap_unit_to_si(AP_UNIT_FT, j->crane == 0 ? between(46, 64) : between(32, 50));
    j->landing_m = j->radius_m * uniform(0.6, 0.95);
    j->day = (month == 4 ? 9 : 3) + turn * 9 + crew * 2 + between(0, 1);
    ap_date date;
    if (!ap_date_from_civil(&date, 2026, month, j->day))
        abort();
    int weekday = (int)((date + 4) % 7); /* 1970-01-01 was a Thursday; 0 = Sunday */
    j->day += weekday == 6 ? 2 : weekday == 0 ? 1 : 0;
}

static int write_log(const char *folder, const log_file *log) {
    ap_buf out;
    ap_buf columns;
    ap_buf path;
    ap_arena arena;
    ap_buf_init(&out, 1 << 22);
    ap_buf_init(&columns, 1 << 14);
    ap_buf_init(&path, 4096);
    ap_arena_init(&arena, 1 << 24);
    ap_buf_appendf(&columns, "%s%s", columns_common, log->more_columns);
    ap_buf_appendf(&path, "%s/%s", folder, log->name);
    writer w = {.out = &out, .metric = log->metric};
    write_header(&w, columns.ptr);
    for (int month = FIRST_MONTH, number = 101; month < FIRST_MONTH + MONTHS; month++)
        for (int turn = 0; turn < (month == FIRST_MONTH ? 2 : 3); turn++)
            for (int crew = 0; crew < CREWS; crew++, number++) {
                job j;
                set_job(&j, number, crew, month, turn);
                if (crew == log->crew && month >= log->first_month && month <= log->last_month)
                    run_job(&j, &arena, write_pick, &w);
            }
    FILE *file = fopen(path.ptr, "wb");
    bool good = file && out.status == AP_OK && fwrite(out.ptr, 1, out.len, file) == out.len;
    if (file && fclose(file) != 0)
        good = false;
    if (!good)
        fprintf(stderr, "unable to write '%s'\n", path.ptr);
    ap_buf_release(&out);
    ap_buf_release(&columns);
    ap_buf_release(&path);
    ap_arena_release(&arena);
    return good ? 0 : 1;
}

int main(int argc, char **argv) {
    if (argc != 2) {
        fputs("use: make_samples FOLDER\n", stderr);
        return 2;
    }
    int failed = 0;
    for (size_t i = 0; i < LOGS; i++)
        failed |= write_log(argv[1], &logs[i]);
    return failed;
}
