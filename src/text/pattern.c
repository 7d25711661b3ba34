/* PCRE2 behind limits. The limits are far above what a sound pattern needs on one line of a log and far below what a
 * person would wait for. */
#define PCRE2_CODE_UNIT_WIDTH 8
#include <pcre2.h>

#include "text/pattern.h"

enum {
    PATTERN_BYTES_MAX = 64 * 1024, /* all phrase rules together are the longest */
    NEST_MAX = 100,
    MATCH_STEPS_MAX = 1000 * 1000,
    DEPTH_MAX = 20 * 1000,
    HEAP_KIB_MAX = 16 * 1024,
    JIT_STACK_START = 32 * 1024,
    JIT_STACK_MAX = 1024 * 1024
};

struct ap_pattern {
    pcre2_code *code;
    pcre2_match_data *data;
    pcre2_match_context *context;
    pcre2_jit_stack *stack;
    ap_str subject;
    bool found;
    uint32_t name_count;
    uint32_t name_size;
    PCRE2_SPTR names;
};

static bool options_from_flags(uint32_t *options, const char *flags) {
    *options = PCRE2_UTF | PCRE2_MATCH_INVALID_UTF | PCRE2_NEVER_BACKSLASH_C;
    for (const char *flag = flags ? flags : ""; *flag; flag++) {
        switch (*flag) {
        case 'i':
            *options |= PCRE2_CASELESS;
            break;
        case 'x':
            *options |= PCRE2_EXTENDED;
            break;
        case 'm':
            *options |= PCRE2_MULTILINE;
            break;
        case 's':
            *options |= PCRE2_DOTALL;
            break;
        default:
            return false;
        }
    }
    return true;
}

static ap_status compile(ap_pattern *pattern, ap_str text, uint32_t options, ap_error *err) {
    pcre2_compile_context *context = pcre2_compile_context_create(NULL);
    if (!context) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while compiling a pattern");
    }
    pcre2_set_parens_nest_limit(context, NEST_MAX);
    pcre2_set_max_pattern_length(context, PATTERN_BYTES_MAX);
    int code = 0;
    PCRE2_SIZE offset = 0;
    pattern->code = pcre2_compile((PCRE2_SPTR)(text.ptr ? text.ptr : ""), text.len, options, &code, &offset, context);
    pcre2_compile_context_free(context);
    if (pattern->code) {
        return AP_OK;
    }
    PCRE2_UCHAR words[256] = {0};
    pcre2_get_error_message(code, words, sizeof words);
    return ap_error_set(err, AP_E_INPUT, "unable to compile the pattern '%.*s': %s (at byte %zu)",
                        text.len > 200 ? 200 : (int)text.len, text.ptr ? text.ptr : "", (const char *)words, offset);
}

static ap_status prepare(ap_pattern *pattern, ap_error *err) {
    pattern->data = pcre2_match_data_create_from_pattern(pattern->code, NULL);
    pattern->context = pcre2_match_context_create(NULL);
    if (!pattern->data || !pattern->context) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while compiling a pattern");
    }
    pcre2_set_match_limit(pattern->context, MATCH_STEPS_MAX);
    pcre2_set_depth_limit(pattern->context, DEPTH_MAX);
    pcre2_set_heap_limit(pattern->context, HEAP_KIB_MAX);
    /* Without JIT (not built in, or no executable memory) the interpreter matches the same. */
    if (pcre2_jit_compile(pattern->code, PCRE2_JIT_COMPLETE) == 0) {
        pattern->stack = pcre2_jit_stack_create(JIT_STACK_START, JIT_STACK_MAX, NULL);
        if (pattern->stack) {
            pcre2_jit_stack_assign(pattern->context, NULL, pattern->stack);
        }
    }
    pcre2_pattern_info(pattern->code, PCRE2_INFO_NAMECOUNT, &pattern->name_count);
    pcre2_pattern_info(pattern->code, PCRE2_INFO_NAMEENTRYSIZE, &pattern->name_size);
    pcre2_pattern_info(pattern->code, PCRE2_INFO_NAMETABLE, (void *)&pattern->names);
    return AP_OK;
}

ap_status ap_pattern_new(ap_pattern **out, ap_str text, const char *flags, ap_error *err) {
    uint32_t options = 0;
    if (!options_from_flags(&options, flags)) {
        return ap_error_set(err, AP_E_INPUT, "unknown pattern flag in '%s': use i, x, m or s", flags);
    }
    ap_pattern *pattern = calloc(1, sizeof *pattern);
    if (!pattern) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory while compiling a pattern");
    }
    ap_status status = compile(pattern, text, options, err);
    if (status == AP_OK) {
        status = prepare(pattern, err);
    }
    if (status != AP_OK) {
        ap_pattern_free(pattern);
        return status;
    }
    *out = pattern;
    return AP_OK;
}

