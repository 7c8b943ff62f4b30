/* photo -> light -> regions -> Lab -> difference -> advice: the whole main job, in the order it happens.
 * (What is done with the result, text, JSON, or an HTML report, is in report/.) */
#include "app/flow.h"

#include <stdlib.h>
#include <string.h>

static size_t light_count(const pt_marks *marks) {
  return marks->method == PT_LIGHT_CARD ? marks->card.rows * marks->card.cols
                                        : marks->method == PT_LIGHT_GRAY;
}

/* Puts what it is about before what was said. */
static pt_status of_thing(const char *thing, const char *name, pt_status status, pt_error *err) {
  if (status == PT_OK || !err) return status;
  char why[sizeof err->text];
  pt_copy_text(why, sizeof why, err->text);
  return pt_fail(err, status, name ? "%s \"%s\": %.400s" : "%s%s: %.400s", thing, name ? name : "", why);
}

static pt_status of_layer(const pt_mark *mark, pt_status status, pt_error *err) {
  return of_thing("Layer", mark->name, status, err);
}

/* Which rectangles the light needs: light_count of them. */
static pt_status light_rects(const pt_marks *marks, const pt_photo_info *info, pt_rect *out, pt_error *err) {
  if (marks->method == PT_LIGHT_CARD) return pt_card_rects(&marks->card, &marks->corners, info, out, err);
  if (marks->method == PT_LIGHT_GRAY)
    return of_thing("The gray patch", NULL, pt_shape_bounds(&marks->gray, info, out, err), err);
  return PT_OK;
}

/* The gray patch's pixels inside its shape, packed. */
static pt_status fit_gray(const pt_marks *marks, const pt_patch *patch, pt_arena *arena, pt_light **out,
                          pt_error *err) {
  size_t all = (size_t)patch->rect.w * (size_t)patch->rect.h, n = 0;
  uint8_t *mask = pt_arena_take(arena, all, 1);
  if (!mask) return pt_fail_memory(err, "the gray patch");
  pt_shape_mask(&marks->gray, &patch->rect, mask);
  for (size_t i = 0; i < all; i++) {
    if (!mask[i]) continue;
    memmove(&patch->rgb[3 * n], &patch->rgb[3 * i], 3 * sizeof *patch->rgb);
    patch->clip[n++] = patch->clip[i];
  }
  return pt_light_gray(patch->rgb, patch->clip, n, marks->gray_y, out, err);
}

static pt_status fit_light(const pt_marks *marks, const pt_patch *patches, pt_arena *arena, pt_light **out,
                           pt_error *err) {
  switch (marks->method) {
  case PT_LIGHT_CARD:
    return pt_light_card(&marks->card, &marks->corners, patches, out, err);
  case PT_LIGHT_GRAY:
    return fit_gray(marks, patches, arena, out, err);
  default:
    return pt_light_none(out, err);
  }
}

/* A thinned patch is a photo of its own, as much smaller: there the shape lies nearer to its first pixel. */
static void mask_of(const pt_shape *shape, const pt_patch *patch, uint8_t *mask) {
  pt_shape thinned = *shape;
  size_t points = shape->kind == PT_SHAPE_POLY ? 2 * shape->n : 2; /* what is a place, not a size */
  pt_rect at = patch->rect;
  for (size_t i = 0; patch->step > 1 && i < (shape->kind == PT_SHAPE_POLY ? points : 4); i++) {
    double first = i < points ? (i % 2 ? at.y : at.x) : 0;
    thinned.xy[i] = first + (shape->xy[i] - first) / patch->step;
  }
  pt_shape_mask(&thinned, &at, mask);
}

static pt_status measure_layer(const pt_mark *mark, const pt_patch *patch, const pt_light *light,
                               pt_layer_reading *out, uint8_t *classes, pt_error *err) {
  uint8_t *mask = malloc((size_t)patch->rect.w * (size_t)patch->rect.h);
  if (!mask) return pt_fail_memory(err, "a layer's pixels");
  mask_of(&mark->shape, patch, mask);
  memcpy(out->name, mark->name, sizeof out->name);
  out->shape = mark->shape;
  pt_status status = of_layer(mark, pt_region_measure(patch, mask, light, &out->reading, classes, err), err);
  free(mask);
  return status;
}

