/* rules_site: route, site, volume, angle, reach. */
#include <string.h>

#include "rules/checks.h"

static gboolean has_site(const PlanInjection *injection)
{
    return PRESENT(injection->order->site) && PRESENT(injection->order->route);
}

void check_route_not_on_label(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const RouteChoice *route = &injection->order->route;
        if (!injection->medicine || !PRESENT(*route) || !PRESENT(injection->medicine->routes))
            continue;
        const List *routes = &injection->medicine->routes;
        if (list_has(routes, route->value))
            continue;
        Finding *finding = judge_add(judge, RULE_route_not_on_label, 0, injection, route->at.place);
        finding_fact(finding, "ordered %s; the label gives %s", choice_word(route->value), judge_words(judge, routes));
        finding_note(finding, routes->at.place, "the routes on the label");
        finding_help(finding, "order a route on the label, or accept it with the reason");
    }
}

/* "abdomen or thigh", as many as the route is used at. */
static const char *sites_for(const Judge *judge, Route route)
{
    guint count;
    guint first = choice_first(CHOICES_Site, &count);
    const char *list = NULL, *last = NULL;
    for (guint i = first; i < first + count; i++) {
        if (!site_use((Site)i, route)->given)
            continue;
        if (last)
            list = list ? arena_format(judge->arena, "%s, %s", list, last) : last;
        last = choice_word(i);
    }
    return list ? arena_format(judge->arena, "%s or %s", list, last) : last;
}

void check_site_not_for_route(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Injection *order = injection->order;
        if (!has_site(injection) || site_use(order->site.value, order->route.value)->given)
            continue;
        Finding *finding = judge_add(judge, RULE_site_not_for_route, 0, injection, order->site.at.place);
        finding_fact(finding, "%s, by the %s route", choice_word(order->site.value), choice_word(order->route.value));
        finding_note(finding, order->route.at.place, "the route");
        finding_help(finding, "%s: %s", choice_row((ChoiceWord)order->route.value)->meaning,
                     sites_for(judge, order->route.value));
    }
}

static gboolean is_unusual(const char *generic, Site site)
{
    g_autofree char *small = g_utf8_strdown(generic, -1);
#define UNUSUAL(words, place)                            \
    if (site == Site_##place && strstr(small, words))    \
        return TRUE;
#include "rules/limits.def"
    return FALSE;
}

void check_site_unusual(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (!injection->medicine || !PRESENT(injection->medicine->generic) || !PRESENT(injection->order->site) ||
            !is_unusual(injection->medicine->generic.text, injection->order->site.value))
            continue;
        Finding *finding = judge_add(judge, RULE_site_unusual, 0, injection, injection->order->site.at.place);
        finding_fact(finding, "%s into the %s", injection->medicine->generic.text,
                     choice_word(injection->order->site.value));
        finding_note(finding, injection->order->medicine.at.place, "the medicine");
        finding_help(finding, injection->order->site.value == Site_THIGH
                                  ? "name ventrogluteal or dorsogluteal, or accept it with the reason"
                                  : "name ventrogluteal, dorsogluteal or thigh, or accept it with the reason");
    }
}

static const SiteLimit *house_limit(const Clinic *clinic, Site site)
{
    for (guint i = 0; i < clinic->limits.volumes.items->len; i++) {
        const SiteLimit *limit = g_ptr_array_index(clinic->limits.volumes.items, i);
        if (PRESENT(limit->site) && limit->site.value == site && PRESENT(limit->most))
            return limit;
    }
    return NULL;
}

static void judge_site_volume(const Judge *judge, const PlanInjection *injection, Site site, const SiteUse *row)
{
    const SiteLimit *house = house_limit(judge->plan->clinic, site);
    Rational published = rational_make(row->highest, 10);
    Rational own = house ? quantity_in(house->most.quantity, UNIT_mL).number : published;
    Rational most = rational_compare(own, published) < 0 ? own : published; /* setting_implausible tells a wider one */
    gboolean over = rational_compare(injection->exact_ml, most) > 0;
    if (!over && rational_compare(injection->exact_ml, rational_make(row->lowest, 10)) <= 0)
        return;
    Finding *finding = judge_add(judge, RULE_volume_for_site, over ? SEVERITY_ERROR : SEVERITY_WARNING, injection,
                                 injection->order->site.at.place);
    finding_fact(finding, "%s at once; published limits for %s run from %s to %s",
                 judge_volume(judge, injection->exact_ml), choice_word(site),
                 judge_volume(judge, rational_make(row->lowest, 10)),
                 judge_volume(judge, rational_make(row->highest, 10)));
    if (house)
        finding_note(finding, house->most.at.place, "the clinic's own limit");
    finding_help(finding, over ? "name another site, or mix with less liquid if the label allows it"
                               : "name another site, or accept it with the reason");
}

void check_volume_for_site(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (!has_site(injection) || !rational_ok(injection->exact_ml))
            continue;
        Site site = injection->order->site.value;
        const SiteUse *row = site_use(site, injection->order->route.value);
        if (row->given)
            judge_site_volume(judge, injection, site, row);
    }
}

void check_angle_for_route(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Amount *angle = &injection->order->give.angle;
        if (!PRESENT(injection->order->route) || !PRESENT(*angle))
            continue;
        const RouteRow *route = route_row(injection->order->route.value);
        Rational degrees = angle->quantity.number;
        if (rational_compare(degrees, rational_make(route->least_angle, 1)) >= 0 &&
            rational_compare(degrees, rational_make(90, 1)) <= 0)
            continue;
        Finding *finding = judge_add(judge, RULE_angle_for_route, 0, injection, angle->at.place);
        finding_fact(finding, "%s, by the %s route", judge_amount(judge, angle->quantity),
                     choice_word(injection->order->route.value));
        finding_help(finding, "%s: correct the angle, or accept it with the reason", route->usual);
    }
}

void check_self_reach(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Give *give = &injection->order->give;
        if (!PRESENT(injection->order->site) || !PRESENT(give->by) || give->by.value == Giver_HELPER)
            continue;
        Reach reach = site_row(injection->order->site.value)->reach;
        gboolean alone = give->by.value == Giver_SELF && reach == REACH_TAUGHT;
        if (reach == REACH_HANDS || (!alone && !ABSENT(give->technique)))
            continue;
        Finding *finding = judge_add(judge, RULE_self_reach, 0, injection, give->by.at.place);
        finding_note(finding, injection->order->site.at.place, "the site");
        finding_help(finding, alone ? "write \"by: helper\"; or, where the order says so, name the thigh; or accept "
                                      "it with how she learned it"
                                    : "add \"technique: ...\" under give, or write \"by: helper\"");
    }
}

void check_fingers_missing(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const SiteChoice *site = &injection->order->site;
        if (!PRESENT(*site) || site->value != Site_DELTOID || !ABSENT(injection->order->give.fingers))
            continue;
        Finding *finding = judge_add(judge, RULE_fingers_missing, 0, injection, site->at.place);
        finding_help(finding, "ask the physician, and add \"fingers: 2\" or \"fingers: 3\" under give");
    }
}

void check_site_repeats(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        const Timing *when = &injection->order->when;
        if (!PRESENT(*when) || when->days < 2 || !ABSENT(injection->order->give.rotate))
            continue;
        Finding *finding = judge_add(judge, RULE_site_repeats, 0, injection, when->at.place);
        finding_fact(finding, "%d days in a row", when->days);
        finding_help(finding, "add \"rotate: left and right in turn\" or \"rotate: a new spot each time\" under give");
    }
}
