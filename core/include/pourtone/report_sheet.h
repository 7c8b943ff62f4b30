/* The cup sheet: what goes into which cup, for print beside the pot. */
#ifndef POURTONE_REPORT_SHEET_H
#define POURTONE_REPORT_SHEET_H

#include "pourtone/report.h"

typedef struct pt_sheet_cup {
  char layer[PT_LAYER_NAME_ROOM];
  pt_cup cup; /* drops: bottles of the sheet's shelf */
  bool has_target, has_color;
  pt_lab target;
  pt_lab color; /* as measured, or predicted of the drops */
  bool measured;
  double uncertainty_de00; /* of color when measured */
} pt_sheet_cup;

typedef struct pt_sheet {
  char title[PT_TITLE_ROOM];
  char note[256];
  char date[24];         /* "2026-05-01" */
  char source[160];      /* "Batch 8, poured 2026-05-01" or "As advised, not poured yet"; "" */
  const pt_shelf *shelf; /* borrowed */
  pt_slab slab;          /* how the colors are meant */
  pt_units units;
  size_t n;
  pt_sheet_cup cup[PT_LAYERS_MAX]; /* from back to belly: the order in the mold */
} pt_sheet;

/* The style of the sheet; static. */
extern const char pt_sheet_style[];
/* One page of HTML without script.
 * style_address  where pt_sheet_style is served; NULL: it is written into the page
 * Errors PT_NO_MEMORY */
pt_status pt_html_sheet(const pt_sheet *sheet, const char *style_address, pt_text *out, pt_error *err);

#endif
