/* Shadows with an edge, cast on the board under one lamp or the sun.
 *
 * Such a shadow begins with a step, as a bait does. But it is flat, where plastic is round; it has the board's hue and
 * chroma; and under one light it is equally dark beside everything that lies there. */
#include "bait/view.h"

#include <stdlib.h>
#include <string.h>

/* The most that L* changes from one pixel to the next within it, and more for the board's noise. */
#define FLAT_MOST 0.7f
#define FLAT_NOISE 0.5f
/* A shadow leaves at least such a share of the board's lightness, with its 16. */
#define DARK_LEAST 0.4f
/* How far its a*, b* may lie from the darkened board's, and how much more for all of the darkness. */
#define TINT_MOST 2.0f
#define TINT_DEEP 6.0f
/* Three quarters of a shadow are equally dark to within such a share, or so much L* where that is more, and to within so
 * much in a*, b*; all are alike to within such a share, and such a tint. */
#define EVEN_MOST 0.03
#define EVEN_LIGHT 2.2
#define EVEN_NOISE 0.006
#define EVEN_TINT 2.0
#define ALIKE_MOST 0.07
#define ALIKE_TINT 9.0
/* At most such a part of what it hangs on is shadow. */
#define PART_MOST 0.62
/* A shadow's edge at the board, from end to end, is at least so many times as long as the shadow is broad. */
#define EDGE_LONG 1.0
/* Two things cast one at least, to one side: the sum of their edges' directions, over that of their lengths. */
#define ONE_SIDE 0.8
enum { PARTS_LEAST = 2 };
/* As many pixels wide is its soft edge, and as many has a shadow at least. */
enum { EDGE_WIDE = 5, AREA_LEAST = 40, FLATS_MOST = 512, LEVELS = 64 };

enum { UNSEEN, SEEN, FLAT, SHADOW, PASSED = 8 };
enum { DARK, TINT_A, TINT_B, IS };

/* A flat area of the board's hue that reaches to the board, or nearly. */
typedef struct flat {
  size_t from, to; /* of the queue */
  /* How dark: median share of the board's lightness; a*, b* off the darkened board's, for all of the darkness. */
  double is[IS];
} flat;

typedef struct cast {
  dw__view *view;
  const float *soft;
  uint8_t *state;
  uint32_t *queue; /* as long as the frame has pixels: */
  size_t room;
  flat flat[FLATS_MOST];
  size_t n, parts;
  /* Sums over the parts: the way its shadow lies, as long as its edge; and how long that is. */
  double aside[2], far;
} cast;

static bool may_be(const cast *c, uint32_t i) {
  float off[2], share, noise = 3 * (float)c->view->noise;
  if (c->view->on[i] != DW__ON_THING) return false;
  share = dw__view_ratio(c->view, i, off);
  float most = (noise > TINT_MOST ? noise : TINT_MOST) + TINT_DEEP * (1 - share);
  return share >= DARK_LEAST && share < DW__SHADE_LIGHTEST && off[0] * off[0] + off[1] * off[1] < most * most;
}

static bool is_flat(const cast *c, uint32_t i) {
  float most = FLAT_MOST + FLAT_NOISE * (float)c->view->noise;
  uint32_t next[4];
  for (int k = dw__view_beside(c->view, i, next); k-- > 0;)
    if (fabsf(c->soft[next[k]] - c->soft[i]) > most) return false;
  return true;
}

/* Queues what may be shadow beside the queue's first `tail` pixels, so many steps far; returns its length. */
static size_t edges_take(cast *c, size_t tail, int far) {
  size_t end = tail;
  for (size_t head = 0; head < tail && far > 0; head++) {
    uint32_t next[4];
    for (int k = dw__view_beside(c->view, c->queue[head], next); k-- > 0;) {
      if (c->state[next[k]] != UNSEEN || !may_be(c, next[k])) continue;
      c->state[next[k]] = SEEN;
      c->queue[tail++] = next[k];
    }
    if (head + 1 == end) end = tail, far--;
  }
  return tail;
}

