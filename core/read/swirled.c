/* Every bait of a photo as a swirl. */
#include "dropwise/read_swirl.h"
#include "read/finding.h"
#include "read/swirl_fit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Left out of the body at its edges, where it is thin and turns away, and at its ends. */
#define EDGE_SHARE 0.12
#define END_SHARE 0.05
/* Pixels of one bait that are enough. */
enum { PIXELS_ENOUGH = 200000 };

typedef struct work {
  dw__finding f;
  size_t colors, n_target;
  const dw_lab *target;
  dw__swirl_places *places; /* one a bait; owned */
} work;

/* ---- one area -------------------------------------------------------------------------------------------- */

static void body_shape(const dw_bait *bait, dw_shape *out) {
  size_t first = (size_t)(END_SHARE * DW_BAIT_STATIONS), n = DW_BAIT_STATIONS - 2 * first;
  *out = (dw_shape){.kind = DW_SHAPE_POLY, .n = 2 * n};
  for (size_t i = 0; i < n; i++) {
    const dw_bait_station *s = &bait->station[first + i];
    double dx = s->belly_x - s->back_x, dy = s->belly_y - s->back_y;
    size_t j = 2 * n - 1 - i;
    out->xy[2 * i] = s->back_x + EDGE_SHARE * dx, out->xy[2 * i + 1] = s->back_y + EDGE_SHARE * dy;
    out->xy[2 * j] = s->belly_x - EDGE_SHARE * dx, out->xy[2 * j + 1] = s->belly_y - EDGE_SHARE * dy;
  }
}

static dw_status area_read(const work *w, const dw_shape *shape, const dw_patch *patch, dw_arena *arena,
                           dw__swirl_places *out, dw_error *err) {
  uint8_t *mask = dw_arena_take(arena, (size_t)patch->rect.w * (size_t)patch->rect.h, 1);
  if (!mask) return dw_fail_memory(err, "a swirl's pixels");
  dw__patch_mask(shape, patch, mask);
  return dw__swirl_places_make(patch, mask, w->f.light, out, err);
}

/* The areas that are thinned by this step: the photo is decoded once for all of them. */
static dw_status areas_read(const work *w, const dw_swirls *s, const dw_rect *rect, int step, dw_error *err) {
  size_t which[DW_BAITS_MAX], n = 0;
  dw_rect part[DW_BAITS_MAX];
  dw_patch patch[DW_BAITS_MAX];
  for (size_t i = 0; i < s->n; i++)
    if (dw__step_for(&rect[i], PIXELS_ENOUGH) == step) part[n] = rect[i], which[n++] = i;
  dw_arena *arena = dw_arena_new(dw_photo_limits_default().max_bytes);
  dw_status status = arena ? dw_photo_patches_thinned(w->f.photo, part, n, step, arena, patch, err)
                           : dw_fail_memory(err, "a swirl's pixels");
  for (size_t i = 0; status == DW_OK && i < n; i++)
    status = area_read(w, &s->bait[which[i]].shape, &patch[i], arena, &w->places[which[i]], err);
  dw_arena_free(arena);
  return status;
}

static dw_status places_read(const work *w, const dw_swirls *s, dw_error *err) {
  dw_rect rect[DW_BAITS_MAX];
  dw_status status = DW_OK;
  int most = 1;
  for (size_t i = 0; i < s->n; i++) {
    status = dw_shape_bounds(&s->bait[i].shape, dw_photo_info_get(w->f.photo), &rect[i], err);
    if (status != DW_OK) return status;
    int step = dw__step_for(&rect[i], PIXELS_ENOUGH);
    most = step > most ? step : most;
  }
  for (int step = 1; status == DW_OK && step <= most; step++) status = areas_read(w, s, rect, step, err);
  return status;
}

/* Baits of one photo are of the same plastics: a color that one bait hardly shows, another does. */
static dw_status pool_fit(const work *w, size_t baits, dw__swirl_fit *out, dw_error *err) {
  size_t all = 0, n = 0, seen = 0;
  float *lab = malloc(3 * DW__SWIRL_PLACES_MAX * sizeof *lab);
  if (!lab) return dw_fail_memory(err, "a swirl's places");
  for (size_t i = 0; i < baits; i++) all += w->places[i].n;
  size_t step = (all + DW__SWIRL_PLACES_MAX - 1) / DW__SWIRL_PLACES_MAX;
  for (size_t i = 0; i < baits; i++)
    for (size_t k = 0; k < w->places[i].n; k++)
      if (seen++ % step == 0) memcpy(lab + 3 * n++, w->places[i].lab + 3 * k, 3 * sizeof *lab);
  dw__swirl_fit_best(lab, n, w->colors, out);
  free(lab);
  return DW_OK;
}

static dw_status baits_measure(work *w, dw_swirls *out, dw_error *err) {
  dw__swirl_fit fit;
  dw_status status = dw__swirl_check(w->colors, err);
  w->places = calloc(out->n + 1, sizeof *w->places);
  if (status == DW_OK && !w->places) status = dw_fail_memory(err, "a swirl's places");
  if (status == DW_OK) status = places_read(w, out, err);
  if (status == DW_OK) status = pool_fit(w, out->n, &fit, err);
  for (size_t i = 0; status == DW_OK && i < out->n; i++) {
    dw_swirl *to = &out->bait[i].swirl;
    dw__swirl_tell(&w->places[i], &fit, w->colors, w->f.light, to);
    if (w->n_target) dw_swirl_order(to, w->target, w->n_target);
  }
  for (size_t i = 0; w->places && i < out->n; i++) dw__swirl_places_free(&w->places[i]);
  free(w->places);
  return status;
}

