/* counter: dulls a layer with a bottle of the opposite hue where brown would darken it too much. */
#include "pourtone/plugin.h"

#include <stdio.h>

#define OPPOSITE_DEG 110.0 /* how far round a hue must lie to take chroma away rather than turn it */
#define HUED_CHROMA 12.0   /* bottles below this have no hue to speak of */
#define DARKER_LEAST 3.0   /* lightness that brown costs too much before it is worth another way */
#define LIGHTER_LEAST 2.0  /* and what that other way must gain: less is not seen */
#define HUE_HELD_DEG 5.0
#define SHARE_MISSED 0.08

/* The darkest a duller layer should become. */
static double lightness_wanted(const pt_layer_view *layer) {
  return layer->dull_target.L < layer->now.L ? layer->dull_target.L : layer->now.L;
}

/* Lightness the layer would have if it were dulled with brown; -1 when it can't be. */
static double browned_lightness(const pt_host *host, const pt_request *request, uint32_t i) {
  uint8_t use[PT_PLUGIN_BOTTLES_MAX];
  pt_addition add[PT_PLUGIN_ADDS_MAX];
  uint32_t n = PT_PLUGIN_ADDS_MAX;
  pt_lab browned;
  pt_plugin_use_own(request, i, use);
  for (uint32_t b = 0; b < request->n_bottles; b++) use[b] |= request->bottle[b].role == PT_BOTTLE_BROWN;
  pt_plugin_aim aim = pt_plugin_aim_duller(&request->layer[i], use);
  if (host->solve(host->ctx, i, &aim, add, &n, NULL) != PT_PLUGIN_OK) return -1;
  return host->predict(host->ctx, i, add, n, 0, &browned, NULL) == PT_PLUGIN_OK ? browned.L : -1;
}

static int opposite(const pt_layer_view *layer, const pt_bottle_view *bottle) {
  return bottle->role == PT_BOTTLE_COLOR && pt_plugin_chroma(bottle->lab) >= HUED_CHROMA &&
         fabs(pt_plugin_hue_turn(layer->now, bottle->lab)) >= OPPOSITE_DEG;
}

static void explain(const pt_layer_view *layer, pt_proposal *p, const char *title, double browned) {
  double share = 1 - pt_plugin_chroma(p->predicted) / pt_plugin_chroma(layer->now);
  double off = fabs(pt_plugin_hue_turn(layer->dull_target, p->predicted));
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

static void advise_layer(const pt_host *host, const pt_request *request, uint32_t i, pt_reply *reply) {
  const pt_layer_view *layer = &request->layer[i];
  uint8_t use[PT_PLUGIN_BOTTLES_MAX];
  const char *title = NULL;
  double browned = browned_lightness(host, request, i);
  if (browned > lightness_wanted(layer) - DARKER_LEAST) return; /* brown will do */
  pt_plugin_use_own(request, i, use);
  for (uint32_t b = 0; b < request->n_bottles; b++)
    if (opposite(layer, &request->bottle[b])) use[b] = 1;
  pt_plugin_aim aim = pt_plugin_aim_duller(layer, use);
  pt_proposal *p = pt_plugin_solve(host, request, reply, i, &aim);
  if (!p) return;
  for (uint32_t k = 0; k < p->n_adds; k++)
    if (opposite(layer, &request->bottle[p->add[k].bottle])) title = request->bottle[p->add[k].bottle].title;
  double left = host->difference(host->ctx, p->predicted, layer->target, NULL, 0);
  int duller = pt_plugin_chroma(p->predicted) < pt_plugin_chroma(layer->now);
  if (title && duller && p->predicted.L > browned + LIGHTER_LEAST &&
      (request->chroma_share > 0 || left < layer->now_de00))
    explain(layer, p, title, browned);
  else
    reply->n--; /* takes it back: no better than brown */
}

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  for (uint32_t i = 0; i < request->n_layers; i++)
    if (request->layer[i].dull_share > 0 && request->layer[i].n_drops > 0)
      advise_layer(host, request, i, reply);
  return reply->n ? PT_PLUGIN_OK : PT_PLUGIN_NOTHING;
}

static const pt_plugin plugin = {
    sizeof plugin, PT_ABI_MAJOR, PT_ABI_MINOR, "counter", "Dull with the opposite color", "1.0", advise};

const pt_plugin *pt_plugin_entry(void) {
  return &plugin;
}
