/* reader_number: whole numbers and amounts.  What quantity finds at fault
 * becomes one finding that shows how to write it. */
#include "reader/parts.h"

#include <string.h>

#define LONGEST_DAYS 1000 /* no span of these files is longer; clock changes are known some years ahead */
#define LARGEST_WHOLE G_GINT64_CONSTANT(999999999999)

static RuleId number_rule(NumberFault fault)
{
    switch (fault) {
    case NUMBER_TRAILING_ZERO:
        return RULE_trailing_zero;
    case NUMBER_NAKED_DECIMAL:
        return RULE_naked_decimal;
    case NUMBER_TOO_LONG:
        return RULE_number_overflow;
    case NUMBER_MISSING:
    case NUMBER_OPEN_DECIMAL:
    case NUMBER_LEADING_ZERO:
    case NUMBER_COMMA:
    case NUMBER_FORM:
    case NUMBER_ZERO_DENOMINATOR:
        return RULE_number_form;
    case NUMBER_FINE:
        break;
    }
    g_assert_not_reached();
}

const char *number_readings(Arena *arena, const char *number)
{
    gsize whole = strspn(number, "0123456789");
    if (whole < 1 || whole > 3 || number[0] == '0' || number[whole] != '.' || strlen(number) != whole + 4)
        return NULL;
    return arena_format(arena, "ask which is meant, then write \"%.*s,%s\" or \"%s\"", (int)whole, number,
                        number + whole + 1, number_mended(arena, number, NUMBER_TRAILING_ZERO));
}

const char *number_mended(Arena *arena, const char *number, NumberFault fault)
{
    gsize length = strlen(number);
    switch (fault) {
    case NUMBER_NAKED_DECIMAL:
        return arena_format(arena, "0%s", number);
    case NUMBER_OPEN_DECIMAL:
        return arena_copy_length(arena, number, length - 1);
    case NUMBER_LEADING_ZERO:
        while (number[0] == '0' && g_ascii_isdigit(number[1]))
            number++;
        return arena_copy(arena, number);
    case NUMBER_TRAILING_ZERO:
        while (length > 0 && number[length - 1] == '0')
            length--;
        if (length > 0 && number[length - 1] == '.')
            length--;
        return arena_copy_length(arena, number, length);
    case NUMBER_FINE:
    case NUMBER_MISSING:
    case NUMBER_COMMA:
    case NUMBER_FORM:
    case NUMBER_TOO_LONG:
    case NUMBER_ZERO_DENOMINATOR:
        return NULL; /* what was meant is not certain */
    }
    g_assert_not_reached();
}

static void number_help(Finding *finding, const Written *written, const char *number,
                        NumberFault fault)
{
    const char *mended = number_mended(written->reader->arena, number, fault);
    if (mended)
        finding_help(finding, "write \"%s\"", mended);
    else if (fault == NUMBER_COMMA)
        finding_help(finding, "write a decimal with a point, like 1.5; commas stand only between "
                              "thousands, like 10,000");
    else if (fault == NUMBER_TOO_LONG)
        finding_help(finding, "compare it with the order or the label: so many digits are a slip");
    else if (fault == NUMBER_ZERO_DENOMINATOR)
        finding_help(finding, "write a fraction whose lower part is above zero, like 1/2");
    else if (fault == NUMBER_FORM)
        finding_help(finding, "write it in the digits 0 to 9, like 10,000 or 0.5, without a sign");
    else
        fault_help(finding, written);
}

/* A finding on a number that stands in part, from skip on. */
static gboolean number_fault(const Written *written, Part number, NumberFault fault)
{
    int length = (int)g_utf8_strlen(number.text, -1);
    const char *readings = fault == NUMBER_TRAILING_ZERO ? number_readings(written->reader->arena, number.text) : NULL;
    Finding *finding = fault_at(written, readings ? RULE_number_form : number_rule(fault), number.skip, length);
    finding_fact(finding, "given \"%s\"", number.text);
    if (readings)
        finding_help(finding, "%s", readings);
    else
        number_help(finding, written, number.text, fault);
    return FALSE;
}

