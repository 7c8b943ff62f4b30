/* What was found, drawn into the photo's preview. */
#include "report/found_drawing.h"

#include <math.h>
#include <string.h>

typedef struct paper {
  dw_preview *picture;
  double unit; /* its pixels of a hair line */
} paper;

/* Letters of five columns, a bit a pixel, the lowest on top: digits and what dw_bait_layer_name needs. */
enum { GLYPH_COLUMNS = 5, GLYPH_ROWS = 8 };
static const struct {
  char letter;
  uint8_t column[GLYPH_COLUMNS];
} glyphs[] = {
    {'0', {0x3E, 0x51, 0x49, 0x45, 0x3E}}, {'1', {0x00, 0x42, 0x7F, 0x40, 0x00}},
    {'2', {0x42, 0x61, 0x51, 0x49, 0x46}}, {'3', {0x21, 0x41, 0x45, 0x4B, 0x31}},
    {'4', {0x18, 0x14, 0x12, 0x7F, 0x10}}, {'5', {0x27, 0x45, 0x45, 0x45, 0x39}},
    {'6', {0x3C, 0x4A, 0x49, 0x49, 0x30}}, {'7', {0x01, 0x71, 0x09, 0x05, 0x03}},
    {'8', {0x36, 0x49, 0x49, 0x49, 0x36}}, {'9', {0x06, 0x49, 0x49, 0x29, 0x1E}},
    {'a', {0x20, 0x54, 0x54, 0x54, 0x78}}, {'b', {0x7F, 0x48, 0x44, 0x44, 0x38}},
    {'c', {0x38, 0x44, 0x44, 0x44, 0x20}}, {'d', {0x38, 0x44, 0x44, 0x48, 0x7F}},
    {'e', {0x38, 0x54, 0x54, 0x54, 0x18}}, {'i', {0x00, 0x44, 0x7D, 0x40, 0x00}},
    {'k', {0x7F, 0x10, 0x28, 0x44, 0x00}}, {'l', {0x00, 0x41, 0x7F, 0x40, 0x00}},
    {'m', {0x7C, 0x04, 0x18, 0x04, 0x78}}, {'o', {0x38, 0x44, 0x44, 0x44, 0x38}},
    {'p', {0x7C, 0x14, 0x14, 0x14, 0x08}}, {'r', {0x7C, 0x08, 0x04, 0x04, 0x08}},
    {'u', {0x3C, 0x40, 0x40, 0x20, 0x7C}}, {'w', {0x3C, 0x40, 0x30, 0x40, 0x3C}},
    {'y', {0x0C, 0x50, 0x50, 0x50, 0x3C}},
};

static const uint8_t *glyph_of(char letter) {
  for (size_t i = 0; i < sizeof glyphs / sizeof *glyphs; i++)
    if (glyphs[i].letter == letter) return glyphs[i].column;
  return NULL;
}

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

/* Squares of a glyph's pixels, black around white. */
static void letter_draw(paper *p, double left, double top, double dot, char letter, bool light) {
  const uint8_t *column = glyph_of(letter);
  double rim = light ? 0 : .8 * dot;
  for (int c = 0; column && c < GLYPH_COLUMNS; c++)
    for (int r = 0; r < GLYPH_ROWS; r++) {
      if (!(column[c] >> r & 1)) continue;
      for (int y = (int)(top + r * dot - rim); y < (int)(top + (r + 1) * dot + rim); y++)
        for (int x = (int)(left + c * dot - rim); x < (int)(left + (c + 1) * dot + rim); x++)
          dab(p->picture, x, y, light ? 255 : 0, 1);
    }
}

static void label_draw(void *ctx, double x, double y, const char *text, bool large) {
  paper *p = ctx;
  size_t n = strlen(text);
  double dot = fmax(1, round(p->unit * (large ? 2 : 1.2)));
  double left = p->picture->scale * x - dot * ((double)n * (GLYPH_COLUMNS + 1) - 1) / 2;
  double top = p->picture->scale * y - dot * (GLYPH_ROWS - 1) / 2.0;
  for (int light = 0; light < 2; light++)
    for (size_t i = 0; i < n; i++)
      letter_draw(p, left + (double)i * dot * (GLYPH_COLUMNS + 1), top, dot, text[i], light);
}

void dw_draw_found(const dw_found *found, dw_preview *picture) {
  paper p = {picture, fmax(1, picture->scale * dw__found_unit(&found->reading.photo))};
  const dw__pen pen = {&p, line_draw, label_draw};
  dw__found_draw(found, &pen);
}
