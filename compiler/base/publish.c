/* publish: see publish.h. */
#include "base/publish.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>
#include <glib/gstdio.h>

#include "base/digest.h"
#include "base/terminal.h"

#define FOLDER_MODE 0700
#define FILE_MODE 0600
/* A name that no sheet has; the run's number keeps two runs apart, and a random one two machines. */
#define PART_PREFIX ".dosewright-"
#define PART_SUFFIX ".part"

/* One file on its way. */
typedef struct Passage {
    const PublishFile *file;
    char *path, *part, *kept; /* kept: the earlier file under another name, or NULL */
    gboolean earlier, placed;
} Passage;

static gboolean fault(GError **error, const char *what, const char *path)
{
    int code = errno;
    g_set_error(error, G_FILE_ERROR, g_file_error_from_errno(code), "cannot %s %s: %s", what, path, g_strerror(code));
    return FALSE;
}

/* A folder of ours: a real one, not a link that leads elsewhere. */
static gboolean folder_ready(const char *folder, GError **error)
{
    if (g_mkdir_with_parents(folder, FOLDER_MODE) != 0)
        return fault(error, "make the folder", folder);
    if (!g_file_test(folder, G_FILE_TEST_IS_DIR)) {
        g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_NOTDIR, "%s is not a folder", folder);
        return FALSE;
    }
    return TRUE;
}

gboolean publish_bytes(int descriptor, const void *bytes, gsize left)
{
    const char *data = bytes;
    while (left > 0) {
        ssize_t done = write(descriptor, data, left);
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0) {
            errno = done == 0 ? EIO : errno;
            return FALSE;
        }
        data += done;
        left -= (gsize)done;
    }
    return TRUE;
}

static gboolean write_all(int descriptor, GBytes *bytes)
{
    gsize length;
    const char *data = g_bytes_get_data(bytes, &length);
    return publish_bytes(descriptor, data, length);
}

static gboolean sync_file(int descriptor)
{
    int done;
    do
        done = fsync(descriptor);
    while (done != 0 && errno == EINTR);
    return done == 0;
}

static ssize_t read_some(int descriptor, char *room, gsize most)
{
    ssize_t got;
    do
        got = read(descriptor, room, most);
    while (got < 0 && errno == EINTR);
    return got;
}

/* Whether the disk gives back what was written, and no more; errno is EIO when it gives back other bytes. */
static gboolean reads_same(int descriptor, GBytes *bytes)
{
    gsize length, at = 0;
    const char *data = g_bytes_get_data(bytes, &length);
    char block[16 * 1024];
    ssize_t got;
    while ((got = read_some(descriptor, block, sizeof block)) > 0) {
        if ((gsize)got > length - at || memcmp(block, data + at, (gsize)got) != 0)
            break;
        at += (gsize)got;
    }
    if (got > 0 || (got == 0 && at < length))
        errno = EIO;
    return got == 0 && at == length;
}

/* The file as it lies on the disk, where the system lets go of what it remembers of it; -1 with errno. */
static int open_again(const char *path)
{
    int descriptor = open(path, O_RDONLY | O_NOFOLLOW | O_CLOEXEC);
    if (descriptor >= 0)
        posix_fadvise(descriptor, 0, 0, POSIX_FADV_DONTNEED);
    return descriptor;
}

static gboolean disk_has(const Passage *passage)
{
    int descriptor = open_again(passage->part);
    if (descriptor < 0)
        return FALSE;
    gboolean same = reads_same(descriptor, passage->file->bytes);
    int code = errno;
    close(descriptor);
    errno = code;
    return same;
}

/* The bytes durable under the passing name, and read again; nothing is there when it fails. */
static gboolean write_part(const Passage *passage, GError **error)
{
    int descriptor = open(passage->part, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, FILE_MODE);
    if (descriptor < 0)
        return fault(error, "write", passage->path);
    gboolean fine = write_all(descriptor, passage->file->bytes) && sync_file(descriptor);
    int code = errno;
    if (close(descriptor) != 0 && fine) {
        fine = FALSE;
        code = errno;
    }
    errno = code;
    if (fine && disk_has(passage))
        return TRUE;
    fault(error, "write", passage->path);
    g_unlink(passage->part);
    return FALSE;
}

/* What stands in a file's place must be a plain file or nothing: a link would lead the
 * sheet elsewhere. */
static gboolean place_free(const Passage *passage, GError **error)
{
    struct stat there;
    if (lstat(passage->path, &there) != 0 || S_ISREG(there.st_mode))
        return TRUE;
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL,
                "%s is there already and is not a plain file; nothing was written", passage->path);
    return FALSE;
}