/* A whole number above zero. */
static gboolean part_whole(const Written *written, Part part, gint64 *out)
{
    Rational number;
    NumberFault fault = rational_parse(part.text, strlen(part.text), &number);
    if (fault != NUMBER_FINE)
        return number_fault(written, part, fault);
    if (number.num == 0)
        return fault_part(written, RULE_zero_amount, part, NULL);
    if (number.den != 1)
        return fault_part(written, RULE_number_form, part, "this is not a whole number");
    if (number.num > LARGEST_WHOLE)
        return number_fault(written, part, NUMBER_TOO_LONG);
    *out = number.num;
    return TRUE;
}

/* "mL or L": the units of a set of dimensions. */
static const char *units_listed(Arena *arena, guint dimensions)
{
    GPtrArray *symbols = arena_list(arena);
    for (guint i = 0; i < UNIT_COUNT; i++) {
        const UnitRow *unit = unit_row((UnitId)i);
        if (dimensions & (1u << unit->dimension))
            g_ptr_array_add(symbols, (gpointer)unit->symbol);
    }
    GString *text = g_string_new(NULL);
    for (guint i = 0; i < symbols->len; i++) {
        const char *gap = i == 0 ? "" : i + 1 == symbols->len ? " or " : ", ";
        g_string_append_printf(text, "%s%s", gap, (const char *)symbols->pdata[i]);
    }
    char *listed = arena_copy(arena, text->str);
    g_string_free(text, TRUE);
    return listed;
}

static RuleId quantity_rule(QuantityFault fault)
{
    switch (fault) {
    case QUANTITY_UNIT_UNSAFE:
        return RULE_unsafe_abbreviation;
    case QUANTITY_UNIT_HOUSEHOLD:
        return RULE_household_measure;
    case QUANTITY_ZERO:
        return RULE_zero_amount;
    case QUANTITY_OVERFLOW:
        return RULE_number_overflow;
    case QUANTITY_NO_UNIT:
    case QUANTITY_NO_SPACE:
    case QUANTITY_UNIT_UNKNOWN:
    case QUANTITY_UNIT_CASE:
    case QUANTITY_TWO_UNITS:
        return RULE_unit_form;
    case QUANTITY_FINE:
    case QUANTITY_NUMBER: /* number_fault() speaks of it */
        break;
    }
    g_assert_not_reached();
}

static const char *unit_fact(QuantityFault fault)
{
    switch (fault) {
    case QUANTITY_NO_UNIT:
        return "the unit is missing";
    case QUANTITY_NO_SPACE:
        return "number and unit run together";
    case QUANTITY_UNIT_UNKNOWN:
        return "this is not a unit that amounts are written in here";
    case QUANTITY_UNIT_CASE:
        return "the letters are right, but not which of them are capitals";
    case QUANTITY_TWO_UNITS:
        return "something stands after the unit";
    case QUANTITY_FINE:
    case QUANTITY_NUMBER:
    case QUANTITY_UNIT_UNSAFE:
    case QUANTITY_UNIT_HOUSEHOLD:
    case QUANTITY_ZERO:
    case QUANTITY_OVERFLOW:
        return NULL; /* the rule's own message says it */
    }
    g_assert_not_reached();
}

/* A unit that another unit could not simply replace: another size, or no size. */
static const char *unit_worked_out(Arena *arena, const char *given, const QuantityRead *read)
{
    if (read->fault == QUANTITY_UNIT_UNSAFE && g_str_equal(given, "MU"))
        return "write out the number of units: 1 MU is 1,000,000 units";
    if (read->fault == QUANTITY_UNIT_UNSAFE && g_str_has_suffix(given, "L"))
        return "write the volume in mL: a thousandth of the number of microlitres";
    if (read->fault != QUANTITY_UNIT_HOUSEHOLD || !read->suggestion)
        return NULL;
    gsize length = strlen(given);
    const char *one = arena_copy_length(arena, given, length - (length > 1 && given[length - 1] == 's'));
    const char *what = g_str_equal(read->suggestion, "mL") ? "volume" : "amount";
    return arena_format(arena, "write the %s that the label in the box says, in %s, in place of number and word: "
                        "one %s is not 1 %s", what, read->suggestion, one, read->suggestion);
}

