#include "derive/record_parts.h"

enum { RECORDS_MAX = 256 };

ap_record *ap_record_add(ap_record_list *list, const ap_record_what *what, double value) {
    if (list->count == list->cap) {
        size_t cap = list->cap ? list->cap * 2 : 64;
        ap_record *items = cap > RECORDS_MAX ? NULL : ap_arena_alloc_array(list->arena, cap, sizeof *items);
        if (!items) {
            list->arena->failed = true;
            return NULL;
        }
        if (list->count) {
            memcpy(items, list->items, list->count * sizeof *items);
        }
        list->items = items;
        list->cap = cap;
    }
    ap_record *record = &list->items[list->count++];
    *record = (ap_record){
        .group = what->group,
        .key = what->key,
        .name = ap_str_from(what->name),
        .formula = what->formula,
        .source = what->source ? what->source : "",
        .dim = what->dim,
        .value = value,
    };
    return record;
}

static void add_input(ap_record *record, const ap_record_input *input) {
    if (record && record->input_count < AP_RECORD_INPUTS_MAX) {
        record->inputs[record->input_count++] = *input;
    }
}

void ap_record_cell(ap_record *record, const ap_pick *pick, int column) {
    const ap_field *field = ap_field_get(column);
    if (ap_pick_field_is_blank(pick, column)) {
        return;
    }
    ap_record_input input = {.name = field->label, .value = NAN, .from = AP_ORIGIN_LOG, .column = column, .note = ""};
    if (field->kind == AP_KIND_QTY) {
        input.dim = field->dim;
        input.small = strstr(field->name, "diameter") != NULL;
        input.value = *(const double *)ap_pick_at_const(pick, column);
    } else if (field->kind == AP_KIND_WORD) {
        input.word = ap_str_from(ap_word_get(field->vocabulary, *(const int32_t *)ap_pick_at_const(pick, column)));
    }
    add_input(record, &input);
}

void ap_record_from(ap_record *record, const char *name, ap_dim dim, double value) {
    ap_record_value(record, name, dim, value, AP_ORIGIN_DERIVED, "");
}

void ap_record_value(ap_record *record, const char *name, ap_dim dim, double value, ap_origin_kind from,
                     const char *note) {
    const ap_record_input input = {.name = name, .dim = dim, .value = value, .from = from, .column = -1, .note = note};
    if (!isnan(value)) {
        add_input(record, &input);
    }
}

void ap_record_word(ap_record *record, const char *name, const char *word, ap_origin_kind from, int column,
                    const char *note) {
    const ap_record_input input = {
        .name = name, .value = NAN, .word = ap_str_from(word), .from = from, .column = column, .note = note};
    add_input(record, &input);
}

void ap_record_why(ap_record *record, ap_record_list *list, const char *why) {
    if (record && why && why[0]) {
        record->why = ap_arena_str(list->arena, ap_str_from(why));
    }
}

/* Net or gross, and where that is said. */
static void add_basis(ap_record *record, const ap_pick *pick, int column, int basis, ap_origin_kind from,
                      const char *setting) {
    const char *word = ap_word_get(AP_VOC_WEIGHED_AS, basis);
    if (word) {
        ap_record_word(record, ap_field_get(column)->label, word, from,
                       ap_pick_field_is_blank(pick, column) ? -1 : column, from == AP_ORIGIN_SETTING ? setting : "");
    }
}

static void add_rigging(ap_record *record, const ap_record_given *given) {
    if (given->derived->rigging_from == AP_ORIGIN_LOG) {
        ap_record_cell(record, given->pick, AP_F_rigging_weight);
    } else {
        ap_record_value(record, "block and slings", AP_DIM_LOAD, given->derived->rigging_kg,
                        given->derived->rigging_from,
                        given->derived->rigging_from == AP_ORIGIN_SETTING ? "block_weight" : "");
    }
}

