/* A folder of pages that is written anew, next to whatever else lies in it.
 *
 *   P1 what was written is listed in pages.sha256, a line a page before the page is written: digest, two blanks, name;
 *   P2 a file that is there and is not as an earlier list has it is somebody else's, or edited: never overwritten, never
 *      removed; a link or anything but a plain file neither;
 *   P3 at the end, pages of earlier lists that were not written again are removed, and counted;
 *   P4 a run that broke off leaves a list that knows each of its pages. */
#ifndef AP_CLI_PAGE_FOLDER_H
#define AP_CLI_PAGE_FOLDER_H

#include "base/arena.h"
#include "base/status.h"
#include "base/str.h"

enum { AP_PAGE_FOLDER_MOST = 20000 };

typedef struct ap_page_mark ap_page_mark;

typedef struct ap_page_folder {
    ap_arena arena;
    const char *path;
    ap_intern *names;
    ap_page_mark **marks; /* by the name's number */
    int list;             /* pages.sha256, open at its end */
    size_t removed;
    size_t left; /* listed and changed by somebody since, or not removable */
} ap_page_folder;

/* Makes the folder and reads its list. AP_E_IO when that cannot be read or written. */
AP_MUST_USE ap_status ap_page_folder_open(ap_page_folder *out, const char *path, ap_error *err);
/* One page. AP_E_INPUT when a file of that name is not ours (P2): nothing was written then. */
AP_MUST_USE ap_status ap_page_folder_write(ap_page_folder *folder, const char *name, ap_str bytes, ap_error *err);
/* P3. When `status` is an error the list and the older pages stay as they are. Frees. */
AP_MUST_USE ap_status ap_page_folder_close(ap_page_folder *folder, ap_status status, ap_error *err);

#endif
