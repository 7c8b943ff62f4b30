/* The cup sheet as a page for print. */
#include "app/bench/on_bench.h"
#include "dropwise/report_sheet.h"

#include <stdlib.h>
#include <string.h>

dw_status dw__sheet_get(dw__exchange *x, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_text html = {0};
  const dw_sheet_look look = {
      .style_address = "/sheet/style.css", .page_address = x->bench->address, .outline = DW_OUTLINE_SWIMBAIT};
  dw_sheet *sheet = calloc(1, sizeof *sheet);
  if (!sheet) return dw_fail_memory(err, "the sheet");
  dw_status status = dw__book_begin_reading(x->bench, err);
  if (status == DW_OK)
    status = dw__book_end(
        x->bench, dw_sheet_of_bench(x->bench->book, dw__id(x, 0), x->bench->units, sheet, &shelf, err), err);
  if (status == DW_OK) status = dw_html_sheet(sheet, &look, &html, err);
  if (status == DW_OK) {
    x->bytes = html.data;
    x->n = html.length;
    x->type = "text/html; charset=utf-8";
  } else {
    dw_text_free(&html);
  }
  dw_shelf_free(shelf);
  free(sheet);
  return status;
}

dw_status dw__sheet_style_get(dw__exchange *x, dw_error *err) {
  x->bytes = strdup(dw_sheet_style);
  if (!x->bytes) return dw_fail_memory(err, "the sheet's style");
  x->n = strlen(x->bytes);
  x->type = "text/css; charset=utf-8";
  return DW_OK;
}
