/* What lies on the board: pixels that differ from it and are not its shadow.
 *
 * A shadow darkens the board and keeps its hue, and fades over some pixels; a bait of such a color, gray on
 * gray, begins with a step.  So shadow is reached from the board through pixels of the board's own hue,
 * without a step and through no narrow gap between steps; only its last pixels lie beside one. */
#include "bait/view.h"

#include <stdlib.h>
#include <string.h>

/* A shadow leaves at least this share of the board's lightness (with its 16 of CIELAB's cube root). */
#define SHADOW_LEAST 0.68f
/* And where a body touches the board. */
#define TOUCH_LEAST 0.45f
/* How far its hue and chroma may lie from the darkened board's, and how much more for all of the darkness. */
#define SHADOW_TINT 2.0f
#define SHADOW_TINT_DEEP 4.0f
/* Where its tint is so strong that hardly any plastic has it by chance, it may be steeper for so many pixels, near what
 * casts it, and dark there. */
#define STEEP_TINT 20.0f
#define SHADOW_STEEP 4.5f
enum { STEEP_FAR = 16 };
/* A hole of less than this share of the frame is filled. */
#define HOLE_SHARE 0.0015
/* Pixels on both sides of a step that are passed only at the end. */
enum { CLEARANCE = 2 };

typedef struct marker {
  dw__view *view;
  float *soft; /* h x w: L* averaged over 3 x 3, against noise */
  uint8_t *step, *spare;
  uint32_t *queue;
} marker;

static const int way[4][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}};

/* How dark a shadow of the board would have such a color: DW__SHADE_. */
static uint8_t shade_at(const dw__view *view, size_t i) {
  float b[3], p[3], share;
  dw__view_board(view, (int)(i % (size_t)view->w), (int)(i / (size_t)view->w), b);
  for (int k = 0; k < 3; k++) p[k] = view->lab[k][i];
  float off = dw__shade_off_tinted(b, p, view->tint, &share);
  if (share > DW__SHADE_LIGHTEST || share < TOUCH_LEAST) return DW__SHADE_NONE;
  float noise = 3 * (float)view->noise, tint = SHADOW_TINT > noise ? SHADOW_TINT : noise;
  if (off >= tint + SHADOW_TINT_DEEP * (1 - share)) return DW__SHADE_NONE;
  return share < SHADOW_LEAST ? DW__SHADE_TOUCH : DW__SHADE_SOFT;
}

uint8_t dw__view_shade(const dw__view *view, size_t i) {
  uint8_t *shade = &view->shade[i];
  if (*shade == DW__SHADE_UNKNOWN) *shade = shade_at(view, i);
  return *shade;
}

static void join(uint8_t *out, const uint8_t *more, size_t n) {
  for (size_t i = 0; i < n; i++) out[i] |= more[i];
}

/* Sets a pixel where any within CLEARANCE, along the row and down, is set. */
static void widen(uint8_t *step, uint8_t *spare, size_t w, size_t h) {
  memcpy(spare, step, w * h);
  for (size_t y = 0; y < h; y++)
    for (size_t k = 1; k <= CLEARANCE && k < w; k++) {
      join(step + y * w + k, spare + y * w, w - k);
      join(step + y * w, spare + y * w + k, w - k);
    }
  memcpy(spare, step, w * h);
  for (size_t k = 1; k <= CLEARANCE && k < h; k++) {
    join(step + k * w, spare, (h - k) * w);
    join(step, spare + k * w, (h - k) * w);
  }
}

static void steps_find(marker *m) {
  size_t w = (size_t)m->view->w, h = (size_t)m->view->h;
  dw__view_soften(m->view, m->view->lab[0], m->soft); /* no pixel is queued yet */
  for (size_t y = 0; y < h; y++) {
    const float *row = m->soft + y * w, *below = y + 1 < h ? row + w : row;
    uint8_t *step = m->step + y * w;
    for (size_t x = 0; x + 1 < w; x++)
      step[x] = (fabsf(row[x + 1] - row[x]) > DW__SHADE_STEP) | (fabsf(below[x] - row[x]) > DW__SHADE_STEP);
    step[w - 1] = fabsf(below[w - 1] - row[w - 1]) > DW__SHADE_STEP;
  }
  widen(m->step, m->spare, w, h);
}

/* The pixels of board and shadow beside a thing, which are queued first. */
static size_t beside_things(marker *m) {
  const dw__view *view = m->view;
  size_t w = (size_t)view->w, tail = 0;
  memset(m->spare, 0, w * (size_t)view->h);
  for (int y = 0; y < view->h; y++) {
    const uint8_t *row = view->on + (size_t)y * w, *end = row + w, *at = row;
    while ((at = memchr(at, DW__ON_THING, (size_t)(end - at)))) {
      int x = (int)(at++ - row);
      for (int k = 0; k < 4; k++) {
        int nx = x + way[k][0], ny = y + way[k][1], next = ny * view->w + nx;
        if (nx < 0 || ny < 0 || nx >= view->w || ny >= view->h || m->spare[next]) continue;
        if (view->on[next] == DW__ON_THING) continue;
        m->spare[next] = 1;
        m->queue[tail++] = (uint32_t)next;
      }
    }
  }
  return tail;
}

/* How a flood goes on from shadow to shadow. */
typedef struct reach {
  int most;      /* pixels far; 0 without end, but not near a step */
  float steep;   /* L* to the next pixel, at most */
  uint8_t shade; /* DW__SHADE_SOFT, or DW__SHADE_TOUCH for what is darker, too */
} reach;