/* "1 mL" for "1mL". */
static const char *with_space(Arena *arena, const char *given)
{
    gsize number = strspn(given, "0123456789.,/");
    return arena_format(arena, "%.*s %s", (int)number, given, given + number);
}

static void unit_help(Finding *finding, const Written *written, const QuantityRead *read,
                      const char *given, guint dimensions)
{
    const char *units = units_listed(written->reader->arena, dimensions);
    const char *worked_out = unit_worked_out(written->reader->arena, given, read);
    if (worked_out)
        finding_help(finding, "%s", worked_out);
    else if (read->suggestion)
        finding_help(finding, "write \"%s\"", read->suggestion);
    else if (read->fault == QUANTITY_NO_SPACE)
        finding_help(finding, "put a space between number and unit: \"%s\"",
                     with_space(written->reader->arena, given));
    else if (read->fault == QUANTITY_TWO_UNITS)
        finding_help(finding, "write one number, a space and one unit, like \"%s\"",
                     fault_example(written));
    else if (read->fault == QUANTITY_ZERO)
        finding_help(finding, "write an amount above zero");
    else if (read->fault == QUANTITY_OVERFLOW)
        finding_help(finding, "write a smaller number, or a larger unit");
    else
        finding_help(finding, "write a number, a space and %s, like \"%s\"", units,
                     fault_example(written));
}

static gboolean quantity_fault(const Written *written, Part part, const QuantityRead *read,
                               guint dimensions)
{
    Part faulty = part_inside(written, part, read->skip, read->length);
    if (read->fault == QUANTITY_NUMBER)
        return number_fault(written, faulty, read->number_fault);
    RuleId rule = quantity_rule(read->fault);
    int length = read->length > 0 ? read->length : -1;
    Finding *finding = fault_at_as(written, rule, SEVERITY_ERROR, faulty.skip, length);
    const char *fact = unit_fact(read->fault);
    if (fact)
        finding_fact(finding, "%s", fact);
    else
        finding_fact(finding, "given \"%s\"", read->length > 0 ? faulty.text : part.text);
    unit_help(finding, written, read, faulty.text, dimensions);
    return FALSE;
}

/* "a mass of medicine or an activity in units". */
static const char *dimensions_listed(Arena *arena, guint dimensions)
{
    const char *text = NULL;
    for (guint i = 0; i < DIM_COUNT; i++) {
        if (!(dimensions & (1u << i)))
            continue;
        const char *word = dimension_word((Dimension)i);
        text = text ? arena_format(arena, "%s or %s", text, word) : word;
    }
    return text;
}

static gboolean dimension_fits(const Written *written, Part part, Quantity given,
                               guint dimensions)
{
    Dimension dimension = quantity_dimension(given);
    if (dimensions & (1u << dimension))
        return TRUE;
    Arena *arena = written->reader->arena;
    int length = (int)g_utf8_strlen(part.text, -1);
    Finding *finding = fault_at(written, RULE_unit_form, part.skip, length);
    finding_fact(finding, "given %s, needed %s", dimension_word(dimension),
                 dimensions_listed(arena, dimensions));
    finding_help(finding, "write it in %s, like \"%s\"", units_listed(arena, dimensions),
                 fault_example(written));
    return FALSE;
}

