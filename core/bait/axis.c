/* The long axis: a polynomial through the middles of the body's cross-sections.
 *
 * It begins as the middles along the body's own length, measured within the body so that a strongly bent one
 * serves as well, and is then moved, a few times, to the middle between the outlines across it. */
#include "bait/axis.h"

#include "dropwise/numeric.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  DEGREE = 5,
  TERMS = DEGREE + 1,
  BINS = 32,
  REFINES = 4,
  FIT_STATIONS = 48,
  WINDOW_MAX = 1 << 20,
  DISK_MOST = 1024
};

/* The body's pixels at least this share of its radius deep, opened by it: legs, claws and a thin tail stay
 * out. */
#define OPEN_SHARE 0.42f
/* The most that the axis turns from one station to the next, 20 degrees. */
#define TURN_COSINE 0.94
/* A round end, in radii. */
#define END_SHARE 0.7
/* A body shorter than this many times its height is begun straight. */
#define LONG_SHAPE 2.6
/* What is shorter than this many times its height is no bait: a lid, a coin. */
#define ROUND_MOST 1.3
/* Readable where it is at least this share of its height. */
#define BROAD_SHARE 0.5
/* A part slimmer than this, a tail or claws, hardly bends the axis of the body alone. */
#define BODY_SHARE 0.55
#define SLIM_WEIGHT 0.03
/* Differences above this count the same where the outline is placed at half of them. */
#define FAR_MOST 40.0

typedef struct window {
  const dw__view *view;
  int x0, y0, w, h;
  uint8_t *in;               /* the opened body */
  int (*span)[2];            /* of each row: where the body begins and, one behind, ends */
  float *way;                /* from one end, within the body */
  double x[TERMS], y[TERMS]; /* the axis over u from -1 to 1 */
  double fitted[2];          /* from which u to which it was fitted */
  bool straight_ends;        /* it goes straight on beyond, and is fitted without the body's round ends */
} window;

/* ---- the opened body ------------------------------------------------------------------------------------
 */

/* Half the width of each row of a disk. */
static void disk_rows(float radius, int half[DISK_MOST + 1]) {
  for (int y = 0; y <= (int)radius && y <= DISK_MOST; y++)
    half[y] = (int)sqrtf(radius * radius - (float)(y * y));
}

static void disk_put(window *win, int cx, int cy, int radius, const int half[DISK_MOST + 1]) {
  for (int y = cy > radius ? cy - radius : 0; y <= cy + radius && y < win->h; y++) {
    int wide = half[abs(y - cy)], x0 = cx > wide ? cx - wide : 0,
        x1 = cx + wide < win->w ? cx + wide : win->w - 1;
    memset(win->in + y * win->w + x0, 1, (size_t)(x1 - x0 + 1));
  }
}

static bool window_take(const dw__view *view, const dw__thing *thing, window *win) {
  *win = (window){.view = view,
                  .x0 = thing->x0,
                  .y0 = thing->y0,
                  .w = thing->x1 - thing->x0 + 1,
                  .h = thing->y1 - thing->y0 + 1};
  size_t n = (size_t)win->w * (size_t)win->h;
  win->in = dw_arena_take(view->arena, n, 1);
  win->way = dw_arena_take(view->arena, n, sizeof *win->way);
  win->span = dw_arena_take(view->arena, (size_t)win->h, sizeof *win->span);
  return win->in && win->way && win->span;
}

static void window_open(const dw__view *view, const dw__things *things, const dw__thing *thing, window *win) {
  int half[DISK_MOST + 1];
  float open = fminf(OPEN_SHARE * thing->radius, DISK_MOST);
  disk_rows(open, half);
  for (int y = 0; y < win->h; y++) {
    size_t row = (size_t)(y + win->y0) * (size_t)view->w + (size_t)win->x0;
    const uint16_t *label = things->label + row;
    const float *depth = things->depth + row;
    for (int x = 0; x < win->w; x++) {
      /* Disks about the rim of the eroded body give all of it. */
      if (label[x] != thing->body || depth[x] < open) continue;
      if (depth[x] < open + 2) disk_put(win, x, y, (int)open, half);
      win->in[y * win->w + x] = 1;
    }
  }
  for (int y = 0; y < win->h; y++) {
    const uint16_t *label = things->label + (size_t)(y + win->y0) * (size_t)view->w + (size_t)win->x0;
    uint8_t *in = win->in + y * win->w;
    for (int x = 0; x < win->w; x++) in[x] &= label[x] == thing->body;
    const uint8_t *first = memchr(in, 1, (size_t)win->w), *last = memrchr(in, 1, (size_t)win->w);
    if (first) win->span[y][0] = (int)(first - in), win->span[y][1] = (int)(last - in) + 1;
  }
}

