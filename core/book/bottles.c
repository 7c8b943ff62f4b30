/* Bottles and their lots. */
#include "book/bottles.h"
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

/* "There is no bottle ..." */
static void word_missing(const char *slug, char *out, size_t room) {
  snprintf(out, room, "There is no bottle \"%.60s\" in the book; dropwise bottle list shows them.", slug);
}

static dw_status bottle_check(const char *slug, const char *title, double drop_ml, dw_error *err) {
  if (!dw_id_valid(slug))
    return dw_fail(err, DW_BAD_INPUT, "\"%.60s\" can't name a bottle: use a-z, 0-9, '-' and '_', at most 47.",
                   slug);
  dw_status status = dw__name_check("bottle", title, DW_TITLE_ROOM, err);
  return status == DW_OK ? dw__number_check("A drop in ml", drop_ml, DW_DROP_ML_MIN, DW_DROP_ML_MAX, err)
                         : status;
}

typedef struct known_bottle {
  int64_t id; /* 0 when the book does not know the slug */
  bool removed, starter;
} known_bottle;

static dw_status look_up(dw_book *book, const char *slug, known_bottle *out, dw_error *err) {
  static const char sql[] = "SELECT id, removed IS NOT NULL, starter IS NOT NULL FROM bottle WHERE slug = ?";
  dw__query query;
  bool row = false;
  *out = (known_bottle){0};
  dw_status status = dw__query_open(book, sql, &query, err, "t", slug);
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  if (status == DW_OK && row)
    *out = (known_bottle){dw__query_integer(&query, 0), dw__query_integer(&query, 1) != 0,
                          dw__query_integer(&query, 2) != 0};
  dw__query_close(&query);
  return status;
}

/* There is nothing to add. What came from the starter shelf is still the maker's to add. */
static bool there_already(const known_bottle *known, bool starter) {
  return known->id && !known->removed && (starter || !known->starter);
}

static dw_status room_check(dw_book *book, dw_error *err) {
  int64_t n = 0;
  dw_status status =
      dw__book_integer(book, &n, "", err, "SELECT count(*) FROM bottle WHERE removed IS NULL", "");
  if (status == DW_OK && n >= DW_SHELF_MAX)
    status = dw_fail(err, DW_TOO_LARGE, "A shelf holds at most %d bottles; remove one first.", DW_SHELF_MAX);
  return status;
}

/* starter  it comes from the starter shelf, and looks like itself there */
static dw_status bottle_admit(dw_book *book, const dw_bottle *bottle, bool starter, int64_t *id,
                              dw_error *err) {
  const char *slug = bottle->id, *title = bottle->title, *look = starter ? slug : NULL;
  const char *role = dw_role_name(bottle->role);
  char now[DW_TIME_ROOM];
  known_bottle known;
  dw__book_now(now);
  dw_status status = bottle_check(slug, title, bottle->drop_ml, err);
  if (status == DW_OK) status = look_up(book, slug, &known, err);
  if (status == DW_OK) status = room_check(book, err);
  if (status != DW_OK) return status;
  if (there_already(&known, starter))
    return dw_fail(err, DW_BAD_INPUT, "There is a bottle \"%s\" already.", slug);
  if (known.id) {
    *id = known.id;
    return dw__book_run(book, NULL, err,
                        "UPDATE bottle SET title = ?, role = ?, drop_ml = ?, removed = NULL, look = ?,"
                        " starter = nullif(?, 0) WHERE id = ?",
                        "ttdtii", title, role, bottle->drop_ml, look, (int64_t)starter, known.id);
  }
  status = dw__book_run(book, id, err,
                        "INSERT INTO bottle (slug, title, role, drop_ml, look, starter)"
                        " VALUES (?, ?, ?, ?, ?, nullif(?, 0))",
                        "tttdti", slug, title, role, bottle->drop_ml, look, (int64_t)starter);
  if (status != DW_OK) return status;
  return dw__book_run(book, NULL, err, "INSERT INTO lot (bottle, name, opened) VALUES (?, 'first', ?)", "it",
                      *id, now);
}

dw_status dw_book_bottle_add(dw_book *book, const char *slug, const char *title, dw_role role, double drop_ml,
                             int64_t *id, dw_error *err) {
  dw_bottle bottle = dw_bottle_blank(slug, title, role);
  bottle.drop_ml = drop_ml;
  if (strlen(slug) >= sizeof bottle.id || strlen(title) >= sizeof bottle.title)
    return bottle_check(slug, title, drop_ml, err);
  dw__tell(book, DW_ENTRY_BOTTLE, 0, 0, "", "bottle %.60s added", slug);
  return bottle_admit(book, &bottle, false, id, err);
}

dw_status dw__bottle_ensure(dw_book *book, const dw_bottle *bottle, bool starter, dw_error *err) {
  known_bottle known;
  int64_t id;
  dw_status status = look_up(book, bottle->id, &known, err);
  if (status != DW_OK || there_already(&known, starter)) return status;
  return bottle_admit(book, bottle, starter, &id, err);
}

dw_status dw_book_bottle_admit(dw_book *book, const char *slug, dw_error *err) {
  int64_t lot;
  return dw__lot_find(book, slug, &lot, err);
}

