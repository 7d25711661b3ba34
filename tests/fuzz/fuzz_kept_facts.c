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

static bool unpack(ap_fact *facts, ap_fact_more *more, size_t count, ap_str errors, ap_str rest) {
    uint32_t to[MOST];
    ap_fact_bounds bounds;
    memset(facts, 0, MOST * sizeof *facts);
    memset(more, 0, MOST * sizeof *more);
    for (size_t i = 0; i < MOST; i++) {
        to[i] = (uint32_t)(MOST - 1 - i);
    }
    for (size_t t = 0; t < AP_FACT_TEXTS; t++) {
        bounds.texts[t] = LABELS;
    }
    bool good = ap_fact_unpack_errors(facts, more, to, count, errors, &bounds);
    return ap_fact_unpack_rest(facts, to, count, rest, &bounds) && good;
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

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    ap_fact facts[MOST];
    ap_fact again[MOST];
    ap_fact_more more[MOST];
    ap_fact_more more_again[MOST];
    if (size < 3) {
        return 0;
    }
    round_trip(data, size);
    size_t count = data[0] % MOST + 1u;
    size_t split = (size_t)(data[1] | data[2] << 8) % (size - 2);
    ap_str errors = {(const char *)data + 3, split < size - 3 ? split : size - 3};
    ap_str rest = {errors.ptr + errors.len, size - 3 - errors.len};
    if (unpack(facts, more, count, errors, rest)) {
        ap_buf bytes[2];
        judge(facts, count);
        ap_buf_init(&bytes[0], 1 << 20);
        ap_buf_init(&bytes[1], 1 << 20);
        ap_fact ordered[MOST];
        ap_fact_more more_ordered[MOST];
        for (size_t i = 0; i < count; i++) {
            ordered[i] = facts[MOST - 1 - i];
            more_ordered[i] = more[MOST - 1 - i];
        }
        ap_fact_pack_errors(&bytes[0], ordered, more_ordered, count);
        ap_fact_pack_rest(&bytes[1], ordered, count);
        require(unpack(again, more_again, count, ap_buf_str(&bytes[0]), ap_buf_str(&bytes[1])));
        require(memcmp(facts, again, sizeof facts) == 0);
        ap_buf_release(&bytes[0]);
        ap_buf_release(&bytes[1]);
    }
    return 0;
}
