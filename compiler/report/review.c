/* report_review: the quality lead's report: what to do, what changed, what falls due, and the
 * facts behind it. */
#include <string.h>

#include "report/parts.h"
#include "rules/rules.h"

#define MONTHS 12
#define PRINTED 60 /* of a longer list, so many are printed, and the web page folds it */

/* ---- words for what was judged ---- */

StandingOf review_standing(const Finding *finding)
{
    Severity severity = finding_severity(finding);
    if (finding_accepted(finding))
        return STANDING_ACCEPTED;
    return severity == SEVERITY_ERROR ? STANDING_STOPS : severity == SEVERITY_WARNING ? STANDING_WAITS : STANDING_NOTE;
}

const char *review_standing_word(StandingOf standing)
{
    static const char *const words[] = {[STANDING_NONE] = "none", [STANDING_NOTE] = "note",
                                        [STANDING_ACCEPTED] = "accepted", [STANDING_WAITS] = "waits",
                                        [STANDING_STOPS] = "stops"};
    return words[standing];
}

const char *review_name(const ReviewCase *one)
{
    if (one->patient)
        return PRESENT(one->patient->patient) ? one->patient->patient.text : one->path;
    return one->protocol && PRESENT(one->protocol->protocol) ? one->protocol->protocol.text : one->path;
}

const char *review_clinic(const Clinic *clinic)
{
    return clinic && PRESENT(clinic->clinic) ? clinic->clinic.text : "A clinic whose clinic.yaml cannot be read";
}

const char *review_day(Arena *arena, Day day)
{
    CalendarDate date = day_date(day);
    return arena_format(arena, "%04d-%02d-%02d", date.year, date.month, date.day);
}

const char *review_case_link(Arena *arena, const Review *review, guint index)
{
    const ReviewCase *one = g_ptr_array_index(review->cases, index);
    return review_told(one) ? arena_format(arena, "file-%u", index + 1) : "nothing-found";
}

const char *review_rule_link(Arena *arena, RuleId rule) { return arena_format(arena, "rule-%s", rule_row(rule)->id); }

gboolean review_own(const ReviewCase *one, const Finding *finding)
{
    Place place = finding_place(finding);
    return !place.source || strcmp(place.source->name, one->path) == 0;
}

/* What was found in a file, and not in its protocol's. */
static gboolean is_of(const ReviewCase *one, const Finding *finding)
{
    return !one->patient || review_own(one, finding);
}

gboolean review_told(const ReviewCase *one)
{
    for (guint i = 0; i < diagnostics_count(one->diagnostics); i++)
        if (is_of(one, diagnostics_at(one->diagnostics, i)))
            return TRUE;
    return FALSE;
}

static const Finding *open_finding(const ReviewCase *one, RuleId rule, StandingOf least)
{
    for (guint i = 0; i < diagnostics_count(one->diagnostics); i++) {
        const Finding *finding = diagnostics_at(one->diagnostics, i);
        if (finding_rule(finding) == rule && review_standing(finding) >= least)
            return finding;
    }
    return NULL;
}

gboolean review_past(const ReviewCase *one)
{
    return one->patient && open_finding(one, RULE_already_past, STANDING_STOPS);
}

const char *review_approval(Arena *arena, const ReviewCase *one, Day today)
{
    const Approval *approval = one->protocol ? &one->protocol->approval : NULL;
    if (one->goes_on > 0)
        return arena_format(arena, "waits for approval; until then sheets are printed from revision %" G_GINT64_FORMAT,
                            one->goes_on);
    if (!approval || !PRESENT(*approval) || !PRESENT(approval->by) || !PRESENT(approval->on) ||
        !PRESENT(approval->review_by) || open_finding(one, RULE_not_approved, STANDING_WAITS))
        return "waits for approval";
    if (!one->sealed)
        return arena_format(arena, "changed after %s signed it on %s, so nobody has signed it as it stands",
                            approval->by.text, review_day(arena, approval->on.day));
    if (approval->review_by.day < today)
        return arena_format(arena, "review overdue since %s; %s signed it on %s",
                            review_day(arena, approval->review_by.day), approval->by.text,
                            review_day(arena, approval->on.day));
    return arena_format(arena, "approved by %s on %s, next review by %s", approval->by.text,
                        review_day(arena, approval->on.day), review_day(arena, approval->review_by.day));
}

/* ---- what falls due ---- */

typedef struct Due { guint late[2], month[MONTHS][2]; } Due;

static int months_from(Day from, Day until)
{
    CalendarDate a = day_date(from), b = day_date(until);
    return (b.year - a.year) * 12 + b.month - a.month;
}

