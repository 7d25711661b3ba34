/* Picks from one near miss to the next, in the review's trend: for what is too rare to count by month. */
#include "analysis/between.h"
#include "figure/plots.h"
#include "report/review.h"

enum { SHOWN = 100, NAMED = 4 };

static const char *what_of(const ap_nelson_mark *mark) {
    return mark->rules & AP_NELSON_BEYOND ? (mark->side < 0 ? "sooner than any usual gap" : "later than any usual gap")
           : mark->rules & AP_NELSON_FOUR_OF_5 ? (mark->side < 0 ? "four of five sooner" : "four of five later")
           : mark->rules & AP_NELSON_TWO_OF_3
               ? (mark->side < 0 ? "two of three much sooner" : "two of three much later")
               : (mark->side < 0 ? "nine in a row sooner" : "nine in a row later");
}

static ap_str picks_text(ap_doc *doc, double picks) {
    double whole = floor(picks + 0.5);
    return ap_doc_printf(doc, "%.*s pick%s", AP_STR_ARG(ap_doc_count(doc, whole)),
                         whole > 0.5 && whole < 1.5 ? "" : "s");
}

static const ap_between_gap *last_mark(const ap_between *b, int side) {
    for (size_t i = b->count; i > 0; i--) {
        if (b->gaps[i - 1].mark.side == side) {
            return &b->gaps[i - 1];
        }
    }
    return NULL;
}

static ap_str say_signals(ap_doc *doc, const ap_review *r) {
    const ap_between *b = &r->between;
    const ap_between_gap *sooner = last_mark(b, -1);
    const ap_between_gap *later = last_mark(b, 1);
    if (b->open_long) {
        return AP_STR_LIT(" None for longer than usual since the last one: fewer of them, or fewer written down?");
    }
    bool youngest_sooner = sooner && (!later || sooner->fact > later->fact);
    if (youngest_sooner) {
        return ap_doc_printf(doc, " They came closer together up to %s on %.*s (%s): what was different?",
                             r->roster->facts[sooner->fact].rest->name,
                             AP_STR_ARG(ap_doc_date(doc, r->roster->facts[sooner->fact].date)), what_of(&sooner->mark));
    }
    if (later) {
        return ap_doc_printf(doc,
                             " They came farther apart up to %s on %.*s (%s): fewer of them, or fewer written down?",
                             r->roster->facts[later->fact].rest->name,
                             AP_STR_ARG(ap_doc_date(doc, r->roster->facts[later->fact].date)), what_of(&later->mark));
    }
    return AP_STR_LIT(" No sign that they come closer together or farther apart.");
}

static ap_str answer(ap_doc *doc, const ap_review *r) {
    const ap_between *b = &r->between;
    if (b->events == 0) {
        return ap_doc_printf(doc, "No near miss is logged in %.*s up to now: none happened, or none was written down.",
                             AP_STR_ARG(picks_text(doc, (double)b->picks)));
    }
    ap_str since = b->open_picks ? ap_doc_printf(doc, "the last one %.*s before the end",
                                                 AP_STR_ARG(picks_text(doc, (double)b->open_picks)))
                                 : AP_STR_LIT("the last pick is one");
    ap_str count = ap_doc_printf(doc, "%zu near miss%s logged in %.*s, %.*s.", b->events, b->events == 1 ? "" : "es",
                                 AP_STR_ARG(picks_text(doc, (double)b->picks)), AP_STR_ARG(since));
    if (!b->has_limits) {
        return b->count < AP_BETWEEN_LEAST
                   ? ap_doc_printf(doc, "%.*s For limits and signals it needs %d of them.", AP_STR_ARG(count),
                                   AP_BETWEEN_LEAST + 1)
                   : ap_doc_printf(doc, "%.*s All are equally far apart: limits of no width say nothing.",
                                   AP_STR_ARG(count));
    }
    return ap_doc_printf(doc, "%.*s From one to the next it mostly took %.*s; up to %.*s is usual.%.*s",
                         AP_STR_ARG(count), AP_STR_ARG(picks_text(doc, b->center_picks)),
                         AP_STR_ARG(picks_text(doc, floor(b->high_picks))), AP_STR_ARG(say_signals(doc, r)));
}

