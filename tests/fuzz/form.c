/* A person's form as a browser sends it, a line for each field ("order=R-12"), over a file that may
 * stand there already (what comes before a line "=").  The file that is made of them says what was
 * typed, or cannot be read and says so; it is never another person's facts. */
#include "desk/file.h"
#include "fuzz.h"

static void enter(GPtrArray *entered, const char *line)
{
    const char *sign = strchr(line, '=');
    if (!sign)
        return;
    Entered *one = g_new0(Entered, 1);
    one->name = g_strndup(line, (gsize)(sign - line));
    one->value = g_string_new(sign + 1);
    g_strstrip(one->value->str);
    g_string_set_size(one->value, strlen(one->value->str));
    g_ptr_array_add(entered, one);
}

static GPtrArray *entered_of(const char *text)
{
    GPtrArray *entered = g_ptr_array_new_with_free_func(entered_free);
    g_auto(GStrv) lines = g_strsplit(text, "\n", DESK_FIELDS);
    for (char **line = lines; *line; line++)
        enter(entered, *line);
    return entered;
}

static void demand_said(PersonFile *file, const Request *form, const char *text)
{
    static const char *const plain[] = {"patient", "name", "protocol", "order", "zone", "weight", "sex", "by", "phone"};
    Diagnostics *diagnostics = diagnostics_new(file->arena);
    file->source = source_from_text(file->arena, file->path, text, strlen(text));
    file->root = syntax_parse(file->arena, file->source, diagnostics);
    FUZZ_DEMAND(file->root || diagnostics_stops(diagnostics), "a file that cannot be read says why");
    for (gsize i = 0; file->root && i < G_N_ELEMENTS(plain); i++) {
        g_autofree char *typed = person_file_line(request_field(form, plain[i]));
        const char *says = person_file_says(file, plain[i], NULL);
        if (strcmp(typed, says) != 0)
            fprintf(stderr, "%s: typed \"%s\", says \"%s\"\n", plain[i], typed, says);
        FUZZ_DEMAND(strcmp(typed, says) == 0, "the file says what was typed");
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size > FUZZ_LARGEST)
        return 0;
    g_autofree char *text = g_strndup((const char *)data, size);
    if (!g_utf8_validate(text, -1, NULL))
        return 0; /* the desk refuses such a form */
    Arena *arena = arena_new();
    PersonFile file = {.arena = arena, .code = "LC-2041", .path = "patients/LC-2041.yaml", .digest = ""};
    char *parted = strstr(text, "\n=\n"), *typed = parted ? parted + 3 : text;
    if (parted) {
        parted[1] = '\0';
        file.source = source_from_text(arena, file.path, text, strlen(text));
        Diagnostics *faults = diagnostics_new(arena);
        file.root = syntax_parse(arena, file.source, faults);
        file.root = diagnostics_stops(faults) ? NULL : file.root; /* no form for half a file */
    }
    char who[] = "K. Madeup";
    g_autoptr(GPtrArray) entered = entered_of(typed);
    const Request form = {.entered = entered, .who = who, .post = TRUE};
    if (!file.source || file.root)
        demand_said(&file, &form, person_file_text(&file, &form));
    arena_free(arena);
    return 0;
}
