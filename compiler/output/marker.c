/* output_marker: see output_marker.h. */
#define _GNU_SOURCE /* memmem */
#include "output/marker.h"

#include "base/base.h"

#include <string.h>

#define BEFORE " 0 R\n   /Filter /FlateDecode\n>>\nstream\n" /* of a page's content, as cairo writes it */
#define BEHIND "\nendstream\nendobj\n"

typedef struct Job {
    gsize offset, length;  /* in the file */
    char *stream;          /* a copy: the file moves as it grows */
    GString *content;      /* marked, as it is read */
    GByteArray *marked;    /* and compressed; NULL when it is no content */
} Job;

struct Marker {
    GThreadPool *pool; /* of one thread; NULL when all is done */
    GPtrArray *jobs;   /* of Job */
    gsize seen;
};

static void keep(const char *content, gsize length, gpointer job)
{
    ((Job *)job)->content = g_string_new_len(content, (gssize)length);
}

static void mark(gpointer data, gpointer unused)
{
    (void)unused;
    stack_for_faults();
    Job *job = data;
    job->marked = output_artifacts(job->stream, job->length, keep, job);
}

static void job_free(gpointer data)
{
    Job *job = data;
    g_clear_pointer(&job->marked, g_byte_array_unref);
    if (job->content)
        g_string_free(job->content, TRUE);
    g_free(job->stream);
    g_free(job);
}

Marker *output_marker_new(void)
{
    Marker *marker = g_new0(Marker, 1);
    marker->pool = g_thread_pool_new(mark, NULL, 1, TRUE, NULL);
    marker->jobs = g_ptr_array_new_with_free_func(job_free);
    return marker;
}

static void finish(Marker *marker)
{
    if (marker->pool)
        g_thread_pool_free(marker->pool, FALSE, TRUE);
    marker->pool = NULL;
}

void output_marker_free(Marker *marker)
{
    finish(marker);
    g_ptr_array_unref(marker->jobs);
    g_free(marker);
}

void output_marker_show(Marker *marker, const GByteArray *file)
{
    const char *text = (const char *)file->data, *end = text + file->len, *start, *close;
    const char *from = text + marker->seen;
    while ((start = memmem(from, (gsize)(end - from), BEFORE, strlen(BEFORE))) != NULL) {
        start += strlen(BEFORE);
        close = memmem(start, (gsize)(end - start), BEHIND, strlen(BEHIND));
        if (!close)
            break;
        Job *job = g_new0(Job, 1);
        *job = (Job){(gsize)(start - text), (gsize)(close - start), NULL, NULL, NULL};
        job->stream = g_memdup2(start, job->length);
        g_ptr_array_add(marker->jobs, job);
        g_thread_pool_push(marker->pool, job, NULL);
        from = close;
    }
    marker->seen = (gsize)(from - text);
}

GByteArray *output_marker_take(Marker *marker, const char *file, gsize offset, gsize length, ContentRead read,
                               gpointer data)
{
    if (marker)
        finish(marker);
    for (guint i = 0; marker && i < marker->jobs->len; i++) {
        Job *job = g_ptr_array_index(marker->jobs, i);
        if (job->offset != offset || job->length != length || !job->marked)
            continue;
        if (read)
            read(job->content->str, job->content->len, data);
        return g_steal_pointer(&job->marked);
    }
    return output_artifacts(file + offset, length, read, data);
}
