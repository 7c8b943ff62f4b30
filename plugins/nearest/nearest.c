/* nearest: what to add to each cup to bring it nearest its target. */
#include "pourtone/plugin.h"

#include <stdio.h>

/* A difference not worth correcting, and a gain not worth the drops: correcting below these only chases the
 * photo's own error (measured in closed loop, docs/mixing-model.md). */
#define NEAR_ENOUGH 0.8
#define GAIN_LEAST 0.4
/* A contrast ratio 0.05 off weighs as much as CIEDE2000 2. */
#define SEE_THROUGH_WEIGHT 40.0
#define SEE_THROUGH_NEAR 0.05
#define NEW_BOTTLES 4
#define FARTHER_MOST 2.0 /* how much worse the cup's own bottles may do and still be worth naming */

static int clear_enough(const pt_layer_view *layer, double see_through) {
  return layer->target_see_through < 0 || fabs(see_through - layer->target_see_through) <= SEE_THROUGH_NEAR;
}

/* Leaves the cup alone and says why. */
static void leave(const pt_host *host, const pt_request *request, uint32_t i, pt_reply *reply, double gain) {
  const pt_layer_view *layer = &request->layer[i];
  char why[PT_PLUGIN_WORDS - 90] = "";
  pt_proposal *p = pt_plugin_propose(request, reply, i);
  if (!p) return;
  if (layer->now_de00 <= NEAR_ENOUGH) {
    snprintf(p->words, sizeof p->words, "Leave it: it is %.1f from its target, too little to correct.",
             layer->now_de00);
  } else if (gain > 0) {
    snprintf(p->words, sizeof p->words,
             "Leave it: the best addition would bring it only %.1f nearer its target.", gain);
  } else {
    snprintf(p->words, sizeof p->words,
             "Leave it: nothing that can be added brings it nearer its target, %.1f away.", layer->now_de00);
  }
  host->limit(host->ctx, why, sizeof why);
  if (layer->now_de00 > NEAR_ENOUGH) snprintf(p->warning, sizeof p->warning, "%s", why);
}

/* Words for additions that were solved for; `left` is what then remains to the target. */
static void explain(const pt_host *host, const pt_layer_view *layer, pt_proposal *p, double left, int own) {
  char change[80], light[60] = "";
  double see_through = layer->see_through;
  host->difference(host->ctx, layer->now, p->predicted, change, sizeof change);
  host->predict(host->ctx, p->layer, p->add, p->n_adds, p->add_clear_floz, NULL, &see_through);
  if (layer->target_see_through >= 0)
    snprintf(light, sizeof light, "; contrast ratio %.2f, %.2f is wanted", see_through,
             layer->target_see_through);
  int32_t limit = host->limit(host->ctx, p->warning, sizeof p->warning);
  if (own && limit == PT_PLUGIN_LIMIT_BOTTLES)
    p->warning[0] = '\0'; /* our own limit: the other proposal lifts it */
  const char *how = limit == PT_PLUGIN_LIMIT_NONE ? ""
                    : own                         ? "with its own bottles "
                                                  : "as near as it can come, ";
  if (layer->n_drops == 0)
    snprintf(p->words, sizeof p->words, "A recipe from clear base: %s%.1f from its target%s.", how, left,
             light);
  else
    snprintf(p->words, sizeof p->words, "Makes it %s%s: %s%.1f from its target instead of %.1f%s.", change,
             own && !*how ? " with its own bottles" : "", how, left, layer->now_de00, light);
  if (limit == PT_PLUGIN_LIMIT_NONE && layer->measured && layer->now_de00 < layer->now_uncertainty_de00)
    snprintf(
        p->warning, sizeof p->warning,
        "The difference of %.1f is within what the photo can tell (%.1f): take another photo before adding.",
        layer->now_de00, layer->now_uncertainty_de00);
}

static double drops_in(const pt_proposal *p) {
  double sum = 0;
  for (uint32_t k = 0; k < p->n_adds; k++) sum += p->add[k].drops;
  return sum;
}

/* The proposal takes fewer drops than the one before it and ends not much farther off. */
static int nearly_as_good(const pt_host *host, const pt_layer_view *layer, const pt_proposal *p,
                          double left) {
  const pt_proposal *first = p - 1;
  double first_left = host->difference(host->ctx, first->predicted, layer->target, NULL, 0);
  return drops_in(p) < drops_in(first) && left <= first_left + FARTHER_MOST;
}

/* One proposal with at most so many new bottles, if it gains enough; with none only beside a richer one.
 * Returns its gain, 0 when there is none. */
static double propose(const pt_host *host, const pt_request *request, uint32_t i, uint32_t new_bottles,
                      pt_reply *reply) {
  const pt_layer_view *layer = &request->layer[i];
  pt_plugin_aim aim = pt_plugin_aim_at(layer->target);
  aim.max_new_bottles = new_bottles;
  if (layer->target_see_through >= 0) {
    aim.see_through = layer->target_see_through;
    aim.weight_see_through = SEE_THROUGH_WEIGHT;
  }
  pt_proposal *p = pt_plugin_solve(host, request, reply, i, &aim);
  if (!p) return 0;
  double left = host->difference(host->ctx, p->predicted, layer->target, NULL, 0);
  double gain = layer->now_de00 - left;
  int own = new_bottles == 0;
  if ((gain >= GAIN_LEAST || !clear_enough(layer, layer->see_through)) &&
      (!own || nearly_as_good(host, layer, p, left)))
    explain(host, layer, p, left, own);
  else
    reply->n--; /* takes it back */
  return gain;
}

static void advise_layer(const pt_host *host, const pt_request *request, uint32_t i, pt_reply *reply) {
  const pt_layer_view *layer = &request->layer[i];
  uint32_t before = reply->n;
  if (layer->now_de00 <= NEAR_ENOUGH && clear_enough(layer, layer->see_through)) {
    leave(host, request, i, reply, 0);
    return;
  }
  double gain = propose(host, request, i, NEW_BOTTLES, reply);
  if (reply->n == before)
    leave(host, request, i, reply, gain);
  else if (layer->n_drops > 0)
    propose(host, request, i, 0, reply); /* often nearly as good, and no further bottle to open */
}

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  for (uint32_t i = 0; i < request->n_layers; i++) advise_layer(host, request, i, reply);
  return PT_PLUGIN_OK;
}

static const pt_plugin plugin = {sizeof plugin,        PT_ABI_MAJOR, PT_ABI_MINOR, "nearest",
                                 "Nearest the target", "1.0",        advise};

const pt_plugin *pt_plugin_entry(void) {
  return &plugin;
}
