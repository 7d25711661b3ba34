#include "intake/whole_file.h"

enum { ROWS_AT_LEAST = 10, COPIED_AT_LEAST = 4 };
static const double SHARE_AT_LEAST = 0.6;
static const double WEIGHT_WIDTH = 0.12; /* in ln(ratio): estimates scatter by about that much */
static const double VOLUME_WIDTH = 0.18; /* less than half the gap between ln 2.2 and ln 3.28 */
static const double PI = 3.14159265358979323846;

typedef struct sign {
    double ratio;
    const char *says;
} sign;

static const sign WEIGHT_SIGNS[] = {
    {2.20462262, "measured is about 2.2 times planned: one of the two is in pounds and the other in kilograms"},
    {0.45359237, "measured is about 0.45 times planned: one of the two is in kilograms and the other in pounds"},
    {1000, "measured is about 1000 times planned: one of the two is in tonnes and the other in kilograms"},
    {0.001, "planned is about 1000 times measured: one of the two is in kilograms and the other in tonnes"},
};
static const sign VOLUME_SIGNS[] = {
    {2.20462262, "the weights are about 2.2 times what the volume gives: pounds read as kilograms?"},
    {0.45359237, "the weights are about 0.45 times what the volume gives: kilograms read as pounds?"},
    {3.2808399, "the weights are about 3.28 times what the volume gives: lengths in metres read as feet?"},
    {0.3048, "the volume is about 3.28 times what the weights give: lengths in feet read as metres?"},
    {6.4516,
     "the weights are about 2.54 squared times what the volume gives: diameters in inches read as centimetres?"},
    {0.15500031,
     "the volume is about 2.54 squared times what the weights give: diameters in centimetres read as inches?"},
    {144, "the weights are about 12 squared times what the volume gives: diameters in feet read as inches?"},
    {0.00694444, "the volume is about 12 squared times what the weights give: diameters in inches read as feet?"},
    {0.00155, "the volume is about 25.4 squared times what the weights give: diameters in millimetres read as inches?"},
    {0.01, "the volume is about 10 squared times what the weights give: diameters in millimetres read as centimetres?"},
};
enum {
    WEIGHT_SIGN_COUNT = sizeof WEIGHT_SIGNS / sizeof *WEIGHT_SIGNS,
    VOLUME_SIGN_COUNT = sizeof VOLUME_SIGNS / sizeof *VOLUME_SIGNS
};

static void note_ratio(int64_t *counts, const sign *signs, size_t count, double width, double ratio) {
    if (ratio > 0.69 && ratio < 1.45) {
        return; /* nowhere near any unit */
    }
    const double at = log(ratio);
    for (size_t i = 0; i < count; i++) {
        if (fabs(at - log(signs[i].ratio)) <= width) {
            counts[i]++;
            return;
        }
    }
}

static double net_of(double weight_kg, int as, double rigging_kg) {
    return as == AP_WEIGHED_AS_GROSS ? weight_kg - rigging_kg : weight_kg;
}

static void note_volume(ap_whole_file *whole, const ap_pick *pick, const ap_species *species, double net_kg) {
    const double butt = pick->butt_diameter_m;
    const double tip = pick->tip_diameter_m;
    const double volume = PI / 12 * pick->length_m * (butt * butt + butt * tip + tip * tip);
    if (species && volume > 0 && net_kg > 0 && species->density_kg_m3 > 0) {
        whole->volume_rows++;
        note_ratio(whole->volume_signs, VOLUME_SIGNS, VOLUME_SIGN_COUNT, VOLUME_WIDTH,
                   net_kg / (volume * species->density_kg_m3));
    }
}

static bool is_round(double kg, ap_written written) {
    const double hundreds = ap_unit_from_si((ap_unit)written.unit, kg) / 100;
    return fabs(hundreds - nearbyint(hundreds)) < 1e-6;
}

/* A measured weight that is said to be net and still holds block and slings shows on light pieces. */
static void note_light(ap_whole_file *whole, double planned_kg, double measured_kg, double rigging_kg) {
    if (!(rigging_kg > 0) || planned_kg > 3 * rigging_kg) {
        return;
    }
    whole->light_rows++;
    const double as_said = fabs(measured_kg - planned_kg);
    const double taken_off = fabs(measured_kg - rigging_kg - planned_kg);
    whole->light_gross += measured_kg > planned_kg + rigging_kg / 2 && taken_off < as_said / 2;
}

/* The same measured weight row after row. A blank cell ends it. */
static void note_copied(ap_whole_file *whole, const ap_pick *pick) {
    const double kg = pick->measured_weight_kg;
    const bool again = kg > 0 && whole->copied_rows > 0 && fabs(kg - whole->copied_kg) < 1e-9;
    if (again) {
        whole->copied_rows++;
    } else {
        whole->copied_rows = kg > 0;
        whole->copied_line = pick->source_line;
        whole->copied_kg = kg;
    }
    if (whole->copied_rows > whole->longest_rows) {
        whole->longest_rows = whole->copied_rows;
        whole->longest_line = whole->copied_line;
        whole->longest_kg = kg;
    }
}

static void note_date(ap_whole_file *whole, ap_date date) {
    int year = 0;
    int month = 0;
    int day = 0;
    ap_date_to_civil(date, &year, &month, &day);
    whole->date_rows++;
    whole->days[day]++;
    whole->months[day] |= (uint16_t)(1u << month);
}

