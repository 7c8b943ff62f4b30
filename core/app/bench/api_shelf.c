/* Bottles: added, changed, a new lot, taken off; chips from a photo; the fit. */
#include "app/bench/desk.h"
#include "app/bench/looks.h"
#include "app/chips.h"
#include "app/values.h"

#include <stdlib.h>
#include <string.h>

static pt_status end_with_shelf(pt__exchange *x, pt_status status, pt_error *err) {
  if (status == PT_OK) status = pt__shelf_json(x->bench, &x->json, err);
  return pt__book_end(x->bench, status, err);
}

/* ---- bottles ----------------------------------------------------------------------------------------------
 */

static pt_status role_of(const json_t *body, pt_role fallback, pt_role *out, pt_error *err) {
  const char *text;
  *out = fallback;
  pt_status status = pt__text_of(body, "role", false, &text, err);
  if (status == PT_OK && text && !pt_role_find(text, out))
    status = pt_fail(err, PT_USAGE, "\"role\" must be color, brown, white, black or effect.");
  return status;
}

/* A bottle of the starter shelf comes into the book before anything of it is changed. */
static pt_status bottle_admit(pt_book *book, const char *id, pt_error *err) {
  pt_book_bottle kept;
  pt_shelf *shelf = NULL;
  int64_t row;
  pt_status status = pt_book_bottle_find(book, id, &kept, err);
  if (status != PT_NOT_FOUND) return status;
  pt_error missing = err ? *err : (pt_error){0};
  status = pt_book_shelf(book, &shelf, NULL, err);
  int at = status == PT_OK ? pt_shelf_find(shelf, id) : -1;
  if (status == PT_OK && at < 0)
    status = pt_fail(err, PT_NOT_FOUND, "%s", missing.text);
  else if (status == PT_OK)
    status = pt_book_bottle_add(book, id, shelf->bottle[at].title, shelf->bottle[at].role,
                                shelf->bottle[at].drop_ml, &row, err);
  pt_shelf_free(shelf);
  return status;
}

pt_status pt__bottle_post(pt__exchange *x, pt_error *err) {
  const char *id, *title;
  pt_role role;
  double drop_ml;
  int64_t row;
  pt_status status = pt__text_of(x->body, "id", true, &id, err);
  if (status == PT_OK) status = pt__text_of(x->body, "title", false, &title, err);
  if (status == PT_OK) status = role_of(x->body, PT_ROLE_COLOR, &role, err);
  if (status == PT_OK)
    status = pt__number_of(x->body, "drop_ml", 0.001, 2, PT_DROP_ML_DEFAULT, &drop_ml, err);
  if (status == PT_OK) status = pt__book_begin(x->bench, err);
  if (status != PT_OK) return status;
  status = pt_book_bottle_add(x->bench->book, id, title ? title : id, role, drop_ml, &row, err);
  status = end_with_shelf(x, status, err);
  if (status == PT_OK) x->status = MHD_HTTP_CREATED;
  return status;
}

static pt_status bottle_change(pt_book *book, const char *id, const json_t *body, pt_error *err) {
  const char *title;
  double drop_ml;
  pt_role role;
  pt_status status = pt__text_of(body, "title", false, &title, err);
  if (status == PT_OK) status = pt__number_of(body, "drop_ml", 0.001, 2, 0, &drop_ml, err);
  if (status == PT_OK) status = role_of(body, PT_ROLE_COLOR, &role, err);
  if (status == PT_OK) status = bottle_admit(book, id, err);
  if (status == PT_OK && title) status = pt_book_bottle_set_title(book, id, title, err);
  if (status == PT_OK && drop_ml > 0) status = pt_book_bottle_set_drop(book, id, drop_ml, err);
  if (status == PT_OK && json_is_string(json_object_get(body, "role")))
    status = pt_book_bottle_set_role(book, id, role, err);
  return status;
}

pt_status pt__bottle_patch(pt__exchange *x, pt_error *err) {
  pt_status status = pt__book_begin(x->bench, err);
  if (status != PT_OK) return status;
  return end_with_shelf(x, bottle_change(x->bench->book, x->part[0], x->body, err), err);
}

pt_status pt__bottle_delete(pt__exchange *x, pt_error *err) {
  pt_status status = pt__book_begin(x->bench, err);
  if (status != PT_OK) return status;
  status = bottle_admit(x->bench->book, x->part[0], err);
  if (status == PT_OK) status = pt_book_bottle_remove(x->bench->book, x->part[0], err);
  return end_with_shelf(x, status, err);
}

