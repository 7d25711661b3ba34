/* One call of the import while it runs: what its files share. */
#ifndef AP_INTAKE_SESSION_H
#define AP_INTAKE_SESSION_H

#include "base/settings.h"
#include "intake/intake.h"
#include "intake/judge.h"
#include "intake/rejects.h"
#include "intake/source.h"
#include "intake/store.h"

typedef struct ap_session {
    ap_intake_result *result;
    ap_book *book;
    const ap_intake_options *options;
    ap_settings settings;
    ap_judge *judge;
    ap_store *store;
    ap_rejects *rejects; /* NULL when not asked for */
    char *copy_folder;   /* NULL when no copies are made */
    int64_t import_id;   /* 0 until the first file that goes in */
    ap_profile **kept;   /* profiles of the book that claim headers; NULL when there are none */
    size_t kept_count;
    ap_source **sources; /* whose copies get their names after the commit */
    size_t source_count;
    size_t source_cap;
} ap_session;

/* Reads one file into the book. AP_OK also when it could not be used: its entry in the result says so. Other statuses
 * end the import as a whole. */
AP_MUST_USE ap_status ap_session_file(ap_session *session, const char *path, ap_error *err);

#endif