/* ---- where it begins ------------------------------------------------------------------------------------
 */

/* Shortens the ways to row y from the row before it in a sweep, and along it that way; whether any was. */
static bool ways_row(window *win, int y, int sign) {
  int w = win->w, before = y - sign, first = win->span[y][0], end = win->span[y][1];
  bool above = before >= 0 && before < win->h, moved = false;
  const uint8_t *in = win->in + y * w;
  float *way = win->way + y * w, *far = above ? win->way + before * w : NULL;
  int begin = sign > 0 ? first : end - 1;
  for (int i = first, x = begin; i < end; i++, x += sign) {
    if (!in[x]) continue;
    float straight = x != begin ? way[x - sign] : FLT_MAX, skew = FLT_MAX; /* what is outside stays FLT_MAX */
    if (above) {
      straight = far[x] < straight ? far[x] : straight;
      if (x > 0) skew = far[x - 1];
      if (x + 1 < w && far[x + 1] < skew) skew = far[x + 1];
    }
    float least = straight + 1 < skew + 1.41421356f ? straight + 1 : skew + 1.41421356f;
    if (least < way[x] - 1e-3f) way[x] = least, moved = true;
  }
  return moved;
}

/* Lengths of the ways within the body from one pixel; returns the farthest. */
static int ways_from(window *win, int start) {
  int n = win->w * win->h, far = start;
  for (int i = 0; i < n; i++) win->way[i] = FLT_MAX;
  win->way[start] = 0;
  for (bool moved = true; moved;) {
    moved = false;
    for (int y = 0; y < win->h; y++) moved |= ways_row(win, y, 1);
    for (int y = win->h - 1; y >= 0; y--) moved |= ways_row(win, y, -1);
  }
  for (int i = 0; i < n; i++)
    if (win->in[i] && win->way[i] < FLT_MAX && win->way[i] > win->way[far]) far = i;
  return far;
}

/* Least squares of x and y over u, weighted. */
static bool curve_fit(window *win, const double *u, const double *x, const double *y, const double *weight,
                      int n, int degree) {
  double A[FIT_STATIONS * TERMS], B[FIT_STATIONS * 2], X[TERMS * 2];
  int terms = degree + 1;
  for (int i = 0; i < n; i++) {
    double power = sqrt(weight[i]);
    B[2 * i] = power * x[i];
    B[2 * i + 1] = power * y[i];
    for (int k = 0; k < terms; k++, power *= u[i]) A[i * terms + k] = power;
  }
  if (n < terms + 1 || dw_least_squares(A, B, (size_t)n, (size_t)terms, 2, X, NULL) != DW_OK) return false;
  memset(win->x, 0, sizeof win->x);
  memset(win->y, 0, sizeof win->y);
  for (int k = 0; k < terms; k++) win->x[k] = X[2 * k], win->y[k] = X[2 * k + 1];
  win->fitted[0] = u[0], win->fitted[1] = u[n - 1];
  return true;
}

static double value(const double c[TERMS], double u) {
  double sum = 0;
  for (int k = TERMS; k-- > 0;) sum = sum * u + c[k];
  return sum;
}

static double slope(const double c[TERMS], double u) {
  double sum = 0;
  for (int k = TERMS; k-- > 1;) sum = sum * u + k * c[k];
  return sum;
}

