#include "dropwise/plan.h"

#include <string.h>

static size_t powder_named(dw_shopping *list, const char *name) {
  size_t i = 0;
  while (i < list->n_powders && strcmp(list->powder[i].name, name) != 0) i++;
  if (i == list->n_powders) dw_copy_text(list->powder[list->n_powders++].name, DW_ID_ROOM, name);
  return i;
}

void dw_plan_shopping(const dw_plan_job *job, const dw_plan *plan, dw_shopping *out) {
  *out = (dw_shopping){0};
  for (size_t i = 0; i < job->n_layers; i++) {
    const dw_plan_cup *cup = &plan->cup[i];
    out->plastic_ml += cup->plastic_ml;
    for (size_t j = 0; j < job->n_additives; j++) out->additive_ml[j] += cup->additive_ml[j];
    for (size_t j = 0; j < cup->drops.n; j++)
      out->drops[cup->drops.part[j].bottle] += cup->drops.part[j].amount;
    for (size_t j = 0; j < job->layer[i].n_powders; j++) {
      const size_t at = powder_named(out, job->layer[i].powder[j].name);
      out->powder[at].grams += cup->grams[j];
      out->powder[at].teaspoons += cup->teaspoons[j];
    }
  }
}
