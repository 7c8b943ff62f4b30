/* Cups and what was added to them. */
#include "book/bottles.h"
#include "book/sql.h"
#include "pourtone/book_pours.h"
#include "pourtone/names.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char no_cup[] = "There is no such cup in the book.";

pt_status pt_book_cup_begin(pt_book *book, int64_t batch, int64_t layer, double volume_floz,
                            double capacity_floz, int64_t *id, pt_error *err) {
  static const char sql[] = "INSERT INTO cup (batch, layer, volume_floz, capacity_floz) VALUES (?, ?, ?, ?)";
  int64_t there;
  pt_status status = pt__number_check("A cup's volume in fl oz", volume_floz, 0.01, PT_VOLUME_MAX_FLOZ, err);
  if (status == PT_OK)
    status =
        pt__number_check("A cup's capacity in fl oz", capacity_floz, volume_floz, PT_VOLUME_MAX_FLOZ, err);
  if (status == PT_OK) status = pt__layer_of_batch(book, batch, layer, err);
  if (status != PT_OK) return status;
  status = pt__book_integer(book, &there, "", err, "SELECT id FROM cup WHERE batch = ? AND layer = ?", "ii",
                            batch, layer);
  if (status == PT_OK) return pt_fail(err, PT_BAD_INPUT, "The batch has a cup for that layer already.");
  if (status != PT_NOT_FOUND) return status;
  return pt__book_run(book, id, err, sql, "iidd", batch, layer, volume_floz, capacity_floz);
}

#define CUP_SELECT                                                                                           \
  "SELECT id, batch, layer, volume_floz, capacity_floz, temperature_f,"                                      \
  " (SELECT count(*) FROM addition WHERE cup = c.id),"                                                       \
  " (SELECT coalesce(sum(clear_floz), 0) FROM addition WHERE cup = c.id) FROM cup c "

static pt_status cup_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  pt_book_cup *out = element;
  *out = (pt_book_cup){.id = pt__query_integer(query, 0),
                       .batch = pt__query_integer(query, 1),
                       .layer = pt__query_integer(query, 2),
                       .begun_floz = pt__query_number(query, 3),
                       .volume_floz = pt__query_number(query, 3) + pt__query_number(query, 7),
                       .capacity_floz = pt__query_number(query, 4),
                       .temperature_f = pt__query_number(query, 5),
                       .additions = (size_t)pt__query_integer(query, 6)};
  return PT_OK;
}

static pt_status cup_get(pt_book *book, int64_t id, pt_book_cup *out, pt_error *err) {
  return pt__book_row(book, cup_from_row, out, no_cup, err, CUP_SELECT "WHERE id = ?", "i", id);
}

pt_status pt_book_cup_find(pt_book *book, int64_t batch, int64_t layer, pt_book_cup *out, pt_error *err) {
  int64_t id;
  pt_status status = pt__book_integer(book, &id, "The batch has no cup for that layer.", err,
                                      "SELECT id FROM cup WHERE batch = ? AND layer = ?", "ii", batch, layer);
  return status == PT_OK ? cup_get(book, id, out, err) : status;
}

pt_status pt_book_cup_set_temperature(pt_book *book, int64_t cup, double temperature_f, pt_error *err) {
  pt_status status = pt__number_check("A cup's temperature in degrees F", temperature_f, -100, 1000, err);
  if (status != PT_OK) return status;
  return pt__book_change(book, no_cup, err, "UPDATE cup SET temperature_f = ? WHERE id = ?", "di",
                         temperature_f, cup);
}

pt_status pt_book_cup_set_capacity(pt_book *book, int64_t cup, double capacity_floz, pt_error *err) {
  pt_status status =
      pt__number_check("A cup's capacity in fl oz", capacity_floz, 0.01, PT_VOLUME_MAX_FLOZ, err);
  if (status != PT_OK) return status;
  return pt__book_change(book, no_cup, err, "UPDATE cup SET capacity_floz = ? WHERE id = ?", "di",
                         capacity_floz, cup);
}

/* What is in the cup by now, base and drops. */
static pt_status filled(pt_book *book, const pt_book_cup *cup, double *out_floz, pt_error *err) {
  static const char sql[] = "SELECT coalesce(sum(a.drops * b.drop_ml), 0) FROM addition a"
                            " JOIN lot ON lot.id = a.lot JOIN bottle b ON b.id = lot.bottle WHERE a.cup = ?";
  pt__query query;
  bool row = false;
  pt_status status = pt__query_open(book, sql, &query, err, "i", cup->id);
  if (status == PT_OK) status = pt__query_next(&query, &row, err);
  if (status == PT_OK) *out_floz = cup->volume_floz + pt__query_number(&query, 0) / PT_ML_PER_FLOZ;
  pt__query_close(&query);
  return status;
}

