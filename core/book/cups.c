/* Cups and what was added to them. */
#include "book/bottles.h"
#include "book/sql.h"
#include "dropwise/book_pours.h"
#include "dropwise/names.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char no_cup[] = "There is no such cup in the book.";

/* "12 drops of orange into the belly of batch 2 of frog"; slug NULL: clear base */
static dw_status tell_added(dw_book *book, int64_t cup, const char *slug, double amount, dw_error *err) {
  char place[DW__PLACE_ROOM];
  dw__where where;
  dw_status status = dw__where_cup(book, cup, &where, err);
  if (status != DW_OK) return status;
  dw__where_words(&where, "into", place);
  if (slug)
    dw__tell(book, DW_ENTRY_DROPS, where.pattern, where.batch, place, "%.6g drop%s of %s", amount,
             amount == 1 ? "" : "s", slug);
  else
    dw__tell(book, DW_ENTRY_DROPS, where.pattern, where.batch, place, "%.4g fl oz of clear base", amount);
  return DW_OK;
}

/* A cup that stands ready, as on the bench: DW_NOT_FOUND there is none, DW_BAD_INPUT something is in it. */
static dw_status ready_cup(dw_book *book, int64_t batch, int64_t layer, int64_t *id, dw_error *err) {
  static const char used[] = "SELECT (SELECT count(*) FROM addition WHERE cup = ?1)"
                             " + (SELECT count(*) FROM pour WHERE cup = ?1)";
  int64_t n;
  dw_status status = dw__book_integer(book, id, "", err, "SELECT id FROM cup WHERE batch = ? AND layer = ?",
                                      "ii", batch, layer);
  if (status == DW_OK) status = dw__book_integer(book, &n, "", err, used, "i", *id);
  if (status != DW_OK || n == 0) return status;
  return dw_fail(err, DW_BAD_INPUT, "The batch has a cup for that layer already, and something is in it.");
}

dw_status dw_book_cup_begin(dw_book *book, int64_t batch, int64_t layer, double volume_floz,
                            double capacity_floz, int64_t *id, dw_error *err) {
  static const char sql[] = "INSERT INTO cup (batch, layer, volume_floz, capacity_floz) VALUES (?, ?, ?, ?)";
  static const char take[] = "UPDATE cup SET volume_floz = ?, capacity_floz = ? WHERE id = ?";
  dw_status status = dw__number_check("A cup's volume in fl oz", volume_floz, 0.01, DW_VOLUME_MAX_FLOZ, err);
  if (status == DW_OK)
    status =
        dw__number_check("A cup's capacity in fl oz", capacity_floz, volume_floz, DW_VOLUME_MAX_FLOZ, err);
  if (status == DW_OK) status = dw__layer_of_batch(book, batch, layer, err);
  if (status != DW_OK) return status;
  status = ready_cup(book, batch, layer, id, err);
  if (status == DW_OK)
    status = dw__book_run(book, NULL, err, take, "ddi", volume_floz, capacity_floz, *id);
  else if (status == DW_NOT_FOUND)
    status = dw__book_run(book, id, err, sql, "iidd", batch, layer, volume_floz, capacity_floz);
  return status == DW_OK ? tell_added(book, *id, NULL, volume_floz, err) : status;
}

#define CUP_SELECT                                                                                           \
  "SELECT id, batch, layer, volume_floz, capacity_floz, temperature_f,"                                      \
  " (SELECT count(*) FROM addition WHERE cup = c.id),"                                                       \
  " (SELECT coalesce(sum(clear_floz), 0) FROM addition WHERE cup = c.id) FROM cup c "

static dw_status cup_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_book_cup *out = element;
  *out = (dw_book_cup){.id = dw__query_integer(query, 0),
                       .batch = dw__query_integer(query, 1),
                       .layer = dw__query_integer(query, 2),
                       .begun_floz = dw__query_number(query, 3),
                       .volume_floz = dw__query_number(query, 3) + dw__query_number(query, 7),
                       .capacity_floz = dw__query_number(query, 4),
                       .temperature_f = dw__query_number(query, 5),
                       .additions = (size_t)dw__query_integer(query, 6)};
  return DW_OK;
}

dw_status dw__cup_get(dw_book *book, int64_t id, dw_book_cup *out, dw_error *err) {
  return dw__book_row(book, cup_from_row, out, no_cup, err, CUP_SELECT "WHERE id = ?", "i", id);
}

