#include "report/finding_say.h"

#include "base/pick.h"

enum { PICKS_SHOWN = 8 };

ap_str ap_say_finding_picks(ap_doc *doc, const ap_roster *roster, const ap_finding *finding) {
    ap_str text = ap_str_from(roster->facts[finding->picks[0]].rest->name);
    for (size_t i = 1; i < finding->pick_count && i < PICKS_SHOWN; i++) {
        text = ap_doc_printf(doc, "%.*s, %s", AP_STR_ARG(text), roster->facts[finding->picks[i]].rest->name);
    }
    if (finding->rests_on > PICKS_SHOWN) {
        text = ap_doc_printf(doc, "%.*s and %zu more", AP_STR_ARG(text), finding->rests_on - PICKS_SHOWN);
    }
    return text;
}

/* What followed where the kerf closed or opened. */
static ap_str what_followed(ap_doc *doc, const ap_roster *roster, const ap_finding *finding) {
    const uint32_t still = AP_MOVE_BIT(AP_MOVEMENT_STILL) | AP_MOVE_BIT(AP_MOVEMENT_SETTLED);
    size_t logged = 0;
    size_t moved = 0;
    for (size_t i = 0; i < finding->pick_count; i++) {
        uint32_t moves = roster->facts[finding->picks[i]].rest->movement;
        logged += moves != 0;
        moved += (moves & ~still) != 0;
    }
    if (logged == 0) {
        return AP_STR_LIT("What followed is not logged.");
    }
    return ap_doc_printf(doc, "Of %zu with a movement logged, %zu moved when they parted.", logged, moved);
}

/* "on 6 of 13 picks (46 %, on 2 trees)". */
static ap_str on_picks(ap_doc *doc, const ap_finding *finding) {
    return ap_doc_printf(doc, "on %zu of %zu picks (%.*s, on %.*s)", finding->rests_on, finding->among,
                         AP_STR_ARG(ap_doc_percent(doc, finding->value, 0)),
                         AP_STR_ARG(ap_say_count(doc, finding->trees, "tree")));
}

ap_str ap_say_rate_finding(ap_doc *doc, const ap_roster *roster, const ap_finding *finding) {
    if (finding->detector == AP_DETECT_CLUSTER && !(finding->reasons & AP_CLUSTER_RISE)) {
        return ap_doc_printf(doc, "%zu near misses within %zu picks; the usual rate is %.*s picks.", finding->rests_on,
                             finding->among, AP_STR_ARG(ap_say_odds(doc, finding->rate_else)));
    }
    const char *what = finding->detector == AP_DETECT_KERF        ? "The kerf closed or opened"
                       : finding->detector == AP_DETECT_RE_RIG    ? "The hook had to come back"
                       : finding->detector == AP_DETECT_OTHERWISE ? "The piece moved otherwise than worked out"
                                                                  : "Near misses";
    ap_str elsewhere = finding->rate_else > 0 ? ap_say_percent(doc, finding->rate_else) : AP_STR_LIT("none");
    ap_str says = ap_doc_printf(doc, "%s %.*s, among the others %.*s: %.*s.", what, AP_STR_ARG(on_picks(doc, finding)),
                                AP_STR_ARG(elsewhere), AP_STR_ARG(finding->scope));
    if (finding->detector == AP_DETECT_KERF) {
        says = ap_doc_printf(doc, "%.*s %.*s", AP_STR_ARG(says), AP_STR_ARG(what_followed(doc, roster, finding)));
    }
    if (finding->near_events) {
        says = ap_doc_printf(doc, "%.*s Close together too: %zu near misses of all crews within %zu picks.",
                             AP_STR_ARG(says), finding->near_events, finding->near_picks);
    }
    return says;
}

static ap_str few(ap_doc *doc, double expected) {
    return expected < 0.05 ? AP_STR_LIT("fewer than 0.1") : ap_doc_number(doc, expected, 1);
}

