#include "report/density_page.h"

static const char *verdict_word(ap_density_verdict verdict) {
    static const char *const words[] = {
        [AP_DENSITY_HEAVIER] = "heavier",
        [AP_DENSITY_LIGHTER] = "lowers_planned_weight",
        [AP_DENSITY_AS_IS] = "as_in_use",
        [AP_DENSITY_ONLY_BUTTS] = "only_butts",
        [AP_DENSITY_ONE_TREE] = "one_tree",
        [AP_DENSITY_FEW_TREES] = "lighter_on_too_few_trees",
        [AP_DENSITY_NO_PLANS] = "no_plans",
        [AP_DENSITY_NOT_BETTER] = "not_better",
        [AP_DENSITY_NOT_LATER] = "not_on_later_jobs",
        [AP_DENSITY_SHARE_RISES] = "share_heavier_rises",
    };
    return words[verdict];
}

static void put_line(ap_json *json, const char *key, const ap_held_line *line) {
    ap_json_key(json, key);
    ap_json_object_begin(json);
    ap_json_put_int(json, "picks", (int64_t)line->picks);
    ap_json_put_number(json, "bias_log", line->bias);
    ap_json_put_number(json, "sd_log", line->sd);
    ap_json_put_number(json, "share_heavier", line->heavier);
    ap_json_object_end(json);
}

static void put_held_out(ap_json *json, const char *before, const char *after, const char *gain,
                         const ap_held_out *held) {
    put_line(json, before, &held->before);
    put_line(json, after, &held->after);
    ap_json_key(json, gain);
    ap_json_object_begin(json);
    ap_json_put_int(json, "trees", (int64_t)held->before.trees);
    ap_json_put_number(json, "mean_square_less", held->gain);
    ap_json_put_number(json, "low", held->gain_low);
    ap_json_put_number(json, "high", held->gain_high);
    ap_json_object_end(json);
}

static void put_guard(ap_json *json, const ap_lighter_guard *guard) {
    ap_json_key(json, "guard");
    ap_json_object_begin(json);
    ap_json_put_int(json, "picks", (int64_t)guard->picks);
    ap_json_put_number(json, "share_before", guard->share_before);
    ap_json_put_number(json, "share_after", guard->share_after);
    ap_json_put_number(json, "rise_high", guard->rise_high);
    ap_json_put_number(json, "factor_before", guard->factor_before);
    ap_json_put_number(json, "factor_after", guard->factor_after);
    ap_json_object_end(json);
}

static void put_species(ap_json *json, const ap_density_study *study, size_t number) {
    const ap_density_species *row = &study->density.species[number];
    const ap_reestimate_species *plans = &study->plans.species[number];
    ap_json_put_text(json, "name", row->info->common);
    ap_json_put_number(json, "handbook_kg_m3", row->info->density_kg_m3);
    ap_json_put_number(json, "in_use_kg_m3", ap_density_of(row->info, plans->in_force));
    ap_json_put_number(json, "posterior_kg_m3", ap_density_of(row->info, row->shift));
    ap_json_put_number(json, "low", ap_density_of(row->info, row->low));
    ap_json_put_number(json, "high", ap_density_of(row->info, row->high));
    ap_json_put_number(json, "sd_log", row->sd);
    ap_json_put_number(json, "prior_sd_log", row->prior_sd);
    ap_json_put_int(json, "picks", (int64_t)row->picks);
    ap_json_put_int(json, "trees", (int64_t)row->trees);
    ap_json_put_int(json, "picks_not_butts", (int64_t)row->bare_picks);
    ap_json_put_int(json, "trees_not_butts", (int64_t)row->bare_trees);
    ap_json_put_int(json, "picks_above_ceiling", (int64_t)row->above_ceiling);
    ap_json_put_int(json, "others", (int64_t)row->outside);
    ap_json_put_int(json, "others_trees", row->outside_trees);
    ap_json_put_bool(json, "conflict", row->conflict);
    ap_json_put_text(json, "verdict", ap_str_from(verdict_word(plans->verdict)));
    ap_json_put_bool(json, "lowers_planned_weight", plans->change < -AP_SAME_FIGURE_LOG);
    put_held_out(json, "held_out_before", "held_out_after", "held_out_gain", &plans->tree);
    put_held_out(json, "later_jobs_before", "later_jobs_after", "later_jobs_gain", &plans->rolling);
    put_line(json, "by_eye", &plans->by_eye);
    put_line(json, "butts", &plans->butts);
    put_guard(json, &plans->guard);
}

