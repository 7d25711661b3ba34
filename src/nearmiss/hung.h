/* What the detectors of legs, movement and shock need beside the roster: what the reconstruction (derive/reconstruct.h) says of a pick,
 * and its logged peak. Kept only of picks that one of them will name. */
#ifndef AP_NEARMISS_HUNG_H
#define AP_NEARMISS_HUNG_H

#include "analysis/roster.h"
#include "derive/reconstruct.h"
#include "nearmiss/limits.h"

enum {
    AP_HUNG_CG_OUTSIDE = 1,    /* the centre of gravity lies outside the legs */
    AP_HUNG_IN_SWEEP = 2,      /* the climber stood nearer than the butt was to move, on its side */
    AP_HUNG_HITCH_ASSUMED = 4, /* the leg's use rests on no hitch being logged */
    AP_HUNG_PLANNED = 8,       /* worked out from the planned weight */
    AP_HUNG_PEAK_KNOWN = 16    /* the peak rests on a logged preload, or on a drop onto a leg of known stiffness */
};

typedef struct ap_hung {
    float worst_use;        /* of a leg: tension over its limit with the factor of its hitch; NaN when not known */
    float flattest_deg;     /* of a leg that carries, above the horizontal; NaN */
    float butt_move_m;      /* how far the butt was to move by the reconstruction; NaN */
    float butt_up_m, way_m; /* as in the roster (ap_fact), by the closed form alone; NaN */
    float peak_ratio;       /* logged peak over the measured hook load; NaN */
    float slack_m;          /* by the reconstruction: how far a leg hangs slack at rest, the slackest; NaN: none does */
    float above_m;          /* only one leg carries: the centre of gravity above its attach point before the cut; NaN */
    float peak_share;       /* upper end of the worked-out peak over the capacity at the cut; NaN */
    uint32_t fact;          /* in the roster */
    uint8_t leg;            /* number of the leg with the worst use; 0 */
    uint8_t slack_leg;      /* number of the slackest leg; 0 */
    uint8_t flags;
} ap_hung;

enum { AP_CLASHES_SHOWN = 12 };

/* A pick whose slings as logged cannot hold the piece: legs too short to meet, a leg attached beyond the tip. A wrong log, or another
 * set-up; no rule judges it. */
typedef struct ap_hung_clash {
    uint32_t fact; /* in the roster */
    ap_recon_reason why;
} ap_hung_clash;

typedef struct ap_hung_clashes {
    size_t count;
    ap_hung_clash shown[AP_CLASHES_SHOWN]; /* the first of them, in pick order */
} ap_hung_clashes;

typedef struct ap_hung_list {
    ap_hung *items; /* heap; in pick order */
    size_t count, cap;
    ap_hung_clashes clashes;
} ap_hung_list;

/* Reads the picks since..until whole and reconstructs those with legs. Release also after an error. Errors: AP_E_MEMORY, those
 * of reading. `facts`: the roster's own, which get the movement worked out of the picks
 * read; NULL where they have it (ap_roster_load_learnt()). */
AP_MUST_USE ap_status ap_hung_load(ap_hung_list *out, ap_book *book, const ap_roster *roster, ap_fact *facts,
                                   const ap_rule_limits *limits, ap_date since, ap_date until, ap_error *err);
void ap_hung_release(ap_hung_list *list);
/* `species`: NULL when not known. `kept`: what the book keeps of its reconstruction, NULL for nothing. `no_hang`: why the piece cannot
 * be hung up, SAID when it can; NULL when not asked for. */
void ap_hung_set(ap_hung *out, const ap_pick *pick, const ap_species *species, const ap_company *company,
                 ap_recon_kept *kept, ap_recon_reason *no_hang);
/* A leg hangs slack by the rule's limit; or does, or the only leg sits too far below the centre of gravity. */
bool ap_leg_hangs_slack(const ap_hung *hung, const ap_rule_limits *limits);
bool ap_leg_is_missing(const ap_hung *hung, const ap_rule_limits *limits);
/* For picks in their order: NULL when there is nothing to say of this one. *place begins at 0 and is moved along. */
const ap_hung *ap_hung_get(const ap_hung_list *list, size_t *place, size_t fact);

#endif
