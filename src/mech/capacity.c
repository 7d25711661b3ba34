#include "mech/capacity.h"

/* Logs are round: a converted 40 ft must still find the 40 ft row. */
static const double TIE = 1e-9;

static bool at_least(double row, double asked) {
    return row >= asked * (1.0 - TIE);
}

static bool same(double a, double b) {
    return (isnan(a) && isnan(b)) || fabs(a - b) <= TIE * fabs(b);
}

static ap_status check_rows(const ap_capacity_row *rows, size_t count, double boom_m, double radius_m, ap_error *err) {
    if (count == 0)
        return ap_error_set(err, AP_E_DOMAIN, "the crane has no capacity table");
    if (!(radius_m >= 0.0) || !isfinite(radius_m))
        return ap_error_set(err, AP_E_DOMAIN, "a radius of %.4g m cannot be looked up", radius_m);
    if (boom_m < 0.0 || isinf(boom_m))
        return ap_error_set(err, AP_E_DOMAIN, "a boom of %.4g m cannot be looked up", boom_m);
    for (size_t i = 0; i < count; i++)
        if (isnan(boom_m) && !same(rows[i].boom_m, rows[0].boom_m))
            return ap_error_set(err, AP_E_DOMAIN,
                                "the boom length is not recorded and the capacity table has several booms");
    return AP_OK;
}

/* The row lengths on either side of the boom asked for: *shorter is NaN when there is none or when the boom is a row. */
static bool bracket_boom(const ap_capacity_row *rows, size_t count, double boom_m, double *shorter, double *longer) {
    *shorter = NAN;
    *longer = NAN;
    for (size_t i = 0; i < count; i++) {
        double boom = rows[i].boom_m;
        if (at_least(boom, boom_m)) {
            if (isnan(*longer) || boom < *longer)
                *longer = boom;
        } else if (isnan(*shorter) || boom > *shorter) {
            *shorter = boom;
        }
    }
    if (same(*longer, boom_m))
        *shorter = NAN;
    return !isnan(*longer);
}

/* Within one boom: the next longer radius, or the row before it where that one is smaller. */
static const ap_capacity_row *find_radius(const ap_capacity_row *rows, size_t count, double boom_m, double radius_m) {
    const ap_capacity_row *next = NULL;
    const ap_capacity_row *before = NULL;
    for (size_t i = 0; i < count; i++) {
        if (!same(rows[i].boom_m, boom_m))
            continue;
        if (at_least(rows[i].radius_m, radius_m)) {
            if (!next || rows[i].radius_m < next->radius_m)
                next = &rows[i];
        } else if (!before || rows[i].radius_m > before->radius_m) {
            before = &rows[i];
        }
    }
    bool between = next && !same(next->radius_m, radius_m);
    return between && before && before->capacity_kg < next->capacity_kg ? before : next;
}

static double longest_radius(const ap_capacity_row *rows, size_t count, double boom_m) {
    double most = 0.0;
    for (size_t i = 0; i < count; i++)
        if (same(rows[i].boom_m, boom_m) && rows[i].radius_m > most)
            most = rows[i].radius_m;
    return most;
}

ap_status ap_capacity_find(ap_capacity *out, const ap_capacity_row *rows, size_t count, double boom_m, double radius_m,
                           ap_error *err) {
    ap_status status = check_rows(rows, count, boom_m, radius_m, err);
    if (status != AP_OK)
        return status;
    double shorter = NAN;
    double longer = rows[0].boom_m;
    if (!isnan(boom_m) && !isnan(longer) && !bracket_boom(rows, count, boom_m, &shorter, &longer))
        return ap_error_set(err, AP_E_DOMAIN, "a boom of %.2f m is longer than any in the capacity table", boom_m);

    const ap_capacity_row *found = find_radius(rows, count, longer, radius_m);
    if (!found)
        return ap_error_set(err, AP_E_DOMAIN, "a radius of %.2f m is past the end of the capacity table (%.2f m)",
                            radius_m, longest_radius(rows, count, longer));
    if (!isnan(shorter)) {
        const ap_capacity_row *other = find_radius(rows, count, shorter, radius_m);
        if (other && other->capacity_kg < found->capacity_kg)
            found = other;
    }
    bool boom_between = !isnan(boom_m) && !isnan(found->boom_m) && !same(found->boom_m, boom_m);
    *out = (ap_capacity){
        .capacity_kg = found->capacity_kg,
        .boom_m = found->boom_m,
        .radius_m = found->radius_m,
        .between_rows = boom_between || !same(found->radius_m, radius_m),
    };
    return AP_OK;
}

static ap_status sum_weights(double *out_kg, const double *weights_kg, size_t count, ap_error *err) {
    double sum = 0.0;
    for (size_t i = 0; i < count; i++) {
        if (!(weights_kg[i] >= 0.0) || !isfinite(weights_kg[i]))
            return ap_error_set(err, AP_E_DOMAIN, "a weight of %.6g kg on the hook is not one", weights_kg[i]);
        sum += weights_kg[i];
    }
    *out_kg = sum;
    return AP_OK;
}

ap_status ap_capacity_net(double *out_kg, double gross_kg, const double *deductions_kg, size_t count, ap_error *err) {
    double sum = 0.0;
    if (!(gross_kg > 0.0) || !isfinite(gross_kg))
        return ap_error_set(err, AP_E_DOMAIN, "a rated capacity of %.6g kg is not one", gross_kg);
    ap_status status = sum_weights(&sum, deductions_kg, count, err);
    if (status == AP_OK)
        *out_kg = gross_kg - sum;
    return status;
}

ap_status ap_capacity_hook_load(double *out_kg, double piece_kg, const double *additions_kg, size_t count,
                                ap_error *err) {
    double sum = 0.0;
    if (!(piece_kg >= 0.0) || !isfinite(piece_kg))
        return ap_error_set(err, AP_E_DOMAIN, "a piece of %.6g kg is not one", piece_kg);
    ap_status status = sum_weights(&sum, additions_kg, count, err);
    if (status == AP_OK)
        *out_kg = piece_kg + sum;
    return status;
}
