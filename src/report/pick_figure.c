#include "report/pick_figure.h"

#include "figure/place_labels.h"
#include "figure/plots.h"
#include "page/number.h"

static const double DEGREE = 3.14159265358979323846 / 180.0;
enum { LINES_MAX = 48, HOOK = 1, TEXT_MAX = 240 };
/* Pixels of the drawing's room, and of its rim for words. */
typedef struct sheet_room {
    double width, height_least, height_most, rim, rim_high;
    bool narrow;
} sheet_room;
static const sheet_room BROAD = {720, 260, 600, 260, 90, false};
static const sheet_room NARROW = {340, 260, 460, 110, 150, true};
/* A sans-serif letter of the figures' size, and a line, in pixels; a little wide, so that labels keep their distance. */
static const double LETTER_PX = 7.4;
static const double LINE_PX = 19.0;

typedef struct point {
    double x, y;
} point;

typedef struct drawing {
    ap_figure *figure; /* NULL: only lines and labels are wanted */
    const sheet_room *room;
    ap_unit_system units;
    const ap_recon *recon;
    const ap_pick *pick;
    bool moved; /* the place before the cut is known */
    point hook; /* in the world; the butt before the cut at (0, 0), without that the hook at (0, 0) */
    double radius_butt, radius_tip, length;
    double xlow, xhigh, ylow, yhigh, scale, height;
    ap_place_label labels[AP_PLACE_LABELS_MAX];
    char texts[AP_PLACE_LABELS_MAX][TEXT_MAX];
    bool is_free[AP_PLACE_LABELS_MAX]; /* stands for no place of the drawing: no line leads to it */
    size_t label_count;
    ap_place_line lines[LINES_MAX];
    size_t line_count;
} drawing;

static point turned(double x, double y, double deg) {
    double c = cos(deg * DEGREE);
    double s = sin(deg * DEGREE);
    return (point){x * c - y * s, x * s + y * c};
}

/* A place of the piece's frame at rest, in the world. */
static point at_rest(const drawing *d, double x, double y) {
    point p = turned(x - d->recon->hook_x_m, y - d->recon->hook_y_m, d->recon->inclination_deg);
    return (point){d->hook.x + p.x, d->hook.y + p.y};
}

static point before(const drawing *d, double x, double y) {
    return turned(x, y, d->recon->lean_deg.value);
}

static void see(drawing *d, point p) {
    d->xlow = fmin(d->xlow, p.x);
    d->xhigh = fmax(d->xhigh, p.x);
    d->ylow = fmin(d->ylow, p.y);
    d->yhigh = fmax(d->yhigh, p.y);
}

static void add_heavy_line(drawing *d, point a, point b, double weight) {
    if (d->line_count < LINES_MAX) {
        d->lines[d->line_count++] = (ap_place_line){(a.x - d->xlow) * d->scale, (a.y - d->ylow) * d->scale,
                                                    (b.x - d->xlow) * d->scale, (b.y - d->ylow) * d->scale, weight};
    }
}

static void add_line(drawing *d, point a, point b) {
    add_heavy_line(d, a, b, 1);
}

typedef point (*place_fn)(const drawing *d, double x, double y);

static void corners(point out[4], const drawing *d, place_fn place) {
    out[0] = place(d, 0, d->radius_butt);
    out[1] = place(d, d->length, d->radius_tip);
    out[2] = place(d, d->length, -d->radius_tip);
    out[3] = place(d, 0, -d->radius_butt);
}

static void put_outline(drawing *d, const char *block, place_fn place) {
    point c[4];
    corners(c, d, place);
    ap_figure_block(d->figure, block);
    for (int i = 0; i < 5; i++) {
        const double row[2] = {c[i % 4].x, c[i % 4].y};
        ap_figure_row(d->figure, row, 2);
        if (i < 4) {
            add_heavy_line(d, c[i], c[(i + 1) % 4], place == at_rest ? 3 : 1);
        }
    }
}

/* A length of the stem below the cut, so that the cut is seen as one. */
static double stub_length(const drawing *d) {
    return 0.16 * d->length;
}