ap_str ap_say_finding_chance(ap_doc *doc, const ap_chance *chance, const ap_finding *finding) {
    const ap_chance_line *line = &chance->line[finding->detector];
    if (finding->class == AP_FINDING_CERTAIN) {
        return AP_STR_LIT("certain: it follows from the log");
    }
    if (!isnan(finding->p)) {
        bool groups = finding->trees && finding->detector != AP_DETECT_CLUSTER; /* that one looks at windows too */
        return ap_doc_printf(doc, "chance alone%s: %.*s; %.*s %s", finding->trees ? ", tree by tree" : "",
                             AP_STR_ARG(ap_say_odds(doc, finding->p)),
                             AP_STR_ARG(ap_doc_count(doc, (double)line->looks)), groups ? "groups compared" : "looks");
    }
    ap_str times = few(doc, line->expected);
    return ap_doc_printf(doc, "chance alone makes %.*s of these here, in %.*s looks", AP_STR_ARG(times),
                         AP_STR_ARG(ap_doc_count(doc, (double)line->looks)));
}

const char *ap_ask_finding(const ap_finding *finding) {
    static const char *const asks[AP_DETECT_COUNT] = {
        [AP_DETECT_DAMAGE] = "Is everybody cared for, and is what the law asks done?",
        [AP_DETECT_OVER_CHART] = "When was it known, and what would have had to be different before the cut?",
        [AP_DETECT_TOWARD_PERSON] = "Where was the way out, and which leg let the piece go there?",
        [AP_DETECT_NEAR_MISS] = "What could have happened, and what kept it from happening?",
        [AP_DETECT_THIN_MARGIN] = "Was the margin planned so thin, or did it get thin?",
        [AP_DETECT_HEAVIER_RUN] = "What do these picks have in common that the plan does not know?",
        [AP_DETECT_SURPRISE] = "Species, moisture, length, brush, or the indicator: which figure was wrong?",
        [AP_DETECT_LEG] = "How was the leg set, and who could see it before the cut?",
        [AP_DETECT_MOVED] = "Was this way of the piece expected, and where did people stand?",
        [AP_DETECT_SHOCK] = "Was there slack, or less pull on the line than the piece weighed?",
        [AP_DETECT_MARGIN_LOST] = "Weight or radius: which of them moved, and when was it seen?",
        [AP_DETECT_DRIFT] = "Since when, and what changed then: wood, season, table, person, indicator?",
        [AP_DETECT_OWN_CHANGE] = "What is new since then: wood, season, table, person, indicator?",
        [AP_DETECT_KERF] = "Was there enough pull on the line before the last of the cut?",
        [AP_DETECT_RE_RIG] = "Would another sling or set-up have let the hook stay away?",
        [AP_DETECT_CLUSTER] = "What was different in these days: job, crew, weather, hurry?",
        [AP_DETECT_SAID_SO] = "Was this a near miss? If so, would you log it as one?",
        [AP_DETECT_PENCIL] = "Was the indicator read on each of these picks, and to its last digit?",
        [AP_DETECT_OTHERWISE] =
            "Are legs, lean and slack logged as they were, or does the set-up do what nobody works out?",
        [AP_DETECT_SILENCE] =
            "What stands in the way of writing it down: time, the form, the indicator, how it is received?",
    };
    return asks[finding->detector] ? asks[finding->detector] : "What do those who were there say?";
}

ap_str ap_say_finding_state(ap_doc *doc, const ap_finding *finding) {
    if (finding->number == 0) {
        return AP_STR_NONE;
    }
    if (finding->state == AP_FINDING_NEW) {
        return finding->seen_before ? AP_STR_LIT("seen before, open") : AP_STR_LIT("new");
    }
    const char *state = ap_finding_state_name(finding->state);
    ap_str says = ap_doc_printf(doc, "%s on %.*s", state, AP_STR_ARG(ap_doc_date(doc, finding->state_on)));
    if (finding->went_on) {
        bool dismissed = finding->state == AP_FINDING_DISMISSED;
        says = ap_doc_printf(doc, "%.*s; %s", AP_STR_ARG(says),
                             dismissed ? "it came back: more picks than then" : "it went on: more picks than then");
    }
    return finding->why.len ? ap_doc_printf(doc, "%.*s (%.*s)", AP_STR_ARG(says), AP_STR_ARG(finding->why)) : says;
}

