#include "analysis/predicted.h"
#include "base/pick.h"
#include "report/finding_say.h"

/* A share of capacity, with a decimal where a whole percent would hide on which side of the line it is. */
static ap_str share_text(ap_doc *doc, double share) {
    bool near = fabs(share - 1) < 0.005;
    return ap_doc_printf(doc, near ? "%.2f %%" : "%.0f %%", share * 100);
}

static ap_str over_chart(ap_doc *doc, const ap_fact *fact, const ap_finding *finding) {
    if (isnan(ap_fact_share_worst(fact))) {
        return ap_doc_printf(doc, "Planned at %.*s of rated capacity, and not weighed.",
                             AP_STR_ARG(share_text(doc, finding->value)));
    }
    bool set_down = ap_over(fact->rest->share_set_down, 1) && !(fact->rest->share_cut >= fact->rest->share_set_down);
    ap_str planned = isnan(fact->share_planned) ? AP_STR_LIT("the planned share is not known")
                                                : ap_doc_printf(doc, "planned at %.0f %%", fact->share_planned * 100);
    ap_str crept = AP_STR_LIT("");
    double radius = set_down ? fact->rest->set_down_radius_m : fact->rest->cut_radius_m;
    if (ap_over(radius, fact->rest->planned_radius_m)) {
        crept = ap_doc_printf(doc, "; the radius was %.*s, planned %.*s",
                              AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, radius, false)),
                              AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, fact->rest->planned_radius_m, false)));
    }
    const char *chart = fact->marks & AP_MARK_FROM_CHART ? "; a capacity from the crane's load chart" : "";
    return ap_doc_printf(doc, "Hook load %.*s at %s was %.*s of rated capacity (%.*s%.*s%s).",
                         AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, fact->hook_kg, false)),
                         set_down ? "set-down" : "the cut", AP_STR_ARG(share_text(doc, finding->value)),
                         AP_STR_ARG(planned), AP_STR_ARG(crept), chart);
}

static ap_str movement_text(ap_doc *doc, int32_t moves) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 12);
    ap_str text = ap_doc_printf(doc, "%.*s", AP_STR_ARG(ap_say_movement(&arena, moves)));
    ap_arena_release(&arena);
    return text;
}

static ap_str toward_person(ap_doc *doc, const ap_fact *fact) {
    double mass = isnan(fact->measured_net_kg) ? fact->planned_net_kg : fact->measured_net_kg;
    ap_arena arena;
    ap_arena_init(&arena, 1u << 12);
    ap_str how = ap_say_movement(&arena, fact->rest->movement);
    ap_str far =
        isnan(fact->rest->movement_distance_m)
            ? AP_STR_LIT("")
            : ap_doc_printf(doc, ", %.*s",
                            AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, fact->rest->movement_distance_m, false)));
    ap_str piece =
        isnan(mass) ? AP_STR_LIT("A piece of unknown weight")
                    : ap_doc_printf(doc, "A piece of %.*s", AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, mass, false)));
    how = how.len ? how : AP_STR_LIT("how is not logged");
    /* The log contradicts itself: a piece that stayed cannot have gone anywhere. Kept, for the cautious reading, and said. */
    const char *which =
        fact->rest->movement == AP_MOVE_BIT(AP_MOVEMENT_STILL) ? "; yet logged as still: ask which is right" : "";
    ap_str says = ap_doc_printf(doc, "%.*s moved toward the %s when it parted (%.*s%.*s)%s%s.", AP_STR_ARG(piece),
                                ap_word_get(AP_VOC_TOWARD, fact->toward), AP_STR_ARG(how), AP_STR_ARG(far), which,
                                fact->near_miss == AP_YESNO_YES ? "" : "; not logged as a near miss");
    ap_arena_release(&arena);
    return says;
}

static ap_str margin_lost(ap_doc *doc, const ap_fact *fact, const ap_finding *finding) {
    ap_str crept = AP_STR_LIT("");
    if (finding->reasons & AP_MARGIN_LONGER) {
        crept = ap_doc_printf(doc, "; the radius grew by %.*s",
                              AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, finding->z, false)));
    }
    ap_str planned = isnan(fact->share_planned) ? AP_STR_LIT("no planned share")
                                                : ap_doc_printf(doc, "planned at %.0f %%", fact->share_planned * 100);
    return ap_doc_printf(doc, "%.*s of rated capacity used, %.*s%.*s.", AP_STR_ARG(share_text(doc, finding->value)),
                         AP_STR_ARG(planned), AP_STR_ARG(crept));
}

