/* Writes pages for the browser check into a folder: a review of an invented month, the same in metric, and a page of
 * hostile texts in every place that takes a text. All names and figures are invented. */
#include "page/hostile.h"
#include "page/write.h"

#define S(literal) AP_STR_LIT(literal)

static uint64_t seed = 20261001;
static double uniform(void) { /* xorshift64*, so that every run draws the same page */
    seed ^= seed >> 12;
    seed ^= seed << 25;
    seed ^= seed >> 27;
    return (double)((seed * 2685821657736338717u) >> 11) / 9007199254740992.0;
}

static ap_str scatter(ap_arena *arena, const char *id) {
    ap_buf buf;
    ap_buf_init(&buf, 1u << 20);
    ap_buf_appendf(
        &buf,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 720 400\" role=\"img\" aria-labelledby=\"%s-t "
        "%s-d\"><title id=\"%s-t\">Planned against measured</title><desc id=\"%s-d\">Points and the parity "
        "line</desc><g font-family=\"sans-serif\" font-size=\"13\" fill=\"#1b2320\">",
        id, id, id, id);
    ap_buf_appendf(&buf, "<path style=\"fill:#e8ece8\" d=\"M60 360 L700 60 L700 10 L60 330 Z\"/>"
                         "<path d=\"M60 360 L700 40\" stroke=\"#1b2320\" fill=\"none\"/>"
                         "<path d=\"M60 10 V360 H700\" stroke=\"#55605b\" fill=\"none\"/>");
    for (int i = 0; i < 120; i++) {
        double x = 60 + 640 * uniform();
        double y = 360 - (x - 60) / 2 + 70 * (uniform() - 0.58);
        ap_buf_appendf(&buf, "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"3.5\" fill=\"none\" stroke=\"#0a5746\"/>", x, y);
    }
    ap_buf_appendf(&buf,
                   "<text x=\"300\" y=\"392\">planned, lb</text><text x=\"66\" y=\"24\">measured, lb</text></g></svg>");
    ap_str svg = ap_arena_str(arena, ap_buf_str(&buf));
    ap_buf_release(&buf);
    return svg;
}

static void first_page(ap_doc *doc) {
    ap_doc_section(doc, 2, S("first"), S("Look at these first"));
    ap_doc_alert(doc, S("over chart"), S("J231/17"),
                 ap_doc_printf(doc, "hook load %.*s against a rated %.*s at 62 ft; planned at 88 %% of the chart.",
                               AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, 3950, false)),
                               AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, 3765, false))));
    ap_doc_alert(doc, S("toward a person"), S("J228/4"),
                 S("the butt swung toward the climber, who stood at the stem on the butt side."));
    ap_doc_alert(doc, S("leg past its limit"), S("J240/9"),
                 S("reconstructed tension in the lower leg 1.12 times its working load limit with the choke at 100°."));
    ap_doc_answer(doc, S("Plans ran 7 % lighter than the wood, and 23 of 127 weighed picks (18 %) were heavier than "
                         "planned by more than 10 %; last month it was 22 %."));
    ap_doc_tile(doc, S("Heavier than planned by more than 10 %"), S("18 %"),
                S("23 of 127 weighed picks, 90 % interval 13 to 24 %; last month 22 %"));
    ap_doc_tile(doc, S("Typical error"), S("+7 %"), S("median of 127 picks on 31 trees, interval +4 to +9 %"));
    ap_doc_tile(doc, S("Past the company's 85 % line"), S("6 picks"), S("of 119 with a rated capacity; 1 over chart"));
    ap_doc_tile(doc, S("Actions overdue"), S("1 of 4"), S("\"weigh every top over 3,000 lb\", due 2026-10-15"));
    ap_doc_caution(doc,
                   S("41 of 168 picks were not weighed, and crew C sent no log after 12 October. What was not weighed "
                     "is not in these figures."));
    ap_doc_list_item(doc,
                     S("Red oak tops in leaf ran 19 % heavier than planned (14 picks, 6 trees): add the factor 1.34."));
    ap_doc_list_item(doc, S("Both slings tight before the cut: in 5 of 7 butt-up picks the upper leg was slack."));
    ap_doc_link(doc, S("The briefing page alone"), S("briefing.html"));
    ap_doc_page_break(doc);
}