static void add_planned(ap_record *record, const ap_record_given *given) {
    const ap_pick *pick = given->pick;
    bool logged = pick->planned_as != 0;
    ap_record_cell(record, pick, AP_F_planned_weight);
    add_basis(record, pick, AP_F_planned_as, logged ? pick->planned_as : given->company->settings->planned_as,
              logged ? AP_ORIGIN_LOG : AP_ORIGIN_SETTING, "planned_as");
    add_rigging(record, given);
}

static void add_measured(ap_record *record, const ap_record_given *given) {
    ap_record_cell(record, given->pick, AP_F_measured_weight);
    if (given->derived->indicator_factor != 1.0) {
        ap_record_value(record, "true over indicated load", AP_DIM_NONE, given->derived->indicator_factor,
                        AP_ORIGIN_CRANE, "calibration");
    }
    add_basis(record, given->pick, AP_F_measured_as, given->derived->weighed_as, given->derived->weighed_as_from,
              "weighed_as");
    add_rigging(record, given);
}

static const char *why_not_compared(ap_compared compared) {
    static const char *const why[AP_COMPARED_COUNT] = {
        [AP_COMPARED] = "",
        [AP_NOT_PLANNED] = "no planned weight is logged",
        [AP_NOT_WEIGHED] = "it was not weighed",
        [AP_PLAN_BASIS_UNKNOWN] = "whether the planned weight is net or gross is not known",
        [AP_WEIGH_BASIS_UNKNOWN] = "whether the measured weight is net or gross is not known",
        [AP_NET_NOT_POSITIVE] = "the gross weight is not above that of block and slings",
    };
    return why[compared];
}

static void add_weights(ap_record_list *list, const ap_record_given *given) {
    static const ap_record_what rigging = {"weights",
                                           "rigging_kg",
                                           "block and slings",
                                           AP_DIM_LOAD,
                                           "the log; else the crane's own entry; else the setting",
                                           ""};
    static const ap_record_what planned = {"weights",
                                           "planned_net_kg",
                                           "planned net weight",
                                           AP_DIM_LOAD,
                                           "net: the planned weight; gross: less block and slings",
                                           ""};
    static const ap_record_what measured = {"weights",
                                            "measured_net_kg",
                                            "measured net weight",
                                            AP_DIM_LOAD,
                                            "net: the measured weight; gross: less block and slings",
                                            ""};
    static const ap_record_what ratio = {
        "weights", "ratio", "measured over planned", AP_DIM_NONE, "measured net / planned net", ""};
    static const ap_record_what hook_planned = {"weights",
                                                "hook_planned_kg",
                                                "planned load on the hook",
                                                AP_DIM_LOAD,
                                                "net: the planned weight and block and slings; gross: as planned",
                                                ""};
    static const ap_record_what hook = {"weights",
                                        "hook_kg",
                                        "load on the hook",
                                        AP_DIM_LOAD,
                                        "net: the measured weight and block and slings; gross: as measured",
                                        ""};
    const ap_derived *d = given->derived;
    ap_record *record = ap_record_add(list, &rigging, d->rigging_kg);
    add_rigging(record, given);
    add_planned(ap_record_add(list, &planned, d->planned_net_kg), given);
    add_measured(ap_record_add(list, &measured, d->measured_net_kg), given);
    record = ap_record_add(list, &ratio, d->ratio);
    ap_record_from(record, "measured net weight", AP_DIM_LOAD, d->measured_net_kg);
    ap_record_from(record, "planned net weight", AP_DIM_LOAD, d->planned_net_kg);
    ap_record_why(record, list, why_not_compared(d->compared));
    add_planned(ap_record_add(list, &hook_planned, d->hook_planned_kg), given);
    add_measured(ap_record_add(list, &hook, d->hook_kg), given);
}

/* The logged cell, else what the crane's chart gave. */
static void add_capacity(ap_record *record, const ap_record_given *given, const ap_rated *rated, int column) {
    if (rated->from == AP_RATED_LOG) {
        ap_record_cell(record, given->pick, column);
    } else {
        ap_record_value(record, "rated capacity", AP_DIM_LOAD, rated->capacity_kg, AP_ORIGIN_CRANE, "load chart");
    }
}

