/* model/field: the kinds of value that a file can hold, each with its place.
 * Plain data, no logic.  A field that was written but could not be read is
 * FIELD_BAD: rules about it stay silent, the reader has spoken. */
#ifndef MODEL_FIELD_H
#define MODEL_FIELD_H

#include "value/value.h"
#include "base/base.h"

typedef enum FieldState { FIELD_ABSENT, FIELD_READ, FIELD_BAD } FieldState;

/* First member of every kind.  key is the place of the key, for findings on what
 * is absent or surplus inside. */
typedef struct Field {
    FieldState state;
    Place place;
    Place key;
} Field;

#define PRESENT(field) ((field).at.state == FIELD_READ)
#define ABSENT(field) ((field).at.state == FIELD_ABSENT)
#define UNREAD(field) ((field).at.state == FIELD_BAD)

#define CHOICE_LIST(List, title, printed) CHOICES_##List,
typedef enum ChoiceList {
#include "language/choices.def"
    CHOICES_COUNT
} ChoiceList;

/* The words of all lists, numbered in a row: for code that treats every list alike.
 * Nothing that decides by a word takes one of these, but the enum of its list. */
#define CHOICE(List, id, word, meaning) WORD_##List##_##id,
typedef enum ChoiceWord {
#include "language/choices.def"
    CHOICE_COUNT
} ChoiceWord;

/* One enum for each list, so that a switch over it can be complete: Site, with
 * Site_DELTOID, ...; and the value of a field of that list: SiteChoice. */
#define CHOICE_LIST(List, title, printed) typedef enum List {
#define CHOICE(List, id, word, meaning) List##_##id = WORD_##List##_##id,
#define CHOICE_END(List) } List; typedef struct List##Choice { Field at; List value; } List##Choice;
#include "language/choices.def"

typedef struct ChoiceRow {
    ChoiceList list;
    const char *word;
    const char *meaning;
    const char *phrase; /* "word_Site_DELTOID": its word on a sheet, where the list is printed */
} ChoiceRow;

const ChoiceRow *choice_row(ChoiceWord word);
const char *choice_list_title(ChoiceList list);
/* TRUE when its words stand on sheets, and so in each language. */
gboolean choice_list_printed(ChoiceList list);
/* The word of any list as a file writes it. */
#define choice_word(value) (choice_row((ChoiceWord)(value))->word)

typedef struct Text { Field at; const char *text; } Text;
typedef struct Number { Field at; gint64 value; } Number;         /* whole, > 0 */
typedef struct Amount { Field at; Quantity quantity; } Amount;
typedef struct StrengthField { Field at; Strength strength; } StrengthField;
typedef struct Span { Field at; Quantity from, until; } Span;     /* "2 C to 8 C", "34 h to 38 h" */
/* The shape of SiteChoice, RouteChoice and the like, where the list is not known by name. */
typedef struct Choice { Field at; ChoiceWord word; } Choice;
/* The word of a field of any list. */
ChoiceWord choice_value(const Field *choice);
void choice_set(Field *choice, ChoiceWord word);
/* stated: the weekday written before it, 0 when none was; an expiry "2027-03" is
 * the last day of March, a whole_month. */
typedef struct Date { Field at; Day day; Weekday stated; gboolean whole_month; } Date;
typedef struct ClockTime { Field at; int minute; } ClockTime;
/* May pass midnight. */
typedef struct ClockSpan { Field at; int from, until; gboolean all_day; } ClockSpan;
typedef struct ZoneField { Field at; Zone *zone; } ZoneField;
typedef struct NeedleField { Field at; Quantity gauge, length; } NeedleField; /* "22 G x 1.5 in" */
/* Of Text*, choices (RouteChoice*), Keep*, Saying* or records; never NULL. */
typedef struct List { Field at; GPtrArray *items; } List;
/* TRUE when a list of choices was read with this word in it. */
gboolean list_has_word(const List *list, ChoiceWord word);
#define list_has(list, value) list_has_word(list, (ChoiceWord)(value))

/* Prose for people: one text (in the clinic's first language) or one per language. */
/* plain: the words with a blank for each {slot}, as long.  silent, own: of the rules alone, which
 * keep there what they looked for and did not find (rules/checks.h). */
typedef struct SayingVersion {
    const char *language;
    Text text;
    const char *plain;
    guint64 *silent, own;
} SayingVersion;
/* Of SayingVersion*; language NULL: the clinic's first. */
typedef struct Saying { Field at; GPtrArray *versions; } Saying;
/* The version for a sheet in this language, else the one in the language that it is a region's of (a text in "en" for
 * a sheet in "en-GB"; RFC 4647, 3.4); own: the clinic's first.  NULL when there is none. */
const SayingVersion *saying_version_in(const Saying *saying, const char *tag, const char *own);
/* What to write where it is missing: the languages that are there and this one. */
const char *saying_wanted(Arena *arena, const Saying *saying, const char *tag, const char *own);

/* "up to 6 h in the refrigerator"; "at once" has at_once set and no limit. */
typedef struct Keep { Field at; gboolean at_once; Quantity limit; KeptAt kept_at; } Keep;

/* "15 min either side", "10 min before to 30 min after", "exactly". */
typedef struct Window { Field at; gboolean exact; Quantity before, after; } Window;

typedef enum TimingKind {
    TIMING_ELAPSED,  /* 36 h before egg collection; 2 h after first dose */
    TIMING_CALENDAR, /* 9 pm on day +1 [for 10 days] */
    TIMING_TOGETHER, /* together with trigger */
} TimingKind;

typedef struct Timing {
    Field at;
    TimingKind kind;
    Quantity offset;     /* ELAPSED: a time, > 0 */
    gboolean before;     /* ELAPSED: before or after */
    const char *from;    /* ELAPSED, TOGETHER: the words of the anchor or injection name */
    Place from_place;
    int minute;          /* CALENDAR: clock time */
    int day;             /* CALENDAR: days from the anchor's date */
    int days;            /* CALENDAR: how many days in a row, 1 when not said */
} Timing;

#endif
