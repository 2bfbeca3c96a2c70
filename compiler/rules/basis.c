/* rules_basis: what of this program an approval rests on.  The published limits are
 * copied from limits.def, so that a changed row breaks the seals that were made with
 * the old one.  What no row tells (a sum, a severity, a limit in a check) is told by
 * RULES_REVISION: raise it when the same files would give another number or fewer
 * warnings than before. */
#include "rules/rules.h"

#define RULES_REVISION "1"

static const char basis[] =
    "rules.revision=" RULES_REVISION "\n"
#define NEEDLE_LENGTH(site, route, least, most, agreed_least, agreed_most, source)                               \
    "rules.needle_length." #site "." #route "=" #least " to " #most ", " #agreed_least " to " #agreed_most "\n"
#define SITE_VOLUME(site, route, lowest, highest, source) \
    "rules.site_volume." #site "." #route "=" #lowest " to " #highest "\n"
#define HUB_COLOUR(gauge, word) "rules.hub_colour." #gauge "=" word "\n"
#define UNUSUAL(generic, site) "rules.unusual." generic "=" #site "\n"
#include "rules/limits.def"
    ;

const char *rules_basis(void) { return basis; }
