/* Cutting what lies on the board into pieces at its necks, and telling bodies from what hangs on them.
 *
 * Depth (the distance to the outline) rises to a peak in each piece; two peaks are two pieces where the
 * saddle between them is low.  The largest piece of a connected thing is a body, and so is any that is nearly
 * as large: baits that touch or hang on one runner.  The others are limbs of the body they join most broadly,
 * and a thin one that joins two bodies is a runner. */
#include "bait/pieces.h"

#include <math.h>
#include <string.h>

/* Two peaks are one piece where the saddle is at least this share of the lower. */
#define SADDLE_SHARE 0.72f
#define SADDLE_LESS 1.6f
/* A body's area and radius, as shares of the thing's largest: baits of one shot are about as large, and a tail that curls on
 * the board is half its body. */
#define BODY_AREA 0.6
#define BODY_RADIUS 0.6f
enum { CHAMFER = 5, DEPTH_LEVELS = 4096, LINKS_MAX = 8192 };

/* Two pieces and the depth of the saddle between them. */
typedef struct link {
  uint16_t a, b;
  float saddle;
} link;

typedef struct cutter {
  const dw__view *view;
  dw__things *out;
  uint32_t *order; /* pixels of things by falling depth */
  size_t n, pieces, links;
  uint16_t *parent; /* pieces merged so far */
  float *peak;
  size_t *area;
  link *link;
  uint16_t *thing; /* of each piece: connected thing, by its least piece */
} cutter;

/* The next run of things' pixels from *end on, row after row; false where there is none. */
static bool run_next(const dw__view *view, size_t *first, size_t *end) {
  size_t n = (size_t)view->w * (size_t)view->h;
  const uint8_t *at = memchr(view->on + *end, DW__ON_THING, n - *end);
  if (!at) return false;
  *first = (size_t)(at - view->on);
  for (*end = *first + 1; *end < n && view->on[*end] == DW__ON_THING;) ++*end;
  return true;
}

/* Chamfer distance 5, 7, 11 (Borgefors 1986), within 2% of the Euclidean: the least way to a place of a row by the two
 * rows before it in a sweep, which go on as they are beyond their ends. */
static float way_down(const float *before, const float *far, int x, int w) {
  static const float length[5] = {11, 7, 5, 7, 11};
  float least = 1e9f;
  for (int by = -2; by <= 2; by++) {
    if (x + by < 0 || x + by >= w) continue;
    least = fminf(least, before[x + by] + length[by + 2]);
    if (by % 2) least = fminf(least, far[x + by] + 11);
  }
  return least;
}

static float lesser(float a, float b) {
  return a < b ? a : b;
}

/* Shortens a row's distances by the rows before it, then along it.
 * sign  1 down and right, -1 up and left;  first, last  of the row's pixels of things: all others stay 0 */
static void row_shorten(float *row, const float *before, const float *far, int w, int sign, int first,
                        int last) {
  const int inner = first > 2 ? first : 2, end = last < w - 2 ? last + 1 : w - 2;
  for (int x = inner; x < end; x++) { /* as way_down, for many at once */
    float skew = lesser(before[x - 1], before[x + 1]) + 7, straight = before[x] + 5;
    float steep = lesser(lesser(before[x - 2], before[x + 2]), lesser(far[x - 1], far[x + 1])) + 11;
    row[x] = lesser(row[x], lesser(straight, lesser(skew, steep)));
  }
  for (int x = 0; x < w; x += x == 1 ? w - 3 : 1) row[x] = lesser(row[x], way_down(before, far, x, w));
  int from = sign > 0 ? (first > 1 ? first : 1) : last < w - 2 ? last : w - 2;
  for (int x = from; x >= first && x <= last; x += sign)
    if (row[x] > 0) row[x] = lesser(row[x], row[x - sign] + 5);
}

