/* What the book's pours teach of its bottles. */
#include "book/bottles.h"
#include "book/judge.h"
#include "book/sql.h"
#include "pourtone/book_pours.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ROUNDS = 3 };
#define CHANGE_WORTH_WORDS 0.01      /* of a strength */
#define STRENGTH_WORTH_KEEPING 0.001 /* of ln strength: less is no news */

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

/* The trusted readings of each pour as one chip, their mean; readings are by pour. */
static size_t fill_chips(const pt__measured *from, pt_chip *chips) {
  size_t n = 0, r = 0;
  for (size_t i = 0; i < from->n; i++) {
    const pt__measured_pour *pour = &from->pour[i];
    double L = 0, a = 0, b = 0, doubt = 0, count = 0;
    for (; r < from->n_readings && from->reading[r].pour == pour->id; r++) {
      const pt_reading_judged *reading = &from->reading[r];
      if (reading->aside) continue;
      L += reading->lab.L, a += reading->lab.a, b += reading->lab.b;
      doubt += reading->uncertainty_de00;
      count++;
    }
    if (!pour->known || count == 0) continue;
    chips[n++] = (pt_chip){.recipe = pour->loadings,
                           .thickness_mm = pour->slab.thickness_mm,
                           .backing = pour->slab.backing,
                           .lab = {L / count, a / count, b / count},
                           .sd_de00 = fmax(PT_POUR_SD_DE00, doubt / count),
                           .old_lots = pour->old_lots};
  }
  return n;
}

pt_status pt_pours_load(pt_book *book, const pt_shelf *shelf, pt_chip **out, size_t *n, uint64_t *new_lots,
                        pt_error *err) {
  pt__measured measured = {0};
  size_t count = 0;
  pt_chip *chips = NULL;
  pt_status status = pt__measured_load(book, 0, shelf, &measured, err);
  if (status == PT_OK && !(chips = calloc(measured.n + 1, sizeof *chips)))
    status = pt_fail_memory(err, "the pours");
  if (status == PT_OK && (count = fill_chips(&measured, chips)) == 0)
    status = pt_fail(err, PT_TOO_FEW, "The book holds no measured pour to learn from yet.");
  if (status == PT_OK) status = find_new_lots(book, shelf, new_lots, err);
  pt__measured_free(&measured);
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

/* What was learned of a bottle whose pours are gone, or not trusted any more, stands no longer. */
static pt_status forget_strength(pt_book *book, const char *slug, pt_error *err) {
  static const pt_learned_bottle nothing = {.strength = 1};
  pt_book_bottle kept;
  pt_status status = pt_book_bottle_find(book, slug, &kept, err);
  if (status == PT_NOT_FOUND) return PT_OK; /* of the starter shelf: never used */
  if (status != PT_OK || kept.strength_sd == 0) return status;
  return keep_strength(book, slug, &nothing, err);
}

pt_status pt_learned_keep(pt_book *book, const pt_shelf *shelf, const pt_learned *learned, pt_error *err) {
  pt_status status = PT_OK;
  for (size_t i = 0; i < learned->n && status == PT_OK; i++) {
    if (learned->bottle[i].pours > 0)
      status = keep_strength(book, shelf->bottle[i].id, &learned->bottle[i], err);
    else
      status = forget_strength(book, shelf->bottle[i].id, err);
  }
  return status;
}

/* Nothing known beyond the chips. */
static void learned_none(const pt_shelf *shelf, pt_learned *out) {
  *out = (pt_learned){.n = shelf->n};
  for (size_t i = 0; i < shelf->n; i++) out->bottle[i].strength = 1;
}

/* Learns from the readings that the shelf explains; a few rounds, since what was learned may explain some
 * more. */
static pt_status learn_in_rounds(pt_book *book, pt_shelf *shelf, pt_learned *out, pt_error *err) {
  size_t n = 0, before = 0;
  double strength[PT_SHELF_MAX];
  pt_status status = PT_OK;
  for (size_t i = 0; i < shelf->n; i++) strength[i] = shelf->bottle[i].strength;
  learned_none(shelf, out);
  for (int round = 0; round < ROUNDS && status == PT_OK; round++) {
    pt_chip *pours = NULL;
    uint64_t new_lots = 0;
    pt_strengths_apply(shelf, out);
    status = pt_pours_load(book, shelf, &pours, &n, &new_lots, err);
    bool same = n == before;
    before = n;
    if (status == PT_OK && !same) status = pt_strengths_learn(shelf, pours, n, new_lots, out, err);
    free(pours);
    if (same) break;
  }
  for (size_t i = 0; i < shelf->n; i++)
    out->bottle[i].changed = fabs(out->bottle[i].strength - strength[i]) >= CHANGE_WORTH_WORDS;
  return status == PT_TOO_FEW ? PT_OK : status;
}

pt_status pt_book_learn(pt_book *book, pt_shelf *shelf, pt_learned *out, pt_error *err) {
  pt_status status = learn_in_rounds(book, shelf, out, err);
  if (status == PT_OK) status = pt_learned_keep(book, shelf, out, err);
  if (status == PT_OK) pt_strengths_apply(shelf, out);
  return status;
}
