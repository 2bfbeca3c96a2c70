/* rules_text: what text for people says, beside its form. */
#include <string.h>

#include "rules/checks.h"

void judge_each_version(const Judge *judge, const PlanInjection *injection, const Saying *saying, TextCheck check)
{
    for (guint i = 0; PRESENT(*saying) && i < saying->versions->len; i++) {
        SayingVersion *version = g_ptr_array_index(saying->versions, i);
        Prose prose = judge_prose(version, version->text.text);
        if (PRESENT(version->text))
            check(judge, injection, &prose);
    }
}

void judge_each_saying(const Judge *judge, const PlanInjection *injection, const List *list, TextCheck check)
{
    for (guint i = 0; i < list->items->len; i++)
        judge_each_version(judge, injection, g_ptr_array_index(list->items, i), check);
}

/* Every text of clinic and protocol that a person at home reads. */
static void each_text(const Judge *judge, TextCheck check)
{
    const Protocol *protocol = judge->plan->protocol;
    judge_each_version(judge, NULL, &protocol->title, check);
    judge_each_version(judge, NULL, &protocol->why, check);
    judge_each_saying(judge, NULL, &judge->plan->clinic->advice.normal, check);
    judge_each_saying(judge, NULL, &judge->plan->clinic->advice.emergency, check);
    EACH_INJECTION(judge, injection) {
        judge_each_version(judge, injection, &injection->order->late, check);
        judge_each_version(judge, injection, &injection->order->give.technique, check);
        judge_each_saying(judge, injection, &injection->order->notes, check);
    }
    judge_each_slip(judge, TRUE, check);
}

/* ---- the clinic's first language ---- */

static void version_check(const Judge *judge, const PlanInjection *injection, const Saying *saying)
{
    const GPtrArray *languages = judge->plan->clinic->languages.items;
    const Text *first = languages->len > 0 ? g_ptr_array_index(languages, 0) : NULL;
    if (!first || !PRESENT(*first) || !PRESENT(*saying) || saying_version_in(saying, first->text, first->text))
        return;
    Finding *finding = judge_add(judge, RULE_version_missing, 0, injection, saying->at.place);
    finding_fact(finding, "there is none in %s", first->text);
    finding_note(finding, first->at.place, "the clinic's languages");
    finding_help(finding, "%s", saying_wanted(judge->arena, saying, first->text, first->text));
}

static void version_checks(const Judge *judge, const PlanInjection *injection, const List *list)
{
    for (guint i = 0; i < list->items->len; i++)
        version_check(judge, injection, g_ptr_array_index(list->items, i));
}

void check_version_missing(const Judge *judge)
{
    const Clinic *clinic = judge->plan->clinic;
    const Saying *const all[] = {&clinic->demonstration, &clinic->phones.day.answers, &clinic->phones.night.answers,
                                 &clinic->phones.emergency.answers, &clinic->phones.second.answers,
                                 &judge->plan->protocol->title, &judge->plan->protocol->why};
    for (gsize i = 0; i < G_N_ELEMENTS(all); i++)
        version_check(judge, NULL, all[i]);
    version_checks(judge, NULL, &clinic->advice.normal);
    version_checks(judge, NULL, &clinic->advice.emergency);
    version_checks(judge, NULL, &clinic->advice.signs);
    EACH_INJECTION(judge, injection) {
        version_check(judge, injection, &injection->order->late);
        version_check(judge, injection, &injection->order->give.technique);
        version_checks(judge, injection, &injection->order->notes);
    }
}

Place judge_part(const Text *text, const char *start, gsize length)
{
    Place place = text->at.place;
    glong all = g_utf8_strlen(text->text, -1);
    if (place.length != all)
        return place;
    return place_within(place, (int)g_utf8_strlen(text->text, start - text->text),
                        (int)g_utf8_strlen(start, (gssize)length));
}

#define MOST_TEXTS 4096 /* of which is remembered what is not in them */

/* The bits of these words, which stay for the whole process; NULL: so many are kept already. */
static guint64 *silences(const char *text)
{
    static GHashTable *known;
    if (!known)
        known = g_hash_table_new(g_str_hash, g_str_equal);
    guint64 *bits = g_hash_table_lookup(known, text);
    if (bits || g_hash_table_size(known) >= MOST_TEXTS)
        return bits;
    bits = g_new0(guint64, 1);
    g_hash_table_insert(known, g_strdup(text), bits);
    return bits;
}

Prose judge_prose(SayingVersion *version, const char *words)
{
    Prose prose = {version->text, version->silent};
    prose.text.text = words;
    if (!prose.silent && PRESENT(version->text)) {
        guint64 *shared = silences(words);
        prose.silent = version->silent = shared ? shared : &version->own;
    }
    return prose;
}

/* In folded words: the word as one of its own or the start of one. */
static const char *find_word(const char *folded, const char *word)
{
    for (const char *at = folded; (at = strstr(at, word)); at++)
        if (at == folded || !g_ascii_isalpha(at[-1]))
            return at;
    return NULL;
}

