/* grammar: changes a protocol by lines, keys and values: the rows of fields.def with their
 * examples, and numbers at which limits stand.  Linked to the targets that read protocols. */
#include <stdint.h>
#include <string.h>

#include <glib.h>

size_t LLVMFuzzerMutate(uint8_t *data, size_t size, size_t most) __attribute__((weak));
size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most, unsigned seed);

typedef struct Key {
    const char *record, *key, *example;
} Key;

static const Key keys[] = {
#define FIELD(Struct, member, KIND, NEED, argument, description, example) \
    {#Struct, #member, example},
#include "language/fields.def"
#undef FIELD
};

static const char *const records[] = {"Protocol", "Injection", "Mix", "Draw", "Give", "Approval", "Acceptance",
                                      "KitItem", "SlipWords"};
static const char *const values[] = {
    "0", "1", "10", "0.5", ".5", "1.0", "1,5 mL", "1 mL", "10 mL", "0.1 mL", "36 h before egg collection",
    "9 pm on day +1 for 10 days", "12 am", "exactly", "15 min either side", "none", "[]", "[a, b]", "{}", "~", "''",
    "10,000 units", "10000 units", "125 mg per 5 mL", "25 G x 1 in", "25 G x 16 mm", "intramuscular", "subcutaneous",
    "self or helper", "at once", "up to 6 h in the refrigerator", "9223372036854775807 units", "2026-11-26",
    "2026-02-30"};

static gboolean of_protocol(const Key *key)
{
    for (gsize i = 0; i < G_N_ELEMENTS(records); i++)
        if (strcmp(records[i], key->record) == 0)
            return TRUE;
    return FALSE;
}

static const Key *any_key(GRand *rand)
{
    for (;;) {
        const Key *key = &keys[g_rand_int_range(rand, 0, G_N_ELEMENTS(keys))];
        if (of_protocol(key))
            return key;
    }
}

static const char *any_value(GRand *rand)
{
    const char *example = any_key(rand)->example;
    return g_rand_boolean(rand) && *example ? example : values[g_rand_int_range(rand, 0, G_N_ELEMENTS(values))];
}

static int indent_of(const char *line)
{
    return (int)strspn(line, " -");
}

static char *with_value(const char *line, const char *value)
{
    const char *colon = strstr(line, ": ");
    return colon ? g_strdup_printf("%.*s: %s", (int)(colon - line), line, value) : g_strdup(value);
}

/* One digit becomes another, is left out, or gets a zero behind it. */
static char *other_digit(GRand *rand, const char *line)
{
    GString *out = g_string_new(line);
    gsize first = strcspn(out->str, "0123456789");
    gsize digits = strspn(out->str + first, "0123456789");
    if (digits > 0) {
        gssize at = (gssize)(first + (gsize)g_rand_int_range(rand, 0, (gint32)digits));
        switch (g_rand_int_range(rand, 0, 3)) {
        case 0: out->str[at] = (char)('0' + g_rand_int_range(rand, 0, 10)); break;
        case 1: g_string_erase(out, at, 1); break;
        default: g_string_insert_c(out, at + 1, '0');
        }
    }
    return g_string_free(out, FALSE);
}

static void change(GRand *rand, GPtrArray *lines)
{
    int at = g_rand_int_range(rand, 0, (gint32)lines->len), other = g_rand_int_range(rand, 0, (gint32)lines->len);
    const char *line = g_ptr_array_index(lines, at);
    char *new = NULL;
    switch (g_rand_int_range(rand, 0, 6)) {
    case 0: {
        const Key *key = any_key(rand);
        g_ptr_array_insert(lines, at, g_strdup_printf("%*s%s: %s", indent_of(line), "", key->key,
                                                      *key->example ? key->example : any_value(rand)));
        return;
    }
    case 1: new = with_value(line, any_value(rand)); break;
    case 2:
        if (lines->len > 1)
            g_ptr_array_remove_index(lines, (guint)at);
        return;
    case 3: g_ptr_array_insert(lines, at, g_strdup(g_ptr_array_index(lines, other))); return;
    case 4: new = other_digit(rand, line); break;
    default: new = g_strdup_printf("%*s%s", g_rand_int_range(rand, 0, 9), "", line + indent_of(line));
    }
    g_free(g_ptr_array_index(lines, at));
    g_ptr_array_index(lines, at) = new;
}

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most, unsigned seed)
{
    g_autoptr(GRand) rand = g_rand_new_with_seed(seed);
    if (g_rand_int_range(rand, 0, 5) == 0)
        return LLVMFuzzerMutate(data, size, most);
    g_autofree char *text = g_strndup((const char *)data, size);
    g_auto(GStrv) split = g_strsplit(*text ? text : "\n", "\n", -1);
    g_autoptr(GPtrArray) lines = g_ptr_array_new_with_free_func(g_free);
    for (char **line = split; *line; line++)
        g_ptr_array_add(lines, g_strdup(*line));
    for (int times = g_rand_int_range(rand, 1, 4); times > 0; times--)
        change(rand, lines);
    g_ptr_array_add(lines, NULL);
    g_autofree char *joined = g_strjoinv("\n", (char **)lines->pdata);
    size_t length = MIN(strlen(joined), most);
    memcpy(data, joined, length);
    return length;
}
