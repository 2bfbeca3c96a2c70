/* value: exact numbers with units, and days, clock times and instants. */
#ifndef VALUE_H
#define VALUE_H

#include "value/moment.h"
#include "value/quantity.h"
#include "value/scan.h"

#endif
