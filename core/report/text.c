/* Text for a terminal: aligned, a swatch where the terminal can, the thing to do on a line of its own. */
#include "pourtone/report.h"

#include <math.h>
#include <string.h>

void pt_text_lab(pt_lab color, pt_text *out) {
  pt_text_add(out, "%.2f,%.2f,%.2f", pt_rounded(color.L, 2), pt_rounded(color.a, 2), pt_rounded(color.b, 2));
}

void pt_text_swatch(pt_lab color, const pt_style *style, pt_text *out) {
  if (!style->color) return;
  uint8_t rgb[3];
  pt_srgb8_from_lab(color, rgb);
  pt_text_add(out, "\033[48;2;%d;%d;%dm    \033[0m ", rgb[0], rgb[1], rgb[2]);
}

void pt_text_volume(double floz, pt_units units, pt_text *out) {
  if (units == PT_UNITS_METRIC)
    pt_text_add(out, "%.0f ml", floz * PT_ML_PER_FLOZ);
  else
    pt_text_add(out, "%.3g fl oz", floz);
}

static void text_notes(const pt_notes *notes, const char *indent, pt_text *out) {
  for (size_t i = 0; i < notes->n; i++) pt_text_add(out, "%s! %s\n", indent, notes->text[i]);
}

static void text_percent(double share, int width, pt_text *out) {
  if (share > 0 && share < 0.005)
    pt_text_add(out, "%*s", width, "<1%");
  else
    pt_text_add(out, "%*.0f%%", width - 1, 100 * share);
}

static int name_width(const pt_photo_reading *reading) {
  size_t width = 5;
  for (size_t i = 0; i < reading->n; i++) {
    size_t n = strlen(reading->layer[i].name);
    if (n > width) width = n;
  }
  return (int)width;
}

static void text_light(const pt_light_info *light, pt_text *out) {
  pt_text_add(out, "Light: %s", light->method_text);
  if (light->method == PT_LIGHT_CARD)
    pt_text_add(
        out, ", %zu patches; off by %.1f on them (worst %.1f), %.1f when each is left out (worst %.1f)",
        light->patches, light->residual.mean, light->residual.max, light->left_out.mean, light->left_out.max);
  pt_text_add(out, "\n");
  text_notes(&light->notes, "  ", out);
}

static void text_layer(const pt_layer_reading *layer, int width, const pt_style *style, pt_text *out) {
  const pt_reading *r = &layer->reading;
  char words[64];
  pt_color_words(r->lab, words, sizeof words);
  pt_text_add(out, "%-*s  ", width, layer->name);
  pt_text_swatch(r->lab, style, out);
  double hue = pt_hue_shown(r->lch, 1, 0);
  pt_text_add(out, "%6.2f %7.2f %7.2f %6.1f ", pt_rounded(r->lab.L, 2), pt_rounded(r->lab.a, 2),
              pt_rounded(r->lab.b, 2), r->lch.C);
  pt_text_add(out, isnan(hue) ? "    -" : "%5.0f", hue);
  pt_text_add(out, "  %5.1f  ", r->uncertainty_de00);
  text_percent(r->shares.kept, 5, out);
  text_percent(r->shares.gloss, 6, out);
  text_percent(r->shares.flake, 6, out);
  text_percent(r->shares.shadow, 6, out);
  text_percent(r->shares.clipped, 6, out);
  pt_text_add(out, "  %s\n", words);
  text_notes(&r->notes, "       ", out);
}

void pt_text_reading(const pt_photo_reading *reading, const pt_style *style, pt_text *out) {
  int width = name_width(reading);
  pt_text_add(out, "%s: %d x %d, %s\n", reading->path, reading->photo.width, reading->photo.height,
              reading->photo.profile);
  text_notes(&reading->photo.notes, "  ", out);
  text_light(&reading->light, out);
  pt_text_add(out, "\n%-*s  %s    L*      a*      b*     C*     h  doubt   kept gloss flake  dark  clip\n",
              width, "layer", style->color ? "     " : "");
  for (size_t i = 0; i < reading->n; i++) text_layer(&reading->layer[i], width, style, out);
  pt_text_add(
      out,
      "\nDoubt is one standard deviation, in CIEDE2000; a smaller difference is within what this photo can "
      "tell.\nKept is the share of the pixels that counted. Set aside: gloss, flake, dark (shadow) and clip "
      "(too bright\nor too dark for the camera).\n");
}

