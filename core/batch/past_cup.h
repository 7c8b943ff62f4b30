/* The cups that a layer had before: how they came out, and what their drops will give today. */
#ifndef DROPWISE_BATCH_PAST_CUP_H
#define DROPWISE_BATCH_PAST_CUP_H

#include "dropwise/batch.h"

typedef struct dw__past_cup {
  bool found;
  size_t batch; /* of the history */
  dw_book_cup kept;
  dw_cup cup;
  dw_slab slab;
  bool measured; /* by readings that are trusted */
  dw_lab color;
  double doubt_de00;
  dw_lab predicted; /* of its drops by the shelf as it is */
} dw__past_cup;

/* Where to look. */
typedef struct dw__past {
  dw_book *book;
  const dw_shelf *shelf;
  const dw_pattern_layer *layer;
  const dw_layer_history *history;
} dw__past;

/* The last cup whose bottles the shelf has; good: the last that was measured in a good batch. */
dw_status dw__past_cup_last(const dw__past *w, bool good, dw__past_cup *out, dw_error *err);
/* Makes the good cup's color the mean over the good batches that had the same drops. */
dw_status dw__past_cup_mean(const dw__past *w, dw__past_cup *good, dw_error *err);
/* What the good cup's drops will give today. */
dw_status dw__past_cup_expect(const dw__past *w, const dw__past_cup *good, const dw__past_cup *last,
                              dw_lab *out, dw_error *err);
/* Within this two cups (b NULL: a cup and its aim) can't be told apart, CIEDE2000. */
double dw__past_cup_doubt(const dw__past_cup *a, const dw__past_cup *b);

#endif
