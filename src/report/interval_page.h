/* A reconstruction of ranges in words and one table. */
#ifndef AP_REPORT_INTERVAL_PAGE_H
#define AP_REPORT_INTERVAL_PAGE_H

#include "analysis/recon_interval.h"
#include "page/doc.h"

void ap_interval_put(ap_doc *doc, const ap_recon_interval *interval);

#endif
