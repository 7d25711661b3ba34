/* What the verbs of `writeup` share. Private to that command. */
#ifndef AP_CLI_WRITEUP_H
#define AP_CLI_WRITEUP_H

#include "cli/cli.h"
#include "report/writeup_parts.h"

typedef struct ap_writeup_work {
    ap_writeup_case it;
    ap_writeup writeup; /* id 0: a new one */
    ap_whole_pick picks[AP_WRITEUP_PICKS_MAX];
    ap_roster roster;
    ap_finding_list findings;
    ap_action_list actions;
    ap_writeup_attached *attached;
    ap_recon_interval interval;
    ap_interval_range ranges[AP_INTERVAL_RANGES];
} ap_writeup_work;

/* Reads what the program's parts are made of, for picks by name. Release it also after an error. */
AP_MUST_USE ap_status ap_writeup_work_read(ap_writeup_work *work, ap_cli *cli, const ap_str *names, size_t count,
                                           ap_error *err);
/* The same for a pick in no log, from its answers. */
AP_MUST_USE ap_status ap_writeup_work_tell(ap_writeup_work *work, ap_cli *cli, ap_str answers, ap_error *err);
/* What a write-up of the book is about: its picks, or its answers. */
AP_MUST_USE ap_status ap_writeup_work_open(ap_writeup_work *work, ap_cli *cli, const ap_writeup *writeup,
                                           ap_error *err);
/* Asks on the terminal; the answers as lines. AP_E_USAGE when there is none. */
AP_MUST_USE ap_status ap_writeup_ask(ap_buf *answers, ap_cli *cli, ap_error *err);
void ap_writeup_work_release(ap_writeup_work *work);
/* A write-up's file on disk, parsed, checked against the book. Release with ap_buf_release(&bytes). */
typedef struct ap_writeup_file {
    const char *path;
    ap_buf bytes;
    ap_writeup_text text;
    ap_writeup writeup; /* as the book has it */
} ap_writeup_file;
AP_MUST_USE ap_status ap_writeup_file_read(ap_writeup_file *file, ap_cli *cli, const char *path, ap_error *err);

/* The verbs. */
ap_status ap_writeup_new_run(ap_cli *cli, ap_error *err);
ap_status ap_writeup_refresh_run(ap_cli *cli, ap_error *err);
ap_status ap_writeup_keep_run(ap_cli *cli, ap_error *err);
ap_status ap_writeup_render_run(ap_cli *cli, ap_error *err);

#endif
