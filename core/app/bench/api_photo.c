/* Photos: taken in, shown, their light fitted, their regions measured. */
#include "app/bench/desk.h"
#include "app/bench/looks.h"
#include "app/values.h"

#include <stdlib.h>
#include <string.h>

enum {
  QUICK_PIXELS_MAX = 60000,
  CROP_SIDE_MAX = 4096,
  CLASSES_PIXELS_MAX = 200000,
  MEASURE_BYTES_MAX = 128 << 20
};
static const int preview_sides[] = {400, 800, 1600, 2400, 4096};

/* ---- in ---------------------------------------------------------------------------------------------------
 */

static pt_status answer_photo(pt__exchange *x, const char *sha256, pt_error *err) {
  pt_photo *photo = NULL;
  pt_status status = pt__photos_open(&x->bench->photos, sha256, &photo, err);
  if (status != PT_OK) return status;
  const pt_photo_info *info = pt_photo_info_get(photo);
  x->json =
      json_pack("{s:s, s:i, s:i, s:s, s:s, s:o}", "id", sha256, "width", info->width, "height", info->height,
                "profile", info->profile, "taken", info->taken, "warnings", pt_json_notes(&info->notes));
  pt_photo_close(photo);
  return x->json ? PT_OK : pt_fail_memory(err, "the answer");
}

/* A photo just taken in; the book keeps its hash, so that work can refer to it. */
static pt_status answer_new_photo(pt__exchange *x, const char *sha256, pt_error *err) {
  int64_t row;
  pt_status status = pt__look_keep_photo(x->bench, sha256, &row, err);
  x->status = status == PT_OK ? MHD_HTTP_CREATED : 0;
  return status == PT_OK ? answer_photo(x, sha256, err) : status;
}

pt_status pt__photo_get(pt__exchange *x, pt_error *err) {
  pt_status status = answer_photo(x, x->part[0], err);
  if (status == PT_NOT_FOUND && pt__look_fetch(x->bench, x->part[0], err) == PT_OK)
    status = answer_photo(x, x->part[0], err);
  return status;
}

pt_status pt__photo_post(pt__exchange *x, pt_error *err) {
  char sha256[PT__SHA_ROOM];
  pt_status status = pt__upload_finish(x->upload, sha256, err);
  return status == PT_OK ? answer_new_photo(x, sha256, err) : status;
}

static const pt__asset *sample_file(const char *name, const char *ending) {
  char path[128];
  snprintf(path, sizeof path, "/app/samples/%s.%s", name, ending);
  return pt__asset_find(path);
}

static pt_status take_sample(pt__exchange *x, const pt__asset *photo, pt_error *err) {
  char sha256[PT__SHA_ROOM];
  pt_status status = pt__upload_begin(&x->bench->photos, &x->upload, err);
  if (status == PT_OK) status = pt__upload_put(x->upload, photo->bytes, photo->n, err);
  if (status == PT_OK) status = pt__upload_finish(x->upload, sha256, err);
  return status == PT_OK ? answer_new_photo(x, sha256, err) : status;
}

pt_status pt__sample_post(pt__exchange *x, pt_error *err) {
  const pt__asset *photo = sample_file(x->part[0], "jpg"), *marks = sample_file(x->part[0], "marks.json");
  if (!photo || !marks) return pt_fail(err, PT_NOT_FOUND, "There is no sample photo \"%s\".", x->part[0]);
  pt_status status = take_sample(x, photo, err);
  if (status != PT_OK) return status;
  json_t *object = json_loadb((const char *)marks->bytes, marks->n, 0, NULL);
  json_object_del(object, "photo");
  return json_object_set_new(x->json, "marks", object) ? pt_fail_memory(err, "the sample's marks") : PT_OK;
}

/* ---- shown ------------------------------------------------------------------------------------------------
 */

pt_status pt__preview_get(pt__exchange *x, pt_error *err) {
  int side, count = sizeof preview_sides / sizeof *preview_sides, i = 0;
  pt_status status = pt__query_int(x, "side", 1, preview_sides[count - 1], 1600, &side, err);
  if (status != PT_OK) return status;
  while (preview_sides[i] < side) i++;
  x->type = "image/jpeg";
  x->kept = true;
  return pt__photos_preview(&x->bench->photos, x->part[0], preview_sides[i], (uint8_t **)&x->bytes, &x->n,
                            err);
}

static pt_status crop_of(pt__exchange *x, pt_rect part, int side, pt_error *err) {
  pt_photo *photo = NULL;
  pt_preview crop;
  pt_arena *arena = pt_arena_new(0);
  pt_status status = arena ? PT_OK : pt_fail_memory(err, "a part of the photo");
  if (status == PT_OK) status = pt__photos_open(&x->bench->photos, x->part[0], &photo, err);
  if (status == PT_OK) status = pt_photo_part(photo, part, side, arena, &crop, err);
  if (status == PT_OK) status = pt_preview_jpeg(&crop, 90, (uint8_t **)&x->bytes, &x->n, err);
  pt_photo_close(photo);
  pt_arena_free(arena);
  return status;
}

pt_status pt__crop_get(pt__exchange *x, pt_error *err) {
  pt_rect part;
  int side;
  pt_status status = pt__query_int(x, "x", -1000000, 1000000, 0, &part.x, err);
  if (status == PT_OK) status = pt__query_int(x, "y", -1000000, 1000000, 0, &part.y, err);
  if (status == PT_OK) status = pt__query_int(x, "w", 1, 1000000, 256, &part.w, err);
  if (status == PT_OK) status = pt__query_int(x, "h", 1, 1000000, 256, &part.h, err);
  if (status == PT_OK) status = pt__query_int(x, "side", 1, CROP_SIDE_MAX, 512, &side, err);
  if (status != PT_OK) return status;
  x->type = "image/jpeg";
  x->kept = true;
  return crop_of(x, part, side, err);
}

