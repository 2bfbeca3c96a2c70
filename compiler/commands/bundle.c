/* commands_bundle: a person whose facts come in a bundle, with the rest of a patient's file. */
#include "commands/commands.h"

#include <string.h>

#include "fhir/fhir.h"

/* The clinic's zone, NULL when it cannot be read: its own finding then says why. */
static const Zone *zone_for(Session *session, const char *path)
{
    const char *folder = loader_clinic_folder(session->loader, path);
    g_autofree char *clinic = folder ? g_build_filename(folder, "clinic.yaml", NULL) : NULL;
    Case file;
    if (!clinic || !loader_load(session->loader, arena_copy(session->arena, clinic), &file, NULL) || !file.clinic)
        return NULL;
    return PRESENT(file.clinic->zone) ? file.clinic->zone.zone : NULL;
}

/* FALSE when the system failed; *source is NULL after a finding. */
static gboolean read_text(Session *session, const char *path, Diagnostics *diagnostics, const Source **source)
{
    GError *error = NULL;
    SourceStatus status = source_read(session->arena, path, SYNTAX_FILE_LIMIT, source, &error);
    if (status == SOURCE_UNREADABLE) {
        commands_system_error(error);
        return FALSE;
    }
    if (status == SOURCE_TOO_LARGE) {
        finding_add(diagnostics, RULE_file_too_large, source_place(*source, 0, 0));
        *source = NULL;
    }
    return TRUE;
}

/* FALSE when the system failed. */
static gboolean add_rest(Session *session, Node *root, Diagnostics *diagnostics, const Source **rest)
{
    *rest = NULL;
    if (!session->options.rest)
        return TRUE;
    if (!read_text(session, session->options.rest, diagnostics, rest))
        return FALSE;
    const Node *keys = *rest ? syntax_parse(session->arena, *rest, diagnostics) : NULL;
    if (keys)
        fhir_add(session->arena, root, keys, diagnostics);
    return TRUE;
}

gboolean commands_load_bundle(Session *session, const char *path, Case *out)
{
    GError *error = NULL;
    const Source *source, *rest;
    Diagnostics *diagnostics = diagnostics_new(session->arena);
    *out = (Case){.path = path, .kind = FILE_PATIENT, .diagnostics = diagnostics};
    if (!read_text(session, path, diagnostics, &source))
        return FALSE;
    Node *root = source ? fhir_patient(session->arena, source, zone_for(session, path), diagnostics) : NULL;
    if (!root || diagnostics_stops(diagnostics)) /* what is missing then is missing for that reason */
        return TRUE;
    if (!add_rest(session, root, diagnostics, &rest))
        return FALSE;
    const Listed listed = {session->arena, root, FALSE,
                           arena_format(session->arena, "%s%s", source->text, rest ? rest->text : ""), diagnostics};
    if (loader_listed(session->loader, path, &listed, out, &error))
        return TRUE;
    commands_system_error(error);
    return FALSE;
}
