/* Blends for a terminal: a line for each layer, and between them one for each step. */
#include "dropwise/report_blend.h"

#include <math.h>
#include <string.h>

static void text_color(const char *left, const dw_prediction *p, const dw_style *style, dw_text *out) {
  dw_text_add(out, "%-22.40s ", left);
  dw_text_swatch(p->lab, style, out);
  dw_text_add(out, "%6.2f %7.2f %7.2f %6.1f  %5.1f  ", dw_rounded(p->lab.L, 2), dw_rounded(p->lab.a, 2),
              dw_rounded(p->lab.b, 2), dw_lch_from_lab(p->lab).C, p->uncertainty_de00);
}

static void text_layer(const char *name, const dw_prediction *p, const dw_style *style, dw_text *out) {
  char words[64];
  dw_color_words(p->lab, words, sizeof words);
  text_color(name, p, style, out);
  dw_text_add(out, "%s, ", words);
  dw_text_see_through(p->see_through, out);
  dw_text_add(out, "\n");
}

static void text_steps(const dw_blends *blends, size_t i, const dw_style *style, dw_text *out) {
  const dw_blend *blend = &blends->between[i];
  for (int k = 0; k < DW_BLEND_STEPS; k++) {
    char left[40], words[64];
    dw_color_words(blend->step[k].lab, words, sizeof words);
    snprintf(left, sizeof left, "  %.0f%% %.32s", 100 * dw_blend_shares[k], blends->layer[i + 1].name);
    text_color(left, &blend->step[k], style, out);
    dw_text_add(out, "%s\n", words);
  }
}

void dw_text_blend_even(const dw_shelf *shelf, const dw_blends *blends, size_t i, const dw_style *style,
                        dw_text *out) {
  const dw_blend_even *even = &blends->even[i];
  if (blends->between[i].overpowers == DW_OVERPOWERS_NONE || !even->found) return;
  dw_text_add(out, "%s: ", blends->layer[i + (size_t)even->layer].name);
  dw_text_additions(shelf, &even->solution.add, even->solution.add_clear_floz, style, false, out);
  dw_text_add(out, "%s; then ", even->reached ? "" : " evens them in part");
  dw_text_see_through(even->solution.predicted.see_through, out);
  dw_text_add(out, "; its color moves by %.1f", even->moved_de00);
}

static void text_even(const dw_shelf *shelf, const dw_blends *blends, size_t i, const dw_style *style,
                      dw_text *out) {
  dw_text even = {0};
  dw_text_blend_even(shelf, blends, i, style, &even);
  if (even.length > 0) dw_text_add(out, "> %s\n", even.data);
  out->failed |= even.failed;
  dw_text_free(&even);
}

void dw_text_blends(const dw_shelf *shelf, const dw_blends *blends, const dw_style *style, dw_text *out) {
  dw_text_add(out, "Where layers meet, ");
  dw_text_slab(&blends->slab, style, out);
  dw_text_add(out, "\n\n%-22s %s    L*      a*      b*     C*  doubt\n", "layer",
              style->color ? "     " : "");
  for (size_t i = 0; i < blends->n; i++) {
    const bool last = i + 1 == blends->n;
    text_layer(blends->layer[i].name, last ? &blends->between[i - 1].end[1] : &blends->between[i].end[0],
               style, out);
    if (!last) text_steps(blends, i, style, out);
  }
  dw_text_add(out, "\n");
  dw_text_notes(&blends->notes, "", out);
  for (size_t i = 0; i + 1 < blends->n; i++) text_even(shelf, blends, i, style, out);
}
