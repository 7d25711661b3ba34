#include "analysis/fact_pack.h"

#include <float.h>

#include "derive/wood.h"

const ap_by ap_fact_texts[AP_FACT_TEXTS] = {AP_BY_SPECIES, AP_BY_ESTIMATOR, AP_BY_CREW, AP_BY_CRANE,
                                            AP_BY_JOB,     AP_BY_TREE,      AP_BY_SETUP};

enum { SETUP_TEXT = 6, ERRORS_TEXTS = 6 };
enum { WIDE = 8, NARROW = 4 };
enum { DATE_FIRST = -25567, DATE_LAST = 84005 }; /* 1900-01-01, 2199-12-31: what a date can be */

typedef struct measure {
    size_t offset;
    size_t width; /* of a double or a float */
    bool of_rest; /* a member of the fact's rest */
} measure;

#define DOUBLE_OF(member)                                                                                              \
    { offsetof(ap_fact, member), WIDE, false }
#define FLOAT_OF(member)                                                                                               \
    { offsetof(ap_fact, member), NARROW, false }
#define LABEL_OF(member) FLOAT_OF(member) /* as wide */
#define REST_DOUBLE_OF(member)                                                                                         \
    { offsetof(ap_fact_rest, member), WIDE, true }
#define REST_FLOAT_OF(member)                                                                                          \
    { offsetof(ap_fact_rest, member), NARROW, true }
static const measure errors_numbers[] = {
    DOUBLE_OF(planned_net_kg), DOUBLE_OF(measured_net_kg), DOUBLE_OF(log_error),
    DOUBLE_OF(hook_kg),        DOUBLE_OF(share_planned),   FLOAT_OF(rigging_kg),
};
static const measure wood_numbers[] = {REST_DOUBLE_OF(volume_m3), REST_FLOAT_OF(diameter_m)};
static const measure rest_numbers[] = {
    REST_DOUBLE_OF(share_cut),   REST_DOUBLE_OF(share_set_down),   REST_FLOAT_OF(planned_radius_m),
    REST_FLOAT_OF(cut_radius_m), REST_FLOAT_OF(set_down_radius_m), REST_FLOAT_OF(movement_distance_m),
    REST_FLOAT_OF(lean_deg),
};
static const measure ways_numbers[] = {REST_FLOAT_OF(butt_up_m), REST_FLOAT_OF(way_m)};
#define COUNT_OF(array) (sizeof(array) / sizeof *(array))

static const char *member_of(const measure *what, const ap_fact *fact) {
    return (what->of_rest ? (const char *)fact->rest : (const char *)fact) + what->offset;
}

static void put_numbers(ap_buf *out, const measure *what, size_t measures, const ap_fact *facts, size_t count) {
    uint64_t numbers[AP_COLUMN_MOST];
    for (; measures > 0; measures--, what++) {
        for (size_t i = 0; i < count; i++) {
            const char *at = member_of(what, &facts[i]);
            uint32_t bits = 0;
            if (what->width == WIDE) {
                memcpy(&numbers[i], at, sizeof numbers[i]);
            } else {
                memcpy(&bits, at, sizeof bits);
                numbers[i] = bits;
            }
        }
        ap_column_put(out, numbers, count, what->width);
    }
}

static char *place_of(const measure *what, ap_fact *fact) {
    return (what->of_rest ? (char *)fact->rest : (char *)fact) + what->offset;
}

/* Infinite is no fact; NaN is "not known". */
static bool get_number(const measure *what, ap_fact *facts, const uint32_t *to, ap_column_reader *reader,
                       size_t count) {
    static const uint64_t infinite = UINT64_C(0x7ff0000000000000);
    uint64_t numbers[AP_COLUMN_MOST];
    bool good = ap_column_get(numbers, reader, count, what->width);
    if (good && what->width == WIDE) {
        for (size_t i = 0; i < count; i++) {
            good = good && (numbers[i] << 1) != infinite << 1;
            memcpy(place_of(what, &facts[to[i]]), &numbers[i], sizeof numbers[i]);
        }
    } else if (good) {
        for (size_t i = 0; i < count; i++) {
            uint32_t bits = (uint32_t)numbers[i];
            good = good && bits << 1 != UINT32_C(0xff000000);
            memcpy(place_of(what, &facts[to[i]]), &bits, sizeof bits);
        }
    }
    return good;
}

static bool get_numbers(const measure *what, size_t measures, ap_fact *facts, const uint32_t *to,
                        ap_column_reader *reader, size_t count) {
    bool good = true;
    for (size_t k = 0; good && k < measures; k++) {
        good = get_number(&what[k], facts, to, reader, count);
    }
    return good;
}

