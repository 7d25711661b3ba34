/* A digest of everything but the picks that their facts rest on: the settings, cranes, slings and species as they are read. A change
 * of any of them, by whomever, makes what was kept of the picks another company's. */
#ifndef AP_ANALYSIS_KEPT_COMPANY_H
#define AP_ANALYSIS_KEPT_COMPANY_H

#include "book/kept_facts.h"
#include "derive/company.h"
#include "derive/wood.h"

AP_MUST_USE ap_status ap_kept_company(uint8_t out[AP_KEPT_COMPANY_SIZE], ap_book *book, const ap_company *company,
                                      ap_error *err);

/* The same with the brush that weighed pieces taught, on which the movement worked out rests. */
void ap_kept_learnt(uint8_t out[AP_KEPT_COMPANY_SIZE], const uint8_t company[AP_KEPT_COMPANY_SIZE],
                    const double brush[AP_WOOD_BRUSH_CLASSES]);

#endif
