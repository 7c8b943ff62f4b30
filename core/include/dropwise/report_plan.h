/* A plan as text and JSON. */
#ifndef DROPWISE_REPORT_PLAN_H
#define DROPWISE_REPORT_PLAN_H

#include "dropwise/plan.h"
#include "dropwise/report.h"

/* Cups with volumes, drops and powders, loads, the molds as they stand with their chambers, the shopping list
 * and the cautions. */
void dw_text_plan(const dw_plan_job *job, const dw_plan *plan, const dw_style *style, dw_text *out);
/* A mold as it stands on the bench, seen from above, and which layer's cup goes into which chamber. */
void dw_text_mold(const dw_mold *mold, const char *const *layers, size_t n, dw_text *out);
/* Keys: docs/file-formats.md#json. A new reference, or NULL when out of memory */
json_t *dw_json_plan(const dw_plan_job *job, const dw_plan *plan);

#endif
