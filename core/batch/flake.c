/* A layer's flake beside its target's. */
#include "dropwise/batch_flake.h"

#include "dropwise/json.h"

#include <math.h>
#include <string.h>

/* What a photo tells of a share of flake, one deviation (docs/color-model.md#regions), and of a color's difference. */
#define SHARE_DOUBT 0.02
#define APART_TIMES 2.0

/* The mean of what the target's photos kept of their flake. */
static dw_status target_flake(const char *detail, dw_flake_aim *out, dw_error *err) {
  json_t *root, *photo;
  dw_status status = dw_json_parse(detail, strlen(detail), "a target's photos", &root, err);
  if (status == DW_NO_MEMORY) return status;
  size_t i, n = 0, colors = 0;
  dw_lab sum = {0, 0, 0};
  json_array_foreach(json_object_get(root, "photos"), i, photo) {
    const json_t *flake = json_object_get(photo, "flake"), *lab = json_object_get(flake, "lab");
    if (!json_is_number(json_object_get(flake, "share"))) continue;
    out->target_share += json_number_value(json_object_get(flake, "share"));
    n++;
    if (json_array_size(lab) != 3) continue;
    sum.L += json_number_value(json_array_get(lab, 0));
    sum.a += json_number_value(json_array_get(lab, 1));
    sum.b += json_number_value(json_array_get(lab, 2));
    out->target_uncertainty_de00 += json_number_value(json_object_get(flake, "uncertainty_de00"));
    colors++;
  }
  json_decref(root);
  if (!n) return DW_OK;
  out->known = true;
  out->target_share /= (double)n;
  out->has_color = colors > 0;
  if (colors) {
    double count = (double)colors;
    out->target = (dw_lab){sum.L / count, sum.a / count, sum.b / count};
    out->target_uncertainty_de00 /= count;
  }
  return DW_OK;
}

static dw_status words_fill(const dw_reading *reading, dw_flake_aim *out, dw_error *err) {
  double more = reading->shares.flake - out->target_share, doubt = hypot(SHARE_DOUBT, SHARE_DOUBT);
  dw_text text = {0};
  if (fabs(more) <= APART_TIMES * doubt)
    dw_text_add(&text, "Flake %.0f%%, as much as the target's %.0f%% as far as photos tell",
                100 * reading->shares.flake, 100 * out->target_share);
  else
    dw_text_add(&text, "%s flake than the target: %.0f%%, not %.0f%%", more > 0 ? "More" : "Less",
                100 * reading->shares.flake, 100 * out->target_share);
  if (out->has_color && reading->flake.pixels) {
    char way[120];
    out->de00 = dw_de00(out->target, reading->flake.lab);
    double own = hypot(out->target_uncertainty_de00, reading->flake.uncertainty_de00);
    dw_difference_words(out->target, reading->flake.lab, way, sizeof way);
    if (out->de00 > APART_TIMES * own)
      dw_text_add(&text, "; its color is off by %.1f (doubt %.1f): %s", out->de00, own, way);
    else
      dw_text_add(&text, "; of the same color within what the photos tell (%.1f)", out->de00);
  }
  dw_status status = text.failed ? dw_fail_memory(err, "the flake") : DW_OK;
  dw_copy_text(out->words, sizeof out->words, text.failed ? "" : text.data);
  dw_text_free(&text);
  return status;
}

dw_status dw_flake_compare(dw_book *book, int64_t layer, const dw_reading *reading, dw_flake_aim *out,
                           dw_error *err) {
  dw_target_past *past = NULL;
  size_t n = 0;
  *out = (dw_flake_aim){.de00 = NAN};
  dw_status status = dw_target_history(book, layer, &past, &n, err);
  if (status == DW_OK && n) status = target_flake(past[0].detail, out, err);
  if (status == DW_OK && out->known) status = words_fill(reading, out, err);
  dw_target_history_free(past, n);
  return status;
}