/* From the queue's pixels from..tail on, as far as shadow goes; returns the queue's length. */
static size_t shadow_flood(marker *m, size_t from, size_t tail, reach to) {
  dw__view *view = m->view;
  size_t end = tail;
  for (size_t head = from, far = 0; head < tail; head++) {
    if (head == end) end = tail, far++;
    if (to.most && far >= (size_t)to.most) break;
    uint32_t beside[4];
    for (int k = dw__view_beside(view, m->queue[head], beside); k-- > 0;) {
      uint32_t next = beside[k];
      if (view->on[next] != DW__ON_THING) continue;
      if ((!to.most && m->step[next]) || dw__view_shade(view, next) < to.shade) continue;
      if (fabsf(m->soft[next] - m->soft[m->queue[head]]) > to.steep) continue;
      view->on[next] = DW__ON_SHADOW;
      m->queue[tail++] = next;
    }
  }
  return tail;
}

/* What is reached from the board as its shadow. A steep one begins in a gentle one: from the board itself a step leads to a
 * body of such a color. */
static void shadows_leave(marker *m) {
  static const reach gentle = {0, DW__SHADE_STEP, DW__SHADE_SOFT},
                     steep = {STEEP_FAR, SHADOW_STEEP, DW__SHADE_TOUCH},
                     last = {CLEARANCE + 1, DW__SHADE_STEP, DW__SHADE_SOFT};
  size_t beside = beside_things(m);
  dw__tint_learn(m->view, m->soft, m->step, m->spare, beside);
  size_t tail = shadow_flood(m, 0, beside, gentle);
  if (hypotf(m->view->tint[0], m->view->tint[1]) > STEEP_TINT) tail = shadow_flood(m, beside, tail, steep);
  shadow_flood(m, 0, tail, last);
}

/* ---- holes ----------------------------------------------------------------------------------------------
 */

/* Pixels of a row beside each other that are no thing, first <= i < end; runs of rows that touch have one
 * root, which is the first of them. */
typedef struct run {
  uint32_t first, end, root, area;
  bool open; /* reaches the frame's edge */
} run;

static uint32_t root_of(run *runs, uint32_t i) {
  while (runs[i].root != i) i = runs[i].root = runs[runs[i].root].root;
  return i;
}

static void runs_join(run *runs, uint32_t a, uint32_t b) {
  a = root_of(runs, a), b = root_of(runs, b);
  runs[a > b ? a : b].root = a > b ? b : a;
}

/* The runs of row y, put behind n others; returns how many there are then. */
static uint32_t row_runs(const dw__view *view, int y, run *runs, uint32_t n) {
  const uint8_t *row = view->on + (size_t)y * (size_t)view->w, *end = row + view->w, *at = row;
  bool edge = y == 0 || y == view->h - 1;
  while (at < end) {
    const uint8_t *next = memchr(at, DW__ON_THING, (size_t)(end - at));
    if (!next) next = end;
    if (next > at) {
      runs[n] = (run){.first = (uint32_t)(at - view->on), .end = (uint32_t)(next - view->on), .root = n};
      runs[n++].open = edge || at == row || next == end;
    }
    for (at = next; at < end && *at == DW__ON_THING;) at++;
  }
  return n;
}

/* Joins the runs of one row, from..to, with those of the row above, which end where they begin. */
static void rows_join(run *runs, uint32_t above, uint32_t from, uint32_t to, uint32_t wide) {
  for (uint32_t i = above, k = from; i < from && k < to;) {
    if (runs[i].first + wide < runs[k].end && runs[k].first < runs[i].end + wide) runs_join(runs, i, k);
    if (runs[i].end + wide < runs[k].end)
      i++;
    else
      k++;
  }
}

/* Small enclosed areas of board are part of the thing around: a layer of the board's color, a gloss. */
static dw_status holes_fill(dw__view *view, dw_error *err) {
  size_t wide = (size_t)view->w, area = wide * (size_t)view->h;
  run *runs = malloc((area / 2 + (size_t)view->h) * sizeof *runs);
  uint32_t n = 0, above = 0, from = 0;
  if (!runs) return dw_fail_memory(err, "the board's shadows");
  for (int y = 0; y < view->h; y++) {
    n = row_runs(view, y, runs, n);
    rows_join(runs, above, from, n, (uint32_t)wide);
    above = from, from = n;
  }
  for (uint32_t i = 0; i < n; i++) {
    run *root = &runs[root_of(runs, i)];
    root->area += runs[i].end - runs[i].first;
    root->open |= runs[i].open;
  }
  for (uint32_t i = 0; i < n; i++) {
    const run *root = &runs[root_of(runs, i)];
    if (root->open || root->area > HOLE_SHARE * (double)area) continue;
    memset(view->on + runs[i].first, DW__ON_THING, runs[i].end - runs[i].first);
  }
  free(runs);
  return DW_OK;
}

/* What differs from the board. */
static void things_set(dw__view *view) {
  size_t n = (size_t)view->w * (size_t)view->h;
  float edge = (float)view->edge;
  for (size_t i = 0; i < n; i++) view->on[i] = view->far[i] < edge ? DW__ON_BOARD : DW__ON_THING;
}

dw_status dw__things_mark(dw__view *view, dw_error *err) {
  size_t n = (size_t)view->w * (size_t)view->h;
  marker m = {.view = view,
              .soft = view->plane,
              .step = (uint8_t *)view->mark,
              .spare = (uint8_t *)view->mark + n,
              .queue = view->list};
  things_set(view);
  dw__lines_leave(view, m.spare);
  dw_status status = holes_fill(view, err);
  if (status != DW_OK) return status;
  steps_find(&m);
  shadows_leave(&m);
  status = dw__cast_leave(view, m.soft, m.spare, beside_things(&m), err);
  if (status == DW_OK) dw__seams_close(view, m.spare);
  return status == DW_OK ? holes_fill(view, err) : status;
}
