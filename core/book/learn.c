/* What the book's pours teach of its bottles. */
#include "book/bottles.h"
#include "book/sql.h"
#include "pourtone/book_pours.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define STRENGTH_WORTH_KEEPING 0.001 /* of ln strength: less is no news */

/* One bottle's drops in a measured pour, beside the pour. */
typedef struct part {
  int64_t pour, lot, newest_lot;
  char slug[PT_ID_ROOM]; /* "" for a pour of clear base */
  double drops, volume_floz, thickness_mm, backing, uncertainty;
  pt_lab lab;
} part;

static pt_status part_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  part *out = element;
  *out = (part){.pour = pt__query_integer(query, 0),
                .lot = pt__query_integer(query, 1),
                .newest_lot = pt__query_integer(query, 2),
                .drops = pt__query_number(query, 4),
                .volume_floz = pt__query_number(query, 5),
                .thickness_mm = pt__query_number(query, 6),
                .backing = pt__query_number(query, 7),
                .lab = pt__query_lab(query, 8)};
  pt__query_copy(query, 3, out->slug, sizeof out->slug);
  return PT_OK;
}

/* Per measured pour and bottle in it; a bottle of two lots in one cup counts as the older one. */
static const char parts_sql[] =
    "WITH measured AS (SELECT r.pour AS id, avg(r.l) AS l, avg(r.a) AS a, avg(r.b) AS b FROM reading_now r"
    " WHERE r.pour IS NOT NULL GROUP BY r.pour)"
    " SELECT p.id, min(lot.id), " PT__LOT_AT_HAND(
        "k.id") ", k.slug, sum(d.drops),"
                " c.volume_floz + coalesce((SELECT sum(clear_floz) FROM addition WHERE cup = c.id"
                "  AND position < p.additions), 0),"
                " p.thickness_mm, p.backing, m.l, m.a, m.b FROM measured m JOIN pour p ON p.id = m.id"
                " JOIN cup c ON c.id = p.cup"
                " LEFT JOIN addition d ON d.cup = c.id AND d.position < p.additions AND d.lot IS NOT NULL"
                " LEFT JOIN lot ON lot.id = d.lot LEFT JOIN bottle k ON k.id = lot.bottle"
                " GROUP BY p.id, k.id ORDER BY p.id, k.id";

/* Parts [from, to) of one pour as a chip; false when the shelf lacks one of its bottles. */
static bool pour_chip(const part *parts, size_t from, size_t to, const pt_shelf *shelf, pt_chip *out) {
  *out = (pt_chip){.thickness_mm = parts[from].thickness_mm,
                   .backing = parts[from].backing,
                   .lab = parts[from].lab,
                   .sd_de00 = PT_POUR_SD_DE00};
  for (size_t i = from; i < to; i++) {
    if (!parts[i].slug[0]) continue;
    int at = pt_shelf_find(shelf, parts[i].slug);
    if (at < 0 || !pt_recipe_add(&out->recipe, (size_t)at, parts[i].drops / parts[i].volume_floz))
      return false;
    if (parts[i].lot != parts[i].newest_lot) out->old_lots |= (uint64_t)1 << at;
  }
  return true;
}

/* Bits of bottles whose lot at hand is in no chip; without a fit there are no chips to differ from. */
static pt_status find_new_lots(pt_book *book, const pt_shelf *shelf, uint64_t *out, pt_error *err) {
  static const char sql[] = "SELECT b.slug FROM bottle b JOIN lot l ON l.id = " PT__LOT_AT_HAND(
      "b.id") " WHERE NOT EXISTS (SELECT 1 FROM chip_part WHERE lot = l.id)"
              " AND EXISTS (SELECT 1 FROM fit_bottle WHERE bottle = b.id AND fit = (SELECT max(id) FROM "
              "fit))";
  pt__query query;
  bool row = true;
  uint64_t bits = 0;
  pt_status status = pt__query_open(book, sql, &query, err, "");
  while (status == PT_OK && (status = pt__query_next(&query, &row, err)) == PT_OK && row) {
    int at = pt_shelf_find(shelf, pt__query_text(&query, 0));
    if (at >= 0) bits |= (uint64_t)1 << at;
  }
  pt__query_close(&query);
  if (status == PT_OK) *out = bits;
  return status;
}

pt_status pt_pours_load(pt_book *book, const pt_shelf *shelf, pt_chip **out, size_t *n, uint64_t *new_lots,
                        pt_error *err) {
  part *parts = NULL;
  size_t rows = 0, count = 0;
  pt_chip *chips = NULL;
  pt_status status = pt__book_list(book, sizeof(part), part_from_row, &parts, &rows, err, parts_sql, "");
  if (status == PT_OK && !(chips = calloc(rows + 1, sizeof *chips)))
    status = pt_fail_memory(err, "the pours");
  for (size_t i = 0; status == PT_OK && i < rows;) {
    size_t next = i + 1;
    while (next < rows && parts[next].pour == parts[i].pour) next++;
    count += pour_chip(parts, i, next, shelf, &chips[count]);
    i = next;
  }
  if (status == PT_OK && count == 0)
    status = pt_fail(err, PT_TOO_FEW, "The book holds no measured pour to learn from yet.");
  if (status == PT_OK) status = find_new_lots(book, shelf, new_lots, err);
  free(parts);
  if (status != PT_OK) {
    free(chips);
    return status;
  }
  *out = chips;
  *n = count;
  return PT_OK;
}

static pt_status keep_strength(pt_book *book, const char *slug, const pt_learned_bottle *learned,
                               pt_error *err) {
  static const char sql[] = "INSERT INTO strength (lot, fit, strength, deviation, words, learned)"
                            " VALUES (?, (SELECT max(id) FROM fit), ?, ?, ?, ?)";
  char now[PT_TIME_ROOM];
  pt_book_bottle kept;
  pt__book_now(now);
  pt_status status = pt_book_bottle_find(book, slug, &kept, err);
  if (status != PT_OK) return status;
  if (fabs(log(learned->strength / kept.strength)) < STRENGTH_WORTH_KEEPING && kept.strength_sd > 0)
    return PT_OK;
  return pt__book_run(book, NULL, err, sql, "iddtt", kept.lot, learned->strength, learned->sd, learned->words,
                      now);
}

pt_status pt_learned_keep(pt_book *book, const pt_shelf *shelf, const pt_learned *learned, pt_error *err) {
  pt_status status = PT_OK;
  for (size_t i = 0; i < learned->n && status == PT_OK; i++)
    if (learned->bottle[i].pours > 0)
      status = keep_strength(book, shelf->bottle[i].id, &learned->bottle[i], err);
  return status;
}

pt_status pt_book_learn(pt_book *book, pt_shelf *shelf, pt_learned *out, pt_error *err) {
  pt_chip *pours = NULL;
  size_t n = 0;
  uint64_t new_lots = 0;
  *out = (pt_learned){0};
  pt_status status = pt_pours_load(book, shelf, &pours, &n, &new_lots, err);
  if (status == PT_TOO_FEW) return PT_OK;
  if (status == PT_OK) status = pt_strengths_learn(shelf, pours, n, new_lots, out, err);
  if (status == PT_OK) status = pt_learned_keep(book, shelf, out, err);
  if (status == PT_OK) pt_strengths_apply(shelf, out);
  free(pours);
  return status;
}
