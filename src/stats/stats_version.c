#include "stats/stats_version.h"

#include <gsl/gsl_version.h>

const char *ap_stats_version_gsl(void) {
    return gsl_version;
}
