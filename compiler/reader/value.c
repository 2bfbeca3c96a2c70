/* reader_value: texts, short names, dates, zones and closed lists of words. */
#include "reader/parts.h"

#include <string.h>

/* Text without white space at its end, which a block scalar leaves there. */
static const char *text_trimmed(const Written *written)
{
    return g_strchomp(arena_copy(written->reader->arena, written->node->text));
}

/* A line break or a tab within a name would break the line of the sheet that it stands in. */
static gboolean on_one_line(const Written *written, const char *text)
{
    for (const char *at = text; *at; at = g_utf8_next_char(at)) {
        if (!g_unichar_iscntrl(g_utf8_get_char(at)))
            continue;
        Finding *finding = fault_at(written, RULE_hidden_characters, 0, -1);
        finding_fact(finding, "a line break, a tab or another control character stands in it");
        finding_help(finding, "write it on one line, with ordinary spaces");
        return FALSE;
    }
    return TRUE;
}

gboolean read_text(const Written *written, gpointer out)
{
    const char *text = text_trimmed(written);
    ((Text *)out)->text = text;
    return on_one_line(written, text);
}

gboolean read_product(const Written *written, gpointer out)
{
    gboolean line = read_text(written, out);
    return lint_text(written, SEVERITY_WARNING) && line;
}

/* Code points of the text that a match of the pattern could begin with. */
static int pattern_reach(const char *pattern, const char *text)
{
    g_autoptr(GRegex) regex = g_regex_new(pattern, 0, 0, NULL);
    g_assert(regex);
    int letters = MIN((int)g_utf8_strlen(text, -1), 64);
    for (int i = 1; i <= letters; i++) {
        g_autoptr(GMatchInfo) match = NULL;
        gssize bytes = g_utf8_offset_to_pointer(text, i) - text;
        gboolean whole = g_regex_match_full(regex, text, bytes, 0, G_REGEX_MATCH_PARTIAL_SOFT,
                                            &match, NULL);
        if (!whole && !g_match_info_is_partial_match(match))
            return i - 1;
    }
    return letters;
}

/* A text of the pattern of its kind; the first letter that cannot stand is at fault. */
static gboolean read_pattern_of(const Written *written, FieldKind kind, RuleId rule, Text *out)
{
    const char *text = written->node->text;
    const char *pattern = kind_row(kind)->pattern;
    out->text = text;
    if (pattern_matches(pattern, text, G_REGEX_DOLLAR_ENDONLY))
        return TRUE;
    int reach = pattern_reach(pattern, text);
    gboolean end = reach >= (int)g_utf8_strlen(text, -1);
    Finding *finding = fault_at(written, rule, end ? 0 : reach, end ? -1 : 1);
    fault_help(finding, written);
    return FALSE;
}

static gboolean read_pattern(const Written *written, RuleId rule, Text *out)
{
    return read_pattern_of(written, kind_row(written->row->kind)->item, rule, out);
}

/* Names that some computers keep for devices, so that no file can bear them. */
static gboolean name_reserved(const char *name)
{
    const char *pattern = "^(con|prn|aux|nul|(com|lpt)[0-9])$";
    return pattern_matches(pattern, name, G_REGEX_CASELESS);
}

gboolean read_code(const Written *written, gpointer out)
{
    if (!read_pattern(written, RULE_code_form, out))
        return FALSE;
    if (!name_reserved(written->node->text))
        return TRUE;
    Finding *finding = fault_at(written, RULE_code_form, 0, -1);
    finding_fact(finding, "some computers keep the name \"%s\" for a device",
                 written->node->text);
    finding_help(finding, "write a longer name, like \"%s-1\"", written->node->text);
    return FALSE;
}

/* What a scanner read stands for its lot; expiry and item number are taken by reader_scan.c. */
gboolean read_lot(const Written *written, gpointer out)
{
    BoxScan scan;
    const char *text = written->node->text;
    if (!scan_is_one(text))
        return read_pattern_of(written, AS_CODE, RULE_code_form, out);
    ScanFault fault = scan_read(text, scan_year(written->level), &scan);
    if (fault == SCAN_FINE) {
        ((Text *)out)->text = arena_copy(written->reader->arena, scan.lot);
        return TRUE;
    }
    Finding *finding = fault_at(written, RULE_scan_form, 0, -1);
    finding_fact(finding, "%s", scan_fault_text(fault));
    finding_help(finding, "scan the box again; or write \"lot\" and \"expires\" as they are printed on it");
    return FALSE;
}

gboolean read_item_number(const Written *written, gpointer out)
{
    if (!read_pattern(written, RULE_item_number_form, out))
        return FALSE;
    if (item_number_fits(written->node->text))
        return TRUE;
    Finding *finding = fault_at(written, RULE_item_number_form, 0, -1);
    finding_fact(finding, "its last digit, the check digit, does not fit to the others");
    finding_help(finding, "scan it, or copy it once more, digit by digit");
    return FALSE;
}

