/* A pick's values in words. */
#include "derive/person.h"
#include "followup/redact.h"
#include "report/pick_page.h"

enum { TEXT_MAX = 1 << 20 };

static const char *person_role(int column) {
    return column == AP_F_estimator  ? "estimator"
           : column == AP_F_climber  ? "climber"
           : column == AP_F_operator ? "crane operator"
                                     : NULL;
}

static ap_str person(ap_arena *arena, int column, ap_str text, bool names, unsigned number) {
    ap_buf label;
    ap_buf_init(&label, TEXT_MAX);
    ap_person_label(&label, person_role(column), text, names, number);
    ap_str kept = ap_arena_str(arena, ap_buf_str(&label));
    ap_buf_release(&label);
    return kept;
}

ap_str ap_say_history_value(ap_arena *arena, ap_str field, ap_str value, bool names) {
    int column = ap_field_find(field);
    return value.len && person_role(column) ? person(arena, column, value, names, 0) : value;
}

ap_str ap_say_past_value(ap_doc *doc, ap_str field, ap_str value, bool names) {
    ap_arena arena;
    ap_arena_init(&arena, 2 * TEXT_MAX);
    int column = ap_field_find(field);
    if (value.len && !names && person_role(column) && !ap_person_is_code(ap_str_trim(value))) {
        ap_arena_release(&arena);
        return AP_STR_LIT("a name (--names shows it)");
    }
    bool text = column >= 0 && ap_field_get(column)->kind == AP_KIND_TEXT;
    ap_str says = ap_say_history_value(&arena, field, value, names);
    says = says.len == 0 ? AP_STR_LIT("nothing") : ap_doc_printf(doc, text ? "'%.*s'" : "%.*s", AP_STR_ARG(says));
    ap_arena_release(&arena);
    return says;
}

static bool is_metric(ap_unit unit) {
    return unit == AP_UNIT_KG || unit == AP_UNIT_G || unit == AP_UNIT_TONNE || unit == AP_UNIT_KN ||
           unit == AP_UNIT_N || unit == AP_UNIT_KGF || unit == AP_UNIT_M || unit == AP_UNIT_CM || unit == AP_UNIT_MM;
}

/* "2,200 kg (written 4850 lb)" where the log used the other system of units. */
static ap_str say_quantity(ap_doc *doc, const ap_pick *pick, int column) {
    const ap_field *field = ap_field_get(column);
    double si = *(const double *)ap_pick_at_const(pick, column);
    bool small = strstr(field->name, "diameter") != NULL;
    ap_str shown = ap_doc_quantity(doc, field->dim, si, small);
    ap_unit unit = (ap_unit)pick->written[column].unit;
    ap_unit page = ap_unit_for_page(ap_doc_units(doc), field->dim, small);
    if (unit == AP_UNIT_NONE || is_metric(unit) == is_metric(page) || field->dim == AP_DIM_SHARE ||
        field->dim == AP_DIM_ANGLE) {
        return shown;
    }
    return ap_doc_printf(doc, "%.*s (written %.8g %s)", AP_STR_ARG(shown), ap_unit_from_si(unit, si),
                         ap_unit_symbol(unit));
}

static ap_str say_moves(ap_doc *doc, int32_t moves) {
    ap_arena arena;
    ap_arena_init(&arena, 1u << 16);
    ap_str says = ap_say_movement(&arena, moves);
    says = ap_doc_printf(doc, "%.*s", AP_STR_ARG(says));
    ap_arena_release(&arena);
    return says;
}

static ap_str say_word(ap_doc *doc, ap_vocabulary vocabulary, int32_t value) {
    const char *word = ap_word_get(vocabulary, value);
    ap_arena arena;
    ap_arena_init(&arena, 1u << 12);
    ap_str says = word ? ap_word_plain(&arena, ap_str_from(word)) : AP_STR_NONE;
    says = ap_doc_printf(doc, "%.*s", AP_STR_ARG(says));
    ap_arena_release(&arena);
    return says;
}

/* The names of the pick's own people in what was noted, as their roles. */
static ap_str with_roles(ap_doc *doc, const ap_whole_pick *whole, ap_str text) {
    enum { NAMES = 24 };
    const ap_pick *pick = &whole->pick;
    const ap_str people[] = {pick->estimator, pick->climber, pick->operator_name};
    const char *const roles[] = {"estimator", "climber", "crane operator"};
    ap_str names[NAMES];
    ap_str instead[NAMES];
    size_t count = 0;
    for (size_t i = 0; i < 3; i++) {
        ap_str name = ap_str_trim(people[i]);
        if (name.len < 2 || ap_person_is_code(name)) {
            continue;
        }
        size_t until = count + 1;
        names[count] = name;
        until += ap_redact_words(&names[count + 1], 7, name);
        for (; count < until; count++) {
            instead[count] = ap_str_from(roles[i]);
        }
    }
    ap_buf out;
    ap_buf_init(&out, 4 * AP_REDACT_SIZE_MAX);
    bool put = count && text.len <= AP_REDACT_SIZE_MAX && ap_redact(&out, text, names, instead, count);
    ap_str says = put && out.status == AP_OK ? ap_doc_printf(doc, "%.*s", AP_STR_ARG(ap_buf_str(&out))) : text;
    ap_buf_release(&out);
    return says;
}

static ap_str say_text(ap_doc *doc, const ap_whole_pick *whole, int column, ap_str text) {
    if (!person_role(column)) {
        return whole->names || (column != AP_F_notes && column != AP_F_damage) ? text : with_roles(doc, whole, text);
    }
    ap_arena arena;
    ap_arena_init(&arena, TEXT_MAX);
    ap_str says = person(&arena, column, text, whole->names, column == AP_F_estimator ? whole->estimator_number : 0);
    says = ap_doc_printf(doc, "%.*s", AP_STR_ARG(says));
    ap_arena_release(&arena);
    return says;
}

ap_str ap_say_field(ap_doc *doc, const ap_whole_pick *whole, int column) {
    const ap_pick *pick = &whole->pick;
    const ap_field *field = ap_field_get(column);
    const void *at = ap_pick_at_const(pick, column);
    char iso[AP_ISO_SIZE];
    if (ap_pick_field_is_blank(pick, column)) {
        return AP_STR_NONE;
    }
    switch (field->kind) {
    case AP_KIND_TEXT:
        return say_text(doc, whole, column, *(const ap_str *)at);
    case AP_KIND_QTY:
        return say_quantity(doc, pick, column);
    case AP_KIND_WORD:
        return say_word(doc, field->vocabulary, *(const int32_t *)at);
    case AP_KIND_MOVES:
        return say_moves(doc, *(const int32_t *)at);
    case AP_KIND_COUNT:
        return ap_doc_printf(doc, "%d", (int)*(const int32_t *)at);
    case AP_KIND_YESNO:
        return *(const int32_t *)at == AP_YESNO_YES ? AP_STR_LIT("yes") : AP_STR_LIT("no");
    case AP_KIND_DATE:
        return ap_doc_date(doc, *(const ap_date *)at);
    case AP_KIND_TIME:
        ap_time_to_iso(iso, *(const ap_time *)at);
        return ap_doc_printf(doc, "%s", iso);
    }
    return AP_STR_NONE;
}
