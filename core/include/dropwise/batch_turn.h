/* Baits turned in the light: their travels kept with a batch or as the target's, and held against each other. */
#ifndef DROPWISE_BATCH_TURN_H
#define DROPWISE_BATCH_TURN_H

#include "dropwise/book_travels.h"
#include "dropwise/read_turn.h"

/* Keeps the travel of every layer that could be judged.  In a transaction.
 * batch  0: they are the target's
 * kept   how many layers were; none is an error
 * Errors DW_BAD_INPUT a layer that the pattern lacks; DW_REFUSED no layer could be judged, and why */
dw_status dw_keep_turn(dw_book *book, const dw_pattern *pattern, int64_t batch, int bait, const dw_turn *turn,
                       size_t *kept, dw_error *err);
/* Each layer's travel beside its target's, as far as the pattern's layers have one.
 * out  turn->n; known false and words "" where there is none */
dw_status dw_turn_against_target(dw_book *book, const dw_pattern *pattern, const dw_turn *turn,
                                 dw_travel_against *out, dw_error *err);

/* A batch's travel: the mean of its baits', the doubt joined with what they differ by. */
typedef struct dw_batch_travel {
  int64_t batch;
  size_t baits, travelling;         /* how many are said to travel */
  double de00, doubt_de00, hue_deg; /* hue NAN: too gray in one of them */
} dw_batch_travel;

typedef struct dw_layer_travels {
  dw_book_travel target; /* id 0: none */
  size_t n;
  dw_batch_travel *batch; /* n, in the order they were poured; owned (free) */
  /* of the newest batch; known false where there is nothing to compare */
  dw_travel_against to_target, to_before;
  char words[2 * DW_NOTE_TEXT]; /* "" without a travel */
} dw_layer_travels;
/* out  owned by the caller: free(out->batch) */
dw_status dw_layer_travels_load(dw_book *book, int64_t layer, dw_layer_travels *out, dw_error *err);

#endif
