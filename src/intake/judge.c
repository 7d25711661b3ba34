#include "intake/judge.h"

enum {
    /* Weights that count only if they are net or gross, numbered behind the columns. */
    PLANNED_NET = AP_COLUMN_COUNT,
    PLANNED_GROSS,
    MEASURED_NET,
    MEASURED_GROSS,
    VALUE_COUNT,

    LIMIT_MAX = 2 * AP_COLUMN_COUNT,
    RELATION_MAX = 128,
    SEVERITY_REFUSE = 0,
    SEVERITY_WARN = 1
};
/* Written values are rounded; a unit's conversion must not decide a tie. */
static const double SLACK = 1e-9;

typedef struct bound {
    int column;
    bool refuse;
    double low; /* NaN = none */
    double high;
    const char *reason;
} bound;

typedef struct relation {
    int lesser;
    int greater;
    bool refuse;
    double factor;
    const char *reason;
} relation;

struct ap_judge {
    ap_arena arena;
    ap_date today;
    int planned_as; /* what a blank means; 0 = not known */
    int measured_as;
    bound bounds[LIMIT_MAX];
    size_t bound_count;
    relation relations[RELATION_MAX];
    size_t relation_count;
    bool used[VALUE_COUNT];
    int used_columns[AP_COLUMN_COUNT]; /* whose values are fetched, in order */
    size_t used_count;
    double values[VALUE_COUNT];
};

/* "leg_i_at" and leg 2 -> the column of leg_2_at; other names are the same for every leg. -1 when unknown. */
static int value_number(ap_str name, int leg) {
    static const char *const weights[] = {"planned_net", "planned_gross", "measured_net", "measured_gross"};
    for (int i = 0; i < 4; i++) {
        if (ap_str_equal_word(name, weights[i])) {
            return PLANNED_NET + i;
        }
    }
    char leg_name[64];
    if (ap_str_starts(name, AP_STR_LIT("leg_i_"))) {
        snprintf(leg_name, sizeof leg_name, "leg_%d_%.*s", leg, (int)(name.len - 6), name.ptr + 6);
        return ap_field_find(ap_str_from(leg_name));
    }
    return ap_field_find(name);
}

static bool is_for_legs(ap_str name) {
    return ap_str_starts(name, AP_STR_LIT("leg_i_"));
}

static ap_status add_bound(ap_judge *judge, const ap_query *query, ap_error *err) {
    const ap_str name = ap_query_text(query, 0);
    const char *reason = ap_arena_cstr(&judge->arena, ap_query_text(query, 4));
    for (int leg = 1; leg <= (is_for_legs(name) ? AP_LEG_MAX : 1); leg++) {
        const int column = value_number(name, leg);
        if (column < 0 || column >= AP_COLUMN_COUNT || judge->bound_count == LIMIT_MAX || !reason) {
            return ap_error_set(err, AP_E_BOOK, "the book's plausible limit for '%.*s' can not be used",
                                AP_STR_ARG(name));
        }
        judge->bounds[judge->bound_count++] = (bound){column, ap_str_equal_word(ap_query_text(query, 1), "refuse"),
                                                      ap_query_real(query, 2), ap_query_real(query, 3), reason};
        judge->used[column] = true;
    }
    return AP_OK;
}

static ap_status add_relation(ap_judge *judge, const ap_query *query, ap_error *err) {
    const ap_str lesser = ap_query_text(query, 0);
    const ap_str greater = ap_query_text(query, 1);
    const char *reason = ap_arena_cstr(&judge->arena, ap_query_text(query, 4));
    const bool legs = is_for_legs(lesser) || is_for_legs(greater);
    for (int leg = 1; leg <= (legs ? AP_LEG_MAX : 1); leg++) {
        const int a = value_number(lesser, leg);
        const int b = value_number(greater, leg);
        if (a < 0 || b < 0 || judge->relation_count == RELATION_MAX || !reason) {
            return ap_error_set(err, AP_E_BOOK, "the book's relation of '%.*s' and '%.*s' can not be used",
                                AP_STR_ARG(lesser), AP_STR_ARG(greater));
        }
        judge->relations[judge->relation_count++] =
            (relation){a, b, ap_str_equal_word(ap_query_text(query, 2), "refuse"), ap_query_real(query, 3), reason};
        judge->used[a] = true;
        judge->used[b] = true;
    }
    return AP_OK;
}