/* Sentences in a row, each with its blank. */
static ap_str add_sentence(ap_doc *doc, ap_str text, ap_str sentence) {
    return ap_doc_printf(doc, "%.*s%s%.*s", AP_STR_ARG(text), text.len ? " " : "", AP_STR_ARG(sentence));
}

static ap_str leg(ap_doc *doc, const ap_fact *fact, const ap_finding *finding) {
    ap_str says = AP_STR_LIT("");
    if (finding->reasons & AP_LEG_OVER) {
        says = add_sentence(doc, says,
                            ap_doc_printf(doc, "Worked out: a leg at %.*s of its limit with the factor of its hitch.",
                                          AP_STR_ARG(ap_say_worked_out_share(doc, finding->value))));
    }
    if (finding->reasons & AP_LEG_SLACK) {
        says = add_sentence(doc, says,
                            ap_doc_printf(doc, "A leg was slack at the cut and the piece moved (%.*s).",
                                          AP_STR_ARG(movement_text(doc, fact->rest->movement))));
    }
    if (finding->reasons & AP_LEG_FLAT) {
        says = add_sentence(doc, says,
                            ap_doc_printf(doc, "Worked out: a leg at %.0f degrees above the horizontal.", finding->z));
    }
    if (finding->reasons & AP_LEG_CG) {
        says = add_sentence(doc, says, AP_STR_LIT("Worked out: the centre of gravity lay outside the legs."));
    }
    if (finding->reasons & AP_LEG_UNLOADED) {
        int legs = fact->rest->slings & AP_SLINGS_LEGS;
        says = add_sentence(
            doc, says,
            ap_doc_printf(
                doc, "Worked out: leg %zu of %d hangs slack by %.*s and carries nothing; as if it were missing.",
                finding->among, legs, AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, finding->rate_else, false))));
    }
    if (finding->reasons & AP_LEG_ALONE) {
        says = add_sentence(
            doc, says,
            ap_doc_printf(doc,
                          "One leg alone, and worked out the centre of gravity was %.*s above it: a leg toward the "
                          "upper end is missing, or not logged.",
                          AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, finding->rate_else, false))));
    }
    return says;
}

/* What the mechanics said, after what was seen. */
static ap_str otherwise(ap_doc *doc, const ap_fact *fact) {
    ap_predicted_one it;
    if (!ap_predicted_get(&it, fact)) {
        return AP_STR_NONE;
    }
    if (it.predicted == AP_GOES_STAYS) {
        return AP_STR_LIT("Worked out, it was to stay.");
    }
    return ap_doc_printf(doc, "Worked out, it was to go %s, %.*s in all.", ap_goes_name(it.predicted),
                         AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, it.predicted_m, false)));
}

static ap_str moved(ap_doc *doc, const ap_fact *fact, const ap_finding *finding) {
    ap_str says = AP_STR_LIT("");
    if (finding->reasons & AP_MOVED_SWEEP) {
        says = ap_doc_printf(doc, "The climber stood inside the butt's way: worked out, the butt was to move %.*s%s.",
                             AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, finding->z, false)),
                             finding->reasons & (AP_MOVED_FAR | AP_MOVED_OTHERWISE) ? "" : "; it went well");
    }
    if (finding->reasons & (AP_MOVED_FAR | AP_MOVED_OTHERWISE)) {
        ap_str how = fact->rest->movement ? movement_text(doc, fact->rest->movement) : AP_STR_LIT("how is not logged");
        ap_str far =
            isnan(finding->value)
                ? AP_STR_LIT("")
                : ap_doc_printf(doc, " %.*s", AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LENGTH, finding->value, false)));
        says = add_sentence(
            doc, says,
            ap_doc_printf(doc, "The piece moved%.*s when it parted (%.*s).", AP_STR_ARG(far), AP_STR_ARG(how)));
    }
    if (finding->reasons & AP_MOVED_OTHERWISE) {
        says = add_sentence(doc, says, otherwise(doc, fact));
    }
    return says;
}

static ap_str shock(ap_doc *doc, const ap_finding *finding) {
    ap_str says = AP_STR_LIT("");
    if (finding->reasons & AP_SHOCK_SEEN) {
        says = ap_doc_printf(doc, "The indicator's peak was %.2f times the hanging load.", finding->value);
    }
    if (finding->reasons & AP_SHOCK_WORKED_OUT) {
        says = add_sentence(
            doc, says,
            ap_doc_printf(doc,
                          "%she most the peak could have been, for a stiff sling and no give: %.*s of the rated "
                          "capacity at the cut (worked out, not measured).",
                          says.len ? "T" : "No peak was read. T",
                          AP_STR_ARG(ap_say_worked_out_share(doc, finding->z))));
    }
    return says;
}

