/* fail: one call of the system fails in a whole program (LD_PRELOAD), for tests/faults.py.
 * FAIL_STATE is a file that all its processes share: how many calls there were, and which one
 * fails.  Only calls on files under one of the folders of FAIL_UNDER (a colon between) count.
 * Where FAIL_STATEMENT is said, only statements of SQLite count, and none but a rollback is spared.
 * What failed is added to FAIL_LOG.  What was written, made durable and named is added to FAIL_TRACE in
 * its order, for whoever asks what a loss of power would leave. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

typedef struct State {
    int64_t calls; /* so far */
    int64_t fails; /* the number of the one that fails, from 1; 0: none; -1: the disk is full */
    int64_t error; /* 0: one that suits the call; below 0: it does not fail, and this signal is sent */
} State;

static State *state;
static int told = -1, traced = -1; /* opened before the program closes its folders */
static int statements;             /* they alone count */

static int log_named(const char *name)
{
    const char *path = getenv(name);
    return path ? open(path, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600) : -1;
}

__attribute__((constructor)) static void begin(void)
{
    const char *path = getenv("FAIL_STATE");
    told = log_named("FAIL_LOG");
    traced = log_named("FAIL_TRACE");
    statements = getenv("FAIL_STATEMENT") != NULL;
    int file = path ? open(path, O_RDWR | O_CLOEXEC) : -1;
    if (file < 0)
        return;
    void *shared = mmap(NULL, sizeof *state, PROT_READ | PROT_WRITE, MAP_SHARED, file, 0);
    close(file);
    state = shared == MAP_FAILED ? NULL : shared;
}

static int watched(const char *path)
{
    char whole[PATH_MAX];
    const char *under = getenv("FAIL_UNDER");
    if (!path || !under)
        return 0;
    if (*path != '/') {
        if (!getcwd(whole, sizeof whole / 2))
            return 0;
        snprintf(whole + strlen(whole), sizeof whole / 2, "/%s", path);
        path = whole;
    }
    while (*under) {
        size_t length = strcspn(under, ":");
        if (length > 0 && strncmp(path, under, length) == 0)
            return 1;
        under += length + (under[length] == ':');
    }
    return 0;
}

static void tell(const char *call, const char *path)
{
    if (told >= 0)
        dprintf(told, "%s %s\n", call, path);
}

/* After the call, which went well. */
static void trace(const char *call, const char *path, const char *new)
{
    int before = errno;
    if (traced >= 0 && watched(new ? new : path))
        dprintf(traced, "%s %s%s%s\n", call, path, new ? "\t" : "", new ? new : "");
    errno = before;
}

static const char *path_of(int file, char path[PATH_MAX])
{
    char link[64];
    snprintf(link, sizeof link, "/proc/self/fd/%d", file);
    ssize_t length = readlink(link, path, PATH_MAX - 1);
    if (length <= 0)
        return NULL;
    path[length] = '\0';
    return path;
}

static void trace_at(const char *call, int file)
{
    char path[PATH_MAX];
    if (traced >= 0 && path_of(file, path) && *path == '/') /* no pipe */
        trace(call, path, NULL);
}

/* TRUE when this call is the one; errno is then set. */
static int fails(const char *call, const char *path, int error)
{
    if (!state || (statements ? strcmp(call, "statement") != 0 : !watched(path)))
        return 0;
    int64_t call_number = __atomic_add_fetch(&state->calls, 1, __ATOMIC_SEQ_CST);
    int full = state->fails == -1 && strstr(call, "write");
    if (call_number != state->fails && !full)
        return 0;
    if (full)
        error = ENOSPC;
    tell(call, path);
    if (state->error < 0) {
        kill(getpid(), (int)-state->error);
        return 0;
    }
    errno = state->error ? (int)state->error : error;
    return 1;
}

static int fails_at(const char *call, int file, int error)
{
    char path[PATH_MAX];
    return state && path_of(file, path) ? fails(call, path, error) : 0;
}

#define REAL(type, name) ((type)dlsym(RTLD_NEXT, name))

typedef int Open(const char *, int, ...);
typedef int OpenAt(int, const char *, int, ...);
typedef int OpenChecked(const char *, int);