/* Straight, along the largest scatter; returns the scatters' ratio of lengths. */
static double begin_straight(window *win) {
  double n = 0, sx = 0, sy = 0, xx = 0, xy = 0, yy = 0;
  for (int i = 0, row = 0; row < win->h; row++)
    for (int column = 0; column < win->w; column++, i++) {
      if (!win->in[i]) continue;
      double x = column, y = row;
      n++, sx += x, sy += y, xx += x * x, xy += x * y, yy += y * y;
    }
  if (n < 30) return 0;
  double mx = sx / n, my = sy / n,
         cov[4] = {xx / n - mx * mx, xy / n - mx * my, xy / n - mx * my, yy / n - my * my};
  double values[2];
  if (dw_symmetric_eigen(cov, 2, values, NULL) != DW_OK) return 0;
  double half = sqrt(3 * fmax(values[1], 0));
  memset(win->x, 0, sizeof win->x);
  memset(win->y, 0, sizeof win->y);
  win->x[0] = mx, win->x[1] = half * cov[2];
  win->y[0] = my, win->y[1] = half * cov[3];
  return sqrt(values[1] / fmax(values[0], 1e-6));
}

/* Through the middles of the pixels at equal ways from one end. */
static bool begin_curved(window *win) {
  int start = 0;
  while (!win->in[start]) start++;
  int one = ways_from(win, start), other = ways_from(win, one);
  double longest = (double)win->way[other], x[BINS] = {0}, y[BINS] = {0}, n[BINS] = {0}, u[BINS];
  if (longest < 8) return false;
  for (int i = 0, row = 0; row < win->h; row++)
    for (int column = 0; column < win->w; column++, i++) {
      if (!win->in[i] || win->way[i] == FLT_MAX) continue;
      int bin = (int)fmin((double)win->way[i] / longest * BINS, BINS - 1);
      n[bin]++, x[bin] += column, y[bin] += row;
    }
  int kept = 0;
  for (int i = 1; i < BINS - 1; i++) {
    if (n[i] < 2) continue;
    x[kept] = x[i] / n[i], y[kept] = y[i] / n[i], u[kept] = 2 * (i + .5) / BINS - 1, n[kept] = n[i];
    kept++;
  }
  return curve_fit(win, u, x, y, n, kept, DEGREE - 1);
}

/* ---- across it ------------------------------------------------------------------------------------------
 */

/* The whole number below, of what lies in a view or near it: floor is a call, and this is asked often. */
static int below(double v) {
  enum { OFF = 1 << 24 };
  return (int)(v + OFF) - OFF;
}

static bool inside(const window *win, double x, double y) {
  int ix = below(x + .5), iy = below(y + .5);
  return ix >= 0 && iy >= 0 && ix < win->w && iy < win->h && win->in[iy * win->w + ix];
}

/* From a place of the body on to where it ends. */
static double reach(const window *win, double x, double y, double dx, double dy, double most) {
  double r = 0;
  while (r < most && inside(win, x + r * dx, y + r * dy)) r += .25;
  return r;
}

/* The axis at u: place, direction of length 1. */
static void along(const window *win, double u, double out[4]) {
  double at = win->straight_ends ? fmin(fmax(u, win->fitted[0]), win->fitted[1]) : u;
  double dx = slope(win->x, at), dy = slope(win->y, at), n = hypot(dx, dy);
  out[0] = value(win->x, at) + (u - at) * dx, out[1] = value(win->y, at) + (u - at) * dy;
  out[2] = n > 0 ? dx / n : 1, out[3] = n > 0 ? dy / n : 0;
}

/* Over u from -1 to 1 the curve shall run from one end of the body to the other. */
static double end_of(const window *win, double from, double step) {
  double at[4], u = from;
  for (int i = 0; i < 400; i++) {
    along(win, u + step, at);
    if (!inside(win, at[0], at[1])) break;
    u += step;
  }
  return u;
}

/* Whether a place lies in a round end, whose cross-sections turn with the axis and tell nothing of where it runs. */
static bool in_end(const double at[4], const double end[4], double radius) {
  return hypot(at[0] - end[0], at[1] - end[1]) < END_SHARE * radius;
}

/* To the middle between both outlines, at stations from end to end.
 * slim  the weight of what is slimmer than the body */
