/* The plot files of plots/ by name; what each reads stands in the head of its file. */
#ifndef AP_FIGURE_PLOTS_H
#define AP_FIGURE_PLOTS_H

#define AP_PLOT_PLANNED_MEASURED "planned_measured"
#define AP_PLOT_ERROR_GROUPS "error_groups"
#define AP_PLOT_TREND_MONTHS "trend_months"
#define AP_PLOT_RUNS "runs"
#define AP_PLOT_CAPACITY_USED "capacity_used"
#define AP_PLOT_GRID "grid"
#define AP_PLOT_MOVEMENT "movement"
#define AP_PLOT_SHARES "shares"
#define AP_PLOT_DENSITY "density"
#define AP_PLOT_PICK_SIDE "pick_side"
#define AP_PLOT_PREDICTED "predicted"
#define AP_PLOT_BETWEEN "between"

#endif
