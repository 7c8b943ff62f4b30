/* What patterns.c and targets.c share. */
#ifndef DROPWISE_BOOK_AIMS_INNER_H
#define DROPWISE_BOOK_AIMS_INNER_H

#include "dropwise/book_aims.h"

dw_target_how dw__target_how(const char *text); /* "photos", as the table has it */

/* Whether a row of target was read from a photo in no known light. */
#define DW__TARGET_NO_CARD(t)                                                                                \
  "(coalesce(json_extract(" t ".detail, '$.no_card'), 0) OR EXISTS (SELECT 1 FROM json_each(" t              \
  ".detail, '$.photos') e WHERE json_extract(e.value, '$.light.method') = 'none'))"

#endif
