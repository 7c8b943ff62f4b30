#include "app/keep.h"

#include "app/flow.h"
#include "pourtone/names.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PREVIEW_QUALITY = 80 };

/* ---- reading ------------------------------------------------------------------------------------------- */

pt_status pt__read_photo(const char *path, const pt_marks *marks, pt_read_photo *out, pt_error *err) {
  pt_preview preview = {0};
  pt_arena *arena = pt_arena_new(0);
  pt_status status = arena ? pt_file_sha256(path, out->sha256, err) : pt_fail_memory(err, "a photo");
  out->marks = *marks;
  out->jpeg = NULL;
  if (status == PT_OK)
    status = pt__flow_read(path, marks, NULL, PT_KEPT_PREVIEW_SIDE, arena, &out->reading, &preview, err);
  if (status == PT_OK) status = pt_preview_jpeg(&preview, PREVIEW_QUALITY, &out->jpeg, &out->jpeg_bytes, err);
  pt_arena_free(arena);
  return status;
}

void pt__read_photo_free(pt_read_photo *photo) {
  free(photo->jpeg);
  photo->jpeg = NULL;
}

const pt_layer_reading *pt__read_photo_layer(const pt_read_photo *photo, const char *name) {
  for (size_t i = 0; i < photo->reading.n; i++)
    if (pt_names_alike(photo->reading.layer[i].name, name)) return &photo->reading.layer[i];
  return NULL;
}

pt_status pt__read_photo_lacks(const pt_read_photo *photo, const char *name, pt_error *err) {
  char known[400] = "";
  for (size_t i = 0; i < photo->reading.n; i++) {
    size_t used = strlen(known);
    snprintf(known + used, sizeof known - used, "%s%s", i ? ", " : "", photo->reading.layer[i].name);
  }
  return pt_fail(err, PT_NOT_FOUND, "%s has no marked layer \"%s\"; it has %s.", photo->reading.path, name,
                 known);
}

static json_t *light_json(const pt_read_photo *photo) {
  json_t *all = pt_json_reading(&photo->reading);
  json_t *light = json_incref(json_object_get(all, "light"));
  json_decref(all);
  return light;
}

json_t *pt__read_photo_detail(const pt_read_photo *photo, const char *layer) {
  return json_pack("{s:s, s:s, s:s, s:o, s:o}", "photo", photo->sha256, "taken", photo->reading.photo.taken,
                   "layer", layer, "marks", pt__marks_json(&photo->marks), "light", light_json(photo));
}

/* ---- keeping ------------------------------------------------------------------------------------------- */

pt_status pt__keep_photo(pt_book *book, const pt_read_photo *photo, int64_t *id, pt_error *err) {
  char *place = realpath(photo->reading.path, NULL);
  pt_book_photo kept = {.path = place ? place : photo->reading.path,
                        .sha256 = photo->sha256,
                        .width = photo->reading.photo.width,
                        .height = photo->reading.photo.height,
                        .taken = photo->reading.photo.taken,
                        .preview = photo->jpeg,
                        .preview_bytes = photo->jpeg_bytes};
  pt_status status = pt_photo_keep(book, &kept, id, err);
  free(place);
  return status;
}

pt_status pt__keep_look(pt_book *book, const pt_read_photo *photo, int64_t *look, pt_error *err) {
  json_t *marks = pt__marks_json(&photo->marks), *light = light_json(photo);
  char *marks_text = marks ? json_dumps(marks, JSON_COMPACT) : NULL;
  char *light_text = light ? json_dumps(light, JSON_COMPACT) : NULL;
  int64_t id;
  pt_status status = marks_text && light_text ? pt__keep_photo(book, photo, &id, err)
                                              : pt_fail_memory(err, "the photo's marks");
  if (status == PT_OK) status = pt_look_keep(book, id, marks_text, light_text, look, err);
  free(marks_text);
  free(light_text);
  json_decref(marks);
  json_decref(light);
  return status;
}

/* The color that the shelf predicts of the cup as it is; *known false when a bottle in it is not on the
 * shelf. */
static pt_status predict_cup(pt_book *book, int64_t cup, const pt_shelf *shelf, const pt_slab *slab,
                             bool *known, pt_lab *out, pt_error *err) {
  pt_cup now;
  pt_recipe loadings;
  pt_prediction prediction;
  size_t missing;
  pt_status status = pt_book_cup_now(book, cup, shelf, &now, &missing, err);
  *known = status == PT_OK && missing == 0;
  if (!*known) return status;
  pt_cup_loadings(&now, &loadings);
  status = pt_predict(shelf, &loadings, slab, &prediction, err);
  if (status == PT_OK) *out = prediction.lab;
  return status;
}

