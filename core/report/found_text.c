/* What was found in a photo, as text. */
#include "dropwise/report_found.h"

#include <string.h>

static void notes_add(const dw_notes *notes, const char *indent, dw_text *out) {
  for (size_t i = 0; i < notes->n; i++) dw_text_add(out, "%sNote: %s\n", indent, notes->text[i]);
}

static void name_add(const dw_find_wish *wish, size_t i, size_t n, dw_text *out) {
  size_t width = strlen("middle ");
  for (size_t k = 0; k < n; k++) {
    const size_t one = strlen(dw_find_layer_name(wish, k, n));
    width = one > width ? one : width;
  }
  dw_text_add(out, "  %-*s", (int)width, dw_find_layer_name(wish, i, n));
}

static void layer_add(const dw_bait *bait, const dw_find_wish *wish, size_t i, const dw_style *style,
                      dw_text *out) {
  const dw_reading *r = &bait->layer[i].reading;
  name_add(wish, i, bait->n, out);
  dw_text_add(out, " %3.0f%%  ", 100 * bait->layer[i].share);
  dw_text_swatch(r->lab, style, out);
  dw_text_add(out, "%.2f,%.2f,%.2f  doubt %.2f\n", r->lab.L, r->lab.a, r->lab.b, r->uncertainty_de00);
  notes_add(&r->notes, "    ", out);
}

static void bait_add(const dw_found *found, size_t at, const dw_find_wish *wish, const dw_style *style,
                     dw_text *out) {
  dw_bait_size size;
  const dw_bait *bait = &found->baits.bait[at];
  const bool sized = dw_bait_size_get(found, wish, bait, &size);
  dw_text_add(out, "Bait %zu at %d,%d, %d x %d pixels", at + 1, bait->box.x, bait->box.y, bait->box.w,
              bait->box.h);
  if (sized) dw_text_add(out, ", its body %.1f mm long and %.1f mm high", size.length_mm, size.height_mm);
  dw_text_add(out, "\n");
  for (size_t i = 0; i < bait->n; i++) layer_add(bait, wish, i, style, out);
  for (size_t i = 0; i + 1 < bait->n; i++) {
    dw_text_add(out, "  %s and %s blend over %.0f%% of the height", dw_find_layer_name(wish, i, bait->n),
                dw_find_layer_name(wish, i + 1, bait->n), 100 * bait->blend[i].width_share);
    if (sized) dw_text_add(out, ", %.1f mm", size.blend_mm[i]);
    dw_text_add(out, "\n");
  }
  notes_add(&bait->notes, "  ", out);
}

static void spread_add(const dw_baits *baits, const dw_find_wish *wish, dw_text *out) {
  dw_baits_spread spread;
  if (!dw_baits_compare(baits, &spread)) return;
  dw_text_add(out, "Of the %zu baits with %zu layer%s:\n", spread.baits, spread.layers,
              spread.layers == 1 ? "" : "s");
  for (size_t l = 0; l < spread.layers; l++) {
    name_add(wish, l, spread.layers, out);
    dw_text_add(out, " mean %.2f,%.2f,%.2f, a bait typically %.2f away; share %.0f%% +- %.0f%%",
                spread.layer[l].mean.L, spread.layer[l].mean.a, spread.layer[l].mean.b,
                spread.layer[l].spread_de00, 100 * spread.layer[l].share,
                100 * spread.layer[l].share_deviation);
    if (spread.layer[l].odd < baits->n)
      dw_text_add(out, "; the odd one is bait %zu, %.2f from the others", spread.layer[l].odd + 1,
                  spread.layer[l].odd_de00);
    dw_text_add(out, "\n");
  }
}

void dw_text_found(const dw_found *found, const dw_find_wish *wish, const dw_style *style, dw_text *out) {
  dw_text_add(out, "%s\n", found->reading.path);
  notes_add(&found->reading.photo.notes, "  ", out);
  dw_text_add(out, "Light: %s\n", found->reading.light.method_text);
  notes_add(&found->reading.light.notes, "  ", out);
  for (size_t i = 0; i < found->baits.n; i++) bait_add(found, i, wish, style, out);
  spread_add(&found->baits, wish, out);
  notes_add(&found->baits.notes, "", out);
}
