/* source: see source.h. */
#include "base/source.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/confine.h"

#define BLOCK 16384 /* bytes read at once */
#define TAB_STOP 8
#define EXCERPT_WIDTH 96 /* columns of a line shown round its span */

/* ---- reading ---- */

static void index_lines(Arena *arena, Source *source)
{
    gsize count = 1;
    for (gsize i = 0; i < source->length; i++)
        count += source->text[i] == '\n';
    gsize *starts = arena_alloc(arena, count * sizeof *starts);
    gsize line = 1;
    for (gsize i = 0; i < source->length; i++)
        if (source->text[i] == '\n')
            starts[line++] = i + 1;
    source->line_starts = starts;
    source->line_count = count;
}

const Source *source_from_text(Arena *arena, const char *name, const char *text, gsize length)
{
    Source *source = arena_new0(arena, Source);
    source->name = arena_copy(arena, name);
    source->text = arena_copy_length(arena, text, length);
    source->length = length;
    index_lines(arena, source);
    return source;
}

const Source *source_part(Arena *arena, const char *name, const char *text, gsize length, int lines_before)
{
    Source *source = (Source *)source_from_text(arena, name, text, length);
    source->lines_before = lines_before;
    return source;
}

static SourceStatus unreadable(const char *path, GError **error)
{
    int code = errno;
    gboolean leads_out = code == EACCES && confine_closed() && g_file_test(path, G_FILE_TEST_IS_SYMLINK);
    g_set_error(error, G_FILE_ERROR, g_file_error_from_errno(code), "cannot read %s: %s", path,
                leads_out ? "it is a link out of the folders that were named; put the file itself there"
                          : g_strerror(code));
    return SOURCE_UNREADABLE;
}

/* Reads until the end, or until more than limit bytes are there. */
static SourceStatus read_all(int descriptor, const char *path, gsize limit, GByteArray *bytes,
                             GError **error)
{
    for (;;) {
        guint before = bytes->len;
        g_byte_array_set_size(bytes, before + BLOCK);
        ssize_t got = read(descriptor, bytes->data + before, BLOCK);
        int code = errno;
        g_byte_array_set_size(bytes, before + (guint)MAX(got, 0));
        errno = code;
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return unreadable(path, error);
        if (got == 0)
            return SOURCE_READ;
        if (bytes->len > limit)
            return SOURCE_TOO_LARGE;
    }
}

/* Opens a plain file; -1 with *error.  A pipe or a device would wait for ever or never
 * end, so it is asked for without waiting and refused. */
int source_open(const char *path, GError **error)
{
    int descriptor = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
    struct stat there;
    if (descriptor < 0 || fstat(descriptor, &there) != 0) {
        unreadable(path, error);
    } else if (!S_ISREG(there.st_mode)) {
        g_set_error(error, G_FILE_ERROR, S_ISDIR(there.st_mode) ? G_FILE_ERROR_ISDIR : G_FILE_ERROR_INVAL,
                    "cannot read %s: %s", path,
                    S_ISDIR(there.st_mode) ? "it is a folder" : "it is a pipe or a device and not a plain file");
    } else {
        return descriptor;
    }
    if (descriptor >= 0)
        close(descriptor);
    return -1;
}

SourceStatus source_read_bytes(const char *path, gsize limit, GByteArray *bytes, GError **error)
{
    gboolean standard = strcmp(path, "-") == 0;
    int descriptor = standard ? STDIN_FILENO : source_open(path, error);
    if (descriptor < 0)
        return SOURCE_UNREADABLE;
    SourceStatus status = read_all(descriptor, path, limit, bytes, error);
    if (!standard)
        close(descriptor);
    return status;
}

SourceStatus source_read(Arena *arena, const char *path, gsize limit, const Source **out,
                         GError **error)
{
    gboolean standard = strcmp(path, "-") == 0;
    g_autoptr(GByteArray) bytes = g_byte_array_new();
    SourceStatus status = source_read_bytes(path, limit, bytes, error);
    if (status == SOURCE_UNREADABLE)
        return status;
    gsize length = status == SOURCE_READ ? bytes->len : 0;
    const char *name = standard ? "standard input" : path;
    *out = source_from_text(arena, name, length ? (const char *)bytes->data : "", length);
    return status;
}

