#include "read/strip_half.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>

#define MARGIN_SHARE 0.008 /* of the photo's longer side */
enum { SAMPLES = 2000 };   /* pixels by which the strip's own color is known */

double dw__strip_margin(const dw_patch *photo) {
  return fmax(3, MARGIN_SHARE * (photo->rect.w > photo->rect.h ? photo->rect.w : photo->rect.h));
}

/* What of the plane the half covers, with its mirror image: the photo's corners on this side, and mirrored. */
static dw_rect half_bounds(const dw_patch *photo, const dw__edge *edge, int side, double margin) {
  double w = photo->rect.w - 1, h = photo->rect.h - 1, low[2] = {w, h}, high[2] = {0, 0};
  const double corner[4][2] = {{0, 0}, {w, 0}, {w, h}, {0, h}};
  for (int i = 0; i < 4; i++) {
    double away = side * dw__edge_away(edge, corner[i][0], corner[i][1]) - margin;
    if (away < 0) continue;
    for (int image = 0; image < 2; image++) {
      double x = corner[i][0] - image * 2 * away * side * edge->nx,
             y = corner[i][1] - image * 2 * away * side * edge->ny;
      low[0] = fmin(low[0], x), high[0] = fmax(high[0], x);
      low[1] = fmin(low[1], y), high[1] = fmax(high[1], y);
    }
  }
  bool upright = fabs(edge->nx) > fabs(edge->ny); /* the edge: along it the photo's own extent is enough */
  if (upright)
    low[1] = 0, high[1] = h;
  else
    low[0] = 0, high[0] = w;
  return (dw_rect){(int)floor(low[0]), (int)floor(low[1]), (int)(high[0] - low[0]) + 1,
                   (int)(high[1] - low[1]) + 1};
}

/* By the two ways from the card's middle. */
bool dw__card_covers(const dw_corners *card, double x, double y) {
  const double *c = card->xy;
  double mx, my;
  dw_corners_middle(card, &mx, &my);
  double ux = (c[2] - c[0] + c[4] - c[6]) / 4, uy = (c[3] - c[1] + c[5] - c[7]) / 4;
  double vx = (c[6] - c[0] + c[4] - c[2]) / 4, vy = (c[7] - c[1] + c[5] - c[3]) / 4;
  double det = ux * vy - uy * vx, dx = x - mx, dy = y - my;
  if (fabs(det) < 1e-9) return false;
  return fabs(dx * vy - dy * vx) < 1.45 * fabs(det) && fabs(ux * dy - uy * dx) < 1.75 * fabs(det);
}

/* Of the strip: the median of its pixels, most of which are bare. */
static void board_color(const dw_patch *photo, const dw__edge *edge, int side, double margin, float out[3]) {
  float *v = malloc(3 * SAMPLES * sizeof *v);
  size_t n = 0, all = (size_t)photo->rect.w * (size_t)photo->rect.h, step = all / SAMPLES + 1;
  for (size_t i = 0; v && i < all && n < SAMPLES; i += step) {
    double x = (double)(i % (size_t)photo->rect.w), y = (double)(i / (size_t)photo->rect.w);
    if (side * dw__edge_away(edge, x, y) < margin) continue;
    for (size_t k = 0; k < 3; k++) v[k * SAMPLES + n] = photo->rgb[3 * i + k];
    n++;
  }
  for (size_t k = 0; k < 3; k++) out[k] = v && n ? dw_median_f(v + k * SAMPLES, n) : 0;
  free(v);
}

static int clamped(double at, int n) {
  int i = (int)lround(at);
  return i < 0 ? 0 : i >= n ? n - 1 : i;
}

dw_status dw__strip_half(const dw_patch *photo, const dw__edge *edge, int side, const dw_corners *card,
                         dw_arena *arena, dw_patch *out, dw_error *err) {
  double margin = dw__strip_margin(photo);
  dw_rect at = half_bounds(photo, edge, side, margin);
  int step = dw_patch_step(photo);
  size_t n = (size_t)at.w * (size_t)at.h;
  float bare[3];
  *out = (dw_patch){.rect = {photo->rect.x + step * at.x, photo->rect.y + step * at.y, at.w, at.h},
                    .step = photo->step,
                    .rgb = dw_arena_take(arena, 3 * n, sizeof *out->rgb),
                    .clip = dw_arena_take(arena, n, 1)};
  if (!out->rgb || !out->clip) return dw_fail_memory(err, "a strip");
  board_color(photo, edge, side, margin, bare);
  for (size_t i = 0; i < n; i++) {
    double x = at.x + (double)(i % (size_t)at.w), y = at.y + (double)(i / (size_t)at.w);
    double away = side * dw__edge_away(edge, x, y) - margin, back = away < 0 ? 2 * away * side : 0;
    int sx = clamped(x - back * edge->nx, photo->rect.w), sy = clamped(y - back * edge->ny, photo->rect.h);
    size_t from = (size_t)sy * (size_t)photo->rect.w + (size_t)sx;
    bool covered = card && dw__card_covers(card, sx, sy);
    for (size_t k = 0; k < 3; k++) out->rgb[3 * i + k] = covered ? bare[k] : photo->rgb[3 * from + k];
    out->clip[i] = covered ? 0 : photo->clip[from];
  }
  return DW_OK;
}
