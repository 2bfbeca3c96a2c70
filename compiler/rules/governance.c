/* rules_governance: approval, seal, review, telephones, what to do when late. */
#include <string.h>

#include "rules/checks.h"
#include "language/language.h"

#define REVIEW_NOTICE 30 /* days ahead */
#define REVIEW_LONGEST 366 /* days, when limits say nothing */

static gboolean needs_two(const Judge *judge)
{
    const PeopleChoice *people = &judge->plan->clinic->governance.people;
    return PRESENT(*people) && people->value == People_TWO;
}

/* What prints the line of an approval. */
static const char *approve_command(const Judge *judge)
{
    const Source *source = judge->plan->protocol->protocol.at.place.source;
    return arena_format(judge->arena, "dosewright approve --by NAME --review-by DATE %s",
                        source && strcmp(source->name, "-") != 0 ? source->name : "FILE");
}

/* Letters and digits without regard to case or to how an accent is encoded: a second
 * space or another dot makes no second person. */
/* Names of plain letters, which most are: the same answer, without making new texts. */
static gboolean same_plain(const char *a, const char *b)
{
    for (;; a++, b++) {
        while (*a && !g_ascii_isalnum(*a))
            a++;
        while (*b && !g_ascii_isalnum(*b))
            b++;
        if (g_ascii_tolower(*a) != g_ascii_tolower(*b))
            return FALSE;
        if (!*a)
            return TRUE;
    }
}

gboolean same_person(const char *a, const char *b)
{
    if (g_str_is_ascii(a) && g_str_is_ascii(b))
        return same_plain(a, b);
    const char *names[] = {a, b};
    GString *plain[2];
    for (int i = 0; i < 2; i++) {
        g_autofree char *composed = g_utf8_normalize(names[i], -1, G_NORMALIZE_ALL_COMPOSE);
        g_autofree char *folded = g_utf8_casefold(composed, -1);
        plain[i] = g_string_new(NULL);
        for (const char *at = folded; *at; at = g_utf8_next_char(at))
            if (g_unichar_isalnum(g_utf8_get_char(at)))
                g_string_append_unichar(plain[i], g_utf8_get_char(at));
    }
    gboolean same = g_string_equal(plain[0], plain[1]);
    g_string_free(plain[0], TRUE);
    g_string_free(plain[1], TRUE);
    return same;
}

/* The name behind what it is headed by: "V. Madeup" of "Dr V. Madeup". */
static const char *past_title(const char *name)
{
    static const char *const titles[] = {"dr", "doctor", "prof", "professor", "mr", "mrs", "ms", "md"};
    for (gsize i = 0; i < G_N_ELEMENTS(titles); i++) {
        gsize length = strlen(titles[i]);
        if (g_ascii_strncasecmp(name, titles[i], length) == 0 && name[length] && !g_ascii_isalnum(name[length]) &&
            (guchar)name[length] < 0x80)
            return past_title(name + length + strspn(name + length, ". "));
    }
    return name;
}

/* Also with and without a title: nobody passes for two people by leaving it out. */
static gboolean may_be_one_person(const char *a, const char *b)
{
    return same_person(past_title(a), past_title(b));
}

gboolean names_person(const List *people, const char *name)
{
    for (guint i = 0; i < people->items->len; i++) {
        const Text *person = g_ptr_array_index(people->items, i);
        if (PRESENT(*person) && same_person(person->text, name))
            return TRUE;
    }
    return FALSE;
}

static gboolean before_its_day(const Judge *judge, const Date *date)
{
    return PRESENT(*date) && PRESENT(judge->plan->clinic->zone) &&
           zone_local(judge->plan->clinic->zone.zone, judge->plan->now, NULL).day < date->day;
}