static void put_stem(drawing *d) {
    static const double side[4] = {1, 1, -1, -1};
    static const double along[4] = {1, 0, 0, 1};
    point last = {0, 0};
    ap_figure_block(d->figure, "stem");
    for (int i = 0; i < 4; i++) {
        point p = before(d, -stub_length(d) * along[i] - 0.02 * d->length, side[i] * d->radius_butt * 1.04);
        const double row[2] = {p.x, p.y};
        ap_figure_row(d->figure, row, 2);
        if (i > 0) {
            add_line(d, last, p);
        }
        last = p;
    }
}

/* A word on a leg at rest hides what the drawing is about; one on a leg before the cut does not matter much. */
static void put_leg_row(drawing *d, point from, bool tight, double weight) {
    const double row[5] = {from.x, from.y, d->hook.x - from.x, d->hook.y - from.y, tight};
    ap_figure_row(d->figure, row, 5);
    add_heavy_line(d, from, d->hook, weight);
}

static void put_legs(drawing *d) {
    const ap_recon *r = d->recon;
    ap_figure_block(d->figure, "legs");
    for (int i = 0; i < r->leg_count; i++) {
        put_leg_row(d, at_rest(d, r->legs[i].at_m, r->legs[i].off_m), r->legs[i].tight, 5);
    }
    if (d->moved) {
        ap_figure_block(d->figure, "legs_before");
        for (int i = 0; i < r->leg_count; i++) {
            put_leg_row(d, before(d, r->legs[i].at_m, r->legs[i].off_m), !(r->legs[i].start_slack_m > 0), 0.4);
        }
    }
}

static void put_way(drawing *d, point from, point to) {
    const double row[4] = {from.x, from.y, to.x - from.x, to.y - from.y};
    ap_figure_row(d->figure, row, 4);
    add_heavy_line(d, from, to, 2);
}

/* An arrow shorter than this says nothing and hides what is under it. */
static bool is_worth_an_arrow(const drawing *d, double way_m) {
    return way_m > 0.02 * d->length;
}

static void put_ways(drawing *d) {
    const ap_recon *r = d->recon;
    ap_figure_block(d->figure, "ways");
    if (is_worth_an_arrow(d, r->butt_move_m)) {
        put_way(d, before(d, 0, 0), at_rest(d, 0, 0));
    }
    if (is_worth_an_arrow(d, r->tip_move_m)) {
        put_way(d, before(d, d->length, 0), at_rest(d, d->length, 0));
    }
}

static void put_point(drawing *d, point p, int kind) {
    const double row[3] = {p.x, p.y, kind};
    ap_figure_row(d->figure, row, 3);
    const double arm = (kind == HOOK ? 11.0 : 7.0) / d->scale; /* so that no label covers it */
    add_line(d, (point){p.x - arm, p.y}, (point){p.x + arm, p.y});
    add_line(d, (point){p.x, p.y - arm}, (point){p.x, p.y + arm});
}

static void put_points(drawing *d) {
    ap_figure_block(d->figure, "points");
    put_point(d, d->hook, HOOK);
    put_point(d, at_rest(d, d->recon->cg_m.value, 0), 2);
    if (d->moved) {
        put_point(d, before(d, d->recon->cg_m.value, 0), 3);
    }
}

static void add_label(drawing *d, point anchor, const char *text) {
    if (d->label_count == AP_PLACE_LABELS_MAX) {
        return;
    }
    ap_place_label *label = &d->labels[d->label_count];
    snprintf(d->texts[d->label_count++], TEXT_MAX, "%s", text);
    *label = (ap_place_label){.anchor_x = (anchor.x - d->xlow) * d->scale,
                              .anchor_y = (anchor.y - d->ylow) * d->scale,
                              .led = 1,
                              .width = LETTER_PX * (double)strlen(text) + 6,
                              .height = LINE_PX};
}

static void quantity(char out[AP_NUMBER_SIZE], const drawing *d, ap_dim dim, double si) {
    ap_quantity_text(out, d->units, dim, false, si);
}

/* Where it may stand: a good part of the leg, both ways from the middle. */
static void let_slide(drawing *d, point along) {
    static const double PART = 0.3;
    ap_place_label *label = &d->labels[d->label_count - 1];
    label->slide_x = PART * along.x * d->scale;
    label->slide_y = PART * along.y * d->scale;
}

