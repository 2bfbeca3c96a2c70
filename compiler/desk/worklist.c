/* desk_worklist: the review's worklist as it is now: what waits, for whom, until when. */
#include <string.h>

#include "desk/stories.h"

#define NAMED 40 /* things of one task that are listed */
#define SEEN 3   /* of them, before somebody opens the others */
#define FACTS 2  /* of each of several */

/* What the page is asked to show; "" is everything. */
typedef struct Wanted {
    const char *clinic, *owner, *due;
} Wanted;

static const struct { const char *word, *label; int days; } dues[] = {
    {"now", "Now, or overdue", 0}, {"week", "Within 7 days", 7}, {"month", "Within 30 days", 30}};

/* What stops or waits without a day is due now. */
static Day due_of(const Review *review, const ReviewTask *task)
{
    return task->due ? task->due : review->today + (task->gate == REVIEW_ENDS ? G_MAXINT16 : 0);
}

static gboolean is_wanted(const Review *review, const Wanted *wanted, const ReviewTask *task)
{
    if (*wanted->clinic && strcmp(wanted->clinic, task->clinic) != 0)
        return FALSE;
    if (*wanted->owner && strcmp(wanted->owner, task->owner) != 0)
        return FALSE;
    for (gsize i = 0; i < G_N_ELEMENTS(dues); i++)
        if (strcmp(wanted->due, dues[i].word) == 0)
            return due_of(review, task) <= review->today + dues[i].days;
    return TRUE;
}

static void show_choice(View *view, const char *list, const char *value, const char *label, const char *chosen)
{
    View *one = view_add(view, list);
    view_text(one, "value", value);
    view_text(one, "label", label);
    view_flag(one, "chosen", strcmp(value, chosen) == 0);
}

static void show_filters(View *view, const GPtrArray *tasks, const Wanted *wanted)
{
    g_autoptr(GHashTable) clinics = g_hash_table_new(g_str_hash, g_str_equal);
    g_autoptr(GHashTable) owners = g_hash_table_new(g_str_hash, g_str_equal);
    for (guint i = 0; i < tasks->len; i++) {
        const ReviewTask *task = g_ptr_array_index(tasks, i);
        if (g_hash_table_add(clinics, (gpointer)task->clinic))
            show_choice(view, "clinics", task->clinic, task->clinic, wanted->clinic);
        if (g_hash_table_add(owners, (gpointer)task->owner))
            show_choice(view, "owners", task->owner, task->owner, wanted->owner);
    }
    for (gsize i = 0; i < G_N_ELEMENTS(dues); i++)
        show_choice(view, "dues", dues[i].word, dues[i].label, wanted->due);
}

static void show_facts(View *view, const char *list, const ReviewThing *thing, guint most)
{
    for (guint i = 0; i < MIN(thing->facts->len, most); i++)
        view_text(view_add(view, list), "fact", g_ptr_array_index(thing->facts, i));
}

/* What is so of each is said once; only what would be shown of each counts. */
static gboolean all_alike(const GPtrArray *things)
{
    const GPtrArray *first = ((const ReviewThing *)g_ptr_array_index(things, 0))->facts;
    for (guint i = 1; i < things->len; i++) {
        const GPtrArray *facts = ((const ReviewThing *)g_ptr_array_index(things, i))->facts;
        gboolean same = MIN(facts->len, FACTS) == MIN(first->len, FACTS);
        for (guint k = 0; same && k < MIN(facts->len, FACTS); k++)
            same = strcmp(g_ptr_array_index(facts, k), g_ptr_array_index(first, k)) == 0;
        if (!same)
            return FALSE;
    }
    return TRUE;
}

/* Of the file that its name says, the line alone. */
static void show_where(View *view, Arena *arena, const ReviewThing *thing, Place place)
{
    g_autofree char *file = g_path_get_basename(place.source->name), *own = g_strconcat(thing->name, ".yaml", NULL);
    view_text(view, "where", strcmp(file, own) == 0 ? arena_format(arena, "line %d", place_line(place))
                                                    : arena_format(arena, "%s, line %d", file, place_line(place)));
}

