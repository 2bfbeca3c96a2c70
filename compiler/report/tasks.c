/* report_tasks: who has to do what, most urgent first. */
#include <string.h>

#include "report/parts.h"

#define NAMED 5 /* things of one task that are named; the rest are counted */
#define FACTS 2 /* of each of them */
#define KEEPER "whoever keeps clinic.yaml and shelf.yaml"

typedef enum TaskKind {
#define TASK(ID, gate, label) TASK_##ID,
#include "report/tasks.def"
    TASK_KINDS
} TaskKind;

static const struct { ReviewGate gate; const char *label; } rows[] = {
#define TASK(ID, gate, label) {REVIEW_##gate, label},
#include "report/tasks.def"
};

static const char *const gates[REVIEW_GATES] = {[REVIEW_STOPS] = "stops", [REVIEW_WAITS] = "waits",
                                                [REVIEW_ENDS] = "ends"};

gboolean review_gate_find(const char *word, ReviewGate *out)
{
    for (int gate = 0; gate < REVIEW_GATES; gate++)
        if (strcmp(gates[gate], word) == 0) {
            *out = (ReviewGate)gate;
            return TRUE;
        }
    return FALSE;
}

typedef struct Gather {
    const Review *review;
    GHashTable *known;   /* key -> ReviewTask* */
    GPtrArray *tasks;
} Gather;

/* The task of this kind, clinic, owner and subject, new or known. */
static ReviewTask *task_of(Gather *gather, TaskKind kind, const char *clinic, const char *owner, const char *what,
                     const char *subject)
{
    Arena *arena = gather->review->arena;
    char *key = arena_format(arena, "%d\n%s\n%s\n%s\n%s", (int)kind, clinic, owner, what, subject);
    ReviewTask *task = g_hash_table_lookup(gather->known, key);
    if (task)
        return task;
    task = arena_new0(arena, ReviewTask);
    *task = (ReviewTask){.kind = (int)kind, .gate = rows[kind].gate, .clinic = clinic, .owner = owner, .what = what,
                         .things = arena_list(arena)};
    g_hash_table_insert(gather->known, key, task);
    g_ptr_array_add(gather->tasks, task);
    return task;
}

static ReviewThing *add_thing(const Gather *gather, ReviewTask *task, const char *name, const char *link)
{
    ReviewThing *thing = arena_new0(gather->review->arena, ReviewThing);
    *thing = (ReviewThing){.name = name, .link = link, .place = "", .facts = arena_list(gather->review->arena)};
    g_ptr_array_add(task->things, thing);
    return thing;
}

static void add_fact(ReviewThing *thing, const char *fact) { g_ptr_array_add(thing->facts, (gpointer)fact); }

/* ---- whose it is ---- */

static const char *joined(Arena *arena, const List *people, const char *but)
{
    g_autoptr(GString) names = g_string_new(NULL);
    for (guint i = 0; i < people->items->len; i++) {
        const Text *person = g_ptr_array_index(people->items, i);
        if (PRESENT(*person) && g_strcmp0(person->text, but) != 0)
            g_string_append_printf(names, "%s%s", names->len ? " or " : "", person->text);
    }
    return names->len ? arena_copy(arena, names->str) : NULL;
}

static const char *physicians(Arena *arena, const ReviewCase *one)
{
    const Governance *governance = one->clinic ? &one->clinic->governance : NULL;
    gboolean two = governance && PRESENT(governance->people) && governance->people.value == People_TWO;
    const char *author = two && one->protocol && PRESENT(one->protocol->author) ? one->protocol->author.text : NULL;
    const char *named = governance && PRESENT(governance->physicians)
                            ? joined(arena, &governance->physicians, author) : NULL;
    return named ? named : "a physician of the clinic";
}

static const char *approver(Arena *arena, const ReviewCase *one)
{
    const Approval *approval = one->protocol ? &one->protocol->approval : NULL;
    return approval && PRESENT(*approval) && PRESENT(approval->by) ? approval->by.text : physicians(arena, one);
}

static const char *owner_of(Arena *arena, TaskKind kind, const ReviewCase *one, const Finding *finding)
{
    if (one->patient)
        return PRESENT(one->patient->prepared_by) ? one->patient->prepared_by.text : "the nurses";
    if (kind == TASK_APPROVAL)
        return physicians(arena, one);
    if (kind != TASK_ERROR || finding_rule(finding) == RULE_acceptance_stale)
        return approver(arena, one);
    if (!review_own(one, finding))
        return KEEPER;
    return one->protocol && PRESENT(one->protocol->author) ? one->protocol->author.text : "the author of the protocol";
}