/* What is not said of a slab is as in the cup's last pour. */
static pt_slab slab_said(const pt_slab *said, const pt_pour_kept *last) {
  const pt_slab before = last ? last->slab : (pt_slab){10, PT_BACKING_GRAY};
  return (pt_slab){isnan(said->thickness_mm) ? before.thickness_mm : said->thickness_mm,
                   isnan(said->backing) ? before.backing : said->backing};
}

static bool same_slab(const pt_slab *one, const pt_slab *other) {
  return fabs(one->thickness_mm - other->thickness_mm) < 1e-6 && fabs(one->backing - other->backing) < 1e-6;
}

pt_status pt__keep_pour(pt_book *book, int64_t cup, const pt_shelf *shelf, const pt_slab *slab, int64_t *id,
                        pt_error *err) {
  pt_pour_kept *list = NULL;
  pt_book_addition *additions = NULL;
  size_t n = 0, in_cup = 0;
  pt_pour pour = {.cup = cup};
  pt_status status = pt_pour_list(book, cup, &list, &n, err);
  if (status == PT_OK) status = pt_book_cup_additions(book, cup, &additions, &in_cup, err);
  const pt_pour_kept *last = status == PT_OK && n > 0 ? &list[n - 1] : NULL;
  pour.slab = slab_said(slab, last);
  bool logged = last && last->additions == in_cup && same_slab(&last->slab, &pour.slab);
  if (logged) *id = last->id;
  free(list);
  free(additions);
  if (status != PT_OK || logged) return status;
  status = predict_cup(book, cup, shelf, &pour.slab, &pour.has_predicted, &pour.predicted, err);
  return status == PT_OK ? pt_pour_log(book, &pour, id, err) : status;
}

static pt_status keep_reading(pt_book *book, const pt_book_reading *place, const pt_layer_reading *layer,
                              const pt_shelf *shelf, const pt_slab *slab, pt_error *err) {
  char shape[PT_SHAPE_TEXT_MAX];
  pt_book_cup cup;
  int64_t id;
  pt_book_reading reading = *place;
  pt_status status = pt_book_cup_find(book, reading.batch, reading.layer, &cup, err);
  if (status == PT_OK) status = pt__keep_pour(book, cup.id, shelf, slab, &reading.pour, err);
  if (status != PT_OK && status != PT_NOT_FOUND) return status;
  pt_shape_format(&layer->shape, shape, sizeof shape);
  reading.shape = shape;
  reading.lab = layer->reading.lab;
  reading.uncertainty_de00 = layer->reading.uncertainty_de00;
  reading.spread_de00 = layer->reading.spread_de00;
  reading.kept = layer->reading.shares.kept;
  reading.gloss = layer->reading.shares.gloss;
  reading.flake = layer->reading.shares.flake;
  return pt_reading_log(book, &reading, &id, err);
}

pt_status pt__keep_readings(pt_book *book, const pt_pattern *pattern, int64_t batch,
                            const pt_read_photo *photo, const pt_shelf *shelf, const pt_slab *slab, int bait,
                            size_t *count, pt_error *err) {
  pt_book_reading place = {.batch = batch, .bait = bait};
  *count = 0;
  pt_status status = pt__keep_look(book, photo, &place.look, err);
  for (size_t i = 0; i < pattern->n && status == PT_OK; i++) {
    const pt_layer_reading *layer = pt__read_photo_layer(photo, pattern->layer[i].name);
    if (!layer) continue;
    place.layer = pattern->layer[i].id;
    status = keep_reading(book, &place, layer, shelf, slab, err);
    ++*count;
  }
  if (status == PT_OK && *count == 0)
    status = pt_fail(err, PT_NOT_FOUND,
                     "%s has no marked layer of the pattern \"%s\": name the marks as its layers.",
                     photo->reading.path, pattern->name);
  return status;
}

/* ---- what a cup's last measurement says ---------------------------------------------------------------- */

