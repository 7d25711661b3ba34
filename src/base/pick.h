/* One pick as logged: a plain struct and its description, both expanded from fields.def.
 *
 * Blank means "not recorded", never zero: NaN for quantities, AP_COUNT_NONE, AP_DATE_NONE, AP_TIME_NONE, word 0,
 * AP_STR_NONE. Text members are views on storage the producer of the pick names (a row buffer, an arena). */
#ifndef AP_BASE_PICK_H
#define AP_BASE_PICK_H

#include "base/arena.h"
#include "base/calendar.h"
#include "base/str.h"
#include "base/units.h"

typedef enum ap_vocabulary {
    AP_VOC_NONE = 0,
    AP_VOC_CONDITION,
    AP_VOC_FOLIAGE,
    AP_VOC_PIECE,
    AP_VOC_WEIGHED_AS,
    AP_VOC_BASIS,
    AP_VOC_WEIGHED_BY,
    AP_VOC_CUT,
    AP_VOC_KERF,
    AP_VOC_LEG_KIND,
    AP_VOC_HITCH,
    AP_VOC_LEG_STATE,
    AP_VOC_MOVEMENT,
    AP_VOC_TOWARD,
    AP_VOC_CLIMBER_AT,
    AP_VOC_CLIMBER_SIDE,
    AP_VOC_COUNT
} ap_vocabulary;

/* AP_CUT_STEP, AP_MOVEMENT_BUTT_UP, ...: numbered from 1 within each vocabulary. */
enum {
    AP_CONDITION_LIVE = 1,
    AP_CONDITION_DEAD,
    AP_CONDITION_DECAYED,
    AP_FOLIAGE_LEAF_ON = 1,
    AP_FOLIAGE_LEAF_OFF,
    AP_FOLIAGE_EVERGREEN,
    AP_PIECE_TOP = 1,
    AP_PIECE_LIMB,
    AP_PIECE_LEADER,
    AP_PIECE_TRUNK,
    AP_PIECE_STUB,
    AP_WEIGHED_AS_NET = 1,
    AP_WEIGHED_AS_GROSS,
    AP_BASIS_CHART = 1,
    AP_BASIS_TABLE,
    AP_BASIS_WORKED,
    AP_BASIS_BY_EYE,
    AP_WEIGHED_BY_LOAD_INDICATOR = 1,
    AP_WEIGHED_BY_LOAD_CELL,
    AP_WEIGHED_BY_SCALE,
    AP_CUT_THROUGH = 1,
    AP_CUT_STEP,
    AP_CUT_HINGE,
    AP_CUT_ANGLED,
    AP_CUT_SNAP,
    AP_KERF_STEADY = 1,
    AP_KERF_CLOSING,
    AP_KERF_OPENING,
    AP_LEG_KIND_EYE = 1,
    AP_LEG_KIND_ADJUSTABLE,
    AP_LEG_KIND_CHAIN,
    AP_LEG_KIND_WIRE,
    AP_LEG_KIND_ROUND,
    AP_LEG_KIND_BALANCER,
    AP_HITCH_CHOKER = 1,
    AP_HITCH_COW,
    AP_HITCH_TIMBER,
    AP_HITCH_BASKET,
    AP_HITCH_NONE,
    AP_LEG_STATE_TIGHT = 1,
    AP_LEG_STATE_SNUG,
    AP_LEG_STATE_SLACK,
    AP_MOVEMENT_STILL = 1,
    AP_MOVEMENT_SETTLED,
    AP_MOVEMENT_BUTT_UP,
    AP_MOVEMENT_BUTT_DOWN,
    AP_MOVEMENT_TIP_DIVE,
    AP_MOVEMENT_TIP_UP,
    AP_MOVEMENT_SWING,
    AP_MOVEMENT_ROLL,
    AP_MOVEMENT_DROP,
    AP_TOWARD_CLIMBER = 1,
    AP_TOWARD_CREW,
    AP_TOWARD_STRUCTURE,
    AP_TOWARD_CLEAR,
    AP_CLIMBER_AT_STEM = 1,
    AP_CLIMBER_AT_HOOK,
    AP_CLIMBER_AT_BUCKET,
    AP_CLIMBER_AT_GROUND,
    AP_CLIMBER_SIDE_BUTT = 1,
    AP_CLIMBER_SIDE_TIP,
    AP_CLIMBER_SIDE_OFF
};
#define AP_MOVE_BIT(movement) (1 << ((movement)-1))
enum { AP_YESNO_NO = 1, AP_YESNO_YES = 2 };

