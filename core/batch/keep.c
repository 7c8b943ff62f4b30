/* From what was read to what the book keeps: photos, readings, pours. */
#include "batch/carry.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>

dw_status dw_keep_photo(dw_book *book, const dw_read_photo *photo, int64_t *id, dw_error *err) {
  char *place = realpath(photo->reading.path, NULL);
  if (!place && errno == ENOMEM) return dw_fail_memory(err, "the photo's path");
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

dw_status dw_keep_look(dw_book *book, const dw_read_photo *photo, int64_t *look, dw_error *err) {
  json_t *marks = dw_marks_json(&photo->marks), *light = dw_json_light(&photo->reading.light);
  char *marks_text = marks ? dw_json_write(marks, JSON_COMPACT) : NULL;
  char *light_text = light ? dw_json_write(light, JSON_COMPACT) : NULL;
  int64_t id;
  dw_status status = marks_text && light_text ? dw_keep_photo(book, photo, &id, err)
                                              : dw_fail_memory(err, "the photo's marks");
  if (status == DW_OK) status = dw_look_keep(book, id, marks_text, light_text, look, err);
  free(marks_text);
  free(light_text);
  json_decref(marks);
  json_decref(light);
  return status;
}

static bool same_slab(const dw_slab *one, const dw_slab *other) {
  return fabs(one->thickness_mm - other->thickness_mm) < 1e-6 && fabs(one->backing - other->backing) < 1e-6;
}

dw_status dw_keep_pour(dw_book *book, int64_t cup, const dw_shelf *shelf, const dw_slab *slab,
                       const dw_lab *expected, int64_t *id, dw_error *err) {
  dw_pour_kept *list = NULL;
  dw_book_addition *additions = NULL;
  size_t n = 0, in_cup = 0;
  dw_pour pour = {.cup = cup};
  dw_status status = dw_pour_list(book, cup, &list, &n, err);
  if (status == DW_OK) status = dw_book_cup_additions(book, cup, &additions, &in_cup, err);
  const dw_pour_kept *last = status == DW_OK && n > 0 ? &list[n - 1] : NULL;
  pour.slab = dw_slab_said(slab, last ? &last->slab : NULL);
  bool logged = last && last->additions == in_cup && same_slab(&last->slab, &pour.slab);
  if (logged) *id = last->id;
  free(list);
  free(additions);
  if (status != DW_OK || logged) return status;
  pour.has_predicted = expected != NULL;
  if (expected)
    pour.predicted = *expected;
  else
    status = dw__kept_cup_predict(book, cup, shelf, &pour.slab, &pour.has_predicted, &pour.predicted, err);
  return status == DW_OK ? dw_pour_log(book, &pour, id, err) : status;
}

static dw_status keep_reading(dw_book *book, const dw_book_reading *place, const dw_layer_reading *layer,
                              const dw_shelf *shelf, const dw_slab *slab, dw_error *err) {
  char shape[DW_SHAPE_TEXT_MAX];
  dw_book_cup cup;
  int64_t id;
  dw_book_reading reading = *place;
  dw_status status = dw_book_cup_find(book, reading.batch, reading.layer, &cup, err);
  /* Nobody said what is in an empty cup: its reading is of no drops. */
  if (status == DW_OK && cup.additions > 0)
    status = dw_keep_pour(book, cup.id, shelf, slab, NULL, &reading.pour, err);
  if (status != DW_OK && status != DW_NOT_FOUND) return status;
  dw_shape_format(&layer->shape, shape, sizeof shape);
  reading.shape = shape;
  reading.lab = layer->reading.lab;
  reading.uncertainty_de00 = layer->reading.uncertainty_de00;
  reading.spread_de00 = layer->reading.spread_de00;
  reading.kept = layer->reading.shares.kept;
  reading.gloss = layer->reading.shares.gloss;
  reading.flake = layer->reading.shares.flake;
  reading.has_share = layer->has_share;
  reading.share = layer->share;
  reading.share_doubt = fmin(layer->share_doubt, 1);
  return dw_reading_log(book, &reading, &id, err);
}

/* A slip in the name of a mark would lose its color. */
static dw_status layer_of(const dw_pattern *pattern, const dw_layer_reading *shown,
                          const dw_pattern_layer **out, dw_error *err) {
  dw_error why;
  if (dw_pattern_layer_find(pattern, shown->name, out, &why) == DW_OK) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT, "%s", why.text);
}

dw_status dw_keep_readings(dw_book *book, const dw_pattern *pattern, int64_t batch,
                           const dw_read_photo *photo, const dw_shelf *shelf, const dw_slab *slab, int bait,
                           dw_error *err) {
  dw_book_reading place = {.batch = batch, .bait = bait};
  const dw_pattern_layer *layer;
  dw_status status = dw_keep_look(book, photo, &place.look, err);
  for (size_t i = 0; i < photo->reading.n && status == DW_OK; i++) {
    status = layer_of(pattern, &photo->reading.layer[i], &layer, err);
    if (status != DW_OK) return status;
    place.layer = layer->id;
    status = keep_reading(book, &place, &photo->reading.layer[i], shelf, slab, err);
  }
  return status;
}
