/* report: what the quality lead reads, and what differs between two protocols.
 * A report is a page of headings, texts, entries and charts, built once and printed as a
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
    REPORT_UNDER,   /* text: a heading below that */
    REPORT_TEXT,    /* text */
    REPORT_ENTRY,   /* label, text, lines: one of a list */
    REPORT_CHART,   /* chart */
} ReportKind;

typedef struct ReportLine {
    const char *text;
    const char *link; /* name of the item that it leads to, or NULL */
    const char *fold; /* the web page says this, and the text once it is opened; or NULL */
    const char *paper; /* of a fold: what stands on paper instead of the text */
} ReportLine;

/* How many fall into one stretch of time. */
typedef struct ReportBar {
    const char *label;
    guint first, second;
} ReportBar;

/* Bars of two parts, one below the other. */
typedef struct ReportChart {
    const char *title, *first, *second; /* what the two parts are, as words behind a number */
    GArray *bars;                       /* of ReportBar */
} ReportChart;

typedef struct ReportItem {
    ReportKind kind;
    const char *text;
    const char *name;  /* that a link leads to, or NULL; letters, digits, hyphens */
    const char *label; /* of an entry: what kind of thing it is, in a few words */
    GPtrArray *lines;  /* of ReportLine*, of an entry */
    ReportChart *chart;
    gboolean folded;   /* of a part: the web page shows what stands under it once it is opened */
    gboolean screen;   /* only on the web page: nobody leafs through it on paper */
} ReportItem;

typedef struct Report {
    Arena *arena;
    const char *title;
    GPtrArray *items; /* of ReportItem* */
} Report;

Report *report_new(Arena *arena, const char *title);
ReportItem *report_heading(Report *report, ReportKind kind, const char *text);
void report_text(Report *report, const char *format, ...) G_GNUC_PRINTF(2, 3);
ReportItem *report_entry(Report *report, const char *label, const char *text);
/* link: the name of an item, or NULL. */
void report_line(const Report *report, ReportItem *entry, const char *link, const char *format, ...)
    G_GNUC_PRINTF(4, 5);
/* A list of so many things that nobody reads on a screen unless she looks for one. */
void report_fold(const Report *report, ReportItem *entry, const char *fold, const char *paper,
                 const char *text);
ReportChart *report_chart(Report *report, const char *title, const char *first, const char *second);
void report_bar(const Report *report, ReportChart *chart, const char *label, guint first, guint second);

/* A page that needs nothing from elsewhere: no script, readable on a telephone
 * and printable. */
void report_html(const Report *report, GString *out);

/* ---- a chart as shapes: worked out once, drawn as SVG here and as ink by output.  Units of a
 * page 100 wide; on paper one is a millimetre. ---- */

#define CHART_WIDTH 100

typedef enum ChartFill { CHART_SOLID, CHART_OPEN } ChartFill; /* told apart in any copy */

typedef struct ChartPen {
    gpointer data;
    void (*bar)(gpointer data, int x, int y, int width, int height, ChartFill fill);
    void (*words)(gpointer data, int x, int baseline, const char *text);
    void (*rule)(gpointer data, int x, int y, int height);
} ChartPen;

int report_chart_height(const ReportChart *chart);
void report_chart_draw(const ReportChart *chart, const ChartPen *pen);
/* What it shows, in words. */
char *report_chart_says(Arena *arena, const ReportChart *chart);

/* ---- the state of protocols, people and sheets ---- */

/* A file that was judged: a protocol's, a person's, or one that could not be read. */
typedef struct ReviewCase {
    const char *path;
    const Clinic *clinic;     /* or NULL when it could not be read */
    const Protocol *protocol; /* or NULL */
    const Patient *patient;   /* of a person's file */
    gboolean sealed;          /* it is word for word what was signed */
    gint64 goes_on;           /* the approved revision that sheets are printed from meanwhile; 0: none */
    Diagnostics *diagnostics; /* judged, acceptances applied */
} ReviewCase;

