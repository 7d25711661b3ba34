#include "derive/wood.h"

#include "mech/balance.h"
#include "mech/density.h"

static ap_wood_value none(const char *why) {
    return (ap_wood_value){NAN, why, AP_ORIGIN_NONE};
}

static ap_wood_value known(double value, ap_origin_kind from, const char *remark) {
    return (ap_wood_value){value, remark, from};
}

const char *ap_wood_class_text(ap_wood_class class) {
    static const char *const texts[] = {"", "sound", "dead", "decayed", "hollow"};
    return (unsigned)class < AP_WOOD_CLASS_COUNT ? texts[class] : "";
}

static bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool is_word_at(ap_str text, size_t at, const char *word) {
    size_t len = strlen(word);
    return at + len <= text.len && ap_str_equal_nocase((ap_str){text.ptr + at, len}, ap_str_from(word)) &&
           (at == 0 || !is_letter(text.ptr[at - 1])) && (at + len == text.len || !is_letter(text.ptr[at + len]));
}

/* The last word before `at` denies what follows it. */
static bool is_denied(ap_str text, size_t at) {
    static const char *const denials[] = {"no", "not", "isn't", "wasn't", "nothing", "never"};
    size_t end = at;
    while (end > 0 && text.ptr[end - 1] == ' ')
        end--;
    size_t start = end;
    while (start > 0 && text.ptr[start - 1] != ' ')
        start--;
    ap_str word = {text.ptr + start, end - start};
    for (size_t i = 0; i < sizeof denials / sizeof denials[0]; i++) {
        if (ap_str_equal_nocase(word, ap_str_from(denials[i])))
            return true;
    }
    return false;
}

static bool notes_say_hollow(ap_str notes) {
    for (size_t i = 0; i < notes.len; i++) {
        if ((notes.ptr[i] | ' ') == 'h' && is_word_at(notes, i, "hollow") && !is_denied(notes, i))
            return true;
    }
    return false;
}

static ap_wood_class class_of(const ap_pick *pick) {
    if (notes_say_hollow(pick->notes))
        return AP_WOOD_HOLLOW;
    switch (pick->condition) {
    case AP_CONDITION_LIVE:
        return AP_WOOD_SOUND;
    case AP_CONDITION_DEAD:
        return AP_WOOD_DEAD;
    case AP_CONDITION_DECAYED:
        return AP_WOOD_DECAYED;
    default:
        return AP_WOOD_CONDITION_BLANK;
    }
}

static ap_wood_butt butt_of(int piece, ap_wood_place place) {
    if (piece != 0 && piece != AP_PIECE_TRUNK && piece != AP_PIECE_STUB)
        return AP_WOOD_BUTT_NO;
    if (place != AP_WOOD_PLACE_UNKNOWN)
        return place == AP_WOOD_LOWEST ? AP_WOOD_BUTT_YES : AP_WOOD_BUTT_NO;
    return piece == AP_PIECE_STUB ? AP_WOOD_BUTT_YES : AP_WOOD_BUTT_MAYBE;
}

static ap_wood_brush_class brush_class_of(const ap_pick *pick, const ap_species *species) {
    bool stem = pick->piece == AP_PIECE_TRUNK || pick->piece == AP_PIECE_STUB;
    ap_wood_group group = !species ? AP_WOOD_GROUP_UNKNOWN : species->hardwood ? AP_WOOD_HARDWOOD : AP_WOOD_SOFTWOOD;
    return (ap_wood_brush_class){
        .carries = !stem || pick->brush_share > 0,
        .piece = (uint8_t)pick->piece,
        .foliage = (uint8_t)pick->foliage,
        .group = (uint8_t)group,
    };
}

uint8_t ap_wood_brush_number(int piece, int foliage, int group) {
    return (uint8_t)((piece * 4 + foliage) * 3 + group);
}

static void set_volume(ap_wood *out, const ap_pick *pick, const ap_settings *settings) {
    const ap_stem stem = {pick->length_m, pick->butt_diameter_m, pick->mid_diameter_m, pick->tip_diameter_m};
    ap_volume_fault fault = ap_volume_check(&stem, AP_VOLUME_NONE);
    ap_volume volume;
    out->volume_bound = NAN;
    out->volume_sd = NAN;
    if (fault != AP_VOLUME_FINE || ap_volume_stem(&volume, &stem, out->butt != AP_WOOD_BUTT_NO, NULL) != AP_OK) {
        out->volume_m3 = none(ap_volume_fault_text(fault));
        return;
    }
    double diameter = fmax(settings->diameter_step_m, ap_written_quantum_si(pick->written[AP_F_butt_diameter]));
    diameter = fmax(diameter, ap_written_quantum_si(pick->written[AP_F_tip_diameter]));
    double length = fmax(settings->length_step_m, ap_written_quantum_si(pick->written[AP_F_length]));
    out->rule = volume.rule;
    out->flare_unmeasured = volume.butt_flare_unmeasured;
    out->volume_bound = ap_volume_reading_error(&stem, diameter, length);
    out->volume_sd = ap_volume_reading_sd(&stem, diameter, length);
    out->volume_m3 = known(volume.volume_m3, AP_ORIGIN_DERIVED,
                           !out->flare_unmeasured          ? ""
                           : out->butt == AP_WOOD_BUTT_YES ? "a butt piece whose middle was not taped: overstated"
                                                           : "overstated if it is the butt: its middle was not taped");
}

static const char *class_remark(ap_wood_class class) {
    switch (class) {
    case AP_WOOD_DEAD:
        return "for sound green wood: this piece is dead";
    case AP_WOOD_DECAYED:
        return "for sound green wood: this piece is decayed";
    case AP_WOOD_HOLLOW:
        return "for sound green wood: this piece is hollow";
    case AP_WOOD_CONDITION_BLANK:
    case AP_WOOD_SOUND:
    case AP_WOOD_CLASS_COUNT:
        break;
    }
    return "";
}

