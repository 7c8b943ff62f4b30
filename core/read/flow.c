/* photo -> light -> regions -> Lab, in the order it happens. */
#include "read/finding.h"

#include <stdlib.h>
#include <string.h>

static size_t light_count(const dw_marks *marks) {
  return marks->method == DW_LIGHT_CARD ? marks->card.rows * marks->card.cols
                                        : marks->method == DW_LIGHT_GRAY;
}

/* Puts what it is about before what was said. */
static dw_status of_thing(const char *thing, const char *name, dw_status status, dw_error *err) {
  if (status == DW_OK || !err) return status;
  char why[sizeof err->text];
  dw_copy_text(why, sizeof why, err->text);
  return dw_fail(err, status, name ? "%s \"%s\": %.400s" : "%s%s: %.400s", thing, name ? name : "", why);
}

static dw_status of_layer(const dw_mark *mark, dw_status status, dw_error *err) {
  return of_thing("Layer", mark->name, status, err);
}

/* Which rectangles the light needs: light_count of them. */
static dw_status light_rects(const dw_marks *marks, const dw_photo_info *info, dw_rect *out, dw_error *err) {
  if (marks->method == DW_LIGHT_CARD) return dw_card_rects(&marks->card, &marks->corners, info, out, err);
  if (marks->method == DW_LIGHT_GRAY)
    return of_thing("The gray patch", NULL, dw_shape_bounds(&marks->gray, info, out, err), err);
  return DW_OK;
}

/* The gray patch's pixels inside its shape, packed. */
static dw_status fit_gray(const dw_marks *marks, const dw_patch *patch, dw_arena *arena, dw_light **out,
                          dw_error *err) {
  size_t all = (size_t)patch->rect.w * (size_t)patch->rect.h, n = 0;
  uint8_t *mask = dw_arena_take(arena, all, 1);
  if (!mask) return dw_fail_memory(err, "the gray patch");
  dw_shape_mask(&marks->gray, &patch->rect, mask);
  for (size_t i = 0; i < all; i++) {
    if (!mask[i]) continue;
    memmove(&patch->rgb[3 * n], &patch->rgb[3 * i], 3 * sizeof *patch->rgb);
    patch->clip[n++] = patch->clip[i];
  }
  return dw_light_gray(patch->rgb, patch->clip, n, marks->gray_y, out, err);
}

static dw_status fit_light(const dw_marks *marks, const dw_patch *patches, dw_arena *arena, dw_light **out,
                           dw_error *err) {
  switch (marks->method) {
  case DW_LIGHT_CARD:
    return dw_light_card(&marks->card, &marks->corners, patches, out, err);
  case DW_LIGHT_GRAY:
    return fit_gray(marks, patches, arena, out, err);
  default:
    return dw_light_none(out, err);
  }
}

/* A thinned patch is a photo of its own, as much smaller: there the shape lies nearer to its first pixel. */
void dw__patch_mask(const dw_shape *shape, const dw_patch *patch, uint8_t *mask) {
  dw_shape thinned = *shape;
  size_t points = shape->kind == DW_SHAPE_POLY ? 2 * shape->n : 2; /* what is a place, not a size */
  dw_rect at = patch->rect;
  for (size_t i = 0; patch->step > 1 && i < (shape->kind == DW_SHAPE_POLY ? points : 4); i++) {
    double first = i < points ? (i % 2 ? at.y : at.x) : 0;
    thinned.xy[i] = first + (shape->xy[i] - first) / patch->step;
  }
  dw_shape_mask(&thinned, &at, mask);
}

static dw_status measure_layer(const dw_mark *mark, const dw_patch *patch, const dw_light *light,
                               dw_layer_reading *out, uint8_t *classes, dw_error *err) {
  uint8_t *mask = malloc((size_t)patch->rect.w * (size_t)patch->rect.h);
  if (!mask) return dw_fail_memory(err, "a layer's pixels");
  dw__patch_mask(&mark->shape, patch, mask);
  memcpy(out->name, mark->name, sizeof out->name);
  out->shape = mark->shape;
  dw_status status = of_layer(mark, dw_region_measure(patch, mask, light, &out->reading, classes, err), err);
  free(mask);
  return status;
}

/* Everything one reading needs while it is made. */
typedef struct reading_work {
  const dw_marks *marks;
  dw_photo *photo;
  dw_arena *pixels;
  size_t lights, n; /* the first `lights` rectangles belong to the card or gray patch, then one a layer */
  dw_rect *rect;
  dw_patch *patch;
  dw_light *light;
} reading_work;

