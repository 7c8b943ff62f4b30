/* How far the colors of turned baits travel (read_turn.h), kept with a batch or as a target's. */
#ifndef DROPWISE_BOOK_TRAVELS_H
#define DROPWISE_BOOK_TRAVELS_H

#include "dropwise/book_pours.h"

typedef struct dw_book_travel {
  int64_t id;           /* 0: none */
  int64_t layer, batch; /* batch 0: the target's */
  char layer_name[DW_ID_ROOM];
  int bait; /* of the batch, from 0 */
  bool travels;
  double de00, doubt_de00;
  double hue_deg, hue_doubt_deg; /* NAN: too gray */
  double p;                      /* chance of as much on a plain bait */
  char taken[DW_TIME_ROOM];
} dw_book_travel;

/* In a transaction: log, move, remove.
 * log     id, layer_name and taken are not looked at.  It takes the place of what the bait of that batch and layer, or the
 *         target of that layer, had before
 * detail  JSON object: the photos.  NULL: {}
 * Errors  DW_BAD_INPUT out of range, a layer of another pattern; DW_NOT_FOUND no such row */
dw_status dw_travel_log(dw_book *book, const dw_book_travel *travel, const char *detail, int64_t *id,
                        dw_error *err);
/* It is of another batch, layer or bait of the pattern; what was there is replaced. */
dw_status dw_travel_move(dw_book *book, int64_t id, int64_t batch, int64_t layer, int bait, dw_error *err);
dw_status dw_travel_remove(dw_book *book, int64_t id, dw_error *err);
/* A batch's, by layer and bait. *out owned by the caller (free) */
dw_status dw_travel_list(dw_book *book, int64_t batch, dw_book_travel **out, size_t *n, dw_error *err);
/* A layer's, in the order that its batches were poured. */
dw_status dw_travel_history(dw_book *book, int64_t layer, dw_book_travel **out, size_t *n, dw_error *err);
/* That of the layer's target; out->id 0 where it has none. */
dw_status dw_travel_target(dw_book *book, int64_t layer, dw_book_travel *out, dw_error *err);

#endif
