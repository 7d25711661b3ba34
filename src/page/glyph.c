#include "page/glyph.h"

uint32_t ap_utf8_next(ap_str text, size_t *at) {
    size_t len = 1;
    uint32_t code = ap_utf8_get(text, *at, &len);
    *at += len;
    return code;
}

typedef struct range {
    uint32_t first, last;
} range;

static bool in_ranges(const range *ranges, size_t count, uint32_t code) {
    size_t low = 0;
    while (low < count) {
        size_t mid = low + (count - low) / 2;
        if (code > ranges[mid].last) {
            low = mid + 1;
        } else if (code < ranges[mid].first) {
            count = mid;
        } else {
            return true;
        }
    }
    return false;
}
#define IN(table, code) in_ranges((table), sizeof(table) / sizeof((table)[0]), (code))

/* Format characters that change the order of text or cannot be seen (Unicode 15, general category Cf and the
 * noncharacters); U+200C and U+200D stay, scripts and emoji need them. */
static const range hidden[] = {{0x80, 0x9F},       {0xAD, 0xAD},       {0x61C, 0x61C},     {0x180E, 0x180E},
                               {0x200B, 0x200B},   {0x200E, 0x200F},   {0x202A, 0x202E},   {0x2060, 0x206F},
                               {0xFDD0, 0xFDEF},   {0xFEFF, 0xFEFF},   {0xFFF0, 0xFFFB},   {0xFFFE, 0xFFFF},
                               {0x1BCA0, 0x1BCA3}, {0x1D173, 0x1D17A}, {0xE0000, 0xE007F}, {0xF0000, 0x10FFFF}};

bool ap_code_is_hidden(uint32_t code) {
    return code >= 0x80 && IN(hidden, code);
}

/* Combining marks of the scripts that a name may be written in (Unicode 15, Mn and Me), joined where only rare
 * characters lie between. */
static const range combining[] = {
    {0x300, 0x36F},   {0x483, 0x489},   {0x591, 0x5BD},   {0x5BF, 0x5BF},    {0x5C1, 0x5C2},   {0x5C4, 0x5C5},
    {0x5C7, 0x5C7},   {0x610, 0x61A},   {0x64B, 0x65F},   {0x670, 0x670},    {0x6D6, 0x6DC},   {0x6DF, 0x6E4},
    {0x6E7, 0x6E8},   {0x6EA, 0x6ED},   {0x730, 0x74A},   {0x900, 0x902},    {0x93A, 0x93A},   {0x93C, 0x93C},
    {0x941, 0x948},   {0x94D, 0x94D},   {0x951, 0x957},   {0x981, 0x981},    {0x9BC, 0x9BC},   {0x9C1, 0x9C4},
    {0x9CD, 0x9CD},   {0xA01, 0xA02},   {0xA3C, 0xA3C},   {0xA41, 0xA51},    {0xABC, 0xABC},   {0xAC1, 0xAC8},
    {0xACD, 0xACD},   {0xBC0, 0xBC0},   {0xBCD, 0xBCD},   {0xC3E, 0xC40},    {0xC46, 0xC56},   {0xD41, 0xD44},
    {0xD4D, 0xD4D},   {0xE31, 0xE31},   {0xE34, 0xE3A},   {0xE47, 0xE4E},    {0xEB1, 0xEB1},   {0xEB4, 0xEBC},
    {0xEC8, 0xECD},   {0x1AB0, 0x1ACE}, {0x1DC0, 0x1DFF}, {0x200C, 0x200D},  {0x20D0, 0x20F0}, {0x302A, 0x302D},
    {0x3099, 0x309A}, {0xFE00, 0xFE0F}, {0xFE20, 0xFE2F}, {0xE0100, 0xE01EF}};

