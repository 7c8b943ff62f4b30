/* The shelf as it stands: spectra from the newest fit, the rest from the maker's bottles and lots. */
#include "book/bottles.h"
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

/* The newest fit's shelf, else the starter shelf. */
static dw_status load_spectra(dw_book *book, dw_shelf **out, dw_book_shelf_info *info, dw_error *err) {
  dw__query query;
  bool row = false;
  dw_status status =
      dw__query_open(book, "SELECT shelf, created FROM fit ORDER BY id DESC LIMIT 1", &query, err, "");
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  if (status == DW_OK && row) {
    const char *text = dw__query_text(&query, 0);
    status = dw_shelf_parse(text, strlen(text), "The book's newest fit", out, err);
    dw__query_copy(&query, 1, info->fitted, sizeof info->fitted);
  } else if (status == DW_OK) {
    status = dw_shelf_starter(out, err);
    info->invented = true;
  }
  dw__query_close(&query);
  return status;
}

static void take_off(dw_shelf *shelf, size_t at) {
  free(shelf->bottle[at].draws);
  memmove(&shelf->bottle[at], &shelf->bottle[at + 1], (shelf->n - at - 1) * sizeof *shelf->bottle);
  shelf->n--;
}

static void note_unknown(const dw_book_bottle *bottle, dw_book_shelf_info *info) {
  size_t used = strlen(info->unknown_slugs);
  snprintf(info->unknown_slugs + used, sizeof info->unknown_slugs - used, "%s%s", info->unknown ? ", " : "",
           bottle->slug);
  info->unknown++;
}

/* What the maker says of a bottle stands above what the fit or the starter shelf has. */
static void overlay(dw_shelf *shelf, const dw_book_bottle *bottle, dw_book_shelf_info *info) {
  int at = dw_shelf_find(shelf, bottle->slug);
  if (at < 0) {
    if (!bottle->removed) note_unknown(bottle, info);
    return;
  }
  if (bottle->removed) {
    take_off(shelf, (size_t)at);
    return;
  }
  dw_bottle *out = &shelf->bottle[at];
  memcpy(out->title, bottle->title, sizeof out->title);
  out->role = bottle->role;
  out->drop_ml = bottle->drop_ml;
  out->strength = bottle->strength;
  out->strength_sd = bottle->strength_sd;
}

dw_status dw_book_shelf(dw_book *book, dw_shelf **out, dw_book_shelf_info *info, dw_error *err) {
  dw_book_shelf_info own = {0};
  dw_shelf *shelf = NULL;
  dw_book_bottle *bottles = NULL;
  size_t n = 0;
  dw_status status = load_spectra(book, &shelf, &own, err);
  if (status == DW_OK) status = dw_book_bottle_list(book, true, &bottles, &n, err);
  for (size_t i = 0; i < n && status == DW_OK; i++) overlay(shelf, &bottles[i], &own);
  free(bottles);
  if (status != DW_OK) {
    dw_shelf_free(shelf);
    return status;
  }
  *out = shelf;
  if (info) *info = own;
  return DW_OK;
}

dw_status dw_book_shelf_name(dw_book *book, dw_shelf *shelf, dw_error *err) {
  dw_book_bottle *list = NULL;
  size_t n = 0;
  dw_status status = dw_book_bottle_list(book, false, &list, &n, err);
  for (size_t i = 0; i < n && shelf->n < DW_SHELF_MAX; i++) {
    if (dw_shelf_find(shelf, list[i].slug) >= 0) continue;
    shelf->bottle[shelf->n] = dw_bottle_blank(list[i].slug, list[i].title, list[i].role);
    shelf->bottle[shelf->n++].drop_ml = list[i].drop_ml;
  }
  free(list);
  return status;
}
