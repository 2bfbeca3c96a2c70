/* commands: the words that a user types.  Three programs share them: dosewright, which
 * checks and never loads a font, dosewright-paper, which draws, and dosewright-desk, which
 * serves the desk. */
#ifndef COMMANDS_H
#define COMMANDS_H

#include "night/night.h"
#include "reader/reader.h"
#include "roster/roster.h"
#include "plan/plan.h"
#include "record/record.h"
#include "report/report.h"

#define COMMANDS_TEMPLATE "home-injection" /* of an ordinary sheet */
#define COMMANDS_PAPER "dosewright-paper"  /* the program that draws */
#define COMMANDS_DESK "dosewright-desk"    /* the program that serves */

typedef enum ExitStatus {
    EXIT_FINE = 0,
    EXIT_FINDINGS = 1, /* findings that stop; no sheet */
    EXIT_USAGE = 2,
    EXIT_SYSTEM = 3,
    EXIT_OWN = 4,      /* a check of our own failed; no sheet */
} ExitStatus;

typedef enum FindingsFormat { FINDINGS_TEXT, FINDINGS_LINES, FINDINGS_SARIF } FindingsFormat;

/* What the options said. */
typedef struct Options {
    char *clinic;        /* folder of the clinic */
    char *now;           /* RFC 3339; fixes the clock */
    char *format;
    char *out;           /* folder for sheets */
    char *paper;
    char *injection;
    char *template_name, *templates;
    char *also;          /* a second language */
    char *code;          /* spoken on the telephone */
    char *since;         /* an earlier report, or a day */
    char *rest;          /* keys of a patient's file that a bundle cannot give */
    char *gate;          /* what a report fails on */
    char *instead;       /* of a lot that is called back: the box handed out in its place */
    char **replacing;    /* codes of people of a roster who get new sheets; NULL: of no roster */
    char *by, *review_by; /* of an approval */
    gboolean draft, large, text, calendar, boxes, replace, watch;
    char *part;          /* "3/16" of a roster */
    int jobs;            /* processes that draw at a time; 0: one for each core */
    int port;            /* of the desk; 0: any that is free */
    char *listen;        /* of the desk: "ADDRESS:PORT" */
    char *cert, *key;    /* of the desk: files in PEM */
    char **roles;        /* of one of its people */
    char **words;        /* what is left: files and names */
} Options;

/* One run of one command. */
typedef struct Session {
    Arena *arena;
    Options options;
    Instant now;
    FindingsFormat format;
    gboolean glance; /* the record is read alone, and was looked at as a whole before */
    Record *seen;    /* at a glance: as it was opened first, of the clinic in this folder; or NULL */
    const char *seen_in;
    Loader *loader;
    gint64 last_number; /* the highest of the sheets of the people's files looked at, named or beside */
    GHashTable *alike; /* as alike_new(); NULL: whom a person might be mistaken for is not asked */
    Diagnostics *all; /* for SARIF: one log of the whole run */
} Session;

/* What a session knows of a clinic's people, read once; see alike_of(). */
GHashTable *alike_new(void);

typedef int (*CommandFunction)(Session *session);

/* The commands that draw, and the desk; NULL in a program that cannot, which then becomes
 * the one that can. */
typedef struct PaperCommands {
    CommandFunction sheet, read, review, rule_book, letters, day, move, recall, night, find, desk, people;
} PaperCommands;

int commands_main(int argc, char **argv, const PaperCommands *paper);
const char *commands_version(void);
/* Adds the file, or the files below the folder, to the list. */
gboolean commands_collect(Session *session, const char *word, GPtrArray *paths, GError **error);

/* The path of the program of this name, "dosewright-paper": beside this one, else as installed. */
char *commands_program(Arena *arena, const char *name);

/* The folder of the templates: beside the program in a build, else as installed. */
char *commands_templates(Arena *arena);

/* What keeps a sheet from being printed in this language, by the phrases of this folder;
 * RULE_COUNT when nothing does, or when they cannot be read here at all. */
RuleId commands_language_fault(Session *session, const char *folder, const char *tag);

/* Loads a file, plans and judges it.  *plan is NULL when the files do not make
 * one.  FALSE when the system failed (already said). */
gboolean commands_judge(Session *session, const char *path, Case *out, Plan **plan);
/* The same, with what the file itself says in an arena of the caller's (loader_load_in); NULL: in the loader's. */
gboolean commands_judge_in(Session *session, Arena *own, const char *path, Case *out, Plan **plan);
/* Loads a person out of a bundle (FHIR), and the rest from --rest.  FALSE when the system failed
 * (already said). */
gboolean commands_load_bundle(Session *session, const char *path, Case *out);
/* The plan of a loaded case, judged, its acceptances applied; NULL when the files do
 * not make one. */
Plan *commands_plan(Session *session, const Case *file);
/* The same case planned once more as of this time, with a sheet's number, and that of the sheet it replaces
 * (0: none); file's person is then another. */
Plan *commands_plan_numbered(Session *session, Case *file, const Plan *judged, gint64 number, gint64 replaces,
                             Instant made);
/* Where the clinic's record is yet to give the sheet's number: the plan with 0 in its place, so that all else of it
 * can be worded and shown; any other plan itself. */
Plan *commands_plan_awaiting(Session *session, const Case *file, Plan *plan);
/* The same of a person of a roster; session->arena is this person's alone.  alike: whom the
 * person might be mistaken for, or NULL. */
