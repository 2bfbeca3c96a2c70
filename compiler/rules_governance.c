/* rules_governance: approval, seal, review, telephones, what to do when late. */
#include <string.h>

#include "rules_checks.h"
#include "seal.h"

#define REVIEW_NOTICE 30 /* days ahead */

static gboolean needs_two(const Judge *judge)
{
    const Choice *people = &judge->plan->clinic->governance.people;
    return PRESENT(*people) && people->value == People_TWO;
}

/* What prints the line of an approval. */
static const char *approve_command(const Judge *judge)
{
    const Source *source = judge->plan->protocol->protocol.at.place.source;
    return arena_format(judge->arena, "dosewright approve --by NAME --review-by DATE %s",
                        source && strcmp(source->name, "-") != 0 ? source->name : "FILE");
}

void check_not_approved(const Judge *judge)
{
    const Protocol *protocol = judge->plan->protocol;
    const Approval *approval = &protocol->approval;
    if (ABSENT(*approval)) {
        Finding *finding = judge_add(judge, RULE_not_approved, 0, NULL, protocol->protocol.at.place);
        finding_help(finding, "a physician reads it; then \"%s\" prints the line to add; until then only drafts are "
                              "printed, with --draft", approve_command(judge));
    } else if (needs_two(judge) && PRESENT(approval->by) && PRESENT(protocol->author) &&
               strcmp(approval->by.text, protocol->author.text) == 0) {
        Finding *finding = judge_add(judge, RULE_not_approved, 0, NULL, approval->by.at.place);
        finding_fact(finding, "the author approved it, and this clinic asks for two people");
        finding_note(finding, protocol->author.at.place, "the author");
        finding_help(finding, "let another physician read and approve it");
    }
}

void check_seal_broken(const Judge *judge)
{
    const Approval *approval = &judge->plan->protocol->approval;
    if (!PRESENT(*approval) || !PRESENT(approval->seal))
        return;
    const char *digest = seal_digest(judge->arena, judge->plan->protocol);
    if (!digest || strcmp(digest, approval->seal.text) == 0)
        return;
    Finding *finding = judge_add(judge, RULE_seal_broken, 0, NULL, approval->seal.at.place);
    finding_fact(finding, "approved %s, now %s", approval->seal.text, digest);
    finding_help(finding, "undo the change; or raise revision and have a physician read the new text: \"%s\" prints "
                          "the line to put in place of the old one", approve_command(judge));
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