static bool refine(window *win, double radius, int degree, double slim) {
  double low = end_of(win, 0, -.02), high = end_of(win, 0, .02), u[FIT_STATIONS], x[FIT_STATIONS],
         y[FIT_STATIONS], width[FIT_STATIONS], weight[FIT_STATIONS], widest = 0, first[4], last[4];
  int n = 0;
  along(win, low, first);
  along(win, high, last);
  for (int i = 0; i < FIT_STATIONS; i++) {
    double at[4], share = 2 * (i + .5) / FIT_STATIONS - 1;
    along(win, low + (high - low) * (share + 1) / 2, at);
    if (!inside(win, at[0], at[1])) continue;
    if (win->straight_ends && (in_end(at, first, radius) || in_end(at, last, radius))) continue;
    double belly = reach(win, at[0], at[1], -at[3], at[2], 3 * radius),
           back = reach(win, at[0], at[1], at[3], -at[2], 3 * radius), off = (belly - back) / 2;
    if (belly >= 3 * radius || back >= 3 * radius) continue;
    u[n] = share, x[n] = at[0] - off * at[3], y[n] = at[1] + off * at[2];
    width[n] = belly + back;
    widest = fmax(widest, width[n++]);
  }
  for (int i = 0; i < n; i++)
    weight[i] = (fabs(u[i]) > .9 ? .3 : 1) * (width[i] < BODY_SHARE * widest ? slim : 1);
  return curve_fit(win, u, x, y, weight, n, degree);
}

/* ---- the outline, to a fraction of a pixel ---------------------------------------------------------------
 */

/* How far a place is from the board; what may be shadow counts as board where that is wanted. */
static double far_at(const dw__view *view, double x, double y, bool without_shade) {
  int ix = below(x), iy = below(y);
  double fx = x - ix, fy = y - iy, sum = 0;
  for (int k = 0; k < 4; k++) {
    int nx = ix + k % 2, ny = iy + k / 2;
    if (nx < 0 || ny < 0 || nx >= view->w || ny >= view->h) continue;
    size_t i = (size_t)(ny * view->w + nx);
    bool thing = view->on[i] == DW__ON_THING && !(without_shade && dw__view_shade(view, i) != DW__SHADE_NONE);
    sum += (k % 2 ? fx : 1 - fx) * (k / 2 ? fy : 1 - fy) * (thing ? fmin((double)view->far[i], FAR_MOST) : 0);
  }
  return sum;
}

/* Where the difference from the board falls below half of what it is just inside.  The dark line where the
 * body touches the board is no part of it, unless the body has that color itself. */
static double edge_near(const dw__view *view, double x, double y, double dx, double dy, double at) {
  double inward = fmin(6, .4 * at), within = at - inward - 1, bx = x + within * dx, by = y + within * dy;
  bool without = far_at(view, bx, by, true) > .5 * far_at(view, bx, by, false);
  double level = .5 * far_at(view, bx, by, without), before = level, r = at - inward;
  for (; r < at + 3; r += .25) {
    double now = far_at(view, x + r * dx, y + r * dy, without);
    if (now < level) return before > now ? r - .25 * (level - now) / (before - now) : r;
    before = now;
  }
  return at;
}

/* Returns how far they moved in the mean, ends aside, where the outline turns. */
static double smooth(double *v, size_t n) {
  enum { REACH = 5, END = DW__AXIS_STATIONS / 12 };
  double out[DW__AXIS_STATIONS], pick[2 * REACH + 1], moved = 0;
  for (size_t i = 0; i < n; i++) {
    size_t from = i > REACH ? i - REACH : 0, to = i + REACH < n ? i + REACH : n - 1;
    memcpy(pick, v + from, (to - from + 1) * sizeof *pick);
    out[i] = dw_median(pick, to - from + 1);
  }
  for (size_t i = 0; i < n; i++) {
    double is = i && i + 1 < n ? (out[i - 1] + out[i] + out[i + 1]) / 3 : out[i];
    if (i >= END && i + END < n) moved += fabs(is - v[i]) / (double)(n - 2 * END);
    v[i] = is;
  }
  return moved;
}