static void show_thing(View *view, Arena *arena, const ReviewThing *thing)
{
    view_text(view, "name", thing->name);
    if (thing->sheet)
        view_format(view, "to", "/person/%s", thing->sheet->person);
    else if (thing->about && thing->about->patient)
        view_format(view, "to", "/person/%s", thing->name);
    else if (thing->about && thing->about->protocol)
        view_format(view, "to", "/protocol/%s", thing->name);
    if (!thing->finding)
        return;
    Place place = finding_place(thing->finding);
    finding_link(view, place);
    if (place.source)
        show_where(view, arena, thing, place);
    if (finding_severity(thing->finding) == SEVERITY_WARNING && thing->about->patient)
        view_format(view, "to_accept", "/person/%s#accept", thing->name);
    else if (finding_severity(thing->finding) == SEVERITY_WARNING)
        view_format(view, "to_accept", "/protocol/%s#accept", thing->name);
}

/* The first few, and the others for whoever opens them. */
static void show_things(View *view, const Review *review, const GPtrArray *things)
{
    const guint listed = MIN(things->len, NAMED), seen = listed <= SEEN + 1 ? listed : SEEN;
    gboolean alike = all_alike(things);
    if (alike)
        show_facts(view, "shared", g_ptr_array_index(things, 0), things->len == 1 ? G_MAXUINT : FACTS);
    for (guint i = 0; i < listed; i++) {
        const ReviewThing *thing = g_ptr_array_index(things, i);
        View *one = view_add(view, i < seen ? "things" : "others");
        show_thing(one, review->arena, thing);
        if (!alike)
            show_facts(one, "facts", thing, FACTS);
    }
    view_format(view, "hidden", "%u", things->len - seen);
    view_format(view, "more", "%u", things->len - listed);
    view_flag(view, "any_more", things->len > listed);
}

static void show_task(View *view, const Review *review, const ReviewTask *task)
{
    const ReviewThing *first = g_ptr_array_index(task->things, 0);
    view_text(view, "label", review_task_label(review, task));
    view_text(view, "task", task->what);
    view_text(view, "of_clinic", task->clinic);
    view_text(view, "owner", task->owner);
    view_text(view, "help", task->help);
    view_flag(view, "stops", task->gate == REVIEW_STOPS);
    view_flag(view, "waits", task->gate == REVIEW_WAITS);
    view_flag(view, "ends", task->gate == REVIEW_ENDS);
    if (task->due) {
        CalendarDate date = day_date(task->due);
        view_format(view, "due", "%s %04d-%02d-%02d", weekday_name(day_weekday(task->due)), date.year, date.month,
                    date.day);
    }
    if (first->finding)
        view_text(view, "rule", rule_row(finding_rule(first->finding))->id);
    show_things(view, review, task->things);
}

/* ---- who has how much to do ---- */

typedef struct Load {
    const char *owner;
    guint counts[REVIEW_GATES], all;
} Load;

static Load *load_of(GArray *loads, const char *owner)
{
    for (guint i = 0; i < loads->len; i++)
        if (strcmp(g_array_index(loads, Load, i).owner, owner) == 0)
            return &g_array_index(loads, Load, i);
    const Load none = {.owner = owner};
    g_array_append_val(loads, none);
    return &g_array_index(loads, Load, loads->len - 1);
}

static gint by_load(gconstpointer a, gconstpointer b)
{
    const Load *left = a, *right = b;
    if (left->counts[REVIEW_STOPS] != right->counts[REVIEW_STOPS])
        return left->counts[REVIEW_STOPS] > right->counts[REVIEW_STOPS] ? -1 : 1;
    return left->all == right->all ? strcmp(left->owner, right->owner) : left->all > right->all ? -1 : 1;
}

