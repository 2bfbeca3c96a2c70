/* language/lists: the rows of the closed lists whose members carry more than a word. */
#ifndef LANGUAGE_LISTS_H
#define LANGUAGE_LISTS_H

#include "language/field.h"

/* ---- routes.def ---- */

typedef enum Layer { LAYER_MUSCLE, LAYER_FAT } Layer;

typedef struct RouteRow {
    Layer layer;
    gint64 least_angle; /* degrees to the skin */
    const char *usual;  /* "90 degrees is usual into a muscle" */
} RouteRow;

const RouteRow *route_row(Route route);

/* ---- containers.def ---- */

/* How a dose leaves its container. */
typedef enum ContainerUse { USE_DRAWN, USE_FILLED, USE_DIALLED } ContainerUse;

typedef enum ContainerOpening { OPENING_TOP, OPENING_SNAPPED, OPENING_WHOLE } ContainerOpening;

typedef struct ContainerRow {
    ContainerUse use;
    ContainerOpening opening;
    const char *kit, *used; /* phrases for a solution in it: handed out, and empty */
} ContainerRow;

const ContainerRow *container_row(Container container);

/* ---- sites.def ---- */

/* How one reaches a place oneself. */
typedef enum Reach {
    REACH_HANDS,    /* with both hands */
    REACH_ONE_HAND, /* with the hand of the other arm alone, and only as taught */
    REACH_TAUGHT,   /* only as taught */
} Reach;

/* What is published for a route at a site. */
typedef struct SiteUse {
    gboolean given;                              /* the route is used there */
    gint64 lowest, highest;                      /* tenths of a mL */
    const char *volume_source;
    gint64 least, most, agreed_least, agreed_most; /* sixteenths of an inch */
    const char *length_source;
} SiteUse;

typedef struct SiteRow {
    Reach reach;
    gboolean by_weight; /* the needle's length is published by body weight */
    SiteUse im, sc;
} SiteRow;

const SiteRow *site_row(Site site);
/* What is published for a route at a site; ->given is FALSE where it is not used. */
const SiteUse *site_use(Site site, Route route);

/* ---- slips.def ---- */

/* In which injections a slip can happen: in any, where a powder is dissolved, where a
 * needle is put on. */
typedef enum SlipCan { SLIP_CAN_ANY, SLIP_CAN_MIXED, SLIP_CAN_FITTED } SlipCan;
SlipCan slip_can(Slip slip);

#endif
