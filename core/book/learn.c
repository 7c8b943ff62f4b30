/* What the book's pours teach of its bottles. */
#include "book/bottles.h"
#include "book/judge.h"
#include "book/sql.h"
#include "dropwise/book_pours.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ROUNDS = 3 };
#define CHANGE_WORTH_WORDS 0.01      /* of a strength */
#define STRENGTH_WORTH_KEEPING 0.001 /* of ln strength: less is no news */

/* Bits of bottles whose lot at hand is in no chip; without a fit there are no chips to differ from. */
static dw_status find_new_lots(dw_book *book, const dw_shelf *shelf, uint64_t *out, dw_error *err) {
  static const char sql[] = "SELECT b.slug FROM bottle b JOIN lot l ON l.id = " DW__LOT_AT_HAND(
      "b.id") " WHERE NOT EXISTS (SELECT 1 FROM chip_part WHERE lot = l.id)"
              " AND EXISTS (SELECT 1 FROM fit_bottle WHERE bottle = b.id AND fit = (SELECT max(id) FROM "
              "fit))";
  dw__query query;
  bool row = true;
  uint64_t bits = 0;
  dw_status status = dw__query_open(book, sql, &query, err, "");
  while (status == DW_OK && (status = dw__query_next(&query, &row, err)) == DW_OK && row) {
    int at = dw_shelf_find(shelf, dw__query_text(&query, 0));
    /* one off the shelf may have lost its chips with its place */
    if (at >= 0 && !shelf->bottle[at].off_shelf) bits |= (uint64_t)1 << at;
  }
  dw__query_close(&query);
  if (status == DW_OK) *out = bits;
  return status;
}

/* An invented bottle among fitted ones tells nothing of these: what is missed may all be its own. */
static bool teaches(const dw_shelf *shelf, const dw_recipe *loadings) {
  if (shelf->n == 0 || shelf->bottle[0].origin == DW_ORIGIN_INVENTED) return true;
  for (size_t i = 0; i < loadings->n; i++)
    if (shelf->bottle[loadings->part[i].bottle].origin == DW_ORIGIN_INVENTED) return false;
  return true;
}

/* The trusted readings of each pour as one chip, their mean; readings are by pour. */
static size_t fill_chips(const dw__measured *from, const dw_shelf *shelf, dw_chip *chips) {
  size_t n = 0, r = 0;
  for (size_t i = 0; i < from->n; i++) {
    const dw__measured_pour *pour = &from->pour[i];
    double L = 0, a = 0, b = 0, doubt = 0, count = 0;
    for (; r < from->n_readings && from->reading[r].pour == pour->id; r++) {
      const dw_reading_judged *reading = &from->reading[r];
      if (reading->aside || !dw_bait_read(reading->bait)) continue;
      L += reading->lab.L, a += reading->lab.a, b += reading->lab.b;
      doubt += reading->uncertainty_de00;
      count++;
    }
    if (!pour->known || count == 0 || !teaches(shelf, &pour->loadings)) continue;
    chips[n++] = (dw_chip){.recipe = pour->loadings,
                           .thickness_mm = pour->slab.thickness_mm,
                           .backing = pour->slab.backing,
                           .lab = {L / count, a / count, b / count},
                           .sd_de00 = fmax(DW_POUR_SD_DE00, doubt / count),
                           .old_lots = pour->old_lots};
  }
  return n;
}

dw_status dw_pours_load(dw_book *book, const dw_shelf *shelf, dw_chip **out, size_t *n, uint64_t *new_lots,
                        dw_error *err) {
  dw__measured measured = {0};
  size_t count = 0;
  dw_chip *chips = NULL;
  dw_status status = dw__measured_load(book, 0, shelf, &measured, err);
  if (status == DW_OK && !(chips = calloc(measured.n + 1, sizeof *chips)))
    status = dw_fail_memory(err, "the pours");
  if (status == DW_OK && (count = fill_chips(&measured, shelf, chips)) == 0)
    status = dw_fail(err, DW_TOO_FEW, "The book holds no measured pour to learn from yet.");
  if (status == DW_OK) status = find_new_lots(book, shelf, new_lots, err);
  dw__measured_free(&measured);
  if (status != DW_OK) {
    free(chips);
    return status;
  }
  *out = chips;
  *n = count;
  return DW_OK;
}

