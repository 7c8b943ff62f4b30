/* Drops on a white table, as text. */
#include "dropwise/report_drizzle.h"

static void drop_add(const dw_layer_reading *layer, const dw_drop *drop, const dw_style *style,
                     dw_text *out) {
  dw_text_add(out, "\n%s%s%s\n  film  ", layer->name, drop ? ": " : "", drop ? drop->verdict : "");
  dw_text_swatch(layer->reading.lab, style, out);
  dw_text_lab(layer->reading.lab, out);
  dw_text_add(out, "  doubt %.2f\n", layer->reading.uncertainty_de00);
  if (drop && drop->known && drop->film.verdict == DW_FILM_TOLD) {
    dw_text_add(out, "  bait  ");
    dw_text_swatch(drop->film.lab, style, out);
    dw_text_lab(drop->film.lab, out);
    dw_text_add(out, "  doubt %.2f\n", drop->film.doubt_de00);
  }
  if (drop) dw_text_add(out, "  %s\n", drop->words);
  dw_text_notes(&layer->reading.notes, "  ", out);
}

void dw_text_drizzle(const dw_drizzle *drizzle, const dw_drops_judged *judged, const dw_style *style,
                     dw_text *out) {
  const dw_photo_reading *reading = &drizzle->reading;
  dw_text_add(out, "%s, light %s; %zu drop%s on a table of L* %.0f\n", reading->path,
              reading->light.method_text, reading->n, reading->n == 1 ? "" : "s", drizzle->table.L);
  dw_text_notes(&reading->photo.notes, "  ", out);
  dw_text_notes(&reading->light.notes, "  ", out);
  dw_text_notes(&drizzle->notes, "  ", out);
  for (size_t i = 0; i < reading->n; i++)
    drop_add(&reading->layer[i], judged ? &judged->drop[i] : NULL, style, out);
  if (reading->n > 1) dw_text_add(out, "\nSide by side, as films\n");
  for (size_t i = 0; i + 1 < reading->n; i++) {
    char words[DW_NOTE_TEXT];
    dw_lab one = reading->layer[i].reading.lab, other = reading->layer[i + 1].reading.lab;
    dw_difference_words(one, other, words, sizeof words);
    dw_text_add(out, "  from %s to %s: %.2f, %s\n", reading->layer[i].name, reading->layer[i + 1].name,
                dw_de00(one, other), words);
  }
  if (judged && judged->swapped) dw_text_add(out, "! %s\n", judged->swap_words);
}
