/* clearness: makes a layer more or less see-through, its hue and chroma held. */
#include "pourtone/plugin.h"

#include <stdio.h>

#define NEAR_ENOUGH 0.03 /* in contrast ratio */
#define REACHED 0.05
#define WEIGHT 40.0 /* a contrast ratio 0.05 off weighs as much as CIEDE2000 2 */
#define HUE_HELD_DEG 5.0
#define CHROMA_HELD 4.0

static void explain(const pt_layer_view *layer, pt_proposal *p, double see_through) {
  double turn = pt_plugin_hue_turn(layer->now, p->predicted);
  double chroma = pt_plugin_chroma(p->predicted) - pt_plugin_chroma(layer->now);
  snprintf(p->words, sizeof p->words, "Lets %s light through: %s, %.2f instead of %.2f where %.2f is wanted.",
           see_through < layer->see_through ? "more" : "less", pt_plugin_see_through_words(see_through),
           see_through, layer->see_through, layer->target_see_through);
  if (fabs(see_through - layer->target_see_through) > REACHED)
    snprintf(p->warning, sizeof p->warning,
             "%s (%.2f) can't be reached in this cup without losing its color.",
             pt_plugin_see_through_words(layer->target_see_through), layer->target_see_through);
  else if (fabs(turn) > HUE_HELD_DEG || fabs(chroma) > CHROMA_HELD)
    snprintf(p->warning, sizeof p->warning,
             "Hue and chroma can't both be held: the hue turns by %.0f°, chroma by %+.0f.", fabs(turn),
             chroma);
}

static void advise_layer(const pt_host *host, const pt_request *request, uint32_t i, pt_reply *reply) {
  const pt_layer_view *layer = &request->layer[i];
  double see_through;
  pt_plugin_aim aim = pt_plugin_aim_at(layer->now);
  aim.weight_lightness = 0.2; /* what lets light through changes with what lies under it */
  aim.see_through = layer->target_see_through;
  aim.weight_see_through = WEIGHT;
  aim.max_new_bottles = 1;
  pt_proposal *p = pt_plugin_solve(host, request, reply, i, &aim);
  if (!p) return;
  host->predict(host->ctx, i, p->add, p->n_adds, p->add_clear_floz, NULL, &see_through);
  if (fabs(see_through - layer->target_see_through) <
      fabs(layer->see_through - layer->target_see_through) - 0.01)
    explain(layer, p, see_through);
  else
    reply->n--; /* gains nothing */
}

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  for (uint32_t i = 0; i < request->n_layers; i++) {
    const pt_layer_view *layer = &request->layer[i];
    int wanted = layer->target_see_through >= 0 && layer->n_drops > 0;
    if (wanted && fabs(layer->see_through - layer->target_see_through) > NEAR_ENOUGH)
      advise_layer(host, request, i, reply);
  }
  return reply->n ? PT_PLUGIN_OK : PT_PLUGIN_NOTHING;
}

static const pt_plugin plugin = {
    sizeof plugin, PT_ABI_MAJOR, PT_ABI_MINOR, "clearness", "More or less see-through", "1.0", advise};

const pt_plugin *pt_plugin_entry(void) {
  return &plugin;
}