/* A final sheet with an injection still to come that needs a look, from a clinic's record. */
typedef struct ReviewSheet {
    const char *clinic, *person, *protocol, *by, *when; /* when: its first injection, in words */
    gint64 number, revision, present;                   /* present: the revision in force; 0: none */
    Day due;
    gboolean recalled;
} ReviewSheet;

/* What was accepted for one person, as the record of printed sheets has it. */
typedef struct ReviewAccepted {
    const char *clinic, *person, *rule, *words; /* words: by whom, until when, why */
    gint64 sheet;
} ReviewAccepted;

/* A language that sheets of a clinic are wished in and that nobody has reviewed. */
typedef struct ReviewLanguage {
    const char *clinic, *tag, *file, *asked; /* asked: who asks for it */
} ReviewLanguage;

typedef struct Review {
    Arena *arena;
    Day today;
    const char *version;
    GPtrArray *cases;     /* of ReviewCase* */
    GPtrArray *sheets;    /* of ReviewSheet* */
    GPtrArray *accepted;  /* of ReviewAccepted* */
    GPtrArray *languages; /* of ReviewLanguage* */
    GPtrArray *before;    /* of ReviewState*: an earlier state, or NULL */
    const char *before_words; /* "2026-10-01" */
} Review;

/* From when on a task makes a gate fail: each holds those before it. */
typedef enum ReviewGate { REVIEW_STOPS, REVIEW_WAITS, REVIEW_ENDS, REVIEW_GATES } ReviewGate;
gboolean review_gate_find(const char *word, ReviewGate *out);

/* One protocol, person or sheet that a task is about. */
typedef struct ReviewThing {
    const char *name, *link;   /* link: the item of the report that says more, or NULL */
    const char *place;         /* in its file, or "" */
    GPtrArray *facts;          /* of char* */
    const ReviewCase *about;   /* NULL of a sheet or a language */
    const Finding *finding;    /* or NULL */
    const ReviewSheet *sheet;  /* or NULL */
} ReviewThing;

/* What waits for somebody. */
typedef struct ReviewTask {
    int kind;                  /* a row of report/tasks.def */
    ReviewGate gate;
    const char *clinic, *owner, *what, *help; /* help: or NULL */
    const char *more;          /* where all its things are named in the report, or NULL */
    Day due;                   /* 0: none */
    GPtrArray *things;         /* of ReviewThing*, at least one */
} ReviewTask;

/* Of ReviewTask*, most urgent first; owned by the arena. */
GPtrArray *review_tasks(const Review *review);
/* "review overdue by 3 days": the first words of a task. */
const char *review_task_label(const Review *review, const ReviewTask *task);

/* The report; *tasks counts what there is to do, by gate.  Owned by the arena. */
Report *review_report(const Review *review, guint tasks[REVIEW_GATES]);

/* ---- a state, to be compared with a later one ---- */

/* What holds of one rule, or (rule NULL) of the approval, in one protocol or for one person. */
typedef struct ReviewState {
    const char *clinic, *of, *rule, *injection; /* injection: "" when of none */
    const char *state;                          /* a word of review_state_of, or words of the approval */
    gint64 revision;
} ReviewState;

GPtrArray *review_states(const Review *review);
/* One JSON object a line. */
void review_print_states(const Review *review, GString *out);
/* Reads them back; NULL with *fault naming the first line that is none. */
GPtrArray *review_read_states(Arena *arena, const Source *source, guint *fault);

/* Every rule: message, severity, reason, source, in chapters. */
Report *review_rule_book(Arena *arena, const char *version);

/* ---- two revisions of a protocol in the words of the person who injects ---- */

typedef struct CompareSide {
    const Plan *plan;         /* without a patient */
    Diagnostics *diagnostics; /* judged */
    const char *meaning;      /* seal_text without the approval, or NULL when it cannot be read */
    const char *digest;       /* of the bytes of its files */
} CompareSide;

/* Appends the differences, one a line, then the findings that appear or vanish.
 * TRUE when the meaning is the same, and who approved it. */
gboolean compare_protocols(const CompareSide *old, const CompareSide *new, GString *out);

#endif
