/* Swirls, as JSON. */
#include "dropwise/read_swirl.h"

static json_t *swirl_json(const dw_swirl *swirl, const char *const *names, const dw_lab *targets,
                          json_t *json) {
  json_t *colors = json_array();
  for (size_t i = 0; i < swirl->n; i++) {
    const dw_swirl_color *c = &swirl->color[i];
    json_t *color =
        json_pack("{s:o, s:o, s:o, s:o, s:o, s:o}", "name", names ? dw_json_text(names[i]) : json_null(),
                  "share", dw_json_round(c->share, 4), "share_doubt", dw_json_round(c->share_doubt, 4), "lab",
                  dw_json_lab(c->lab), "uncertainty_de00", dw_json_round(c->uncertainty_de00, 2),
                  "spread_de00", dw_json_round(c->spread_de00, 2));
    if (targets) color = dw_json_with(color, "target_de00", dw_json_round(dw_de00(targets[i], c->lab), 2));
    colors = dw_json_and(colors, color);
  }
  json = dw_json_with(json, "colors", colors);
  json = dw_json_with(json, "blended", dw_json_round(swirl->blended, 4));
  json = dw_json_with(json, "aside", dw_json_round(swirl->aside, 4));
  return dw_json_with(json, "pixels", json_integer((json_int_t)swirl->pixels));
}

json_t *dw_json_swirls(const dw_swirls *swirls, const char *const *names, const dw_lab *targets) {
  json_t *root = dw_json_reading(&swirls->reading), *baits = json_array();
  if (root) json_object_del(root, "layers");
  for (size_t i = 0; i < swirls->n; i++) {
    const dw_swirl_bait *bait = &swirls->bait[i];
    json_t *one =
        json_pack("{s:o, s:o}", "name", dw_json_text(bait->name), "shape", dw_json_shape(&bait->shape));
    one = swirl_json(&bait->swirl, names, targets, one);
    baits = dw_json_and(baits, dw_json_with(one, "warnings", dw_json_notes(&bait->swirl.notes)));
  }
  root = dw_json_with(root, "swirl", swirl_json(&swirls->mean, names, targets, json_object()));
  root = dw_json_with(root, "baits", baits);
  return dw_json_with(root, "warnings", dw_json_notes(&swirls->notes));
}