/* ---- the mean -------------------------------------------------------------------------------------------- */

static void color_mean(const dw_swirls *s, size_t c, dw_swirl_color *out) {
  double count = (double)s->n, own = 0, own_share = 0, apart = 0, apart_share = 0;
  *out = (dw_swirl_color){.share = 0};
  for (size_t i = 0; i < s->n; i++) {
    const dw_swirl_color *from = &s->bait[i].swirl.color[c];
    out->share += from->share, out->spread_de00 += from->spread_de00;
    out->lab.L += from->lab.L, out->lab.a += from->lab.a, out->lab.b += from->lab.b;
    own += from->uncertainty_de00 * from->uncertainty_de00;
    own_share += from->share_doubt * from->share_doubt;
  }
  out->share /= count, out->spread_de00 /= count;
  out->lab = (dw_lab){out->lab.L / count, out->lab.a / count, out->lab.b / count};
  for (size_t i = 0; i < s->n; i++) {
    const dw_swirl_color *from = &s->bait[i].swirl.color[c];
    double d = dw_de00(out->lab, from->lab);
    apart += d * d;
    apart_share += (from->share - out->share) * (from->share - out->share);
  }
  /* the light's doubt is common to all; shares differ by chance */
  double free = fmax(count - 1, 1) * count;
  out->uncertainty_de00 = fmax(sqrt(own / count), sqrt(apart / free));
  out->share_doubt = fmax(sqrt(own_share) / count, sqrt(apart_share / free));
}

/* In the order of the first bait's colors where no targets tell it. */
static void mean_take(const work *w, dw_swirls *out) {
  size_t n = out->bait[0].swirl.n;
  dw_lab order[DW_SWIRL_COLORS_MAX];
  for (size_t c = 0; c < n; c++) order[c] = out->bait[0].swirl.color[c].lab;
  out->mean = (dw_swirl){.n = n};
  for (size_t i = 0; i < out->n; i++) {
    dw_swirl *s = &out->bait[i].swirl;
    if (w->n_target != n) dw_swirl_order(s, order, n);
    out->mean.blended += s->blended / (double)out->n, out->mean.aside += s->aside / (double)out->n;
    out->mean.pixels += s->pixels;
  }
  for (size_t c = 0; c < n; c++) color_mean(out, c, &out->mean.color[c]);
}

/* ---- the photo ------------------------------------------------------------------------------------------- */

static dw_status found_take(work *w, const dw_find_wish *wish, dw_swirls *out, dw_error *err) {
  size_t most = dw_photo_limits_default().max_bytes;
  dw_arena *arena = dw_arena_new(0);
  dw_found *found = calloc(1, sizeof *found);
  dw_status status = arena && found ? dw__finding_marks(wish->card_set, wish->light, w->f.marks, err)
                                    : dw_fail_memory(err, "the baits");
  if (status == DW_OK) status = dw__find_in(&w->f, &wish->rules, most, arena, found, err);
  if (status == DW_OK && found->baits.n == 0)
    status = dw__found_none(found, "Mark it: --layer NAME=SHAPE.", err);
  for (size_t i = 0; status == DW_OK && i < found->baits.n; i++) {
    dw_swirl_bait *to = &out->bait[out->n++];
    snprintf(to->name, sizeof to->name, "bait %zu", i + 1);
    body_shape(&found->baits.bait[i], &to->shape);
  }
  if (status == DW_OK) out->reading = found->reading;
  free(found);
  dw_arena_free(arena);
  return status;
}

static dw_status marked_take(work *w, dw_swirls *out, dw_error *err) {
  const dw_marks *marks = w->f.marks;
  if (marks->n > DW_BAITS_MAX)
    return dw_fail(err, DW_BAD_INPUT, "1 to %d areas are read as swirls at once, not %zu.", DW_BAITS_MAX,
                   marks->n);
  for (out->n = 0; out->n < marks->n; out->n++) {
    dw_swirl_bait *to = &out->bait[out->n];
    memcpy(to->name, marks->layer[out->n].name, sizeof to->name);
    to->shape = marks->layer[out->n].shape;
  }
  dw_status status = dw_flow_light(w->f.photo, marks, dw_photo_limits_default().max_bytes, &w->f.light, err);
  if (status == DW_OK) dw__finding_head(&w->f, &out->reading);
  return status;
}

dw_status dw_swirls_read(const char *path, const dw_marks *marks, const dw_find_wish *wish, size_t colors,
                         const dw_lab *targets, size_t n, dw_swirls *out, dw_error *err) {
  work w = {.colors = n ? n : colors, .target = targets, .n_target = n};
  const dw_find_wish search = dw__light_only(wish, &marks);
  dw_swirls *made = calloc(1, sizeof *made);
  dw_marks *own = calloc(1, sizeof *own);
  w.f.marks = own;
  dw_status status =
      made && own ? dw_photo_open(path, NULL, &w.f.photo, err) : dw_fail_memory(err, "the swirls");
  if (status == DW_OK && marks) *own = *marks;
  if (status == DW_OK) status = marks ? marked_take(&w, made, err) : found_take(&w, &search, made, err);
  if (status == DW_OK) status = baits_measure(&w, made, err);
  if (status == DW_OK) {
    mean_take(&w, made);
    *out = *made;
  }
  dw_light_free(w.f.light);
  dw_photo_close(w.f.photo);
  free(own);
  free(made);
  return status;
}
