/* The shelf as it stands: spectra from the newest fit, the rest from the maker's bottles and lots. */
#include "book/bottles.h"
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

/* What the shelf is made of. */
typedef struct making {
  dw_shelf *shelf, *starter;
  dw_book_bottle *bottle;
  size_t n;
  dw_book_shelf_info info;
} making;

/* Where memory is out nothing is kept. */
static void keep_parsed(dw_book *book, const char *text, const dw_shelf *shelf) {
  dw_error unused;
  dw__fitted_free(&book->fitted);
  book->fitted.text = strdup(text);
  if (book->fitted.text && dw_shelf_clone(shelf, &book->fitted.shelf, &unused) == DW_OK) return;
  dw__fitted_free(&book->fitted);
}

void dw__fitted_free(dw__fitted *fitted) {
  dw_shelf_free(fitted->shelf);
  free(fitted->text);
  *fitted = (dw__fitted){0};
}

/* Parsing takes most of the time of a page; the same text gives the same shelf. */
static dw_status parse_once(dw_book *book, const char *text, dw_shelf **out, dw_error *err) {
  if (book->fitted.text && strcmp(book->fitted.text, text) == 0)
    return dw_shelf_clone(book->fitted.shelf, out, err);
  dw_status status = dw_shelf_parse(text, strlen(text), "The book's newest fit", out, err);
  if (status == DW_OK) keep_parsed(book, text, *out);
  return status;
}

/* The newest fit's shelf; without one an empty one, or the starter shelf where the maker has no bottle. */
static dw_status load_spectra(dw_book *book, making *m, dw_error *err) {
  dw__query query;
  bool row = false;
  dw_status status =
      dw__query_open(book, "SELECT shelf, created FROM fit ORDER BY id DESC LIMIT 1", &query, err, "");
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  if (status == DW_OK && row) {
    const char *text = dw__query_text(&query, 0);
    status = dw__query_whole(&query, err);
    if (status == DW_OK) status = parse_once(book, text, &m->shelf, err);
    dw__query_copy(&query, 1, m->info.fitted, sizeof m->info.fitted);
  }
  dw__query_close(&query);
  if (status == DW_OK) status = dw_shelf_starter(&m->starter, err);
  if (status != DW_OK || row) return status;
  m->info.invented = true;
  for (size_t i = 0; i < m->n; i++)
    if (!m->bottle[i].removed && (!m->bottle[i].starter || m->bottle[i].chips > 0)) m->info.invented = false;
  return m->info.invented ? dw_shelf_clone(m->starter, &m->shelf, err) : dw_shelf_new(&m->shelf, err);
}

static void take_off(dw_shelf *shelf, size_t at) {
  free(shelf->bottle[at].draws);
  memmove(&shelf->bottle[at], &shelf->bottle[at + 1], (shelf->n - at - 1) * sizeof *shelf->bottle);
  shelf->n--;
}

static void list_name(char *list, size_t room, const char *name) {
  const size_t used = strlen(list);
  snprintf(list + used, room - used, "%s%s", used ? ", " : "", name);
}

static void note_unknown(const dw_book_bottle *bottle, making *m) {
  list_name(m->info.unknown_slugs, sizeof m->info.unknown_slugs, bottle->slug);
  if (bottle->chips == 0) list_name(m->shelf->lacking, sizeof m->shelf->lacking, bottle->slug);
  m->info.unknown++;
}

/* What the starter shelf lends it; -1: nothing. What came from there itself is at hand only while the maker
 * has no bottle of their own. */
static int borrow(const dw_book_bottle *bottle, making *m) {
  const int at = *bottle->look ? dw_shelf_find(m->starter, bottle->look) : -1;
  if (at < 0 || bottle->starter || m->shelf->n == DW_SHELF_MAX) return -1;
  dw_bottle *out = &m->shelf->bottle[m->shelf->n];
  *out = m->starter->bottle[at];
  memcpy(out->id, bottle->slug, sizeof out->id);
  return (int)m->shelf->n++;
}

/* What the maker says of a bottle stands above what the fit or the starter shelf has. */
static void overlay(const dw_book_bottle *bottle, making *m) {
  int at = dw_shelf_find(m->shelf, bottle->slug);
  if (bottle->removed) {
    if (at >= 0) take_off(m->shelf, (size_t)at);
    return;
  }
  if (at < 0) at = borrow(bottle, m);
  if (at < 0) {
    if (!bottle->starter || bottle->chips > 0) note_unknown(bottle, m);
    return;
  }
  dw_bottle *out = &m->shelf->bottle[at];
  memcpy(out->title, bottle->title, sizeof out->title);
  out->role = bottle->role;
  out->drop_ml = bottle->drop_ml;
  out->strength = bottle->strength;
  out->strength_sd = bottle->strength_sd;
}

dw_status dw_book_shelf(dw_book *book, dw_shelf **out, dw_book_shelf_info *info, dw_error *err) {
  making m = {0};
  dw_status status = dw_book_bottle_list(book, true, &m.bottle, &m.n, err);
  if (status == DW_OK) status = load_spectra(book, &m, err);
  for (size_t i = 0; i < m.n && status == DW_OK; i++) overlay(&m.bottle[i], &m);
  free(m.bottle);
  dw_shelf_free(m.starter);
  if (status != DW_OK) {
    dw_shelf_free(m.shelf);
    return status;
  }
  *out = m.shelf;
  if (info) *info = m.info;
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
