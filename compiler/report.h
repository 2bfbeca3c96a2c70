/* report: a page of headings, texts, rows and bars, built once and printed as a
 * web page here and as a PDF by output_report.  Knows nothing of rules. */
#ifndef REPORT_H
#define REPORT_H

#include "arena.h"

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

#endif