static void hard_word(const Judge *judge, const PlanInjection *injection, const Prose *prose)
{
    static const struct { const char *word, *plain; } words[] = {
#define HARD(word, plain) {word, plain},
#include "rules/words.def"
    };
    const Text *text = &prose->text;
    guint64 *silent = prose->silent, none = SILENT(SILENT_HARD);
    if (*silent & none)
        return;
    g_autofree char *folded = g_ascii_strdown(text->text, -1);
    for (gsize i = 0; i < G_N_ELEMENTS(words); i++) {
        const char *found = find_word(folded, words[i].word);
        if (!found)
            continue;
        none = 0;
        Finding *finding = judge_add(judge, RULE_hard_words, 0, injection,
                                     judge_part(text, text->text + (found - folded), strlen(words[i].word)));
        finding_help(finding, "write: %s", words[i].plain);
    }
    *silent |= none;
}

void check_hard_words(const Judge *judge) { each_text(judge, hard_word); }

/* Strong fear with strong advice on what to do moves people; without it they turn away
 * (Witte and Allen, Health Educ Behav). */
static gboolean says_what_to_do(const char *text)
{
    return pattern_matches("\\b(call|ring|phone|go to|ask)\\b", text, G_REGEX_CASELESS);
}

static void scare_word(const Judge *judge, const PlanInjection *injection, const Prose *prose)
{
    static const char *const words[] = {
#define SCARE(word) word,
#include "rules/words.def"
    };
    const Text *text = &prose->text;
    guint64 *silent = prose->silent, none = SILENT(SILENT_SCARE);
    if (*silent & none)
        return;
    g_autofree char *folded = g_ascii_strdown(text->text, -1);
    for (gsize i = 0; i < G_N_ELEMENTS(words); i++) {
        const char *found = find_word(folded, words[i]);
        if (!found || says_what_to_do(text->text))
            continue;
        none = 0;
        Finding *finding = judge_add(judge, RULE_scare_words, 0, injection,
                                     judge_part(text, text->text + (found - folded), strlen(words[i])));
        finding_help(finding, "say calmly what to do, as whom to call");
    }
    *silent |= none;
}

void check_scare_words(const Judge *judge) { each_text(judge, scare_word); }

static void long_number(const Judge *judge, const PlanInjection *injection, const Prose *prose)
{
    const Text *text = &prose->text;
    for (const char *at = text->text; (at = strpbrk(at, "0123456789"));) {
        gsize length = strspn(at, "0123456789");
        if (length >= 5) {
            Finding *finding = judge_add(judge, RULE_ungrouped_thousands, 0, injection, judge_part(text, at, length));
            finding_help(finding, "write the digits in groups of three, as the language of the text does (10,000 in "
                                  "English); a number that is no amount does not belong in this text");
        }
        at += length;
    }
}

void check_ungrouped_thousands(const Judge *judge) { each_text(judge, long_number); }

/* An amount or a clock time that a person wrote by hand: in digits or as a word, with any
 * space between, also one that does not break. */
#define GAP "[\\s\\x{A0}\\x{2009}\\x{202F}-]*"
#define CONTAINERS "vials?|ampoules?|ampules?|syringes?|cartridges?"
#define UNITS "mL|mg|mcg|units?|mill?i?lit(re|er|ro)s?|milligrams?|micrograms?|degrees|" CONTAINERS
#define NUMBER_WORD "(one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)"
#define HAND_FIGURE \
    "(?i)(?<![0-9])[0-9][0-9.,:/]*" GAP "(" UNITS "|h|am|pm|a\\.m|p\\.m)(?![a-z])" \
    "|(?<![0-9])[0-9]{1,2}(:|" GAP "h" GAP ")[0-9]{2}(?![0-9])" \
    "|(?<![0-9])[0-9]{1,2} (in the (morning|afternoon|evening)|at night|o'clock)" \
    "|\\b" NUMBER_WORD " (o'clock|in the (morning|afternoon|evening)|at night)" \
    "|\\b(half past|(a )?quarter (past|to)|(five|ten|twenty|twenty-five) (minutes )?(past|to)) " NUMBER_WORD "\\b" \
    "|\\b(" NUMBER_WORD "|an|a few|[0-9]+)( and a half)?" GAP "(hours?|minutes?)" \
    " (late|later|early|earlier|before|after|apart|between)\\b" \
    "|\\bdouble (the|your)\\b|\\{[^{}]*\\}?|\\}" \
    "|[\\x{BC}-\\x{BE}\\x{2150}-\\x{215E}]|\\bhalf\\b" \
    "|\\b" NUMBER_WORD GAP "(more |extra )?(" UNITS ")(?![a-z])"

static void hand_figure(const Judge *judge, const PlanInjection *injection, const Prose *prose)
{
    static const char figure[] = HAND_FIGURE;
    const Text *text = &prose->text;
    guint64 *silent = prose->silent, none = SILENT(SILENT_FIGURE);
    if (*silent & none)
        return;
    g_autoptr(GMatchInfo) match = NULL;
    g_regex_match(pattern_compiled(figure, 0), text->text, 0, &match);
    for (; g_match_info_matches(match); g_match_info_next(match, NULL)) {
        int start = 0, end = 0;
        none = 0;
        g_match_info_fetch_pos(match, 0, &start, &end);
        Finding *finding = judge_add(judge, RULE_figure_in_notes, 0, injection,
                                     judge_part(text, text->text + start, (gsize)(end - start)));
        if (strchr("{}", text->text[start]))
            finding_fact(finding, "a text of the clinic's fills no braces: they print as they stand");
        finding_help(finding, "leave it out: the plan's own figures stand on the sheet, and a late dose or hour is the "
                              "physician's to say on the telephone");
    }
    *silent |= none;
}

void check_figure_in_notes(const Judge *judge) { each_text(judge, hand_figure); }
