/* The draws that false alarms are counted on: they agree with the fit, and their law is the published one where there is one. */
#include <gsl/gsl_cdf.h>

#include "nearmiss/chance_draw.h"
#include "nearmiss/months.h"
#include "stats/rates.h"

typedef struct drawn {
    ap_roster roster;
    ap_spread spread;
    ap_looks looks;
    ap_draw draw;
} drawn;

static void open_drawn(drawn *it, size_t begin) {
    ap_error err;
    double suspect_z = check_limits()->suspect_z;
    check_ok(ap_spread_fit(&it->spread, &it->roster, it->roster.count, suspect_z, &err), &err);
    check_ok(ap_looks_make(&it->looks, &it->roster, 0, it->roster.count, &it->spread, suspect_z, &err), &err);
    check_ok(ap_draw_init(&it->draw, &it->roster, &it->looks, &it->spread, begin, &err), &err);
}

static void close_drawn(drawn *it) {
    ap_draw_release(&it->draw);
    ap_looks_release(&it->looks);
    ap_spread_release(&it->spread);
    ap_roster_release(&it->roster);
}

/* D1 and D2: the fit reads the drawn picks and finds the sums it found in the real ones; whatever the trees' sizes are. */
static void drawn_picks_fit_as_the_real_ones(void **state) {
    (void)state;
    static const size_t sizes[] = {7, 3, 20, 1};
    for (size_t s = 0; s < sizeof sizes / sizeof sizes[0]; s++) {
        const month_plan plan = {
            .seed = 5 + s, .before = 400, .picks = 200, .tree_sd = 0.1, .rest_sd = 0.1, .a_tree = sizes[s]};
        drawn it = {.looks = {0}};
        check_roster_init(&it.roster);
        month_add(&it.roster, &plan);
        open_drawn(&it, 0);
        assert_int_equal(it.spread.kinds, 18);
        assert_int_equal(it.spread.trees_told_apart, sizes[s] > 1);
        for (uint32_t turn = 1; turn <= 5; turn++) {
            ap_spread again;
            ap_error err;
            ap_draw_next(&it.draw, turn);
            for (size_t i = 0; i < it.looks.count; i++) {
                it.roster.facts[it.looks.fact[i]].log_error = (double)it.draw.z[i] * it.spread.sd;
            }
            check_ok(ap_spread_fit(&again, &it.roster, it.roster.count, 20, &err), &err);
            check_close(again.within / it.spread.within, 1, 1e-4, "conditioned on the sums (Engen & Lillegard 1997)");
            if (sizes[s] > 1) {
                check_close(again.between / it.spread.between, 1, 1e-4, "conditioned on the sums");
            }
            ap_spread_release(&again);
        }
        close_drawn(&it);
    }
}

/* Ten picks of one kind, every one a tree of its own: what is left about their mean over the fitted spread, r, is no normal value but
 * Thompson's (1935, Annals of Mathematical Statistics 6:214-219): with tau = r / sqrt(9 / 10), tau sqrt(8) / sqrt(9 - tau^2) is Student's t with
 * 8 degrees of freedom. */
static void the_law_of_drawn_picks_is_thompsons(void **state) {
    (void)state;
    enum { PICKS = 10, DRAWS = 20000 };
    static const double limits[] = {1, 1.6, 2.1};
    size_t above[3] = {0};
    drawn it = {.looks = {0}};
    check_roster_init(&it.roster);
    for (size_t i = 0; i < PICKS; i++) {
        char tree[8];
        snprintf(tree, sizeof tree, "T%zu", i);
        check_roster_add(&it.roster, "J/1", 1, exp(0.1 * (double)(i % 4) - 0.1), "beech", "through", "E", tree);
    }
    open_drawn(&it, 0);
    for (uint32_t turn = 1; turn <= DRAWS; turn++) {
        double mean = 0;
        ap_draw_next(&it.draw, turn);
        for (size_t i = 0; i < PICKS; i++) {
            mean += (double)it.draw.z[i] / PICKS;
        }
        for (size_t l = 0; l < 3; l++) {
            above[l] += (double)it.draw.z[0] - mean > limits[l];
        }
    }
    close_drawn(&it);
    for (size_t l = 0; l < 3; l++) {
        double tau = limits[l] / sqrt(0.9);
        double share = gsl_cdf_tdist_Q(tau * sqrt(8) / sqrt(9 - tau * tau), 8);
        ap_interval interval;
        ap_error err;
        check_ok(ap_share_interval(&interval, above[l], DRAWS, 0.999, &err), &err);
        print_message("beyond %.1f spreads: %.4f by Thompson 1935, %zu of %d here (normal: %.4f)\n", limits[l], share,
                      above[l], DRAWS, gsl_cdf_ugaussian_Q(tau));
        assert_true(share >= interval.low && share <= interval.high);
    }
}

/* D4: where older picks are not drawn, the drawn ones scatter by the fitted variances still, and a group's past about nothing. */
static void a_long_past_is_drawn_as_its_sums(void **state) {
    (void)state;
    enum { TURNS = 400 };
    const month_plan plan = {.seed = 21, .before = 1500, .picks = 100, .tree_sd = 0.1, .rest_sd = 0.1, .a_tree = 6};
    drawn it = {.looks = {0}};
    check_roster_init(&it.roster);
    month_add(&it.roster, &plan);
    open_drawn(&it, 1200);
    double squares = 0;
    double means = 0;
    double known = 0;
    const ap_span_past *past = &it.draw.past[1][1]; /* the first crew's */
    for (uint32_t turn = 1; turn <= TURNS; turn++) {
        ap_draw_next(&it.draw, turn);
        for (size_t i = it.draw.begin; i < it.looks.count; i++) {
            squares += (double)it.draw.z[i] * (double)it.draw.z[i] / (double)(it.looks.count - it.draw.begin);
        }
        means += past->mean * past->mean;
        known += past->squares / (past->count - 1);
    }
    /* Each turn's mean square has a standard error of about sqrt(2 / 40 trees): four of the mean of 400 are .05. */
    check_close(squares / TURNS, 1, 0.05, "the fitted variance, in spreads");
    check_close(known / TURNS, 1, 0.05, "the fitted variance, in spreads");
    double tree = pow(it.spread.tree_sd / it.spread.sd, 2);
    double of_mean = (tree * it.draw.past_clusters[1][1] / past->count + 1 - tree) / past->count;
    check_close(means / TURNS / of_mean, 1, 4 * sqrt(2.0 / TURNS), "variance of a mean of clusters (Kish 1965, 5.4)");
    close_drawn(&it);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(drawn_picks_fit_as_the_real_ones),
        cmocka_unit_test(the_law_of_drawn_picks_is_thompsons),
        cmocka_unit_test(a_long_past_is_drawn_as_its_sums),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