static ap_column_reader reader_of(ap_str bytes) {
    return (ap_column_reader){(const unsigned char *)bytes.ptr, (const unsigned char *)bytes.ptr + bytes.len, false};
}

static uint64_t words_of(const ap_fact *fact) {
    return (uint64_t)fact->label_cut | (uint64_t)fact->label_basis << 8 | (uint64_t)fact->label_piece << 12 |
           (uint64_t)fact->label_condition << 16 | (uint64_t)fact->label_foliage << 20;
}

static bool set_words(ap_fact *fact, uint64_t words) {
    fact->label_cut = (uint8_t)(words & 0xff);
    fact->label_basis = words >> 8 & 15;
    fact->label_piece = words >> 12 & 15;
    fact->label_condition = words >> 16 & 15;
    fact->label_foliage = words >> 20 & 15;
    return words >> 24 == 0 && fact->label_cut <= AP_CUT_SNAP && fact->label_basis <= AP_BASIS_BY_EYE &&
           fact->label_piece <= AP_PIECE_STUB && fact->label_condition <= AP_CONDITION_DECAYED &&
           fact->label_foliage <= AP_FOLIAGE_EVERGREEN;
}

static uint64_t wood_of(const ap_fact *fact) {
    return (uint64_t)fact->compared | (uint64_t)fact->weighed_by << 4 | (uint64_t)fact->wood << 8 |
           (uint64_t)fact->marks << 16 | (uint64_t)fact->wood_class << 24;
}

static bool set_wood(ap_fact *fact, uint64_t wood) {
    fact->compared = (uint8_t)(wood & 15);
    fact->weighed_by = (uint8_t)(wood >> 4 & 15);
    fact->wood = (uint8_t)(wood >> 8 & 0xff);
    fact->marks = (uint8_t)(wood >> 16 & 0xff);
    fact->wood_class = (uint8_t)(wood >> 24 & 0xff);
    return fact->compared < AP_COMPARED_COUNT && fact->weighed_by <= AP_WEIGHED_BY_SCALE &&
           fact->wood < 2 * AP_FACT_PLANNED_BY_DENSITY && !(fact->wood & AP_FACT_BUTT) &&
           fact->marks < 2 * AP_MARK_REPEATS_PLAN && fact->wood_class < AP_WOOD_CLASS_COUNT;
}

static uint64_t flags_of(const ap_fact *fact) {
    return (uint64_t)fact->toward | (uint64_t)fact->near_miss << 4 | (uint64_t)fact->over_chart << 8 |
           (uint64_t)fact->planned_over_chart << 9 | (uint64_t)fact->toward_person << 10 |
           (uint64_t)fact->rigging_assumed << 11 | (uint64_t)fact->damage_noted << 12 | (uint64_t)fact->no_tree << 13;
}

static bool set_flags(ap_fact *fact, uint64_t flags) {
    fact->toward = (uint8_t)(flags & 15);
    fact->near_miss = (uint8_t)(flags >> 4 & 15);
    fact->over_chart = flags >> 8 & 1;
    fact->planned_over_chart = flags >> 9 & 1;
    fact->toward_person = flags >> 10 & 1;
    fact->rigging_assumed = flags >> 11 & 1;
    fact->damage_noted = flags >> 12 & 1;
    fact->no_tree = flags >> 13 & 1;
    return flags >> 14 == 0 && fact->toward <= AP_TOWARD_CLEAR && fact->near_miss <= AP_YESNO_YES;
}

void ap_fact_pack_errors(ap_buf *out, const ap_fact *facts, size_t count) {
    uint64_t column[AP_COLUMN_MOST];
    for (size_t i = 0; i < count; i++) {
        column[i] = (uint32_t)facts[i].date;
    }
    ap_column_put(out, column, count, NARROW);
    put_numbers(out, errors_numbers, COUNT_OF(errors_numbers), facts, count);
    for (size_t k = 0; k < ERRORS_TEXTS; k++) {
        for (size_t i = 0; i < count; i++) {
            column[i] = ap_fact_group(&facts[i], ap_fact_texts[k]);
        }
        ap_column_put(out, column, count, NARROW);
    }
    for (size_t i = 0; i < count; i++) {
        column[i] = words_of(&facts[i]);
    }
    ap_column_put(out, column, count, NARROW);
    for (size_t i = 0; i < count; i++) {
        column[i] = wood_of(&facts[i]);
    }
    ap_column_put(out, column, count, NARROW);
    for (size_t i = 0; i < count; i++) {
        column[i] = flags_of(&facts[i]);
    }
    ap_column_put(out, column, count, NARROW);
}

