/* The facts of a write-up: the plan beside what was measured, the legs, and every other field that was logged. */
#include <inttypes.h>

#include "report/writeup_parts.h"

enum { VALUE_MAX = 2000, SAID_MAX = 5 };

/* One line of the table: which fields say it, parted by commas. */
static const struct beside {
    const char *what;
    int planned[SAID_MAX]; /* the first blank place ends it: 0 is the job, which no line tells */
    int measured[SAID_MAX];
} lines[] = {
    {"weight",
     {AP_F_planned_weight, AP_F_planned_as, AP_F_estimate_basis},
     {AP_F_measured_weight, AP_F_measured_as, AP_F_weighed_by}},
    {"block and slings", {AP_F_rigging_weight}, {0}},
    {"cut", {AP_F_planned_cut}, {AP_F_cut}},
    {"at the cut: radius, rated capacity",
     {AP_F_planned_radius, AP_F_planned_capacity},
     {AP_F_cut_radius, AP_F_cut_capacity}},
    {"at set-down: radius, rated capacity", {0}, {AP_F_set_down_radius, AP_F_set_down_capacity}},
    {"on the line: before the cut, peak", {0}, {AP_F_preload, AP_F_peak_load}},
};
enum { LINES = sizeof lines / sizeof *lines };

static bool is_in_table(int column) {
    for (size_t i = 0; i < LINES; i++) {
        for (size_t k = 0; k < SAID_MAX; k++) {
            if (column != 0 && (lines[i].planned[k] == column || lines[i].measured[k] == column)) {
                return true;
            }
        }
    }
    return false;
}

static bool is_hidden(int column, bool redacted) {
    static const int hidden[] = {AP_F_estimator, AP_F_climber, AP_F_operator, AP_F_site,   AP_F_crane,
                                 AP_F_crew,      AP_F_job,     AP_F_notes,    AP_F_damage, AP_F_wind};
    for (size_t i = 0; i < sizeof hidden / sizeof *hidden; i++) {
        if (redacted && hidden[i] == column) {
            return true;
        }
    }
    return false;
}

/* A page of notes would bury the facts: the book keeps them whole. */
static ap_str shortened(ap_doc *doc, ap_str value) {
    if (value.len <= VALUE_MAX) {
        return value;
    }
    size_t len = VALUE_MAX;
    while (len > 0 && ((unsigned char)value.ptr[len] & 0xC0) == 0x80) {
        len--;
    }
    return ap_doc_printf(doc, "%.*s ... (%zu bytes more; 'afterpick pick' shows them)", (int)len, value.ptr,
                         value.len - len);
}

/* A field in words; an answer that was a range as "between ... and ...". */
static ap_str say(ap_doc *doc, const ap_writeup_case *it, const ap_whole_pick *whole, int column) {
    for (size_t i = 0; i < it->range_count; i++) {
        if (it->ranges[i].column == column) {
            ap_whole_pick end = *whole;
            double *value = ap_pick_at(&end.pick, column);
            *value = it->ranges[i].low;
            ap_str low = ap_say_field(doc, &end, column);
            *value = it->ranges[i].high;
            ap_str high = ap_say_field(doc, &end, column);
            return ap_doc_printf(doc, "between %.*s and %.*s", AP_STR_ARG(low), AP_STR_ARG(high));
        }
    }
    return shortened(doc, ap_say_field(doc, whole, column));
}

static void put_compared(ap_doc *doc, const ap_whole_pick *whole) {
    const ap_derived *d = &whole->derived;
    if (d->compared != AP_COMPARED) {
        ap_doc_answer(doc, isnan(d->measured_net_kg)
                               ? AP_STR_LIT("It was not weighed, or the weight cannot be set against the plan.")
                               : AP_STR_LIT("The plan and the weight cannot be compared."));
        return;
    }
    ap_arena arena;
    ap_arena_init(&arena, 1u << 16);
    ap_doc_answer(doc, ap_doc_printf(doc, "Planned %.*s, measured %.*s, both without block and slings: %.*s.",
                                     AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, d->planned_net_kg, false)),
                                     AP_STR_ARG(ap_doc_quantity(doc, AP_DIM_LOAD, d->measured_net_kg, false)),
                                     AP_STR_ARG(ap_say_ratio(&arena, d->ratio))));
    ap_arena_release(&arena);
}

static ap_str say_together(ap_doc *doc, const ap_writeup_case *it, const ap_whole_pick *whole,
                           const int columns[SAID_MAX]) {
    ap_str says = AP_STR_NONE;
    for (size_t k = 0; k < SAID_MAX && columns[k]; k++) {
        if (!ap_pick_field_is_blank(&whole->pick, columns[k])) {
            says = ap_doc_printf(doc, "%.*s%s%.*s", AP_STR_ARG(says), says.len ? ", " : "",
                                 AP_STR_ARG(say(doc, it, whole, columns[k])));
        }
    }
    return says;
}

static void put_beside(ap_doc *doc, const ap_writeup_case *it, const ap_whole_pick *whole) {
    static const ap_column columns[] = {
        {.key = {"what", 4}, .label = {"figure", 6}, .kind = AP_CELL_TEXT},
        {.key = {"planned", 7}, .label = {"planned", 7}, .kind = AP_CELL_TEXT},
        {.key = {"measured", 8}, .label = {"as measured", 11}, .kind = AP_CELL_TEXT},
    };
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("beside"), AP_STR_NONE, columns, 3);
    for (size_t i = 0; i < LINES; i++) {
        ap_str planned = say_together(doc, it, whole, lines[i].planned);
        ap_str measured = say_together(doc, it, whole, lines[i].measured);
        if (planned.len || measured.len) {
            ap_table_row(table);
            ap_table_text(table, ap_str_from(lines[i].what));
            ap_table_text(table, planned);
            ap_table_text(table, measured);
        }
    }
}

