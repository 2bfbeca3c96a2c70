/* fhir_write: see fhir.h.  Names, codes and cardinalities are those of FHIR 4.0.1; codes of UCUM
 * and of the route value set that it names are from memory. */
#include <string.h>

#include "fhir/fhir.h"

#define UCUM "http://unitsofmeasure.org"
#define DOSE_TYPE "http://terminology.hl7.org/CodeSystem/dose-rate-type"
#define TEST_MARK "http://terminology.hl7.org/CodeSystem/v3-ActReason"
#define SNOMED "http://snomed.info/sct"

typedef struct Writer {
    Arena *arena;
    GString *out;
    const Plan *plan;
    gboolean first; /* nothing stands before the next member */
} Writer;

/* ---- JSON ---- */

static void comma(Writer *writer)
{
    if (!writer->first)
        g_string_append_c(writer->out, ',');
    writer->first = FALSE;
}

/* The name of the next member; NULL: the next item of a list. */
static void name(Writer *writer, const char *member)
{
    comma(writer);
    if (member)
        g_string_append_printf(writer->out, "\"%s\":", member);
}

static void begin(Writer *writer, const char *member, char bracket)
{
    name(writer, member);
    g_string_append_c(writer->out, bracket);
    writer->first = TRUE;
}

static void end(Writer *writer, char bracket)
{
    g_string_append_c(writer->out, bracket);
    writer->first = FALSE;
}

static void text(Writer *writer, const char *member, const char *words)
{
    name(writer, member);
    source_json(writer->out, words);
}

/* ---- data types ---- */

/* A digest as RFC 4122 writes it: the same resource of the same plan always has the same name. */
static char *urn_of(Writer *writer, const char *what)
{
    const Plan *plan = writer->plan;
    g_autofree char *words = g_strdup_printf("dosewright\n%s\n%s\n%s\n%s", plan->clinic->clinic.text,
                                             plan->patient->patient.text, plan->patient->order.text, what);
    g_autofree char *digest = g_compute_checksum_for_string(G_CHECKSUM_SHA1, words, -1);
    digest[12] = '5'; /* version: a digest of a name */
    digest[16] = "89ab"[g_ascii_xdigit_value(digest[16]) & 3];
    return arena_format(writer->arena, "urn:uuid:%.8s-%.4s-%.4s-%.4s-%.12s", digest, digest + 8, digest + 12,
                        digest + 16, digest + 20);
}

static void moment(Writer *writer, const char *member, const Zone *zone, Instant at)
{
    text(writer, member, instant_text(writer->arena, zone, at));
}

static void reference(Writer *writer, const char *member, const char *urn)
{
    begin(writer, member, '{');
    text(writer, "reference", urn);
    end(writer, '}');
}

static void coding(Writer *writer, const char *system, const char *code, const char *display)
{
    begin(writer, "coding", '[');
    begin(writer, NULL, '{');
    text(writer, "system", system);
    text(writer, "code", code);
    text(writer, "display", display);
    end(writer, '}');
    end(writer, ']');
}

static void concept(Writer *writer, const char *member, const char *words)
{
    begin(writer, member, '{');
    text(writer, "text", words);
    end(writer, '}');
}

/* The unit's code in UCUM, NULL where it has none here; activity: what the label calls its units. */
static const char *ucum_of(UnitId unit, const Text *activity)
{
    static const struct { UnitId unit; const char *code; } codes[] = {
        {UNIT_mcg, "ug"}, {UNIT_mg, "mg"}, {UNIT_g, "g"}, {UNIT_mL, "mL"}, {UNIT_L, "L"}};
    if (unit == UNIT_units && PRESENT(*activity) && strstr(activity->text, "USP"))
        return "[USP'U]";
    if (unit == UNIT_units)
        return PRESENT(*activity) && strstr(activity->text, "international") ? "[iU]" : "[arb'U]";
    for (gsize i = 0; i < G_N_ELEMENTS(codes); i++)
        if (codes[i].unit == unit)
            return codes[i].code;
    return NULL;
}

/* The number without commas; NULL when no decimal says it exactly. */
static char *decimal(Arena *arena, Rational number)
{
    gboolean rounded = FALSE;
    g_autoptr(GString) digits = g_string_new(NULL);
    rational_print(digits, number, 6, &rounded);
    g_string_replace(digits, ",", "", 0);
    return rounded ? NULL : arena_copy(arena, digits->str);
}

