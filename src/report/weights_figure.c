#include "report/weights_page.h"

const char ap_weights_figure_describes[] =
    "Median error of each group in percent, with the 90 % interval of its average over trees; hollow: fewer than five "
    "weighed picks. No line: all of one tree.";

static double percent(double ratio) {
    return (ratio - 1) * 100;
}

size_t ap_weights_describe(ap_figure *figure, ap_arena *arena, const ap_roster *roster, const ap_weight_table *table) {
    enum { MOST = 25 };
    size_t rows = 0;
    size_t weighed = 0;
    ap_figure_string(figure, "interval_name", AP_STR_LIT("90 % interval of the average"));
    ap_figure_block(figure, "groups");
    for (size_t g = 0; g < table->count; g++) {
        const ap_weight_group *group = &table->groups[g];
        weighed += group->count > 0;
        if (group->count && rows < MOST) {
            const double row[5] = {percent(group->median_ratio), percent(group->ratio_low), percent(group->ratio_high),
                                   (double)group->count, NAN};
            ap_figure_row_label(figure, row, 5, ap_weight_group_label(arena, roster, table, group));
            rows++;
        }
    }
    ap_figure_number(figure, "left_out", (double)(weighed - rows));
    return rows;
}
