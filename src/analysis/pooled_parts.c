/* Sums by fold of the proof. */
#include "analysis/pooled_private.h"

ap_status pooled_parts_make(pooled_parts *out, const pooled_plan *plan, size_t folds, ap_error *err) {
    *out = (pooled_parts){.plan = plan, .folds = (uint32_t)folds, .count = folds <= POOLED_PARTS_MOST ? folds : 1};
    ap_status status = AP_OK;
    for (uint32_t i = 0; status == AP_OK && i < out->count; i++) {
        status = pooled_sums_make(&out->part[i], plan, err);
        if (out->count > 1) {
            out->part[i].jobs = (pooled_jobs){out->folds, i, false};
        }
    }
    return status;
}

void pooled_parts_release(pooled_parts *parts) {
    for (size_t i = 0; i < parts->count; i++) {
        pooled_sums_release(&parts->part[i]);
    }
    pooled_sums_release(&parts->whole);
}

ap_status pooled_parts_first(pooled_sums **out, pooled_parts *parts, size_t count, ap_error *err) {
    ap_status status = AP_OK;
    *out = parts->count > 1 ? &parts->whole : &parts->part[0];
    for (size_t i = 0; status == AP_OK && i < parts->count; i++) {
        status = pooled_sums_extend(&parts->part[i], count, err);
    }
    if (parts->count > 1 && status == AP_OK) {
        pooled_sums_release(&parts->whole);
        status = pooled_sums_make(&parts->whole, parts->plan, err);
        parts->whole.count = count;
    }
    for (size_t i = 0; parts->count > 1 && status == AP_OK && i < parts->count; i++) {
        status = pooled_sums_merge(&parts->whole, &parts->part[i], err);
    }
    return status;
}

ap_status pooled_parts_without(pooled_sums *out, const pooled_parts *parts, pooled_jobs fold, ap_error *err) {
    ap_status status = pooled_sums_make(out, parts->plan, err);
    out->count = parts->part[0].count;
    for (uint32_t i = 0; status == AP_OK && i < parts->count; i++) {
        if (parts->count == 1 || i != fold.remainder) {
            status = pooled_sums_merge(out, &parts->part[i], err);
        }
    }
    out->jobs = (pooled_jobs){fold.divisor, fold.remainder, true};
    return status == AP_OK && parts->count == 1 ? pooled_sums_take_off(out, fold, err) : status;
}
