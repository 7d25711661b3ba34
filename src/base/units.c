/* The one table of factors. "exact" rows are exact by definition; B.8 prints some of them rounded to seven digits, and
 * Handbook 44 Appendix C gives the exact value. A unit of force in a cell of loads is read as the mass it holds at
 * standard gravity, since that is how a crane's chart and indicator are read. */
#include "base/units.h"

typedef struct unit_row {
    const char *symbol;
    ap_dim dim;
    double to_si; /* NaN: not known */
} unit_row;

static const unit_row units[AP_UNIT_COUNT] = {
    [AP_UNIT_NONE] = {"", AP_DIM_NONE, 1.0},
    [AP_UNIT_KG] = {"kg", AP_DIM_LOAD, 1.0},          /* SI base unit: SP 811 table 1 */
    [AP_UNIT_G] = {"g", AP_DIM_LOAD, 1e-3},           /* SI prefix: SP 811 table 5 */
    [AP_UNIT_TONNE] = {"tonne", AP_DIM_LOAD, 1000.0}, /* "tonne (metric ton)", exact: SP 811 B.8, table 6 */
    [AP_UNIT_LB] = {"lb", AP_DIM_LOAD, 0.45359237},   /* avoirdupois, exact: SP 811 B.8; Handbook 44 App. C */
    [AP_UNIT_OZ] = {"oz", AP_DIM_LOAD,
                    0.028349523125}, /* avoirdupois, exact, 1/16 lb: Handbook 44 App. C; B.8 rounded */
    [AP_UNIT_US_TON] = {"short ton", AP_DIM_LOAD, 907.18474},     /* 2000 lb, exact: Handbook 44 App. C; B.8 rounded */
    [AP_UNIT_LONG_TON] = {"long ton", AP_DIM_LOAD, 1016.0469088}, /* 2240 lb, exact: Handbook 44 App. C; B.8 rounded */
    [AP_UNIT_TON] = {"ton", AP_DIM_LOAD, (double)NAN},            /* short, long or metric: not guessed */
    [AP_UNIT_KN] = {"kN", AP_DIM_LOAD, 1000.0 / AP_STANDARD_GRAVITY}, /* standard gravity, exact: SP 811 B.8 */
    [AP_UNIT_N] = {"N", AP_DIM_LOAD, 1.0 / AP_STANDARD_GRAVITY},      /* standard gravity, exact: SP 811 B.8 */
    [AP_UNIT_LBF] = {"lbf", AP_DIM_LOAD, 0.45359237}, /* a pound at standard gravity, exact: SP 811 B.8 */
    [AP_UNIT_KGF] = {"kgf", AP_DIM_LOAD, 1.0},        /* a kilogram at standard gravity, exact: SP 811 B.8 */
    [AP_UNIT_M] = {"m", AP_DIM_LENGTH, 1.0},          /* SI base unit: SP 811 table 1 */
    [AP_UNIT_CM] = {"cm", AP_DIM_LENGTH, 1e-2},       /* SI prefix: SP 811 table 5 */
    [AP_UNIT_MM] = {"mm", AP_DIM_LENGTH, 1e-3},       /* SI prefix: SP 811 table 5 */
    [AP_UNIT_FT] = {"ft", AP_DIM_LENGTH, 0.3048},     /* exact: SP 811 B.8 (not the survey foot); Handbook 44 App. C */
    [AP_UNIT_IN] = {"in", AP_DIM_LENGTH, 0.0254},     /* exact: SP 811 B.8; Handbook 44 App. C */
    [AP_UNIT_YD] = {"yd", AP_DIM_LENGTH, 0.9144},     /* exact: SP 811 B.8; Handbook 44 App. C */
    [AP_UNIT_DEG] = {"deg", AP_DIM_ANGLE, 1.0},       /* kept in degrees: SP 811 table 6 */
    [AP_UNIT_PERCENT] = {"%", AP_DIM_SHARE, 0.01},    /* 1 % = 0.01: SP 811 section 7.10.2 */
    [AP_UNIT_ONE] = {"", AP_DIM_SHARE, 1.0},          /* the unit one: SP 811 section 7.10 */
    [AP_UNIT_M3] = {"m3", AP_DIM_VOLUME, 1.0},        /* SI derived unit: SP 811 table 2 */
    [AP_UNIT_FT3] = {"ft3", AP_DIM_VOLUME, 0.028316846592}, /* 0.3048^3, exact: Handbook 44 App. C; B.8 rounded */
    [AP_UNIT_KG_M3] = {"kg/m3", AP_DIM_DENSITY, 1.0},       /* SI derived unit: SP 811 table 2 */
    [AP_UNIT_LB_FT3] = {"lb/ft3", AP_DIM_DENSITY,
                        0.45359237 / 0.028316846592}, /* B.8: 1.601 846 E+01, from the above */
};

