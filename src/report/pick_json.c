#include "derive/person.h"
#include "report/pick_page.h"
#include "report/problems_page.h"

static void put_value(ap_json *json, ap_arena *arena, const ap_whole_pick *whole, int column) {
    const ap_field *field = ap_field_get(column);
    const void *at = ap_pick_at_const(&whole->pick, column);
    char iso[AP_ISO_SIZE];
    ap_buf moves;
    ap_json_key(json, field->member);
    if (ap_pick_field_is_blank(&whole->pick, column)) {
        ap_json_null(json);
        return;
    }
    switch (field->kind) {
    case AP_KIND_TEXT: {
        ap_str text = *(const ap_str *)at;
        bool coded = column == AP_F_estimator && whole->estimator_number && !whole->names;
        ap_json_text(json, coded ? ap_arena_printf(arena, "estimator %u", whole->estimator_number)
                                 : ap_say_history_value(arena, ap_str_from(field->name), text, whole->names));
        break;
    }
    case AP_KIND_QTY:
        ap_json_number(json, *(const double *)at);
        break;
    case AP_KIND_WORD:
        ap_json_text(json, ap_str_from(ap_word_get(field->vocabulary, *(const int32_t *)at)));
        break;
    case AP_KIND_MOVES:
        ap_buf_init(&moves, 1024);
        ap_moves_to_text(&moves, *(const int32_t *)at);
        ap_json_text(json, ap_buf_str(&moves));
        ap_buf_release(&moves);
        break;
    case AP_KIND_COUNT:
        ap_json_int(json, *(const int32_t *)at);
        break;
    case AP_KIND_YESNO:
        ap_json_bool(json, *(const int32_t *)at == AP_YESNO_YES);
        break;
    case AP_KIND_DATE:
        ap_json_date(json, *(const ap_date *)at);
        break;
    case AP_KIND_TIME:
        ap_time_to_iso(iso, *(const ap_time *)at);
        ap_json_text(json, ap_str_from(iso));
        break;
    }
}

