/* Blends as text and JSON, and the bait as a picture. */
#ifndef DROPWISE_REPORT_BLEND_H
#define DROPWISE_REPORT_BLEND_H

#include "dropwise/plan_blend.h"
#include "dropwise/report.h"

void dw_text_blends(const dw_shelf *shelf, const dw_blends *blends, const dw_style *style, dw_text *out);
/* Keys: docs/file-formats.md#json. A new reference, or NULL when out of memory */
json_t *dw_json_blends(const dw_shelf *shelf, const dw_blends *blends);

#endif
