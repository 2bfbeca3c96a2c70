/* dosewright_number: see dosewright_number.h. */
#include "commands/dosewright_number.h"

#include "output/output.h"

Plan *number_plan(Session *session, Case *file, const Plan *judged, const RecordGiven *given)
{
    return commands_plan_numbered(session, file, judged, given->number, given->replaces, given->made);
}

/* ---- refusals ---- */

static Finding *refuse(const Case *file, RuleId rule)
{
    return finding_add(file->diagnostics, rule, file->patient->order.at.place);
}

static int stands(Session *session, const Case *file, const Numbering *numbering)
{
    GError *error = NULL;
    const RecordSheet *old = record_sheet(numbering->record, numbering->given.number, &error);
    if (error)
        return commands_system_error(error);
    const char *code = record_fact(session->arena, old, "check_code", 1);
    Finding *finding = refuse(file, RULE_sheet_printed);
    gboolean elsewhere = strcmp(old->clinic, file->clinic->clinic.text) != 0; /* clinics may share a record */
    finding_fact(finding, "sheet %" G_GINT64_FORMAT " of this order counts, made %s%s%s%s%s, and the files have "
                 "changed since", old->number, commands_time(session, file->clinic, old->made),
                 code ? ", with the code " : "", code ? code : "", elsewhere ? ", by " : "",
                 elsewhere ? old->clinic : "");
    finding_help(finding, "when the old one is still right, print that file again; when something changed, print with "
                          "--replace: the new sheet then says that sheet %" G_GINT64_FORMAT " is to be torn up",
                 old->number);
    return EXIT_FINDINGS;
}

/* A day that is printed again must not bring back what somebody took back. */
static int taken_back(Session *session, const Case *file, const Numbering *numbering)
{
    GError *error = NULL;
    const RecordSheet *old = record_sheet(numbering->record, numbering->given.number, &error);
    if (error)
        return commands_system_error(error);
    const RecordEntry *entry = record_last(old, RECORD_CANCELLED);
    const char *because = entry ? record_value(session->arena, entry->body, "because") : NULL;
    Finding *finding = refuse(file, RULE_order_cancelled);
    finding_fact(finding, "sheet %" G_GINT64_FORMAT " of this order was cancelled by %s: %s", old->number,
                 entry ? entry->by : "", because ? because : "");
    finding_help(finding, "when it takes place after all, print with --replace; of a roster, \"dosewright move\" "
                          "gives this person alone a new sheet");
    return EXIT_FINDINGS;
}

static int not_there(const Case *file, const Numbering *numbering)
{
    Finding *finding = finding_add(file->diagnostics, RULE_sheet_printed, file->patient->replaces.at.place);
    if (numbering->given.number > 0)
        finding_fact(finding, "sheet %" G_GINT64_FORMAT " of this order counts, not sheet %" G_GINT64_FORMAT,
                     numbering->given.number, file->patient->replaces.value);
    else
        finding_fact(finding, "the record has no sheet %" G_GINT64_FORMAT " of this order that counts",
                     file->patient->replaces.value);
    finding_help(finding, "take this line out: the record knows which sheet a new one replaces; print with --replace");
    return EXIT_FINDINGS;
}

/* A line taken out of clinic.yaml must not lead past the record. */
static int left_out(const Case *file)
{
    Finding *finding = finding_add(file->diagnostics, RULE_sheet_number, file->clinic->clinic.at.place);
    finding_fact(finding, "a record was kept in %s, and clinic.yaml no longer names it", file->folder);
    finding_help(finding, "put the line \"record: ...\" back into clinic.yaml");
    return EXIT_FINDINGS;
}

/* An approval written into the file by hand is none, where approvals are recorded. */
static gboolean approval_recorded(const Case *file, const Plan *plan, Record *record, GError **error)
{
    guint known;
    gboolean same;
    const char *name = file->protocol->protocol.text;
    if (!record_approval(record, name, plan->seal, &known, &same, error))
        return FALSE;
    if (known == 0 || same)
        return TRUE;
    Finding *finding = finding_add(file->diagnostics, RULE_approval_unrecorded, file->protocol->approval.at.place);
    finding_fact(finding, "the record holds %u approvals of %s, and none with this seal", known, name);
    finding_help(finding, "have it approved with \"dosewright approve\", which keeps what was approved");
    return FALSE;
}

