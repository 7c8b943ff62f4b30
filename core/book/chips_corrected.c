/* A chip that was written down wrong. */
#include "book/bottles.h"
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

enum { CHIP_WORDS_ROOM = 110 };

/* "orange=2 over white, 3 mm: 80.90,13.97,19.56" */
static void word_chip(const dw_chip *chip, const dw_shelf *shelf, char out[CHIP_WORDS_ROOM]) {
  char words[CHIP_WORDS_ROOM - 30];
  dw_chip_words(chip, shelf, words, sizeof words);
  snprintf(out, CHIP_WORDS_ROOM, "%s: %.2f,%.2f,%.2f", words, chip->lab.L, chip->lab.a, chip->lab.b);
}

static dw_status no_chip(int64_t id, dw_error *err) {
  return dw_fail(err, DW_NOT_FOUND, "The book has no chip %lld; dropwise bottle chips list shows them.",
                 (long long)id);
}

/* The chip as it is, and the shelf that its recipe names (the caller's, on error too). */
static dw_status find_one(dw_book *book, int64_t id, dw_shelf **shelf, dw_chip *out, dw_error *err) {
  dw_chip_kept *list = NULL;
  size_t n = 0, at = 0;
  dw_status status = dw_chip_list(book, shelf, &list, &n, err);
  while (at < n && list[at].id != id) at++;
  if (status == DW_OK && at == n) status = no_chip(id, err);
  if (status == DW_OK) *out = list[at].chip;
  free(list);
  return status;
}

/* ---- corrected ----------------------------------------------------------------------------------------- */

static bool same_recipe(const dw_chip *was, const dw_shelf *of, const dw_chip *now, const dw_shelf *shelf) {
  for (size_t i = 0; i < now->recipe.n; i++) {
    int at = dw_shelf_find(of, shelf->bottle[now->recipe.part[i].bottle].id);
    if (at < 0 || dw_recipe_amount(&was->recipe, (size_t)at) != now->recipe.part[i].amount) return false;
  }
  return was->recipe.n == now->recipe.n;
}

static bool same_look(const dw_chip *was, const dw_chip *now) {
  return was->thickness_mm == now->thickness_mm && was->backing == now->backing && was->lab.L == now->lab.L &&
         was->lab.a == now->lab.a && was->lab.b == now->lab.b;
}

static dw_status set_part(dw_book *book, int64_t id, const dw_bottle *bottle, double loading, dw_error *err) {
  static const char sql[] = "UPDATE chip_part SET loading = ? WHERE chip = ? AND lot IN"
                            " (SELECT l.id FROM lot l JOIN bottle b ON b.id = l.bottle WHERE b.slug = ?)";
  dw_error none;
  dw_status status = dw__book_change(book, "", &none, sql, "dit", loading, id, bottle->id);
  if (status == DW_NOT_FOUND) return dw__chip_part_add(book, id, bottle, loading, err);
  return status == DW_OK ? DW_OK : dw_fail(err, status, "%s", none.text);
}

/* What is not in it any more goes first. */
static dw_status set_parts(dw_book *book, int64_t id, const dw_shelf *shelf, const dw_chip *now,
                           const dw_shelf *of, const dw_chip *was, dw_error *err) {
  static const char out[] = "DELETE FROM chip_part WHERE chip = ? AND lot IN"
                            " (SELECT l.id FROM lot l JOIN bottle b ON b.id = l.bottle WHERE b.slug = ?)";
  dw_status status = DW_OK;
  for (size_t i = 0; i < was->recipe.n && status == DW_OK; i++) {
    const char *slug = of->bottle[was->recipe.part[i].bottle].id;
    int at = dw_shelf_find(shelf, slug);
    if (at < 0 || dw_recipe_amount(&now->recipe, (size_t)at) <= 0)
      status = dw__book_run(book, NULL, err, out, "it", id, slug);
  }
  for (size_t i = 0; i < now->recipe.n && status == DW_OK; i++)
    status = set_part(book, id, &shelf->bottle[now->recipe.part[i].bottle], now->recipe.part[i].amount, err);
  return status;
}

static dw_status set_chip(dw_book *book, int64_t id, const dw_chip *now, dw_error *err) {
  static const char sql[] = "UPDATE chip SET thickness_mm = ?, backing = ?, l = ?, a = ?, b = ? WHERE id = ?";
  return dw__book_run(book, NULL, err, sql, "dddddi", now->thickness_mm, now->backing, now->lab.L, now->lab.a,
                      now->lab.b, id);
}

dw_status dw_chip_correct(dw_book *book, int64_t id, const dw_shelf *shelf, const dw_chip *now,
                          dw_error *err) {
  char before[CHIP_WORDS_ROOM], after[CHIP_WORDS_ROOM];
  dw_shelf *of = NULL;
  dw_chip was;
  int64_t same = 0;
  dw_status status = dw__chip_admit(now, err);
  if (status == DW_OK) status = find_one(book, id, &of, &was, err);
  if (status != DW_OK || (same_look(&was, now) && same_recipe(&was, of, now, shelf))) goto done;
  status = dw__chip_find(book, shelf, now, id, &same, err);
  if (status == DW_OK && same)
    status =
        dw_fail(err, DW_BAD_INPUT, "That is chip %lld, which the book has already; remove one of the two.",
                (long long)same);
  if (status != DW_OK) goto done;
  word_chip(&was, of, before);
  word_chip(now, shelf, after);
  dw__tell(book, DW_ENTRY_CORRECTION, 0, 0, "", "chip %lld: was %s, is %s", (long long)id, before, after);
  status = set_chip(book, id, now, err);
  if (status == DW_OK) status = set_parts(book, id, shelf, now, of, &was, err);
done:
  dw_shelf_free(of);
  return status;
}

/* ---- removed ------------------------------------------------------------------------------------------- */

dw_status dw_chip_remove(dw_book *book, int64_t id, dw_error *err) {
  char words[CHIP_WORDS_ROOM];
  dw_shelf *shelf = NULL;
  dw_chip chip;
  dw_status status = find_one(book, id, &shelf, &chip, err);
  if (status == DW_OK) {
    word_chip(&chip, shelf, words);
    dw__tell(book, DW_ENTRY_CHIP, 0, 0, "", "chip %s removed", words);
    status = dw__book_run(book, NULL, err, "DELETE FROM chip WHERE id = ?", "i", id);
    if (status == DW_OK) status = dw__fits_forget(book, err);
  }
  dw_shelf_free(shelf);
  return status;
}