/* Whether the starter shelf has it. */
static dw_status starter_check(const char *slug, dw_error *err) {
  dw_shelf *starter = NULL;
  dw_error why;
  dw_status status = dw_shelf_starter(&starter, err);
  if (status == DW_OK && dw_shelf_find(starter, slug) < 0) {
    dw_shelf_lacks(starter, slug, &why);
    status = dw_fail(err, DW_NOT_FOUND, "A bottle can look like one of the starter shelf. %.150s", why.text);
  }
  dw_shelf_free(starter);
  return status;
}

dw_status dw_book_bottle_set_look(dw_book *book, const char *slug, const char *look, dw_error *err) {
  char missing[160];
  word_missing(slug, missing, sizeof missing);
  dw_status status = look ? starter_check(look, err) : DW_OK;
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_BOTTLE, 0, 0, "", "look of bottle %.60s: %s", slug, look ? look : "its own");
  return dw__book_change(book, missing, err,
                         "UPDATE bottle SET look = ?, starter = NULL WHERE slug = ? AND removed IS NULL",
                         "tt", look, slug);
}

dw_status dw__lot_at_hand(dw_book *book, const char *slug, int64_t *lot, dw_error *err) {
  char missing[160];
  word_missing(slug, missing, sizeof missing);
  return dw__book_integer(book, lot, missing, err,
                          "SELECT " DW__LOT_AT_HAND("b.id") " FROM bottle b WHERE b.slug = ?", "t", slug);
}

dw_status dw_book_bottle_set_title(dw_book *book, const char *slug, const char *title, dw_error *err) {
  char missing[160];
  word_missing(slug, missing, sizeof missing);
  dw_status status = dw__name_check("bottle", title, DW_TITLE_ROOM, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_BOTTLE, 0, 0, "", "title of bottle %.60s", slug);
  return dw__book_change(book, missing, err, "UPDATE bottle SET title = ? WHERE slug = ?", "tt", title, slug);
}

dw_status dw_book_bottle_set_role(dw_book *book, const char *slug, dw_role role, dw_error *err) {
  char missing[160];
  word_missing(slug, missing, sizeof missing);
  dw__tell(book, DW_ENTRY_BOTTLE, 0, 0, "", "role of bottle %.60s", slug);
  return dw__book_change(book, missing, err, "UPDATE bottle SET role = ? WHERE slug = ?", "tt",
                         dw_role_name(role), slug);
}

dw_status dw_book_bottle_set_drop(dw_book *book, const char *slug, double drop_ml, dw_error *err) {
  char missing[160];
  word_missing(slug, missing, sizeof missing);
  dw_status status = dw__number_check("A drop in ml", drop_ml, DW_DROP_ML_MIN, DW_DROP_ML_MAX, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_BOTTLE, 0, 0, "", "drop size of bottle %.60s", slug);
  return dw__book_change(book, missing, err, "UPDATE bottle SET drop_ml = ? WHERE slug = ?", "dt", drop_ml,
                         slug);
}

dw_status dw_book_bottle_remove(dw_book *book, const char *slug, dw_error *err) {
  static const char used[] = "SELECT EXISTS (SELECT 1 FROM lot WHERE bottle = ?1 AND"
                             " (id IN (SELECT lot FROM chip_part) OR id IN (SELECT lot FROM addition)))"
                             " OR EXISTS (SELECT 1 FROM fit_bottle WHERE bottle = ?1)";
  char missing[160], now[DW_TIME_ROOM];
  known_bottle known;
  int64_t in_use = 0;
  word_missing(slug, missing, sizeof missing);
  dw__book_now(now);
  dw_status status = look_up(book, slug, &known, err);
  const int64_t id = known.id;
  if (status == DW_OK && (id == 0 || known.removed)) status = dw_fail(err, DW_NOT_FOUND, "%s", missing);
  if (status == DW_OK) status = dw__book_integer(book, &in_use, "", err, used, "i", id);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_BOTTLE, 0, 0, "", "bottle %.60s removed", slug);
  if (in_use)
    return dw__book_run(book, NULL, err, "UPDATE bottle SET removed = ? WHERE id = ?", "ti", now, id);
  return dw__book_run(book, NULL, err, "DELETE FROM bottle WHERE id = ?", "i", id);
}

dw_status dw_book_lot_add(dw_book *book, const char *slug, const char *name, dw_error *err) {
  char missing[160], now[DW_TIME_ROOM];
  int64_t bottle, there;
  word_missing(slug, missing, sizeof missing);
  dw__book_now(now);
  dw_status status = dw__name_check("lot", name, DW_LOT_NAME_ROOM, err);
  if (status == DW_OK)
    status = dw__book_integer(book, &bottle, missing, err,
                              "SELECT id FROM bottle WHERE slug = ? AND removed IS NULL", "t", slug);
  if (status != DW_OK) return status;
  status = dw__book_integer(book, &there, "", err, "SELECT id FROM lot WHERE bottle = ? AND name = ?", "it",
                            bottle, name);
  if (status == DW_OK)
    return dw_fail(err, DW_BAD_INPUT, "The bottle \"%s\" has a lot \"%s\" already.", slug, name);
  if (status != DW_NOT_FOUND) return status;
  dw__tell(book, DW_ENTRY_LOT, 0, 0, "", "lot %s of %s opened", name, slug);
  return dw__book_run(book, NULL, err, "INSERT INTO lot (bottle, name, opened) VALUES (?, ?, ?)", "itt",
                      bottle, name, now);
}