static void label_leg(drawing *d, int i) {
    const ap_recon_leg *leg = &d->recon->legs[i];
    char number[AP_NUMBER_SIZE] = "";
    char slack[AP_NUMBER_SIZE] = "";
    char text[TEXT_MAX];
    point from = at_rest(d, leg->at_m, leg->off_m);
    double share = i == 0 ? 0.5 : 0.42; /* not at one height */
    point middle = {from.x + share * (d->hook.x - from.x), from.y + share * (d->hook.y - from.y)};
    if (leg->tight) {
        ap_quantity_about(number, d->units, AP_DIM_FORCE, leg->tension_n);
    } else {
        quantity(number, d, AP_DIM_LENGTH, leg->slack_m);
    }
    bool was_slack = leg->start_slack_m > 0.005;
    quantity(slack, d, AP_DIM_LENGTH, leg->start_slack_m);
    snprintf(text, sizeof text, "leg %d: %s%s%s%s%s", leg->number, leg->tight ? "" : "slack ",
             number[0] ? number : "tight", was_slack ? " (was slack" : "", was_slack && !d->room->narrow ? " by " : "",
             was_slack && !d->room->narrow ? slack : "");
    snprintf(text + strlen(text), sizeof text - strlen(text), "%s", was_slack ? ")" : "");
    add_label(d, middle, text);
    let_slide(d, (point){d->hook.x - from.x, d->hook.y - from.y});
}

static void label_way(drawing *d, const char *end, double rise_m, double way_m, point at) {
    char rise[AP_NUMBER_SIZE];
    char text[TEXT_MAX];
    if (is_worth_an_arrow(d, way_m)) {
        quantity(rise, d, AP_DIM_LENGTH, fabs(rise_m));
        snprintf(text, sizeof text, "%s %s %s", end, rise_m >= 0 ? "up" : "down", rise);
        add_label(d, at, text);
    } else {
        add_label(d, at, end);
    }
}

static void label_climber(drawing *d) {
    const ap_pick *p = d->pick;
    char text[TEXT_MAX];
    char distance[AP_NUMBER_SIZE] = "";
    if (!p->climber_side) {
        return;
    }
    quantity(distance, d, AP_DIM_LENGTH, p->climber_distance_m);
    /* Where it stands says which end, when there is no room for words. */
    const char *side = p->climber_side == AP_CLIMBER_SIDE_OFF   ? ": off to a side"
                       : d->room->narrow                        ? ""
                       : p->climber_side == AP_CLIMBER_SIDE_TIP ? ": on the tip's side"
                                                                : ": on the butt's side";
    snprintf(text, sizeof text, "climber%s%s%s", side, distance[0] ? ", " : "", distance);
    double x = p->climber_side == AP_CLIMBER_SIDE_TIP ? d->length : -stub_length(d);
    add_label(d, d->moved ? before(d, x, 0) : at_rest(d, x, 0), text);
    d->is_free[d->label_count - 1] = true;
    d->labels[d->label_count - 1].led = 0;
}

/* In the order of what a reader must not miss: the first get the best places. */
static void add_labels(drawing *d) {
    const ap_recon *r = d->recon;
    for (int i = 0; i < r->leg_count; i++) {
        label_leg(d, i);
    }
    label_climber(d); /* no line leads to it: it must be near */
    if (d->moved) {
        label_way(d, "butt", r->butt_up_m, r->butt_move_m, at_rest(d, 0, 0));
        label_way(d, "tip", r->tip_up_m, r->tip_move_m, at_rest(d, d->length, 0));
    } else {
        add_label(d, at_rest(d, 0, 0), "butt");
        add_label(d, at_rest(d, d->length, 0), "tip");
    }
    add_label(d, d->hook, "hook");
    add_label(d, at_rest(d, r->cg_m.value, 0), d->room->narrow ? "balance" : "centre of gravity");
    if (d->moved) {
        add_label(d, before(d, -0.01 * d->length, 0), "cut");
    }
    if (d->moved && is_worth_an_arrow(d, fmax(r->butt_move_m, r->tip_move_m))) {
        add_label(d, before(d, 0.8 * d->length, 0), "before the cut");
    }
}