static void count_due(Due *due, Day today, const Date *date, int kind)
{
    if (!PRESENT(*date))
        return;
    int month = months_from(today, date->day);
    if (date->day < today)
        due->late[kind]++;
    else if (month < MONTHS)
        due->month[month][kind]++;
}

static Due due_of(const Review *review, const char *clinic)
{
    Due due = {0};
    for (guint i = 0; i < review->cases->len; i++) {
        const ReviewCase *one = g_ptr_array_index(review->cases, i);
        if (!one->protocol || one->patient || strcmp(review_clinic(one->clinic), clinic) != 0)
            continue;
        if (PRESENT(one->protocol->approval))
            count_due(&due, review->today, &one->protocol->approval.review_by, 0);
        for (guint j = 0; j < one->protocol->acceptances.items->len; j++)
            count_due(&due, review->today,
                      &((const Acceptance *)g_ptr_array_index(one->protocol->acceptances.items, j))->until, 1);
    }
    return due;
}

static void chart_of(const Review *review, Report *report, const char *clinic)
{
    static const char *const names[] = {"January", "February", "March", "April", "May", "June", "July", "August",
                                        "September", "October", "November", "December"};
    Due due = due_of(review, clinic);
    CalendarDate today = day_date(review->today);
    ReportChart *chart = report_chart(report, clinic, "reviews", "acceptances that end");
    report_bar(report, chart, "overdue", due.late[0], due.late[1]);
    for (int month = 0; month < MONTHS; month++) {
        int number = today.month - 1 + month;
        report_bar(report, chart, arena_format(review->arena, "%s%s", names[number % 12], number % 12 == 0 || month == 0
                       ? arena_format(review->arena, " %d", today.year + number / 12) : ""),
                   due.month[month][0], due.month[month][1]);
    }
}

/* The names of the clinics, in order of the files. */
static GPtrArray *clinics_of(const Review *review)
{
    GPtrArray *clinics = arena_list(review->arena);
    for (guint i = 0; i < review->cases->len; i++) {
        const ReviewCase *one = g_ptr_array_index(review->cases, i);
        const char *name = review_clinic(one->clinic);
        gboolean known = !one->clinic;
        for (guint j = 0; j < clinics->len && !known; j++)
            known = strcmp(g_ptr_array_index(clinics, j), name) == 0;
        if (!known)
            g_ptr_array_add(clinics, (gpointer)name);
    }
    return clinics;
}

static void falling_due(const Review *review, Report *report)
{
    const GPtrArray *clinics = clinics_of(review);
    report_heading(report, REPORT_HEADING, "What falls due, month by month");
    for (guint i = 0; i < clinics->len; i++)
        chart_of(review, report, g_ptr_array_index(clinics, i));
}

/* ---- each protocol ---- */

GPtrArray *review_facts(Arena *arena, const Finding *finding)
{
    GPtrArray *told = arena_list(arena);
    const GPtrArray *facts = finding_facts(finding);
    for (guint i = 0; i < facts->len; i++)
        if (!g_str_has_prefix(g_ptr_array_index(facts, i), RULES_SEAL_FACT))
            g_ptr_array_add(told, g_ptr_array_index(facts, i));
    return told;
}

static void finding_entry(const Review *review, Report *report, const Finding *finding)
{
    static const char *const labels[] = {[STANDING_NONE] = "", [STANDING_NOTE] = "note",
                                         [STANDING_ACCEPTED] = "accepted", [STANDING_WAITS] = "waits for acceptance",
                                         [STANDING_STOPS] = "stops"};
    const RuleRow *row = rule_row(finding_rule(finding));
    StandingOf standing = review_standing(finding);
    Place place = finding_place(finding);
    ReportItem *entry = report_entry(report, labels[standing], row->message);
    const GPtrArray *facts = review_facts(review->arena, finding);
    for (guint i = 0; i < facts->len; i++)
        report_line(report, entry, NULL, "%s", (const char *)g_ptr_array_index(facts, i));
    if (standing == STANDING_ACCEPTED)
        report_line(report, entry, NULL, "%s", finding_acceptance(review->arena, finding));
    else if (finding_advice(finding))
        report_line(report, entry, NULL, "Help: %s", finding_advice(finding));
    if (place.source)
        report_line(report, entry, NULL, "%s:%d:%d", place.source->name, place_line(place), place.column);
    report_line(report, entry, review_rule_link(review->arena, finding_rule(finding)), "%s", row->id);
}

