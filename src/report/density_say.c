/* The company's wood in words. */
#include "report/density_page.h"

const char ap_say_lowers[] = "LOWERS PLANNED WEIGHT";

ap_str ap_say_verdict_short(ap_density_verdict verdict) {
    static const char *const words[] = {
        [AP_DENSITY_HEAVIER] = "take it",       [AP_DENSITY_LIGHTER] = "LOWERS PLANNED WEIGHT",
        [AP_DENSITY_AS_IS] = "as in use",       [AP_DENSITY_ONLY_BUTTS] = "butts only",
        [AP_DENSITY_ONE_TREE] = "one tree",     [AP_DENSITY_FEW_TREES] = "10 trees first",
        [AP_DENSITY_NO_PLANS] = "no plans",     [AP_DENSITY_NOT_BETTER] = "not better",
        [AP_DENSITY_NOT_LATER] = "worse later", [AP_DENSITY_SHARE_RISES] = "refused",
    };
    return ap_str_from(words[verdict]);
}

static ap_str density(ap_doc *doc, const ap_density_species *row, double shift) {
    return ap_doc_quantity(doc, AP_DIM_DENSITY, ap_density_of(row->info, shift), false);
}

static ap_str say_change(ap_doc *doc, const ap_reestimate_species *plans) {
    double change = exp(plans->change) - 1;
    return ap_doc_printf(doc, "%.0f %% %s than the figure in use", fabs(change) * 100,
                         change < 0 ? "lighter" : "heavier");
}

/* "On trees left out the typical error was 9 % heavier than planned, spread 8 %; with it 1 % heavier, spread 7 %" */
static ap_str say_held_out(ap_doc *doc, const ap_held_out *held) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 12);
    ap_str says =
        ap_doc_printf(doc,
                      "on %zu plans of %zu trees, each planned from the other trees, pieces came %.*s on the average, "
                      "spread %.0f %%, and would have come %.*s, spread %.0f %%; heavier by more than the limit were "
                      "%.*s, and would have been %.*s",
                      held->before.picks, held->before.trees, AP_STR_ARG(ap_say_ratio(&arena, exp(held->before.bias))),
                      held->before.sd * 100, AP_STR_ARG(ap_say_ratio(&arena, exp(held->after.bias))),
                      held->after.sd * 100, AP_STR_ARG(ap_doc_percent(doc, held->before.heavier, 0)),
                      AP_STR_ARG(ap_doc_percent(doc, held->after.heavier, 0)));
    ap_arena_release(&arena);
    return says;
}

static ap_str say_no_proof(ap_doc *doc, const ap_density_species *row, const ap_reestimate_species *plans) {
    ap_str name = row->info->common;
    switch (plans->verdict) {
    case AP_DENSITY_ONLY_BUTTS:
        return ap_doc_printf(doc,
                             "No figure of your own for %.*s: all %zu pieces are butts whose middle was not taped, and "
                             "two ends overstate a flared butt. Weigh pieces above the butt, or tape the middle.",
                             AP_STR_ARG(name), row->picks);
    case AP_DENSITY_ONE_TREE:
        return ap_doc_printf(doc,
                             "No recommendation for %.*s: all of it comes from one tree, and trees differ. Weigh "
                             "pieces of other trees.",
                             AP_STR_ARG(name));
    case AP_DENSITY_FEW_TREES:
        return ap_doc_printf(doc,
                             "Not recommended: your %.*s would be %.*s, and a figure that makes plans lighter takes %d "
                             "weighed trees; there are %zu.",
                             AP_STR_ARG(name), AP_STR_ARG(say_change(doc, plans)), AP_LIGHTER_TREES_LEAST,
                             row->bare_trees);
    case AP_DENSITY_NO_PLANS:
        return ap_doc_printf(doc,
                             "Not recommended: your %.*s would be %.*s, but no weighed piece above the butt was "
                             "planned by chart, table or working, so that nothing shows that plans would be better.",
                             AP_STR_ARG(name), AP_STR_ARG(say_change(doc, plans)));
    default:
        return AP_STR_NONE;
    }
}

