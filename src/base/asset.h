/* Files of sql/ and plots/ embedded in the binary at build, by their path: "sql/query/pick_list.sql".
 *
 * AP_SQL and AP_PLOTS folders can stand in while developing: ap_asset_set_folder(). */
#ifndef AP_BASE_ASSET_H
#define AP_BASE_ASSET_H

#include "base/arena.h"

typedef struct ap_asset {
    const char *name;
    const unsigned char *bytes; /* followed by a NUL */
    size_t size;
} ap_asset;

/* All, ordered by name. */
extern const ap_asset ap_assets[];
extern const size_t ap_asset_count;

void ap_asset_set_folder(const char *top, const char *folder); /* ("sql", "/home/me/afterpick/sql"); NULL resets */
/* The text of an asset; from the folder when one is set (kept in the arena), else from the binary. */
AP_MUST_USE ap_status ap_asset_get(ap_str *out, ap_arena *arena, const char *name, ap_error *err);
/* The embedded names that start with `prefix`, in order; returns how many, *first is the index of the first. */
size_t ap_asset_range(size_t *first, const char *prefix);

#endif
