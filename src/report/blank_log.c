#include "report/blank_log.h"

#include "page/html.h"
#include "page/html_style.h"
#include "report/sentences.h"

enum { SHEET_ROWS = 14 };

static ap_unit unit_of(const ap_field *field, ap_unit_system units) {
    return field->kind == AP_KIND_QTY ? ap_unit_for_page(units, field->dim, strstr(field->name, "diameter") != NULL)
                                      : AP_UNIT_NONE;
}

void ap_blank_log_csv(ap_sink *sink, ap_unit_system units, int legs) {
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        const ap_field *field = ap_field_get(i);
        if (field->leg > legs) {
            continue;
        }
        ap_unit unit = unit_of(field, units);
        ap_sink_printf(sink, "%s%s", i ? "," : "", field->name);
        if (field->kind == AP_KIND_QTY) {
            ap_sink_printf(sink, "_%s", field->dim == AP_DIM_SHARE ? "pct" : ap_unit_symbol(unit));
        }
    }
    ap_sink_puts(sink, "\n");
}

/* What a hand can fill: a head, the field whose unit stands under it (or a remark), and the column's share of the width, one
 * of those in the style. */
typedef struct sheet_column {
    const char *head;
    int field; /* -1: no unit */
    const char *remark;
    int width;
} sheet_column;

static const sheet_column before_legs[] = {
    {"pick", -1, "no.", 8},
    {"time", -1, "", 10},
    {"tree", -1, "", 9},
    {"species", -1, "", 19},
    {"piece", -1, "", 12},
    {"length", AP_F_length, NULL, 14},
    {"butt dia.", AP_F_butt_diameter, NULL, 9},
    {"tip dia.", AP_F_tip_diameter, NULL, 9},
    {"planned weight", AP_F_planned_weight, NULL, 15},
    {"basis", -1, "", 12},
    {"planned cut", -1, "", 14},
};
static const sheet_column each_leg[] = {
    {"sling, hitch", -1, "", 15},
    {"at, from butt", AP_F_COUNT + AP_LF_at, NULL, 10},
    {"state", -1, "", 10},
};
static const sheet_column behind_legs[] = {
    {"measured weight", AP_F_measured_weight, NULL, 19},
    {"radius at cut", AP_F_cut_radius, NULL, 11},
    {"rated at cut", AP_F_cut_capacity, NULL, 14},
    {"radius at set-down", AP_F_set_down_radius, NULL, 11},
    {"rated at set-down", AP_F_set_down_capacity, NULL, 14},
    {"cut", -1, "", 12},
    {"moved", -1, "", 15},
    {"how far", AP_F_movement_distance, NULL, 9},
    {"toward", -1, "", 12},
    {"near miss", -1, "y / n", 9},
    {"notes", -1, "", 28},
};

enum { COLUMNS_MAX = 64 };

typedef struct sheet {
    sheet_column columns[COLUMNS_MAX];
    int leg_of[COLUMNS_MAX]; /* 0 = of the pick */
    size_t count;
} sheet;

static void add_columns(sheet *out, const sheet_column *columns, size_t count, int leg) {
    for (size_t i = 0; i < count; i++) {
        out->columns[out->count] = columns[i];
        out->leg_of[out->count++] = leg;
    }
}

static void lay_out(sheet *out, int legs) {
    *out = (sheet){.count = 0};
    add_columns(out, before_legs, sizeof before_legs / sizeof *before_legs, 0);
    for (int leg = 1; leg <= legs; leg++) {
        add_columns(out, each_leg, sizeof each_leg / sizeof *each_leg, leg);
    }
    add_columns(out, behind_legs, sizeof behind_legs / sizeof *behind_legs, 0);
}

static const char *const style[] = {
    "@page{size:landscape;margin:9mm}"
    "*{box-sizing:border-box}"
    "body{margin:0 auto;max-width:260mm;font:8pt/1.25 system-ui,\"Liberation Sans\",Arial,sans-serif;color:#000;"
    "background:#fff}"
    "h1{font-size:12pt;margin:0 0 1mm}"
    ".top{display:flex;flex-wrap:wrap;gap:1.5mm 4mm;margin:0 0 2mm}"
    ".top div{flex:1 1 44mm;display:flex;align-items:flex-end;height:6mm}"
    ".top i{flex:1;border-bottom:.3mm solid #000;margin-left:1.5mm}"
    ".top b{font-weight:400}"
    "table{border-collapse:collapse;width:100%;table-layout:fixed}"
    "th,td{border:.25mm solid #000;padding:0 .4mm}"
    "th{font-size:5.6pt;line-height:1.15;font-weight:600;vertical-align:top;overflow-wrap:break-word;hyphens:manual}"
    "th span{display:block;font-weight:400}"
    "th.leg{text-align:center}"
    /* more than two legs: no head has room for its words side by side */
    ".many th:not(.leg){writing-mode:vertical-rl;font-size:6.4pt;height:15mm;padding:.5mm 0;vertical-align:middle}"
    ".many th[rowspan]{height:18mm}.many th span{display:inline}.many th span::before{content:' '}"
    "td{height:8.6mm}"
    "tbody tr:nth-child(even) td{background:#f3f3f3}"
    "caption{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}"
    /* Widths are shares: what the table is wider than their sum is spread over them. The policy allows no style attribute. */
    "col.w8{width:1.6mm}col.w9{width:1.8mm}col.w10{width:2mm}col.w11{width:2.2mm}col.w12{width:2.4mm}"
    "col.w14{width:2.8mm}col.w15{width:3mm}col.w16{width:3.2mm}col.w19{width:3.8mm}col.w28{width:5.6mm}"
    "p{margin:1.2mm 0 0;font-size:6.8pt;line-height:1.3}"
    "@media print{body{max-width:none}*{print-color-adjust:exact}}",
    NULL};

