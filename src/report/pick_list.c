#include "report/pick_page.h"

#include "report/sentences.h"

/* "limb, step": one column, so that a row fits a terminal. */
static ap_str piece_and_cut(ap_doc *doc, const ap_roster *roster, const ap_fact *fact) {
    ap_str piece = ap_roster_label(roster, AP_BY_PIECE, ap_fact_group(fact, AP_BY_PIECE));
    ap_str cut = ap_roster_label(roster, AP_BY_CUT, ap_fact_group(fact, AP_BY_CUT));
    return ap_doc_printf(doc, "%.*s%s%.*s", AP_STR_ARG(piece), piece.len && cut.len ? ", " : "", AP_STR_ARG(cut));
}

/* "butt up and tip dive, toward the climber" */
static ap_str moved(ap_doc *doc, const ap_fact *fact) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 16);
    ap_str says = ap_say_movement(&arena, fact->rest->movement);
    says = ap_doc_printf(doc, "%.*s%s", AP_STR_ARG(says),
                         !fact->toward_person                ? ""
                         : fact->toward == AP_TOWARD_CLIMBER ? ", toward the climber"
                                                             : ", toward the crew");
    ap_arena_release(&arena);
    return says;
}

static ap_str label(const ap_roster *roster, const ap_fact *fact, ap_by by) {
    return ap_roster_label(roster, by, ap_fact_group(fact, by));
}

static void put_row(ap_doc *doc, ap_table *table, const ap_roster *roster, const ap_fact *fact, bool whole) {
    ap_table_row(table);
    ap_table_text(table, ap_str_from(fact->rest->name));
    ap_table_date(table, fact->date);
    if (whole) {
        ap_table_text(table, label(roster, fact, AP_BY_CREW));
        ap_table_text(table, label(roster, fact, AP_BY_CRANE));
    }
    ap_table_text(table, label(roster, fact, AP_BY_SPECIES));
    if (whole) {
        ap_table_text(table, label(roster, fact, AP_BY_PIECE));
        ap_table_text(table, label(roster, fact, AP_BY_CUT));
    } else {
        ap_table_text(table, piece_and_cut(doc, roster, fact));
    }
    ap_table_value(table, fact->planned_net_kg);
    ap_table_value(table, fact->measured_net_kg);
    ap_table_value(table, ap_fact_ratio(fact));
    ap_table_value(table, ap_fact_share_worst(fact));
    ap_table_text(table, moved(doc, fact));
}

/* Whole: each word in a column of its own, to be sorted and filtered by; else what fits a terminal. */
static ap_table *begin_table(ap_doc *doc, const char *id, const char *caption, bool whole) {
    enum { IN_BOTH, IF_WHOLE, IF_SHORT };
    const struct {
        int when;
        ap_column column;
    } all[] = {
        {IN_BOTH, {.key = AP_STR_LIT("pick"), .label = AP_STR_LIT("pick"), .kind = AP_CELL_PICK}},
        {IN_BOTH, {.key = AP_STR_LIT("date"), .label = AP_STR_LIT("date"), .kind = AP_CELL_DATE}},
        {IF_WHOLE, {.key = AP_STR_LIT("crew"), .label = AP_STR_LIT("crew"), .kind = AP_CELL_TEXT}},
        {IF_WHOLE, {.key = AP_STR_LIT("crane"), .label = AP_STR_LIT("crane"), .kind = AP_CELL_TEXT}},
        {IN_BOTH, {.key = AP_STR_LIT("species"), .label = AP_STR_LIT("species"), .kind = AP_CELL_TEXT}},
        {IF_WHOLE, {.key = AP_STR_LIT("piece"), .label = AP_STR_LIT("piece"), .kind = AP_CELL_TEXT}},
        {IF_WHOLE, {.key = AP_STR_LIT("cut"), .label = AP_STR_LIT("cut"), .kind = AP_CELL_TEXT}},
        {IF_SHORT, {.key = AP_STR_LIT("piece_cut"), .label = AP_STR_LIT("piece, cut"), .kind = AP_CELL_TEXT}},
        {IN_BOTH,
         {.key = AP_STR_LIT("planned_net"),
          .label = AP_STR_LIT("planned"),
          .kind = AP_CELL_QUANTITY,
          .dim = AP_DIM_LOAD}},
        {IN_BOTH,
         {.key = AP_STR_LIT("measured_net"),
          .label = AP_STR_LIT("measured"),
          .kind = AP_CELL_QUANTITY,
          .dim = AP_DIM_LOAD}},
        {IN_BOTH, {.key = AP_STR_LIT("ratio"), .label = AP_STR_LIT("against plan"), .kind = AP_CELL_RATIO}},
        {IN_BOTH, {.key = AP_STR_LIT("share_of_chart"), .label = AP_STR_LIT("of chart"), .kind = AP_CELL_PERCENT}},
        {IN_BOTH, {.key = AP_STR_LIT("movement"), .label = AP_STR_LIT("moved"), .kind = AP_CELL_TEXT}},
    };
    ap_column columns[sizeof all / sizeof all[0]];
    size_t count = 0;
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
        if (all[i].when != (whole ? IF_SHORT : IF_WHOLE)) {
            columns[count++] = all[i].column;
        }
    }
    return ap_doc_table(doc, ap_str_from(id), ap_str_from(caption), columns, count);
}

