#include "intake/told_pick.h"

#include "book/species.h"
#include "intake/amend_values.h"

const ap_told_question ap_told_questions[] = {
    {"date", "On which day (2026-10-05)?"},
    {"species", "Which species?"},
    {"piece", "What was it: top, limb, leader, trunk or stub?"},
    {"foliage", "Leaf on, leaf off or evergreen?"},
    {"length", "How long was the piece (18 ft, or between 16 and 20 ft)?"},
    {"butt_diameter", "How thick at the butt?"},
    {"tip_diameter", "How thick at the tip?"},
    {"lean", "How steep before the cut, in degrees above level (40 deg)?"},
    {"planned_weight", "What weight was planned?"},
    {"measured_weight", "What did the indicator show, hanging still?"},
    {"measured_as", "Was that gross (with block and slings) or net?"},
    {"rigging_weight", "What do block and slings weigh?"},
    {"cut", "Which cut: through, step, hinge, angled or snap?"},
    {"kerf", "The kerf: steady, closing or opening?"},
    {"preload", "What was on the line just before it parted?"},
    {"cut_radius", "Radius at the cut?"},
    {"cut_capacity", "Rated capacity at that radius?"},
    {"leg_1_at", "First sling: how far from the butt?"},
    {"leg_1_length", "First sling: how long to the hook?"},
    {"leg_1_state", "First sling at the cut: tight, snug or slack?"},
    {"leg_1_wll", "First sling: its working load limit?"},
    {"leg_2_at", "Second sling: how far from the butt?"},
    {"leg_2_length", "Second sling: how long to the hook?"},
    {"leg_2_state", "Second sling at the cut: tight, snug or slack?"},
    {"leg_2_wll", "Second sling: its working load limit?"},
    {"movement", "What did it do: still, butt_up, butt_down, tip_dive, tip_up, swing, roll, drop (join with +)?"},
    {"movement_distance", "How far did it move?"},
    {"toward", "Toward whom: climber, crew, structure, or clear?"},
    {"climber_distance", "How far was the climber from the cut?"},
    {"climber_side", "On which side was the climber: butt, tip or off?"},
    {"damage", "Any injury or damage?"},
    {"notes", "Anything else, in a line?"},
    {NULL, NULL},
};

typedef struct answer {
    ap_amend_value low, high; /* the same but for a range */
    bool is_range;
} answer;

typedef struct teller {
    ap_arena *arena;
    ap_book *book;
    answer answers[AP_AMEND_MAX];
    size_t count;
} teller;

static bool is_not_known(ap_str text) {
    static const char *const words[] = {"not known", "unknown", "not recorded", "?", "-", "n/a"};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        if (ap_str_equal_nocase(text, ap_str_from(words[i]))) {
            return true;
        }
    }
    return text.len == 0;
}

/* The place of `word` between blanks; none when it is not there. */
static bool split_at_word(ap_str *before, ap_str *after, ap_str text, const char *word) {
    size_t len = strlen(word);
    for (size_t i = 1; i + len < text.len; i++) {
        if (text.ptr[i - 1] == ' ' && text.ptr[i + len] == ' ' &&
            ap_str_equal_nocase((ap_str){text.ptr + i, len}, ap_str_from(word))) {
            *before = ap_str_trim((ap_str){text.ptr, i});
            *after = ap_str_trim((ap_str){text.ptr + i + len, text.len - i - len});
            return before->len > 0 && after->len > 0;
        }
    }
    return false;
}

static bool is_figure(ap_str text) {
    for (size_t i = 0; i < text.len; i++) {
        if (!strchr("0123456789.,", text.ptr[i])) {
            return false;
        }
    }
    return text.len > 0;
}

/* "10", "14 ft" -> "10 ft" */
static ap_str with_unit_of(ap_arena *arena, ap_str low, ap_str high) {
    size_t unit = 0;
    while (unit < high.len && strchr("0123456789., ", high.ptr[unit])) {
        unit++;
    }
    return is_figure(low)
               ? ap_arena_printf(arena, "%.*s %.*s", AP_STR_ARG(low), (int)(high.len - unit), high.ptr + unit)
               : low;
}

static void split_range(answer *out, ap_arena *arena) {
    ap_str text = out->low.text;
    ap_str low;
    ap_str high;
    bool between = text.len > 8 && ap_str_equal_nocase((ap_str){text.ptr, 8}, AP_STR_LIT("between "));
    ap_str rest = between ? ap_str_trim((ap_str){text.ptr + 8, text.len - 8}) : text;
    out->is_range = split_at_word(&low, &high, rest, between ? "and" : "to");
    if (out->is_range) {
        out->low.text = with_unit_of(arena, low, high);
        out->high.text = high;
    }
}

static ap_status read_line(teller *it, ap_str line, size_t number, ap_error *err) {
    ap_str value = AP_STR_NONE;
    ap_str name = ap_str_trim(ap_str_split(line, ':', &value));
    if (!value.ptr) {
        return ap_error_set(err, AP_E_INPUT, "line %zu: '%.*s' is not FIELD: ANSWER, such as 'length: 18 ft'", number,
                            AP_STR_ARG(line));
    }
    value = ap_str_trim(value);
    if (is_not_known(value)) {
        return AP_OK;
    }
    if (it->count == AP_AMEND_MAX) {
        return ap_error_set(err, AP_E_INPUT, "line %zu: more than %d answers", number, (int)AP_AMEND_MAX);
    }
    answer *one = &it->answers[it->count++];
    ap_str text = ap_arena_printf(it->arena, "%.*s=%.*s", AP_STR_ARG(name), AP_STR_ARG(value));
    ap_status status = ap_amend_parse(&one->low, it->arena, it->book, text, err);
    if (status != AP_OK) {
        return ap_error_wrap(err, AP_E_INPUT, "line %zu: ", number);
    }
    one->high = one->low;
    if (ap_field_get(one->low.column)->kind == AP_KIND_QTY) {
        split_range(one, it->arena);
    }
    return AP_OK;
}