/* " Left out, because it all comes from one tree, which says nothing of others: kerf 1 group."; nothing where there is none. */
static ap_str one_tree(ap_doc *doc, const ap_chance *chance) {
    ap_str list = AP_STR_LIT("");
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        size_t groups = chance->line[d].one_tree;
        if (groups) {
            list = ap_doc_printf(doc, "%.*s%s%s %.*s", AP_STR_ARG(list), list.len ? ", " : "",
                                 ap_detector_name((ap_detector_id)d), AP_STR_ARG(ap_say_count(doc, groups, "group")));
        }
    }
    return list.len ? ap_doc_printf(doc,
                                    " Left out, because it all comes from one tree, which says nothing of others: "
                                    "%.*s.",
                                    AP_STR_ARG(list))
                    : list;
}

ap_str ap_say_chance(ap_doc *doc, const ap_chance *chance, const ap_rule_limits *limits) {
    size_t looked = 0;
    size_t risen = 0;
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        const ap_chance_line *line = &chance->line[d];
        looked += line->looked;
        risen += line->looked && line->limit > line->rule_limit * (1 + 1e-9);
    }
    if (looked == 0) {
        return AP_STR_LIT("No likely pattern could be looked for: there are no weighed picks in this period.");
    }
    ap_str spread = chance->spread.assumed
                        ? AP_STR_LIT("an assumed spread, because too few picks are weighed")
                        : ap_doc_printf(doc, "a spread of %.0f %% between picks%s", expm1(chance->spread.sd) * 100,
                                        chance->spread.tree_sd > 0 ? ", those of one tree alike" : "");
    return ap_doc_printf(doc,
                         "Chance alone would make %s%.*s of the likely findings here if nothing were wrong, over "
                         "everything looked at (%.*s); at most %.*s is let through%s.%.*s",
                         chance->expected < 0.05 ? "" : "about ", AP_STR_ARG(few(doc, chance->expected)),
                         AP_STR_ARG(spread),
                         AP_STR_ARG(ap_doc_number(doc, limits->expected_most, limits->expected_most < 10)),
                         risen ? ", and limits rose for that" : "", AP_STR_ARG(one_tree(doc, chance)));
}

void ap_chance_table(ap_doc *doc, const char *id, const ap_chance *chance) {
    const ap_column columns[] = {
        {.key = AP_STR_LIT("rule"), .label = AP_STR_LIT("rule"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("looks"), .label = AP_STR_LIT("looks"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("rule_limit"),
         .label = AP_STR_LIT("limit of the rule"),
         .kind = AP_CELL_NUMBER,
         .digits = 1},
        {.key = AP_STR_LIT("limit"), .label = AP_STR_LIT("limit taken"), .kind = AP_CELL_NUMBER, .digits = 1},
        {.key = AP_STR_LIT("expected"), .label = AP_STR_LIT("by chance"), .kind = AP_CELL_NUMBER, .digits = 2},
        {.key = AP_STR_LIT("independent"),
         .label = AP_STR_LIT("if picks were independent"),
         .kind = AP_CELL_NUMBER,
         .digits = 2},
    };
    ap_table *table = ap_doc_table(doc, ap_str_from(id), AP_STR_LIT("What chance alone makes of the likely findings"),
                                   columns, sizeof columns / sizeof columns[0]);
    ap_table_empty(table, AP_STR_LIT("nothing was looked at"));
    for (size_t d = 0; d < AP_DETECT_COUNT; d++) {
        const ap_chance_line *line = &chance->line[d];
        if (line->looked) {
            ap_table_row(table);
            ap_table_text(table, ap_str_from(ap_detector_name((ap_detector_id)d)));
            ap_table_value(table, (double)line->looks);
            ap_table_value(table, line->rule_limit);
            ap_table_value(table, line->limit);
            ap_table_value(table, line->expected);
            ap_table_value(table, line->independent);
        }
    }
}
