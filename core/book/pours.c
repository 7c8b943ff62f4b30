/* Pours and readings. */
#include "book/sql.h"
#include "dropwise/book_pours.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

dw_status dw_pour_log(dw_book *book, const dw_pour *pour, int64_t *id, dw_error *err) {
  static const char sql[] = "INSERT INTO pour (cup, additions, thickness_mm, backing, predicted_l, "
                            "predicted_a, predicted_b, poured)"
                            " VALUES (?, ?, ?, ?, ?, ?, ?, ?)";
  char now[DW_TIME_ROOM];
  int64_t additions = 0;
  dw__book_now(now);
  dw_status status =
      dw__number_check("A pour's thickness in mm", pour->slab.thickness_mm, 0.05, DW_THICKNESS_MAX_MM, err);
  if (status == DW_OK) status = dw__number_check("A pour's backing", pour->slab.backing, 0, 1, err);
  if (status == DW_OK)
    status = dw__book_integer(
        book, &additions, "There is no such cup in the book.", err,
        "SELECT (SELECT count(*) FROM addition WHERE cup = c.id) FROM cup c WHERE id = ?", "i", pour->cup);
  if (status != DW_OK) return status;
  char place[DW__PLACE_ROOM];
  dw__where where;
  status = dw__where_cup(book, pour->cup, &where, err);
  if (status != DW_OK) return status;
  dw__where_words(&where, "of", place);
  dw__tell(book, DW_ENTRY_POUR, where.pattern, where.batch, place, "a pour");
  dw_lab predicted = pour->has_predicted ? pour->predicted : (dw_lab){NAN, NAN, NAN};
  return dw__book_run(book, id, err, sql, "iidddddt", pour->cup, additions, pour->slab.thickness_mm,
                      pour->slab.backing, predicted.L, predicted.a, predicted.b, now);
}

static dw_status pour_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_pour_kept *out = element;
  *out = (dw_pour_kept){.id = dw__query_integer(query, 0),
                        .additions = (size_t)dw__query_integer(query, 1),
                        .slab = {dw__query_number(query, 2), dw__query_number(query, 3)},
                        .has_predicted = !dw__query_null(query, 4),
                        .readings = (size_t)dw__query_integer(query, 8)};
  if (out->has_predicted) out->predicted = dw__query_lab(query, 4);
  dw__query_copy(query, 7, out->poured, sizeof out->poured);
  out->has_measured = out->readings > 0;
  if (!out->has_measured) return DW_OK;
  out->measured = dw__query_lab(query, 9);
  out->uncertainty_de00 = dw__query_number(query, 12);
  return DW_OK;
}

dw_status dw_pour_list(dw_book *book, int64_t cup, dw_pour_kept **out, size_t *n, dw_error *err) {
  static const char sql[] =
      "SELECT p.id, p.additions, p.thickness_mm, p.backing, p.predicted_l, p.predicted_a, p.predicted_b,"
      " p.poured, count(r.id), avg(r.l), avg(r.a), avg(r.b), avg(r.uncertainty) FROM pour p"
      " LEFT JOIN reading_now r ON r.pour = p.id WHERE p.cup = ? GROUP BY p.id ORDER BY p.id";
  return dw__book_list(book, sizeof(dw_pour_kept), pour_from_row, out, n, err, sql, "i", cup);
}

/* ---- readings ------------------------------------------------------------------------------------------ */

/* The pour must be of the cup of that batch and layer. */
static dw_status pour_check(dw_book *book, const dw_book_reading *reading, dw_error *err) {
  int64_t same = 0;
  if (!reading->pour) return DW_OK;
  dw_status status = dw__book_integer(
      book, &same, "There is no such pour in the book.", err,
      "SELECT c.batch = ? AND c.layer = ? FROM pour p JOIN cup c ON c.id = p.cup WHERE p.id = ?", "iii",
      reading->batch, reading->layer, reading->pour);
  if (status == DW_OK && !same)
    status = dw_fail(err, DW_BAD_INPUT, "The pour is not one of that batch and layer.");
  return status;
}

/* The same photo read again says nothing new of the bait: only its newest reading counts. Of a cup that got
 * more since, what was read before stays what was read before. out  the earlier one, 0 for none */