/* ---- from findings ---- */

/* A new revision stops nothing while sheets go on from the one before. */
static gboolean is_task(const ReviewCase *one, const Finding *finding, TaskKind *kind)
{
    StandingOf standing = review_standing(finding);
    RuleId rule = finding_rule(finding);
    *kind = standing == STANDING_WAITS               ? TASK_WARNING
            : rule == RULE_not_approved              ? TASK_APPROVAL
            : rule == RULE_seal_broken && one->goes_on > 0 ? TASK_APPROVAL
            : rule == RULE_seal_broken               ? TASK_SEAL
            : rule == RULE_review_overdue            ? TASK_OVERDUE
                                                     : TASK_ERROR;
    return standing == STANDING_WAITS || standing == STANDING_STOPS;
}

static const char *place_words(Arena *arena, Place place)
{
    return place.source ? arena_format(arena, "%s:%d:%d", place.source->name, place_line(place), place.column) : "";
}

static const char *message_of(Arena *arena, TaskKind kind, const ReviewCase *one, const Finding *finding)
{
    if (kind == TASK_APPROVAL && one->goes_on > 0)
        return arena_format(arena, "a new revision is to be read; until it is signed, sheets are printed from "
                            "revision %" G_GINT64_FORMAT, one->goes_on);
    return rule_row(finding_rule(finding))->message;
}

static void take_finding(Gather *gather, guint index, const ReviewCase *one, const Finding *finding)
{
    Arena *arena = gather->review->arena;
    TaskKind kind;
    /* what a person's case shares with its protocol is told there */
    if (!is_task(one, finding, &kind) || (one->patient && !review_own(one, finding)))
        return;
    const char *place = place_words(arena, finding_place(finding));
    ReviewTask *task = task_of(gather, kind, review_clinic(one->clinic), owner_of(arena, kind, one, finding),
                               message_of(arena, kind, one, finding), review_own(one, finding) ? "" : place);
    ReviewThing *thing = add_thing(gather, task, review_name(one), review_case_link(arena, gather->review, index));
    const GPtrArray *facts = review_facts(arena, finding);
    for (guint i = 0; i < facts->len; i++)
        add_fact(thing, g_ptr_array_index(facts, i));
    thing->place = place;
    thing->about = one;
    thing->finding = finding;
    if (kind == TASK_OVERDUE)
        task->due = one->protocol->approval.review_by.day;
    task->help = task->help ? task->help : finding_advice(finding);
    task->more = review_rule_link(arena, finding_rule(finding));
}

/* ---- from dates ---- */

static gboolean soon(const Review *review, const Date *date)
{
    return PRESENT(*date) && date->day >= review->today && date->day <= review->today + REVIEW_SOON;
}

static gboolean has_finding(const ReviewCase *one, RuleId rule)
{
    for (guint i = 0; i < diagnostics_count(one->diagnostics); i++)
        if (finding_rule(diagnostics_at(one->diagnostics, i)) == rule)
            return TRUE;
    return FALSE;
}

static void take_review(Gather *gather, guint index, const ReviewCase *one)
{
    const Review *review = gather->review;
    const Approval *approval = &one->protocol->approval;
    if (!PRESENT(*approval) || !soon(review, &approval->review_by) || has_finding(one, RULE_review_overdue))
        return;
    const char *day = review_day(review->arena, approval->review_by.day);
    ReviewTask *task = task_of(gather, TASK_REVIEW, review_clinic(one->clinic), approver(review->arena, one),
                         "the protocol is to be read again", day);
    task->due = approval->review_by.day;
    task->help = "after that day no sheet is printed; \"dosewright approve\" prints the new line";
    add_thing(gather, task, review_name(one), review_case_link(review->arena, review, index))->about = one;
}

static void take_ending(Gather *gather, guint index, const ReviewCase *one)
{
    const Review *review = gather->review;
    for (guint i = 0; i < one->protocol->acceptances.items->len; i++) {
        const Acceptance *acceptance = g_ptr_array_index(one->protocol->acceptances.items, i);
        RuleId rule;
        if (!PRESENT(acceptance->rule) || !rule_find(acceptance->rule.text, &rule) ||
            !soon(review, &acceptance->until))
            continue;
        const char *day = review_day(review->arena, acceptance->until.day);
        ReviewTask *task = task_of(gather, TASK_ENDING, review_clinic(one->clinic),
                             PRESENT(acceptance->by) ? acceptance->by.text : approver(review->arena, one),
                             arena_format(review->arena, "accepted: %s", rule_row(rule)->message), day);
        task->due = acceptance->until.day;
        task->help = "weigh the warning again; from the day after it on it stops every sheet";
        ReviewThing *thing = add_thing(gather, task, review_name(one), review_case_link(review->arena, review, index));
        thing->about = one;
        if (PRESENT(acceptance->because))
            add_fact(thing, arena_format(review->arena, "because: %s", acceptance->because.text));
    }
}

