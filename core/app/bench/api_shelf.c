/* Bottles: added, changed, a new lot, taken off; chips from a photo; the fit. */
#include "app/bench/looks.h"
#include "app/bench/on_bench.h"
#include "app/bench/request.h"
#include "dropwise/read.h"

#include <stdlib.h>
#include <string.h>

static dw_status end_with_shelf(dw__exchange *x, dw_status status, dw_error *err) {
  if (status == DW_OK) status = dw__shelf_json(x->bench, &x->json, err);
  return dw__book_end(x->bench, status, err);
}

/* ---- bottles ----------------------------------------------------------------------------------------------
 */

static dw_status role_of(const json_t *body, dw_role fallback, dw_role *out, dw_error *err) {
  const char *text;
  *out = fallback;
  dw_status status = dw_json_text_of(body, "role", false, &text, err);
  if (status == DW_OK && text && !dw_role_find(text, out))
    status = dw_fail(err, DW_USAGE, "\"role\" must be color, brown, white, black or effect.");
  return status;
}

dw_status dw__bottle_post(dw__exchange *x, dw_error *err) {
  const char *id, *title, *like = NULL;
  dw_role role;
  double drop_ml;
  int64_t row;
  dw_status status = dw_json_text_of(x->body, "id", true, &id, err);
  if (status == DW_OK) status = dw_json_text_of(x->body, "title", false, &title, err);
  if (status == DW_OK) status = role_of(x->body, DW_ROLE_COLOR, &role, err);
  if (status == DW_OK)
    status = dw_json_number_of(x->body, "drop_ml", DW_DROP_ML_MIN, DW_DROP_ML_MAX, DW_DROP_ML_DEFAULT,
                               &drop_ml, err);
  if (status == DW_OK) status = dw_json_text_of(x->body, "like", false, &like, err);
  if (status == DW_OK) status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  status = dw_book_bottle_add(x->bench->book, id, title ? title : id, role, drop_ml, &row, err);
  if (status == DW_OK && like) status = dw_book_bottle_set_look(x->bench->book, id, like, err);
  status = end_with_shelf(x, status, err);
  if (status == DW_OK) x->status = MHD_HTTP_CREATED;
  return status;
}

static dw_status bottle_change(dw_book *book, const char *id, const json_t *body, dw_error *err) {
  const char *title, *like = NULL;
  double drop_ml;
  dw_role role;
  dw_status status = dw_json_text_of(body, "title", false, &title, err);
  if (status == DW_OK) status = dw_json_text_of(body, "like", false, &like, err);
  if (status == DW_OK)
    status = dw_json_number_of(body, "drop_ml", DW_DROP_ML_MIN, DW_DROP_ML_MAX, 0, &drop_ml, err);
  if (status == DW_OK) status = role_of(body, DW_ROLE_COLOR, &role, err);
  if (status == DW_OK) status = dw_book_bottle_admit(book, id, err);
  if (status == DW_OK && title) status = dw_book_bottle_set_title(book, id, title, err);
  if (status == DW_OK && drop_ml > 0) status = dw_book_bottle_set_drop(book, id, drop_ml, err);
  if (status == DW_OK && json_is_string(json_object_get(body, "role")))
    status = dw_book_bottle_set_role(book, id, role, err);
  if (status == DW_OK && like)
    status = dw_book_bottle_set_look(book, id, strcmp(like, "none") == 0 ? NULL : like, err);
  return status;
}

dw_status dw__bottle_patch(dw__exchange *x, dw_error *err) {
  dw_status status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  return end_with_shelf(x, bottle_change(x->bench->book, x->part[0], x->body, err), err);
}

dw_status dw__bottle_delete(dw__exchange *x, dw_error *err) {
  dw_status status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  status = dw_book_bottle_admit(x->bench->book, x->part[0], err);
  if (status == DW_OK) status = dw_book_bottle_remove(x->bench->book, x->part[0], err);
  return end_with_shelf(x, status, err);
}