void check_not_approved(const Judge *judge)
{
    const Protocol *protocol = judge->plan->protocol;
    const Approval *approval = &protocol->approval;
    const List *physicians = &judge->plan->clinic->governance.physicians;
    if (ABSENT(*approval)) {
        Finding *finding = judge_add(judge, RULE_not_approved, 0, NULL, protocol->protocol.at.place);
        finding_help(finding, "a physician reads it; then \"%s\" prints the line to add; until then only drafts are "
                              "printed, with --draft", approve_command(judge));
    } else if (needs_two(judge) && PRESENT(approval->by) && PRESENT(protocol->author) &&
               may_be_one_person(approval->by.text, protocol->author.text)) {
        Finding *finding = judge_add(judge, RULE_not_approved, 0, NULL, approval->by.at.place);
        finding_fact(finding, "the author approved it, and this clinic asks for two people");
        finding_note(finding, protocol->author.at.place, "the author");
        finding_help(finding, "let another physician read and approve it");
    } else if (PRESENT(approval->by) && PRESENT(*physicians) && !names_person(physicians, approval->by.text)) {
        Finding *finding = judge_add(judge, RULE_not_approved, 0, NULL, approval->by.at.place);
        finding_fact(finding, "\"%s\" is not among the physicians of the clinic", approval->by.text);
        finding_note(finding, physicians->at.key, "who may approve");
        finding_help(finding, "let one of them read and approve it: %s", judge_texts(judge, physicians));
    } else if (before_its_day(judge, &approval->on)) {
        Finding *finding = judge_add(judge, RULE_not_approved, 0, NULL, approval->on.at.place);
        finding_fact(finding, "the day of the approval has not come");
        finding_help(finding, "correct the date, or wait for the approval");
    }
}

#define CHANGES_TOLD 6

static void tell_changes(const Judge *judge, Finding *finding)
{
    g_autoptr(GString) text = g_string_new(NULL);
    plan_changes(judge->plan->approved, judge->plan, TRUE, text);
    g_auto(GStrv) lines = g_strsplit(g_strchomp(text->str), "\n", -1);
    guint count = g_strv_length(lines);
    for (guint i = 0; i < MIN(count, CHANGES_TOLD); i++)
        finding_fact(finding, "%s", lines[i]);
    if (count > CHANGES_TOLD)
        finding_fact(finding, "and %u more", count - CHANGES_TOLD);
}

/* Without a kept copy the digests still say which part it was. */
static void tell_parts(const Judge *judge, Finding *finding, const char *approved)
{
    g_autoptr(GString) parts = g_string_new(NULL);
    for (int part = 0; part < SEAL_PARTS; part++)
        if (seal_part_differs(approved, judge->plan->seal, (SealPart)part))
            g_string_append_printf(parts, "%s%s", parts->len ? "; " : "", seal_part_title((SealPart)part));
    if (parts->len > 0)
        finding_fact(finding, "what changed: %s", parts->str);
    if (judge->plan->spoilt)
        finding_fact(finding, "the copy of what was approved in %s was changed too, so it tells nothing",
                     judge->plan->spoilt);
    else
        finding_fact(finding, "no copy of what was approved is kept under \"approvals\", so the values cannot be told");
}

void check_seal_broken(const Judge *judge)
{
    const Approval *approval = &judge->plan->protocol->approval;
    if (!PRESENT(*approval) || !PRESENT(approval->seal))
        return;
    const char *digest = judge->plan->seal;
    if (!digest || seal_same(digest, approval->seal.text))
        return;
    const Plan *kept = judge->plan->approved;
    const Approval *given = kept ? &kept->protocol->approval : approval;
    const Number *revision = kept ? &kept->protocol->revision : &judge->plan->protocol->revision;
    Finding *finding = judge_add(judge, RULE_seal_broken, 0, NULL, approval->seal.at.place);
    if (PRESENT(given->by) && PRESENT(given->on) && PRESENT(*revision))
        finding_fact(finding, "%s approved revision %" G_GINT64_FORMAT " on %s; since then:", given->by.text,
                     revision->value, day_text(judge->arena, given->on.day));
    if (kept)
        tell_changes(judge, finding);
    else
        tell_parts(judge, finding, approval->seal.text);
    finding_fact(finding, RULES_SEAL_FACT "approved %s, now %s", approval->seal.text, digest);
    finding_help(finding, "undo the change; or raise revision and have a physician read what it does now: \"%s\" "
                          "prints the line to put in place of the old one", approve_command(judge));
}

