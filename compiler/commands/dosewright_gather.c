/* dosewright_gather: what a review is about: files that are judged, sheets of the record,
 * languages. */
#include "commands/dosewright_reports.h"

#include <string.h>

#include "language/language.h"

typedef struct Gathering {
    Session *session;
    Review *review;
    GHashTable *clinics;   /* folder -> Case*, of the first file in it */
    GHashTable *languages; /* "clinic\ntag", told already */
    Instant since;         /* of the record */
} Gathering;

/* ---- files ---- */

static gboolean sealed(const Case *file, const Plan *plan)
{
    const Approval *approval = file->protocol ? &file->protocol->approval : NULL;
    return approval && PRESENT(*approval) && PRESENT(approval->seal) && plan && plan->seal &&
           seal_same(plan->seal, approval->seal.text);
}

/* The revision that sheets are printed from while the file waits for its approval. */
static gint64 goes_on(Session *session, const Case *file)
{
    Case kept;
    const Protocol *written = file->kind == FILE_PROTOCOL ? file->protocol : NULL;
    const char *path = written && file->folder && PRESENT(written->protocol)
                           ? loader_goes_on(session->arena, file->folder, written->protocol.text, written) : NULL;
    gboolean read = path && loader_load(loader_new(session->arena, NULL), path, &kept, NULL) && kept.protocol &&
                    PRESENT(kept.protocol->revision);
    return read ? kept.protocol->revision.value : 0;
}

/* NULL when it is neither a protocol nor a person, and nothing is wrong with it. */
static ReviewCase *case_of(Session *session, const char *path, const Case *file, const Plan *plan)
{
    gboolean broken = diagnostics_open(file->diagnostics, SEVERITY_ERROR) > 0;
    if (file->kind != FILE_PROTOCOL && file->kind != FILE_PATIENT && !broken)
        return NULL;
    ReviewCase *one = arena_new0(session->arena, ReviewCase);
    *one = (ReviewCase){path, file->clinic, file->protocol, file->kind == FILE_PATIENT ? file->patient : NULL,
                        sealed(file, plan), goes_on(session, file), file->diagnostics};
    return one;
}

static gboolean judge(Session *session, const char *path, ReviewCase **one, Case *file)
{
    Plan *plan;
    if (!commands_judge(session, path, file, &plan))
        return FALSE;
    *one = case_of(session, path, file, plan);
    return TRUE;
}

/* ---- as of a day ---- */

/* TRUE when it was signed by this day. */
static gboolean signed_by(const Protocol *protocol, Day day)
{
    return protocol && PRESENT(protocol->approval) && PRESENT(protocol->approval.on) &&
           protocol->approval.on.day <= day;
}

gboolean gather_as_of(Session *then, const ReviewCase *now, Day day, GPtrArray *cases)
{
    const Protocol *protocol = now->patient ? NULL : now->protocol;
    const char *path = now->path, *folder = loader_clinic_folder(then->loader, path);
    Session own = *then;
    ReviewCase *one;
    Case file;
    if (!now->patient && (!protocol || !folder || !PRESENT(protocol->protocol)))
        return TRUE;
    if (protocol && !(now->sealed && signed_by(protocol, day))) {
        path = loader_kept_before(then->arena, folder, protocol->protocol.text, G_MAXINT64, day);
        own.loader = loader_new(then->arena, NULL); /* a kept text has its own clinic beside it */
    }
    if (!path)
        return TRUE;
    if (!judge(&own, path, &one, &file))
        return FALSE;
    if (one)
        g_ptr_array_add(cases, one);
    return TRUE;
}

/* ---- languages ---- */

static void take_language(const Gathering *gathering, const Clinic *clinic, const Text *tag, const char *asked)
{
    Session *session = gathering->session;
    const char *templates = commands_templates(session->arena);
    if (!PRESENT(*tag) || !clinic || !PRESENT(clinic->clinic))
        return;
    char *key = arena_format(session->arena, "%s\n%s", clinic->clinic.text, tag->text);
    if (!g_hash_table_add(gathering->languages, key) ||
        commands_language_fault(session, templates, tag->text) != RULE_language_unreviewed)
        return;
    ReviewLanguage *language = arena_new0(session->arena, ReviewLanguage);
    *language = (ReviewLanguage){clinic->clinic.text, tag->text,
                                 arena_format(session->arena, "templates/languages/%s.yaml", tag->text), asked};
    g_ptr_array_add(gathering->review->languages, language);
}

static void take_languages(const Gathering *gathering, const ReviewCase *one)
{
    for (guint i = 0; one->clinic && i < one->clinic->languages.items->len; i++)
        take_language(gathering, one->clinic, g_ptr_array_index(one->clinic->languages.items, i),
                      "languages of the clinic");
    if (one->patient && PRESENT(one->patient->language) && PRESENT(one->patient->patient))
        take_language(gathering, one->clinic, &one->patient->language, one->patient->patient.text);
}

/* ---- the record ---- */

/* The protocol's case of this clinic, or NULL. */
static const ReviewCase *case_named(const Review *review, const char *clinic, const char *protocol)
{
    for (guint i = 0; i < review->cases->len; i++) {
        const ReviewCase *one = g_ptr_array_index(review->cases, i);
        if (!one->patient && one->protocol && PRESENT(one->protocol->protocol) && one->clinic &&
            PRESENT(one->clinic->clinic) && strcmp(one->clinic->clinic.text, clinic) == 0 &&
            strcmp(one->protocol->protocol.text, protocol) == 0)
            return one;
    }
    return NULL;
}

