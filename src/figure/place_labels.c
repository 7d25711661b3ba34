#include "figure/place_labels.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

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

static bool meet(const ap_place_line *a, const ap_place_line *b) {
    double ax = a->x2 - a->x1, ay = a->y2 - a->y1;
    double bx = b->x2 - b->x1, by = b->y2 - b->y1;
    double across = ax * by - ay * bx;
    if (fabs(across) < 1e-12) {
        return false;
    }
    double t = ((b->x1 - a->x1) * by - (b->y1 - a->y1) * bx) / across;
    double u = ((b->x1 - a->x1) * ay - (b->y1 - a->y1) * ax) / across;
    return t >= 0 && t <= 1 && u >= 0 && u <= 1;
}

typedef struct sheet {
    const ap_place_label *labels;
    size_t placed;
    const ap_place_line *lines;
    size_t line_count;
    double width, height;
} sheet;

static double cost_of(const sheet *on, const box *b, double anchor_x, double anchor_y, bool led) {
    enum { COVERS = 60, LEADS_ACROSS = 25, LEADS_THROUGH = 150, CLEAR_PX = 3 };
    double cost = 0;
    double outside =
        fmax(0, -b->left) + fmax(0, b->right - on->width) + fmax(0, -b->foot) + fmax(0, b->top - on->height);
    for (size_t i = 0; i < on->placed; i++) {
        box other = box_at(&on->labels[i], on->labels[i].x, on->labels[i].y);
        double covered = overlap(b, &other);
        cost += covered > 0 ? 1e6 + 1e3 * covered : 0;
    }
    double x = fmin(fmax(anchor_x, b->left), b->right);
    double y = fmin(fmax(anchor_y, b->foot), b->top);
    double way = hypot(x - anchor_x, y - anchor_y);
    /* Short of the line it names, which is not one that it leads across. */
    double part = way > CLEAR_PX ? CLEAR_PX / way : 1;
    ap_place_line lead = {anchor_x + part * (x - anchor_x), anchor_y + part * (y - anchor_y), x, y, 0};
    for (size_t i = 0; i < on->placed; i++) {
        box other = box_at(&on->labels[i], on->labels[i].x, on->labels[i].y);
        cost += led && crosses(&lead, &other) ? LEADS_THROUGH : 0;
    }
    for (size_t i = 0; i < on->line_count; i++) {
        double weight = on->lines[i].weight > 0 ? on->lines[i].weight : 1;
        cost += crosses(&on->lines[i], b)           ? COVERS * weight
                : led && meet(&on->lines[i], &lead) ? LEADS_ACROSS * weight
                                                    : 0;
    }
    return cost + (outside > 0 ? 1e5 + 1e3 * outside : 0);
}

static void place(ap_place_label *label, const sheet *on) {
    enum { AROUND = 16, STEPS = 13, STEPS_NEAR = 7, SLIDES = 2 };
    double best = INFINITY;
    const ap_place_label from = *label;
    int slides = from.slide_x != 0 || from.slide_y != 0 ? SLIDES : 0;
    for (int slide = -slides; slide <= slides; slide++) {
        double anchor_x = from.anchor_x + from.slide_x * slide / SLIDES;
        double anchor_y = from.anchor_y + from.slide_y * slide / SLIDES;
        for (int step = 0; step < (label->led ? STEPS : STEPS_NEAR); step++) {
            double gap = 6 + 14.0 * step;
            for (int turn = 0; turn < AROUND; turn++) {
                double angle = 2 * 3.14159265358979323846 * turn / AROUND;
                double x = anchor_x + cos(angle) * (label->width / 2 + gap);
                double y = anchor_y + sin(angle) * (label->height / 2 + gap);
                box b = box_at(label, x, y);
                double cost = cost_of(on, &b, anchor_x, anchor_y, label->led) + gap + abs(slide);
                if (cost < best) {
                    best = cost;
                    label->x = x;
                    label->y = y;
                    label->anchor_x = anchor_x;
                    label->anchor_y = anchor_y;
                }
            }
        }
    }
}

void ap_place_labels(ap_place_label *labels, size_t count, const ap_place_line *lines, size_t line_count, double width,
                     double height) {
    for (size_t i = 0; i < count; i++) {
        const sheet on = {labels, i, lines, line_count, width, height};
        labels[i].x = labels[i].anchor_x;
        labels[i].y = labels[i].anchor_y;
        place(&labels[i], &on);
    }
}