/* A part of a bar in hundredths of a percent of the longest one; each begins where the one before ends. */
static void show_part(View *bar, const char *name, guint count, guint most, guint *from)
{
    guint width = count * 10000 / most;
    view_format(bar, name, "%u", count);
    g_autofree char *start = g_strconcat(name, "_from", NULL), *wide = g_strconcat(name, "_wide", NULL);
    view_format(bar, start, "%u.%02u", *from / 100, *from % 100);
    view_format(bar, wide, "%u.%02u", width / 100, width % 100);
    g_autofree char *any = g_strconcat(name, "_any", NULL);
    view_flag(bar, any, count > 0);
    *from += width;
}

/* The picture is of all that waits, whatever is filtered. */
static void show_loads(View *view, const GPtrArray *tasks)
{
    g_autoptr(GArray) loads = g_array_new(FALSE, FALSE, sizeof(Load));
    guint most = 1;
    for (guint i = 0; i < tasks->len; i++) {
        const ReviewTask *task = g_ptr_array_index(tasks, i);
        Load *load = load_of(loads, task->owner);
        load->counts[task->gate] += task->things->len;
        load->all += task->things->len;
        most = MAX(most, load->all);
    }
    g_array_sort(loads, by_load);
    for (guint i = 0; i < loads->len && loads->len > 1; i++) { /* of one alone a picture says nothing */
        const Load *load = &g_array_index(loads, Load, i);
        View *bar = view_add(view, "loads");
        guint from = 0;
        g_autofree char *link = g_uri_escape_string(load->owner, NULL, FALSE);
        view_text(bar, "load_owner", load->owner);
        view_format(bar, "load_link", "/worklist?owner=%s", link);
        show_part(bar, "stop", load->counts[REVIEW_STOPS], most, &from);
        show_part(bar, "wait", load->counts[REVIEW_WAITS], most, &from);
        show_part(bar, "end", load->counts[REVIEW_ENDS], most, &from);
    }
}

static void show_tasks(View *view, const Review *review, const Wanted *wanted)
{
    const GPtrArray *tasks = review_tasks(review);
    guint counts[REVIEW_GATES] = {0}, shown = 0;
    show_filters(view, tasks, wanted);
    show_loads(view, tasks);
    for (guint i = 0; i < tasks->len; i++) {
        const ReviewTask *task = g_ptr_array_index(tasks, i);
        if (!is_wanted(review, wanted, task))
            continue;
        View *one = view_add(view, "tasks");
        counts[task->gate] += task->things->len;
        view_format(one, "n", "%u", ++shown);
        show_task(one, review, task);
    }
    view_format(view, "stopping", "%u", counts[REVIEW_STOPS]);
    view_format(view, "waiting", "%u", counts[REVIEW_WAITS]);
    view_format(view, "ending", "%u", counts[REVIEW_ENDS]);
    view_flag(view, "any", shown > 0);
    view_flag(view, "filtered", *wanted->clinic || *wanted->owner || *wanted->due);
}

void story_worklist(const Desk *desk, const Request *request, Answer *answer)
{
    Session *session = page_session(desk);
    Case file;
    const Clinic *first = NULL;
    Review review = {.arena = session->arena, .version = commands_version()};
    const char *words[] = {desk->clinic, NULL};
    const Wanted wanted = {request_field(request, "clinic"), request_field(request, "owner"),
                           request_field(request, "due")};
    if (!page_clinic(desk, request, session, &file, answer))
        return;
    session->options.words = (char **)words;
    if (gather_review(session, &review, session->now, &first) != EXIT_FINE) { /* no task is of what is past */
        page_said(desk, request, session, answer);
        return;
    }
    View *view = page_view(request, session, file.clinic);
    view_flag(view, "at_worklist", TRUE);
    show_tasks(view, &review, &wanted);
    page_show(desk, view, "worklist", answer);
}
