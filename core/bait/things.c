/* What lies on the board: pixels that differ from it and are not its shadow.
 *
 * A shadow darkens the board and keeps its hue, and fades over some pixels; a bait of such a color, gray on
 * gray, begins with a step.  So shadow is reached from the board through pixels of the board's own hue,
 * without a step and through no narrow gap between steps; only its last pixels lie beside one. */
#include "bait/view.h"

#include <string.h>

/* A shadow leaves at least this share of the board's lightness (with its 16 of CIELAB's cube root). */
#define SHADOW_LEAST 0.68f
/* And where a body touches the board. */
#define TOUCH_LEAST 0.45f
/* How far its hue and chroma may lie from the darkened board's, and how much more for all of the darkness. */
#define SHADOW_TINT 2.0f
#define SHADOW_TINT_DEEP 4.0f
/* The most that L* changes from one pixel to the next in a shadow. */
#define SHADOW_STEP 1.9f
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

static bool like_shadow(const dw__view *view, size_t i, float least) {
  const float *p = view->lab + 3 * i, *b = view->board + 3 * i;
  float share = (p[0] + 16) / (b[0] + 16);
  if (share > 1.02f || share < least) return false;
  float a = p[1] - share * b[1], c = p[2] - share * b[2];
  float off = sqrtf(a * a + c * c) / (1 + 0.03f * sqrtf(b[1] * b[1] + b[2] * b[2]));
  return off < fmaxf(SHADOW_TINT, 3 * (float)view->noise) + SHADOW_TINT_DEEP * (1 - share);
}

static float soft_L(const dw__view *view, int x, int y) {
  static const float tap[3] = {.25f, .5f, .25f};
  float sum = 0;
  for (int j = -1; j <= 1; j++)
    for (int i = -1; i <= 1; i++) {
      int nx = x + i < 0 ? 0 : x + i >= view->w ? view->w - 1 : x + i;
      int ny = y + j < 0 ? 0 : y + j >= view->h ? view->h - 1 : y + j;
      sum += tap[i + 1] * tap[j + 1] * view->lab[3 * (ny * view->w + nx)];
    }
  return sum;
}

/* Sets out where any pixel within CLEARANCE along a line is set. */
static void widen(const uint8_t *in, int lines, int n, size_t next_line, size_t next, uint8_t *out) {
  for (int line = 0; line < lines; line++)
    for (int i = 0; i < n; i++) {
      const uint8_t *at = in + (size_t)line * next_line + (size_t)i * next;
      uint8_t any = 0;
      for (int k = -CLEARANCE; k <= CLEARANCE; k++)
        if (i + k >= 0 && i + k < n) any |= at[(ptrdiff_t)k * (ptrdiff_t)next];
      out[(size_t)line * next_line + (size_t)i * next] = any;
    }
}

static void steps_find(marker *m) {
  int w = m->view->w, h = m->view->h;
  for (int y = 0, i = 0; y < h; y++)
    for (int x = 0; x < w; x++, i++) m->soft[i] = soft_L(m->view, x, y);
  for (int y = 0, i = 0; y < h; y++)
    for (int x = 0; x < w; x++, i++)
      m->step[i] = (x + 1 < w && fabsf(m->soft[i + 1] - m->soft[i]) > SHADOW_STEP) ||
                   (y + 1 < h && fabsf(m->soft[i + w] - m->soft[i]) > SHADOW_STEP);
  widen(m->step, h, w, (size_t)w, 1, m->spare);
  widen(m->spare, w, h, 1, (size_t)w, m->step);
}

/* From the first `tail` pixels of the queue on, as far as shadow goes; returns the queue's length.
 * most  how many pixels far; 0 without end, but not near a step */
