/* Requirements, cited by the tests:
 *   C1 no shell; argv as given; the child gets its own short environment.
 *   C2 the child leads a process group of its own; the group is killed before the child is reaped, so its number
 *      cannot have passed to somebody else, and nothing it started outlives the run.
 *   C3 standard output beyond output_max ends the run; standard error beyond errors_max is read and dropped.
 *   C4 the deadline (monotonic clock) covers everything, a child that closes its pipes and sleeps included.
 *   C5 a child that does not read its input is no error and no SIGPIPE for us; in the child SIGPIPE is as usual. */
#include "base/child.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#define DEFAULT_PATH "/usr/bin:/bin"
enum { PIPE_IN, PIPE_OUT, PIPE_ERR, PIPE_COUNT };
enum { LOOK_MS = 20, READ_STEP = 65536 };

typedef struct run {
    int ours[PIPE_COUNT];   /* our ends, -1 when closed */
    int theirs[PIPE_COUNT]; /* the child's ends */
    pid_t pid;              /* 0 before the start */
    bool ended;             /* a zombie: ended, not yet reaped */
    int64_t deadline_ms;
    size_t sent;
    ap_child_result result;
    char *step;
} run;

static int64_t now_ms(void) {
    struct timespec now = {0, 0};
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static void close_end(int *fd) {
    if (*fd >= 0) {
        close(*fd);
        *fd = -1;
    }
}

/* Above 2, so that no end stands where dup2 puts another, and closed in the child. Returns an errno. */
static int lift(int *fd) {
    int lifted = fcntl(*fd, F_DUPFD_CLOEXEC, 3);
    int reason = lifted < 0 ? errno : 0;
    close(*fd);
    *fd = lifted;
    return reason;
}

static int open_pipes(run *r) {
    for (int i = 0; i < PIPE_COUNT; i++) {
        int ends[2];
        if (pipe(ends) != 0) {
            return errno;
        }
        r->ours[i] = ends[i == PIPE_IN ? 1 : 0];
        r->theirs[i] = ends[i == PIPE_IN ? 0 : 1];
        int first = lift(&r->ours[i]);
        int second = lift(&r->theirs[i]);
        if (first != 0 || second != 0) {
            return first != 0 ? first : second;
        }
        int flags = fcntl(r->ours[i], F_GETFL);
        if (flags < 0 || fcntl(r->ours[i], F_SETFL, flags | O_NONBLOCK) != 0) {
            return errno;
        }
    }
    return 0;
}

/* POSIX lets a failed start show only as exit code 127; looked up first, a missing program is an error of its own.
 * Returns an errno. */
static int look_up(const char *program) {
    if (strchr(program, '/')) {
        return access(program, X_OK) == 0 ? 0 : errno;
    }
    const char *folders = getenv("PATH");
    ap_str rest = ap_str_from(folders ? folders : DEFAULT_PATH);
    int reason = ENOENT;
    while (program[0] != '\0' && rest.ptr) {
        ap_str folder = ap_str_split(rest, ':', &rest);
        char path[PATH_MAX];
        int wanted = snprintf(path, sizeof path, "%.*s%s%s", AP_STR_ARG(folder), folder.len > 0 ? "/" : "", program);
        if (wanted < 0 || (size_t)wanted >= sizeof path) {
            continue;
        }
        if (access(path, X_OK) == 0) {
            return 0;
        }
        reason = errno == EACCES ? EACCES : reason;
    }
    return reason;
}

static int set_attributes(posix_spawnattr_t *attributes) {
    sigset_t none;
    sigset_t reset;
    sigemptyset(&none);
    sigemptyset(&reset);
    sigaddset(&reset, SIGPIPE);
    int reason =
        posix_spawnattr_setflags(attributes, POSIX_SPAWN_SETPGROUP | POSIX_SPAWN_SETSIGDEF | POSIX_SPAWN_SETSIGMASK);
    reason = reason ? reason : posix_spawnattr_setpgroup(attributes, 0);
    reason = reason ? reason : posix_spawnattr_setsigdefault(attributes, &reset);
    return reason ? reason : posix_spawnattr_setsigmask(attributes, &none);
}

static int spawn(run *r, const ap_child_spec *spec, char *const *envp) {
    posix_spawn_file_actions_t actions;
    posix_spawnattr_t attributes;
    int reason = posix_spawn_file_actions_init(&actions);
    if (reason != 0) {
        return reason;
    }
    reason = posix_spawnattr_init(&attributes);
    if (reason != 0) {
        posix_spawn_file_actions_destroy(&actions);
        return reason;
    }
    for (int i = 0; i < PIPE_COUNT && reason == 0; i++) {
        reason = posix_spawn_file_actions_adddup2(&actions, r->theirs[i], i);
    }
    reason = reason ? reason : set_attributes(&attributes);
    /* posix_spawn promises to leave the strings alone; its type is older than const. */
    union {
        const char *const *in;
        char *const *out;
    } argv = {.in = spec->argv};
    pid_t pid = 0;
    reason = reason ? reason : posix_spawnp(&pid, spec->argv[0], &actions, &attributes, argv.out, envp);
    r->pid = reason == 0 ? pid : 0;
    posix_spawnattr_destroy(&attributes);
    posix_spawn_file_actions_destroy(&actions);
    return reason;
}

static char *name_and_value(const char *name, const char *fallback) {
    const char *value = getenv(name);
    value = value ? value : fallback;
    size_t size = strlen(name) + strlen(value) + 2;
    char *pair = malloc(size);
    if (pair) {
        snprintf(pair, size, "%s=%s", name, value);
    }
    return pair;
}

static int start(run *r, const ap_child_spec *spec) {
    int reason = look_up(spec->argv[0]);
    reason = reason ? reason : open_pipes(r);
    if (reason != 0) {
        return reason;
    }
    if (spec->envp) {
        union {
            const char *const *in;
            char *const *out;
        } envp = {.in = spec->envp};
        reason = spawn(r, spec, envp.out);
    } else {
        char locale[] = "LC_ALL=C";
        char *path = name_and_value("PATH", DEFAULT_PATH);
        char *home = name_and_value("HOME", "/");
        char *const envp[] = {path, home, locale, NULL};
        reason = path && home ? spawn(r, spec, envp) : ENOMEM;
        free(path);
        free(home);
    }
    for (int i = 0; i < PIPE_COUNT; i++) {
        close_end(&r->theirs[i]);
    }
    return reason;
}

/* A broken pipe means the child has read what it wanted. */
static void feed(run *r, ap_str input) {
    while (r->sent < input.len) {
        ssize_t n = write(r->ours[PIPE_IN], input.ptr + r->sent, input.len - r->sent);
        if (n < 0 && errno == EINTR) {
            continue;
        }
        if (n < 0 && (errno == EAGAIN || errno == EWOULDBLOCK)) {
            return;
        }
        if (n <= 0) {
            break;
        }
        r->sent += (size_t)n;
    }
    close_end(&r->ours[PIPE_IN]);
}

/* One read; false when there was nothing to take. */
static bool take(run *r, int which) {
    ap_buf *into = which == PIPE_OUT ? &r->result.output : &r->result.errors;
    ssize_t n = read(r->ours[which], r->step, READ_STEP);
    if (n < 0) {
        int reason = errno;
        if (reason != EINTR && reason != EAGAIN && reason != EWOULDBLOCK) {
            close_end(&r->ours[which]);
        }
        return reason == EINTR;
    }
    if (n == 0) {
        close_end(&r->ours[which]);
        return false;
    }
    size_t len = (size_t)n;
    if (which == PIPE_ERR) {
        size_t room = into->max - into->len;
        len = len < room ? len : room;
    }
    ap_buf_append(into, r->step, len);
    return true;
}

static bool has_ended(run *r) {
    siginfo_t info;
    memset(&info, 0, sizeof info);
    if (!r->ended && waitid(P_PID, (id_t)r->pid, &info, WEXITED | WNOHANG | WNOWAIT) == 0 && info.si_pid == r->pid) {
        r->ended = true;
    }
    return r->ended;
}

static bool trouble(const run *r) {
    return r->result.output.status != AP_OK || r->result.errors.status != AP_OK;
}

/* Until the child has ended or something is wrong; false when the deadline passed. */
static bool pump(run *r, ap_str input) {
    while (!has_ended(r)) {
        int64_t left = r->deadline_ms - now_ms();
        if (left <= 0) {
            return false;
        }
        bool open = r->ours[PIPE_OUT] >= 0 || r->ours[PIPE_ERR] >= 0;
        int most = open ? LOOK_MS : 1;
        struct pollfd fds[PIPE_COUNT];
        for (int i = 0; i < PIPE_COUNT; i++) {
            fds[i] = (struct pollfd){.fd = r->ours[i], .events = i == PIPE_IN ? POLLOUT : POLLIN};
        }
        if (poll(fds, PIPE_COUNT, left < most ? (int)left : most) <= 0) {
            continue;
        }
        if (fds[PIPE_IN].revents != 0) {
            feed(r, input);
        }
        for (int i = PIPE_OUT; i < PIPE_COUNT; i++) {
            if (fds[i].revents != 0) {
                take(r, i);
            }
        }
        if (trouble(r)) {
            return true;
        }
    }
    return true;
}

/* Ends the group, takes what still lies in the pipes (at most what a pipe holds) and reaps the child. */
static void finish(run *r) {
    if (r->pid == 0) {
        return;
    }
    has_ended(r);
    kill(-r->pid, SIGKILL);
    for (int i = PIPE_OUT; i < PIPE_COUNT; i++) {
        for (int steps = 0; steps < 64 && r->ours[i] >= 0 && !trouble(r) && take(r, i); steps++) {
        }
    }
    int state = 0;
    while (waitpid(r->pid, &state, 0) < 0 && errno == EINTR) {
    }
    r->result.exit_code = WIFEXITED(state) ? WEXITSTATUS(state) : -1;
    r->result.signal = WIFSIGNALED(state) ? WTERMSIG(state) : 0;
    r->pid = 0;
}

static ap_status run_through(run *r, const ap_child_spec *spec, ap_error *err) {
    const char *program = spec->argv[0];
    r->step = malloc(READ_STEP);
    if (!r->step) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for running '%s'", program);
    }
    int reason = start(r, spec);
    if (reason != 0) {
        return ap_error_set(err, reason == ENOMEM ? AP_E_MEMORY : AP_E_CHILD, "unable to start '%s': %s", program,
                            strerror(reason));
    }
    bool in_time = pump(r, spec->input);
    finish(r);
    if (r->result.output.status == AP_E_LIMIT) {
        return ap_error_set(err, AP_E_LIMIT, "'%s' was ended: it wrote more than %zu bytes", program, spec->output_max);
    }
    if (trouble(r)) {
        return ap_error_set(err, AP_E_MEMORY, "out of memory for what '%s' wrote", program);
    }
    if (!in_time) {
        return ap_error_set(err, AP_E_CHILD, "'%s' was ended: it ran longer than %d ms", program, spec->deadline_ms);
    }
    return AP_OK;
}