static dw_status plan_rectangles(reading_work *work, dw_error *err) {
  const dw_marks *marks = work->marks;
  const dw_photo_info *info = dw_photo_info_get(work->photo);
  work->lights = light_count(marks);
  work->n = work->lights + marks->n;
  if (work->n == 0) return dw_fail(err, DW_USAGE, "Nothing is marked in %s.", dw_photo_path(work->photo));
  work->rect = dw_arena_take(work->pixels, work->n, sizeof *work->rect);
  work->patch = dw_arena_take(work->pixels, work->n, sizeof *work->patch);
  if (!work->rect || !work->patch) return dw_fail_memory(err, "the marked regions");
  dw_status status = light_rects(marks, info, work->rect, err);
  for (size_t i = 0; i < marks->n && status == DW_OK; i++) {
    const dw_mark *mark = &marks->layer[i];
    status = of_layer(mark, dw_shape_bounds(&mark->shape, info, &work->rect[work->lights + i], err), err);
  }
  return status;
}

static dw_status read_marks(reading_work *work, dw_photo_reading *out, dw_error *err) {
  const dw_marks *marks = work->marks;
  dw_status status = plan_rectangles(work, err);
  if (status == DW_OK)
    status = dw_photo_patches(work->photo, work->rect, work->n, work->pixels, work->patch, err);
  if (status == DW_OK) status = fit_light(marks, work->patch, work->pixels, &work->light, err);
  for (size_t i = 0; i < marks->n && status == DW_OK; i++)
    status = measure_layer(&marks->layer[i], &work->patch[work->lights + i], work->light, &out->layer[i],
                           NULL, err);
  if (status != DW_OK) return status;
  dw_copy_text(out->path, sizeof out->path, dw_photo_path(work->photo));
  out->photo = *dw_photo_info_get(work->photo);
  out->light = *dw_light_info_get(work->light);
  out->has_corners = marks->method == DW_LIGHT_CARD;
  out->corners = marks->corners;
  out->card = marks->card;
  out->n = marks->n;
  return DW_OK;
}

dw_status dw_flow_read(const char *path, const dw_marks *marks, const dw_photo_limits *limits,
                       int preview_side, dw_arena *arena, dw_photo_reading *out, dw_preview *preview,
                       dw_error *err) {
  reading_work work = {.marks = marks};
  dw_photo_reading *result = calloc(1, sizeof *result);
  dw_status status =
      result ? dw_photo_open(path, limits, &work.photo, err) : dw_fail_memory(err, "the reading");
  if (status != DW_OK) goto done;
  dw_photo_limits most = limits ? *limits : dw_photo_limits_default();
  work.pixels = dw_arena_new(most.max_bytes);
  status = work.pixels ? read_marks(&work, result, err) : dw_fail_memory(err, "the photo's pixels");
  if (status == DW_OK && preview_side > 0)
    status = dw_photo_preview(work.photo, preview_side, arena, preview, err);
  if (status == DW_OK) *out = *result;
done:
  dw_light_free(work.light);
  dw_arena_free(work.pixels);
  dw_photo_close(work.photo);
  free(result);
  return status;
}

dw_status dw__flow_light_of(dw_photo *photo, const dw_marks *marks, dw_arena *arena, dw_patch **patches,
                            dw_light **out, dw_error *err) {
  size_t n = light_count(marks);
  dw_rect *rects = dw_arena_take(arena, n + 1, sizeof *rects);
  *patches = dw_arena_take(arena, n + 1, sizeof **patches);
  dw_status status = rects && *patches ? DW_OK : dw_fail_memory(err, "the card's patches");
  if (status == DW_OK) status = light_rects(marks, dw_photo_info_get(photo), rects, err);
  if (status == DW_OK) status = dw_photo_patches(photo, rects, n, arena, *patches, err);
  return status == DW_OK ? fit_light(marks, *patches, arena, out, err) : status;
}

dw_status dw_flow_light(dw_photo *photo, const dw_marks *marks, size_t max_bytes, dw_light **out,
                        dw_error *err) {
  dw_patch *patches;
  dw_arena *arena = dw_arena_new(max_bytes);
  dw_status status = arena ? dw__flow_light_of(photo, marks, arena, &patches, out, err)
                           : dw_fail_memory(err, "the card's patches");
  dw_arena_free(arena);
  return status;
}

int dw__step_for(const dw_rect *rect, size_t most) {
  int step = 1;
  while (most && (double)rect->w * rect->h > (double)most * step * step) step++;
  return step;
}

dw_status dw_flow_measure(dw_photo *photo, const dw_light *light, const dw_mark *mark, size_t most,
                          dw_arena *arena, dw_layer_reading *out, dw_classes *classes, dw_error *err) {
  dw_rect rect;
  dw_patch patch;
  dw_status status = dw_shape_bounds(&mark->shape, dw_photo_info_get(photo), &rect, err);
  if (status == DW_OK)
    status = dw_photo_patch_thinned(photo, rect, dw__step_for(&rect, most), arena, &patch, err);
  if (status != DW_OK) return of_layer(mark, status, err);
  uint8_t *of = NULL;
  if (classes && !(of = dw_arena_take(arena, (size_t)patch.rect.w * (size_t)patch.rect.h, 1)))
    return dw_fail_memory(err, "a layer's pixels");
  status = measure_layer(mark, &patch, light, out, of, err);
  if (status == DW_OK && classes) *classes = (dw_classes){patch.rect, patch.step, of};
  return status;
}
