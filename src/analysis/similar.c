#include "analysis/similar.h"

#include "stats/summary.h"

/* What no longer counts, in this order, while too few are found. */
static const ap_by given_up[] = {AP_BY_SETUP, AP_BY_CUT, AP_BY_PIECE};
enum { GIVEN_UP = 3 };

static bool is_like(const ap_similar *want, const ap_fact *this, const ap_fact *other) {
    for (int by = 0; by < AP_BY_COUNT; by++) {
        if (want->by[by] && ap_fact_group(this, (ap_by)by) != ap_fact_group(other, (ap_by)by)) {
            return false;
        }
    }
    if (!want->by_size) {
        return true;
    }
    double ratio = other->planned_net_kg / this->planned_net_kg;
    return ratio <= AP_SIMILAR_SIZE && ratio >= 1 / AP_SIMILAR_SIZE;
}

static size_t count_like(const ap_similar *want, const ap_roster *roster, size_t fact) {
    size_t count = 0;
    for (size_t i = 0; i < roster->count; i++) {
        count += i != fact && is_like(want, &roster->facts[fact], &roster->facts[i]);
    }
    return count;
}

static void take(ap_similar *out, double *ratios, const ap_fact *this, const ap_fact *other) {
    const uint16_t calm = AP_MOVE_BIT(AP_MOVEMENT_STILL) | AP_MOVE_BIT(AP_MOVEMENT_SETTLED);
    out->picks++;
    if (other->compared == AP_COMPARED) {
        ratios[out->compared++] = ap_fact_ratio(other);
        out->heavier += this->compared == AP_COMPARED && other->log_error > this->log_error;
    }
    out->moved_logged += other->rest->movement != 0;
    out->moved += (other->rest->movement & ~calm) != 0;
    out->near_misses += other->near_miss == AP_YESNO_YES;
}

ap_status ap_similar_find(ap_similar *out, const ap_roster *roster, size_t fact, ap_error *err) {
    const ap_fact *this = &roster->facts[fact];
    ap_similar found = {.median_ratio = NAN, .quarter = NAN, .three_quarters = NAN};
    static const ap_by wanted[] = {AP_BY_SPECIES, AP_BY_PIECE, AP_BY_CUT, AP_BY_SETUP};
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++) {
        found.by[wanted[i]] = ap_fact_group(this, wanted[i]) != 0;
    }
    found.by_size = this->planned_net_kg > 0;
    size_t like = count_like(&found, roster, fact);
    for (size_t i = 0; like < AP_SIMILAR_LEAST && i < GIVEN_UP; i++) {
        if (found.by[given_up[i]]) {
            found.by[given_up[i]] = false;
            like = count_like(&found, roster, fact);
        }
    }
    double *ratios = malloc((like + 1) * sizeof *ratios);
    if (!ratios) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the picks like this one");
    }
    for (size_t i = roster->count; i-- > 0;) {
        if (i != fact && is_like(&found, this, &roster->facts[i])) {
            take(&found, ratios, this, &roster->facts[i]);
            if (found.shown_count < AP_SIMILAR_SHOWN) {
                found.shown[found.shown_count++] = i;
            }
        }
    }
    ap_status status = AP_OK;
    if (found.compared) {
        status = ap_stats_median(&found.median_ratio, ratios, found.compared, err);
    }
    if (status == AP_OK && found.compared) {
        status = ap_stats_quantile(&found.quarter, ratios, found.compared, 0.25, err);
    }
    if (status == AP_OK && found.compared) {
        status = ap_stats_quantile(&found.three_quarters, ratios, found.compared, 0.75, err);
    }
    free(ratios);
    if (status == AP_OK) {
        *out = found;
    }
    return status;
}

size_t ap_roster_find(const ap_roster *roster, ap_str name) {
    for (size_t i = 0; i < roster->count; i++) {
        if (ap_str_equal_word(name, roster->facts[i].rest->name)) {
            return i;
        }
    }
    return SIZE_MAX;
}