void ap_fact_pack_wood(ap_buf *out, const ap_fact *facts, const float *stem_m, size_t count) {
    uint64_t column[AP_COLUMN_MOST];
    put_numbers(out, wood_numbers, COUNT_OF(wood_numbers), facts, count);
    for (size_t i = 0; i < count; i++) {
        uint32_t bits = 0;
        memcpy(&bits, &stem_m[i], sizeof bits);
        column[i] = bits;
    }
    ap_column_put(out, column, count, NARROW);
}

void ap_fact_pack_rest(ap_buf *out, const ap_fact *facts, size_t count) {
    uint64_t column[AP_COLUMN_MOST];
    put_numbers(out, rest_numbers, COUNT_OF(rest_numbers), facts, count);
    for (size_t i = 0; i < count; i++) {
        column[i] = (uint64_t)facts[i].rest->movement | (uint64_t)facts[i].rest->slings << 16;
    }
    ap_column_put(out, column, count, NARROW);
    for (size_t i = 0; i < count; i++) {
        column[i] = (uint64_t)(uint8_t)facts[i].rest->re_rigs | (uint64_t)facts[i].kerf << 8;
    }
    ap_column_put(out, column, count, NARROW);
    for (size_t i = 0; i < count; i++) {
        column[i] = facts[i].rest->label_setup;
    }
    ap_column_put(out, column, count, NARROW);
}

/* A label of four bytes. */
static bool get_text(const measure *what, ap_fact *facts, const uint32_t *to, ap_column_reader *reader, size_t count,
                     uint32_t most) {
    uint64_t column[AP_COLUMN_MOST];
    uint64_t highest = 0;
    if (!ap_column_get(column, reader, count, NARROW)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        uint32_t number = (uint32_t)column[i];
        highest = column[i] > highest ? column[i] : highest;
        memcpy(place_of(what, &facts[to[i]]), &number, sizeof number);
    }
    return highest <= most;
}

static bool get_species(ap_fact *facts, const uint32_t *to, ap_column_reader *reader, size_t count, uint32_t most) {
    uint64_t column[AP_COLUMN_MOST];
    uint64_t highest = 0;
    if (!ap_column_get(column, reader, count, NARROW)) {
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        highest = column[i] > highest ? column[i] : highest;
        facts[to[i]].label_species = (uint16_t)column[i];
    }
    return highest <= most && highest <= UINT16_MAX;
}

static bool get_texts(ap_fact *facts, const uint32_t *to, ap_column_reader *reader, size_t count,
                      const ap_fact_bounds *bounds) {
    static const measure labels[] = {LABEL_OF(label_estimator), LABEL_OF(label_crew), LABEL_OF(label_crane),
                                     LABEL_OF(label_job), LABEL_OF(label_tree)};
    bool good = get_species(facts, to, reader, count, bounds->texts[0]);
    for (size_t t = 1; good && t < ERRORS_TEXTS; t++) {
        good = get_text(&labels[t - 1], facts, to, reader, count, bounds->texts[t]);
    }
    return good;
}

/* An error is there exactly where plan and weighing are. */
static bool holds_together(const ap_fact *fact) {
    bool compared = fact->compared == AP_COMPARED;
    return compared == !isnan(fact->log_error) &&
           (!compared || (fact->planned_net_kg > 0 && fact->measured_net_kg > 0));
}

bool ap_fact_unpack_errors(ap_fact *facts, const uint32_t *to, size_t count, ap_str bytes,
                           const ap_fact_bounds *bounds) {
    uint64_t column[AP_COLUMN_MOST];
    ap_column_reader reader = reader_of(bytes);
    bool good = count > 0 && ap_column_get(column, &reader, count, NARROW);
    for (size_t i = 0; good && i < count; i++) {
        facts[to[i]].date = (ap_date)(uint32_t)column[i];
        good = facts[to[i]].date >= DATE_FIRST && facts[to[i]].date <= DATE_LAST;
    }
    good = good && get_numbers(errors_numbers, COUNT_OF(errors_numbers), facts, to, &reader, count) &&
           get_texts(facts, to, &reader, count, bounds) && ap_column_get(column, &reader, count, NARROW);
    for (size_t i = 0; good && i < count; i++) {
        good = set_words(&facts[to[i]], column[i]);
    }
    good = good && ap_column_get(column, &reader, count, NARROW);
    for (size_t i = 0; good && i < count; i++) {
        good = set_wood(&facts[to[i]], column[i]);
    }
    good = good && ap_column_get(column, &reader, count, NARROW);
    for (size_t i = 0; good && i < count; i++) {
        good = set_flags(&facts[to[i]], column[i]) && holds_together(&facts[to[i]]);
    }
    return good && reader.at == reader.end;
}

