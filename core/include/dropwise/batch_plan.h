/* A pattern's layers and recipes for a plan. */
#ifndef DROPWISE_BATCH_PLAN_H
#define DROPWISE_BATCH_PLAN_H

#include "dropwise/batch_advice.h"
#include "dropwise/plan.h"

/* Whose recipes a plan goes by. */
typedef struct dw_plan_source {
  bool found; /* there is such a batch: */
  dw_batch batch;
  bool advised; /* nothing is in its cups, or there is none: the recipes are those that are advised */
} dw_plan_source;

/* Appends the pattern's layers to a job, with their recipes: those of a batch, or where nothing was poured those of the
 * next cups, as advised.
 * batch  its name; NULL: the last good one, else the newest in which something was poured or read
 * share    of the bait, one for each layer
 * plugins  that advise
 * job    its shelf is set
 * Errors DW_NOT_FOUND no batch of that name; DW_TOO_FEW a cup holds a bottle that the shelf lacks */
dw_status dw_plan_take_pattern(dw_book *book, const dw_pattern *pattern, const char *batch,
                               const double *share, const dw_plugins *plugins, dw_plan_job *job,
                               dw_plan_source *out, dw_error *err);
/* Says among the plan's notes whose recipes they are, and what the shelf warns of. */
void dw_plan_note_source(const dw_plan_job *job, const dw_plan_source *source, dw_plan *plan);

#endif
