/* Seams: where the blend of two layers passes through the board's color, a body seems to be two that lie side by side.
 *
 * Between two bodies the board lies in view, darkened by them: color leaves the one in a step, stays, and comes to the
 * other in a step. In a blend it goes on from one layer's to the other's, fastest in the middle. A seam is longer than
 * what it joins is thick. */
#include "bait/view.h"

#include <string.h>

/* The most pixels across a seam, along a row or down, and how far to both sides of its middle colors are compared. */
enum { GAP_MOST = 6, REACH = 6, SAMPLES = 2 * REACH + 1 };
/* Thickness is looked for so far to each side; a seam is longer than what it joins is thick, by this factor. */
enum { THICK_MOST = 400 };
#define LONG_LEAST 1.2
/* Both sides differ by so much, about CIEDE2000. */
#define APART_LEAST 10.0f
/* Colors lie off the line between both sides' by such a share of its length at most, and change in the middle by such a
 * share of what they change by beside it at least. */
#define LINE_OFF 0.2
#define STEADY_LEAST 0.8

enum { ALONG_ROW, DOWN_COLUMN, WAYS };

typedef struct finder {
  dw__view *view;
  uint8_t *state; /* between two things: 1 + WAYS * how far they lie apart + which way; else 0 */
  uint32_t *queue;
} finder;

/* The colors across one seam, its size, and of what it joins. */
typedef struct seam {
  double n, lab[SAMPLES][3], thick;
  int x0, y0, x1, y1;
} seam;

/* How many pixels from a place on are things, or are none; at most so many. */
static int run_of(const dw__view *view, int x, int y, int dx, int dy, bool thing, int most) {
  int n = 0;
  for (; n < most && dw__view_holds(view, x, y); x += dx, y += dy, n++)
    if ((view->on[y * view->w + x] == DW__ON_THING) != thing) break;
  return n;
}

/* Marks what lies between a thing's pixel and the next thing's that way, where that is near. */
static void between_mark(finder *f, int x, int y, int way) {
  int dx = way == ALONG_ROW, dy = !dx;
  int n = run_of(f->view, x + dx, y + dy, dx, dy, false, GAP_MOST + 1);
  if (n < 1 || n > GAP_MOST || !dw__view_holds(f->view, x + (n + 1) * dx, y + (n + 1) * dy)) return;
  uint8_t mark = (uint8_t)(1 + WAYS * n + way);
  for (int k = 1; k <= n; k++) {
    uint8_t *state = &f->state[(y + k * dy) * f->view->w + x + k * dx];
    if (!*state || *state > mark) *state = mark;
  }
}

static void gaps_mark(finder *f) {
  int w = f->view->w;
  memset(f->state, 0, (size_t)w * (size_t)f->view->h);
  for (int y = 0; y < f->view->h; y++) {
    const uint8_t *row = f->view->on + y * w, *at = row;
    while ((at = memchr(at, DW__ON_THING, (size_t)(row + w - at)))) {
      int x = (int)(at++ - row);
      if (x + 1 < w && *at != DW__ON_THING) between_mark(f, x, y, ALONG_ROW);
      if (y + 1 < f->view->h && row[w + x] != DW__ON_THING) between_mark(f, x, y, DOWN_COLUMN);
    }
  }
}

/* The colors across at one pixel, where it is the middle of its gap. */
static void across_add(const finder *f, int x, int y, int way, seam *s) {
  const dw__view *v = f->view;
  int dx = way == ALONG_ROW, dy = !dx;
  int before = run_of(v, x, y, -dx, -dy, false, GAP_MOST + 1),
      after = run_of(v, x, y, dx, dy, false, GAP_MOST + 1);
  if (before - after < 0 || before - after > 1) return;
  if (!dw__view_holds(v, x - REACH * dx, y - REACH * dy) ||
      !dw__view_holds(v, x + REACH * dx, y + REACH * dy))
    return;
  size_t step = (size_t)(dx + dy * v->w), at = (size_t)(y * v->w + x) - REACH * step;
  double turned = 0;
  for (int k = 0; k < 3; k++)
    turned += (s->lab[SAMPLES - 1][k] - s->lab[0][k]) *
              (double)(v->lab[k][at + (SAMPLES - 1) * step] - v->lab[k][at]);
  for (size_t i = 0; i < SAMPLES; i++)
    for (int k = 0; k < 3; k++)
      s->lab[turned < 0 ? SAMPLES - 1 - i : i][k] += (double)v->lab[k][at + i * step];
  s->thick += before + run_of(v, x - before * dx, y - before * dy, -dx, -dy, true, THICK_MOST);
  s->thick += after - 1 + run_of(v, x + after * dx, y + after * dy, dx, dy, true, THICK_MOST);
  s->n++;
}

