/* The version of the numerical library, as it runs now. */
#ifndef AP_STATS_STATS_VERSION_H
#define AP_STATS_STATS_VERSION_H

const char *ap_stats_version_gsl(void);

#endif
