/* What was found in a photo, as text. */
#include "dropwise/report_found.h"

static void bait_add(const dw_bait *bait, size_t number, const dw_style *style, dw_text *out) {
  dw_text_add(out, "Bait %zu at %d,%d, %d x %d pixels\n", number, bait->box.x, bait->box.y, bait->box.w,
              bait->box.h);
  for (size_t i = 0; i < bait->n; i++) {
    const dw_reading *r = &bait->layer[i].reading;
    dw_text_add(out, "  %-7s %3.0f%%  ", dw_bait_layer_name(i, bait->n), 100 * bait->layer[i].share);
    dw_text_swatch(r->lab, style, out);
    dw_text_add(out, "%.2f,%.2f,%.2f  doubt %.2f\n", r->lab.L, r->lab.a, r->lab.b, r->uncertainty_de00);
  }
  for (size_t i = 0; i + 1 < bait->n; i++)
    dw_text_add(out, "  %s and %s blend over %.0f%% of the height\n", dw_bait_layer_name(i, bait->n),
                dw_bait_layer_name(i + 1, bait->n), 100 * bait->blend[i].width_share);
  for (size_t i = 0; i < bait->notes.n; i++) dw_text_add(out, "  Note: %s\n", bait->notes.text[i]);
}

static void spread_add(const dw_baits *baits, dw_text *out) {
  dw_baits_spread spread;
  if (!dw_baits_compare(baits, &spread)) return;
  dw_text_add(out, "Of the %zu baits with %zu layer%s:\n", spread.baits, spread.layers,
              spread.layers == 1 ? "" : "s");
  for (size_t l = 0; l < spread.layers; l++) {
    dw_text_add(out, "  %-7s mean %.2f,%.2f,%.2f, a bait typically %.2f away; share %.0f%% +- %.0f%%",
                dw_bait_layer_name(l, spread.layers), spread.layer[l].mean.L, spread.layer[l].mean.a,
                spread.layer[l].mean.b, spread.layer[l].spread_de00, 100 * spread.layer[l].share,
                100 * spread.layer[l].share_deviation);
    if (spread.layer[l].odd < baits->n)
      dw_text_add(out, "; the odd one is bait %zu, %.2f from the others", spread.layer[l].odd + 1,
                  spread.layer[l].odd_de00);
    dw_text_add(out, "\n");
  }
}

void dw_text_found(const dw_found *found, const dw_style *style, dw_text *out) {
  const dw_notes *photo = &found->reading.photo.notes;
  dw_text_add(out, "%s\n", found->reading.path);
  for (size_t i = 0; i < photo->n; i++) dw_text_add(out, "  Note: %s\n", photo->text[i]);
  dw_text_add(out, "Light: %s\n", found->reading.light.method_text);
  for (size_t i = 0; i < found->reading.light.notes.n; i++)
    dw_text_add(out, "  Note: %s\n", found->reading.light.notes.text[i]);
  for (size_t i = 0; i < found->baits.n; i++) bait_add(&found->baits.bait[i], i + 1, style, out);
  spread_add(&found->baits, out);
  for (size_t i = 0; i < found->baits.notes.n; i++)
    dw_text_add(out, "Note: %s\n", found->baits.notes.text[i]);
}
