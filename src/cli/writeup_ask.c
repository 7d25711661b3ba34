/* writeup new --ask: the questions, one a line, on a terminal. */
#include <unistd.h>

#include "cli/writeup.h"
#include "intake/told_pick.h"

enum { ANSWER_MAX = 4096 };

/* One line without its ending; false at the end of the input. A longer line is cut. */
static bool read_answer(char answer[ANSWER_MAX]) {
    if (!fgets(answer, ANSWER_MAX, stdin)) {
        return false;
    }
    size_t len = strcspn(answer, "\r\n");
    bool whole = answer[len] != '\0';
    answer[len] = '\0';
    for (int c = whole ? '\n' : getchar(); c != '\n' && c != EOF; c = getchar()) {
    }
    return true;
}

/* An answer that cannot be read is asked for again. */
static bool is_fine(ap_cli *cli, const char *field, const char *answer) {
    ap_told_pick told;
    ap_error err;
    ap_str line = ap_arena_printf(&cli->arena, "%s: %s", field, answer);
    if (ap_str_is_blank(ap_str_from(answer)) || ap_told_pick_read(&told, &cli->arena, cli->book, &cli->settings, line,
                                                                  cli->today, ap_told_no_doubt, NULL, &err) == AP_OK) {
        return true;
    }
    if (strstr(err.text, "no question is answered")) {
        return true; /* "not known" */
    }
    ap_sink_printf(cli->notes, "  %s\n", err.text);
    return false;
}

ap_status ap_writeup_ask(ap_buf *answers, ap_cli *cli, ap_error *err) {
    char answer[ANSWER_MAX];
    if (!isatty(STDIN_FILENO)) {
        return ap_error_set(err, AP_E_USAGE,
                            "--ask needs a terminal; write the answers to a file and give it with --answers FILE");
    }
    ap_sink_puts(cli->notes,
                 "Leave blank, or write 'not known', what is not known. A range is an answer: between 10 and 14 ft.\n");
    for (const ap_told_question *question = ap_told_questions; question->field; question++) {
        do {
            ap_sink_printf(cli->notes, "%s ", question->asks);
            if (!read_answer(answer)) {
                return ap_error_set(err, AP_E_USAGE, "the questions ended before the last answer: nothing is kept");
            }
        } while (!is_fine(cli, question->field, answer));
        if (!ap_str_is_blank(ap_str_from(answer))) {
            ap_buf_appendf(answers, "%s: %s\n", question->field, answer);
        }
    }
    return ap_buf_check(answers, "the answers", err);
}