static ap_status load(ap_judge *judge, ap_book *book, const char *name,
                      ap_status (*add)(ap_judge *, const ap_query *, ap_error *), ap_error *err) {
    ap_query *query = NULL;
    ap_status status = ap_query_open(&query, book, name, err);
    for (bool row = true; status == AP_OK && row;) {
        status = ap_query_step(&row, query, err);
        if (status == AP_OK && row) {
            status = add(judge, query, err);
        }
    }
    ap_query_close(query);
    return status;
}

ap_status ap_judge_new(ap_judge **out, ap_book *book, const ap_settings *settings, ap_date today, ap_error *err) {
    ap_judge *judge = calloc(1, sizeof *judge);
    if (!judge) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for the plausible limits");
    }
    ap_arena_init(&judge->arena, 1u << 20);
    judge->today = today;
    /* ask|net|gross: the numbers of the words are those of WEIGHED_AS, with 0 for not known. */
    judge->planned_as = settings->planned_as;
    judge->measured_as = settings->weighed_as;
    ap_status status = load(judge, book, "intake_limits", add_bound, err);
    if (status == AP_OK) {
        status = load(judge, book, "intake_relations", add_relation, err);
    }
    if (status != AP_OK) {
        ap_judge_free(judge);
        return status;
    }
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        const ap_field_kind kind = ap_field_get(i)->kind;
        if (judge->used[i] && (kind == AP_KIND_QTY || kind == AP_KIND_COUNT || kind == AP_KIND_DATE)) {
            judge->used_columns[judge->used_count++] = i;
        }
    }
    for (int i = 0; i < VALUE_COUNT; i++) {
        judge->values[i] = NAN;
    }
    *out = judge;
    return AP_OK;
}

void ap_judge_free(ap_judge *judge) {
    if (judge) {
        ap_arena_release(&judge->arena);
        free(judge);
    }
}

static void fetch_values(ap_judge *judge, const ap_pick *pick, const ap_plan *plan) {
    for (size_t i = 0; i < judge->used_count; i++) {
        const int column = judge->used_columns[i];
        double value = NAN;
        if (plan->position[column] >= 0 || plan->constant_count) {
            const ap_field *field = ap_field_get(column);
            const void *at = (const char *)pick + field->offset;
            if (field->kind == AP_KIND_QTY) {
                value = *(const double *)at;
            } else if (field->kind == AP_KIND_COUNT) {
                value = *(const int32_t *)at == AP_COUNT_NONE ? (double)NAN : (double)*(const int32_t *)at;
            } else {
                const ap_date date = *(const ap_date *)at;
                value =
                    date == AP_DATE_NONE || judge->today == AP_DATE_NONE ? (double)NAN : (double)date - judge->today;
            }
        }
        judge->values[column] = value;
    }
    const int planned_as = pick->planned_as ? pick->planned_as : judge->planned_as;
    const int measured_as = pick->measured_as ? pick->measured_as : judge->measured_as;
    judge->values[PLANNED_NET] = planned_as == AP_WEIGHED_AS_NET ? pick->planned_weight_kg : NAN;
    judge->values[PLANNED_GROSS] = planned_as == AP_WEIGHED_AS_GROSS ? pick->planned_weight_kg : NAN;
    judge->values[MEASURED_NET] = measured_as == AP_WEIGHED_AS_NET ? pick->measured_weight_kg : NAN;
    judge->values[MEASURED_GROSS] = measured_as == AP_WEIGHED_AS_GROSS ? pick->measured_weight_kg : NAN;
}

/* A bound in the words of both systems, since a log may be in either. */
static void bound_text(char *out, size_t size, const ap_field *field, double value) {
    const char *si = "";
    const char *us = "";
    double other = 0;
    if (field->kind == AP_KIND_QTY && field->dim == AP_DIM_LENGTH) {
        si = " m";
        us = " ft";
        other = ap_unit_from_si(AP_UNIT_FT, value);
    } else if (field->kind == AP_KIND_QTY && field->dim == AP_DIM_LOAD) {
        si = " kg";
        us = " lb";
        other = ap_unit_from_si(AP_UNIT_LB, value);
    } else if (field->kind == AP_KIND_QTY && field->dim == AP_DIM_ANGLE) {
        si = " degrees";
    }
    if (*us && value != 0) {
        snprintf(out, size, "%.8g%s (%.3g%s)", value, si, other, us);
    } else {
        snprintf(out, size, "%.8g%s", value, si);
    }
}

typedef struct where {
    int column;
    ap_str field;
    ap_str text;
} where;