void check_review_overdue(const Judge *judge)
{
    const Date *review = &judge->plan->protocol->approval.review_by;
    if (!PRESENT(*review) || !PRESENT(judge->plan->clinic->zone))
        return;
    Day today = zone_local(judge->plan->clinic->zone.zone, judge->plan->now, NULL).day;
    if (today + REVIEW_NOTICE < review->day)
        return;
    int severity = today > review->day ? SEVERITY_ERROR : SEVERITY_WARNING;
    Finding *finding = judge_add(judge, RULE_review_overdue, severity, NULL, review->at.place);
    int days = review->day - today;
    if (days >= 0)
        finding_fact(finding, "%d days are left", days);
    else
        finding_fact(finding, "it was due %d days ago", -days);
    finding_help(finding, "review the protocol; then \"%s\" prints the new line", approve_command(judge));
}

void check_review_far(const Judge *judge)
{
    const Approval *approval = &judge->plan->protocol->approval;
    const Amount *own = &judge->plan->clinic->limits.review;
    if (!PRESENT(*approval) || !PRESENT(approval->on) || !PRESENT(approval->review_by) || UNREAD(*own))
        return;
    int most = PRESENT(*own) ? days_of(own->quantity) : REVIEW_LONGEST;
    int days = approval->review_by.day - approval->on.day;
    if (days <= most)
        return;
    Finding *finding = judge_add(judge, RULE_review_far, 0, NULL, approval->review_by.at.place);
    finding_fact(finding, "%d days after the approval; this clinic allows %d at most", days, most);
    finding_help(finding, "approve it until %s or earlier", day_text(judge->arena, approval->on.day + most));
}

static void phone_check(const Judge *judge, const Phone *phone, const char *which, gboolean hours)
{
    const Phones *phones = &judge->plan->clinic->phones;
    if (ABSENT(*phone)) {
        Finding *finding = judge_add(judge, RULE_phones_missing, 0, NULL, phones->at.key);
        finding_fact(finding, "there is no %s number", which);
        finding_help(finding, "add \"%s: {number: ..., hours: ...}\" under phones", which);
    } else if (hours && PRESENT(phone->number) && ABSENT(phone->hours)) {
        Finding *finding = judge_add(judge, RULE_phones_missing, 0, NULL, phone->number.at.place);
        finding_fact(finding, "nothing says when the %s number is answered", which);
        finding_help(finding, "add \"hours: 5 pm to 8 am\" or \"hours: at any hour\"");
    }
}

void check_phones_missing(const Judge *judge)
{
    const Phones *phones = &judge->plan->clinic->phones;
    if (!PRESENT(*phones))
        return;
    phone_check(judge, &phones->day, "day", TRUE);
    phone_check(judge, &phones->night, "night", TRUE);
    phone_check(judge, &phones->emergency, "emergency", FALSE);
}

static void setting_fault(const Judge *judge, const Field *at, const char *fact, const char *help)
{
    Finding *finding = judge_add(judge, RULE_setting_implausible, 0, NULL, at->place);
    finding_fact(finding, "%s", fact);
    finding_help(finding, "%s", help);
}

/* The last digits of a number, up to six of them: they are the same however it is dialled. */
static char *last_digits(const char *number)
{
    GString *digits = g_string_new(NULL);
    for (const char *at = number; *at; at++)
        if (g_ascii_isdigit(*at))
            g_string_append_c(digits, *at);
    if (digits->len > 6)
        g_string_erase(digits, 0, (gssize)digits->len - 6);
    return g_string_free(digits, FALSE);
}

/* What is read and what a touch dials is one number. */
static void check_dialled(const Judge *judge, const Phone *phone)
{
    if (!PRESENT(phone->number) || !PRESENT(phone->dial))
        return;
    g_autofree char *read = last_digits(phone->number.text), *dialled = last_digits(phone->dial.text);
    if (!g_str_has_suffix(dialled, read))
        setting_fault(judge, &phone->dial.at,
                      arena_format(judge->arena, "%s is printed, and %s would be dialled", phone->number.text,
                                   phone->dial.text),
                      "correct the one of the two that is wrong");
}

/* The sheet gives the day number for it. */
static void check_office_hours(const Judge *judge, const ClockTime *clock, const char *what)
{
    const ClockSpan *hours = &judge->plan->clinic->phones.day.hours;
    if (!PRESENT(*clock) || !PRESENT(*hours) || clock_span_holds(hours, clock->minute))
        return;
    Finding *finding = judge_add(judge, RULE_setting_implausible, 0, NULL, clock->at.place);
    finding_fact(finding, "%s at %s, when the day number is not answered", what,
                 judge_clock(judge, clock->minute));
    finding_note(finding, hours->at.place, "its hours");
    finding_help(finding, "choose a time within these hours");
}

