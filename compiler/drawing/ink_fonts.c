/* ink_fonts: which faces a language is set in.  Ours alone, from a private
 * configuration: what stands on the paper does not hang on what else a machine
 * has. */
#include <fontconfig/fontconfig.h>
#include <pango/pangocairo.h>
#include <pango/pangofc-fontmap.h>
#include <string.h>

#include "base/base.h"
#include "drawing/ink_parts.h"

#define TRUETYPE "/usr/share/fonts/truetype/"
#define OPENTYPE "/usr/share/fonts/opentype/"

/* The first is for all languages without a line of their own; its files are in
 * every configuration, for numbers and names.  Arabic letters are set larger: by
 * its own tables the face reaches an x-height of 2.5 mm only at 18.9 points. */
static const InkScript scripts[] = {
    {"", "Andika", "fonts-sil-andika", {TRUETYPE "andika/Andika-Regular.ttf", TRUETYPE "andika/Andika-Bold.ttf"},
     G_UNICODE_SCRIPT_INVALID_CODE, 1, 1, FALSE},
    {"ar", "Andika, Noto Sans Arabic", "fonts-noto-core",
     {TRUETYPE "noto/NotoSansArabic-Regular.ttf", TRUETYPE "noto/NotoSansArabic-Bold.ttf"},
     G_UNICODE_SCRIPT_ARABIC, 1.35, 1.22, TRUE},
    {"zh", "Andika, Noto Sans CJK SC", "fonts-noto-cjk",
     {OPENTYPE "noto/NotoSansCJK-Regular.ttc", OPENTYPE "noto/NotoSansCJK-Bold.ttc"},
     G_UNICODE_SCRIPT_INVALID_CODE, 1, 1.04, FALSE},
};

const InkScript *ink_script(const char *tag)
{
    for (gsize i = 1; i < G_N_ELEMENTS(scripts); i++)
        if (g_str_has_prefix(tag, scripts[i].tag))
            return &scripts[i];
    return &scripts[0];
}

#define SET_UNITS 16256 /* INK_SET_SIZE in 1/1024 mm */

PangoFontDescription *ink_face(const InkScript *script)
{
    PangoFontDescription *face = pango_font_description_from_string(script->family);
    pango_font_description_set_absolute_size(face, SET_UNITS);
    return face;
}

static FcConfig *config;
static PangoFontMap *map;
static gboolean loaded[G_N_ELEMENTS(scripts)];

static gboolean add_files(const InkScript *script, GError **error)
{
    for (gsize i = 0; i < G_N_ELEMENTS(script->files); i++) {
        if (FcConfigAppFontAddFile(config, (const FcChar8 *)script->files[i]))
            continue;
        g_set_error(error, G_FILE_ERROR, G_FILE_ERROR_NOENT, "the font %s is not there: install the package %s",
                    script->files[i], script->package);
        return FALSE;
    }
    loaded[script - scripts] = TRUE;
    return TRUE;
}

gboolean ink_load_script(const InkScript *script, GError **error)
{
    if (loaded[script - scripts])
        return TRUE;
    if (!add_files(script, error))
        return FALSE;
    if (map)
        pango_fc_font_map_config_changed(PANGO_FC_FONT_MAP(map));
    return TRUE;
}

static PangoFontMap *load_map(GError **error)
{
    if (!config)
        config = FcConfigCreate();
    if (!ink_load_script(&scripts[0], error))
        return NULL;
    FcConfigSetCurrent(config);
    map = pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT);
    g_assert(PANGO_IS_FC_FONT_MAP(map));
    pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(map), config);
    pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(map), 72);
    return map;
}

static GThread *preparing;

/* A face is opened when it is first used: two letters of each weight. */
static void open_faces(void)
{
    static const PangoWeight weights[] = {PANGO_WEIGHT_NORMAL, PANGO_WEIGHT_BOLD};
    PangoContext *context = pango_font_map_create_context(map);
    PangoLayout *layout = pango_layout_new(context);
    PangoFontDescription *face = ink_face(&scripts[0]);
    pango_layout_set_text(layout, "a b", -1);
    for (gsize i = 0; i < G_N_ELEMENTS(weights); i++) {
        pango_font_description_set_weight(face, weights[i]);
        pango_layout_set_font_description(layout, face);
        pango_layout_get_unknown_glyphs_count(layout);
    }
    pango_font_description_free(face);
    g_object_unref(layout);
    g_object_unref(context);
}

/* What fails here fails again for who asks for the map, and is told then. */
static gpointer prepare(gpointer unused)
{
    (void)unused;
    stack_for_faults();
    if (load_map(NULL))
        open_faces();
    return NULL;
}

void ink_prepare(void)
{
    if (!preparing && !map)
        preparing = g_thread_new("fonts", prepare, NULL);
}

void ink_prepared(void)
{
    if (preparing)
        g_thread_join(preparing);
    preparing = NULL;
}

/* One map for the process. */
PangoFontMap *ink_font_map(GError **error)
{
    ink_prepared();
    return map ? map : load_map(error);
}