static ap_status read_lines(teller *it, ap_str text, ap_error *err) {
    size_t number = 0;
    ap_status status = AP_OK;
    if (ap_str_starts(text, AP_STR_LIT("\xEF\xBB\xBF"))) {
        text = (ap_str){text.ptr + 3, text.len - 3};
    }
    for (ap_str rest = text; rest.ptr && status == AP_OK;) {
        ap_str line = ap_str_trim(ap_str_split(rest, '\n', &rest));
        number++;
        if (line.len && line.ptr[0] != '#') {
            status = read_line(it, line, number, err);
        }
    }
    return status;
}

/* What a row of a log must have and a told pick need not: stand-ins while it is read, taken out behind. */
static void blank_pick(ap_pick *pick, ap_date today, const ap_species *any) {
    ap_pick_clear(pick);
    pick->job = AP_STR_LIT("told");
    pick->pick = AP_STR_LIT("1");
    pick->date = today;
    pick->species = any->common;
    pick->planned_weight_kg = 1000;
    pick->written[AP_F_planned_weight].unit = AP_UNIT_KG;
}

static ap_status first_species(void *context, const ap_species *species, ap_error *err) {
    const ap_species **out = context;
    (void)err;
    *out = *out ? *out : species;
    return AP_OK;
}

static bool is_answered(const teller *it, int column) {
    for (size_t i = 0; i < it->count; i++) {
        if (it->answers[i].low.column == column) {
            return true;
        }
    }
    return false;
}

static ap_status read_side(ap_pick *out, const teller *it, const ap_settings *settings, bool high, ap_date today,
                           ap_doubt_fn doubt, void *context, ap_error *err) {
    ap_amend_value values[AP_AMEND_MAX];
    const ap_species *any = NULL;
    ap_pick blank;
    for (size_t i = 0; i < it->count; i++) {
        values[i] = high ? it->answers[i].high : it->answers[i].low;
    }
    ap_status status = ap_book_each_species(it->book, first_species, &any, err);
    if (status == AP_OK && !any) {
        status = ap_error_set(err, AP_E_BOOK, "the book knows no species");
    }
    if (status == AP_OK) {
        blank_pick(&blank, today, any);
        status =
            ap_amend_read(out, it->arena, it->book, settings, &blank, values, it->count, today, doubt, context, err);
    }
    if (status == AP_OK) {
        out->planned_weight_kg = is_answered(it, AP_F_planned_weight) ? out->planned_weight_kg : NAN;
        out->date = is_answered(it, AP_F_date) ? out->date : AP_DATE_NONE;
        if (!is_answered(it, AP_F_species)) {
            out->species = out->species_common = AP_STR_NONE;
            out->species_id = 0;
        }
    }
    return status;
}

void ap_told_no_doubt(void *context, int column, ap_str field, ap_str text, const char *says) {
    (void)context;
    (void)column;
    (void)field;
    (void)text;
    (void)says;
}

static ap_status join_sides(ap_told_pick *out, const teller *it, const ap_pick *high, ap_error *err) {
    for (size_t i = 0; i < it->count; i++) {
        int column = it->answers[i].low.column;
        if (!it->answers[i].is_range) {
            continue;
        }
        double a = *(const double *)ap_pick_at_const(&out->pick, column);
        double b = *(const double *)ap_pick_at_const(high, column);
        if (out->range_count == AP_TOLD_RANGES) {
            return ap_error_set(err, AP_E_INPUT, "more than %d answers are ranges", (int)AP_TOLD_RANGES);
        }
        if (!(a < b)) {
            return ap_error_set(err, AP_E_INPUT, "%s: the second figure of a range is the larger one",
                                ap_field_get(column)->name);
        }
        out->ranges[out->range_count++] = (ap_told_range){column, a, b};
        *(double *)ap_pick_at(&out->pick, column) = (a + b) / 2;
    }
    return AP_OK;
}

ap_status ap_told_pick_read(ap_told_pick *out, ap_arena *arena, ap_book *book, const ap_settings *settings, ap_str text,
                            ap_date today, ap_doubt_fn doubt, void *context, ap_error *err) {
    teller *it = ap_arena_alloc(arena, sizeof *it);
    ap_told_pick told = {.range_count = 0};
    ap_pick high;
    if (!it) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the answers");
    }
    *it = (teller){.arena = arena, .book = book};
    ap_status status = read_lines(it, text, err);
    if (status == AP_OK && it->count == 0) {
        status = ap_error_set(err, AP_E_INPUT, "no question is answered: write lines such as 'length: 18 ft'");
    }
    if (status == AP_OK) {
        status = read_side(&told.pick, it, settings, false, today, doubt, context, err);
    }
    if (status == AP_OK) {
        status = read_side(&high, it, settings, true, today, ap_told_no_doubt, NULL, err);
    }
    if (status == AP_OK) {
        status = join_sides(&told, it, &high, err);
    }
    if (status == AP_OK) {
        bool named = is_answered(it, AP_F_job) && is_answered(it, AP_F_pick);
        told.pick.name =
            named ? ap_arena_printf(arena, "%.*s/%.*s", AP_STR_ARG(told.pick.job), AP_STR_ARG(told.pick.pick))
                  : AP_STR_LIT("a pick in no log");
        told.pick.job = is_answered(it, AP_F_job) ? told.pick.job : AP_STR_NONE;
        told.pick.pick = is_answered(it, AP_F_pick) ? told.pick.pick : AP_STR_NONE;
        *out = told;
    }
    return status;
}