ap_str ap_say_verdict(ap_doc *doc, const ap_density_study *study, const ap_density_species *row,
                      const ap_reestimate_species *plans) {
    ap_str name = row->info->common;
    ap_str says = say_no_proof(doc, row, plans);
    (void)study;
    if (says.ptr) {
        return says;
    }
    ap_str held = say_held_out(doc, &plans->tree);
    switch (plans->verdict) {
    case AP_DENSITY_HEAVIER:
        return ap_doc_printf(doc, "Take %.*s for %.*s, %.*s: %.*s. Plans become heavier.",
                             AP_STR_ARG(density(doc, row, row->shift)), AP_STR_ARG(name),
                             AP_STR_ARG(say_change(doc, plans)), AP_STR_ARG(held));
    case AP_DENSITY_LIGHTER:
        return ap_doc_printf(
            doc,
            "LOWERS PLANNED WEIGHT: %.*s for %.*s, %.*s: %.*s. Heavier than plan x factor were %.*s, and would "
            "have been %.*s, the factor fitted anew.",
            AP_STR_ARG(density(doc, row, row->shift)), AP_STR_ARG(name), AP_STR_ARG(say_change(doc, plans)),
            AP_STR_ARG(held), AP_STR_ARG(ap_doc_percent(doc, plans->guard.share_before, 1)),
            AP_STR_ARG(ap_doc_percent(doc, plans->guard.share_after, 1)));
    case AP_DENSITY_NOT_BETTER:
        return ap_doc_printf(doc, "Not recommended: plans for %.*s are not shown to get better. Of %.*s: %.*s.",
                             AP_STR_ARG(name), AP_STR_ARG(density(doc, row, row->shift)), AP_STR_ARG(held));
    case AP_DENSITY_NOT_LATER:
        return ap_doc_printf(doc,
                             "Not recommended: on later jobs, planned from earlier ones, %zu plans for %.*s would have "
                             "been further off than they were.",
                             plans->rolling.before.picks, AP_STR_ARG(name));
    case AP_DENSITY_SHARE_RISES:
        return ap_doc_printf(
            doc,
            "Refused: %.*s for %.*s would make plans lighter, and it is not shown that no more pieces would come "
            "heavier than plan x factor: %.*s on trees left out, %.*s with it.",
            AP_STR_ARG(density(doc, row, row->shift)), AP_STR_ARG(name),
            AP_STR_ARG(ap_doc_percent(doc, plans->guard.share_before, 1)),
            AP_STR_ARG(ap_doc_percent(doc, plans->guard.share_after, 1)));
    default:
        return ap_doc_printf(doc, "Your own %.*s weighs what the figure in use says: %.*s (within a percent).",
                             AP_STR_ARG(name), AP_STR_ARG(density(doc, row, plans->in_force)));
    }
}

ap_str ap_say_narrow(ap_doc *doc, const ap_density_study *study, const ap_density_species *row) {
    const ap_density_narrow *n = &row->narrow;
    ap_arena arena;
    ap_arena_init(&arena, 1u << 16);
    ap_str kind = n->brush ? ap_density_brush_text(&arena, n->brush - 1) : AP_STR_LIT("trunk, above the butt");
    ap_str says = ap_doc_printf(doc,
                                "What would narrow it most: weigh %d more %.*s pieces (%.*s), each on another tree; "
                                "the 90 %% range would go from %.1f %% to %.1f %% either way.",
                                AP_DENSITY_MORE_PICKS, AP_STR_ARG(row->info->common), AP_STR_ARG(kind), 164.5 * row->sd,
                                164.5 * n->weigh_sd);
    if (n->instrument_sd < n->weigh_sd) {
        says = ap_doc_printf(doc,
                             "What would narrow it most: have the load indicator checked against a known weight; the "
                             "90 %% range would go from %.1f %% to %.1f %% either way. %d more pieces (%.*s), each on "
                             "another tree, would bring it to %.1f %%.",
                             164.5 * row->sd, 164.5 * n->instrument_sd, AP_DENSITY_MORE_PICKS, AP_STR_ARG(kind),
                             164.5 * n->weigh_sd);
    }
    (void)study;
    ap_arena_release(&arena);
    return says;
}

ap_str ap_say_density_outside(ap_doc *doc, const ap_density_species *row) {
    return row->outside ? ap_doc_printf(doc,
                                        "Evidence of %zu other%s counts in (%lld trees of theirs); by your own pieces "
                                        "and the handbook's prior alone it would be %.*s.",
                                        row->outside, row->outside == 1 ? "" : "s", (long long)row->outside_trees,
                                        AP_STR_ARG(density(doc, row, ap_density_alone(row))))
                        : AP_STR_NONE;
}

ap_str ap_say_density_origins(ap_doc *doc, const ap_roster *roster) {
    ap_str list = AP_STR_NONE;
    size_t count = 0;
    const ap_evidence *evidence = &roster->evidence;
    for (size_t i = 0; i < evidence->set_count; i++) {
        bool counts = false;
        for (size_t k = 0; k < evidence->item_count && !counts; k++) {
            counts = evidence->items[k].set_id == evidence->sets[i].id;
        }
        if (counts) {
            list = ap_doc_printf(doc, "%.*s%s%.*s", AP_STR_ARG(list), count++ ? "; " : "",
                                 AP_STR_ARG(evidence->sets[i].origin));
        }
    }
    return count
               ? ap_doc_printf(doc, "Evidence of others counts in: %.*s ('afterpick evidence list').", AP_STR_ARG(list))
               : AP_STR_NONE;
}