static void put_labels(drawing *d, ap_figure *figure) {
    ap_place_labels(d->labels, d->label_count, d->lines, d->line_count, d->room->width, d->height);
    ap_figure_block(figure, d->room->narrow ? "labels_narrow" : "labels");
    for (size_t i = 0; i < d->label_count; i++) {
        const ap_place_label *l = &d->labels[i];
        const double row[4] = {d->xlow + l->x / d->scale, d->ylow + l->y / d->scale,
                               d->xlow + (d->is_free[i] ? l->x : l->anchor_x) / d->scale,
                               d->ylow + (d->is_free[i] ? l->y : l->anchor_y) / d->scale};
        ap_figure_row_label(figure, row, 4, ap_str_from(d->texts[i]));
    }
}

/* What is seen, with a rim for the labels, in the sheet's shape. */
static void frame(drawing *d) {
    static const place_fn places[] = {at_rest, before};
    d->xlow = d->xhigh = d->hook.x;
    d->ylow = d->yhigh = d->hook.y;
    for (int k = 0; k < (d->moved ? 2 : 1); k++) {
        point c[4];
        corners(c, d, places[k]);
        for (int i = 0; i < 4; i++) {
            see(d, c[i]);
        }
    }
    if (d->moved) {
        see(d, before(d, -stub_length(d), 0));
    }
    double wide = d->xhigh - d->xlow;
    double high = d->yhigh - d->ylow;
    d->scale = fmin((d->room->width - d->room->rim) / fmax(wide, 1e-6),
                    (d->room->height_most - d->room->rim_high) / fmax(high, 1e-6));
    d->height = fmax(d->room->height_least, high * d->scale + d->room->rim_high);
    double rim_x = (d->room->width / d->scale - wide) / 2;
    double rim_y = (d->height / d->scale - high) / 2;
    d->xlow -= rim_x;
    d->xhigh += rim_x;
    d->ylow -= rim_y;
    d->yhigh += rim_y;
}

/* The longest round length that fits a fifth of the width. */
static void put_scale_bar(const drawing *d, ap_figure *figure) {
    static const double steps[] = {0.1, 0.2, 0.5, 1, 2, 5, 10, 20};
    ap_unit unit = ap_unit_for_page(d->units, AP_DIM_LENGTH, false);
    double bar = ap_unit_to_si(unit, steps[0]);
    double in_unit = steps[0];
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        if (ap_unit_to_si(unit, steps[i]) * d->scale < d->room->width / 5.0) {
            in_unit = steps[i];
            bar = ap_unit_to_si(unit, in_unit);
        }
    }
    char name[TEXT_MAX];
    snprintf(name, sizeof name, "%g %s", in_unit, ap_unit_symbol(unit));
    ap_figure_number(figure, d->room->narrow ? "bar_narrow" : "bar", bar);
    ap_figure_string(figure, d->room->narrow ? "bar_name_narrow" : "bar_name", ap_str_from(name));
}

/* "tip 25° up", "level" */
static void say_tip(char out[AP_NUMBER_SIZE], double deg) {
    if (fabs(deg) < 0.5) {
        snprintf(out, AP_NUMBER_SIZE, "level");
    } else {
        snprintf(out, AP_NUMBER_SIZE, "tip %.0f° %s", fabs(deg), deg > 0 ? "up" : "down");
    }
}

static void put_note(drawing *d) {
    char rest[AP_NUMBER_SIZE];
    char lean[AP_NUMBER_SIZE];
    char text[320];
    say_tip(rest, d->recon->inclination_deg);
    say_tip(lean, d->recon->lean_deg.value);
    bool slack = false;
    for (int i = 0; i < d->recon->leg_count; i++) {
        slack = slack || !d->recon->legs[i].tight || (d->moved && d->recon->legs[i].start_slack_m > 0);
    }
    const char *broken = slack ? " Broken: slack." : "";
    if (d->moved) {
        snprintf(text, sizeof text, "Light, ring: before, %s. Dark: at rest, %s.%s Arrows: ways of the ends.", lean,
                 rest, broken);
    } else {
        snprintf(text, sizeof text, "At rest, %s; its place before is not known.%s", rest, broken);
    }
    ap_figure_string(d->figure, "note", ap_str_from(text));
}

