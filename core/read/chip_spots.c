#include "read/chip_spots.h"

#include "dropwise/color.h"
#include "dropwise/numeric.h"
#include "read/strip_half.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { LONG_SIDE = 400, FIT_ROUNDS = 4, LEAST_CELLS = 24, PLANE = 3 };
#define DIFFERS_LEAST 3.0 /* of a chip from its field, Lab */
#define DIFFERS_NOISE 5.0 /* and so many times the field's own deviation */
#define FULL_LEAST 0.6    /* of its box that a chip fills */
#define LARGE_SHARE 0.35  /* of the usual chip's area: what is smaller is dirt, */
#define LARGE_TIMES 2.8   /* what is larger is something else */

typedef struct field {
  int w, h, size;
  double *lab;   /* h x w x 3 */
  uint8_t *here; /* h x w: on this field */
  uint8_t *spot; /* h x w: differs from it */
  double plane[3][PLANE], noise;
} field;

static bool field_room(const dw_patch *photo, field *out) {
  int longest = photo->rect.w > photo->rect.h ? photo->rect.w : photo->rect.h;
  out->size = longest > LONG_SIDE ? longest / LONG_SIDE : 1;
  out->w = photo->rect.w / out->size;
  out->h = photo->rect.h / out->size;
  size_t n = (size_t)out->w * (size_t)out->h + 1;
  out->lab = calloc(3 * n, sizeof *out->lab);
  out->here = calloc(n, 1);
  out->spot = calloc(n, 1);
  return out->lab && out->here && out->spot;
}

/* Each cell's mean light as Lab of sRGB: what is looked for differs by more than the camera bends. */
static void field_colors(const dw_patch *photo, field *f) {
  for (int y = 0; y < f->h; y++)
    for (int x = 0; x < f->w; x++) {
      double rgb[3] = {0};
      for (int j = 0; j < f->size * f->size; j++) {
        size_t px = (size_t)(x * f->size + j % f->size), py = (size_t)(y * f->size + j / f->size);
        const float *p = &photo->rgb[3 * (py * (size_t)photo->rect.w + px)];
        for (size_t k = 0; k < 3; k++) rgb[k] += (double)p[k] / (f->size * f->size);
      }
      dw_lab lab = dw_lab_from_xyz(dw_xyz_from_linear(rgb));
      memcpy(&f->lab[3 * (y * f->w + x)], (double[3]){lab.L, lab.a, lab.b}, 3 * sizeof(double));
    }
}

static void field_area(const dw_patch *photo, const dw__edge *edge, int side, const dw_corners *card,
                       field *f) {
  double margin = 2 * dw__strip_margin(photo);
  for (int y = 0; y < f->h; y++)
    for (int x = 0; x < f->w; x++) {
      double px = (x + .5) * f->size, py = (y + .5) * f->size;
      f->here[y * f->w + x] =
          side * dw__edge_away(edge, px, py) > margin && !(card && dw__card_covers(card, px, py));
    }
}

static double away_of(const field *f, int i) {
  double u = (double)(i % f->w) / f->w - .5, v = (double)(i / f->w) / f->h - .5, sum = 0;
  for (size_t k = 0; k < 3; k++) {
    const double *p = f->plane[k];
    double d = f->lab[3 * i + (int)k] - p[0] - p[1] * u - p[2] * v;
    sum += d * d;
  }
  return sqrt(sum);
}

/* A plane in L*, a*, b* through every third cell that counts. */
static bool plane_fit(field *f, const uint8_t *counts, dw_error *err) {
  size_t n = 0, room = (size_t)f->w * (size_t)f->h / 3 + 1;
  double *a = malloc(PLANE * room * sizeof *a), *b = malloc(3 * room * sizeof *b), x[PLANE * 3];
  bool good = a && b;
  for (int i = 0; i < f->w * f->h && good; i += 3) {
    if (!counts[i]) continue;
    memcpy(&a[PLANE * n], (double[PLANE]){1, (double)(i % f->w) / f->w - .5, (double)(i / f->w) / f->h - .5},
           PLANE * sizeof *a);
    memcpy(&b[3 * n++], &f->lab[3 * i], 3 * sizeof *b);
  }
  good = good && n > LEAST_CELLS && dw_least_squares(a, b, n, PLANE, 3, x, err) == DW_OK;
  for (size_t k = 0; k < 3 && good; k++)
    for (size_t c = 0; c < PLANE; c++) f->plane[k][c] = x[3 * c + k];
  free(a);
  free(b);
  return good;
}

