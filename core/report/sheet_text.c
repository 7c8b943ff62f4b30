/* The cup sheet for a terminal, and for scripts. */
#include "dropwise/mix_json.h"
#include "dropwise/report_sheet.h"

static void cup_color(const char *what, dw_lab color, const dw_style *style, dw_text *out) {
  dw_text_add(out, "   %-10s ", what);
  dw_text_swatch(color, style, out);
  dw_text_lab(color, out);
  dw_text_add(out, "\n");
}

static void text_cup(const dw_sheet *sheet, size_t i, const dw_style *style, dw_text *out) {
  const dw_sheet_cup *cup = &sheet->cup[i];
  const dw_recipe *drops = &cup->cup.drops;
  dw_text_add(out, "\n%zu  %s: ", i + 1, cup->layer);
  dw_text_volume(cup->cup.volume_floz, sheet->units, out);
  dw_text_add(out, " clear base in a cup of ");
  dw_text_volume(cup->cup.capacity_floz, sheet->units, out);
  dw_text_add(out, "\n");
  for (size_t k = 0; k < drops->n; k++) {
    const dw_bottle *bottle = &sheet->shelf->bottle[drops->part[k].bottle];
    dw_text_add(out, "   %5.4g drops %s%s (%.2f ml)\n", drops->part[k].amount, bottle->title,
                dw_bottle_mark(bottle), drops->part[k].amount * bottle->drop_ml);
  }
  if (drops->n == 0) dw_text_add(out, "   no color: clear base\n");
  if (cup->has_target) cup_color("aimed for", cup->target, style, out);
  if (cup->has_color) cup_color(cup->measured ? "measured" : "predicted", cup->color, style, out);
}

void dw_text_sheet(const dw_sheet *sheet, const dw_style *style, dw_text *out) {
  dw_text_add(out, "%s, cup sheet, %s%s%s\n", sheet->title, sheet->date, *sheet->source ? ". " : "",
              sheet->source);
  if (*sheet->lack) dw_text_add(out, "! %s\n", sheet->lack);
  if (*sheet->note) dw_text_add(out, "%s\n", sheet->note);
  for (size_t i = 0; i < sheet->n; i++) text_cup(sheet, i, style, out);
  if (sheet->has_mold) {
    dw_text_add(out, "\nChambers from left to right, with the mold \"%s\":", sheet->mold.name);
    for (size_t i = 0; i < sheet->n; i++)
      dw_text_add(out, "%s %zu %s", i ? "," : "", sheet->chamber[i] + 1, sheet->cup[sheet->chamber[i]].layer);
    dw_text_add(out, ".\n");
  }
  dw_text_add(out, "\nOrder in the bait:");
  for (size_t i = 0; i < sheet->n; i++)
    dw_text_add(out, "%s %zu %s", i ? "," : "", i + 1, sheet->cup[i].layer);
  dw_text_add(out, ", from the bait's back to its belly.\n");
  dw_text_cautions(out);
}

json_t *dw_json_sheet(const dw_sheet *sheet) {
  json_t *cups = json_array();
  for (size_t i = 0; i < sheet->n; i++) {
    const dw_sheet_cup *cup = &sheet->cup[i];
    cups = dw_json_and(cups, json_pack("{s:s, s:o, s:o, s:o, s:o, s:o, s:b}", "layer", cup->layer,
                                       "volume_floz", dw_json_round(cup->cup.volume_floz, 3), "capacity_floz",
                                       dw_json_round(cup->cup.capacity_floz, 3), "drops",
                                       dw_json_drops(&cup->cup.drops, sheet->shelf), "target",
                                       cup->has_target ? dw_json_lab(cup->target) : json_null(), "color",
                                       cup->has_color ? dw_json_lab(cup->color) : json_null(), "measured",
                                       cup->measured));
  }
  json_t *chambers = sheet->has_mold ? json_array() : json_null();
  for (size_t i = 0; sheet->has_mold && i < sheet->n; i++)
    chambers = dw_json_and(chambers, json_string(sheet->cup[sheet->chamber[i]].layer));
  return json_pack("{s:s, s:s, s:s, s:s, s:s, s:s, s:o, s:o, s:o, s:o}", "title", sheet->title, "date",
                   sheet->date, "source", sheet->source, "warning", sheet->lack, "note", sheet->note, "units",
                   sheet->units == DW_UNITS_METRIC ? "metric" : "us", "batch",
                   sheet->batch ? json_integer(sheet->batch) : json_null(), "mold",
                   sheet->has_mold ? json_string(sheet->mold.name) : json_null(), "chambers", chambers,
                   "cups", cups);
}