dw_status dw_book_cup_find(dw_book *book, int64_t batch, int64_t layer, dw_book_cup *out, dw_error *err) {
  int64_t id;
  dw_status status = dw__book_integer(book, &id, "The batch has no cup for that layer.", err,
                                      "SELECT id FROM cup WHERE batch = ? AND layer = ?", "ii", batch, layer);
  return status == DW_OK ? dw__cup_get(book, id, out, err) : status;
}

dw_status dw_book_cup_list(dw_book *book, int64_t batch, dw_book_cup **out, size_t *n, dw_error *err) {
  return dw__book_list(book, sizeof(dw_book_cup), cup_from_row, out, n, err,
                       CUP_SELECT "WHERE batch = ? ORDER BY (SELECT position FROM layer WHERE id = c.layer)",
                       "i", batch);
}

dw_status dw_book_cup_set_capacity(dw_book *book, int64_t cup, double capacity_floz, dw_error *err) {
  dw_book_cup was;
  dw_status status =
      dw__number_check("A cup's capacity in fl oz", capacity_floz, 0.01, DW_VOLUME_MAX_FLOZ, err);
  if (status == DW_OK) status = dw__cup_get(book, cup, &was, err);
  if (status != DW_OK || was.capacity_floz == capacity_floz) return status;
  status = dw__tell_corrected(book, cup, "capacity (fl oz)", was.capacity_floz, capacity_floz, err);
  if (status != DW_OK) return status;
  return dw__book_change(book, no_cup, err, "UPDATE cup SET capacity_floz = ? WHERE id = ?", "di",
                         capacity_floz, cup);
}

/* What is in the cup by now, base and drops. */
static dw_status filled(dw_book *book, const dw_book_cup *cup, double *out_floz, dw_error *err) {
  static const char sql[] = "SELECT coalesce(sum(a.drops * b.drop_ml), 0) FROM addition a"
                            " JOIN lot ON lot.id = a.lot JOIN bottle b ON b.id = lot.bottle WHERE a.cup = ?";
  dw__query query;
  bool row = false;
  dw_status status = dw__query_open(book, sql, &query, err, "i", cup->id);
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  if (status == DW_OK) *out_floz = cup->volume_floz + dw__query_number(&query, 0) / DW_ML_PER_FLOZ;
  dw__query_close(&query);
  return status;
}

dw_status dw_book_cup_check_room(dw_book *book, int64_t cup, double capacity_floz, dw_error *err) {
  dw_book_cup kept;
  double full;
  dw_status status = dw__cup_get(book, cup, &kept, err);
  if (status == DW_OK) status = filled(book, &kept, &full, err);
  if (status != DW_OK || full <= capacity_floz * (1 + 1e-9)) return status;
  return dw_fail(err, DW_BAD_INPUT, "The cup would run over: %.2f fl oz in one that holds %.2f.", full,
                 capacity_floz);
}

static dw_status lacks_bottle(dw_book *book, const dw_shelf *starter, const char *slug, dw_error *err) {
  dw_book_bottle *list = NULL;
  size_t n = 0;
  dw_nearest nearest = {.word = slug};
  char meant[DW_NEAREST_WORDS_ROOM];
  dw_status status = dw_book_bottle_list(book, false, &list, &n, err);
  if (status != DW_OK) return status;
  for (size_t i = 0; i < n; i++) dw_nearest_offer(&nearest, list[i].slug);
  for (size_t i = 0; i < starter->n; i++) dw_nearest_offer(&nearest, starter->bottle[i].id);
  dw_nearest_words(&nearest, meant);
  free(list);
  return dw_fail(err, DW_NOT_FOUND,
                 "There is no bottle \"%.60s\" in the book.%s dropwise bottle list shows them.", slug, meant);
}

dw_status dw__bottle_known(dw_book *book, const char *slug, dw_error *err) {
  dw_shelf *starter = NULL;
  int64_t id;
  dw_status status = dw__book_integer(book, &id, "", err, "SELECT id FROM bottle WHERE slug = ?", "t", slug);
  if (status == DW_NOT_FOUND) status = dw_shelf_starter(&starter, err);
  if (status == DW_OK && starter && dw_shelf_find(starter, slug) < 0)
    status = lacks_bottle(book, starter, slug, err);
  dw_shelf_free(starter);
  return status;
}