/* What differs between the two drawings goes to `figure`; what both share, to the drawing's own. */
static void draw(drawing *d, const sheet_room *room, ap_figure *figure) {
    static const char *const names[2][5] = {
        {"xlow", "xhigh", "ylow", "yhigh", "plot_height"},
        {"xlow_narrow", "xhigh_narrow", "ylow_narrow", "yhigh_narrow", "plot_height_narrow"}};
    d->room = room;
    d->label_count = d->line_count = 0;
    memset(d->is_free, 0, sizeof d->is_free);
    frame(d);
    put_outline(d, "after", at_rest);
    if (d->moved) {
        put_outline(d, "before", before);
        put_stem(d);
        put_ways(d);
    }
    put_legs(d);
    put_points(d);
    add_labels(d);
    put_labels(d, figure);
    const double values[5] = {d->xlow, d->xhigh, d->ylow, d->yhigh, d->height};
    for (int i = 0; i < 5; i++) {
        ap_figure_number(figure, names[room->narrow][i], values[i]);
    }
    put_scale_bar(d, figure);
    put_note(d);
}

/* Without diameters a thin stem; without a length one that reaches a little past what is known. */
static void set_shape(drawing *d) {
    const ap_recon *r = d->recon;
    double far = r->cg_m.value;
    for (int i = 0; i < r->leg_count; i++) {
        far = fmax(far, r->legs[i].at_m);
    }
    d->length = isnan(r->length_m.value) ? 1.15 * far : r->length_m.value;
    bool round = d->pick->butt_diameter_m > 0 && d->pick->tip_diameter_m >= 0;
    d->radius_butt = round ? d->pick->butt_diameter_m / 2 : 0.02 * d->length;
    d->radius_tip = round ? d->pick->tip_diameter_m / 2 : 0.015 * d->length;
}

/* A drawing from the side shows the plane of the lean alone. */
static bool why_not(ap_buf *why, const ap_recon *r) {
    static const double LEVEL_DEG = 2.0;
    ap_buf reason;
    ap_buf_init(why, 1024);
    ap_buf_init(&reason, 1024);
    if (r->no_hang.no) {
        ap_recon_say_reason(&reason, &r->no_hang);
        ap_buf_append_cstr(why, "No drawing: ");
        ap_buf_append_str(why, ap_buf_str(&reason));
        ap_buf_append_cstr(why, ".");
    } else if (!(fabs(r->roll_deg) < LEVEL_DEG) || fabs(r->hook_side_m) > 0.02 * r->hook_y_m) {
        ap_buf_append_cstr(why, "No drawing: the piece rolls out of the plane of its lean, which a view from the side "
                                "cannot show.");
    }
    ap_buf_release(&reason);
    return why->len > 0;
}

ap_figure *ap_pick_figure(ap_figure_set *set, ap_unit_system units, const char *id, const ap_recon_view *view) {
    const ap_recon *r = view->recon;
    drawing d = {.units = units, .recon = r, .pick = view->pick, .moved = !r->no_movement.no};
    char title[TEXT_MAX];
    ap_buf why;
    snprintf(title, sizeof title, "%.*s from the side, reconstructed", AP_STR_ARG(view->pick->name));
    d.figure = ap_figure_add(set, AP_PLOT_PICK_SIDE, id, ap_str_from(title),
                             AP_STR_LIT("The piece before the cut and at rest on the hook, its slings with what they "
                                        "carry, the centre of gravity, and the ways of butt and tip."));
    if (!d.figure) {
        return NULL;
    }
    if (why_not(&why, r)) {
        ap_figure_empty(d.figure, ap_buf_str(&why));
        ap_buf_release(&why);
        return d.figure;
    }
    ap_buf_release(&why);
    if (d.moved) {
        d.hook = (point){r->hook_beyond_butt_m, r->hook_above_butt_m};
    }
    set_shape(&d);
    ap_figure *figure = d.figure;
    draw(&d, &BROAD, figure);
    d.figure = NULL;
    draw(&d, &NARROW, figure);
    return figure;
}
