/* The invented company: random numbers, woods, cranes, jobs, and how its crews round what they write.
 * Part of make_samples.c, which includes it once. */
#ifndef AP_SAMPLES_COMPANY_H
#define AP_SAMPLES_COMPANY_H

#include "mech/capacity.h"

#include "base/units.h"

enum { CREWS = 3, MONTHS = 7, FIRST_MONTH = 4, TREES_MAX = 2 };
static const double LB_FT3 = 16.018463373960142;

/* --- random numbers --------------------------------------------------------------------------------------------- */

static uint64_t pcg_state;

static uint32_t next_u32(void) {
    uint64_t old = pcg_state;
    pcg_state = old * 6364136223846793005u + 1442695040888963407u;
    uint32_t shifted = (uint32_t)(((old >> 18) ^ old) >> 27);
    uint32_t turn = (uint32_t)(old >> 59);
    return (shifted >> turn) | (shifted << ((32 - turn) & 31));
}

static void seed(uint64_t value) {
    pcg_state = value * 0x9E3779B97F4A7C15u + 20260401u;
    for (int i = 0; i < 4; i++)
        next_u32();
}

static double uniform(double low, double high) {
    return low + (high - low) * (next_u32() / 4294967296.0);
}

static bool chance(double p) {
    return uniform(0.0, 1.0) < p;
}

static double normal(void) {
    double sum = -6.0;
    for (int i = 0; i < 12; i++)
        sum += uniform(0.0, 1.0);
    return sum;
}

static int between(int low, int high) {
    return low + (int)(next_u32() % (uint32_t)(high - low + 1));
}

/* --- the invented company ---------------------------------------------------------------------------------------- */

typedef struct species {
    const char *name;
    double handbook_lb_ft3; /* wood with bark: US Forest Service FIA REF_SPECIES */
    double shift;           /* this company's own wood against the handbook: invented */
    bool evergreen;
} species;

static const species woods[] = {
    {"silver maple", 47.4, 1.05, false},      {"northern red oak", 66.8, 1.00, false},
    {"sugar maple", 56.2, 1.02, false},       {"white ash", 51.2, 0.98, false},
    {"yellow-poplar", 49.3, 1.03, false},     {"eastern cottonwood", 47.7, 1.02, false},
    {"eastern white pine", 37.1, 1.13, true}, {"Norway spruce", 37.3, 1.06, true},
};
enum { WOODS = sizeof woods / sizeof woods[0] };

/* Cumulative chance of each species by crew: crew B works the river lots, where the silver maples stand. */
static const double mix[CREWS][WOODS] = {
    {0.14, 0.36, 0.50, 0.62, 0.72, 0.78, 0.92, 1.00},
    {0.42, 0.52, 0.60, 0.66, 0.74, 0.86, 0.94, 1.00},
    {0.18, 0.36, 0.50, 0.62, 0.74, 0.80, 0.90, 1.00},
};

/* Invented capacity tables, one boom each: ft and lb as an operator's chart would have them. */
static const double chart_ft[] = {15, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70};
static const double chart_lb[2][12] = {
    {38000, 30000, 23500, 18800, 15400, 12900, 10900, 9300, 8000, 6900, 6000, 5200},
    {24000, 19000, 15000, 12000, 9800, 8100, 6800, 5800, 4900, 4200, 3600, 3100},
};
static const double boom_ft[2] = {95, 80};
static const double rigging_lb[2] = {420, 370};

typedef struct job {
    int crew, month, turn; /* 0..2; 4..10; which job of the crew's month, from 0 */
    int number, day;
    int crane;     /* 0, 1 */
    int estimator; /* 1..4 */
    bool metric;
    double radius_m;
    double landing_m;
} job;

/* --- what a crew writes ------------------------------------------------------------------------------------------ */

static double rounded(double si, ap_unit unit, double step) {
    return ap_unit_to_si(unit, step * (double)llround(ap_unit_from_si(unit, si) / step));
}

static double length_written(const job *j, double m) {
    return j->metric ? rounded(m, AP_UNIT_M, 0.1) : rounded(m, AP_UNIT_FT, 0.5);
}

static double diameter_written(const job *j, double m) {
    return j->metric ? rounded(m, AP_UNIT_CM, 1) : rounded(m, AP_UNIT_IN, 1);
}

static double radius_written(const job *j, double m) {
    return j->metric ? rounded(m, AP_UNIT_M, 0.5) : rounded(m, AP_UNIT_FT, 1);
}

static double weight_written(const job *j, double kg, bool planned) {
    return j->metric ? rounded(kg, AP_UNIT_KG, planned ? 20 : 10) : rounded(kg, AP_UNIT_LB, planned ? 50 : 20);
}

static double capacity_at(const job *j, double radius_m) {
    ap_capacity_row rows[12];
    for (int i = 0; i < 12; i++)
        rows[i] = (ap_capacity_row){NAN, ap_unit_to_si(AP_UNIT_FT, chart_ft[i]),
                                    ap_unit_to_si(AP_UNIT_LB, chart_lb[j->crane][i])};
    ap_capacity found;
    if (ap_capacity_find(&found, rows, 12, &(ap_capacity_at){.boom_m = NAN, .radius_m = radius_m}, NULL) != AP_OK)
        return NAN;
    return j->metric ? ap_unit_to_si(AP_UNIT_KG, 10.0 * floor(found.capacity_kg / 10.0)) : found.capacity_kg;
}

#endif