void ap_whole_file_add(ap_whole_file *whole, const ap_pick *pick, const ap_species *species,
                       const ap_settings *settings) {
    const int planned_as = pick->planned_as ? pick->planned_as : settings->planned_as;
    const int measured_as = pick->measured_as ? pick->measured_as : settings->weighed_as;
    const double rigging = isnan(pick->rigging_weight_kg) ? settings->block_weight_kg : pick->rigging_weight_kg;
    const double planned = net_of(pick->planned_weight_kg, planned_as, rigging);
    const double measured = net_of(pick->measured_weight_kg, measured_as, rigging);
    note_volume(whole, pick, species, measured > 0 ? measured : planned);
    note_copied(whole, pick);
    note_date(whole, pick->date);
    if (!(planned > 0) || !(measured > 0)) {
        return;
    }
    whole->weight_rows++;
    note_ratio(whole->weight_signs, WEIGHT_SIGNS, WEIGHT_SIGN_COUNT, WEIGHT_WIDTH, measured / planned);
    if (measured_as == AP_WEIGHED_AS_GROSS && planned_as == AP_WEIGHED_AS_NET) {
        whole->basis_rows++;
        whole->gross_below_net += pick->measured_weight_kg < pick->planned_weight_kg;
    }
    if (measured_as == AP_WEIGHED_AS_NET && planned_as == AP_WEIGHED_AS_NET) {
        note_light(whole, planned, measured, rigging);
    }
    const ap_written planned_written = pick->written[AP_F_planned_weight];
    const ap_written measured_written = pick->written[AP_F_measured_weight];
    if (planned_written.unit == AP_UNIT_LB && measured_written.unit == AP_UNIT_LB) {
        whole->round_rows++;
        whole->planned_round += is_round(pick->planned_weight_kg, planned_written);
        whole->measured_round += is_round(pick->measured_weight_kg, measured_written);
    }
}

static bool most(int64_t part, int64_t rows) {
    return rows >= ROWS_AT_LEAST && (double)part >= SHARE_AT_LEAST * (double)rows;
}

static bool say_sign(char *out, size_t size, const int64_t *counts, const sign *signs, size_t count, int64_t rows,
                     int *skip) {
    for (size_t i = 0; i < count; i++) {
        if (most(counts[i], rows) && (*skip)-- == 0) {
            snprintf(out, size, "in %lld of %lld rows %s", (long long)counts[i], (long long)rows, signs[i].says);
            return true;
        }
    }
    return false;
}

/* Signs that lie in how rows stand to each other. */
static bool say_order(char *out, size_t size, const ap_whole_file *whole, int *skip) {
    if (most(whole->light_gross, whole->light_rows) && (*skip)-- == 0) {
        snprintf(out, size,
                 "in %lld of %lld rows of light pieces the measured net weight is above plan by about the block and "
                 "slings: gross weights written as net?",
                 (long long)whole->light_gross, (long long)whole->light_rows);
        return true;
    }
    if (whole->longest_rows >= COPIED_AT_LEAST && (*skip)-- == 0) {
        snprintf(out, size,
                 "one measured weight (%.0f kg, %.0f lb) stands in %lld rows in a row, from line %lld: copied down?",
                 whole->longest_kg, ap_unit_from_si(AP_UNIT_LB, whole->longest_kg), (long long)whole->longest_rows,
                 (long long)whole->longest_line);
        return true;
    }
    for (int day = 1; day <= 12; day++) {
        int months = 0;
        for (int month = 1; month <= 12; month++) {
            months += (whole->months[day] >> month) & 1;
        }
        if (months >= 3 && most(whole->days[day], whole->date_rows) && (*skip)-- == 0) {
            snprintf(out, size,
                     "in %lld of %lld rows the date is day %d of %d different months: day and month swapped?",
                     (long long)whole->days[day], (long long)whole->date_rows, day, months);
            return true;
        }
    }
    return false;
}

bool ap_whole_file_says(char *out, size_t size, const ap_whole_file *whole, int index) {
    int skip = index;
    if (say_sign(out, size, whole->weight_signs, WEIGHT_SIGNS, WEIGHT_SIGN_COUNT, whole->weight_rows, &skip) ||
        say_sign(out, size, whole->volume_signs, VOLUME_SIGNS, VOLUME_SIGN_COUNT, whole->volume_rows, &skip)) {
        return true;
    }
    if (most(whole->gross_below_net, whole->basis_rows) && skip-- == 0) {
        snprintf(out, size,
                 "in %lld of %lld rows the gross weight measured is below the net weight planned: net and gross, or "
                 "planned and measured, may be mixed up",
                 (long long)whole->gross_below_net, (long long)whole->basis_rows);
        return true;
    }
    /* People plan in round figures and indicators do not show them. */
    if (whole->round_rows >= 2 * ROWS_AT_LEAST && most(whole->measured_round, whole->round_rows) &&
        (double)whole->measured_round >= 0.95 * (double)whole->round_rows &&
        (double)whole->planned_round <= 0.3 * (double)whole->round_rows && skip-- == 0) {
        snprintf(out, size,
                 "measured weights are round to a hundred in %lld of %lld rows, planned ones only in %lld: the two "
                 "columns may be mixed up",
                 (long long)whole->measured_round, (long long)whole->round_rows, (long long)whole->planned_round);
        return true;
    }
    return say_order(out, size, whole, &skip);
}
