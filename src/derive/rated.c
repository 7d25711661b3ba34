#include "derive/rated.h"

static const double TIE = 1e-9;

/* First row whose boom is `least` or longer. */
static size_t first_boom(const ap_crane *crane, double least) {
    size_t low = 0;
    size_t high = crane->chart_count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (crane->chart[middle].boom_m < least) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

/* The rows of the booms that count as the one asked for and of those on either side: all that the look-up needs of a long
 * chart. */
static ap_rated_no slice(size_t *first, size_t *end, const ap_crane *crane, const ap_capacity_at *at) {
    double boom_m = at->boom_m;
    const ap_capacity_row *rows = crane->chart;
    size_t count = crane->chart_count;
    double longest = rows[count - 1].boom_m;
    *first = 0;
    *end = count;
    if (isnan(rows[0].boom_m)) {
        return AP_RATED_SAID;
    }
    if (isnan(boom_m)) {
        return longest <= rows[0].boom_m * (1 + TIE) ? AP_RATED_SAID : AP_RATED_NO_BOOM;
    }
    if (!(boom_m > 0) || (boom_m * (1 - TIE) > longest && !ap_capacity_counts_as(longest, boom_m, at->boom_step_m))) {
        return AP_RATED_PAST_BOOM;
    }
    double reading = at->boom_step_m * (0.5 + TIE);
    size_t longer = first_boom(crane, (boom_m + reading) * (1 - TIE));
    *end = longer < count ? first_boom(crane, rows[longer].boom_m * (1 + 2 * TIE)) : count;
    size_t within = first_boom(crane, (boom_m - reading) * (1 - TIE));
    *first = within > 0 ? first_boom(crane, rows[within - 1].boom_m * (1 - TIE)) : 0;
    return AP_RATED_SAID;
}

static double last_radius(const ap_capacity_row *rows, size_t count) {
    return count ? rows[count - 1].radius_m : (double)NAN;
}

static void look_up(ap_rated *out, const ap_capacity_at *at, const ap_crane *crane) {
    size_t first = 0;
    size_t end = 0;
    if (!crane || crane->chart_count == 0) {
        out->no = AP_RATED_NO_CHART;
        return;
    }
    if (!(at->radius_m > 0)) {
        out->no = AP_RATED_NO_RADIUS;
        return;
    }
    out->no = slice(&first, &end, crane, at);
    if (out->no == AP_RATED_PAST_BOOM) {
        out->chart_end_m = crane->chart[crane->chart_count - 1].boom_m;
    }
    if (out->no != AP_RATED_SAID) {
        return;
    }
    ap_capacity found;
    ap_error ignored; /* the slice leaves one thing that can be wrong */
    if (ap_capacity_find(&found, crane->chart + first, end - first, at, &ignored) == AP_OK) {
        out->chart_kg = found.capacity_kg;
        out->chart_boom_m = found.boom_m;
        out->chart_radius_m = found.radius_m;
    } else {
        out->no = AP_RATED_PAST_RADIUS;
        out->chart_end_m = last_radius(crane->chart + first, end - first);
    }
}

void ap_rated_find(ap_rated *out, double logged_kg, const ap_capacity_at *at, const ap_crane *crane) {
    *out =
        (ap_rated){.capacity_kg = NAN, .chart_kg = NAN, .chart_boom_m = NAN, .chart_radius_m = NAN, .chart_end_m = NAN};
    look_up(out, at, crane);
    if (logged_kg > 0) {
        out->capacity_kg = logged_kg;
        out->from = AP_RATED_LOG;
        out->differs = fabs(logged_kg - out->chart_kg) > AP_RATED_DIFFERS * out->chart_kg;
    } else if (out->no == AP_RATED_SAID) {
        out->capacity_kg = out->chart_kg;
        out->from = AP_RATED_CHART;
    }
}

bool ap_rated_is_past(const ap_rated *rated) {
    return rated->from == AP_RATED_UNKNOWN && (rated->no == AP_RATED_PAST_BOOM || rated->no == AP_RATED_PAST_RADIUS);
}

const char *ap_rated_no_text(ap_rated_no no) {
    static const char *const text[] = {
        [AP_RATED_SAID] = "",
        [AP_RATED_NO_CHART] = "no load chart of the crane is entered",
        [AP_RATED_NO_RADIUS] = "the radius is not recorded",
        [AP_RATED_NO_BOOM] = "the boom length is not recorded and the chart has several",
        [AP_RATED_PAST_BOOM] = "the boom is longer than any in the chart",
        [AP_RATED_PAST_RADIUS] = "the radius is past the end of the chart",
    };
    return text[no];
}
