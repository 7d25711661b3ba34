/* One piece's wood: volume, balance point, density, ceiling, class and worked weight, each with its origin.
 *
 * Units   SI. A value that cannot be said is NaN and has its reason in words; nothing is guessed.
 * Method  volume by mech/volume (Newton with a logged mid diameter, else two-end conic); density by the handbook's wood
 *         and bark, or the figure the company accepted; weight = volume x density x (1 + brush allowance).
 * Source  the headers of mech/volume, mech/density and mech/balance; FIA REF_SPECIES for wood and bark.
 * Errors  none: what is missing or impossible is said in the value concerned. */
#ifndef AP_DERIVE_WOOD_H
#define AP_DERIVE_WOOD_H

#include "base/species.h"
#include "derive/derive.h"
#include "mech/volume.h"

/* Where the piece stood in its tree, which one pick alone does not tell. The caller that sees the tree's picks says it:
 * LOWEST for the last trunk or stub piece of the tree in the order of its picks, ABOVE for the others. */
typedef enum ap_wood_place { AP_WOOD_PLACE_UNKNOWN = 0, AP_WOOD_LOWEST, AP_WOOD_ABOVE } ap_wood_place;

/* Butt piece: the one whose lower end is the felling cut, where the stem flares. Common practice, no source:
 *   YES    a trunk or stub piece that is the lowest of its tree; a stub whose place is not known
 *   MAYBE  a trunk piece whose place is not known, and a piece of no recorded kind
 *   NO     every other piece */
typedef enum ap_wood_butt { AP_WOOD_BUTT_NO = 0, AP_WOOD_BUTT_MAYBE, AP_WOOD_BUTT_YES } ap_wood_butt;

/* What the density model keeps apart: the handbook speaks of sound green wood only. */
typedef enum ap_wood_class {
    AP_WOOD_CONDITION_BLANK = 0, /* not recorded: worked like sound wood */
    AP_WOOD_SOUND,               /* logged as live */
    AP_WOOD_DEAD,
    AP_WOOD_DECAYED,
    AP_WOOD_HOLLOW, /* the word stands in the notes, not denied */
    AP_WOOD_CLASS_COUNT
} ap_wood_class;
const char *ap_wood_class_text(ap_wood_class class); /* "dead", "" for blank */

typedef enum ap_wood_group { AP_WOOD_GROUP_UNKNOWN = 0, AP_WOOD_HARDWOOD, AP_WOOD_SOFTWOOD } ap_wood_group;

/* Brush is learnt by piece x foliage x species group. */
typedef struct ap_wood_brush_class {
    bool carries;    /* a top, limb or leader, a piece of no recorded kind, or a logged brush share above zero */
    uint8_t piece;   /* AP_PIECE_*, 0 not recorded */
    uint8_t foliage; /* AP_FOLIAGE_*, 0 not recorded */
    uint8_t group;   /* ap_wood_group */
} ap_wood_brush_class;
enum { AP_WOOD_BRUSH_CLASSES = 6 * 4 * 3 };
uint8_t ap_wood_brush_number(int piece, int foliage, int group); /* class from 0 */

typedef struct ap_wood_value {
    double value;    /* NaN: cannot be said */
    const char *why; /* static text: why there is none, or what to know about the one there is; "" for nothing */
    ap_origin_kind from;
} ap_wood_value;

/* What is known beside the pick. */
typedef struct ap_wood_given {
    const ap_species *species; /* NULL: not known */
    double accepted_kg_m3;     /* the company's accepted figure; NaN: none */
    bool accepted_lowers;      /* it LOWERS PLANNED WEIGHT */
    double brush_allowance;    /* instead of the company's learnt one, on the stem's weight; NaN: none */
    ap_wood_place place;
} ap_wood_given;
#define AP_WOOD_GIVEN_NOTHING ((ap_wood_given){.accepted_kg_m3 = NAN, .brush_allowance = NAN})

typedef struct ap_wood {
    ap_wood_class class;
    ap_wood_butt butt;
    ap_wood_brush_class brush_class;

    ap_wood_value volume_m3; /* of the stem, over bark */
    ap_volume_rule rule;
    bool flare_unmeasured; /* a butt piece (YES or MAYBE) without a mid diameter: the volume is overstated */
    double volume_bound;   /* relative, every reading off by half its step in one direction; NaN without volume */
    double volume_sd;      /* relative standard deviation, readings off independently */

    ap_wood_value density_kg_m3;   /* used for the worked weight */
    bool accepted_lowers;          /* that is accepted, and lighter than the one before it */
    ap_wood_value handbook_kg_m3;  /* wood and bark, sound and green, whatever is used */
    ap_wood_value ceiling_kg_m3;   /* no sound wood is heavier */
    ap_wood_value brush_allowance; /* on the stem's weight; 0 for a stem piece */
    ap_wood_value stem_kg;         /* volume x density */
    ap_wood_value worked_net_kg;   /* stem x (1 + allowance); NaN while the allowance of a brushy piece is not known */
    ap_wood_value cg_m;            /* balance point from the butt */
} ap_wood;

/* Settings used: diameter_step, length_step (the coarser of the setting and of what was written), brush_at. */
void ap_wood_work_out(ap_wood *out, const ap_pick *pick, const ap_wood_given *given, const ap_company *company);

/* Weight over volume, the brush taken off; NaN when either is unknown or the allowance is. */
double ap_wood_implied_density(const ap_wood *wood, double net_kg);
/* Does that pass the ceiling beyond the volume's reading error (bound)? Then a dimension, a tare or the indicator is
 * wrong. False when it cannot be said. */
bool ap_wood_passes_ceiling(const ap_wood *wood, double net_kg);

#endif
