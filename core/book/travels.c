/* Travels of turned baits. */
#include "book/sql.h"
#include "dropwise/book_travels.h"

#include <math.h>
#include <stdlib.h>

static const char no_travel[] = "There is no such travel in the book.";

/* "travel of 6.1 of the back, bait 2 of batch 3 of frog" */
static dw_status tell(dw_book *book, dw_entry_kind kind, const dw_book_travel *travel, const char *what,
                      dw_error *err) {
  dw__where layer, batch = {0};
  dw_status status = dw__where_layer(book, travel->layer, &layer, err);
  if (status == DW_OK && travel->batch) status = dw__where_batch(book, travel->batch, &batch, err);
  if (status != DW_OK) return status;
  if (travel->batch)
    dw__tell(book, kind, layer.pattern, travel->batch, "", "%s: %s of batch %s of %s, bait %d, by %.1f", what,
             layer.layer, batch.batch_name, layer.pattern_name, travel->bait + 1, travel->de00);
  else
    dw__tell(book, kind, layer.pattern, 0, "", "%s: target of the %s of %s, by %.1f", what, layer.layer,
             layer.pattern_name, travel->de00);
  return DW_OK;
}

static dw_status check(dw_book *book, const dw_book_travel *travel, dw_error *err) {
  dw_status status = dw__number_check("A travel", travel->de00, 0, 1000, err);
  if (status == DW_OK) status = dw__number_check("A travel's doubt", travel->doubt_de00, 0, 1000, err);
  if (status == DW_OK) status = dw__number_check("A travel's chance", travel->p, 0, 1, err);
  if (status == DW_OK) status = dw__number_check("A bait's number", travel->bait, 0, DW_BAIT_ELSEWHERE, err);
  if (status != DW_OK || !travel->batch) return status;
  return dw__layer_of_batch(book, travel->batch, travel->layer, err);
}

/* What the bait, or the target, had before; but for the row of that id. */
static dw_status replace(dw_book *book, int64_t layer, int64_t batch, int bait, int64_t but, dw_error *err) {
  return dw__book_run(book, NULL, err,
                      "DELETE FROM travel WHERE layer = ? AND batch IS nullif(?, 0) AND bait = ? AND id <> ?",
                      "iiii", layer, batch, (int64_t)bait, but);
}

dw_status dw_travel_log(dw_book *book, const dw_book_travel *travel, const char *detail, int64_t *id,
                        dw_error *err) {
  static const char sql[] =
      "INSERT INTO travel (layer, batch, bait, travels, de00, doubt, hue, hue_doubt, p, detail, taken)"
      " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)";
  char now[DW_TIME_ROOM];
  dw__book_now(now);
  dw_status status = check(book, travel, err);
  if (status == DW_OK)
    status = tell(book, travel->batch ? DW_ENTRY_READING : DW_ENTRY_TARGET, travel, "travel", err);
  if (status == DW_OK) status = replace(book, travel->layer, travel->batch, travel->bait, 0, err);
  if (status != DW_OK) return status;
  return dw__book_run(book, id, err, sql, "iriidddddtt", travel->layer, travel->batch, (int64_t)travel->bait,
                      (int64_t)travel->travels, travel->de00, travel->doubt_de00, travel->hue_deg,
                      travel->hue_doubt_deg, travel->p, detail ? detail : "{}", now);
}

/* ---- read ---------------------------------------------------------------------------------------------- */

#define TRAVEL_SELECT                                                                                        \
  "SELECT t.id, t.layer, t.batch, l.name, t.bait, t.travels, t.de00, t.doubt, t.hue, t.hue_doubt, t.p, "     \
  "t.taken"                                                                                                  \
  " FROM travel t JOIN layer l ON l.id = t.layer "

static dw_status from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_book_travel *out = element;
  *out = (dw_book_travel){.id = dw__query_integer(query, 0),
                          .layer = dw__query_integer(query, 1),
                          .batch = dw__query_integer(query, 2),
                          .bait = (int)dw__query_integer(query, 4),
                          .travels = dw__query_integer(query, 5) != 0,
                          .de00 = dw__query_number(query, 6),
                          .doubt_de00 = dw__query_number(query, 7),
                          .hue_deg = dw__query_number(query, 8),
                          .hue_doubt_deg = dw__query_number(query, 9),
                          .p = dw__query_number(query, 10)};
  dw__query_copy(query, 3, out->layer_name, sizeof out->layer_name);
  dw__query_copy(query, 11, out->taken, sizeof out->taken);
  return DW_OK;
}

dw_status dw_travel_list(dw_book *book, int64_t batch, dw_book_travel **out, size_t *n, dw_error *err) {
  return dw__book_list(book, sizeof(dw_book_travel), from_row, out, n, err,
                       TRAVEL_SELECT "WHERE t.batch = ? ORDER BY l.position, t.bait, t.id", "i", batch);
}

dw_status dw_travel_history(dw_book *book, int64_t layer, dw_book_travel **out, size_t *n, dw_error *err) {
  return dw__book_list(
      book, sizeof(dw_book_travel), from_row, out, n, err,
      TRAVEL_SELECT "JOIN batch b ON b.id = t.batch WHERE t.layer = ? ORDER BY b.poured, b.id, t.bait, t.id",
      "i", layer);
}

dw_status dw_travel_target(dw_book *book, int64_t layer, dw_book_travel *out, dw_error *err) {
  dw_error none;
  dw_status status = dw__book_row(
      book, from_row, out, no_travel, &none,
      TRAVEL_SELECT "WHERE t.layer = ? AND t.batch IS NULL ORDER BY t.id DESC LIMIT 1", "i", layer);
  if (status == DW_OK) return DW_OK;
  *out = (dw_book_travel){.id = 0};
  return status == DW_NOT_FOUND ? DW_OK : dw_fail(err, status, "%s", none.text);
}

/* ---- changed ------------------------------------------------------------------------------------------- */

static dw_status get(dw_book *book, int64_t id, dw_book_travel *out, dw_error *err) {
  return dw__book_row(book, from_row, out, no_travel, err, TRAVEL_SELECT "WHERE t.id = ?", "i", id);
}

dw_status dw_travel_move(dw_book *book, int64_t id, int64_t batch, int64_t layer, int bait, dw_error *err) {
  dw_book_travel travel;
  dw_status status = get(book, id, &travel, err);
  if (status != DW_OK || (travel.batch == batch && travel.layer == layer && travel.bait == bait))
    return status;
  travel.batch = batch, travel.layer = layer, travel.bait = bait;
  status = check(book, &travel, err);
  if (status == DW_OK) status = tell(book, DW_ENTRY_CORRECTION, &travel, "a travel is now", err);
  if (status == DW_OK) status = replace(book, layer, batch, bait, id, err);
  if (status != DW_OK) return status;
  return dw__book_run(book, NULL, err, "UPDATE travel SET batch = ?, layer = ?, bait = ? WHERE id = ?",
                      "iiii", batch, layer, (int64_t)bait, id);
}

dw_status dw_travel_remove(dw_book *book, int64_t id, dw_error *err) {
  dw_book_travel travel;
  dw_status status = get(book, id, &travel, err);
  if (status == DW_OK) status = tell(book, DW_ENTRY_READING, &travel, "travel taken back", err);
  return status == DW_OK ? dw__book_change(book, no_travel, err, "DELETE FROM travel WHERE id = ?", "i", id)
                         : status;
}