static void error_section(ap_doc *doc, ap_arena *arena) {
    ap_doc_section(doc, 2, S("error"), S("Estimate error"));
    ap_doc_answer(doc, S("Red oak tops account for most of the picks that came in heavier than planned."));
    ap_doc_figure(
        doc, S("parity"), S("Planned against measured"),
        S("Each circle is one weighed pick; the line is measured = planned, the band ±10 %. Most circles lie above."),
        scatter(arena, "parity"), AP_STR_NONE);
    ap_doc_figure(doc, S("grid"), S("Error by species and cut"), S("One cell for each species and cut."), AP_STR_NONE,
                  S("gnuplot was not found; install it or look at the table below."));
    static const char *const species[] = {"red oak", "white oak",  "sugar maple", "tulip tree",   "American beech",
                                          "ash",     "white pine", "sweetgum",    "black locust", "hickory"};
    ap_column columns[] = {{S("species"), S("Species"), AP_CELL_TEXT, AP_DIM_NONE, false, 0},
                           {S("picks"), S("Picks"), AP_CELL_COUNT, AP_DIM_NONE, false, 0},
                           {S("trees"), S("Trees"), AP_CELL_COUNT, AP_DIM_NONE, false, 0},
                           {S("median_ratio"), S("Median measured / planned"), AP_CELL_RATIO, AP_DIM_NONE, false, 0},
                           {S("low"), S("from"), AP_CELL_RATIO, AP_DIM_NONE, false, 0},
                           {S("high"), S("to"), AP_CELL_RATIO, AP_DIM_NONE, false, 0},
                           {S("heavier"), S("Heavier by more than 10 %"), AP_CELL_PERCENT, AP_DIM_NONE, false, 0},
                           {S("worst"), S("Most above plan"), AP_CELL_QUANTITY, AP_DIM_LOAD, false, 0},
                           {S("factor"), S("Planning factor"), AP_CELL_RATIO, AP_DIM_NONE, false, 0}};
    ap_table *table = ap_doc_table(doc, S("by-species"), S("Measured over planned net weight by species"), columns, 9);
    ap_table_has_marks(table);
    for (int i = 0; i < 10; i++) {
        double ratio = 0.95 + 0.25 * uniform();
        ap_table_row(table);
        ap_table_text(table, ap_str_from(species[i]));
        ap_table_value(table, 3 + floor(20 * uniform()));
        ap_table_value(table, 2 + floor(5 * uniform()));
        ap_table_value(table, ratio);
        ap_table_value(table, ratio - 0.04);
        ap_table_value(table, ratio + 0.05);
        ap_table_value(table, 0.4 * uniform());
        ap_table_value(table, 200 + 900 * uniform());
        ap_table_value(table, i == 7 ? (double)NAN : ratio + 0.2);
        if (i == 0) {
            ap_table_row_mark(table, S("ran heavier"));
        }
    }
    ap_doc_working_begin(doc, AP_STR_NONE);
    ap_doc_paragraph(
        doc, S("ratio = measured net / planned net. The interval of the median is by order statistics; the factor is "
               "a one-sided tolerance bound, 95 % of new pieces with 90 % confidence."));
    ap_doc_working_end(doc);
    ap_doc_caution(doc, S("A planning factor is not a load chart: weigh it, look at the chart, ask the operator."));
}

