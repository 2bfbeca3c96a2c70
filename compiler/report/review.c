/* review: see review.h. */
#include "report/report.h"

#include <string.h>

#define SOON 60 /* days */
#define YEAR 365

typedef struct Review {
    Arena *arena;
    Report *report;
    GPtrArray *cases; /* of ReviewCase* */
    Day today;
} Review;

static const char *name_of(const ReviewCase *one)
{
    return one->protocol && PRESENT(one->protocol->protocol) ? one->protocol->protocol.text : one->path;
}

static const char *number(Arena *arena, guint value) { return arena_format(arena, "%u", value); }

static guint accepted(const ReviewCase *one)
{
    guint count = 0;
    for (guint i = 0; i < diagnostics_count(one->diagnostics); i++)
        count += finding_accepted(diagnostics_at(one->diagnostics, i));
    return count;
}

/* ---- over all ---- */

static void overall(const Review *review)
{
    guint stopped = 0, waiting = 0, taken = 0, overdue = 0;
    for (guint i = 0; i < review->cases->len; i++) {
        const ReviewCase *one = g_ptr_array_index(review->cases, i);
        gboolean errors = diagnostics_open(one->diagnostics, SEVERITY_ERROR) > 0;
        stopped += errors;
        waiting += !errors && diagnostics_open(one->diagnostics, SEVERITY_WARNING) > 0;
        taken += accepted(one);
        overdue += one->protocol && PRESENT(one->protocol->approval.review_by) &&
                   one->protocol->approval.review_by.day < review->today;
    }
    Arena *arena = review->arena;
    report_heading(review->report, REPORT_HEADING, "Over all");
    report_row(review->report, REPORT_HEAD, "what", "how many", NULL);
    report_row(review->report, REPORT_ROW, "protocols", number(arena, review->cases->len), NULL);
    report_row(review->report, REPORT_ROW, "stopped by an error", number(arena, stopped), NULL);
    report_row(review->report, REPORT_ROW, "waiting for an acceptance", number(arena, waiting), NULL);
    report_row(review->report, REPORT_ROW, "warnings accepted in writing", number(arena, taken), NULL);
    report_row(review->report, REPORT_ROW, "reviews overdue", number(arena, overdue), NULL);
}

static void by_subject(const Review *review)
{
    g_autoptr(GHashTable) counts = g_hash_table_new(g_str_hash, g_str_equal);
    int most = 1;
    for (guint i = 0; i < review->cases->len; i++) {
        const ReviewCase *one = g_ptr_array_index(review->cases, i);
        for (guint j = 0; j < diagnostics_count(one->diagnostics); j++) {
            const char *subject = rule_row(finding_rule(diagnostics_at(one->diagnostics, j)))->subject;
            int count = GPOINTER_TO_INT(g_hash_table_lookup(counts, subject)) + 1;
            g_hash_table_insert(counts, (gpointer)subject, GINT_TO_POINTER(count));
            most = MAX(most, count);
        }
    }
    report_heading(review->report, REPORT_HEADING, "Findings by subject");
    if (g_hash_table_size(counts) == 0)
        report_text(review->report, "There are no findings.");
    g_autoptr(GList) subjects = g_list_sort(g_hash_table_get_keys(counts), (GCompareFunc)strcmp);
    for (GList *subject = subjects; subject; subject = subject->next) {
        int count = GPOINTER_TO_INT(g_hash_table_lookup(counts, subject->data));
        report_bar(review->report, subject->data, count, most, number(review->arena, (guint)count));
    }
}

static int by_review_date(gconstpointer left, gconstpointer right)
{
    const ReviewCase *a = *(const ReviewCase *const *)left, *b = *(const ReviewCase *const *)right;
    return a->protocol->approval.review_by.day - b->protocol->approval.review_by.day;
}

static void dates(const Review *review)
{
    GPtrArray *dated = arena_list(review->arena);
    for (guint i = 0; i < review->cases->len; i++) {
        ReviewCase *one = g_ptr_array_index(review->cases, i);
        if (one->protocol && PRESENT(one->protocol->approval.review_by))
            g_ptr_array_add(dated, one);
    }
    g_ptr_array_sort(dated, by_review_date);
    report_heading(review->report, REPORT_HEADING, "Days until the next review");
    for (guint i = 0; i < dated->len; i++) {
        const ReviewCase *one = g_ptr_array_index(dated, i);
        int left = one->protocol->approval.review_by.day - review->today;
        const char *note = left < 0 ? arena_format(review->arena, "overdue by %d days", -left)
                                    : arena_format(review->arena, "%d days%s", left, left < SOON ? ", soon" : "");
        report_bar(review->report, name_of(one), MAX(0, left), YEAR, note);
    }
}