/* Everything one reading needs while it is made. */
typedef struct reading_work {
  const pt_marks *marks;
  pt_photo *photo;
  pt_arena *pixels;
  size_t lights, n; /* the first `lights` rectangles belong to the card or gray patch, then one a layer */
  pt_rect *rect;
  pt_patch *patch;
  pt_light *light;
} reading_work;

static pt_status plan_rectangles(reading_work *work, pt_error *err) {
  const pt_marks *marks = work->marks;
  const pt_photo_info *info = pt_photo_info_get(work->photo);
  work->lights = light_count(marks);
  work->n = work->lights + marks->n;
  if (work->n == 0) return pt_fail(err, PT_USAGE, "Nothing is marked in %s.", pt_photo_path(work->photo));
  work->rect = pt_arena_take(work->pixels, work->n, sizeof *work->rect);
  work->patch = pt_arena_take(work->pixels, work->n, sizeof *work->patch);
  if (!work->rect || !work->patch) return pt_fail_memory(err, "the marked regions");
  pt_status status = light_rects(marks, info, work->rect, err);
  for (size_t i = 0; i < marks->n && status == PT_OK; i++) {
    const pt_mark *mark = &marks->layer[i];
    status = of_layer(mark, pt_shape_bounds(&mark->shape, info, &work->rect[work->lights + i], err), err);
  }
  return status;
}

static pt_status read_marks(reading_work *work, pt_photo_reading *out, pt_error *err) {
  const pt_marks *marks = work->marks;
  pt_status status = plan_rectangles(work, err);
  if (status == PT_OK)
    status = pt_photo_patches(work->photo, work->rect, work->n, work->pixels, work->patch, err);
  if (status == PT_OK) status = fit_light(marks, work->patch, work->pixels, &work->light, err);
  for (size_t i = 0; i < marks->n && status == PT_OK; i++)
    status = measure_layer(&marks->layer[i], &work->patch[work->lights + i], work->light, &out->layer[i],
                           NULL, err);
  if (status != PT_OK) return status;
  pt_copy_text(out->path, sizeof out->path, pt_photo_path(work->photo));
  out->photo = *pt_photo_info_get(work->photo);
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

pt_status pt__flow_light(pt_photo *photo, const pt_marks *marks, size_t max_bytes, pt_light **out,
                         pt_error *err) {
  size_t n = light_count(marks);
  pt_arena *arena = pt_arena_new(max_bytes);
  pt_rect *rects = arena ? pt_arena_take(arena, n + 1, sizeof *rects) : NULL;
  pt_patch *patches = arena ? pt_arena_take(arena, n + 1, sizeof *patches) : NULL;
  pt_status status = rects && patches ? PT_OK : pt_fail_memory(err, "the card's patches");
  if (status == PT_OK) status = light_rects(marks, pt_photo_info_get(photo), rects, err);
  if (status == PT_OK) status = pt_photo_patches(photo, rects, n, arena, patches, err);
  if (status == PT_OK) status = fit_light(marks, patches, arena, out, err);
  pt_arena_free(arena);
  return status;
}

static int step_for(const pt_rect *rect, size_t most) {
  int step = 1;
  while (most && (double)rect->w * rect->h > (double)most * step * step) step++;
  return step;
}

pt_status pt__flow_measure(pt_photo *photo, const pt_light *light, const pt_mark *mark, size_t most,
                           pt_arena *arena, pt_layer_reading *out, pt_classes *classes, pt_error *err) {
  pt_rect rect;
  pt_patch patch;
  pt_status status = pt_shape_bounds(&mark->shape, pt_photo_info_get(photo), &rect, err);
  if (status == PT_OK)
    status = pt_photo_patch_thinned(photo, rect, step_for(&rect, most), arena, &patch, err);
  if (status != PT_OK) return of_layer(mark, status, err);
  uint8_t *of = NULL;
  if (classes && !(of = pt_arena_take(arena, (size_t)patch.rect.w * (size_t)patch.rect.h, 1)))
    return pt_fail_memory(err, "a layer's pixels");
  status = measure_layer(mark, &patch, light, out, of, err);
  if (status == PT_OK && classes) *classes = (pt_classes){patch.rect, patch.step, of};
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
