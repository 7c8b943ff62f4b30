/* A layer's flake beside its target's: how much of it, and its color. docs/effects.md#flake */
#ifndef DROPWISE_BATCH_FLAKE_H
#define DROPWISE_BATCH_FLAKE_H

#include "dropwise/book_aims.h"
#include "dropwise/region.h"

typedef struct dw_flake_aim {
  bool known;          /* the target came from photos that told of its flake */
  double target_share; /* of the layer's pixels */
  bool has_color;      /* the target has enough flake for a color */
  dw_lab target;
  double target_uncertainty_de00;
  double de00; /* of the flake's color from it; NAN: one of the two has none */
  char words[DW_NOTE_TEXT];
} dw_flake_aim;

/* layer  of the book; its newest target counts.  Errors as dw_target_history */
dw_status dw_flake_compare(dw_book *book, int64_t layer, const dw_reading *reading, dw_flake_aim *out,
                           dw_error *err);

#endif
