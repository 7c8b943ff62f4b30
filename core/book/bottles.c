/* Bottles and their lots. */
#include "book/bottles.h"
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

/* "There is no bottle ..." */
static void word_missing(const char *slug, char *out, size_t room) {
  snprintf(out, room, "There is no bottle \"%.60s\" in the book; pourtone bottle list shows them.", slug);
}

static pt_status bottle_check(const char *slug, const char *title, double drop_ml, pt_error *err) {
  if (!pt_id_valid(slug))
    return pt_fail(err, PT_BAD_INPUT, "\"%.60s\" can't name a bottle: use a-z, 0-9, '-' and '_', at most 47.",
                   slug);
  pt_status status = pt__name_check("bottle", title, PT_TITLE_ROOM, err);
  return status == PT_OK ? pt__number_check("A drop in ml", drop_ml, PT__DROP_ML_MIN, PT__DROP_ML_MAX, err)
                         : status;
}

/* *id 0 when the book does not know the slug. */
static pt_status look_up(pt_book *book, const char *slug, int64_t *id, bool *removed, pt_error *err) {
  pt__query query;
  bool row = false;
  *id = 0;
  *removed = false;
  pt_status status = pt__query_open(book, "SELECT id, removed IS NOT NULL FROM bottle WHERE slug = ?", &query,
                                    err, "t", slug);
  if (status == PT_OK) status = pt__query_next(&query, &row, err);
  if (status == PT_OK && row) {
    *id = pt__query_integer(&query, 0);
    *removed = pt__query_integer(&query, 1) != 0;
  }
  pt__query_close(&query);
  return status;
}

static pt_status room_check(pt_book *book, pt_error *err) {
  int64_t n = 0;
  pt_status status =
      pt__book_integer(book, &n, "", err, "SELECT count(*) FROM bottle WHERE removed IS NULL", "");
  if (status == PT_OK && n >= PT_SHELF_MAX)
    status = pt_fail(err, PT_TOO_LARGE, "A shelf holds at most %d bottles; remove one first.", PT_SHELF_MAX);
  return status;
}

pt_status pt_book_bottle_add(pt_book *book, const char *slug, const char *title, pt_role role, double drop_ml,
                             int64_t *id, pt_error *err) {
  char now[PT_TIME_ROOM];
  bool removed;
  int64_t known;
  pt__book_now(now);
  pt_status status = bottle_check(slug, title, drop_ml, err);
  if (status == PT_OK) status = look_up(book, slug, &known, &removed, err);
  if (status == PT_OK) status = room_check(book, err);
  if (status != PT_OK) return status;
  if (known && !removed) return pt_fail(err, PT_BAD_INPUT, "There is a bottle \"%s\" already.", slug);
  if (known) {
    *id = known;
    return pt__book_run(book, NULL, err,
                        "UPDATE bottle SET title = ?, role = ?, drop_ml = ?, removed = NULL WHERE id = ?",
                        "ttdi", title, pt_role_name(role), drop_ml, known);
  }
  status = pt__book_run(book, id, err, "INSERT INTO bottle (slug, title, role, drop_ml) VALUES (?, ?, ?, ?)",
                        "tttd", slug, title, pt_role_name(role), drop_ml);
  if (status != PT_OK) return status;
  return pt__book_run(book, NULL, err, "INSERT INTO lot (bottle, name, opened) VALUES (?, 'first', ?)", "it",
                      *id, now);
}

pt_status pt__bottle_ensure(pt_book *book, const pt_bottle *bottle, pt_error *err) {
  bool removed;
  int64_t known;
  pt_status status = look_up(book, bottle->id, &known, &removed, err);
  if (status != PT_OK || (known && !removed)) return status;
  return pt_book_bottle_add(book, bottle->id, bottle->title, bottle->role, bottle->drop_ml, &known, err);
}

pt_status pt__lot_at_hand(pt_book *book, const char *slug, int64_t *lot, pt_error *err) {
  char missing[160];
  word_missing(slug, missing, sizeof missing);
  return pt__book_integer(book, lot, missing, err,
                          "SELECT " PT__LOT_AT_HAND("b.id") " FROM bottle b WHERE b.slug = ?", "t", slug);
}

