/* Invented figures for the checks: one of every plot file, of any size, with one text in every label place. */
#ifndef AP_TESTS_FIGURES_H
#define AP_TESTS_FIGURES_H

#include "figure/figure_parts.h"
#include "figure/plots.h"
#include "support/check.h"

/* Adds one of every plot file with about `rows` rows each. `text` NULL: ordinary words. */
static inline void add_figures(ap_figure_set *set, size_t rows, const char *text);

static inline double wobble(size_t i) {
    return (double)((i * 2654435761u) % 1000u) / 1000.0 - 0.5;
}

/* Of ten thousand rows every mark stands for some. */
static inline double stands_for(size_t rows, size_t i) {
    return rows < 10000 ? 1 : (double)(i % 12) + 1;
}

static inline ap_str label_or(const char *text, const char *ordinary) {
    return ap_str_from(text ? text : ordinary);
}

static inline void add_picks(ap_figure_set *set, size_t rows, const char *text) {
    ap_figure *figure = ap_figure_add(set, AP_PLOT_PLANNED_MEASURED, "planned",
                                      label_or(text, "Planned against measured"), label_or(text, "One dot a pick"));
    ap_figure_string(figure, "unit", label_or(text, "lb"));
    ap_figure_block(figure, "picks");
    for (size_t i = 0; i < rows; i++) {
        double planned = 800.0 + 4000.0 * fabs(wobble(i));
        ap_figure_row(figure, (double[]){planned, planned * (1.05 + 0.5 * wobble(i + 7)), stands_for(rows, i)}, 3);
    }
    static const char *const counts[] = {"weighed", "heavier_10", "heavier_25", "lighter_10", "lighter_25"};
    for (size_t i = 0; i < 5; i++) {
        ap_figure_number(figure, counts[i], (double)(rows / (i + 1)));
    }
    figure =
        ap_figure_add(set, AP_PLOT_CAPACITY_USED, "capacity", label_or(text, "Capacity used"), label_or(text, "Bands"));
    ap_figure_number(figure, "band1", 75);
    ap_figure_number(figure, "band2", 85);
    ap_figure_block(figure, "picks");
    for (size_t i = 0; i < rows; i++) {
        ap_figure_row(figure, (double[]){60 + 60 * wobble(i), 70 + 80 * wobble(i + 3), stands_for(rows, i)}, 3);
    }
    ap_figure_number(figure, "known", (double)rows);
    ap_figure_number(figure, "more", (double)rows / 2);
    ap_figure_number(figure, "over", (double)rows / 8);
    ap_figure_block(figure, "named");
    for (size_t i = 0; i < rows && i < 14; i++) {
        ap_figure_row_label(figure, (double[]){60, 108 - (double)i * 0.5}, 2, label_or(text, "J1/7  108 %"));
    }
    figure = ap_figure_add(set, AP_PLOT_RUNS, "runs", label_or(text, "Runs"), label_or(text, "Picks in order"));
    ap_figure_string(figure, "line_name", label_or(text, "running mean"));
    ap_figure_string(figure, "cusum_name", label_or(text, "drift"));
    ap_figure_number(figure, "cusum_limit", 4);
    ap_figure_block(figure, "picks");
    for (size_t i = 0; i < rows; i++) {
        ap_figure_row(figure, (double[]){(double)i + 1, 60 * wobble(i), stands_for(rows, i), (double)(i % 3)}, 4);
    }
    ap_figure_number(figure, "weighed", (double)rows);
    ap_figure_block(figure, "marks");
    for (size_t i = 0; i < rows && i < 9; i++) {
        ap_figure_row_label(figure, (double[]){(double)i + 1, 20}, 2, label_or(text, "4 in a row: red oak"));
    }
    ap_figure_block(figure, "line");
    ap_figure_row(figure, (double[]){1, 3}, 2);
    ap_figure_block(figure, "cusum");
    ap_figure_row(figure, (double[]){1, 5}, 2);
}

