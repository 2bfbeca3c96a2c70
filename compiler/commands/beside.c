/* commands_beside: see commands/beside.h. */
#include "commands/beside.h"

#include <malloc.h>
#include <string.h>

#include "syntax/syntax.h"

static const Node *node_at(const Node *root, const char *key, const char *inner)
{
    const Node *node = root ? node_get(root, key) : NULL;
    if (node && inner)
        node = node_get(node, inner);
    return node && node->kind == NODE_TEXT ? node : NULL;
}

static const char *text_at(const Node *root, const char *key, const char *inner, Place *place)
{
    const Node *node = node_at(root, key, inner);
    if (place)
        *place = node ? node->place : root->place;
    return node ? node->text : "";
}

/* Without the weekday before it. */
static const char *day_alone(const char *date)
{
    const char *space = strrchr(date, ' ');
    return space ? space + 1 : date;
}

static void describe(Arena *arena, const Node *root, BesidePerson *out)
{
    out->code = text_at(root, "patient", NULL, &out->place);
    out->shown = text_at(root, "name", NULL, &out->name_place);
    out->order = text_at(root, "order", NULL, &out->order_place);
    out->sheet = text_at(root, "sheet", NULL, &out->sheet_place);
    out->day = day_alone(text_at(root, "anchor", "on", NULL));
    out->hour = text_at(root, "anchor", "clock", NULL);
    g_autofree char *folded = g_utf8_casefold(out->shown, -1);
    out->name = arena_copy(arena, folded);
}

const char *people_code(const RosterRow *row)
{
    return row->root ? text_at(row->root, "patient", NULL, NULL) : "";
}

static gboolean read_again(gpointer data, guint index, BesidePerson *out)
{
    Listing *people = data;
    RosterRow row;
    if (!people->arena)
        people->arena = arena_new();
    roster_go(people->again, &g_array_index(people->marks, RosterMark, index));
    if (!roster_next(people->again, people->arena, &row) || !row.root)
        return FALSE;
    describe(people->arena, row.root, out);
    return TRUE;
}

const char *people_compare(Arena *arena, Listing *people, const RosterRow *row)
{
    BesidePerson person;
    const BesideReader reader = {read_again, people};
    if (!row->root)
        return NULL;
    describe(arena, row->root, &person);
    return beside_judge(arena, people->beside, row->at.index, &person, &reader, row->diagnostics);
}

void people_prepare(Listing *people, guint from, guint until)
{
    const BesideReader reader = {read_again, people};
    beside_prepare(people->beside, from, until, &reader);
    people_forget(people);
}

void people_prepared(Listing *people) { beside_prepared(people->beside); }

void people_forget(Listing *people)
{
    g_clear_pointer(&people->arena, arena_free);
}

static void add_all(Listing *people)
{
    RosterRow row;
    Arena *arena = arena_new();
    while (roster_next(people->roster, arena, &row)) {
        BesidePerson person;
        g_array_append_val(people->marks, row.at);
        if (row.root) {
            describe(arena, row.root, &person);
            beside_add(people->beside, row.at.index, &person);
        }
        arena_free(arena);
        arena = arena_new();
    }
    arena_free(arena);
    beside_settle(people->beside);
    malloc_trim(0); /* what has grown and gone again would be handed to each process */
}

gboolean people_reopen(Session *session, Listing *people)
{
    GError *error = NULL;
    Diagnostics *told = diagnostics_new(session->arena); /* the first opening has said it */
    people->roster = roster_open(session->arena, people->path, told, &error);
    people->again = people->roster ? roster_open(session->arena, people->path, told, &error) : NULL;
    if (people->again)
        return TRUE;
    commands_system_error(error);
    return FALSE;
}

/* What holds for all of its people is said once. */
static void judge_whole(Session *session, const Listing *people, Diagnostics *found)
{
    const Place whole = {source_from_text(session->arena, people->path, "", 0), 1, 1, 1};
    if (people->marks->len == 0)
        finding_help(finding_add(found, RULE_file_empty, whole), "write a row for each person");
    else if (!loader_clinic_folder(session->loader, people->path))
        finding_help(finding_add(found, RULE_clinic_missing, whole),
                     "put the roster into the clinic's folder, or name that folder with --clinic");
}

Listing *people_read(Session *session, const char *path, int *status)
{
    GError *error = NULL;
    Diagnostics *found = diagnostics_new(session->arena);
    Listing *people = arena_new0(session->arena, Listing);
    people->path = path;
    people->marks = g_array_new(FALSE, FALSE, sizeof(RosterMark));
    arena_defer(session->arena, (GDestroyNotify)g_array_unref, people->marks);
    people->beside = beside_new(session->arena);
    people->roster = roster_open(session->arena, path, found, &error);
    if (!people->roster) {
        *status = commands_system_error(error);
        return NULL;
    }
    add_all(people);
    if (diagnostics_count(found) == 0)
        judge_whole(session, people, found);
    if (diagnostics_count(found) > 0)
        commands_report(session, found);
    *status = diagnostics_stops(found) ? EXIT_FINDINGS : EXIT_FINE;
    return *status == EXIT_FINE && people_reopen(session, people) ? people : NULL;
}
