/* language: what the files of a clinic can say: closed lists, kinds of value, fields,
 * the plain structs that hold them, and the seal over their meaning. */
#ifndef LANGUAGE_H
#define LANGUAGE_H

#include "language/clock.h"
#include "language/field.h"
#include "language/lists.h"
#include "language/model.h"
#include "language/seal.h"
#include "language/table.h"

#endif
