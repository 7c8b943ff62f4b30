/* What earlier cups of a layer say of its next one. */
#ifndef DROPWISE_BATCH_NEXT_CUP_H
#define DROPWISE_BATCH_NEXT_CUP_H

#include "dropwise/batch_advice.h"

typedef struct dw__next {
  bool known;             /* earlier cups tell of a recipe: */
  dw_cup cup;             /* at the volume of the cup that it stands on */
  bool stands;            /* it comes first, whatever others propose */
  dw_lab predicted, gave; /* at the slab asked for: of the cup it stands on, by the shelf and by experience */
  char words[DW_PLUGIN_WORDS];
  char why[DW_NOTE_TEXT]; /* no recipe could be worked out, and why; "" */
  double volume_floz;     /* of the last cup; 0: there was none */
  char change[DW_NOTE_TEXT];
  dw_next_cup told; /* what is known of the cups before; the caller adds what is proposed */
} dw__next;

/* question  its shelf, slab and rules count
 * aim       the layer's, and the see-through wanted */
dw_status dw__next_remember(dw_book *book, const dw_pattern_layer *kept, const dw_advice_request *question,
                            const dw_layer *layer, dw__next *out, dw_error *err);
/* "1 less of orange, 1 more of brown"; "the same again" */
void dw__word_change(const dw_shelf *shelf, const dw_recipe *before, const dw_recipe *after, char *out,
                     size_t room);

#endif