/* Beyond the frame is as far from the outline as can be. */
static void depths(const dw__view *view, float *depth) {
  int w = view->w, h = view->h, n = w * h;
  /* cppcheck-suppress invalidPointerCast ; room that is written before it is read, whatever it held */
  float *beyond = (float *)view->list;
  for (int i = 0; i < n; i++) depth[i] = view->on[i] == DW__ON_THING ? 1e9f : 0;
  for (int x = 0; x < w; x++) beyond[x] = 1e9f;
  for (int sign = 1; sign >= -1; sign -= 2) {
    const float *before = beyond, *far = beyond;
    for (int i = 0; i < h; i++) {
      int y = sign > 0 ? i : h - 1 - i;
      float *row = depth + y * w;
      const uint8_t *on = view->on + y * w, *first = memchr(on, DW__ON_THING, (size_t)w);
      const uint8_t *last = first ? memrchr(first, DW__ON_THING, (size_t)(on + w - first)) : NULL;
      if (last) row_shorten(row, before, far, w, sign, (int)(first - on), (int)(last - on));
      far = before, before = row;
    }
  }
  for (int i = 0; i < n; i++) depth[i] *= 1.0f / CHAMFER;
}

static int level_of(float depth) {
  float level = depth * CHAMFER + .5f;
  return level < DEPTH_LEVELS - 1 ? (int)level : DEPTH_LEVELS - 1;
}

/* Counting sort of the things' pixels by falling depth. */
static dw_status sort_pixels(cutter *c, dw_error *err) {
  size_t *from = dw_arena_take(c->view->arena, DEPTH_LEVELS + 1, sizeof *from);
  if (!from) return dw_fail_memory(err, "the baits' outlines");
  for (size_t i, end = 0; run_next(c->view, &i, &end);)
    for (; i < end; i++) from[DEPTH_LEVELS - level_of(c->out->depth[i]) + 1]++;
  for (int k = 1; k <= DEPTH_LEVELS; k++) from[k] += from[k - 1];
  c->n = from[DEPTH_LEVELS];
  for (size_t i, end = 0; run_next(c->view, &i, &end);)
    for (; i < end; i++) c->order[from[DEPTH_LEVELS - level_of(c->out->depth[i])]++] = (uint32_t)i;
  return DW_OK;
}

static uint16_t root_of(cutter *c, uint16_t piece) {
  while (c->parent[piece] != piece) piece = c->parent[piece] = c->parent[c->parent[piece]];
  return piece;
}

static void link_note(cutter *c, uint16_t a, uint16_t b, float saddle) {
  for (size_t i = 0; i < c->links; i++) {
    uint16_t p = root_of(c, c->link[i].a), q = root_of(c, c->link[i].b);
    if ((p == a && q == b) || (p == b && q == a)) return; /* the first was the deepest */
  }
  if (c->links < LINKS_MAX) c->link[c->links++] = (link){a, b, saddle};
}

/* Two pieces meet at a pixel of this depth: one, or neighbors. */
static uint16_t meet(cutter *c, uint16_t a, uint16_t b, float saddle) {
  if (a == b) return a;
  uint16_t high = c->peak[a] >= c->peak[b] ? a : b, low = high == a ? b : a;
  if (saddle < SADDLE_SHARE * c->peak[low] && c->peak[low] - saddle > SADDLE_LESS) {
    link_note(c, a, b, saddle);
    return high;
  }
  c->parent[low] = high;
  c->area[high] += c->area[low];
  return high;
}

/* The labels around a pixel and its own, 0 where there is none; whether they are all one or none. */
static bool labels_around(const cutter *c, uint32_t at, uint16_t out[9]) {
  int w = c->view->w, h = c->view->h, x = (int)(at % (uint32_t)w), y = (int)(at / (uint32_t)w);
  const uint16_t *label = c->out->label + at;
  if (x > 0 && y > 0 && x < w - 1 && y < h - 1) {
    unsigned most = 0, differ = 0;
    for (int k = 0; k < 9; k++) {
      out[k] = label[(k / 3 - 1) * w + k % 3 - 1];
      most = out[k] > most ? out[k] : most;
    }
    for (int k = 0; k < 9; k++) differ |= out[k] && out[k] != most;
    if (!differ) out[0] = (uint16_t)most;
    return !differ;
  }
  for (int k = 0; k < 9; k++) {
    int nx = x + k % 3 - 1, ny = y + k / 3 - 1;
    out[k] = nx < 0 || ny < 0 || nx >= w || ny >= h ? 0 : label[(k / 3 - 1) * w + k % 3 - 1];
  }
  return false;
}

