/* A bait turned in the light, as text. */
#include "dropwise/report_turn.h"

#include <math.h>

static void layer_add(const dw_turn *turn, const dw_turn_layer *layer, const dw_style *style, dw_text *out) {
  const dw_travel *travel = &layer->travel;
  dw_text_add(out, "\n%s: %s\n", layer->name, dw_travel_verdict_text(travel->verdict));
  for (size_t i = 0; i < turn->photos; i++) {
    const dw_reading *r = &layer->at[i].reading;
    dw_text_add(out, "  photo %zu  ", i + 1);
    dw_text_swatch(r->lab, style, out);
    dw_text_lab(r->lab, out);
    dw_text_add(out, "  doubt %.2f\n", r->uncertainty_de00);
    dw_text_notes(&r->notes, "  ", out);
  }
  dw_text_add(out, "  %s\n", travel->words);
  if (travel->verdict == DW_TRAVEL_UNCLEAR) return;
  dw_text_add(out, "  Photo %zu to %zu: lightness %+.1f, chroma %+.1f, hue %+.1f", travel->from + 1,
              travel->to + 1, dw_rounded(travel->dl, 1), dw_rounded(travel->dc, 1),
              dw_rounded(travel->dh, 1));
  if (isnan(travel->hue_deg))
    dw_text_add(out, " (too gray for a hue angle)\n");
  else
    dw_text_add(out, " (%+.0f degrees, doubt %.0f)\n", dw_rounded(travel->hue_deg, 0), travel->hue_doubt_deg);
}

void dw_text_turn(const dw_turn *turn, const dw_travel_against *against, const dw_style *style,
                  dw_text *out) {
  for (size_t i = 0; i < turn->photos; i++) {
    const dw_photo_reading *photo = &turn->photo[i];
    dw_text_add(out, "Photo %zu: %s, light %s\n", i + 1, photo->path, photo->light.method_text);
    dw_text_notes(&photo->photo.notes, "  ", out);
    dw_text_notes(&photo->light.notes, "  ", out);
  }
  dw_text_notes(&turn->notes, "  ", out);
  for (size_t i = 0; i < turn->n; i++) {
    layer_add(turn, &turn->layer[i], style, out);
    if (against) dw_text_add(out, "  %s\n", against[i].words);
  }
}
