/* Inside card/: what is wrong with the picture. */
#ifndef DROPWISE_CARD_JUDGE_H
#define DROPWISE_CARD_JUDGE_H

#include "card/sample.h"

/* "the first row's fourth patch", counted from the card's first patch; "patch G8" on a card with more than 6 rows
 * or columns, whose file gives it codes of its own.  _begin  as a sentence begins.  Both return out. */
enum { DW__PATCH_WORDS_ROOM = 40 };
const char *dw__patch_words(const dw_card *card, size_t i, char out[DW__PATCH_WORDS_ROOM]);
const char *dw__patch_begin(const dw_card *card, size_t i, char out[DW__PATCH_WORDS_ROOM]);

/* Patches that are left out: the first few each with its sentence, the others by name. */
enum { DW__DROPPED_TOLD = 3 };
typedef struct dw__dropped {
  size_t n;
  char told[DW__DROPPED_TOLD][DW_NOTE_TEXT];
  char more[DW_NOTE_TEXT / 2]; /* "patch G8, patch H4, ..." */
} dw__dropped;
/* patch  in words;  fault  what is wrong, a clause that names the patch */
void dw__dropped_add(dw__dropped *dropped, const char *patch, const char *fault);
void dw__dropped_tell(const dw__dropped *dropped, dw_notes *notes);

/* Flags patches that cannot take part and says why in dropped; refuses when too many or the lightest gray.
 * usable  rows * cols */
dw_status dw__readings_judge(const dw_card *card, const dw__reading *readings, bool *usable,
                             dw__dropped *dropped, dw_error *err);
/* Refuses a gray ramp that does not rise. */
dw_status dw__grays_judge(const dw_card *card, const dw__sample *s, size_t n, dw_error *err);
/* True when the four corner patches fit far better in another order: words for the order to try. */
bool dw__corners_suggest(const dw_card *card, const dw_corners *corners, const dw__reading *readings,
                         char *out, size_t room);
/* How many patches may be left out before the card is refused. */
size_t dw__patches_spare(const dw_card *card);

#endif
