/* Bottles that cups hold though they are not at hand: taken off the shelf, or unknown to the newest fit. */
#include "book/bottles.h"
#include "book/sql.h"
#include "dropwise/book_pours.h"

#include <stdlib.h>
#include <string.h>

/* One that cups hold, and the newest fit that knows it: what is known best of it, whatever came onto the
 * shelf since. */
typedef struct held {
  char slug[DW_ID_ROOM], title[DW_TITLE_ROOM];
  char look[DW_ID_ROOM]; /* of the starter shelf; "": without a fit nothing is known of its color */
  dw_role role;
  double drop_ml;
  int64_t fit; /* 0: none */
  double strength, strength_sd;
} held;

/* What was used last comes first: a shelf has room for so many. */
static const char held_sql[] =
    "WITH used AS (SELECT k.*, (SELECT max(fit) FROM fit_bottle WHERE bottle = k.id) AS fit,"
    " " DW__LOT_AT_HAND("k.id") " AS lot,"
                                " (SELECT max(a.id) FROM lot l JOIN addition a ON a.lot = l.id WHERE "
                                "l.bottle = k.id) AS last FROM bottle k)"
                                " SELECT u.slug, u.title, u.role, u.drop_ml, coalesce(u.fit, 0), "
                                "coalesce(s.strength, 1), u.look,"
                                " coalesce(s.deviation, 0) FROM used u" DW__STRENGTH_OF(
                                    "u.lot") "WHERE u.last IS NOT NULL ORDER BY u.last DESC";

static dw_status held_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  held *out = element;
  *out = (held){.drop_ml = dw__query_number(query, 3),
                .fit = dw__query_integer(query, 4),
                .strength = dw__query_number(query, 5),
                .strength_sd = dw__query_number(query, 7)};
  dw__query_copy(query, 6, out->look, sizeof out->look);
  dw__query_copy(query, 0, out->slug, sizeof out->slug);
  dw__query_copy(query, 1, out->title, sizeof out->title);
  dw_role_find(dw__query_text(query, 2), &out->role);
  return DW_OK;
}

static dw_status load_fit(dw_book *book, int64_t fit, dw_shelf **out, dw_error *err) {
  dw__query query;
  bool row = false;
  dw_status status = dw__query_open(book, "SELECT shelf FROM fit WHERE id = ?", &query, err, "i", fit);
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  if (status == DW_OK && row) {
    const char *text = dw__query_text(&query, 0);
    status = dw__query_whole(&query, err);
    if (status == DW_OK) status = dw_shelf_parse(text, strlen(text), "An earlier fit of the book", out, err);
  }
  dw__query_close(&query);
  return status;
}

/* The bottle goes from one shelf to the other, with its draws. */
static void move_bottle(dw_shelf *from, size_t at, const held *kept, dw_shelf *to) {
  dw_bottle *out = &to->bottle[to->n++];
  *out = from->bottle[at];
  memcpy(out->id, kept->slug, sizeof out->id);
  from->bottle[at].draws = NULL;
  memcpy(out->title, kept->title, sizeof out->title);
  out->role = kept->role;
  out->drop_ml = kept->drop_ml;
  out->strength = kept->strength;
  out->strength_sd = kept->strength_sd;
  out->off_shelf = true;
}

/* Whence bottles come: the shelf of one fit, read when the first of them asks. */
typedef struct source {
  dw_shelf *shelf; /* NULL: none was read yet */
  int64_t fit;     /* 0: the starter shelf */
} source;

static dw_status open_source(dw_book *book, int64_t fit, source *from, dw_error *err) {
  if (from->shelf && from->fit == fit) return DW_OK;
  dw_shelf_free(from->shelf);
  *from = (source){.fit = fit};
  return fit ? load_fit(book, fit, &from->shelf, err) : dw_shelf_starter(&from->shelf, err);
}

static dw_status hold(dw_book *book, const held *kept, source *from, dw_shelf *shelf, dw_error *err) {
  const char *name = kept->fit ? kept->slug : kept->look;
  if (!*name) return DW_OK;
  dw_status status = open_source(book, kept->fit, from, err);
  int at = status == DW_OK && from->shelf ? dw_shelf_find(from->shelf, name) : -1;
  if (at >= 0) move_bottle(from->shelf, (size_t)at, kept, shelf);
  return status;
}

dw_status dw_book_shelf_hold(dw_book *book, dw_shelf *shelf, dw_error *err) {
  held *list = NULL;
  size_t n = 0;
  source from = {0};
  dw_status status = dw__book_list(book, sizeof(held), held_from_row, &list, &n, err, held_sql, "");
  for (size_t i = 0; i < n && status == DW_OK && shelf->n < DW_SHELF_MAX; i++)
    if (dw_shelf_find(shelf, list[i].slug) < 0) status = hold(book, &list[i], &from, shelf, err);
  dw_shelf_free(from.shelf);
  free(list);
  return status;
}