typedef enum ap_field_kind {
    AP_KIND_TEXT,  /* ap_str */
    AP_KIND_WORD,  /* int32_t, a word of the vocabulary */
    AP_KIND_QTY,   /* double, SI */
    AP_KIND_COUNT, /* int32_t >= 0 */
    AP_KIND_YESNO, /* int32_t AP_YESNO_* */
    AP_KIND_DATE,  /* ap_date */
    AP_KIND_TIME,  /* ap_time */
    AP_KIND_MOVES  /* int32_t, a set of AP_MOVE_BIT() */
} ap_field_kind;

typedef enum ap_field_group {
    AP_GROUP_WHERE,
    AP_GROUP_PIECE,
    AP_GROUP_PLAN,
    AP_GROUP_WEIGHING,
    AP_GROUP_CUT,
    AP_GROUP_HAPPENED,
    AP_GROUP_SLINGS
} ap_field_group;

enum { AP_LEG_MAX = 4 };
#define AP_COUNT_NONE (-1)

#define AP_CTYPE_TEXT ap_str
#define AP_CTYPE_WORD int32_t
#define AP_CTYPE_QTY double
#define AP_CTYPE_COUNT int32_t
#define AP_CTYPE_YESNO int32_t
#define AP_CTYPE_DATE ap_date
#define AP_CTYPE_TIME ap_time
#define AP_CTYPE_MOVES int32_t

typedef struct ap_leg {
#define AP_LEG_FIELD(name, member, kind, arg, label) AP_CTYPE_##kind member;
#include "base/fields.def"
#undef AP_LEG_FIELD
} ap_leg;

/* Numbers of the fields: AP_F_planned_weight ... for the pick itself, AP_LF_at ... within a leg. */
typedef enum ap_pick_field {
#define AP_FIELD(name, member, kind, arg, group, label) AP_F_##name,
#include "base/fields.def"
#undef AP_FIELD
    AP_F_COUNT
} ap_pick_field;

typedef enum ap_leg_field {
#define AP_LEG_FIELD(name, member, kind, arg, label) AP_LF_##name,
#include "base/fields.def"
#undef AP_LEG_FIELD
    AP_LF_COUNT
} ap_leg_field;

/* One number over both: pick fields first, then leg 1's, leg 2's ... */
enum { AP_COLUMN_COUNT = AP_F_COUNT + AP_LEG_MAX * AP_LF_COUNT };

typedef struct ap_pick {
#define AP_FIELD(name, member, kind, arg, group, label) AP_CTYPE_##kind member;
#include "base/fields.def"
#undef AP_FIELD
    ap_leg legs[AP_LEG_MAX]; /* a leg with every field blank is no leg */
    int leg_count;           /* 1 + the last leg with anything recorded */

    /* What intake and book add. */
    int64_t id;            /* row number in the book; never shown */
    ap_str name;           /* "J231/17" */
    int64_t species_id;    /* 0 = none */
    ap_str species_common; /* the book's name of the species */
    int64_t import_id;
    ap_str source_file;                  /* the log's name */
    int64_t source_line;                 /* first line of the row, from 1 */
    ap_written written[AP_COLUMN_COUNT]; /* how each quantity was written; {0,0} when not a quantity or blank */
} ap_pick;

typedef struct ap_field {
    const char *name;   /* "planned_weight" or "leg_2_at" */
    const char *member; /* SQL column: "planned_weight_kg" or "at_m" */
    const char *label;
    ap_field_kind kind;
    ap_dim dim;               /* of a QTY */
    ap_vocabulary vocabulary; /* of a WORD or MOVES */
    ap_field_group group;
    int leg;       /* 0 for the pick itself, 1..4 */
    size_t offset; /* into ap_pick */
} ap_field;

/* All columns in canonical order, AP_COLUMN_COUNT of them. */
const ap_field *ap_field_get(int column);
/* Column number of a canonical name (case ignored, exact otherwise); -1 when there is none. */
int ap_field_find(ap_str name);

void ap_pick_clear(ap_pick *pick); /* everything blank */
bool ap_pick_field_is_blank(const ap_pick *pick, int column);
void *ap_pick_at(ap_pick *pick, int column); /* the member's address, of the kind's C type */
const void *ap_pick_at_const(const ap_pick *pick, int column);
void ap_pick_count_legs(ap_pick *pick); /* sets leg_count from the legs' fields */

/* Words. */
const char *ap_word_get(ap_vocabulary vocabulary, int value); /* NULL when out of range */
int ap_word_find(ap_vocabulary vocabulary, ap_str word); /* 0 when unknown; case and '-', ' ' against '_' ignored */
int ap_word_count(ap_vocabulary vocabulary);
/* A word as people read it: "by_eye" -> "by eye". A copy in `arena`; none stays none. */
ap_str ap_word_plain(ap_arena *arena, ap_str word);
/* "butt_up+swing"; "" for none. */
void ap_moves_to_text(ap_buf *out, int32_t moves);

#endif
