#include "paints.h"

#include <math.h>

const char *const board_color_words[BOARD_COLORS_ALL] = {"white", "light gray", "dark gray", "black",
                                                         "blue",  "wood",       "green",     "mat"};

spectrum paint_of(board_color color) {
  static const double level[BOARD_COLORS_ALL] = {.80, .46, .17, .042, .05, .20, .06, .05};
  spectrum s;
  for (int i = 0; i < BANDS; i++) {
    double nm = band_nm(i);
    s.v[i] = level[color] * (1 - .5 * falling(nm, 392, 9));
    if (color == BOARD_BLUE) s.v[i] += .34 * bell(nm, 462, 34);
    if (color == BOARD_GREEN) s.v[i] += .20 * bell(nm, 528, 32);
    if (color == BOARD_MAT) s.v[i] += .13 * bell(nm, 470, 38);
    if (color == BOARD_WOODEN) s.v[i] += .38 * step_smooth(390, 730, nm);
  }
  return s;
}

plastic any_plastic(chance *dice) {
  recipe r = {{0}};
  int colors = 1 + pick(dice, 2);
  for (int i = 0; i < colors; i++) r.drops[pick(dice, BOTTLES)] += exp(between(dice, log(.8), log(9)));
  if (chance_unit(dice) < .6) r.drops[WHITE] += between(dice, .3, 3);
  if (chance_unit(dice) < .4) r.drops[BROWN] += between(dice, .5, 4);
  return plastic_mix(&r);
}

lab_color color_over(const plastic *p, double thickness, const spectrum *paint) {
  spectrum seen = plastic_seen(p, thickness, paint);
  return lab_of(xyz_of(&seen));
}

double color_apart(const lab_color *p, const lab_color *q) {
  double cp = hypot(p->a, p->b), cq = hypot(q->a, q->b), dl = p->L - q->L, dc = cp - cq;
  double dh2 = fmax(pow(p->a - q->a, 2) + pow(p->b - q->b, 2) - dc * dc, 0), c = sqrt(cp * cq);
  return sqrt(dl * dl + pow(dc / (1 + .045 * c), 2) + dh2 / pow(1 + .015 * c, 2));
}