/* A lot for the slug; a bottle of the starter shelf joins the book with its first use. */
dw_status dw__lot_find(dw_book *book, const char *slug, int64_t *lot, dw_error *err) {
  dw_status status = dw__lot_at_hand(book, slug, lot, err);
  if (status != DW_NOT_FOUND) return status;
  dw_shelf *starter = NULL;
  dw_error ignored;
  if (dw_shelf_starter(&starter, &ignored) != DW_OK) return status;
  int at = dw_shelf_find(starter, slug);
  if (at >= 0) status = dw__bottle_ensure(book, &starter->bottle[at], true, err);
  if (at >= 0 && status == DW_OK) status = dw__lot_at_hand(book, slug, lot, err);
  if (at < 0) status = lacks_bottle(book, starter, slug, err);
  dw_shelf_free(starter);
  return status;
}

dw_status dw__cup_add(dw_book *book, int64_t cup, const char *slug, double amount, dw_error *err) {
  static const char sql[] =
      "INSERT INTO addition (cup, position, lot, drops, clear_floz, added) VALUES (?, ?, ?, ?, ?, ?)";
  char now[DW_TIME_ROOM];
  dw_book_cup before;
  int64_t lot = 0;
  dw__book_now(now);
  dw_status status = slug ? dw__number_check("Drops", amount, 0.001, DW_AMOUNT_MAX, err)
                          : dw__number_check("Clear base in fl oz", amount, 0.001, DW_VOLUME_MAX_FLOZ, err);
  if (status == DW_OK) status = dw__cup_get(book, cup, &before, err);
  if (status == DW_OK && slug) status = dw__lot_find(book, slug, &lot, err);
  if (status == DW_OK)
    status = dw__book_run(book, NULL, err, sql, "iirddt", cup, (int64_t)before.additions, lot,
                          slug ? amount : 0.0, slug ? 0.0 : amount, now);
  return status == DW_OK ? dw_book_cup_check_room(book, cup, before.capacity_floz, err) : status;
}

dw_status dw_book_cup_add(dw_book *book, int64_t cup, const char *slug, double amount, dw_error *err) {
  dw_status status = dw__cup_add(book, cup, slug, amount, err);
  return status == DW_OK ? tell_added(book, cup, slug, amount, err) : status;
}

/* ---- correcting ---------------------------------------------------------------------------------------- */

#define AMOUNT_TINY 1e-9

typedef struct given {
  int64_t id, position;
  double amount;
} given;

static dw_status given_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  *(given *)element =
      (given){dw__query_integer(query, 0), dw__query_integer(query, 1), dw__query_number(query, 2)};
  return DW_OK;
}

/* Additions of the bottle, or of clear base, the newest first. */
static dw_status list_given(dw_book *book, int64_t cup, const char *slug, given **out, size_t *n,
                            dw_error *err) {
  return dw__book_list(book, sizeof(given), given_from_row, out, n, err,
                       slug ? "SELECT a.id, a.position, a.drops FROM addition a JOIN lot ON lot.id = a.lot"
                              " JOIN bottle b ON b.id = lot.bottle WHERE a.cup = ? AND b.slug = ?"
                              " ORDER BY a.position DESC"
                            : "SELECT id, position, clear_floz FROM addition WHERE cup = ? AND lot IS NULL"
                              " AND ?2 IS NULL ORDER BY position DESC",
                       "it", cup, slug);
}

static dw_status lessen(dw_book *book, const given *addition, bool drops, double left, dw_error *err) {
  if (left <= AMOUNT_TINY)
    return dw__book_run(book, NULL, err,
                        "UPDATE addition SET lot = NULL, drops = 0, clear_floz = 0 WHERE id = ?", "i",
                        addition->id);
  return dw__book_run(book, NULL, err,
                      drops ? "UPDATE addition SET drops = ? WHERE id = ?"
                            : "UPDATE addition SET clear_floz = ? WHERE id = ?",
                      "di", left, addition->id);
}

static dw_status begun_with_less(dw_book *book, int64_t cup, double less, dw_error *err) {
  dw_book_cup kept;
  dw_status status = dw__cup_get(book, cup, &kept, err);
  if (status == DW_OK)
    status =
        dw__number_check("A cup's volume in fl oz", kept.begun_floz - less, 0.01, DW_VOLUME_MAX_FLOZ, err);
  if (status != DW_OK) return status;
  return dw__book_run(book, NULL, err, "UPDATE cup SET volume_floz = ? WHERE id = ?", "di",
                      kept.begun_floz - less, cup);
}

