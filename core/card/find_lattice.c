/* Lattices of flat spots: from a spot and two neighbors across each other, cell by cell.
 *
 * Lengths and angles are taken by the spot's own second moments. By that measure the view drops out: a
 * square patch seen slanted is as long as it is wide, and its neighbors stand at right angles. */
#include "card/find.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { NEAR_MOST = 12, CELLS_MOST = 3 * DW_CARD_PATCHES_MAX, FLATS_MOST = INT16_MAX };
/* How often one spot may take part in a lattice: the true one is seldom not among the first, for seeds start
 * with the nearest neighbors. */
enum { TRIES_MOST = 6 };
/* A neighbor's distance in sides, and the areas of two neighbors. */
#define NEAR_LEAST 0.8
#define NEAR_FAR 2.4
#define AREA_ALIKE 2.5
/* A seed's two steps: cosine of their angle, ratio of their lengths. */
#define SEED_COSINE 0.35
#define SEED_RATIO 1.6
#define SEED_FAR 2.0
/* A next cell must lie where its neighbor's step points, to this share of the step; where the map of the
 * cells so far says, once they are enough for one. */
#define STEP_OFF 0.25
#define MAP_OFF 0.15
enum { MAPPED_LEAST = 9 };
/* A cell farther from the fitted grid than this share of a step is none of it. */
#define GRID_OFF 0.12

typedef struct near_list {
  size_t n;
  int16_t flat[NEAR_MOST];
  double length[NEAR_MOST];
} near_list;

/* Where a flat stands in the lattice last found with it. */
typedef struct standing {
  uint32_t lattice; /* from 1; 0 none */
  int tries, i, j;
} standing;

typedef struct cell {
  int i, j;
  int16_t flat;
  double step[2][2]; /* to the next i, to the next j */
} cell;

typedef struct grower {
  const dw__flats *flats;
  near_list *near;
  standing *standing;
  uint32_t found;
  dw__lattice_size size;
  bool mapped; /* the lattice's map is of its cells so far */
  dw__lattice lattice;
  cell cells[CELLS_MOST];
  double from[2 * CELLS_MOST], to[2 * CELLS_MOST];
} grower;

static void near_insert(near_list *list, int16_t flat, double length) {
  size_t at = list->n;
  if (at == NEAR_MOST) {
    if (length >= list->length[NEAR_MOST - 1]) return;
    at--;
  } else {
    list->n++;
  }
  for (; at > 0 && list->length[at - 1] > length; at--) {
    list->flat[at] = list->flat[at - 1];
    list->length[at] = list->length[at - 1];
  }
  list->flat[at] = flat;
  list->length[at] = length;
}

/* Half the width of the area within NEAR_FAR sides: the metric's inverse bounds dx. */
static double reach_x(const dw__flat *p) {
  const double *m = p->metric, det = m[0] * m[2] - m[1] * m[1];
  return NEAR_FAR * sqrt(m[2] / det);
}

static void near_try(grower *g, size_t i, size_t j) {
  const dw__flat *p = &g->flats->flat[i], *q = &g->flats->flat[j];
  if (q->area > AREA_ALIKE * p->area || p->area > AREA_ALIKE * q->area) return;
  const double length = dw__flat_length(p, q->x - p->x, q->y - p->y);
  if (length > NEAR_LEAST && length < NEAR_FAR) near_insert(&g->near[i], (int16_t)j, length);
}

static void near_fill(grower *g, size_t n) {
  const dw__flat *flat = g->flats->flat;
  for (size_t i = 0; i < n; i++) {
    const double reach = reach_x(&flat[i]);
    for (size_t j = i; j-- > 0 && flat[j].x > flat[i].x - reach;) near_try(g, i, j);
    for (size_t j = i + 1; j < n && flat[j].x < flat[i].x + reach; j++) near_try(g, i, j);
  }
}

static int16_t *cell_at(dw__lattice *l, int i, int j) {
  return &l->cell[j + DW__LATTICE_REACH][i + DW__LATTICE_REACH];
}

static bool cell_inside(int i, int j) {
  return abs(i) <= DW__LATTICE_REACH && abs(j) <= DW__LATTICE_REACH;
}

static void cell_put(grower *g, const cell *c) {
  dw__lattice *l = &g->lattice;
  *cell_at(l, c->i, c->j) = c->flat;
  g->cells[l->n++] = *c;
  const int at[2] = {c->i, c->j};
  for (int k = 0; k < 2; k++) {
    if (at[k] < l->low[k]) l->low[k] = at[k];
    if (at[k] > l->high[k]) l->high[k] = at[k];
  }
}

