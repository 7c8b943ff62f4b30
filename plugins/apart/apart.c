/* apart: keeps neighboring layers distinct. Layers nearer than CIEDE2000 8 run into one color when they are
 * poured together (the maker may set another figure), and one far more opaque than its neighbor drowns it
 * (common practice, no source). */
#include "dropwise/plugin.h"

#include <stdio.h>

static const dw_parameter parameters[] = {
    {"least", "how far apart neighboring layers must be at least (CIEDE2000)", 2, 30, 8}};

/* What is the same for all pairs. */
typedef struct task {
  const dw_host *host;
  const dw_request *request;
  double least; /* CIEDE2000 between neighbors */
} task;

typedef struct change {
  uint32_t layer, n;
  dw_addition add[DW_PLUGIN_ADDS_MAX];
  double clear_floz;
  dw_lab color;
  double moved; /* CIEDE2000 from now; the least is the best */
} change;

/* Solves for an aim and keeps the change in best when it parts the two and moves the layer less. */
static void try_aim(const task *t, uint32_t i, dw_lab other, dw_lab target, change *best) {
  const dw_host *host = t->host;
  change c = {.layer = i, .n = DW_PLUGIN_ADDS_MAX};
  dw_plugin_aim aim = dw_plugin_aim_at(target);
  aim.max_new_bottles = 1;
  aim.free_see_through = 1; /* two layers in one color are no look to keep */
  if (host->solve(host->ctx, i, &aim, c.add, &c.n, &c.clear_floz) != DW_PLUGIN_OK) return;
  if (host->predict(host->ctx, i, c.add, c.n, c.clear_floz, &c.color, NULL) != DW_PLUGIN_OK) return;
  c.moved = host->difference(host->ctx, t->request->layer[i].now, c.color, NULL, 0);
  if (host->difference(host->ctx, other, c.color, NULL, 0) >= t->least && c.moved < best->moved) *best = c;
}

/* The color on the way from one toward another that is just far enough from `other`; the far end when none
 * is. */
static dw_lab part_of_way(const task *t, dw_lab from, dw_lab toward, dw_lab other) {
  dw_lab at = from;
  for (int step = 1; step <= 20; step++) {
    double part = step / 20.0;
    at = (dw_lab){from.L + part * (toward.L - from.L), from.a + part * (toward.a - from.a),
                  from.b + part * (toward.b - from.b)};
    if (t->host->difference(t->host->ctx, other, at, NULL, 0) >= 1.1 * t->least)
      break; /* room for whole drops */
  }
  return at;
}

/* Moves layer i off its neighbor: toward its own target, straight away, lighter, darker. */
static void try_layer(const task *t, uint32_t i, dw_lab other, change *best) {
  dw_lab now = t->request->layer[i].now, target = t->request->layer[i].target;
  dw_lab away = {now.L + 8 * (now.L - other.L), now.a + 8 * (now.a - other.a), now.b + 8 * (now.b - other.b)};
  dw_lab ends[] = {target, away, {now.L + 30, now.a, now.b}, {now.L - 30, now.a, now.b}};
  for (int k = 0; k < 4; k++) {
    if (ends[k].L < 0) ends[k].L = 0;
    try_aim(t, i, other, part_of_way(t, now, ends[k], other), best);
  }
}

static void part_colors(const task *t, uint32_t i, double apart, dw_reply *reply) {
  const dw_host *host = t->host;
  const dw_request *request = t->request;
  const dw_layer_view *first = &request->layer[i], *second = first + 1;
  double targets = host->difference(host->ctx, first->target, second->target, NULL, 0);
  change best = {.layer = i, .moved = INFINITY};
  char words[80];
  try_layer(t, i, second->now, &best);
  try_layer(t, i + 1, first->now, &best);
  dw_proposal *p = dw_plugin_propose(request, reply, best.layer);
  if (!p) return;
  snprintf(p->warning, sizeof p->warning,
           "%s and %s are only %.1f apart; below %.0f they run into one color.%s", first->name, second->name,
           apart, t->least, targets < t->least ? " Their targets are as close." : "");
  if (best.moved == INFINITY) {
    snprintf(p->words, sizeof p->words, "Nothing that can be added to %s or %s parts them; start one anew.",
             first->name, second->name);
    return;
  }
  for (uint32_t k = 0; k < best.n; k++) p->add[k] = best.add[k];
  p->n_adds = best.n;
  p->add_clear_floz = best.clear_floz;
  p->predicted = best.color;
  host->difference(host->ctx, request->layer[best.layer].now, best.color, words, sizeof words);
  snprintf(p->words, sizeof p->words, "Makes it %s: the least change that sets it %.0f apart from %s.", words,
           host->difference(host->ctx, best.color, best.layer == i ? second->now : first->now, NULL, 0),
           best.layer == i ? second->name : first->name);
}

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  const task t = {host, request, dw_plugin_value(request, parameters, 0)};
  for (uint32_t i = 0; i + 1 < request->n_layers; i++) {
    const dw_layer_view *first = &request->layer[i], *second = first + 1;
    if (first->n_drops == 0 || second->n_drops == 0) continue; /* nothing poured yet to be told apart */
    double apart = host->difference(host->ctx, first->now, second->now, NULL, 0);
    if (apart < t.least) part_colors(&t, i, apart, reply);
  }
  return reply->n ? DW_PLUGIN_OK : DW_PLUGIN_NOTHING;
}

static const dw_plugin plugin = {
    .struct_size = sizeof plugin,
    .abi_major = DW_ABI_MAJOR,
    .abi_minor = DW_ABI_MINOR,
    .id = "apart",
    .title = "Keep neighbors apart",
    .version = "1.0",
    .advise = advise,
    .n_parameters = sizeof parameters / sizeof *parameters,
    .parameter = parameters,
};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
