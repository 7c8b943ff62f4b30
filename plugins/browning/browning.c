/* browning: dulls a layer with brown. Brown alone turns the hue (yellow toward green, orange toward red), so
 * the cup's own bottles go in with it to hold the hue; where they can't, the words say so. */
#include "pourtone/plugin.h"

#include <stdio.h>

#define HUE_HELD_DEG 5.0  /* a turn this small is not seen beside the change in chroma */
#define SHARE_MISSED 0.08 /* dulled by so much less than wanted is worth a word */

/* The hue held by the cup's own bottles; by one more bottle; not held. */
typedef struct way {
  double weight_hue;
  uint32_t new_bottles;
} way;
static const way ways[] = {{2.0, 1}, {2.0, 2}, {0.3, 1}};

static void explain(const pt_host *host, const pt_layer_view *layer, pt_proposal *p, const char *holder) {
  char change[80];
  double share = 1 - pt_plugin_chroma(p->predicted) / pt_plugin_chroma(layer->now);
  double off = fabs(pt_plugin_hue_turn(layer->dull_target, p->predicted));
  host->difference(host->ctx, layer->now, p->predicted, change, sizeof change);
  snprintf(p->words, sizeof p->words, "Dulls it by %.0f%% with brown%s%s: %s; the hue turns by %.0f°.",
           100 * share, holder ? " and, to hold the hue, " : "", holder ? holder : "", change,
           fabs(pt_plugin_hue_turn(layer->now, p->predicted)));
  if (off > HUE_HELD_DEG)
    snprintf(p->warning, sizeof p->warning, "The hue can't be held this way: it ends %.0f° off.", off);
  else if (share < layer->dull_share - SHARE_MISSED)
    snprintf(p->warning, sizeof p->warning, "%.0f%% duller was wanted; with the hue held brown gives %.0f%%.",
             100 * layer->dull_share, 100 * share);
}

/* Brown goes in, and it does good: the layer gets duller, and where a target is aimed for, nearer to it.
 * *holder is the title of what goes in beside the brown. */
static int good(const pt_host *host, const pt_request *request, const pt_proposal *p, const char **holder) {
  const pt_layer_view *layer = &request->layer[p->layer];
  int browned = 0;
  for (uint32_t k = 0; k < p->n_adds; k++) {
    const pt_bottle_view *bottle = &request->bottle[p->add[k].bottle];
    if (bottle->role == PT_BOTTLE_BROWN)
      browned = 1;
    else
      *holder = bottle->title;
  }
  if (!browned || pt_plugin_chroma(p->predicted) >= pt_plugin_chroma(layer->now)) return 0;
  double left = host->difference(host->ctx, p->predicted, layer->target, NULL, 0);
  return request->chroma_share > 0 || left < layer->now_de00;
}

/* One proposal; returns the share it dulls by, 0 when there is none to make. */
static double propose(const pt_host *host, const pt_request *request, uint32_t i, const way *how,
                      pt_reply *reply) {
  const pt_layer_view *layer = &request->layer[i];
  uint8_t use[PT_PLUGIN_BOTTLES_MAX];
  pt_plugin_use_own(request, i, use);
  for (uint32_t b = 0; b < request->n_bottles; b++) {
    int32_t role = request->bottle[b].role;
    if (role == PT_BOTTLE_BROWN || (role == PT_BOTTLE_COLOR && how->new_bottles > 1)) use[b] = 1;
  }
  pt_plugin_aim aim = pt_plugin_aim_duller(layer, use);
  aim.weight_hue = how->weight_hue;
  aim.max_new_bottles = how->new_bottles;
  pt_proposal *p = pt_plugin_solve(host, request, reply, i, &aim);
  if (!p) return 0;
  const char *holder = NULL;
  if (!good(host, request, p, &holder)) {
    reply->n--; /* takes it back */
    return 0;
  }
  explain(host, layer, p, holder);
  return 1 - pt_plugin_chroma(p->predicted) / pt_plugin_chroma(layer->now);
}

/* The next way only where the one before leaves the layer too bright. */
static void advise_layer(const pt_host *host, const pt_request *request, uint32_t i, pt_reply *reply) {
  double enough = request->layer[i].dull_share - SHARE_MISSED;
  for (size_t k = 0; k < sizeof ways / sizeof *ways; k++)
    if (propose(host, request, i, &ways[k], reply) >= enough) break;
}

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  for (uint32_t i = 0; i < request->n_layers; i++)
    if (request->layer[i].dull_share > 0 && request->layer[i].n_drops > 0)
      advise_layer(host, request, i, reply);
  return reply->n ? PT_PLUGIN_OK : PT_PLUGIN_NOTHING;
}

static const pt_plugin plugin = {sizeof plugin,     PT_ABI_MAJOR, PT_ABI_MINOR, "browning",
                                 "Dull with brown", "1.0",        advise};

const pt_plugin *pt_plugin_entry(void) {
  return &plugin;
}
