/* What was written down wrong. */
#include "book/bottles.h"
#include "book/sql.h"
#include "dropwise/book_pours.h"

#include <stdlib.h>
#include <string.h>

dw_status dw__tell_corrected(dw_book *book, int64_t cup, const char *what, double was, double is,
                             dw_error *err) {
  char place[DW__PLACE_ROOM];
  dw__where where;
  dw_status status = dw__where_cup(book, cup, &where, err);
  if (status != DW_OK) return status;
  dw__where_words(&where, "in", place);
  dw__tell(book, DW_ENTRY_CORRECTION, where.pattern, where.batch, "", "%s %s: was %.6g, is %.6g",
           what ? what : "clear base (fl oz)", place, was, is);
  return DW_OK;
}

dw_status dw__forget_predicted(dw_book *book, int64_t cup, int64_t position, dw_error *err) {
  return dw__book_run(book, NULL, err,
                      "UPDATE pour SET predicted_l = NULL, predicted_a = NULL, predicted_b = NULL"
                      " WHERE cup = ? AND additions > ?",
                      "ii", cup, position);
}

/* ---- drops --------------------------------------------------------------------------------------------- */

typedef struct given {
  double drops;
  int64_t newest; /* addition of the bottle; 0 none */
  int64_t position;
} given;

static dw_status given_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  *(given *)element =
      (given){dw__query_number(query, 0), dw__query_integer(query, 1), dw__query_integer(query, 2)};
  return DW_OK;
}

static dw_status find_given(dw_book *book, int64_t cup, const char *slug, given *out, dw_error *err) {
  /* of the columns beside max() SQLite takes the row of the maximum */
  static const char sql[] = "SELECT coalesce(sum(a.drops), 0), a.id, max(a.position) FROM addition a"
                            " JOIN lot ON lot.id = a.lot JOIN bottle b ON b.id = lot.bottle"
                            " WHERE a.cup = ? AND b.slug = ?";
  return dw__book_row(book, given_from_row, out, "", err, sql, "it", cup, slug);
}

/* The last pour held it, too: it was in the cup, only not written down. */
static dw_status add_forgotten(dw_book *book, int64_t cup, const char *slug, double drops, dw_error *err) {
  static const char last[] =
      "UPDATE pour SET additions = additions + 1, predicted_l = NULL, predicted_a = NULL,"
      " predicted_b = NULL WHERE cup = ?1 AND additions ="
      " (SELECT count(*) FROM addition WHERE cup = ?1) - 1";
  dw_status status = dw__cup_add(book, cup, slug, drops, err);
  return status == DW_OK ? dw__book_run(book, NULL, err, last, "i", cup) : status;
}

static dw_status add_more(dw_book *book, int64_t cup, const given *there, double more, dw_error *err) {
  dw_status status = dw__book_run(book, NULL, err, "UPDATE addition SET drops = drops + ? WHERE id = ?", "di",
                                  more, there->newest);
  return status == DW_OK ? dw__forget_predicted(book, cup, there->position, err) : status;
}

dw_status dw_book_cup_set_drops(dw_book *book, int64_t cup, const char *slug, double drops, dw_error *err) {
  given there = {0};
  dw_status status = dw__number_check("Drops", drops, 0, DW_AMOUNT_MAX, err);
  if (status == DW_OK) status = find_given(book, cup, slug, &there, err);
  if (status != DW_OK || drops == there.drops) return status;
  if (drops < there.drops) return dw_book_cup_correct(book, cup, slug, there.drops - drops, err);
  status = dw__tell_corrected(book, cup, slug, there.drops, drops, err);
  if (status != DW_OK) return status;
  if (there.newest) return add_more(book, cup, &there, drops - there.drops, err);
  return add_forgotten(book, cup, slug, drops, err);
}

/* ---- the cup itself ------------------------------------------------------------------------------------ */

dw_status dw_book_cup_set_volume(dw_book *book, int64_t cup, double begun_floz, dw_error *err) {
  static const char sql[] =
      "UPDATE cup SET volume_floz = ?1, capacity_floz = max(capacity_floz, ?1) WHERE id = ?2";
  dw_book_cup was;
  dw_status status = dw__number_check("A cup's volume in fl oz", begun_floz, 0.01, DW_VOLUME_MAX_FLOZ, err);
  if (status == DW_OK) status = dw__cup_get(book, cup, &was, err);
  if (status != DW_OK || was.begun_floz == begun_floz) return status;
  status = dw__tell_corrected(book, cup, NULL, was.volume_floz, was.volume_floz + begun_floz - was.begun_floz,
                              err);
  if (status == DW_OK) status = dw__book_run(book, NULL, err, sql, "di", begun_floz, cup);
  return status == DW_OK ? dw__forget_predicted(book, cup, -1, err) : status;
}

