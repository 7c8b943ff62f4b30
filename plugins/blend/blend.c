/* blend: what happens where neighboring layers meet. Where the pattern asks for clean blends, the least change of
 * either cup, by one bottle, that keeps the blend of two neighbors from turning muddy; and a layer far more opaque than its neighbor,
 * which drowns it (common practice, no source), named with what evens the two. The host tells what is muddy. */
#include "dropwise/plugin.h"

#include <stdio.h>

#define MOST_STEPS 64 /* of one bottle; what is worse off than that is begun anew */

/* What is the same for one pair: layers first and first + 1. */
typedef struct pair {
  const dw_host *host;
  const dw_request *request;
  uint32_t first;
} pair;

/* A change of one of the two. */
typedef struct change {
  uint32_t layer;
  dw_addition add;
  dw_lab color;
  double moved; /* from now, in CIEDE2000; INFINITY: none found */
} change;

static const char *name_of(const pair *p, uint32_t layer) {
  return p->request->layer[layer].name;
}

/* Muddy between a layer and the next, with a change made or (NULL) as they are; -1: it can't be told. */
static int muddy_between(const pair *p, uint32_t first, const change *c) {
  const dw_plugin_change made = {c ? &c->add : NULL, c != NULL, 0};
  const dw_plugin_change *in_first = c && c->layer == first ? &made : NULL;
  const dw_plugin_change *in_second = c && c->layer == first + 1 ? &made : NULL;
  dw_plugin_blend blend = {.struct_size = sizeof blend};
  return p->host->blend(p->host->ctx, first, in_first, in_second, &blend) == DW_PLUGIN_OK ? blend.muddy : -1;
}

/* The pair's blend is clean then, and the one on the layer's other side as clean as it was. */
static int clean_after(const pair *p, const change *c) {
  if (muddy_between(p, p->first, c) != 0) return 0;
  const int is_first = c->layer == p->first;
  if (is_first ? c->layer == 0 : c->layer + 1 == p->request->n_layers) return 1;
  const uint32_t beyond = is_first ? c->layer - 1 : c->layer;
  return muddy_between(p, beyond, c) != 1 || muddy_between(p, beyond, NULL) == 1;
}

/* ---- a clean blend ------------------------------------------------------------------------------------- */

/* How far a change takes the layer's look: its color, and its contrast ratio as the host weighs one. */
static double moved(const pair *p, const change *c, double see_through) {
  const dw_layer_view *layer = &p->request->layer[c->layer];
  const double color = p->host->difference(p->host->ctx, layer->now, c->color, NULL, 0);
  return hypot(color, DW_PLUGIN_SEE_THROUGH_WEIGHT * fmax(0, fabs(see_through - layer->see_through) - 0.05));
}

/* Keeps a change in best where the blend is clean then and the layer moves less. False while it stays muddy, so that
 * more may help. */
static int try_change(const pair *p, change *c, change *best) {
  const dw_host *host = p->host;
  double see_through;
  if (host->predict(host->ctx, c->layer, &c->add, 1, 0, &c->color, &see_through) != DW_PLUGIN_OK) return 1;
  if (!clean_after(p, c)) return 0;
  c->moved = moved(p, c, see_through);
  if (c->moved < best->moved) *best = *c;
  return 1;
}

/* The fewest steps of one bottle: doubled until the blend is clean or the cup can take no more, then halved toward
 * the last where it was muddy. */
static void try_bottle(const pair *p, uint32_t layer, uint32_t bottle, change *best) {
  change c = {.layer = layer, .add = {bottle, 0}};
  const double step = p->request->bottle[bottle].step_drops;
  int muddy = 0, enough = 0;
  for (int steps = 1; !enough && steps <= MOST_STEPS; steps *= 2) {
    c.add.drops = steps * step;
    *(try_change(p, &c, best) ? &enough : &muddy) = steps;
  }
  while (enough - muddy > 1) {
    const int middle = (enough + muddy) / 2;
    c.add.drops = middle * step;
    *(try_change(p, &c, best) ? &enough : &muddy) = middle;
  }
}

static void try_layer(const pair *p, uint32_t layer, change *best) {
  for (uint32_t b = 0; b < p->request->n_bottles; b++)
    if (p->request->bottle[b].usable) try_bottle(p, layer, b, best);
}