static void flood(cutter *c) {
  for (size_t i = 0; i < c->n; i++) {
    uint16_t mine = 0, met = 0, around[9];
    float depth = c->out->depth[c->order[i]];
    const int different = labels_around(c, c->order[i], around) ? 1 : 9;
    for (int k = 0; k < different; k++) {
      if (!around[k] || around[k] == met) continue;
      uint16_t other = root_of(c, met = around[k]);
      mine = mine ? meet(c, mine, other, depth) : other;
    }
    if (!mine) {
      if (c->pieces + 1 >= DW__PIECES_MAX) continue;
      mine = (uint16_t)++c->pieces;
      c->parent[mine] = mine;
      c->peak[mine] = depth;
    }
    c->area[mine]++;
    c->out->label[c->order[i]] = mine;
  }
}

/* Pieces to their roots, and each link to a connected thing. */
static void settle(cutter *c) {
  uint16_t *label = c->out->label;
  for (size_t i = 0; i < c->n; i++)
    if (label[c->order[i]]) label[c->order[i]] = root_of(c, label[c->order[i]]);
  for (size_t i = 0; i < c->links; i++) {
    c->link[i].a = root_of(c, c->link[i].a);
    c->link[i].b = root_of(c, c->link[i].b);
  }
  for (size_t p = 1; p <= c->pieces; p++) c->thing[p] = (uint16_t)p;
  for (bool moved = true; moved;) {
    moved = false;
    for (size_t i = 0; i < c->links; i++) {
      uint16_t *a = &c->thing[c->link[i].a], *b = &c->thing[c->link[i].b];
      if (*a == *b) continue;
      *a = *b = *a < *b ? *a : *b;
      moved = true;
    }
  }
}

static bool is_piece(const cutter *c, size_t p) {
  return c->parent[p] == p;
}

static void bodies_choose(cutter *c) {
  for (size_t p = 1; p <= c->pieces; p++) {
    if (!is_piece(c, p)) continue;
    size_t most = 0;
    float radius = 0;
    for (size_t q = 1; q <= c->pieces; q++) {
      if (!is_piece(c, q) || c->thing[q] != c->thing[p] || c->area[q] <= most) continue;
      most = c->area[q];
      radius = c->peak[q];
    }
    bool body = (double)c->area[p] >= BODY_AREA * (double)most && c->peak[p] >= BODY_RADIUS * radius;
    c->out->owner[p] = body ? (uint16_t)p : 0;
  }
}

/* A piece that joins two bodies. */
static bool joins_two(const cutter *c, uint16_t piece) {
  uint16_t first = 0;
  for (size_t i = 0; i < c->links; i++) {
    const link *l = &c->link[i];
    if (l->a != piece && l->b != piece) continue;
    uint16_t other = c->out->owner[l->a == piece ? l->b : l->a];
    if (!other) continue;
    if (first && other != first) return true;
    first = other;
  }
  return false;
}

/* Limbs join, step by step, what they are joined to most broadly. */
static void limbs_give(cutter *c) {
  uint8_t runner[DW__PIECES_MAX] = {0};
  for (size_t p = 1; p <= c->pieces; p++)
    if (is_piece(c, p) && !c->out->owner[p]) runner[p] = joins_two(c, (uint16_t)p);
  for (;;) {
    const link *best = NULL;
    for (size_t i = 0; i < c->links; i++) {
      const link *l = &c->link[i];
      bool one = !c->out->owner[l->a] != !c->out->owner[l->b];
      uint16_t free = c->out->owner[l->a] ? l->b : l->a;
      if (one && !runner[free] && (!best || l->saddle > best->saddle)) best = l;
    }
    if (!best) return;
    uint16_t *a = &c->out->owner[best->a], *b = &c->out->owner[best->b];
    *a = *b = *a ? *a : *b;
  }
}

