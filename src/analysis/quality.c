#include "analysis/quality.h"

static ap_status read_totals(ap_quality *out, ap_book *book, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "quality_totals", err);
    if (status != AP_OK) {
        return status;
    }
    bool row = false;
    status = ap_query_step(&row, query, err);
    if (status == AP_OK && row) {
        out->set_aside = ap_query_int(query, 0);
        out->conflicts = ap_query_int(query, 1);
        out->warnings = ap_query_int(query, 2);
        out->imports = ap_query_int(query, 3);
        out->files = ap_query_int(query, 4);
    }
    ap_query_close(query);
    return status;
}

static ap_status read_rows(ap_quality *out, ap_arena *arena, ap_book *book, ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, "quality_set_aside", err);
    if (status != AP_OK) {
        return status;
    }
    ap_query_bind_int(query, ":most", AP_QUALITY_SHOWN);
    bool row = true;
    while (status == AP_OK && row && out->row_count < AP_QUALITY_SHOWN) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row) {
            ap_quality_row *to = &out->rows[out->row_count++];
            to->file = ap_arena_str(arena, ap_query_text(query, 0));
            to->line = ap_query_int(query, 1);
            to->field = ap_arena_str(arena, ap_query_text(query, 2));
            to->text = ap_arena_str(arena, ap_query_text(query, 3));
            to->reason = ap_arena_str(arena, ap_query_text(query, 4));
            to->remedy = ap_arena_str(arena, ap_query_text(query, 5));
        }
    }
    ap_query_close(query);
    return status;
}

static void count_period(ap_quality *out, const ap_roster *roster, size_t first, size_t end) {
    for (size_t i = first; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        out->unweighed += fact->compared == AP_NOT_WEIGHED;
        out->repeats_plan += (fact->marks & AP_MARK_REPEATS_PLAN) != 0;
        out->rigging_of_crane += (fact->marks & AP_MARK_CRANE_RIGGING) != 0;
        out->corrected += (fact->marks & AP_MARK_CORRECTED) != 0;
        out->from_chart += (fact->marks & AP_MARK_FROM_CHART) != 0;
        out->past_chart += (fact->marks & AP_MARK_PAST_CHART) != 0;
        if (fact->marks & AP_MARK_CHART_DIFFERS) {
            if (out->chart_differs < AP_QUALITY_SHOWN) {
                out->differing[out->chart_differs] = i;
            }
            out->chart_differs++;
        }
        out->rigging_assumed += fact->rigging_assumed;
        out->no_capacity += isnan(ap_fact_share_worst(fact)) ? 1 : 0;
        out->no_movement += fact->rest->movement == 0;
        out->blank_crew += ap_fact_group(fact, AP_BY_CREW) == 0;
    }
}

static ap_status count_crews(ap_quality *out, ap_arena *arena, const ap_roster *roster, size_t before, size_t first,
                             size_t end, ap_error *err) {
    uint32_t crews = ap_intern_count(roster->labels[AP_BY_CREW]);
    ap_quality_crew *all = ap_arena_alloc_array(arena, (size_t)crews + 1, sizeof *all);
    if (!all) {
        return ap_arena_check(arena, "the crews", err);
    }
    for (size_t i = before; i < end; i++) {
        const ap_fact *fact = &roster->facts[i];
        ap_quality_crew *crew = &all[ap_fact_group(fact, AP_BY_CREW)];
        *(i < first ? &crew->picks_before : &crew->picks) += 1;
        crew->weighed += i >= first && fact->compared != AP_NOT_WEIGHED;
        crew->last = fact->date;
    }
    for (uint32_t c = 1; c <= crews; c++) {
        if (all[c].picks || all[c].picks_before) {
            all[out->crew_count] = all[c];
            all[out->crew_count++].crew = ap_roster_label(roster, AP_BY_CREW, c);
        }
    }
    out->crews = all;
    return AP_OK;
}

ap_status ap_quality_read(ap_quality *out, ap_arena *arena, ap_book *book, const ap_roster *roster, size_t before,
                          size_t first, size_t end, ap_error *err) {
    memset(out, 0, sizeof *out);
    count_period(out, roster, first, end);
    ap_status status = read_totals(out, book, err);
    if (status == AP_OK) {
        status = read_rows(out, arena, book, err);
    }
    if (status == AP_OK) {
        status = count_crews(out, arena, roster, before, first, end, err);
    }
    return status == AP_OK ? ap_arena_check(arena, "data quality", err) : status;
}
