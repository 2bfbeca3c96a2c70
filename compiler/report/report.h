/* report: what the quality lead reads, and what differs between two protocols.
 * A report is a page of headings, texts, rows and bars, built once and printed as a
 * web page here and as a PDF by output_report.  Knows nothing of rules. */
#ifndef REPORT_H
#define REPORT_H

#include "base/base.h"
#include "language/language.h"
#include "plan/plan.h"

typedef enum ReportKind {
    REPORT_TITLE,   /* text */
    REPORT_HEADING, /* text */
    REPORT_PART,    /* text: a heading below a heading */
    REPORT_TEXT,    /* text */
    REPORT_HEAD,    /* cells: the first row of a table */
    REPORT_ROW,     /* cells */
    REPORT_BAR,     /* text, value of most, note */
} ReportKind;

typedef struct ReportItem {
    ReportKind kind;
    const char *text, *note;
    GPtrArray *cells; /* of char* */
    int value, most;
} ReportItem;

typedef struct Report {
    Arena *arena;
    const char *title;
    GPtrArray *items; /* of ReportItem* */
} Report;

Report *report_new(Arena *arena, const char *title);
void report_heading(Report *report, ReportKind kind, const char *text);
void report_text(Report *report, const char *format, ...) G_GNUC_PRINTF(2, 3);
/* Cells up to NULL. */
void report_row(Report *report, ReportKind kind, ...) G_GNUC_NULL_TERMINATED;
/* An empty row that the caller adds cells to. */
ReportItem *report_open_row(Report *report, ReportKind kind);
void report_bar(Report *report, const char *text, int value, int most, const char *note);

/* A page that needs nothing from elsewhere: no script, readable on a telephone
 * and printable. */
void report_html(const Report *report, GString *out);

/* ---- the state of protocols, and the rule book ---- */

typedef struct ReviewCase {
    const char *path;
    const Clinic *clinic;     /* or NULL when it could not be read */
    const Protocol *protocol; /* or NULL */
    Diagnostics *diagnostics; /* judged, acceptances applied */
} ReviewCase;

/* earlier: lines of an earlier "check --format lines", or NULL.  today: for days
 * left.  Owned by the arena. */
Report *review_report(Arena *arena, GPtrArray *cases, const char *earlier, Day today, const char *version);

/* Every rule: message, severity, reason, source, in chapters. */
Report *review_rule_book(Arena *arena, const char *version);

/* "path rule line" of a finding: what an earlier report is compared by. */
char *review_key(Arena *arena, const Finding *finding);

/* ---- two revisions of a protocol in the words of the person who injects ---- */

typedef struct CompareSide {
    const Plan *plan;         /* without a patient */
    Diagnostics *diagnostics; /* judged */
    const char *meaning;      /* seal_text without the approval, or NULL when it cannot be read */
    const char *digest;       /* of the bytes of its files */
} CompareSide;

/* Appends the differences, one a line, then the findings that appear or vanish.
 * TRUE when the meaning is the same. */
gboolean compare_protocols(const CompareSide *old, const CompareSide *new, GString *out);

#endif
