/* An area laid out straight: its long axis, and the midline that bends off it.
 *
 * A layer of a bent bait is a bent band.  Its centroid lies beside it, where none of its light is seen, and its
 * shading follows the bend; so both are counted from the midline, a polynomial of fourth degree along the long
 * axis.  For what is symmetric, as a rectangle or an ellipse, that is the axis itself. */
#include "dropwise/numeric.h"
#include "region/surface.h"

#include <math.h>
#include <string.h>

/* About so many places each way are looked at. */
enum { PLACES = 128, TERMS = DW__BEND_TERMS + 1 };

typedef struct area {
  const uint8_t *mask;
  const dw__run *run;
  size_t w, h, step;
} area;

/* The next place of the mask at or behind *i, a count of looked at places; false where there is none. */
static bool next_place(const area *a, size_t *i, double *x, double *y) {
  size_t columns = (a->w + a->step - 1) / a->step, rows = (a->h + a->step - 1) / a->step;
  while (*i < columns * rows) {
    size_t column = *i % columns * a->step, row = *i / columns * a->step, at = row * a->w + column;
    if (at >= a->run[row].end) {
      *i = (*i / columns + 1) * columns;
    } else if (at < a->run[row].first) {
      *i += (a->run[row].first - at + a->step - 1) / a->step;
    } else {
      (*i)++;
      if (!a->mask[at]) continue;
      *x = (double)column;
      *y = (double)row;
      return true;
    }
  }
  return false;
}

/* Centroid and long axis. */
static void axis_find(const area *a, dw__layout *out) {
  double n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0, syy = 0, x, y;
  for (size_t i = 0; next_place(a, &i, &x, &y); n++) {
    sx += x, sy += y;
    sxx += x * x, sxy += x * y, syy += y * y;
  }
  if (n < 1) n = 1;
  out->x = sx / n, out->y = sy / n;
  double angle =
      atan2(2 * (sxy / n - out->x * out->y), sxx / n - out->x * out->x - syy / n + out->y * out->y) / 2;
  out->way[0] = cos(angle), out->way[1] = sin(angle);
}

/* From the centroid, along the axis and across it. */
static void turned(const dw__layout *layout, double x, double y, double *along, double *across) {
  double dx = x - layout->x, dy = y - layout->y;
  *along = dx * layout->way[0] + dy * layout->way[1];
  *across = dy * layout->way[0] - dx * layout->way[1];
}

static void powers(double u, double out[TERMS]) {
  out[0] = 1;
  for (int k = 1; k < TERMS; k++) out[k] = out[k - 1] * u;
}

/* Least squares of across by along; all 0 where that can't be solved. */
static void midline_fit(const area *a, const dw__layout *layout, double term[TERMS]) {
  double normal[TERMS * TERMS] = {0}, p[TERMS], x, y, along, across, n = 0;
  memset(term, 0, TERMS * sizeof *term);
  for (size_t i = 0; next_place(a, &i, &x, &y); n++) {
    turned(layout, x, y, &along, &across);
    powers(along / layout->half[0], p);
    for (int r = 0; r < TERMS; r++) {
      term[r] += p[r] * across;
      for (int c = 0; c < TERMS; c++) normal[r * TERMS + c] += p[r] * p[c];
    }
  }
  for (int k = 0; k < TERMS; k++) normal[k * TERMS + k] += 1e-6 * n;
  if (dw_cholesky(normal, TERMS, NULL) == DW_OK)
    dw_cholesky_solve(normal, TERMS, term, 1);
  else
    memset(term, 0, TERMS * sizeof *term);
}

static double reach_along(const area *a, const dw__layout *layout) {
  double x, y, along, across, most = 0;
  for (size_t i = 0; next_place(a, &i, &x, &y);) {
    turned(layout, x, y, &along, &across);
    most = fmax(most, fabs(along));
  }
  return most + 0.5; /* a pixel is 1 wide */
}

static double reach_across(const area *a, const dw__layout *layout, const double term[TERMS]) {
  double p[TERMS], x, y, along, across, most = 0;
  for (size_t i = 0; next_place(a, &i, &x, &y);) {
    turned(layout, x, y, &along, &across);
    powers(along / layout->half[0], p);
    for (int k = 0; k < TERMS; k++) across -= term[k] * p[k];
    most = fmax(most, fabs(across));
  }
  return most + 0.5; /* a pixel is 1 wide */
}

dw__layout dw__layout_of(const uint8_t *mask, const dw__run *run, const dw_rect *rect) {
  area a = {.mask = mask, .run = run, .w = (size_t)rect->w, .h = (size_t)rect->h};
  a.step = 1 + (size_t)sqrt((double)a.w * (double)a.h) / PLACES;
  dw__layout out = {.half = {1, 1}};
  double term[TERMS];
  axis_find(&a, &out);
  out.half[0] = reach_along(&a, &out);
  midline_fit(&a, &out, term);
  out.half[1] = reach_across(&a, &out, term);
  memcpy(out.bend, term + 1, sizeof out.bend);
  out.x += rect->x - term[0] * out.way[1];
  out.y += rect->y + term[0] * out.way[0];
  return out;
}