static void keep_clean(const pair *p, const dw_plugin_blend *now, dw_reply *reply) {
  change best = {.layer = p->first, .moved = INFINITY};
  char words[60];
  try_layer(p, p->first, &best);
  try_layer(p, p->first + 1, &best);
  dw_proposal *proposal = dw_plugin_propose(p->request, reply, best.layer);
  if (!proposal) return;
  snprintf(proposal->warning, sizeof proposal->warning,
           "%s and %s turn muddy where they meet: up to %.0f%% duller than either.", name_of(p, p->first),
           name_of(p, p->first + 1), 100 * now->dull_share);
  if (best.moved == INFINITY) {
    snprintf(proposal->words, sizeof proposal->words,
             "Nothing that can be added to one of the two keeps its blend with the other clean.");
    return;
  }
  proposal->add[0] = best.add;
  proposal->n_adds = 1;
  proposal->predicted = best.color;
  p->host->difference(p->host->ctx, p->request->layer[best.layer].now, best.color, words, sizeof words);
  snprintf(proposal->words, sizeof proposal->words,
           "Makes it %s, by %.0f: the least change of one bottle that keeps its blend with %s clean.", words,
           p->host->difference(p->host->ctx, p->request->layer[best.layer].now, best.color, NULL, 0),
           name_of(p, best.layer == p->first ? p->first + 1 : p->first));
}

/* ---- one that drowns the other ------------------------------------------------------------------------- */

/* A contrast ratio for a layer, its color held. NULL where nothing brings it there. */
static dw_proposal *bring_to(const pair *p, uint32_t layer, double see_through, dw_reply *reply) {
  dw_plugin_aim aim = dw_plugin_aim_at(p->request->layer[layer].now);
  aim.weight_lightness = 0.2;
  aim.see_through = see_through;
  aim.weight_see_through = DW_PLUGIN_SEE_THROUGH_WEIGHT;
  aim.max_new_bottles = 1;
  return dw_plugin_solve(p->host, p->request, reply, layer, &aim);
}

/* The strong one lets more light through or, where it can't, the weak one less. *words says so, up to the other's
 * name. */
static dw_proposal *bring_together(const pair *p, uint32_t strong, uint32_t weak, const char **words,
                                   dw_reply *reply) {
  const dw_layer_view *layer = p->request->layer;
  dw_proposal *proposal = bring_to(p, strong, layer[weak].see_through + DW_OPACITY_GAP, reply);
  *words = "Lets more light through, so that it does not drown";
  if (proposal) return proposal;
  *words = "Lets less light through, so that it is not drowned by";
  if ((proposal = bring_to(p, weak, layer[strong].see_through - DW_OPACITY_GAP, reply))) return proposal;
  *words = "Start it anew with less color, so that it does not drown";
  return dw_plugin_propose(p->request, reply, strong);
}

static void even(const pair *p, const dw_plugin_blend *now, dw_reply *reply) {
  const uint32_t strong = p->first + (uint32_t)now->overpowers, weak = 2 * p->first + 1 - strong;
  const double strong_is = now->see_through[strong - p->first], weak_is = now->see_through[weak - p->first];
  const char *words;
  dw_proposal *proposal = bring_together(p, strong, weak, &words, reply);
  if (!proposal) return;
  snprintf(proposal->words, sizeof proposal->words, "%s %s.", words,
           name_of(p, proposal->layer == weak ? strong : weak));
  snprintf(proposal->warning, sizeof proposal->warning, "%s is %s (%.2f) beside %s, which is %s (%.2f).",
           name_of(p, strong), dw_plugin_see_through_words(strong_is), strong_is, name_of(p, weak),
           dw_plugin_see_through_words(weak_is), weak_is);
}

/* ---- the whole ----------------------------------------------------------------------------------------- */

static void look_between(const pair *p, dw_reply *reply) {
  const dw_layer_view *first = &p->request->layer[p->first], *second = first + 1;
  const int wanted_so = first->target_see_through >= 0 && second->target_see_through >= 0;
  dw_plugin_blend now = {.struct_size = sizeof now};
  if (p->host->blend(p->host->ctx, p->first, NULL, NULL, &now) != DW_PLUGIN_OK) return;
  if (p->request->clean_blends && now.muddy) keep_clean(p, &now, reply);
  if (!wanted_so && now.overpowers >= 0) even(p, &now, reply);
}

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  if (!DW_PLUGIN_HAS(host, dw_host, blend) || !DW_PLUGIN_HAS(request, dw_request, clean_blends))
    return DW_PLUGIN_NOTHING;
  for (uint32_t i = 0; i + 1 < request->n_layers; i++) {
    const pair p = {host, request, i};
    look_between(&p, reply);
  }
  return reply->n ? DW_PLUGIN_OK : DW_PLUGIN_NOTHING;
}

static const dw_plugin plugin = {
    .struct_size = sizeof plugin,
    .abi_major = DW_ABI_MAJOR,
    .abi_minor = DW_ABI_MINOR,
    .id = "blend",
    .title = "Keep blends clean",
    .version = "1.0",
    .advise = advise,
};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