/* The neighbor of a cell where the step points, to a share of it, or -1. */
static int16_t neighbor_find(const grower *g, int16_t from, const double step[2], double off_most) {
  const near_list *list = &g->near[from];
  const dw__flat *p = &g->flats->flat[from];
  double best = off_most * off_most * (step[0] * step[0] + step[1] * step[1]);
  int16_t found = -1;
  for (size_t k = 0; k < list->n; k++) {
    const dw__flat *q = &g->flats->flat[list->flat[k]];
    const double off_x = q->x - p->x - step[0], off_y = q->y - p->y - step[1];
    const double off = off_x * off_x + off_y * off_y;
    if (off >= best) continue;
    best = off;
    found = list->flat[k];
  }
  return found;
}

/* The flat for cell i, j, a neighbor of `from` by its step along an axis. */
static int16_t next_find(const grower *g, const cell *from, int i, int j, int axis, int sign) {
  const dw__flat *p = &g->flats->flat[from->flat];
  double step[2] = {sign * from->step[axis][0], sign * from->step[axis][1]};
  if (g->mapped) {
    dw_homography_at(&g->lattice.map, i, j, &step[0], &step[1]);
    step[0] -= p->x;
    step[1] -= p->y;
  }
  return neighbor_find(g, from->flat, step, g->mapped ? MAP_OFF : STEP_OFF);
}

/* A step that follows the view as it narrows: half the old, half the new. */
static void step_blend(const dw__flat *from, const dw__flat *to, int sign, double step[2]) {
  step[0] = 0.5 * (step[0] + sign * (to->x - from->x));
  step[1] = 0.5 * (step[1] + sign * (to->y - from->y));
}

/* Tries the four neighbors of a cell. */
static void cell_grow(grower *g, const cell *from) {
  for (int way = 0; way < 4; way++) {
    const int axis = way / 2, sign = way % 2 ? -1 : 1;
    const int i = from->i + (axis == 0 ? sign : 0), j = from->j + (axis == 1 ? sign : 0);
    if (!cell_inside(i, j) || *cell_at(&g->lattice, i, j) >= 0) continue;
    if (g->lattice.n == g->size.grown) return;
    cell next = *from;
    next.flat = next_find(g, from, i, j, axis, sign);
    if (next.flat < 0) continue;
    next.i = i;
    next.j = j;
    step_blend(&g->flats->flat[from->flat], &g->flats->flat[next.flat], sign, next.step[axis]);
    cell_put(g, &next);
  }
}

/* False where the cells stand in a line. */
static bool map_fit(grower *g) {
  for (size_t k = 0; k < g->lattice.n; k++) {
    const cell *c = &g->cells[k];
    const dw__flat *p = &g->flats->flat[c->flat];
    g->from[2 * k] = c->i;
    g->from[2 * k + 1] = c->j;
    g->to[2 * k] = p->x;
    g->to[2 * k + 1] = p->y;
  }
  return dw_homography_fit_many(g->from, g->to, g->lattice.n, &g->lattice.map, NULL) == DW_OK;
}

static void lattice_start(grower *g, int16_t flat, double steps[2][2]) {
  cell first = {.flat = flat};
  memcpy(first.step, steps, sizeof first.step);
  memset(g->lattice.cell, 0xff, sizeof g->lattice.cell); /* -1 everywhere */
  memset(g->lattice.low, 0, sizeof g->lattice.low);
  memset(g->lattice.high, 0, sizeof g->lattice.high);
  g->lattice.n = 0;
  g->mapped = false;
  cell_put(g, &first);
}

/* Cell by cell outward, the map fitted anew each time that there are a third more. */
static void lattice_grow(grower *g) {
  size_t next_fit = MAPPED_LEAST;
  for (size_t k = 0; k < g->lattice.n; k++) {
    cell_grow(g, &g->cells[k]);
    if (g->lattice.n < next_fit) continue;
    g->mapped = map_fit(g);
    next_fit = g->lattice.n + g->lattice.n / 3;
  }
}

/* Takes out cells that stand off the grid; true when there were any. */
static bool cells_trim(grower *g, double unit) {
  dw__lattice *l = &g->lattice;
  size_t kept = 0;
  for (size_t k = 0; k < l->n; k++) {
    const cell c = g->cells[k];
    const dw__flat *p = &g->flats->flat[c.flat];
    double x, y;
    dw_homography_at(&l->map, c.i, c.j, &x, &y);
    if (hypot(x - p->x, y - p->y) < GRID_OFF * unit)
      g->cells[kept++] = c;
    else
      *cell_at(l, c.i, c.j) = -1;
  }
  const bool any = kept < l->n;
  l->n = kept;
  return any;
}