static void pick_section(ap_doc *doc) {
    ap_doc_section(doc, 2, S("margin"), S("Chart margin"));
    ap_doc_answer(doc, S("Six picks passed 85 % of the chart; one passed the chart itself."));
    ap_column columns[] = {{S("pick"), S("Pick"), AP_CELL_PICK, AP_DIM_NONE, false, 0},
                           {S("date"), S("Date"), AP_CELL_DATE, AP_DIM_NONE, false, 0},
                           {S("crew"), S("Crew"), AP_CELL_TEXT, AP_DIM_NONE, false, 0},
                           {S("piece"), S("Piece"), AP_CELL_TEXT, AP_DIM_NONE, false, 0},
                           {S("planned"), S("Planned"), AP_CELL_QUANTITY, AP_DIM_LOAD, false, 0},
                           {S("measured"), S("Measured"), AP_CELL_QUANTITY, AP_DIM_LOAD, false, 0},
                           {S("radius"), S("Radius"), AP_CELL_QUANTITY, AP_DIM_LENGTH, false, 0},
                           {S("butt"), S("Butt diameter"), AP_CELL_QUANTITY, AP_DIM_LENGTH, true, 0},
                           {S("lean"), S("Lean"), AP_CELL_QUANTITY, AP_DIM_ANGLE, false, 0},
                           {S("tension"), S("Lower leg"), AP_CELL_QUANTITY, AP_DIM_FORCE, false, 0},
                           {S("used"), S("Chart used"), AP_CELL_PERCENT, AP_DIM_NONE, false, 0},
                           {S("note"), S("Note in the log"), AP_CELL_TEXT, AP_DIM_NONE, false, 0}};
    ap_table *table = ap_doc_table(doc, S("margin-picks"), S("Picks past the company's lines"), columns, 12);
    ap_table_has_marks(table);
    ap_date day = AP_DATE_NONE;
    ap_date_from_civil(&day, 2026, 10, 1);
    for (int i = 0; i < 40; i++) {
        double planned = 900 + 2500 * uniform();
        ap_table_row(table);
        ap_table_text(table, ap_doc_printf(doc, "J%d/%d", 225 + i / 3, 2 + i % 19));
        ap_table_date(table, day + i / 2);
        ap_table_text(table, i % 3 ? S("B") : S("A"));
        ap_table_text(table, i % 2 ? S("top") : S("trunk section"));
        ap_table_value(table, planned);
        ap_table_value(table, planned * (0.9 + 0.4 * uniform()));
        ap_table_value(table, 8 + 14 * uniform());
        ap_table_value(table, 0.3 + 0.5 * uniform());
        ap_table_value(table, 20 + 60 * uniform());
        ap_table_value(table, i % 5 == 4 ? (double)NAN : planned * 9.8 * (0.4 + 0.4 * uniform()));
        ap_table_value(table, 0.75 + 0.3 * uniform());
        ap_table_text(table, i % 7 == 3
                                 ? S("settled on the saw, line a little slack, re-rigged the tip leg and tried again")
                                 : AP_STR_NONE);
        if (i % 11 == 2) {
            ap_table_row_mark(table, S("over chart"));
            ap_table_row_id(table, S("over"));
        }
    }
    ap_doc_pick_page(doc, S("J231/17"), S("writeups/J231-17.html"));
    ap_doc_pick_page(doc, S("J228/4"), S("#over"));
}

static void other_sections(ap_doc *doc) {
    static const char *const names[] = {"Trend",   "Separations",  "Near-miss findings",
                                        "Density", "Data quality", "Actions"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        ap_doc_section(doc, 2, ap_str_from(names[i]), ap_str_from(names[i]));
        ap_doc_answer(doc, S("Too few picks this month to say anything with confidence."));
        ap_doc_section(doc, 3, S("detail"), S("What would be needed"));
        ap_doc_paragraph(
            doc, S("Ten weighed trees of one species, or a month with both cuts on the same tree, would settle it."));
        ap_column column = {S("what"), S("What"), AP_CELL_TEXT, AP_DIM_NONE, false, 0};
        ap_table *table = ap_doc_table(doc, S("list"), S("Open questions"), &column, 1);
        ap_table_empty(table, S("none recorded in 168 picks, of which 41 could not be judged."));
    }
}