/* One amount of a dose, as "ordered" or "calculated"; nothing when no decimal says it. */
static void dose(Writer *writer, Quantity amount, const Text *activity, const char *kind, const char *display)
{
    const char *value = decimal(writer->arena, amount.number), *code = ucum_of(amount.unit, activity);
    if (!value)
        return;
    begin(writer, NULL, '{');
    begin(writer, "type", '{');
    coding(writer, DOSE_TYPE, kind, display);
    end(writer, '}');
    begin(writer, "doseQuantity", '{');
    name(writer, "value");
    g_string_append(writer->out, value);
    text(writer, "unit", unit_row(amount.unit)->symbol);
    if (code) {
        text(writer, "system", UCUM);
        text(writer, "code", code);
    }
    end(writer, '}');
    end(writer, '}');
}

/* ---- the person ---- */

static void open_entry(Writer *writer, const char *urn, const char *type)
{
    begin(writer, NULL, '{');
    text(writer, "fullUrl", urn);
    begin(writer, "resource", '{');
    text(writer, "resourceType", type);
}

static void close_entry(Writer *writer)
{
    end(writer, '}');
    end(writer, '}');
    g_string_append_c(writer->out, '\n');
}

static void identifier(Writer *writer, const char *member, const char *value)
{
    begin(writer, member, '[');
    begin(writer, NULL, '{');
    text(writer, "value", value);
    end(writer, '}');
    end(writer, ']');
}

static void patient(Writer *writer)
{
    const Patient *person = writer->plan->patient;
    open_entry(writer, urn_of(writer, "patient"), "Patient");
    identifier(writer, "identifier", person->patient.text);
    begin(writer, "name", '[');
    concept(writer, NULL, person->name.text);
    end(writer, ']');
    close_entry(writer);
}

/* ---- one injection ---- */

static const char *value_words(const Writer *writer, const PlanInjection *injection, ValueId id)
{
    const Value *value = plan_value(writer->plan, injection, id);
    return value->set ? value_text(writer->arena, value, value_row(id)->kind) : NULL;
}

/* All of it in one sentence, for those whose program shows nothing else. */
static char *sentence(Writer *writer, const PlanInjection *injection)
{
    static const struct { ValueId id; const char *before; } parts[] = {
        {VALUE_dose, ""}, {VALUE_volume, ": "}, {VALUE_mark, ", "}, {VALUE_dial, ", the window shows "},
        {VALUE_route, "; "}, {VALUE_site, ", "}, {VALUE_injection_time, "; "}, {VALUE_last_time, " to "},
        {VALUE_earliest, "; not before "}, {VALUE_latest, ", not after "}};
    g_autoptr(GString) words = g_string_new(NULL);
    for (gsize i = 0; i < G_N_ELEMENTS(parts); i++) {
        gboolean told = parts[i].id != VALUE_last_time || injection->acts->len > 1;
        const char *value = told ? value_words(writer, injection, parts[i].id) : NULL;
        if (value)
            g_string_append_printf(words, "%s%s", parts[i].before, value);
    }
    g_string_append_printf(words, " (clock of %s)", zone_name(writer->plan->zone));
    return arena_copy(writer->arena, words->str);
}

static guint left_of(const PlanInjection *injection) { return injection->acts->len - injection->done; }

static const Act *act_left(const PlanInjection *injection, guint index)
{
    return g_ptr_array_index(injection->acts, injection->done + index);
}

/* Each time, and the bounds of them all: of one injection its window. */
static void timing(Writer *writer, const PlanInjection *injection)
{
    const Zone *zone = writer->plan->zone;
    guint count = left_of(injection);
    const Act *first = act_left(injection, 0), *last = act_left(injection, count - 1);
    begin(writer, "timing", '{');
    begin(writer, "event", '[');
    for (guint i = 0; i < count; i++)
        moment(writer, NULL, zone, act_left(injection, i)->at.instant);
    end(writer, ']');
    begin(writer, "repeat", '{');
    begin(writer, "boundsPeriod", '{');
    moment(writer, "start", zone, injection->windowed ? injection->earliest.instant : first->at.instant);
    moment(writer, "end", zone, count > 1 || !injection->windowed ? plan_window_end(injection, last)
                                                                  : injection->latest.instant);
    end(writer, '}');
    name(writer, "count");
    g_string_append_printf(writer->out, "%u", count);
    end(writer, '}');
    end(writer, '}');
}

static void route(Writer *writer, const PlanInjection *injection)
{
    static const struct { Route route; const char *code, *display; } codes[] = {
        {Route_IM, "78421000", "Intramuscular route"},
        {Route_SC, "34206005", "Subcutaneous route"}};
    begin(writer, "route", '{');
    for (gsize i = 0; i < G_N_ELEMENTS(codes); i++)
        if (codes[i].route == injection->order->route.value)
            coding(writer, SNOMED, codes[i].code, codes[i].display);
    text(writer, "text", choice_word(injection->order->route.value));
    end(writer, '}');
}

