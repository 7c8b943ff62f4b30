#include "app/keep.h"

#include "app/flow.h"
#include "dropwise/names.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PREVIEW_QUALITY = 80 };

/* ---- reading ------------------------------------------------------------------------------------------- */

dw_status dw__read_photo(const char *path, const dw_marks *marks, dw_read_photo *out, dw_error *err) {
  dw_preview preview = {0};
  dw_arena *arena = dw_arena_new(0);
  dw_status status = arena ? dw_file_sha256(path, out->sha256, err) : dw_fail_memory(err, "a photo");
  out->marks = *marks;
  out->jpeg = NULL;
  if (status == DW_OK)
    status = dw__flow_read(path, marks, NULL, DW_KEPT_PREVIEW_SIDE, arena, &out->reading, &preview, err);
  if (status == DW_OK) status = dw_preview_jpeg(&preview, PREVIEW_QUALITY, &out->jpeg, &out->jpeg_bytes, err);
  dw_arena_free(arena);
  return status;
}

void dw__read_photo_free(dw_read_photo *photo) {
  free(photo->jpeg);
  photo->jpeg = NULL;
}

const dw_layer_reading *dw__read_photo_layer(const dw_read_photo *photo, const char *name) {
  for (size_t i = 0; i < photo->reading.n; i++)
    if (dw_names_alike(photo->reading.layer[i].name, name)) return &photo->reading.layer[i];
  return NULL;
}

dw_status dw__read_photo_lacks(const dw_read_photo *photo, const char *name, dw_error *err) {
  char known[400] = "";
  for (size_t i = 0; i < photo->reading.n; i++) {
    size_t used = strlen(known);
    snprintf(known + used, sizeof known - used, "%s%s", i ? ", " : "", photo->reading.layer[i].name);
  }
  return dw_fail(err, DW_NOT_FOUND, "%s has no marked layer \"%s\"; it has %s.", photo->reading.path, name,
                 known);
}

static json_t *light_json(const dw_read_photo *photo) {
  json_t *all = dw_json_reading(&photo->reading);
  json_t *light = json_incref(json_object_get(all, "light"));
  json_decref(all);
  return light;
}

json_t *dw__read_photo_detail(const dw_read_photo *photo, const char *layer) {
  return json_pack("{s:s, s:s, s:s, s:o, s:o}", "photo", photo->sha256, "taken", photo->reading.photo.taken,
                   "layer", layer, "marks", dw__marks_json(&photo->marks), "light", light_json(photo));
}

/* ---- keeping ------------------------------------------------------------------------------------------- */

dw_status dw__keep_photo(dw_book *book, const dw_read_photo *photo, int64_t *id, dw_error *err) {
  char *place = realpath(photo->reading.path, NULL);
  dw_book_photo kept = {.path = place ? place : photo->reading.path,
                        .sha256 = photo->sha256,
                        .width = photo->reading.photo.width,
                        .height = photo->reading.photo.height,
                        .taken = photo->reading.photo.taken,
                        .preview = photo->jpeg,
                        .preview_bytes = photo->jpeg_bytes};
  dw_status status = dw_photo_keep(book, &kept, id, err);
  free(place);
  return status;
}

dw_status dw__keep_look(dw_book *book, const dw_read_photo *photo, int64_t *look, dw_error *err) {
  json_t *marks = dw__marks_json(&photo->marks), *light = light_json(photo);
  char *marks_text = marks ? json_dumps(marks, JSON_COMPACT) : NULL;
  char *light_text = light ? json_dumps(light, JSON_COMPACT) : NULL;
  int64_t id;
  dw_status status = marks_text && light_text ? dw__keep_photo(book, photo, &id, err)
                                              : dw_fail_memory(err, "the photo's marks");
  if (status == DW_OK) status = dw_look_keep(book, id, marks_text, light_text, look, err);
  free(marks_text);
  free(light_text);
  json_decref(marks);
  json_decref(light);
  return status;
}

/* The color that the shelf predicts of the cup as it is; *known false when a bottle in it is not on the
 * shelf. */
static dw_status predict_cup(dw_book *book, int64_t cup, const dw_shelf *shelf, const dw_slab *slab,
                             bool *known, dw_lab *out, dw_error *err) {
  dw_cup now;
  dw_recipe loadings;
  dw_prediction prediction;
  size_t missing;
  dw_status status = dw_book_cup_now(book, cup, shelf, &now, &missing, err);
  *known = status == DW_OK && missing == 0;
  if (!*known) return status;
  dw_cup_loadings(&now, &loadings);
  status = dw_predict(shelf, &loadings, slab, &prediction, err);
  if (status == DW_OK) *out = prediction.lab;
  return status;
}