/* ---- each protocol ---- */

static const char *place_of(const Review *review, const Finding *finding)
{
    Place place = finding_place(finding);
    if (!place.source)
        return "";
    return arena_format(review->arena, "%s:%d:%d", place.source->name, place_line(place), place.column);
}

static const char *state_of(const Finding *finding)
{
    if (finding_accepted(finding))
        return "accepted";
    return finding_severity(finding) == SEVERITY_ERROR     ? "stops"
           : finding_severity(finding) == SEVERITY_WARNING ? "waits for acceptance"
                                                           : "note";
}

static void one_protocol(const Review *review, const ReviewCase *one)
{
    const Approval *approval = one->protocol ? &one->protocol->approval : NULL;
    report_heading(review->report, REPORT_PART, name_of(one));
    report_text(review->report, "%s, %s%s%s", one->path,
                one->clinic && PRESENT(one->clinic->clinic) ? one->clinic->clinic.text : "clinic not read",
                approval && PRESENT(approval->by) ? ", approved by " : ", not approved",
                approval && PRESENT(approval->by) ? approval->by.text : "");
    diagnostics_sort(one->diagnostics);
    guint count = diagnostics_count(one->diagnostics);
    if (count == 0) {
        report_text(review->report, "Nothing was found.");
        return;
    }
    report_row(review->report, REPORT_HEAD, "state", "rule", "what", "where", "accepted by, until, because", NULL);
    for (guint i = 0; i < count; i++) {
        const Finding *finding = diagnostics_at(one->diagnostics, i);
        const RuleRow *row = rule_row(finding_rule(finding));
        report_row(review->report, REPORT_ROW, state_of(finding), row->id, row->message, place_of(review, finding),
                   finding_accepted(finding) ? finding_acceptance(review->arena, finding) : "", NULL);
    }
}

/* ---- the matrix ---- */

static const char *cell(const ReviewCase *one, RuleId rule)
{
    const char *worst = "";
    for (guint i = 0; i < diagnostics_count(one->diagnostics); i++) {
        const Finding *finding = diagnostics_at(one->diagnostics, i);
        if (finding_rule(finding) != rule)
            continue;
        if (finding_accepted(finding))
            worst = *worst ? worst : "a";
        else
            worst = finding_severity(finding) == SEVERITY_ERROR ? "E"
                    : finding_severity(finding) == SEVERITY_WARNING ? "W" : "n";
    }
    return worst;
}

static gboolean raised(const Review *review, RuleId rule)
{
    for (guint i = 0; i < review->cases->len; i++)
        if (*cell(g_ptr_array_index(review->cases, i), rule))
            return TRUE;
    return FALSE;
}

/* Rules go down, since there are more of them than protocols fit across a page. */
static void matrix(const Review *review)
{
    report_heading(review->report, REPORT_HEADING, "Rules and protocols");
    report_text(review->report, "E stops, W waits for acceptance, a accepted, n note. Protocols by number:");
    ReportItem *head = NULL;
    for (guint i = 0; i < review->cases->len; i++)
        report_text(review->report, "%u  %s", i + 1, name_of(g_ptr_array_index(review->cases, i)));
    for (int rule = 0; rule < RULE_COUNT; rule++) {
        if (!raised(review, (RuleId)rule))
            continue;
        if (!head) {
            head = report_open_row(review->report, REPORT_HEAD);
            g_ptr_array_add(head->cells, (gpointer) "rule");
            for (guint i = 0; i < review->cases->len; i++)
                g_ptr_array_add(head->cells, (gpointer)number(review->arena, i + 1));
        }
        ReportItem *row = report_open_row(review->report, REPORT_ROW);
        g_ptr_array_add(row->cells, (gpointer)rule_row((RuleId)rule)->id);
        for (guint i = 0; i < review->cases->len; i++)
            g_ptr_array_add(row->cells, (gpointer)cell(g_ptr_array_index(review->cases, i), (RuleId)rule));
    }
}

/* ---- since an earlier report ---- */

char *review_key(Arena *arena, const Finding *finding)
{
    Place place = finding_place(finding);
    return arena_format(arena, "%s %s %d", place.source ? place.source->name : "-",
                        rule_row(finding_rule(finding))->id, place_line(place));
}

