#include "analysis/kept_company.h"

#include <sys/types.h>

#include <sha256.h>

#include "analysis/fact_pack.h"
#include "book/species.h"

/* A sum of the sources that facts come from, given by the build: who changes them and forgets AP_FACT_METHOD does no harm. */
#ifndef AP_METHOD_SUM
#define AP_METHOD_SUM 0
#endif

_Static_assert(AP_KEPT_COMPANY_SIZE == SHA256_DIGEST_LENGTH, "the digest of a company is a SHA-256");

static void add_int(SHA256_CTX *digest, int64_t value) {
    uint8_t bytes[8];
    for (size_t i = 0; i < sizeof bytes; i++) {
        bytes[i] = (uint8_t)((uint64_t)value >> (8 * i) & 0xff);
    }
    SHA256_Update(digest, bytes, sizeof bytes);
}

/* Every "not known" is the same. */
static void add_real(SHA256_CTX *digest, double value) {
    int64_t bits = INT64_MIN;
    if (!isnan(value)) {
        memcpy(&bits, &value, sizeof bits);
    }
    add_int(digest, bits);
}

static void add_text(SHA256_CTX *digest, ap_str text) {
    add_int(digest, (int64_t)text.len);
    if (text.len > 0) {
        SHA256_Update(digest, (const uint8_t *)text.ptr, text.len);
    }
}

/* The company's name, its units and whose law it works under change no fact. */
static void add_settings(SHA256_CTX *digest, const ap_settings *settings) {
    for (size_t i = 0; i < ap_setting_count(); i++) {
        const ap_setting *one = ap_setting_get(i);
        const char *at = (const char *)settings + one->offset;
        if (one->kind == AP_SETTING_WORD && strcmp(one->name, "units") != 0) {
            int word = 0;
            memcpy(&word, at, sizeof word);
            add_int(digest, word);
        } else if (one->kind == AP_SETTING_QTY || one->kind == AP_SETTING_NUMBER) {
            double value = 0;
            memcpy(&value, at, sizeof value);
            add_real(digest, value);
        }
    }
}

static void add_crane(SHA256_CTX *digest, const ap_crane *crane) {
    add_text(digest, crane->name);
    add_real(digest, crane->block_weight_kg);
    add_int(digest, crane->weighed_as);
    add_real(digest, crane->band);
    add_int(digest, (int64_t)crane->calibration_count);
    for (size_t i = 0; i < crane->calibration_count; i++) {
        add_int(digest, crane->calibrations[i].on);
        add_real(digest, crane->calibrations[i].factor);
        add_real(digest, crane->calibrations[i].band);
    }
    add_int(digest, (int64_t)crane->chart_count);
    for (size_t i = 0; i < crane->chart_count; i++) {
        add_real(digest, crane->chart[i].boom_m);
        add_real(digest, crane->chart[i].radius_m);
        add_real(digest, crane->chart[i].capacity_kg);
    }
}

static void add_sling(SHA256_CTX *digest, const ap_sling_entry *sling) {
    add_text(digest, sling->tag);
    add_int(digest, sling->kind);
    add_real(digest, sling->wll_kg);
    add_real(digest, sling->length_m);
    add_real(digest, sling->factor);
    add_real(digest, sling->stiffness_n);
}

static ap_status add_species(void *context, const ap_species *species, ap_error *err) {
    (void)err;
    SHA256_CTX *digest = context;
    add_int(digest, species->id);
    add_text(digest, species->common);
    add_int(digest, species->hardwood);
    const double figures[] = {species->gravity,
                              species->moisture_pct,
                              species->bark_volume_pct,
                              species->wood_density_kg_m3,
                              species->bark_density_kg_m3,
                              species->density_kg_m3,
                              species->ceiling_kg_m3};
    for (size_t i = 0; i < sizeof figures / sizeof *figures; i++) {
        add_real(digest, figures[i]);
    }
    return AP_OK;
}

ap_status ap_kept_company(uint8_t out[AP_KEPT_COMPANY_SIZE], ap_book *book, const ap_company *company, ap_error *err) {
    SHA256_CTX digest;
    SHA256_Init(&digest);
    add_int(&digest, AP_FACT_METHOD);
    add_int(&digest, AP_METHOD_SUM);
    add_settings(&digest, company->settings);
    add_int(&digest, (int64_t)company->crane_count);
    for (size_t i = 0; i < company->crane_count; i++) {
        add_crane(&digest, &company->cranes[i]);
    }
    add_int(&digest, (int64_t)company->sling_count);
    for (size_t i = 0; i < company->sling_count; i++) {
        add_sling(&digest, &company->slings[i]);
    }
    ap_status status = ap_book_each_species(book, add_species, &digest, err);
    SHA256_Final(out, &digest);
    return status;
}

void ap_kept_learnt(uint8_t out[AP_KEPT_COMPANY_SIZE], const uint8_t company[AP_KEPT_COMPANY_SIZE],
                    const double brush[AP_WOOD_BRUSH_CLASSES]) {
    SHA256_CTX digest;
    SHA256_Init(&digest);
    SHA256_Update(&digest, company, AP_KEPT_COMPANY_SIZE);
    for (size_t i = 0; i < AP_WOOD_BRUSH_CLASSES; i++) {
        add_real(&digest, brush[i]);
    }
    SHA256_Final(out, &digest);
}