void ap_between_put(ap_doc *doc, const ap_review *r) {
    const ap_between *b = &r->between;
    ap_doc_section(doc, 3, AP_STR_LIT("between"), AP_STR_LIT("From one near miss to the next"));
    ap_doc_answer(doc, answer(doc, r));
    if (b->count == 0) {
        return;
    }
    ap_review_put_figure(doc, r, AP_REVIEW_FIGURE_BETWEEN);
    ap_doc_working_begin(doc, AP_STR_LIT("How this was worked out"));
    ap_doc_paragraph(
        doc,
        AP_STR_LIT(
            "A near miss is a pick that the log calls one or that moved toward a person; all picks up to the end of "
            "the "
            "period, in order. The picks from one to the next, raised to 1/3.6, are nearly normal (Nelson 1994, "
            "Journal of "
            "Quality Technology 26:239-243); centre and limits are the mean and three standard deviations by the mean "
            "moving "
            "range (NIST/SEMATECH e-Handbook 6.3.2.2). Signals by Nelson's rules 1, 2, 5 and 6 (1984, ibid. "
            "16:237-239): beyond a limit, nine in a row on one side, two of three beyond two, four of five beyond one "
            "standard deviation."));
    ap_doc_paragraph(doc, AP_STR_LIT("A mark is a reason to look, not a finding: where nothing changes, about one "
                                     "figure in seven of 30 near misses "
                                     "carries one (computed). One short gap alone mostly cannot be a signal, because "
                                     "the lower limit lies below one "
                                     "pick; the finding 'Near misses close together' looks at those."));
    ap_doc_working_end(doc);
}

void ap_between_describe(ap_figure *figure, const ap_review *r) {
    const ap_between *b = &r->between;
    size_t from = b->count > SHOWN ? b->count - SHOWN : 0;
    ap_figure_number(figure, "center", b->has_limits ? b->limits.center : NAN);
    ap_figure_number(figure, "low", b->has_limits && b->low_picks > 0 ? b->limits.low : NAN);
    ap_figure_number(figure, "high", b->has_limits ? b->limits.high : NAN);
    double open = NAN;
    ap_error none;
    if (b->open_picks > 0 && ap_between_events_score(&open, (double)b->open_picks, &none) != AP_OK) {
        open = NAN;
    }
    ap_figure_number(figure, "open", open);
    ap_figure_number(figure, "open_picks", (double)b->open_picks);
    ap_figure_number(figure, "left_out", (double)from);
    ap_figure_block(figure, "gaps");
    for (size_t i = from; i < b->count; i++) {
        const double row[4] = {(double)(i + 1), b->gaps[i].score, (double)b->gaps[i].picks,
                               b->gaps[i].mark.rules ? (double)b->gaps[i].mark.side : 0};
        ap_figure_row(figure, row, 4);
    }
    ap_figure_block(figure, "named");
    size_t named = 0;
    for (size_t i = b->count; i > from && named < NAMED; i--) {
        const ap_between_gap *gap = &b->gaps[i - 1];
        /* The first of a stretch of marks would hide the others' names: the last of each is named. */
        bool last = i == b->count || b->gaps[i].mark.side != gap->mark.side;
        if (gap->mark.rules && last) {
            const double row[2] = {(double)i, gap->score};
            ap_figure_row_label(
                figure, row, 2,
                ap_arena_printf(r->arena, "%s: %s", r->roster->facts[gap->fact].rest->name, what_of(&gap->mark)));
            named++;
        }
    }
    if (b->count == 0) {
        ap_figure_empty(figure, AP_STR_LIT("Fewer than two near misses are logged."));
    }
}