/* What a setting of this kind is at least and at most; our own choice, no source. */
static void check_bounds(const Judge *judge)
{
    const Clinic *clinic = judge->plan->clinic;
    const struct { const Amount *amount; const char *key; Quantity least, most; } rows[] = {
        {&clinic->preparation.alarms, "alarms", quantity_make(1, 1, UNIT_min), quantity_make(24, 1, UNIT_h)},
        {&clinic->preparation.start, "start", quantity_make(1, 1, UNIT_min), quantity_make(6, 1, UNIT_h)},
        {&clinic->preparation.start_ready, "start_ready", quantity_make(1, 1, UNIT_min), quantity_make(6, 1, UNIT_h)},
        {&clinic->phones.second_after, "second_after", quantity_make(1, 1, UNIT_min), quantity_make(60, 1, UNIT_min)},
        {&clinic->practice.dissolve, "dissolve", quantity_make(1, 1, UNIT_min), quantity_make(60, 1, UNIT_min)},
        {&clinic->practice.dry, "dry", quantity_make(1, 1, UNIT_min), quantity_make(10, 1, UNIT_min)},
        {&clinic->practice.press, "press", quantity_make(1, 1, UNIT_min), quantity_make(30, 1, UNIT_min)},
        {&clinic->advice.fever, "fever", quantity_make(37, 1, UNIT_C), quantity_make(40, 1, UNIT_C)},
    };
    for (gsize i = 0; i < G_N_ELEMENTS(rows); i++) {
        const Amount *amount = rows[i].amount;
        if (!PRESENT(*amount) || (quantity_compare(amount->quantity, rows[i].least) >= 0 &&
                                  quantity_compare(amount->quantity, rows[i].most) <= 0))
            continue;
        setting_fault(judge, &amount->at,
                      arena_format(judge->arena, "\"%s\" is %s; a clinic's lies between %s and %s", rows[i].key,
                                   judge_amount(judge, amount->quantity), judge_amount(judge, rows[i].least),
                                   judge_amount(judge, rows[i].most)),
                      "check the figure and its unit");
    }
}

/* The most that any route takes at a site, in tenths of a millilitre. */
static gint64 site_highest(Site site)
{
    gint64 most = 0;
    guint count, first = choice_first(CHOICES_Route, &count);
    for (guint i = 0; i < count; i++) {
        const SiteUse *use = site_use(site, (Route)(first + i));
        most = use->given ? MAX(most, use->highest) : most;
    }
    return most;
}

/* A house limit is narrower than the published one, and a site has one. */
static void check_house_volumes(const Judge *judge)
{
    const GPtrArray *limits = judge->plan->clinic->limits.volumes.items;
    for (guint i = 0; i < limits->len; i++) {
        const SiteLimit *limit = g_ptr_array_index(limits, i);
        if (!PRESENT(limit->site) || !PRESENT(limit->most))
            continue;
        for (guint j = 0; j < i; j++) {
            const SiteLimit *before = g_ptr_array_index(limits, j);
            if (PRESENT(before->site) && before->site.value == limit->site.value)
                setting_fault(judge, &limit->site.at, "the same site has two limits", "keep the one that holds");
        }
        Quantity highest = quantity_make(site_highest(limit->site.value), 10, UNIT_mL);
        if (quantity_compare(limit->most.quantity, highest) > 0)
            setting_fault(judge, &limit->most.at,
                          arena_format(judge->arena, "%s; the highest published limit of this site is %s",
                                       judge_amount(judge, limit->most.quantity), judge_amount(judge, highest)),
                          "write that or less: a house limit only narrows the published one");
    }
}

/* Beyond the hours that can be accepted for one person a house cannot go for all. */
static void check_house_trigger(const Judge *judge)
{
    const Span *house = &judge->plan->clinic->limits.trigger;
    Quantity least, most;
    rules_trigger_bounds(&least, &most);
    if (PRESENT(*house) && (quantity_compare(house->from, least) < 0 || quantity_compare(house->until, most) > 0))
        setting_fault(judge, &house->at,
                      arena_format(judge->arena, "a trigger at %s; published are %s",
                                   judge_span(judge, house->from, house->until), judge_span(judge, least, most)),
                      "narrow it");
}

