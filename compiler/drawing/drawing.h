/* drawing: text and line art on a cairo page, in millimetres.  Knows no plan's
 * meaning: words and numbers come from the caller. */
#ifndef DRAWING_H
#define DRAWING_H

#include "drawing/figures.h"
#include "drawing/ink.h"

#endif
