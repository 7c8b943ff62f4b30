/* The shelf as it stands: spectra from the newest fit, the rest from the maker's bottles and lots. */
#include "book/bottles.h"
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

/* The newest fit's shelf, else the starter shelf. */
static pt_status load_spectra(pt_book *book, pt_shelf **out, pt_book_shelf_info *info, pt_error *err) {
  pt__query query;
  bool row = false;
  pt_status status =
      pt__query_open(book, "SELECT shelf, created FROM fit ORDER BY id DESC LIMIT 1", &query, err, "");
  if (status == PT_OK) status = pt__query_next(&query, &row, err);
  if (status == PT_OK && row) {
    const char *text = pt__query_text(&query, 0);
    status = pt_shelf_parse(text, strlen(text), "The book's newest fit", out, err);
    pt__query_copy(&query, 1, info->fitted, sizeof info->fitted);
  } else if (status == PT_OK) {
    status = pt_shelf_starter(out, err);
    info->invented = true;
  }
  pt__query_close(&query);
  return status;
}

static void take_off(pt_shelf *shelf, size_t at) {
  free(shelf->bottle[at].draws);
  memmove(&shelf->bottle[at], &shelf->bottle[at + 1], (shelf->n - at - 1) * sizeof *shelf->bottle);
  shelf->n--;
}

static void note_unknown(const pt_book_bottle *bottle, pt_book_shelf_info *info) {
  size_t used = strlen(info->unknown_slugs);
  snprintf(info->unknown_slugs + used, sizeof info->unknown_slugs - used, "%s%s", info->unknown ? ", " : "",
           bottle->slug);
  info->unknown++;
}

/* What the maker says of a bottle stands above what the fit or the starter shelf has. */
static void overlay(pt_shelf *shelf, const pt_book_bottle *bottle, pt_book_shelf_info *info) {
  int at = pt_shelf_find(shelf, bottle->slug);
  if (at < 0) {
    if (!bottle->removed) note_unknown(bottle, info);
    return;
  }
  if (bottle->removed) {
    take_off(shelf, (size_t)at);
    return;
  }
  pt_bottle *out = &shelf->bottle[at];
  memcpy(out->title, bottle->title, sizeof out->title);
  out->role = bottle->role;
  out->drop_ml = bottle->drop_ml;
  out->strength = bottle->strength;
  out->strength_sd = bottle->strength_sd;
}

pt_status pt_book_shelf(pt_book *book, pt_shelf **out, pt_book_shelf_info *info, pt_error *err) {
  pt_book_shelf_info own = {0};
  pt_shelf *shelf = NULL;
  pt_book_bottle *bottles = NULL;
  size_t n = 0;
  pt_status status = load_spectra(book, &shelf, &own, err);
  if (status == PT_OK) status = pt_book_bottle_list(book, true, &bottles, &n, err);
  for (size_t i = 0; i < n && status == PT_OK; i++) overlay(shelf, &bottles[i], &own);
  free(bottles);
  if (status != PT_OK) {
    pt_shelf_free(shelf);
    return status;
  }
  *out = shelf;
  if (info) *info = own;
  return PT_OK;
}