pt_status pt_book_bottle_set_title(pt_book *book, const char *slug, const char *title, pt_error *err) {
  char missing[160];
  word_missing(slug, missing, sizeof missing);
  pt_status status = pt__name_check("bottle", title, PT_TITLE_ROOM, err);
  if (status != PT_OK) return status;
  return pt__book_change(book, missing, err, "UPDATE bottle SET title = ? WHERE slug = ?", "tt", title, slug);
}

pt_status pt_book_bottle_set_role(pt_book *book, const char *slug, pt_role role, pt_error *err) {
  char missing[160];
  word_missing(slug, missing, sizeof missing);
  return pt__book_change(book, missing, err, "UPDATE bottle SET role = ? WHERE slug = ?", "tt",
                         pt_role_name(role), slug);
}

pt_status pt_book_bottle_set_drop(pt_book *book, const char *slug, double drop_ml, pt_error *err) {
  char missing[160];
  word_missing(slug, missing, sizeof missing);
  pt_status status = pt__number_check("A drop in ml", drop_ml, PT__DROP_ML_MIN, PT__DROP_ML_MAX, err);
  if (status != PT_OK) return status;
  return pt__book_change(book, missing, err, "UPDATE bottle SET drop_ml = ? WHERE slug = ?", "dt", drop_ml,
                         slug);
}

pt_status pt_book_bottle_remove(pt_book *book, const char *slug, pt_error *err) {
  static const char used[] = "SELECT EXISTS (SELECT 1 FROM lot WHERE bottle = ?1 AND"
                             " (id IN (SELECT lot FROM chip_part) OR id IN (SELECT lot FROM addition)))"
                             " OR EXISTS (SELECT 1 FROM fit_bottle WHERE bottle = ?1)";
  char missing[160], now[PT_TIME_ROOM];
  bool removed;
  int64_t id, in_use = 0;
  word_missing(slug, missing, sizeof missing);
  pt__book_now(now);
  pt_status status = look_up(book, slug, &id, &removed, err);
  if (status == PT_OK && (id == 0 || removed)) status = pt_fail(err, PT_NOT_FOUND, "%s", missing);
  if (status == PT_OK) status = pt__book_integer(book, &in_use, "", err, used, "i", id);
  if (status != PT_OK) return status;
  if (in_use)
    return pt__book_run(book, NULL, err, "UPDATE bottle SET removed = ? WHERE id = ?", "ti", now, id);
  return pt__book_run(book, NULL, err, "DELETE FROM bottle WHERE id = ?", "i", id);
}

pt_status pt_book_lot_add(pt_book *book, const char *slug, const char *name, pt_error *err) {
  char missing[160], now[PT_TIME_ROOM];
  int64_t bottle, there;
  word_missing(slug, missing, sizeof missing);
  pt__book_now(now);
  pt_status status = pt__name_check("lot", name, PT_LOT_NAME_ROOM, err);
  if (status == PT_OK)
    status = pt__book_integer(book, &bottle, missing, err,
                              "SELECT id FROM bottle WHERE slug = ? AND removed IS NULL", "t", slug);
  if (status != PT_OK) return status;
  status = pt__book_integer(book, &there, "", err, "SELECT id FROM lot WHERE bottle = ? AND name = ?", "it",
                            bottle, name);
  if (status == PT_OK)
    return pt_fail(err, PT_BAD_INPUT, "The bottle \"%s\" has a lot \"%s\" already.", slug, name);
  if (status != PT_NOT_FOUND) return status;
  return pt__book_run(book, NULL, err, "INSERT INTO lot (bottle, name, opened) VALUES (?, ?, ?)", "itt",
                      bottle, name, now);
}

/* ---- reading ------------------------------------------------------------------------------------------- */

/* Strength as learned on the spectra in use. */
#define STRENGTH_OF(lot)                                                                                     \
  " LEFT JOIN strength s ON s.id = (SELECT max(id) FROM strength WHERE lot = " lot                           \
  " AND fit IS (SELECT max(id) FROM fit)) "

