/* nearest: what to add to each cup to bring it nearest its target. */
#include "dropwise/plugin.h"

#include <stdio.h>

#define NEW_BOTTLES 4
#define FARTHER_MOST 2.0 /* how much worse a way with fewer bottles may do and still be worth naming */

/* A bait was measured, but what its cup held is not known: what can be said is whether to pour it again, and
 * else a recipe for a fresh cup. */
static int bait_only(const dw_layer_view *layer) {
  return layer->measured && layer->n_drops == 0;
}

/* Leaves alone what is right, and says why. */
static void leave_right(const dw_request *request, uint32_t i, dw_reply *reply) {
  const dw_layer_view *layer = &request->layer[i];
  const dw_layer_guide *guide = dw_plugin_guide(request, i);
  dw_proposal *p = dw_plugin_propose(request, reply, i);
  if (p && bait_only(layer))
    snprintf(p->words, sizeof p->words, "The bait is right: %s. Pour the same again.", guide->leave_words);
  else if (p)
    snprintf(p->words, sizeof p->words, "Leave it: %s.", guide->leave_words);
}

/* Leaves the cup alone because nothing helps. */
static void leave(const dw_host *host, const dw_request *request, uint32_t i, dw_reply *reply, double gain) {
  const dw_layer_view *layer = &request->layer[i];
  dw_proposal *p = dw_plugin_propose(request, reply, i);
  if (!p) return;
  if (gain > 0)
    snprintf(p->words, sizeof p->words,
             "Leave it: the best addition would bring it only %.1f nearer its target, %.1f away.", gain,
             layer->now_de00);
  else
    snprintf(p->words, sizeof p->words,
             "Leave it: nothing that can be added brings it nearer its target, %.1f away.", layer->now_de00);
  host->limit(host->ctx, p->warning, sizeof p->warning);
}

/* What distances are to. */
static const char *aim_name(const dw_request *request) {
  return request->chroma_share > 0 ? "the duller color" : "its target";
}

/* ---- words ------------------------------------------------------------------------------------------ */

static int in_cup(const dw_layer_view *layer, uint32_t bottle) {
  for (uint32_t k = 0; k < layer->n_drops; k++)
    if (layer->drops[k].bottle == bottle && layer->drops[k].drops > 0) return 1;
  return 0;
}

static uint32_t new_bottles(const dw_layer_view *layer, const dw_proposal *p) {
  uint32_t n = 0;
  for (uint32_t k = 0; k < p->n_adds; k++) n += !in_cup(layer, p->add[k].bottle);
  return n;
}

/* What it takes, where that is worth a word. */
static const char *with_what(const dw_layer_view *layer, const dw_proposal *p) {
  int clear = p->add_clear_floz > 0;
  if (layer->n_drops == 0 || new_bottles(layer, p)) return "";
  return p->n_adds == 0 ? " with clear base alone"
         : clear        ? " with its own bottles and clear base"
                        : " with its own bottles";
}

/* Words for additions that were solved for; `left` is what then remains to the target. narrowed: fewer
 * bottles than allowed, or no clear base, so that these limits are our own. */
static void explain(const dw_host *host, const dw_request *request, dw_proposal *p, double left,
                    int narrowed) {
  const dw_layer_view *layer = &request->layer[p->layer];
  const char *aim = aim_name(request);
  char change[80], light[90] = "";
  double see_through = layer->see_through;
  host->difference(host->ctx, layer->now, p->predicted, change, sizeof change);
  host->predict(host->ctx, p->layer, p->add, p->n_adds, p->add_clear_floz, NULL, &see_through);
  if (layer->target_see_through >= 0)
    snprintf(light, sizeof light, "; %s, %.2f where %.2f is wanted", dw_plugin_see_through_words(see_through),
             see_through, layer->target_see_through);
  int32_t limit = host->limit(host->ctx, p->warning, sizeof p->warning);
  if (narrowed && (limit == DW_PLUGIN_LIMIT_BOTTLES || limit == DW_PLUGIN_LIMIT_FULL)) {
    limit = DW_PLUGIN_LIMIT_NONE;
    p->warning[0] = '\0';
  }
  const char *how = limit == DW_PLUGIN_LIMIT_NONE ? "" : "as near as it can come, ";
  if (layer->n_drops == 0)
    snprintf(p->words, sizeof p->words, "A recipe from clear base: %s%.1f from %s%s.", how, left, aim, light);
  else
    snprintf(p->words, sizeof p->words, "Makes it %s%s: %s%.1f from %s instead of %.1f%s.", change,
             with_what(layer, p), how, left, aim, layer->now_de00, light);
}

