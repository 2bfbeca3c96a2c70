/* syntax_form: what to say where the YAML itself is broken; for syntax*.c only. */
#ifndef SYNTAX_FORM_H
#define SYNTAX_FORM_H

#include <yaml.h>

#include "base/base.h"

/* libyaml counts lines and columns from 0, in code points. */
Place syntax_place(const Source *source, yaml_mark_t start, yaml_mark_t end);

/* The last text between quotes: most quotes that are never closed run on to a later one. */
typedef struct Quoted {
    gboolean there;
    yaml_mark_t start, end; /* end: after the closing quote */
} Quoted;

/* Adds yaml_form for the problem that stopped the parser. */
void syntax_form_fault(Diagnostics *diagnostics, const Source *source, const yaml_parser_t *parser,
                       const Quoted *quoted);

#endif
