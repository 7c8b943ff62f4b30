/* The pictures of the cup sheet. */
#ifndef DROPWISE_REPORT_SHEET_PICTURE_H
#define DROPWISE_REPORT_SHEET_PICTURE_H

#include "dropwise/report_sheet.h"

/* The bait as these cups make it, as one SVG; nothing where fewer than two cups have a color.
 * Errors DW_NO_MEMORY */
dw_status dw__sheet_bait(const dw_sheet *sheet, const dw_sheet_look *look, dw_text *out, dw_error *err);
/* The chambers of the injector from left to right, each with its cup, as one SVG. The sheet has a mold. */
void dw__sheet_chambers(const dw_sheet *sheet, dw_text *out);

#endif