static void take_case(Gather *gather, guint index)
{
    ReviewCase *one = g_ptr_array_index(gather->review->cases, index);
    diagnostics_sort(one->diagnostics);
    for (guint i = 0; !review_past(one) && i < diagnostics_count(one->diagnostics); i++)
        take_finding(gather, index, one, diagnostics_at(one->diagnostics, i));
    if (!one->protocol || one->patient)
        return;
    take_review(gather, index, one);
    take_ending(gather, index, one);
}

/* ---- from the record, and languages ---- */

static const char *link_of_protocol(const Review *review, const ReviewSheet *sheet)
{
    for (guint i = 0; i < review->cases->len; i++) {
        const ReviewCase *one = g_ptr_array_index(review->cases, i);
        if (one->protocol && !one->patient && strcmp(review_name(one), sheet->protocol) == 0 &&
            strcmp(review_clinic(one->clinic), sheet->clinic) == 0)
            return review_case_link(review->arena, review, i);
    }
    return NULL;
}

static const char *old_sheet(Arena *arena, const ReviewSheet *sheet)
{
    if (sheet->recalled)
        return "the person still holds the old sheet";
    const char *printed = arena_format(arena, "they were printed from revision %" G_GINT64_FORMAT " of %s",
                                       sheet->revision, sheet->protocol);
    return sheet->present > 0
               ? arena_format(arena, "%s; revision %" G_GINT64_FORMAT " is approved now", printed, sheet->present)
               : arena_format(arena, "%s, which is not approved as it stands now", printed);
}

static void take_sheet(Gather *gather, const ReviewSheet *sheet)
{
    Arena *arena = gather->review->arena;
    const char *revision = arena_format(arena, "%s/%" G_GINT64_FORMAT, sheet->protocol, sheet->revision);
    ReviewTask *task = task_of(gather, sheet->recalled ? TASK_CALLED_BACK : TASK_OLD_SHEET, sheet->clinic,
                         *sheet->by ? sheet->by : "the nurses",
                         old_sheet(arena, sheet), sheet->recalled ? "" : revision);
    task->help = sheet->recalled
                     ? "print the new sheet, ring the person, and note that you told her"
                     : arena_format(arena, "compare the two revisions; where the old sheet will not do, \"dosewright "
                                    "recall --by NAME --out FOLDER protocol %s 'REASON'\" prints new ones", revision);
    task->due = task->due ? MIN(task->due, sheet->due) : sheet->due;
    ReviewThing *thing = add_thing(gather, task, arena_format(arena, "sheet %" G_GINT64_FORMAT " of %s", sheet->number,
                                                        sheet->person), link_of_protocol(gather->review, sheet));
    thing->sheet = sheet;
    add_fact(thing, arena_format(arena, "injection %s", sheet->when));
}

static void take_language(Gather *gather, const ReviewLanguage *language)
{
    Arena *arena = gather->review->arena;
    ReviewTask *task = task_of(gather, TASK_LANGUAGE, language->clinic,
                         arena_format(arena, "a reviewer who speaks \"%s\"", language->tag),
                         "sheets in this language are marked drafts", language->tag);
    task->help = arena_format(arena, "someone who speaks it reads %s and is named there in reviewed_by",
                              language->file);
    add_thing(gather, task, language->asked, NULL);
}

/* ---- order, and writing ---- */

static int by_urgency(gconstpointer left, gconstpointer right)
{
    const ReviewTask *a = *(const ReviewTask *const *)left, *b = *(const ReviewTask *const *)right;
    int order = (int)a->kind - (int)b->kind;
    order = order ? order : a->due - b->due;
    order = order ? order : (int)b->things->len - (int)a->things->len;
    return order ? order : strcmp(a->what, b->what);
}

