/* escape: what a program could still do at its end (LD_PRELOAD), for tests/confine.py: a line
 * "attempt error" for each to ESCAPE_LOG, 0 where it was let.  ESCAPE_READ and ESCAPE_WRITE name
 * files, a colon between. */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <sched.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/mount.h>
#include <sys/ptrace.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

static int told = -1;

__attribute__((constructor)) static void begin(void)
{
    const char *log = getenv("ESCAPE_LOG");
    told = log ? open(log, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600) : -1;
}

static void tell(const char *what, long result)
{
    dprintf(told, "%s %d\n", what, result < 0 ? errno : 0);
}

static void each_path(const char *what, const char *paths, int flags)
{
    char *copy = paths ? strdup(paths) : NULL;
    for (char *path = copy ? strtok(copy, ":") : NULL; path; path = strtok(NULL, ":")) {
        char attempt[4200];
        snprintf(attempt, sizeof attempt, "%s:%s", what, path);
        int file = open(path, flags, 0600);
        tell(attempt, file);
        if (file >= 0)
            close(file);
    }
    free(copy);
}

/* In a child, since it would not come back. */
static void start(void)
{
    int status = 0;
    pid_t child = fork();
    if (child < 0) {
        tell("start", -1);
        return;
    }
    if (child == 0) {
        unsetenv("LD_PRELOAD"); /* or where it is let, it would try so too, without end */
        execl("/bin/true", "true", (char *)NULL);
        _exit(errno);
    }
    if (waitpid(child, &status, 0) != child || !WIFEXITED(status))
        abort(); /* then it cannot be told */
    dprintf(told, "start %d\n", WEXITSTATUS(status));
}

__attribute__((destructor)) static void try_all(void)
{
    if (told < 0)
        return;
    each_path("read", getenv("ESCAPE_READ"), O_RDONLY);
    each_path("write", getenv("ESCAPE_WRITE"), O_WRONLY | O_CREAT);
    tell("internet", socket(AF_INET, SOCK_STREAM, 0));
    tell("local", socket(AF_UNIX, SOCK_STREAM, 0));
    tell("packets", socket(AF_PACKET, SOCK_RAW, 0));
    start();
    tell("trace", ptrace(PTRACE_ATTACH, getppid(), 0, 0));
    tell("memory", syscall(SYS_process_vm_readv, getppid(), NULL, 0ul, NULL, 0ul, 0ul));
    tell("mount", mount("none", "/mnt", "tmpfs", 0, NULL));
    tell("namespace", unshare(CLONE_NEWUSER));
    tell("clone", syscall(SYS_clone, CLONE_NEWUSER | CLONE_NEWNS | CLONE_THREAD, 0, 0, 0, 0)); /* never valid */
    tell("kernel", syscall(SYS_bpf, 0, NULL, 0));
    tell("ring", syscall(SYS_io_uring_setup, 1, NULL));
    tell("keys", syscall(SYS_keyctl, 0, 0, 0, 0, 0));
    tell("typing", ioctl(0, TIOCSTI, "x"));
    tell("signal", kill(getppid(), 0));
}