static gint64 number_fact(Arena *arena, const RecordSheet *sheet, const char *word)
{
    const char *text = record_fact(arena, sheet, word, 0);
    return text ? g_ascii_strtoll(text, NULL, 10) : 0;
}

static void take_sheet(const Gathering *gathering, const RecordSheet *sheet)
{
    Arena *arena = gathering->session->arena;
    const char *protocol = record_fact(arena, sheet, "protocol_name", 0);
    const ReviewCase *one = protocol ? case_named(gathering->review, sheet->clinic, protocol) : NULL;
    gboolean in_force = one && one->sealed && PRESENT(one->protocol->revision);
    gint64 present = in_force ? one->protocol->revision.value : one ? one->goes_on : 0;
    gint64 revision = number_fact(arena, sheet, "revision");
    if (sheet->injections->len == 0 || !(sheet->recalled || (one && revision != present)))
        return;
    const RecordInjection *first = g_ptr_array_index(sheet->injections, 0);
    const char *when = commands_sheet_time(gathering->session, one ? one->clinic : NULL, sheet, first->number);
    const RecordEntry *printed = record_last(sheet, RECORD_PRINTED);
    ReviewSheet *found = arena_new0(arena, ReviewSheet);
    *found = (ReviewSheet){sheet->clinic, sheet->person, protocol ? protocol : "", printed ? printed->by : "",
                           when ? when : "", sheet->number, revision, present,
                           (Day)(g_array_index(first->acts, Instant, 0) / 86400), sheet->recalled};
    g_ptr_array_add(gathering->review->sheets, found);
}

static void take_accepted(const Gathering *gathering, const RecordSheet *sheet)
{
    Arena *arena = gathering->session->arena;
    const char *rule;
    for (int number = 1; (rule = record_fact(arena, sheet, "finding", number)); number++) {
        const char *words = record_fact(arena, sheet, "accepted", number);
        RuleId id;
        if (!words || !rule_find(rule, &id) || rule_row(id)->stage != STAGE_PATIENT)
            continue;
        ReviewAccepted *accepted = arena_new0(arena, ReviewAccepted);
        *accepted = (ReviewAccepted){sheet->clinic, sheet->person, rule, words, sheet->number};
        g_ptr_array_add(gathering->review->accepted, accepted);
    }
}

static int take_record(const Gathering *gathering, const Case *file)
{
    Session *session = gathering->session;
    GError *error = NULL;
    Record *record;
    if (!file->folder || !record_was_kept(file->folder)) /* opening would begin one */
        return EXIT_FINE;
    if (!commands_record(session, file, &record))
        return EXIT_SYSTEM;
    const GPtrArray *sheets = record ? record_between(record, gathering->since, G_MAXINT64 / 2, &error) : NULL;
    if (record && !sheets)
        return commands_system_error(error);
    for (guint i = 0; sheets && i < sheets->len; i++) {
        const RecordSheet *sheet = g_ptr_array_index(sheets, i);
        if (sheet->state != RECORD_IS_VALID || !PRESENT(file->clinic->clinic) ||
            strcmp(sheet->clinic, file->clinic->clinic.text) != 0)
            continue;
        take_accepted(gathering, sheet);
        if (record_due_after(sheet, session->now))
            take_sheet(gathering, sheet);
    }
    return EXIT_FINE;
}

/* ---- all of it ---- */

static gboolean take_file(const Gathering *gathering, const char *path, const Clinic **first)
{
    Session *session = gathering->session;
    ReviewCase *one;
    Case *file = arena_new0(session->arena, Case);
    if (!judge(session, path, &one, file))
        return FALSE;
    *first = *first ? *first : file->clinic;
    if (file->folder && file->clinic && !g_hash_table_contains(gathering->clinics, file->folder))
        g_hash_table_insert(gathering->clinics, (gpointer)file->folder, file);
    if (!one)
        return TRUE;
    g_ptr_array_add(gathering->review->cases, one);
    take_languages(gathering, one);
    return TRUE;
}

static Day today_of(const Session *session, const Clinic *clinic)
{
    return clinic && PRESENT(clinic->zone) ? zone_local(clinic->zone.zone, session->now, NULL).day
                                           : (Day)(session->now / 86400);
}

int gather_review(Session *session, Review *review, Instant since, const Clinic **first)
{
    GError *error = NULL;
    Gathering gathering = {session, review, g_hash_table_new(g_str_hash, g_str_equal),
                           g_hash_table_new(g_str_hash, g_str_equal), since};
    GPtrArray *paths = arena_list(session->arena);
    arena_defer(session->arena, (GDestroyNotify)g_hash_table_unref, gathering.clinics);
    arena_defer(session->arena, (GDestroyNotify)g_hash_table_unref, gathering.languages);
    review->cases = arena_list(session->arena);
    review->sheets = arena_list(session->arena);
    review->accepted = arena_list(session->arena);
    review->languages = arena_list(session->arena);
    for (char **word = session->options.words; *word; word++)
        if (!commands_collect(session, *word, paths, &error))
            return commands_system_error(error);
    for (guint i = 0; i < paths->len; i++)
        if (!take_file(&gathering, g_ptr_array_index(paths, i), first))
            return EXIT_SYSTEM;
    review->today = today_of(session, *first);
    g_autoptr(GList) files = g_hash_table_get_values(gathering.clinics);
    for (GList *file = files; file; file = file->next) {
        int status = take_record(&gathering, file->data);
        if (status != EXIT_FINE)
            return status;
    }
    return EXIT_FINE;
}
