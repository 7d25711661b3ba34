/* The estimate error over time: by month and by job, for all picks or for each group of a grouping.
 *
 *   T1 Bias of a month: average over its trees' means with a 90 % t interval; spread: sd between picks.
 *   T2 Slope: Theil-Sen on the months' medians with Gilbert's interval, p by Mann-Kendall; from AP_TREND_SLOPE_LEAST months.
 *   T3 Change: Pettitt on the months' medians, not before AP_TREND_CHANGE_LEAST months; a month is named at p <= 0.05.
 *   T4 Run figure: EWMA (0.2, 2.86 sd) of the jobs' medians about their mean, sd from the moving range (1.128), so that a
 *      slow drift does not widen its own limits; from AP_TREND_JOBS_LEAST jobs. ARL0 of that EWMA about 370 jobs
 *      (Lucas & Saccucci 1990) when jobs are independent.
 *
 * Sources and accuracy: stats/trend.h, stats/control.h. */
#ifndef AP_ANALYSIS_TREND_MONTHS_H
#define AP_ANALYSIS_TREND_MONTHS_H

#include "analysis/weights.h"
#include "stats/trend.h"

enum { AP_TREND_SLOPE_LEAST = 4, AP_TREND_CHANGE_LEAST = 11, AP_TREND_JOBS_LEAST = 8, AP_TREND_SIGNALS_SHOWN = 8 };
#define AP_TREND_CHANGE_P 0.05

typedef struct ap_trend_month {
    int month; /* ap_month_index() */
    size_t count, trees;
    double median_log;
    double bias_log, low_log, high_log; /* NaN interval below two trees */
    double spread_log;                  /* NaN below two picks */
    double share_heavier;
} ap_trend_month;

typedef struct ap_trend_signal {
    uint32_t job;
    int side; /* 1: heavier, -1: lighter */
} ap_trend_signal;

typedef struct ap_trend_line {
    bool has_slope;
    double slope; /* ln ratio per year */
    bool has_interval;
    ap_interval interval; /* 90 % */
    bool has_p;
    double p; /* two-sided; all equal: none */
} ap_trend_line;

typedef struct ap_trend_series {
    uint32_t key[AP_WEIGHTS_BY_MAX]; /* of the grouping; all 0 without one */
    size_t count;                    /* weighed picks */
    ap_trend_month *months;          /* with a weighed pick, in order */
    size_t month_count;
    double mean_log, sd_trees; /* over all months: for the limits of a month */
    ap_trend_line by_month;
    size_t jobs;
    ap_trend_line by_job; /* on the jobs' medians and first days */
    bool has_change_test;
    double change_p;
    bool has_change;  /* change_p at most AP_TREND_CHANGE_P */
    int change_month; /* the first month of the new level */
    bool change_up;
    bool has_run;
    ap_trend_signal signals[AP_TREND_SIGNALS_SHOWN];
    size_t signal_count; /* all of them: crossings from inside to outside */
} ap_trend_series;

typedef struct ap_trend {
    ap_by by[AP_WEIGHTS_BY_MAX];
    size_t by_count;
    ap_trend_series *series; /* most weighed picks first */
    size_t count;
} ap_trend;

/* Of facts[first..end); by_count at most AP_WEIGHTS_BY_MAX - 1 and without month and job. Errors: AP_E_MEMORY. */
AP_MUST_USE ap_status ap_trend_work_out(ap_trend *out, ap_arena *arena, const ap_roster *roster, size_t first,
                                        size_t end, const ap_by *by, size_t by_count, ap_error *err);

/* The limits that the average of a month with so many trees keeps by chance: 3 sd of the trees' means. */
void ap_trend_limits(double *low_log, double *high_log, const ap_trend_series *series, size_t trees);

#endif
