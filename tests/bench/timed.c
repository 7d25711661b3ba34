/* Runs a command N times and prints, per run, wall seconds, processor seconds and peak memory in KiB; with N > 1 the median
 * wall time in milliseconds at the end.   timed N OUT COMMAND [ARGUMENT...]   (the command's own output is dropped) */
#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/forbid.h"

enum { RUNS_MAX = 1000 };

static double seconds_of(struct timeval t) {
    return (double)t.tv_sec + (double)t.tv_usec * 1e-6;
}

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static int by_size(const void *a, const void *b) {
    const double x = *(const double *)a;
    const double y = *(const double *)b;
    return (x > y) - (x < y);
}

static void become(char **command) {
    const int sink = open("/dev/null", O_RDWR);
    if (sink >= 0) {
        dup2(sink, 0);
        dup2(sink, 1);
        dup2(sink, 2);
    }
    execvp(command[0], command);
    _exit(127);
}

int main(int argc, char **argv) {
    double walls[RUNS_MAX];
    const long runs = argc > 3 ? strtol(argv[1], NULL, 10) : 0;
    FILE *out = runs > 0 && runs <= RUNS_MAX ? fopen(argv[2], "w") : NULL;
    if (!out) {
        fputs("use: timed N OUT COMMAND [ARGUMENT...]\n", stderr);
        return 2;
    }
    int bad = 0;
    for (long i = 0; i < runs; i++) {
        struct rusage used;
        int how = 0;
        const double start = now();
        const pid_t child = fork();
        if (child == 0) {
            become(argv + 3);
        }
        if (child < 0 || wait4(child, &how, 0, &used) != child) {
            return 4;
        }
        walls[i] = now() - start;
        bad = !WIFEXITED(how) || WEXITSTATUS(how) > 1 ? 3 : bad;
        if (runs == 1) {
            fprintf(out, "%.3f %.3f %ld\n", walls[0], seconds_of(used.ru_utime) + seconds_of(used.ru_stime),
                    used.ru_maxrss);
        }
    }
    qsort(walls, (size_t)runs, sizeof *walls, by_size);
    if (runs > 1) {
        fprintf(out, "%.3f\n", walls[runs / 2] * 1000);
    }
    return fclose(out) == 0 ? bad : 4;
}
