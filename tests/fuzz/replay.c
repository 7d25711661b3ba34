/* Runs one fuzz target without the fuzzing engine: every seed, then a fixed number of mutations of the seeds by a fixed
 * sequence. The invariants are the target's own; a broken one ends the program. For `make check`; `make fuzz` does the long work.
 *
 *   replay ROUNDS SEED-FILE... */
#include "base/sink.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { SEED_MAX = 1 << 20, BIGGEST = 1 << 16 };

static uint64_t state = 0x2545F4914F6CDD1Du;

/* xorshift64*, Vigna 2016, ACM Transactions on Mathematical Software 42(4), article 30. */
static uint64_t next(void) {
    state ^= state >> 12;
    state ^= state << 25;
    state ^= state >> 27;
    return state * 0x2545F4914F6CDD1Du;
}

static size_t below(size_t bound) {
    return bound ? (size_t)(next() % bound) : 0;
}

/* A few bytes changed, dropped, doubled, or the tail cut. */
static size_t mutate(uint8_t *bytes, size_t size, size_t room) {
    static const char spice[] = "\"',;|\t\r\n\0=-+()#~?/.\xEF\xBB\xBF\xC2\xA0\x80\xFF019tlbft";
    for (size_t times = 1 + below(8); times > 0 && size > 0; times--) {
        size_t at = below(size);
        size_t span = 1 + below(size - at < 16 ? size - at : 16);
        switch (below(5)) {
        case 0:
            bytes[at] = (uint8_t)next();
            break;
        case 1:
            bytes[at] = (uint8_t)spice[below(sizeof spice - 1)];
            break;
        case 2:
            memmove(bytes + at, bytes + at + span, size - at - span);
            size -= span;
            break;
        case 3:
            if (size + span <= room) {
                memmove(bytes + at + span, bytes + at, size - at);
                size += span;
            }
            break;
        default:
            size = at;
            break;
        }
    }
    return size;
}

int main(int argc, char **argv) {
    long rounds = argc > 1 ? strtol(argv[1], NULL, 10) : 0;
    long runs = 0;
    uint8_t *work = calloc(BIGGEST * 2, 1);
    for (int i = 2; work && i < argc; i++) {
        ap_buf seed;
        ap_error err;
        ap_buf_init(&seed, SEED_MAX);
        if (ap_file_read(&seed, argv[i], SEED_MAX, &err) != AP_OK) {
            fprintf(stderr, "%s\n", err.text);
            return 2;
        }
        LLVMFuzzerTestOneInput((const uint8_t *)(seed.ptr ? seed.ptr : ""), seed.len);
        runs++;
        for (long round = 0; seed.len > 0 && seed.len <= BIGGEST && round < rounds; round++, runs++) {
            memcpy(work, seed.ptr, seed.len);
            size_t size = mutate(work, seed.len, BIGGEST * 2);
            LLVMFuzzerTestOneInput(work, size);
        }
        ap_buf_release(&seed);
    }
    free(work);
    printf("%ld runs\n", runs);
    return runs > 0 ? 0 : 1;
}
