/* A layer's natural tone, as the book has it. */
#include "dropwise/batch_tone.h"

#include <stdlib.h>

dw_status dw_tone_range_load(dw_book *book, int64_t tone, dw_tone_range *out, dw_error *err) {
  dw_lab *colors = NULL;
  size_t n = 0;
  dw_status status = dw_tone_colors(book, tone, &colors, &n, err);
  if (status == DW_OK) status = dw_tone_fit(colors, n, out, err);
  free(colors);
  return status;
}

dw_status dw_layer_tone_take(dw_book *book, const dw_pattern_layer *kept, dw_layer *layer, dw_error *err) {
  layer->no_target = !kept->has_target;
  layer->has_tone = kept->tone != 0;
  if (!layer->has_tone) return DW_OK;
  dw_copy_text(layer->tone_name, sizeof layer->tone_name, kept->tone_name);
  return dw_tone_range_load(book, kept->tone, &layer->tone, err);
}

dw_status dw_toned_place(dw_book *book, const dw_pattern_layer *layer, dw_lab color, dw_toned *out,
                         dw_error *err) {
  dw_tone_range range;
  *out = (dw_toned){.known = layer->tone != 0, .color = color};
  if (!out->known) return DW_OK;
  dw_copy_text(out->name, sizeof out->name, layer->tone_name);
  dw_status status = dw_tone_range_load(book, layer->tone, &range, err);
  if (status == DW_OK) dw_tone_place(&range, color, &out->spot);
  return status;
}