/* ---- proposals -------------------------------------------------------------------------------------- */

/* How freely to solve. */
typedef struct way {
  uint32_t new_bottles;
  int clear_base, narrowed;
} way;

static dw_proposal *solve(const dw_host *host, const dw_request *request, uint32_t i, way how,
                          dw_reply *reply) {
  const dw_layer_view *layer = &request->layer[i];
  dw_plugin_aim aim = dw_plugin_aim_at(layer->target);
  aim.max_new_bottles = how.new_bottles;
  aim.clear_base = how.clear_base;
  if (layer->target_see_through >= 0) {
    aim.see_through = layer->target_see_through;
    aim.weight_see_through = DW_PLUGIN_SEE_THROUGH_WEIGHT;
  }
  return dw_plugin_solve(host, request, reply, i, &aim);
}

/* One proposal, if it gains enough and ends at most so far off. Returns its gain, 0 when there is none. */
static double propose(const dw_host *host, const dw_request *request, uint32_t i, way how, double left_most,
                      dw_reply *reply) {
  const dw_layer_view *layer = &request->layer[i];
  dw_proposal *p = solve(host, request, i, how, reply);
  if (!p) return 0;
  double left = host->difference(host->ctx, p->predicted, layer->target, NULL, 0);
  double gain = layer->now_de00 - left;
  const dw_layer_guide *guide = dw_plugin_guide(request, i);
  /* -fanalyzer: advise has asked whether there is a guide */
  int worth = gain >= guide->gain_de00 || bait_only(layer) || !guide->clear;
  if (worth && left <= left_most)
    explain(host, request, p, left, how.narrowed);
  else
    reply->n--; /* takes it back */
  return gain;
}

/* Ways that are less work than the nearest one: fewer bottles to open, no clear base. They often do nearly as
 * well. */
static void propose_simpler(const dw_host *host, const dw_request *request, uint32_t i, dw_reply *reply) {
  const dw_layer_view *layer = &request->layer[i];
  const dw_proposal *first = &reply->proposal[reply->n - 1];
  double left_most = host->difference(host->ctx, first->predicted, layer->target, NULL, 0) + FARTHER_MOST;
  uint32_t fewest = layer->n_drops > 0 ? 0 : 1, n = new_bottles(layer, first);
  int thinned = first->add_clear_floz > 0;
  for (uint32_t k = thinned ? n + 1 : n; k-- > fewest;)
    propose(host, request, i, (way){k, 0, 1}, left_most, reply);
  if (thinned && n > 0) propose(host, request, i, (way){0, 1, 1}, left_most, reply);
}

static void advise_layer(const dw_host *host, const dw_request *request, uint32_t i, dw_reply *reply) {
  uint32_t before = reply->n;
  if (dw_plugin_guide(request, i)->leave) {
    leave_right(request, i, reply);
    return;
  }
  double gain = propose(host, request, i, (way){NEW_BOTTLES, 1, 0}, INFINITY, reply);
  if (reply->n == before)
    leave(host, request, i, reply, gain);
  else
    propose_simpler(host, request, i, reply);
}

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  if (!dw_plugin_guide(request, 0)) return DW_PLUGIN_NOTHING; /* a host without rules to go by */
  for (uint32_t i = 0; i < request->n_layers; i++) advise_layer(host, request, i, reply);
  return DW_PLUGIN_OK;
}

static const dw_plugin plugin = {
    .struct_size = sizeof plugin,
    .abi_major = DW_ABI_MAJOR,
    .abi_minor = DW_ABI_MINOR,
    .id = "nearest",
    .title = "Nearest the target",
    .version = "1.0",
    .advise = advise,
};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