/* ---- read -------------------------------------------------------------------------------------------------
 */

static json_t *grid_json(const pt_marks *marks) {
  json_t *grid = json_array();
  for (size_t i = 0; marks->method == PT_LIGHT_CARD && i < marks->card.rows * marks->card.cols; i++) {
    double xy[8];
    if (pt_card_outline(&marks->card, &marks->corners, i, xy, NULL) != PT_OK) break;
    json_t *one = json_array();
    for (size_t k = 0; k < 8; k++) one = pt_json_and(one, pt_json_round(xy[k], 1));
    grid = pt_json_and(grid, one);
  }
  return grid;
}

static pt_status open_for_marks(pt__exchange *x, const json_t *object, pt_marks *marks, pt_photo **photo,
                                pt__held_light **held, pt_error *err) {
  pt_status status = pt__marks_of(object, marks, err);
  if (status == PT_OK) status = pt__photos_open(&x->bench->photos, x->part[0], photo, err);
  if (status != PT_OK) return status;
  return pt__lights_take(&x->bench->lights, x->part[0], *photo, marks, held, err);
}

pt_status pt__light_post(pt__exchange *x, pt_error *err) {
  pt__held_light *held = NULL;
  pt_photo *photo = NULL;
  pt_marks *marks = calloc(1, sizeof *marks);
  if (!marks) return pt_fail_memory(err, "the marks");
  x->json = json_object();
  pt_status status = open_for_marks(x, x->body, marks, &photo, &held, err);
  x->json = pt_json_with(x->json, "grid", grid_json(marks));
  if (status == PT_OK)
    x->json = pt_json_with(x->json, "light", pt_json_light(pt_light_info_get(held->light)));
  if (status == PT_OK && !x->json) status = pt_fail_memory(err, "the light");
  pt__lights_give(&x->bench->lights, held);
  pt_photo_close(photo);
  free(marks);
  return status;
}

/* Run lengths, row by row; thinned by a whole step so that a screen's worth of pixels stays. */
static json_t *classes_json(const pt_classes *classes) {
  const pt_rect *r = &classes->rect;
  int step = 1;
  while ((int64_t)((r->w + step - 1) / step) * ((r->h + step - 1) / step) > CLASSES_PIXELS_MAX) step++;
  json_t *runs = json_array();
  int of = -1;
  json_int_t length = 0;
  for (int y = 0; y < r->h; y += step)
    for (int col = 0; col < r->w; col += step) {
      int here = classes->of[(size_t)y * (size_t)r->w + (size_t)col];
      if (here != of && length) {
        runs = pt_json_and(runs, json_integer(of));
        runs = pt_json_and(runs, json_integer(length));
        length = 0;
      }
      of = here;
      length++;
    }
  runs = pt_json_and(runs, json_integer(of));
  runs = pt_json_and(runs, json_integer(length));
  int measured = classes->step > 1 ? classes->step : 1;
  return json_pack("{s:i, s:i, s:i, s:i, s:i, s:o}", "x", r->x, "y", r->y, "w", (r->w + step - 1) / step, "h",
                   (r->h + step - 1) / step, "step", step * measured, "runs", runs);
}

static pt_status measure(pt__exchange *x, pt_photo *photo, const pt_light *light, const pt_mark *mark,
                         pt_error *err) {
  bool wanted = json_is_true(json_object_get(x->body, "classes"));
  size_t most = json_is_true(json_object_get(x->body, "quick")) ? QUICK_PIXELS_MAX : 0;
  pt_classes classes;
  pt_arena *arena = pt_arena_new(MEASURE_BYTES_MAX);
  pt_layer_reading *reading = calloc(1, sizeof *reading);
  pt_status status = arena && reading ? PT_OK : pt_fail_memory(err, "the reading");
  if (status == PT_OK)
    status = pt__flow_measure(photo, light, mark, most, arena, reading, wanted ? &classes : NULL, err);
  if (status == PT_OK) x->json = pt_json_layer(reading);
  if (status == PT_OK && wanted) x->json = pt_json_with(x->json, "classes", classes_json(&classes));
  pt_arena_free(arena);
  free(reading);
  return status == PT_OK && !x->json ? pt_fail_memory(err, "the reading") : status;
}

static pt_status mark_of(const json_t *body, pt_mark *out, pt_error *err) {
  const char *shape = json_string_value(json_object_get(body, "shape"));
  const char *name = json_string_value(json_object_get(body, "name"));
  if (!shape) return pt_fail(err, PT_USAGE, "\"shape\" is missing.");
  if (name && !pt_utf8_plain(name)) return pt_fail(err, PT_USAGE, "\"name\" holds a control character.");
  pt_copy_text(out->name, sizeof out->name, name && *name ? name : "region");
  return pt_shape_parse(shape, &out->shape, err);
}

pt_status pt__measure_post(pt__exchange *x, pt_error *err) {
  pt__held_light *held = NULL;
  pt_photo *photo = NULL;
  pt_marks *marks = calloc(1, sizeof *marks);
  pt_mark *mark = calloc(1, sizeof *mark);
  pt_status status = marks && mark ? mark_of(x->body, mark, err) : pt_fail_memory(err, "the marks");
  if (status == PT_OK)
    status = open_for_marks(x, json_object_get(x->body, "marks"), marks, &photo, &held, err);
  if (status == PT_OK) status = measure(x, photo, held->light, mark, err);
  pt__lights_give(&x->bench->lights, held);
  pt_photo_close(photo);
  free(mark);
  free(marks);
  return status;
}