static void outline(const window *win, double radius, dw__axis *out) {
  double back[DW__AXIS_STATIONS], belly[DW__AXIS_STATIONS];
  for (size_t i = 0; i < DW__AXIS_STATIONS; i++) {
    dw__station *s = &out->at[i];
    double x = s->x - win->x0, y = s->y - win->y0;
    belly[i] = reach(win, x, y, s->nx, s->ny, 3 * radius);
    back[i] = reach(win, x, y, -s->nx, -s->ny, 3 * radius);
    belly[i] = edge_near(win->view, s->x, s->y, s->nx, s->ny, belly[i]);
    back[i] = edge_near(win->view, s->x, s->y, -s->nx, -s->ny, back[i]);
  }
  double rough = smooth(belly, DW__AXIS_STATIONS) + smooth(back, DW__AXIS_STATIONS);
  for (size_t i = 0; i < DW__AXIS_STATIONS; i++) {
    out->at[i].back = back[i], out->at[i].belly = belly[i];
    out->height = fmax(out->height, back[i] + belly[i]);
  }
  out->rough = rough / 2 / fmax(out->height, 1);
}

/* Equal steps of length from end to end. */
static void stations(const window *win, dw__axis *out) {
  enum { FINE = 512 };
  double low = end_of(win, 0, -.01), high = end_of(win, 0, .01), length[FINE + 1] = {0}, at[4], before[4];
  along(win, low, before);
  for (int i = 1; i <= FINE; i++) {
    along(win, low + (high - low) * i / FINE, at);
    length[i] = length[i - 1] + hypot(at[0] - before[0], at[1] - before[1]);
    memcpy(before, at, sizeof at);
  }
  out->length = length[FINE];
  for (int i = 0, k = 0; i < DW__AXIS_STATIONS; i++) {
    double want = out->length * (i + .5) / DW__AXIS_STATIONS;
    while (k + 1 < FINE && length[k + 1] < want) k++;
    double part = (want - length[k]) / fmax(length[k + 1] - length[k], 1e-9);
    along(win, low + (high - low) * (k + part) / FINE, at);
    out->at[i] = (dw__station){at[0] + win->x0, at[1] + win->y0, -at[3], at[2], 0, 0};
  }
  const dw__station *a = &out->at[DW__AXIS_STATIONS / 12],
                    *b = &out->at[DW__AXIS_STATIONS - 1 - DW__AXIS_STATIONS / 12];
  out->bend = atan2(a->nx * b->ny - a->ny * b->nx, a->nx * b->nx + a->ny * b->ny);
}

/* The head is the broader end; limbs and a thin tail mark the other. */
static void head_first(dw__axis *axis) {
  double head = 0, tail = 0;
  for (size_t i = 0; i < DW__AXIS_STATIONS / 3; i++) {
    const dw__station *a = &axis->at[i], *b = &axis->at[DW__AXIS_STATIONS - 1 - i];
    head += a->back + a->belly, tail += b->back + b->belly;
  }
  if (head >= tail) return;
  for (size_t i = 0; i < DW__AXIS_STATIONS / 2; i++) {
    dw__station keep = axis->at[i];
    axis->at[i] = axis->at[DW__AXIS_STATIONS - 1 - i];
    axis->at[DW__AXIS_STATIONS - 1 - i] = keep;
  }
  axis->bend = -axis->bend;
}

static void readable(dw__axis *axis) {
  size_t margin = DW__AXIS_STATIONS / 14;
  axis->first = margin, axis->last = DW__AXIS_STATIONS - 1 - margin;
  double least = BROAD_SHARE * axis->height;
  while (axis->first < axis->last && axis->at[axis->first].back + axis->at[axis->first].belly < least)
    axis->first++;
  while (axis->last > axis->first && axis->at[axis->last].back + axis->at[axis->last].belly < least)
    axis->last--;
}