static ap_str over_time(ap_doc *doc, const ap_roster *roster, const ap_finding *finding) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 12);
    ap_str typical = ap_doc_printf(doc, "%.*s", AP_STR_ARG(ap_say_ratio(&arena, finding->value)));
    ap_arena_release(&arena);
    ap_str says;
    if (finding->detector == AP_DETECT_HEAVIER_RUN) {
        says = ap_doc_printf(
            doc, "%zu weighed picks in a row heavier than planned by more than %.0f %% (typically %.0f %%): %.*s.",
            finding->rests_on, roster->settings.heavier * 100, (finding->value - 1) * 100, AP_STR_ARG(finding->scope));
    } else if (finding->detector == AP_DETECT_DRIFT) {
        says = ap_doc_printf(doc, "Plans ran light over %zu weighed picks (typically %.*s): %.*s.", finding->rests_on,
                             AP_STR_ARG(typical), AP_STR_ARG(finding->scope));
    } else {
        says = ap_doc_printf(doc,
                             "Heavier against plan than it used to be, over %zu weighed picks (typically %.*s): %.*s.",
                             finding->rests_on, AP_STR_ARG(typical), AP_STR_ARG(finding->scope));
    }
    if (finding->unweighed + finding->suspects) {
        ap_str unweighed =
            finding->unweighed ? ap_doc_printf(doc, "%zu not weighed", finding->unweighed) : AP_STR_LIT("");
        ap_str suspects = finding->suspects ? ap_doc_printf(doc, "%s%zu with a doubtful weight",
                                                            finding->unweighed ? " and " : "", finding->suspects)
                                            : AP_STR_LIT("");
        says = ap_doc_printf(doc, "%.*s In between, %.*s%.*s %s skipped.", AP_STR_ARG(says), AP_STR_ARG(unweighed),
                             AP_STR_ARG(suspects), finding->unweighed + finding->suspects == 1 ? "was" : "were");
    }
    return says;
}

ap_str ap_say_finding(ap_doc *doc, const ap_roster *roster, const ap_finding *finding) {
    const ap_fact *fact = &roster->facts[finding->picks[0]];
    switch (finding->detector) {
    case AP_DETECT_DAMAGE:
        return AP_STR_LIT(
            "Damage or injury is noted: that is not a near miss. Other duties apply and come first, such as emergency "
            "care, reporting and keeping the scene (in the US for example OSHA Form 301 within 7 days).");
    case AP_DETECT_NEAR_MISS:
        return ap_doc_printf(doc, "The log calls it a near miss (%.*s).",
                             AP_STR_ARG(fact->rest->movement ? movement_text(doc, fact->rest->movement)
                                                             : AP_STR_LIT("no movement logged")));
    case AP_DETECT_OVER_CHART:
        return over_chart(doc, fact, finding);
    case AP_DETECT_TOWARD_PERSON:
        return toward_person(doc, fact);
    case AP_DETECT_THIN_MARGIN:
        return ap_doc_printf(doc, "%zu pick%s past %.0f %% of rated capacity on %.*s, the most at %.0f %%.",
                             finding->pick_count, finding->pick_count == 1 ? "" : "s", roster->settings.band_stop * 100,
                             AP_STR_ARG(finding->scope), finding->value * 100);
    case AP_DETECT_MARGIN_LOST:
        return margin_lost(doc, fact, finding);
    case AP_DETECT_LEG:
        return leg(doc, fact, finding);
    case AP_DETECT_MOVED:
        return moved(doc, fact, finding);
    case AP_DETECT_SHOCK:
        return shock(doc, finding);
    case AP_DETECT_HEAVIER_RUN:
    case AP_DETECT_DRIFT:
    case AP_DETECT_OWN_CHANGE:
        return over_time(doc, roster, finding);
    case AP_DETECT_SURPRISE:
        return ap_doc_printf(
            doc, "Planned %.*s, measured %.*s: %.0f %% heavier than planned%s.",
            AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, fact->planned_net_kg, false)),
            AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, fact->measured_net_kg, false)), (finding->value - 1) * 100,
            finding->class == AP_FINDING_LIKELY ? ", far outside its kind" : ", with the hook past the first band");
    case AP_DETECT_KERF:
    case AP_DETECT_RE_RIG:
    case AP_DETECT_CLUSTER:
    case AP_DETECT_OTHERWISE:
        return ap_say_rate_finding(doc, roster, finding);
    case AP_DETECT_SAID_SO:
        return ap_say_said_so(doc, finding);
    case AP_DETECT_PENCIL:
        return ap_say_pencil(doc, finding);
    case AP_DETECT_SILENCE:
        return ap_say_silence(doc, finding);
    case AP_DETECT_COUNT:
        break;
    }
    return AP_STR_NONE;
}
