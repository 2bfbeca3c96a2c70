/* publish: see publish.h. */
#include <errno.h>
#include <sys/stat.h>
#include <gio/gio.h>

#include "base/publish.h"

#define FOLDER_MODE 0700
#define FILE_MODE 0600

/* A folder of ours: a real one, not a link that leads elsewhere. */
static gboolean folder_ready(const char *folder, GError **error)
{
    if (g_mkdir_with_parents(folder, FOLDER_MODE) != 0) {
        int code = errno;
        g_set_error(error, G_FILE_ERROR, g_file_error_from_errno(code),
                    "cannot make the folder %s: %s", folder, g_strerror(code));
        return FALSE;
    }
    if (!g_file_test(folder, G_FILE_TEST_IS_DIR)) {
        g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_NOTDIR, "%s is not a folder", folder);
        return FALSE;
    }
    return TRUE;
}

gboolean publish_file(const char *folder, const char *name, GBytes *bytes, GError **error)
{
    g_assert(!strchr(name, '/') && name[0] != '.');
    if (!folder_ready(folder, error))
        return FALSE;
    g_autofree char *path = g_build_filename(folder, name, NULL);
    struct stat there;
    if (lstat(path, &there) == 0 && !S_ISREG(there.st_mode)) {
        g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL,
                    "%s is there already and is not a plain file; nothing was written", path);
        return FALSE;
    }
    gsize size;
    const char *data = g_bytes_get_data(bytes, &size);
    return g_file_set_contents_full(path, data, (gssize)size,
                                    G_FILE_SET_CONTENTS_CONSISTENT | G_FILE_SET_CONTENTS_DURABLE,
                                    FILE_MODE, error);
}
