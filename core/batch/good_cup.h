/* The last good cup of a layer, apart from its batch, so that another pattern can have it. */
#ifndef DROPWISE_BATCH_GOOD_CUP_H
#define DROPWISE_BATCH_GOOD_CUP_H

#include "dropwise/batch.h"

typedef struct dw__good_cup {
  bool known;
  char batch[DW_BATCH_NAME_ROOM], poured[DW_TIME_ROOM];
  double volume_floz, capacity_floz;
  dw_recipe_words drops;
  dw_slab slab;
  dw_lab color;
  double doubt_de00;
  bool other_lot; /* a bottle of it is of another lot by now */
} dw__good_cup;

/* known false where the layer has none that the shelf can predict. Within a transaction. */
dw_status dw__good_cup_find(dw_book *book, const dw_pattern_layer *layer, const dw_shelf *shelf,
                            dw__good_cup *out, dw_error *err);
/* A good batch with these cups of a pattern's layers, filled and measured like these, at the time of the
 * newest; none where no cup is known.  In a transaction.
 * cups  of the pattern's layers;  from  the pattern they come from;  shelf  to predict them by */
dw_status dw__good_batch_put(dw_book *book, const dw_pattern *pattern, const char *from,
                             const dw__good_cup *cups, const dw_shelf *shelf, dw_error *err);

#endif
