/* Evidence of other companies in the density model: the normal prior times normal figures, worked by hand. */
#include "support/roster.h"

#include "analysis/density.h"

static const char source[] = "Gelman et al. 2013, BDA 3rd ed., 2.5: precisions add, means are weighed by them";

typedef struct scene {
    ap_roster roster;
    ap_arena arena;
    ap_species oak;
    const ap_species *by_label[4];
    ap_density_picks picks;
    ap_density density;
} scene;

static void start(scene *s) {
    memset(s, 0, sizeof *s);
    check_roster_init(&s->roster);
    ap_arena_init(&s->arena, 64u << 20);
    s->oak = (ap_species){
        .id = 833, .common = AP_STR_LIT("oak"), .hardwood = true, .density_kg_m3 = 1000, .ceiling_kg_m3 = 1200};
    s->roster.species = s->by_label;
}

static void add_trees(scene *s, int trees, double log_shift) {
    for (int t = 0; t < trees; t++) {
        char tree[16];
        snprintf(tree, sizeof tree, "T%d", t);
        ap_fact *fact = check_roster_add(&s->roster, tree, 20100, NAN, "oak", "step", "E", tree);
        fact->rest->volume_m3 = 1;
        fact->measured_net_kg = 1000 * exp(log_shift + (t % 2 ? 0.05 : -0.05));
        fact->wood_class = AP_WOOD_SOUND;
        s->by_label[ap_fact_group(fact, AP_BY_SPECIES)] = &s->oak;
    }
}

static const ap_density_effect *fit(scene *s) {
    ap_error err;
    check_ok(ap_density_picks_take(&s->picks, &s->roster, 0, s->roster.count, &err), &err);
    check_ok(ap_density_fit(&s->density, &s->arena, &s->picks, s->picks.count, &ap_density_priors_default, &err), &err);
    for (size_t k = 0; k < s->density.effect_count; k++) {
        if (s->density.effects[k].kind == AP_DENSITY_SPECIES) {
            return &s->density.effects[k];
        }
    }
    fail_msg("no species effect");
    return NULL;
}

static void end(scene *s) {
    ap_density_release(&s->density);
    ap_density_picks_release(&s->picks);
    ap_roster_release(&s->roster);
    ap_arena_release(&s->arena);
}

static void the_prior_takes_each_company_with_the_variance_between_companies(void **state) {
    (void)state;
    scene s;
    start(&s);
    ap_evidence_item items[] = {
        {.kind = AP_EVIDENCE_SPECIES, .species_id = 833, .log_shift = 0.10, .se_log = 0.06, .trees = 20, .picks = 50},
        {.kind = AP_EVIDENCE_SPECIES, .species_id = 833, .log_shift = 0.02, .se_log = 0.03, .trees = 9, .picks = 9},
        {.kind = AP_EVIDENCE_SPECIES, .species_id = 541, .log_shift = 0.50, .se_log = 0.01, .trees = 99, .picks = 99},
        {.kind = AP_EVIDENCE_BUTT, .log_shift = -0.2, .se_log = 0.01, .trees = 99, .picks = 99},
    };
    s.roster.evidence = (ap_evidence){.items = items, .item_count = 4};
    add_trees(&s, 6, 0);
    const ap_density_effect *effect = fit(&s);
    double between = 0.08 * 0.08;
    double a = 1 / (0.06 * 0.06 + between);
    double b = 1 / (0.03 * 0.03 + between);
    double handbook = 1 / (0.12 * 0.12);
    check_close(effect->prior_mean, (0.10 * a + 0.02 * b) / (handbook + a + b), 1e-12, source);
    check_close(effect->prior_sd, 1 / sqrt(handbook + a + b), 1e-12, source);
    check_close(effect->handbook_sd, 0.12, 0, "the handbook's prior stays known");
    assert_int_equal(effect->outside, 2);
    assert_int_equal(effect->outside_trees, 29);
    end(&s);
}

/* A company with a million trees against ten of one's own. */
static void a_foreign_figure_does_not_overrule_ones_own(void **state) {
    (void)state;
    scene s;
    start(&s);
    ap_evidence_item item = {.kind = AP_EVIDENCE_SPECIES,
                             .species_id = 833,
                             .log_shift = 0.30,
                             .se_log = 0.0005,
                             .trees = 1000000,
                             .picks = 5000000};
    add_trees(&s, 10, 0);
    double alone = fit(&s)->mean;
    ap_density_release(&s.density);
    ap_density_picks_release(&s.picks);
    s.roster.evidence = (ap_evidence){.items = &item, .item_count = 1};
    const ap_density_effect *effect = fit(&s);
    assert_true(effect->mean > alone);                       /* it is heard */
    assert_true(effect->mean - alone < 0.30 - effect->mean); /* and does not decide */
    end(&s);
}

/* What the picks say is the same whatever the prior: an export does not pass on what came from others. */
static void ones_own_part_is_told_apart(void **state) {
    (void)state;
    scene s;
    start(&s);
    ap_evidence_item item = {
        .kind = AP_EVIDENCE_SPECIES, .species_id = 833, .log_shift = 0.2, .se_log = 0.05, .trees = 20, .picks = 50};
    double own[2], se[2];
    add_trees(&s, 10, 0.04);
    assert_true(ap_density_own(&own[0], &se[0], fit(&s)));
    ap_density_release(&s.density);
    ap_density_picks_release(&s.picks);
    s.roster.evidence = (ap_evidence){.items = &item, .item_count = 1};
    assert_true(ap_density_own(&own[1], &se[1], fit(&s)));
    check_close(own[1], own[0], 1e-9, source);
    check_close(se[1], se[0], 1e-9, source);
    check_close(own[0], 0.04, 1e-9, "the mean of the picks' ln(W/V) against the handbook");
    end(&s);
}

/* What is said of the figure without the others is what a fit without them gives. */
static void the_figure_without_others_is_the_fit_without_them(void **state) {
    (void)state;
    scene s;
    start(&s);
    ap_error err;
    ap_evidence_item item = {
        .kind = AP_EVIDENCE_SPECIES, .species_id = 833, .log_shift = -0.2, .se_log = 0.05, .trees = 20, .picks = 50};
    add_trees(&s, 10, 0.04);
    double without = fit(&s)->mean;
    ap_density_release(&s.density);
    ap_density_picks_release(&s.picks);
    s.roster.evidence = (ap_evidence){.items = &item, .item_count = 1};
    (void)fit(&s);
    check_ok(ap_density_judge(&s.density, &s.arena, &s.picks, &ap_density_priors_default, &err), &err);
    const ap_density_species *row = ap_density_find(&s.density, 1);
    assert_non_null(row);
    assert_int_equal(row->outside, 1);
    check_close(ap_density_alone(row), without, 1e-9, source);
    assert_true(row->shift < without);
    check_close(row->prior_sd, 0.12, 0, "against the handbook, as without them");
    end(&s);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_prior_takes_each_company_with_the_variance_between_companies),
        cmocka_unit_test(a_foreign_figure_does_not_overrule_ones_own),
        cmocka_unit_test(ones_own_part_is_told_apart),
        cmocka_unit_test(the_figure_without_others_is_the_fit_without_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
