/* The cups that a layer had before: how they came out, and what their drops will give today. */
#include "batch/past_cup.h"

#include "batch/carry.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define DOUBT_SIGMAS 2.0 /* a change within so many deviations is no news */
#define SAME_DROPS 1e-6

static dw_status slab_of(dw_book *book, int64_t cup, dw_slab *out, dw_error *err) {
  dw_pour_kept *list = NULL;
  size_t n = 0;
  dw_status status = dw_pour_list(book, cup, &list, &n, err);
  *out = dw_slab_usual();
  if (status == DW_OK && n) *out = list[n - 1].slab;
  free(list);
  return status;
}

/* Not found where the book has no such cup, an empty one, or one whose bottles the shelf lacks. */
static dw_status take_cup(const dw__past *w, size_t batch, dw__past_cup *out, dw_error *err) {
  size_t missing = 0;
  *out = (dw__past_cup){.batch = batch};
  dw_status status =
      dw_book_cup_find(w->book, w->history->row[batch].batch.id, w->layer->id, &out->kept, err);
  if (status == DW_NOT_FOUND) return DW_OK;
  if (status == DW_OK) status = dw_book_cup_now(w->book, out->kept.id, w->shelf, &out->cup, &missing, err);
  out->found = status == DW_OK && missing == 0 && out->cup.drops.n > 0;
  if (status != DW_OK || !out->found) return status;
  status = slab_of(w->book, out->kept.id, &out->slab, err);
  if (status == DW_OK) status = dw__cup_predict(w->shelf, &out->cup, &out->slab, &out->predicted, err);
  if (status == DW_OK)
    status = dw_cup_measured(w->book, &out->kept, w->shelf, &out->measured, &out->color, &out->doubt_de00,
                             NULL, err);
  return status;
}

dw_status dw__past_cup_last(const dw__past *w, bool good, dw__past_cup *out, dw_error *err) {
  dw_status status = DW_OK;
  *out = (dw__past_cup){0};
  for (size_t i = w->history->n; i-- > 0 && !out->found && status == DW_OK;)
    if (!good || w->history->color[i].good) {
      status = take_cup(w, i, out, err);
      if (good && !out->measured) out->found = false;
    }
  return status;
}

static bool same_drops(const dw_cup *a, const dw_cup *b) {
  if (a->drops.n != b->drops.n || fabs(a->volume_floz - b->volume_floz) > 0.01 * a->volume_floz) return false;
  for (size_t i = 0; i < a->drops.n; i++)
    if (fabs(dw_recipe_amount(&b->drops, a->drops.part[i].bottle) - a->drops.part[i].amount) > SAME_DROPS)
      return false;
  return true;
}

/* What the good cup's drops gave, in the mean over the good batches that had the same. */
dw_status dw__past_cup_mean(const dw__past *w, dw__past_cup *good, dw_error *err) {
  dw_lab sum = {0};
  double n = 0;
  dw_status status = DW_OK;
  for (size_t i = 0; i <= good->batch && status == DW_OK; i++) {
    dw__past_cup other;
    if (!w->history->color[i].good) continue;
    status = take_cup(w, i, &other, err);
    if (status != DW_OK || !other.found || !other.measured || !same_drops(&good->cup, &other.cup)) continue;
    sum.L += other.color.L, sum.a += other.color.a, sum.b += other.color.b;
    n++;
  }
  if (n > 0) good->color = (dw_lab){sum.L / n, sum.a / n, sum.b / n};
  return status;
}

/* ---- what was learned since ---------------------------------------------------------------------------- */

static dw_lab moved(dw_lab at, dw_lab from, dw_lab to) {
  return (dw_lab){at.L + to.L - from.L, at.a + to.a - from.a, at.b + to.b - from.b};
}

static dw_status strength_of_lot(dw_book *book, const dw_book_addition *added, double *out, dw_error *err) {
  dw_book_lot *lots = NULL;
  size_t n = 0;
  dw_status status = dw_book_lot_list(book, added->slug, &lots, &n, err);
  for (size_t i = 0; i < n; i++)
    if (strcmp(lots[i].name, added->lot) == 0) *out = lots[i].strength;
  free(lots);
  return status;
}

/* What the same drops gave by the lots that were in the cup. */
static dw_status predict_then(const dw__past *w, const dw__past_cup *cup, dw_lab *out, dw_error *err) {
  dw_book_addition *list = NULL;
  size_t n = 0;
  dw_shelf *then = NULL;
  dw_status status = dw_shelf_clone(w->shelf, &then, err);
  if (status == DW_OK) status = dw_book_cup_additions(w->book, cup->kept.id, &list, &n, err);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    int at = list[i].slug[0] ? dw_shelf_find(then, list[i].slug) : -1;
    if (at >= 0) status = strength_of_lot(w->book, &list[i], &then->bottle[at].strength, err);
  }
  if (status == DW_OK) status = dw__cup_predict(then, &cup->cup, &cup->slab, out, err);
  free(list);
  dw_shelf_free(then);
  return status;
}

double dw__past_cup_doubt(const dw__past_cup *a, const dw__past_cup *b) {
  return DOUBT_SIGMAS * sqrt(DW_POUR_SD_DE00 * DW_POUR_SD_DE00 + a->doubt_de00 * a->doubt_de00 +
                             (b ? b->doubt_de00 * b->doubt_de00 : 0));
}

/* What the good cup's drops will give today: as they did, but for bottles that are of another lot by now, and
 * but for a later cup of the same drops that came out another color by more than the doubt.  A later cup of
 * other drops says nothing sure of these: what the model misses between the two is of the same size. */
dw_status dw__past_cup_expect(const dw__past *w, const dw__past_cup *good, const dw__past_cup *last,
                              dw_lab *out, dw_error *err) {
  dw_lab then;
  dw_status status = predict_then(w, good, &then, err);
  if (status != DW_OK) return status;
  *out = moved(good->color, then, good->predicted);
  bool repeated =
      last->found && last->measured && last->batch > good->batch && same_drops(&good->cup, &last->cup);
  if (repeated && dw_de00(*out, last->color) > dw__past_cup_doubt(good, last)) *out = last->color;
  return DW_OK;
}
