/* Photos: taken in, shown, their light fitted, their regions measured. */
#include "app/bench/looks.h"
#include "app/bench/request.h"
#include "app/bench/transaction.h"
#include "dropwise/batch_flake.h"

#include <stdlib.h>

enum {
  QUICK_PIXELS_MAX = 60000,
  CROP_SIDE_MAX = 4096,
  CLASSES_PIXELS_MAX = 200000,
  MEASURE_BYTES_MAX = 128 << 20
};
static const int preview_sides[] = {400, 800, 1600, 2400, 4096};

/* ---- in ---------------------------------------------------------------------------------------------------
 */

static dw_status answer_photo(dw__exchange *x, const char *sha256, dw_error *err) {
  dw_photo *photo = NULL;
  dw_status status = dw__photos_open(&x->bench->photos, sha256, &photo, err);
  if (status != DW_OK) return status;
  const dw_photo_info *info = dw_photo_info_get(photo);
  x->json =
      json_pack("{s:s, s:i, s:i, s:s, s:s, s:o}", "id", sha256, "width", info->width, "height", info->height,
                "profile", info->profile, "taken", info->taken, "warnings", dw_json_notes(&info->notes));
  dw_photo_close(photo);
  return x->json ? DW_OK : dw_fail_memory(err, "the answer");
}

/* A photo just taken in; the book keeps its hash, so that work can refer to it. */
static dw_status answer_new_photo(dw__exchange *x, const char *sha256, dw_error *err) {
  int64_t row;
  dw_status status = dw__look_keep_photo(x->bench, sha256, &row, err);
  x->status = status == DW_OK ? MHD_HTTP_CREATED : 0;
  return status == DW_OK ? answer_photo(x, sha256, err) : status;
}

dw_status dw__photo_get(dw__exchange *x, dw_error *err) {
  dw_status status = answer_photo(x, x->part[0], err);
  if (status == DW_NOT_FOUND && dw__look_fetch(x->bench, x->part[0], err) == DW_OK)
    status = answer_photo(x, x->part[0], err);
  return status;
}

dw_status dw__photo_post(dw__exchange *x, dw_error *err) {
  char sha256[DW__SHA_ROOM];
  dw_status status = dw__upload_finish(x->upload, sha256, err);
  return status == DW_OK ? answer_new_photo(x, sha256, err) : status;
}

static const dw__asset *sample_file(const char *name, const char *ending) {
  char path[128];
  snprintf(path, sizeof path, "/app/samples/%s.%s", name, ending);
  return dw__asset_find(path);
}

static dw_status take_sample(dw__exchange *x, const dw__asset *photo, dw_error *err) {
  char sha256[DW__SHA_ROOM];
  dw_status status = dw__upload_begin(&x->bench->photos, &x->upload, err);
  if (status == DW_OK) status = dw__upload_put(x->upload, photo->bytes, photo->n, err);
  if (status == DW_OK) status = dw__upload_finish(x->upload, sha256, err);
  return status == DW_OK ? answer_new_photo(x, sha256, err) : status;
}

dw_status dw__sample_post(dw__exchange *x, dw_error *err) {
  const dw__asset *photo = sample_file(x->part[0], "jpg"), *marks = sample_file(x->part[0], "marks.json");
  if (!photo || !marks) return dw_fail(err, DW_NOT_FOUND, "There is no sample photo \"%s\".", x->part[0]);
  dw_status status = take_sample(x, photo, err);
  if (status != DW_OK) return status;
  json_t *object = NULL;
  status = dw_json_parse((const char *)marks->bytes, marks->n, "the sample's marks", &object, err);
  if (status != DW_OK) return status;
  json_object_del(object, "photo");
  return json_object_set_new(x->json, "marks", object) ? dw_fail_memory(err, "the sample's marks") : DW_OK;
}

/* ---- shown ------------------------------------------------------------------------------------------------
 */

dw_status dw__preview_get(dw__exchange *x, dw_error *err) {
  int side, count = sizeof preview_sides / sizeof *preview_sides, i = 0;
  dw_status status = dw__query_int(x, "side", 1, preview_sides[count - 1], 1600, &side, err);
  if (status != DW_OK) return status;
  while (preview_sides[i] < side) i++;
  x->type = "image/jpeg";
  x->same = true;
  return dw__photos_preview(&x->bench->photos, x->part[0], preview_sides[i], (uint8_t **)&x->bytes, &x->n,
                            err);
}

