/* A board under light of several levels.  A shadow with an edge over a part of it, or a lamp's cone, is no smooth
 * change of light; but all channels of the board change in one ratio there, or nearly so, as the shadow is lit by
 * other light. */
#include "bait/cells.h"

#include "dropwise/numeric.h"

/* A part under another light is at least so large, of the frame, and reaches so many of its edge's cells: a bait of the
 * board's hue does not. */
#define PART_LEAST 0.025
enum { EDGE_CELLS_LEAST = 3 };
/* Its lightness (with CIELAB's 16) lies within this ratio of the board's, its hue and chroma no farther off. */
#define RATIO_LEAST 0.55f
#define TINT_MOST 5.0f
/* So far around, the board's own cells are most of a part's; and so near, they are of one light. */
enum { AROUND = 8, NEAR = 2, NEAR_CELLS_LEAST = 6, SAMPLE_MOST = (2 * AROUND + 1) * (2 * AROUND + 1) };

typedef struct part {
  double lab[3];
  size_t n, edge;
} part;

static part *parts_measure(const dw__view *view, const dw__cells *c) {
  part *all = dw_arena_take(view->arena, (size_t)c->parts + 1, sizeof *all);
  for (size_t i = 0; all && i < c->n; i++) {
    part *p = &all[c->part[i]];
    int x = (int)i % c->columns, y = (int)i / c->columns;
    p->n++;
    p->edge += x == 0 || y == 0 || x == c->columns - 1 || y == c->rows - 1;
    for (size_t k = 0; k < 3; k++) p->lab[k] += (double)c->lab[3 * i + k];
  }
  for (int i = 0; all && i <= c->parts; i++)
    for (size_t k = 0; k < 3 && all[i].n; k++) all[i].lab[k] /= (double)all[i].n;
  return all;
}

/* Whether a color is the board's under another light. */
static bool lit_otherwise(const double board[3], const double lab[3]) {
  const float b[3] = {(float)board[0], (float)board[1], (float)board[2]},
              p[3] = {(float)lab[0], (float)lab[1], (float)lab[2]};
  float ratio, off = dw__shade_off(b, p, &ratio);
  return ratio >= RATIO_LEAST && ratio <= 1 / RATIO_LEAST && off <= TINT_MOST;
}

dw_status dw__levels_join(const dw__view *view, dw__cells *c, int which, dw_error *err) {
  part *all = parts_measure(view, c);
  if (!all) return dw_fail_memory(err, "the board's cells");
  for (size_t i = 0; i < c->n; i++) {
    const part *p = &all[c->part[i]];
    if (c->board[i] || !c->part[i] || (double)p->n < PART_LEAST * (double)c->n || p->edge < EDGE_CELLS_LEAST)
      continue;
    c->board[i] = lit_otherwise(all[which].lab, p->lab);
  }
  return DW_OK;
}

/* The median of L*, a*, b* over the cells of `from` within `reach`, each n x 3; returns how many there are. */
static size_t median_around(const dw__cells *c, const float *lab, const uint8_t *from, size_t cell, int reach,
                            float out[3]) {
  float v[3][SAMPLE_MOST];
  size_t n = 0;
  int x = (int)cell % c->columns, y = (int)cell / c->columns;
  for (int v0 = y - reach < 0 ? 0 : y - reach; v0 <= y + reach && v0 < c->rows; v0++)
    for (int u = x - reach < 0 ? 0 : x - reach; u <= x + reach && u < c->columns; u++) {
      size_t i = (size_t)(v0 * c->columns + u);
      if (!from[i]) continue;
      for (size_t k = 0; k < 3; k++) v[k][n] = lab[3 * i + k];
      n++;
    }
  for (size_t k = 0; k < 3 && n; k++) out[k] = dw_median_f(v[k], n);
  return n;
}

/* Whether a cell of a part lies off the surface, but not off the part's cells around. */
static bool other_level(const dw__cells *c, const uint8_t *kept, size_t cell) {
  float around[3], weight[2];
  if (!kept[cell] || c->board[cell] || !median_around(c, c->lab, kept, cell, AROUND, around)) return false;
  dw__search_weights(around, weight);
  return dw__search_apart(c->lab + 3 * cell, around, weight) < DW__CELL_BEYOND;
}

static void cell_take(dw__cells *c, uint8_t *other, size_t cell, size_t *tail) {
  if (!other[cell]) return;
  other[cell] = 0;
  c->board[cell] = 1;
  c->queue[(*tail)++] = (int)cell;
}

/* From the frame's edge on: what does not reach it may be a bait. */
static size_t from_the_edge(dw__cells *c, uint8_t *other) {
  size_t wide = (size_t)c->columns, tail = 0;
  for (size_t x = 0; x < wide; x++) {
    cell_take(c, other, x, &tail);
    cell_take(c, other, c->n - 1 - x, &tail);
  }
  for (size_t y = 0; y < c->n; y += wide) {
    cell_take(c, other, y, &tail);
    cell_take(c, other, y + wide - 1, &tail);
  }
  for (size_t head = 0; head < tail; head++) {
    size_t at = (size_t)c->queue[head], x = at % wide;
    if (x > 0) cell_take(c, other, at - 1, &tail);
    if (x + 1 < wide) cell_take(c, other, at + 1, &tail);
    if (at >= wide) cell_take(c, other, at - wide, &tail);
    if (at + wide < c->n) cell_take(c, other, at + wide, &tail);
  }
  return tail;
}

dw_status dw__levels_add(const dw__view *view, dw__cells *c, const uint8_t *kept, size_t *added,
                         dw_error *err) {
  uint8_t *other = dw_arena_take(view->arena, c->n, 1);
  if (!other) return dw_fail_memory(err, "the board's cells");
  for (size_t i = 0; i < c->n; i++) other[i] = other_level(c, kept, i);
  *added = from_the_edge(c, other);
  return DW_OK;
}

dw_status dw__levels_fill(const dw__view *view, dw__cells *c, dw_error *err) {
  float *off = dw_arena_take(view->arena, c->n, 3 * sizeof *off);
  if (!off) return dw_fail_memory(err, "the board's cells");
  for (size_t i = 0; i < 3 * c->n; i++) off[i] = c->lab[i] - c->surface[i];
  for (size_t i = 0; i < c->n; i++) {
    float around[3] = {0};
    size_t found = 0;
    for (int reach = NEAR; reach <= AROUND && found < NEAR_CELLS_LEAST; reach += 2)
      found = median_around(c, off, c->board, i, reach, around);
    for (size_t k = 0; k < 3; k++) c->lab[3 * i + k] = c->surface[3 * i + k] + around[k];
  }
  return DW_OK;
}