static void put_head(ap_sink *sink, ap_str company, ap_unit_system units) {
    char hash[AP_HTML_HASH_SIZE];
    ap_html_hash(hash, style);
    ap_sink_printf(sink,
                   "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                   "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src '%s'; "
                   "base-uri 'none'; form-action 'none'\">\n"
                   "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                   "<title>Pick log</title>\n<style>",
                   hash);
    for (size_t i = 0; style[i]; i++) {
        ap_sink_puts(sink, style[i]);
    }
    ap_sink_puts(sink, "</style>\n</head>\n<body class=\"to-fill\">\n<header><h1>Pick log");
    if (company.len) {
        ap_sink_puts(sink, ", ");
        ap_html_text(sink, company);
    }
    ap_sink_puts(sink, "</h1></header>\n<main>\n<div class=\"top\">\n");
    static const char *const blanks[] = {
        "job", "site", "date", "crew", "estimator", "climber", "crane operator", "crane", "leaf on / leaf off", "wind"};
    for (size_t i = 0; i < sizeof blanks / sizeof *blanks; i++) {
        ap_sink_printf(sink, "<div><b>%s</b><i></i></div>\n", blanks[i]);
    }
    ap_sink_printf(sink, "<div><b>block and slings (%s)</b><i></i></div>\n",
                   ap_unit_symbol(ap_unit_for_page(units, AP_DIM_LOAD, false)));
    ap_sink_puts(sink, "<div><b>planned: net / gross</b><i></i></div>\n<div><b>measured: net / gross</b><i></i></div>\n"
                       "<div><b>weighed by</b><i></i></div>\n<div><b>sheet ... of</b><i></i></div>\n</div>\n");
}

static void put_column_head(ap_sink *sink, const sheet *page, size_t at, ap_unit_system units) {
    const sheet_column *column = &page->columns[at];
    const char *under =
        column->field >= 0 ? ap_unit_symbol(unit_of(ap_field_get(column->field), units)) : column->remark;
    ap_sink_printf(sink, "<th scope=\"col\"%s>%s<span>%s</span></th>", page->leg_of[at] ? "" : " rowspan=\"2\"",
                   column->head, under);
}

static void put_table(ap_sink *sink, ap_unit_system units, int legs) {
    static sheet page;
    lay_out(&page, legs);
    ap_sink_printf(sink, "<table%s>\n<caption>Picks, a row each</caption>\n<colgroup>",
                   legs > 2 ? " class=\"many\"" : "");
    for (size_t i = 0; i < page.count; i++) {
        ap_sink_printf(sink, "<col class=\"w%d\">", page.columns[i].width);
    }
    ap_sink_puts(sink, "</colgroup>\n<thead>\n<tr>");
    for (size_t i = 0; i < page.count; i++) {
        if (page.leg_of[i] == 0) {
            put_column_head(sink, &page, i, units);
        } else if (page.leg_of[i] != page.leg_of[i - 1]) {
            ap_sink_printf(sink, "<th class=\"leg\" scope=\"colgroup\" colspan=\"%zu\">leg %d</th>",
                           sizeof each_leg / sizeof *each_leg, page.leg_of[i]);
        }
    }
    ap_sink_puts(sink, "</tr>\n<tr>");
    for (size_t i = 0; i < page.count; i++) {
        if (page.leg_of[i]) {
            put_column_head(sink, &page, i, units);
        }
    }
    ap_sink_puts(sink, "</tr>\n</thead>\n<tbody>\n");
    for (int row = 0; row < SHEET_ROWS; row++) {
        ap_sink_puts(sink, "<tr>");
        for (size_t i = 0; i < page.count; i++) {
            ap_sink_puts(sink, "<td></td>");
        }
        ap_sink_puts(sink, "</tr>\n");
    }
    ap_sink_puts(sink, "</tbody>\n</table>\n");
}

static void put_words(ap_sink *sink, const char *name, ap_vocabulary vocabulary) {
    ap_sink_printf(sink, "<b>%s</b> ", name);
    for (int i = 1; i <= ap_word_count(vocabulary); i++) {
        ap_sink_puts(sink, i > 1 ? ", " : "");
        for (const char *at = ap_word_get(vocabulary, i); *at; at++) {
            ap_sink_putc(sink, *at == '_' ? ' ' : *at); /* a hand writes "butt up"; import reads it so */
        }
    }
    ap_sink_puts(sink, ". ");
}

void ap_blank_log_html(ap_sink *sink, ap_str company, ap_unit_system units, int legs) {
    put_head(sink, company, units);
    put_table(sink, units, legs);
    ap_sink_puts(sink, "<p>");
    put_words(sink, "piece", AP_VOC_PIECE);
    put_words(sink, "basis", AP_VOC_BASIS);
    put_words(sink, "cut", AP_VOC_CUT);
    put_words(sink, "sling", AP_VOC_LEG_KIND);
    put_words(sink, "hitch", AP_VOC_HITCH);
    put_words(sink, "state at the cut", AP_VOC_LEG_STATE);
    put_words(sink, "moved", AP_VOC_MOVEMENT);
    put_words(sink, "toward", AP_VOC_TOWARD);
    ap_sink_puts(sink, "&quot;rated&quot; is the chart's rated capacity at that radius. Several movements: join them "
                       "with +. Blank means not recorded: never write 0 or the planned weight "
                       "for a weight nobody read.</p>\n</main>\n<footer><p><b>Caution:</b> ");
    ap_html_text(sink, ap_str_from(ap_say_caution));
    ap_sink_puts(sink, "</p></footer>\n</body>\n</html>\n");
}