static void add_share(ap_record_list *list, const ap_record_given *given, const ap_record_what *what, double share,
                      const char *load_name, double load_kg, const ap_rated *rated, int column) {
    ap_record *record = ap_record_add(list, what, share);
    ap_record_from(record, load_name, AP_DIM_LOAD, load_kg);
    add_capacity(record, given, rated, column);
    ap_record_why(record, list,
                  !isnan(share)                                                  ? ""
                  : !isnan(rated->capacity_kg)                                   ? "the load is not known"
                  : rated->no == AP_RATED_SAID || rated->no == AP_RATED_NO_CHART ? "no rated capacity is logged"
                                                                                 : ap_rated_no_text(rated->no));
}

static void add_chart(ap_record_list *list, const ap_record_given *given) {
    static const char source[] = "gross capacity, block and slings counted as load: BC Association for Crane Safety, "
                                 "load chart practice quiz";
    static const ap_record_what planned = {"chart",
                                           "share_planned",
                                           "of the chart as planned",
                                           AP_DIM_SHARE,
                                           "planned load on the hook / rated capacity at the planned radius",
                                           source};
    static const ap_record_what cut = {
        "chart", "share_cut", "of the chart at the cut", AP_DIM_SHARE, "load on the hook / rated capacity at the cut",
        source};
    static const ap_record_what stands_in = {"chart",
                                             "share_cut",
                                             "of the chart at the cut",
                                             AP_DIM_SHARE,
                                             "load on the hook / rated capacity at the planned radius, none being "
                                             "logged as lifted",
                                             source};
    static const ap_record_what set_down = {"chart",
                                            "share_set_down",
                                            "of the chart at set-down",
                                            AP_DIM_SHARE,
                                            "load on the hook / rated capacity at set-down",
                                            source};
    static const ap_record_what peak = {"chart",
                                        "peak_share",
                                        "measured peak of the chart",
                                        AP_DIM_SHARE,
                                        "peak load on the indicator / rated capacity at the cut",
                                        source};
    const ap_derived *d = given->derived;
    const ap_pick *p = given->pick;
    bool lifted = !isnan(d->rated_cut.capacity_kg) || !isnan(d->rated_set_down.capacity_kg) ||
                  ap_rated_is_past(&d->rated_cut) || ap_rated_is_past(&d->rated_set_down);
    add_share(list, given, &planned, d->share_planned, "planned load on the hook", d->hook_planned_kg,
              &d->rated_planned, AP_F_planned_capacity);
    add_share(list, given, lifted ? &cut : &stands_in, d->share_cut, "load on the hook", d->hook_kg,
              lifted ? &d->rated_cut : &d->rated_planned, lifted ? AP_F_cut_capacity : AP_F_planned_capacity);
    add_share(list, given, &set_down, d->share_set_down, "load on the hook", d->hook_kg, &d->rated_set_down,
              AP_F_set_down_capacity);
    if (!isnan(p->peak_load_kg)) {
        ap_record *record = ap_record_add(list, &peak, d->peak_share);
        ap_record_cell(record, p, AP_F_peak_load);
        if (d->indicator_factor != 1.0) {
            ap_record_value(record, "true over indicated load", AP_DIM_NONE, d->indicator_factor, AP_ORIGIN_CRANE,
                            "calibration");
        }
        add_capacity(record, given, &d->rated_cut, AP_F_cut_capacity);
    }
}

void ap_records_make(ap_record_list *out, ap_arena *arena, const ap_record_given *given) {
    *out = (ap_record_list){.arena = arena};
    add_weights(out, given);
    add_chart(out, given);
    ap_records_wood(out, given);
    ap_records_hang(out, given);
}

const ap_record *ap_record_find(const ap_record_list *list, const char *key) {
    for (size_t i = 0; i < list->count; i++) {
        if (strcmp(list->items[i].key, key) == 0) {
            return &list->items[i];
        }
    }
    return NULL;
}
