/* Molds: how many cavities, how much they take, how they stand. */
#include "dropwise/book_molds.h"

#include "book/sql.h"
#include "dropwise/names.h"

#include <stdlib.h>

dw_status dw_book_mold_set(dw_book *book, const dw_mold *mold, dw_error *err) {
  int64_t id = 0;
  dw_status status = dw__name_check("mold", mold->name, DW_ID_ROOM, err);
  if (status == DW_OK) status = dw_mold_check(mold, err);
  if (status != DW_OK) return status;
  status = dw__book_integer(book, &id, "", err, "SELECT id FROM mold WHERE name = ?", "t", mold->name);
  if (status != DW_OK && status != DW_NOT_FOUND) return status;
  dw__tell(book, DW_ENTRY_MOLD, 0, 0, "", status == DW_OK ? "mold %s changed" : "mold %s added", mold->name);
  if (status == DW_NOT_FOUND)
    return dw__book_run(
        book, NULL, err,
        "INSERT INTO mold (name, cavities, bait_ml, runner_ml, sprue, back) VALUES (?, ?, ?, ?, ?, ?)",
        "tiddtt", mold->name, (int64_t)mold->cavities, mold->bait_ml, mold->runner_ml,
        dw_side_name(mold->sprue), dw_side_name(mold->back));
  return dw__book_run(
      book, NULL, err,
      "UPDATE mold SET cavities = ?, bait_ml = ?, runner_ml = ?, sprue = ?, back = ? WHERE id = ?", "iddtti",
      (int64_t)mold->cavities, mold->bait_ml, mold->runner_ml, dw_side_name(mold->sprue),
      dw_side_name(mold->back), id);
}

#define MOLD_SELECT "SELECT name, cavities, bait_ml, runner_ml, sprue, back FROM mold "

static dw_status mold_from_row(const dw__query *query, void *element, dw_error *err) {
  dw_mold *out = element;
  *out = (dw_mold){.cavities = (int)dw__query_integer(query, 1),
                   .bait_ml = dw__query_number(query, 2),
                   .runner_ml = dw__query_number(query, 3)};
  dw__query_copy(query, 0, out->name, sizeof out->name);
  if (!dw_side_find(dw__query_text(query, 4), &out->sprue) ||
      !dw_side_find(dw__query_text(query, 5), &out->back))
    return dw_fail(err, DW_CORRUPT, "The book's mold %s stands in no known way; set it anew.", out->name);
  return DW_OK;
}

dw_status dw_book_mold_list(dw_book *book, dw_mold **out, size_t *n, dw_error *err) {
  return dw__book_list(book, sizeof(dw_mold), mold_from_row, out, n, err, MOLD_SELECT "ORDER BY name", "");
}

static dw_status no_such_mold(dw_book *book, const char *name, dw_error *err) {
  dw_mold *list = NULL;
  size_t n = 0;
  char meant[DW_NEAREST_WORDS_ROOM];
  dw_nearest nearest = {.word = name};
  dw_status status = dw_book_mold_list(book, &list, &n, err);
  for (size_t i = 0; i < n; i++) dw_nearest_offer(&nearest, list[i].name);
  dw_nearest_words(&nearest, meant);
  free(list);
  if (status != DW_OK) return status;
  return dw_fail(err, DW_NOT_FOUND,
                 "There is no mold \"%.60s\" in the book.%s dropwise mold list shows them.", name, meant);
}

dw_status dw_book_mold_find(dw_book *book, const char *name, dw_mold *out, dw_error *err) {
  dw_status status = dw__book_row(book, mold_from_row, out, "", err, MOLD_SELECT "WHERE name = ?", "t", name);
  return status == DW_NOT_FOUND ? no_such_mold(book, name, err) : status;
}

dw_status dw_book_mold_remove(dw_book *book, const char *name, dw_error *err) {
  dw_mold mold;
  dw_status status = dw_book_mold_find(book, name, &mold, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_MOLD, 0, 0, "", "mold %s removed", mold.name);
  return dw__book_run(book, NULL, err, "DELETE FROM mold WHERE name = ?", "t", name);
}
