/* desk_staff: see desk/staff.h.  A line for each: roles, tab, hash, tab, name. */
#include "desk/staff.h"

#include <errno.h>
#include <fcntl.h>
#include <sodium.h>
#include <string.h>
#include <sys/stat.h>

#include "base/base.h"

#define FIRST_LINE "dosewright people 1"
#define FILE_LIMIT (1u << 20) /* bytes */
/* RFC 9106, 4, its second choice for where memory is dear: 3 passes over 64 MiB (there with 4
 * lanes; libsodium has one). */
#define PASSES 3
#define MEMORY ((gsize)64 << 20) /* bytes */

struct Staff {
    GPtrArray *all; /* of Named* */
};

static void named_free(gpointer data)
{
    Named *named = data;
    g_free(named->name);
    g_free(named->hash);
    g_free(named);
}

static Staff *staff_new(void)
{
    Staff *staff = g_new0(Staff, 1);
    staff->all = g_ptr_array_new_with_free_func(named_free);
    return staff;
}

void staff_free(Staff *staff)
{
    if (!staff)
        return;
    g_ptr_array_unref(staff->all);
    g_free(staff);
}

guint staff_count(const Staff *staff) { return staff->all->len; }

const Named *staff_nth(const Staff *staff, guint index) { return g_ptr_array_index(staff->all, index); }

static Named *find(const Staff *staff, const char *name)
{
    for (guint i = 0; i < staff->all->len; i++) {
        Named *named = g_ptr_array_index(staff->all, i);
        if (strcmp(named->name, name) == 0)
            return named;
    }
    return NULL;
}

const Named *staff_find(const Staff *staff, const char *name) { return find(staff, name); }

/* ---- the file ---- */

static Roles roles_read(const char *words)
{
    g_auto(GStrv) each = g_strsplit(words, ",", -1);
    Roles roles = 0;
    for (char **word = each; *word; word++) {
        if (!role_of(*word))
            return 0;
        roles |= role_of(*word);
    }
    return roles;
}

/* FALSE when the line is not understood. */
static gboolean take_line(Staff *staff, const char *line)
{
    g_auto(GStrv) parts = g_strsplit(line, "\t", 3);
    if (g_strv_length(parts) != 3 || !roles_read(parts[0]) || !g_str_has_prefix(parts[1], crypto_pwhash_STRPREFIX) ||
        strlen(parts[1]) >= crypto_pwhash_STRBYTES || !*parts[2] || find(staff, parts[2]))
        return FALSE;
    staff_put(staff, parts[2], roles_read(parts[0]), parts[1]);
    return TRUE;
}

static Staff *staff_parse(const char *path, const char *text, GError **error)
{
    g_auto(GStrv) lines = g_strsplit(text, "\n", -1);
    Staff *staff = staff_new();
    guint number = 1;
    gboolean fine = *lines && strcmp(*lines, FIRST_LINE) == 0;
    for (char **line = lines + 1; fine && *line && **line; line++, number++)
        fine = take_line(staff, *line);
    if (fine)
        return staff;
    staff_free(staff);
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL,
                "%s: line %u is not as \"dosewright people\" writes it; nobody is let in until it is mended or removed",
                path, number);
    return NULL;
}

/* As ssh does with a key: what others can read is no secret. */
static gboolean is_private(const char *path, GError **error)
{
    struct stat is;
    if (stat(path, &is) != 0 || !(is.st_mode & (S_IRWXG | S_IRWXO)))
        return TRUE;
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_PERM,
                "%s may be read or written by others; nobody is let in until \"chmod 600\" was done", path);
    return FALSE;
}

Staff *staff_read(const char *clinic, GError **error)
{
    g_autofree char *path = g_build_filename(clinic, PEOPLE_FILE, NULL);
    g_autoptr(GByteArray) bytes = g_byte_array_new();
    if (sodium_init() < 0)
        g_assert_not_reached();
    if (!g_file_test(path, G_FILE_TEST_EXISTS))
        return staff_new();
    if (!is_private(path, error))
        return NULL;
    if (source_read_bytes(path, FILE_LIMIT, bytes, error) != SOURCE_READ) {
        if (error && !*error)
            g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_INVAL, "%s cannot be read", path);
        return NULL;
    }
    g_byte_array_append(bytes, (const guint8 *)"", 1);
    g_autofree char *text = g_strdup((const char *)bytes->data);
    return staff_parse(path, text, error);
}

gboolean staff_write(const Staff *staff, const char *clinic, GError **error)
{
    GString *text = g_string_new(FIRST_LINE "\n");
    for (guint i = 0; i < staff->all->len; i++) {
        const Named *named = g_ptr_array_index(staff->all, i);
        g_autofree char *words = roles_words(named->roles, ",");
        g_string_append_printf(text, "%s\t%s\t%s\n", words, named->hash, named->name);
    }
    g_autoptr(GBytes) bytes = g_string_free_to_bytes(text);
    return publish_file(clinic, PEOPLE_FILE, bytes, error);
}

char *staff_stamp(const char *clinic)
{
    g_autofree char *path = g_build_filename(clinic, PEOPLE_FILE, NULL);
    struct stat is;
    if (stat(path, &is) != 0)
        return g_strdup_printf("%d", errno);
    return g_strdup_printf("%lld.%09ld %lld %lu %lu %o", (long long)is.st_ctim.tv_sec, is.st_ctim.tv_nsec,
                           (long long)is.st_size, (gulong)is.st_ino, (gulong)is.st_dev, is.st_mode);
}

/* ---- changes ---- */

void staff_put(Staff *staff, const char *name, Roles roles, const char *hash)
{
    Named *named = find(staff, name);
    if (!named) {
        named = g_new0(Named, 1);
        named->name = g_strdup(name);
        g_ptr_array_add(staff->all, named);
    }
    if (roles)
        named->roles = roles;
    if (hash) {
        g_free(named->hash);
        named->hash = g_strdup(hash);
    }
}

gboolean staff_remove(Staff *staff, const char *name)
{
    Named *named = find(staff, name);
    return named && g_ptr_array_remove(staff->all, named);
}

/* ---- passwords ---- */

const char *password_fault(const char *password, const char *name)
{
    if (!g_utf8_validate(password, -1, NULL))
        return "a password is text in UTF-8";
    if (g_utf8_strlen(password, -1) < PASSWORD_LEAST)
        return "a password has 12 letters or more; three or four words do well";
    if (strlen(password) > PASSWORD_MOST)
        return "a password has 200 letters at most";
    g_autofree char *low = g_utf8_strdown(password, -1), *own = g_utf8_strdown(name, -1);
    if (strstr(low, own) || strstr(own, low))
        return "a password does not hold the person's name";
    if (strspn(password, (char[]){password[0], '\0'}) == strlen(password))
        return "a password is more than one letter again and again";
    return NULL;
}

char *password_hash(const char *password, GError **error)
{
    char hash[crypto_pwhash_STRBYTES];
    if (crypto_pwhash_str_alg(hash, password, strlen(password), PASSES, MEMORY, crypto_pwhash_ALG_ARGON2ID13) == 0)
        return g_strdup(hash);
    g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_NOMEM, "there is too little memory to keep a password (64 MB)");
    return NULL;
}

gboolean password_is(const Named *named, const char *password)
{
    if (named)
        return crypto_pwhash_str_verify(named->hash, password, strlen(password)) == 0;
    g_free(password_hash(password, NULL)); /* as long as for somebody who is there */
    return FALSE;
}