/* What is not said of a slab is as in the cup's last pour. */
static dw_slab slab_said(const dw_slab *said, const dw_pour_kept *last) {
  const dw_slab before = last ? last->slab : (dw_slab){10, DW_BACKING_GRAY};
  return (dw_slab){isnan(said->thickness_mm) ? before.thickness_mm : said->thickness_mm,
                   isnan(said->backing) ? before.backing : said->backing};
}

static bool same_slab(const dw_slab *one, const dw_slab *other) {
  return fabs(one->thickness_mm - other->thickness_mm) < 1e-6 && fabs(one->backing - other->backing) < 1e-6;
}

dw_status dw__keep_pour(dw_book *book, int64_t cup, const dw_shelf *shelf, const dw_slab *slab, int64_t *id,
                        dw_error *err) {
  dw_pour_kept *list = NULL;
  dw_book_addition *additions = NULL;
  size_t n = 0, in_cup = 0;
  dw_pour pour = {.cup = cup};
  dw_status status = dw_pour_list(book, cup, &list, &n, err);
  if (status == DW_OK) status = dw_book_cup_additions(book, cup, &additions, &in_cup, err);
  const dw_pour_kept *last = status == DW_OK && n > 0 ? &list[n - 1] : NULL;
  pour.slab = slab_said(slab, last);
  bool logged = last && last->additions == in_cup && same_slab(&last->slab, &pour.slab);
  if (logged) *id = last->id;
  free(list);
  free(additions);
  if (status != DW_OK || logged) return status;
  status = predict_cup(book, cup, shelf, &pour.slab, &pour.has_predicted, &pour.predicted, err);
  return status == DW_OK ? dw_pour_log(book, &pour, id, err) : status;
}

static dw_status keep_reading(dw_book *book, const dw_book_reading *place, const dw_layer_reading *layer,
                              const dw_shelf *shelf, const dw_slab *slab, dw_error *err) {
  char shape[DW_SHAPE_TEXT_MAX];
  dw_book_cup cup;
  int64_t id;
  dw_book_reading reading = *place;
  dw_status status = dw_book_cup_find(book, reading.batch, reading.layer, &cup, err);
  if (status == DW_OK) status = dw__keep_pour(book, cup.id, shelf, slab, &reading.pour, err);
  if (status != DW_OK && status != DW_NOT_FOUND) return status;
  dw_shape_format(&layer->shape, shape, sizeof shape);
  reading.shape = shape;
  reading.lab = layer->reading.lab;
  reading.uncertainty_de00 = layer->reading.uncertainty_de00;
  reading.spread_de00 = layer->reading.spread_de00;
  reading.kept = layer->reading.shares.kept;
  reading.gloss = layer->reading.shares.gloss;
  reading.flake = layer->reading.shares.flake;
  return dw_reading_log(book, &reading, &id, err);
}

dw_status dw__keep_readings(dw_book *book, const dw_pattern *pattern, int64_t batch,
                            const dw_read_photo *photo, const dw_shelf *shelf, const dw_slab *slab, int bait,
                            size_t *count, dw_error *err) {
  dw_book_reading place = {.batch = batch, .bait = bait};
  *count = 0;
  dw_status status = dw__keep_look(book, photo, &place.look, err);
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++) {
    const dw_layer_reading *layer = dw__read_photo_layer(photo, pattern->layer[i].name);
    if (!layer) continue;
    place.layer = pattern->layer[i].id;
    status = keep_reading(book, &place, layer, shelf, slab, err);
    ++*count;
  }
  if (status == DW_OK && *count == 0)
    status = dw_fail(err, DW_NOT_FOUND,
                     "%s has no marked layer of the pattern \"%s\": name the marks as its layers.",
                     photo->reading.path, pattern->name);
  return status;
}

/* ---- what a cup's last measurement says ---------------------------------------------------------------- */

