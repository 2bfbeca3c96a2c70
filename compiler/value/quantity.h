/* quantity: exact numbers with units.  Rationals in 64 bits with checked
 * overflow; no floating point.  Rounds half up, once, at the caller's word. */
#ifndef QUANTITY_H
#define QUANTITY_H

#include "base/base.h"

/* num/den in lowest terms, den > 0.  den == 0 marks an overflowed result; every
 * operation passes it on and rational_ok tests it. */
typedef struct Rational {
    gint64 num;
    gint64 den;
} Rational;

#define RATIONAL_OVERFLOW ((Rational){0, 0})

Rational rational_make(gint64 num, gint64 den); /* asserts den != 0 */
gboolean rational_ok(Rational a);
Rational rational_add(Rational a, Rational b);
Rational rational_sub(Rational a, Rational b);
Rational rational_mul(Rational a, Rational b);
Rational rational_div(Rational a, Rational b); /* by zero: overflowed */
int rational_compare(Rational a, Rational b);  /* both must be ok */
gboolean rational_equal(Rational a, Rational b);
/* The nearest whole multiple of step (step > 0), halves away from zero. */
Rational rational_round(Rational a, Rational step);
/* The smallest whole number >= a; the largest <= a.  Saturates, asserts ok. */
gint64 rational_ceiling(Rational a);
gint64 rational_floor(Rational a);
/* |a - b| / b; overflowed when b is 0. */
Rational rational_difference(Rational a, Rational b);

/* Appends the number as people read it: thousands by comma, a leading zero, no
 * trailing zero.  A number without a finite decimal within max_decimals is
 * rounded half up to that many and *rounded (may be NULL) is set. */
void rational_print(GString *out, Rational a, int max_decimals, gboolean *rounded);

/* Reads "0.5", "10,000", "10000", "1/2", "1 1/2" wholly; nothing else. */
typedef enum NumberFault {
    NUMBER_FINE,
    NUMBER_MISSING,       /* no digits */
    NUMBER_TRAILING_ZERO, /* 1.0, 0.50 */
    NUMBER_NAKED_DECIMAL, /* .5 */
    NUMBER_OPEN_DECIMAL,  /* 5. */
    NUMBER_LEADING_ZERO,  /* 05 */
    NUMBER_COMMA,         /* 1,5 or 10,00: commas only group thousands */
    NUMBER_FORM,          /* 1e3, 0x10, 1_000, 1.000.000, 10 000, -1, other digits */
    NUMBER_TOO_LONG,      /* more digits than can be held exactly */
    NUMBER_ZERO_DENOMINATOR,
} NumberFault;

NumberFault rational_parse(const char *text, gsize length, Rational *out);

typedef enum Dimension {
#define DIMENSION(id, word) DIM_##id,
#include "value/units.def"
#undef DIMENSION
    DIM_COUNT
} Dimension;

typedef enum UnitId {
#define UNIT(id, ...) UNIT_##id,
#include "value/units.def"
#undef UNIT
    UNIT_COUNT
} UnitId;

typedef struct UnitRow {
    const char *symbol; /* as written and printed: "mL", "units", "in" */
    const char *one;    /* the word for one of it: "unit"; empty where it is the symbol */
    const char *phrase; /* "unit_units", where the symbol is a word that each language has; else NULL */
    Dimension dimension;
    Rational in_base;   /* how many base units one of it is */
} UnitRow;

const UnitRow *unit_row(UnitId unit);
const char *dimension_word(Dimension dimension); /* "a volume", "a length" */

/* A number with the unit it was written in.  Temperatures hold degrees of their
 * own scale and convert by quantity_in only. */
typedef struct Quantity {
    Rational number;
    UnitId unit;
} Quantity;

Dimension quantity_dimension(Quantity q);
Rational quantity_base(Quantity q);              /* in the dimension's base unit */
Quantity quantity_in(Quantity q, UnitId unit);   /* same dimension, else asserts */
int quantity_compare(Quantity a, Quantity b);    /* same dimension, else asserts */
Quantity quantity_make(gint64 num, gint64 den, UnitId unit);
/* "10,000 units", "1 unit", "0.5 mL", "25 G", "1.5 in": ordinary spaces; counts
 * take the singular of "units", "days" when the number is 1. */
char *quantity_text(Arena *arena, Quantity q);

typedef enum QuantityFault {
    QUANTITY_FINE,
    QUANTITY_NUMBER,       /* see *number_fault */
    QUANTITY_NO_UNIT,
    QUANTITY_NO_SPACE,     /* 1mL */
    QUANTITY_UNIT_UNKNOWN,
    QUANTITY_UNIT_UNSAFE,  /* U, IU, cc, ug, the micro sign: *suggestion says what to write */
    QUANTITY_UNIT_HOUSEHOLD, /* teaspoon, drop, ounce, grain */
    QUANTITY_UNIT_CASE,    /* ml, ML, Mg: *suggestion is the right form */
    QUANTITY_TWO_UNITS,    /* 1 mL mL */
    QUANTITY_ZERO,
    QUANTITY_OVERFLOW,
} QuantityFault;

typedef struct QuantityRead {
    Quantity quantity;
    QuantityFault fault;
    NumberFault number_fault;
    int skip;               /* code points before the faulty part */
    int length;             /* code points of the faulty part */
    const char *suggestion; /* static, or NULL */
} QuantityRead;

/* Reads "10,000 units"; compound durations "34 h 30 min" too.  Accepts every
 * unit of units.def; the caller checks the dimension. */
QuantityRead quantity_parse(const char *text);

/* An amount in a volume: "10,000 units/mL", "250 mg/mL", "125 mg per 5 mL". */
typedef struct Strength {
    Quantity amount; /* mass or activity */
    Quantity volume;
} Strength;

QuantityRead strength_parse(const char *text, Strength *out);
/* Amount in base units per mL. */
Rational strength_base(Strength strength);
char *strength_text(Arena *arena, Strength strength);

/* Dose / strength, in mL, exact; strength x volume, in the dose's base unit,
 * exact.  The two routes that check each other.  Overflowed when kinds differ. */
Rational volume_for_dose(Quantity dose, Strength strength);
Rational dose_in_volume(Rational volume_ml, Strength strength);

#endif