static pt_status lacks_bottle(pt_book *book, const pt_shelf *starter, const char *slug, pt_error *err) {
  pt_book_bottle *list = NULL;
  size_t n = 0;
  pt_nearest nearest = {.word = slug};
  char meant[PT_NEAREST_WORDS_ROOM];
  pt_status status = pt_book_bottle_list(book, false, &list, &n, err);
  if (status != PT_OK) return status;
  for (size_t i = 0; i < n; i++) pt_nearest_offer(&nearest, list[i].slug);
  for (size_t i = 0; i < starter->n; i++) pt_nearest_offer(&nearest, starter->bottle[i].id);
  pt_nearest_words(&nearest, meant);
  free(list);
  return pt_fail(err, PT_NOT_FOUND,
                 "There is no bottle \"%.60s\" in the book.%s pourtone bottle list shows them.", slug, meant);
}

/* A lot for the slug; a bottle of the starter shelf joins the book with its first use. */
static pt_status find_lot(pt_book *book, const char *slug, int64_t *lot, pt_error *err) {
  pt_status status = pt__lot_at_hand(book, slug, lot, err);
  if (status != PT_NOT_FOUND) return status;
  pt_shelf *starter = NULL;
  pt_error ignored;
  if (pt_shelf_starter(&starter, &ignored) != PT_OK) return status;
  int at = pt_shelf_find(starter, slug);
  if (at >= 0) status = pt__bottle_ensure(book, &starter->bottle[at], err);
  if (at >= 0 && status == PT_OK) status = pt__lot_at_hand(book, slug, lot, err);
  if (at < 0) status = lacks_bottle(book, starter, slug, err);
  pt_shelf_free(starter);
  return status;
}

pt_status pt_book_cup_add(pt_book *book, int64_t cup, const char *slug, double amount, pt_error *err) {
  static const char sql[] =
      "INSERT INTO addition (cup, position, lot, drops, clear_floz, added) VALUES (?, ?, ?, ?, ?, ?)";
  char now[PT_TIME_ROOM];
  pt_book_cup before;
  int64_t lot = 0;
  double full = 0;
  pt__book_now(now);
  pt_status status = slug ? pt__number_check("Drops", amount, 0.001, PT_AMOUNT_MAX, err)
                          : pt__number_check("Clear base in fl oz", amount, 0.001, PT_VOLUME_MAX_FLOZ, err);
  if (status == PT_OK) status = cup_get(book, cup, &before, err);
  if (status == PT_OK && slug) status = find_lot(book, slug, &lot, err);
  if (status == PT_OK)
    status = pt__book_run(book, NULL, err, sql, "iirddt", cup, (int64_t)before.additions, lot,
                          slug ? amount : 0.0, slug ? 0.0 : amount, now);
  if (status == PT_OK) status = cup_get(book, cup, &before, err);
  if (status == PT_OK) status = filled(book, &before, &full, err);
  if (status == PT_OK && full > before.capacity_floz * (1 + 1e-9))
    status = pt_fail(err, PT_BAD_INPUT, "The cup would run over: %.2f fl oz in one that holds %.2f.", full,
                     before.capacity_floz);
  return status;
}

/* ---- correcting ---------------------------------------------------------------------------------------- */

#define AMOUNT_TINY 1e-9

typedef struct given {
  int64_t id, position;
  double amount;
} given;

static pt_status given_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  *(given *)element =
      (given){pt__query_integer(query, 0), pt__query_integer(query, 1), pt__query_number(query, 2)};
  return PT_OK;
}

/* Additions of the bottle, or of clear base, the newest first. */
static pt_status list_given(pt_book *book, int64_t cup, const char *slug, given **out, size_t *n,
                            pt_error *err) {
  return pt__book_list(book, sizeof(given), given_from_row, out, n, err,
                       slug ? "SELECT a.id, a.position, a.drops FROM addition a JOIN lot ON lot.id = a.lot"
                              " JOIN bottle b ON b.id = lot.bottle WHERE a.cup = ? AND b.slug = ?"
                              " ORDER BY a.position DESC"
                            : "SELECT id, position, clear_floz FROM addition WHERE cup = ? AND lot IS NULL"
                              " AND ?2 IS NULL ORDER BY position DESC",
                       "it", cup, slug);
}

