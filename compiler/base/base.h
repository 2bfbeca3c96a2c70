/* base: memory of one run, the text of files with their places, findings, and files
 * published whole.  Knows nothing of medicine. */
#ifndef BASE_H
#define BASE_H

#include "base/arena.h"
#include "base/confine.h"
#include "base/diagnostic.h"
#include "base/digest.h"
#include "base/pattern.h"
#include "base/publish.h"
#include "base/source.h"
#include "base/stack.h"
#include "base/terminal.h"

#endif
