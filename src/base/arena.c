#include "base/arena.h"

#include <stdalign.h>

enum { CHUNK_FIRST = 4096, CHUNK_MOST = 1 << 20 };

struct ap_arena_chunk {
    ap_arena_chunk *next;
    size_t size; /* of the room behind this head */
    size_t used;
};

static size_t align_up(size_t size) {
    size_t step = alignof(max_align_t);
    return (size + step - 1) / step * step;
}

static unsigned char *room_of(ap_arena_chunk *chunk) {
    return (unsigned char *)chunk + align_up(sizeof *chunk);
}

void ap_arena_init(ap_arena *arena, size_t max) {
    *arena = (ap_arena){.max = max};
}

static void free_chunks(ap_arena_chunk *chunk) {
    while (chunk) {
        ap_arena_chunk *next = chunk->next;
        free(chunk);
        chunk = next;
    }
}

void ap_arena_release(ap_arena *arena) {
    free_chunks(arena->head);
    *arena = (ap_arena){.max = arena->max};
}

void ap_arena_clear(ap_arena *arena) {
    arena->failed = false;
    if (!arena->head) {
        return;
    }
    free_chunks(arena->head->next);
    arena->head->next = NULL;
    arena->head->used = 0;
    arena->total = arena->head->size;
}

/* A chunk with room for `size`, each twice the last; `total` counts the room of all chunks and never passes `max`. */
static ap_arena_chunk *add_chunk(ap_arena *arena, size_t size) {
    size_t left = arena->max - arena->total;
    if (size > left) {
        return NULL;
    }
    size_t room = arena->head ? arena->head->size * 2 : CHUNK_FIRST;
    room = room > CHUNK_MOST ? CHUNK_MOST : room;
    room = room < size ? size : room;
    room = room > left ? left : room;
    size_t head = align_up(sizeof(ap_arena_chunk));
    if (room > SIZE_MAX - head) {
        return NULL;
    }
    ap_arena_chunk *chunk = malloc(head + room);
    if (!chunk) {
        return NULL;
    }
    *chunk = (ap_arena_chunk){.next = arena->head, .size = room};
    arena->head = chunk;
    arena->total += room;
    return chunk;
}

void *ap_arena_alloc(ap_arena *arena, size_t size) {
    size_t need = size == 0 ? 1 : size;
    ap_arena_chunk *chunk = arena->head;
    size_t start = chunk ? align_up(chunk->used) : 0;
    if (!chunk || start > chunk->size || need > chunk->size - start) {
        chunk = add_chunk(arena, need);
        start = 0;
    }
    if (!chunk) {
        arena->failed = true;
        return NULL;
    }
    chunk->used = start + need;
    return memset(room_of(chunk) + start, 0, need);
}

void *ap_arena_alloc_array(ap_arena *arena, size_t count, size_t size) {
    if (size != 0 && count > SIZE_MAX / size) {
        arena->failed = true;
        return NULL;
    }
    return ap_arena_alloc(arena, count * size);
}

char *ap_arena_cstr(ap_arena *arena, ap_str str) {
    if (str.len == SIZE_MAX) {
        arena->failed = true;
        return NULL;
    }
    char *copy = ap_arena_alloc(arena, str.len + 1);
    if (copy && str.len > 0) {
        memcpy(copy, str.ptr, str.len);
    }
    return copy;
}

ap_str ap_arena_str(ap_arena *arena, ap_str str) {
    if (!str.ptr) {
        return AP_STR_NONE;
    }
    char *copy = ap_arena_cstr(arena, str);
    return copy ? (ap_str){copy, str.len} : AP_STR_NONE;
}

ap_str ap_arena_printf(ap_arena *arena, const char *format, ...) {
    va_list args;
    va_list again;
    va_start(args, format);
    va_copy(again, args);
    char *text = NULL;
    int wanted = vsnprintf(NULL, 0, format, args);
    if (wanted < 0) {
        arena->failed = true;
    } else {
        text = ap_arena_alloc(arena, (size_t)wanted + 1);
    }
    if (text) {
        vsnprintf(text, (size_t)wanted + 1, format, again);
    }
    va_end(again);
    va_end(args);
    return text ? (ap_str){text, (size_t)wanted} : AP_STR_NONE;
}

ap_status ap_arena_check(const ap_arena *arena, const char *what, ap_error *err) {
    if (!arena->failed) {
        return AP_OK;
    }
    return ap_error_set(err, AP_E_MEMORY, "%s needs more memory than there is, or than its limit of %zu bytes", what,
                        arena->max);
}
