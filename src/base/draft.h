/* A file that is written beside the one it will be, and takes its name whole or not at all. */
#ifndef AP_BASE_DRAFT_H
#define AP_BASE_DRAFT_H

#include "base/str.h"

enum { AP_DRAFT_PATH = 4096 };

/* {.fd = -1} is no draft. */
typedef struct ap_draft {
    const char *given;             /* the name as it was given, for messages; it outlives the draft */
    char target[AP_DRAFT_PATH];    /* the name it will have, links followed */
    char path[AP_DRAFT_PATH + 32]; /* the name it has till then; "" = none */
    unsigned mode;                 /* of the file: of the one it takes the place of, else as the umask has it */
    int fd;                        /* open for writing; -1 once closed */
} ap_draft;

/* Errors  AP_E_IO: `path` is a folder, no plain file, or its folder may not be written. *out is then no draft. */
AP_MUST_USE ap_status ap_draft_open(ap_draft *out, const char *path, ap_error *err);
/* Brings it to the disk and gives it its name. Unless `replace`, a file that has the name by now stays: AP_E_USAGE. The draft is
 * gone afterwards, whatever came of it. */
AP_MUST_USE ap_status ap_draft_finish(ap_draft *draft, bool replace, ap_error *err);
/* A stream of its own that writes into it, to be closed before the draft is finished. */
AP_MUST_USE ap_status ap_draft_stream(FILE **out, const ap_draft *draft, ap_error *err);
/* Removes it; does nothing when it is none, or finished. */
void ap_draft_drop(ap_draft *draft);

#endif
