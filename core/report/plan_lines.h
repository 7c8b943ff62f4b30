/* Inside report/: a plan's parts as text, those that are added each of whole lines. */
#ifndef DROPWISE_REPORT_PLAN_LINES_H
#define DROPWISE_REPORT_PLAN_LINES_H

#include "dropwise/report_plan.h"

const char *dw__plan_refusal(const dw_plan *plan); /* a sentence; "" where the plan is enough */
void dw__plan_fills(const dw_plan_job *job, const dw_plan *plan, const dw_style *style, dw_text *out);
/* The first line names the layer and its chamber; what goes in follows, indented. */
void dw__plan_cup(const dw_plan_job *job, const dw_plan *plan, size_t i, const dw_style *style, dw_text *out);
void dw__plan_shopping(const dw_plan_job *job, const dw_plan *plan, const dw_style *style, dw_text *out);
void dw__mold_head(const dw_mold *mold, dw_text *out);
void dw__mold_chambers(const dw_mold *mold, const char *const *layers, size_t n, dw_text *out);

#endif