/* All that is flat around one pixel, as far as there is room; returns the queue's length. */
static size_t flat_take(cast *c, uint32_t start, size_t tail) {
  size_t head = tail;
  c->state[start] = FLAT;
  c->queue[tail++] = start;
  for (; head < tail; head++) {
    uint32_t next[4];
    for (int k = dw__view_beside(c->view, c->queue[head], next); k-- > 0;) {
      if (c->state[next[k]] == FLAT || !may_be(c, next[k]) || !is_flat(c, next[k])) continue;
      if (tail == c->room) return tail;
      c->state[next[k]] = FLAT;
      c->queue[tail++] = next[k];
    }
  }
  return tail;
}

/* The share below which a part of what was counted lies. */
static double part_below(const size_t count[LEVELS + 1], double part) {
  double sum = 0;
  size_t l = 0;
  while (l < LEVELS && sum + (double)count[l] < part) sum += (double)count[l++];
  return ((double)l + (part - sum) / fmax((double)count[l], 1)) / LEVELS;
}

/* How unevenly dark a shadow may be there. */
static double even_most(const cast *c, uint32_t i) {
  float board[3];
  dw__view_board(c->view, (int)i % c->view->w, (int)i / c->view->w, board);
  return fmax(EVEN_MOST, EVEN_LIGHT / (double)(board[0] + 16)) + EVEN_NOISE * c->view->noise;
}

/* How dark it is and of what tint; false where it is not evenly so. */
static bool even(const cast *c, flat *f) {
  size_t count[LEVELS + 1] = {0};
  double n = (double)(f->to - f->from), sum[2] = {0}, squares = 0;
  for (size_t i = f->from; i < f->to; i++) {
    float off[2], share = dw__view_ratio(c->view, c->queue[i], off);
    count[(size_t)(fminf(fmaxf(share, 0), 1) * LEVELS)]++;
    for (int k = 0; k < 2; k++) sum[k] += (double)off[k], squares += (double)(off[k] * off[k]);
  }
  double spread = squares / n - (sum[0] * sum[0] + sum[1] * sum[1]) / (n * n), noise = c->view->noise;
  f->is[DARK] = part_below(count, n / 2);
  for (int k = 0; k < 2; k++) f->is[TINT_A + k] = sum[k] / n / fmax(1 - f->is[DARK], .05);
  return part_below(count, .875 * n) - part_below(count, .125 * n) <= even_most(c, c->queue[f->from]) &&
         spread <= EVEN_TINT * EVEN_TINT + 2 * noise * noise;
}

/* first  how many pixels beside things the queue holds */
static void flats_find(cast *c, size_t first) {
  memset(c->state, UNSEEN, c->room);
  size_t rim = edges_take(c, first, 1 + EDGE_WIDE), tail = rim;
  for (size_t i = first; i < rim && c->n < FLATS_MOST && tail < c->room; i++) {
    flat *f = &c->flat[c->n];
    if (c->state[c->queue[i]] != SEEN || !is_flat(c, c->queue[i])) continue;
    *f = (flat){.from = tail};
    f->to = tail = flat_take(c, c->queue[i], tail);
    if (f->to - f->from < AREA_LEAST) continue;
    c->n += even(c, f);
  }
}

/* The middle of one thing that the flat areas are, by area. */
static double middle_of(const cast *c, size_t what) {
  double all = 0, middle = INFINITY;
  for (size_t i = 0; i < c->n; i++) all += (double)(c->flat[i].to - c->flat[i].from);
  for (size_t i = 0; i < c->n; i++) {
    double at = c->flat[i].is[what], below = 0;
    for (size_t k = 0; k < c->n; k++)
      below += c->flat[k].is[what] <= at ? (double)(c->flat[k].to - c->flat[k].from) : 0;
    if (2 * below >= all) middle = fmin(middle, at);
  }
  return middle;
}

/* Those that are as dark and tinted as most of what is flat stay. */
static void alike_stay(cast *c) {
  double middle[IS];
  size_t kept = 0;
  for (size_t k = 0; k < IS; k++) middle[k] = middle_of(c, k);
  for (size_t i = 0; i < c->n; i++) {
    const double *is = c->flat[i].is;
    if (fabs(is[DARK] - middle[DARK]) <= ALIKE_MOST &&
        hypot(is[TINT_A] - middle[TINT_A], is[TINT_B] - middle[TINT_B]) <= ALIKE_TINT)
      c->flat[kept++] = c->flat[i];
  }
  c->n = kept;
}

