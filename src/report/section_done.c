#include "base/pick.h"
#include "report/review.h"

static size_t groups_named(const ap_weight_table *table) {
    size_t count = 0;
    for (size_t g = 0; g < table->count; g++) {
        count += table->groups[g].key[0] != 0;
    }
    return count;
}

static void put_weighed_by(ap_doc *doc, const ap_review *r) {
    size_t by[4] = {0};
    for (size_t i = r->first; i < r->end; i++) {
        const ap_fact *fact = &r->roster->facts[i];
        if (fact->compared != AP_NOT_WEIGHED) {
            by[fact->weighed_by & 3]++;
        }
    }
    static const struct {
        int by;
        const char *words;
    } ways[] = {{AP_WEIGHED_BY_LOAD_INDICATOR, "by load indicator"},
                {AP_WEIGHED_BY_LOAD_CELL, "by load cell"},
                {AP_WEIGHED_BY_SCALE, "on a scale"},
                {0, "not said by what"}};
    ap_str says = AP_STR_LIT("");
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        if (by[ways[i].by]) {
            says = ap_doc_printf(doc, "%.*s%s%zu %s", AP_STR_ARG(says), says.len ? ", " : "Weighed: ", by[ways[i].by],
                                 ways[i].words);
        }
    }
    if (r->quality.unweighed) {
        says =
            ap_doc_printf(doc, "%.*s%s%zu not weighed", AP_STR_ARG(says), says.len ? "; " : "", r->quality.unweighed);
    }
    if (says.len) {
        ap_doc_paragraph(doc, ap_doc_printf(doc, "%.*s.", AP_STR_ARG(says)));
    }
}

static ap_str named(ap_doc *doc, const char *before, size_t count, const char *one) {
    return count ? ap_doc_printf(doc, "%s%.*s", before, AP_STR_ARG(ap_say_count(doc, count, one))) : AP_STR_LIT("");
}

void ap_section_done(ap_doc *doc, const ap_review *r) {
    size_t picks = r->end - r->first;
    if (picks == 0) {
        ap_doc_answer(doc, AP_STR_LIT("Nothing: the book holds no pick of this period."));
        return;
    }
    ap_doc_answer(doc, ap_doc_printf(doc, "%.*s in %.*s%.*s%.*s.", AP_STR_ARG(ap_say_count(doc, picks, "pick")),
                                     AP_STR_ARG(ap_say_count(doc, r->jobs, "job")),
                                     AP_STR_ARG(named(doc, " by ", groups_named(&r->crews), "crew")),
                                     AP_STR_ARG(named(doc, " with ", groups_named(&r->cranes), "crane"))));
    put_weighed_by(doc, r);
    const ap_column columns[] = {
        {.key = AP_STR_LIT("crew"), .label = AP_STR_LIT("crew"), .kind = AP_CELL_TEXT},
        {.key = AP_STR_LIT("picks"), .label = AP_STR_LIT("picks"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("weighed"), .label = AP_STR_LIT("weighed"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("picks_before"), .label = AP_STR_LIT("picks the period before"), .kind = AP_CELL_COUNT},
        {.key = AP_STR_LIT("last"), .label = AP_STR_LIT("last pick"), .kind = AP_CELL_DATE},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("crews-done"), AP_STR_LIT("Picks by crew"), columns,
                                   sizeof columns / sizeof columns[0]);
    ap_table_has_marks(table);
    for (size_t c = 0; c < r->quality.crew_count; c++) {
        const ap_quality_crew *crew = &r->quality.crews[c];
        ap_table_row(table);
        ap_table_text(table, crew->crew);
        ap_table_value(table, (double)crew->picks);
        ap_table_value(table, (double)crew->weighed);
        ap_table_value(table, (double)crew->picks_before);
        ap_table_date(table, crew->last);
        if (crew->picks == 0) {
            ap_table_row_mark(table, AP_STR_LIT("logged nothing"));
        }
    }
}