/* The color predicted of the cup as it was with its first additions. */
static dw_status predict_then(dw_book *book, const dw_book_cup *cup, const dw_pour_kept *pour,
                              const dw_shelf *shelf, bool *known, dw_lab *out, dw_error *err) {
  dw_book_addition *list = NULL;
  size_t n = 0;
  dw_cup then = {.volume_floz = cup->begun_floz, .capacity_floz = cup->capacity_floz};
  dw_recipe loadings;
  dw_prediction prediction;
  dw_status status = dw_book_cup_additions(book, cup->id, &list, &n, err);
  *known = status == DW_OK;
  for (size_t i = 0; i < n && i < pour->additions; i++) {
    then.volume_floz += list[i].clear_floz;
    if (!list[i].slug[0]) continue;
    int at = dw_shelf_find(shelf, list[i].slug);
    *known = *known && at >= 0 && dw_recipe_add(&then.drops, (size_t)at, list[i].drops);
  }
  free(list);
  if (!*known) return status;
  dw_cup_loadings(&then, &loadings);
  status = dw_predict(shelf, &loadings, &pour->slab, &prediction, err);
  if (status == DW_OK) *out = prediction.lab;
  return status;
}

static dw_status carry_on(dw_book *book, const dw_book_cup *cup, const dw_pour_kept *pour,
                          const dw_shelf *shelf, bool *found, dw_lab *now, dw_error *err) {
  dw_rules rules = dw_rules_default();
  dw_lab then, predicted;
  bool known_then = false, known_now = false;
  dw_status status = predict_then(book, cup, pour, shelf, &known_then, &then, err);
  if (status == DW_OK) status = predict_cup(book, cup->id, shelf, &pour->slab, &known_now, &predicted, err);
  *found = known_then && known_now;
  if (status != DW_OK || !*found) return status;
  rules.offset = (dw_lab){pour->measured.L - then.L, pour->measured.a - then.a, pour->measured.b - then.b};
  rules.offset_at = then;
  *now = dw_rules_carry(&rules, predicted);
  return DW_OK;
}

static void trust(const dw_reading_judged *readings, size_t n, dw_pour_kept *pour, dw__set_aside *aside) {
  double L = 0, a = 0, b = 0, doubt = 0, count = 0;
  *aside = (dw__set_aside){0};
  for (size_t i = 0; i < n; i++) {
    const dw_reading_judged *r = &readings[i];
    if (r->pour != pour->id) continue;
    aside->n += r->aside;
    if (r->far) aside->off_de00 = fmax(aside->off_de00, r->off_de00);
    if (r->aside) continue;
    L += r->lab.L, a += r->lab.a, b += r->lab.b, doubt += r->uncertainty_de00;
    count++;
  }
  pour->has_measured = count > 0;
  if (count == 0) return;
  pour->measured = (dw_lab){L / count, a / count, b / count};
  pour->uncertainty_de00 = doubt / count;
}

dw_status dw__pours_trusted(dw_book *book, const dw_book_cup *cup, const dw_shelf *shelf, dw_pour_kept **out,
                            size_t *n, dw__set_aside *aside, dw_error *err) {
  dw_reading_judged *readings = NULL;
  size_t n_readings = 0;
  *aside = (dw__set_aside){0};
  dw_status status = dw_readings_judge(book, cup->batch, shelf, &readings, &n_readings, err);
  if (status == DW_OK) status = dw_pour_list(book, cup->id, out, n, err);
  for (size_t i = 0; i < *n && status == DW_OK; i++) trust(readings, n_readings, &(*out)[i], aside);
  free(readings);
  return status;
}

void dw__aside_words(const dw__set_aside *aside, char *out, size_t room) {
  char words[DW_NOTE_TEXT] = "Another layer of its photo is nowhere near what its drops give: right photo?";
  out[0] = '\0';
  if (aside->n == 0) return;
  if (aside->off_de00 > 0) dw_miss_words(aside->off_de00, words, sizeof words);
  snprintf(out, room, "%s Kept, but nothing was learned from it.", words);
}

dw_status dw__cup_measured(dw_book *book, const dw_book_cup *cup, const dw_shelf *shelf, bool *found,
                           dw_lab *now, double *uncertainty_de00, dw_error *err) {
  dw_pour_kept *list = NULL;
  size_t n = 0;
  dw__set_aside aside;
  *found = false;
  dw_status status = dw__pours_trusted(book, cup, shelf, &list, &n, &aside, err);
  while (status == DW_OK && n > 0 && !list[n - 1].has_measured) n--;
  if (status == DW_OK && n > 0) {
    const dw_pour_kept *last = &list[n - 1];
    *uncertainty_de00 = last->uncertainty_de00;
    *now = last->measured;
    *found = last->additions == cup->additions;
    if (!*found) status = carry_on(book, cup, last, shelf, found, now, err);
  }
  free(list);
  return status;
}
