/* commands_approve: the line that a physician puts into a protocol, after all that
 * would stop a sheet under it was found. */
#include "commands/commands.h"

#include <stdio.h>

#include "rules/rules.h"

/* The approval that is asked for, as if it stood in the file already. */
static gboolean approval_of(Session *session, const Case *file, Approval *out)
{
    const Options *options = &session->options;
    Field at = {FIELD_READ, file->protocol->protocol.at.place, file->protocol->protocol.at.key};
    const Approval *old = &file->protocol->approval; /* its key's place is where an earlier one stands */
    Field whole = {FIELD_READ, at.place, ABSENT(*old) ? PLACE_NOWHERE : old->at.key};
    *out = (Approval){.at = whole, .by = {at, options->by}, .on.at = at, .review_by.at = at};
    out->on.day = zone_local(file->clinic->zone.zone, session->now, NULL).day;
    return day_parse(options->review_by, &out->review_by.day, NULL).fault == MOMENT_FINE;
}

/* The findings that the protocol would have with this approval; FALSE when one stops. */
static gboolean fit_for_approval(Session *session, Case *file, const Approval *approval)
{
    Protocol *protocol = arena_new0(session->arena, Protocol);
    *protocol = *file->protocol;
    protocol->approval = *approval;
    file->protocol = protocol;
    if (commands_plan(session, file))
        return !diagnostics_stops(file->diagnostics);
    return FALSE;
}

static void print_day(GString *out, const char *key, Day day)
{
    CalendarDate date = day_date(day);
    g_string_append_printf(out, ", %s: %04d-%02d-%02d", key, date.year, date.month, date.day);
}

static const char *approval_line(Session *session, const Approval *approval, const char *seal)
{
    g_autoptr(GString) line = g_string_new("approval: {by: ");
    syntax_quote(line, approval->by.text);
    print_day(line, "on", approval->on.day);
    print_day(line, "review_by", approval->review_by.day);
    g_string_append_printf(line, ", seal: %s}\n", seal);
    return arena_copy(session->arena, line->str);
}

static char *kept_text(const char *folder, const char *first, const char *second)
{
    g_autofree char *path = g_build_filename(folder, first, second, NULL);
    char *text = NULL;
    return g_file_get_contents(path, &text, NULL, NULL) ? text : g_strdup("");
}

/* Where the clinic keeps a record, the approval stands there too, where nobody edits it unseen. */
static gboolean put_into_record(Session *session, const Case *file, const Approval *approval, const char *seal,
                                const char *folder)
{
    Record *record;
    GError *error = NULL;
    if (!commands_record(session, file, &record))
        return FALSE;
    if (!record)
        return TRUE;
    g_autofree char *name = g_strconcat(file->protocol->protocol.text, ".yaml", NULL);
    g_autofree char *protocol = kept_text(folder, "protocols", name), *clinic = kept_text(folder, "clinic.yaml", NULL);
    g_autofree char *shelf = kept_text(folder, "shelf.yaml", NULL);
    const RecordRevision revision = {file->protocol->protocol.text, file->protocol->revision.value, seal, protocol,
                                     clinic, shelf, rules_basis(), approval->by.text, session->now};
    return record_keep_revision(record, &revision, &error) || (commands_system_error(error), FALSE);
}

/* *kept: where what it covers is kept, the protocol with its approval among it. */
static int approve(Session *session, const char **kept, const char **written)
{
    const Options *options = &session->options;
    if (!options->words || g_strv_length(options->words) != 1)
        return commands_usage("give one protocol file");
    if (!options->by || !*options->by || !options->review_by)
        return commands_usage("say who approves and until when: --by NAME --review-by 2027-10-01");
    Case file;
    GError *error = NULL;
    if (!loader_load(session->loader, options->words[0], &file, &error))
        return commands_system_error(error);
    Approval approval;
    if (file.protocol && file.kind != FILE_PROTOCOL)
        return commands_usage("only a protocol is approved");
    gboolean whole = file.protocol && file.clinic && file.shelf && PRESENT(file.clinic->zone) &&
                     PRESENT(file.protocol->protocol);
    if (whole && !approval_of(session, &file, &approval))
        return commands_usage("--review-by wants a date, as 2027-10-01");
    gboolean fit = whole && fit_for_approval(session, &file, &approval);
    commands_report(session, file.diagnostics);
    if (!fit)
        return diagnostics_stops(file.diagnostics) ? EXIT_FINDINGS : commands_usage("only a protocol is approved");
    const SealBasis basis = {file.clinic, file.shelf, file.protocol, rules_basis()};
    const char *seal = seal_make(session->arena, &basis), *folder;
    const char *line = approval_line(session, &approval, seal);
    if (!loader_keep(session->arena, &file, line, seal, rules_basis(), &folder, &error))
        return commands_system_error(error);
    if (!put_into_record(session, &file, &approval, seal, folder))
        return EXIT_SYSTEM;
    g_autofree char *name = g_strconcat(file.protocol->protocol.text, ".yaml", NULL);
    g_autofree char *text = kept_text(folder, "protocols", name);
    *kept = folder;
    *written = arena_copy(session->arena, text);
    terminal_text(stdout, line);
    return EXIT_FINE;
}

int command_approve(Session *session)
{
    const char *folder, *text;
    int status = approve(session, &folder, &text);
    if (status == EXIT_FINE)
        terminal_say(stderr, "what it covers is kept in %s\n", folder);
    return status;
}

int approve_text(Session *session, const char **text)
{
    const char *folder;
    return approve(session, &folder, text);
}
