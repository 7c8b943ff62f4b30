/* The cup sheet for a terminal, and for scripts. */
#include "dropwise/mix_json.h"
#include "dropwise/report_sheet.h"

#include <math.h>

void dw_sheet_advised_words(const dw_sheet *sheet, const dw_sheet_cup *cup, dw_text *out) {
  const dw_recipe *drops = &cup->advised.drops;
  const double clear = cup->advised.volume_floz - cup->cup.volume_floz;
  const char *comma = "";
  if (!cup->has_advised) return;
  dw_text_add(out, "add ");
  for (size_t i = 0; i < drops->n; i++) {
    const size_t bottle = drops->part[i].bottle;
    const double more = drops->part[i].amount - dw_recipe_amount(&cup->cup.drops, bottle);
    if (!(more > 0)) continue;
    dw_text_add(out, "%s%.4g drop%s %s", comma, more, more == 1 ? "" : "s",
                sheet->shelf->bottle[bottle].title);
    comma = ", ";
  }
  if (!(clear > 0)) return;
  dw_text_add(out, "%s", comma);
  dw_text_volume(clear, sheet->units, out);
  dw_text_add(out, " clear base");
}

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
  if (!cup->has_advised) return;
  dw_text_add(out, "   ");
  dw_sheet_advised_words(sheet, cup, out);
  dw_text_add(out, "\n");
}

void dw_sheet_heat_words(const dw_sheet_cup *cup, dw_units units, char out[DW_HEAT_WORDS_ROOM]) {
  char degrees[24];
  int used = 0;
  out[0] = '\0';
  if (!isnan(cup->temperature_f))
    used = snprintf(out, DW_HEAT_WORDS_ROOM, "%s",
                    dw_temperature_text(cup->temperature_f, units, degrees, sizeof degrees));
  if (used && cup->minute >= 0)
    used += snprintf(out + used, DW_HEAT_WORDS_ROOM - (size_t)used, " at minute %d", cup->minute);
  if (cup->reheats)
    snprintf(out + used, DW_HEAT_WORDS_ROOM - (size_t)used, "%sreheated %zu time%s", used ? ", " : "",
             cup->reheats, cup->reheats == 1 ? "" : "s");
}

static void text_heat(const dw_sheet *sheet, size_t i, dw_text *out) {
  char words[DW_HEAT_WORDS_ROOM];
  dw_sheet_heat_words(&sheet->cup[i], sheet->units, words);
  dw_text_add(out, "   temperature %s\n", *words ? words : "when poured ________  minute ____");
}

void dw_text_sheet(const dw_sheet *sheet, const dw_style *style, dw_text *out) {
  dw_text_add(out, "%s, cup sheet, %s%s%s\n", sheet->title, sheet->date, *sheet->source ? ". " : "",
              sheet->source);
  if (*sheet->lack) dw_text_add(out, "! %s\n", sheet->lack);
  if (*sheet->note) dw_text_add(out, "%s\n", sheet->note);
  for (size_t i = 0; i < sheet->n; i++) {
    text_cup(sheet, i, style, out);
    text_heat(sheet, i, out);
  }
  if (sheet->batch && !isnan(sheet->heat.spread_f))
    dw_text_add(out, "\n%s%s", sheet->heat.beyond ? "! " : "", sheet->heat.words);
  dw_text_add(out, "\n%s\n", dw_heat_source);
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
    json_t *json = json_pack(
        "{s:s, s:o, s:o, s:o, s:o, s:o, s:b}", "layer", cup->layer, "volume_floz",
        dw_json_round(cup->cup.volume_floz, 3), "capacity_floz", dw_json_round(cup->cup.capacity_floz, 3),
        "drops", dw_json_drops(&cup->cup.drops, sheet->shelf), "target",
        cup->has_target ? dw_json_lab(cup->target) : json_null(), "color",
        cup->has_color ? dw_json_lab(cup->color) : json_null(), "measured", cup->measured);
    json = dw_json_with(json, "temperature_f", dw_json_round(cup->temperature_f, 1));
    json = dw_json_with(json, "reheats", json_integer((json_int_t)cup->reheats));
    cups = dw_json_and(cups, json);
  }
  json_t *chambers = sheet->has_mold ? json_array() : json_null();
  for (size_t i = 0; sheet->has_mold && i < sheet->n; i++)
    chambers = dw_json_and(chambers, json_string(sheet->cup[sheet->chamber[i]].layer));
  json_t *sheet_json = json_pack("{s:s, s:s, s:s, s:s, s:s, s:s, s:o, s:o, s:o, s:o}", "title", sheet->title,
                                 "date", sheet->date, "source", sheet->source, "warning", sheet->lack, "note",
                                 sheet->note, "units", sheet->units == DW_UNITS_METRIC ? "metric" : "us",
                                 "batch", sheet->batch ? json_integer(sheet->batch) : json_null(), "mold",
                                 sheet->has_mold ? json_string(sheet->mold.name) : json_null(), "chambers",
                                 chambers, "cups", cups);
  return sheet->batch ? dw_json_with(sheet_json, "heat", dw_json_heat_spread(&sheet->heat)) : sheet_json;
}