static void hostile_page(ap_doc *doc) {
    ap_column columns[] = {{S("pick"), S("Pick | <b>"), AP_CELL_PICK, AP_DIM_NONE, false, 0},
                           {S("text"), S("Text"), AP_CELL_TEXT, AP_DIM_NONE, false, 0},
                           {S("weight"), S("Weight"), AP_CELL_QUANTITY, AP_DIM_LOAD, false, 0}};
    for (size_t i = 0; i < HOSTILE_COUNT; i++) {
        ap_str text = ap_str_from(hostile_texts[i]);
        ap_doc_section(doc, 2, text, text);
        ap_doc_answer(doc, text);
        ap_doc_paragraph(doc, text);
        ap_doc_caution(doc, text);
        ap_doc_list_item(doc, text);
        ap_doc_alert(doc, text, text, text);
        ap_doc_tile(doc, text, text, text);
        ap_doc_link(doc, text, text);
        ap_doc_figure(doc, text, text, text, AP_STR_NONE, text);
        ap_doc_working_begin(doc, text);
        ap_table *table = ap_doc_table(doc, text, text, columns, 3);
        ap_table_has_marks(table);
        ap_table_row(table);
        ap_table_text(table, text);
        ap_table_text(table, text);
        ap_table_value(table, 1e9);
        ap_table_row_mark(table, text);
        ap_table_row_id(table, text);
        ap_doc_working_end(doc);
        ap_doc_pick_page(doc, text, text);
    }
}

typedef ap_status writer(ap_sink *, const ap_doc *, ap_error *);
static ap_status text_writer(ap_sink *sink, const ap_doc *doc, ap_error *err) {
    return ap_page_write_text(sink, doc, 80, false, err);
}

static ap_status save(const char *folder, const char *name, const ap_doc *doc, writer *write, ap_error *err) {
    char path[1024];
    ap_buf buf;
    ap_buf_init(&buf, 16u << 20);
    ap_sink sink = ap_sink_to_buf(&buf);
    snprintf(path, sizeof path, "%s/%s", folder, name);
    ap_status status = write(&sink, doc, err);
    if (status == AP_OK) {
        status = ap_file_write(path, ap_buf_str(&buf), err);
    }
    ap_buf_release(&buf);
    return status;
}

int main(int argc, char **argv) {
    if (argc != 2) {
        fprintf(stderr, "usage: demo_page FOLDER\n");
        return AP_EXIT_USAGE;
    }
    ap_error err;
    ap_error_clear(&err);
    ap_status status = AP_OK;
    for (int page = 0; page < 3 && status == AP_OK; page++) {
        ap_arena arena;
        ap_arena_init(&arena, 64u << 20);
        ap_doc_head head = {S("Monthly review, October 2026"),
                            S("Invented Tree Company · picks of 1 to 31 October 2026 · an invented scenario"),
                            S("demo.book"),
                            S("2026-10-01 to 2026-10-31"),
                            S("0.1.0"),
                            S("month / day / year"),
                            S("2026-11-02"),
                            page == 1 ? AP_UNITS_METRIC : AP_UNITS_US,
                            false};
        if (page == 2) {
            head.title = ap_str_from(hostile_texts[0]);
            head.subtitle = head.book = head.period = head.date_order = ap_str_from(hostile_texts[11]);
        }
        ap_doc *doc = ap_doc_new(&arena, &head);
        if (page == 2) {
            hostile_page(doc);
        } else {
            first_page(doc);
            error_section(doc, &arena);
            pick_section(doc);
            other_sections(doc);
        }
        static const char *const names[][3] = {{"demo.html", "demo.md", "demo.txt"},
                                               {"metric.html", "metric.md", "metric.txt"},
                                               {"hostile.html", "hostile.md", "hostile.txt"}};
        static writer *const writers[] = {ap_page_write_html, ap_page_write_markdown, text_writer};
        for (int i = 0; i < 3 && status == AP_OK; i++) {
            status = save(argv[1], names[page][i], doc, writers[i], &err);
        }
        ap_arena_release(&arena);
    }
    if (status != AP_OK) {
        fprintf(stderr, "demo_page: %s\n", err.text);
    }
    return ap_status_exit_code(status);
}