#define BOTTLE_SELECT                                                                                        \
  "SELECT b.id, b.slug, b.title, b.role, b.drop_ml, b.removed IS NOT NULL,"                                  \
  " EXISTS (SELECT 1 FROM fit_bottle f WHERE f.bottle = b.id AND f.fit = (SELECT max(id) FROM fit)),"        \
  " l.id, l.name, l.opened, (SELECT count(*) FROM lot WHERE bottle = b.id),"                                 \
  " (SELECT count(*) FROM chip_part p JOIN lot ON lot.id = p.lot WHERE lot.bottle = b.id),"                  \
  " (SELECT count(DISTINCT p.id) FROM lot JOIN addition a ON a.lot = lot.id JOIN pour p ON p.cup = a.cup"    \
  "  AND a.position < p.additions WHERE lot.bottle = b.id),"                                                 \
  " coalesce(s.strength, 1), coalesce(s.deviation, 0), s.words FROM bottle b"                                \
  " JOIN lot l ON l.id = " PT__LOT_AT_HAND("b.id") STRENGTH_OF("l.id")

static pt_status bottle_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  pt_book_bottle *out = element;
  *out = (pt_book_bottle){.id = pt__query_integer(query, 0),
                          .drop_ml = pt__query_number(query, 4),
                          .removed = pt__query_integer(query, 5) != 0,
                          .fitted = pt__query_integer(query, 6) != 0,
                          .lot = pt__query_integer(query, 7),
                          .lots = (size_t)pt__query_integer(query, 10),
                          .chips = (size_t)pt__query_integer(query, 11),
                          .pours = (size_t)pt__query_integer(query, 12),
                          .strength = pt__query_number(query, 13),
                          .strength_sd = pt__query_number(query, 14)};
  pt__query_copy(query, 1, out->slug, sizeof out->slug);
  pt__query_copy(query, 2, out->title, sizeof out->title);
  pt_role_find(pt__query_text(query, 3), &out->role);
  pt__query_copy(query, 8, out->lot_name, sizeof out->lot_name);
  pt__query_copy(query, 9, out->lot_opened, sizeof out->lot_opened);
  pt__query_copy(query, 15, out->learned, sizeof out->learned);
  return PT_OK;
}

pt_status pt_book_bottle_find(pt_book *book, const char *slug, pt_book_bottle *out, pt_error *err) {
  char missing[160];
  word_missing(slug, missing, sizeof missing);
  return pt__book_row(book, bottle_from_row, out, missing, err, BOTTLE_SELECT "WHERE b.slug = ?", "t", slug);
}

pt_status pt_book_bottle_list(pt_book *book, bool with_removed, pt_book_bottle **out, size_t *n,
                              pt_error *err) {
  return pt__book_list(book, sizeof(pt_book_bottle), bottle_from_row, out, n, err,
                       BOTTLE_SELECT "WHERE b.removed IS NULL OR ? ORDER BY b.slug", "i",
                       (int64_t)with_removed);
}

static pt_status lot_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  pt_book_lot *out = element;
  *out = (pt_book_lot){.id = pt__query_integer(query, 0),
                       .strength = pt__query_number(query, 4),
                       .strength_sd = pt__query_number(query, 5)};
  pt__query_copy(query, 1, out->slug, sizeof out->slug);
  pt__query_copy(query, 2, out->name, sizeof out->name);
  pt__query_copy(query, 3, out->opened, sizeof out->opened);
  pt__query_copy(query, 6, out->learned, sizeof out->learned);
  return PT_OK;
}

pt_status pt_book_lot_list(pt_book *book, const char *slug, pt_book_lot **out, size_t *n, pt_error *err) {
  static const char sql[] =
      "SELECT l.id, b.slug, l.name, l.opened, coalesce(s.strength, 1), coalesce(s.deviation, 0), s.words"
      " FROM lot l JOIN bottle b ON b.id = l.bottle" STRENGTH_OF(
          "l.id") "WHERE ?1 IS NULL OR b.slug = ?1 ORDER BY b.slug, l.id";
  return pt__book_list(book, sizeof(pt_book_lot), lot_from_row, out, n, err, sql, "t", slug);
}