/* The color predicted of the cup as it was with its first additions. */
static pt_status predict_then(pt_book *book, const pt_book_cup *cup, const pt_pour_kept *pour,
                              const pt_shelf *shelf, bool *known, pt_lab *out, pt_error *err) {
  pt_book_addition *list = NULL;
  size_t n = 0;
  pt_cup then = {.volume_floz = cup->begun_floz, .capacity_floz = cup->capacity_floz};
  pt_recipe loadings;
  pt_prediction prediction;
  pt_status status = pt_book_cup_additions(book, cup->id, &list, &n, err);
  *known = status == PT_OK;
  for (size_t i = 0; i < n && i < pour->additions; i++) {
    then.volume_floz += list[i].clear_floz;
    if (!list[i].slug[0]) continue;
    int at = pt_shelf_find(shelf, list[i].slug);
    *known = *known && at >= 0 && pt_recipe_add(&then.drops, (size_t)at, list[i].drops);
  }
  free(list);
  if (!*known) return status;
  pt_cup_loadings(&then, &loadings);
  status = pt_predict(shelf, &loadings, &pour->slab, &prediction, err);
  if (status == PT_OK) *out = prediction.lab;
  return status;
}

static pt_status carry_on(pt_book *book, const pt_book_cup *cup, const pt_pour_kept *pour,
                          const pt_shelf *shelf, bool *found, pt_lab *now, pt_error *err) {
  pt_rules rules = pt_rules_default();
  pt_lab then, predicted;
  bool known_then = false, known_now = false;
  pt_status status = predict_then(book, cup, pour, shelf, &known_then, &then, err);
  if (status == PT_OK) status = predict_cup(book, cup->id, shelf, &pour->slab, &known_now, &predicted, err);
  *found = known_then && known_now;
  if (status != PT_OK || !*found) return status;
  rules.offset = (pt_lab){pour->measured.L - then.L, pour->measured.a - then.a, pour->measured.b - then.b};
  rules.offset_at = then;
  *now = pt_rules_carry(&rules, predicted);
  return PT_OK;
}

static void trust(const pt_reading_judged *readings, size_t n, pt_pour_kept *pour, pt__set_aside *aside) {
  double L = 0, a = 0, b = 0, doubt = 0, count = 0;
  *aside = (pt__set_aside){0};
  for (size_t i = 0; i < n; i++) {
    const pt_reading_judged *r = &readings[i];
    if (r->pour != pour->id) continue;
    aside->n += r->aside;
    if (r->far) aside->off_de00 = fmax(aside->off_de00, r->off_de00);
    if (r->aside) continue;
    L += r->lab.L, a += r->lab.a, b += r->lab.b, doubt += r->uncertainty_de00;
    count++;
  }
  pour->has_measured = count > 0;
  if (count == 0) return;
  pour->measured = (pt_lab){L / count, a / count, b / count};
  pour->uncertainty_de00 = doubt / count;
}

pt_status pt__pours_trusted(pt_book *book, const pt_book_cup *cup, const pt_shelf *shelf, pt_pour_kept **out,
                            size_t *n, pt__set_aside *aside, pt_error *err) {
  pt_reading_judged *readings = NULL;
  size_t n_readings = 0;
  *aside = (pt__set_aside){0};
  pt_status status = pt_readings_judge(book, cup->batch, shelf, &readings, &n_readings, err);
  if (status == PT_OK) status = pt_pour_list(book, cup->id, out, n, err);
  for (size_t i = 0; i < *n && status == PT_OK; i++) trust(readings, n_readings, &(*out)[i], aside);
  free(readings);
  return status;
}

void pt__aside_words(const pt__set_aside *aside, char *out, size_t room) {
  char words[PT_NOTE_TEXT] = "Another layer of its photo is nowhere near what its drops give: right photo?";
  out[0] = '\0';
  if (aside->n == 0) return;
  if (aside->off_de00 > 0) pt_miss_words(aside->off_de00, words, sizeof words);
  snprintf(out, room, "%s Kept, but nothing was learned from it.", words);
}

pt_status pt__cup_measured(pt_book *book, const pt_book_cup *cup, const pt_shelf *shelf, bool *found,
                           pt_lab *now, double *uncertainty_de00, pt_error *err) {
  pt_pour_kept *list = NULL;
  size_t n = 0;
  pt__set_aside aside;
  *found = false;
  pt_status status = pt__pours_trusted(book, cup, shelf, &list, &n, &aside, err);
  while (status == PT_OK && n > 0 && !list[n - 1].has_measured) n--;
  if (status == PT_OK && n > 0) {
    const pt_pour_kept *last = &list[n - 1];
    *uncertainty_de00 = last->uncertainty_de00;
    *now = last->measured;
    *found = last->additions == cup->additions;
    if (!*found) status = carry_on(book, cup, last, shelf, found, now, err);
  }
  free(list);
  return status;
}
