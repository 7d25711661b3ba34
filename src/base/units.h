/* Units of measure. Inside, everything is SI (kg, m, N, degrees); this table is the only list of factors.
 *
 * Source of factors: NIST SP 811 (2008) Appendix B.8 and NIST Handbook 44 Appendix C; each row of units.c names its own. */
#ifndef AP_BASE_UNITS_H
#define AP_BASE_UNITS_H

#include "base/str.h"

typedef enum ap_dim {
    AP_DIM_NONE = 0,
    AP_DIM_LENGTH,  /* m */
    AP_DIM_LOAD,    /* kg: a mass, or a force read as the mass it holds (kN, lbf; standard gravity) */
    AP_DIM_ANGLE,   /* degrees */
    AP_DIM_SHARE,   /* 1; percent is written on the page */
    AP_DIM_FORCE,   /* N; on the page as the mass it holds, in the unit slings are rated in */
    AP_DIM_VOLUME,  /* m3; cubic feet */
    AP_DIM_DENSITY, /* kg/m3; lb/ft3 */
    AP_DIM_COUNT
} ap_dim;

typedef enum ap_unit {
    AP_UNIT_NONE = 0, /* no unit written */
    AP_UNIT_KG,
    AP_UNIT_G,
    AP_UNIT_TONNE,
    AP_UNIT_LB,
    AP_UNIT_OZ,
    AP_UNIT_US_TON,
    AP_UNIT_LONG_TON,
    AP_UNIT_TON, /* "t", "ton", "tons": which ton is not known until a setting or profile says so */
    AP_UNIT_KN,
    AP_UNIT_N,
    AP_UNIT_LBF,
    AP_UNIT_KGF,
    AP_UNIT_M,
    AP_UNIT_CM,
    AP_UNIT_MM,
    AP_UNIT_FT,
    AP_UNIT_IN,
    AP_UNIT_YD,
    AP_UNIT_DEG,
    AP_UNIT_PERCENT,
    AP_UNIT_ONE,
    AP_UNIT_M3,
    AP_UNIT_FT3,
    AP_UNIT_KG_M3,
    AP_UNIT_LB_FT3,
    AP_UNIT_COUNT
} ap_unit;

#define AP_STANDARD_GRAVITY 9.80665 /* m/s2, exact: NIST SP 811 B.8 */

/* A written quantity keeps how it was written: its unit and the size of its last digit. */
typedef struct ap_written {
    uint8_t unit;    /* ap_unit */
    uint8_t quantum; /* code for the last digit's size in that unit: see ap_written_quantum() */
} ap_written;

const char *ap_unit_symbol(ap_unit unit); /* "lb", "kg", "ft" ... */
ap_dim ap_unit_dim(ap_unit unit);         /* the dimension a written unit belongs to */
double ap_unit_to_si(ap_unit unit, double value);
double ap_unit_from_si(ap_unit unit, double value);
/* A unit word as people write it ("lbs", "#", "feet", "'", "tonnes", "metric tons"); false when it is none. */
bool ap_unit_find(ap_unit *out, ap_str word);

/* The size of the last written digit in the written unit. Codes 0..15 mean 10^-code decimals (trailing zeros before
 * the decimal point count as written: 4800 is read to 1); 32 + k means a fraction of 1/2^k (18' 6 1/2" is read to 1/2 in). */
double ap_written_quantum(ap_written written);
/* The size of the last written digit in SI. 0 when nothing was written. */
double ap_written_quantum_si(ap_written written);

/* What a report is written in. */
typedef enum ap_unit_system { AP_UNITS_US = 0, AP_UNITS_METRIC } ap_unit_system;
/* The unit a quantity of this dimension is printed in; `small` picks in/cm over ft/m. */
ap_unit ap_unit_for_page(ap_unit_system units, ap_dim dim, bool small);

#endif
