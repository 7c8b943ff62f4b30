/* The shelf as the page shows it: swatches of every bottle, what was learned of it, and what can't be
 * predicted. */
#include "app/bench/desk.h"

#include <stdlib.h>
#include <string.h>

static const double swatch_loadings[] = {0.5, 2, 8};

static json_t *swatches_json(const pt_shelf *shelf, size_t bottle) {
  pt_slab slab = {3, PT_BACKING_WHITE};
  json_t *list = json_array();
  for (size_t i = 0; i < sizeof swatch_loadings / sizeof *swatch_loadings; i++) {
    pt_recipe one = {1, {{bottle, swatch_loadings[i]}}};
    pt_prediction p;
    if (pt_predict(shelf, &one, &slab, &p, NULL) != PT_OK) continue;
    list = pt_json_and(list, json_pack("{s:f, s:o, s:o}", "loading", swatch_loadings[i], "lab",
                                       pt_json_lab(p.lab), "see_through", pt_json_round(p.see_through, 3)));
  }
  return list;
}

/* b: on the shelf; kept: what the book holds of it, or NULL. */
static json_t *bottle_json(const pt_shelf *shelf, size_t i, const pt_book_bottle *kept) {
  const pt_bottle *b = &shelf->bottle[i];
  return json_pack("{s:s, s:s, s:s, s:o, s:o, s:o, s:s, s:s, s:I, s:I, s:f, s:b, s:b, s:o}", "id", b->id,
                   "title", b->title, "role", pt_role_name(b->role), "drop_ml", pt_json_round(b->drop_ml, 5),
                   "strength", pt_json_round(b->strength, 3), "strength_sd", pt_json_round(b->strength_sd, 3),
                   "learned", kept ? kept->learned : "", "lot", kept ? kept->lot_name : "", "chips",
                   (json_int_t)(kept ? kept->chips : 0), "pours", (json_int_t)(kept ? kept->pours : 0),
                   "max_loading", b->max_loading, "invented", b->origin == PT_ORIGIN_INVENTED, "known", 1,
                   "swatches", swatches_json(shelf, i));
}

/* In the book, but without chips: its color can't be told. */
static json_t *unknown_json(const pt_book_bottle *b) {
  return json_pack("{s:s, s:s, s:s, s:o, s:o, s:o, s:s, s:s, s:I, s:I, s:n, s:b, s:b, s:[]}", "id", b->slug,
                   "title", b->title, "role", pt_role_name(b->role), "drop_ml", pt_json_round(b->drop_ml, 5),
                   "strength", pt_json_round(b->strength, 3), "strength_sd", pt_json_round(b->strength_sd, 3),
                   "learned", b->learned, "lot", b->lot_name, "chips", (json_int_t)b->chips, "pours",
                   (json_int_t)b->pours, "max_loading", "invented", 0, "known", 0, "swatches");
}

static const pt_book_bottle *kept_of(const pt_book_bottle *list, size_t n, const char *id) {
  for (size_t i = 0; i < n; i++)
    if (strcmp(list[i].slug, id) == 0) return &list[i];
  return NULL;
}

pt_status pt__shelf_json(pt_bench *bench, json_t **out, pt_error *err) {
  pt_shelf *shelf = NULL;
  pt_book_bottle *list = NULL;
  pt_book_shelf_info info = {0};
  size_t n = 0;
  pt_status status = pt_book_shelf(bench->book, &shelf, &info, err);
  if (status == PT_OK) status = pt_book_bottle_list(bench->book, false, &list, &n, err);
  if (status != PT_OK) goto done;
  json_t *bottles = json_array();
  for (size_t i = 0; i < shelf->n; i++)
    bottles = pt_json_and(bottles, bottle_json(shelf, i, kept_of(list, n, shelf->bottle[i].id)));
  for (size_t i = 0; i < n; i++)
    if (pt_shelf_find(shelf, list[i].slug) < 0) bottles = pt_json_and(bottles, unknown_json(&list[i]));
  *out = json_pack("{s:b, s:s?, s:s, s:o}", "invented", info.invented, "warning", pt_shelf_warning(shelf),
                   "fitted", info.fitted, "bottles", bottles);
  if (!*out) status = pt_fail_memory(err, "the shelf");
done:
  free(list);
  pt_shelf_free(shelf);
  return status;
}
