/* desk_request: see desk/request.h. */
#include "desk/request.h"

#include <string.h>

Answer *answer_new(guint status, const char *type)
{
    Answer *answer = g_new0(Answer, 1);
    answer->status = status;
    answer->type = g_strdup(type);
    answer->body = g_string_new(NULL);
    return answer;
}

void answer_free(Answer *answer)
{
    if (!answer)
        return;
    g_free(answer->type);
    g_free(answer->location);
    g_free(answer->who);
    g_free(answer->file);
    g_string_free(answer->body, TRUE);
    g_free(answer);
}

void entered_free(gpointer data)
{
    Entered *entered = data;
    g_free(entered->name);
    g_string_free(entered->value, TRUE);
    g_free(entered);
}

const char *request_field(const Request *request, const char *name)
{
    for (guint i = 0; i < request->entered->len; i++) {
        const Entered *entered = g_ptr_array_index(request->entered, i);
        if (strcmp(entered->name, name) == 0)
            return entered->value->str;
    }
    return "";
}