static ap_str say_leg(ap_doc *doc, const ap_writeup_case *it, const ap_whole_pick *whole, int leg, int field) {
    int column = AP_F_COUNT + leg * AP_LF_COUNT + field;
    return ap_pick_field_is_blank(&whole->pick, column) ? AP_STR_NONE : say(doc, it, whole, column);
}

static ap_str joined(ap_doc *doc, ap_str a, const char *between, ap_str b) {
    return a.len && b.len ? ap_doc_printf(doc, "%.*s%s%.*s", AP_STR_ARG(a), between, AP_STR_ARG(b)) : a.len ? a : b;
}

static void put_legs(ap_doc *doc, const ap_writeup_case *it, const ap_whole_pick *whole) {
    static const ap_column columns[] = {
        {.key = {"leg", 3}, .label = {"leg", 3}, .kind = AP_CELL_TEXT},
        {.key = {"sling", 5}, .label = {"sling", 5}, .kind = AP_CELL_TEXT},
        {.key = {"hitch", 5}, .label = {"hitch", 5}, .kind = AP_CELL_TEXT},
        {.key = {"at", 2}, .label = {"from the butt", 13}, .kind = AP_CELL_TEXT},
        {.key = {"length", 6}, .label = {"length", 6}, .kind = AP_CELL_TEXT},
        {.key = {"state", 5}, .label = {"at the cut", 10}, .kind = AP_CELL_TEXT},
        {.key = {"limit", 5}, .label = {"working load limit", 18}, .kind = AP_CELL_TEXT},
    };
    if (whole->pick.leg_count == 0) {
        return;
    }
    ap_table *table = ap_doc_table(doc, AP_STR_LIT("legs-logged"), AP_STR_NONE, columns, 7);
    for (int leg = 0; leg < whole->pick.leg_count; leg++) {
        ap_str locks = say_leg(doc, it, whole, leg, AP_LF_locks);
        ap_str side = say_leg(doc, it, whole, leg, AP_LF_side);
        locks = locks.len ? ap_doc_printf(doc, "%.*s half hitches", AP_STR_ARG(locks)) : locks;
        side = side.len ? ap_doc_printf(doc, "%.*s to the side", AP_STR_ARG(side)) : side;
        ap_table_row(table);
        ap_table_text(table, ap_doc_printf(doc, "%d", leg + 1));
        ap_table_text(table, joined(doc, say_leg(doc, it, whole, leg, AP_LF_kind), ", ",
                                    say_leg(doc, it, whole, leg, AP_LF_tag)));
        ap_table_text(table, joined(doc, say_leg(doc, it, whole, leg, AP_LF_hitch), ", ", locks));
        ap_table_text(table, joined(doc, say_leg(doc, it, whole, leg, AP_LF_at), ", ", side));
        ap_table_text(table, say_leg(doc, it, whole, leg, AP_LF_length));
        ap_table_text(table, say_leg(doc, it, whole, leg, AP_LF_state));
        ap_table_text(table, say_leg(doc, it, whole, leg, AP_LF_wll));
    }
}

/* What no table tells. */
static void put_group(ap_doc *doc, const ap_writeup_case *it, const ap_whole_pick *whole, ap_field_group group,
                      const char *heading) {
    ap_str says = AP_STR_NONE;
    for (int i = 0; i < AP_F_COUNT; i++) {
        if (ap_field_get(i)->group != group || ap_pick_field_is_blank(&whole->pick, i) || is_hidden(i, it->redacted) ||
            is_in_table(i)) {
            continue;
        }
        says = ap_doc_printf(doc, "%.*s%s%s: %.*s", AP_STR_ARG(says), says.len ? "; " : "", ap_field_get(i)->label,
                             AP_STR_ARG(say(doc, it, whole, i)));
    }
    if (says.len) {
        ap_doc_list_item(doc, ap_doc_printf(doc, "%s. %.*s", heading, AP_STR_ARG(says)));
    }
}

void ap_writeup_put_facts(ap_doc *doc, const ap_writeup_case *it) {
    static const struct {
        ap_field_group group;
        const char *heading;
    } groups[] = {
        {AP_GROUP_WHERE, "Where and who"}, {AP_GROUP_PIECE, "The piece"}, {AP_GROUP_PLAN, "Planned"},
        {AP_GROUP_WEIGHING, "Weighed"},    {AP_GROUP_CUT, "The cut"},     {AP_GROUP_HAPPENED, "What was logged"},
    };
    for (size_t p = 0; p < it->count; p++) {
        const ap_whole_pick *whole = &it->picks[p];
        if (it->count > 1) {
            ap_doc_section(doc, 3, whole->pick.name, whole->pick.name);
        }
        put_compared(doc, whole);
        put_beside(doc, it, whole);
        put_legs(doc, it, whole);
        for (size_t g = 0; g < sizeof groups / sizeof *groups; g++) {
            put_group(doc, it, whole, groups[g].group, groups[g].heading);
        }
        if (it->told) {
            ap_doc_paragraph(doc,
                             AP_STR_LIT("It is in no log: told from memory. What is worked out from a range takes "
                                        "its middle; what the whole range allows stands with the reconstruction."));
        }
        if (whole->source.file.len && !it->redacted) {
            ap_doc_paragraph(doc, ap_doc_printf(doc, "From %.*s, line %" PRId64 ".", AP_STR_ARG(whole->source.file),
                                                whole->source.line));
        }
    }
}