static StandingOf count_standings(const ReviewCase *one, guint counts[STANDING_STOPS + 1])
{
    StandingOf worst = STANDING_NONE;
    for (guint i = 0; i < diagnostics_count(one->diagnostics); i++) {
        const Finding *finding = diagnostics_at(one->diagnostics, i);
        if (!is_of(one, finding))
            continue;
        counts[review_standing(finding)]++;
        worst = MAX(worst, review_standing(finding));
    }
    return worst;
}

/* "stops 1, note 2" */
static char *standings_text(Arena *arena, const guint counts[STANDING_STOPS + 1])
{
    g_autoptr(GString) text = g_string_new(NULL);
    for (int standing = STANDING_STOPS; standing > STANDING_NONE; standing--)
        if (counts[standing] > 0)
            g_string_append_printf(text, "%s%s %u", text->len ? ", " : "", review_standing_word((StandingOf)standing),
                                   counts[standing]);
    return arena_copy(arena, text->str);
}

static const char *case_counted(const Review *review, const ReviewCase *one)
{
    guint counts[STANDING_STOPS + 1] = {0};
    count_standings(one, counts);
    return arena_format(review->arena, "%s: %s", review_name(one), standings_text(review->arena, counts));
}

static void one_case(const Review *review, Report *report, guint index, gboolean folded)
{
    const ReviewCase *one = g_ptr_array_index(review->cases, index);
    ReportItem *heading = report_heading(report, REPORT_PART, folded ? case_counted(review, one) : review_name(one));
    heading->name = review_case_link(review->arena, review, index);
    heading->folded = folded;
    report_text(report, "%s, %s", review_clinic(one->clinic), one->path);
    if (one->protocol && !one->patient && PRESENT(one->protocol->revision))
        report_text(report, "revision %" G_GINT64_FORMAT ": %s", one->protocol->revision.value,
                    review_approval(review->arena, one, review->today));
    for (guint i = 0; i < diagnostics_count(one->diagnostics); i++) {
        const Finding *finding = diagnostics_at(one->diagnostics, i);
        if (is_of(one, finding))
            finding_entry(review, report, finding);
    }
}

/* The items from this one on are for the screen alone. */
static void screen_only(const Report *report, guint from)
{
    for (guint i = from; i < report->items->len; i++)
        ((ReportItem *)g_ptr_array_index(report->items, i))->screen = TRUE;
}

static gboolean shown(const ReviewCase *one) { return review_told(one) && !review_past(one); }

static gboolean asks_something(const ReviewCase *one)
{
    guint counts[STANDING_STOPS + 1] = {0};
    return count_standings(one, counts) >= STANDING_WAITS;
}

/* So many that nobody reads them one after the other: whoever is led to one opens it, and where nothing
 * is to be done a line is enough. */
static void folded_cases(const Review *review, Report *report, guint told)
{
    guint asking = 0, from = report->items->len + 1;
    for (guint i = 0; i < review->cases->len; i++)
        asking += shown(g_ptr_array_index(review->cases, i)) && asks_something(g_ptr_array_index(review->cases, i));
    report_text(report, "%u files, of which %u ask for something. What is to be done about them stands above, and "
                "which they are in the list of rules; the web page, review.html, has each one.", told, asking);
    for (guint i = 0; i < review->cases->len; i++)
        if (shown(g_ptr_array_index(review->cases, i)) && asks_something(g_ptr_array_index(review->cases, i)))
            one_case(review, report, i, TRUE);
    if (asking < told)
        report_heading(report, REPORT_PART, arena_format(review->arena, "%u files with nothing but notes and accepted "
                       "warnings", told - asking))->folded = TRUE;
    for (guint i = 0; i < review->cases->len; i++) {
        const ReviewCase *one = g_ptr_array_index(review->cases, i);
        if (!shown(one) || asks_something(one))
            continue;
        report_text(report, "%s", case_counted(review, one));
        ((ReportItem *)g_ptr_array_index(report->items, report->items->len - 1))->name =
            review_case_link(review->arena, review, i);
    }
    screen_only(report, from);
}

static void each_case(const Review *review, Report *report)
{
    g_autoptr(GString) fine = g_string_new(NULL);
    guint count = 0, told = 0;
    report_heading(report, REPORT_HEADING, "Each file with something to say");
    for (guint i = 0; i < review->cases->len; i++)
        told += shown(g_ptr_array_index(review->cases, i));
    if (told > PRINTED)
        folded_cases(review, report, told);
    for (guint i = 0; i < review->cases->len; i++) {
        const ReviewCase *one = g_ptr_array_index(review->cases, i);
        if (shown(one) && told <= PRINTED)
            one_case(review, report, i, FALSE);
        if (!shown(one) && !one->patient) {
            g_string_append_printf(fine, "%s%s", fine->len ? ", " : "", review_name(one));
            count++;
        }
    }
    ReportItem *heading = report_heading(report, REPORT_PART, arena_format(
        review->arena, "Protocols in which nothing was found: %u", count));
    heading->name = "nothing-found";
    heading->folded = count > PRINTED;
    if (count)
        report_text(report, "%s", fine->str);
    if (heading->folded)
        screen_only(report, report->items->len - 1);
}

