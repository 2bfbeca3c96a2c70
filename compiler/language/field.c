/* model/field: the closed lists of words, from choices.def. */
#include "language/field.h"
#include "language/table.h"

static const ChoiceRow choice_rows[] = {
#define CHOICE(List, id, word, meaning) {CHOICES_##List, word, meaning},
#include "language/choices.def"
};
G_STATIC_ASSERT(G_N_ELEMENTS(choice_rows) == CHOICE_COUNT);

static const char *const list_titles[] = {
#define CHOICE_LIST(List, title) title,
#include "language/choices.def"
};
G_STATIC_ASSERT(G_N_ELEMENTS(list_titles) == CHOICES_COUNT);

const ChoiceRow *choice_row(ChoiceWord word)
{
    g_assert((guint)word < CHOICE_COUNT);
    return &choice_rows[word];
}

const char *choice_list_title(ChoiceList list)
{
    g_assert((guint)list < CHOICES_COUNT);
    return list_titles[list];
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