/* The field's own color as a plane, its chips left out step by step; false where there is no field. */
static bool field_fit(field *f) {
  int n = f->w * f->h;
  uint8_t *counts = malloc((size_t)n + 1);
  double *away = malloc(((size_t)n + 1) * sizeof *away);
  dw_error unused;
  bool good = counts && away;
  if (good) memcpy(counts, f->here, (size_t)n);
  for (int round = 0; round < FIT_ROUNDS && good; round++) {
    size_t m = 0;
    good = plane_fit(f, counts, &unused);
    for (int i = 0; i < n && good; i++)
      if (f->here[i]) away[m++] = away_of(f, i);
    good = good && m > LEAST_CELLS;
    if (!good) break;
    f->noise = dw_quantile(away, m, .3);
    double most = fmax(DIFFERS_LEAST, 3 * f->noise);
    for (int i = 0; i < n; i++) counts[i] = f->here[i] && away_of(f, i) < most;
  }
  free(counts);
  free(away);
  return good;
}

/* Fills the spot from cell `begin` with 2 and gives its box; stack has room for all cells. */
static size_t spot_fill(field *f, int begin, int *stack, dw__spot *out) {
  int n = 0, x0 = f->w, y0 = f->h, x1 = -1, y1 = -1;
  size_t cells = 0;
  stack[n++] = begin;
  f->spot[begin] = 2;
  while (n > 0) {
    int i = stack[--n], x = i % f->w, y = i / f->w;
    const int next[4] = {x > 0 ? i - 1 : -1, x + 1 < f->w ? i + 1 : -1, i - f->w, i + f->w};
    x0 = x < x0 ? x : x0, x1 = x > x1 ? x : x1, y0 = y < y0 ? y : y0, y1 = y > y1 ? y : y1;
    cells++;
    for (size_t k = 0; k < 4; k++) {
      if (next[k] < 0 || next[k] >= f->w * f->h || f->spot[next[k]] != 1) continue;
      f->spot[next[k]] = 2;
      stack[n++] = next[k];
    }
  }
  double size = f->size;
  *out = (dw__spot){(x0 + x1 + 1) / 2.0 * size,
                    (y0 + y1 + 1) / 2.0 * size,
                    (x1 - x0 + 1) * size,
                    (y1 - y0 + 1) * size,
                    0,
                    0};
  bool cut = x0 == 0 || y0 == 0 || x1 == f->w - 1 || y1 == f->h - 1;
  bool full = (double)cells >= FULL_LEAST * (x1 - x0 + 1) * (y1 - y0 + 1);
  return cells >= LEAST_CELLS && full && !cut ? cells : 0;
}

/* Chips of a sheet are about alike: what is not is dirt, or no chip. */
static void usual_keep(dw__spots *spots) {
  double area[DW__SPOTS_MAX];
  size_t kept = 0;
  for (size_t i = 0; i < spots->n; i++) area[i] = spots->spot[i].w * spots->spot[i].h;
  double usual = spots->n ? dw_median(area, spots->n) : 0;
  for (size_t i = 0; i < spots->n; i++) {
    double own = spots->spot[i].w * spots->spot[i].h;
    if (own >= LARGE_SHARE * usual && own <= LARGE_TIMES * usual) spots->spot[kept++] = spots->spot[i];
  }
  spots->n = kept;
}

static dw_status spots_take(field *f, dw__spots *out, dw_error *err) {
  int n = f->w * f->h;
  int *stack = malloc(((size_t)n + 1) * sizeof *stack);
  if (!stack) return dw_fail_memory(err, "the chips");
  double most = fmax(DIFFERS_LEAST, DIFFERS_NOISE * f->noise);
  for (int i = 0; i < n; i++) f->spot[i] = f->here[i] && away_of(f, i) >= most;
  out->n = 0;
  for (int i = 0; i < n && out->n < DW__SPOTS_MAX; i++)
    if (f->spot[i] == 1 && spot_fill(f, i, stack, &out->spot[out->n])) out->n++;
  free(stack);
  usual_keep(out);
  return DW_OK;
}

dw_status dw__spots_find(const dw_patch *photo, const dw__edge *edge, int side, const dw_corners *card,
                         dw__spots *out, dw_error *err) {
  field f = {0};
  dw_status status = field_room(photo, &f) ? DW_OK : dw_fail_memory(err, "the chips");
  out->n = 0;
  if (status == DW_OK) {
    field_colors(photo, &f);
    field_area(photo, edge, side, card, &f);
    if (field_fit(&f)) status = spots_take(&f, out, err);
  }
  free(f.lab);
  free(f.here);
  free(f.spot);
  return status;
}
