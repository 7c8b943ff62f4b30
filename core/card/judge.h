/* Inside card/: what is wrong with the picture. */
#ifndef POURTONE_CARD_JUDGE_H
#define POURTONE_CARD_JUDGE_H

#include "card/sample.h"

/* Flags patches that cannot take part and says why in notes; refuses when too many or the lightest gray.
 * usable  rows * cols */
pt_status pt__readings_judge(const pt_card *card, const pt__reading *readings, bool *usable, pt_notes *notes,
                             pt_error *err);
/* Refuses a gray ramp that does not rise. */
pt_status pt__grays_judge(const pt_card *card, const pt__sample *s, size_t n, pt_error *err);
/* True when the four corner patches fit far better in another order: words for the order to try. */
bool pt__corners_suggest(const pt_card *card, const pt_corners *corners, const pt__reading *readings,
                         char *out, size_t room);
/* How many patches may be left out before the card is refused. */
size_t pt__patches_spare(const pt_card *card);

#endif