static void put_logged(ap_json *json, ap_arena *arena, const ap_whole_pick *whole) {
    ap_json_key(json, "logged");
    ap_json_object_begin(json);
    for (int i = 0; i < AP_F_COUNT; i++) {
        put_value(json, arena, whole, i);
    }
    ap_json_key(json, "legs");
    ap_json_array_begin(json);
    for (int leg = 0; leg < whole->pick.leg_count; leg++) {
        ap_json_object_begin(json);
        for (int i = 0; i < AP_LF_COUNT; i++) {
            put_value(json, arena, whole, AP_F_COUNT + leg * AP_LF_COUNT + i);
        }
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
    ap_json_object_end(json);
}

static void put_rated(ap_json *json, const char *key, const ap_rated *rated) {
    ap_json_key(json, key);
    ap_json_object_begin(json);
    ap_json_put_number(json, "capacity_kg", rated->capacity_kg);
    ap_json_put_text(json, "from",
                     rated->from == AP_RATED_LOG     ? AP_STR_LIT("log")
                     : rated->from == AP_RATED_CHART ? AP_STR_LIT("chart")
                                                     : AP_STR_NONE);
    ap_json_put_number(json, "chart_kg", rated->chart_kg);
    ap_json_put_bool(json, "differs", rated->differs);
    const char *why = ap_rated_no_text(rated->no);
    ap_json_put_text(json, "no_chart", *why ? ap_str_from(why) : AP_STR_NONE);
    ap_json_object_end(json);
}

static void put_derived(ap_json *json, const ap_derived *d) {
    static const char *const compared[AP_COMPARED_COUNT] = {
        [AP_COMPARED] = "compared",
        [AP_NOT_PLANNED] = "not_planned",
        [AP_NOT_WEIGHED] = "not_weighed",
        [AP_PLAN_BASIS_UNKNOWN] = "planned_as_unknown",
        [AP_WEIGH_BASIS_UNKNOWN] = "measured_as_unknown",
        [AP_NET_NOT_POSITIVE] = "net_not_positive",
    };
    ap_json_key(json, "derived");
    ap_json_object_begin(json);
    ap_json_put_text(json, "compared", ap_str_from(compared[d->compared]));
    ap_json_put_number(json, "rigging_kg", d->rigging_kg);
    ap_json_put_text(json, "rigging_from",
                     d->rigging_from == AP_ORIGIN_LOG     ? AP_STR_LIT("log")
                     : d->rigging_from == AP_ORIGIN_CRANE ? AP_STR_LIT("crane")
                                                          : AP_STR_LIT("setting"));
    ap_json_put_number(json, "indicator_factor", d->indicator_factor);
    ap_json_put_date(json, "calibrated_on", d->calibrated_on);
    ap_json_put_number(json, "measured_kg", d->measured_kg);
    ap_json_put_number(json, "planned_net_kg", d->planned_net_kg);
    ap_json_put_number(json, "measured_net_kg", d->measured_net_kg);
    ap_json_put_number(json, "ratio", d->ratio);
    ap_json_put_number(json, "hook_planned_kg", d->hook_planned_kg);
    ap_json_put_number(json, "hook_kg", d->hook_kg);
    put_rated(json, "planned_capacity", &d->rated_planned);
    put_rated(json, "cut_capacity", &d->rated_cut);
    put_rated(json, "set_down_capacity", &d->rated_set_down);
    ap_json_put_number(json, "share_planned", d->share_planned);
    ap_json_put_number(json, "share_cut", d->share_cut);
    ap_json_put_number(json, "share_set_down", d->share_set_down);
    ap_json_put_number(json, "peak_share", d->peak_share);
    ap_json_put_bool(json, "over_chart", d->over_chart);
    ap_json_put_bool(json, "toward_person", d->toward_person);
    ap_json_object_end(json);
}

static void put_source(ap_json *json, const ap_pick_source *source) {
    ap_json_key(json, "source");
    ap_json_object_begin(json);
    ap_json_put_text(json, "file", source->file);
    ap_json_put_int(json, "line", source->line);
    ap_json_put_text(json, "sha256", source->sha256);
    ap_json_put_int(json, "import", source->import_id);
    ap_json_put_date(json, "imported_on", source->imported_on);
    ap_json_put_text(json, "imported_by", source->imported_by.len ? source->imported_by : AP_STR_NONE);
    ap_json_object_end(json);
}

static void put_changes(ap_json *json, ap_arena *arena, const ap_whole_pick *whole) {
    ap_json_key(json, "amendments");
    ap_json_array_begin(json);
    for (size_t i = 0; i < whole->changes.count; i++) {
        const ap_change *change = &whole->changes.items[i];
        ap_json_object_begin(json);
        ap_json_put_text(json, "field", change->field);
        ap_json_put_text(json, "old", ap_say_history_value(arena, change->field, change->old_value, whole->names));
        ap_json_put_text(json, "new", ap_say_history_value(arena, change->field, change->new_value, whole->names));
        ap_json_put_date(json, "on", change->amended_on);
        ap_json_put_text(json, "who", change->who.len ? change->who : AP_STR_NONE);
        ap_json_put_text(json, "why", change->why);
        ap_json_object_end(json);
    }
    ap_json_array_end(json);
}

void ap_pick_json(ap_json *json, ap_arena *arena, ap_doc *doc, const ap_whole_pick *whole) {
    ap_json_put_text(json, "pick", whole->pick.name);
    ap_json_put_text(json, "species_common", whole->pick.species_common);
    put_logged(json, arena, whole);
    put_derived(json, &whole->derived);
    ap_recon_json(json, &whole->recon);
    if (whole->supposed) {
        ap_json_key(json, "supposed");
        ap_json_object_begin(json);
        ap_recon_json(json, &whole->supposed->recon);
        ap_json_object_end(json);
    }
    if (whole->among) {
        ap_pick_among_json(json, doc, whole->among);
    }
    put_source(json, &whole->source);
    put_changes(json, arena, whole);
    ap_json_key(json, "conflicts");
    ap_conflicts_json(json, arena, &whole->conflicts, whole->names);
}
