#include "stats/stats.h"

#include <gsl/gsl_errno.h>

void ap_stats_init(void) {
    gsl_set_error_handler_off();
}
