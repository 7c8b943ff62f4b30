/* Swirls as text. */
#include "dropwise/report_swirl.h"

static void color_add(const dw_swirl_color *c, const char *name, const dw_lab *target, const dw_style *style,
                      dw_text *out) {
  char words[160];
  dw_text_add(out, "  %-12.40s %3.0f%% (doubt %.0f)  ", name, 100 * c->share, 100 * c->share_doubt);
  dw_text_swatch(c->lab, style, out);
  dw_text_lab(c->lab, out);
  dw_text_add(out, "  doubt %.2f  ", c->uncertainty_de00);
  if (target) {
    dw_difference_words(*target, c->lab, words, sizeof words);
    dw_text_add(out, "%.1f from its target: %s\n", dw_de00(*target, c->lab), words);
  } else {
    dw_color_words(c->lab, words, sizeof words);
    dw_text_add(out, "%s\n", words);
  }
}

static void swirl_add(const dw_swirl *swirl, const char *const *names, const dw_lab *targets,
                      const dw_style *style, dw_text *out) {
  for (size_t i = 0; i < swirl->n; i++) {
    char number[32];
    snprintf(number, sizeof number, "color %zu", i + 1);
    color_add(&swirl->color[i], names ? names[i] : number, targets ? &targets[i] : NULL, style, out);
  }
  dw_text_add(out, "  %.0f%% of it blends two colors, %.0f%% is gloss or none of them\n",
              100 * swirl->blended, 100 * swirl->aside);
  dw_text_notes(&swirl->notes, "  ", out);
}

static void head_add(const dw_photo_reading *photo, dw_text *out) {
  dw_text_add(out, "%s: light %s\n", photo->path, photo->light.method_text);
  dw_text_notes(&photo->photo.notes, "  ", out);
  dw_text_notes(&photo->light.notes, "  ", out);
}

void dw_text_swirl_colors(const dw_photo_reading *reading, const dw_style *style, dw_text *out) {
  head_add(reading, out);
  for (size_t i = 0; i < reading->n; i++) {
    const dw_layer_reading *layer = &reading->layer[i];
    const dw_swirl_color color = {.share = layer->share,
                                  .share_doubt = layer->share_doubt,
                                  .lab = layer->reading.lab,
                                  .uncertainty_de00 = layer->reading.uncertainty_de00};
    color_add(&color, layer->name, NULL, style, out);
  }
}

void dw_text_swirls(const dw_swirls *swirls, const char *const *names, const dw_lab *targets,
                    const dw_style *style, dw_text *out) {
  head_add(&swirls->reading, out);
  for (size_t i = 0; i < swirls->n; i++) {
    dw_text_add(out, "%s\n", swirls->bait[i].name);
    swirl_add(&swirls->bait[i].swirl, names, targets, style, out);
  }
  if (swirls->n > 1) {
    dw_text_add(out, "mean of %zu\n", swirls->n);
    swirl_add(&swirls->mean, names, targets, style, out);
  }
  dw_text_notes(&swirls->notes, "", out);
}