static where place_of(int value, const ap_plan *plan, const ap_row *row) {
    int column = value;
    if (value == PLANNED_NET || value == PLANNED_GROSS) {
        column = AP_F_planned_weight;
    } else if (value == MEASURED_NET || value == MEASURED_GROSS) {
        column = AP_F_measured_weight;
    }
    const int at = plan->position[column];
    return (where){at + 1, ap_str_from(ap_field_get(column)->name),
                   at >= 0 && (size_t)at < row->count ? row->cells[at] : AP_STR_NONE};
}

static void tell(bool refuse, const where *at, const char *remedy, const char *says, ap_fault *fault, ap_doubt_fn doubt,
                 void *context) {
    if (refuse) {
        ap_fault_add(fault, at->column, at->field, at->text, remedy, "%s", says);
    } else if (fault->count == 0) {
        doubt(context, at->column, at->field, at->text, says);
    }
}

static void tell_bound(const bound *limit, bool below, const ap_plan *plan, const ap_row *row, ap_fault *fault,
                       ap_doubt_fn doubt, void *context) {
    const where at = place_of(limit->column, plan, row);
    const ap_field *field = ap_field_get(limit->column);
    char says[AP_FAULT_REASON_MAX / 2];
    char shown[AP_QUOTED_SIZE];
    char value[64];
    ap_fault_quote(shown, at.text);
    if (field->kind == AP_KIND_DATE) {
        snprintf(says, sizeof says, "%s: %s", shown, limit->reason);
    } else {
        bound_text(value, sizeof value, field, below ? limit->low : limit->high);
        snprintf(says, sizeof says, "%s is %s %s: %s", shown, below ? "below" : "above", value, limit->reason);
    }
    tell(limit->refuse, &at, "correct the number or its unit, or leave the cell blank if it is not known", says, fault,
         doubt, context);
}

static void tell_relation(const relation *rule, const ap_plan *plan, const ap_row *row, ap_fault *fault,
                          ap_doubt_fn doubt, void *context) {
    const where at = place_of(rule->lesser, plan, row);
    const where other = place_of(rule->greater, plan, row);
    char shown[AP_QUOTED_SIZE];
    char beside[AP_QUOTED_SIZE];
    char says[AP_FAULT_REASON_MAX / 2];
    ap_fault_quote(shown, at.text);
    ap_fault_quote(beside, other.text);
    snprintf(says, sizeof says, "%s does not go with %.*s %s: %s", shown, AP_STR_ARG(other.field), beside,
             rule->reason);
    tell(rule->refuse, &at, "correct whichever of the two is wrong", says, fault, doubt, context);
}

static bool is_below(const bound *limit, double value) {
    return value < limit->low - SLACK * fabs(limit->low); /* false with NaN: not recorded, or no bound */
}

static bool is_above(const bound *limit, double value) {
    return value > limit->high + SLACK * fabs(limit->high);
}

static bool is_broken(const relation *rule, const double *values) {
    return values[rule->lesser] > rule->factor * values[rule->greater] * (1 + SLACK);
}

static bool is_all_well(const ap_judge *judge) {
    const double *values = judge->values;
    int wrong = 0;
    for (size_t i = 0; i < judge->bound_count; i++) {
        const double value = values[judge->bounds[i].column];
        wrong |= value < judge->bounds[i].low || value > judge->bounds[i].high;
    }
    for (size_t i = 0; i < judge->relation_count; i++) {
        const relation *rule = &judge->relations[i];
        wrong |= values[rule->lesser] > rule->factor * values[rule->greater];
    }
    return wrong == 0;
}

void ap_judge_pick(ap_judge *judge, const ap_pick *pick, const ap_plan *plan, const ap_row *row, ap_fault *fault,
                   ap_doubt_fn doubt, void *context) {
    fetch_values(judge, pick, plan);
    if (is_all_well(judge)) {
        return;
    }
    const double *values = judge->values;
    /* Refusals first, so that no doubt is told about a row that is not stored. */
    for (int pass = SEVERITY_REFUSE; pass <= SEVERITY_WARN; pass++) {
        const bool refuse = pass == SEVERITY_REFUSE;
        for (size_t i = 0; i < judge->bound_count; i++) {
            const bound *limit = &judge->bounds[i];
            const double value = values[limit->column];
            if (limit->refuse == refuse && (is_below(limit, value) || is_above(limit, value))) {
                tell_bound(limit, is_below(limit, value), plan, row, fault, doubt, context);
            }
        }
        for (size_t i = 0; i < judge->relation_count; i++) {
            const relation *rule = &judge->relations[i];
            if (rule->refuse == refuse && is_broken(rule, values)) {
                tell_relation(rule, plan, row, fault, doubt, context);
            }
        }
    }
}
