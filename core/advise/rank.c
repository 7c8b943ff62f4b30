#include "advise/rank.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Proposals that end as far off as this from the best can't be told apart: the reading's doubt, or the
 * prediction's where the cup was not measured; at least what an eye hardly sees and at most what it plainly
 * sees side by side. (The doubt is mostly common to all proposals for a cup, so a large one does not make
 * them all alike. A share of chroma asked for is a round number: there it is the most.) Chosen by the closed
 * loop: docs/mixing-model.md#rank. */
#define TOLD_LEAST_DE00 0.5
#define TOLD_MOST_DE00 1.0

/* A proposal with what it is judged by. */
typedef struct judged {
  dw_advice *advice;
  double miss;  /* CIEDE2000 units from what was asked for */
  size_t run;   /* of equals, within the layer; the first is 0 */
  bool nearest; /* of its run */
  double told;  /* what can be told apart where this one is the best */
  size_t pots;  /* bottles added from, clear base too */
  bool browned; /* dulls with brown where the layer is to be duller: what the trade does first */
  double work;  /* drops, clear base and bottles new to the cup, in fl oz of clear base */
  size_t order; /* as it came: equal proposals keep their order */
} judged;

/* What a contrast ratio so far off the one wanted costs: the target's, or of a cup the one it has. */
static double see_through_miss(const dw__case *c, size_t layer, double see_through) {
  const dw_layer_view *view = &c->layer[layer];
  const bool held = view->target_see_through < 0;
  if (held && (view->n_drops == 0 || c->view.chroma_share > 0)) return 0;
  const double wanted = held ? view->see_through : view->target_see_through;
  const double weight =
      held ? fmin(dw_hold_weight(view->now_de00), DW_SEE_THROUGH_WEIGHT) : DW_SEE_THROUGH_WEIGHT;
  return weight * fmax(0, fabs(see_through - wanted) - DW_SEE_THROUGH_NEAR);
}

/* From the aim; where a contrast ratio is wanted, from that too. To leave what is right beats all. */
static double miss(const dw__case *c, const dw_advice *advice) {
  if (c->state[advice->layer].leave && !dw_advice_adds(advice)) return -INFINITY;
  return hypot(advice->predicted_de00, see_through_miss(c, advice->layer, advice->predicted.see_through));
}

static judged judge(const dw__case *c, dw_advice *advice, size_t order) {
  const dw_layer_view *layer = &c->layer[advice->layer];
  const bool seen = layer->measured && layer->n_drops > 0; /* and carried into every prediction */
  const double doubt = seen ? layer->now_uncertainty_de00 : advice->predicted.uncertainty_de00;
  judged j = {.advice = advice, .miss = miss(c, advice), .order = order};
  j.told = c->view.chroma_share > 0 ? TOLD_MOST_DE00 : fmin(fmax(doubt, TOLD_LEAST_DE00), TOLD_MOST_DE00);
  j.pots = advice->add.n + (advice->add_clear_floz > 0);
  j.work = advice->add_clear_floz + DW_DROP_WORTH_FLOZ * dw_recipe_total(&advice->add);
  for (size_t i = 0; i < advice->add.n; i++) {
    const size_t bottle = advice->add.part[i].bottle;
    j.browned |= layer->dull_share > 0 && layer->n_drops > 0 && c->bottle[bottle].role == DW_BOTTLE_BROWN;
    if (!(dw_recipe_amount(&c->cup[advice->layer].drops, bottle) > 0)) j.work += DW_BOTTLE_WORTH_FLOZ;
  }
  return j;
}

static int compare(double a, double b) {
  return (a > b) - (a < b);
}

static int by_miss(const void *first, const void *second) {
  const judged *a = first, *b = second;
  if (a->advice->layer != b->advice->layer) return a->advice->layer < b->advice->layer ? -1 : 1;
  int order = compare(a->miss, b->miss);
  return order ? order : compare((double)a->order, (double)b->order);
}

/* To leave it, then brown where it dulls, then the fewest bottles, then the least work. */
static int by_work(const void *first, const void *second) {
  const judged *a = first, *b = second;
  int order = compare((double)(a->pots > 0), (double)(b->pots > 0));
  if (!order) order = compare((double)b->browned, (double)a->browned);
  if (!order) order = compare((double)a->pots, (double)b->pots);
  if (!order) order = compare(a->work, b->work);
  return order ? order : by_miss(first, second);
}

/* A run of equals begins at its best and ends where the next can be told from that. */
static void sort(judged *list, size_t n) {
  qsort(list, n, sizeof *list, by_miss);
  for (size_t i = 0, end, run = 0; i < n; i = end) {
    run = i > 0 && list[i - 1].advice->layer == list[i].advice->layer ? run + 1 : 0;
    list[i].nearest = true;
    list[i].run = run;
    for (end = i + 1; end < n && list[end].advice->layer == list[i].advice->layer &&
                      list[end].miss <= list[i].miss + list[i].told;
         end++)
      list[end].run = run;

    qsort(list + i, end - i, sizeof *list, by_work);
  }
}

/* Among equals a plugin is heard once; of the best ones the nearest is shown, too. */
static bool heard(const judged *list, size_t i) {
  if (list[i].run == 0 && list[i].nearest) return false;
  for (size_t k = i; k-- > 0 && list[k].advice->layer == list[i].advice->layer && list[k].run == list[i].run;)
    if (strcmp(list[k].advice->plugin, list[i].advice->plugin) == 0) return true;
  return false;
}

static bool same_additions(const dw_advice *a, const dw_advice *b) {
  if (a->layer != b->layer || a->add.n != b->add.n || fabs(a->add_clear_floz - b->add_clear_floz) > 1e-6)
    return false;
  for (size_t i = 0; i < a->add.n; i++)
    if (fabs(dw_recipe_amount(&b->add, a->add.part[i].bottle) - a->add.part[i].amount) > 1e-6) return false;
  return true;
}

/* The advice in out that is the same, or NULL. */
static dw_advice *known(dw_advice_result *out, const dw_advice *advice) {
  for (size_t i = 0; i < out->n; i++)
    if (same_additions(&out->advice[i], advice)) return &out->advice[i];
  return NULL;
}

void dw__advice_rank(const dw__case *c, dw_advice *advice, size_t n, dw_advice_result *out) {
  judged list[DW_PLUGINS_MAX * DW_PLUGIN_PROPOSALS_MAX +
              2 * DW_LAYERS_MAX]; /* of a layer two may be the host's */
  size_t share = DW_ADVICE_MAX / c->view.n_layers, in_layer[DW_LAYERS_MAX] = {0}, left_out = 0;
  for (size_t i = 0; i < n; i++) list[i] = judge(c, &advice[i], i);
  sort(list, n);
  out->n = 0;
  for (size_t i = 0; i < n; i++) {
    dw_advice *next = list[i].advice, *same = known(out, next);
    if (same) {
      if (strcmp(same->plugin, next->plugin) != 0 && same->n_also < DW_ALSO_MAX)
        memcpy(same->also[same->n_also++], next->plugin, sizeof next->plugin);
    } else if (heard(list, i)) {
      continue;
    } else if (in_layer[next->layer] < share) {
      in_layer[next->layer]++;
      out->advice[out->n++] = *next;
    } else {
      left_out++;
    }
  }
  if (left_out)
    dw_note(&out->notes, "%zu further proposals, worse than those shown, are left out.", left_out);
}