/* All of one gap, from one pixel on; returns the queue's length. */
static size_t seam_take(finder *f, uint32_t start, seam *out) {
  int w = f->view->w;
  size_t tail = 0;
  *out = (seam){.x0 = (int)start % w, .x1 = (int)start % w, .y0 = (int)start / w, .y1 = (int)start / w};
  f->queue[tail++] = start;
  uint8_t mark = f->state[start];
  f->state[start] = 0;
  across_add(f, out->x0, out->y0, (mark - 1) % WAYS, out);
  for (size_t head = 0; head < tail; head++) {
    int x = (int)f->queue[head] % w, y = (int)f->queue[head] / w;
    out->x0 = x < out->x0 ? x : out->x0, out->x1 = x > out->x1 ? x : out->x1;
    out->y0 = y < out->y0 ? y : out->y0, out->y1 = y > out->y1 ? y : out->y1;
    for (int k = 0; k < 9; k++) {
      int nx = x + k % 3 - 1, ny = y + k / 3 - 1;
      if (!dw__view_holds(f->view, nx, ny) || !(mark = f->state[ny * w + nx])) continue;
      f->state[ny * w + nx] = 0;
      f->queue[tail++] = (uint32_t)(ny * w + nx);
      across_add(f, nx, ny, (mark - 1) % WAYS, out);
    }
  }
  for (int i = 0; i < SAMPLES; i++)
    for (int k = 0; k < 3; k++) out->lab[i][k] /= fmax(out->n, 1);
  out->thick /= fmax(out->n, 1);
  return tail;
}

/* Whether color goes on through it from one side to the other. */
static bool goes_on(const seam *s) {
  double way[3], length = 0, at[SAMPLES];
  for (int k = 0; k < 3; k++) way[k] = s->lab[SAMPLES - 1][k] - s->lab[0][k], length += way[k] * way[k];
  for (int i = 0; i < SAMPLES; i++) {
    double off = 0;
    at[i] = 0;
    for (int k = 0; k < 3; k++) at[i] += way[k] * (s->lab[i][k] - s->lab[0][k]) / length;
    for (int k = 0; k < 3; k++) off += pow(s->lab[i][k] - s->lab[0][k] - at[i] * way[k], 2);
    if (off > LINE_OFF * LINE_OFF * length) return false;
  }
  double middle = (at[REACH + 1] - at[REACH - 1]) / 2;
  return middle >= STEADY_LEAST * (at[REACH + 3] - at[REACH + 1]) / 2 &&
         middle >= STEADY_LEAST * (at[REACH - 1] - at[REACH - 3]) / 2;
}

static bool is_seam(const seam *s) {
  float side[2][3], weight[2];
  double length = hypot(s->x1 - s->x0 + 1, s->y1 - s->y0 + 1);
  if (!(s->n > 0) || length < LONG_LEAST * s->thick) return false;
  for (int k = 0; k < 3; k++) side[0][k] = (float)s->lab[0][k], side[1][k] = (float)s->lab[SAMPLES - 1][k];
  dw__search_weights(side[0], weight);
  return dw__search_apart(side[0], side[1], weight) >= APART_LEAST && goes_on(s);
}

void dw__seams_close(dw__view *view, uint8_t *state) {
  finder f = {.view = view, .state = state, .queue = view->list};
  gaps_mark(&f);
  size_t area = (size_t)view->w * (size_t)view->h;
  for (size_t i = 0; i < area; i++) {
    seam s;
    if (!state[i]) continue;
    size_t n = seam_take(&f, (uint32_t)i, &s);
    if (!is_seam(&s)) continue;
    for (size_t k = 0; k < n; k++) view->on[view->list[k]] = DW__ON_THING;
  }
}
