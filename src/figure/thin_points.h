/* Fewer marks for a figure of very many picks: one for each small cell of the frame that has any.
 *
 * Units   those of x and y.
 * Shape   up to AP_THIN_FROM points come back as they are, each a mark of one. Of more, at most AP_THIN_MOST marks: each lies
 *         on the first point of its cell and counts the points in it, so that the counts add up to all points with both
 *         numbers. Points without one of them get no mark. Marks are in the order of their first points.
 * Method  a grid of 256 by 256 cells over the points' extent, coarser by the root of two until the marks are few enough. An outlier
 *         keeps its cell, so the extent stays what it was but for the width of a cell. */
#ifndef AP_FIGURE_THIN_POINTS_H
#define AP_FIGURE_THIN_POINTS_H

#include "base/arena.h"

enum { AP_THIN_FROM = 1000, AP_THIN_MOST = 2048 };

typedef struct ap_thin_mark {
    size_t index; /* of the point it lies on */
    size_t count; /* points it stands for */
} ap_thin_mark;

/* NULL when there is none, or memory is out (the arena says so). */
ap_thin_mark *ap_thin_points(size_t *marks, ap_arena *arena, const double *x, const double *y, size_t count);

#endif
