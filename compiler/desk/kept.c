/* desk_kept: see desk/kept.h.  All that is kept is of one minute and of one state of the files. */
#define _GNU_SOURCE /* memmem */
#include "desk/kept.h"

#include <string.h>
#include <sys/stat.h>

#include "desk/stories.h"

#define STAMP_LASTS (50 * 1000) /* microseconds for which the files are not looked at again */
#define SETTLED 2               /* seconds after which no second change hides behind the first */
#define DEPTH 6                 /* folders within folders */

typedef struct Page {
    Answer *answer;
    char *token;
} Page;

struct Kept {
    const Desk *desk;
    char *languages;    /* folder of the phrases */
    char *stamp;        /* as last looked at; NULL: look */
    gint64 looked;      /* microseconds */
    gint64 newest;      /* second in which a file last changed */
    char *of;           /* stamp of what is kept */
    gint64 minute;      /* of what is kept */
    GHashTable *pages;  /* key -> Page* */
    gsize bytes;
};

static void page_free(gpointer data)
{
    Page *page = data;
    answer_free(page->answer);
    g_free(page->token);
    g_free(page);
}

Kept *kept_new(const Desk *desk)
{
    Kept *kept = g_new0(Kept, 1);
    kept->desk = desk;
    kept->languages = g_build_filename(desk->templates, "..", "languages", NULL);
    kept->pages = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, page_free);
    return kept;
}

void kept_free(Kept *kept)
{
    g_hash_table_unref(kept->pages);
    g_free(kept->languages);
    g_free(kept->stamp);
    g_free(kept->of);
    g_free(kept);
}

/* ---- the state of the files ---- */

static void add_state(Kept *kept, GChecksum *sum, const char *path, const struct stat *is)
{
    gint64 written = is->st_mtim.tv_sec, changed = is->st_ctim.tv_sec;
    g_autofree char *line = g_strdup_printf(
        "%s %" G_GINT64_FORMAT ".%09ld %" G_GINT64_FORMAT ".%09ld %lld %lu %o\n", path, written, is->st_mtim.tv_nsec,
        changed, is->st_ctim.tv_nsec, (long long)is->st_size, (gulong)is->st_ino, is->st_mode);
    g_checksum_update(sum, (const guchar *)line, -1);
    kept->newest = MAX(kept->newest, MAX(changed, written));
}

/* Of the printed sheets' folder its own time is enough: its files are only ever added and replaced by
 * renaming.  SQLite changes "-shm", and owner and mode of "-wal", when somebody reads. */
static void add_folder(Kept *kept, GChecksum *sum, const char *folder, int depth)
{
    g_autoptr(GDir) open = depth > 0 ? g_dir_open(folder, 0, NULL) : NULL;
    const char *name;
    while (open && (name = g_dir_read_name(open))) {
        g_autofree char *path = g_build_filename(folder, name, NULL);
        struct stat is;
        if (g_str_has_suffix(name, "-shm") || stat(path, &is) != 0)
            continue;
        if (g_str_has_suffix(name, "-wal"))
            is.st_ctim = (struct timespec){0};
        gboolean inside = S_ISDIR(is.st_mode) && strcmp(name, DESK_SHEETS) != 0;
        if (inside)
            add_folder(kept, sum, path, depth - 1);
        else
            add_state(kept, sum, path, &is);
    }
}

char *kept_stamp(Kept *kept)
{
    gint64 now = g_get_monotonic_time();
    if (!kept->stamp || now - kept->looked > STAMP_LASTS) {
        g_autoptr(GChecksum) sum = g_checksum_new(G_CHECKSUM_SHA256);
        kept->newest = 0;
        add_folder(kept, sum, kept->desk->clinic, DEPTH);
        add_folder(kept, sum, kept->desk->templates, 1);
        add_folder(kept, sum, kept->languages, 1);
        g_free(kept->stamp);
        kept->stamp = g_strdup(g_checksum_get_string(sum));
        kept->looked = now;
    }
    return g_strdup(kept->stamp);
}

void kept_look(Kept *kept) { g_clear_pointer(&kept->stamp, g_free); }

/* ---- pages ---- */

static gint64 this_minute(const Kept *kept)
{
    return kept->desk->base->options.now ? 0 : g_get_real_time() / (60 * (gint64)G_USEC_PER_SEC);
}

static void forget(Kept *kept)
{
    g_hash_table_remove_all(kept->pages);
    kept->bytes = 0;
}

void kept_tidy(Kept *kept)
{
    if (kept->minute != this_minute(kept))
        forget(kept);
}

/* Only what is of now is there. */
static void settle(Kept *kept)
{
    g_autofree char *stamp = kept_stamp(kept);
    gint64 minute = this_minute(kept);
    if (kept->minute == minute && g_strcmp0(kept->of, stamp) == 0)
        return;
    forget(kept);
    kept->minute = minute;
    g_free(kept->of);
    kept->of = g_steal_pointer(&stamp);
}

static char *own_key(const KeptPage *page) { return g_strconcat(page->key, "\n", page->who, NULL); }

Answer *kept_again(const Answer *answer, const char *token, const char *other)
{
    Answer *copy = answer_new(answer->status, answer->type);
    copy->file = g_strdup(answer->file);
    g_string_append_len(copy->body, answer->body->str, (gssize)answer->body->len);
    gsize length = token && other && strlen(token) == strlen(other) ? strlen(token) : 0;
    char *at = copy->body->str, *end = at + copy->body->len;
    while (length > 0 && (at = memmem(at, (gsize)(end - at), token, length))) {
        memcpy(at, other, length);
        at += length;
    }
    return copy;
}

Answer *kept_find(Kept *kept, const KeptPage *page)
{
    g_autofree char *own = own_key(page);
    settle(kept);
    const Page *found = g_hash_table_lookup(kept->pages, page->key);
    if (!found)
        found = g_hash_table_lookup(kept->pages, own);
    return found ? kept_again(found->answer, found->token, page->token) : NULL;
}

gboolean kept_is_for(const Answer *answer, const char *made_for, const char *who)
{
    return answer->status == 200 && !answer->location && !answer->who && !answer->leaves &&
           (answer->keeps == KEEPS_FOR_ALL || (answer->keeps == KEEPS_OWN && g_strcmp0(made_for, who) == 0));
}

void kept_put(Kept *kept, const KeptPage *page, const char *stamp, const Answer *answer)
{
    settle(kept);
    gboolean fresh = g_get_real_time() / G_USEC_PER_SEC - kept->newest < SETTLED;
    if (!kept_is_for(answer, page->who, page->who) || strcmp(stamp, kept->of) != 0 || fresh ||
        answer->body->len > KEPT_LIMIT / 4)
        return;
    if (kept->bytes + answer->body->len > KEPT_LIMIT)
        forget(kept);
    Page *one = g_new0(Page, 1);
    *one = (Page){kept_again(answer, NULL, NULL), g_strdup(page->token)};
    kept->bytes += answer->body->len;
    g_hash_table_replace(kept->pages, answer->keeps == KEEPS_FOR_ALL ? g_strdup(page->key) : own_key(page), one);
}
