/* photo -> light -> regions -> Lab -> difference -> advice: the whole main job, in the order it happens.
 * (What is done with the result, text, JSON, or an HTML report, is in report/.) */
#include "app/flow.h"

#include <stdlib.h>
#include <string.h>

/* Everything one reading needs while it is made. */
typedef struct reading_work {
  const pt_marks *marks;
  pt_photo *photo;
  pt_arena *pixels;
  size_t light_rects, n; /* the first light_rects belong to the card or gray patch, then one a layer */
  pt_rect *rect;
  pt_patch *patch;
  pt_light *light;
} reading_work;

static const pt_photo_info *photo_info(const reading_work *work) {
  return pt_photo_info_get(work->photo);
}

/* Which rectangles of the photo are needed. */
static pt_status plan_rectangles(reading_work *work, pt_error *err) {
  const pt_marks *marks = work->marks;
  size_t patches = marks->card.rows * marks->card.cols;
  work->light_rects = marks->method == PT_LIGHT_CARD ? patches : marks->method == PT_LIGHT_GRAY ? 1 : 0;
  work->n = work->light_rects + marks->n;
  if (work->n == 0) return pt_fail(err, PT_USAGE, "Nothing is marked in %s.", pt_photo_path(work->photo));
  work->rect = pt_arena_take(work->pixels, work->n, sizeof *work->rect);
  work->patch = pt_arena_take(work->pixels, work->n, sizeof *work->patch);
  if (!work->rect || !work->patch) return pt_fail_memory(err, "the marked regions");
  pt_status status = PT_OK;
  if (marks->method == PT_LIGHT_CARD)
    status = pt_card_rects(&marks->card, &marks->corners, photo_info(work), work->rect, err);
  else if (marks->method == PT_LIGHT_GRAY)
    status = pt_shape_bounds(&marks->gray, photo_info(work), &work->rect[0], err);
  for (size_t i = 0; i < marks->n && status == PT_OK; i++) {
    status =
        pt_shape_bounds(&marks->layer[i].shape, photo_info(work), &work->rect[work->light_rects + i], err);
    if (status != PT_OK && err) {
      char why[sizeof err->text];
      pt_copy_text(why, sizeof why, err->text);
      pt_fail(err, status, "Layer \"%s\": %.400s", marks->layer[i].name, why);
    }
  }
  return status;
}

/* The gray patch's pixels inside its shape, packed. */
static pt_status fit_gray(reading_work *work, pt_error *err) {
  const pt_patch *patch = &work->patch[0];
  size_t all = (size_t)patch->rect.w * (size_t)patch->rect.h, n = 0;
  uint8_t *mask = pt_arena_take(work->pixels, all, 1);
  if (!mask) return pt_fail_memory(err, "the gray patch");
  pt_shape_mask(&work->marks->gray, &patch->rect, mask);
  for (size_t i = 0; i < all; i++) {
    if (!mask[i]) continue;
    memmove(&patch->rgb[3 * n], &patch->rgb[3 * i], 3 * sizeof *patch->rgb);
    patch->clip[n++] = patch->clip[i];
  }
  return pt_light_gray(patch->rgb, patch->clip, n, work->marks->gray_y, &work->light, err);
}

static pt_status fit_light(reading_work *work, pt_error *err) {
  switch (work->marks->method) {
  case PT_LIGHT_CARD:
    return pt_light_card(&work->marks->card, &work->marks->corners, work->patch, &work->light, err);
  case PT_LIGHT_GRAY:
    return fit_gray(work, err);
  default:
    return pt_light_none(&work->light, err);
  }
}

static pt_status measure_layer(reading_work *work, size_t i, pt_layer_reading *out, pt_error *err) {
  const pt_mark *mark = &work->marks->layer[i];
  const pt_patch *patch = &work->patch[work->light_rects + i];
  size_t all = (size_t)patch->rect.w * (size_t)patch->rect.h;
  uint8_t *mask = malloc(all);
  if (!mask) return pt_fail_memory(err, "a layer's pixels");
  pt_shape_mask(&mark->shape, &patch->rect, mask);
  memcpy(out->name, mark->name, sizeof out->name);
  out->shape = mark->shape;
  pt_error inner = {0};
  pt_status status = pt_region_measure(patch, mask, work->light, &out->reading, NULL, &inner);
  if (status != PT_OK) pt_fail(err, status, "Layer \"%s\": %.400s", mark->name, inner.text);
  free(mask);
  return status;
}

static pt_status read_marks(reading_work *work, pt_photo_reading *out, pt_error *err) {
  const pt_marks *marks = work->marks;
  pt_status status = plan_rectangles(work, err);
  if (status == PT_OK)
    status = pt_photo_patches(work->photo, work->rect, work->n, work->pixels, work->patch, err);
  if (status == PT_OK) status = fit_light(work, err);
  if (status != PT_OK) return status;
  for (size_t i = 0; i < marks->n && status == PT_OK; i++)
    status = measure_layer(work, i, &out->layer[i], err);
  if (status != PT_OK) return status;
  pt_copy_text(out->path, sizeof out->path, pt_photo_path(work->photo));
  out->photo = *photo_info(work);
  out->light = *pt_light_info_get(work->light);
  out->has_corners = marks->method == PT_LIGHT_CARD;
  out->corners = marks->corners;
  out->card = marks->card;
  out->n = marks->n;
  return PT_OK;
}

pt_status pt__flow_read(const char *path, const pt_marks *marks, const pt_photo_limits *limits,
                        int preview_side, pt_arena *arena, pt_photo_reading *out, pt_preview *preview,
                        pt_error *err) {
  reading_work work = {.marks = marks};
  pt_photo_reading *result = calloc(1, sizeof *result);
  pt_status status =
      result ? pt_photo_open(path, limits, &work.photo, err) : pt_fail_memory(err, "the reading");
  if (status != PT_OK) goto done;
  pt_photo_limits most = limits ? *limits : pt_photo_limits_default();
  work.pixels = pt_arena_new(most.max_bytes);
  status = work.pixels ? read_marks(&work, result, err) : pt_fail_memory(err, "the photo's pixels");
  if (status == PT_OK && preview_side > 0)
    status = pt_photo_preview(work.photo, preview_side, arena, preview, err);
  if (status == PT_OK) *out = *result;
done:
  pt_light_free(work.light);
  pt_arena_free(work.pixels);
  pt_photo_close(work.photo);
  free(result);
  return status;
}

static const pt_layer_reading *reading_of(const pt_photo_reading *reading, const char *name) {
  for (size_t i = 0; i < reading->n; i++)
    if (strcmp(reading->layer[i].name, name) == 0) return &reading->layer[i];
  return NULL;
}

pt_status pt__flow_advise(const pt_photo_reading *reading, pt_advice_request *request,
                          const pt_plugins *plugins, pt_advice_result **out, pt_error *err) {
  for (size_t i = 0; i < request->n; i++) {
    pt_layer *layer = &request->layer[i];
    const pt_layer_reading *found = reading_of(reading, layer->name);
    if (!found)
      return pt_fail(err, PT_NOT_FOUND, "%s has no marked layer \"%s\", which the pattern asks for.",
                     reading->path, layer->name);
    layer->has_measured = true;
    layer->measured = found->reading.lab;
    layer->measured_uncertainty_de00 = found->reading.uncertainty_de00;
  }
  return pt_advise(request, plugins, out, err);
}