/* What is wrong with a revision is not mended by printing it again. */
static gboolean revision_fits(const Case *file, Record *record, GError **error)
{
    const char *because;
    const Protocol *protocol = file->protocol;
    g_autofree char *what = g_strdup_printf("%s/%" G_GINT64_FORMAT, protocol->protocol.text, protocol->revision.value);
    if (!record_called_back(record, RECALL_PROTOCOL, what, &because, error))
        return FALSE;
    if (!because)
        return TRUE;
    Finding *finding = finding_add(file->diagnostics, RULE_revision_recalled, protocol->revision.at.place);
    finding_fact(finding, "revision %" G_GINT64_FORMAT " was called back: %s", protocol->revision.value, because);
    finding_help(finding, "mend the protocol, raise its revision and have it approved; then print again");
    return FALSE;
}

static const Box *box_of(const Case *file, const char *lot)
{
    const GPtrArray *boxes = file->patient->boxes.items;
    for (guint i = 0; i < boxes->len; i++)
        if (PRESENT(((const Box *)g_ptr_array_index(boxes, i))->lot) &&
            record_same_word(((const Box *)g_ptr_array_index(boxes, i))->lot.text, lot))
            return g_ptr_array_index(boxes, i);
    g_assert_not_reached();
}

/* FALSE after a finding for each box of a lot that was called back. */
static gboolean lots_fit(const Case *file, Record *record, GError **error)
{
    gboolean fine = TRUE;
    const GPtrArray *boxes = file->patient->boxes.items;
    for (guint i = 0; i < boxes->len; i++) {
        const Box *box = g_ptr_array_index(boxes, i);
        const char *because;
        if (!PRESENT(box->lot))
            continue;
        if (!record_called_back(record, RECALL_LOT, box->lot.text, &because, error))
            return FALSE;
        if (!because)
            continue;
        Finding *finding = finding_add(file->diagnostics, RULE_lot_recalled, box->lot.at.place);
        finding_fact(finding, "lot %s was called back: %s", box->lot.text, because);
        finding_help(finding, "hand out a box of another lot and write its lot and expiry here");
        fine = FALSE;
    }
    return fine;
}

/* FALSE after a finding where more boxes of a lot are handed out than came in. */
static gboolean counts_fit(const Case *file, Record *record, const RecordWish *wish, GError **error)
{
    for (guint i = 0; i < wish->boxes->len; i++) {
        const RecordBoxes *boxes = g_ptr_array_index(wish->boxes, i);
        gint64 received, others;
        gboolean fits = TRUE;
        if (!record_lot_fits(record, wish, boxes, &fits, &received, &others, error))
            return FALSE;
        if (fits)
            continue;
        Finding *finding = finding_add(file->diagnostics, RULE_lot_over_count, box_of(file, boxes->lot)->lot.at.place);
        finding_fact(finding, "%" G_GINT64_FORMAT " of lot %s came in, and %" G_GINT64_FORMAT " are with other people",
                     received, boxes->lot, others);
        finding_help(finding, "read the lot on the box again; when more came in, note it: dosewright record received "
                              "--by NAME %s COUNT", boxes->lot);
        return FALSE;
    }
    return TRUE;
}

gboolean number_fits(const Case *file, const Plan *plan, Record *record, const RecordWish *wish, GError **error)
{
    return approval_recorded(file, plan, record, error) && revision_fits(file, record, error) &&
           lots_fit(file, record, error) && counts_fit(file, record, wish, error);
}

/* ---- in its order ---- */

static gboolean is_replacing(const Session *session, const char *code)
{
    char **codes = session->options.replacing;
    return codes && g_strv_contains((const char *const *)codes, code);
}

/* The person's boxes, those of one lot together; of RecordBoxes*. */
static GPtrArray *boxes_by_lot(Arena *arena, const Patient *patient)
{
    GPtrArray *all = arena_list(arena);
    for (guint i = 0; i < patient->boxes.items->len; i++) {
        const Box *box = g_ptr_array_index(patient->boxes.items, i);
        RecordBoxes *boxes = NULL;
        if (!PRESENT(box->lot))
            continue;
        for (guint k = 0; !boxes && k < all->len; k++)
            if (record_same_word(((RecordBoxes *)g_ptr_array_index(all, k))->lot, box->lot.text))
                boxes = g_ptr_array_index(all, k);
        if (!boxes) {
            boxes = arena_new0(arena, RecordBoxes);
            boxes->lot = box->lot.text;
            g_ptr_array_add(all, boxes);
        }
        boxes->count += PRESENT(box->count) ? box->count.value : 1;
    }
    return all;
}

