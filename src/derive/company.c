#include "derive/company.h"

const ap_crane *ap_company_crane(const ap_company *company, ap_str name) {
    size_t low = 0;
    size_t high = company->crane_count;
    name = ap_str_trim(name);
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        int order = ap_str_compare_nocase(company->cranes[middle].name, name);
        if (order == 0) {
            return &company->cranes[middle];
        }
        if (order < 0) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return NULL;
}

const ap_sling_entry *ap_company_sling(const ap_company *company, ap_str tag) {
    size_t low = 0;
    size_t high = company->sling_count;
    tag = ap_str_trim(tag);
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        int order = ap_str_compare_nocase(company->slings[middle].tag, tag);
        if (order == 0) {
            return &company->slings[middle];
        }
        if (order < 0) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return NULL;
}

const ap_calibration *ap_crane_calibration(const ap_crane *crane, ap_date on) {
    const ap_calibration *found = NULL;
    for (size_t i = 0; crane && on != AP_DATE_NONE && i < crane->calibration_count && crane->calibrations[i].on <= on;
         i++) {
        found = &crane->calibrations[i];
    }
    return found;
}

double ap_crane_band(const ap_crane *crane, ap_date on) {
    const ap_calibration *calibration = ap_crane_calibration(crane, on);
    return calibration && !isnan(calibration->band) ? calibration->band : crane ? crane->band : (double)NAN;
}