static dw_status find_same_photo(dw_book *book, const dw_book_reading *reading, int64_t *out, dw_error *err) {
  static const char sql[] =
      "SELECT coalesce(max(r.id), 0) FROM reading_now r WHERE r.batch = ? AND r.layer = ? AND r.bait = ?"
      " AND r.look IN (SELECT id FROM look WHERE photo = (SELECT photo FROM look WHERE id = ?))"
      " AND (r.pour IS NULL OR ?5 = 0 OR (SELECT additions FROM pour WHERE id = r.pour)"
      " = (SELECT additions FROM pour WHERE id = ?5))";
  *out = 0;
  if (!reading->look) return DW_OK;
  return dw__book_integer(book, out, "", err, sql, "iiiii", reading->batch, reading->layer,
                          (int64_t)reading->bait, reading->look, reading->pour);
}

/* "belly read as 67.00,7.00,20.00 in batch 2 of frog" */
static dw_status tell_reading(dw_book *book, int64_t batch, int64_t layer, dw_lab lab, const char *what,
                              dw_error *err) {
  char place[DW__PLACE_ROOM];
  dw__where where, of;
  dw_status status = dw__where_batch(book, batch, &where, err);
  if (status == DW_OK) status = dw__where_layer(book, layer, &of, err);
  if (status != DW_OK) return status;
  dw__where_words(&where, "in", place);
  dw__tell(book, DW_ENTRY_READING, where.pattern, where.batch, place, "%s %s %.2f,%.2f,%.2f", of.layer, what,
           lab.L, lab.a, lab.b);
  return DW_OK;
}

static dw_status share_check(dw_book *book, const dw_book_reading *reading, dw_error *err) {
  int64_t swirl = 0;
  dw_status status = dw__number_check("A color's share", reading->share, 0, 1, err);
  if (status == DW_OK) status = dw__number_check("A share's doubt", reading->share_doubt, 0, 1, err);
  if (status == DW_OK)
    status = dw__book_integer(
        book, &swirl, "There is no such layer in the book.", err,
        "SELECT p.swirl IS NOT NULL FROM layer l JOIN pattern p ON p.id = l.pattern WHERE l.id = ?", "i",
        reading->layer);
  if (status == DW_OK && !swirl)
    status = dw_fail(
        err, DW_BAD_INPUT,
        "Layers in order have no share of the bait: dropwise pattern swirl makes a swirl of the pattern.");
  return status;
}

dw_status dw_reading_log(dw_book *book, const dw_book_reading *reading, int64_t *id, dw_error *err) {
  static const char sql[] =
      "INSERT INTO reading (batch, layer, pour, look, bait, shape, l, a, b, uncertainty,"
      " spread, kept, gloss, flake, taken, replaces, share, share_doubt)"
      " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)";
  char now[DW_TIME_ROOM];
  int64_t earlier;
  dw__book_now(now);
  dw_status status = dw__lab_check("A reading", reading->lab, err);
  if (status == DW_OK)
    status = dw__number_check("A reading's doubt", reading->uncertainty_de00, 0, 1000, err);
  if (status == DW_OK) status = dw__number_check("A reading's spread", reading->spread_de00, 0, 1000, err);
  if (status == DW_OK) status = dw__number_check("A bait's number", reading->bait, 0, DW_BAIT_ELSEWHERE, err);
  if (status == DW_OK && reading->has_share) status = share_check(book, reading, err);
  if (status == DW_OK) status = dw__layer_of_batch(book, reading->batch, reading->layer, err);
  if (status == DW_OK) status = pour_check(book, reading, err);
  if (status == DW_OK) status = find_same_photo(book, reading, &earlier, err);
  if (status == DW_OK)
    status = tell_reading(book, reading->batch, reading->layer, reading->lab, "read as", err);
  if (status != DW_OK) return status;
  return dw__book_run(book, id, err, sql, "iirritddddddddtrdd", reading->batch, reading->layer, reading->pour,
                      reading->look, (int64_t)reading->bait, reading->shape ? reading->shape : "",
                      reading->lab.L, reading->lab.a, reading->lab.b, reading->uncertainty_de00,
                      reading->spread_de00, reading->kept, reading->gloss, reading->flake, now, earlier,
                      reading->has_share ? reading->share : NAN,
                      reading->has_share ? reading->share_doubt : NAN);
}

#define READING_SELECT                                                                                       \
  "SELECT r.id, r.layer, r.pour, l.name, p.sha256, r.bait, r.l, r.a, r.b, r.uncertainty, r.spread,"          \
  " r.taken, r.share, r.share_doubt FROM reading_now r JOIN layer l ON l.id = r.layer LEFT JOIN look k ON "  \
  "k.id = r.look"                                                                                            \
  " LEFT JOIN photo p ON p.id = k.photo"

