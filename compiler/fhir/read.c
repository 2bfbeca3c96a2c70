/* fhir_read: see fhir.h.  Names, codes and what must not be passed over are those of FHIR 4.0.1,
 * from memory. */
#include <string.h>

#include "fhir/fhir.h"

gboolean fhir_is(const char *path) { return g_str_has_suffix(path, ".json"); }

typedef struct Bundle {
    Arena *arena;
    Diagnostics *diagnostics;
    const Zone *zone;
    const Node *patient, *appointment, *request; /* resources */
    const Node *patient_entry;
    Place place;                                 /* of the bundle */
    Node *out;
} Bundle;

/* ---- what stands where ---- */

static const Node *at(const Node *map, const char *key)
{
    return map && map->kind == NODE_MAP ? node_get(map, key) : NULL;
}

static gboolean is(const Node *map, const char *key, const char *word)
{
    return g_strcmp0(node_text(map, key), word) == 0;
}

static guint count_of(const Node *list) { return list && list->kind == NODE_LIST ? (guint)list->count : 0; }

static void unfit(const Bundle *bundle, const Node *node, const char *fact, const char *help)
{
    Finding *finding = finding_add(bundle->diagnostics, RULE_bundle_unfit, node ? node->place : bundle->place);
    finding_fact(finding, "%s", fact);
    finding_help(finding, "%s", help);
}

static void give(const Bundle *bundle, Node *map, const char *key, const Node *from, const char *text)
{
    Node *node = node_new(bundle->arena, NODE_TEXT, from->place);
    node->text = arena_copy(bundle->arena, text);
    node_add(bundle->arena, map, key, node);
}

/* ---- which resources there are ---- */

/* What says nothing of the person's injections. */
static const char *const passed[] = {"Practitioner", "PractitionerRole", "Organization", "Location", "Schedule",
                                     "Slot"};

static void take_resource(Bundle *bundle, const Node *entry)
{
    const Node *resource = at(entry, "resource");
    const struct { const char *type; const Node **out; } taken[] = {
        {"Patient", &bundle->patient}, {"Appointment", &bundle->appointment}, {"ServiceRequest", &bundle->request}};
    const char *type = node_text(resource, "resourceType");
    for (gsize i = 0; type && i < G_N_ELEMENTS(taken); i++) {
        if (strcmp(taken[i].type, type) != 0)
            continue;
        if (*taken[i].out)
            unfit(bundle, at(resource, "resourceType"), arena_format(bundle->arena, "there are two of %s", type),
                  "send a bundle of one person, one order and one appointment");
        else if (i == 0)
            bundle->patient_entry = entry;
        *taken[i].out = *taken[i].out ? *taken[i].out : resource;
        return;
    }
    for (gsize i = 0; type && i < G_N_ELEMENTS(passed); i++)
        if (strcmp(passed[i], type) == 0)
            return;
    unfit(bundle, type ? at(resource, "resourceType") : entry,
          type ? arena_format(bundle->arena, "%s is not read here, and may hold what must not be passed over", type)
               : "this entry holds no resource",
          "take it out, and say what it says in the rest of the patient's file (--rest)");
}

/* What the standard forbids to pass over, wherever it stands in what is read. */
static void refuse_modifiers(const Bundle *bundle, const Node *node)
{
    for (gsize i = 0; node && i < node->count; i++) {
        if (node->kind == NODE_LIST) {
            refuse_modifiers(bundle, node->items[i]);
            continue;
        }
        const Entry *entry = &node->entries[i];
        if (strcmp(entry->key, "modifierExtension") == 0 || strcmp(entry->key, "implicitRules") == 0)
            unfit(bundle, entry->value, arena_format(bundle->arena, "\"%s\" changes what the rest means", entry->key),
                  "write a patient's file for this person");
        else if (entry->value)
            refuse_modifiers(bundle, entry->value);
    }
}

static void need(const Bundle *bundle, const Node *resource, const char *type)
{
    if (!resource)
        unfit(bundle, NULL, arena_format(bundle->arena, "there is no %s", type),
              "add it, or write a patient's file for this person");
}

/* ---- the person ---- */

/* Of several, the one with this use; the only one; else NULL. */
static const Node *chosen(const Node *list, const char *use)
{
    for (guint i = 0; i < count_of(list); i++)
        if (is(list->items[i], "use", use))
            return list->items[i];
    return count_of(list) == 1 ? list->items[0] : NULL;
}