void ap_picks_table(ap_doc *doc, const char *id, const char *caption, const ap_roster *roster, const size_t *picks,
                    size_t count) {
    ap_table *table = begin_table(doc, id, caption, true);
    ap_table_empty(table, AP_STR_LIT("none"));
    for (size_t i = 0; i < count; i++) {
        put_row(doc, table, roster, &roster->facts[picks[i]], true);
    }
}

void ap_picks_page(ap_doc *doc, const ap_roster *roster, size_t first, size_t end, bool whole) {
    size_t compared = 0;
    for (size_t i = first; i < end; i++) {
        compared += roster->facts[i].compared == AP_COMPARED;
    }
    ap_doc_answer(doc, end == first
                           ? AP_STR_LIT("The book holds no such pick.")
                           : ap_doc_printf(doc, "%.*s, %.*s with a planned and a measured weight. Weights are net.",
                                           AP_STR_ARG(ap_say_count(doc, end - first, "pick")),
                                           AP_STR_ARG(ap_say_or_none(doc, compared))));
    ap_table *table = begin_table(doc, "picks", "Picks", whole);
    ap_table_empty(table, AP_STR_LIT("no pick in this period"));
    for (size_t i = first; i < end; i++) {
        put_row(doc, table, roster, &roster->facts[i], whole);
    }
    if (first < end) {
        ap_doc_caution(doc, ap_str_from(ap_say_caution));
    }
}

static void put_json(ap_json *json, const ap_roster *roster, const ap_fact *fact) {
    ap_buf moves;
    ap_buf_init(&moves, 1024);
    ap_moves_to_text(&moves, fact->rest->movement);
    ap_json_object_begin(json);
    ap_json_put_text(json, "pick", ap_str_from(fact->rest->name));
    ap_json_put_date(json, "date", fact->date);
    ap_json_put_text(json, "species", ap_roster_label(roster, AP_BY_SPECIES, ap_fact_group(fact, AP_BY_SPECIES)));
    ap_json_put_text(json, "piece", ap_roster_label(roster, AP_BY_PIECE, ap_fact_group(fact, AP_BY_PIECE)));
    ap_json_put_text(json, "cut", ap_roster_label(roster, AP_BY_CUT, ap_fact_group(fact, AP_BY_CUT)));
    ap_json_put_number(json, "planned_net_kg", fact->planned_net_kg);
    ap_json_put_number(json, "measured_net_kg", fact->measured_net_kg);
    ap_json_put_number(json, "ratio", ap_fact_ratio(fact));
    ap_json_put_number(json, "share_cut", fact->rest->share_cut);
    ap_json_put_number(json, "share_set_down", fact->rest->share_set_down);
    ap_json_put_text(json, "movement", fact->rest->movement ? ap_buf_str(&moves) : AP_STR_NONE);
    ap_json_put_bool(json, "over_chart", fact->over_chart);
    ap_json_put_bool(json, "toward_person", fact->toward_person);
    ap_json_object_end(json);
    ap_buf_release(&moves);
}

void ap_picks_json(ap_json *json, const ap_roster *roster, size_t first, size_t end, ap_period period) {
    ap_json_object_begin(json);
    ap_json_put_period(json, period);
    ap_json_key(json, "picks");
    ap_json_array_begin(json);
    for (size_t i = first; i < end; i++) {
        put_json(json, roster, &roster->facts[i]);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}
