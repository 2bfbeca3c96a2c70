/* desk_child: see desk/child.h. */
#define _GNU_SOURCE /* memfd_create, close_range, pipe2 */
#include "desk/child.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#define ANSWER_LIMIT (64u << 20)
#define CPU_LIMIT 60 /* seconds */
#define ANSWER_FD 3

struct Child {
    pid_t process;
    int descriptor;
    gint64 started; /* microseconds */
    GByteArray *bytes;
};

/* ---- in the child ---- */

static void send_answer(const Answer *answer)
{
    g_autoptr(GString) head = g_string_new(NULL);
    g_string_printf(head, "%u\n%s\n%s\n%s\n%s\n%u\n%u\n%u\n", answer->status, answer->type,
                    answer->location ? answer->location : "", answer->who ? answer->who : "",
                    answer->file ? answer->file : "", (guint)answer->proved, (guint)answer->leaves,
                    (guint)answer->keeps);
    if (!publish_bytes(ANSWER_FD, head->str, head->len) ||
        !publish_bytes(ANSWER_FD, answer->body->str, answer->body->len))
        _exit(EXIT_SYSTEM);
}

/* What is said to a terminal is kept for the page; of what the server holds open, nothing is left. */
static void settle(int descriptor)
{
    const struct rlimit cpu = {CPU_LIMIT, CPU_LIMIT};
    int said = memfd_create("said", 0), nothing = open("/dev/null", O_RDONLY);
    if (said < 0 || nothing < 0 || dup2(nothing, STDIN_FILENO) < 0 || dup2(said, STDOUT_FILENO) < 0 ||
        dup2(said, STDERR_FILENO) < 0 || dup2(descriptor, ANSWER_FD) < 0)
        _exit(EXIT_SYSTEM);
    close_range(ANSWER_FD + 1, ~0u, 0);
    setrlimit(RLIMIT_CPU, &cpu);
    setpgid(0, 0); /* what stops the server from a terminal lets it finish */
    signal(SIGINT, SIG_DFL);
    signal(SIGTERM, SIG_DFL);
}

/* What only somebody at a terminal can use (commands_usage). */
static void drop_terminal_words(GString *text)
{
    static const char name[] = "dosewright: ";
    g_string_replace(text, "try: dosewright --help\n", "", 0);
    if (g_str_has_prefix(text->str, name))
        g_string_erase(text, 0, strlen(name));
}

char *child_said(Arena *arena)
{
    g_autoptr(GString) text = g_string_new(NULL);
    char some[4096];
    off_t at = 0;
    ssize_t got;
    fflush(stdout);
    fflush(stderr);
    while ((got = pread(STDOUT_FILENO, some, sizeof some, at)) > 0) {
        g_string_append_len(text, some, got);
        at += got;
    }
    drop_terminal_words(text);
    return arena_copy(arena, text->str);
}

static G_GNUC_NORETURN void run(const Desk *desk, const Request *request, Story story, int descriptor)
{
    settle(descriptor);
    Answer *answer = answer_new(200, "text/html; charset=utf-8");
    Desk own = *desk;
    own.glance = !request->post;
    story(&own, request, answer);
    send_answer(answer);
    _exit(EXIT_FINE);
}

/* ---- in the server ---- */

Child *child_start(const Desk *desk, const Request *request, Story story, GError **error)
{
    int ends[2];
    pid_t process = -1;
    fflush(NULL);
    if (pipe2(ends, O_CLOEXEC) == 0) {
        process = fork();
        if (process == 0)
            run(desk, request, story, ends[1]);
        int code = errno;
        close(ends[1]);
        if (process < 0)
            close(ends[0]);
        errno = code;
    }
    if (process < 0) {
        g_set_error(error, G_FILE_ERROR, (gint)g_file_error_from_errno(errno), "no process for an answer: %s",
                    g_strerror(errno));
        return NULL;
    }
    fcntl(ends[0], F_SETFL, O_NONBLOCK);
    Child *child = g_new0(Child, 1);
    *child = (Child){process, ends[0], g_get_monotonic_time(), g_byte_array_new()};
    return child;
}

int child_descriptor(const Child *child) { return child->descriptor; }

gint64 child_age(const Child *child) { return (g_get_monotonic_time() - child->started) / G_USEC_PER_SEC; }

gboolean child_read(Child *child)
{
    guint8 some[64 * 1024];
    ssize_t got;
    while ((got = read(child->descriptor, some, sizeof some)) > 0 || (got < 0 && errno == EINTR))
        if (got > 0 && child->bytes->len < ANSWER_LIMIT)
            g_byte_array_append(child->bytes, some, (guint)got);
    return got == 0 || errno != EAGAIN;
}

void child_stop(Child *child) { kill(child->process, SIGKILL); }

/* The next line of the head, copied; NULL when it is cut short. */
static char *head_line(const GByteArray *bytes, gsize *at)
{
    const guint8 *start = bytes->data + *at, *end = memchr(start, '\n', bytes->len - *at);
    if (!end)
        return NULL;
    *at += (gsize)(end - start) + 1;
    return end > start ? g_strndup((const char *)start, (gsize)(end - start)) : NULL;
}

static guint head_number(const GByteArray *bytes, gsize *at, guint otherwise)
{
    g_autofree char *text = head_line(bytes, at);
    return text ? (guint)strtoul(text, NULL, 10) : otherwise;
}

static Answer *take_answer(const GByteArray *bytes)
{
    gsize at = 0;
    Answer *answer = answer_new(500, NULL);
    answer->status = head_number(bytes, &at, 500);
    answer->type = head_line(bytes, &at);
    answer->location = head_line(bytes, &at);
    answer->who = head_line(bytes, &at);
    answer->file = head_line(bytes, &at);
    answer->proved = head_number(bytes, &at, 0) == 1;
    answer->leaves = head_number(bytes, &at, 0) == 1;
    answer->keeps = (Keeps)head_number(bytes, &at, KEEPS_NOT);
    g_string_append_len(answer->body, (const char *)bytes->data + at, (gssize)(bytes->len - at));
    return answer;
}

Answer *child_end(Child *child)
{
    int status = 0;
    while (waitpid(child->process, &status, 0) < 0 && errno == EINTR)
        ;
    gboolean fine = WIFEXITED(status) && WEXITSTATUS(status) == EXIT_FINE && child->bytes->len > 0 &&
                    child->bytes->len < ANSWER_LIMIT;
    Answer *answer = fine ? take_answer(child->bytes) : NULL;
    close(child->descriptor);
    g_byte_array_unref(child->bytes);
    g_free(child);
    return answer;
}
