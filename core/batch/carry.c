/* What a cup's last measurement says of the cup as it is: carried along where drops were added since. */
#include "batch/carry.h"

#include <stdlib.h>

/* The color that the shelf predicts of a cup; *known false where its loading is beyond what can be predicted:
 * it may be poured all the same. */
static dw_status predict(const dw_shelf *shelf, const dw_cup *cup, const dw_slab *slab, bool *known,
                         dw_lab *out, dw_error *err) {
  dw_recipe loadings;
  dw_prediction prediction;
  dw_cup_loadings(cup, &loadings);
  dw_status status = dw_predict(shelf, &loadings, slab, &prediction, err);
  *known = status == DW_OK;
  if (*known) *out = prediction.lab;
  return status == DW_BAD_INPUT ? DW_OK : status;
}

dw_status dw__cup_predict(const dw_shelf *shelf, const dw_cup *cup, const dw_slab *slab, dw_lab *out,
                          dw_error *err) {
  dw_recipe loadings;
  dw_prediction predicted;
  dw_cup_loadings(cup, &loadings);
  dw_status status = dw_predict(shelf, &loadings, slab, &predicted, err);
  if (status == DW_OK) *out = predicted.lab;
  return status;
}

dw_status dw__kept_cup_predict(dw_book *book, int64_t cup, const dw_shelf *shelf, const dw_slab *slab,
                               bool *known, dw_lab *out, dw_error *err) {
  dw_cup now;
  size_t missing;
  dw_status status = dw_book_cup_now(book, cup, shelf, &now, &missing, err);
  *known = status == DW_OK && missing == 0;
  return *known ? predict(shelf, &now, slab, known, out, err) : status;
}

/* The color predicted of the cup as it was with its first additions. */
static dw_status predict_then(dw_book *book, const dw_book_cup *cup, const dw_pour_kept *pour,
                              const dw_shelf *shelf, bool *known, dw_lab *out, dw_error *err) {
  dw_book_addition *list = NULL;
  size_t n = 0;
  dw_cup then = {.volume_floz = cup->begun_floz, .capacity_floz = cup->capacity_floz};
  dw_status status = dw_book_cup_additions(book, cup->id, &list, &n, err);
  *known = status == DW_OK;
  for (size_t i = 0; i < n && i < pour->additions; i++) {
    then.volume_floz += list[i].clear_floz;
    if (!list[i].slug[0]) continue;
    int at = dw_shelf_find(shelf, list[i].slug);
    *known = *known && at >= 0 && dw_recipe_add(&then.drops, (size_t)at, list[i].drops);
  }
  free(list);
  return *known ? predict(shelf, &then, &pour->slab, known, out, err) : status;
}

static dw_status carry_on(dw_book *book, const dw_book_cup *cup, const dw_pour_kept *pour,
                          const dw_shelf *shelf, bool *found, dw_lab *now, dw_error *err) {
  dw_rules rules = dw_rules_default();
  dw_lab then, predicted;
  bool known_then = false, known_now = false;
  dw_status status = predict_then(book, cup, pour, shelf, &known_then, &then, err);
  if (status == DW_OK)
    status = dw__kept_cup_predict(book, cup->id, shelf, &pour->slab, &known_now, &predicted, err);
  *found = known_then && known_now;
  if (status != DW_OK || !*found) return status;
  rules.offset = (dw_lab){pour->measured.L - then.L, pour->measured.a - then.a, pour->measured.b - then.b};
  rules.offset_at = then;
  *now = dw_rules_carry(&rules, predicted);
  return DW_OK;
}

dw_status dw_cup_measured(dw_book *book, const dw_book_cup *cup, const dw_shelf *shelf, bool *found,
                          dw_lab *now, double *uncertainty_de00, dw_slab *slab, dw_error *err) {
  dw_pour_kept *list = NULL;
  size_t n = 0;
  dw_set_aside aside;
  *found = false;
  dw_status status = dw_pours_trusted(book, cup, shelf, &list, &n, &aside, err);
  while (status == DW_OK && n > 0 && !list[n - 1].has_measured) n--;
  if (status == DW_OK && n > 0) {
    const dw_pour_kept *last = &list[n - 1];
    *uncertainty_de00 = last->uncertainty_de00;
    *now = last->measured;
    if (slab) *slab = last->slab;
    *found = last->additions == cup->additions;
    if (!*found) status = carry_on(book, cup, last, shelf, found, now, err);
  }
  free(list);
  return status;
}