pt_status pt__lot_post(pt__exchange *x, pt_error *err) {
  const char *name;
  pt_status status = pt__text_of(x->body, "name", true, &name, err);
  if (status == PT_OK) status = pt__book_begin(x->bench, err);
  if (status != PT_OK) return status;
  status = bottle_admit(x->bench->book, x->part[0], err);
  if (status == PT_OK) status = pt_book_lot_add(x->bench->book, x->part[0], name, err);
  return end_with_shelf(x, status, err);
}

/* ---- chips ------------------------------------------------------------------------------------------------
 */

/* The bottles that the book has, so that a recipe's names keep their titles and drop sizes. */
static pt_status known_bottles(pt_book *book, pt_shelf **out, pt_error *err) {
  pt_book_bottle *list = NULL;
  size_t n = 0;
  pt_status status = pt_book_shelf(book, out, NULL, err);
  if (status == PT_OK) status = pt_book_bottle_list(book, false, &list, &n, err);
  for (size_t i = 0; i < n && (*out)->n < PT_SHELF_MAX; i++) {
    if (pt_shelf_find(*out, list[i].slug) >= 0) continue;
    (*out)->bottle[(*out)->n] = pt_bottle_blank(list[i].slug, list[i].title, list[i].role);
    (*out)->bottle[(*out)->n++].drop_ml = list[i].drop_ml;
  }
  free(list);
  return status;
}

/* One chip as a line of chips text; a quotation mark in a recipe is no recipe's, and breaks the line's form.
 */
static pt_status chip_line(const json_t *value, const pt_layer_reading *reading, pt_text *out,
                           pt_error *err) {
  const char *recipe;
  pt_slab slab;
  const pt_reading *r = &reading->reading;
  pt_status status = pt__text_of(value, "recipe", true, &recipe, err);
  if (status == PT_OK) status = pt__slab_of(value, &slab, err);
  if (status == PT_OK && strpbrk(recipe, "\"\r\n"))
    status = pt_fail(err, PT_USAGE, "A recipe has quotation marks; write it as in orange=2;brown=1.");
  if (status != PT_OK) return status;
  pt_text_add(out, "\"%s\",%.6g,%.6g,%.6f,%.6f,%.6f,%d\n", recipe, slab.thickness_mm, slab.backing, r->lab.L,
              r->lab.a, r->lab.b, r->shares.clipped > PT_CHIP_CLIPPED_SHARE);
  return PT_OK;
}

/* The chips' shapes become the marks that are read: chip 1, chip 2 ... */
static json_t *chip_marks(const json_t *body) {
  json_t *marks = json_deep_copy(json_object_get(body, "marks")), *layers = json_array();
  if (!json_is_object(marks)) {
    json_decref(marks);
    marks = json_object();
  }
  size_t i;
  json_t *chip;
  json_array_foreach(json_object_get(body, "chips"), i, chip) {
    char name[32];
    snprintf(name, sizeof name, "chip %zu", i + 1);
    json_t *shape = json_object_get(chip, "shape");
    layers = pt_json_and(layers, json_pack("{s:s, s:O}", "name", name, "shape", shape ? shape : json_null()));
  }
  marks = pt_json_with(marks, "layers", layers);
  return marks;
}

static pt_status parse_chips(const json_t *list, const pt_read_photo *photo, pt_shelf *shelf, pt_chips **out,
                             pt_error *err) {
  pt_text text = {0};
  pt_status status = PT_OK;
  pt_text_add(&text, "recipe,thickness_mm,over,L,a,b,clipped\n");
  for (size_t i = 0; i < photo->reading.n && status == PT_OK; i++)
    status = chip_line(json_array_get(list, i), &photo->reading.layer[i], &text, err);
  if (status == PT_OK && text.failed) status = pt_fail_memory(err, "the chips");
  if (status == PT_OK) status = pt_chips_parse(text.data, text.length, "The chips", shelf, out, err);
  pt_text_free(&text);
  return status;
}

static pt_status keep_chips(pt_book *book, const json_t *list, const pt_read_photo *photo, pt_error *err) {
  pt_shelf *shelf = NULL;
  pt_chips *chips = NULL;
  int64_t id = 0;
  pt_status status = known_bottles(book, &shelf, err);
  if (status == PT_OK) status = parse_chips(list, photo, shelf, &chips, err);
  if (status == PT_OK) status = pt__keep_photo(book, photo, &id, err);
  if (status == PT_OK) status = pt_chips_keep(book, shelf, chips->chip, chips->n, id, err);
  pt_chips_free(chips);
  pt_shelf_free(shelf);
  return status;
}