static inline void add_groups(ap_figure_set *set, size_t rows, const char *text) {
    size_t groups = rows < 25 ? rows : 25;
    ap_figure *figure =
        ap_figure_add(set, AP_PLOT_ERROR_GROUPS, "groups", label_or(text, "Error by species"), label_or(text, "Dots"));
    ap_figure_string(figure, "value_name", label_or(text, "median"));
    ap_figure_string(figure, "interval_name", label_or(text, "90 % interval"));
    ap_figure_block(figure, "groups");
    for (size_t i = 0; i < groups; i++) {
        double value = 30 * wobble(i);
        ap_figure_row_label(figure,
                            (double[]){value, i % 4 ? value - 6 : NAN, i % 4 ? value + 300 : NAN, (double)i + 1, NAN},
                            5, label_or(text, "silver maple"));
    }
    figure = ap_figure_add(set, AP_PLOT_TREND_MONTHS, "trend", label_or(text, "Trend"), label_or(text, "By month"));
    ap_figure_string(figure, "limit_name", label_or(text, "limit"));
    ap_figure_string(figure, "value_name", label_or(text, "median"));
    ap_figure_string(figure, "interval_name", label_or(text, "interval"));
    ap_figure_block(figure, "months");
    for (size_t i = 0; i < groups; i++) {
        double value = 20 * wobble(i);
        ap_figure_row_label(
            figure, (double[]){(double)i + 1, i % 5 == 4 ? NAN : value, value - 5, value + 5, 12, -9, i % 2 ? 9 : NAN},
            7, label_or(text, "2026-10"));
    }
    ap_figure_block(figure, "changes");
    for (size_t i = 0; i < groups && i < 8; i++) {
        ap_figure_row_label(figure, (double[]){(double)i + 0.5}, 1, label_or(text, "new density, red oak"));
    }
    figure = ap_figure_add(set, AP_PLOT_GRID, "grid", label_or(text, "Grid"), label_or(text, "Species by cut"));
    ap_figure_string(figure, "value_name", label_or(text, "median"));
    ap_figure_block(figure, "cells");
    for (size_t i = 0; i < groups; i++) {
        ap_figure_row(
            figure,
            (double[]){(double)(i % 5) + 1, floor((double)i / 5) + 1, i % 7 == 6 ? NAN : 80 * wobble(i), 3 + (double)i},
            4);
    }
    ap_figure_block(figure, "cuts");
    for (size_t i = 0; i < groups && i < 5; i++) {
        ap_figure_row_label(figure, (double[]){(double)i + 1}, 1, label_or(text, "step cut"));
    }
    ap_figure_block(figure, "species");
    for (size_t i = 0; i * 5 < groups; i++) {
        ap_figure_row_label(figure, (double[]){(double)i + 1}, 1, label_or(text, "red oak"));
    }
}

static inline void add_densities(ap_figure_set *set, size_t rows, const char *text) {
    ap_figure *figure =
        ap_figure_add(set, AP_PLOT_DENSITY, "density", label_or(text, "Own wood"), label_or(text, "By species"));
    ap_figure_string(figure, "unit", label_or(text, "lb/ft3"));
    ap_figure_block(figure, "species");
    for (size_t i = 0; i < rows && i < 25; i++) {
        double book = 50 + 20 * wobble(i);
        ap_figure_row_label(figure, (double[]){book, book * 0.82, book * 1.22, book * 1.05, book, book * 1.1, 7}, 7,
                            label_or(text, "northern red oak"));
    }
    ap_figure_block(figure, "picks");
    for (size_t i = 0; i < rows; i++) {
        ap_figure_row(figure, (double[]){50 + 30 * wobble(i + 5), (double)(i % 25), wobble(i + 9), (double)(i % 2)}, 4);
    }
}

