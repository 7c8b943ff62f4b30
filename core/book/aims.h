/* What patterns.c and targets.c share. */
#ifndef POURTONE_BOOK_AIMS_INNER_H
#define POURTONE_BOOK_AIMS_INNER_H

#include "pourtone/book_aims.h"

pt_target_how pt__target_how(const char *text); /* "photos", as the table has it */

/* Whether a row of target was read from a photo in no known light. */
#define PT__TARGET_NO_CARD(t)                                                                                \
  "(coalesce(json_extract(" t ".detail, '$.no_card'), 0) OR EXISTS (SELECT 1 FROM json_each(" t              \
  ".detail, '$.photos') e WHERE json_extract(e.value, '$.light.method') = 'none'))"

#endif
