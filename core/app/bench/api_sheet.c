/* The cup sheet as a page for print. */
#include "app/bench/on_bench.h"
#include "app/bench/request.h"
#include "app/bench/settings.h"
#include "dropwise/book_molds.h"
#include "dropwise/report_sheet.h"

#include <stdlib.h>
#include <string.h>

/* The bait in the outline, and with the shares, that the bench looks at it with. */
static dw_status take_look(dw_book *book, int64_t id, const dw_sheet *sheet, dw_sheet_look *out,
                           dw_error *err) {
  dw_book_bench row = {0};
  dw_bait_picture look;
  dw_status status = dw_book_bench_get(book, id, &row, err);
  if (status != DW_OK) return status;
  json_t *slab = dw__parsed(row.slab);
  /* Kept for other layers than the sheet has: alike. */
  if (dw__look_of(slab, sheet->n, &look, NULL) == DW_OK) memcpy(out->share, look.share, sizeof out->share);
  out->outline = look.outline;
  json_decref(slab);
  dw_book_bench_free(&row);
  return DW_OK;
}

static dw_status take_mold(const dw__exchange *x, dw_sheet *sheet, dw_error *err) {
  char name[DW_ID_ROOM];
  dw_mold mold;
  if (!dw__query(x, "mold", name, sizeof name) || !*name) return DW_OK;
  dw_status status = dw_book_mold_find(x->bench->book, name, &mold, err);
  return status == DW_OK ? dw_sheet_set_mold(sheet, &mold, err) : status;
}

static dw_status load(dw__exchange *x, dw_sheet *sheet, dw_sheet_look *look, dw_shelf **shelf,
                      dw_error *err) {
  dw_units units;
  dw_book *book = x->bench->book;
  const int64_t id = dw__id(x, 0);
  dw_status status = dw__book_begin_reading(x->bench, err);
  if (status != DW_OK) return status;
  status = dw__units_in(x->bench, &units, err);
  if (status == DW_OK) status = dw_sheet_of_bench(book, id, units, sheet, shelf, err);
  if (status == DW_OK) status = take_look(book, id, sheet, look, err);
  if (status == DW_OK) status = take_mold(x, sheet, err);
  return dw__book_end(x->bench, status, err);
}

/* Advice takes its time. */
static dw_status advise(dw__exchange *x, dw_sheet *sheet, dw_error *err) {
  dw_book *book = NULL;
  dw_status status = dw__book_open_aside(x->bench, &book, err);
  if (status == DW_OK) status = dw_sheet_advise(book, &x->bench->plugins, sheet, err);
  dw_book_close(book);
  return status;
}

dw_status dw__sheet_get(dw__exchange *x, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_text html = {0};
  dw_sheet_look look = {.style_address = "/sheet/style.css", .page_address = x->bench->address};
  dw_sheet *sheet = calloc(1, sizeof *sheet);
  if (!sheet) return dw_fail_memory(err, "the sheet");
  dw_status status = load(x, sheet, &look, &shelf, err);
  if (status == DW_OK) status = advise(x, sheet, err);
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
