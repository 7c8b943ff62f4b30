/* template: a plugin to copy. It finds, for each cup, the one bottle of which a single drop helps most: a
 * careful first step for a cup that is nearly right.
 *
 * To make your own, copy this folder, give it your name and id, and change advise_layer; docs/plugin-guide.md
 * writes a smaller one step by step. All a plugin needs is in this one header. */
#include "dropwise/plugin.h"

#include <stdio.h>

/* A smaller gain than this, in CIEDE2000, is not worth opening a bottle. */
#define GAIN_LEAST 0.3

/* How far from its target layer i would be after one step of bottle b; *color is what it would look like. The
 * host knows how colors mix: it predicts, a plugin only asks. */
static double after_one_drop(const dw_host *host, const dw_request *request, uint32_t i, uint32_t b,
                             dw_lab *color) {
  dw_addition one = {b, request->bottle[b].step_drops};
  if (host->predict(host->ctx, i, &one, 1, 0, color, NULL) != DW_PLUGIN_OK) return INFINITY;
  return host->difference(host->ctx, *color, request->layer[i].target, NULL, 0);
}

static int in_cup(const dw_layer_view *layer, uint32_t b) {
  for (uint32_t k = 0; k < layer->n_drops; k++)
    if (layer->drops[k].bottle == b) return 1;
  return 0;
}

static void advise_layer(const dw_host *host, const dw_request *request, uint32_t i, dw_reply *reply) {
  const dw_layer_view *layer = &request->layer[i];
  double best_left = layer->now_de00 - GAIN_LEAST;
  uint32_t best = request->n_bottles; /* none yet */
  dw_lab best_color = layer->now, color;

  for (uint32_t b = 0; b < request->n_bottles; b++) {
    if (!request->bottle[b].usable || !in_cup(layer, b)) continue;
    double left = after_one_drop(host, request, i, b, &color);
    if (left >= best_left) continue;
    best_left = left;
    best = b;
    best_color = color;
  }
  if (best == request->n_bottles) return; /* no single drop helps: say nothing */

  dw_proposal *p = dw_plugin_propose(request, reply, i); /* NULL when the reply is full */
  if (!p) return;
  p->n_adds = 1;
  p->add[0] = (dw_addition){best, request->bottle[best].step_drops};
  p->predicted = best_color;
  snprintf(p->words, sizeof p->words,
           "A careful first step: the one addition of %s that helps most, %.1f nearer.",
           request->bottle[best].title, layer->now_de00 - best_left);
}

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  for (uint32_t i = 0; i < request->n_layers; i++) advise_layer(host, request, i, reply);
  return reply->n ? DW_PLUGIN_OK : DW_PLUGIN_NOTHING;
}

/* The sizes and versions come first so that host and plugin can tell whether they fit each other. */
static const dw_plugin plugin = {
    .struct_size = sizeof plugin,
    .abi_major = DW_ABI_MAJOR,
    .abi_minor = DW_ABI_MINOR,
    .id = "template",
    .title = "One careful drop (a plugin to copy)",
    .version = "1.0",
    .advise = advise,
    .flags = DW_PLUGIN_ONLY_NAMED, /* take it out once yours is ready */
};

/* The one function the host looks for. */
const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