static ap_wood_value handbook_of(const ap_species *species, const char *remark) {
    if (isnan(species->density_kg_m3)) {
        return none("the handbook has no figure for this species");
    }
    return known(species->density_kg_m3, AP_ORIGIN_HANDBOOK, remark[0] ? remark : ap_species_weak_text(species));
}

static void set_density(ap_wood *out, const ap_wood_given *given) {
    const ap_wood_value unknown = none("the species is not known");
    const char *remark = class_remark(out->class);
    const char *accepted = given->accepted_lowers ? "the company's accepted figure, LOWERS PLANNED WEIGHT" : remark;
    out->accepted_lowers = given->accepted_lowers && !isnan(given->accepted_kg_m3);
    out->handbook_kg_m3 = given->species ? handbook_of(given->species, remark) : unknown;
    out->ceiling_kg_m3 = given->species ? known(given->species->ceiling_kg_m3, AP_ORIGIN_HANDBOOK, "") : unknown;
    out->density_kg_m3 =
        isnan(given->accepted_kg_m3) ? out->handbook_kg_m3 : known(given->accepted_kg_m3, AP_ORIGIN_ACCEPTED, accepted);
}

static double learnt_brush(const ap_wood_brush_class *class, const ap_wood_given *given, const ap_company *company) {
    bool classed = company->brush && class->group != AP_WOOD_GROUP_UNKNOWN;
    double learnt =
        classed ? company->brush[ap_wood_brush_number(class->piece, class->foliage, class->group)] : (double)NAN;
    return isnan(given->brush_allowance) ? learnt : given->brush_allowance;
}

static void set_brush(ap_wood *out, const ap_pick *pick, const ap_wood_given *given, const ap_company *company) {
    double learnt = learnt_brush(&out->brush_class, given, company);
    double allowance = 0;
    if (!isnan(pick->brush_share)) {
        out->brush_allowance = ap_balance_allowance(&allowance, pick->brush_share, NULL) == AP_OK
                                   ? known(allowance, AP_ORIGIN_LOG, "")
                                   : none("the logged brush share is outside 0 to below 1");
    } else if (!out->brush_class.carries) {
        out->brush_allowance = known(0, AP_ORIGIN_DERIVED, "a stem piece is taken as bare");
    } else if (!isnan(learnt)) {
        out->brush_allowance = known(learnt, AP_ORIGIN_LEARNT, "learnt from weighed pieces of its kind");
    } else {
        out->brush_allowance = none("no brush share is logged and none is learnt for such pieces");
    }
}

static void set_weight(ap_wood *out) {
    const ap_wood_value *volume = &out->volume_m3;
    const ap_wood_value *density = &out->density_kg_m3;
    if (isnan(volume->value) || isnan(density->value)) {
        out->stem_kg = none(isnan(volume->value) ? volume->why : density->why);
        out->worked_net_kg = out->stem_kg;
        return;
    }
    const char *remark = volume->why[0] ? volume->why : density->why;
    out->stem_kg = known(volume->value * density->value, AP_ORIGIN_DERIVED, remark);
    out->worked_net_kg = isnan(out->brush_allowance.value)
                             ? none(out->brush_allowance.why)
                             : known(out->stem_kg.value * (1 + out->brush_allowance.value), AP_ORIGIN_DERIVED, remark);
}

static void set_balance(ap_wood *out, const ap_pick *pick, const ap_settings *settings) {
    if (!isnan(pick->balance_point_m)) {
        out->cg_m = known(pick->balance_point_m, AP_ORIGIN_LOG, "");
        return;
    }
    const ap_stem stem = {pick->length_m, pick->butt_diameter_m, pick->mid_diameter_m, pick->tip_diameter_m};
    double stem_cg = NAN;
    if (isnan(out->volume_m3.value) || ap_balance_stem(&stem_cg, &stem, NULL) != AP_OK) {
        out->cg_m = none(out->volume_m3.why);
        return;
    }
    double allowance = out->brush_allowance.value;
    double share = 0;
    double cg = NAN;
    if (isnan(allowance)) {
        out->cg_m = known(stem_cg, AP_ORIGIN_DERIVED, "of the stem alone: the brush moves it toward the tip");
    } else if (ap_balance_share(&share, allowance, NULL) != AP_OK ||
               ap_balance_with_brush(&cg, stem_cg, share, settings->brush_at * pick->length_m, NULL) != AP_OK) {
        out->cg_m = none("the brush allowance is below zero");
    } else {
        out->cg_m = known(cg, AP_ORIGIN_DERIVED, "");
    }
}

void ap_wood_work_out(ap_wood *out, const ap_pick *pick, const ap_wood_given *given, const ap_company *company) {
    ap_wood wood = {
        .class = class_of(pick),
        .butt = butt_of(pick->piece, given->place),
        .brush_class = brush_class_of(pick, given->species),
    };
    set_volume(&wood, pick, company->settings);
    set_density(&wood, given);
    set_brush(&wood, pick, given, company);
    set_weight(&wood);
    set_balance(&wood, pick, company->settings);
    *out = wood;
}

double ap_wood_implied_density(const ap_wood *wood, double net_kg) {
    return net_kg / (wood->volume_m3.value * (1 + wood->brush_allowance.value));
}

bool ap_wood_passes_ceiling(const ap_wood *wood, double net_kg) {
    double implied = ap_wood_implied_density(wood, net_kg);
    return implied > 0 && ap_over(implied, wood->ceiling_kg_m3.value * (1 + wood->volume_bound));
}