gboolean commands_judge_listed(Session *session, const char *path, const Roster *roster, const RosterRow *row,
                               const char *alike, Case *out, Plan **plan);
/* Compares the files of the call, as Case*, with each other and with the people's files that
 * stand beside them; findings go to each case's own. */
void commands_together(Session *session, const GPtrArray *cases);
/* Prints the findings in the asked format to standard output (as lines) or
 * standard error (as text). */
void commands_report(Session *session, Diagnostics *diagnostics);
/* Says a system error; returns EXIT_SYSTEM. */
int commands_system_error(GError *error);
/* The record of a case's clinic: NULL in *record when none is kept.  FALSE when it cannot be
 * opened (already said).  It lives as long as the session. */
gboolean commands_record(Session *session, const Case *file, Record **record);
/* "Tuesday 2026-11-24 11:30 pm", where the clinic is and by its clock; clinic may be NULL. */
const char *commands_time(const Session *session, const Clinic *clinic, Instant at);
/* When an injection of a sheet is given first, where the person is and by the clinic's clock; NULL when
 * the sheet has no injection of this number (from 1). */
const char *commands_sheet_time(const Session *session, const Clinic *clinic, const RecordSheet *sheet, int number);
/* Where the person of a sheet is; NULL when it does not say. */
const Zone *commands_zone_of(const Session *session, const RecordSheet *sheet);
/* The clinic of --clinic, or above this folder: a status, said when it is not EXIT_FINE. */
int commands_clinic(Session *session, Case *file);
/* The same with its record, which it must keep. */
int commands_clinic_record(Session *session, Case *file, Record **record);
/* Closes to the desk, and to the children that it forks, all but the clinic's folder and record, the templates
 * and sockets; before any thread (base/confine.h). */
void commands_close_desk(Session *session, const Case *clinic, const char *templates);
/* The paper of --paper, else the clinic's, else (clinic NULL or unread) A4.  A status, said when not EXIT_FINE. */
int commands_paper(const Session *session, const Clinic *clinic, Paper *paper);
/* Says a wrong use; returns EXIT_USAGE. */
int commands_usage(const char *format, ...) G_GNUC_PRINTF(1, 2);

int command_check(Session *session);
int command_roster(Session *session);
int command_plan(Session *session);
int command_trace(Session *session);
int command_explain(Session *session);
int command_schema(Session *session);
int command_seal(Session *session);
int command_approve(Session *session);
/* The same; *text: the protocol with the approval in it, to be written in the stead of its file.
 * Owned by the session's arena. */
int approve_text(Session *session, const char **text);
int command_compare(Session *session);
int command_record(Session *session);
int command_cancel(Session *session);

/* ---- in the two programs that draw ---- */

int command_sheet(Session *session);
/* A person's sheets as marked drafts, whatever still waits for a name: *files (of PublishFile*),
 * owned by the session's arena, and nothing written.  EXIT_FINDINGS when something stops them. */
int sheet_preview(Session *session, const char *path, GPtrArray **files);
/* EXIT_FINE when a case that was judged has room for all its words on the first sheet, and a glyph
 * for each letter; else findings at the person's texts.  Draws, and takes some 20 ms. */
int sheet_fits(Session *session, Case *file, Plan *plan);
/* A page of the person's first sheet (the last one when there are fewer) as a picture so many
 * pixels wide, of a case that was judged: *picture, the caller's, and how many pages there are.
 * Nothing is written.  EXIT_FINDINGS when more than an approval is missing. */
int sheet_look(Session *session, Case *file, Plan *plan, int page, int width, GBytes **picture, int *pages);
int command_move(Session *session);
/* What "move" would write into the person's file: *text, owned by the session's arena.
 * Nothing is written. */
int move_look(Session *session, const char **text);
/* Says to the terminal what the new sheet says, beside what the old one said; old NULL: none counted. */
void changes_say_new(Session *session, const Clinic *clinic, const RecordSheet *old, const RecordSheet *new);
int command_recall(Session *session);
/* Judges the files that the words name, and asks the clinics' languages, and their records for whoever had
 * something to inject since an instant; *first is the first clinic, or NULL.  A status, said when it is not
 * EXIT_FINE. */
int gather_review(Session *session, Review *review, Instant since, const Clinic **first);
/* Fills a request from the files and folders named: people with a sheet for the night, those
 * without one, what the record has noted.  nights: 0, the night that holds the session's time, -1 the
 * one before it, 1 the one behind.  A status, said when it is not EXIT_FINE.  Owned by the session's
 * arena. */
int evening_gather(Session *session, char **words, int nights, NightRequest *request);
/* The same as a night; NULL when there is nobody at all. */
int evening_of(Session *session, char **words, int nights, NightRequest *request, Night **night);
/* The night that a list is about: the one that holds the session's time; but from 6 am on the one that comes,
 * once nobody of the last one is still to inject.  *nights: 0 or 1.  As evening_of(). */
int evening_shown(Session *session, char **words, int *nights, NightRequest *request, Night **night);
/* Paths, ended by NULL: the clinic's files of those whose sheet of this time counts and who may be open. */
char **evening_open(Session *session, const Case *clinic, Record *record, Instant from, Instant until);
/* The page for the wall, in one piece, on the clinic's paper; its people are forgotten while it is drawn.
 * NULL after findings.  The caller owns the bytes. */
GBytes *evening_pdf(Session *session, Night *night, NightRequest *request, Diagnostics *found);

#endif
