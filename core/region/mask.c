/* Shapes as pixels.  A pixel belongs to a shape when its center, at whole coordinates, lies inside; left and
 * top edges belong to a rectangle or polygon, right and bottom edges do not, so that shapes side by side
 * never share a pixel. */
#include "dropwise/region.h"

#include <math.h>
#include <string.h>

/* First and last pixel along x and y whose centers can lie inside. */
typedef struct span {
  double x0, y0, x1, y1;
} span;

static span span_of(const dw_shape *shape) {
  const double *s = shape->xy;
  if (shape->kind == DW_SHAPE_RECT)
    return (span){ceil(s[0]), ceil(s[1]), ceil(s[0] + s[2]) - 1, ceil(s[1] + s[3]) - 1};
  if (shape->kind == DW_SHAPE_ELLIPSE)
    return (span){ceil(s[0] - s[2]), ceil(s[1] - s[3]), floor(s[0] + s[2]), floor(s[1] + s[3])};
  span out = {s[0], s[1], s[0], s[1]};
  for (size_t i = 1; i < shape->n; i++) {
    out.x0 = fmin(out.x0, s[2 * i]);
    out.x1 = fmax(out.x1, s[2 * i]);
    out.y0 = fmin(out.y0, s[2 * i + 1]);
    out.y1 = fmax(out.y1, s[2 * i + 1]);
  }
  return (span){ceil(out.x0), ceil(out.y0), ceil(out.x1) - 1, ceil(out.y1) - 1};
}

dw_status dw_shape_bounds(const dw_shape *shape, const dw_photo_info *photo, dw_rect *out, dw_error *err) {
  span s = span_of(shape);
  if (!(s.x1 >= s.x0 && s.y1 >= s.y0))
    return dw_fail(err, DW_BAD_INPUT,
                   "The marked area near %.0f,%.0f is too thin to hold a pixel; mark a larger one.", s.x0,
                   s.y0);
  if (s.x1 < 0 || s.y1 < 0 || s.x0 > photo->width - 1 || s.y0 > photo->height - 1)
    return dw_fail(err, DW_BAD_INPUT,
                   "The marked area from %.0f,%.0f to %.0f,%.0f lies outside the photo, which is %d x %d "
                   "pixels; mark it inside.",
                   s.x0, s.y0, s.x1, s.y1, photo->width, photo->height);
  int x0 = (int)fmax(s.x0, 0), y0 = (int)fmax(s.y0, 0);
  int x1 = (int)fmin(s.x1, photo->width - 1), y1 = (int)fmin(s.y1, photo->height - 1);
  *out = (dw_rect){x0, y0, x1 - x0 + 1, y1 - y0 + 1};
  return DW_OK;
}

static void ellipse_row(const dw_shape *shape, const dw_rect *rect, int y, uint8_t *row) {
  const double *s = shape->xy;
  double v = (y - s[1]) / s[3];
  if (fabs(v) > 1) return;
  for (int i = 0; i < rect->w; i++) {
    double u = (rect->x + i - s[0]) / s[2];
    row[i] = u * u + v * v <= 1;
  }
}

/* Every edge that crosses the row toggles the pixel where it does; the running parity then fills the row
 * even-odd, in time of edges + pixels whatever the polygon crosses. */
static void poly_row(const dw_shape *shape, const dw_rect *rect, int y, uint8_t *row) {
  const double *s = shape->xy;
  int first = rect->w, end = 0, odd = 0;
  for (size_t i = 0, j = shape->n - 1; i < shape->n; j = i++) {
    double xi = s[2 * i], yi = s[2 * i + 1], xj = s[2 * j], yj = s[2 * j + 1];
    if ((yi <= y) == (yj <= y)) continue;
    double x = fmax(ceil(xi + (y - yi) * (xj - xi) / (yj - yi)) - rect->x, 0);
    if (x >= rect->w) continue;
    row[(int)x] ^= 1;
    first = x < first ? (int)x : first;
    end = x > end ? (int)x : end;
    odd ^= 1;
  }
  for (int i = first + 1; i <= end; i++) row[i] ^= row[i - 1];
  if (odd) memset(row + end, 1, (size_t)(rect->w - end)); /* what would close it lies beyond the row */
}

static void rect_row(const dw_shape *shape, const dw_rect *rect, int y, uint8_t *row) {
  const double *s = shape->xy;
  if (y < s[1] || y >= s[1] + s[3]) return;
  for (int i = 0; i < rect->w; i++) row[i] = rect->x + i >= s[0] && rect->x + i < s[0] + s[2];
}

void dw_shape_mask(const dw_shape *shape, const dw_rect *rect, uint8_t *mask) {
  static void (*const row_of[])(const dw_shape *, const dw_rect *, int, uint8_t *) = {
      [DW_SHAPE_RECT] = rect_row, [DW_SHAPE_ELLIPSE] = ellipse_row, [DW_SHAPE_POLY] = poly_row};
  for (int r = 0; r < rect->h; r++) {
    uint8_t *row = mask + (size_t)r * (size_t)rect->w;
    memset(row, 0, (size_t)rect->w);
    row_of[shape->kind](shape, rect, rect->y + r, row);
  }
}
