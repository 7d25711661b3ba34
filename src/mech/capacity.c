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

bool ap_capacity_counts_as(double row_m, double asked_m, double step_m) {
    return same(row_m, asked_m) || fabs(row_m - asked_m) <= (1.0 + TIE) * step_m / 2.0;
}

/* The lengths, of the booms or within one boom of the radii, that a length asked for calls up. */
typedef struct span {
    double least, most; /* least NaN: there is none on the shorter side */
    bool is_row;        /* the length counts as a row */
} span;

static void take(span *within, span *around, double row, double asked, double step) {
    if (ap_capacity_counts_as(row, asked, step)) {
        within->least = fmin(within->least, row); /* fmin and fmax pass a NaN over */
        within->most = fmax(within->most, row);
        within->is_row = true;
    }
    if (at_least(row, asked))
        around->most = fmin(around->most, row);
    else
        around->least = fmax(around->least, row);
}

static span settle(const span *within, const span *around, double asked) {
    if (same(around->most, asked))
        return (span){around->most, around->most, true};
    return within->is_row ? *within : *around;
}

static span span_booms(const ap_capacity_row *rows, size_t count, const ap_capacity_at *at) {
    span within = {NAN, NAN, false};
    span around = {NAN, NAN, false};
    for (size_t i = 0; i < count; i++)
        take(&within, &around, rows[i].boom_m, at->boom_m, at->boom_step_m);
    return settle(&within, &around, at->boom_m);
}

/* Within one boom: of the rows that the radius calls up the one with the smallest capacity; NULL past the last. */
static const ap_capacity_row *find_radius(const ap_capacity_row *rows, size_t count, double boom_m,
                                          const ap_capacity_at *at) {
    span within = {NAN, NAN, false};
    span around = {NAN, NAN, false};
    for (size_t i = 0; i < count; i++)
        if (same(rows[i].boom_m, boom_m))
            take(&within, &around, rows[i].radius_m, at->radius_m, at->radius_step_m);
    span radii = settle(&within, &around, at->radius_m);
    if (isnan(radii.most))
        return NULL;
    double least = isnan(radii.least) ? radii.most : radii.least;
    const ap_capacity_row *found = NULL;
    for (size_t i = 0; i < count; i++) {
        const ap_capacity_row *row = &rows[i];
        if (!same(row->boom_m, boom_m) || row->radius_m < least || row->radius_m > radii.most)
            continue;
        bool longer = found && row->capacity_kg == found->capacity_kg && row->radius_m > found->radius_m;
        if (!found || row->capacity_kg < found->capacity_kg || longer)
            found = row;
    }
    return found;
}

static double longest_radius(const ap_capacity_row *rows, size_t count, double boom_m) {
    double most = 0.0;
    for (size_t i = 0; i < count; i++)
        if (same(rows[i].boom_m, boom_m) && rows[i].radius_m > most)
            most = rows[i].radius_m;
    return most;
}

ap_status ap_capacity_find(ap_capacity *out, const ap_capacity_row *rows, size_t count, const ap_capacity_at *at,
                           ap_error *err) {
    double boom_m = at->boom_m;
    double radius_m = at->radius_m;
    ap_status status = check_rows(rows, count, boom_m, radius_m, err);
    if (status != AP_OK)
        return status;
    span booms = {NAN, rows[0].boom_m, true};
    if (!isnan(boom_m) && !isnan(rows[0].boom_m))
        booms = span_booms(rows, count, at);
    if (isnan(booms.most) && !isnan(rows[0].boom_m))
        return ap_error_set(err, AP_E_DOMAIN, "a boom of %.2f m is longer than any in the capacity table", boom_m);

    const ap_capacity_row *found = find_radius(rows, count, booms.most, at);
    if (!found)
        return ap_error_set(err, AP_E_DOMAIN, "a radius of %.2f m is past the end of the capacity table (%.2f m)",
                            radius_m, longest_radius(rows, count, booms.most));
    double tried_m = booms.most;
    for (size_t i = 0; i < count; i++) {
        /* A shorter boom that the length asked for calls up as well. */
        bool other = rows[i].boom_m >= booms.least && rows[i].boom_m < booms.most && !same(rows[i].boom_m, tried_m);
        const ap_capacity_row *smaller = other ? find_radius(rows, count, rows[i].boom_m, at) : NULL;
        tried_m = other ? rows[i].boom_m : tried_m;
        if (smaller && smaller->capacity_kg < found->capacity_kg)
            found = smaller;
    }
    *out = (ap_capacity){
        .capacity_kg = found->capacity_kg,
        .boom_m = found->boom_m,
        .radius_m = found->radius_m,
        .between_rows = (!isnan(boom_m) && !isnan(found->boom_m) &&
                         !ap_capacity_counts_as(found->boom_m, boom_m, at->boom_step_m)) ||
                        !ap_capacity_counts_as(found->radius_m, radius_m, at->radius_step_m),
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