gboolean part_amount_or_zero(const Written *written, Part part, guint dimensions, Quantity *out)
{
    const char *zero = part.text;
    if (zero[0] != '0' || zero[1] != ' ')
        return part_amount(written, part, dimensions, out);
    /* The unit is read beside another number: zero has none of its own. */
    const char *text = arena_format(written->reader->arena, "1%s", zero + 1);
    gboolean fine = part_amount(written, (Part){text, part.skip}, dimensions, out);
    out->number = rational_make(0, 1);
    return fine;
}

/* 10000 and 100000 are told apart by counting: a warning, the amount is read. */
static void lint_grouping(const Written *written, Part part, Quantity quantity)
{
    int length = (int)strspn(part.text, "0123456789");
    if (length < 4)
        return;
    int whole = (int)g_utf8_strlen(part.text, -1);
    Finding *finding = fault_at_as(written, RULE_ungrouped_thousands, SEVERITY_WARNING, part.skip, whole);
    finding_fact(finding, "%d digits without a comma", length);
    finding_help(finding, "write \"%s\"%s; is that the amount that is meant?",
                 quantity_text(written->reader->arena, quantity),
                 fault_comma_ends(written) ? ", with quotes round the whole value: a comma ends it inside { } and [ ]"
                                           : "");
}

/* "36 h 90 min" and "35 1/2 h" are read in two ways: is the second figure a slip? */
static gboolean plain_time(const Written *written, Part part, Quantity given)
{
    g_autoptr(GMatchInfo) match = NULL;
    GRegex *two = pattern_compiled("^([0-9.,]+) (?:h|days?) ([0-9]+)(?:[.][0-9]+)? (h|min)$", 0);
    gboolean fraction = strchr(part.text, '/') != NULL, plain = TRUE;
    if (g_regex_match(two, part.text, 0, &match)) {
        g_autofree char *first = g_match_info_fetch(match, 1), *second = g_match_info_fetch(match, 2);
        g_autofree char *unit = g_match_info_fetch(match, 3);
        plain = !strchr(first, '.') && g_ascii_strtoll(second, NULL, 10) < (g_str_equal(unit, "h") ? 24 : 60);
    }
    if (plain && !fraction)
        return TRUE;
    Finding *finding = fault_at(written, RULE_minutes_form, part.skip, (int)g_utf8_strlen(part.text, -1));
    gint64 minutes = rational_floor(quantity_base(given));
    finding_fact(finding, fraction ? "given \"%s\", a fraction of an hour"
                                   : "given \"%s\", of which the parts do not fit together", part.text);
    if (minutes > 0 && minutes < 60)
        finding_help(finding, "write \"%d min\"", (int)minutes);
    else if (minutes % 60)
        finding_help(finding, "write \"%d h %d min\"", (int)(minutes / 60), (int)(minutes % 60));
    else
        finding_help(finding, "write \"%d h\"", (int)(minutes / 60));
    return FALSE;
}

/* A sheet shows no seconds, and a part of a minute must not be dropped without a word. */
static gboolean whole_minutes(const Written *written, Part part, Quantity given)
{
    if (quantity_dimension(given) != DIM_TIME)
        return TRUE;
    Rational minutes = quantity_base(given);
    if (rational_ok(minutes) && minutes.den == 1 && minutes.num <= LONGEST_DAYS * 1440)
        return plain_time(written, part, given);
    Finding *finding = fault_at(written, RULE_minutes_form, part.skip, (int)g_utf8_strlen(part.text, -1));
    gboolean whole = rational_ok(minutes) && minutes.den == 1;
    finding_fact(finding, whole ? "given \"%s\", which is more than 1,000 days" : "given \"%s\"", part.text);
    finding_help(finding, whole ? "check the figure and its unit"
                                : "write whole minutes, like \"45 min\" or \"35 h 30 min\"");
    return FALSE;
}

#define MOST_PLACES 6          /* that a sheet prints after the point */
#define LARGEST_PRINTED 999999999 /* nobody tells longer numbers apart at a glance */

/* An amount that a sheet shows is shown exactly.  Times have a rule of their own; a body weight
 * is shown on none. */
