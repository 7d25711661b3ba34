#include "figure/place_labels.h"

#include <math.h>
#include <stdbool.h>

typedef struct box {
    double left, right, foot, top;
} box;

static box box_at(const ap_place_label *label, double x, double y) {
    return (box){x - label->width / 2, x + label->width / 2, y - label->height / 2, y + label->height / 2};
}

static double overlap(const box *a, const box *b) {
    double wide = fmin(a->right, b->right) - fmax(a->left, b->left);
    double high = fmin(a->top, b->top) - fmax(a->foot, b->foot);
    return wide > 0 && high > 0 ? wide * high : 0;
}

/* Cohen and Sutherland's question, by parameters: does any part of the line lie in the box? */
static bool crosses(const ap_place_line *line, const box *b) {
    double low = 0;
    double high = 1;
    const double delta[2] = {line->x2 - line->x1, line->y2 - line->y1};
    const double from[2] = {line->x1, line->y1};
    const double least[2] = {b->left, b->foot};
    const double most[2] = {b->right, b->top};
    for (int axis = 0; axis < 2; axis++) {
        if (fabs(delta[axis]) < 1e-12) {
            if (from[axis] < least[axis] || from[axis] > most[axis]) {
                return false;
            }
            continue;
        }
        double a = (least[axis] - from[axis]) / delta[axis];
        double c = (most[axis] - from[axis]) / delta[axis];
        low = fmax(low, fmin(a, c));
        high = fmin(high, fmax(a, c));
    }
    return low <= high;
}

static double cost_of(const box *b, const ap_place_label *labels, size_t placed, const ap_place_line *lines,
                      size_t line_count, double width, double height) {
    double cost = 0;
    double outside = fmax(0, -b->left) + fmax(0, b->right - width) + fmax(0, -b->foot) + fmax(0, b->top - height);
    for (size_t i = 0; i < placed; i++) {
        box other = box_at(&labels[i], labels[i].x, labels[i].y);
        double covered = overlap(b, &other);
        cost += covered > 0 ? 1e6 + 1e3 * covered : 0;
    }
    for (size_t i = 0; i < line_count; i++) {
        cost += crosses(&lines[i], b) ? 60 : 0;
    }
    return cost + (outside > 0 ? 1e5 + 1e3 * outside : 0);
}

void ap_place_labels(ap_place_label *labels, size_t count, const ap_place_line *lines, size_t line_count, double width,
                     double height) {
    enum { AROUND = 16, STEPS = 9 };
    for (size_t i = 0; i < count; i++) {
        ap_place_label *label = &labels[i];
        double best = INFINITY;
        double best_x = label->anchor_x;
        double best_y = label->anchor_y;
        for (int step = 0; step < STEPS; step++) {
            double gap = 6 + 14.0 * step;
            for (int turn = 0; turn < AROUND; turn++) {
                double angle = 2 * 3.14159265358979323846 * turn / AROUND;
                double x = label->anchor_x + cos(angle) * (label->width / 2 + gap);
                double y = label->anchor_y + sin(angle) * (label->height / 2 + gap);
                box b = box_at(label, x, y);
                double cost = cost_of(&b, labels, i, lines, line_count, width, height) + gap;
                if (cost < best) {
                    best = cost;
                    best_x = x;
                    best_y = y;
                }
            }
        }
        label->x = best_x;
        label->y = best_y;
    }
}
