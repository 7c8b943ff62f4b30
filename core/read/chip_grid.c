/* Spots of both fields in rows and columns. What hardly differs from its field is missing there, so the fields help
 * each other: rows run through both, and columns repeat. */
#include "read/chip_spots.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define APART_SHARE 0.5 /* of a chip: middles of one row, or column, lie nearer to the next one in order */

/* A spot's place across the edge, rising to the right, or along it, rising downward. */
static double across(const dw__edge *edge, const dw__spot *s) {
  return (edge->nx < 0 ? -1 : 1) * (edge->nx * s->x + edge->ny * s->y);
}
static double along(const dw__edge *edge, const dw__spot *s) {
  return (edge->nx < 0 ? -1 : 1) * (edge->nx * s->y - edge->ny * s->x);
}

static double usual_size(const dw__spots *spots) {
  double size[DW__SPOTS_MAX];
  for (size_t i = 0; i < spots->n; i++) size[i] = fmax(spots->spot[i].w, spots->spot[i].h);
  return dw_median(size, spots->n);
}

static int by_value(const void *a, const void *b) {
  double p = *(const double *)a, q = *(const double *)b;
  return (p > q) - (p < q);
}

/* Groups of sorted values: out the mean of each; returns how many, at most `room`. */
static size_t groups_find(double *value, size_t n, double gap, double *out, size_t room) {
  size_t groups = 0, from = 0;
  qsort(value, n, sizeof *value, by_value);
  for (size_t i = 1; i <= n; i++) {
    if (i < n && value[i] - value[i - 1] <= gap) continue;
    if (groups < room) out[groups] = dw_mean(value + from, i - from);
    groups++;
    from = i;
  }
  return n ? groups : 0;
}

static int nearest(const double *center, size_t n, double value) {
  size_t best = 0;
  for (size_t i = 1; i < n; i++)
    if (fabs(center[i] - value) < fabs(center[best] - value)) best = i;
  return (int)best;
}

static size_t rows_find(const dw__edge *edge, dw__spots *const fields[2], double size, double *center) {
  double value[2 * DW__SPOTS_MAX];
  size_t n = 0;
  for (size_t f = 0; f < 2; f++)
    for (size_t i = 0; i < fields[f]->n; i++) value[n++] = along(edge, &fields[f]->spot[i]);
  return groups_find(value, n, APART_SHARE * size, center, DW__GRID_MAX);
}

static bool rows_set(const dw__edge *edge, dw__spots *fields[2], size_t rows, double size) {
  double center[DW__GRID_MAX];
  if (rows_find(edge, fields, size, center) != rows) return false;
  for (size_t f = 0; f < 2; f++)
    for (size_t i = 0; i < fields[f]->n; i++)
      fields[f]->spot[i].row = nearest(center, rows, along(edge, &fields[f]->spot[i]));
  return true;
}

static size_t columns_find(const dw__edge *edge, const dw__spots *field, double size, double *center) {
  double value[DW__SPOTS_MAX];
  for (size_t i = 0; i < field->n; i++) value[i] = across(edge, &field->spot[i]);
  return groups_find(value, field->n, APART_SHARE * size, center, DW__GRID_MAX);
}

/* How far the whole columns have to move for most of the others to fall on them. */
static double shift_find(const double *whole, size_t n, const double *part, size_t m, double size) {
  double best = 0;
  size_t most = 0;
  for (size_t i = 0; i < n; i++) {
    double shift = part[0] - whole[i];
    size_t hits = 0;
    for (size_t j = 0; j < m; j++)
      hits += fabs(whole[nearest(whole, n, part[j] - shift)] + shift - part[j]) < APART_SHARE * size;
    if (hits > most) most = hits, best = shift;
  }
  return best;
}

bool dw__grids_order(const dw__edge *edge, dw__spots *black, dw__spots *white, size_t rows, size_t columns) {
  dw__spots *fields[2] = {black, white};
  double center[2][DW__GRID_MAX];
  size_t n[2];
  if (black->n < 3 || white->n < 3 || rows > DW__GRID_MAX || columns > DW__GRID_MAX) return false;
  double size = usual_size(white);
  if (!rows_set(edge, fields, rows, size)) return false;
  for (size_t f = 0; f < 2; f++) n[f] = columns_find(edge, fields[f], size, center[f]);
  size_t whole = n[0] == columns ? 0 : 1;
  if (n[whole] != columns || n[1 - whole] > columns) return false;
  for (size_t f = 0; f < 2; f++) {
    double shift = n[f] == columns ? 0 : shift_find(center[whole], columns, center[f], n[f], size);
    const double *own = n[f] == columns ? center[f] : center[whole];
    for (size_t i = 0; i < fields[f]->n; i++)
      fields[f]->spot[i].column = nearest(own, columns, across(edge, &fields[f]->spot[i]) - shift);
  }
  return true;
}

bool dw__grids_count(const dw__edge *edge, dw__spots *black, dw__spots *white, size_t *rows,
                     size_t *columns) {
  dw__spots *fields[2] = {black, white};
  double center[DW__GRID_MAX];
  if (black->n < 3 || white->n < 3) return false;
  const double size = usual_size(white);
  *rows = rows_find(edge, fields, size, center);
  *columns = 0;
  for (size_t f = 0; f < 2; f++) {
    const size_t n = columns_find(edge, fields[f], size, center);
    if (n > *columns) *columns = n;
  }
  return dw__grids_order(edge, black, white, *rows, *columns);
}

/* Middles by column and row: (x, y) = c0 + c1 column + c2 row. */
static bool lattice_fit(const dw__spots *spots, double out[6]) {
  double *a = malloc((3 * spots->n + 1) * sizeof *a), *b = malloc((2 * spots->n + 1) * sizeof *b);
  dw_error unused;
  bool good = a && b && spots->n >= 3;
  for (size_t i = 0; i < spots->n && good; i++) {
    const dw__spot *s = &spots->spot[i];
    memcpy(&a[3 * i], (double[3]){1, s->column, s->row}, 3 * sizeof *a);
    memcpy(&b[2 * i], (double[2]){s->x, s->y}, 2 * sizeof *b);
  }
  good = good && dw_least_squares(a, b, spots->n, 3, 2, out, &unused) == DW_OK;
  free(a);
  free(b);
  return good;
}

bool dw__spots_place(const dw__spots *spots, size_t row, size_t column, dw__spot *out, bool *seen) {
  double at[6], w[DW__SPOTS_MAX], h[DW__SPOTS_MAX], c = (double)column, r = (double)row;
  *seen = true;
  for (size_t i = 0; i < spots->n; i++) {
    if (spots->spot[i].row == (int)row && spots->spot[i].column == (int)column) {
      *out = spots->spot[i];
      return true;
    }
    w[i] = spots->spot[i].w, h[i] = spots->spot[i].h;
  }
  *seen = false;
  if (!lattice_fit(spots, at)) return false;
  *out = (dw__spot){at[0] + at[2] * c + at[4] * r,
                    at[1] + at[3] * c + at[5] * r,
                    dw_median(w, spots->n),
                    dw_median(h, spots->n),
                    (int)row,
                    (int)column};
  return true;
}
