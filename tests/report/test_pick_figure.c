/* The drawing of a pick: labels keep clear of each other, and gnuplot draws it whatever the pick is. */
#include "support/check.h"

#include "figure/place_labels.h"
#include "report/pick_figure.h"

static bool overlap(const ap_place_label *a, const ap_place_label *b) {
    return fabs(a->x - b->x) < (a->width + b->width) / 2 - 1e-9 &&
           fabs(a->y - b->y) < (a->height + b->height) / 2 - 1e-9;
}

static bool inside(const ap_place_label *l, double width, double height) {
    return l->x - l->width / 2 >= 0 && l->x + l->width / 2 <= width && l->y - l->height / 2 >= 0 &&
           l->y + l->height / 2 <= height;
}

/* All anchors in one place, and anchors at the rim: no label covers another or leaves the sheet. */
static void labels_keep_clear_of_each_other(void **state) {
    (void)state;
    ap_place_label labels[9];
    const ap_place_line line = {0, 150, 600, 150, 1};
    for (int i = 0; i < 9; i++) {
        labels[i] =
            (ap_place_label){.anchor_x = i < 6 ? 300 : 598, .anchor_y = i < 6 ? 150 : 2, .width = 90, .height = 18};
    }
    ap_place_labels(labels, 9, &line, 1, 600, 300);
    for (int i = 0; i < 9; i++) {
        assert_true(inside(&labels[i], 600, 300));
        for (int k = 0; k < i; k++) {
            assert_false(overlap(&labels[i], &labels[k]));
        }
    }
}

static void a_label_avoids_a_line_when_it_can(void **state) {
    (void)state;
    ap_place_label label = {.anchor_x = 300, .anchor_y = 150, .width = 90, .height = 18};
    const ap_place_line lines[2] = {{300, 0, 300, 300, 1}, {0, 150, 600, 150, 1}};
    ap_place_labels(&label, 1, lines, 2, 600, 300);
    assert_true(fabs(label.x - 300) > 45 && fabs(label.y - 150) > 9);
}

/* Two legs that part downward and a faint line on either side: the name of the right leg stays off the left one, which is
 * heavy, slides along its own leg for that, and is led to from the side where no leg is between. */
static void a_name_of_a_leg_stays_off_the_other_leg(void **state) {
    (void)state;
    const ap_place_line lines[4] = {
        {300, 280, 270, 20, 5}, {300, 280, 330, 20, 5}, {300, 280, 420, 20, 0.4}, {300, 280, 180, 20, 0.4}};
    ap_place_label label = {
        .anchor_x = 315, .anchor_y = 150, .slide_x = -9, .slide_y = 78, .led = 1, .width = 200, .height = 18};
    ap_place_labels(&label, 1, lines, 4, 600, 300);
    assert_true(label.x - label.width / 2 > label.anchor_x);
    /* the anchor is still on its leg */
    assert_true(fabs(label.anchor_x - (330 + (label.anchor_y - 20) * (300 - 330) / 260.0)) < 2);
}

typedef struct bench {
    ap_pick pick;
    ap_settings settings;
    ap_recon recon;
} bench;

static void start(bench *b, int legs) {
    ap_pick_clear(&b->pick);
    ap_settings_defaults(&b->settings);
    ap_pick *p = &b->pick;
    p->name = AP_STR_LIT("J1/'`ls` \"x\"\n$(7)");
    p->length_m = 8;
    p->butt_diameter_m = 0.5;
    p->tip_diameter_m = 0.3;
    p->balance_point_m = 3.6;
    p->lean_deg = 40;
    p->measured_weight_kg = 1000;
    p->measured_as = AP_WEIGHED_AS_NET;
    p->climber_side = AP_CLIMBER_SIDE_BUTT;
    p->climber_distance_m = 3;
    for (int i = 0; i < legs; i++) {
        p->legs[i].kind = AP_LEG_KIND_EYE;
        p->legs[i].at_m = 2 + 3 * i;
        p->legs[i].length_m = 5;
        p->legs[i].state = i == 1 ? AP_LEG_STATE_SLACK : AP_LEG_STATE_TIGHT;
    }
}

/* Draws it as SVG; the text where the figure would be when there is none. */
static void draw(bench *b, bool drawn, const char *says) {
    ap_arena arena;
    ap_derived derived;
    ap_error err;
    ap_str trouble = AP_STR_NONE;
    ap_company company = {.settings = &b->settings};
    ap_arena_init(&arena, 64 << 20);
    ap_pick_count_legs(&b->pick);
    ap_derive(&derived, &b->pick, &company);
    ap_recon_given given = AP_RECON_GIVEN(&derived, &company);
    ap_reconstruct(&b->recon, &b->pick, &given);
    ap_figure_set *set = ap_figure_set_new(&arena, AP_FIGURE_SVG);
    const ap_recon_view view = {&b->pick, &b->recon};
    ap_figure *figure = ap_pick_figure(set, AP_UNITS_US, "pick", &view);
    assert_non_null(figure);
    check_ok(ap_figure_set_draw(&trouble, set, 20000, &err), &err);
    ap_str text = drawn ? ap_figure_output(figure) : ap_figure_missing(figure);
    if (!text.len || !strstr(text.ptr, says)) {
        fail_msg("'%.*s' does not say '%s'; trouble: '%.*s'", (int)(text.len < 300 ? text.len : 300), text.ptr, says,
                 AP_STR_ARG(trouble));
    }
    ap_arena_release(&arena);
}

static void every_kind_of_pick_is_drawn_or_says_why_not(void **state) {
    (void)state;
    bench b;
    start(&b, 2);
    draw(&b, true, "was slack by");
    start(&b, 1);
    draw(&b, true, "leg 1");
    start(&b, 2);
    b.pick.lean_deg = NAN; /* no place before the cut */
    draw(&b, true, "its place before is not known");
    start(&b, 2);
    b.pick.butt_diameter_m = b.pick.tip_diameter_m = b.pick.length_m = NAN; /* no shape */
    draw(&b, true, "leg 2");
    start(&b, 2);
    b.pick.measured_weight_kg = NAN; /* no tensions */
    draw(&b, true, "tight");
    start(&b, 2);
    for (int i = 0; i < 2; i++) {
        b.pick.legs[i].wll_kg = 3000;
        b.pick.legs[i].side_m = 0.4;
    }
    draw(&b, false, "rolls out of the plane");
    start(&b, 0);
    draw(&b, false, "no leg that carries");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(labels_keep_clear_of_each_other),
        cmocka_unit_test(a_label_avoids_a_line_when_it_can),
        cmocka_unit_test(a_name_of_a_leg_stays_off_the_other_leg),
        cmocka_unit_test(every_kind_of_pick_is_drawn_or_says_why_not),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
