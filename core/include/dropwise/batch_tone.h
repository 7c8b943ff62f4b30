/* Where a pattern's layers lie with regard to their natural tones. */
#ifndef DROPWISE_BATCH_TONE_H
#define DROPWISE_BATCH_TONE_H

#include "dropwise/advise.h"
#include "dropwise/book_aims.h"

/* The range of a tone of the book.  Errors DW_TOO_FEW it has no color */
dw_status dw_tone_range_load(dw_book *book, int64_t tone, dw_tone_range *out, dw_error *err);

/* Gives a layer the tone that the book has for it; one without a target is then led to it. */
dw_status dw_layer_tone_take(dw_book *book, const dw_pattern_layer *kept, dw_layer *layer, dw_error *err);

/* A color of a layer, placed. */
typedef struct dw_toned {
  bool known; /* the layer has a tone, which has colors: */
  char name[DW_TONE_NAME_ROOM];
  dw_lab color;
  dw_tone_spot spot;
} dw_toned;
dw_status dw_toned_place(dw_book *book, const dw_pattern_layer *layer, dw_lab color, dw_toned *out,
                         dw_error *err);

#endif
