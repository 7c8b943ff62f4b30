/* counter: dulls a layer with a bottle of the opposite hue where brown would darken it too much. */
#include "dropwise/plugin.h"

#include <stdio.h>

#define OPPOSITE_DEG 110.0 /* how far round a hue must lie to take chroma away rather than turn it */
#define HUED_CHROMA 12.0   /* bottles below this have no hue to speak of */
#define DARKER_LEAST 3.0   /* lightness that brown costs too much before it is worth another way */
#define LIGHTER_LEAST 2.0  /* and what that other way must gain: less is not seen */
#define HUE_HELD_DEG 5.0
#define SHARE_MISSED 0.08

/* The darkest a duller layer should become. */
static double lightness_wanted(const dw_layer_view *layer) {
  return layer->dull_target.L < layer->now.L ? layer->dull_target.L : layer->now.L;
}

/* Lightness the layer would have if it were dulled with brown; -1 when it can't be. */
static double browned_lightness(const dw_host *host, const dw_request *request, uint32_t i) {
  uint8_t use[DW_PLUGIN_BOTTLES_MAX];
  dw_addition add[DW_PLUGIN_ADDS_MAX];
  uint32_t n = DW_PLUGIN_ADDS_MAX;
  dw_lab browned;
  dw_plugin_use_own(request, i, use);
  for (uint32_t b = 0; b < request->n_bottles; b++) use[b] |= request->bottle[b].role == DW_BOTTLE_BROWN;
  dw_plugin_aim aim = dw_plugin_aim_duller(&request->layer[i], use);
  if (host->solve(host->ctx, i, &aim, add, &n, NULL) != DW_PLUGIN_OK) return -1;
  return host->predict(host->ctx, i, add, n, 0, &browned, NULL) == DW_PLUGIN_OK ? browned.L : -1;
}

static int opposite(const dw_layer_view *layer, const dw_bottle_view *bottle) {
  return bottle->role == DW_BOTTLE_COLOR && dw_plugin_chroma(bottle->lab) >= HUED_CHROMA &&
         fabs(dw_plugin_hue_turn(layer->now, bottle->lab)) >= OPPOSITE_DEG;
}

static void explain(const dw_layer_view *layer, dw_proposal *p, const char *title, double browned) {
  double share = 1 - dw_plugin_chroma(p->predicted) / dw_plugin_chroma(layer->now);
  double off = fabs(dw_plugin_hue_turn(layer->dull_target, p->predicted));
  if (browned < 0)
    snprintf(p->words, sizeof p->words, "Dulls it by %.0f%% with its opposite, %s.", 100 * share, title);
  else
    snprintf(p->words, sizeof p->words,
             "Dulls it by %.0f%% with its opposite, %s: its lightness L* is then %.0f, with brown it would "
             "be %.0f.",
             100 * share, title, p->predicted.L, browned);
  if (off > HUE_HELD_DEG)
    snprintf(p->warning, sizeof p->warning, "The hue can't be held this way: it ends %.0f° off.", off);
  else if (share < layer->dull_share - SHARE_MISSED)
    snprintf(p->warning, sizeof p->warning, "%.0f%% duller was wanted; with the hue held it gives %.0f%%.",
             100 * layer->dull_share, 100 * share);
}

static void advise_layer(const dw_host *host, const dw_request *request, uint32_t i, dw_reply *reply) {
  const dw_layer_view *layer = &request->layer[i];
  uint8_t use[DW_PLUGIN_BOTTLES_MAX];
  const char *title = NULL;
  double browned = browned_lightness(host, request, i);
  if (browned > lightness_wanted(layer) - DARKER_LEAST) return; /* brown will do */
  dw_plugin_use_own(request, i, use);
  for (uint32_t b = 0; b < request->n_bottles; b++)
    if (opposite(layer, &request->bottle[b])) use[b] = 1;
  dw_plugin_aim aim = dw_plugin_aim_duller(layer, use);
  dw_proposal *p = dw_plugin_solve(host, request, reply, i, &aim);
  if (!p) return;
  for (uint32_t k = 0; k < p->n_adds; k++)
    if (opposite(layer, &request->bottle[p->add[k].bottle])) title = request->bottle[p->add[k].bottle].title;
  double left = host->difference(host->ctx, p->predicted, layer->target, NULL, 0);
  int duller = dw_plugin_chroma(p->predicted) < dw_plugin_chroma(layer->now);
  if (title && duller && p->predicted.L > browned + LIGHTER_LEAST &&
      (request->chroma_share > 0 || left < layer->now_de00))
    explain(layer, p, title, browned);
  else
    reply->n--; /* takes it back: no better than brown */
}

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  for (uint32_t i = 0; i < request->n_layers; i++)
    if (request->layer[i].dull_share > 0 && request->layer[i].n_drops > 0)
      advise_layer(host, request, i, reply);
  return reply->n ? DW_PLUGIN_OK : DW_PLUGIN_NOTHING;
}

static const dw_plugin plugin = {
    .struct_size = sizeof plugin,
    .abi_major = DW_ABI_MAJOR,
    .abi_minor = DW_ABI_MINOR,
    .id = "counter",
    .title = "Dull with the opposite color",
    .version = "1.0",
    .advise = advise,
};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