/* The earlier file stays reachable under a second name until all are in their places.
 * Where the file system knows no second names, several files are refused, and one alone
 * goes on: its renaming is one act. */
static gboolean keep_earlier(Passage *passage, gboolean alone, GError **error)
{
    if (access(passage->path, F_OK) != 0)
        return TRUE;
    passage->earlier = TRUE;
    g_autofree char *kept = g_strconcat(passage->part, ".kept", NULL);
    if (link(passage->path, kept) == 0)
        passage->kept = g_steal_pointer(&kept);
    else if (!alone)
        return fault(error, "keep the earlier", passage->path);
    return TRUE;
}

static gboolean take_place(Passage *passage, GError **error)
{
    if (rename(passage->part, passage->path) != 0)
        return fault(error, "put in its place", passage->path);
    passage->placed = TRUE;
    return TRUE;
}

/* The disk fails on and on: the earlier file lives under its second name only. */
static void warn_kept(const Passage *passage)
{
    terminal_say(stderr, "dosewright: the earlier %s could not be put back; it is now %s\n", passage->path,
                 passage->kept);
}

/* Puts the folder back as it was. */
static void put_back(GPtrArray *passages)
{
    for (guint i = 0; i < passages->len; i++) {
        Passage *passage = g_ptr_array_index(passages, i);
        if (!passage->placed)
            g_unlink(passage->part);
        else if (passage->kept && rename(passage->kept, passage->path) != 0)
            warn_kept(passage);
        else if (!passage->earlier)
            g_unlink(passage->path);
        if (passage->placed) /* it is back, or its second name is all that is left of it */
            g_clear_pointer(&passage->kept, g_free);
    }
}

/* A rename is lost with the power until its folder is written too. */
static gboolean sync_folder(const char *folder, GError **error)
{
    int descriptor = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (descriptor < 0)
        return fault(error, "write the folder", folder);
    /* Some file systems cannot sync a folder and say EINVAL: theirs is durable or none is. */
    gboolean fine = sync_file(descriptor) || errno == EINVAL;
    if (!fine)
        fault(error, "write the folder", folder);
    close(descriptor);
    return fine;
}

static gboolean pass_all(const char *folder, GPtrArray *passages, GError **error)
{
    gboolean alone = passages->len == 1;
    for (guint i = 0; i < passages->len; i++)
        if (!place_free(g_ptr_array_index(passages, i), error) || !write_part(g_ptr_array_index(passages, i), error))
            return FALSE;
    for (guint i = 0; i < passages->len; i++)
        if (!keep_earlier(g_ptr_array_index(passages, i), alone, error))
            return FALSE;
    for (guint i = 0; i < passages->len; i++)
        if (!take_place(g_ptr_array_index(passages, i), error))
            return FALSE;
    return sync_folder(folder, error);
}

static void passage_free(gpointer data)
{
    Passage *passage = data;
    if (passage->kept)
        g_unlink(passage->kept);
    g_free(passage->path);
    g_free(passage->part);
    g_free(passage->kept);
    g_free(passage);
}

static GPtrArray *passages_of(const char *folder, const GPtrArray *files)
{
    GPtrArray *passages = g_ptr_array_new_with_free_func(passage_free);
    for (guint i = 0; i < files->len; i++) {
        const PublishFile *file = g_ptr_array_index(files, i);
        g_assert(!strchr(file->name, '/') && file->name[0] != '.');
        Passage *passage = g_new0(Passage, 1);
        passage->file = file;
        passage->path = g_build_filename(folder, file->name, NULL);
        g_autofree char *name = g_strdup_printf(PART_PREFIX "%d-%08x-%u" PART_SUFFIX, (int)getpid(), g_random_int(), i);
        passage->part = g_build_filename(folder, name, NULL);
        g_ptr_array_add(passages, passage);
    }
    return passages;
}

/* A signal between two renames would leave half of a person's files.  It is noted, by
 * whichever thread it reaches, and obeyed when all stand in their places or none does:
 * milliseconds later. */
static const int held_signals[] = {SIGINT, SIGTERM, SIGHUP, SIGQUIT};
static volatile sig_atomic_t noted_signal;

static void note_signal(int number) { noted_signal = number; }

static void hold_signals(struct sigaction *before)
{
    struct sigaction noting = {.sa_handler = note_signal, .sa_flags = SA_RESTART};
    noted_signal = 0;
    for (gsize i = 0; i < G_N_ELEMENTS(held_signals); i++)
        sigaction(held_signals[i], &noting, &before[i]);
}

static void obey_signals(const struct sigaction *before)
{
    for (gsize i = 0; i < G_N_ELEMENTS(held_signals); i++)
        sigaction(held_signals[i], &before[i], NULL);
    if (noted_signal)
        raise(noted_signal);
}

