/* desk_view: what a page shows, as named texts, flags and lists, and a template that shows it.
 * A template is Mustache's (mustache(5)) without its way round escaping:
 *   {{name}}  {{#name}}...{{/name}}  {{^name}}...{{/name}}  {{>other template}}
 * and with {{#name?}}...{{/name?}}, once when a list is not empty,
 * so no text of a person or a file can become markup, whatever the template. */
#ifndef DESK_VIEW_H
#define DESK_VIEW_H

#include "base/base.h"

typedef struct View View;

/* An empty one, owned by the arena. */
View *view_new(Arena *arena);
/* Text is copied; NULL is not there. */
void view_text(View *view, const char *name, const char *text);
void view_format(View *view, const char *name, const char *format, ...) G_GNUC_PRINTF(3, 4);
void view_flag(View *view, const char *name, gboolean holds);
/* What another view, or one around it, has under a name is here under this one; nothing when it
 * has none. */
void view_link(View *view, const char *name, const View *other, const char *theirs);
/* One more of a list; what it does not have is looked for in the view that it stands in. */
View *view_add(View *view, const char *name);

/* Appends the template folder/NAME.html filled in.  FALSE with *error naming the file and what
 * is wrong with it. */
gboolean view_render(const View *view, const char *folder, const char *name, GString *out, GError **error);

#endif
