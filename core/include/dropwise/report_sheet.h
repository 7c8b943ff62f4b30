/* The cup sheet: what goes into which cup, for print beside the pot. */
#ifndef DROPWISE_REPORT_SHEET_H
#define DROPWISE_REPORT_SHEET_H

#include "dropwise/report.h"

typedef struct dw_sheet_cup {
  char layer[DW_LAYER_NAME_ROOM];
  dw_cup cup; /* drops: bottles of the sheet's shelf */
  bool has_target, has_color;
  dw_lab target;
  dw_lab color; /* as measured, or predicted of the drops */
  bool measured;
  double uncertainty_de00; /* of color when measured */
} dw_sheet_cup;

typedef struct dw_sheet {
  char title[DW_TITLE_ROOM];
  char note[256];
  char date[24];         /* "2026-05-01" */
  char source[160];      /* "Batch 8, poured 2026-05-01" or "As advised, not poured yet"; "" */
  const dw_shelf *shelf; /* borrowed */
  dw_slab slab;          /* how the colors are meant */
  dw_units units;
  size_t n;
  dw_sheet_cup cup[DW_LAYERS_MAX]; /* from back to belly: the order in the mold */
} dw_sheet;

/* The style of the sheet; static. */
extern const char dw_sheet_style[];
/* One page of HTML without script.
 * style_address  where dw_sheet_style is served; NULL: it is written into the page
 * Errors DW_NO_MEMORY */
dw_status dw_html_sheet(const dw_sheet *sheet, const char *style_address, dw_text *out, dw_error *err);

#endif
