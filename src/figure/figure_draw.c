/* Runs gnuplot and takes its output apart. All figures go to one child; when that ends badly, every figure that is still
 * missing goes to a child of its own, so that a broken one does not take the others with it. */
#include "base/child.h"
#include "figure/figure_parts.h"

enum { SENTENCE_MAX = 400, WORDS_MAX = 200 };

static int64_t now_ms(void) {
    struct timespec time = {0};
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (int64_t)time.tv_sec * 1000 + time.tv_nsec / 1000000;
}

/* What came of one child. */
typedef enum ending {
    ENDED_WELL = 0,
    ENDED_BADLY,
    ENDED_LATE,
    NO_SCRIPT,
    ENDED_OLD,
    ENDED_WITHOUT,
    NOT_STARTED
} ending;

typedef struct run {
    ending end;
    char words[WORDS_MAX]; /* the child's own, or those of the machine */
} run;

ap_str ap_figure_find(ap_str in, const char *what) {
    size_t len = strlen(what);
    for (size_t i = 0; i + len <= in.len; i++) {
        const char *hit = memchr(in.ptr + i, what[0], in.len - i - len + 1);
        if (!hit) {
            break;
        }
        i = (size_t)(hit - in.ptr);
        if (memcmp(hit, what, len) == 0) {
            return (ap_str){hit, in.len - i};
        }
    }
    return AP_STR_NONE;
}

/* Without the form feed and the empty lines that the text terminal puts around its drawing. */
static ap_str trim_text(ap_str text) {
    for (ap_str rest = text; rest.len > 0;) {
        ap_str line = ap_str_split(rest, '\n', &rest);
        if (strspn(line.ptr, " \f\r") < line.len) {
            text = (ap_str){line.ptr, text.len - (size_t)(line.ptr - text.ptr)};
            break;
        }
    }
    while (text.len > 0 && strchr("\f\n\r ", text.ptr[text.len - 1])) {
        text.len--;
    }
    if (text.len > 0 && text.ptr[0] == '\f') {
        text.ptr++;
        text.len--;
    }
    return text;
}

static ap_status keep_drawing(ap_figure *figure, bool narrow, ap_str raw, ap_error *err) {
    ap_arena *arena = figure->set->arena;
    if (figure->set->format != AP_FIGURE_SVG) {
        figure->output = ap_arena_str(arena, figure->set->format == AP_FIGURE_TEXT ? trim_text(raw) : raw);
        return AP_OK;
    }
    ap_buf made;
    ap_buf shrunk;
    ap_buf_init(&made, AP_FIGURE_TEXT_MAX);
    ap_buf_init(&shrunk, AP_FIGURE_TEXT_MAX);
    ap_str id = narrow ? ap_arena_printf(arena, "%.*s-narrow", AP_STR_ARG(figure->id)) : figure->id;
    ap_status status = ap_svg_inline(&made, raw, id, figure->title, figure->description, err);
    if (status == AP_OK) {
        ap_svg_shrink(&shrunk, ap_buf_str(&made), id);
        status = ap_buf_check(&shrunk, "a figure's drawing", err);
    }
    if (status == AP_OK) {
        ap_str *kept = narrow ? &figure->narrow : &figure->output;
        *kept = ap_arena_str(arena, ap_buf_str(&shrunk));
    }
    ap_buf_release(&shrunk);
    ap_buf_release(&made);
    return status;
}

/* A drawing counts only between both of its lines: a child that died in the middle leaves none. */
static ap_status take_drawing(ap_figure *figure, bool narrow, ap_str output, run *r) {
    const char *which = narrow ? "narrow " : "";
    char mark[80];
    snprintf(mark, sizeof mark, AP_FIGURE_MARK "begin %s%zu" AP_FIGURE_MARK_END "\n", which, figure->number);
    ap_str from = ap_figure_find(output, mark);
    if (!from.ptr) {
        return AP_OK;
    }
    from.ptr += strlen(mark);
    from.len -= strlen(mark);
    snprintf(mark, sizeof mark, AP_FIGURE_MARK "end %s%zu" AP_FIGURE_MARK_END, which, figure->number);
    ap_str to = ap_figure_find(from, mark);
    if (!to.ptr) {
        return AP_OK;
    }
    from.len -= to.len;
    if (from.len == 0) {
        return AP_OK;
    }
    ap_error err;
    ap_error_clear(&err);
    ap_status status = keep_drawing(figure, narrow, from, &err);
    if (status == AP_E_CHILD || status == AP_E_LIMIT) {
        r->end = ENDED_BADLY;
        snprintf(r->words, sizeof r->words, "%.*s", WORDS_MAX - 1, err.text);
        return AP_OK;
    }
    return status;
}

