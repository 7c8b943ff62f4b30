/* The renderer that judges core is itself held to facts. */
#include "check.h"

#include "plastic.h"
#include "pourtone/color.h"

#ifdef HAVE_CARD
#include "pourtone/card.h"
#endif

static lab_color seen_lab(const spectrum *s) {
  return lab_of(xyz_of(s));
}
