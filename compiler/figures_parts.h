/* figures_parts: shapes that several drawings share; for figures*.c only. */
#ifndef FIGURES_PARTS_H
#define FIGURES_PARTS_H

#include "figures.h"

#define VIAL_WIDTH 15.0
#define VIAL_HEIGHT 30.0

/* A vial standing with its rubber top up, or turned over; level 0..1 of what it holds. */
void shape_vial(Ink *ink, VialKind kind, double level, gboolean over, double x, double y, double scale);
/* A syringe as a sign, needle pointing along its own axis: the tip at (x, y), turned
 * by degrees (0: needle to the left), filled 0..1. */
void shape_syringe(Ink *ink, double x, double y, double degrees, double fill, double length);
void shape_arrow(Ink *ink, double x1, double y1, double x2, double y2);
/* Part of a circle with an arrow head, for turning and swirling. */
void shape_turn(Ink *ink, double x, double y, double radius, double from, double until);
void shape_tick(Ink *ink, double x, double y);
void shape_cross(Ink *ink, double x, double y, double width, double height);
void shape_target(Ink *ink, double x, double y);

#endif