/* "net ton" and "gross ton" are left out: on a pick they say what was weighed, not which ton.
 * As people write them, after normalise(): lower case, no full stops, one blank for blanks, '-' and '_'. */
typedef struct word_row {
    const char *word;
    ap_unit unit;
} word_row;

static const word_row words[] = {
    {"kg", AP_UNIT_KG},
    {"kgs", AP_UNIT_KG},
    {"kilo", AP_UNIT_KG},
    {"kilos", AP_UNIT_KG},
    {"kilogram", AP_UNIT_KG},
    {"kilograms", AP_UNIT_KG},
    {"kilogramme", AP_UNIT_KG},
    {"kilogrammes", AP_UNIT_KG},
    {"g", AP_UNIT_G},
    {"gram", AP_UNIT_G},
    {"grams", AP_UNIT_G},
    {"gramme", AP_UNIT_G},
    {"grammes", AP_UNIT_G},
    {"tonne", AP_UNIT_TONNE},
    {"tonnes", AP_UNIT_TONNE},
    {"metric ton", AP_UNIT_TONNE},
    {"metric tons", AP_UNIT_TONNE},
    {"metric tonne", AP_UNIT_TONNE},
    {"metric tonnes", AP_UNIT_TONNE},
    {"mt", AP_UNIT_TONNE},
    {"lb", AP_UNIT_LB},
    {"lbs", AP_UNIT_LB},
    {"#", AP_UNIT_LB},
    {"#s", AP_UNIT_LB},
    {"pound", AP_UNIT_LB},
    {"pounds", AP_UNIT_LB},
    {"oz", AP_UNIT_OZ},
    {"ozs", AP_UNIT_OZ},
    {"ounce", AP_UNIT_OZ},
    {"ounces", AP_UNIT_OZ},
    {"short ton", AP_UNIT_US_TON},
    {"short tons", AP_UNIT_US_TON},
    {"us ton", AP_UNIT_US_TON},
    {"us tons", AP_UNIT_US_TON},
    {"long ton", AP_UNIT_LONG_TON},
    {"long tons", AP_UNIT_LONG_TON},
    {"imperial ton", AP_UNIT_LONG_TON},
    {"imperial tons", AP_UNIT_LONG_TON},
    {"uk ton", AP_UNIT_LONG_TON},
    {"uk tons", AP_UNIT_LONG_TON},
    {"t", AP_UNIT_TON},
    {"ts", AP_UNIT_TON},
    {"ton", AP_UNIT_TON},
    {"tons", AP_UNIT_TON},
    {"kn", AP_UNIT_KN},
    {"kilonewton", AP_UNIT_KN},
    {"kilonewtons", AP_UNIT_KN},
    {"n", AP_UNIT_N},
    {"newton", AP_UNIT_N},
    {"newtons", AP_UNIT_N},
    {"lbf", AP_UNIT_LBF},
    {"lbsf", AP_UNIT_LBF},
    {"pound force", AP_UNIT_LBF},
    {"pounds force", AP_UNIT_LBF},
    {"kgf", AP_UNIT_KGF},
    {"kp", AP_UNIT_KGF},
    {"kilogram force", AP_UNIT_KGF},
    {"kilograms force", AP_UNIT_KGF},
    {"m", AP_UNIT_M},
    {"mtr", AP_UNIT_M},
    {"mtrs", AP_UNIT_M},
    {"meter", AP_UNIT_M},
    {"meters", AP_UNIT_M},
    {"metre", AP_UNIT_M},
    {"metres", AP_UNIT_M},
    {"cm", AP_UNIT_CM},
    {"cms", AP_UNIT_CM},
    {"centimeter", AP_UNIT_CM},
    {"centimeters", AP_UNIT_CM},
    {"centimetre", AP_UNIT_CM},
    {"centimetres", AP_UNIT_CM},
    {"mm", AP_UNIT_MM},
    {"mms", AP_UNIT_MM},
    {"millimeter", AP_UNIT_MM},
    {"millimeters", AP_UNIT_MM},
    {"millimetre", AP_UNIT_MM},
    {"millimetres", AP_UNIT_MM},
    {"ft", AP_UNIT_FT},
    {"fts", AP_UNIT_FT},
    {"foot", AP_UNIT_FT},
    {"feet", AP_UNIT_FT},
    {"'", AP_UNIT_FT},
    {"\xE2\x80\xB2", AP_UNIT_FT}, /* U+2032 prime */
    {"\xE2\x80\x99", AP_UNIT_FT}, /* U+2019, as word processors turn ' */
    {"\xE2\x80\x98", AP_UNIT_FT}, /* U+2018 */
    {"in", AP_UNIT_IN},
    {"ins", AP_UNIT_IN},
    {"inch", AP_UNIT_IN},
    {"inches", AP_UNIT_IN},
    {"\"", AP_UNIT_IN},
    {"''", AP_UNIT_IN},
    {"\xE2\x80\xB3", AP_UNIT_IN},             /* U+2033 double prime */
    {"\xE2\x80\xB2\xE2\x80\xB2", AP_UNIT_IN}, /* two primes */
    {"\xE2\x80\x9D", AP_UNIT_IN},             /* U+201D, as word processors turn " */
    {"\xE2\x80\x9C", AP_UNIT_IN},             /* U+201C */
    {"\xE2\x80\x99\xE2\x80\x99", AP_UNIT_IN},
    {"yd", AP_UNIT_YD},
    {"yds", AP_UNIT_YD},
    {"yard", AP_UNIT_YD},
    {"yards", AP_UNIT_YD},
    {"deg", AP_UNIT_DEG},
    {"degs", AP_UNIT_DEG},
    {"degree", AP_UNIT_DEG},
    {"degrees", AP_UNIT_DEG},
    {"\xC2\xB0", AP_UNIT_DEG},
    {"\xC2\xBA", AP_UNIT_DEG}, /* U+00BA, typed for the degree sign */
    {"%", AP_UNIT_PERCENT},
    {"pct", AP_UNIT_PERCENT},
    {"percent", AP_UNIT_PERCENT},
    {"per cent", AP_UNIT_PERCENT},
    {"m3", AP_UNIT_M3},
    {"m^3", AP_UNIT_M3},
    {"m\xC2\xB3", AP_UNIT_M3},
    {"cu m", AP_UNIT_M3},
    {"cubic meter", AP_UNIT_M3},
    {"cubic meters", AP_UNIT_M3},
    {"cubic metre", AP_UNIT_M3},
    {"cubic metres", AP_UNIT_M3},
    {"ft3", AP_UNIT_FT3},
    {"ft^3", AP_UNIT_FT3},
    {"ft\xC2\xB3", AP_UNIT_FT3},
    {"cu ft", AP_UNIT_FT3},
    {"cuft", AP_UNIT_FT3},
    {"cubic foot", AP_UNIT_FT3},
    {"cubic feet", AP_UNIT_FT3},
    {"kg/m3", AP_UNIT_KG_M3},
    {"kg/m^3", AP_UNIT_KG_M3},
    {"kg/m\xC2\xB3", AP_UNIT_KG_M3},
    {"kg/cu m", AP_UNIT_KG_M3},
    {"kg per cubic meter", AP_UNIT_KG_M3},
    {"kg per cubic metre", AP_UNIT_KG_M3},
    {"lb/ft3", AP_UNIT_LB_FT3},
    {"lbs/ft3", AP_UNIT_LB_FT3},
    {"lb/ft^3", AP_UNIT_LB_FT3},
    {"lbs/ft^3", AP_UNIT_LB_FT3},
    {"lb/ft\xC2\xB3", AP_UNIT_LB_FT3},
    {"lbs/ft\xC2\xB3", AP_UNIT_LB_FT3},
    {"lb/cu ft", AP_UNIT_LB_FT3},
    {"lbs/cu ft", AP_UNIT_LB_FT3},
    {"lb per cubic foot", AP_UNIT_LB_FT3},
    {"lbs per cubic foot", AP_UNIT_LB_FT3},
    {"pounds per cubic foot", AP_UNIT_LB_FT3},
    {"pcf", AP_UNIT_LB_FT3},
};