static dw_status reading_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_reading_kept *out = element;
  *out = (dw_reading_kept){.id = dw__query_integer(query, 0),
                           .layer = dw__query_integer(query, 1),
                           .pour = dw__query_integer(query, 2),
                           .bait = (int)dw__query_integer(query, 5),
                           .lab = dw__query_lab(query, 6),
                           .uncertainty_de00 = dw__query_number(query, 9),
                           .spread_de00 = dw__query_number(query, 10),
                           .has_share = !dw__query_null(query, 12)};
  if (out->has_share) {
    out->share = dw__query_number(query, 12);
    out->share_doubt = dw__query_number(query, 13);
  }
  dw__query_copy(query, 3, out->layer_name, sizeof out->layer_name);
  dw__query_copy(query, 4, out->photo, sizeof out->photo);
  dw__query_copy(query, 11, out->taken, sizeof out->taken);
  return DW_OK;
}

dw_status dw_reading_list(dw_book *book, int64_t batch, dw_reading_kept **out, size_t *n, dw_error *err) {
  static const char sql[] = READING_SELECT " WHERE r.batch = ? ORDER BY l.position, r.bait, r.id";
  return dw__book_list(book, sizeof(dw_reading_kept), reading_from_row, out, n, err, sql, "i", batch);
}

/* "belly 90.00,0.00,0.00 taken back 2026-05-03" after what the note says; left out where it has no room. */
static dw_status note_removal(dw_book *book, int64_t id, dw_error *err) {
  static const char sql[] =
      "UPDATE batch SET note = note || CASE note WHEN '' THEN '' ELSE '; ' END || ?2"
      " WHERE id = (SELECT batch FROM reading WHERE id = ?1) AND length(CAST(note AS BLOB)) + ?3 < ?4";
  char now[DW_TIME_ROOM], words[160];
  dw_reading_kept kept;
  int64_t batch = 0;
  dw__book_now(now);
  dw_status status = dw__book_row(book, reading_from_row, &kept, "There is no such reading in the book.", err,
                                  READING_SELECT " WHERE r.id = ?", "i", id);
  if (status != DW_OK) return status;
  int length = snprintf(words, sizeof words, "%s read %.2f,%.2f,%.2f taken back %.10s", kept.layer_name,
                        kept.lab.L, kept.lab.a, kept.lab.b, now);
  status = dw__book_integer(book, &batch, "", err, "SELECT batch FROM reading WHERE id = ?", "i", id);
  if (status == DW_OK) status = tell_reading(book, batch, kept.layer, kept.lab, "no longer read as", err);
  if (status != DW_OK) return status;
  return dw__book_run(book, NULL, err, sql, "itii", id, words, (int64_t)length + 2,
                      (int64_t)DW_BOOK_NOTE_ROOM);
}

dw_status dw_reading_remove(dw_book *book, int64_t id, dw_error *err) {
  dw_status status = note_removal(book, id, err);
  return status == DW_OK ? dw__book_run(book, NULL, err, "DELETE FROM reading WHERE id = ?", "i", id)
                         : status;
}

dw_status dw_batch_look(dw_book *book, int64_t batch, char photo[DW_SHA256_ROOM], char **marks, char **light,
                        dw_error *err) {
  static const char sql[] = "SELECT p.sha256, k.marks, k.light FROM look k JOIN photo p ON p.id = k.photo"
                            " WHERE k.id = (SELECT max(look) FROM reading_now WHERE batch = ?)";
  dw__query query;
  bool row = false;
  char *m = NULL, *l = NULL;
  dw_status status = dw__query_open(book, sql, &query, err, "i", batch);
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  if (status == DW_OK && !row) status = dw_fail(err, DW_NOT_FOUND, "The batch has no photo.");
  if (status == DW_OK) {
    m = strdup(dw__query_text(&query, 1));
    l = strdup(dw__query_text(&query, 2));
    if (!m || !l) status = dw_fail_memory(err, "a photo's marks");
    if (status == DW_OK) status = dw__query_whole(&query, err);
  }
  if (status == DW_OK) {
    dw__query_copy(&query, 0, photo, DW_SHA256_ROOM);
    *marks = m;
    *light = l;
  } else {
    free(m);
    free(l);
  }
  dw__query_close(&query);
  return status;
}
