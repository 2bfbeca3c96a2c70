/* replay TARGET FILE...: gives a target each file once, without a fuzzer.  The last file that
 * it names is the one that failed. */
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <glib.h>

typedef int Target(const uint8_t *data, size_t size);

/* Each file is compiled with its function under a name of its own. */
#define TARGET(name) Target target_##name;
#include "targets.def"
#undef TARGET

static const struct {
    const char *name;
    Target *run;
} targets[] = {
#define TARGET(name) {#name, target_##name},
#include "targets.def"
#undef TARGET
};

static Target *target_of(const char *name)
{
    for (gsize i = 0; i < G_N_ELEMENTS(targets); i++)
        if (g_strcmp0(targets[i].name, name) == 0)
            return targets[i].run;
    return NULL;
}

int main(int count, char **words)
{
    g_setenv("FUZZ_THOROUGH", "1", TRUE);
    Target *run = target_of(count > 1 ? words[1] : NULL);
    if (!run) {
        fprintf(stderr, "usage: replay TARGET FILE...\n");
        return 2;
    }
    for (int i = 2; i < count; i++) {
        g_autofree char *bytes = NULL;
        gsize size;
        g_autoptr(GError) error = NULL;
        if (!g_file_get_contents(words[i], &bytes, &size, &error)) {
            fprintf(stderr, "%s\n", error->message);
            return 1;
        }
        fprintf(stderr, "%s\n", words[i]);
        run((const uint8_t *)bytes, size);
    }
    return 0;
}