#define OPEN(name)                                                     \
    int name(const char *path, int flags, ...)                         \
    {                                                                  \
        va_list more;                                                  \
        va_start(more, flags);                                         \
        mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(more, mode_t) : 0; \
        va_end(more);                                                  \
        return fails("open", path, EMFILE) ? -1 : REAL(Open *, #name)(path, flags, mode); \
    }
OPEN(open)
OPEN(open64)

#define OPEN_AT(name)                                                  \
    int name(int folder, const char *path, int flags, ...)             \
    {                                                                  \
        va_list more;                                                  \
        va_start(more, flags);                                         \
        mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(more, mode_t) : 0; \
        va_end(more);                                                  \
        return fails("open", path, EMFILE) ? -1 : REAL(OpenAt *, #name)(folder, path, flags, mode); \
    }
OPEN_AT(openat)
OPEN_AT(openat64)

#define OPEN_CHECKED(name)                                             \
    int name(const char *path, int flags);                             \
    int name(const char *path, int flags)                              \
    {                                                                  \
        return fails("open", path, EMFILE) ? -1 : REAL(OpenChecked *, #name)(path, flags); \
    }
OPEN_CHECKED(__open_2)
OPEN_CHECKED(__open64_2)

ssize_t read(int file, void *bytes, size_t size)
{
    return fails_at("read", file, EIO) ? -1 : REAL(ssize_t (*)(int, void *, size_t), "read")(file, bytes, size);
}

ssize_t __read_chk(int file, void *bytes, size_t size, size_t room);
ssize_t __read_chk(int file, void *bytes, size_t size, size_t room)
{
    if (fails_at("read", file, EIO))
        return -1;
    return REAL(ssize_t (*)(int, void *, size_t, size_t), "__read_chk")(file, bytes, size, room);
}

ssize_t write(int file, const void *bytes, size_t size)
{
    if (fails_at("write", file, ENOSPC))
        return -1;
    ssize_t done = REAL(ssize_t (*)(int, const void *, size_t), "write")(file, bytes, size);
    if (done > 0)
        trace_at("write", file);
    return done;
}

/* SQLite's reading and writing: they are counted where FAIL_STORE is said, else the writing fails on a full disk
 * alone. */
static int store_fails(const char *call, int file, int error)
{
    return state && (state->fails == -1 || getenv("FAIL_STORE")) && fails_at(call, file, error);
}

#define PWRITE(name, offset_type)                                                                                  \
    ssize_t name(int file, const void *bytes, size_t size, offset_type offset)                                     \
    {                                                                                                              \
        if (store_fails("pwrite", file, ENOSPC))                                                                   \
            return -1;                                                                                             \
        return REAL(ssize_t (*)(int, const void *, size_t, offset_type), #name)(file, bytes, size, offset);        \
    }
PWRITE(pwrite, off_t)
PWRITE(pwrite64, off64_t)

#define PREAD(name, offset_type)                                                                                   \
    ssize_t name(int file, void *bytes, size_t size, offset_type offset)                                           \
    {                                                                                                              \
        if (store_fails("pread", file, EIO))                                                                       \
            return -1;                                                                                             \
        return REAL(ssize_t (*)(int, void *, size_t, offset_type), #name)(file, bytes, size, offset);              \
    }
PREAD(pread, off_t)
PREAD(pread64, off64_t)

#define SYNC(name)                                  \
    int name(int file)                              \
    {                                               \
        if (fails_at("fsync", file, EIO))           \
            return -1;                              \
        int done = REAL(int (*)(int), #name)(file); \
        if (done == 0)                              \
            trace_at("fsync", file);                \
        return done;                                \
    }
SYNC(fsync)
SYNC(fdatasync)

#define NAME(name)                                                                   \
    int name(const char *old, const char *new)                                       \
    {                                                                                \
        if (fails(#name, new, EIO))                                                  \
            return -1;                                                               \
        int done = REAL(int (*)(const char *, const char *), #name)(old, new);       \
        if (done == 0)                                                               \
            trace(#name, old, new);                                                  \
        return done;                                                                 \
    }
NAME(rename)
NAME(link)

int mkdir(const char *path, mode_t mode)
{
    return fails("mkdir", path, ENOSPC) ? -1 : REAL(int (*)(const char *, mode_t), "mkdir")(path, mode);
}

pid_t fork(void)
{
    return fails("fork", getenv("FAIL_UNDER"), EAGAIN) ? -1 : REAL(pid_t (*)(void), "fork")();
}

/* A statement that fails says so until the next one ends: SQLite itself knows nothing of it. */
enum { STORE_IOERR = 10 };
static __thread int pretended;

int sqlite3_step(void *statement);
int sqlite3_step(void *statement)
{
    const char *sql = statements ? REAL(const char *(*)(void *), "sqlite3_sql")(statement) : NULL;
    pretended = sql && strcmp(sql, "ROLLBACK") != 0 && fails("statement", sql, EIO);
    return pretended ? STORE_IOERR : REAL(int (*)(void *), "sqlite3_step")(statement);
}

int sqlite3_errcode(void *base);
int sqlite3_errcode(void *base)
{
    return pretended ? STORE_IOERR : REAL(int (*)(void *), "sqlite3_errcode")(base);
}

int sqlite3_extended_errcode(void *base);
int sqlite3_extended_errcode(void *base)
{
    return pretended ? STORE_IOERR : REAL(int (*)(void *), "sqlite3_extended_errcode")(base);
}

const char *sqlite3_errmsg(void *base);
const char *sqlite3_errmsg(void *base)
{
    return pretended ? "disk I/O error" : REAL(const char *(*)(void *), "sqlite3_errmsg")(base);
}