RecordWish number_wish(const Session *session, const Case *file)
{
    const Patient *patient = file->patient;
    return (RecordWish){.person = patient->patient.text, .order = patient->order.text, .digest = file->digest,
                        .replaces = PRESENT(patient->replaces) ? patient->replaces.value : 0,
                        .replace = session->options.replace || is_replacing(session, patient->patient.text),
                        .revive = session->options.replacing ? is_replacing(session, patient->patient.text)
                                                             : session->options.replace,
                        .by = patient->prepared_by.text, .boxes = boxes_by_lot(session->arena, patient)};
}

/* Judged and given in one transaction: what was called back, or given to somebody else, meanwhile
 * would be handed out all the same.  FALSE after a finding, or with *error. */
static gboolean ask(const Session *session, const Case *file, const Plan *plan, Numbering *numbering, GError **error)
{
    Record *record = numbering->record;
    const RecordWish wish = number_wish(session, file);
    numbering->answer = RECORD_FAILED;
    if (!record_begin(record, error))
        return FALSE;
    gboolean fits = number_fits(file, plan, record, &wish, error);
    if (fits)
        numbering->answer = record_give_number(record, &wish, &numbering->given, error);
    return record_end(record, fits && numbering->answer != RECORD_FAILED, error);
}

static int take(Session *session, Case *file, Plan **plan, Numbering *numbering)
{
    GError *error = NULL;
    if (!commands_record(session, file, &numbering->record))
        return EXIT_SYSTEM;
    if (!ask(session, file, *plan, numbering, &error))
        return error ? commands_system_error(error) : EXIT_FINDINGS;
    switch (numbering->answer) {
    case RECORD_FAILED: g_assert_not_reached();
    case RECORD_STANDS: return stands(session, file, numbering);
    case RECORD_TAKEN_BACK: return taken_back(session, file, numbering);
    case RECORD_NOT_THERE: return not_there(file, numbering);
    case RECORD_NEW:
    case RECORD_AGAIN: break;
    }
    *plan = number_plan(session, file, *plan, &numbering->given);
    return EXIT_FINE;
}

int number_take(Session *session, Case *file, gboolean draft, Plan **plan, Numbering *numbering)
{
    *numbering = (Numbering){0};
    gboolean kept = PRESENT(file->clinic->record);
    if (draft && ABSENT(file->patient->sheet))
        *plan = number_plan(session, file, *plan, &(RecordGiven){0, 0, session->now});
    if (draft)
        return EXIT_FINE;
    if (!kept)
        return file->folder && record_was_kept(file->folder) ? left_out(file) : EXIT_FINE;
    return take(session, file, plan, numbering);
}

/* On which page each panel stands, as the finished files say it: whoever is called in the night names it. */
static void add_pages(Arena *arena, const GPtrArray *files, GString *facts)
{
    for (guint i = 0; i < files->len; i++) {
        const char *said = output_seal_record(arena, ((const PublishFile *)g_ptr_array_index(files, i))->bytes);
        g_auto(GStrv) lines = g_strsplit(said ? said : "", "\n", -1);
        for (char **line = lines; *line; line++)
            if (g_str_has_prefix(*line, OUTPUT_PANELS))
                g_string_append_printf(facts, "%s\n", *line);
    }
}

int number_confirm(Session *session, const Plan *plan, const Numbering *numbering, const GPtrArray *files,
                   const Diagnostics *diagnostics)
{
    GError *error = NULL;
    const Patient *patient = plan->patient;
    if (!numbering->record)
        return EXIT_FINE;
    g_autoptr(GString) facts = g_string_new(record_facts(session->arena, plan, diagnostics));
    add_pages(session->arena, files, facts);
    if (record_printed(numbering->record, numbering->given.number, patient->patient.text, patient->prepared_by.text,
                       facts->str, files, &error))
        return EXIT_FINE;
    terminal_say(stderr, "sheet %" G_GINT64_FORMAT " of %s is on the disk, but not confirmed in the record: print it "
                 "again before it is handed out\n", numbering->given.number, patient->patient.text);
    return commands_system_error(error);
}

void number_give_back(const Plan *plan, const Numbering *numbering)
{
    const Patient *patient = plan->patient;
    if (numbering->record && numbering->answer == RECORD_NEW && numbering->given.number > 0)
        record_append(numbering->record, RECORD_VOID, numbering->given.number, patient->patient.text,
                      patient->prepared_by.text, "because: no sheet was made\n", NULL);
}
