#include "base/pick.h"

#define DIM_TEXT(arg) AP_DIM_NONE
#define DIM_WORD(arg) AP_DIM_NONE
#define DIM_QTY(arg) AP_DIM_##arg
#define DIM_COUNT(arg) AP_DIM_NONE
#define DIM_YESNO(arg) AP_DIM_NONE
#define DIM_DATE(arg) AP_DIM_NONE
#define DIM_TIME(arg) AP_DIM_NONE
#define DIM_MOVES(arg) AP_DIM_NONE

#define VOC_TEXT(arg) AP_VOC_NONE
#define VOC_WORD(arg) AP_VOC_##arg
#define VOC_QTY(arg) AP_VOC_NONE
#define VOC_COUNT(arg) AP_VOC_NONE
#define VOC_YESNO(arg) AP_VOC_NONE
#define VOC_DATE(arg) AP_VOC_NONE
#define VOC_TIME(arg) AP_VOC_NONE
#define VOC_MOVES(arg) AP_VOC_##arg

/* NOLINTBEGIN(bugprone-macro-parentheses): pieces of one string literal */
#define LEG_ROW(number, name, member, kind, arg, label)                                                                \
    {"leg_" #number "_" #name,                                                                                         \
     #member,                                                                                                          \
     "leg " #number ": " label,                                                                                        \
     AP_KIND_##kind,                                                                                                   \
     DIM_##kind(arg),                                                                                                  \
     VOC_##kind(arg),                                                                                                  \
     AP_GROUP_SLINGS,                                                                                                  \
     number,                                                                                                           \
     offsetof(ap_pick, legs) + (number - 1) * sizeof(ap_leg) + offsetof(ap_leg, member)},
/* NOLINTEND(bugprone-macro-parentheses) */

static const ap_field fields[] = {
#define AP_FIELD(name, member, kind, arg, group, label)                                                                \
    {#name,           #member,          label, AP_KIND_##kind,           DIM_##kind(arg),                              \
     VOC_##kind(arg), AP_GROUP_##group, 0,     offsetof(ap_pick, member)},
#include "base/fields.def"
#undef AP_FIELD
#define AP_LEG_FIELD(name, member, kind, arg, label) LEG_ROW(1, name, member, kind, arg, label)
#include "base/fields.def"
#undef AP_LEG_FIELD
#define AP_LEG_FIELD(name, member, kind, arg, label) LEG_ROW(2, name, member, kind, arg, label)
#include "base/fields.def"
#undef AP_LEG_FIELD
#define AP_LEG_FIELD(name, member, kind, arg, label) LEG_ROW(3, name, member, kind, arg, label)
#include "base/fields.def"
#undef AP_LEG_FIELD
#define AP_LEG_FIELD(name, member, kind, arg, label) LEG_ROW(4, name, member, kind, arg, label)
#include "base/fields.def"
#undef AP_LEG_FIELD
};
_Static_assert(sizeof fields / sizeof fields[0] == AP_COLUMN_COUNT, "one row per column: AP_LEG_MAX has changed");

const ap_field *ap_field_get(int column) {
    return column >= 0 && column < AP_COLUMN_COUNT ? &fields[column] : NULL;
}

int ap_field_find(ap_str name) {
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        if (ap_str_equal_nocase(name, ap_str_from(fields[i].name))) {
            return i;
        }
    }
    return -1;
}

void *ap_pick_at(ap_pick *pick, int column) {
    return (char *)pick + fields[column].offset;
}

const void *ap_pick_at_const(const ap_pick *pick, int column) {
    return (const char *)pick + fields[column].offset;
}

void ap_pick_clear(ap_pick *pick) {
    memset(pick, 0, sizeof *pick);
    pick->name = AP_STR_NONE;
    pick->species_common = AP_STR_NONE;
    pick->source_file = AP_STR_NONE;
    for (int i = 0; i < AP_COLUMN_COUNT; i++) {
        void *at = ap_pick_at(pick, i);
        switch (fields[i].kind) {
        case AP_KIND_TEXT:
            *(ap_str *)at = AP_STR_NONE;
            break;
        case AP_KIND_QTY:
            *(double *)at = (double)NAN;
            break;
        case AP_KIND_COUNT:
            *(int32_t *)at = AP_COUNT_NONE;
            break;
        case AP_KIND_DATE:
            *(ap_date *)at = AP_DATE_NONE;
            break;
        case AP_KIND_TIME:
            *(ap_time *)at = AP_TIME_NONE;
            break;
        case AP_KIND_WORD:
        case AP_KIND_YESNO:
        case AP_KIND_MOVES:
            *(int32_t *)at = 0;
            break;
        }
    }
}

bool ap_pick_field_is_blank(const ap_pick *pick, int column) {
    const void *at = ap_pick_at_const(pick, column);
    switch (fields[column].kind) {
    case AP_KIND_TEXT:
        return ap_str_is_blank(*(const ap_str *)at);
    case AP_KIND_QTY:
        return isnan(*(const double *)at);
    case AP_KIND_COUNT:
        return *(const int32_t *)at < 0;
    case AP_KIND_DATE:
        return *(const ap_date *)at == AP_DATE_NONE;
    case AP_KIND_TIME:
        return *(const ap_time *)at < 0;
    case AP_KIND_WORD:
    case AP_KIND_YESNO:
    case AP_KIND_MOVES:
        break;
    }
    return *(const int32_t *)at == 0;
}

void ap_pick_count_legs(ap_pick *pick) {
    pick->leg_count = 0;
    for (int i = AP_F_COUNT; i < AP_COLUMN_COUNT; i++) {
        if (!ap_pick_field_is_blank(pick, i)) {
            pick->leg_count = fields[i].leg;
        }
    }
}
