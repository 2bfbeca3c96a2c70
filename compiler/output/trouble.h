/* output_trouble: what a page could not be drawn with, as findings. */
#ifndef OUTPUT_TROUBLE_H
#define OUTPUT_TROUBLE_H

#include "drawing/drawing.h"

/* TRUE, with a finding, when a letter had no glyph or a word no room. */
gboolean output_in_trouble(Ink *ink, Diagnostics *diagnostics);

#endif
