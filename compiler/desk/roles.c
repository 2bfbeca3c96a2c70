/* desk_roles: see desk/roles.h. */
#include "desk/roles.h"

#include <string.h>

static const char *const words[] = {
#define ROLE(id, word) word,
#include "desk/roles.def"
};

Roles role_of(const char *word)
{
    for (guint i = 0; i < ROLE_COUNT; i++)
        if (strcmp(words[i], word) == 0)
            return 1u << i;
    return 0;
}

char *roles_words(Roles roles, const char *between)
{
    GString *text = g_string_new(NULL);
    for (guint i = 0; i < ROLE_COUNT; i++)
        if (roles & (1u << i))
            g_string_append_printf(text, "%s%s", text->len ? between : "", words[i]);
    return g_string_free(text, FALSE);
}
