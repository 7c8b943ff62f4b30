/* Patches told by their place: a code such as A4 stands on no card. */
#include "card/judge.h"

#include <ctype.h>

static const char *const count_words[] = {"first", "second", "third", "fourth", "fifth", "sixth"};
enum { COUNTED = sizeof count_words / sizeof *count_words };

const char *dw__patch_words(const dw_card *card, size_t i, char out[DW__PATCH_WORDS_ROOM]) {
  const size_t row = i / card->cols, column = i % card->cols;
  if (card->rows > COUNTED || card->cols > COUNTED)
    snprintf(out, DW__PATCH_WORDS_ROOM, "patch %s", card->id[i]);
  else
    snprintf(out, DW__PATCH_WORDS_ROOM, "the %s row's %s patch", count_words[row], count_words[column]);
  return out;
}

const char *dw__patch_begin(const dw_card *card, size_t i, char out[DW__PATCH_WORDS_ROOM]) {
  dw__patch_words(card, i, out);
  out[0] = (char)toupper((unsigned char)out[0]);
  return out;
}