/* ---- places ---- */

/* The end of a line, without its line break. */
static gsize line_end(const Source *source, gsize line)
{
    gsize end = line < source->line_count ? source->line_starts[line] - 1 : source->length;
    gsize start = source->line_starts[line - 1];
    return end > start && source->text[end - 1] == '\r' ? end - 1 : end;
}

/* Code points in a stretch of bytes; a byte that starts no letter counts with
 * the letter before it. */
static int count_letters(const char *text, gsize length)
{
    int letters = 0;
    for (gsize i = 0; i < length; i++)
        letters += ((guchar)text[i] & 0xC0) != 0x80;
    return letters;
}

static gsize line_of(const Source *source, gsize offset)
{
    gsize low = 0, high = source->line_count;
    while (high - low > 1) {
        gsize middle = (low + high) / 2;
        if (source->line_starts[middle] <= offset)
            low = middle;
        else
            high = middle;
    }
    return low + 1;
}

Place source_place(const Source *source, gsize start, gsize byte_length)
{
    start = MIN(start, source->length);
    gsize line = line_of(source, start);
    gsize begin = source->line_starts[line - 1];
    gsize end = MIN(start + byte_length, MAX(start, line_end(source, line)));
    int length = count_letters(source->text + start, end - start);
    int column = count_letters(source->text + begin, start - begin) + 1;
    return (Place){source, (int)line, column, MAX(length, 1)};
}

int place_line(Place place) { return place.line + (place.source ? place.source->lines_before : 0); }

gsize source_offset(Place place)
{
    gsize offset = place.source->line_starts[place.line - 1];
    for (int column = 0; offset < place.source->length; offset++) {
        if (((guchar)place.source->text[offset] & 0xC0) != 0x80 && ++column == place.column)
            break;
    }
    return offset;
}

int place_compare(Place a, Place b)
{
    if (a.source != b.source) {
        int names = strcmp(a.source ? a.source->name : "", b.source ? b.source->name : "");
        if (names != 0)
            return names;
    }
    return a.line != b.line ? (a.line < b.line ? -1 : 1)
                            : (a.column > b.column) - (a.column < b.column);
}

Place place_within(Place place, int skip, int length)
{
    place.column += skip;
    place.length = MAX(length, 1);
    return place;
}

/* ---- printing ---- */

gboolean source_hidden(gunichar letter)
{
    static const gunichar stretches[][2] = {
        {0x0, 0x1F}, {0x7F, 0x9F}, {0xAD, 0xAD}, {0x34F, 0x34F}, {0x61C, 0x61C}, {0x115F, 0x1160}, {0x17B4, 0x17B5},
        {0x180B, 0x180F}, {0x200B, 0x200F}, {0x2028, 0x202E}, {0x2060, 0x206F}, {0x3164, 0x3164}, {0xFE00, 0xFE0F},
        {0xFEFF, 0xFEFF}, {0xFFA0, 0xFFA0}, {0xFFF0, 0xFFFB}, {0x1BCA0, 0x1BCA3}, {0x1D173, 0x1D17A},
        {0xE0000, 0xE0FFF}};
    for (gsize i = 0; i < G_N_ELEMENTS(stretches) && stretches[i][0] <= letter; i++)
        if (letter <= stretches[i][1])
            return TRUE;
    return FALSE;
}

/* The next letter, or the byte itself with *valid FALSE. */
static gunichar next_letter(const char **text, const char *end, gboolean *valid)
{
    gunichar letter = g_utf8_get_char_validated(*text, end - *text);
    *valid = letter != (gunichar)-1 && letter != (gunichar)-2;
    if (!*valid) {
        letter = (guchar)**text;
        *text += 1;
        return letter;
    }
    *text = letter ? g_utf8_next_char(*text) : *text + 1;
    return letter;
}

static void append_letter(GString *out, gunichar letter, gboolean valid)
{
    if (!valid)
        g_string_append_printf(out, "\\x%02x", letter);
    else if (source_hidden(letter))
        g_string_append_printf(out, "\\u{%04X}", letter);
    else
        g_string_append_unichar(out, letter);
}

