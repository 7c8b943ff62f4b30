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
/* "craw: 4 cavities, a fill takes 42 ml; sprue away, backs left" */
void dw_text_mold_line(const dw_mold *mold, const dw_style *style, dw_text *out);

/* Keys: docs/file-formats.md#json. New references, or NULL when out of memory */
json_t *dw_json_plan(const dw_plan_job *job, const dw_plan *plan);
json_t *dw_json_mold(const dw_mold *mold);
/* What dw_text_plan says, in parts: {"refusal": "" or the first line of a plan that is not enough, "fills": [lines],
 * "cups": [ [lines] by layer ], "molds": [ [what stands above the drawing, the chambers in order] ],
 * "shopping": [lines]} */
json_t *dw_json_plan_words(const dw_plan_job *job, const dw_plan *plan, const dw_style *style);

/* The same mold drawn: the injector before it, its chambers numbered as they stand, and the baits with their
 * backs where they lie. One SVG of shapes and text alone, in the ink of the page that shows it.
 * layers  n of them, back first; color  theirs, NULL where unknown
 * Nothing for a mold or a number of layers that dw_mold_chambers refuses */
void dw_svg_mold(const dw_mold *mold, const char *const *layers, const dw_lab *const *color, size_t n,
                 dw_text *out);

#endif