dw_status dw__lot_post(dw__exchange *x, dw_error *err) {
  const char *name;
  dw_status status = dw_json_text_of(x->body, "name", true, &name, err);
  if (status == DW_OK) status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  status = dw_book_bottle_admit(x->bench->book, x->part[0], err);
  if (status == DW_OK) status = dw_book_lot_add(x->bench->book, x->part[0], name, err);
  return end_with_shelf(x, status, err);
}

/* ---- chips ------------------------------------------------------------------------------------------------
 */

/* One chip as a line of chips text; a quotation mark in a recipe is no recipe's, and breaks the line's form.
 */
static dw_status chip_line(const json_t *value, const dw_layer_reading *reading, dw_text *out,
                           dw_error *err) {
  const char *recipe;
  dw_slab slab;
  const dw_reading *r = &reading->reading;
  dw_status status = dw_json_text_of(value, "recipe", true, &recipe, err);
  if (status == DW_OK) status = dw_json_slab_of(value, &slab, err);
  if (status == DW_OK && strpbrk(recipe, "\"\r\n"))
    status = dw_fail(err, DW_USAGE, "A recipe has quotation marks; write it as in orange=2,brown=1.");
  if (status != DW_OK) return status;
  dw_text_add(out, "\"%s\",%.6g,%.6g,%.6f,%.6f,%.6f,%d\n", recipe, slab.thickness_mm, slab.backing, r->lab.L,
              r->lab.a, r->lab.b, r->shares.clipped > DW_CHIP_CLIPPED_SHARE);
  return DW_OK;
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
    layers = dw_json_and(layers, json_pack("{s:s, s:O}", "name", name, "shape", shape ? shape : json_null()));
  }
  marks = dw_json_with(marks, "layers", layers);
  return marks;
}

static dw_status parse_chips(const json_t *list, const dw_read_photo *photo, dw_shelf *shelf, dw_chips **out,
                             dw_error *err) {
  dw_text text = {0};
  dw_status status = DW_OK;
  dw_text_add(&text, "recipe,thickness_mm,over,L,a,b,clipped\n");
  for (size_t i = 0; i < photo->reading.n && status == DW_OK; i++)
    status = chip_line(json_array_get(list, i), &photo->reading.layer[i], &text, err);
  if (status == DW_OK && text.failed) status = dw_fail_memory(err, "the chips");
  if (status == DW_OK) status = dw_chips_parse(text.data, text.length, "The chips", shelf, out, err);
  dw_text_free(&text);
  return status;
}

static dw_status keep_chips(dw_book *book, const json_t *list, const dw_read_photo *photo, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_chips *chips = NULL;
  int64_t id = 0;
  dw_status status = dw_book_shelf(book, &shelf, NULL, err);
  if (status == DW_OK) status = dw_book_shelf_name(book, shelf, err);
  if (status == DW_OK) status = parse_chips(list, photo, shelf, &chips, err);
  if (status == DW_OK) status = dw_keep_photo(book, photo, &id, err);
  if (status == DW_OK) status = dw_chips_keep(book, shelf, chips->chip, chips->n, id, NULL, err);
  dw_chips_free(chips);
  dw_shelf_free(shelf);
  return status;
}

static json_t *chips_json(const dw_read_photo *photo) {
  json_t *list = json_array();
  for (size_t i = 0; i < photo->reading.n; i++)
    list = dw_json_and(list, dw_json_layer(&photo->reading.layer[i]));
  return list;
}

dw_status dw__chips_post(dw__exchange *x, dw_error *err) {
  const json_t *list = json_object_get(x->body, "chips");
  const char *sha256;
  if (json_array_size(list) < 1 || json_array_size(list) > DW_READ_LAYERS_MAX)
    return dw_fail(err, DW_USAGE, "\"chips\" must hold 1 to %d chips.", DW_READ_LAYERS_MAX);
  dw_status status = dw_json_sha_of(x->body, "photo", &sha256, err);
  if (status != DW_OK) return status;
  dw_read_photo *photo = calloc(1, sizeof *photo);
  json_t *marks = chip_marks(x->body);
  status = photo ? dw__look_read(x->bench, sha256, marks, photo, err) : dw_fail_memory(err, "the chips");
  if (status == DW_OK) status = dw__book_begin(x, err);
  if (status == DW_OK) status = end_with_shelf(x, keep_chips(x->bench->book, list, photo, err), err);
  if (status == DW_OK) {
    x->status = MHD_HTTP_CREATED;
    x->json = json_pack("{s:o, s:o}", "shelf", x->json, "chips", chips_json(photo));
  }
  if (photo) dw_read_photo_free(photo);
  free(photo);
  json_decref(marks);
  return status;
}