static void put_evidence(ap_json *json, const ap_density_study *study, const ap_density_evidence *evidence) {
    ap_json_key(json, "evidence");
    ap_json_array_begin(json);
    for (size_t i = 0; i < evidence->count; i++) {
        const ap_density_row *row = &evidence->rows[i];
        const ap_fact *fact = &study->roster->facts[row->pick->fact];
        ap_json_object_begin(json);
        ap_json_put_text(json, "pick", ap_str_from(fact->rest->name));
        ap_json_put_date(json, "date", fact->date);
        ap_json_put_text(json, "piece", ap_roster_label(study->roster, AP_BY_PIECE, ap_fact_group(fact, AP_BY_PIECE)));
        ap_json_put_bool(json, "butt", row->pick->butt);
        ap_json_put_bool(json, "above_ceiling", row->pick->above_ceiling);
        ap_json_put_number(json, "density_kg_m3", fact->measured_net_kg / fact->rest->volume_m3);
        ap_json_put_number(json, "residual_log", row->left);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
}

void ap_density_json(ap_json *json, const ap_density_study *study, uint32_t label,
                     const ap_density_evidence *evidence) {
    ap_json_object_begin(json);
    ap_json_key(json, "species");
    ap_json_array_begin(json);
    for (size_t s = 0; s < study->density.species_count; s++) {
        if (label == 0 || study->density.species[s].label == label) {
            ap_json_object_begin(json);
            put_species(json, study, s);
            if (evidence) {
                put_evidence(json, study, evidence);
            }
            ap_json_object_end(json);
        }
    }
    ap_json_array_end(json);
    ap_json_put_int(json, "picks", (int64_t)study->density.picks);
    ap_json_put_int(json, "trees", (int64_t)study->density.trees);
    ap_json_put_number(json, "tree_sd_log", sqrt(study->density.tree_variance));
    ap_json_put_number(json, "rest_sd_log", sqrt(study->density.rest_variance));
    ap_json_put_bool(json, "variances_assumed", study->density.picks && study->density.assumed);
    ap_json_key(json, "not_used");
    ap_json_object_begin(json);
    static const char *const why[AP_DENSITY_UNUSED_COUNT] = {
        "", "not_weighed", "no_species", "no_handbook_figure", "no_dimensions", "impossible_dimensions", "all_brush"};
    for (int k = 1; k < AP_DENSITY_UNUSED_COUNT; k++) {
        ap_json_put_int(json, why[k], (int64_t)study->picks.unused[k]);
    }
    ap_json_object_end(json);
    ap_json_object_end(json);
}

void ap_density_history_json(ap_sink *sink, const ap_density_study *study, int64_t species_id) {
    const ap_assumptions *all = &study->roster->assumptions;
    ap_json json;
    ap_json_init(&json, sink, true);
    ap_json_object_begin(&json);
    ap_json_key(&json, "accepted");
    ap_json_array_begin(&json);
    for (size_t i = all->count; i-- > 0;) {
        const ap_assumption *one = &all->items[i];
        if (species_id && one->species_id != species_id) {
            continue;
        }
        ap_str name = AP_STR_NONE;
        for (uint32_t label = 1; label <= study->picks.labels; label++) {
            const ap_species *info = study->picks.species[label];
            name = info && info->id == one->species_id ? info->common : name;
        }
        ap_json_object_begin(&json);
        ap_json_put_date(&json, "since", one->since);
        ap_json_put_text(&json, "species", name);
        ap_json_put_number(&json, "density_kg_m3", one->density_kg_m3);
        ap_json_put_int(&json, "trees", (int64_t)one->trees);
        ap_json_put_text(&json, "who", one->who);
        ap_json_put_text(&json, "why", one->why);
        ap_json_put_date(&json, "undone_on", one->undone_on);
        ap_json_put_text(&json, "undone_who", one->undone_who);
        ap_json_put_text(&json, "undone_why", one->undone_why);
        ap_json_object_end(&json);
    }
    ap_json_array_end(&json);
    ap_json_object_end(&json);
    ap_sink_putc(sink, '\n');
}
