/* What was found, drawn into the photo's preview. */
#include "report/found_drawing.h"
#include "report/letters.h"

#include <math.h>

typedef struct paper {
  dw_preview *picture;
  double unit; /* its pixels of a hair line */
} paper;

/* Lays a gray over a pixel, cover 0 to 1. */
static void dab(dw_preview *picture, int x, int y, double gray, double cover) {
  if (x < 0 || y < 0 || x >= picture->width || y >= picture->height || cover <= 0) return;
  uint8_t *at = &picture->rgb[3 * ((size_t)y * (size_t)picture->width + (size_t)x)];
  for (size_t c = 0; c < 3; c++) at[c] = (uint8_t)lround(at[c] + fmin(cover, 1) * (gray - at[c]));
}

static double distance(double px, double py, const double a[2], const double b[2]) {
  double dx = b[0] - a[0], dy = b[1] - a[1], square = dx * dx + dy * dy;
  double t = square > 0 ? fmin(fmax(((px - a[0]) * dx + (py - a[1]) * dy) / square, 0), 1) : 0;
  return hypot(px - a[0] - t * dx, py - a[1] - t * dy);
}

/* One stretch of a line `width` wide, its edge a pixel soft. */
static void stretch(dw_preview *picture, const double a[2], const double b[2], double width, double gray) {
  int margin = (int)ceil(width / 2 + 1);
  int x0 = (int)fmin(a[0], b[0]) - margin, x1 = (int)fmax(a[0], b[0]) + margin;
  int y0 = (int)fmin(a[1], b[1]) - margin, y1 = (int)fmax(a[1], b[1]) + margin;
  x0 = x0 < 0 ? 0 : x0, y0 = y0 < 0 ? 0 : y0;
  x1 = x1 < picture->width ? x1 : picture->width - 1, y1 = y1 < picture->height ? y1 : picture->height - 1;
  for (int y = y0; y <= y1; y++)
    for (int x = x0; x <= x1; x++) dab(picture, x, y, gray, width / 2 + .5 - distance(x, y, a, b));
}

static void line_draw(void *ctx, dw__line kind, const double *xy, size_t n, bool closed) {
  static const double widths[] = {
      [DW__LINE_CARD] = 1, [DW__LINE_OUTLINE] = 1.6, [DW__LINE_AXIS] = .8, [DW__LINE_BORDER] = 1.2};
  paper *p = ctx;
  for (int light = 0; light < 2; light++) /* white on black shows on any color */
    for (size_t i = 0; i + 1 < n + closed; i++) {
      const double *from = &xy[2 * i], *to = &xy[2 * ((i + 1) % n)];
      double s = p->picture->scale, a[2] = {s * from[0], s * from[1]}, b[2] = {s * to[0], s * to[1]};
      if (kind == DW__LINE_AXIS && i % 2) continue; /* dashed */
      stretch(p->picture, a, b, p->unit * widths[kind] * (light ? 1 : 2.4), light ? 255 : 0);
    }
}

/* Squares of a letter's pixels, black around white. */
static void letter_draw(paper *p, double left, double top, double dot, const uint8_t *column, bool light) {
  double rim = light ? 0 : .8 * dot;
  for (int c = 0; c < DW__LETTER_COLUMNS; c++)
    for (int r = 0; r < DW__LETTER_ROWS; r++) {
      if (!(column[c] >> r & 1)) continue;
      for (int y = (int)(top + r * dot - rim); y < (int)(top + (r + 1) * dot + rim); y++)
        for (int x = (int)(left + c * dot - rim); x < (int)(left + (c + 1) * dot + rim); x++)
          dab(p->picture, x, y, light ? 255 : 0, 1);
    }
}

static void label_draw(void *ctx, double x, double y, const char *text, bool large) {
  paper *p = ctx;
  const uint8_t *letter;
  double dot = fmax(1, round(p->unit * (large ? 2 : 1.2)));
  double width = dot * (DW__LETTER_COLUMNS + 1), n = (double)dw__letter_count(text);
  double top = p->picture->scale * y - dot * (DW__LETTER_ROWS - 1) / 2.0;
  for (int light = 0; light < 2; light++) {
    double left = p->picture->scale * x - (n * width - dot) / 2;
    for (const char *at = text; (letter = dw__letter_next(&at)); left += width)
      letter_draw(p, left, top, dot, letter, light);
  }
}

static paper paper_of(const dw_photo_reading *reading, dw_preview *picture) {
  return (paper){picture, fmax(1, picture->scale * dw__found_unit(&reading->photo))};
}

void dw_draw_reading(const dw_photo_reading *reading, dw_preview *picture) {
  paper p = paper_of(reading, picture);
  const dw__pen pen = {&p, line_draw, label_draw};
  dw__reading_draw(reading, &pen);
}

void dw_draw_found(const dw_found *found, const dw_find_wish *wish, dw_preview *picture) {
  paper p = paper_of(&found->reading, picture);
  const dw__pen pen = {&p, line_draw, label_draw};
  dw__found_draw(found, wish, &pen);
}
