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

static void text_opacity(double see_through, pt_text *out) {
  const char *words = see_through > 0.97   ? "opaque"
                      : see_through > 0.85 ? "nearly opaque"
                      : see_through > 0.60 ? "some light comes through"
                      : see_through > 0.30 ? "see-through"
                                           : "nearly clear";
  pt_text_add(out, "contrast ratio %.2f, %s", see_through, words);
}

void pt_text_prediction(const pt_prediction *p, const char *recipe, const pt_slab *slab,
                        const pt_style *style, pt_text *out) {
  char words[64];
  pt_color_words(p->lab, words, sizeof words);
  pt_text_swatch(p->lab, style, out);
  pt_text_add(out, "%s, ", *recipe ? recipe : "clear base");
  text_thickness(slab->thickness_mm, style, out);
  pt_text_add(out, " over a backing of %.2f\n  L* %.2f  a* %.2f  b* %.2f   %s", slab->backing,
              pt_rounded(p->lab.L, 2), pt_rounded(p->lab.a, 2), pt_rounded(p->lab.b, 2), words);
  if (p->uncertainty_de00 > 0) pt_text_add(out, ", give or take %.1f CIEDE2000", p->uncertainty_de00);
  pt_text_add(out, "\n  ");
  text_opacity(p->see_through, out);
  pt_text_add(out, "\n");
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

static void text_advice(const pt_advice_request *request, const pt_advice *advice, bool first,
                        const pt_style *style, pt_text *out) {
  pt_text_add(out, "  %s ", first ? "Add" : "or ");
  pt_text_additions(request->shelf, &advice->add, advice->add_clear_floz, style, first, out);
  pt_text_add(out, "\n      then ");
  pt_text_swatch(advice->predicted.lab, style, out);
  pt_text_lab(advice->predicted.lab, out);
  pt_text_add(out, ", %.2f from the target  [%s]\n      %s\n", advice->predicted_de00, advice->plugin,
              advice->words);
  text_notes(&advice->notes, "      ", out);
}

static void text_layer_advice(const pt_advice_request *request, const pt_advice_result *result, size_t layer,
                              const pt_style *style, pt_text *out) {
  const pt_layer *l = &request->layer[layer];
  const pt_layer_state *state = &result->state[layer];
  char words[160], cup[256];
  pt_way_words(state->now, l->target, words, sizeof words);
  pt_recipe_format(&l->cup.drops, request->shelf, cup, sizeof cup);
  pt_text_add(out, "%s\n  in the cup: ", l->name);
  pt_text_volume(l->cup.volume_floz, style->units, out);
  pt_text_add(out, ", %s\n  %-7s ", *cup ? cup : "clear base", l->has_measured ? "now" : "now (predicted)");
  pt_text_swatch(state->now, style, out);
  pt_text_lab(state->now, out);
  pt_text_add(out, "\n  target  ");
  pt_text_swatch(l->target, style, out);
  pt_text_lab(l->target, out);
  pt_text_add(out, "  %.2f away", state->now_de00);
  if (l->has_measured && state->now_de00 <= l->measured_uncertainty_de00)
    pt_text_add(out, ", within what the photo can tell\n");
  else
    pt_text_add(out, "; %s\n", words);
  bool first = true;
  for (size_t i = 0; i < result->n; i++) {
    if (result->advice[i].layer != layer) continue;
    text_advice(request, &result->advice[i], first, style, out);
    first = false;
  }
  if (first) pt_text_add(out, "  No plugin has anything to add: leave it.\n");
}

void pt_text_advice(const pt_advice_request *request, const pt_advice_result *result, const pt_style *style,
                    pt_text *out) {
  for (size_t i = 0; i < request->n; i++) {
    if (i) pt_text_add(out, "\n");
    text_layer_advice(request, result, i, style, out);
  }
  text_notes(&result->notes, "", out);
}

void pt_text_plugins(const pt_plugins *plugins, pt_text *out) {
  for (size_t i = 0; i < plugins->n; i++) {
    const pt_plugin_entry_info *e = &plugins->entry[i];
    if (e->usable)
      pt_text_add(out, "%-12s %s, version %s\n             %s\n", e->id, e->title, e->version, e->path);
    else
      pt_text_add(out, "refused      %s\n             %s\n", e->path, e->why);
  }
  if (plugins->n == 0) pt_text_add(out, "No plugin was found.\n");
}

void pt_text_cautions(pt_text *out) {
  pt_text_add(out, "\nMind:\n");
  for (size_t i = 0; i < pt_caution_count; i++) pt_text_add(out, "  - %s\n", pt_cautions[i]);
}