static inline void add_shares(ap_figure_set *set, size_t rows, const char *text) {
    ap_figure *figure =
        ap_figure_add(set, AP_PLOT_SHARES, "shares", label_or(text, "Kerf"), label_or(text, "Share that moved"));
    ap_figure_string(figure, "what", label_or(text, "share of pieces that moved"));
    ap_figure_number(figure, "left_out", rows > 25 ? (double)rows - 25 : 0);
    ap_figure_block(figure, "groups");
    for (size_t i = 0; i < rows && i < 25; i++) {
        double share = i % 5 == 4 ? NAN : 40 + 60 * wobble(i);
        ap_figure_row_label(figure, (double[]){share, share - 8, share + 9, (double)i, 2 * (double)i}, 5,
                            label_or(text, "kerf closing"));
    }
    figure = ap_figure_add(set, AP_PLOT_PREDICTED, "predicted", label_or(text, "Worked out"), label_or(text, "Logged"));
    ap_figure_string(figure, "unit", label_or(text, "ft"));
    ap_figure_block(figure, "picks");
    for (size_t i = 0; i < rows; i++) {
        bool stayed = i % 2;
        double place = stayed ? 2 * wobble(i) : 20 * wobble(i + 1);
        ap_figure_row(figure, (double[]){20 * wobble(i), place, stands_for(rows, i), stayed}, 4);
    }
    ap_figure_number(figure, "moved_count", (double)((rows + 1) / 2));
    ap_figure_number(figure, "stayed_count", (double)(rows / 2));
    figure = ap_figure_add(set, AP_PLOT_BETWEEN, "between", label_or(text, "From one near miss to the next"),
                           label_or(text, "Picks between them"));
    ap_figure_number(figure, "center", rows > 8 ? 2.6 : NAN);
    ap_figure_number(figure, "high", rows > 8 ? 4.9 : NAN);
    ap_figure_number(figure, "open", rows % 2 ? NAN : 2.2);
    ap_figure_number(figure, "open_picks", 17);
    ap_figure_block(figure, "gaps");
    for (size_t i = 0; i < rows; i++) {
        double root = 2.6 + 2 * wobble(i);
        double side = rows < 10 || i % 5 ? 0 : i % 2 ? 1 : -1;
        ap_figure_row(figure, (double[]){(double)(i + 1), root, pow(root, 3.6), side}, 4);
    }
    ap_figure_block(figure, "named");
    for (size_t i = 0; i < rows && i < 30; i += 10) {
        ap_figure_row_label(figure, (double[]){(double)(i + 1), 2.6 + 2 * wobble(i)}, 2,
                            label_or(text, "J1/4: sooner"));
    }
}

static inline void add_side(ap_figure_set *set, size_t rows, const char *text) {
    ap_figure *figure =
        ap_figure_add(set, AP_PLOT_PICK_SIDE, "side", label_or(text, "From the side"), label_or(text, "At rest"));
    static const double corner[5][2] = {{0, 0.3}, {6, 0.2}, {6, -0.2}, {0, -0.3}, {0, 0.3}};
    ap_figure_block(figure, "after");
    for (size_t i = 0; i < 5 && rows > 0; i++) {
        ap_figure_row(figure, (double[]){corner[i][0], corner[i][1]}, 2);
    }
    ap_figure_block(figure, "legs");
    for (size_t i = 0; i < rows && i < 4; i++) {
        ap_figure_row(figure, (double[]){2 + (double)i, 0.2, 1 - (double)i, 3, (double)(i % 2)}, 5);
    }
    ap_figure_block(figure, "points");
    ap_figure_row(figure, (double[]){3, 3.2, 1}, 3);
    ap_figure_block(figure, "labels");
    for (size_t i = 0; i < rows && i < 12; i++) {
        ap_figure_row_label(figure, (double[]){3, (double)i / 4, 2, 1}, 4, label_or(text, "leg 1: 2,000 lbf"));
    }
    static const char *const limits[] = {"xlow", "xhigh", "ylow", "yhigh"};
    static const double ends[] = {-1, 8, -1, 4};
    for (size_t i = 0; i < 4; i++) {
        ap_figure_number(figure, limits[i], ends[i]);
    }
    ap_figure_number(figure, "plot_height", 400);
    ap_figure_number(figure, "bar", 1);
    ap_figure_string(figure, "bar_name", label_or(text, "1 m"));
    ap_figure_string(figure, "note", label_or(text, "At rest."));
}

static inline void add_figures(ap_figure_set *set, size_t rows, const char *text) {
    add_densities(set, rows, text);
    add_picks(set, rows, text);
    add_groups(set, rows, text);
    ap_figure *figure =
        ap_figure_add(set, AP_PLOT_MOVEMENT, "moves", label_or(text, "Movement"), label_or(text, "By cut"));
    static const char *const names[] = {"move1", "move2", "move3", "move4", "move5", "move6"};
    for (size_t i = 0; i < 6; i++) {
        ap_figure_string(figure, names[i], label_or(text, "butt up"));
    }
    ap_figure_string(figure, "group_word", label_or(text, "set-up"));
    ap_figure_block(figure, "moves");
    for (size_t i = 0; i < rows && i < 6; i++) {
        ap_figure_row_label(figure, (double[]){10, 3, (double)i, 0, 1, 2, i % 3 ? 40 : NAN, i % 3 ? 80 : NAN}, 8,
                            label_or(text, "through cut"));
    }
    add_shares(set, rows, text);
    add_side(set, rows, text);
}

#endif