gboolean read_phone(const Written *written, gpointer out)
{
    return read_pattern(written, RULE_phone_form, out);
}

gboolean read_dial(const Written *written, gpointer out)
{
    return read_pattern(written, RULE_dial_form, out);
}

gboolean read_language(const Written *written, gpointer out)
{
    return read_pattern(written, RULE_language_form, out);
}

gboolean read_seal(const Written *written, gpointer out)
{
    return read_pattern(written, RULE_seal_form, out);
}

/* The words of a list as "a, b, c". */
static const char *words_listed(Arena *arena, ChoiceList list)
{
    guint count;
    guint first = choice_first(list, &count);
    const char *text = choice_word((ChoiceWord)first);
    for (guint i = first + 1; i < first + count; i++)
        text = arena_format(arena, "%s, %s", text, choice_word((ChoiceWord)i));
    return text;
}

/* The only word of the list that begins so: "Thu", "Thurs.". */
static const char *word_begun(const char *const *words, guint count, const char *word)
{
    gsize length = strcspn(word, ".");
    const char *found = NULL;
    if (length < 3 || word[length + (word[length] == '.')] != '\0')
        return NULL;
    for (guint i = 0; i < count; i++) {
        if (g_ascii_strncasecmp(words[i], word, length) != 0)
            continue;
        if (found)
            return NULL;
        found = words[i];
    }
    return found;
}

static const char *word_nearest(ChoiceList list, const char *word)
{
    guint count;
    guint first = choice_first(list, &count);
    const char *words[CHOICE_COUNT];
    for (guint i = 0; i < count; i++) {
        words[i] = choice_word((ChoiceWord)(first + i));
        if (g_ascii_strcasecmp(words[i], word) == 0)
            return words[i];
    }
    const char *begun = word_begun(words, count, word);
    if (begun)
        return begun;
    return nearest_word(word, words, count);
}

const char *value_or_none(const Written *written)
{
    if (!kind_row(written->row->kind)->is_list || written->row->need == NEED_FILLED)
        return "";
    return written->reader->table ? "; or none, when it was asked and there are none" : "; or [] when there are none";
}

gboolean read_choice(const Written *written, gpointer out)
{
    ChoiceList list = (ChoiceList)written->row->argument;
    const char *word = written->node->text;
    ChoiceWord found;
    if (choice_find(list, word, &found)) {
        choice_set(out, found);
        return TRUE;
    }
    Arena *arena = written->reader->arena;
    const char *near = word_nearest(list, word);
    Finding *finding = fault_at(written, RULE_choice_unknown, 0, -1);
    finding_fact(finding, "given \"%s\", expected %s", word, choice_list_title(list));
    if (near)
        finding_help(finding, "write \"%s\"; the words are: %s%s", near, words_listed(arena, list),
                     value_or_none(written));
    else
        finding_help(finding, "write one of: %s%s", words_listed(arena, list), value_or_none(written));
    return FALSE;
}

static gboolean weekday_fault(const Written *written, const Date *date)
{
    Arena *arena = written->reader->arena;
    CalendarDate parts = day_date(date->day);
    const char *real = weekday_name(day_weekday(date->day));
    char *plain = arena_format(arena, "%04d-%02d-%02d", parts.year, parts.month, parts.day);
    Finding *finding = fault_at(written, RULE_weekday_disagrees, 0, -1);
    finding_fact(finding, "given %s, but %s is a %s", weekday_name(date->stated), plain, real);
    finding_help(finding, "write \"%s %s\", or mend the date", real, plain);
    return FALSE;
}

static const char *date_fact(MomentFault fault)
{
    switch (fault) {
    case MOMENT_NO_DATE:
        return "the calendar has no such day";
    case MOMENT_YEAR:
        return "a year has four digits, from 2000 to 2199";
    case MOMENT_ORDER:
        return "in this order day and month are taken for each other";
    case MOMENT_FINE:
    case MOMENT_FORM:
    case MOMENT_WEEKDAY:
    case MOMENT_NO_CLOCK:
    case MOMENT_MIDNIGHT:
    case MOMENT_MIXED_CLOCK:
        return NULL; /* the accepted form, in the help, says it */
    }
    g_assert_not_reached();
}

gboolean read_date(const Written *written, gpointer out)
{
    Date *date = out;
    MomentRead read = day_parse(written->node->text, &date->day, &date->stated);
    if (read.fault == MOMENT_FINE)
        return TRUE;
    if (read.fault == MOMENT_WEEKDAY)
        return weekday_fault(written, date);
    int length = read.length > 0 ? read.length : -1;
    Finding *finding = fault_at(written, RULE_date_form, read.skip, length);
    const char *fact = date_fact(read.fault);
    if (fact)
        finding_fact(finding, "%s", fact);
    g_auto(GStrv) readings = day_readings(written->node->text);
    if (readings[0])
        fault_readings(finding, written, readings);
    else
        fault_help(finding, written);
    return FALSE;
}

