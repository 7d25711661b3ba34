#include "base/asset.h"

#include <limits.h>

#include "base/sink.h"

enum { TOP_MOST = 4, ASSET_MOST = 4 << 20 };

typedef struct stand_in {
    char top[16];
    char folder[PATH_MAX]; /* "" = none */
} stand_in;

static stand_in stand_ins[TOP_MOST];

void ap_asset_set_folder(const char *top, const char *folder) {
    for (size_t i = 0; i < TOP_MOST; i++) {
        stand_in *entry = &stand_ins[i];
        if (entry->top[0] == '\0' || strcmp(entry->top, top) == 0) {
            snprintf(entry->top, sizeof entry->top, "%s", top);
            snprintf(entry->folder, sizeof entry->folder, "%s", folder ? folder : "");
            return;
        }
    }
}

static const char *folder_for(ap_str top) {
    for (size_t i = 0; i < TOP_MOST; i++) {
        if (stand_ins[i].folder[0] != '\0' && ap_str_equal_word(top, stand_ins[i].top)) {
            return stand_ins[i].folder;
        }
    }
    return NULL;
}

static ap_status read_from_folder(ap_str *out, ap_arena *arena, const char *folder, ap_str rest, ap_error *err) {
    char path[2 * PATH_MAX];
    ap_buf bytes;
    snprintf(path, sizeof path, "%s/%.*s", folder, AP_STR_ARG(rest));
    ap_status status = ap_file_read(&bytes, path, ASSET_MOST, err);
    if (status != AP_OK) {
        return status;
    }
    ap_str text = ap_arena_str(arena, bytes.len > 0 ? ap_buf_str(&bytes) : AP_STR_LIT(""));
    ap_buf_release(&bytes);
    if (!text.ptr) {
        return ap_arena_check(arena, path, err);
    }
    *out = text;
    return AP_OK;
}

/* The first asset whose name is not before `name`. */
static size_t lower_bound(const char *name) {
    size_t low = 0;
    size_t high = ap_asset_count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (strcmp(ap_assets[middle].name, name) < 0) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low;
}

ap_status ap_asset_get(ap_str *out, ap_arena *arena, const char *name, ap_error *err) {
    ap_str rest;
    ap_str top = ap_str_split(ap_str_from(name), '/', &rest);
    const char *folder = folder_for(top);
    if (folder && rest.len > 0) {
        return read_from_folder(out, arena, folder, rest, err);
    }
    size_t at = lower_bound(name);
    if (at == ap_asset_count || strcmp(ap_assets[at].name, name) != 0) {
        return ap_error_set(err, AP_E_NOT_FOUND, "no file '%s' is built into this program", name);
    }
    *out = (ap_str){(const char *)ap_assets[at].bytes, ap_assets[at].size};
    return AP_OK;
}

size_t ap_asset_range(size_t *first, const char *prefix) {
    size_t at = lower_bound(prefix);
    size_t end = at;
    while (end < ap_asset_count && ap_str_starts(ap_str_from(ap_assets[end].name), ap_str_from(prefix))) {
        end++;
    }
    *first = at;
    return end - at;
}
