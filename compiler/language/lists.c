/* language/lists: tables made from sites.def, routes.def and the like. */
#include "language/lists.h"

static const RouteRow route_rows[] = {
#define ROUTE(id, word, meaning, layer, least_angle, usual) [Route_##id] = {LAYER_##layer, least_angle, usual},
#include "language/routes.def"
};

const RouteRow *route_row(Route route)
{
    g_assert(route < G_N_ELEMENTS(route_rows) && route_rows[route].usual);
    return &route_rows[route];
}

static const ContainerRow container_rows[] = {
#define CONTAINER(id, word, meaning, use, opening, kit, used, thing) \
    [Container_##id] = {USE_##use, OPENING_##opening, kit, used},
#include "language/containers.def"
};

const ContainerRow *container_row(Container container)
{
    g_assert(container < G_N_ELEMENTS(container_rows) && container_rows[container].kit);
    return &container_rows[container];
}

#define ANY_WEIGHT FALSE
#define BY_WEIGHT TRUE
#define NOT_GIVEN {.given = FALSE}
#define GIVEN(lowest, highest, volumes, least, most, agreed_least, agreed_most, lengths) \
    {TRUE, lowest, highest, volumes, least, most, agreed_least, agreed_most, lengths}
static const SiteRow site_rows[] = {
#define SITE(id, word, meaning, reach, weight, im, sc) [Site_##id] = {REACH_##reach, weight, im, sc},
#include "language/sites.def"
};
#undef NOT_GIVEN
#undef GIVEN

/* A place without a route could be ordered and never judged. */
#define NOT_GIVEN 0
#define GIVEN(lowest, highest, volumes, least, most, agreed_least, agreed_most, lengths)         \
    ((lowest) > 0 && (highest) >= (lowest) && (least) > 0 && (agreed_least) >= (least) &&       \
     (agreed_most) >= (agreed_least) && (most) >= (agreed_most) && sizeof(volumes) > sizeof("") && \
     sizeof(lengths) > sizeof(""))
#define SITE(id, word, meaning, reach, weight, im, sc) \
    _Static_assert((im) || (sc), "site " #id " has no route with published limits and their sources");
#include "language/sites.def"

const SiteRow *site_row(Site site)
{
    g_assert(site < G_N_ELEMENTS(site_rows) && (site_rows[site].im.given || site_rows[site].sc.given));
    return &site_rows[site];
}

const SiteUse *site_use(Site site, Route route)
{
    switch (route) {
    case Route_IM: return &site_row(site)->im;
    case Route_SC: return &site_row(site)->sc;
    }
    g_assert_not_reached();
}

static const SlipCan slip_cans[] = {
#define SLIP(id, word, meaning, can) [Slip_##id - Slip_LATE] = SLIP_CAN_##can,
#include "language/slips.def"
};

SlipCan slip_can(Slip slip)
{
    g_assert(slip >= Slip_LATE && slip - Slip_LATE < (int)G_N_ELEMENTS(slip_cans));
    return slip_cans[slip - Slip_LATE];
}
