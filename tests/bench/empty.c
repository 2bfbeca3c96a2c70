/* empty: a GLib program that does nothing, the floor for a cold start. */
#include <glib.h>

int main(void)
{
    g_autoptr(GString) text = g_string_new("nothing");
    return text->len == 0;
}