static gboolean printable(const Written *written, Part part, Quantity given)
{
    Dimension dimension = quantity_dimension(given);
    if (dimension == DIM_TIME || dimension == DIM_WEIGHT)
        return TRUE;
    Rational places = rational_mul(given.number, rational_make(1000000, 1));
    gboolean large = rational_compare(given.number, rational_make(LARGEST_PRINTED, 1)) > 0;
    if (!large && rational_ok(places) && places.den == 1)
        return TRUE;
    Finding *finding = fault_at(written, RULE_number_unprintable, part.skip, (int)g_utf8_strlen(part.text, -1));
    if (large)
        finding_fact(finding, "given \"%s\", which is a billion or more", part.text);
    else
        finding_fact(finding, "given \"%s\", which has more than %d places after the point", part.text, MOST_PLACES);
    finding_help(finding, large ? "compare it with the order or the label; then write it in a larger unit"
                                : "compare it with the order or the label; then write it in a smaller unit, with a "
                                  "number that ends");
    return FALSE;
}

gboolean part_amount(const Written *written, Part part, guint dimensions, Quantity *out)
{
    QuantityRead read = quantity_parse(part.text);
    if (read.fault != QUANTITY_FINE)
        return quantity_fault(written, part, &read, dimensions);
    *out = read.quantity;
    lint_grouping(written, part, read.quantity);
    return dimension_fits(written, part, read.quantity, dimensions) && whole_minutes(written, part, read.quantity) &&
           printable(written, part, read.quantity);
}

gboolean read_number(const Written *written, gpointer out)
{
    return part_whole(written, part_whole_text(written), &((Number *)out)->value);
}

gboolean read_number_or_none(const Written *written, gpointer out)
{
    if (g_str_equal(written->node->text, "none")) {
        ((Number *)out)->value = 0;
        return TRUE;
    }
    return read_number(written, out);
}

gboolean read_amount(const Written *written, gpointer out)
{
    guint dimensions = 1u << written->row->argument;
    return part_amount(written, part_whole_text(written), dimensions, &((Amount *)out)->quantity);
}

#define DOSE_DIMENSIONS (1u << DIM_MASS | 1u << DIM_ACTIVITY)

gboolean read_dose(const Written *written, gpointer out)
{
    Quantity *quantity = &((Amount *)out)->quantity;
    return part_amount(written, part_whole_text(written), DOSE_DIMENSIONS, quantity);
}

gboolean read_doses(const Written *written, gpointer out)
{
    Span *span = out;
    Part whole = part_whole_text(written), from = whole, until = whole;
    if (strstr(whole.text, " to ") && !part_cut(written, whole, " to ", &from, &until))
        return fault_form(written, RULE_span_form, NULL);
    if (!part_amount(written, from, DOSE_DIMENSIONS, &span->from) ||
        !part_amount(written, until, DOSE_DIMENSIONS, &span->until))
        return FALSE;
    if (quantity_dimension(span->from) != quantity_dimension(span->until))
        return fault_form(written, RULE_span_form, "the two do not count in the same kind of unit");
    if (quantity_compare(span->from, span->until) > 0)
        return fault_form(written, RULE_span_form, "the first is not the smaller one");
    return TRUE;
}

gboolean read_strength(const Written *written, gpointer out)
{
    Strength *strength = &((StrengthField *)out)->strength;
    Part whole = part_whole_text(written);
    QuantityRead read = strength_parse(whole.text, strength);
    if (read.fault != QUANTITY_FINE)
        return quantity_fault(written, whole, &read, DOSE_DIMENSIONS | 1u << DIM_VOLUME);
    lint_grouping(written, whole, strength->amount);
    return dimension_fits(written, whole, strength->amount, DOSE_DIMENSIONS) &&
           dimension_fits(written, whole, strength->volume, 1u << DIM_VOLUME) &&
           printable(written, whole, strength->amount) && printable(written, whole, strength->volume);
}