/* Keys of clinic.yaml that would change nothing, or say the opposite of what they are for. */
static void check_idle(const Judge *judge)
{
    const Clinic *clinic = judge->plan->clinic;
    const Phones *phones = &clinic->phones;
    const YesNoChoice *empties = &clinic->preparation.empty_filling_needle;
    if (PRESENT(clinic->advice.signs_days) && ABSENT(clinic->advice.signs))
        setting_fault(judge, &clinic->advice.signs_days.at, "it says for how many days, and no signs stand there",
                      "add signs, or remove signs_days");
    if (PRESENT(clinic->practice.empty_lines) && (!PRESENT(*empties) || empties->value != YesNo_YES))
        setting_fault(judge, &clinic->practice.empty_lines.at, "the filling needle is not emptied",
                      "write \"empty_filling_needle: yes\" under preparation, or remove empty_lines");
    if (PRESENT(phones->emergency.hours) && !phones->emergency.hours.all_day)
        setting_fault(judge, &phones->emergency.hours.at, "an emergency number is answered at any hour",
                      "write \"hours: at any hour\", or another number");
    g_autofree char *night = PRESENT(phones->night.number) ? last_digits(phones->night.number.text) : NULL;
    g_autofree char *second = PRESENT(phones->second.number) ? last_digits(phones->second.number.text) : NULL;
    if (night && second && *night && strcmp(night, second) == 0)
        setting_fault(judge, &phones->second.number.at, "it is the number by night again",
                      "write a number that is answered when that one is not");
}

void check_setting_implausible(const Judge *judge)
{
    check_bounds(judge);
    check_house_volumes(judge);
    check_house_trigger(judge);
    check_idle(judge);
    const Preparation *preparation = &judge->plan->clinic->preparation;
    const Amount *sit = &preparation->sit, *start = &preparation->start;
    const Amount *rounding = &judge->plan->clinic->limits.rounding;
    if (PRESENT(*sit) && PRESENT(*start) && quantity_compare(sit->quantity, start->quantity) > 0)
        setting_fault(judge, &sit->at,
                      arena_format(judge->arena, "\"sit\" (%s before) comes before the start of the preparation (%s "
                                   "before)", judge_amount(judge, sit->quantity), judge_amount(judge, start->quantity)),
                      "let sit be the shorter of the two");
    if (PRESENT(preparation->call_by) && PRESENT(preparation->check_kit) &&
        preparation->call_by.minute < preparation->check_kit.minute)
        setting_fault(judge, &preparation->call_by.at,
                      arena_format(judge->arena, "the time to call about a missing thing ends at %s, and the kit is "
                                   "checked by %s", judge_clock(judge, preparation->call_by.minute),
                                   judge_clock(judge, preparation->check_kit.minute)),
                      "let call_by be the later of the two");
    const Phones *phones = &judge->plan->clinic->phones;
    const Phone *const all[] = {&phones->day, &phones->night, &phones->emergency, &phones->second, &phones->physician,
                                &phones->interpreter};
    for (gsize i = 0; i < G_N_ELEMENTS(all); i++)
        check_dialled(judge, all[i]);
    check_office_hours(judge, &preparation->check_kit, "the kit is checked");
    check_office_hours(judge, &preparation->call_by, "calls about a missing thing end");
    if (PRESENT(*rounding) && quantity_compare(rounding->quantity, quantity_make(10, 1, UNIT_percent)) > 0)
        setting_fault(judge, &rounding->at,
                      arena_format(judge->arena, "rounding by %s; a mark may move a dose by 10%% at most",
                                   judge_amount(judge, rounding->quantity)),
                      "write 10% or less");
}

void check_late_text_missing(const Judge *judge)
{
    EACH_INJECTION(judge, injection) {
        if (!ABSENT(injection->order->late))
            continue;
        Finding *finding = judge_add(judge, RULE_late_text_missing, 0, injection,
                                     injection->order->name.at.place);
        finding_help(finding, "add \"late: ...\" with what you would say on the telephone, as to call at any hour");
    }
}