void ap_pattern_free(ap_pattern *pattern) {
    if (!pattern) {
        return;
    }
    pcre2_match_data_free(pattern->data);
    pcre2_match_context_free(pattern->context);
    pcre2_jit_stack_free(pattern->stack);
    pcre2_code_free(pattern->code);
    free(pattern);
}

static ap_status match_error(int code, ap_error *err) {
    switch (code) {
    case PCRE2_ERROR_MATCHLIMIT:
    case PCRE2_ERROR_DEPTHLIMIT:
    case PCRE2_ERROR_HEAPLIMIT:
    case PCRE2_ERROR_JIT_STACKLIMIT:
    case PCRE2_ERROR_RECURSELOOP:
        return ap_error_set(err, AP_E_LIMIT,
                            "the pattern needs too many steps on this text: make its repeats possessive");
    case PCRE2_ERROR_NOMEMORY:
        return ap_error_set(err, AP_E_MEMORY, "out of memory while matching a pattern");
    default:
        break;
    }
    PCRE2_UCHAR words[256] = {0};
    pcre2_get_error_message(code, words, sizeof words);
    return ap_error_set(err, AP_E_INTERNAL, "unable to match a pattern: %s", (const char *)words);
}

ap_status ap_pattern_match(bool *found, ap_pattern *pattern, ap_str subject, size_t start, ap_error *err) {
    pattern->found = false;
    pattern->subject = subject;
    *found = false;
    /* A search starts at a character: stray continuation bytes cannot match anyway. */
    while (start > 0 && start < subject.len && ((unsigned char)subject.ptr[start] & 0xC0) == 0x80) {
        start++;
    }
    if (start > subject.len) {
        return AP_OK;
    }
    PCRE2_SPTR bytes = (PCRE2_SPTR)(subject.ptr ? subject.ptr : "");
    int code = pcre2_match(pattern->code, bytes, subject.len, start, 0, pattern->data, pattern->context);
    if (code == PCRE2_ERROR_JIT_STACKLIMIT) {
        code = pcre2_match(pattern->code, bytes, subject.len, start, PCRE2_NO_JIT, pattern->data, pattern->context);
    }
    if (code < 0 && code != PCRE2_ERROR_NOMATCH) {
        return match_error(code, err);
    }
    *found = pattern->found = code > 0;
    return AP_OK;
}

ap_str ap_pattern_group(const ap_pattern *pattern, unsigned group) {
    if (!pattern->found || group >= pcre2_get_ovector_count(pattern->data)) {
        return AP_STR_NONE;
    }
    const PCRE2_SIZE *offsets = pcre2_get_ovector_pointer(pattern->data);
    PCRE2_SIZE from = offsets[2 * group];
    PCRE2_SIZE to = offsets[2 * group + 1];
    /* \K inside a lookaround can set an end before its start: such a match is empty. */
    if (from == PCRE2_UNSET || from > pattern->subject.len || to > pattern->subject.len) {
        return AP_STR_NONE;
    }
    const char *bytes = pattern->subject.ptr ? pattern->subject.ptr : "";
    return (ap_str){bytes + from, to > from ? to - from : 0};
}

unsigned ap_pattern_name_count(const ap_pattern *pattern) {
    return pattern->name_count;
}

const char *ap_pattern_name(const ap_pattern *pattern, unsigned index, unsigned *group) {
    if (index >= pattern->name_count) {
        return NULL;
    }
    PCRE2_SPTR entry = pattern->names + (size_t)index * pattern->name_size;
    if (group) {
        *group = (unsigned)entry[0] << 8 | entry[1];
    }
    return (const char *)entry + 2;
}

ap_str ap_pattern_named(const ap_pattern *pattern, const char *name) {
    for (unsigned i = 0; i < pattern->name_count; i++) {
        unsigned group = 0;
        if (strcmp(ap_pattern_name(pattern, i, &group), name) == 0) {
            return ap_pattern_group(pattern, group);
        }
    }
    return AP_STR_NONE;
}

bool ap_pattern_refers_back(const ap_pattern *pattern) {
    uint32_t highest = 0;
    pcre2_pattern_info(pattern->code, PCRE2_INFO_BACKREFMAX, &highest);
    return highest > 0;
}

bool ap_pattern_may_begin(const ap_pattern *pattern, ap_str prefix) {
    uint32_t back = 0;
    pcre2_pattern_info(pattern->code, PCRE2_INFO_MAXLOOKBEHIND, &back);
    if (back > 1) {
        return true; /* what stands in front could decide */
    }
    int code = pcre2_match(pattern->code, (PCRE2_SPTR)prefix.ptr, prefix.len, 0,
                           PCRE2_ANCHORED | PCRE2_PARTIAL_HARD | PCRE2_NO_JIT, pattern->data, pattern->context);
    return code != PCRE2_ERROR_NOMATCH;
}