static dw_status crop_of(dw__exchange *x, dw_rect part, int side, dw_error *err) {
  dw_photo *photo = NULL;
  dw_preview crop;
  dw_arena *arena = dw_arena_new(0);
  dw_status status = arena ? DW_OK : dw_fail_memory(err, "a part of the photo");
  if (status == DW_OK) status = dw__photos_open(&x->bench->photos, x->part[0], &photo, err);
  if (status == DW_OK) status = dw_photo_part(photo, part, side, arena, &crop, err);
  if (status == DW_OK) status = dw_preview_jpeg(&crop, 90, (uint8_t **)&x->bytes, &x->n, err);
  dw_photo_close(photo);
  dw_arena_free(arena);
  return status;
}

dw_status dw__crop_get(dw__exchange *x, dw_error *err) {
  dw_rect part;
  int side;
  dw_status status = dw__query_int(x, "x", -1000000, 1000000, 0, &part.x, err);
  if (status == DW_OK) status = dw__query_int(x, "y", -1000000, 1000000, 0, &part.y, err);
  if (status == DW_OK) status = dw__query_int(x, "w", 1, 1000000, 256, &part.w, err);
  if (status == DW_OK) status = dw__query_int(x, "h", 1, 1000000, 256, &part.h, err);
  if (status == DW_OK) status = dw__query_int(x, "side", 1, CROP_SIDE_MAX, 512, &side, err);
  if (status != DW_OK) return status;
  x->type = "image/jpeg";
  x->same = true;
  return crop_of(x, part, side, err);
}

/* ---- read -------------------------------------------------------------------------------------------------
 */

static json_t *grid_json(const dw_marks *marks) {
  json_t *grid = json_array();
  for (size_t i = 0; marks->method == DW_LIGHT_CARD && i < marks->card.rows * marks->card.cols; i++) {
    double xy[8];
    if (dw_card_outline(&marks->card, &marks->corners, i, xy, NULL) != DW_OK) break;
    json_t *one = json_array();
    for (size_t k = 0; k < 8; k++) one = dw_json_and(one, dw_json_round(xy[k], 1));
    grid = dw_json_and(grid, one);
  }
  return grid;
}

static dw_status open_for_marks(dw__exchange *x, const json_t *object, dw_marks *marks, dw_photo **photo,
                                dw__held_light **held, dw_error *err) {
  dw_status status = dw__marks_of(object, marks, err);
  if (status == DW_OK) status = dw__photos_open(&x->bench->photos, x->part[0], photo, err);
  if (status != DW_OK) return status;
  return dw__lights_take(&x->bench->lights, x->part[0], *photo, marks, held, err);
}

dw_status dw__light_post(dw__exchange *x, dw_error *err) {
  dw__held_light *held = NULL;
  dw_photo *photo = NULL;
  dw_marks *marks = calloc(1, sizeof *marks);
  if (!marks) return dw_fail_memory(err, "the marks");
  x->json = json_object();
  dw_status status = open_for_marks(x, x->body, marks, &photo, &held, err);
  x->json = dw_json_with(x->json, "grid", grid_json(marks));
  if (status == DW_OK)
    x->json = dw_json_with(x->json, "light", dw_json_light(dw_light_info_get(held->light)));
  if (status == DW_OK && !x->json) status = dw_fail_memory(err, "the light");
  dw__lights_give(&x->bench->lights, held);
  dw_photo_close(photo);
  free(marks);
  return status;
}

/* Run lengths, row by row; thinned by a whole step so that a screen's worth of pixels stays. */
static json_t *classes_json(const dw_classes *classes) {
  const dw_rect *r = &classes->rect;
  int step = 1;
  while ((int64_t)((r->w + step - 1) / step) * ((r->h + step - 1) / step) > CLASSES_PIXELS_MAX) step++;
  json_t *runs = json_array();
  int of = -1;
  json_int_t length = 0;
  for (int y = 0; y < r->h; y += step)
    for (int col = 0; col < r->w; col += step) {
      int here = classes->of[(size_t)y * (size_t)r->w + (size_t)col];
      if (here != of && length) {
        runs = dw_json_and(runs, json_integer(of));
        runs = dw_json_and(runs, json_integer(length));
        length = 0;
      }
      of = here;
      length++;
    }
  runs = dw_json_and(runs, json_integer(of));
  runs = dw_json_and(runs, json_integer(length));
  int measured = classes->step > 1 ? classes->step : 1;
  return json_pack("{s:i, s:i, s:i, s:i, s:i, s:o}", "x", r->x, "y", r->y, "w", (r->w + step - 1) / step, "h",
                   (r->h + step - 1) / step, "step", step * measured, "runs", runs);
}