ap_status ap_child_run(ap_child_result *out, const ap_child_spec *spec, ap_error *err) {
    run r = {.ours = {-1, -1, -1}, .theirs = {-1, -1, -1}};
    struct sigaction ignore;
    struct sigaction before;
    memset(&ignore, 0, sizeof ignore);
    ignore.sa_handler = SIG_IGN;
    sigemptyset(&ignore.sa_mask);
    *out = (ap_child_result){.exit_code = -1};
    ap_buf_init(&r.result.output, spec->output_max);
    ap_buf_init(&r.result.errors, spec->errors_max);
    r.result.exit_code = -1;
    r.deadline_ms = now_ms() + spec->deadline_ms;
    if (sigaction(SIGPIPE, &ignore, &before) != 0) {
        return ap_error_from_errno(err, errno, "run", spec->argv[0]);
    }
    ap_status status = run_through(&r, spec, err);
    sigaction(SIGPIPE, &before, NULL);
    for (int i = 0; i < PIPE_COUNT; i++) {
        close_end(&r.ours[i]);
        close_end(&r.theirs[i]);
    }
    free(r.step);
    if (status == AP_OK) {
        *out = r.result;
    } else {
        ap_child_result_release(&r.result);
    }
    return status;
}

void ap_child_result_release(ap_child_result *result) {
    ap_buf_release(&result->output);
    ap_buf_release(&result->errors);
}