static void take_identifier(const Bundle *bundle, const Node *resource, const char *key)
{
    const Node *list = at(resource, "identifier"), *one = chosen(list, "usual");
    const Node *value = at(one, "value");
    if (value && value->kind == NODE_TEXT)
        give(bundle, bundle->out, key, value, value->text);
    else if (count_of(list) > 1)
        unfit(bundle, list, "there are several identifiers, and none is the usual one",
              "mark the one that the clinic uses: \"use\": \"usual\"");
}

static void take_name(const Bundle *bundle)
{
    const Node *list = at(bundle->patient, "name"), *one = chosen(list, "usual");
    one = one ? one : chosen(list, "official");
    const char *whole = node_text(one, "text"), *family = node_text(one, "family");
    const Node *given = at(one, "given");
    const char *first = count_of(given) > 0 && given->items[0]->kind == NODE_TEXT ? given->items[0]->text : NULL;
    if (whole)
        give(bundle, bundle->out, "name", at(one, "text"), whole);
    else if (first)
        give(bundle, bundle->out, "name", given->items[0],
             family ? arena_format(bundle->arena, "%s %s", first, family) : first);
}

static void take_language(const Bundle *bundle)
{
    const Node *list = at(bundle->patient, "communication");
    const Node *one = count_of(list) == 1 ? list->items[0] : NULL;
    for (guint i = 0; i < count_of(list); i++)
        if (is(list->items[i], "preferred", "true"))
            one = list->items[i];
    const Node *codings = at(at(one, "language"), "coding");
    const Node *code = count_of(codings) > 0 ? at(codings->items[0], "code") : NULL;
    if (code && code->kind == NODE_TEXT)
        give(bundle, bundle->out, "language", code, code->text);
}

static void take_phone(const Bundle *bundle)
{
    const Node *list = at(bundle->patient, "telecom"), *one = NULL;
    for (guint i = 0; i < count_of(list); i++) {
        const Node *each = list->items[i];
        if (is(each, "system", "phone") && !is(each, "use", "old") && (!one || is(each, "use", "mobile")))
            one = each;
    }
    const Node *value = at(one, "value");
    if (value && value->kind == NODE_TEXT)
        give(bundle, bundle->out, "phone", value, value->text);
}

static void take_patient(const Bundle *bundle)
{
    const Node *person = bundle->patient;
    if (is(person, "active", "false"))
        unfit(bundle, at(person, "active"), "this entry of the person is no longer in use", "send the one in use");
    if (is(person, "deceasedBoolean", "true") || at(person, "deceasedDateTime"))
        unfit(bundle, person, "the person is entered as deceased", "ask before anything is printed");
    take_identifier(bundle, person, "patient");
    take_name(bundle);
    take_language(bundle);
    take_phone(bundle);
}

/* TRUE when a reference means the bundle's person: by the entry's full address, or by the id. */
static gboolean means_patient(const Bundle *bundle, const char *reference)
{
    const char *address = node_text(bundle->patient_entry, "fullUrl"), *id = node_text(bundle->patient, "id");
    const char *whole = id ? arena_format(bundle->arena, "Patient/%s", id) : NULL;
    return g_strcmp0(reference, address) == 0 || g_strcmp0(reference, whole) == 0;
}

/* ---- the order ---- */

static void take_protocol(const Bundle *bundle)
{
    static const char *const keys[] = {"instantiatesUri", "instantiatesCanonical"};
    for (gsize i = 0; i < G_N_ELEMENTS(keys); i++) {
        const Node *list = at(bundle->request, keys[i]);
        if (count_of(list) == 0)
            continue;
        const Node *one = list->items[0];
        if (list->count > 1 || one->kind != NODE_TEXT) {
            unfit(bundle, list, "the order names several protocols", "send an order for each");
            return;
        }
        const char *slash = strrchr(one->text, '/');
        const char *name = slash ? slash + 1 : one->text;
        give(bundle, bundle->out, "protocol", one, arena_copy_length(bundle->arena, name, strcspn(name, "|#?")));
        return;
    }
}

static void take_request(const Bundle *bundle)
{
    const Node *request = bundle->request, *subject = at(at(request, "subject"), "reference");
    const char *intent = node_text(request, "intent");
    if (!is(request, "status", "active"))
        unfit(bundle, at(request, "status"), "the order is not active", "a sheet is printed from an active order only");
    if (!intent || !g_str_has_suffix(intent, "order"))
        unfit(bundle, at(request, "intent"), "this is no order", "send the prescriber's order");
    if (is(request, "doNotPerform", "true"))
        unfit(bundle, at(request, "doNotPerform"), "the order says that this is not to be done", "ask the prescriber");
    if (bundle->patient && (!subject || subject->kind != NODE_TEXT || !means_patient(bundle, subject->text)))
        unfit(bundle, subject ? subject : request, "the order is not of the bundle's person",
              "send order and person of one another");
    take_identifier(bundle, request, "order");
    take_protocol(bundle);
}

