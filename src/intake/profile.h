/* How one kind of log is read, as a person wrote it down: docs/profile.md is its manual.
 *
 * A profile is text, line by line. Reading it checks its grammar and compiles its patterns; ap_profile_try() runs its
 * samples. Everything is resolved once; rows are read through the same plan as a log with canonical columns. */
#ifndef AP_INTAKE_PROFILE_H
#define AP_INTAKE_PROFILE_H

#include "base/arena.h"
#include "base/pick.h"
#include "text/pattern.h"
#include "text/when.h"

enum {
    AP_PROFILE_BYTES_MAX = 64 * 1024,
    AP_PROFILE_LINE_MAX = 4096,
    AP_PROFILE_COLUMNS_MAX = 128,
    AP_PROFILE_VALUES_MAX = 512,
    AP_PROFILE_PATTERNS_MAX = 32,
    AP_PROFILE_SKIPS_MAX = 16,
    AP_PROFILE_SAMPLES_MAX = 64,
    AP_PROFILE_FINDS_MAX = 48,
    AP_PROFILE_CARRIES_MAX = 8,
    AP_PROFILE_CELLS_MAX = 64, /* of one sample or one list */
    AP_PROFILE_NAME_MAX = 60,
    AP_PROFILE_COUNTED = 100000 /* a column's number beyond every file: it is counted */
};

typedef enum ap_profile_kind {
    AP_PROFILE_TABLE = 0, /* columns under a header */
    AP_PROFILE_LINES,     /* one pick a line */
    AP_PROFILE_BLOCKS     /* one pick a block of "key: value" lines */
} ap_profile_kind;

typedef struct ap_profile_column {
    ap_str header; /* of the table, or the key of a block; a group's name in a text log; none = by its number alone */
    int number;    /* position in the table from 1; 0 = by its header alone */
    int field;     /* -1 = known, and read by nothing */
    ap_unit unit;  /* AP_UNIT_NONE = not said here */
    bool optional; /* "if there" */
    bool heading;  /* a group of a heading only: stands for what follows */
    int line;      /* of the profile */
} ap_profile_column;

typedef struct ap_profile_value {
    ap_str from;       /* the whole cell, case ignored; none for a pattern and for "otherwise" */
    ap_pattern *match; /* NULL unless a pattern */
    ap_str to;         /* what is read instead; empty = blank */
    bool otherwise;
} ap_profile_value;

/* What is read instead of a cell's text, for one field. */
typedef struct ap_profile_values {
    ap_profile_value *items;
    size_t count;
    bool joins; /* every pattern that matches adds its word */
} ap_profile_values;

typedef struct ap_profile_constant {
    int field;
    ap_str text;
    int line;
} ap_profile_constant;

typedef struct ap_profile_skip {
    ap_str header;     /* of the cell looked at; none = the whole line or row */
    ap_pattern *match; /* NULL = when blank */
    int line;
} ap_profile_skip;

/* A group of a pattern and the profile's column it feeds. */
typedef struct ap_profile_group {
    unsigned group;
    size_t column;
} ap_profile_group;

typedef struct ap_profile_pattern {
    ap_pattern *match;
    ap_profile_group *groups;
    size_t group_count;
    bool heading; /* its values stand for the picks that follow */
    int line;
} ap_profile_pattern;

/* One field's cell read as another field too. */
typedef struct ap_profile_also {
    int from;
    int field;
    ap_unit unit;
    int line;
} ap_profile_also;

/* Where in a line of free words a field stands. */
typedef enum ap_find_where {
    AP_FIND_ANY = 0, /* the first thing of its kind: a date, a species of the book, a word of the vocabulary */
    AP_FIND_BEHIND,  /* right behind one of the words */
    AP_FIND_BEFORE,  /* right before one of them */
    AP_FIND_FIRST,   /* the first weight that no other "find" took */
    AP_FIND_LAST,    /* the second one, of exactly two */
    AP_FIND_LIKE,    /* a word of the form of one of the words: letters for letters, digits for digits */
    AP_FIND_LINE     /* the whole line */
} ap_find_where;

typedef struct ap_profile_find {
    int field;
    ap_unit unit;
    ap_find_where where;
    ap_str *words;
    size_t word_count;
    size_t column; /* it feeds */
    int line;      /* of the profile */
} ap_profile_find;

