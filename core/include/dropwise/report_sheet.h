/* The cup sheet: what goes into which cup, for print beside the pot. */
#ifndef DROPWISE_REPORT_SHEET_H
#define DROPWISE_REPORT_SHEET_H

#include "dropwise/batch_sheet.h"
#include "dropwise/report.h"

/* The style of the sheet; static. */
extern const char dw_sheet_style[];
/* One page of HTML without script.
 * style_address  where dw_sheet_style is served; NULL: it is written into the page
 * Errors DW_NO_MEMORY */
dw_status dw_html_sheet(const dw_sheet *sheet, const char *style_address, dw_text *out, dw_error *err);

/* The same as text, cautions included, and as {"title", "date", "source", "note", "units", "cups": [{"layer",
 * "volume_floz", "capacity_floz", "drops", "target", "color", "measured"}]}, a new reference or NULL. */
void dw_text_sheet(const dw_sheet *sheet, const dw_style *style, dw_text *out);
json_t *dw_json_sheet(const dw_sheet *sheet);

#endif
