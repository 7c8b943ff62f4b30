/* Inside card/: what is wrong with the picture. */
#ifndef POURTONE_CARD_JUDGE_H
#define POURTONE_CARD_JUDGE_H

#include "card/sample.h"

/* Patches that are left out: the first few each with its sentence, the others by name. */
enum { PT__DROPPED_TOLD = 3 };
typedef struct pt__dropped {
  size_t n;
  char told[PT__DROPPED_TOLD][PT_NOTE_TEXT];
  char more[PT_NOTE_TEXT / 2]; /* "G8, H4, ..." */
} pt__dropped;
/* fault  what is wrong, a clause that names the patch */
void pt__dropped_add(pt__dropped *dropped, const char *id, const char *fault);
void pt__dropped_tell(const pt__dropped *dropped, pt_notes *notes);

/* Flags patches that cannot take part and says why in dropped; refuses when too many or the lightest gray.
 * usable  rows * cols */
pt_status pt__readings_judge(const pt_card *card, const pt__reading *readings, bool *usable,
                             pt__dropped *dropped, pt_error *err);
/* Refuses a gray ramp that does not rise. */
pt_status pt__grays_judge(const pt_card *card, const pt__sample *s, size_t n, pt_error *err);
/* True when the four corner patches fit far better in another order: words for the order to try. */
bool pt__corners_suggest(const pt_card *card, const pt_corners *corners, const pt__reading *readings,
                         char *out, size_t room);
/* How many patches may be left out before the card is refused. */
size_t pt__patches_spare(const pt_card *card);

#endif
