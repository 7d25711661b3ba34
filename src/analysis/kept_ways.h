/* The movement worked out of each pick, kept under the brush that it rests on: an import can not know that, a reader does.
 *
 * The brush is rounded to whole hundredths (brush_learnt.h), so that it is mostly the same after another month: then only the chunks
 * that came with the month are worked out. Private to the roster. */
#ifndef AP_ANALYSIS_KEPT_WAYS_H
#define AP_ANALYSIS_KEPT_WAYS_H

#include "analysis/kept_company.h"
#include "analysis/roster.h"

/* Works out and keeps what is missing or rests on another brush than the company's. False: not kept; the book is as it was. */
bool ap_kept_ways_renew(ap_book *book, const ap_company *company);
/* Are the bytes of a chunk of this digest? Gives what is behind it. */
bool ap_kept_ways_split(ap_str *ways, ap_str bytes, const uint8_t digest[AP_KEPT_COMPANY_SIZE]);

#endif
