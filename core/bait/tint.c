/* The color of a board's shadows.
 *
 * What one light casts is lit by the others: by the sky where the sun casts it, by a window where a lamp does. So a*, b*
 * of a shadow leave the darkened board's, by more the darker it is, and to one side all over the photo. Where a shadow
 * is faint its color is told from plastic's by how gradually it comes; there it is learned. */
#include "bait/view.h"

#include <string.h>

/* Shadow of such shares of the board's lightness tells its tint: where darker it may be a body, and where lighter hardly
 * tells any. */
#define FAINT_LEAST 0.80f
#define FAINT_MOST 0.95f
/* How far a*, b* may lie off there, of all of the darkness, and besides. */
#define OFF_MOST 45.0f
#define OFF_BESIDES 2.0f
/* Half of what is faint has one tint to within so much. */
#define SPREAD_MOST 8.0
/* What shadow may differ from the darkened board anyway hides a fainter one. */
#define TINT_LEAST 8.0f
/* As many pixels tell it at least. */
enum { FAINT_PIXELS = 400 };
/* Counted are whole numbers, up to half as many. */
enum { BINS = 128 };

typedef struct tint {
  size_t n, count[2][BINS]; /* of a*, b* off, over the darkness */
} tint;

static size_t bin_of(float slope) {
  float at = slope + BINS / 2.0f;
  return (size_t)fminf(fmaxf(at, 0), BINS - 1);
}

/* Whether a pixel may be faint shadow; counts it where it tells the tint. */
static bool faint(const dw__view *view, uint32_t i, tint *to) {
  float off[2], share = dw__view_ratio(view, i, off), dark = 1 - share;
  float most = fmaxf(OFF_BESIDES, 3 * (float)view->noise) + OFF_MOST * dark;
  if (share < FAINT_LEAST || share > DW__SHADE_LIGHTEST || off[0] * off[0] + off[1] * off[1] > most * most)
    return false;
  if (share > FAINT_MOST) return true;
  for (int k = 0; k < 2; k++) to->count[k][bin_of(off[k] / dark)]++;
  to->n++;
  return true;
}

/* The slope of a*, b* below which a part of what was counted lies. */
static double slope_below(const tint *t, int k, double part) {
  double sum = 0;
  size_t b = 0;
  part *= (double)t->n;
  while (b + 1 < BINS && sum + (double)t->count[k][b] < part) sum += (double)t->count[k][b++];
  return ((double)b + (part - sum) / fmax((double)t->count[k][b], 1) - BINS / 2.0);
}

/* Counts what is reached from the queue's first pixels, as dw__tint_learn takes them. */
static void faint_count(const dw__view *view, const float *soft, const uint8_t *step, uint8_t *seen,
                        size_t tail, tint *to) {
  uint32_t *queue = view->list;
  for (size_t head = 0; head < tail; head++) {
    uint32_t next[4];
    for (int k = dw__view_beside(view, queue[head], next); k-- > 0;) {
      uint32_t i = next[k];
      if (view->on[i] != DW__ON_THING || seen[i] || step[i]) continue;
      if (fabsf(soft[i] - soft[queue[head]]) > DW__SHADE_STEP || !faint(view, i, to)) continue;
      seen[i] = 1;
      queue[tail++] = i;
    }
  }
}

void dw__tint_learn(dw__view *view, const float *soft, const uint8_t *step, uint8_t *seen, size_t beside) {
  tint t = {0};
  memset(seen, 0, (size_t)view->w * (size_t)view->h);
  faint_count(view, soft, step, seen, beside, &t);
  if (t.n < FAINT_PIXELS) return;
  for (int k = 0; k < 2; k++)
    if (slope_below(&t, k, .75) - slope_below(&t, k, .25) > SPREAD_MOST) return;
  const float a = (float)slope_below(&t, 0, .5), b = (float)slope_below(&t, 1, .5);
  if (hypotf(a, b) >= TINT_LEAST) view->tint[0] = a, view->tint[1] = b;
}