static size_t shadow_flood(marker *m, size_t tail, int most) {
  dw__view *view = m->view;
  size_t end = tail;
  for (size_t head = 0, far = 0; head < tail; head++) {
    if (head == end) end = tail, far++;
    if (most && far >= (size_t)most) break;
    int x = (int)m->queue[head] % view->w, y = (int)m->queue[head] / view->w;
    for (int k = 0; k < 4; k++) {
      int nx = x + way[k][0], ny = y + way[k][1], next = ny * view->w + nx;
      if (nx < 0 || ny < 0 || nx >= view->w || ny >= view->h || view->on[next] != DW__ON_THING) continue;
      if ((!most && m->step[next]) || !like_shadow(view, (size_t)next, SHADOW_LEAST)) continue;
      if (fabsf(m->soft[next] - m->soft[m->queue[head]]) > SHADOW_STEP) continue;
      view->on[next] = DW__ON_SHADOW;
      m->queue[tail++] = (uint32_t)next;
    }
  }
  return tail;
}

/* Sets `out` where the board, or its shadow, is connected to the frame's edge: to and fro over the picture
 * until nothing changes, which is soon. */
static void open_find(const dw__view *view, uint8_t *out) {
  int w = view->w, h = view->h;
  memset(out, 0, (size_t)w * (size_t)h);
  for (bool moved = true; moved;) {
    moved = false;
    for (int pass = 0; pass < 2; pass++)
      for (int j = 0; j < h; j++) {
        int y = pass ? h - 1 - j : j, beside = pass ? 1 : -1;
        for (int i = 0; i < w; i++) {
          int x = pass ? w - 1 - i : i, at = y * w + x;
          if (out[at] || view->on[at] == DW__ON_THING) continue;
          bool first = i == 0, top = j == 0, last = i == w - 1 || j == h - 1;
          if (!first && !top && !last && !out[at + beside] && !out[at + beside * w]) continue;
          out[at] = 1;
          moved = true;
        }
      }
  }
}

/* The connected area of the board that was not reached, from pixel i on; returns its size. */
static size_t hole_take(marker *m, uint8_t *seen, size_t i) {
  dw__view *view = m->view;
  size_t tail = 0;
  m->queue[tail++] = (uint32_t)i;
  seen[i] = 1;
  for (size_t head = 0; head < tail; head++) {
    int x = (int)m->queue[head] % view->w, y = (int)m->queue[head] / view->w;
    for (int k = 0; k < 4; k++) {
      int next = (y + way[k][1]) * view->w + x + way[k][0]; /* never over the edge: that is reached */
      if (seen[next] || view->on[next] == DW__ON_THING) continue;
      seen[next] = 1;
      m->queue[tail++] = (uint32_t)next;
    }
  }
  return tail;
}

/* Small enclosed areas of board are part of the thing around: a layer of the board's color, a gloss. */
static void holes_fill(marker *m) {
  dw__view *view = m->view;
  size_t area = (size_t)view->w * (size_t)view->h, most = (size_t)(HOLE_SHARE * (double)area);
  uint8_t *seen = m->spare;
  open_find(view, seen);
  for (size_t i = 0; i < area; i++) {
    if (seen[i] || view->on[i] == DW__ON_THING) continue;
    size_t n = hole_take(m, seen, i);
    for (size_t k = 0; k < n && n <= most; k++) view->on[m->queue[k]] = DW__ON_THING;
  }
}

dw_status dw__things_mark(dw__view *view, dw_error *err) {
  size_t n = (size_t)view->w * (size_t)view->h, tail = 0;
  marker m = {.view = view,
              .soft = dw_arena_take(view->arena, n, sizeof *m.soft),
              .step = dw_arena_take(view->arena, n, 1),
              .spare = dw_arena_take(view->arena, n, 1),
              .queue = dw_arena_take(view->arena, n, sizeof *m.queue)};
  if (!m.soft || !m.step || !m.spare || !m.queue) return dw_fail_memory(err, "the board's shadows");
  for (size_t i = 0; i < n; i++) {
    view->on[i] = (double)view->far[i] < view->edge ? DW__ON_BOARD : DW__ON_THING;
    view->shade[i] = like_shadow(view, i, TOUCH_LEAST);
  }
  holes_fill(&m);
  steps_find(&m);
  for (size_t i = 0; i < n; i++)
    if (view->on[i] == DW__ON_BOARD) m.queue[tail++] = (uint32_t)i;
  tail = shadow_flood(&m, tail, 0);
  shadow_flood(&m, tail, CLEARANCE + 1);
  holes_fill(&m);
  return DW_OK;
}
