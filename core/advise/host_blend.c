/* What a plugin may ask of two neighbors: the blend between them, by the one prediction of blends (core/plan). */
#include "advise/prepare.h"
#include "dropwise/plan_blend.h"

#include <math.h>
#include <string.h>

/* A cup after additions. What was measured of it is carried on. DW_PLUGIN_*. */
static int32_t layer_after(const dw__case *c, uint32_t layer, const dw_plugin_change *change,
                           dw_blend_layer *out) {
  const dw_plugin_change none = {NULL, 0, 0};
  const dw_request *view = &c->view;
  dw_recipe add;
  dw_cup cup;
  if (!change) change = &none;
  if (!(change->add_clear_floz >= 0) || !isfinite(change->add_clear_floz)) return DW_PLUGIN_ERROR;
  if (!dw__host_recipe(c, change->add, change->n, &add)) return DW_PLUGIN_ERROR;
  if (view->layer[layer].n_drops == 0 && dw_recipe_total(&add) <= 0) return DW_PLUGIN_NOTHING;
  if (!dw__case_fits(c, layer, &add, change->add_clear_floz, (dw__reason){NULL, 0})) return DW_PLUGIN_NOTHING;
  if (!dw__case_cup(c, layer, &add, change->add_clear_floz, &cup)) return DW_PLUGIN_NOTHING;
  *out = (dw_blend_layer){0};
  if (dw_blend_cup(c->request->shelf, &c->request->slab, &cup, NULL, out, NULL) != DW_OK)
    return DW_PLUGIN_ERROR;
  out->offset = c->rules[layer].offset;
  out->offset_at = c->rules[layer].offset_at;
  return DW_PLUGIN_OK;
}

static dw_plugin_blend as_plugin_sees(const dw_blend *blend) {
  dw_plugin_blend out = {
      .muddy = blend->muddy, .overpowers = (int32_t)blend->overpowers, .dull_share = blend->dull_share};
  for (int i = 0; i < 2; i++) {
    out.end[i] = blend->end[i].lab;
    out.see_through[i] = blend->end[i].see_through;
  }
  for (int i = 0; i < DW_BLEND_STEPS; i++) out.step[i] = blend->step[i].lab;
  return out;
}

int32_t dw__host_blend(void *ctx, uint32_t layer, const dw_plugin_change *first,
                       const dw_plugin_change *second, dw_plugin_blend *out) {
  const dw__case *c = ctx;
  dw_blend_layer one, two;
  dw_blend blend;
  if (!out || !DW_PLUGIN_HAS(out, dw_plugin_blend, see_through)) return DW_PLUGIN_ERROR; /* all of 1.2 */
  if (layer >= c->view.n_layers || layer + 1 >= c->view.n_layers) return DW_PLUGIN_ERROR;
  int32_t status = layer_after(c, layer, first, &one);
  if (status == DW_PLUGIN_OK) status = layer_after(c, layer + 1, second, &two);
  if (status != DW_PLUGIN_OK) return status;
  if (dw_blend_between(c->request->shelf, &c->request->slab, &one, &two, &blend, NULL) != DW_OK)
    return DW_PLUGIN_NOTHING; /* more bottles together than a cup is predicted with */
  dw_plugin_blend answer = as_plugin_sees(&blend);
  answer.struct_size = out->struct_size;
  memcpy(out, &answer, answer.struct_size < sizeof answer ? answer.struct_size : sizeof answer);
  return DW_PLUGIN_OK;
}