/* gnuplot shows the line, a caret and then `"/dev/stdin" line 12: what is wrong`: the last such line, without its place. */
static void take_words(run *r, ap_str errors) {
    ap_str words = AP_STR_NONE;
    for (ap_str rest = errors; rest.len > 0;) {
        ap_str line = ap_str_trim(ap_str_split(rest, '\n', &rest));
        if (line.len > 0 && !ap_figure_find(line, "warning:").ptr) {
            words = line;
        }
    }
    ap_str place = ap_figure_find(words, "\" line ");
    ap_str told = place.ptr ? ap_figure_find(place, ": ") : AP_STR_NONE;
    if (told.len > 2) {
        words = (ap_str){told.ptr + 2, told.len - 2};
    }
    ap_buf clean;
    ap_buf_init(&clean, 4096);
    ap_figure_clean(&clean, words, AP_FIGURE_QUOTED, 120);
    ap_str text = ap_buf_str(&clean);
    snprintf(r->words, sizeof r->words, "%.*s", AP_STR_ARG(text));
    ap_buf_release(&clean);
}

static void judge(run *r, const ap_child_result *result) {
    ap_str output = ap_buf_str(&result->output);
    if (ap_figure_find(output, AP_FIGURE_MARK "old" AP_FIGURE_MARK_END).ptr) {
        r->end = ENDED_OLD;
    } else if (ap_figure_find(output, AP_FIGURE_MARK "without" AP_FIGURE_MARK_END).ptr) {
        r->end = ENDED_WITHOUT;
    } else if (result->exit_code != 0 || !ap_figure_find(output, AP_FIGURE_MARK "done" AP_FIGURE_MARK_END).ptr) {
        r->end = ENDED_BADLY;
        take_words(r, ap_buf_str(&result->errors));
        if (!r->words[0] && result->exit_code < 0) {
            snprintf(r->words, sizeof r->words, "it died of signal %d", result->signal);
        } else if (!r->words[0]) {
            snprintf(r->words, sizeof r->words, "it ended with code %d and no word", result->exit_code);
        }
    }
}

static bool is_wanted(const ap_figure *figure) {
    return !figure->output.ptr && !figure->missing.ptr;
}

/* One child for `only`, or for all that are still wanted. An error is memory, or a plot file that is not there. */
static ap_status run_child(run *r, ap_figure_set *set, ap_figure *only, int64_t limit_ms, ap_error *err) {
    static const char *const argv[] = {"gnuplot", "-d", "/dev/stdin", NULL};
    memset(r, 0, sizeof *r);
    ap_child_result result = {0};
    ap_buf script;
    ap_buf_init(&script, AP_FIGURE_TEXT_MAX);
    ap_status status = ap_figure_script(&script, set, only, err);
    if (status != AP_OK) {
        goto done;
    }
    ap_child_spec spec = {.argv = argv,
                          .input = ap_buf_str(&script),
                          .output_max = AP_FIGURE_TEXT_MAX,
                          .errors_max = 64u << 10,
                          .deadline_ms = (int)limit_ms};
    int64_t start = now_ms();
    ap_error child;
    ap_error_clear(&child);
    status = ap_child_run(&result, &spec, &child);
    if (status == AP_E_MEMORY) {
        ap_error_set(err, status, "%s", child.text);
        goto done;
    }
    if (status != AP_OK) {
        bool late = now_ms() - start >= limit_ms - 50;
        r->end = late ? ENDED_LATE : status == AP_E_CHILD ? NOT_STARTED : ENDED_BADLY;
        snprintf(r->words, sizeof r->words, "%.*s", WORDS_MAX - 1, child.text);
    } else {
        judge(r, &result);
    }
    status = AP_OK;
    for (ap_figure *figure = set->first; figure && status == AP_OK; figure = figure->next) {
        if (is_wanted(figure) && (!only || figure == only)) {
            status = take_drawing(figure, false, ap_buf_str(&result.output), r);
            if (status == AP_OK && set->narrow) {
                status = take_drawing(figure, true, ap_buf_str(&result.output), r);
            }
        }
    }
done:
    ap_child_result_release(&result);
    ap_buf_release(&script);
    return status;
}

static ap_str sentence(ap_figure_set *set, const run *r) {
    static const char *const formats[] = {"SVG", "PNG", "PDF", "text"};
    const char *format = formats[set->format];
    switch (r->end) {
    case NOT_STARTED:
        return ap_arena_printf(
            set->arena,
            "not drawn: gnuplot could not be started (%s); install it (Debian: gnuplot-nox) and run this again",
            r->words);
    case ENDED_LATE:
        return ap_arena_printf(set->arena, "not drawn: gnuplot did not finish in time and was stopped");
    case ENDED_OLD:
        return ap_arena_printf(set->arena,
                               "not drawn: this gnuplot is older than 5.2, the oldest that can draw these figures");
    case ENDED_WITHOUT:
        return ap_arena_printf(set->arena,
                               "not drawn: this gnuplot cannot write %s; SVG works with every gnuplot package", format);
    case NO_SCRIPT:
        return ap_arena_printf(set->arena, "not drawn: %s", r->words);
    case ENDED_BADLY:
    case ENDED_WELL:
        break;
    }
    return ap_arena_printf(set->arena, "not drawn: gnuplot failed: %s", r->words[0] ? r->words : "it gave no drawing");
}

