/* See-through of baits that lie half over black and half over white: find --strips, pattern see-through. */
#include "app/cli/find_strips.h"

#include <math.h>
#include <stdlib.h>

static void layer_add(const dw_see_layer *layer, const char *name, double wanted, dw_text *out) {
  dw_text_add(out, "  %-10s ", name);
  dw_text_see_through(layer->ratio, out);
  dw_text_add(out, ", doubt %.2f", layer->doubt);
  if (wanted < 0)
    dw_text_add(out, "\n");
  else if (fabs(layer->ratio - wanted) <= layer->doubt)
    dw_text_add(out, "; wanted %.2f: as wanted, within what the photo can tell\n", wanted);
  else
    dw_text_add(out, "; wanted %.2f: it %s\n", wanted,
                layer->ratio > wanted ? "lets too little through" : "lets too much through");
}

void cli_strips_text(const dw_strips *strips, const cli_strips_wish *wish, dw_text *out) {
  dw_text_add(out, "%s: %zu bait%s across black and white, ", strips->reading.path, strips->n,
              strips->n == 1 ? "" : "s");
  dw_text_add(out, isnan(wish->thickness_mm) ? "thickness not stated\n" : "%.1f mm thick\n",
              wish->thickness_mm);
  for (size_t i = 0; i < strips->mean.n; i++)
    layer_add(&strips->mean.layer[i], dw_find_layer_name(&wish->find, i, strips->mean.n),
              wish->pattern.n ? wish->pattern.layer[i].see_through : -1, out);
  dw_text_notes(&strips->reading.light.notes, "  ", out);
  dw_text_notes(&strips->notes, "  ", out);
}

json_t *cli_strips_json(const dw_strips *strips, const cli_strips_wish *wish) {
  json_t *json = dw_json_strips(strips, &wish->find), *list = json_object_get(json, "see_through");
  for (size_t i = 0; i < wish->pattern.n && i < json_array_size(list); i++)
    if (wish->pattern.layer[i].see_through >= 0)
      json_object_set_new(json_array_get(list, i), "wanted",
                          dw_json_round(wish->pattern.layer[i].see_through, 3));
  return dw_json_with(json, "thickness_mm", dw_json_round(wish->thickness_mm, 2));
}

dw_status cli_strips_wish_from(const cli_args *args, const char *pattern, cli_strips_wish *out,
                               dw_error *err) {
  *out = (cli_strips_wish){.light = malloc(sizeof *out->light)};
  dw_status status = out->light ? DW_OK : dw_fail_memory(err, "the strips");
  if (status == DW_OK && pattern) status = cli_find_pattern(args, pattern, &out->pattern, err);
  if (status == DW_OK) status = cli_find_wish(args, out->pattern.n ? &out->pattern : NULL, &out->find, err);
  if (status == DW_OK) status = cli_light(args, 0, 1, out->light, err);
  out->find.light = out->light;
  return status == DW_OK ? cli_number(args, "--thickness", 0.05, 100, NAN, &out->thickness_mm, err) : status;
}

void cli_strips_wish_free(cli_strips_wish *wish) {
  free(wish->light);
}

dw_status cli_find_strips(const cli_args *args, dw_error *err) {
  cli_strips_wish wish = {0};
  dw_strips *strips = malloc(sizeof *strips);
  dw_text text = {0};
  dw_status status = strips ? cli_words(args, 1, 1, "a photo", err) : dw_fail_memory(err, "the strips");
  if (status == DW_OK) status = cli_strips_wish_from(args, cli_value(args, "--pattern"), &wish, err);
  if (status == DW_OK) status = dw_strips_read(args->word[0], &wish.find, strips, err);
  if (status == DW_OK && args->json) {
    status = cli_print_json(cli_strips_json(strips, &wish), err);
  } else if (status == DW_OK) {
    cli_strips_text(strips, &wish, &text);
    status = cli_print_text(&text, err);
  }
  cli_strips_wish_free(&wish);
  free(strips);
  return status;
}