void source_escape(GString *out, const char *text, gssize length)
{
    const char *end = text + (length < 0 ? (gssize)strlen(text) : length);
    while (text < end) {
        gboolean valid;
        gunichar letter = next_letter(&text, end, &valid);
        append_letter(out, letter, valid);
    }
}

static int letter_width(gunichar letter)
{
    if (g_unichar_iszerowidth(letter))
        return 0;
    return g_unichar_iswide(letter) ? 2 : 1;
}

/* One letter as shown, appended to a line that is width columns wide already;
 * returns the new width. */
static int show_letter(GString *line, gunichar letter, gboolean valid, int width)
{
    if (letter == '\t' && valid) {
        int stop = (width / TAB_STOP + 1) * TAB_STOP;
        while (width < stop) {
            g_string_append_c(line, ' ');
            width++;
        }
        return width;
    }
    gsize before = line->len;
    append_letter(line, letter, valid);
    if (!valid || source_hidden(letter))
        return width + (int)(line->len - before);
    return width + letter_width(letter);
}

typedef struct Excerpt {
    GString *line;   /* as shown */
    int from, until; /* columns of the span in it */
} Excerpt;

/* First column shown: 1, or further right when the span stands far right. */
static int first_column(Place place)
{
    return place.column > EXCERPT_WIDTH * 3 / 4 ? place.column - EXCERPT_WIDTH / 2 : 1;
}

static void show_line(Place place, Excerpt *excerpt)
{
    const Source *source = place.source;
    const char *text = source->text + source->line_starts[place.line - 1];
    const char *end = source->text + line_end(source, (gsize)place.line);
    int first = first_column(place), width = 0;
    if (first > 1) {
        g_string_append(excerpt->line, "...");
        width = 3;
    }
    excerpt->from = excerpt->until = -1;
    for (int column = 1; text < end; column++) {
        gboolean valid;
        gunichar letter = next_letter(&text, end, &valid);
        if (column < first)
            continue;
        if (column == place.column)
            excerpt->from = width;
        width = show_letter(excerpt->line, letter, valid, width);
        if (column == place.column + place.length - 1)
            excerpt->until = width;
        if (width > EXCERPT_WIDTH && text < end) {
            g_string_append(excerpt->line, "...");
            break;
        }
    }
    if (excerpt->from < 0)
        excerpt->from = width;
    if (excerpt->until <= excerpt->from)
        excerpt->until = excerpt->from < width ? width : excerpt->from + 1;
}

void source_excerpt(GString *out, Place place)
{
    if (!place.source)
        return;
    g_autoptr(GString) shown = g_string_new(NULL);
    Excerpt excerpt = {shown, 0, 0};
    show_line(place, &excerpt);
    g_string_append_printf(out, "%5d | %s\n      | ", place_line(place), shown->str);
    for (int i = 0; i < excerpt.until; i++)
        g_string_append_c(out, i < excerpt.from ? ' ' : '^');
    g_string_append_c(out, '\n');
}

void source_json(GString *out, const char *text)
{
    if (!text) {
        g_string_append(out, "null");
        return;
    }
    g_autofree char *valid = g_utf8_make_valid(text, -1);
    g_string_append_c(out, '"');
    for (const char *at = valid; *at; at = g_utf8_next_char(at)) {
        gunichar letter = g_utf8_get_char(at);
        if (letter == '"' || letter == '\\')
            g_string_append_printf(out, "\\%c", (char)letter);
        else if (source_hidden(letter) && letter < 0x10000)
            g_string_append_printf(out, "\\u%04x", letter);
        else if (source_hidden(letter))
            g_string_append_printf(out, "\\u%04x\\u%04x", 0xD7C0 + (letter >> 10), 0xDC00 + (letter & 0x3FF));
        else
            g_string_append_len(out, at, g_utf8_next_char(at) - at);
    }
    g_string_append_c(out, '"');
}

void source_markup(GString *out, const char *text)
{
    g_autofree char *valid = g_utf8_make_valid(text, -1);
    g_autofree char *safe = g_markup_escape_text(valid, -1);
    g_string_append(out, safe);
}
