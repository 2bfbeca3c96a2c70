/* desk_addresses: addresses and what is done at each. */
#include <string.h>

#include "desk/stories.h"

enum { METHOD_GET, METHOD_POST };

enum {
#define ROLE(id, word) id = ROLE_##id,
#include "desk/roles.def"
    ALL = ROLES_ALL
};

static const Address addresses[] = {
#define ADDRESS(method, path, story, needs, roles) {METHOD_##method, path, #story, story, NEEDS_##needs, roles},
#include "desk/addresses.def"
};

static gboolean is_word(const char *text, gsize length)
{
    for (gsize i = 0; i < length; i++)
        if (!g_ascii_isalnum(text[i]) && !strchr("-_.", text[i]))
            return FALSE;
    return length > 0 && *text != '.';
}

/* TRUE when the path is the address's; *start and *length of what its "*" stands for. */
static gboolean fits(const char *address, const char *path, gsize *start, gsize *length)
{
    const char *star = strchr(address, '*');
    *start = *length = 0;
    if (!star)
        return strcmp(address, path) == 0;
    gsize before = (gsize)(star - address), behind = strlen(star + 1), all = strlen(path);
    if (all <= before + behind || strncmp(address, path, before) != 0 || strcmp(star + 1, path + all - behind) != 0)
        return FALSE;
    *start = before;
    *length = all - before - behind;
    return is_word(path + before, *length);
}

const Address *address_find(const char *path, gboolean post, char **argument, gboolean *known)
{
    gsize start, length;
    *known = FALSE;
    for (gsize i = 0; i < G_N_ELEMENTS(addresses); i++) {
        if (!fits(addresses[i].path, path, &start, &length))
            continue;
        *known = TRUE;
        if (addresses[i].post != post)
            continue;
        *argument = length > 0 ? g_strndup(path + start, length) : NULL;
        return &addresses[i];
    }
    return NULL;
}

void addresses_show(View *view, Roles roles)
{
    for (gsize i = 0; i < G_N_ELEMENTS(addresses); i++) {
        g_autofree char *name = g_strconcat("may_", addresses[i].name + strlen("story_"), NULL);
        view_flag(view, name, (addresses[i].roles & roles) != 0);
    }
}

static const struct { const char *id; guint status; } notices[] = {
#define NOTICE(id, status) {#id, status},
#include "desk/notices.def"
};

guint notice_status(const char *id)
{
    for (gsize i = 0; i < G_N_ELEMENTS(notices); i++)
        if (strcmp(notices[i].id, id) == 0)
            return notices[i].status;
    g_assert_not_reached();
}
