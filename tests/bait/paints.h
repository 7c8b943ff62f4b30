/* Colors of boards and plastics. */
#ifndef TESTS_BAIT_PAINTS_H
#define TESTS_BAIT_PAINTS_H

#include "boards.h"

spectrum paint_of(board_color color);
/* One or two bottles, perhaps with white and brown. */
plastic any_plastic(chance *dice);
lab_color color_over(const plastic *p, double thickness, const spectrum *paint);
/* About CIE94 (graphic arts): near enough to choose by; it is not what the tests judge. */
double color_apart(const lab_color *p, const lab_color *q);

static inline int pick(chance *dice, int n) {
  return (int)(chance_unit(dice) * n) % n;
}

#endif
