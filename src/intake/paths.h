/* The files an import is about: folders become the regular files inside them, in order of name. */
#ifndef AP_INTAKE_PATHS_H
#define AP_INTAKE_PATHS_H

#include "base/arena.h"

typedef struct ap_paths {
    ap_arena arena;
    char **names;
    size_t count;
    size_t cap;
} ap_paths;

/* Folders inside a folder and names with a leading dot are passed over. A path that is not there stays in the list: the one
 * who opens it says so. Errors: AP_E_LIMIT (more than 100,000 files), AP_E_IO (a folder that can not be listed), AP_E_MEMORY. */
AP_MUST_USE ap_status ap_paths_expand(ap_paths *out, const char *const *paths, size_t count, ap_error *err);
void ap_paths_release(ap_paths *paths);

#endif