static pt_status lessen(pt_book *book, const given *addition, bool drops, double left, pt_error *err) {
  if (left <= AMOUNT_TINY)
    return pt__book_run(book, NULL, err,
                        "UPDATE addition SET lot = NULL, drops = 0, clear_floz = 0 WHERE id = ?", "i",
                        addition->id);
  return pt__book_run(book, NULL, err,
                      drops ? "UPDATE addition SET drops = ? WHERE id = ?"
                            : "UPDATE addition SET clear_floz = ? WHERE id = ?",
                      "di", left, addition->id);
}

static pt_status begun_with_less(pt_book *book, int64_t cup, double less, pt_error *err) {
  pt_book_cup kept;
  pt_status status = cup_get(book, cup, &kept, err);
  if (status == PT_OK)
    status =
        pt__number_check("A cup's volume in fl oz", kept.begun_floz - less, 0.01, PT_VOLUME_MAX_FLOZ, err);
  if (status != PT_OK) return status;
  return pt__book_run(book, NULL, err, "UPDATE cup SET volume_floz = ? WHERE id = ?", "di",
                      kept.begun_floz - less, cup);
}

pt_status pt_book_cup_correct(pt_book *book, int64_t cup, const char *slug, double less, pt_error *err) {
  static const char forget[] = "UPDATE pour SET predicted_l = NULL, predicted_a = NULL, predicted_b = NULL"
                               " WHERE cup = ? AND additions > ?";
  given *list = NULL;
  size_t n = 0;
  int64_t first = INT64_MAX;
  pt_status status = list_given(book, cup, slug, &list, &n, err);
  for (size_t i = 0; i < n && less > AMOUNT_TINY && status == PT_OK; i++) {
    double take = fmin(less, list[i].amount);
    status = lessen(book, &list[i], slug != NULL, list[i].amount - take, err);
    first = list[i].position;
    less -= take;
  }
  free(list);
  if (status == PT_OK && less > AMOUNT_TINY) {
    first = -1; /* it was in every pour */
    status = slug ? pt_fail(err, PT_BAD_INPUT, "The cup was never given so much of %s.", slug)
                  : begun_with_less(book, cup, less, err);
  }
  return status == PT_OK ? pt__book_run(book, NULL, err, forget, "ii", cup, first) : status;
}

/* ---- reading ------------------------------------------------------------------------------------------- */

static pt_status addition_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  pt_book_addition *out = element;
  *out = (pt_book_addition){.drops = pt__query_number(query, 2), .clear_floz = pt__query_number(query, 3)};
  pt__query_copy(query, 0, out->slug, sizeof out->slug);
  pt__query_copy(query, 1, out->lot, sizeof out->lot);
  pt__query_copy(query, 4, out->added, sizeof out->added);
  return PT_OK;
}

pt_status pt_book_cup_additions(pt_book *book, int64_t cup, pt_book_addition **out, size_t *n,
                                pt_error *err) {
  static const char sql[] = "SELECT b.slug, lot.name, a.drops, a.clear_floz, a.added FROM addition a"
                            " LEFT JOIN lot ON lot.id = a.lot LEFT JOIN bottle b ON b.id = lot.bottle"
                            " WHERE a.cup = ? ORDER BY a.position";
  return pt__book_list(book, sizeof(pt_book_addition), addition_from_row, out, n, err, sql, "i", cup);
}

pt_status pt_book_cup_now(pt_book *book, int64_t cup, const pt_shelf *shelf, pt_cup *out, size_t *missing,
                          pt_error *err) {
  pt_book_cup kept;
  pt_book_addition *list = NULL;
  size_t n = 0;
  pt_status status = cup_get(book, cup, &kept, err);
  if (status == PT_OK) status = pt_book_cup_additions(book, cup, &list, &n, err);
  if (status != PT_OK) return status;
  pt_cup now = {.volume_floz = kept.volume_floz, .capacity_floz = kept.capacity_floz};
  size_t lacking = 0;
  for (size_t i = 0; i < n; i++) {
    if (!list[i].slug[0]) continue;
    int at = pt_shelf_find(shelf, list[i].slug);
    lacking += at < 0 || !pt_recipe_add(&now.drops, (size_t)at, list[i].drops);
  }
  free(list);
  *out = now;
  *missing = lacking;
  return PT_OK;
}
