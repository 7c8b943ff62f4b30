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
    if (against && *against[i].words) dw_text_add(out, "  %s\n", against[i].words);
  }
}

void dw_text_travel(const dw_book_travel *travel, dw_text *out) {
  dw_text_add(out, "%5st%lld  %.16s  %-12s %s by %.1f (doubt %.1f)", "", (long long)travel->id, travel->taken,
              travel->layer_name, travel->travels ? "travels" : "steady,", travel->de00, travel->doubt_de00);
  if (!isnan(travel->hue_deg))
    dw_text_add(out, ", hue %+.0f degrees (doubt %.0f)", dw_rounded(travel->hue_deg, 0),
                travel->hue_doubt_deg);
  if (travel->batch)
    dw_text_add(out, ", bait %d\n", travel->bait + 1);
  else
    dw_text_add(out, ", the target's\n");
}

json_t *dw_json_travel(const dw_book_travel *travel) {
  return json_pack(
      "{s:I, s:s, s:o, s:b, s:o, s:o, s:o, s:o, s:o, s:s}", "id", (json_int_t)travel->id, "layer",
      travel->layer_name, "bait", travel->batch ? json_integer(travel->bait + 1) : json_null(), "travels",
      travel->travels, "de00", dw_json_round(travel->de00, 2), "doubt_de00",
      dw_json_round(travel->doubt_de00, 2), "hue_deg", dw_json_round(travel->hue_deg, 1), "hue_doubt_deg",
      dw_json_round(travel->hue_doubt_deg, 1), "p", dw_json_round(travel->p, 4), "taken", travel->taken);
}
