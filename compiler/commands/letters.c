/* commands_letters: what a sheet could not print, found by check: letters that the fonts
 * lack.  This program knows no font: a text with rare letters is put to the one that does. */
#include "commands/letters.h"

#include <string.h>

typedef struct Rare {
    const Case *file;
    const char *language;
    const Text *text;
} Rare;

/* Letters that every font of a sheet has: ASCII, Latin-1, Latin Extended-A (but U+0149,
 * which nobody writes), and the ordinary
 * dashes and quotation marks; tests/letters.py asks the fonts. */
static gboolean is_ordinary(gunichar letter)
{
    return (letter >= 0x20 && letter < 0x7f) || letter == '\n' ||
           (letter >= 0xa0 && letter <= 0x17f && letter != 0x149) || (letter >= 0x2010 && letter <= 0x2014) ||
           (letter >= 0x2018 && letter <= 0x201e) || letter == 0x2026;
}

static void take(GPtrArray *rare, const Case *file, const char *language, const Text *text)
{
    if (!PRESENT(*text))
        return;
    for (const char *at = text->text; *at; at = g_utf8_next_char(at))
        if (!is_ordinary(g_utf8_get_char(at))) {
            Rare *found = g_new(Rare, 1);
            *found = (Rare){file, language, text};
            g_ptr_array_add(rare, found);
            return;
        }
}

/* The version in the sheet's language, or the one that has none named. */
static void take_saying(GPtrArray *rare, const Case *file, const char *language, const Saying *saying)
{
    const SayingVersion *version = PRESENT(*saying) ? saying_version_in(saying, language, language) : NULL;
    if (version)
        take(rare, file, language, &version->text);
}

static void take_sayings(GPtrArray *rare, const Case *file, const char *language, const List *list)
{
    for (guint i = 0; i < list->items->len; i++)
        take_saying(rare, file, language, g_ptr_array_index(list->items, i));
}

static void take_protocol(GPtrArray *rare, const Case *file, const char *language)
{
    const Protocol *protocol = file->protocol;
    take_saying(rare, file, language, &protocol->title);
    take_saying(rare, file, language, &protocol->why);
    for (guint i = 0; i < protocol->injections.items->len; i++) {
        const Injection *injection = g_ptr_array_index(protocol->injections.items, i);
        take(rare, file, language, &injection->medicine);
        take(rare, file, language, &injection->mix.diluent);
        take_saying(rare, file, language, &injection->late);
        take_saying(rare, file, language, &injection->give.technique);
        take_sayings(rare, file, language, &injection->notes);
    }
}

static void take_clinic(GPtrArray *rare, const Case *file, const char *language)
{
    const Clinic *clinic = file->clinic;
    take(rare, file, language, &clinic->clinic);
    take_saying(rare, file, language, &clinic->demonstration);
    take_saying(rare, file, language, &clinic->phones.day.answers);
    take_saying(rare, file, language, &clinic->phones.night.answers);
    take_saying(rare, file, language, &clinic->phones.emergency.answers);
    take_sayings(rare, file, language, &clinic->advice.normal);
    take_sayings(rare, file, language, &clinic->advice.emergency);
}

static const char *language_of(const Case *file)
{
    const Text *own = &file->patient->language;
    const GPtrArray *languages = file->clinic->languages.items;
    const Text *first = languages->len ? g_ptr_array_index(languages, 0) : NULL;
    return PRESENT(*own) ? own->text : first && PRESENT(*first) ? first->text : NULL;
}

static void lacks(const Rare *rare, const char *said)
{
    char bytes[7] = "";
    gunichar letter = (gunichar)g_ascii_strtoull(said + strlen("U+"), NULL, 16);
    g_unichar_to_utf8(letter, bytes);
    Finding *finding = finding_add(rare->file->diagnostics, RULE_glyph_missing, rare->text->at.place);
    finding_fact(finding, "the letter %s (U+%04X)", bytes, letter);
    finding_help(finding, "write the word with the letters of the sheet's language; if it is a name, ask the person "
                          "for that spelling");
}

/* Puts all texts of one language to the program that draws; silent when it is not there. */
static void ask(const char *program, const char *language, const GPtrArray *rare)
{
    g_autoptr(GPtrArray) words = g_ptr_array_new(), asked = g_ptr_array_new();
    g_autofree char *said = NULL;
    const char *const head[] = {program, "letters", "--", language};
    for (gsize i = 0; i < G_N_ELEMENTS(head); i++)
        g_ptr_array_add(words, (gpointer)head[i]);
    for (guint i = 0; i < rare->len; i++) {
        const Rare *one = g_ptr_array_index(rare, i);
        if (strcmp(one->language, language) != 0)
            continue;
        g_ptr_array_add(words, (gpointer)one->text->text);
        g_ptr_array_add(asked, (gpointer)one);
    }
    g_ptr_array_add(words, NULL);
    if (!g_spawn_sync(NULL, (char **)words->pdata, NULL, G_SPAWN_STDERR_TO_DEV_NULL, NULL, NULL, &said, NULL, NULL,
                      NULL))
        return;
    g_auto(GStrv) lines = g_strsplit(said, "\n", -1);
    for (guint i = 0; i < asked->len && lines[i] && lines[i][0] != '\0'; i++)
        if (g_str_has_prefix(lines[i], "U+"))
            lacks(g_ptr_array_index(asked, i), lines[i]);
}

void letters_check(Session *session, const GPtrArray *cases)
{
    g_autoptr(GPtrArray) rare = g_ptr_array_new_with_free_func(g_free);
    for (guint i = 0; i < cases->len; i++) {
        const Case *file = g_ptr_array_index(cases, i);
        const char *language = file->patient && file->clinic && file->protocol ? language_of(file) : NULL;
        if (!language)
            continue;
        take(rare, file, language, &file->patient->name);
        take(rare, file, language, &file->patient->prepared_by);
        take_protocol(rare, file, language);
        take_clinic(rare, file, language);
    }
    g_autoptr(GHashTable) languages = g_hash_table_new(g_str_hash, g_str_equal);
    for (guint i = 0; i < rare->len; i++) {
        const Rare *one = g_ptr_array_index(rare, i);
        if (g_hash_table_add(languages, (gpointer)one->language))
            ask(commands_program(session->arena, COMMANDS_PAPER), one->language, rare);
    }
}