ap_str ap_say_density_evidence(ap_doc *doc, const ap_density_species *row, const ap_reestimate_species *plans) {
    ap_str others = ap_say_density_outside(doc, row);
    return ap_doc_printf(doc, "%zu weighed pieces above the butt on %zu trees (%zu pieces in all); %.*s: %.*s.%s%.*s",
                         row->bare_picks, row->bare_trees, row->picks, AP_STR_ARG(say_change(doc, plans)),
                         AP_STR_ARG(say_held_out(doc, &plans->tree)), others.ptr ? " " : "", AP_STR_ARG(others));
}

ap_str ap_say_density_unused(ap_doc *doc, const size_t unused[AP_DENSITY_UNUSED_COUNT]) {
    ap_str list = AP_STR_NONE;
    for (int why = 1; why < AP_DENSITY_UNUSED_COUNT; why++) {
        if (unused[why]) {
            list = ap_doc_printf(doc, "%.*s%s%zu %s", AP_STR_ARG(list), list.len ? ", " : "", unused[why],
                                 ap_density_unused_text((ap_density_unused)why));
        }
    }
    return list.len ? ap_doc_printf(doc, "Picks that say nothing about wood: %.*s.", AP_STR_ARG(list)) : AP_STR_NONE;
}

ap_str ap_say_density(ap_doc *doc, const ap_density_study *study) {
    const ap_density *d = &study->density;
    if (d->picks == 0) {
        return AP_STR_LIT(
            "No wood of your own yet: no weighed pick has a species, a length, a butt and a tip diameter.");
    }
    size_t taken = 0;
    size_t conflicts = 0;
    ap_str list = AP_STR_LIT("");
    for (size_t s = 0; s < d->species_count; s++) {
        const ap_density_species *row = &d->species[s];
        const ap_reestimate_species *plans = &study->plans.species[s];
        conflicts += row->conflict;
        if (ap_density_is_recommended(plans->verdict)) {
            list = ap_doc_printf(doc, "%.*s%s%.*s %.*s (%s%.*s)", AP_STR_ARG(list), taken ? ", " : "",
                                 AP_STR_ARG(row->info->common), AP_STR_ARG(density(doc, row, row->shift)),
                                 plans->verdict == AP_DENSITY_LIGHTER ? "LOWERS PLANNED WEIGHT, from " : "in use ",
                                 AP_STR_ARG(density(doc, row, plans->in_force)));
            taken++;
        }
    }
    ap_str head =
        ap_doc_printf(doc, "%.*s on %.*s, %zu species.", AP_STR_ARG(ap_say_count(doc, d->picks, "weighed piece")),
                      AP_STR_ARG(ap_say_count(doc, d->trees, "tree")), d->species_count);
    ap_str tail =
        conflicts ? ap_doc_printf(doc, " %zu species far from the handbook: look at tares and tapes first.", conflicts)
                  : AP_STR_LIT("");
    return taken ? ap_doc_printf(doc, "%.*s Plans would be better with: %.*s.%.*s", AP_STR_ARG(head), AP_STR_ARG(list),
                                 AP_STR_ARG(tail))
                 : ap_doc_printf(doc, "%.*s No change is recommended.%.*s", AP_STR_ARG(head), AP_STR_ARG(tail));
}

ap_str ap_say_densities_in_force(ap_doc *doc, const ap_roster *roster) {
    ap_str list = AP_STR_NONE;
    uint32_t labels = roster->species ? ap_intern_count(roster->labels[AP_BY_SPECIES]) : 0;
    for (uint32_t label = 1; label <= labels; label++) {
        const ap_species *info = roster->species[label];
        const ap_assumption *held = info ? ap_assumption_in_force(&roster->assumptions, info->id, roster->until) : NULL;
        if (held) {
            list = ap_doc_printf(
                doc, "%.*s%s%.*s %.*s since %.*s%s", AP_STR_ARG(list), list.len ? ", " : "", AP_STR_ARG(info->common),
                AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_DENSITY, held->density_kg_m3, false)),
                AP_STR_ARG(ap_doc_date(doc, held->since)), held->lowers_weight ? " (LOWERS PLANNED WEIGHT)" : "");
        }
    }
    return list.len ? ap_doc_printf(
                          doc,
                          "Pooled figures and percentages are for plans made with the accepted densities (%.*s): older "
                          "plans by chart, table or working are counted as if made with them. Never put these "
                          "percentages on a plan made with an older density.",
                          AP_STR_ARG(list))
                    : AP_STR_NONE;
}