static const unit_row *row_of(ap_unit unit) {
    return &units[(unsigned)unit < AP_UNIT_COUNT ? unit : AP_UNIT_NONE];
}

const char *ap_unit_symbol(ap_unit unit) {
    return row_of(unit)->symbol;
}

ap_dim ap_unit_dim(ap_unit unit) {
    return row_of(unit)->dim;
}

double ap_unit_to_si(ap_unit unit, double value) {
    return value * row_of(unit)->to_si;
}

double ap_unit_from_si(ap_unit unit, double value) {
    return value / row_of(unit)->to_si;
}

/* Length of the normalised word; 0 when it is blank or too long to be a unit. */
static size_t normalise(char *out, size_t size, ap_str word) {
    size_t len = 0;
    bool gap = false;
    word = ap_str_trim(word);
    for (size_t i = 0; i < word.len; i++) {
        char byte = word.ptr[i];
        if (byte == '.') {
            continue;
        }
        if ((unsigned char)byte == 0xC2u && i + 1 < word.len && (unsigned char)word.ptr[i + 1] == 0xA0u) {
            byte = ' ';
            i++;
        }
        if (byte == ' ' || byte == '\t' || byte == '-' || byte == '_') {
            gap = len > 0;
            continue;
        }
        if (len + 2 > size) {
            return 0;
        }
        if (gap) {
            out[len++] = ' ';
            gap = false;
        }
        out[len++] = byte >= 'A' && byte <= 'Z' ? (char)(byte + ('a' - 'A')) : byte;
    }
    return len;
}