const char *review_task_label(const Review *review, const ReviewTask *task)
{
    const char *label = rows[task->kind].label;
    int days = task->due - review->today;
    if (!task->due || task->kind == TASK_CALLED_BACK || task->kind == TASK_OLD_SHEET)
        return label;
    if (days < 0)
        return arena_format(review->arena, "%s by %d %s", label, -days, days == -1 ? "day" : "days");
    return days == 0 ? arena_format(review->arena, "%s today", label)
                     : arena_format(review->arena, "%s in %d %s", label, days, days == 1 ? "day" : "days");
}

static void write_one(Report *report, const char *label, const ReviewTask *task)
{
    const ReviewThing *thing = g_ptr_array_index(task->things, 0);
    ReportItem *entry = report_entry(report, label, arena_format(report->arena, "%s: %s", thing->name, task->what));
    for (guint i = 0; i < thing->facts->len; i++)
        report_line(report, entry, NULL, "%s", (const char *)g_ptr_array_index(thing->facts, i));
    if (task->help)
        report_line(report, entry, NULL, "Help: %s", task->help);
    if (thing->link || *thing->place)
        report_line(report, entry, thing->link, "more below%s%s", *thing->place ? "; it stands in " : "", thing->place);
}

static void write_many(Report *report, const char *label, const ReviewTask *task)
{
    guint count = task->things->len;
    ReportItem *entry = report_entry(report, label, arena_format(report->arena, "%u times: %s", count, task->what));
    for (guint i = 0; i < MIN(count, NAMED); i++) {
        const ReviewThing *thing = g_ptr_array_index(task->things, i);
        g_autoptr(GString) facts = g_string_new(thing->name);
        for (guint j = 0; j < MIN(thing->facts->len, FACTS); j++)
            g_string_append_printf(facts, "%s%s", j == 0 ? ": " : g_str_has_suffix(facts->str, ":") ? " " : "; ",
                                   (const char *)g_ptr_array_index(thing->facts, j));
        report_line(report, entry, thing->link, "%s", facts->str);
    }
    if (count > NAMED)
        report_line(report, entry, task->more, "and %u more", count - NAMED);
    if (task->help)
        report_line(report, entry, NULL, "Help: %s", task->help);
}

static void write_owner(const Review *review, Report *report, const GPtrArray *tasks, const ReviewTask *first)
{
    report_heading(report, REPORT_UNDER, first->owner);
    for (guint i = 0; i < tasks->len; i++) {
        const ReviewTask *task = g_ptr_array_index(tasks, i);
        if (strcmp(task->clinic, first->clinic) != 0 || strcmp(task->owner, first->owner) != 0)
            continue;
        if (task->things->len == 1)
            write_one(report, review_task_label(review, task), task);
        else
            write_many(report, review_task_label(review, task), task);
    }
}

static void write_clinic(const Review *review, Report *report, const GPtrArray *tasks, const char *clinic)
{
    g_autoptr(GHashTable) told = g_hash_table_new(g_str_hash, g_str_equal);
    report_heading(report, REPORT_PART, clinic);
    for (guint i = 0; i < tasks->len; i++) {
        const ReviewTask *task = g_ptr_array_index(tasks, i);
        if (strcmp(task->clinic, clinic) == 0 && g_hash_table_add(told, (gpointer)task->owner))
            write_owner(review, report, tasks, task);
    }
}

GPtrArray *review_tasks(const Review *review)
{
    Gather gather = {review, g_hash_table_new(g_str_hash, g_str_equal), arena_list(review->arena)};
    arena_defer(review->arena, (GDestroyNotify)g_hash_table_unref, gather.known);
    for (guint i = 0; i < review->cases->len; i++)
        take_case(&gather, i);
    for (guint i = 0; i < review->sheets->len; i++)
        take_sheet(&gather, g_ptr_array_index(review->sheets, i));
    for (guint i = 0; i < review->languages->len; i++)
        take_language(&gather, g_ptr_array_index(review->languages, i));
    g_ptr_array_sort(gather.tasks, by_urgency);
    return gather.tasks;
}

void review_worklist(const Review *review, Report *report, guint tasks[REVIEW_GATES])
{
    const GPtrArray *all = review_tasks(review);
    g_autoptr(GHashTable) told = g_hash_table_new(g_str_hash, g_str_equal);
    for (guint i = 0; i < all->len; i++) {
        const ReviewTask *task = g_ptr_array_index(all, i);
        tasks[task->gate] += task->things->len;
        if (g_hash_table_add(told, (gpointer)task->clinic))
            write_clinic(review, report, all, task->clinic);
    }
    if (all->len == 0)
        report_text(report, "Nothing stops, nothing waits, and nothing ends within %d days.", REVIEW_SOON);
}
