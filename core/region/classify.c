/* Pixel by pixel: what is plastic, what is gloss, flake, shadow or clipped. */
#include "region/measuring.h"

#include <math.h>
#include <string.h>

/* Below half an 8-bit code in every channel nothing is left to read. */
#define BLACK_LINEAR 1.5e-4f

enum { PASSES = 2 };

/* A saturated plastic rightly has a channel at 0, so only its high end, or black all through, is clipped. */
static bool clipped(const float rgb[3], uint8_t clip) {
  if (!isfinite(rgb[0]) || !isfinite(rgb[1]) || !isfinite(rgb[2])) return true;
  if (clip & DW_CLIP_HIGH) return true;
  return (clip & DW_CLIP_LOW) && fmaxf(rgb[0], fmaxf(rgb[1], rgb[2])) < BLACK_LINEAR;
}

size_t dw__pixels_count(const dw__measuring *work, dw_pixel_class wanted) {
  size_t count = 0;
  for (size_t y = 0; y < work->h; y++)
    for (size_t i = work->run[y].first; i < work->run[y].end; i++)
      count += dw__class_of(work->cls[i]) == wanted;
  return count;
}

static dw__run run_of(const uint8_t *mask, size_t first, size_t end) {
  while (first < end && !mask[first]) first++;
  while (first < end && !mask[end - 1]) end--;
  return (dw__run){first, end};
}

size_t dw__pixels_sure(const dw__measuring *work) {
  size_t sure = 0;
  for (size_t y = 0; y < work->h; y++)
    for (size_t i = work->run[y].first; i < work->run[y].end; i++) sure += work->cls[i] == DW_PIXEL_KEPT;
  return sure;
}

static void start(dw__measuring *work, const uint8_t *mask) {
  work->inside = 0;
  memset(work->cls, DW_PIXEL_OUTSIDE, work->w * work->h);
  for (size_t y = 0; y < work->h; y++) {
    work->run[y] = run_of(mask, y * work->w, (y + 1) * work->w);
    for (size_t i = work->run[y].first; i < work->run[y].end; i++) {
      if (!mask[i]) continue;
      work->inside++;
      work->cls[i] =
          clipped(work->patch->rgb + 3 * i, work->patch->clip[i]) ? DW_PIXEL_CLIPPED : DW_PIXEL_KEPT;
    }
  }
  work->surface =
      (dw__surface){.layout = dw__layout_of(mask, work->run, &work->patch->rect), .level = 1, .term = {1}};
}

/* Every step-th usable pixel, at a scattered place within its step so that no pattern of columns results. */
static size_t sample_take(dw__measuring *work, size_t usable) {
  size_t step = (usable + DW__SAMPLE_MAX - 1) / DW__SAMPLE_MAX, steps = 0, in_step = 0, taken = 0, wanted = 0;
  for (size_t y = 0; y < work->h; y++)
    for (size_t i = work->run[y].first; i < work->run[y].end && taken < DW__SAMPLE_MAX; i++) {
      if (work->cls[i] != DW_PIXEL_KEPT) continue;
      if (in_step == step) in_step = 0, steps++;
      if (in_step == 0) wanted = (size_t)(((uint32_t)steps * 2654435761u) >> 8) % step;
      if (in_step++ != wanted) continue;
      memcpy(work->sample + 3 * taken++, work->patch->rgb + 3 * i, 3 * sizeof(float));
    }
  return taken;
}

/* Gathers the shadow pixels connected to `first`; returns their number, *edge when they reach the outside. */
static size_t shadow_flood(dw__measuring *work, size_t first, bool *edge) {
  size_t w = work->w, h = work->h, head = 0, tail = 0;
  work->queue[tail++] = (uint32_t)first;
  work->grown[first] = 1;
  *edge = false;
  while (head < tail) {
    size_t at = work->queue[head++], x = at % w, y = at / w;
    for (int k = 0; k < 9; k++) {
      size_t nx = x + (size_t)(k % 3) - 1, ny = y + (size_t)(k / 3) - 1; /* wraps to huge when outside */
      if (nx >= w || ny >= h || work->cls[ny * w + nx] == DW_PIXEL_OUTSIDE) {
        *edge = true;
        continue;
      }
      size_t next = ny * w + nx;
      if (work->cls[next] != DW_PIXEL_SHADOW || work->grown[next]) continue;
      work->grown[next] = 1;
      work->queue[tail++] = (uint32_t)next;
    }
  }
  return tail;
}

