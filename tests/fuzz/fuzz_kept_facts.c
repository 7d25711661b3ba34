/* Any bytes as what a book keeps of its picks. What must hold:
 *  - they are facts or they are refused; nothing is read or written beyond what there is;
 *  - facts that were taken stay within their vocabularies and labels, and packed again give the same facts;
 *  - numbers put into a column come back bit by bit. */
#include "analysis/fact_pack.h"
#include "require.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { MOST = 64, LABELS = 5 };

static void round_trip(const uint8_t *data, size_t size) {
    uint64_t numbers[MOST];
    uint64_t back[MOST];
    size_t width = size > 0 && data[0] & 1 ? 8 : 4;
    size_t count = size / width < MOST ? size / width : MOST;
    for (size_t i = 0; i < count; i++) {
        numbers[i] = 0;
        memcpy(&numbers[i], data + i * width, width);
        numbers[i] &= size > 1 && data[1] & 1 ? UINT64_MAX : 0xffff;
    }
    ap_buf bytes;
    ap_buf_init(&bytes, 1 << 20);
    ap_column_put(&bytes, numbers, count, width);
    require(bytes.status == AP_OK && bytes.len <= 9 + width * (count + 1));
    ap_column_reader reader = {(const unsigned char *)bytes.ptr, (const unsigned char *)bytes.ptr + bytes.len, false};
    require(ap_column_get(back, &reader, count, width) && reader.at == reader.end);
    require(memcmp(numbers, back, count * sizeof *numbers) == 0);
    ap_buf_release(&bytes);
}

typedef struct unpacked {
    ap_fact facts[MOST];
    ap_fact_rest rests[MOST];
    float stem_m[MOST];
} unpacked;

static bool unpack(unpacked *out, size_t count, const ap_str parts[3]) {
    uint32_t to[MOST];
    ap_fact_bounds bounds;
    memset(out, 0, sizeof *out);
    for (size_t i = 0; i < MOST; i++) {
        to[i] = (uint32_t)(MOST - 1 - i);
        out->facts[i].rest = &out->rests[i];
    }
    for (size_t t = 0; t < AP_FACT_TEXTS; t++) {
        bounds.texts[t] = LABELS;
    }
    bool good = ap_fact_unpack_errors(out->facts, to, count, parts[0], &bounds);
    good = ap_fact_unpack_wood(out->facts, out->stem_m, to, count, parts[1]) && good;
    return ap_fact_unpack_rest(out->facts, to, count, parts[2], &bounds) && good;
}

static void judge(const ap_fact *facts, size_t count) {
    for (size_t i = MOST - count; i < MOST; i++) {
        for (size_t t = 0; t < AP_FACT_TEXTS; t++) {
            require(ap_fact_group(&facts[i], ap_fact_texts[t]) <= LABELS);
        }
        require(facts[i].compared < AP_COMPARED_COUNT && !isinf(facts[i].log_error) && !isinf(facts[i].hook_kg));
        require(ap_word_get(AP_VOC_CUT, facts[i].label_cut) || !facts[i].label_cut);
        require(ap_word_get(AP_VOC_PIECE, facts[i].label_piece) || !facts[i].label_piece);
    }
}

/* Packed in the order of the columns, which is the other way round. */
static void pack_again(const unpacked *from, size_t count) {
    static unpacked again;
    ap_buf bytes[3];
    ap_str parts[3];
    ap_fact ordered[MOST];
    float stem_m[MOST];
    for (size_t i = 0; i < count; i++) {
        ordered[i] = from->facts[MOST - 1 - i];
        stem_m[i] = from->stem_m[MOST - 1 - i];
    }
    for (size_t k = 0; k < 3; k++) {
        ap_buf_init(&bytes[k], 1 << 20);
    }
    ap_fact_pack_errors(&bytes[0], ordered, count);
    ap_fact_pack_wood(&bytes[1], ordered, stem_m, count);
    ap_fact_pack_rest(&bytes[2], ordered, count);
    for (size_t k = 0; k < 3; k++) {
        parts[k] = ap_buf_str(&bytes[k]);
    }
    require(unpack(&again, count, parts));
    for (size_t i = 0; i < MOST; i++) {
        again.facts[i].rest = from->facts[i].rest;
    }
    require(memcmp(from->facts, again.facts, sizeof again.facts) == 0);
    require(memcmp(from->rests, again.rests, sizeof again.rests) == 0);
    require(memcmp(from->stem_m, again.stem_m, sizeof again.stem_m) == 0);
    for (size_t k = 0; k < 3; k++) {
        ap_buf_release(&bytes[k]);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static unpacked found;
    if (size < 4) {
        return 0;
    }
    round_trip(data, size);
    size_t count = data[0] % MOST + 1u;
    size_t first = (size_t)(data[1] | data[2] << 8) % (size - 3);
    size_t second = (size_t)data[3] % (size - 3 - first);
    const char *at = (const char *)data + 4;
    size_t left = size - 4;
    ap_str parts[3];
    parts[0] = (ap_str){at, first < left ? first : left};
    left -= parts[0].len;
    parts[1] = (ap_str){at + parts[0].len, second < left ? second : left};
    parts[2] = (ap_str){parts[1].ptr + parts[1].len, left - parts[1].len};
    if (unpack(&found, count, parts)) {
        judge(found.facts, count);
        pack_again(&found, count);
    }
    return 0;
}
