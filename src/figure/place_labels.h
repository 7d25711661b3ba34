/* Places for the labels of a drawing, so that none covers another, a line of the drawing, or the edge.
 *
 * Units   pixels, y upward, the drawing from (0, 0) to (width, height). Boxes by their centre.
 * Method  one label after the other, in order: of places around its anchor, near first, the one that costs least; covering a
 *         label costs most, then leaving the sheet, then each line crossed, then the way from the anchor. Greedy: the first
 *         labels get the best places. The line that leads to a label counts as well: a name across another leg misleads. */
#ifndef AP_FIGURE_PLACE_LABELS_H
#define AP_FIGURE_PLACE_LABELS_H

#include <stddef.h>

enum { AP_PLACE_LABELS_MAX = 32 };

typedef struct ap_place_label {
    double anchor_x, anchor_y; /* out: where on its line it is named */
    double slide_x, slide_y;   /* it may be named so far from there, both ways: a leg has more than one place */
    double width, height;
    int led;     /* 1: a line will lead to it from its anchor */
    double x, y; /* out: centre of its box */
} ap_place_label;

typedef struct ap_place_line {
    double x1, y1, x2, y2;
    double weight; /* how bad it is to cover it; 0 counts as 1 */
} ap_place_line;

void ap_place_labels(ap_place_label *labels, size_t count, const ap_place_line *lines, size_t line_count, double width,
                     double height);

#endif
