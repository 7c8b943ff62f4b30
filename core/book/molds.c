/* Molds: how many cavities, how much they take, how they stand. */
#include "dropwise/book_molds.h"

#include "book/sql.h"
#include "dropwise/names.h"

#include <stdlib.h>

/* ---- read ---------------------------------------------------------------------------------------------- */

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

static dw_status record_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  *(dw_mold_record *)element = (dw_mold_record){.filled_ml = dw__query_number(query, 0),
                                                .left_ml = dw__query_number(query, 1),
                                                .fills = (int)dw__query_integer(query, 2)};
  return DW_OK;
}

/* Puts what its records say in the place of what was stated. */
static dw_status take_learned(dw_book *book, dw_mold *mold, dw_error *err) {
  dw_mold_record *records = NULL;
  dw_mold_learned learned;
  size_t n = 0;
  dw_status status = dw__book_list(book, sizeof *records, record_from_row, &records, &n, err,
                                   "SELECT filled_ml, left_ml, fills FROM fill_record WHERE mold ="
                                   " (SELECT id FROM mold WHERE name = ?) ORDER BY id",
                                   "t", mold->name);
  if (status == DW_OK && n > 0) status = dw_mold_learn(mold, records, n, &learned, err);
  free(records);
  if (status != DW_OK || n == 0) return status;
  mold->stated_ml = mold->bait_ml;
  mold->bait_ml = learned.bait_ml;
  mold->fill_doubt_ml = learned.doubt_ml;
  mold->learned_from = n;
  return DW_OK;
}

dw_status dw_book_mold_list(dw_book *book, dw_mold **out, size_t *n, dw_error *err) {
  dw_mold *list = NULL;
  size_t found = 0;
  dw_status status =
      dw__book_list(book, sizeof *list, mold_from_row, &list, &found, err, MOLD_SELECT "ORDER BY name", "");
  for (size_t i = 0; i < found && status == DW_OK; i++) status = take_learned(book, &list[i], err);
  if (status != DW_OK) {
    free(list);
    return status;
  }
  *out = list;
  *n = found;
  return DW_OK;
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
  if (status == DW_NOT_FOUND) return no_such_mold(book, name, err);
  return status == DW_OK ? take_learned(book, out, err) : status;
}

dw_status dw_book_mold_remove(dw_book *book, const char *name, dw_error *err) {
  dw_mold mold;
  dw_status status = dw_book_mold_find(book, name, &mold, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_MOLD, 0, 0, "", "mold %s removed", mold.name);
  return dw__book_run(book, NULL, err, "DELETE FROM mold WHERE name = ?", "t", name);
}

/* ---- set ----------------------------------------------------------------------------------------------- */

static dw_status add_mold(dw_book *book, const dw_mold *mold, dw_error *err) {
  dw__tell(book, DW_ENTRY_MOLD, 0, 0, "", "mold %s added", mold->name);
  return dw__book_run(
      book, NULL, err,
      "INSERT INTO mold (name, cavities, bait_ml, runner_ml, sprue, back) VALUES (?, ?, ?, ?, ?, ?)",
      "tiddtt", mold->name, (int64_t)mold->cavities, mold->bait_ml, mold->runner_ml,
      dw_side_name(mold->sprue), dw_side_name(mold->back));
}

static dw_status change_mold(dw_book *book, int64_t id, const dw_mold *mold, dw_error *err) {
  static const char forget[] = "DELETE FROM fill_record WHERE mold = ?1 AND EXISTS (SELECT 1 FROM mold"
                               " WHERE id = ?1 AND (cavities, bait_ml, runner_ml) IS NOT (?2, ?3, ?4))";
  static const char change[] =
      "UPDATE mold SET cavities = ?, bait_ml = ?, runner_ml = ?, sprue = ?, back = ? WHERE id = ?";
  dw__tell(book, DW_ENTRY_MOLD, 0, 0, "", "mold %s changed", mold->name);
  dw_status status = dw__book_run(book, NULL, err, forget, "iidd", id, (int64_t)mold->cavities, mold->bait_ml,
                                  mold->runner_ml);
  if (status != DW_OK) return status;
  return dw__book_run(book, NULL, err, change, "iddtti", (int64_t)mold->cavities, mold->bait_ml,
                      mold->runner_ml, dw_side_name(mold->sprue), dw_side_name(mold->back), id);
}

static dw_status find_id(dw_book *book, const char *name, int64_t *id, dw_error *err) {
  return dw__book_integer(book, id, "", err, "SELECT id FROM mold WHERE name = ?", "t", name);
}

dw_status dw_book_mold_set(dw_book *book, const dw_mold *mold, dw_error *err) {
  int64_t id = 0;
  dw_status status = dw__name_check("mold", mold->name, DW_ID_ROOM, err);
  if (status == DW_OK) status = dw_mold_check(mold, err);
  if (status != DW_OK) return status;
  status = find_id(book, mold->name, &id, err);
  if (status == DW_NOT_FOUND) return add_mold(book, mold, err);
  return status == DW_OK ? change_mold(book, id, mold, err) : status;
}

dw_status dw_book_mold_learn(dw_book *book, const char *name, const dw_mold_record *record, dw_mold *out,
                             dw_error *err) {
  static const char same[] = "SELECT EXISTS (SELECT 1 FROM fill_record WHERE mold = ? AND filled_ml = ?"
                             " AND left_ml = ? AND noted = ?)";
  static const char add[] =
      "INSERT INTO fill_record (mold, filled_ml, left_ml, fills, noted) VALUES (?, ?, ?, ?, ?)";
  char now[DW_TIME_ROOM];
  int64_t id = 0, already = 0;
  dw_mold_learned alone;
  dw__book_now(now);
  dw_status status = dw_book_mold_find(book, name, out, err);
  if (status == DW_OK) status = dw_mold_learn(out, record, 1, &alone, err);
  if (status == DW_OK) status = find_id(book, name, &id, err);
  if (status == DW_OK)
    status =
        dw__book_integer(book, &already, "", err, same, "iddt", id, record->filled_ml, record->left_ml, now);
  if (status != DW_OK || already) return status;
  dw__tell(book, DW_ENTRY_MOLD, 0, 0, "", "mold %s: %.4g of %.4g ml left after %d fill%s", name,
           record->left_ml, record->filled_ml, record->fills, record->fills == 1 ? "" : "s");
  status = dw__book_run(book, NULL, err, add, "iddit", id, record->filled_ml, record->left_ml,
                        (int64_t)record->fills, now);
  return status == DW_OK ? dw_book_mold_find(book, name, out, err) : status;
}
