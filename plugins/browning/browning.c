/* browning: dulls a layer with brown. Brown alone turns the hue (yellow toward green, orange toward red), so
 * the cup's own bottles go in with it to hold the hue; where they can't, the words say so. */
#include "dropwise/plugin.h"

#include <stdio.h>

#define HUE_HELD_DEG 5.0  /* a turn this small is not seen beside the change in chroma */
#define SHARE_MISSED 0.08 /* dulled by so much less than wanted is worth a word */

/* The hue held by the cup's own bottles; by one more bottle; not held. */
typedef struct way {
  double weight_hue;
  uint32_t new_bottles;
} way;
static const way ways[] = {{2.0, 1}, {2.0, 2}, {0.3, 1}};

static void explain(const dw_host *host, const dw_layer_view *layer, dw_proposal *p, const char *holder) {
  char change[80];
  double share = 1 - dw_plugin_chroma(p->predicted) / dw_plugin_chroma(layer->now);
  double off = fabs(dw_plugin_hue_turn(layer->dull_target, p->predicted));
  int turned = fabs(dw_plugin_hue_turn(layer->now, layer->dull_target)) > HUE_HELD_DEG;
  host->difference(host->ctx, layer->now, p->predicted, change, sizeof change);
  snprintf(p->words, sizeof p->words, "Dulls it by %.0f%% with brown%s%s%s: %s; the hue turns by %.0f°%s.",
           100 * share, holder ? " and, for the " : "", holder ? (turned ? "target's hue, " : "hue, ") : "",
           holder ? holder : "", change, fabs(dw_plugin_hue_turn(layer->now, p->predicted)),
           turned && off <= HUE_HELD_DEG ? ", to the target's" : "");
  if (off > HUE_HELD_DEG)
    snprintf(p->warning, sizeof p->warning, "The hue can't be held this way: it ends %.0f° off.", off);
  else if (share < layer->dull_share - SHARE_MISSED)
    snprintf(p->warning, sizeof p->warning, "%.0f%% duller was wanted; with the hue held brown gives %.0f%%.",
             100 * layer->dull_share, 100 * share);
}

/* Brown goes in, and it does good: the layer gets duller, and where a target is aimed for, nearer to it.
 * *holder is the title of what goes in beside the brown. */
static int good(const dw_host *host, const dw_request *request, const dw_proposal *p, const char **holder) {
  const dw_layer_view *layer = &request->layer[p->layer];
  int browned = 0;
  for (uint32_t k = 0; k < p->n_adds; k++) {
    const dw_bottle_view *bottle = &request->bottle[p->add[k].bottle];
    if (bottle->role == DW_BOTTLE_BROWN)
      browned = 1;
    else
      *holder = bottle->title;
  }
  if (!browned || dw_plugin_chroma(p->predicted) >= dw_plugin_chroma(layer->now)) return 0;
  double left = host->difference(host->ctx, p->predicted, layer->target, NULL, 0);
  return request->chroma_share > 0 || left < layer->now_de00;
}

/* One proposal; returns the share it dulls by, 0 when there is none to make. */
static double propose(const dw_host *host, const dw_request *request, uint32_t i, const way *how,
                      dw_reply *reply) {
  const dw_layer_view *layer = &request->layer[i];
  uint8_t use[DW_PLUGIN_BOTTLES_MAX];
  dw_plugin_use_own(request, i, use);
  for (uint32_t b = 0; b < request->n_bottles; b++) {
    int32_t role = request->bottle[b].role;
    if (role == DW_BOTTLE_BROWN || (role == DW_BOTTLE_COLOR && how->new_bottles > 1)) use[b] = 1;
  }
  dw_plugin_aim aim = dw_plugin_aim_duller(layer, use);
  aim.weight_hue = how->weight_hue;
  aim.max_new_bottles = how->new_bottles;
  dw_proposal *p = dw_plugin_solve(host, request, reply, i, &aim);
  if (!p) return 0;
  const char *holder = NULL;
  if (!good(host, request, p, &holder)) {
    reply->n--; /* takes it back */
    return 0;
  }
  explain(host, layer, p, holder);
  return 1 - dw_plugin_chroma(p->predicted) / dw_plugin_chroma(layer->now);
}

/* The next way only where the one before leaves the layer too bright. */
static void advise_layer(const dw_host *host, const dw_request *request, uint32_t i, dw_reply *reply) {
  double enough = request->layer[i].dull_share - SHARE_MISSED;
  for (size_t k = 0; k < sizeof ways / sizeof *ways; k++)
    if (propose(host, request, i, &ways[k], reply) >= enough) break;
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
    .id = "browning",
    .title = "Dull with brown",
    .version = "1.0",
    .advise = advise,
};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