bool ap_unit_find(ap_unit *out, ap_str word) {
    char text[32];
    ap_str normal = {text, normalise(text, sizeof text, word)};
    if (normal.len == 0) {
        return false;
    }
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (ap_str_equal_word(normal, words[i].word)) {
            *out = words[i].unit;
            return true;
        }
    }
    return false;
}

double ap_written_quantum(ap_written written) {
    static const double tenths[] = {1e0,  1e-1, 1e-2,  1e-3,  1e-4,  1e-5,  1e-6,  1e-7,
                                    1e-8, 1e-9, 1e-10, 1e-11, 1e-12, 1e-13, 1e-14, 1e-15};
    if (written.quantum < sizeof tenths / sizeof tenths[0]) {
        return tenths[written.quantum];
    }
    return written.quantum >= 32 && written.quantum < 64 ? ldexp(1.0, 32 - (int)written.quantum) : 0.0;
}

double ap_written_quantum_si(ap_written written) {
    if (written.unit == AP_UNIT_NONE || written.unit >= AP_UNIT_COUNT) {
        return 0.0;
    }
    return ap_unit_to_si((ap_unit)written.unit, ap_written_quantum(written));
}

ap_unit ap_unit_for_page(ap_unit_system page, ap_dim dim, bool small) {
    bool us = page == AP_UNITS_US;
    switch (dim) {
    case AP_DIM_LENGTH:
        if (small) {
            return us ? AP_UNIT_IN : AP_UNIT_CM;
        }
        return us ? AP_UNIT_FT : AP_UNIT_M;
    case AP_DIM_LOAD:
    case AP_DIM_FORCE: /* as the mass it holds: divide by AP_STANDARD_GRAVITY first */
        return us ? AP_UNIT_LB : AP_UNIT_KG;
    case AP_DIM_ANGLE:
        return AP_UNIT_DEG;
    case AP_DIM_SHARE:
        return AP_UNIT_PERCENT;
    case AP_DIM_VOLUME:
        return us ? AP_UNIT_FT3 : AP_UNIT_M3;
    case AP_DIM_DENSITY:
        return us ? AP_UNIT_LB_FT3 : AP_UNIT_KG_M3;
    case AP_DIM_NONE:
    case AP_DIM_COUNT:
        break;
    }
    return AP_UNIT_NONE;
}
