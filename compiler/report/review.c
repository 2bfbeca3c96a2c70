/* report_review: the quality lead's report: what to do, what changed, what falls due, and the
 * facts behind it. */
#include <string.h>

#include "report/parts.h"
#include "rules/rules.h"

#define MONTHS 12
#define PRINTED 60 /* of a long list, so many are printed; the web page has all */

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

gboolean review_told(const ReviewCase *one) { return diagnostics_count(one->diagnostics) > 0; }

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

static void one_case(const Review *review, Report *report, guint index)
{
    const ReviewCase *one = g_ptr_array_index(review->cases, index);
    ReportItem *heading = report_heading(report, REPORT_PART, review_name(one));
    heading->name = review_case_link(review->arena, review, index);
    report_text(report, "%s, %s", review_clinic(one->clinic), one->path);
    if (one->protocol && !one->patient && PRESENT(one->protocol->revision))
        report_text(report, "revision %" G_GINT64_FORMAT ": %s", one->protocol->revision.value,
                    review_approval(review->arena, one, review->today));
    for (guint i = 0; i < diagnostics_count(one->diagnostics); i++) {
        const Finding *finding = diagnostics_at(one->diagnostics, i);
        if (!one->patient || review_own(one, finding))
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

static void each_case(const Review *review, Report *report)
{
    g_autoptr(GString) fine = g_string_new(NULL);
    guint count = 0, told = 0;
    report_heading(report, REPORT_HEADING, "Each file with something to say");
    guint from = report->items->len;
    for (guint i = 0; i < review->cases->len; i++)
        told += shown(g_ptr_array_index(review->cases, i));
    if (told > PRINTED)
        report_text(report, "The %u files are told one by one on the web page, review.html; what is to be done about "
                    "them stands above, and which they are in the list of rules.", told);
    for (guint i = 0; i < review->cases->len; i++) {
        const ReviewCase *one = g_ptr_array_index(review->cases, i);
        if (shown(one))
            one_case(review, report, i);
        else if (!one->patient) {
            g_string_append_printf(fine, "%s%s", fine->len ? ", " : "", review_name(one));
            count++;
        }
    }
    if (told > PRINTED)
        screen_only(report, from + 1);
    report_heading(report, REPORT_PART, "Protocols in which nothing was found")->name = "nothing-found";
    report_text(report, "%u%s%s", count, count ? ": " : "", fine->str);
}

/* ---- what was accepted ---- */

typedef struct Taken {
    const char *until, *label, *text, *words;
} Taken;

static void take(const Review *review, GPtrArray *all, const char *until, const char *label, const char *text,
                 const char *words)
{
    Taken *taken = arena_new0(review->arena, Taken);
    *taken = (Taken){until, label, text, words};
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
        take(review, all, until, arena_format(review->arena, "until %s", until),
             arena_format(review->arena, "%s, %s%s%s: %s", review_clinic(one->clinic), review_name(one), of ? ", " : "",
                          of ? of : "", rule_row(finding_rule(finding))->message),
             finding_acceptance(review->arena, finding));
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
    take(review, all, "", arena_format(review->arena, "on sheet %" G_GINT64_FORMAT, accepted->sheet),
         arena_format(review->arena, "%s, %s: %s", accepted->clinic, accepted->person,
                      rule_find(accepted->rule, &rule) ? rule_row(rule)->message : accepted->rule), accepted->words);
}

static int by_end(gconstpointer left, gconstpointer right)
{
    const Taken *a = *(const Taken *const *)left, *b = *(const Taken *const *)right;
    int order = strcmp(a->until, b->until);
    return order ? order : strcmp(a->text, b->text);
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
    for (guint i = 0; i < all->len; i++) {
        const Taken *taken = g_ptr_array_index(all, i);
        ReportItem *entry = report_entry(report, taken->label, taken->text);
        entry->screen = i >= PRINTED;
        report_line(report, entry, NULL, "%s", taken->words);
    }
    if (all->len > PRINTED)
        report_text(report, "%u in all; the web page, review.html, has every one.", all->len);
}

/* ---- each rule that spoke ---- */

static void rule_entry(const Review *review, Report *report, RuleId rule)
{
    guint counts[STANDING_STOPS + 1] = {0};
    g_autoptr(GString) names = g_string_new(NULL), label = g_string_new(NULL);
    for (guint i = 0; i < review->cases->len; i++) {
        const ReviewCase *one = g_ptr_array_index(review->cases, i);
        StandingOf worst = STANDING_NONE;
        for (guint j = 0; shown(one) && j < diagnostics_count(one->diagnostics); j++) {
            const Finding *finding = diagnostics_at(one->diagnostics, j);
            if (finding_rule(finding) == rule && (!one->patient || review_own(one, finding)))
                worst = MAX(worst, review_standing(finding));
        }
        counts[worst]++;
        if (worst != STANDING_NONE)
            g_string_append_printf(names, "%s%s", names->len ? ", " : "", review_name(one));
    }
    for (int standing = STANDING_STOPS; standing > STANDING_NONE; standing--)
        if (counts[standing] > 0)
            g_string_append_printf(label, "%s%s %u", label->len ? ", " : "", review_standing_word((StandingOf)standing),
                                   counts[standing]);
    if (names->len == 0)
        return;
    ReportItem *entry = report_entry(report, label->str, rule_row(rule)->message);
    entry->name = review_rule_link(review->arena, rule);
    report_line(report, entry, NULL, "%s: %s", rule_row(rule)->id, rule_row(rule)->reason);
    report_line(report, entry, NULL, "%s", names->str);
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