/* Fits the map to the cells that keep to it; false where they are too few for a card. */
static bool lattice_fit(grower *g) {
  const double *step = g->cells[0].step[0], *other = g->cells[0].step[1];
  const double unit = fmin(hypot(step[0], step[1]), hypot(other[0], other[1]));
  for (int round = 0; round < 3 && g->lattice.n >= g->size.least; round++) {
    if (!map_fit(g)) return false;
    if (!cells_trim(g, unit)) break;
  }
  return g->lattice.n >= g->size.least;
}

static void lattice_remember(grower *g) {
  g->found++;
  for (size_t k = 0; k < g->lattice.n; k++) {
    const cell *c = &g->cells[k];
    standing *s = &g->standing[c->flat];
    *s = (standing){g->found, s->tries + 1, c->i, c->j};
  }
}

static bool next_cells(const standing *a, const standing *b) {
  return a->lattice == b->lattice && abs(a->i - b->i) + abs(a->j - b->j) == 1;
}

/* Two steps from spot p as the sides of a cell, in either order: false when they cannot be, or were met. */
static bool seed_make(const grower *g, size_t p, size_t k, size_t other, double steps[2][2]) {
  const near_list *list = &g->near[p];
  const dw__flat *at = &g->flats->flat[p], *q = &g->flats->flat[list->flat[k]],
                 *r = &g->flats->flat[list->flat[other]];
  const double a[2] = {q->x - at->x, q->y - at->y}, b[2] = {r->x - at->x, r->y - at->y};
  const double long_a = list->length[k], long_b = list->length[other], *m = at->metric;
  const double cosine =
      (m[0] * a[0] * b[0] + m[1] * (a[0] * b[1] + a[1] * b[0]) + m[2] * a[1] * b[1]) / (long_a * long_b);
  if (fabs(cosine) > SEED_COSINE || long_a > SEED_RATIO * long_b || long_b > SEED_RATIO * long_a)
    return false;
  const standing *s = g->standing;
  if (s[p].lattice && next_cells(&s[p], &s[list->flat[k]]) && next_cells(&s[p], &s[list->flat[other]]))
    return false;
  const bool turned = a[0] * b[1] - a[1] * b[0] < 0.0;
  memcpy(steps[turned], a, sizeof a); /* -fanalyzer: a and b are set where they are declared */
  memcpy(steps[!turned], b, sizeof b);
  return true;
}

static dw_status seed_grow(grower *g, size_t p, double steps[2][2], dw__lattice_visit *visit, void *ctx,
                           dw_error *err) {
  lattice_start(g, (int16_t)p, steps);
  lattice_grow(g);
  if (g->lattice.n < g->size.least) return DW_OK;
  g->standing[p].tries++;
  if (!lattice_fit(g)) return DW_OK;
  lattice_remember(g);
  return g->lattice.n <= g->size.most ? visit(ctx, &g->lattice, err) : DW_OK;
}

static dw_status seeds_try(grower *g, size_t p, dw__lattice_visit *visit, void *ctx, dw_error *err) {
  const near_list *list = &g->near[p];
  dw_status status = DW_OK;
  double steps[2][2];
  for (size_t o = 1; o < list->n && list->length[o] < SEED_FAR; o++)
    for (size_t k = 0; k < o && status == DW_OK; k++) {
      if (g->standing[p].tries >= TRIES_MOST) return DW_OK;
      if (seed_make(g, p, k, o, steps)) status = seed_grow(g, p, steps, visit, ctx, err);
    }
  return status;
}

dw_status dw__lattices_visit(const dw__flats *flats, const dw__lattice_size *size, dw__lattice_visit *visit,
                             void *ctx, dw_error *err) {
  dw_status status = DW_OK;
  const size_t n = flats->n < FLATS_MOST ? flats->n : FLATS_MOST;
  grower *g = calloc(1, sizeof *g);
  near_list *near = calloc(n + 1, sizeof *near);
  standing *known = calloc(n + 1, sizeof *known);
  if (!g || !near || !known) {
    status = dw_fail_memory(err, "the search for a card");
    goto out;
  }
  g->flats = flats;
  g->size = *size;
  g->near = near;
  g->standing = known;
  near_fill(g, n);
  for (size_t p = 0; p < n && status == DW_OK; p++) status = seeds_try(g, p, visit, ctx, err);
out:
  free(known);
  free(near);
  free(g);
  return status;
}
