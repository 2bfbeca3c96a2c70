/* rules_basis: what of this program an approval rests on.  The published limits are
 * copied from limits.def, sites.def and routes.def, so that a changed row breaks the
 * seals that were made with the old one.  What no row tells (a sum, a severity, a limit
 * in a check) is told by RULES_REVISION: raise it when the same files would give another
 * number or fewer warnings than before. */
#include "rules/rules.h"

#define RULES_REVISION "3"

static const char basis[] =
    "rules.revision=" RULES_REVISION "\n"
#define NOT_GIVEN "not given"
#define GIVEN(lowest, highest, volumes, least, most, agreed_least, agreed_most, lengths) \
    "volume " #lowest " to " #highest ", needle " #least " to " #most ", agreed " #agreed_least " to " #agreed_most
#define SITE(id, word, meaning, reach, weight, im, sc)                                         \
    "rules.site." #id "=" #reach " " #weight "\n" "rules.site_im." #id "=" im "\n"            \
    "rules.site_sc." #id "=" sc "\n"
#include "language/sites.def"
#define ROUTE(id, word, meaning, layer, least_angle, usual) "rules.route." #id "=" #layer ", " #least_angle "\n"
#include "language/routes.def"
#define HUB_COLOUR(gauge, word) "rules.hub_colour." #gauge "=" word "\n"
#define UNUSUAL(generic, site) "rules.unusual." generic "=" #site "\n"
#define OFFSET(anchor, usual_least, usual_most, least, most, source) \
    "rules.offset." #anchor "=" #least ", " #usual_least " to " #usual_most ", " #most "\n"
#define NEEDLE_SIZE(mm, count) "rules.needle_size." #mm "=" #count "\n"
#define USE(words, use) "rules.use." words "=" #use "\n"
#include "rules/limits.def"
#define DOSE_BOUND(first, second, least, most, a_day, unit, source) \
    "rules.dose." first " " second "=" #least " to " #most ", " #a_day " a day, " #unit "\n"
#include "rules/doses.def"
#define ALLERGY(allergy, content, source) "rules.allergy." allergy "=" content "\n"
#include "rules/allergies.def"
    ;

const char *rules_basis(void) { return basis; }
