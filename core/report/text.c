/* Text for a terminal: aligned, a swatch where the terminal can, the thing to do on a line of its own. */
#include "dropwise/report.h"

#include <math.h>
#include <string.h>

void dw_text_lab(dw_lab color, dw_text *out) {
  dw_text_add(out, "%.2f,%.2f,%.2f", dw_rounded(color.L, 2), dw_rounded(color.a, 2), dw_rounded(color.b, 2));
}

void dw_text_swatch(dw_lab color, const dw_style *style, dw_text *out) {
  if (!style->color) return;
  uint8_t rgb[3];
  dw_srgb8_from_lab(color, rgb);
  dw_text_add(out, "\033[48;2;%d;%d;%dm    \033[0m ", rgb[0], rgb[1], rgb[2]);
}

void dw_text_volume(double floz, dw_units units, dw_text *out) {
  if (units == DW_UNITS_METRIC)
    dw_text_add(out, "%.0f ml", floz * DW_ML_PER_FLOZ);
  else
    dw_text_add(out, "%.3g fl oz", floz);
}

void dw_text_notes(const dw_notes *notes, const char *indent, dw_text *out) {
  for (size_t i = 0; i < notes->n; i++) dw_text_add(out, "%s! %s\n", indent, notes->text[i]);
}

static void text_percent(double share, int width, dw_text *out) {
  if (share > 0 && share < 0.005)
    dw_text_add(out, "%*s", width, "<1%");
  else
    dw_text_add(out, "%*.0f%%", width - 1, 100 * share);
}

static int name_width(const dw_photo_reading *reading) {
  size_t width = 5;
  for (size_t i = 0; i < reading->n; i++) {
    size_t n = strlen(reading->layer[i].name);
    if (n > width) width = n;
  }
  return (int)width;
}

static void text_light(const dw_light_info *light, dw_text *out) {
  dw_text_add(out, "Light: %s", light->method_text);
  if (light->method == DW_LIGHT_CARD)
    dw_text_add(
        out, ", %zu patches; off by %.1f on them (worst %.1f), %.1f when each is left out (worst %.1f)",
        light->patches, light->residual.mean, light->residual.max, light->left_out.mean, light->left_out.max);
  dw_text_add(out, "\n");
  dw_text_notes(&light->notes, "  ", out);
}

static void text_layer(const dw_layer_reading *layer, int width, const dw_style *style, dw_text *out) {
  const dw_reading *r = &layer->reading;
  char words[64];
  dw_color_words(r->lab, words, sizeof words);
  dw_text_add(out, "%-*s  ", width, layer->name);
  dw_text_swatch(r->lab, style, out);
  double hue = dw_hue_shown(r->lch, 1, 0);
  dw_text_add(out, "%6.2f %7.2f %7.2f %6.1f ", dw_rounded(r->lab.L, 2), dw_rounded(r->lab.a, 2),
              dw_rounded(r->lab.b, 2), r->lch.C);
  dw_text_add(out, isnan(hue) ? "    -" : "%5.0f", hue);
  dw_text_add(out, "  %5.1f  ", r->uncertainty_de00);
  text_percent(r->shares.kept, 5, out);
  text_percent(r->shares.gloss, 6, out);
  text_percent(r->shares.flake, 6, out);
  text_percent(r->shares.shadow, 6, out);
  text_percent(r->shares.clipped, 6, out);
  dw_text_add(out, "  %s\n", words);
  if (r->flake.pixels) {
    char speck[64];
    dw_color_words(r->flake.lab, speck, sizeof speck);
    dw_text_add(out, "         flake ");
    dw_text_lab(r->flake.lab, out);
    dw_text_add(out, "  doubt %.1f  %s\n", r->flake.uncertainty_de00, speck);
  }
  dw_text_notes(&r->notes, "       ", out);
}

void dw_text_reading(const dw_photo_reading *reading, const dw_style *style, dw_text *out) {
  int width = name_width(reading);
  dw_text_add(out, "%s: %d x %d, %s\n", reading->path, reading->photo.width, reading->photo.height,
              reading->photo.profile);
  dw_text_notes(&reading->photo.notes, "  ", out);
  text_light(&reading->light, out);
  dw_text_add(out, "\n%-*s  %s    L*      a*      b*     C*     h  doubt   kept gloss flake  dark  clip\n",
              width, "layer", style->color ? "     " : "");
  for (size_t i = 0; i < reading->n; i++) text_layer(&reading->layer[i], width, style, out);
}