/* Names behind one another, folded where they are more than a screen shows. */
static void names_line(const Review *review, Report *report, ReportItem *entry, const char *names, guint count)
{
    if (count > PRINTED)
        report_fold(report, entry, arena_format(review->arena, "the names of all %u", count),
                    arena_format(review->arena, "The web page, review.html, names all %u.", count), names);
    else
        report_line(report, entry, NULL, "%s", names);
}

/* ---- what was accepted ---- */

typedef struct Taken {
    const char *until, *label, *clinic, *of, *what, *words; /* of: the injection, or "" */
    const char *name;                                        /* of the protocol or person */
} Taken;

static void take(const Review *review, GPtrArray *all, Taken one)
{
    Taken *taken = arena_new0(review->arena, Taken);
    *taken = one;
    g_ptr_array_add(all, taken);
}

static void take_accepted(const Review *review, GPtrArray *all, const ReviewCase *one)
{
    for (guint i = 0; i < diagnostics_count(one->diagnostics); i++) {
        const Finding *finding = diagnostics_at(one->diagnostics, i);
        const char *until = finding_accepted_until(finding);
        /* what a person's case shares with its protocol is told there */
        if (!until || (one->patient && rule_row(finding_rule(finding))->stage != STAGE_PATIENT))
            continue;
        const char *of = finding_injection(finding);
        take(review, all, (Taken){until, arena_format(review->arena, "until %s", until), review_clinic(one->clinic),
                                  of ? of : "", rule_row(finding_rule(finding))->message,
                                  finding_acceptance(review->arena, finding), review_name(one)});
    }
}

/* What the record of printed sheets adds: people who stand in no file any more, or in a roster. */
static void take_recorded(const Review *review, GPtrArray *all, const ReviewAccepted *accepted)
{
    RuleId rule;
    for (guint i = 0; i < review->cases->len; i++) {
        const ReviewCase *one = g_ptr_array_index(review->cases, i);
        if (one->patient && strcmp(review_name(one), accepted->person) == 0 &&
            strcmp(review_clinic(one->clinic), accepted->clinic) == 0)
            return;
    }
    take(review, all, (Taken){"", arena_format(review->arena, "on sheet %" G_GINT64_FORMAT, accepted->sheet),
                              accepted->clinic, "", rule_find(accepted->rule, &rule) ? rule_row(rule)->message
                                                                                     : accepted->rule,
                              accepted->words, accepted->person});
}

static int by_end(gconstpointer left, gconstpointer right)
{
    const Taken *a = *(const Taken *const *)left, *b = *(const Taken *const *)right;
    const char *const first[] = {a->until, a->label, a->clinic, a->what, a->of, a->words, a->name};
    const char *const second[] = {b->until, b->label, b->clinic, b->what, b->of, b->words, b->name};
    int order = 0;
    for (gsize i = 0; i < G_N_ELEMENTS(first) && order == 0; i++)
        order = strcmp(first[i], second[i]);
    return order;
}

/* One acceptance in many files is told once, with their names. */
static gboolean same_acceptance(const Taken *a, const Taken *b)
{
    Taken named = *a;
    const Taken *left = &named;
    named.name = b->name;
    return by_end(&left, &b) == 0;
}

/* The entry of all[from] and of those behind it that say the same; returns where the next one begins. */
static guint acceptance_entry(const Review *review, Report *report, const GPtrArray *all, guint from, gboolean screen)
{
    const Taken *first = g_ptr_array_index(all, from);
    g_autoptr(GString) names = g_string_new(first->name);
    guint next = from + 1;
    for (; next < all->len && same_acceptance(first, g_ptr_array_index(all, next)); next++)
        g_string_append_printf(names, ", %s", ((const Taken *)g_ptr_array_index(all, next))->name);
    gboolean one = next == from + 1;
    ReportItem *entry = report_entry(report, first->label, arena_format(
        review->arena, "%s, %s%s%s: %s", first->clinic,
        one ? first->name : arena_format(review->arena, "%u files", next - from), *first->of ? ", " : "", first->of,
        first->what));
    entry->screen = screen;
    report_line(report, entry, NULL, "%s", first->words);
    if (!one)
        names_line(review, report, entry, names->str, next - from);
    return next;
}