static dw_status things_list(cutter *c, dw_error *err) {
  uint16_t index[DW__PIECES_MAX] = {0};
  dw__things *out = c->out;
  out->thing = dw_arena_take(c->view->arena, c->pieces + 1, sizeof *out->thing);
  if (!out->thing) return dw_fail_memory(err, "the baits' outlines");
  for (size_t p = 1; p <= c->pieces; p++) {
    if (!is_piece(c, p) || out->owner[p] != p) continue;
    index[p] = (uint16_t)out->n;
    out->thing[out->n++] = (dw__thing){
        .body = (uint16_t)p, .group = c->thing[p], .x0 = c->view->w, .y0 = c->view->h, .radius = c->peak[p]};
  }
  for (int y = 0, i = 0; y < c->view->h; y++)
    for (int x = 0; x < c->view->w; x++, i++) {
      uint16_t piece = out->label[i], owner = piece ? out->owner[piece] : 0;
      if (!owner) continue;
      dw__thing *t = &out->thing[index[owner]];
      *(piece == owner ? &t->area : &t->limbs) += 1;
      t->x0 = x < t->x0 ? x : t->x0, t->x1 = x > t->x1 ? x : t->x1;
      t->y0 = y < t->y0 ? y : t->y0, t->y1 = y > t->y1 ? y : t->y1;
      t->edge += x == 0 || y == 0 || x == c->view->w - 1 || y == c->view->h - 1;
    }
  for (size_t i = 0; i < out->n; i++)
    for (size_t k = 0; k < out->n; k++)
      if (k != i && out->thing[k].group == out->thing[i].group) out->thing[i].touches = true;
  return DW_OK;
}

dw_status dw__things_cut(const dw__view *view, dw__things *out, dw_error *err) {
  size_t area = (size_t)view->w * (size_t)view->h;
  cutter c = {.view = view, .out = out};
  *out = (dw__things){.label = view->mark,
                      .depth = view->plane,
                      .owner = dw_arena_take(view->arena, DW__PIECES_MAX, sizeof *out->owner)};
  memset(out->label, 0, area * sizeof *out->label);
  c.order = view->list;
  c.parent = dw_arena_take(view->arena, DW__PIECES_MAX, sizeof *c.parent);
  c.peak = dw_arena_take(view->arena, DW__PIECES_MAX, sizeof *c.peak);
  c.area = dw_arena_take(view->arena, DW__PIECES_MAX, sizeof *c.area);
  c.thing = dw_arena_take(view->arena, DW__PIECES_MAX, sizeof *c.thing);
  c.link = dw_arena_take(view->arena, LINKS_MAX, sizeof *c.link);
  if (!out->owner || !c.parent || !c.peak || !c.area || !c.thing || !c.link)
    return dw_fail_memory(err, "the baits' outlines");
  depths(view, out->depth);
  dw_status status = sort_pixels(&c, err);
  if (status != DW_OK) return status;
  flood(&c);
  settle(&c);
  bodies_choose(&c);
  limbs_give(&c);
  return things_list(&c, err);
}

dw_rect dw__thing_box(const dw__view *view, const dw__thing *thing, double margin) {
  double x0, y0, x1, y1;
  dw__view_in_photo(view, thing->x0 - .5 - margin, thing->y0 - .5 - margin, &x0, &y0);
  dw__view_in_photo(view, thing->x1 + .5 + margin, thing->y1 + .5 + margin, &x1, &y1);
  int x = (int)lround(x0 + .5), y = (int)lround(y0 + .5);
  return (dw_rect){x, y, (int)lround(x1 + .5) - x, (int)lround(y1 + .5) - y};
}