/* ---- the fit ----------------------------------------------------------------------------------------------
 */

static json_t *fit_json(const dw_fit *fit) {
  return json_pack("{s:I, s:I, s:o, s:o, s:s, s:o, s:o}", "bottles", (json_int_t)fit->shelf->n, "chips",
                   (json_int_t)fit->n, "mean_de00", dw_json_round(fit->mean_de00, 2), "max_de00",
                   dw_json_round(fit->max_de00, 2), "worst", fit->worst_words, "warnings",
                   dw_json_notes(&fit->warnings), "suggestions", dw_json_notes(&fit->suggestions));
}

/* All chips of the book, and the bottles fitted to them. */
typedef struct fitting {
  dw_shelf *shelf;
  dw_chip *chips;
  size_t n;
  dw_fit *fit;
  json_t *report;
} fitting;

static void fitting_free(fitting *f) {
  json_decref(f->report);
  dw_fit_free(f->fit);
  free(f->chips);
  dw_shelf_free(f->shelf);
}

static dw_status fit_loaded(fitting *f, dw_error *err) {
  dw_status status = dw_bottles_fit(f->shelf, f->chips, f->n, DW_FIT_FRESH, &f->fit, err);
  if (status == DW_OK && !(f->report = fit_json(f->fit))) status = dw_fail_memory(err, "the fit's report");
  return status;
}

static dw_status keep_fit(dw_book *book, const fitting *f, dw_error *err) {
  dw_learned learned;
  return dw_book_fit_adopt(book, f->fit, f->report, &learned, err);
}

static dw_status load_chips(dw_bench *bench, fitting *f, dw_error *err) {
  dw_status status = dw__book_begin_reading(bench, err);
  if (status != DW_OK) return status;
  return dw__book_end(bench, dw_chips_load(bench->book, &f->shelf, &f->chips, &f->n, err), err);
}

/* A fit takes its time: the book is free for others meanwhile. */
dw_status dw__fit_post(dw__exchange *x, dw_error *err) {
  fitting f = {0};
  dw_status status = load_chips(x->bench, &f, err);
  if (status == DW_OK) status = fit_loaded(&f, err);
  if (status == DW_OK) status = dw__book_begin(x, err);
  if (status == DW_OK) status = end_with_shelf(x, keep_fit(x->bench->book, &f, err), err);
  if (status == DW_OK) x->json = json_pack("{s:O, s:o}", "report", f.report, "shelf", x->json);
  fitting_free(&f);
  return status;
}

/* ---- the sample's chips -----------------------------------------------------------------------------------
 */

/* In a transaction: the bottles fitted to the chips that are left. */
static dw_status fit_rest(dw_book *book, dw_error *err) {
  fitting f = {0};
  dw_status status = dw_chips_load(book, &f.shelf, &f.chips, &f.n, err);
  if (status == DW_OK) status = fit_loaded(&f, err);
  if (status == DW_OK) status = keep_fit(book, &f, err);
  fitting_free(&f);
  return status;
}

dw_status dw__sample_delete(dw__exchange *x, dw_error *err) {
  size_t left = 0;
  if (strcmp(x->part[0], "chips-1") != 0)
    return dw_fail(err, DW_NOT_FOUND, "There are no sample bottles \"%s\".", x->part[0]);
  dw_status status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  status = dw_chips_forget_photo(x->bench->book, x->bench->sample_chips, &left, err);
  if (status == DW_OK && left > 0) status = fit_rest(x->bench->book, err);
  if (status == DW_OK)
    dw_book_entry_say(x->bench->book, DW_ENTRY_BOTTLE, 0, 0, "the sample's bottles taken away");
  return end_with_shelf(x, status, err);
}