static void accepted(const Review *review, Report *report)
{
    GPtrArray *all = arena_list(review->arena);
    for (guint i = 0; i < review->cases->len; i++)
        take_accepted(review, all, g_ptr_array_index(review->cases, i));
    for (guint i = 0; i < review->accepted->len; i++)
        take_recorded(review, all, g_ptr_array_index(review->accepted, i));
    g_ptr_array_sort(all, by_end);
    report_heading(report, REPORT_HEADING, "Warnings that were accepted in writing, the first to end on top");
    if (all->len == 0)
        report_text(report, "None.");
    guint told = 0;
    for (guint next = 0; next < all->len; told++)
        next = acceptance_entry(review, report, all, next, told >= PRINTED);
    if (told > PRINTED)
        report_text(report, "%u in all; the web page, review.html, has every one.", all->len);
}

/* ---- each rule that spoke ---- */

static void rule_entry(const Review *review, Report *report, RuleId rule)
{
    guint counts[STANDING_STOPS + 1] = {0};
    g_autoptr(GString) names = g_string_new(NULL);
    for (guint i = 0; i < review->cases->len; i++) {
        const ReviewCase *one = g_ptr_array_index(review->cases, i);
        StandingOf worst = STANDING_NONE;
        for (guint j = 0; shown(one) && j < diagnostics_count(one->diagnostics); j++) {
            const Finding *finding = diagnostics_at(one->diagnostics, j);
            if (finding_rule(finding) == rule && is_of(one, finding))
                worst = MAX(worst, review_standing(finding));
        }
        counts[worst]++;
        if (worst != STANDING_NONE)
            g_string_append_printf(names, "%s%s", names->len ? ", " : "", review_name(one));
    }
    if (names->len == 0)
        return;
    ReportItem *entry = report_entry(report, standings_text(review->arena, counts), rule_row(rule)->message);
    entry->name = review_rule_link(review->arena, rule);
    report_line(report, entry, NULL, "%s: %s", rule_row(rule)->id, rule_row(rule)->reason);
    names_line(review, report, entry, names->str, review->cases->len - counts[STANDING_NONE]);
}

static void each_rule(const Review *review, Report *report)
{
    report_heading(report, REPORT_HEADING, "Each rule that spoke, and where");
    for (int rule = 0; rule < RULE_COUNT; rule++)
        rule_entry(review, report, (RuleId)rule);
}

/* ---- the whole ---- */

static const char *title_of(const Review *review)
{
    const GPtrArray *clinics = clinics_of(review);
    if (clinics->len == 1)
        return arena_format(review->arena, "Quality review, %s", (const char *)g_ptr_array_index(clinics, 0));
    return arena_format(review->arena, "Quality review of %u clinics", clinics->len);
}

static guint count_people(const Review *review)
{
    guint people = 0;
    for (guint i = 0; i < review->cases->len; i++)
        people += ((const ReviewCase *)g_ptr_array_index(review->cases, i))->patient != NULL;
    return people;
}

Report *review_report(const Review *review, guint tasks[REVIEW_GATES])
{
    Report *report = report_new(review->arena, title_of(review));
    guint people = count_people(review);
    report_text(report, "On %s. %u protocols and %u people were read. Errors cannot be overridden; a warning waits "
                "until it is accepted in writing.", review_day(review->arena, review->today),
                review->cases->len - people, people);
    report_text(report, "%s", "");
    ReportItem *sum = g_ptr_array_index(report->items, report->items->len - 1);
    report_heading(report, REPORT_HEADING, "What is to be done, the most urgent first");
    review_worklist(review, report, tasks);
    sum->text = arena_format(review->arena, "%u %s a sheet, %u %s for somebody, %u %s within %d days.",
                             tasks[REVIEW_STOPS], tasks[REVIEW_STOPS] == 1 ? "thing stops" : "things stop",
                             tasks[REVIEW_WAITS], tasks[REVIEW_WAITS] == 1 ? "waits" : "wait", tasks[REVIEW_ENDS],
                             tasks[REVIEW_ENDS] == 1 ? "ends" : "end", REVIEW_SOON);
    if (review->before)
        review_changes(review, report);
    falling_due(review, report);
    accepted(review, report);
    each_case(review, report);
    each_rule(review, report);
    report_text(report, "This report judges form and figures by published tables and common practice. It does "
                "not replace the prescriber, the label, local law or licensed practice. dosewright %s.",
                review->version);
    return report;
}