/* Not while it is dragged: the hand is on its way. */
static dw_status tell_board(dw__exchange *x, dw_photo *photo, const dw_light *light,
                            const dw_layer_reading *reading, dw_error *err) {
  bool hit;
  if (json_is_true(json_object_get(x->body, "quick"))) return DW_OK;
  dw_status status = dw__boards_hit(&x->bench->boards, x->part[0], photo, light, reading, &hit, err);
  if (status == DW_OK) x->json = dw_json_with(x->json, "on_board", json_boolean(hit));
  if (status == DW_OK && hit) x->json = dw_json_with(x->json, "doubt", json_string(DW__ON_BOARD_WORDS));
  return status;
}

/* Beside what the target's photos told of its flake, where the body says which layer of which pattern it is. */
static dw_status tell_flake(dw__exchange *x, const dw_layer_reading *reading, dw_error *err) {
  dw_pattern pattern;
  const dw_pattern_layer *layer;
  dw_flake_aim aim = {.known = false};
  const char *name = json_string_value(json_object_get(x->body, "layer"));
  if (!name || json_is_true(json_object_get(x->body, "quick"))) return DW_OK;
  dw_status status = dw__book_begin_reading(x->bench, err);
  if (status != DW_OK) return status;
  status = dw__pattern_of(x->bench->book, x->body, &pattern, err);
  if (status == DW_OK) status = dw_pattern_layer_find(&pattern, name, &layer, err);
  if (status == DW_OK) status = dw_flake_compare(x->bench->book, layer->id, &reading->reading, &aim, err);
  status = dw__book_end(x->bench, status, err);
  if (status != DW_OK || !aim.known) return status;
  x->json = dw_json_with(x->json, "flake_aim",
                         json_pack("{s:o, s:o, s:o, s:s}", "target_share", dw_json_round(aim.target_share, 4),
                                   "target", aim.has_color ? dw_json_lab(aim.target) : json_null(), "de00",
                                   dw_json_round(aim.de00, 2), "words", aim.words));
  return DW_OK;
}

static dw_status measure(dw__exchange *x, dw_photo *photo, const dw_light *light, const dw_mark *mark,
                         dw_error *err) {
  bool wanted = json_is_true(json_object_get(x->body, "classes"));
  size_t most = json_is_true(json_object_get(x->body, "quick")) ? QUICK_PIXELS_MAX : 0;
  dw_classes classes;
  dw_arena *arena = dw_arena_new(MEASURE_BYTES_MAX);
  dw_layer_reading *reading = calloc(1, sizeof *reading);
  dw_status status = arena && reading ? DW_OK : dw_fail_memory(err, "the reading");
  if (status == DW_OK)
    status = dw_flow_measure(photo, light, mark, most, arena, reading, wanted ? &classes : NULL, err);
  if (status == DW_OK) x->json = dw_json_layer(reading);
  if (status == DW_OK && wanted) x->json = dw_json_with(x->json, "classes", classes_json(&classes));
  if (status == DW_OK) status = tell_board(x, photo, light, reading, err);
  if (status == DW_OK) status = tell_flake(x, reading, err);
  dw_arena_free(arena);
  free(reading);
  return status == DW_OK && !x->json ? dw_fail_memory(err, "the reading") : status;
}

static dw_status mark_of(const json_t *body, dw_mark *out, dw_error *err) {
  const char *shape = json_string_value(json_object_get(body, "shape"));
  const char *name = json_string_value(json_object_get(body, "name"));
  if (!shape) return dw_fail(err, DW_USAGE, "\"shape\" is missing.");
  if (name && !dw_utf8_plain(name)) return dw_fail(err, DW_USAGE, "\"name\" holds a control character.");
  dw_copy_text(out->name, sizeof out->name, name && *name ? name : "region");
  return dw_shape_parse(shape, &out->shape, err);
}

dw_status dw__measure_post(dw__exchange *x, dw_error *err) {
  dw__held_light *held = NULL;
  dw_photo *photo = NULL;
  dw_marks *marks = calloc(1, sizeof *marks);
  dw_mark *mark = calloc(1, sizeof *mark);
  dw_status status = marks && mark ? mark_of(x->body, mark, err) : dw_fail_memory(err, "the marks");
  if (status == DW_OK)
    status = open_for_marks(x, json_object_get(x->body, "marks"), marks, &photo, &held, err);
  if (status == DW_OK) status = measure(x, photo, held->light, mark, err);
  dw__lights_give(&x->bench->lights, held);
  dw_photo_close(photo);
  free(mark);
  free(marks);
  return status;
}
