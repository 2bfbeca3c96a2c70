/* scan: what a scanner reads from the two-dimensional barcode on a box: a GS1 element string
 * (GS1 General Specifications, sections 3, 7.8, 7.9, 7.11 and 7.12), taken apart into item number,
 * lot, expiry and serial number.  Other parts are passed over.
 *
 * As a scanner types it: with or without the symbology identifier (]d2 and the like) before it,
 * parts of no fixed length ended by the sign GS (0x1d; also its picture, U+241D).  As people read
 * it beside the code: (01)...(17)...(10)... */
#ifndef SCAN_H
#define SCAN_H

#include "value/moment.h"

#define SCAN_ITEM 14 /* digits of an item number, zeros in front */
#define SCAN_TEXT 20 /* signs of a lot or a serial number, at most */

typedef enum ScanFault {
    SCAN_FINE,
    SCAN_CUT_SHORT,   /* it ends within a part */
    SCAN_PART,        /* what stands there begins no part */
    SCAN_CHECK_DIGIT, /* of the item number */
    SCAN_DATE,        /* the calendar has no such day */
    SCAN_SIGN,        /* a sign that no lot or serial number may have */
    SCAN_TOO_LONG,    /* of a lot or a serial number */
    SCAN_TWICE,       /* one part twice, and not the same */
    SCAN_NO_ITEM,     /* it lacks the item number */
    SCAN_NO_LOT,
    SCAN_RUN_ON,      /* without GS another part may hide in the lot */
} ScanFault;

typedef struct BoxScan {
    char item[SCAN_ITEM + 1];
    char lot[SCAN_TEXT + 1], serial[SCAN_TEXT + 1]; /* serial: "" when it has none */
    gboolean dated;
    Day expires;          /* when dated */
    gboolean whole_month; /* the code says no day, so the last one of the month */
} BoxScan;

/* TRUE when the text is a scan and no lot that somebody typed. */
gboolean scan_is_one(const char *text);
/* Takes it apart.  year: of today, which settles the century of the two digits. */
ScanFault scan_read(const char *text, int year, BoxScan *out);
/* "the check digit ...": what is wrong, in a few words. */
const char *scan_fault_text(ScanFault fault);
/* Its expiry as a file says it: "2028-08" or "2028-08-31"; "" when it has none.  Owned by the arena. */
const char *scan_expiry(Arena *arena, const BoxScan *scan);

/* TRUE when the last digit of an item number of 8, 12, 13 or 14 digits is its check digit. */
gboolean item_number_fits(const char *digits);
/* TRUE when both are one number, whatever zeros stand in front. */
gboolean item_number_same(const char *one, const char *other);

#endif
