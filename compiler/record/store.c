/* store: see store.h. */
#include "record/store.h"

G_DEFINE_QUARK(dosewright-store, store_error)

gboolean store_script(Store *store, const char *script, GError **error)
{
    g_auto(GStrv) statements = g_strsplit(script, "\n--\n", -1);
    for (char **statement = statements; *statement; statement++)
        if (**statement && !store->kind->run(store, *statement, NULL, 0, NULL, NULL, error))
            return FALSE;
    return TRUE;
}