/* From the broadest place to both sides, as far as the body goes. */
static void readable_body(dw__axis *axis) {
  size_t margin = DW__AXIS_STATIONS / 14, end = DW__AXIS_STATIONS - 1 - margin, broadest = margin;
  double width[DW__AXIS_STATIONS];
  for (size_t i = 0; i < DW__AXIS_STATIONS; i++) width[i] = axis->at[i].back + axis->at[i].belly;
  for (size_t i = margin; i <= end; i++)
    if (width[i] > width[broadest]) broadest = i;
  double least = BODY_SHARE * axis->height;
  axis->first = axis->last = broadest;
  while (axis->first > margin && width[axis->first - 1] >= least) axis->first--;
  while (axis->last < end && width[axis->last + 1] >= least) axis->last++;
}

void dw__axis_turn(dw__axis *axis) {
  for (size_t i = 0; i < DW__AXIS_STATIONS; i++) {
    dw__station *s = &axis->at[i];
    double back = s->back;
    s->back = s->belly, s->belly = back;
    s->nx = -s->nx, s->ny = -s->ny;
  }
}

static void axis_make(const window *win, double radius, dw__axis *out) {
  *out = (dw__axis){0};
  stations(win, out);
  outline(win, radius, out);
  head_first(out);
  double ny = 0; /* the belly below: in the photo, or to the right where the bait stands upright */
  for (size_t i = 0; i < DW__AXIS_STATIONS; i++) ny += out->at[i].ny + .02 * out->at[i].nx;
  if (ny < 0) dw__axis_turn(out);
}

/* Whether the curve turns sharply somewhere between the ends: no body does. */
static bool folds(const window *win) {
  double low = end_of(win, 0, -.02), high = end_of(win, 0, .02), before[4], at[4];
  along(win, low, before);
  for (int i = 1; i < FIT_STATIONS; i++) {
    along(win, low + (high - low) * i / (FIT_STATIONS - 1), at);
    if (before[2] * at[2] + before[3] * at[3] < TURN_COSINE) return true;
    memcpy(before, at, sizeof at);
  }
  return false;
}

static bool settle(window *win, double radius, int degree, double slim) {
  for (int i = 0; i < REFINES; i++)
    if (!refine(win, radius, degree, slim)) return false;
  return !folds(win);
}

/* Bent by a polynomial, or where that curls at the body's ends, with straight ends. */
static bool settle_curved(window *win, double radius, double slim) {
  if (settle(win, radius, DEGREE, slim)) return true;
  win->straight_ends = true;
  if (begin_curved(win) && settle(win, radius, DEGREE, slim)) return true;
  win->straight_ends = false;
  return false;
}

/* From where it begins to the axis, or where that folds, from a straight one; false where that is no bait's.
 * slim  the weight of what is slimmer than the body */
static bool axis_from(window *win, double radius, bool bends, double slim, dw__axis *out) {
  if (!(bends ? settle_curved(win, radius, slim) : settle(win, radius, 2, slim))) {
    begin_straight(win);
    if (!settle(win, radius, 2, slim)) return false;
  }
  axis_make(win, radius, out);
  slim < 1 ? readable_body(out) : readable(out);
  return out->length >= ROUND_MOST * out->height && out->last > out->first + DW__AXIS_STATIONS / 4;
}

static bool axis_in(window *win, double radius, double slim, dw__axis *out) {
  double longer = begin_straight(win);
  if (!(longer > 0)) return false;
  bool bends = longer >= LONG_SHAPE;
  if (bends && !begin_curved(win)) return false;
  return axis_from(win, radius, bends, slim, out);
}

dw_status dw__axis_find(const dw__view *view, const dw__things *things, const dw__thing *thing,
                        dw__axis_of what, dw__axis *out, bool *found, dw_error *err) {
  window win;
  *found = false;
  if ((size_t)(thing->x1 - thing->x0 + 1) * (size_t)(thing->y1 - thing->y0 + 1) > WINDOW_MAX) return DW_OK;
  if (!window_take(view, thing, &win)) return dw_fail_memory(err, "the axis of a bait");
  window_open(view, things, thing, &win);
  *found = axis_in(&win, (double)thing->radius, what == DW__AXIS_OF_BODY ? SLIM_WEIGHT : 1, out);
  return DW_OK;
}