gboolean publish_files(const char *folder, const GPtrArray *files, GError **error)
{
    if (!folder_ready(folder, error))
        return FALSE;
    struct sigaction before[G_N_ELEMENTS(held_signals)];
    hold_signals(before);
    g_autoptr(GPtrArray) passages = passages_of(folder, files);
    gboolean fine = pass_all(folder, passages, error);
    if (!fine)
        put_back(passages);
    g_clear_pointer(&passages, g_ptr_array_unref);
    obey_signals(before);
    return fine;
}

int publish_turn(const char *folder)
{
    g_mkdir_with_parents(folder, FOLDER_MODE); /* when that fails, publishing says so */
    int turn = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (turn >= 0)
        flock(turn, LOCK_EX);
    return turn;
}

gboolean publish_file(const char *folder, const char *name, GBytes *bytes, GError **error)
{
    const PublishFile file = {name, bytes};
    g_autoptr(GPtrArray) files = g_ptr_array_new();
    g_ptr_array_add(files, (gpointer)&file);
    return publish_files(folder, files, error);
}

struct PublishStream {
    int descriptor;
    char *folder, *path, *part;
    DigestRun *written; /* the bytes are not held: what the disk has is known by their digest */
};

PublishStream *publish_open(const char *folder, const char *name, GError **error)
{
    if (!folder_ready(folder, error))
        return NULL;
    PublishStream *stream = g_new0(PublishStream, 1);
    g_autofree char *part = g_strdup_printf(PART_PREFIX "%d-%08x-%s" PART_SUFFIX, (int)getpid(), g_random_int(), name);
    stream->folder = g_strdup(folder);
    stream->path = g_build_filename(folder, name, NULL);
    stream->part = g_build_filename(folder, part, NULL);
    stream->written = digest_run_new();
    stream->descriptor = open(stream->part, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, FILE_MODE);
    if (stream->descriptor >= 0)
        return stream;
    fault(error, "write", stream->path);
    publish_abandon(stream);
    return NULL;
}

gboolean publish_write(PublishStream *stream, const void *bytes, gsize length, GError **error)
{
    digest_run_add(stream->written, bytes, length);
    return publish_bytes(stream->descriptor, bytes, length) || fault(error, "write", stream->path);
}

/* As reads_same(). */
static gboolean digest_same(int descriptor, const char *wanted)
{
    DigestRun *found = digest_run_new();
    char block[16 * 1024];
    ssize_t got;
    while ((got = read_some(descriptor, block, sizeof block)) > 0)
        digest_run_add(found, block, (gsize)got);
    int code = errno;
    g_autofree char *hex = digest_run_end(found);
    gboolean same = got == 0 && strcmp(hex, wanted) == 0;
    errno = got < 0 ? code : EIO;
    return same;
}

static gboolean disk_has_stream(PublishStream *stream)
{
    g_autofree char *wanted = digest_run_end(stream->written);
    stream->written = NULL;
    int descriptor = open_again(stream->part);
    if (descriptor < 0)
        return FALSE;
    gboolean same = digest_same(descriptor, wanted);
    int code = errno;
    close(descriptor);
    errno = code;
    return same;
}

static void stream_free(PublishStream *stream)
{
    if (stream->written)
        g_free(digest_run_end(stream->written));
    g_free(stream->folder);
    g_free(stream->path);
    g_free(stream->part);
    g_free(stream);
}

void publish_abandon(PublishStream *stream)
{
    if (stream->descriptor >= 0) {
        close(stream->descriptor);
        g_unlink(stream->part);
    }
    stream_free(stream);
}

gboolean publish_close(PublishStream *stream, GError **error)
{
    struct stat there;
    gboolean plain = lstat(stream->path, &there) != 0 || S_ISREG(there.st_mode);
    gboolean fine = plain && sync_file(stream->descriptor) && disk_has_stream(stream) &&
                    rename(stream->part, stream->path) == 0;
    if (!plain)
        errno = EINVAL;
    if (!fine) {
        fault(error, "write", stream->path);
        publish_abandon(stream);
        return FALSE;
    }
    close(stream->descriptor);
    fine = sync_folder(stream->folder, error);
    stream_free(stream);
    return fine;
}

void publish_left_over(const char *folder, GPtrArray *names)
{
    g_autoptr(GDir) there = g_dir_open(folder, 0, NULL);
    const char *name;
    while (there && (name = g_dir_read_name(there)))
        if (g_str_has_prefix(name, PART_PREFIX) && strstr(name, PART_SUFFIX))
            g_ptr_array_add(names, g_strdup(name));
}
