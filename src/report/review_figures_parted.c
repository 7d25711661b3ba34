#include "base/pick.h"
#include "figure/plots.h"
#include "report/review.h"

static const double LEVEL = 0.95;
enum { ROWS_MOST = 20 };

/* Percent; NaN where there is no pick. The exact interval cannot fail on counts as ours: were it to, none is drawn. */
static void put_share(double out[3], size_t yes, size_t of) {
    ap_interval interval;
    ap_error err;
    ap_error_clear(&err);
    bool known = of > 0 && ap_share_interval(&interval, yes, of, LEVEL, &err) == AP_OK;
    out[0] = of ? 100 * (double)yes / (double)of : NAN;
    out[1] = known ? 100 * interval.low : NAN;
    out[2] = known ? 100 * interval.high : NAN;
}

static ap_str label_of(const ap_review *r, const ap_movement_table *table, size_t g) {
    ap_str label = ap_roster_label(r->roster, table->by, table->groups[g].key);
    return label.ptr ? label : AP_STR_LIT("not recorded");
}

static void moved(ap_review *r, ap_review_figure which, const char *id, const char *title, const char *group_word,
                  const ap_movement_table *table) {
    ap_figure *figure = ap_review_add_figure(
        r, which, AP_PLOT_MOVEMENT, id, title,
        AP_STR_LIT("Shares of picks by the gravest movement logged when they parted, counts written in; the dark line "
                   "is the 95 % interval of the share that stayed still."));
    ap_figure_string(figure, "group_word", ap_str_from(group_word));
    for (int kind = 0; kind < AP_MOVED_COUNT; kind++) {
        char name[16];
        snprintf(name, sizeof name, "move%d", kind + 1);
        ap_figure_string(figure, name, ap_str_from(ap_moved_name((ap_moved)kind)));
    }
    size_t rows = 0;
    size_t with_any = 0;
    ap_figure_block(figure, "moves");
    for (size_t g = 0; g < table->count; g++) {
        const ap_movement_group *group = &table->groups[g];
        with_any += group->logged > 0;
        if (group->logged == 0 || rows == ROWS_MOST) {
            continue;
        }
        double row[AP_MOVED_COUNT + 2];
        for (int kind = 0; kind < AP_MOVED_COUNT; kind++) {
            row[kind] = (double)group->kinds[kind];
        }
        double share[3];
        put_share(share, group->kinds[AP_MOVED_STILL], group->logged);
        row[AP_MOVED_COUNT] = share[1];
        row[AP_MOVED_COUNT + 1] = share[2];
        ap_figure_row_label(figure, row, AP_MOVED_COUNT + 2, label_of(r, table, g));
        rows++;
    }
    ap_figure_number(figure, "left_out", (double)(with_any - rows));
    if (rows == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No movement was logged in this period."));
    }
}

static void put_share_row(ap_figure *figure, size_t yes, size_t of, ap_str label) {
    double row[5];
    put_share(row, yes, of);
    row[3] = (double)yes;
    row[4] = (double)of;
    ap_figure_row_label(figure, row, 5, label);
}

static void re_rigs(ap_review *r) {
    ap_figure *figure = ap_review_add_figure(
        r, AP_REVIEW_FIGURE_RE_RIGS, AP_PLOT_SHARES, "fig-re-rigs", "Re-rigs by sling set-up",
        AP_STR_LIT(
            "Share of picks whose hook came back at least once to be rigged anew, by sling set-up, with its 95 % "
            "interval; hollow: fewer than five picks."));
    const ap_movement_table *table = &r->moved_by_setup;
    size_t rows = 0;
    size_t with_any = 0;
    ap_figure_string(figure, "what", AP_STR_LIT("share of picks that were re-rigged"));
    ap_figure_block(figure, "groups");
    for (size_t g = 0; g < table->count; g++) {
        with_any += table->groups[g].re_rigs_logged > 0;
        if (table->groups[g].re_rigs_logged > 0 && rows < ROWS_MOST) {
            put_share_row(figure, table->groups[g].re_rigged, table->groups[g].re_rigs_logged, label_of(r, table, g));
            rows++;
        }
    }
    ap_figure_number(figure, "left_out", (double)(with_any - rows));
    if (rows == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No pick of this period has its re-rigs written down."));
    }
}

static void kerf(ap_review *r) {
    ap_figure *figure = ap_review_add_figure(
        r, AP_REVIEW_FIGURE_KERF, AP_PLOT_SHARES, "fig-kerf", "Kerf noted against movement",
        AP_STR_LIT("Share of picks whose piece moved when it parted, by what the kerf was noted to do, with its 95 % "
                   "interval; hollow: fewer than five picks."));
    static const int order[] = {AP_KERF_STEADY, AP_KERF_CLOSING, AP_KERF_OPENING, 0};
    size_t noted = 0;
    ap_figure_string(figure, "what", AP_STR_LIT("share of pieces that moved"));
    ap_figure_block(figure, "groups");
    for (size_t i = 0; i < sizeof order / sizeof order[0]; i++) {
        size_t went = r->kerf.moved[order[i]];
        size_t all = went + r->kerf.still[order[i]];
        ap_str name = order[i] ? ap_arena_printf(r->arena, "kerf %s", ap_word_get(AP_VOC_KERF, order[i]))
                               : AP_STR_LIT("kerf not noted");
        put_share_row(figure, went, all, name);
        noted += order[i] ? all : 0;
    }
    if (noted == 0) {
        ap_figure_empty(figure, AP_STR_LIT("No pick of this period has both a kerf and a movement noted."));
    }
}

static void predicted(ap_review *r) {
    ap_figure *figure = ap_review_add_figure(
        r, AP_REVIEW_FIGURE_PREDICTED, AP_PLOT_PREDICTED, "fig-predicted",
        "Movement worked out against movement logged",
        AP_STR_LIT(
            "One mark a pick of all picks: how far the butt was to go up or down by the mechanics, and how far it "
            "was logged to go; on the broken line both are the same."));
    ap_predicted_describe(figure, r);
}

static void between(ap_review *r) {
    ap_figure *figure = ap_review_add_figure(r, AP_REVIEW_FIGURE_BETWEEN, AP_PLOT_BETWEEN, "fig-between",
                                             "Picks from one near miss to the next",
                                             AP_STR_LIT("One mark a near miss, in order: how many picks after the one "
                                                        "before it came; with the usual range, and signals "
                                                        "where they came closer together or farther apart."));
    ap_between_describe(figure, r);
}

void ap_review_describe_parted(ap_review *r) {
    moved(r, AP_REVIEW_FIGURE_MOVED_BY_CUT, "fig-movement", "How pieces moved, by cut", "cut", &r->moved_by_cut);
    moved(r, AP_REVIEW_FIGURE_MOVED_BY_SETUP, "fig-movement-setup", "How pieces moved, by sling set-up", "set-up",
          &r->moved_by_setup);
    re_rigs(r);
    kerf(r);
    predicted(r);
    between(r);
}
