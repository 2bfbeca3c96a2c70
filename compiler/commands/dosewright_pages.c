/* dosewright_pages: see dosewright_pages.h. */
#include "commands/dosewright_pages.h"

#include <string.h>

/* What a page says that it is; page 0: nothing, or of another sheet. */
typedef struct PageSays {
    int language, page, pages;
} PageSays;

#define GAP "[\\s\\x{a0}\\p{Cf}]*"

static gboolean is_gap(gunichar letter)
{
    return g_unichar_isspace(letter) || g_unichar_type(letter) == G_UNICODE_FORMAT;
}

/* "page {page} of {pages}" as a pattern.  A reader may put other spaces and marks of
 * direction between any two letters, or none between words. */
static GRegex *label_pattern(const char *label)
{
    g_autoptr(GString) pattern = g_string_new(NULL);
    for (const char *at = label; *at; at = g_utf8_next_char(at)) {
        if (is_gap(g_utf8_get_char(at)))
            continue;
        g_autofree char *letter = g_strndup(at, (gsize)(g_utf8_next_char(at) - at));
        g_autofree char *escaped = g_regex_escape_string(letter, -1);
        g_string_append_printf(pattern, "%s" GAP, escaped);
    }
    g_string_replace(pattern, "\\{" GAP "p" GAP "a" GAP "g" GAP "e" GAP "\\}", "(?<page>[0-9]+)", 1);
    g_string_replace(pattern, "\\{" GAP "p" GAP "a" GAP "g" GAP "e" GAP "s" GAP "\\}", "(?<pages>[0-9]+)", 1);
    return g_regex_new(pattern->str, 0, 0, NULL);
}

static int number_named(const GMatchInfo *match, const char *name)
{
    g_autofree char *digits = g_match_info_fetch_named(match, name);
    return digits ? (int)g_ascii_strtoll(digits, NULL, 10) : 0;
}

static PageSays page_says(const char *text, const char *code, const char *const *labels)
{
    PageSays says = {0};
    for (int i = 0; text && strstr(text, code) && labels[i] && says.page == 0; i++) {
        g_autoptr(GRegex) pattern = label_pattern(labels[i]);
        g_autoptr(GMatchInfo) match = NULL;
        if (pattern && g_regex_match(pattern, text, 0, &match))
            says = (PageSays){i, number_named(match, "page"), number_named(match, "pages")};
    }
    return says;
}

static void add(GPtrArray *faults, const char *format, ...) G_GNUC_PRINTF(2, 3);

static void add(GPtrArray *faults, const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_ptr_array_add(faults, g_strdup_vprintf(format, facts));
    va_end(facts);
}

static int times_there(const GArray *said, int language, int page)
{
    int times = 0;
    for (guint i = 0; i < said->len; i++) {
        const PageSays *one = &g_array_index(said, PageSays, i);
        times += one->page == page && one->language == language;
    }
    return times;
}

/* How many pages this language's part has, as its pages say. */
static int pages_of(const GArray *said, int language)
{
    for (guint i = 0; i < said->len; i++)
        if (g_array_index(said, PageSays, i).page > 0 && g_array_index(said, PageSays, i).language == language)
            return g_array_index(said, PageSays, i).pages;
    return 0;
}

static void count_pages(const GArray *said, int language, GPtrArray *faults)
{
    int pages = pages_of(said, language);
    if (pages == 0)
        add(faults, "no page %s is there", language == 0 ? "of this sheet" : "in its second language");
    for (int page = 1; page <= pages; page++) {
        int times = times_there(said, language, page);
        if (times == 0)
            add(faults, "page %d of %d is missing", page, pages);
        else if (times > 1)
            add(faults, "page %d of %d is there %d times", page, pages, times);
    }
}

/* The last page before this one of the same language, or NULL. */
static const PageSays *before_it(const GArray *said, guint at)
{
    const PageSays *one = &g_array_index(said, PageSays, at);
    for (guint i = at; i > 0; i--) {
        const PageSays *before = &g_array_index(said, PageSays, i - 1);
        if (before->page > 0 && before->language == one->language)
            return before;
    }
    return NULL;
}

/* A page behind one that belongs after it.  Page one of a second language may be the back
 * of the sheet. */
static void order_pages(const GArray *said, GPtrArray *faults)
{
    for (guint i = 0; i < said->len; i++) {
        const PageSays *one = &g_array_index(said, PageSays, i), *before = before_it(said, i);
        gboolean back = one->language == 1 && one->page == 1 && i + 1 == said->len;
        if (one->page > 0 && before && one->page < before->page && !back)
            add(faults, "page %d of %d comes after page %d: the pages are not in their order", one->page, one->pages,
                before->page);
    }
}

/* Two parts whose labels are written alike are told apart by what was there before. */
static void part_languages(GArray *said, const char *const *labels)
{
    if (!labels[0] || !labels[1] || strcmp(labels[0], labels[1]) != 0)
        return;
    for (guint i = 0; i < said->len; i++) {
        PageSays *one = &g_array_index(said, PageSays, i);
        for (guint k = 0; k < i && one->page > 0; k++)
            if (g_array_index(said, PageSays, k).page == one->page)
                one->language = 1;
    }
}

/* The reader leaves out the foot's corner of a page that is written from the right: then
 * pages of the sheet have no number, and none of that language has. */
static gboolean numbers_unread(const GPtrArray *texts, const char *code, const GArray *said, const char *const *labels)
{
    guint nameless = 0;
    for (guint i = 0; i < texts->len; i++) {
        const char *text = g_ptr_array_index(texts, i);
        nameless += text && strstr(text, code) && g_array_index(said, PageSays, i).page == 0;
    }
    for (int language = 0; labels[language]; language++)
        if (nameless > 0 && pages_of(said, language) == 0)
            return TRUE;
    return FALSE;
}

void pages_faults(const GPtrArray *texts, const char *code, const char *const *labels, GPtrArray *faults)
{
    g_autoptr(GArray) said = g_array_new(FALSE, FALSE, sizeof(PageSays));
    for (guint i = 0; i < texts->len; i++) {
        PageSays says = page_says(g_ptr_array_index(texts, i), code, labels);
        g_array_append_val(said, says);
    }
    if (numbers_unread(texts, code, said, labels)) {
        add(faults, "its page numbers cannot be read here: count them by eye");
        return;
    }
    for (guint i = 0; i < said->len; i++)
        if (g_array_index(said, PageSays, i).page == 0)
            add(faults, "page %u of the file is no page of a sheet with the code %s", i + 1, code);
    part_languages(said, labels);
    for (int language = 0; labels[language]; language++)
        count_pages(said, language, faults);
    order_pages(said, faults);
}
