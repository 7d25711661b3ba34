/* A digest of everything but the picks that their facts rest on: the settings, cranes, slings and species as they are read. A change
 * of any of them, by whomever, makes what was kept of the picks another company's. */
#ifndef AP_ANALYSIS_KEPT_COMPANY_H
#define AP_ANALYSIS_KEPT_COMPANY_H

#include "book/kept_facts.h"
#include "derive/company.h"

AP_MUST_USE ap_status ap_kept_company(uint8_t out[AP_KEPT_COMPANY_SIZE], ap_book *book, const ap_company *company,
                                      ap_error *err);

#endif