/* The value of a member in one line of our own JSON. */
static char *member(Arena *arena, const char *line, const char *name)
{
    g_autofree char *start = g_strdup_printf("\"%s\":", name);
    const char *at = strstr(line, start);
    if (!at)
        return NULL;
    at += strlen(start) + (at[strlen(start)] == '"');
    return arena_copy_length(arena, at, strcspn(at, "\",}"));
}

static GHashTable *earlier_keys(Arena *arena, const char *earlier)
{
    GHashTable *keys = g_hash_table_new(g_str_hash, g_str_equal);
    arena_defer(arena, (GDestroyNotify)g_hash_table_unref, keys);
    g_auto(GStrv) lines = g_strsplit(earlier, "\n", -1);
    for (char **line = lines; *line; line++) {
        const char *file = member(arena, *line, "file"), *rule = member(arena, *line, "rule");
        const char *number_text = member(arena, *line, "line");
        if (file && rule && number_text)
            g_hash_table_add(keys, arena_format(arena, "%s %s %s", file, rule, number_text));
    }
    return keys;
}

static void since(const Review *review, const char *earlier)
{
    GHashTable *before = earlier_keys(review->arena, earlier);
    guint came = 0, went = 0;
    report_heading(review->report, REPORT_HEADING, "Since the earlier report");
    for (guint i = 0; i < review->cases->len; i++) {
        const ReviewCase *one = g_ptr_array_index(review->cases, i);
        for (guint j = 0; j < diagnostics_count(one->diagnostics); j++) {
            char *key = review_key(review->arena, diagnostics_at(one->diagnostics, j));
            if (g_hash_table_remove(before, key))
                continue;
            report_text(review->report, "new: %s", key);
            came++;
        }
    }
    g_autoptr(GList) gone = g_list_sort(g_hash_table_get_keys(before), (GCompareFunc)strcmp);
    for (GList *key = gone; key; key = key->next, went++)
        report_text(review->report, "gone: %s", (const char *)key->data);
    report_text(review->report, "%u new, %u gone.", came, went);
}

static const char *day_words(Arena *arena, Day day)
{
    CalendarDate date = day_date(day);
    return arena_format(arena, "%04d-%02d-%02d", date.year, date.month, date.day);
}

Report *review_report(Arena *arena, GPtrArray *cases, const char *earlier, Day today, const char *version)
{
    Review review = {arena, report_new(arena, "Review of protocols"), cases, today};
    report_text(review.report, "On %s, by dosewright %s. Errors cannot be overridden; a warning waits until it is "
                "accepted in writing.", day_words(arena, today), version);
    overall(&review);
    if (earlier)
        since(&review, earlier);
    by_subject(&review);
    dates(&review);
    report_heading(review.report, REPORT_HEADING, "Each protocol");
    for (guint i = 0; i < cases->len; i++)
        one_protocol(&review, g_ptr_array_index(cases, i));
    matrix(&review);
    report_text(review.report, "This report judges form and figures by published tables and common practice. It does "
                "not replace the prescriber, the label, local law or licensed practice.");
    return review.report;
}

/* ---- the rule book ---- */

static const char *severity_words(int severities)
{
    if (severities & SEVERITY_ERROR)
        return severities & SEVERITY_WARNING ? "error or warning" : "error";
    return severities & SEVERITY_WARNING ? "warning" : "note";
}

static void chapter(Report *report, const char *subject)
{
    report_heading(report, REPORT_HEADING, arena_format(report->arena, "Rules about %s", subject));
    for (int i = 0; i < RULE_COUNT; i++) {
        const RuleRow *row = rule_row((RuleId)i);
        if (strcmp(row->subject, subject) != 0)
            continue;
        report_heading(report, REPORT_PART, arena_format(report->arena, "%s (%s)", row->id,
                                                         severity_words(row->severities)));
        report_text(report, "It says: %s.", row->message);
        report_text(report, "Why: %s", row->reason);
        report_text(report, "Source: %s.", row->source);
    }
}

Report *review_rule_book(Arena *arena, const char *version)
{
    static const char *const subjects[] = {"reading", "text", "governance", "medicine", "syringe", "site",
                                           "time", "person", "storage", "output"};
    Report *report = report_new(arena, "Rule book");
    report_text(report, "The %d rules of dosewright %s. An error stops a sheet. A warning stops it until someone who "
                "may has accepted it in writing: rule, reason, name, dates. The program chooses no medicine, dose, "
                "site or hour; the prescriber's order, the label in the box, local law and licensed practice decide.",
                (int)RULE_COUNT, version);
    for (gsize i = 0; i < G_N_ELEMENTS(subjects); i++)
        chapter(report, subjects[i]);
    return report;
}
