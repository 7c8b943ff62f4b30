/* The cup sheet: what goes into which cup, for print beside the pot. */
#ifndef DROPWISE_REPORT_SHEET_H
#define DROPWISE_REPORT_SHEET_H

#include "dropwise/batch_sheet.h"
#include "dropwise/report_blend.h"

/* The style of the sheet; static. */
extern const char dw_sheet_style[];
/* How the page looks, and where it is served. Zeroed is fine. */
typedef struct dw_sheet_look {
  const char *style_address; /* where dw_sheet_style is served; NULL: it is written into the page */
  const char
      *page_address;  /* "http://192.168.1.7:8321/": for the code that brings the batch back; NULL: none */
  dw_outline outline; /* of the bait */
  double share[DW_LAYERS_MAX]; /* of the body's height; the first 0: alike */
} dw_sheet_look;
/* One page of HTML without script.
 * Errors DW_NO_MEMORY; DW_TOO_LARGE the address is too long for a code */
dw_status dw_html_sheet(const dw_sheet *sheet, const dw_sheet_look *look, dw_text *out, dw_error *err);

/* "add 4 drops Orange, 0.50 fl oz clear base"; nothing where nothing is advised. */
void dw_sheet_advised_words(const dw_sheet *sheet, const dw_sheet_cup *cup, dw_text *out);
enum { DW_HEAT_WORDS_ROOM = 80 };
/* "340 F at minute 12, reheated 2 times"; "" where nothing was noted. */
void dw_sheet_heat_words(const dw_sheet_cup *cup, dw_units units, char out[DW_HEAT_WORDS_ROOM]);

/* The same as text, cautions included, and as JSON: docs/file-formats.md#json, a new reference or NULL. */
void dw_text_sheet(const dw_sheet *sheet, const dw_style *style, dw_text *out);
json_t *dw_json_sheet(const dw_sheet *sheet);

#endif
