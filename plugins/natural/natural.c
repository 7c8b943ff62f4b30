/* natural: leads a layer that lies outside its tone to the nearest natural color, brown first, its hue held
 * as far as the tone allows. A layer inside is left alone; one with a target goes by that. */
#include "dropwise/plugin.h"

#include <stdio.h>

#define HUE_HELD_DEG 5.0 /* a turn this small is not seen beside the change in chroma */

/* What may go in, in the order of trying: brown with the cup's own bottles, then with clear base, then all.
 */
typedef struct way {
  int brown_only, clear_base;
  uint32_t new_bottles;
} way;
static const way ways[] = {{1, 0, 1}, {1, 1, 1}, {0, 1, 2}};

static void use_of(const dw_request *request, uint32_t i, const way *how,
                   uint8_t use[DW_PLUGIN_BOTTLES_MAX]) {
  dw_plugin_use_own(request, i, use);
  for (uint32_t b = 0; b < request->n_bottles; b++)
    use[b] |= !how->brown_only || request->bottle[b].role == DW_BOTTLE_BROWN;
}

static void explain(const dw_host *host, const dw_request *request, dw_proposal *p) {
  const dw_layer_view *layer = &request->layer[p->layer];
  const dw_layer_guide *guide = dw_plugin_guide(request, p->layer);
  char change[60];
  double out = 0, turn = fabs(dw_plugin_hue_turn(layer->now, p->predicted));
  int inside = host->tone(host->ctx, p->layer, p->predicted, &out) == DW_PLUGIN_TONE_INSIDE;
  host->difference(host->ctx, layer->now, p->predicted, change, sizeof change);
  if (inside) /* -fanalyzer: advise has asked whether there is a guide */
    snprintf(p->words, sizeof p->words, "Leads it into the natural tone \"%.60s\": %s; it lay %.1f outside.",
             guide->tone_name, change, guide->tone_de00);
  else
    snprintf(p->words, sizeof p->words,
             /* -fanalyzer: the same */
             "Leads it toward the natural tone \"%.60s\": %s; %.1f outside instead of %.1f.",
             guide->tone_name, change, out, guide->tone_de00);
  if (turn > HUE_HELD_DEG && dw_plugin_chroma(layer->now) > 0)
    snprintf(p->warning, sizeof p->warning, "The tone lies in another hue: it turns by %.0f°.", turn);
}

/* One proposal, kept where it comes nearer the tone; *out is how far outside it then is. */
static int propose(const dw_host *host, const dw_request *request, uint32_t i, const way *how, double *out,
                   dw_reply *reply) {
  uint8_t use[DW_PLUGIN_BOTTLES_MAX];
  /* -fanalyzer: advise has asked whether there is a guide */
  dw_plugin_aim aim = dw_plugin_aim_at(dw_plugin_guide(request, i)->tone_lead);
  use_of(request, i, how, use);
  aim.use = use;
  aim.max_new_bottles = how->new_bottles;
  aim.clear_base = how->clear_base;
  dw_proposal *p = dw_plugin_solve(host, request, reply, i, &aim);
  double after = 0;
  if (!p) return 0;
  host->tone(host->ctx, i, p->predicted, &after);
  /* -fanalyzer: advise has asked whether there is a guide */
  if (after + dw_plugin_guide(request, i)->gain_de00 > *out) {
    reply->n--; /* takes it back */
    return 0;
  }
  *out = after;
  explain(host, request, p);
  return after <= 0;
}

static void leave(const dw_request *request, uint32_t i, dw_reply *reply) {
  dw_proposal *p = dw_plugin_propose(request, reply, i);
  /* -fanalyzer: advise has asked whether there is a guide */
  if (p) snprintf(p->words, sizeof p->words, "Leave it: %s.", dw_plugin_guide(request, i)->leave_words);
}

static void lead(const dw_host *host, const dw_request *request, uint32_t i, dw_reply *reply) {
  double out = dw_plugin_guide(request, i)->tone_de00;
  for (size_t k = 0; k < sizeof ways / sizeof *ways; k++)
    if (propose(host, request, i, &ways[k], &out, reply)) break;
}

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  if (!dw_plugin_guide(request, 0) || !DW_PLUGIN_HAS(host, dw_host, tone)) return DW_PLUGIN_NOTHING;
  for (uint32_t i = 0; i < request->n_layers; i++) {
    const dw_layer_guide *guide = dw_plugin_guide(request, i);
    /* -fanalyzer: where the first layer has a guide, each has */
    if (!guide->leads || request->layer[i].n_drops == 0) continue;
    if (guide->leave)
      leave(request, i, reply);
    else if (guide->tone == DW_PLUGIN_TONE_OUTSIDE)
      lead(host, request, i, reply);
  }
  return reply->n ? DW_PLUGIN_OK : DW_PLUGIN_NOTHING;
}

static const dw_plugin plugin = {
    .struct_size = sizeof plugin,
    .abi_major = DW_ABI_MAJOR,
    .abi_minor = DW_ABI_MINOR,
    .id = "natural",
    .title = "Toward the natural tone",
    .version = "1.0",
    .advise = advise,
};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
