/* The cup sheet as a page for print. */
#include "app/bench/desk.h"
#include "app/sheet.h"

#include <stdlib.h>
#include <string.h>

pt_status pt__sheet_get(pt__exchange *x, pt_error *err) {
  pt_shelf *shelf = NULL;
  pt_text html = {0};
  pt_sheet *sheet = calloc(1, sizeof *sheet);
  if (!sheet) return pt_fail_memory(err, "the sheet");
  pt_status status = pt__book_begin_reading(x->bench, err);
  if (status == PT_OK)
    status = pt__book_end(
        x->bench, pt__sheet_of_work(x->bench->book, pt__id(x, 0), x->bench->units, sheet, &shelf, err), err);
  if (status == PT_OK) status = pt_html_sheet(sheet, "/sheet/style.css", &html, err);
  if (status == PT_OK) {
    x->bytes = html.data;
    x->n = html.length;
    x->type = "text/html; charset=utf-8";
  } else {
    pt_text_free(&html);
  }
  pt_shelf_free(shelf);
  free(sheet);
  return status;
}

pt_status pt__sheet_style_get(pt__exchange *x, pt_error *err) {
  x->bytes = strdup(pt_sheet_style);
  if (!x->bytes) return pt_fail_memory(err, "the sheet's style");
  x->n = strlen(x->bytes);
  x->type = "text/css; charset=utf-8";
  return PT_OK;
}