/* ---- reading ------------------------------------------------------------------------------------------- */

#define BOTTLE_SELECT                                                                                        \
  "SELECT b.id, b.slug, b.title, b.role, b.drop_ml, b.removed IS NOT NULL,"                                  \
  " EXISTS (SELECT 1 FROM fit_bottle f WHERE f.bottle = b.id AND f.fit = (SELECT max(id) FROM fit)),"        \
  " l.id, l.name, l.opened, (SELECT count(*) FROM lot WHERE bottle = b.id),"                                 \
  " (SELECT count(*) FROM chip_part p JOIN lot ON lot.id = p.lot WHERE lot.bottle = b.id),"                  \
  " (SELECT count(DISTINCT p.id) FROM lot JOIN addition a ON a.lot = lot.id JOIN pour p ON p.cup = a.cup"    \
  "  AND a.position < p.additions WHERE lot.bottle = b.id),"                                                 \
  " coalesce(s.strength, 1), coalesce(s.deviation, 0), s.words, b.starter IS NOT NULL, b.look,"              \
  " (SELECT coalesce(min(p.loading), 0) FROM chip_part p JOIN lot ON lot.id = p.lot WHERE lot.bottle = "     \
  "b.id)"                                                                                                    \
  " FROM bottle b"                                                                                           \
  " JOIN lot l ON l.id = " DW__LOT_AT_HAND("b.id") DW__STRENGTH_OF("l.id")

static dw_status bottle_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_book_bottle *out = element;
  *out = (dw_book_bottle){.id = dw__query_integer(query, 0),
                          .drop_ml = dw__query_number(query, 4),
                          .removed = dw__query_integer(query, 5) != 0,
                          .fitted = dw__query_integer(query, 6) != 0,
                          .lot = dw__query_integer(query, 7),
                          .lots = (size_t)dw__query_integer(query, 10),
                          .chips = (size_t)dw__query_integer(query, 11),
                          .pours = (size_t)dw__query_integer(query, 12),
                          .strength = dw__query_number(query, 13),
                          .strength_sd = dw__query_number(query, 14),
                          .starter = dw__query_integer(query, 16) != 0,
                          .loading_least = dw__query_number(query, 18)};
  dw__query_copy(query, 17, out->look, sizeof out->look);
  dw__query_copy(query, 1, out->slug, sizeof out->slug);
  dw__query_copy(query, 2, out->title, sizeof out->title);
  dw_role_find(dw__query_text(query, 3), &out->role);
  dw__query_copy(query, 8, out->lot_name, sizeof out->lot_name);
  dw__query_copy(query, 9, out->lot_opened, sizeof out->lot_opened);
  dw__query_copy(query, 15, out->learned, sizeof out->learned);
  return DW_OK;
}

dw_status dw_book_bottle_find(dw_book *book, const char *slug, dw_book_bottle *out, dw_error *err) {
  char missing[160];
  word_missing(slug, missing, sizeof missing);
  return dw__book_row(book, bottle_from_row, out, missing, err, BOTTLE_SELECT "WHERE b.slug = ?", "t", slug);
}

dw_status dw_book_bottle_list(dw_book *book, bool with_removed, dw_book_bottle **out, size_t *n,
                              dw_error *err) {
  return dw__book_list(book, sizeof(dw_book_bottle), bottle_from_row, out, n, err,
                       BOTTLE_SELECT "WHERE b.removed IS NULL OR ? ORDER BY b.slug", "i",
                       (int64_t)with_removed);
}

static dw_status lot_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_book_lot *out = element;
  *out = (dw_book_lot){.id = dw__query_integer(query, 0),
                       .strength = dw__query_number(query, 4),
                       .strength_sd = dw__query_number(query, 5)};
  dw__query_copy(query, 1, out->slug, sizeof out->slug);
  dw__query_copy(query, 2, out->name, sizeof out->name);
  dw__query_copy(query, 3, out->opened, sizeof out->opened);
  dw__query_copy(query, 6, out->learned, sizeof out->learned);
  return DW_OK;
}

dw_status dw_book_lot_list(dw_book *book, const char *slug, dw_book_lot **out, size_t *n, dw_error *err) {
  static const char sql[] =
      "SELECT l.id, b.slug, l.name, l.opened, coalesce(s.strength, 1), coalesce(s.deviation, 0), s.words"
      " FROM lot l JOIN bottle b ON b.id = l.bottle" DW__STRENGTH_OF(
          "l.id") "WHERE ?1 IS NULL OR b.slug = ?1 ORDER BY b.slug, l.id";
  return dw__book_list(book, sizeof(dw_book_lot), lot_from_row, out, n, err, sql, "t", slug);
}