typedef struct ap_profile_pair {
    ap_str name; /* header = text in a sample; field = text in what it gives */
    ap_str text;
    int field;
    ap_unit unit; /* written in the name: planned_weight_lb */
} ap_profile_pair;

typedef enum ap_profile_gives { AP_GIVES_FIELDS = 0, AP_GIVES_NOTHING, AP_GIVES_ASIDE } ap_profile_gives;

typedef struct ap_profile_sample {
    int line;
    ap_str text; /* of a text log */
    ap_profile_pair *cells;
    size_t cell_count;
    ap_profile_gives what;
    ap_profile_pair *gives;
    size_t give_count;
} ap_profile_sample;

typedef enum ap_profile_bare { AP_BARE_NOT_SAID = 0, AP_BARE_US, AP_BARE_METRIC } ap_profile_bare;
typedef enum ap_profile_restart {
    AP_RESTART_DAY = 1,
    AP_RESTART_CREW = 2,
    AP_RESTART_CRANE = 4,
    AP_RESTART_TREE = 8
} ap_profile_restart;

typedef struct ap_profile {
    ap_arena arena;
    ap_str text; /* as written */
    ap_str name;
    ap_profile_kind kind;
    ap_str *use_headers; /* of "use when header has" */
    size_t use_count;
    ap_str sheet;
    bool sheets_all;                     /* every sheet of a workbook that has the header */
    size_t sheets_column;                /* the column that a sheet's name feeds, counted from 1; 0 = none */
    int64_t header_line;                 /* 0 = looked for */
    bool header_none;                    /* rows from the first line on, columns by number */
    int year;                            /* of dates written without one; 0 = not said */
    int carries[AP_PROFILE_CARRIES_MAX]; /* fields whose blank cells take what the row above has */
    size_t carry_count;
    int count_line;      /* of the profile, where it says count picks */
    bool count_picks;    /* a pick without a number is counted among its job's picks of that day */
    char delimiter;      /* 0 = sniffed */
    char decimal;        /* 0 = settled by the file */
    ap_date_order dates; /* AP_DATES_UNSETTLED = settled by the file */
    ap_unit ton;         /* AP_UNIT_NONE = the book's setting */
    ap_profile_bare bare;
    unsigned restart; /* ap_profile_restart bits */
    ap_profile_column columns[AP_PROFILE_COLUMNS_MAX];
    size_t column_count;
    ap_profile_values values[AP_COLUMN_COUNT];
    size_t value_count;
    ap_profile_constant constants[AP_PROFILE_COLUMNS_MAX];
    size_t constant_count;
    ap_profile_also alsos[AP_PROFILE_CELLS_MAX];
    size_t also_count;
    ap_profile_skip skips[AP_PROFILE_SKIPS_MAX];
    size_t skip_count;
    ap_profile_pattern patterns[AP_PROFILE_PATTERNS_MAX]; /* headings and lines, in the order written */
    size_t pattern_count;
    ap_profile_find finds[AP_PROFILE_FINDS_MAX]; /* in the order written */
    size_t find_count;
    ap_profile_sample samples[AP_PROFILE_SAMPLES_MAX];
    size_t sample_count;
} ap_profile;

/* Reads a profile's text. `where` names it in messages ("crew-b.profile").
 * Errors  AP_E_INPUT: "unable to read the profile 'crew-b.profile': line 12: ...", with what is allowed there; an open
 *         question of a guess; AP_E_LIMIT: too long, too many of something. */
AP_MUST_USE ap_status ap_profile_read(ap_profile **out, ap_str text, const char *where, ap_error *err);
void ap_profile_free(ap_profile *profile);

/* What a cell of this field is read as: the cell itself, or what the profile says instead ("" = blank). Joined words live in
 * `space` until the next call. AP_E_LIMIT when a pattern needs too many steps. */
AP_MUST_USE ap_status ap_profile_value_of(ap_str *out, const ap_profile_values *values, ap_str cell, ap_buf *space,
                                          ap_error *err);

/* Two spellings of a header are one: case, runs of blanks and blanks at the ends do not count. */
bool ap_profile_header_is(ap_str a, ap_str b);

#endif
