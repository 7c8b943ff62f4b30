/* What the baits lie on. */
#include <math.h>

#include "scene.h"

/* Knife marks: thin, nearly straight lines, some lighter and some darker than the board. */
static void make_marks(board_paint *p, uint32_t seed) {
  for (int i = 0; i < KNIFE_MARKS; i++) {
    double angle = 0.5 + 1.1 * hash_unit(i, 3, seed) + (i % 5 == 0);
    p->mark[i] = (knife_mark){.x_mm = 260 * hash_unit(i, 1, seed),
                              .y_mm = 260 * hash_unit(i, 2, seed),
                              .cos = cos(angle),
                              .sin = sin(angle),
                              .half_mm = 6 + 26 * hash_unit(i, 4, seed),
                              .depth = (hash_unit(i, 5, seed) - 0.62) * 0.34};
  }
}

static double marks_at(const board_paint *p, double x_mm, double y_mm) {
  double sum = 0;
  for (int i = 0; i < KNIFE_MARKS; i++) {
    const knife_mark *m = &p->mark[i];
    double dx = x_mm - m->x_mm, dy = y_mm - m->y_mm;
    double along = dx * m->cos + dy * m->sin, off = dy * m->cos - dx * m->sin + along * along * 0.0008;
    if (fabs(along) > m->half_mm || fabs(off) > 0.6) continue;
    sum += m->depth * (1 - along * along / (m->half_mm * m->half_mm)) * exp(-off * off / 0.018);
  }
  return sum;
}

board_paint board_paint_make(board_kind kind, uint32_t seed) {
  board_paint p;
  make_marks(&p, seed + 8);
  for (int i = 0; i < BANDS; i++) {
    double nm = band_nm(i);
    p.plain.v[i] = (0.375 + 0.025 * (nm - 550) / 180) * (1 - 0.55 * falling(nm, 388, 9));
    p.warm.v[i] = 0;
    p.white.v[i] = fmin(0.886 * (1 - falling(nm, 390, 9)) + 0.05, 0.886);
    if (kind != BOARD_WOOD) continue;
    p.plain.v[i] = 0.20 * (1 - 0.30 * falling(nm, 400, 14));
    p.warm.v[i] = 0.40 * step_smooth(390, 730, nm) * (1 - 0.30 * falling(nm, 400, 14));
  }
  return p;
}

static spectrum gray_board(const board_paint *paint, double x_mm, double y_mm, uint32_t seed) {
  double t = 1 + 0.030 * noise_layered(x_mm / 24, y_mm / 24, seed) +
             0.022 * noise_smooth(x_mm / 0.5, y_mm / 0.5, seed + 4) + marks_at(paint, x_mm, y_mm);
  spectrum s;
  for (int i = 0; i < BANDS; i++) s.v[i] = t * paint->plain.v[i];
  return s;
}

static spectrum wood_board(const board_paint *paint, double x_mm, double y_mm, uint32_t seed) {
  double bow =
      y_mm + 5 * noise_smooth(x_mm / 90, y_mm / 60, seed) + 1.2 * noise_smooth(x_mm / 24, y_mm / 9, seed);
  double ring = noise_smooth(0.5, bow / 6.5, seed + 1) + 0.6 * noise_smooth(3.5, bow / 2.1, seed + 2);
  double fiber = noise_smooth(x_mm / 5, bow / 0.35, seed + 3);
  double t = 1 + 0.085 * ring + 0.050 * fiber, warm = 1 + 0.05 * ring;
  spectrum s;
  for (int i = 0; i < BANDS; i++) s.v[i] = t * (paint->plain.v[i] + warm * paint->warm.v[i]);
  return s;
}

/* Three black and three white stripes for chips to lie across; elsewhere the gray board. */
static spectrum chip_board(const board_paint *paint, double x_mm, double y_mm, uint32_t seed) {
  if (x_mm < 8 || x_mm > 208 || y_mm < 8 || y_mm > 98) return gray_board(paint, x_mm, y_mm, seed);
  return fmod(y_mm - 8, 30) < 15 ? spectrum_flat(0.041) : paint->white;
}

spectrum board_backing(const scene *s, double x_mm, double y_mm) {
  if (s->board == BOARD_WOOD) return wood_board(&s->paint, x_mm, y_mm, s->seed);
  if (s->board == BOARD_CHIPS) return chip_board(&s->paint, x_mm, y_mm, s->seed);
  return gray_board(&s->paint, x_mm, y_mm, s->seed);
}
