/* Drift of a pattern's layers as text, JSON, CSV, a chart and an HTML report. */
#ifndef DROPWISE_REPORT_DRIFT_H
#define DROPWISE_REPORT_DRIFT_H

#include "dropwise/batch_drift.h"
#include "dropwise/report.h"

typedef enum dw_detail { DW_DETAIL_BRIEF, DW_DETAIL_ALL } dw_detail;
/* Words first; charts, single rules and answers without news with DW_DETAIL_ALL. */
void dw_text_drift(const dw_drift_report *report, dw_detail detail, const dw_style *style, dw_text *out);
json_t *dw_json_drift(const dw_drift_report *report);
/* {"n", "enough", "words", "rho", "low", "high", "p"}, a new reference or NULL. */
json_t *dw_json_heat_answer(const dw_heat_answer *heat);
/* What is the next cup: the last good one, and what to pour; nothing where nothing is known. */
void dw_text_next_cup(const dw_next_cup *next, const dw_style *style, dw_text *out);
json_t *dw_json_next_cup(const dw_next_cup *next);
/* One line a batch and layer; a header line first. */
void dw_csv_drift(const dw_drift_report *report, dw_text *out);
/* Errors DW_NO_MEMORY */
dw_status dw_html_drift(const dw_drift_report *report, dw_text *out, dw_error *err);

/* The chart of a layer's CIEDE2000 to its target, newest batch right. */
void dw_chart_text(const dw_drift_layer *layer, dw_text *out); /* at most 80 columns wide */
void dw_chart_svg(const dw_drift_layer *layer, dw_text *out);  /* one <svg> element */
/* The share of a swirl's color, batch by batch, as one <svg> element; nothing without a batch. */
void dw_share_svg(const dw_drift_layer *layer, dw_text *out);

#endif