static dw_status keep_strength(dw_book *book, const char *slug, const dw_learned_bottle *learned,
                               dw_error *err) {
  static const char sql[] = "INSERT INTO strength (lot, fit, strength, deviation, words, learned)"
                            " VALUES (?, (SELECT max(id) FROM fit), ?, ?, ?, ?)";
  char now[DW_TIME_ROOM];
  dw_book_bottle kept;
  dw__book_now(now);
  dw_status status = dw_book_bottle_find(book, slug, &kept, err);
  if (status != DW_OK) return status;
  if (fabs(log(learned->strength / kept.strength)) < STRENGTH_WORTH_KEEPING && kept.strength_sd > 0)
    return DW_OK;
  dw__tell(book, DW_ENTRY_OTHER, 0, 0, "", "what the pours teach");
  return dw__book_run(book, NULL, err, sql, "iddtt", kept.lot, learned->strength, learned->sd, learned->words,
                      now);
}

/* What was learned of a bottle whose pours are gone, or not trusted any more, stands no longer. */
static dw_status forget_strength(dw_book *book, const char *slug, dw_error *err) {
  static const dw_learned_bottle nothing = {.strength = 1};
  dw_book_bottle kept;
  dw_status status = dw_book_bottle_find(book, slug, &kept, err);
  if (status == DW_NOT_FOUND) return DW_OK; /* of the starter shelf: never used */
  if (status != DW_OK || kept.strength_sd == 0) return status;
  return keep_strength(book, slug, &nothing, err);
}

dw_status dw_learned_keep(dw_book *book, const dw_shelf *shelf, const dw_learned *learned, dw_error *err) {
  dw_status status = DW_OK;
  for (size_t i = 0; i < learned->n && status == DW_OK; i++) {
    if (learned->bottle[i].pours > 0)
      status = keep_strength(book, shelf->bottle[i].id, &learned->bottle[i], err);
    else
      status = forget_strength(book, shelf->bottle[i].id, err);
  }
  return status;
}

/* Nothing known beyond the chips. */
static void learned_none(const dw_shelf *shelf, dw_learned *out) {
  *out = (dw_learned){.n = shelf->n};
  for (size_t i = 0; i < shelf->n; i++) out->bottle[i].strength = 1;
}

/* Learns from the readings that the shelf explains; a few rounds, since what was learned may explain some
 * more. */
static dw_status learn_in_rounds(dw_book *book, dw_shelf *shelf, dw_learned *out, dw_error *err) {
  size_t n = 0, before = 0;
  double strength[DW_SHELF_MAX];
  dw_status status = DW_OK;
  for (size_t i = 0; i < shelf->n; i++) strength[i] = shelf->bottle[i].strength;
  learned_none(shelf, out);
  for (int round = 0; round < ROUNDS && status == DW_OK; round++) {
    dw_chip *pours = NULL;
    uint64_t new_lots = 0;
    dw_strengths_apply(shelf, out);
    status = dw_pours_load(book, shelf, &pours, &n, &new_lots, err);
    bool same = n == before;
    before = n;
    if (status == DW_OK && !same) status = dw_strengths_learn(shelf, pours, n, new_lots, out, err);
    free(pours);
    if (same) break;
  }
  for (size_t i = 0; i < shelf->n; i++)
    out->bottle[i].changed = fabs(out->bottle[i].strength - strength[i]) >= CHANGE_WORTH_WORDS;
  return status == DW_TOO_FEW ? DW_OK : status;
}

dw_status dw_book_learn(dw_book *book, dw_shelf *shelf, dw_learned *out, dw_error *err) {
  dw_status status = dw_book_shelf_hold(book, shelf, err);
  if (status == DW_OK) status = learn_in_rounds(book, shelf, out, err);
  if (status == DW_OK) status = dw_learned_keep(book, shelf, out, err);
  if (status == DW_OK) dw_strengths_apply(shelf, out);
  return status;
}

dw_status dw_book_learn_anew(dw_book *book, dw_learned *out, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_status status = dw_book_shelf(book, &shelf, NULL, err);
  if (status == DW_OK) status = dw_book_learn(book, shelf, out, err);
  dw_shelf_free(shelf);
  return status;
}

dw_status dw_book_fit_adopt(dw_book *book, const dw_fit *fit, const json_t *report, dw_learned *out,
                            dw_error *err) {
  char *text = dw_json_write(report, JSON_COMPACT | JSON_REAL_PRECISION(10));
  dw_status status = text ? dw_fit_keep(book, fit, text, err) : dw_fail_memory(err, "the fit's report");
  if (status == DW_OK) status = dw_book_learn_anew(book, out, err);
  free(text);
  return status;
}