/* East Asian Width W and F (Unicode 15, UAX #11), whole blocks where nearly all is wide. */
static const range wide[] = {
    {0x1100, 0x115F},   {0x231A, 0x231B},   {0x2329, 0x232A},   {0x23E9, 0x23EC},   {0x23F0, 0x23F0},
    {0x23F3, 0x23F3},   {0x25FD, 0x25FE},   {0x2614, 0x2615},   {0x2648, 0x2653},   {0x267F, 0x267F},
    {0x2693, 0x2693},   {0x26A1, 0x26A1},   {0x26AA, 0x26AB},   {0x26BD, 0x26BE},   {0x26C4, 0x26C5},
    {0x26CE, 0x26CE},   {0x26D4, 0x26D4},   {0x26EA, 0x26EA},   {0x26F2, 0x26F3},   {0x26F5, 0x26F5},
    {0x26FA, 0x26FA},   {0x26FD, 0x26FD},   {0x2705, 0x2705},   {0x270A, 0x270B},   {0x2728, 0x2728},
    {0x274C, 0x274C},   {0x274E, 0x274E},   {0x2753, 0x2755},   {0x2757, 0x2757},   {0x2795, 0x2797},
    {0x27B0, 0x27B0},   {0x27BF, 0x27BF},   {0x2B1B, 0x2B1C},   {0x2B50, 0x2B50},   {0x2B55, 0x2B55},
    {0x2E80, 0x303E},   {0x3041, 0x3247},   {0x3250, 0x4DBF},   {0x4E00, 0xA4C6},   {0xA960, 0xA97C},
    {0xAC00, 0xD7A3},   {0xF900, 0xFAFF},   {0xFE10, 0xFE19},   {0xFE30, 0xFE6B},   {0xFF01, 0xFF60},
    {0xFFE0, 0xFFE6},   {0x16FE0, 0x18CFF}, {0x1AFF0, 0x1B2FF}, {0x1F004, 0x1F004}, {0x1F0CF, 0x1F0CF},
    {0x1F18E, 0x1F18E}, {0x1F191, 0x1F19A}, {0x1F200, 0x1F320}, {0x1F32D, 0x1F335}, {0x1F337, 0x1F37C},
    {0x1F37E, 0x1F393}, {0x1F3A0, 0x1F3CA}, {0x1F3CF, 0x1F3D3}, {0x1F3E0, 0x1F3F0}, {0x1F3F4, 0x1F3F4},
    {0x1F3F8, 0x1F43E}, {0x1F440, 0x1F440}, {0x1F442, 0x1F4FC}, {0x1F4FF, 0x1F53D}, {0x1F54B, 0x1F54E},
    {0x1F550, 0x1F567}, {0x1F57A, 0x1F57A}, {0x1F595, 0x1F596}, {0x1F5A4, 0x1F5A4}, {0x1F5FB, 0x1F64F},
    {0x1F680, 0x1F6C5}, {0x1F6CC, 0x1F6CC}, {0x1F6D0, 0x1F6D2}, {0x1F6D5, 0x1F6DF}, {0x1F6EB, 0x1F6EC},
    {0x1F6F4, 0x1F6FC}, {0x1F7E0, 0x1F7F0}, {0x1F90C, 0x1F93A}, {0x1F93C, 0x1F945}, {0x1F947, 0x1F9FF},
    {0x1FA70, 0x1FAFF}, {0x20000, 0x3FFFD}};

int ap_code_width(uint32_t code) {
    return code < 0x300 ? 1 : IN(combining, code) ? 0 : code >= 0x1100 && IN(wide, code) ? 2 : 1;
}

static void glyph_of(ap_glyph *out, uint32_t code) {
    char bytes[4];
    size_t len = ap_utf8_put(bytes, code);
    memcpy(out->bytes, bytes, len);
    out->len = (uint8_t)len;
    out->width = (uint8_t)ap_code_width(code);
}

static void spell_out(ap_glyph *out, uint32_t code) {
    int len = snprintf(out->bytes, sizeof out->bytes, "‹U+%04X›", (unsigned)code);
    out->len = (uint8_t)len;
    out->width = (uint8_t)(len - 4); /* the two marks are three bytes each */
}

bool ap_glyph_next(ap_glyph *out, ap_str text, size_t *at, ap_glyph_lines lines) {
    if (*at >= text.len) {
        return false;
    }
    uint32_t code = ap_utf8_next(text, at);
    bool line_end = code == '\n' || code == '\r' || code == 0x2028 || code == 0x2029;
    if (lines == AP_GLYPH_KEEP_LINES && (code == '\n' || code == '\r' || code == '\t')) {
        glyph_of(out, code);
    } else if (line_end) {
        if (code == '\r' && *at < text.len && text.ptr[*at] == '\n') {
            (*at)++;
        }
        memcpy(out->bytes, "↵ ", 4);
        out->len = 4;
        out->width = 2;
    } else if (code == '\t') {
        glyph_of(out, ' ');
    } else if (code < 0x20) {
        glyph_of(out, 0x2400 + code);
    } else if (code == 0x7F) {
        glyph_of(out, 0x2421);
    } else if (ap_code_is_hidden(code)) {
        spell_out(out, code);
    } else {
        glyph_of(out, code);
    }
    return true;
}

size_t ap_glyph_width(ap_str text) {
    ap_glyph glyph;
    size_t width = 0;
    for (size_t at = 0; ap_glyph_next(&glyph, text, &at, AP_GLYPH_SHOW_LINES);) {
        width += glyph.width;
    }
    return width;
}

void ap_glyph_put(ap_sink *sink, ap_str text) {
    ap_glyph glyph;
    for (size_t at = 0; ap_glyph_next(&glyph, text, &at, AP_GLYPH_SHOW_LINES);) {
        ap_sink_put(sink, (ap_str){glyph.bytes, glyph.len});
    }
}