static void dosage(Writer *writer, const PlanInjection *injection)
{
    static const Text none = {0};
    const Value *ordered = plan_value(writer->plan, injection, VALUE_dose);
    const Value *volume = plan_value(writer->plan, injection, VALUE_volume);
    begin(writer, "dosageInstruction", '[');
    begin(writer, NULL, '{');
    text(writer, "text", sentence(writer, injection));
    timing(writer, injection);
    name(writer, "asNeededBoolean");
    g_string_append(writer->out, "false");
    concept(writer, "site", choice_word(injection->order->site.value));
    route(writer, injection);
    begin(writer, "doseAndRate", '[');
    dose(writer, ordered->quantity, &injection->medicine->activity, "ordered", "Ordered");
    if (volume->set)
        dose(writer, volume->quantity, &none, "calculated", "Calculated");
    end(writer, ']');
    end(writer, '}');
    end(writer, ']');
}

static char *request_urn(Writer *writer, const PlanInjection *injection)
{
    return urn_of(writer, arena_format(writer->arena, "request %d", injection->number));
}

static void note(Writer *writer, const char *words)
{
    begin(writer, "note", '[');
    concept(writer, NULL, words);
    end(writer, ']');
}

static void request(Writer *writer, const PlanInjection *injection)
{
    const Plan *plan = writer->plan;
    open_entry(writer, request_urn(writer, injection), "MedicationRequest");
    text(writer, "status", "active");
    text(writer, "intent", "plan"); /* worked out from the order, and no order itself */
    const char *box = value_words(writer, injection, VALUE_box_says);
    concept(writer, "medicationCodeableConcept", box ? box : injection->medicine->name.text);
    reference(writer, "subject", urn_of(writer, "patient"));
    moment(writer, "authoredOn", plan->zone, plan->now);
    begin(writer, "groupIdentifier", '{');
    text(writer, "value", plan->patient->order.text);
    end(writer, '}');
    note(writer, "The prescriber's order and the label in the box decide. This was worked out from them and is no "
         "order.");
    dosage(writer, injection);
    close_entry(writer);
}

/* ---- the whole ---- */

/* The last act, or the event when that comes later. */
static Instant last_instant(const Plan *plan)
{
    Instant last = plan->anchor;
    for (guint i = 0; i < plan->injections->len; i++) {
        const PlanInjection *injection = g_ptr_array_index(plan->injections, i);
        last = MAX(last, act_left(injection, left_of(injection) - 1)->at.instant);
    }
    return last;
}

static void care_plan(Writer *writer)
{
    const Plan *plan = writer->plan;
    const PlanInjection *first = g_ptr_array_index(plan->injections, 0);
    open_entry(writer, urn_of(writer, "plan"), "CarePlan");
    identifier(writer, "identifier", plan->patient->order.text);
    text(writer, "status", "active");
    text(writer, "intent", "plan");
    text(writer, "title", arena_format(writer->arena, "%s, revision %" G_GINT64_FORMAT, plan->protocol->protocol.text,
                                       plan->protocol->revision.value));
    reference(writer, "subject", urn_of(writer, "patient"));
    begin(writer, "period", '{');
    moment(writer, "start", plan->zone, MIN(act_left(first, 0)->at.instant, plan->anchor));
    moment(writer, "end", plan->zone, last_instant(plan));
    end(writer, '}');
    moment(writer, "created", plan->zone, plan->now);
    begin(writer, "activity", '[');
    for (guint i = 0; i < plan->injections->len; i++) {
        begin(writer, NULL, '{');
        reference(writer, "reference", request_urn(writer, g_ptr_array_index(plan->injections, i)));
        end(writer, '}');
    }
    end(writer, ']');
    close_entry(writer);
}

void fhir_print(const Plan *plan, GString *out)
{
    Writer writer = {arena_new(), out, plan, TRUE};
    begin(&writer, NULL, '{');
    text(&writer, "resourceType", "Bundle");
    if (PRESENT(plan->clinic->demonstration)) {
        begin(&writer, "meta", '{');
        begin(&writer, "security", '[');
        begin(&writer, NULL, '{');
        text(&writer, "system", TEST_MARK);
        text(&writer, "code", "HTEST");
        end(&writer, '}');
        end(&writer, ']');
        end(&writer, '}');
    }
    text(&writer, "type", "collection");
    moment(&writer, "timestamp", plan->zone, plan->now);
    begin(&writer, "entry", '[');
    patient(&writer);
    care_plan(&writer);
    for (guint i = 0; i < plan->injections->len; i++)
        request(&writer, g_ptr_array_index(plan->injections, i));
    end(&writer, ']');
    end(&writer, '}');
    g_string_append_c(out, '\n');
    arena_free(writer.arena);
}