static double sum_given(const given *list, size_t n) {
  double all = 0;
  for (size_t i = 0; i < n; i++) all += list[i].amount;
  return all;
}

static dw_status cup_volume(dw_book *book, int64_t cup, double *floz, dw_error *err) {
  dw_book_cup kept;
  dw_status status = dw__cup_get(book, cup, &kept, err);
  if (status == DW_OK) *floz = kept.volume_floz;
  return status;
}

dw_status dw_book_cup_correct(dw_book *book, int64_t cup, const char *slug, double less, dw_error *err) {
  given *list = NULL;
  size_t n = 0;
  int64_t first = INT64_MAX;
  dw_status status = list_given(book, cup, slug, &list, &n, err);
  double was = sum_given(list, n);
  if (status == DW_OK && !slug) status = cup_volume(book, cup, &was, err);
  if (status == DW_OK) status = dw__tell_corrected(book, cup, slug, was, was - less, err);
  for (size_t i = 0; i < n && less > AMOUNT_TINY && status == DW_OK; i++) {
    double take = fmin(less, list[i].amount);
    status = lessen(book, &list[i], slug != NULL, list[i].amount - take, err);
    first = list[i].position;
    less -= take;
  }
  free(list);
  if (status == DW_OK && less > AMOUNT_TINY) {
    first = -1; /* it was in every pour */
    status = slug ? dw_fail(err, DW_BAD_INPUT, "The cup was never given so much of %s.", slug)
                  : begun_with_less(book, cup, less, err);
  }
  return status == DW_OK ? dw__forget_predicted(book, cup, first, err) : status;
}

/* ---- reading ------------------------------------------------------------------------------------------- */

static dw_status addition_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_book_addition *out = element;
  *out = (dw_book_addition){.drops = dw__query_number(query, 2), .clear_floz = dw__query_number(query, 3)};
  dw__query_copy(query, 0, out->slug, sizeof out->slug);
  dw__query_copy(query, 1, out->lot, sizeof out->lot);
  dw__query_copy(query, 4, out->added, sizeof out->added);
  return DW_OK;
}

dw_status dw_book_cup_additions(dw_book *book, int64_t cup, dw_book_addition **out, size_t *n,
                                dw_error *err) {
  static const char sql[] = "SELECT b.slug, lot.name, a.drops, a.clear_floz, a.added FROM addition a"
                            " LEFT JOIN lot ON lot.id = a.lot LEFT JOIN bottle b ON b.id = lot.bottle"
                            " WHERE a.cup = ? ORDER BY a.position";
  return dw__book_list(book, sizeof(dw_book_addition), addition_from_row, out, n, err, sql, "i", cup);
}

dw_status dw_book_cup_contents(dw_book *book, int64_t batch, int64_t layer, dw_book_cup *cup,
                               dw_book_addition **list, size_t *n, dw_error *err) {
  *cup = (dw_book_cup){0};
  *list = NULL;
  *n = 0;
  dw_status status = dw_book_cup_find(book, batch, layer, cup, err);
  if (status == DW_NOT_FOUND) return DW_OK;
  return status == DW_OK ? dw_book_cup_additions(book, cup->id, list, n, err) : status;
}

dw_status dw_book_cup_now(dw_book *book, int64_t cup, const dw_shelf *shelf, dw_cup *out, size_t *missing,
                          dw_error *err) {
  dw_book_cup kept;
  dw_book_addition *list = NULL;
  size_t n = 0;
  dw_status status = dw__cup_get(book, cup, &kept, err);
  if (status == DW_OK) status = dw_book_cup_additions(book, cup, &list, &n, err);
  if (status != DW_OK) return status;
  dw_cup now = {.volume_floz = kept.volume_floz, .capacity_floz = kept.capacity_floz};
  size_t lacking = 0;
  for (size_t i = 0; i < n; i++) {
    if (!list[i].slug[0]) continue;
    int at = dw_shelf_find(shelf, list[i].slug);
    lacking += at < 0 || !dw_recipe_add(&now.drops, (size_t)at, list[i].drops);
  }
  free(list);
  *out = now;
  *missing = lacking;
  return DW_OK;
}
