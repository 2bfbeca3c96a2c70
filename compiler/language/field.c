/* model/field: the closed lists of words, from choices.def. */
#include "language/field.h"
#include "language/table.h"

#include <string.h>

static const ChoiceRow choice_rows[] = {
#define CHOICE(List, id, word, meaning) \
    {CHOICES_##List, word, meaning, "word_" #List "_" #id},
#include "language/choices.def"
};
G_STATIC_ASSERT(G_N_ELEMENTS(choice_rows) == CHOICE_COUNT);

#define PRINTED TRUE
#define NOT_PRINTED FALSE
static const struct { const char *title; gboolean printed; } lists[] = {
#define CHOICE_LIST(List, title, printed) {title, printed},
#include "language/choices.def"
};
G_STATIC_ASSERT(G_N_ELEMENTS(lists) == CHOICES_COUNT);

const ChoiceRow *choice_row(ChoiceWord word)
{
    g_assert((guint)word < CHOICE_COUNT);
    return &choice_rows[word];
}

/* SiteChoice and its like are laid out as Choice is; their word is copied, since C lets
 * no pointer to one struct read another. */
#define CHOICE_LIST(List, title, printed)                                                        \
    G_STATIC_ASSERT(sizeof(List##Choice) == sizeof(Choice) && sizeof(List) == sizeof(ChoiceWord) && \
                    G_STRUCT_OFFSET(List##Choice, value) == G_STRUCT_OFFSET(Choice, word));
#include "language/choices.def"

ChoiceWord choice_value(const Field *choice)
{
    ChoiceWord word;
    memcpy(&word, (const char *)choice + G_STRUCT_OFFSET(Choice, word), sizeof word);
    g_assert((guint)word < CHOICE_COUNT);
    return word;
}

void choice_set(Field *choice, ChoiceWord word)
{
    memcpy((char *)choice + G_STRUCT_OFFSET(Choice, word), &word, sizeof word);
}

gboolean list_has_word(const List *list, ChoiceWord word)
{
    for (guint i = 0; i < list->items->len; i++) {
        const Field *item = g_ptr_array_index(list->items, i);
        if (item->state == FIELD_READ && choice_value(item) == word)
            return TRUE;
    }
    return FALSE;
}

/* "en" of "en-GB" */
static gboolean is_region_of(const char *tag, const char *language)
{
    return g_str_has_prefix(tag, language) && tag[strlen(language)] == '-';
}

const SayingVersion *saying_version_in(const Saying *saying, const char *tag, const char *own)
{
    const SayingVersion *near = NULL;
    for (guint i = 0; i < saying->versions->len; i++) {
        const SayingVersion *version = g_ptr_array_index(saying->versions, i);
        const char *language = version->language ? version->language : own;
        if (strcmp(language, tag) == 0)
            return version;
        if (is_region_of(tag, language))
            near = version;
    }
    return near;
}

const char *saying_wanted(Arena *arena, const Saying *saying, const char *tag, const char *own)
{
    g_autoptr(GString) wanted = g_string_new("write \"{");
    for (guint i = 0; i < saying->versions->len; i++) {
        const SayingVersion *version = g_ptr_array_index(saying->versions, i);
        g_string_append_printf(wanted, "%s: ..., ", version->language ? version->language : own);
    }
    g_string_append_printf(wanted, "%s: ...}\", translated by someone who speaks it", tag);
    return arena_copy(arena, wanted->str);
}

const char *choice_list_title(ChoiceList list)
{
    g_assert((guint)list < CHOICES_COUNT);
    return lists[list].title;
}

gboolean choice_list_printed(ChoiceList list)
{
    g_assert((guint)list < CHOICES_COUNT);
    return lists[list].printed;
}

ChoiceWord choice_first(ChoiceList list, guint *count)
{
    guint first = 0;
    while (choice_rows[first].list != list)
        first++;
    *count = 0;
    while (first + *count < CHOICE_COUNT && choice_rows[first + *count].list == list)
        (*count)++;
    return (ChoiceWord)first;
}

gboolean choice_find(ChoiceList list, const char *word, ChoiceWord *out)
{
    guint count;
    guint first = choice_first(list, &count);
    for (guint i = first; i < first + count; i++) {
        if (g_str_equal(choice_rows[i].word, word)) {
            *out = (ChoiceWord)i;
            return TRUE;
        }
    }
    return FALSE;
}