static json_t *chips_json(const pt_read_photo *photo) {
  json_t *list = json_array();
  for (size_t i = 0; i < photo->reading.n; i++)
    list = pt_json_and(list, pt_json_layer(&photo->reading.layer[i]));
  return list;
}

pt_status pt__chips_post(pt__exchange *x, pt_error *err) {
  const json_t *list = json_object_get(x->body, "chips");
  const char *sha256;
  if (json_array_size(list) < 1 || json_array_size(list) > PT_READ_LAYERS_MAX)
    return pt_fail(err, PT_USAGE, "\"chips\" must hold 1 to %d chips.", PT_READ_LAYERS_MAX);
  pt_status status = pt__sha_of(x->body, "photo", &sha256, err);
  if (status != PT_OK) return status;
  pt_read_photo *photo = calloc(1, sizeof *photo);
  json_t *marks = chip_marks(x->body);
  status = photo ? pt__look_read(x->bench, sha256, marks, photo, err) : pt_fail_memory(err, "the chips");
  if (status == PT_OK) status = pt__book_begin(x->bench, err);
  if (status == PT_OK) status = end_with_shelf(x, keep_chips(x->bench->book, list, photo, err), err);
  if (status == PT_OK) {
    x->status = MHD_HTTP_CREATED;
    x->json = json_pack("{s:o, s:o}", "shelf", x->json, "chips", chips_json(photo));
  }
  if (photo) pt__read_photo_free(photo);
  free(photo);
  json_decref(marks);
  return status;
}

/* ---- the fit ----------------------------------------------------------------------------------------------
 */

static json_t *fit_json(const pt_fit *fit) {
  return json_pack("{s:I, s:I, s:o, s:o, s:s, s:o, s:o}", "bottles", (json_int_t)fit->shelf->n, "chips",
                   (json_int_t)fit->n, "mean_de00", pt_json_round(fit->mean_de00, 2), "max_de00",
                   pt_json_round(fit->max_de00, 2), "worst", fit->worst_words, "warnings",
                   pt_json_notes(&fit->warnings), "suggestions", pt_json_notes(&fit->suggestions));
}

static pt_status keep_fit(pt_book *book, const pt_fit *fit, const json_t *report, pt_error *err) {
  pt_learned learned;
  pt_shelf *shelf = NULL;
  char *text = json_dumps(report, JSON_COMPACT | JSON_REAL_PRECISION(10));
  pt_status status = text ? pt_fit_keep(book, fit, text, err) : pt_fail_memory(err, "the fit's report");
  if (status == PT_OK) status = pt_book_shelf(book, &shelf, NULL, err);
  if (status == PT_OK) status = pt_book_learn(book, shelf, &learned, err);
  pt_shelf_free(shelf);
  free(text);
  return status;
}

static pt_status load_chips(pt_bench *bench, pt_shelf **shelf, pt_chip **chips, size_t *n, pt_error *err) {
  pt_status status = pt__book_begin_reading(bench, err);
  if (status != PT_OK) return status;
  return pt__book_end(bench, pt_chips_load(bench->book, shelf, chips, n, err), err);
}

pt_status pt__fit_post(pt__exchange *x, pt_error *err) {
  pt_shelf *shelf = NULL;
  pt_chip *chips = NULL;
  pt_fit *fit = NULL;
  json_t *report = NULL;
  size_t n;
  pt_status status = load_chips(x->bench, &shelf, &chips, &n, err);
  if (status == PT_OK) status = pt_bottles_fit(shelf, chips, n, PT_FIT_FRESH, &fit, err);
  if (status == PT_OK && !(report = fit_json(fit))) status = pt_fail_memory(err, "the fit's report");
  if (status == PT_OK) status = pt__book_begin(x->bench, err);
  if (status == PT_OK) status = end_with_shelf(x, keep_fit(x->bench->book, fit, report, err), err);
  if (status == PT_OK) x->json = json_pack("{s:O, s:o}", "report", report, "shelf", x->json);
  json_decref(report);
  pt_fit_free(fit);
  free(chips);
  pt_shelf_free(shelf);
  return status;
}