/* A dark speck within the plastic is flake; a shadow comes in from the edge or is large. */
static void specks_to_flake(dw__measuring *work) {
  size_t large = work->inside / 50;
  memset(work->grown, 0, work->w * work->h);
  for (size_t y = 0; y < work->h; y++)
    for (size_t i = work->run[y].first; i < work->run[y].end; i++) {
      if (work->cls[i] != DW_PIXEL_SHADOW || work->grown[i]) continue;
      bool edge;
      size_t n = shadow_flood(work, i, &edge);
      if (edge || n > large) continue;
      for (size_t k = 0; k < n; k++) work->cls[work->queue[k]] = DW_PIXEL_FLAKE;
    }
}

/* done  the pixel to the left has already marked all but the column farthest to the right */
static void margin_around(dw__measuring *work, size_t x, size_t y, size_t reach, bool done) {
  size_t y0 = y > reach ? y - reach : 0, x0 = done ? x + reach : x > reach ? x - reach : 0;
  for (size_t ny = y0; ny <= y + reach && ny < work->h; ny++)
    for (size_t nx = x0; nx <= x + reach && nx < work->w; nx++) {
      uint8_t *at = &work->cls[ny * work->w + nx];
      if (*at == DW_PIXEL_KEPT) *at = DW_PIXEL_KEPT | DW__MARGIN;
    }
}

static void margins_clear(dw__measuring *work) {
  for (size_t y = 0; y < work->h; y++)
    for (size_t i = work->run[y].first; i < work->run[y].end; i++)
      work->cls[i] = (uint8_t)dw__class_of(work->cls[i]);
}

/* Lens blur and the photo's coarser color mix a pixel with its neighbors, so those beside gloss, flake and
 * foreign matter are plastic but do not speak for it.  The margin is the widest that leaves enough others. */
static void margins_mark(dw__measuring *work) {
  for (size_t widest = 2; widest > 0; widest--) {
    const size_t reach[] = {
        [DW_PIXEL_GLOSS] = widest, [DW_PIXEL_CLIPPED] = widest, [DW_PIXEL_FLAKE] = 1, [DW_PIXEL_SHADOW] = 1};
    for (size_t y = 0; y < work->h; y++)
      for (size_t i = work->run[y].first, last = 0; i < work->run[y].end; i++) {
        uint8_t cls = work->cls[i];
        size_t own = cls > DW_PIXEL_KEPT && cls < DW__MARGIN ? reach[cls] : 0;
        if (own) margin_around(work, i - y * work->w, y, own, last >= own);
        last = own;
      }
    size_t sure = dw__pixels_sure(work), kept = dw__pixels_count(work, DW_PIXEL_KEPT);
    if (sure >= DW__SURE_MIN && sure >= kept / 10) return;
    margins_clear(work);
  }
}

/* Fits the body to the sure pixels, then judges all. */
static dw_status judge(dw__measuring *work, size_t sure, dw_error *err) {
  dw__body body;
  size_t n = sample_take(work, sure);
  dw_status status = dw__body_fit(work->sample, n, work->white, work->scratch, &body, err);
  if (status != DW_OK) return status;
  for (size_t y = 0; y < work->h; y++)
    for (size_t i = work->run[y].first; i < work->run[y].end; i++)
      if (work->cls[i] != DW_PIXEL_OUTSIDE && work->cls[i] != DW_PIXEL_CLIPPED)
        work->cls[i] = (uint8_t)dw__body_class(&body, work->patch->rgb + 3 * i);
  specks_to_flake(work);
  margins_mark(work);
  return DW_OK;
}

/* Twice: what lies away from the gloss and flake found first shows the body far more purely. */
dw_status dw__pixels_classify(dw__measuring *work, const uint8_t *mask, dw_error *err) {
  start(work, mask);
  for (int pass = 0; pass < PASSES; pass++) {
    size_t sure = dw__pixels_sure(work);
    if (sure < DW__KEPT_MIN) return DW_OK; /* the caller words it */
    dw_status status = judge(work, sure, err);
    if (status != DW_OK) return status;
  }
  return DW_OK;
}
