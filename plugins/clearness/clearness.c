/* clearness: makes a layer more or less see-through, its hue and chroma held. */
#include "dropwise/plugin.h"

#include <stdio.h>

#define NEAR_ENOUGH 0.03 /* in contrast ratio */
#define REACHED 0.05
#define HUE_HELD_DEG 5.0
#define CHROMA_HELD 4.0

static void explain(const dw_layer_view *layer, dw_proposal *p, double see_through) {
  double turn = dw_plugin_hue_turn(layer->now, p->predicted);
  double chroma = dw_plugin_chroma(p->predicted) - dw_plugin_chroma(layer->now);
  snprintf(p->words, sizeof p->words, "Lets %s light through: %s, %.2f instead of %.2f where %.2f is wanted.",
           see_through < layer->see_through ? "more" : "less", dw_plugin_see_through_words(see_through),
           see_through, layer->see_through, layer->target_see_through);
  if (fabs(see_through - layer->target_see_through) > REACHED)
    snprintf(p->warning, sizeof p->warning,
             "%s (%.2f) can't be reached in this cup without losing its color.",
             dw_plugin_see_through_words(layer->target_see_through), layer->target_see_through);
  else if (fabs(turn) > HUE_HELD_DEG || fabs(chroma) > CHROMA_HELD)
    snprintf(p->warning, sizeof p->warning,
             "Hue and chroma can't both be held: the hue turns by %.0f°, chroma by %+.0f.", fabs(turn),
             chroma);
}

static void advise_layer(const dw_host *host, const dw_request *request, uint32_t i, dw_reply *reply) {
  const dw_layer_view *layer = &request->layer[i];
  double see_through;
  dw_plugin_aim aim = dw_plugin_aim_at(layer->now);
  aim.weight_lightness = 0.2; /* what lets light through changes with what lies under it */
  aim.see_through = layer->target_see_through;
  aim.weight_see_through = DW_PLUGIN_SEE_THROUGH_WEIGHT;
  aim.max_new_bottles = 1;
  dw_proposal *p = dw_plugin_solve(host, request, reply, i, &aim);
  if (!p) return;
  host->predict(host->ctx, i, p->add, p->n_adds, p->add_clear_floz, NULL, &see_through);
  if (fabs(see_through - layer->target_see_through) <
      fabs(layer->see_through - layer->target_see_through) - 0.01)
    explain(layer, p, see_through);
  else
    reply->n--; /* gains nothing */
}

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  for (uint32_t i = 0; i < request->n_layers; i++) {
    const dw_layer_view *layer = &request->layer[i];
    int wanted = layer->target_see_through >= 0 && layer->n_drops > 0;
    if (wanted && fabs(layer->see_through - layer->target_see_through) > NEAR_ENOUGH)
      advise_layer(host, request, i, reply);
  }
  return reply->n ? DW_PLUGIN_OK : DW_PLUGIN_NOTHING;
}

static const dw_plugin plugin = {
    .struct_size = sizeof plugin,
    .abi_major = DW_ABI_MAJOR,
    .abi_minor = DW_ABI_MINOR,
    .id = "clearness",
    .title = "More or less see-through",
    .version = "1.0",
    .advise = advise,
};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