void dw_text_reading_legend(dw_text *out) {
  dw_text_add(
      out,
      "\nDoubt is one standard deviation, in CIEDE2000; a smaller difference is within what this photo can "
      "tell.\nKept is the share of the pixels that counted. Set aside: gloss, flake, dark (shadow) and clip "
      "(too bright\nor too dark for the camera).\n");
}

void dw_text_difference(dw_lab from, dw_lab to, const dw_style *style, dw_text *out) {
  dw_difference d = dw_difference_between(from, to);
  char words[160];
  dw_difference_words(from, to, words, sizeof words);
  dw_text_swatch(from, style, out);
  dw_text_lab(from, out);
  dw_text_add(out, "  to  ");
  dw_text_swatch(to, style, out);
  dw_text_lab(to, out);
  dw_text_add(out, "\nCIEDE2000 %.2f: %s\n  lightness %+.2f   chroma %+.2f   hue %+.2f\n", d.de00, words,
              dw_rounded(d.dl, 2), dw_rounded(d.dc, 2), dw_rounded(d.dh, 2));
}

static void text_thickness(double mm, const dw_style *style, dw_text *out) {
  if (style->units == DW_UNITS_METRIC)
    dw_text_add(out, "%.1f mm", mm);
  else
    dw_text_add(out, "%.1f mm (%.2f in)", mm, mm / DW_MM_PER_INCH);
}

void dw_text_backing(double reflectance, dw_text *out) {
  const char *name = dw_backing_name(reflectance);
  if (name)
    dw_text_add(out, "%s", name);
  else
    dw_text_add(out, "a backing that reflects %.0f%%", 100 * reflectance);
}

void dw_text_slab(const dw_slab *slab, const dw_style *style, dw_text *out) {
  text_thickness(slab->thickness_mm, style, out);
  dw_text_add(out, " thick over ");
  dw_text_backing(slab->backing, out);
}

void dw_text_see_through(double ratio, dw_text *out) {
  dw_text_add(out, "see-through %.2f, where 0 is clear and 1 is solid", ratio);
}

void dw_text_tone(const char *name, dw_lab color, const dw_tone_spot *spot, dw_text *out) {
  char words[DW_NOTE_TEXT];
  dw_tone_words(name, color, spot, words, sizeof words);
  dw_text_add(out, "%s", words);
}

void dw_text_prediction(const dw_prediction *p, const char *recipe, const dw_slab *slab,
                        const dw_style *style, dw_text *out) {
  char words[64];
  dw_color_words(p->lab, words, sizeof words);
  dw_text_swatch(p->lab, style, out);
  dw_text_add(out, "%s%s, ", *recipe ? recipe : "clear base", *recipe ? " drops per fl oz" : "");
  dw_text_slab(slab, style, out);
  dw_text_add(out, "\n  L* %.2f  a* %.2f  b* %.2f   %s", dw_rounded(p->lab.L, 2), dw_rounded(p->lab.a, 2),
              dw_rounded(p->lab.b, 2), words);
  if (p->uncertainty_de00 > 0) dw_text_add(out, ", doubt %.1f CIEDE2000", p->uncertainty_de00);
  dw_text_add(out, "\n  %s: ", dw_plugin_see_through_words(p->see_through));
  dw_text_see_through(p->see_through, out);
  dw_text_add(out, "\n");
  dw_text_notes(&p->notes, "  ", out);
}

void dw_text_additions(const dw_shelf *shelf, const dw_recipe *add, double clear_floz, const dw_style *style,
                       bool milliliters, dw_text *out) {
  const char *comma = "";
  for (size_t i = 0; i < add->n; i++) {
    const dw_bottle *bottle = &shelf->bottle[add->part[i].bottle];
    double drops = add->part[i].amount;
    dw_text_add(out, "%s+%g %s", comma, round(drops * 100) / 100, bottle->id);
    if (milliliters) dw_text_add(out, " (%.2f ml)", drops * bottle->drop_ml);
    comma = ", ";
  }
  if (clear_floz > 0) {
    dw_text_add(out, "%s+", comma);
    dw_text_volume(clear_floz, style->units, out);
    dw_text_add(out, " clear base");
  } else if (add->n == 0) {
    dw_text_add(out, "nothing: leave it");
  }
}

void dw_text_caution_line(dw_text *out) {
  dw_text_add(out, "%s\n", dw_caution_line);
}

void dw_text_cautions(dw_text *out) {
  dw_text_add(out, "\nMind:\n");
  for (size_t i = 0; i < dw_caution_count; i++) dw_text_add(out, "  - %s\n", dw_cautions[i]);
}