/* ---- the event ---- */

/* An instant of the standard, without its fraction of a second when that is zero. */
static gboolean read_instant(Arena *arena, const char *text, Instant *out)
{
    LocalTime local;
    gboolean has_offset;
    const char *point = strchr(text, '.');
    gsize zeros = point ? strspn(point + 1, "0") : 0;
    char *plain = arena_copy(arena, text);
    if (point)
        memmove(plain + (point - text), point + 1 + zeros, strlen(point + 1 + zeros) + 1);
    return moment_parse(plain, &local, &has_offset, out).fault == MOMENT_FINE && has_offset && *out % 60 == 0;
}

static void give_anchor(const Bundle *bundle, const Node *start, Instant instant)
{
    LocalTime local = zone_local(bundle->zone, instant, NULL);
    CalendarDate date = day_date(local.day);
    Instant both[2];
    Node *anchor = node_new(bundle->arena, NODE_MAP, start->place);
    give(bundle, anchor, "on", start, arena_format(bundle->arena, "%s %04d-%02d-%02d",
                                                   weekday_name(day_weekday(local.day)), date.year, date.month,
                                                   date.day));
    give(bundle, anchor, "clock", start, clock_text(bundle->arena, local.minute));
    if (zone_instants(bundle->zone, local, both) == 2)
        give(bundle, anchor, "which", start, instant == both[0] ? "first" : "second");
    node_add(bundle->arena, bundle->out, "anchor", anchor);
}

static void check_participants(const Bundle *bundle)
{
    const Node *list = at(bundle->appointment, "participant");
    gboolean found = FALSE;
    for (guint i = 0; i < count_of(list); i++) {
        const char *who = node_text(at(list->items[i], "actor"), "reference");
        found = found || (who && means_patient(bundle, who));
    }
    if (!found && bundle->patient)
        unfit(bundle, list ? list : bundle->appointment, "the appointment is not of the bundle's person",
              "send appointment and person of one another");
}

static void take_appointment(const Bundle *bundle)
{
    const Node *appointment = bundle->appointment, *start = at(appointment, "start");
    Instant instant;
    if (!is(appointment, "status", "booked"))
        unfit(bundle, at(appointment, "status"), "the appointment is not booked",
              "times count from a booked appointment only");
    check_participants(bundle);
    if (!start || start->kind != NODE_TEXT || !read_instant(bundle->arena, start->text, &instant))
        unfit(bundle, start ? start : appointment, "it has no start that is a whole minute with its offset from UTC",
              "write \"start\": \"2026-11-26T11:30:00-04:00\"");
    else if (bundle->zone)
        give_anchor(bundle, start, instant);
}

/* ---- the whole ---- */

Node *fhir_patient(Arena *arena, const Source *source, const Zone *zone, Diagnostics *diagnostics)
{
    const Node *root = syntax_parse(arena, source, diagnostics);
    if (!root)
        return NULL;
    Bundle bundle = {.arena = arena, .diagnostics = diagnostics, .zone = zone, .place = root->place};
    bundle.out = node_new(arena, NODE_MAP, root->place);
    const Node *entries = at(root, "entry");
    if (!is(root, "resourceType", "Bundle") || !entries || entries->kind != NODE_LIST) {
        unfit(&bundle, NULL, "this is no bundle with entries", "send a Bundle of FHIR release 4, as JSON");
        return NULL;
    }
    for (guint i = 0; i < entries->count; i++)
        take_resource(&bundle, entries->items[i]);
    refuse_modifiers(&bundle, root);
    need(&bundle, bundle.patient, "Patient");
    need(&bundle, bundle.appointment, "Appointment");
    need(&bundle, bundle.request, "ServiceRequest");
    if (bundle.patient)
        take_patient(&bundle);
    if (bundle.request)
        take_request(&bundle);
    if (bundle.appointment)
        take_appointment(&bundle);
    return bundle.out;
}

void fhir_add(Arena *arena, Node *patient, const Node *rest, Diagnostics *diagnostics)
{
    for (gsize i = 0; rest->kind == NODE_MAP && i < rest->count; i++) {
        const Entry *entry = &rest->entries[i];
        const Node *given = node_get(patient, entry->key);
        if (!given) {
            node_add(arena, patient, entry->key, entry->value);
            continue;
        }
        Finding *finding = finding_add(diagnostics, RULE_key_twice, entry->key_place);
        finding_note(finding, given->place, "the bundle says it here");
        finding_help(finding, "keep the one that is meant; the bundle's counts only when this line is not there");
    }
}