bool ap_fact_unpack_wood(ap_fact *facts, float *stem_m, const uint32_t *to, size_t count, ap_str bytes) {
    uint64_t column[AP_COLUMN_MOST];
    ap_column_reader reader = reader_of(bytes);
    bool good = get_numbers(wood_numbers, COUNT_OF(wood_numbers), facts, to, &reader, count) &&
                ap_column_get(column, &reader, count, NARROW);
    for (size_t i = 0; good && i < count; i++) {
        uint32_t bits = (uint32_t)column[i];
        memcpy(&stem_m[to[i]], &bits, sizeof bits);
        good = !(facts[to[i]].rest->volume_m3 <= 0) && stem_m[to[i]] >= 0 && stem_m[to[i]] <= FLT_MAX;
    }
    return good && reader.at == reader.end;
}

bool ap_fact_unpack_rest(ap_fact *facts, const uint32_t *to, size_t count, ap_str bytes, const ap_fact_bounds *bounds) {
    static const measure setup = REST_FLOAT_OF(label_setup);
    uint64_t column[AP_COLUMN_MOST];
    ap_column_reader reader = reader_of(bytes);
    bool good = count > 0 && get_numbers(rest_numbers, COUNT_OF(rest_numbers), facts, to, &reader, count) &&
                ap_column_get(column, &reader, count, NARROW);
    for (size_t i = 0; good && i < count; i++) {
        ap_fact_rest *rest = facts[to[i]].rest;
        rest->movement = (uint16_t)(column[i] & 0xffff);
        rest->slings = (uint8_t)(column[i] >> 16 & 0xff);
        good = column[i] >> 24 == 0 && rest->movement < 2 * AP_MOVE_BIT(AP_MOVEMENT_DROP) &&
               (rest->slings & AP_SLINGS_LEGS) <= AP_LEG_MAX;
    }
    good = good && ap_column_get(column, &reader, count, NARROW);
    for (size_t i = 0; good && i < count; i++) {
        ap_fact *fact = &facts[to[i]];
        fact->rest->re_rigs = (int8_t)(uint8_t)(column[i] & 0xff);
        fact->kerf = (uint8_t)(column[i] >> 8 & 0xff);
        good = column[i] >> 16 == 0 && fact->kerf <= AP_KERF_OPENING && fact->rest->re_rigs >= AP_COUNT_NONE;
    }
    return good && get_text(&setup, facts, to, &reader, count, bounds->texts[SETUP_TEXT]) && reader.at == reader.end;
}

void ap_fact_pack_ways(ap_buf *out, const ap_fact *facts, size_t count) {
    put_numbers(out, ways_numbers, COUNT_OF(ways_numbers), facts, count);
}

bool ap_fact_unpack_ways(ap_fact *facts, const uint32_t *to, size_t count, ap_str bytes) {
    ap_column_reader reader = reader_of(bytes);
    return get_numbers(ways_numbers, COUNT_OF(ways_numbers), facts, to, &reader, count) && reader.at == reader.end;
}

void ap_fact_pack_count(ap_buf *out, uint32_t count) {
    const unsigned char bytes[4] = {(unsigned char)(count & 0xff), (unsigned char)(count >> 8 & 0xff),
                                    (unsigned char)(count >> 16 & 0xff), (unsigned char)(count >> 24)};
    ap_buf_append(out, bytes, sizeof bytes);
}

void ap_fact_pack_text(ap_buf *out, ap_str text) {
    ap_fact_pack_count(out, (uint32_t)text.len);
    ap_buf_append_str(out, text);
}

bool ap_fact_unpack_count(uint32_t *count, ap_column_reader *reader) {
    if (reader->bad || reader->end - reader->at < 4) {
        reader->bad = true;
        return false;
    }
    const unsigned char *at = reader->at;
    *count = (uint32_t)at[0] | (uint32_t)at[1] << 8 | (uint32_t)at[2] << 16 | (uint32_t)at[3] << 24;
    reader->at += 4;
    return true;
}

bool ap_fact_unpack_text(ap_str *text, ap_column_reader *reader) {
    uint32_t len = 0;
    if (!ap_fact_unpack_count(&len, reader) || (size_t)(reader->end - reader->at) < len) {
        reader->bad = true;
        return false;
    }
    *text = (ap_str){(const char *)reader->at, len};
    reader->at += len;
    return true;
}