static void mark_missing(ap_figure_set *set, ap_figure *only, ap_str why) {
    for (ap_figure *figure = set->first; figure; figure = figure->next) {
        if (is_wanted(figure) && (!only || figure == only)) {
            figure->missing = why;
        }
    }
}

static size_t count_wanted(const ap_figure_set *set) {
    size_t count = 0;
    for (const ap_figure *figure = set->first; figure; figure = figure->next) {
        count += is_wanted(figure);
    }
    return count;
}

/* Closes blocks and sets aside what is not for gnuplot to see. */
static void prepare(ap_figure_set *set) {
    for (ap_figure *figure = set->first; figure; figure = figure->next) {
        ap_figure_close_block(figure);
        if (figure->missing.ptr || figure->output.ptr) {
            continue;
        }
        if (figure->broken) {
            figure->missing = ap_arena_str(
                set->arena, AP_STR_LIT("not drawn: its description is broken (a mistake of this program)"));
        } else if (figure->block_count > 0 && figure->main_finite == 0) {
            figure->missing = ap_arena_str(set->arena, figure->main_rows == 0
                                                           ? AP_STR_LIT("nothing to draw: no picks")
                                                           : AP_STR_LIT("nothing to draw: no pick has the numbers"));
        }
    }
}

static bool any_drawn(const ap_figure_set *set) {
    for (const ap_figure *figure = set->first; figure; figure = figure->next) {
        if (figure->output.ptr) {
            return true;
        }
    }
    return false;
}

/* Each missing figure on its own, with an even share of the time that is left. A gnuplot that hangs twice over and has drawn
 * nothing is not asked again. */
static ap_status draw_singly(ap_figure_set *set, int64_t end_ms, ap_error *err) {
    int hangs = 0;
    for (ap_figure *figure = set->first; figure; figure = figure->next) {
        if (!is_wanted(figure)) {
            continue;
        }
        int64_t left = end_ms - now_ms();
        int64_t share = left / (int64_t)count_wanted(set);
        run r = {.end = ENDED_LATE};
        if (share >= 50) {
            ap_status status = run_child(&r, set, figure, share, err);
            if (status == AP_E_MEMORY) {
                return status;
            }
            if (status != AP_OK) {
                r.end = NO_SCRIPT;
                snprintf(r.words, sizeof r.words, "%.*s", WORDS_MAX - 1, err->text);
                ap_error_clear(err);
            }
        }
        if (!figure->output.ptr) {
            mark_missing(set, figure, sentence(set, &r));
            hangs += r.end == ENDED_LATE;
        }
        if (hangs == 2 && !any_drawn(set)) {
            mark_missing(set, NULL, sentence(set, &r));
        }
    }
    return AP_OK;
}

static ap_str sum_up(ap_figure_set *set, size_t wanted) {
    const ap_figure *first = NULL;
    size_t failed = 0;
    for (const ap_figure *figure = set->first; figure; figure = figure->next) {
        if (figure->tried && !figure->output.ptr) {
            first = first ? first : figure;
            failed++;
        }
    }
    if (!first) {
        return AP_STR_NONE;
    }
    if (failed == wanted && wanted > 1) {
        return ap_arena_printf(set->arena, "no figure could be drawn: %.*s", AP_STR_ARG(first->missing));
    }
    return ap_arena_printf(set->arena, "%zu of %zu figures could not be drawn, first '%.*s': %.*s", failed, wanted,
                           AP_STR_ARG(first->id), AP_STR_ARG(first->missing));
}

ap_status ap_figure_set_draw(ap_str *trouble, ap_figure_set *set, int deadline_ms, ap_error *err) {
    ap_error scratch;
    err = err ? err : &scratch;
    ap_error_clear(err);
    int64_t end_ms = now_ms() + (deadline_ms > 0 ? deadline_ms : 0);
    prepare(set);
    size_t wanted = count_wanted(set);
    for (ap_figure *figure = set->first; figure; figure = figure->next) {
        figure->tried = is_wanted(figure);
    }
    ap_status status = AP_OK;
    if (wanted > 0) {
        run r;
        /* Part of the time is kept back: one figure that hangs must not take the others with it. */
        status = run_child(&r, set, NULL, wanted > 1 ? (int64_t)deadline_ms * 6 / 10 : deadline_ms, err);
        if (status == AP_OK && r.end >= ENDED_OLD) {
            mark_missing(set, NULL, sentence(set, &r));
        }
        if (status != AP_E_MEMORY) {
            ap_error_clear(err);
            status = draw_singly(set, end_ms, err);
        }
    }
    if (status != AP_OK) {
        return status;
    }
    *trouble = sum_up(set, wanted);
    return ap_arena_check(set->arena, "figures", err);
}