dw_status dw_book_cup_move(dw_book *book, int64_t cup, int64_t batch, int64_t layer, dw_error *err) {
  static const char readings[] = "UPDATE reading SET batch = ?1, layer = ?2"
                                 " WHERE pour IN (SELECT id FROM pour WHERE cup = ?3)";
  /* of two readings of which one moves and one stays, neither stands in front of the other */
  static const char parted[] =
      "WITH moved AS (SELECT r.id FROM reading r JOIN pour p ON p.id = r.pour WHERE p.cup = ?)"
      " UPDATE reading SET replaces = NULL WHERE replaces IS NOT NULL"
      " AND (id IN moved) <> (replaces IN moved)";
  char before[DW__PLACE_ROOM], after[DW__PLACE_ROOM];
  dw__where was, is;
  dw_book_cup kept;
  int64_t there;
  dw_status status = dw__cup_get(book, cup, &kept, err);
  if (status == DW_OK) status = dw__layer_of_batch(book, batch, layer, err);
  if (status != DW_OK || (kept.batch == batch && kept.layer == layer)) return status;
  status = dw__book_integer(book, &there, "", err, "SELECT id FROM cup WHERE batch = ? AND layer = ?", "ii",
                            batch, layer);
  if (status == DW_OK)
    return dw_fail(err, DW_BAD_INPUT, "There is a cup already; correct the drops of both instead.");
  if (status == DW_NOT_FOUND) status = dw__where_cup(book, cup, &was, err);
  if (status == DW_OK)
    status = dw__book_run(book, NULL, err, "UPDATE cup SET batch = ?, layer = ? WHERE id = ?", "iii", batch,
                          layer, cup);
  if (status == DW_OK) status = dw__where_cup(book, cup, &is, err);
  if (status == DW_OK) status = dw__book_run(book, NULL, err, parted, "i", cup);
  if (status != DW_OK) return status;
  dw__where_words(&was, "was", before);
  dw__where_words(&is, "is", after);
  dw__tell(book, DW_ENTRY_CORRECTION, is.pattern, is.batch, "", "a cup: %s, %s", before, after);
  return dw__book_run(book, NULL, err, readings, "iii", batch, layer, cup);
}

/* ---- readings ------------------------------------------------------------------------------------------ */

typedef struct reading_row {
  int64_t batch, layer, bait;
} reading_row;

static dw_status reading_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  *(reading_row *)element =
      (reading_row){dw__query_integer(query, 0), dw__query_integer(query, 1), dw__query_integer(query, 2)};
  return DW_OK;
}

static dw_status reading_place(dw_book *book, const reading_row *row, const char *before,
                               char out[DW__PLACE_ROOM], dw__where *where, dw_error *err) {
  dw__where layer;
  char place[DW__PLACE_ROOM];
  dw_status status = dw__where_batch(book, row->batch, where, err);
  if (status == DW_OK) status = dw__where_layer(book, row->layer, &layer, err);
  if (status != DW_OK) return status;
  dw_copy_text(where->layer, sizeof where->layer, layer.layer);
  dw__where_words(where, "", place);
  snprintf(out, DW__PLACE_ROOM, "%s bait %lld,%.160s", before, (long long)row->bait + 1, place);
  return DW_OK;
}

dw_status dw_reading_move(dw_book *book, int64_t reading, int64_t batch, int64_t layer, int bait,
                          dw_error *err) {
  /* What it stood in front of counts again where it was, and it stands in front of nothing where it is. */
  static const char sql[] =
      "UPDATE reading SET batch = ?1, layer = ?2, bait = ?3, replaces = NULL,"
      " pour = CASE WHEN batch = ?1 AND layer = ?2 THEN pour ELSE (SELECT max(p.id) FROM pour p JOIN cup c"
      " ON c.id = p.cup WHERE c.batch = ?1 AND c.layer = ?2) END WHERE id = ?4";
  char before[DW__PLACE_ROOM], after[DW__PLACE_ROOM];
  dw__where where;
  reading_row was, is = {batch, layer, bait};
  dw_status status = dw__number_check("A bait's number", bait, 0, DW_BAIT_ELSEWHERE, err);
  if (status == DW_OK) status = dw__layer_of_batch(book, batch, layer, err);
  if (status == DW_OK)
    status = dw__book_row(book, reading_from_row, &was, "There is no such reading in the book.", err,
                          "SELECT batch, layer, bait FROM reading WHERE id = ?", "i", reading);
  if (status != DW_OK || (was.batch == batch && was.layer == layer && was.bait == bait)) return status;
  status =
      dw__book_run(book, NULL, err, "UPDATE reading SET replaces = NULL WHERE replaces = ?", "i", reading);
  if (status == DW_OK) status = reading_place(book, &was, "was", before, &where, err);
  if (status == DW_OK) status = reading_place(book, &is, "is", after, &where, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_CORRECTION, where.pattern, batch, "", "a reading: %s; %s", before, after);
  return dw__book_run(book, NULL, err, sql, "iiii", batch, layer, (int64_t)bait, reading);
}
