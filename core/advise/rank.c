#include "advise/rank.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Predictions this close are the same to an eye; the one with fewer drops is then the better advice. */
#define EQUAL_DE00 0.05

/* Lightness counts little where a duller color was asked for: brown darkens, and may. */
#define DULL_LIGHTNESS 0.3

/* A proposal with what it is judged by. */
typedef struct judged {
  pt_advice *advice;
  double miss; /* CIEDE2000 units from what was asked for */
  double drops;
  size_t order; /* as it came: equal proposals keep their order */
} judged;

/* Asked for a share duller: from that color, else from the target. */
static double miss(const pt__case *c, const pt_advice *advice) {
  if (c->view.chroma_share == 0) return advice->predicted_de00;
  pt_difference d = pt_difference_between(c->layer[advice->layer].dull_target, advice->predicted.lab);
  return sqrt(d.dc * d.dc + d.dh * d.dh + DULL_LIGHTNESS * d.dl * d.dl);
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

static int by_drops(const void *first, const void *second) {
  const judged *a = first, *b = second;
  int order = compare(a->drops, b->drops);
  return order ? order : by_miss(first, second);
}

/* A run of equals begins at its best and ends where the next is worse by more than EQUAL_DE00. */
static void sort(judged *list, size_t n) {
  qsort(list, n, sizeof *list, by_miss);
  for (size_t i = 0, end; i < n; i = end) {
    end = i + 1;
    while (end < n && list[end].advice->layer == list[i].advice->layer &&
           list[end].miss <= list[i].miss + EQUAL_DE00)
      end++;
    qsort(list + i, end - i, sizeof *list, by_drops);
  }
}

static bool same_additions(const pt_advice *a, const pt_advice *b) {
  if (a->layer != b->layer || a->add.n != b->add.n || fabs(a->add_clear_floz - b->add_clear_floz) > 1e-6)
    return false;
  for (size_t i = 0; i < a->add.n; i++)
    if (fabs(pt_recipe_amount(&b->add, a->add.part[i].bottle) - a->add.part[i].amount) > 1e-6) return false;
  return true;
}

/* The advice in out that is the same, or NULL. */
static pt_advice *known(pt_advice_result *out, const pt_advice *advice) {
  for (size_t i = 0; i < out->n; i++)
    if (same_additions(&out->advice[i], advice)) return &out->advice[i];
  return NULL;
}

void pt__advice_rank(const pt__case *c, pt_advice *advice, size_t n, pt_advice_result *out) {
  judged list[PT_PLUGINS_MAX * PT_PLUGIN_PROPOSALS_MAX];
  size_t share = PT_ADVICE_MAX / c->view.n_layers, in_layer[PT_LAYERS_MAX] = {0}, left_out = 0;
  for (size_t i = 0; i < n; i++)
    list[i] = (judged){&advice[i], miss(c, &advice[i]), pt_recipe_total(&advice[i].add), i};
  sort(list, n);
  out->n = 0;
  for (size_t i = 0; i < n; i++) {
    pt_advice *next = list[i].advice, *same = known(out, next);
    if (same) {
      if (strcmp(same->plugin, next->plugin) != 0)
        pt_note(&same->notes, "%s proposes the same.", next->plugin);
    } else if (in_layer[next->layer] < share) {
      in_layer[next->layer]++;
      out->advice[out->n++] = *next;
    } else {
      left_out++;
    }
  }
  if (left_out)
    pt_note(&out->notes, "%zu further proposals, worse than those shown, are left out.", left_out);
}