/* Brings the flat areas that stayed to the queue's front; all other pixels are unseen again. Returns its length. */
static size_t flats_gather(cast *c) {
  size_t tail = 0;
  memset(c->state, UNSEEN, c->room);
  for (size_t f = 0; f < c->n; f++) {
    size_t n = c->flat[f].to - c->flat[f].from;
    memmove(c->queue + tail, c->queue + c->flat[f].from, n * sizeof *c->queue);
    for (size_t i = 0; i < n; i++) c->state[c->queue[tail + i]] = FLAT;
    c->flat[f].from = tail, c->flat[f].to = tail += n;
  }
  return tail;
}

/* Where a pixel of shadow ends at the board: the steps there, added up along the edge of a shadow, point away from what
 * casts it, whatever its length and however much of it is seen. */
static void aside_add(const cast *c, uint32_t i, double aside[2]) {
  uint32_t next[4], w = (uint32_t)c->view->w;
  for (int k = dw__view_beside(c->view, i, next); k-- > 0;) {
    if (c->view->on[next[k]] == DW__ON_THING) continue;
    aside[0] += (double)(next[k] % w) - (double)(i % w);
    aside[1] += (double)(next[k] / w) - (double)(i / w);
  }
}

/* What hangs together around one pixel, behind the queue's first `tail`: where little enough of it is shadow, its flat
 * areas are. */
static void part_take(cast *c, uint32_t start, size_t tail) {
  size_t from = tail, head = tail;
  double rest = 0, shadow = 0, aside[2] = {0};
  c->queue[tail++] = start;
  for (c->state[start] |= PASSED; head < tail; head++) {
    uint32_t next[4], i = c->queue[head];
    *(c->state[i] == (FLAT | PASSED) ? &shadow : &rest) += 1;
    if (c->state[i] != PASSED) aside_add(c, i, aside);
    for (int k = dw__view_beside(c->view, i, next); k-- > 0;) {
      if (c->view->on[next[k]] != DW__ON_THING || c->state[next[k]] & PASSED) continue;
      if (tail == c->room) return;
      c->state[next[k]] |= PASSED;
      c->queue[tail++] = next[k];
    }
  }
  double edge = hypot(aside[0], aside[1]);
  if (shadow > PART_MOST * (rest + shadow) || edge * edge < EDGE_LONG * shadow) return;
  for (int k = 0; k < 2; k++) c->aside[k] += aside[k];
  c->far += edge;
  c->parts++;
  for (size_t i = from; i < tail; i++)
    if (c->state[c->queue[i]] == (FLAT | PASSED)) c->state[c->queue[i]] = SHADOW | PASSED;
}

/* Of things that would be shadow for the most part, nothing is; nor is any of too few, or where they lie to several
 * sides. Returns the length of the queue, what is shadow. */
static size_t parts_leave(cast *c, size_t tail) {
  size_t kept = 0;
  for (size_t i = 0; i < tail && tail < c->room; i++)
    if (!(c->state[c->queue[i]] & PASSED)) part_take(c, c->queue[i], tail);
  if (c->parts < PARTS_LEAST || hypot(c->aside[0], c->aside[1]) < ONE_SIDE * c->far) return 0;
  for (size_t i = 0; i < tail; i++)
    if (c->state[c->queue[i]] == (SHADOW | PASSED)) c->queue[kept++] = c->queue[i];
  return kept;
}

dw_status dw__cast_leave(dw__view *view, const float *soft, uint8_t *state, size_t beside, dw_error *err) {
  cast *c = malloc(sizeof *c);
  if (!c) return dw_fail_memory(err, "the board's shadows");
  *c = (cast){.view = view,
              .soft = soft,
              .state = state,
              .queue = view->list,
              .room = (size_t)view->w * (size_t)view->h};
  flats_find(c, beside);
  if (c->n) {
    alike_stay(c);
    size_t tail = flats_gather(c);
    edges_take(c, tail, EDGE_WIDE);
    tail = parts_leave(c, tail);
    memset(state, UNSEEN, c->room);
    for (size_t i = 0; i < tail; i++) state[c->queue[i]] = SEEN;
    tail = edges_take(c, tail, EDGE_WIDE);
    for (size_t i = 0; i < tail; i++) view->on[c->queue[i]] = DW__ON_SHADOW;
  }
  free(c);
  return DW_OK;
}