/* The last day of a month written "2027-03". */
static gboolean month_last_day(const char *text, Day *out)
{
    if (!pattern_matches("^2[01][0-9]{2}-(0[1-9]|1[0-2])$", text, G_REGEX_DOLLAR_ENDONLY))
        return FALSE;
    int year = (int)g_ascii_strtoll(text, NULL, 10);
    int month = (int)g_ascii_strtoll(text + strlen("2027-"), NULL, 10);
    CalendarDate next = {month == 12 ? year + 1 : year, month == 12 ? 1 : month + 1, 1};
    *out = day_from_date(next) - 1;
    return TRUE;
}

gboolean expiry_day(const char *text, Day *out)
{
    return month_last_day(text, out) || day_parse(text, out, NULL).fault == MOMENT_FINE;
}

gboolean read_expiry(const Written *written, gpointer out)
{
    Date *date = out;
    date->whole_month = month_last_day(written->node->text, &date->day);
    g_auto(GStrv) readings = month_readings(written->node->text);
    if (date->whole_month || !readings[0])
        return date->whole_month || read_date(written, out);
    fault_readings(fault_at(written, RULE_date_form, 0, -1), written, readings);
    return FALSE;
}

static const char *zone_fact(ZoneStatus status)
{
    switch (status) {
    case ZONE_ABBREVIATION:
        return "an abbreviation or a fixed offset names no place, so clock changes are unknown";
    case ZONE_FORM:
        return "this cannot be the name of a zone";
    case ZONE_NO_DATABASE:
        return "this machine has no time zone database; install the package tzdata";
    case ZONE_UNKNOWN:
        return "the time zone database has no such place";
    case ZONE_FINE:
    case ZONE_LINK:
        break; /* nothing is wrong */
    }
    g_assert_not_reached();
}

gboolean read_zone(const Written *written, gpointer out)
{
    const char *suggestion = NULL;
    Zone **zone = &((ZoneField *)out)->zone;
    ZoneStatus status = zone_open(written->reader->arena, written->node->text, zone, &suggestion);
    if (status == ZONE_FINE || status == ZONE_LINK)
        return TRUE;
    Finding *finding = fault_at(written, RULE_zone_unknown, 0, -1);
    finding_fact(finding, "%s", zone_fact(status));
    if (suggestion)
        finding_help(finding, "write \"%s\"", suggestion);
    else
        fault_help(finding, written);
    return FALSE;
}

/* One text of a saying, in the value's node. */
/* A slot prints what the sheet says: for the checks of what a text says it is blank. */
static const char *without_slots(Arena *arena, const char *text)
{
    if (!strchr(text, '{'))
        return text;
    char *blank = arena_copy(arena, text);
    for (char *open = strchr(blank, '{'); open; open = strchr(open, '{')) {
        gsize length = strcspn(open, "}");
        memset(open, ' ', length + (open[length] != '\0'));
    }
    return blank;
}

static gboolean saying_version(const Written *written, const char *language, Place key,
                               Saying *out)
{
    SayingVersion *version = arena_new0(written->reader->arena, SayingVersion);
    version->language = language;
    version->text = (Text){{FIELD_BAD, written->node->place, key}, text_trimmed(written)};
    version->plain = without_slots(written->reader->arena, version->text.text);
    gboolean fine = lint_text(written, SEVERITY_ERROR);
    if (fine)
        version->text.at.state = FIELD_READ;
    g_ptr_array_add(out->versions, version);
    return fine;
}

static gboolean saying_entry(const Written *written, const Entry *entry, Saying *out)
{
    Written inner = *written;
    inner.node = entry->value;
    Diagnostics *diagnostics = written->reader->diagnostics;
    const KindRow *tag = kind_row(AS_LANGUAGE);
    if (!pattern_matches(tag->pattern, entry->key, G_REGEX_DOLLAR_ENDONLY)) {
        Finding *finding = finding_add(diagnostics, RULE_language_form, entry->key_place);
        finding_fact(finding, "in a text for people, keys are language tags");
        finding_help(finding, "write %s, like \"en\", or one text alone", tag->form);
        return FALSE;
    }
    if (inner.node->kind != NODE_TEXT)
        return fault_form(&inner, RULE_wrong_shape, "a text belongs here");
    if (inner.node->text[strspn(inner.node->text, " \t\n")] == '\0')
        return fault_form(&inner, RULE_empty_value, NULL);
    return saying_version(&inner, entry->key, entry->key_place, out);
}

gboolean read_saying(const Written *written, gpointer out)
{
    Saying *saying = out;
    const Node *node = written->node;
    saying->versions = arena_list(written->reader->arena);
    if (node->kind == NODE_TEXT)
        return saying_version(written, NULL, saying->at.key, saying);
    if (node->count == 0)
        return fault_form(written, RULE_empty_value, "the text has no version in any language");
    gboolean fine = TRUE;
    for (gsize i = 0; i < node->count; i++)
        fine = saying_entry(written, &node->entries[i], saying) && fine;
    return fine;
}