void pt_text_difference(pt_lab from, pt_lab to, const pt_style *style, pt_text *out) {
  pt_difference d = pt_difference_between(from, to);
  char words[160];
  pt_difference_words(from, to, words, sizeof words);
  pt_text_swatch(from, style, out);
  pt_text_lab(from, out);
  pt_text_add(out, "  to  ");
  pt_text_swatch(to, style, out);
  pt_text_lab(to, out);
  pt_text_add(out, "\nCIEDE2000 %.2f: %s\n  lightness %+.2f   chroma %+.2f   hue %+.2f\n", d.de00, words,
              pt_rounded(d.dl, 2), pt_rounded(d.dc, 2), pt_rounded(d.dh, 2));
}

static void text_thickness(double mm, const pt_style *style, pt_text *out) {
  if (style->units == PT_UNITS_METRIC)
    pt_text_add(out, "%.1f mm", mm);
  else
    pt_text_add(out, "%.1f mm (%.2f in)", mm, mm / PT_MM_PER_INCH);
}

void pt_text_backing(double reflectance, pt_text *out) {
  const char *name = pt_backing_name(reflectance);
  if (name)
    pt_text_add(out, "%s", name);
  else
    pt_text_add(out, "a backing that reflects %.0f%%", 100 * reflectance);
}

void pt_text_slab(const pt_slab *slab, const pt_style *style, pt_text *out) {
  text_thickness(slab->thickness_mm, style, out);
  pt_text_add(out, " thick over ");
  pt_text_backing(slab->backing, out);
}

void pt_text_prediction(const pt_prediction *p, const char *recipe, const pt_slab *slab,
                        const pt_style *style, pt_text *out) {
  char words[64];
  pt_color_words(p->lab, words, sizeof words);
  pt_text_swatch(p->lab, style, out);
  pt_text_add(out, "%s, ", *recipe ? recipe : "clear base");
  pt_text_slab(slab, style, out);
  pt_text_add(out, "\n  L* %.2f  a* %.2f  b* %.2f   %s", pt_rounded(p->lab.L, 2), pt_rounded(p->lab.a, 2),
              pt_rounded(p->lab.b, 2), words);
  if (p->uncertainty_de00 > 0) pt_text_add(out, ", give or take %.1f CIEDE2000", p->uncertainty_de00);
  pt_text_add(out, "\n  %s: %.2f, where 0 is clear and 1 is solid\n",
              pt_plugin_see_through_words(p->see_through), p->see_through);
  text_notes(&p->notes, "  ", out);
}

void pt_text_additions(const pt_shelf *shelf, const pt_recipe *add, double clear_floz, const pt_style *style,
                       bool milliliters, pt_text *out) {
  const char *comma = "";
  for (size_t i = 0; i < add->n; i++) {
    const pt_bottle *bottle = &shelf->bottle[add->part[i].bottle];
    double drops = add->part[i].amount;
    pt_text_add(out, "%s+%g %s", comma, round(drops * 100) / 100, bottle->id);
    if (milliliters) pt_text_add(out, " (%.2f ml)", drops * bottle->drop_ml);
    comma = ", ";
  }
  if (clear_floz > 0) {
    pt_text_add(out, "%s+", comma);
    pt_text_volume(clear_floz, style->units, out);
    pt_text_add(out, " clear base");
  } else if (add->n == 0) {
    pt_text_add(out, "nothing: leave it");
  }
}

void pt_text_plugins(const pt_plugins *plugins, pt_text *out) {
  for (size_t i = 0; i < plugins->n; i++) {
    const pt_plugin_entry_info *e = &plugins->entry[i];
    if (e->usable)
      pt_text_add(out, "%-12s %s, version %s%s\n             %s\n", e->id, e->title, e->version,
                  e->only_named ? "; asked only when named (--plugin)" : "", e->path);
    else
      pt_text_add(out, "refused      %s\n             %s\n", e->path, e->why);
  }
  if (plugins->n == 0) pt_text_add(out, "No plugin was found.\n");
}

void pt_text_caution_line(pt_text *out) {
  pt_text_add(out, "%s\n", pt_caution_line);
}

void pt_text_cautions(pt_text *out) {
  pt_text_add(out, "\nMind:\n");
  for (size_t i = 0; i < pt_caution_count; i++) pt_text_add(out, "  - %s\n", pt_cautions[i]);
}
