/* source: the text of one file, its lines, and places in it.
 * Reads a file once into memory; never judges what it says. */
#ifndef SOURCE_H
#define SOURCE_H

#include "base/arena.h"

typedef struct Source {
    const char *name;     /* as the user gave it; escaped when printed */
    const char *text;     /* bytes as read, NUL after the last */
    gsize length;         /* in bytes */
    gsize line_count;
    const gsize *line_starts; /* byte offset of each line, line_count of them */
    int lines_before;     /* of its file, where the text is a part of one: a row of a roster */
} Source;

/* A span of one line of its source.  Lines and columns count from 1, columns and length in
 * code points.  A Place with no source means "nowhere in a file". */
typedef struct Place {
    const Source *source;
    int line;
    int column;
    int length;
} Place;

#define PLACE_NOWHERE ((Place){NULL, 0, 0, 0})

typedef enum SourceStatus {
    SOURCE_READ,
    SOURCE_TOO_LARGE,  /* a user's error: the file is over the limit */
    SOURCE_UNREADABLE, /* a system error: *error says which */
} SourceStatus;

/* Reads path ("-" is standard input), at most limit bytes.  *out is owned by
 * the arena.  With SOURCE_TOO_LARGE *out is an empty source of that name, so
 * that a finding can name the file. */
SourceStatus source_read(Arena *arena, const char *path, gsize limit,
                         const Source **out, GError **error);

/* A plain file, opened for reading; -1 with *error.  The caller closes it. */
int source_open(const char *path, GError **error);

/* The bytes alone, appended; for what is no text.  Only plain files and standard input
 * are read: a pipe or a device is refused. */
SourceStatus source_read_bytes(const char *path, gsize limit, GByteArray *bytes, GError **error);

/* The same from memory; text is copied. */
const Source *source_from_text(Arena *arena, const char *name,
                               const char *text, gsize length);

/* A part of a file: its text with the count of lines that stand before it there. */
const Source *source_part(Arena *arena, const char *name, const char *text, gsize length, int lines_before);

/* The place of byte_length bytes from byte offset start; cut at the line end. */
Place source_place(const Source *source, gsize start, gsize byte_length);

/* The line of the file that the place stands in, from 1. */
int place_line(Place place);

/* The byte offset of a place's first code point. */
gsize source_offset(Place place);

/* Appends the line of the place and a caret line under the span, both led by
 * the line number, controls and bidi characters escaped as \u{...}, long lines
 * cut round the span, carets aligned by display width (wide = 2, tab = 8
 * stops shown as spaces). */
void source_excerpt(GString *out, Place place);

/* A letter that a reader cannot see, or that reorders what is seen: controls, line and paragraph separators, what
 * annotates, and of what fonts draw nothing (Unicode 14, DerivedCoreProperties.txt: Default_Ignorable_Code_Point). */
gboolean source_hidden(gunichar letter);

/* Appends text with every hidden letter as \u{...}. */
void source_escape(GString *out, const char *text, gssize length);

/* Appends text as a JSON string, whatever bytes it holds; NULL as null.  What a terminal
 * would obey or hide is written as \uXXXX. */
void source_json(GString *out, const char *text);

/* Appends text as text of a web page, also within a quoted attribute, whatever bytes it holds. */
void source_markup(GString *out, const char *text);

/* <0, 0, >0: by file name, line, column. */
int place_compare(Place a, Place b);

/* A sub-span of a one-line place: skip and length in code points. */
Place place_within(Place place, int skip, int length);

#endif
